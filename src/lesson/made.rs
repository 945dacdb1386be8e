//! Voices of one's own between the codes grooves carry, the voices that sound, and files.
//!
//! In a file they stand in the groove's sound, written as a kit's voices are:
//!
//! ```json
//! "sound": {"kit": "house", "voices": {"clave": {"model": "wood", "level_db": 0, "release_ms": 20, "tone_hz": 2500, ...}}}
//! ```
//! A code that a newer program made and this one cannot read is kept as it is: as a text of two hexadecimal digits a byte.

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::kit::{role, voice, voice_to_json};
use super::reader::Node;
use crate::rhythm::{MadeVoice, MadeVoices};
use crate::role::Role;
use crate::synth::facts::SoundFacts;
use crate::synth::{Kit, Voice, made};

/// The code a groove carries of `voice`, each value to the nearest thousandth.
pub fn made_voice(voice: &Voice) -> MadeVoice {
    MadeVoice::new(made::encode(voice)).unwrap_or_else(|| unreachable!("no voice has a code that long"))
}

/// The voices of these codes, and the roles of those that this program cannot read: the kit's own plays there.
pub fn voices_of(made: &MadeVoices) -> (BTreeMap<Role, Voice>, Vec<Role>) {
    let (mut voices, mut unread) = (BTreeMap::new(), Vec::new());
    for (role, code) in made.iter() {
        match made::decode(code.code()) {
            Ok(voice) => drop(voices.insert(role, voice)),
            Err(_) => unread.push(role),
        }
    }
    (voices, unread)
}

/// A kit with own voices in place of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Played {
    /// What sounds.
    pub kit: Kit,
    /// What was measured of it; nothing of the own voices.
    pub facts: Option<SoundFacts>,
    /// The roles whose own voices this program cannot read.
    pub unread: Vec<Role>,
}

/// What plays a groove with these own voices on `kit`, of which `facts` were measured.
pub fn played(kit: &Kit, facts: Option<&SoundFacts>, made: &MadeVoices) -> Played {
    let (own, unread) = voices_of(made);
    let mut facts = facts.cloned();
    if let Some(facts) = &mut facts {
        facts.voices.retain(|role, _| !own.contains_key(role));
    }
    Played { kit: kit.with(&own), facts, unread }
}

/// Reads the own voices of a sound.
pub(super) fn read_voices(node: &Node) -> Option<MadeVoices> {
    let read: Vec<_> = node.entries()?.iter().map(|(key, node)| Some((role(key, node)?, read_voice(node)?))).collect();
    let read: Vec<(Role, MadeVoice)> = read.into_iter().collect::<Option<_>>()?;
    let all = read.into_iter().try_fold(MadeVoices::NONE, |all, (role, voice)| all.with(role, voice));
    all.ok().or_else(|| node.refuse(format!("at most {} voices", MadeVoices::MOST)))
}

fn read_voice(node: &Node) -> Option<MadeVoice> {
    match node.value() {
        Value::String(text) => {
            let bytes = text.as_bytes().chunks(2).map(byte).collect::<Option<Vec<u8>>>();
            let expected = "a voice, or its code of 1 to 200 bytes in digits 0-9 and a-f";
            bytes.and_then(MadeVoice::new).or_else(|| node.refuse(expected))
        }
        _ => voice(node).map(|voice| made_voice(&voice)),
    }
}

/// The byte of two hexadecimal digits.
fn byte(digits: &[u8]) -> Option<u8> {
    let [high, low] = digits else { return None };
    let digit = |digit: u8| match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    };
    Some(digit(*high)? << 4 | digit(*low)?)
}

/// Writes the own voices of a sound.
pub(super) fn write_voices(voices: &MadeVoices) -> Value {
    let written = |code: &MadeVoice| match made::decode(code.code()) {
        Ok(voice) => voice_to_json(&voice),
        Err(_) => Value::String(code.code().iter().map(|byte| format!("{byte:02x}")).collect()),
    };
    Value::Object(voices.iter().map(|(role, code)| (role.id().to_owned(), written(code))).collect::<Map<_, _>>())
}

#[cfg(test)]
mod tests {
    use super::super::groove;
    use super::*;

    const HEAD: &str = r#"{
  "stickleback": 1,
  "kind": "groove",
  "metre": "4/4",
  "bars": 1,
  "pulse": "1/16",
  "tempo": {"bpm": 90, "unit": "1/4"},
"#;
    const CLAVE: &str =
        r#"{"model": "wood", "level_db": -1.5, "release_ms": 20, "tone_hz": 2500, "decay_ms": 45, "knock_hz": 4000}"#;

    fn file(voices: &str) -> String {
        format!("{HEAD}  \"sound\": {{\"kit\": \"trap\", \"voices\": {voices}}},\n  \"lanes\": []\n}}\n")
    }

