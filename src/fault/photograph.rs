//! What is wrong with a photograph: typed facts without words.

/// Why a photograph cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PhotographFault {
    /// No such file beside the entry.
    Missing {
        /// The name.
        file: String,
        /// A file that is there and whose name differs in capitals only.
        near: Option<String>,
    },
    /// A name that leaves the folder or is none.
    BadName {
        /// The name.
        file: String,
    },
    /// Larger than a photograph may be.
    TooLarge {
        /// The name.
        file: String,
        /// What is too large, in words with the limit.
        limit: String,
    },
    /// No picture that is understood.
    NotAPicture {
        /// The name.
        file: String,
    },
    /// A picture that ends before its end.
    CutShort {
        /// The name.
        file: String,
    },
    /// A picture that a decoder or the system gave up.
    Unmade {
        /// The name.
        file: String,
        /// Why, in their words.
        problem: String,
    },
    /// A picture beside entries that none of them names.
    Unused {
        /// The name.
        file: String,
    },
}
