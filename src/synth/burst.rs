//! Bursts of noise: claps and snaps, shakers, tambourines, scrapers.

use super::envelope::{Decay, attack};
use super::filter::{Biquad, FLAT_DB, band_gain, band_quality};
use super::oscillator::{Partial, add_partials};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// Hands or fingers: several short bursts in one band close together, the last of which rings.
    Clap = "clap" {
        /// Middle of the band, Hz.
        centre_hz: 300.0 to 8000.0;
        /// Width of the band, octaves.
        width_octaves: 0.2 to 4.0;
        /// How many hands meet.
        hands: 1.0 to 12.0, whole();
        /// Time between them, ms.
        gap_ms: 0.5 to 20.0;
        /// Time of the last to fall 40 dB, ms.
        decay_ms: 10.0 to 2000.0;
        /// A pitched snap in the band, as of fingers on the palm.
        snap: 0.0 to 1.0, off(0.0);
    }
}

impl Clap {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let hands = self.hands.clamp(1.0, 12.0) as usize;
        let spread = self.gap_ms * (hands - 1) as f64;
        let mut buffer = strike.buffer(spread, self.decay_ms);
        let q = band_quality(self.width_octaves);
        let mut noise = strike.noise(1);
        let mut place = strike.noise(2);
        let starts: Vec<usize> = (0..hands)
            .map(|hand| {
                strike.frames(if hand == 0 { 0.0 } else { self.gap_ms * (hand as f64 + 0.3 * (place.chance() - 0.5)) })
            })
            .collect();
        let (mut low, mut high) =
            (Biquad::band_pass(self.centre_hz, q, rate), Biquad::band_pass(2.6 * self.centre_hz, 0.9, rate));
        let (low_gain, high_gain) = (band_gain(self.centre_hz, q), 0.22 * band_gain(2.6 * self.centre_hz, 0.9));
        let mut dark = Biquad::low_pass(5.0 * self.centre_hz, FLAT_DB, rate);
        let burst_ms = (2.2 * self.gap_ms).clamp(4.0, 30.0);
        let mut burst = Decay::new(burst_ms, rate);
        let (mut hand, mut since) = (0, 0);
        let rise = strike.frames(0.2);
        for (i, sample) in buffer.iter_mut().enumerate() {
            if hand < hands && i >= starts[hand] {
                let last = hand + 1 == hands;
                burst = Decay::new(if last { self.decay_ms } else { burst_ms }, rate);
                (hand, since) = (hand + 1, 0);
            }
            let hiss = noise.advance();
            let band = low_gain * low.run(hiss) + high_gain * high.run(hiss);
            // The hands are the body, the last of them rings on as the tail.
            let heard = strike.of(if hand == hands { Part::Tail } else { Part::Body }, burst.advance());
            *sample = heard * attack(since, rise) * dark.run(band);
            since += 1;
        }
        if self.snap > 0.0 && strike.hears(Part::Click) {
            let level = self.snap * strike.transient();
            let ring = [(1.0, 0.8, 18.0), (1.63, 0.5, 12.0)];
            let ring = ring.map(|(ratio, share, decay_ms)| Partial {
                hz: ratio * self.centre_hz,
                level: level * share,
                decay_ms,
            });
            add_partials(&mut buffer, &ring, rate);
        }
        buffer
    }
}

parameters! {
    /// Seeds or beads: high noise that swells and falls, rough with single grains.
    Shaker = "shaker" {
        /// Lower edge of the noise, Hz.
        high_pass_hz: 1000.0 to 12000.0;
        /// Time to full level, ms.
        attack_ms: 0.0 to 60.0, off(0.0);
        /// Time to fall 40 dB, ms.
        decay_ms: 10.0 to 1000.0;
        /// 0 a smooth hiss, 1 separate grains.
        grain: 0.0 to 1.0, off(0.0);
    }
}

