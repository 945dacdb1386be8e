//! The player: a groove in, sound out, in the calls a page needs.
//!
//! All calls return at once and none of them panics. [`Player::play`], [`Player::wake`] and [`Player::strike`] belong
//! inside a gesture's handler, for browsers let no sound begin elsewhere. The player is one thread's: keep it in
//! `StoredValue::new_local`. Clones are handles to the same player; when the last one goes, the sound ends and
//! everything is given back.

use super::status::{Caret, PlayOptions, Sounding, Status};
use crate::rhythm::{Groove, LaneId, Loudness};
use crate::role::Role;
use crate::synth::{Kit, Tone};
use std::sync::Arc;

/// A handle to the one player of the page.
#[derive(Clone)]
pub struct Player {}

impl Player {
    /// A silent player. Makes no context yet: that is the first gesture's.
    pub fn new() -> Player;

    /// Renders the buffers `groove` needs from `kit`, a few at a time so that the page stays responsive; call it when
    /// a style opens. Playing before it is done renders the rest on demand.
    pub fn prepare(&self, groove: Arc<Groove>, kit: Arc<Kit>, tone: Arc<Tone>);

    /// Plays from silence; what played before is stopped first. In a gesture.
    pub fn play(&self, groove: Arc<Groove>, kit: Arc<Kit>, tone: Arc<Tone>, options: PlayOptions);

    /// Goes on after [`Status::Blocked`], or opens the context before the first sound. In a gesture; harmless any time.
    pub fn wake(&self);

    /// Another state of the same groove while it plays: heard in the same pass where it lies 60 ms or more ahead. Tempo,
    /// feel and pattern keep the position; bars and metre wait for the bar line. Silent players take no notice.
    pub fn edit(&self, groove: Arc<Groove>);

    /// Another kit or tone while playing; what already sounds rings out in the old one.
    pub fn set_sound(&self, kit: Arc<Kit>, tone: Arc<Tone>);

    /// Turns the click on or off while playing.
    pub fn set_click(&self, on: bool);

    /// Ends the sound within 30 ms; nothing starts afterwards.
    pub fn stop(&self);

    /// The volume, 0 to 1 (values outside are clamped); remembered across stops, ramped over 20 ms. The remembered cap
    /// is the caller's: pass the smaller of the two.
    pub fn set_volume(&self, volume: f64);

    /// Silences a lane or lets it sound, within 10 ms. Muted lanes stay scheduled.
    pub fn mute(&self, lane: LaneId, on: bool);

    /// Lets only the lanes on solo sound; with none on solo all sound.
    pub fn solo(&self, lane: LaneId, on: bool);

    /// Plays one stroke now, outside any groove: for a stroke being entered, and for the voices room. `semitones` counts
    /// from the voice's own pitch. In a gesture.
    pub fn strike(&self, role: Role, loudness: Loudness, semitones: f64, kit: &Arc<Kit>, tone: &Arc<Tone>);

    /// Where the heard music stands now; `None` unless [`Status::Playing`]. For animation frames.
    pub fn caret(&self) -> Option<Caret>;

    /// The hits that sound at the caret's time, in no order.
    pub fn sounding(&self) -> Vec<Sounding>;

    /// How things stand.
    pub fn status(&self) -> Status;

    /// Calls `listener` whenever the status changes, in place of the listener before. It may call the player.
    pub fn on_status(&self, listener: impl Fn(Status) + 'static);

    /// How many hits were given up since the page was opened, because the page stood still too long.
    pub fn dropped(&self) -> u64;
}
