//! Hallmarks: checkable statements that help make a groove its style; and the styles it is confused with.

use super::condition::Condition;
use super::variation::Variation;
use crate::rhythm::Id;

/// How much a hallmark tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rank {
    /// Shared by the whole family: a plain backbeat, four in a bar. Necessary, but names no style.
    Frame,
    /// The style's own: what separates it from its neighbours.
    Signature,
    /// Usual, and welcome, and not required.
    Seasoning,
}

/// A statement that helps make a groove its style.
#[derive(Clone, Debug, PartialEq)]
pub struct Hallmark {
    /// Its name within the style, for links, progress and [`Hallmark::implies`].
    pub id: Id,
    /// How much it tells.
    pub rank: Rank,
    /// The statement in plain words, figures second; 1 to 300 characters.
    pub sentence: String,
    /// What is checked.
    pub condition: Condition,
    /// Hallmarks of the same style that cannot fail while this one holds: undoing one of them undoes this one too.
    pub implies: Vec<Id>,
    /// The same groove with this hallmark undone.
    pub foil: Option<Foil>,
}

/// The style's groove with one hallmark undone.
#[derive(Clone, Debug, PartialEq)]
pub struct Foil {
    /// What stands instead: "instead: clap on 2 and 4"; 1 to 120 characters.
    pub name: String,
    /// How the reference groove changes.
    pub change: Variation,
}

/// In what a style differs from its neighbour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Aspect {
    /// Who plays where.
    Pattern,
    /// How fast.
    Tempo,
    /// Swing, lean and lateness.
    Feel,
    /// What the drums sound like.
    Sound,
    /// How beats make bars.
    Metre,
    /// The same time span under another signature.
    Notation,
    /// The same music counted at another speed.
    Counting,
}

impl Aspect {
    /// Every aspect, in the order they are shown.
    pub const ALL: [Aspect; 7] = [
        Aspect::Pattern,
        Aspect::Tempo,
        Aspect::Feel,
        Aspect::Sound,
        Aspect::Metre,
        Aspect::Notation,
        Aspect::Counting,
    ];
}

/// A style this one is confused with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Neighbour {
    /// Which style.
    pub id: Id,
    /// In what it differs; the first is the clearest.
    pub aspects: Vec<Aspect>,
    /// How, in plain words; 1 to 400 characters.
    pub how: String,
}