    #[test]
    fn own_voices_are_written_as_a_kit_writes_them() {
        let text = file(&format!("{{\"clave\": {CLAVE}, \"rim\": \"c8ff00\"}}"));
        let read = groove::read(&text).unwrap();
        let (voices, unread) = voices_of(&read.sound.voices);
        assert_eq!((voices.keys().copied().collect(), unread), (vec![Role::Clave], vec![Role::Rim]));
        assert_eq!(read.sound.voices.get(Role::Rim).unwrap().code(), [0xc8, 0xff, 0x00]);
        let written = groove::write(&read);
        assert_eq!(groove::read(&written).as_ref(), Ok(&read), "{written}");
        let values = |text: &str| serde_json::from_str::<Value>(text).unwrap();
        assert_eq!(values(&written)["sound"], values(&text)["sound"]);
        // A code that can be read is written as what it means.
        let code: String = made::encode(&voices[&Role::Clave]).iter().map(|byte| format!("{byte:02x}")).collect();
        let coded = groove::read(&file(&format!("{{\"clave\": \"{code}\", \"rim\": \"c8ff00\"}}"))).unwrap();
        assert_eq!(groove::write(&coded), written);
    }

    #[test]
    fn own_voices_play_and_were_not_measured() {
        use crate::synth::facts::{Fact, Facts, Heard};
        let clave =
            voices_of(&groove::read(&file(&format!("{{\"clave\": {CLAVE}}}"))).unwrap().sound.voices).0[&Role::Clave];
        let kit = Kit {
            id: "k".to_owned(),
            name: "K".to_owned(),
            voices: [(Role::Clave, clave), (Role::Rim, clave)].into(),
            tone: crate::synth::Tone::NEUTRAL,
        };
        let facts = |hz: f64| Facts::from_iter([(Fact::Bandwidth, hz), (Fact::Pitch, 100.0)]);
        let measured = |tone: f64| SoundFacts {
            of: kit.content_hash(),
            voices: [(Role::Clave, facts(6000.0)), (Role::Rim, facts(5000.0))].into(),
            tone: facts(tone),
        };
        let mut own = clave;
        own.place.level_db = 3.0;
        let unread = MadeVoice::new(vec![200]).unwrap();
        let made = MadeVoices::NONE.with(Role::Clave, made_voice(&own)).and_then(|made| made.with(Role::Rim, unread));
        let check = |made: &MadeVoices, tone: f64, pitch: Option<f64>, of_mix: Option<f64>| {
            let facts = measured(tone);
            let now = played(&kit, Some(&facts), made);
            let voices = now.facts.as_ref().unwrap();
            let heard = Heard { kit: &now.kit, voices, tone: &facts, speed: 1.0 };
            assert_eq!(heard.fact(Some(Role::Clave), Fact::Pitch), pitch);
            assert_eq!(heard.fact(Some(Role::Rim), Fact::Pitch), Some(100.0));
            assert_eq!(heard.fact(None, Fact::Bandwidth), of_mix);
            now
        };
        check(&MadeVoices::NONE, 9000.0, Some(100.0), Some(6000.0));
        let made = made.unwrap();
        let now = check(&made, 9000.0, None, None);
        assert_eq!(
            (now.kit.voices[&Role::Clave], now.kit.voices[&Role::Rim], now.unread),
            (own, clave, vec![Role::Rim])
        );
        // Where the tone is duller than what is known, no voice can make the mix brighter.
        check(&made, 4000.0, None, Some(4000.0));
    }

    #[test]
    fn without_own_voices_nothing_is_written_of_them() {
        let text = format!("{HEAD}  \"sound\": {{\"kit\": \"trap\"}},\n  \"lanes\": []\n}}\n");
        let read = groove::read(&text).unwrap();
        assert!(read.sound.voices.is_empty());
        assert!(!groove::write(&read).contains("voices"));
        assert_eq!(groove::read(&file("{}")).as_ref(), Ok(&read));
    }

    #[test]
    fn mistakes_are_told_with_their_place() {
        let check = |voices: &str, expected: &[&str]| {
            let faults = groove::read(&file(voices)).unwrap_err();
            assert_eq!(faults.iter().map(ToString::to_string).collect::<Vec<_>>(), expected, "{voices}");
        };
        let code =
            "sound.voices.rim: expected a voice, or its code of 1 to 200 bytes in digits 0-9 and a-f, found the text";
        check("3", &["sound.voices: expected an object, found 3."]);
        check(r#"{"rim": ""}"#, &[&format!("{code} \"\".")]);
        check(r#"{"rim": "c8f"}"#, &[&format!("{code} \"c8f\".")]);
        check(r#"{"rim": "C8"}"#, &[&format!("{code} \"C8\".")]);
        let hot = CLAVE.replace("2500", "9e9");
        check(
            &format!("{{\"clave\": {hot}}}"),
            &["sound.voices.clave.tone_hz: expected a number from 200 to 5000, found 9000000000.0."],
        );
        let cold = CLAVE.replace("\"level_db\"", "\"level\"");
        let known = "model, finish, level_db, release_ms, tone_hz, decay_ms, edge, knock, knock_hz";
        check(
            &format!("{{\"clave\": {cold}}}"),
            &[
                &format!("sound.voices.clave.level: this key is not known here; known are {known}."),
                "sound.voices.clave.level_db: expected here, but missing.",
            ],
        );
        let many: Vec<String> = Role::ALL.iter().take(17).map(|role| format!("\"{role}\": \"c8\"")).collect();
        check(&format!("{{{}}}", many.join(", ")), &["sound.voices: expected at most 16 voices, found an object."]);
    }
}
