//! The scripts of the site in the order in which its pages load them, from `site/scripts.json`.

use serde::Deserialize;

/// Paths of scripts. Each list needs those that stand before it.
#[derive(Deserialize)]
pub struct Scripts {
    /// The data.
    pub data: Vec<String>,
    /// The scripts that start the file that works alone.
    pub alone: Vec<String>,
    /// The reader of the rules, which also runs under Node.
    pub dating: Vec<String>,
    /// The scripts that both pages of a garment need.
    pub shared: Vec<String>,
    /// All that the pages of keys load after the reader; some of it is shared with the pages of a garment.
    pub keys: Vec<String>,
    /// The page of a garment in hand.
    pub hand: Vec<String>,
    /// The page of a garment to record.
    pub record: Vec<String>,
}

/// The scripts as the built-in list has them.
///
/// # Panics
///
/// Never: the list is part of the program, and a test reads it.
pub fn scripts() -> Scripts {
    serde_json::from_str(include_str!("../../site/scripts.json")).expect("the built-in list has every part of it")
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::page::Site;

    /// Scripts in no list: a page loads each alone or after `nodes.js`; the search loads its parts when it is first used.
    const BY_THEMSELVES: [&str; 13] = [
        "assets/batches.js",
        "assets/dots.js",
        "assets/home.js",
        "assets/lost.js",
        "assets/offline.js",
        "assets/photographs.js",
        "assets/picture-of-page.js",
        "assets/search-found.js",
        "assets/search-index.js",
        "assets/search-pairs.js",
        "assets/search-terms.js",
        "assets/search.js",
        "assets/side-by-side.js",
    ];

    #[test]
    fn every_script_stands_once_in_the_order_of_scripts() {
        let Scripts { data: _, alone, dating, shared, keys, hand, record } = scripts();
        let of_garments: Vec<String> = [alone, dating, shared, hand, record].concat();
        let once: BTreeSet<&str> = of_garments.iter().map(String::as_str).chain(BY_THEMSELVES).collect();
        assert_eq!(of_garments.len() + BY_THEMSELVES.len(), once.len());
        let known: BTreeSet<&str> = keys.iter().map(String::as_str).chain(once).collect();
        let site = Site::new(&Default::default()).expect("the built-in templates are well formed");
        let written: BTreeSet<&str> =
            site.assets().keys().map(String::as_str).filter(|path| path.ends_with(".js")).collect();
        assert_eq!(known, written);
    }
}