impl Shaker {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        let mut high = Biquad::high_pass(self.high_pass_hz, FLAT_DB, rate);
        let mut air = Biquad::low_pass(7_000.0 + 7_000.0 * strike.hardness, FLAT_DB, rate);
        let (mut noise, mut grains) = (strike.noise(1), strike.noise(2));
        let rise = strike.frames(self.attack_ms);
        let spacing = strike.frames(0.9).max(1);
        let mut decay = Decay::new(self.decay_ms, rate);
        let mut grain = Decay::new(3.0, rate);
        let mut size = 1.0;
        let heard = strike.of(Part::Noise, 1.0);
        for (i, sample) in buffer.iter_mut().enumerate() {
            if i % spacing == 0 {
                size = 0.3 + 1.4 * grains.chance();
                grain.strike();
            }
            let rough = 1.0 - self.grain + self.grain * size * grain.advance();
            let fall = if i < rise { 1.0 } else { decay.advance() };
            *sample = heard * attack(i, rise) * fall * rough * air.run(high.run(noise.advance()));
        }
        buffer
    }
}

parameters! {
    /// Pairs of small jingles struck together: ringing high partials in a wash of noise.
    Tambourine = "tambourine" {
        /// Lower edge of the noise, Hz.
        high_pass_hz: 1000.0 to 12000.0;
        /// The lowest jingle, Hz.
        jingle_hz: 2000.0 to 9000.0;
        /// Time to fall 40 dB, ms.
        decay_ms: 20.0 to 1000.0;
    }
}

impl Tambourine {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let mut buffer = strike.buffer(0.0, self.decay_ms);
        let jingle = |(ratio, share): (f64, f64)| Partial {
            hz: self.jingle_hz * ratio * strike.shift,
            level: strike.of(Part::Overtones, 0.16 * share),
            decay_ms: self.decay_ms * (1.1 - 0.1 * ratio),
        };
        let ratios = [
            (1.0, 1.0),
            (1.127, -0.8),
            (1.311, 0.9),
            (1.523, -0.7),
            (1.771, 0.6),
            (2.048, -0.5),
            (2.311, 0.4),
            (2.62, 0.3),
        ];
        add_partials(&mut buffer, &ratios.map(jingle), rate);
        let mut high = Biquad::high_pass(self.high_pass_hz, FLAT_DB, rate);
        let mut air = Biquad::low_pass(7_500.0 + 7_500.0 * strike.hardness, FLAT_DB, rate);
        let mut noise = strike.noise(1);
        let (mut wash, mut clash) = (Decay::new(0.7 * self.decay_ms, rate), Decay::new(12.0, rate));
        let again = strike.frames(11.0 * strike.bite);
        for (i, sample) in buffer.iter_mut().enumerate() {
            if i == again {
                clash.strike();
            }
            let (wash, clash) = (strike.of(Part::Noise, wash.advance()), strike.of(Part::Click, clash.advance()));
            *sample += 0.5 * (wash + clash) * air.run(high.run(noise.advance()));
        }
        buffer
    }
}

parameters! {
    /// A ridged body scraped: a row of small bursts. The three loudest layers scrape, the others tap.
    Scraper = "scraper" {
        /// Middle of the band, Hz.
        centre_hz: 800.0 to 9000.0;
        /// Ridges passed in a second.
        ridges_hz: 20.0 to 300.0;
        /// Length of a scrape, ms.
        decay_ms: 20.0 to 800.0;
        /// Length of a tap, ms.
        tap_ms: 5.0 to 200.0;
    }
}

impl Scraper {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let long = strike.hardness > 0.7;
        let time = if long { self.decay_ms } else { self.tap_ms };
        let mut buffer = strike.buffer(0.0, time / 1.4);
        let mut band = Biquad::band_pass(self.centre_hz, 1.6, rate);
        let mut hollow = Biquad::band_pass(0.42 * self.centre_hz, 2.5, rate);
        let mut noise = strike.noise(1);
        let mut ridge = Decay::new(14.0, rate);
        let length = strike.frames(time);
        let (mut next, mut weight) = (0.0, 1.0);
        let (ridges, gourd) = (strike.of(Part::Noise, 2.5), strike.of(Part::Body, 1.5));
        for (i, sample) in buffer.iter_mut().enumerate() {
            let x = i as f64 / length as f64;
            if i as f64 >= next && x < 0.9 {
                ridge.strike();
                weight = if long { 0.55 + 0.45 * x } else { 1.0 - 0.6 * x };
                // A scrape gathers speed.
                next += rate / (self.ridges_hz * (0.8 + 0.4 * x)) * (0.95 + 0.1 * noise.chance());
            }
            let hiss = noise.advance();
            *sample = weight
                * ridge.advance()
                * attack(i, strike.frames(0.2))
                * (ridges * band.run(hiss) + gourd * hollow.run(hiss));
        }
        buffer
    }
}
