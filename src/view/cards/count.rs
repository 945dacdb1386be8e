//! The panels of two score marks: how the tempo is counted and felt, and what swings.

use super::choice::{Choice, Options};
use super::stroke::refused;
use crate::rhythm::{Edit, EditError, Tempo, Tick, Written};
use crate::session::editor::Editor;
use crate::words::{cards, faults, marks};
use leptos::prelude::*;

/// The notes a tempo is counted and felt in.
const COUNTS: [i64; 8] = [240, 480, 720, 960, 1440, 1920, 2880, 3840];
/// The lengths of pairs that swing.
const PAIRS: [i64; 4] = [480, 960, 720, 1440];

fn counts(now: Tick, name: impl Fn(Tick) -> String) -> Options {
    let more = (!COUNTS.contains(&now.0)).then_some(now.0);
    COUNTS.into_iter().chain(more).map(|ticks| (ticks.to_string(), name(Tick(ticks)))).collect()
}

/// How the tempo is counted and felt.
#[component]
pub fn Count(editor: Editor) -> impl IntoView {
    let tempo = Memo::new(move |_| editor.groove().with(|groove| groove.tempo));
    let fault = RwSignal::new(None::<String>);
    let give = move |tempo: Option<Tempo>| {
        let given = tempo.ok_or(EditError::Tempo).and_then(|tempo| editor.apply(&Edit::SetTempo(tempo)));
        fault.set(given.err().map(faults::edit));
    };
    let unit_options = Signal::derive(move || counts(tempo.get().unit(), marks::note_value));
    let unit = Signal::derive(move || tempo.get().unit().0.to_string());
    let set_unit = Callback::new(move |ticks: String| {
        if let Ok(ticks) = ticks.parse() {
            give(tempo.get_untracked().counted_in(Tick(ticks)));
        }
    });
    let felt_options = Signal::derive(move || {
        let unit = tempo.get().unit();
        counts(tempo.get().felt(), |felt| cards::felt(felt, unit))
    });
    let felt = Signal::derive(move || tempo.get().felt().0.to_string());
    let set_felt = Callback::new(move |ticks: String| {
        if let Ok(ticks) = ticks.parse() {
            let now = tempo.get_untracked();
            give(Tempo::new(now.bpm, now.unit(), Tick(ticks)).ok());
        }
    });
    view! {
        <Choice name=cards::COUNT options=unit_options now=unit choose=set_unit />
        <Choice name=cards::FELT options=felt_options now=felt choose=set_felt />
        {refused(fault)}
    }
    .into_any()
}

/// What swings, and how it is written.
#[component]
pub fn FeelPanel(editor: Editor) -> impl IntoView {
    let feel = Memo::new(move |_| editor.groove().with(|groove| groove.feel.clone()));
    let fault = RwSignal::new(None::<String>);
    let pairs = PAIRS.map(|ticks| (ticks.to_string(), cards::pair(Tick(ticks)).to_owned())).to_vec();
    let pair = Signal::derive(move || feel.with(|feel| feel.pair().0.to_string()));
    let set_pair = Callback::new(move |ticks: String| {
        if let Ok(ticks) = ticks.parse() {
            match feel.with_untracked(|feel| feel.with_pair(Tick(ticks))) {
                Ok(feel) => fault.set(editor.apply(&Edit::SetFeel(feel)).err().map(faults::edit)),
                Err(error) => fault.set(Some(faults::feel(error))),
            }
        }
    });
    let ways = [Written::Straight, Written::Ternary];
    let writings = ways.map(|way| (cards::written(way).to_owned(), cards::written(way).to_owned())).to_vec();
    let written = Signal::derive(move || feel.with(|feel| cards::written(feel.written()).to_owned()));
    let set_written = Callback::new(move |name: String| {
        if let Some(way) = ways.into_iter().find(|&way| cards::written(way) == name) {
            let _ = editor.apply(&Edit::SetFeel(feel.with_untracked(|feel| feel.with_written(way))));
        }
    });
    view! {
        <Choice name=cards::PAIR options=Signal::stored(pairs) now=pair choose=set_pair />
        <Choice name=cards::WRITTEN options=Signal::stored(writings) now=written choose=set_written />
        {refused(fault)}
    }
    .into_any()
}
