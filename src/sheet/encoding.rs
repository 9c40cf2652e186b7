//! Turns the bytes of a text file into text: in UTF-8, UTF-16 or the stated encoding, or else in
//! the usual one of western spreadsheets.
//!
//! An assumption is reported with words of the text, so that the reader can check it.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

use crate::diagnostic::wording;

/// How many words are shown to judge an encoding by.
const SHOWN: usize = 3;

/// How many bytes are looked at to see that every other one is zero.
const SAMPLE: usize = 400;

/// A text with the encoding it was written in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decoded {
    /// The text, without a mark at its beginning.
    pub text: String,
    /// The name of its encoding; none for UTF-8.
    pub encoding: Option<String>,
    /// The assumption made, in words; `None` if there was none.
    pub assumed: Option<String>,
}

/// Says whether there is an encoding of this name (<https://encoding.spec.whatwg.org/#names-and-labels>).
pub fn is_known(name: &str) -> bool {
    Encoding::for_label(name.as_bytes()).is_some()
}

/// Reads a text in UTF-8, or in UTF-16 with a mark; any other is refused.
pub fn strict(bytes: &[u8]) -> Result<String, String> {
    match marked(bytes) {
        Some(decoded) => decoded.map(|decoded| decoded.text),
        None => std::str::from_utf8(bytes).map(str::to_string).map_err(|error| {
            let line = bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count() + 1;
            format!("is not UTF-8: line {line} has a character in another encoding; save it as UTF-8")
        }),
    }
}

/// Reads a text in the encoding that its bytes show, else in the stated one, else in windows-1252.
pub fn decode(bytes: &[u8], said: Option<&str>) -> Result<Decoded, String> {
    if let Some(decoded) = marked(bytes) {
        return decoded;
    }
    if let Some(wide) = unmarked(bytes) {
        return within(bytes, wide).map(|text| assumed(text, wide, "every other byte is zero"));
    }
    // By chance, hardly any text of another encoding with letters beyond ASCII is UTF-8.
    if let Ok(text) = std::str::from_utf8(bytes) {
        return Ok(Decoded { text: text.to_string(), encoding: None, assumed: None });
    }
    match said.and_then(|name| Encoding::for_label(name.as_bytes())) {
        Some(encoding) => {
            let text = within(bytes, encoding)?;
            Ok(Decoded { text, encoding: Some(encoding.name().to_string()), assumed: None })
        }
        None => {
            let text = within(bytes, WINDOWS_1252)?;
            // The standard gives bytes that stand for nothing to control characters.
            match text.chars().find(|letter| ('\u{80}'..='\u{9f}').contains(letter)) {
                Some(_) => Err(format!("is neither UTF-8 nor windows-1252; {SAY}, or save it as `CSV UTF-8`")),
                None => Ok(assumed(text, WINDOWS_1252, "it is not UTF-8")),
            }
        }
    }
}

const SAY: &str = "say in the mapping what it is, such as `encoding = \"macintosh\"` or `\"windows-1250\"`";

/// A text that begins with a mark of its encoding.
fn marked(bytes: &[u8]) -> Option<Result<Decoded, String>> {
    let (encoding, length) = Encoding::for_bom(bytes)?;
    let name = Some(encoding.name().to_string()).filter(|_| encoding != UTF_8);
    Some(within(&bytes[length..], encoding).map(|text| Decoded { text, encoding: name, assumed: None }))
}

/// UTF-16 without a mark, if every other byte of the beginning is zero.
fn unmarked(bytes: &[u8]) -> Option<&'static Encoding> {
    let begin = &bytes[..bytes.len().min(SAMPLE)];
    let zeros = |odd: usize| begin.iter().skip(odd).step_by(2).filter(|byte| **byte == 0).count();
    let most = begin.len() / 4;
    match (zeros(0), zeros(1)) {
        (0, odd) if odd > most => Some(UTF_16LE),
        (even, 0) if even > most => Some(UTF_16BE),
        _ => None,
    }
}

fn within(bytes: &[u8], encoding: &'static Encoding) -> Result<String, String> {
    let text = encoding.decode_without_bom_handling_and_without_replacement(bytes);
    text.map(|text| text.into_owned())
        .ok_or_else(|| format!("has bytes that mean nothing in {}; {SAY}, or save it as `CSV UTF-8`", encoding.name()))
}

fn assumed(text: String, encoding: &'static Encoding, why: &str) -> Decoded {
    let mut words: Vec<&str> = Vec::new();
    for word in text.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_ascii()) {
        if words.len() < SHOWN && !words.contains(&word) {
            words.push(word);
        }
    }
    let with = match words.as_slice() {
        [] => String::new(),
        words => format!(", with words such as {}", wording::join_quoted(words, "and")),
    };
    let name = encoding.name();
    let says = format!("read as {name}, because {why}{with}; if that is wrong, {SAY}");
    Decoded { text, encoding: Some(name.to_string()), assumed: Some(says) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{decode, strict};

    #[test]
    fn texts_are_read_in_the_encoding_they_show() {
        // The bytes are those of the tables at https://encoding.spec.whatwg.org/: `ä` is E4 in windows-1252 and 8A in
        // macintosh, `ő` F5 in windows-1250, `€` 80 in windows-1252.
        let wide = |text: &str| text.encode_utf16().collect::<Vec<u16>>();
        let little: Vec<u8> = wide("Märzblätter").iter().flat_map(|unit| unit.to_le_bytes()).collect();
        let big: Vec<u8> = wide("Märzblätter").iter().flat_map(|unit| unit.to_be_bytes()).collect();
        let cases = [
            (Vec::from("März"), None, "März", None),
            ("März".into(), Some("windows-1252"), "März", None),
            ([b"\xef\xbb\xbf", "März".as_bytes()].concat(), None, "März", None),
            ([b"\xff\xfe", little.as_slice()].concat(), None, "Märzblätter", Some("UTF-16LE")),
            ([b"\xfe\xff", big.as_slice()].concat(), None, "Märzblätter", Some("UTF-16BE")),
            (little.clone(), None, "Märzblätter", Some("UTF-16LE")),
            (b"M\xe4rz 5 \x80".into(), None, "März 5 €", Some("windows-1252")),
            (b"M\x8arz".into(), Some("macintosh"), "März", Some("macintosh")),
            (b"h\xf5s".into(), Some("windows-1250"), "hős", Some("windows-1250")),
        ];
        for (bytes, said, text, encoding) in cases {
            let decoded = decode(&bytes, said).unwrap();
            assert_eq!((decoded.text.as_str(), decoded.encoding.as_deref()), (text, encoding), "{bytes:?}");
        }
    }

    #[test]
    fn what_is_assumed_is_said_and_what_cannot_be_is_refused() {
        let says = decode(b"hem;M\xe4rz;K\xf6ln;M\xe4rz\n", None).unwrap().assumed.unwrap();
        assert!(
            says.starts_with("read as windows-1252, because it is not UTF-8, with words such as `März` and `Köln`;"),
            "{says}"
        );
        assert!(decode(b"M\x81rz", None).unwrap_err().contains("neither UTF-8 nor windows-1252"));
        assert!(decode(b"\x81\x20", Some("shift_jis")).unwrap_err().contains("nothing in Shift_JIS"));
        assert!(decode(b"\xff\xfea", None).unwrap_err().contains("nothing in UTF-16LE"));
        assert!(strict(b"a\nM\xe4rz").unwrap_err().contains("line 2"));
        assert_eq!(strict(b"\xff\xfea\0").unwrap(), "a");
    }
}
