//! The native tool.
//!
//! ```text
//! workbench facts FACTS.json [CORRECTIONS.json] OUTDIR   styles, kits and index from a file of facts
//! workbench check FILE...                                names every mistake of style, kit, groove and index files
//! ```
//! Exit codes: 0 all is well, 1 faults were found, 2 the tool was called wrongly.

#![allow(clippy::print_stdout, reason = "it speaks to a terminal")]

mod check;
mod facts;
mod kits;

use std::process::ExitCode;

/// Why a command ended without success.
enum Trouble {
    /// Faults in files; they have been told.
    Faults,
    /// The command does not exist or has the wrong arguments.
    Usage,
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match arguments.as_slice() {
        ["facts", facts, out] => facts::run(facts, None, out),
        ["facts", facts, corrections, out] => facts::run(facts, Some(corrections), out),
        ["check", files @ ..] if !files.is_empty() => check::run(files),
        _ => Err(Trouble::Usage),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(Trouble::Faults) => ExitCode::from(1),
        Err(Trouble::Usage) => {
            println!("usage: workbench facts FACTS.json [CORRECTIONS.json] OUTDIR\n       workbench check FILE...");
            ExitCode::from(2)
        }
    }
}
