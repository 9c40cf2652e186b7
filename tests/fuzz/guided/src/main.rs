//! One target of `tests/fuzz/targets.rs`, named by `BARTACK_FUZZ`, under a driver that is guided by coverage.

#![no_main]
// How many inputs are tried and how long they are is the business of the bounded run.
#![allow(dead_code)]

use std::sync::LazyLock;
use std::{env, fs, panic, process};

use libfuzzer_sys::fuzz_target;
use targets::Target;

#[path = "../../../payloads/judge.rs"]
mod judge;
#[path = "../../parts.rs"]
mod parts;
#[path = "../../targets.rs"]
mod targets;
#[path = "../../whole.rs"]
mod whole;
#[path = "../../words.rs"]
mod words;

static CHOSEN: LazyLock<&Target> = LazyLock::new(|| {
    let name = env::var("BARTACK_FUZZ").unwrap_or_default();
    targets::TARGETS.iter().find(|target| target.name == name).expect("BARTACK_FUZZ names a target")
});

/// Writes the words of the target as the driver reads them, where that is all that is asked for.
fn begin() {
    // The driver would end the program at a panic that the program itself catches, as it does with those of decoders.
    panic::set_hook(Box::new(|told| eprintln!("{told}")));
    let Ok(path) = env::var("BARTACK_FUZZ_WORDS") else { return };
    let line = |word: &&str| format!("\"{}\"\n", word.bytes().map(|byte| format!("\\x{byte:02x}")).collect::<String>());
    fs::write(path, CHOSEN.words.iter().map(line).collect::<String>()).expect("the file can be written");
    process::exit(0);
}

fuzz_target!(init: begin(), |bytes: &[u8]| (CHOSEN.run)(bytes));
