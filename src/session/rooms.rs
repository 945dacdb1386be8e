//! Where the learner is: the room, what came with a link, and what there is to be told.

use super::library::Library;
use crate::browser::location;
use crate::browser::watch::Listener;
use crate::lesson::made::made_voice;
use crate::rhythm::{EditError, Groove, MadeVoice};
use crate::role::Role;
use crate::route::{Route, RouteFault};
use crate::share::{self, LinkFault, Shared};
use crate::synth::Voice;
use crate::words::drafts::Told;
use leptos::prelude::*;
use std::sync::Arc;

/// What the page tells the learner, one thing at a time.
#[derive(Clone, Debug, PartialEq)]
pub enum Notice {
    /// A link could not be opened.
    Link(LinkFault),
    /// An address leads nowhere.
    Address(RouteFault),
    /// There is no style of this name.
    NoStyle(String),
    /// What was kept on the device could not be read and was put aside.
    Unread(LinkFault),
    /// What is made cannot be kept on the device.
    NotKept,
    /// The link is on the clipboard.
    LinkCopied,
    /// The received groove is the draft now.
    KeptAsDraft,
    /// The style's own groove is back.
    BackToStyle,
    /// A change was refused.
    Refused(EditError),
    /// A typed tempo was not taken.
    BadTempo,
    /// Something about the drafts.
    Drafts(Told),
}

/// The room and the notices. Copies are handles to the same.
#[derive(Clone, Copy)]
pub struct Rooms {
    route: RwSignal<Route>,
    received: RwSignal<Option<Arc<Shared>>>,
    notice: RwSignal<Option<(u32, Notice)>>,
    incoming: StoredValue<Option<Groove>>,
    incoming_voice: StoredValue<Option<(Role, MadeVoice)>>,
    told_not_kept: StoredValue<bool>,
    listener: StoredValue<Option<Listener>, LocalStorage>,
}

impl Rooms {
    /// Reads the address and follows it from then on.
    pub fn new(library: Library) -> Rooms {
        let rooms = Rooms {
            route: RwSignal::new(Route::Styles),
            received: RwSignal::new(None),
            notice: RwSignal::new(None),
            incoming: StoredValue::new(None),
            incoming_voice: StoredValue::new(None),
            told_not_kept: StoredValue::new(false),
            listener: StoredValue::new_local(None),
        };
        rooms.visit(&location::fragment(), library);
        rooms.listener.set_value(location::on_fragment(move |fragment| rooms.visit(&fragment, library)));
        rooms
    }

    /// Goes where a fragment leads. One that leads nowhere leaves the learner where they are, and tells why.
    fn visit(self, fragment: &str, library: Library) {
        let refused = |notice| {
            self.tell(notice);
            location::replace(&self.route.get_untracked().fragment());
        };
        match Route::parse(fragment) {
            Err(fault) => refused(Notice::Address(fault)),
            Ok(Route::Lesson(id)) if library.entry(&id).is_none() => refused(Notice::NoStyle(id)),
            Ok(Route::Received(payload)) => match share::decode(&payload) {
                Err(fault) => refused(Notice::Link(fault)),
                Ok(shared) => {
                    self.received.set(Some(Arc::new(shared)));
                    self.enter(Route::Received(payload));
                }
            },
            Ok(route) => self.enter(route),
        }
    }

    fn enter(self, route: Route) {
        if self.route.get_untracked() != route {
            self.hush();
            self.route.set(route);
        }
    }

    /// The room.
    pub fn route(&self) -> ReadSignal<Route> {
        self.route.read_only()
    }

    /// The groove that came with the link of [`Route::Received`].
    pub fn received(&self) -> Option<Arc<Shared>> {
        self.received.get_untracked()
    }

    /// Goes to the Draft room with a groove that is to become the draft.
    pub fn bring_to_draft(&self, groove: Groove) {
        self.incoming.set_value(Some(groove));
        self.go(&Route::Draft);
    }

    /// The groove brought to the Draft room, once.
    pub fn incoming(&self) -> Option<Groove> {
        self.incoming.try_update_value(Option::take).flatten()
    }

    /// Goes to the Draft room with a voice that is to play `role` in the open draft: one change, which undo takes back.
    pub fn bring_voice_to_draft(&self, role: Role, voice: &Voice) {
        self.incoming_voice.set_value(Some((role, made_voice(voice))));
        self.go(&Route::Draft);
    }

    /// The voice brought to the Draft room, once.
    pub fn incoming_voice(&self) -> Option<(Role, MadeVoice)> {
        self.incoming_voice.try_update_value(Option::take).flatten()
    }

    /// Goes to another room.
    pub fn go(&self, route: &Route) {
        location::go(&route.fragment());
    }

    /// Tells the learner something; telling it again counts as new.
    pub fn tell(&self, notice: Notice) {
        self.notice.update(|told| {
            let number = told.as_ref().map_or(0, |(number, _)| number.wrapping_add(1));
            *told = Some((number, notice));
        });
    }

    /// Tells that what is made cannot be kept on the device: once, not after every change.
    pub fn tell_not_kept(&self) {
        if !self.told_not_kept.get_value() {
            self.told_not_kept.set_value(true);
            self.tell(Notice::NotKept);
        }
    }

    /// What is told now, with a number that is new for every telling.
    pub fn notice(&self) -> Option<(u32, Notice)> {
        self.notice.get()
    }

    /// Takes the notice away.
    pub fn hush(&self) {
        if self.notice.with_untracked(Option::is_some) {
            self.notice.set(None);
        }
    }
}
