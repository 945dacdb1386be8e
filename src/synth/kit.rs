//! A kit: a voice for each role, and the tone of the whole.

use std::collections::BTreeMap;

use super::loudness::gain_of_db;
use super::parameter::parameters;
use super::patch::{Patch, PatchFault, check_fields};
use super::tone::Tone;
use crate::role::Role;

parameters! {
    /// How a voice sits in the mix.
    Place = "place" {
        /// Level in the mix, dB.
        level_db: -60.0 to 24.0;
        /// Fade when its stroke ends before the sound does, ms.
        release_ms: 2.0 to 2000.0;
    }
}

/// One voice of a kit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Voice {
    /// Its sound.
    pub patch: Patch,
    /// Its level and release.
    pub place: Place,
}

impl Voice {
    /// The gain of its level.
    pub fn gain(&self) -> f32 {
        gain_of_db(self.place.level_db) as f32
    }
}

/// What happens to a role that a kit has no voice of its own for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StandIn {
    /// The role asked for.
    pub role: Role,
    /// The role whose voice plays it; `None` if the kit has nothing near, and the role stays silent.
    pub plays: Option<Role>,
}

/// The sound of a groove: a voice for each role, and the tone.
#[derive(Clone, Debug, PartialEq)]
pub struct Kit {
    /// The identifier in files and links.
    pub id: String,
    /// What a person calls it.
    pub name: String,
    /// The voices.
    pub voices: BTreeMap<Role, Voice>,
    /// What happens to the mix.
    pub tone: Tone,
}

impl Kit {
    /// Whether every figure is in range.
    ///
    /// # Errors
    /// The first that is not, with its role (`None` for the tone).
    pub fn check(&self) -> Result<(), (Option<Role>, PatchFault)> {
        for (&role, voice) in &self.voices {
            let voice = voice.patch.check().and_then(|()| check_fields(Place::FIELDS, &voice.place.values()));
            voice.map_err(|fault| (Some(role), fault))?;
        }
        self.tone.check().map_err(|fault| (None, fault))
    }

    /// The voice that plays `role`, and the role it is made for: `role` itself where the kit has it, else the nearest in
    /// [`stand_ins`] that it has; `None` if it has none of them.
    pub fn voice_for(&self, role: Role) -> Option<(&Voice, Role)> {
        let row = core::iter::once(role).chain(stand_ins(role).iter().copied());
        row.into_iter().find_map(|role| self.voices.get(&role).map(|voice| (voice, role)))
    }

    /// This kit with these voices in place of, or beside, its own. Its name and [`Kit::id`] stay, its hash does not.
    pub fn with(&self, own: &BTreeMap<Role, Voice>) -> Kit {
        let mut kit = self.clone();
        kit.voices.extend(own.iter().map(|(&role, &voice)| (role, voice)));
        kit
    }

    /// What stands in for those of `roles` that the kit has no voice for, each role once, in the order asked; empty if
    /// the kit has them all.
    pub fn stand_ins_for(&self, roles: impl IntoIterator<Item = Role>) -> Vec<StandIn> {
        let mut found: Vec<StandIn> = Vec::new();
        for role in roles {
            let plays = self.voice_for(role).map(|(_, plays)| plays);
            if plays != Some(role) && found.iter().all(|other| other.role != role) {
                found.push(StandIn { role, plays });
            }
        }
        found
    }

    /// A number for the sound, apart from id and name: links pin a kit by it.
    ///
    /// FNV-1a, 32 bits (G. Fowler, L. C. Noll, P. Vo), over these bytes: for each voice in the order of roles the role's
    /// id, the model's id, then every value of model, finish and place; last every value of tone and room. A text is its
    /// UTF-8 bytes and a zero byte; a value is the whole number of thousandths nearest to it, as eight bytes, least
    /// first. So a change below a thousandth does not count, and rounding in a file does no harm.
    pub fn content_hash(&self) -> u32 {
        let mut hash = Fnv(0x811c_9dc5);
        for (role, voice) in &self.voices {
            hash.text(role.id());
            hash.text(voice.patch.model.id());
            hash.values(&voice.patch.model.values());
            hash.values(&voice.patch.finish.values());
            hash.values(&voice.place.values());
        }
        hash.values(&self.tone.figures.values());
        hash.values(&self.tone.room.values());
        hash.0
    }
}

