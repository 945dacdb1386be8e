//! The native tool.
//!
//! ```text
//! workbench index LESSONSDIR                             its index.json, from its style files
//! workbench check FILE...                                names every mistake of style, kit, groove and index files
//! workbench tidy FILE...                                 writes style files anew, laid out as they are kept
//! workbench events FILE|LINK [--rate R] [--passes N] [--json]   when every stroke of a groove belongs, in frames
//! workbench course STYLE                             the stages of a style’s lesson as a screen reader is told of them
//! workbench spoken                                     what a screen reader is to be told of the grooves listed on standard input
//! workbench render STYLE|FILE|LINK OUT.wav [--passes N --rate R --bits 16|24 --dry --json]   a groove as a wave file
//! workbench voice KIT ROLE OUT.wav [--loudness N --pitch NOTE --rate R --bits 16|24 --json]   one stroke as a wave file
//! workbench facts KIT... [--json | --write]              what is measured of kits' voices and tones; --write keeps it
//! workbench likeness FILE|LINK --json                which styles a groove leans to, how surely, and why
//! workbench contrast A B [--json]                     in what two styles or grooves differ, what tells most first
//! workbench crossing A B [--json]                     the cheapest row of edits from one to the other, and who leads on the way
//! workbench foils STYLE...                           what each foil breaks, and what of it is heard
//! workbench measure --json                               native figures for scripts/measure
//! workbench measure --largest                            the address of the largest groove there can be, for the same
//! ```
//! Exit codes: 0 all is well, 1 faults were found, 2 the tool was called wrongly.

#![allow(clippy::print_stdout, reason = "it speaks to a terminal")]

mod check;
mod contrast;
mod crossing;
mod events;
mod facts;
mod foils;
mod index;
mod likeness;
mod measure;
mod render;
mod spoken;
mod tidy;
mod voice;

use std::process::ExitCode;

/// Why a command ended without success.
enum Trouble {
    /// Faults in files; they have been told.
    Faults,
    /// The command does not exist or has the wrong arguments.
    Usage,
}

/// Whether the only option a command takes, `--json`, is given.
fn asks_for_json(options: &[&str]) -> Result<bool, Trouble> {
    match options {
        [] => Ok(false),
        ["--json"] => Ok(true),
        _ => Err(Trouble::Usage),
    }
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match arguments.as_slice() {
        ["index", dir] => index::run(dir),
        ["check", files @ ..] if !files.is_empty() => check::run(files),
        ["tidy", files @ ..] if !files.is_empty() => tidy::run(files),
        ["events", source, options @ ..] => events::run(source, options),
        ["course", path] => spoken::course(path),
        ["spoken"] => spoken::run(),
        ["render", source, out, options @ ..] => render::run(source, out, options),
        ["voice", kit, role, out, options @ ..] => voice::run(kit, role, out, options),
        ["facts", words @ ..] => facts::run(words),
        ["likeness", source, "--json"] => likeness::run(source),
        ["contrast", a, b, options @ ..] => contrast::run(a, b, options),
        ["crossing", a, b, options @ ..] => crossing::run(a, b, options),
        ["foils", styles @ ..] if !styles.is_empty() => foils::run(styles),
        ["measure", "--json"] => measure::run(),
        ["measure", "--largest"] => measure::largest(),
        _ => Err(Trouble::Usage),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(Trouble::Faults) => ExitCode::from(1),
        Err(Trouble::Usage) => {
            println!("usage: workbench index LESSONSDIR");
            println!("       workbench check FILE...");
            println!("       workbench tidy FILE...");
            println!("       workbench events FILE|LINK [--rate R] [--passes N] [--json]");
            println!("       workbench course STYLE");
            println!("       workbench spoken");
            println!(
                "       workbench render STYLE|FILE|LINK OUT.wav [--passes N] [--rate R] [--bits 16|24] [--dry] [--json]"
            );
            println!(
                "       workbench voice KIT ROLE OUT.wav [--loudness N] [--pitch NOTE] [--rate R] [--bits 16|24] [--json]"
            );
            println!("       workbench facts KIT... [--json | --write]");
            println!("       workbench likeness FILE|LINK --json");
            println!("       workbench contrast A B [--json]");
            println!("       workbench crossing A B [--json]");
            println!("       workbench foils STYLE...");
            println!("       workbench measure --json | --largest");
            ExitCode::from(2)
        }
    }
}
