//! Codes of the countries where garments were sold new (ISO 3166-1, two letters).

/// The codes that are assigned: ISO 3166-1:2020, as the time-zone database of IANA lists them in `iso3166.tab`.
const ASSIGNED: &str = "\
    AD AE AF AG AI AL AM AO AQ AR AS AT AU AW AX AZ BA BB BD BE BF BG BH BI BJ BL BM BN BO BQ BR BS BT \
    BV BW BY BZ CA CC CD CF CG CH CI CK CL CM CN CO CR CU CV CW CX CY CZ DE DJ DK DM DO DZ EC EE EG EH \
    ER ES ET FI FJ FK FM FO FR GA GB GD GE GF GG GH GI GL GM GN GP GQ GR GS GT GU GW GY HK HM HN HR HT \
    HU ID IE IL IM IN IO IQ IR IS IT JE JM JO JP KE KG KH KI KM KN KP KR KW KY KZ LA LB LC LI LK LR LS \
    LT LU LV LY MA MC MD ME MF MG MH MK ML MM MN MO MP MQ MR MS MT MU MV MW MX MY MZ NA NC NE NF NG NI \
    NL NO NP NR NU NZ OM PA PE PF PG PH PK PL PM PN PR PS PT PW PY QA RE RO RS RU RW SA SB SC SD SE SG \
    SH SI SJ SK SL SM SN SO SR SS ST SV SX SY SZ TC TD TF TG TH TJ TK TL TM TN TO TR TT TV TW TZ UA UG \
    UM US UY UZ VA VC VE VG VI VN VU WF WS YE YT ZA ZM ZW";

/// Codes of countries that are no more and that a label can still name: ISO 3166-3, from memory. `EU` is reserved for the
/// European Union.
const FORMER: &str = "AN BU CS DD DY EU FX HV NH NT PC RH SU TP VD YD YU ZR";

/// Common wrong codes of countries, with the right ones.
const MISTAKEN: [(&str, &str); 4] = [("UK", "GB"), ("EN", "GB"), ("SW", "SE"), ("JA", "JP")];

/// Says whether a code names a country, or is one that ISO 3166-1 leaves to its users.
pub fn is_known(code: &str) -> bool {
    let is_listed = |list: &str| list.split(' ').any(|one| one == code);
    is_listed(ASSIGNED) || is_listed(FORMER) || is_own(code)
}

/// Says whether a code is one of those that users may give a meaning of their own: AA, QM to QZ, XA to XZ, ZZ.
fn is_own(code: &str) -> bool {
    matches!(code, "AA" | "ZZ") || matches!(code.as_bytes(), [b'X', b'A'..=b'Z'] | [b'Q', b'M'..=b'Z'])
}

/// Gives the code that people mean by one that names no country.
pub fn meant(code: &str) -> Option<&'static str> {
    MISTAKEN.iter().find(|(written, _)| *written == code).map(|(_, meant)| *meant)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{ASSIGNED, MISTAKEN, is_known};

    #[test]
    fn the_codes_are_those_that_are_assigned() {
        let codes: BTreeSet<&str> = ASSIGNED.split(' ').collect();
        assert_eq!(codes.len(), 249, "so many does ISO 3166-1 assign");
        // The time-zone database of IANA lists them too; a machine may lack it.
        if let Ok(table) = std::fs::read_to_string("/usr/share/zoneinfo/iso3166.tab") {
            let listed = table.lines().filter(|line| !line.starts_with('#')).map(|line| &line[..2]);
            assert_eq!(listed.collect::<BTreeSet<&str>>(), codes);
        }
    }

    #[test]
    fn a_mistaken_code_is_none_and_its_correction_is_one() {
        for (written, meant) in MISTAKEN {
            assert!(!is_known(written) && is_known(meant), "{written}");
        }
        assert!(["DD", "EU", "XK", "ZZ"].into_iter().all(is_known) && !is_known("QA1") && !is_known("us"));
    }
}
