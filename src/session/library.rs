//! The styles and kits that come with the app: a small index at once, the files when they are opened.

use crate::browser::fetch::{self, FetchFault};
use crate::lesson::builds::{Build, read_build};
use crate::lesson::index::{self, IndexEntry};
use crate::lesson::style::Style;
use crate::lesson::{kit, made, style_file};
use crate::rhythm::{Groove, Id, MadeVoices, Sound};
use crate::role::Role;
use crate::style::SoundLookup;
use crate::style::sound::measured;
use crate::synth::facts::{Heard, SoundFacts};
use crate::synth::{Kit, Tone};
use crate::words::library::Missing;
use leptos::prelude::*;
use std::collections::HashMap;
use std::sync::Arc;

/// What plays a groove: a kit with the groove's own voices, and the tone of the same or another kit.
#[derive(Clone, Debug, PartialEq)]
pub struct Drums {
    /// The voices.
    pub kit: Arc<Kit>,
    /// What happens to the mix.
    pub tone: Arc<Tone>,
    /// What was measured of the kit's voices, and of the tone, where their files keep it.
    pub facts: [Option<Arc<SoundFacts>>; 2],
    /// The kit the tone belongs to.
    pub tone_id: String,
    /// The content hash of the kit without own voices: links pin it.
    pub pinned: u32,
    /// The groove's own voices that are among the kit's here.
    pub own: MadeVoices,
    /// The roles of those that cannot be read: the kit's own plays.
    pub unread: Vec<Role>,
}

impl Drums {
    /// Judges conditions of sound too: calls `act` with what looks measured properties up for `groove`.
    pub fn judged<T>(&self, groove: &Groove, act: impl FnOnce(Option<SoundLookup>) -> T) -> T {
        // While another kit is on its way, nothing is known of how the groove will sound.
        let asked = groove.sound.kit.as_str() == self.kit.id
            && groove.sound.tone.as_str() == self.tone_id
            && groove.sound.voices == self.own;
        let ([Some(voices), Some(tone)], true) = (&self.facts, asked) else { return act(None) };
        let speed = groove.sound.speed.ratio();
        let heard = Heard { kit: &self.kit, voices, tone, speed };
        act(Some(&|voice, measure| measured(groove, &heard, voice, measure)))
    }

    /// How many seconds a stroke of `role` rings: the time its voice takes to fall by 40 dB, or 0.25 where the voice
    /// holds as long as its stroke.
    pub fn ring(&self, role: Role) -> f64 {
        let decay = |voice: &crate::synth::Voice| {
            let model = &voice.patch.model;
            let values = model.fields().iter().zip(model.values());
            values.filter(|(field, value)| field.name == "decay_ms" && *value > 0.0).map(|(_, value)| value).next()
        };
        let decay = self.kit.voice_for(role).and_then(|(voice, _)| decay(voice));
        decay.unwrap_or(250.0) / 1000.0
    }
}

fn missing(fault: FetchFault) -> Missing {
    match fault {
        FetchFault::Status(status) => Missing::Status(status),
        FetchFault::NoAnswer | FetchFault::Broken => Missing::NoAnswer,
        FetchFault::WebPage => Missing::WebPage,
    }
}

/// A kit, and what its file keeps of its sound.
type Kept = (Arc<Kit>, Option<Arc<SoundFacts>>);

/// The library. Copies are handles to the same one.
#[derive(Clone, Copy)]
pub struct Library {
    index: StoredValue<Arc<Vec<IndexEntry>>>,
    styles: StoredValue<HashMap<String, Arc<Style>>>,
    kits: StoredValue<HashMap<String, Kept>>,
    builds: StoredValue<HashMap<&'static str, Arc<Build>>>,
}

impl Library {
    /// A library with its index read and nothing fetched yet.
    pub fn open() -> Library {
        // The index is part of the program and a test reads it; an unreadable one would show no styles.
        let entries = index::read(include_str!("../../lessons/index.json")).unwrap_or_default();
        Library {
            index: StoredValue::new(Arc::new(entries)),
            styles: StoredValue::new(HashMap::new()),
            kits: StoredValue::new(HashMap::new()),
            builds: StoredValue::new(HashMap::new()),
        }
    }

    /// All styles in the order of the index.
    pub fn index(&self) -> Arc<Vec<IndexEntry>> {
        self.index.get_value()
    }

    /// The index entry of a style.
    pub fn entry(&self, id: &str) -> Option<IndexEntry> {
        self.index.with_value(|index| index.iter().find(|entry| entry.id.as_str() == id).cloned())
    }

    /// The style called `id`, fetched the first time.
    pub async fn style(&self, id: &str) -> Result<Arc<Style>, Missing> {
        if let Some(style) = self.styles.with_value(|styles| styles.get(id).cloned()) {
            return Ok(style);
        }
        self.entry(id).ok_or(Missing::Unknown)?;
        let text = fetch::text(&format!("lessons/styles/{id}.json")).await.map_err(missing)?;
        let style = Arc::new(style_file::read(&text).map_err(Missing::Faults)?);
        self.styles.update_value(|styles| {
            styles.insert(id.to_owned(), style.clone());
        });
        Ok(style)
    }

    /// The guided build called `id`, fetched the first time.
    pub async fn build(&self, id: &'static str) -> Result<Arc<Build>, Missing> {
        if let Some(build) = self.builds.with_value(|builds| builds.get(id).cloned()) {
            return Ok(build);
        }
        let text = fetch::text(&format!("lessons/builds/{id}.json")).await.map_err(missing)?;
        let build = Arc::new(read_build(&text).map_err(Missing::Faults)?);
        self.builds.update_value(|builds| {
            builds.insert(id, build.clone());
        });
        Ok(build)
    }

    async fn kit(&self, id: &Id) -> Result<Kept, Missing> {
        if let Some(kit) = self.kits.with_value(|kits| kits.get(id.as_str()).cloned()) {
            return Ok(kit);
        }
        // Kits are named like the style they are made for, or like it and a variant; a name from a link is not fetched
        // unless it is one of them.
        let of_style = |entry: &IndexEntry| {
            let rest = id.as_str().strip_prefix(entry.id.as_str());
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
        };
        if !self.index.with_value(|index| index.iter().any(of_style)) {
            return Err(Missing::Unknown);
        }
        let text = fetch::text(&format!("lessons/kits/{id}.json")).await.map_err(missing)?;
        let (kit, facts) = kit::read_kit_file(&text).map_err(Missing::Faults)?;
        let kit = (Arc::new(kit), facts.map(Arc::new));
        self.kits.update_value(|kits| {
            kits.insert(id.as_str().to_owned(), kit.clone());
        });
        Ok(kit)
    }

    /// The kit and tone a groove asks for, fetched the first time, and the groove's own voices.
    pub async fn drums(&self, sound: &Sound) -> Result<Drums, Missing> {
        let (kit, voices) = self.kit(&sound.kit).await?;
        let (toned, tone) =
            if sound.tone == sound.kit { (kit.clone(), voices.clone()) } else { self.kit(&sound.tone).await? };
        let (pinned, own) = (kit.content_hash(), sound.voices.clone());
        let (kit, voices, unread) = if own.is_empty() {
            (kit, voices, Vec::new())
        } else {
            let played = made::played(&kit, voices.as_deref(), &own);
            (Arc::new(played.kit), played.facts.map(Arc::new), played.unread)
        };
        let tone_id = toned.id.clone();
        Ok(Drums { tone: Arc::new(toned.tone), kit, facts: [voices, tone], tone_id, pinned, own, unread })
    }
}
