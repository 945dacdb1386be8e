//! Two grooves heard in turn, a loop each: as it is, the other way, and both once more. The ribbon follows the ear, and
//! when it is over the groove lies there as it is.

use super::editor::Editor;
use super::hearing::Hearing;
use crate::rhythm::{Edit, Groove, Seconds, edits_between};
use leptos::prelude::*;

/// How many loops are heard before it stays as it is.
const LOOPS: u32 = 4;
/// The change is made so long before the loop it is for, in seconds: what starts sooner is on its way already.
const AHEAD: f64 = 0.15;

/// The grooves that are compared.
#[derive(Clone)]
struct Pair {
    first: Groove,
    then: Groove,
    /// The pass the first loop was heard in, once it is known.
    base: Option<u32>,
}

/// The comparison that goes on in one lesson, if one does.
#[derive(Clone, Copy)]
pub struct Comparing {
    editor: Editor,
    pair: StoredValue<Option<Pair>>,
    other: RwSignal<bool>,
    runs: RwSignal<bool>,
}

impl Comparing {
    /// No comparison yet; it follows what `hearing` plays.
    pub fn new(editor: Editor, hearing: Hearing) -> Comparing {
        let comparing =
            Comparing { editor, pair: StoredValue::new(None), other: RwSignal::new(false), runs: RwSignal::new(false) };
        Effect::new(move |sounded: Option<bool>| {
            if !comparing.runs.get() {
                return false;
            }
            let sounds = hearing.is_on();
            match hearing.playing_at() {
                Some((pass, tick)) => comparing.follow(pass, tick),
                None if sounded == Some(true) && !sounds => comparing.end(),
                None => {}
            }
            sounds
        });
        comparing
    }

    /// Begins with `first`, which lies on the desk already.
    pub fn begin(&self, first: Groove, then: Groove) {
        self.pair.set_value(Some(Pair { first, then, base: None }));
        self.other.set(false);
        self.runs.set(true);
    }

    /// Whether two grooves are being compared, and whether the other one is the one heard.
    pub fn heard(&self) -> Option<bool> {
        self.runs.get().then(|| self.other.get())
    }

    /// Ends it with the groove as it is.
    pub fn end(&self) {
        self.turn_to(false);
        self.forget();
    }

    /// Ends it where it stands: another groove takes its place.
    pub fn forget(&self) {
        if self.pair.try_update_value(Option::take).flatten().is_some() {
            self.editor.end_gesture();
            self.runs.set(false);
            self.other.set(false);
        }
    }

    fn follow(&self, pass: u32, tick: f64) {
        let seen = self.pair.try_update_value(|pair| {
            let pair = pair.as_mut()?;
            let base = *pair.base.get_or_insert(pass);
            let left = pair.first.pattern.length().as_f64() - tick;
            let soon = left <= pair.first.tempo.ticks(Seconds(AHEAD));
            Some(pass.saturating_sub(base) + u32::from(soon))
        });
        match seen.flatten() {
            Some(number) if number >= LOOPS => self.end(),
            Some(number) => self.turn_to(number % 2 == 1),
            None => {}
        }
    }

    fn turn_to(&self, other: bool) {
        if self.other.get_untracked() == other {
            return;
        }
        let wanted = self
            .pair
            .with_value(|pair| pair.as_ref().map(|pair| if other { pair.then.clone() } else { pair.first.clone() }));
        if let Some(wanted) = wanted {
            let edit = Edit::Several(edits_between(&self.editor.now(), &wanted));
            // All turns are one undo: nobody made them by hand.
            let _ = self.editor.turn(&edit, "comparing");
            self.other.set(other);
        }
    }
}