struct Fnv(u32);

impl Fnv {
    fn byte(&mut self, byte: u8) {
        self.0 = (self.0 ^ u32::from(byte)).wrapping_mul(0x0100_0193);
    }

    fn text(&mut self, text: &str) {
        text.bytes().chain([0]).for_each(|byte| self.byte(byte));
    }

    fn values(&mut self, values: &[f64]) {
        for value in values {
            let thousandths = (value * 1000.0).round() as i64;
            thousandths.to_le_bytes().into_iter().for_each(|byte| self.byte(byte));
        }
    }
}

/// What may play a role that a kit lacks, nearest first.
pub fn stand_ins(role: Role) -> &'static [Role] {
    use Role::*;
    match role {
        Kick => &[SurdoLow, TomLow, SubBass],
        Snare => &[Clap, Tamborim, Rim, TomHigh],
        Clap => &[Snap, Snare],
        Snap => &[Clap, Rim, Snare],
        Rim => &[Clave, Shell, Snap, Snare],
        HatClosed => &[HatPedal, Shaker, HatOpen, Tambourine, Ride],
        HatOpen => &[HatClosed, HatPedal, Ride, Tambourine],
        HatPedal => &[HatClosed, Shaker, HatOpen],
        Ride => &[HatOpen, HatClosed, Crash, BellHigh],
        Crash => &[Ride, HatOpen],
        Shaker => &[HatClosed, HatPedal, Tambourine],
        Tambourine => &[Shaker, HatOpen, HatClosed],
        Cowbell => &[BellLow, BellHigh, Clave, Rim],
        BellHigh => &[Cowbell, BellLow, Ride, Clave],
        BellLow => &[Cowbell, BellHigh, Clave],
        Clave => &[Rim, Shell, Cowbell],
        Shell => &[Rim, Clave, Cowbell],
        Guiro => &[Shaker, HatClosed, Tambourine],
        Tamborim => &[Rim, CongaHigh, Snare],
        CongaHigh => &[CongaLow, TomHigh, CongaMuted, TomLow],
        CongaLow => &[CongaHigh, TomLow, SurdoThird, TomHigh],
        CongaMuted => &[CongaHigh, CongaSlap, CongaLow, Rim],
        CongaSlap => &[CongaHigh, CongaMuted, Rim, Clap],
        TomHigh => &[TomLow, CongaHigh, SurdoThird],
        TomLow => &[TomHigh, SurdoHigh, CongaLow, Kick],
        SurdoLow => &[SurdoHigh, SurdoThird, Kick, TomLow],
        SurdoHigh => &[SurdoLow, SurdoThird, TomLow, Kick],
        SurdoThird => &[SurdoHigh, SurdoLow, TomLow, TomHigh],
        PercSqueak => &[CongaHigh, Cowbell, Rim],
        LogDrum => &[SubBass, Bass],
        SubBass => &[Bass, LogDrum],
        Bass => &[SubBass, LogDrum],
        Chord => &[ChordBubble, HornStab],
        ChordBubble => &[Chord, HornStab],
        HornStab => &[Chord, ChordBubble],
        VocalChop => &[HornStab, Chord],
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Clap, Membrane};
    use super::*;

    fn kit() -> Kit {
        let voice = |patch: Patch| Voice { patch, place: Place { level_db: 0.0, release_ms: 20.0 } };
        let kick = Membrane {
            pitch_hz: 50.0,
            start_hz: 150.0,
            drop_ms: 40.0,
            decay_ms: 200.0,
            overtones: 0.0,
            presence: 0.2,
            click: 0.3,
            click_hz: 3000.0,
            skin: 0.0,
            skin_hz: 800.0,
        };
        let clap = Clap { centre_hz: 1500.0, width_octaves: 1.2, hands: 4.0, gap_ms: 9.0, decay_ms: 150.0, snap: 0.0 };
        let voices = [(Role::Kick, voice(Patch::plain(kick))), (Role::Clap, voice(Patch::plain(clap)))];
        Kit { id: "k".to_owned(), name: "K".to_owned(), voices: voices.into(), tone: Tone::NEUTRAL }
    }

    #[test]
    fn a_missing_voice_has_a_named_stand_in() {
        let kit = kit();
        let check = |role, expected| assert_eq!(kit.voice_for(role).map(|(_, found)| found), expected, "{role}");
        check(Role::Kick, Some(Role::Kick));
        check(Role::Snap, Some(Role::Clap));
        check(Role::Snare, Some(Role::Clap));
        check(Role::TomLow, Some(Role::Kick));
        check(Role::Ride, None);
        for role in Role::ALL {
            assert!(!stand_ins(role).contains(&role) && !stand_ins(role).is_empty(), "{role}");
        }
    }

    #[test]
    fn stand_ins_are_named_once_and_only_where_needed() {
        let kit = kit();
        let check = |roles: &[Role], expected: &[(Role, Option<Role>)]| {
            let found: Vec<_> = kit.stand_ins_for(roles.iter().copied()).iter().map(|f| (f.role, f.plays)).collect();
            assert_eq!(found, expected, "{roles:?}");
        };
        check(&[], &[]);
        check(&[Role::Kick, Role::Clap], &[]);
        check(&[Role::Snare, Role::Kick, Role::Snare], &[(Role::Snare, Some(Role::Clap))]);
        check(&[Role::Ride, Role::TomLow], &[(Role::Ride, None), (Role::TomLow, Some(Role::Kick))]);
    }

    #[test]
    fn own_voices_play_in_place_of_the_kits() {
        let kit = kit();
        let Some(&own) = kit.voices.get(&Role::Clap) else { panic!("the kit has a clap") };
        let with = kit.with(&[(Role::Kick, own), (Role::Rim, own)].into());
        let check = |role, plays| assert_eq!(with.voice_for(role), Some((&own, plays)), "{role}");
        check(Role::Kick, Role::Kick);
        check(Role::Rim, Role::Rim);
        check(Role::Clap, Role::Clap);
        check(Role::TomLow, Role::Kick);
        assert_eq!((with.id.as_str(), with.tone), (kit.id.as_str(), kit.tone));
        assert_eq!(kit.with(&BTreeMap::new()), kit);
    }

    #[test]
    fn the_hash_is_of_the_sound_only() {
        let kit = kit();
        assert_eq!(
            Kit { name: "Other".to_owned(), id: "o".to_owned(), ..kit.clone() }.content_hash(),
            kit.content_hash()
        );
        let mut other = kit.clone();
        other.tone.room.wet_percent = 0.1;
        assert_ne!(other.content_hash(), kit.content_hash());
        let mut other = kit.clone();
        if let Some(voice) = other.voices.get_mut(&Role::Clap) {
            voice.place.level_db = 0.01;
        }
        assert_ne!(other.content_hash(), kit.content_hash());
        // Links made today must keep working: this number may change only with the format.
        assert_eq!(kit.content_hash(), 479_542_959);
    }

    #[test]
    fn a_figure_out_of_range_is_found_with_its_role() {
        let mut kit = kit();
        assert_eq!(kit.check(), Ok(()));
        if let Some(voice) = kit.voices.get_mut(&Role::Kick) {
            voice.place.release_ms = 0.0;
        }
        let (role, fault) = kit.check().unwrap_err();
        assert_eq!((role, fault.field, fault.expected), (Some(Role::Kick), "release_ms", 2.0..=2000.0));
    }
}
