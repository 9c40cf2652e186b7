//! Makes one name for several texts: the same texts in the same order give the same name, on every machine.

/// A name that is being made.
#[derive(Clone, Debug, Default)]
pub struct Digest(blake3::Hasher);

impl Digest {
    /// Adds a text after its length, so that moving characters from one text to the next changes the name.
    pub fn add(&mut self, text: impl AsRef<[u8]>) -> &mut Digest {
        let text = text.as_ref();
        self.0.update(&(text.len() as u64).to_le_bytes()).update(text);
        self
    }

    /// The name of the added texts.
    pub fn name(&self) -> blake3::Hash {
        self.0.finalize()
    }

    /// The first half of that, for people to read.
    pub fn short(&self) -> String {
        self.name().to_hex()[..16].to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::Digest;

    #[test]
    fn a_name_tells_where_one_text_ends_and_how_many_there_are() {
        let name =
            |texts: &[&str]| texts.iter().fold(Digest::default(), |mut digest, text| digest.add(text).clone()).name();
        assert_eq!(name(&["ab", "c"]), name(&["ab", "c"]));
        let others: [&[&str]; 4] = [&["a", "bc"], &["abc"], &["ab", "c", ""], &["c", "ab"]];
        assert!(others.into_iter().all(|other| name(other) != name(&["ab", "c"])));
    }
}
