//! Seeded noise, the same realisation at every sample rate.

/// The clock of the noise, Hz.
const CLOCK: f64 = 48_000.0;

/// White noise from -1 to 1, drawn at 48 kHz and read at the buffer's rate through a cubic (Catmull-Rom) curve.
///
/// Drawing at a fixed clock keeps the loudness of every filtered band, and the very grain of a voice, the same on all
/// devices; reading below 48 kHz folds the top of the noise, which leaves it white.
#[derive(Clone, Debug)]
pub struct Noise {
    state: u32,
    points: [f64; 4],
    position: f64,
    advance: f64,
}

impl Noise {
    /// Noise from `seed`, read at `rate`.
    pub fn new(seed: u32, rate: f64) -> Noise {
        let mut noise = Noise { state: mix(seed) | 1, points: [0.0; 4], position: 0.0, advance: CLOCK / rate };
        noise.points = core::array::from_fn(|_| noise.draw());
        noise
    }

    /// The next value, -1 to 1 (a little beyond between points).
    pub fn advance(&mut self) -> f64 {
        let [a, b, c, d] = self.points;
        let x = self.position;
        let value = if x < 1e-9 {
            b
        } else {
            b + 0.5 * x * (c - a + x * (2.0 * a - 5.0 * b + 4.0 * c - d + x * (3.0 * (b - c) + d - a)))
        };
        self.position += self.advance;
        while self.position >= 1.0 {
            self.position -= 1.0;
            let next = self.draw();
            self.points = [self.points[1], self.points[2], self.points[3], next];
        }
        value
    }

    /// An independent draw from 0 to 1, for spacing and placing.
    pub fn chance(&mut self) -> f64 {
        0.5 + 0.5 * self.draw()
    }

    /// Marsaglia's xorshift (Journal of Statistical Software 8(14), 2003), 32 bits.
    fn draw(&mut self) -> f64 {
        self.state ^= self.state << 13;
        self.state ^= self.state >> 17;
        self.state ^= self.state << 5;
        f64::from(self.state) * (2.0 / 4_294_967_295.0) - 1.0
    }
}

/// Scatters neighbouring seeds (the finaliser of MurmurHash3).
fn mix(seed: u32) -> u32 {
    let mut h = seed.wrapping_add(0x9e37_79b9);
    h = (h ^ (h >> 16)).wrapping_mul(0x85eb_ca6b);
    h = (h ^ (h >> 13)).wrapping_mul(0xc2b2_ae35);
    h ^ (h >> 16)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_is_level_centred_and_repeatable_at_any_rate() {
        for rate in [8_000.0, 44_100.0, 48_000.0, 96_000.0] {
            let draw = |seed| {
                let mut noise = Noise::new(seed, rate);
                (0..20_000).map(|_| noise.advance()).collect::<Vec<_>>()
            };
            let values = draw(1);
            let mean = values.iter().sum::<f64>() / 20_000.0;
            let power = values.iter().map(|v| v * v).sum::<f64>() / 20_000.0;
            assert!(mean.abs() < 0.02 && (0.2..0.36).contains(&power), "{rate} {mean} {power}");
            assert_eq!(values, draw(1));
            assert_ne!(values, draw(2));
        }
    }
}
