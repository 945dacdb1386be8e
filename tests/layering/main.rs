//! The rules of the house that a compiler does not check, read from the source itself: who may import whom, which module
//! may touch which part of the browser, that the developers' page names every module, how long a file may be, and one
//! word that is not ours. Every violation is printed with its file and line.

#![allow(clippy::expect_used, reason = "a test stops at what it cannot read")]

mod project_files;
mod rust_source;

use std::fmt::Write as _;
use std::fs;

use project_files::{place_of, root, rust_files, texts};
use rust_source::{Kind, imports, lex};

/// One row of the import table.
struct Module {
    name: &'static str,
    /// Top-level modules it may reach, `a::b` for only that part of one. A module may always reach itself.
    imports: &'static [&'static str],
    layer: Layer,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Layer {
    /// Nothing of the browser at all.
    Pure,
    /// The edge: any part of the browser, but no view library.
    Edge,
    /// Signals and actions: the view library's reactive half.
    Session,
    /// Components: the view library and elements, but no audio, storage or location.
    View,
}

// `role` is the vocabulary of all modules, so each may import it. Order: as in src/lib.rs.
const TABLE: &[Module] = &[
    Module { name: "role", imports: &[], layer: Layer::Pure },
    Module { name: "rhythm", imports: &["role"], layer: Layer::Pure },
    Module { name: "measure", imports: &["role", "rhythm"], layer: Layer::Pure },
    Module { name: "synth", imports: &["role"], layer: Layer::Pure },
    Module { name: "schedule", imports: &["role", "rhythm"], layer: Layer::Pure },
    Module { name: "style", imports: &["role", "rhythm", "measure", "synth::facts"], layer: Layer::Pure },
    Module { name: "lesson", imports: &["role", "rhythm", "style", "synth"], layer: Layer::Pure },
    Module { name: "dictation", imports: &["role", "rhythm", "measure", "style", "lesson"], layer: Layer::Pure },
    Module { name: "share", imports: &["role", "rhythm", "style", "lesson", "dictation", "synth"], layer: Layer::Pure },
    Module { name: "words", imports: PURE, layer: Layer::Pure },
    Module { name: "route", imports: &["role"], layer: Layer::Pure },
    Module { name: "audio", imports: &["role", "rhythm", "synth", "schedule"], layer: Layer::Edge },
    Module { name: "browser", imports: &[], layer: Layer::Edge },
    Module { name: "session", imports: &ABOVE_SESSION, layer: Layer::Session },
    Module { name: "view", imports: &ABOVE_VIEW, layer: Layer::View },
];

const PURE: &[&str] =
    &["role", "rhythm", "measure", "synth", "schedule", "style", "lesson", "dictation", "share", "words", "route"];
const ABOVE_SESSION: [&str; 13] = [
    "role",
    "rhythm",
    "measure",
    "synth",
    "schedule",
    "style",
    "lesson",
    "dictation",
    "share",
    "words",
    "route",
    "audio",
    "browser",
];
const ABOVE_VIEW: [&str; 12] = [
    "role",
    "rhythm",
    "measure",
    "synth",
    "schedule",
    "style",
    "lesson",
    "dictation",
    "share",
    "words",
    "route",
    "session",
];

/// Crates that only exist with the `web` feature, and the layers that may name them.
const WEB_CRATES: &[(&str, &[Layer])] = &[
    ("leptos", &[Layer::Session, Layer::View]),
    ("web_sys", &[Layer::Edge, Layer::Session, Layer::View]),
    ("js_sys", &[Layer::Edge, Layer::Session, Layer::View]),
    ("wasm_bindgen", &[Layer::Edge, Layer::Session, Layer::View]),
    ("wasm_bindgen_futures", &[Layer::Edge, Layer::Session]),
    ("gloo_timers", &[Layer::Edge, Layer::Session, Layer::View]),
    ("console_error_panic_hook", &[]),
];

/// What session and view may not touch, though the crates they use offer it: the edge's own things.
const EDGE_NAMES: &[&str] = &[
    "AnalyserNode",
    "AudioBuffer",
    "AudioBufferSourceNode",
    "AudioContext",
    "AudioContextOptions",
    "AudioNode",
    "AudioParam",
    "BaseAudioContext",
    "Clipboard",
    "GainNode",
    "History",
    "Location",
    "OfflineAudioContext",
    "Storage",
    "Worker",
    "local_storage",
    "session_storage",
    "location_hash",
    "location_pathname",
    "clipboard",
];
/// The same, where the bare word may mean something else: only when called.
const EDGE_CALLS: &[&str] = &["history", "location"];

const LINES_AT_MOST: usize = 420;

