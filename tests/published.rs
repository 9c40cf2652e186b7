//! Holds the program against published standards, worked examples and independent libraries.
//!
//! Each file in `published/` names the source of its values beside them.

#![allow(clippy::unwrap_used, clippy::panic)]

mod published {
    mod dating;
    mod edtf;
    mod scenarios;
    mod simulation;
    mod statistics;
}
