//! The program as people run it: arguments, folders, a busy disk, a preview.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::expect_used, clippy::print_stderr)]

#[path = "../support/mod.rs"]
mod support;

#[path = "../cli.rs"]
mod cli;
#[path = "../disk.rs"]
mod disk;
#[path = "../faults.rs"]
mod faults;
#[path = "../github.rs"]
mod github;
#[path = "../import.rs"]
mod import;
#[path = "../init.rs"]
mod init;
#[path = "../new.rs"]
mod new;
#[path = "../serve.rs"]
mod serve;