/// Identifiers that hold the word that is not ours, and why each may.
const FOREIGN_WORDS: &[(&str, &str)] = &[
    (concat!("st", "ep_by"), "an iterator of the standard library"),
    (concat!("st", "ep="), "an attribute of HTML's range input"),
    (concat!("\"st", "eps\""), "a key of the collected facts, which are not ours to rename"),
    (concat!("2-st", "ep"), "the style's own name"),
    (concat!("two-st", "ep"), "the style's own name"),
];

fn report(violations: &[String]) {
    let mut list = String::new();
    for violation in violations {
        let _ = writeln!(list, "{violation}");
    }
    assert!(violations.is_empty(), "{} violations:\n{list}", violations.len());
}

/// What one file breaks of the import table.
fn import_violations(file: &str, source: &str) -> Vec<String> {
    let Some((top, depth)) = place_of(file) else { return Vec::new() };
    let Some(module) = TABLE.iter().find(|module| module.name == top) else {
        return vec![format!("{file}:1: the module {top} is not in the import table")];
    };
    let tokens = lex(source);
    let mut broken = Vec::new();
    for import in imports(&tokens, depth) {
        let known = TABLE.iter().any(|module| module.name == import.top);
        let allowed = import.top == top
            || module.imports.iter().any(|may| match may.split_once("::") {
                None => *may == import.top,
                Some((may_top, may_part)) => may_top == import.top && import.then.as_deref() == Some(may_part),
            });
        if known && !allowed {
            let part = import.then.map_or(String::new(), |then| format!("::{then}"));
            broken.push(format!("{file}:{}: {top} may not import {}{part}", import.line, import.top));
        }
    }
    for (i, token) in tokens.iter().enumerate() {
        if token.kind != Kind::Word {
            continue;
        }
        let named = token.text.as_str();
        let line = token.line;
        if let Some((_, layers)) = WEB_CRATES.iter().find(|(name, _)| *name == named)
            && !layers.contains(&module.layer)
        {
            broken.push(format!("{file}:{line}: {top} may not use {named}"));
        }
        let followed = |mark: char| tokens.get(i + 1).is_some_and(|next| next.is(mark));
        if module.layer == Layer::Session && named == "view" && followed('!') {
            broken.push(format!("{file}:{line}: {top} draws nothing"));
        }
        let is_upper = matches!(module.layer, Layer::Session | Layer::View);
        let is_edge = EDGE_NAMES.contains(&named) || (EDGE_CALLS.contains(&named) && followed('('));
        if is_upper && is_edge {
            broken.push(format!("{file}:{line}: {named} belongs to audio or browser, not to {top}"));
        }
    }
    broken
}

#[test]
fn every_module_imports_only_what_the_table_allows() {
    let broken: Vec<_> = rust_files().iter().flat_map(|(file, source)| import_violations(file, source)).collect();
    report(&broken);
}

#[test]
fn the_rules_of_import_catch_what_they_forbid() {
    let check = |file: &str, source: &str, expected: &[&str]| {
        let found = import_violations(file, source);
        let found: Vec<_> =
            found.iter().map(|text| text.split_once(": ").map_or(text.as_str(), |(_, rule)| rule)).collect();
        assert_eq!(found, expected, "{file}: {source}");
    };
    check("src/rhythm/tick.rs", "use crate::role::Role; use core::fmt;", &[]);
    check("src/rhythm/tick.rs", "use crate::synth::Patch;", &["rhythm may not import synth::Patch"]);
    check("src/rhythm/tick.rs", "use super::super::view;", &["rhythm may not import view"]);
    check("src/rhythm/tick.rs", "mod tests { use super::super::view; }", &[]);
    check("src/rhythm/tick.rs", "mod tests { use super::super::super::view; }", &["rhythm may not import view"]);
    check("src/rhythm/mod.rs", "use super::style;", &["rhythm may not import style"]);
    check("src/rhythm/tick.rs", "use super::style;", &[]);
    check(
        "src/measure/density.rs",
        "use crate::{rhythm::{Tick, style}, words, audio::x};",
        &["measure may not import words", "measure may not import audio::x"],
    );
    check("src/style/likeness.rs", "use crate::synth::facts::SoundFacts;", &[]);
    check("src/style/likeness.rs", "use crate::synth::voice::Model;", &["style may not import synth::voice"]);
    check("src/style/likeness.rs", "fn f() { crate::lesson::read() }", &["style may not import lesson::read"]);
    check("src/share/midi.rs", "// use crate::view;\n/* web_sys */ const A: &str = \"leptos\";", &[]);
    check(
        "src/share/midi.rs",
        "const A: &str = r#\"a \" web_sys\"#; use js_sys::Array;",
        &["share may not use js_sys"],
    );
    check("src/share/midi.rs", "const A: char = '\"'; use web_sys::Blob;", &["share may not use web_sys"]);
    check("src/share/midi.rs", "fn f<'a>(x: &'a str) { leptos::x() }", &["share may not use leptos"]);
    check("src/audio/pump.rs", "use web_sys::AudioContext; use crate::schedule::Span;", &[]);
    check("src/audio/pump.rs", "use leptos::prelude::*;", &["audio may not use leptos"]);
    check("src/browser/store.rs", "use crate::rhythm::Groove;", &["browser may not import rhythm::Groove"]);
    check("src/session/play.rs", "use crate::audio::Pump; use leptos::prelude::*;", &[]);
    check("src/session/play.rs", "fn f() { view! { <p/> } }", &["session draws nothing"]);
    check("src/view/sheet.rs", "use web_sys::HtmlElement; let location = 1;", &[]);
    check("src/view/sheet.rs", "use crate::audio::Pump;", &["view may not import audio::Pump"]);
    check(
        "src/view/sheet.rs",
        "window().local_storage(); window().location().hash();",
        &[
            "local_storage belongs to audio or browser, not to view",
            "location belongs to audio or browser, not to view",
        ],
    );
    check("src/helpers.rs", "", &["the module helpers is not in the import table"]);
    check("src/main.rs", "use stickleback::view; use web_sys::Location;", &[]);
    check("src/bin/workbench.rs", "use stickleback::synth;", &[]);
}

