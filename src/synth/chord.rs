//! Electric piano and organ.

use super::envelope::attack;
use super::membrane::{Band, add_band};
use super::oscillator::{Partial, Phase, add_partials, cents_ratio};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A struck tine: a mellow tone in two slightly apart voices, a bell that fades at once, and a tremolo.
    ElectricPiano = "electric-piano" {
        /// The note where a stroke gives none (MIDI-like number).
        own_note: 30.0 to 90.0;
        /// Time to fall 40 dB, ms.
        decay_ms: 60.0 to 6000.0;
        /// Time to full level, ms.
        attack_ms: 0.0 to 100.0, off(0.0);
        /// The second and third harmonic, which bark when struck hard.
        bark: 0.0 to 1.0, off(0.0);
        /// The tine's bell, far above.
        bell: 0.0 to 1.0, off(0.0);
        /// Distance of the two voices, cents.
        detune_cents: 0.0 to 30.0, off(0.0);
        /// Swells of the tremolo in a second.
        tremolo_hz: 0.0 to 12.0, off(0.0);
        /// How far the tremolo dips.
        tremolo: 0.0 to 1.0, off(0.0);
    }
}

impl ElectricPiano {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        let hard = strike.transient();
        let apart = cents_ratio(self.detune_cents);
        let tine = [
            (1.0, 0.6, 1.0),
            (apart, 0.4, 0.95),
            (2.0, 0.35 * self.bark * hard, 0.6),
            (3.0, 0.22 * self.bark * hard, 0.4),
            (4.0, 0.06 + 0.1 * self.bark * hard, 0.3),
            (6.72, 0.22 * self.bell * hard, 0.13),
        ];
        let mut partials = Vec::new();
        for hz in strike.notes(self.own_note) {
            let decay = self.decay_ms * (262.0 / hz).sqrt().clamp(0.5, 1.2);
            partials.extend(tine.map(|(ratio, level, time)| Partial {
                hz: hz * ratio,
                level: strike.of(tine_part(ratio), level),
                decay_ms: decay * time,
            }));
        }
        add_partials(&mut buffer, &partials, rate);
        let rise = strike.frames(self.attack_ms.max(0.5));
        let dip = 0.5 * self.tremolo;
        let mut swing = Phase::default();
        for (i, sample) in buffer.iter_mut().enumerate() {
            *sample *= attack(i, rise) * (1.0 - dip * (1.0 - swing.cosine()));
            swing.advance(self.tremolo_hz / rate);
        }
        buffer
    }
}

/// The tone, the harmonics that bark, and the bell of a tine.
fn tine_part(ratio: f64) -> Part {
    match ratio {
        ..1.5 => Part::Body,
        1.5..6.0 => Part::Overtones,
        _ => Part::Click,
    }
}

parameters! {
    /// Pipes or tone wheels: a few steady harmonics, mixed like stops.
    Organ = "organ" {
        /// The note where a stroke gives none (MIDI-like number).
        own_note: 30.0 to 90.0;
        /// Time to full level, ms.
        attack_ms: 0.0 to 100.0, off(0.0);
        /// Time to fall 40 dB, ms; 0 holds as long as the stroke.
        decay_ms: 30.0 to 6000.0, off(0.0);
        /// An octave below.
        under: 0.0 to 1.0, off(0.0);
        /// The twelfth above.
        twelfth: 0.0 to 1.0, off(0.0);
        /// The octave and double octave above.
        octaves: 0.0 to 1.0, off(0.0);
        /// The key's click.
        click: 0.0 to 1.0, off(0.0);
        /// Distance of a second rank that beats with the first, cents.
        detune_cents: 0.0 to 40.0, off(0.0);
        /// Reeds: many more harmonics, as of an accordion.
        reed: 0.0 to 1.0, off(0.0);
    }
}

impl Organ {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        let decay_ms = if self.decay_ms > 0.0 { self.decay_ms } else { f64::INFINITY };
        let bright = 0.5 + 0.5 * strike.hardness;
        let stops = [
            (0.5, self.under),
            (1.0, 0.8),
            (2.0, 0.7 * self.octaves),
            (3.0, 0.6 * self.twelfth * bright),
            (4.0, 0.5 * self.octaves * bright),
        ];
        let apart = cents_ratio(self.detune_cents);
        let mut partials = Vec::new();
        for hz in strike.notes(self.own_note) {
            let mut add = |ratio: f64, level: f64| {
                let level = strike.of(if ratio < 1.5 { Part::Body } else { Part::Overtones }, level);
                partials.push(Partial { hz: hz * ratio, level, decay_ms });
                if self.detune_cents > 0.0 && ratio < 5.0 {
                    partials.push(Partial { hz: hz * ratio * apart, level: 0.7 * level, decay_ms });
                }
            };
            for (ratio, level) in stops {
                add(ratio, level);
            }
            if self.reed > 0.0 {
                for n in 2..=12 {
                    add(f64::from(n), 0.7 * self.reed * bright / f64::from(n));
                }
            }
        }
        add_partials(&mut buffer, &partials, rate);
        let rise = strike.frames(self.attack_ms.max(1.5));
        for (i, sample) in buffer.iter_mut().take(rise).enumerate() {
            *sample *= attack(i, rise);
        }
        if self.click > 0.0 && strike.hears(Part::Click) {
            let level = self.click * strike.transient();
            add_band(&mut buffer, strike, Band { part: 1, hz: 2500.0, q: 0.8, level, decay_ms: 8.0 });
        }
        buffer
    }
}
