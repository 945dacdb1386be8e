//! Surface noise: the hiss and crackle of tape and disc, as a loop without a seam.

use super::filter::{Biquad, FLAT_DB};
use super::loudness::gain_of_db;
use super::noise::Noise;
use super::tone::Tone;

/// Length of the loop, seconds: long enough that its crackle is not learnt.
pub const LOOP_SECONDS: u32 = 5;

/// Crackles in a loop at full `crackle`.
const CRACKLES: usize = 60;

/// The surface noise of `tone` at `rate`: mono, [`LOOP_SECONDS`] long, at the RMS the tone states; empty if it states none.
pub fn noise_loop(tone: &Tone, rate: u32) -> Vec<f32> {
    let figures = tone.figures;
    if figures.surface_noise_db <= -115.0 {
        return Vec::new();
    }
    let frames = (rate * LOOP_SECONDS) as usize;
    let rate = f64::from(rate);
    let mut noise = Noise::new(1877, rate);
    let hiss: Vec<f64> = (0..frames).map(|_| 0.3 * noise.advance()).collect();
    let mut buffer = around(
        &hiss,
        rate,
        [Biquad::high_pass(300.0, FLAT_DB, rate), Biquad::low_pass(figures.low_pass_hz.min(9_000.0), FLAT_DB, rate)],
    );
    let mut pops = vec![0.0; frames];
    for _ in 0..(CRACKLES as f64 * figures.crackle) as usize {
        let at = (noise.chance() * frames as f64) as usize % frames;
        // Few strong, many weak.
        pops[at] =
            (noise.chance().powi(3) * 9.0 + 0.8) * (rate / 48_000.0) * if noise.chance() < 0.5 { -1.0 } else { 1.0 };
    }
    if figures.crackle > 0.0 {
        pops = around(
            &pops,
            rate,
            [
                Biquad::high_pass(500.0, FLAT_DB, rate),
                Biquad::low_pass(figures.low_pass_hz.min(6_000.0), FLAT_DB, rate),
            ],
        );
    }
    for (sample, pop) in buffer.iter_mut().zip(pops) {
        *sample = (1.0 - 0.5 * figures.crackle) * *sample + pop;
    }
    let power = buffer.iter().map(|x| x * x).sum::<f64>() / frames as f64;
    let gain = gain_of_db(figures.surface_noise_db) / power.max(1e-12).sqrt();
    buffer.iter().map(|x| (x * gain) as f32).collect()
}

/// A loop through filters that have already heard its end, so that its end meets its start. The last quarter of a second
/// is enough: of what came before, filters at 300 Hz and above remember less than a number of this size can tell.
fn around(signal: &[f64], rate: f64, mut filters: [Biquad; 2]) -> Vec<f64> {
    let mut run = |x: &f64| filters.iter_mut().fold(*x, |x, filter| filter.run(x));
    let heard = signal.len().saturating_sub((0.25 * rate) as usize);
    signal.iter().skip(heard).for_each(|x| {
        run(x);
    });
    signal.iter().map(run).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_loop_has_its_level_and_no_seam() {
        let mut tone = Tone::NEUTRAL;
        assert!(noise_loop(&tone, 48_000).is_empty());
        (tone.figures.surface_noise_db, tone.figures.crackle, tone.figures.low_pass_hz) = (-38.0, 0.5, 5500.0);
        for rate in [22_050, 48_000, 96_000] {
            let noise = noise_loop(&tone, rate);
            let rms = (noise.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / noise.len() as f64).sqrt();
            assert!((20.0 * rms.log10() + 38.0).abs() < 0.1);
            let jumps: Vec<f32> = noise.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
            let most = jumps.iter().fold(0.0_f32, |a, b| a.max(*b));
            assert!((noise[0] - noise[noise.len() - 1]).abs() <= most);
        }
    }
}
