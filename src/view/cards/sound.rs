//! The panel of the sound: whose drums play, whose tone colours them, and what pitches are counted from.

use super::choice::{Choice, Options};
use super::number::Number;
use super::played::Played;
use crate::rhythm::{Edit, Id, LaneId, Quantity, Sound, Tick};
use crate::role::Role;
use crate::session::Session;
use crate::session::editor::Editor;
use crate::view::ribbon::navigation::Spot;
use crate::words::cards;
use leptos::prelude::*;

/// The name of the style a kit was made for; the kit's own identifier if no style opens with it.
pub fn kit_name(session: Session, kit: &Id) -> String {
    let index = session.library.index();
    let style = index.iter().find(|entry| entry.kit == *kit);
    style.map_or_else(|| kit.as_str().replace('-', " "), |entry| entry.name.clone())
}

/// Kit, tone and tonic.
#[component]
pub fn SoundPanel(session: Session, editor: Editor) -> impl IntoView {
    let sound = Memo::new(move |_| editor.groove().with(|groove| groove.sound.clone()));
    let kits = move |now: Id, name: fn(&str) -> String| {
        let index = session.library.index();
        let mut kits: Vec<Id> = index.iter().map(|entry| entry.kit.clone()).collect();
        if !kits.contains(&now) {
            kits.push(now);
        }
        kits.into_iter().map(move |kit| (kit.as_str().to_owned(), name(&kit_name(session, &kit))))
    };
    let kit_options = Signal::derive(move || kits(sound.get().kit, cards::sound_of).collect::<Options>());
    let kit = Signal::derive(move || sound.with(|sound| sound.kit.as_str().to_owned()));
    let set_kit = Callback::new(move |id: String| {
        if let Ok(kit) = id.parse::<Id>() {
            let before = sound.get_untracked();
            // A tone that came with the drums goes with them.
            let tone = if before.tone == before.kit { kit.clone() } else { before.tone };
            let _ = editor.apply(&Edit::SetSound(Sound { kit, tone, ..before }));
        }
    });
    let tone_options = Signal::derive(move || {
        let own = (String::new(), cards::OWN_TONE.to_owned());
        // The drums' own tone stands first, and only there: arrow keys pass over every line once.
        let kit = sound.get().kit;
        let others = kits(sound.get().tone, cards::tone_of).filter(|(id, _)| id != kit.as_str());
        core::iter::once(own).chain(others).collect::<Options>()
    });
    let tone = Signal::derive(move || {
        sound.with(|sound| if sound.tone == sound.kit { String::new() } else { sound.tone.as_str().to_owned() })
    });
    let set_tone = Callback::new(move |id: String| {
        let before = sound.get_untracked();
        let tone = if id.is_empty() { Ok(before.kit.clone()) } else { id.parse() };
        if let Ok(tone) = tone {
            let _ = editor.apply(&Edit::SetSound(Sound { tone, ..before }));
        }
    });
    let roles = Signal::derive(move || {
        editor.groove().with(|groove| {
            let lanes = groove.pattern.lanes().iter().map(|lane| lane.head.role);
            let mut roles: Vec<Role> = lanes.chain(groove.sound.voices.iter().map(|(role, _)| role)).collect();
            roles.sort_by_key(|role| role.score_rank());
            roles.dedup();
            roles
        })
    });
    // The tonic belongs to no lane.
    let nowhere = RwSignal::new(Some(Spot { lane: LaneId::default(), at: Tick::ZERO }));
    view! {
        <Choice name=cards::KIT options=kit_options now=kit choose=set_kit />
        <Choice name=cards::TONE options=tone_options now=tone choose=set_tone />
        <Number editor=editor spot=nowhere quantity=Quantity::Tonic />
        <Played editor=editor hearing=session.hearing roles=roles />
    }
    .into_any()
}