#[test]
fn the_developers_page_names_every_module() {
    let page = fs::read_to_string(root().join("DEVELOPERS.md")).expect("there is a developers' page");
    let mut modules: Vec<_> = rust_files().iter().filter_map(|(file, _)| Some(place_of(file)?.0.to_owned())).collect();
    modules.dedup();
    let named = |name: &str| ["", "/", ".rs"].iter().any(|end| page.contains(&format!("`{name}{end}`")));
    let missing: Vec<_> =
        modules.iter().filter(|name| !named(name)).map(|name| format!("DEVELOPERS.md:1: {name}")).collect();
    report(&missing);
}

#[test]
fn no_source_file_is_too_long() {
    let long: Vec<_> = rust_files()
        .iter()
        .filter(|(_, source)| source.lines().count() > LINES_AT_MOST)
        .map(|(file, source)| format!("{file}:{}: more than {LINES_AT_MOST} lines", source.lines().count()))
        .collect();
    report(&long);
}

/// Lines with the foreign word, alone or as a part of an identifier (`word_size`, `WordSize`).
fn foreign_word_violations(file: &str, text: &str) -> Vec<String> {
    let word = concat!("st", "ep");
    let is_ours = |part: &str| !["", "s", "ped", "ping", "wise"].iter().any(|end| part == format!("{word}{end}"));
    let mut broken = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let mut rest = line.to_owned();
        for (allowed, _) in FOREIGN_WORDS {
            rest = rest.replace(allowed, "");
        }
        let mut spread = String::new();
        let mut before = ' ';
        for c in rest.chars() {
            if c.is_uppercase() && before.is_lowercase() {
                spread.push(' ');
            }
            spread.push(c);
            before = c;
        }
        let lower = spread.to_lowercase();
        if !lower.split(|c: char| !c.is_alphabetic()).all(is_ours) {
            broken.push(format!("{file}:{}: {}", number + 1, line.trim()));
        }
    }
    broken
}

#[test]
fn the_foreign_word_is_used_nowhere() {
    let places = ["src", "lessons", "tests", "assets", "index.html", "README.md", "DEVELOPERS.md", "CHANGELOG.md"];
    let broken: Vec<_> = texts(&places).iter().flat_map(|(file, text)| foreign_word_violations(file, text)).collect();
    report(&broken);
}

#[test]
fn the_foreign_word_is_found_in_every_guise() {
    let word = concat!("st", "ep");
    let check = |pattern: &str, finds: bool| {
        let line = pattern.replace('#', word);
        assert_eq!(!foreign_word_violations("file", &line).is_empty(), finds, "{line}");
    };
    check("the next # of a lesson", true);
    check("16 #s a bar", true);
    check("let #_size = 1;", true);
    check("let time_# = 1;", true);
    check("struct Time#Length;".replace('#', concat!("St", "ep")).as_str(), true);
    check("(0..8).#_by(2)", false);
    check("<input type=\"range\" #=\"0.5\">", false);
    check("2-# garage", false);
    check("dub#, #pers and foot#", false);
}
