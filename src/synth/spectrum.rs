//! Spectra: a fast Fourier transform, the power spectrum of a buffer, its centre, and fast convolution.

use core::f64::consts::TAU;

/// Transforms `re` and `im` in place: the radix-2 algorithm of J. W. Cooley and J. W. Tukey (1965).
///
/// Lengths that are no power of two, or differ, are left as they are. No scaling; the inverse is the transform with `re`
/// and `im` exchanged, divided by the length.
pub fn fourier(re: &mut [f64], im: &mut [f64]) {
    let n = re.len();
    if n != im.len() || !n.is_power_of_two() || n < 2 {
        return;
    }
    let shift = usize::BITS - n.trailing_zeros();
    for i in 0..n {
        let j = i.reverse_bits() >> shift;
        if i < j {
            re.swap(i, j);
            im.swap(i, j);
        }
    }
    let turns: Vec<(f64, f64)> = (0..n / 2).map(|k| (TAU * k as f64 / n as f64).sin_cos()).collect();
    let mut size = 2;
    while size <= n {
        let (half, jump) = (size / 2, n / size);
        for start in (0..n).step_by(size) {
            for k in 0..half {
                let (sin, cos) = turns[k * jump];
                let (a, b) = (start + k, start + k + half);
                let (x, y) = (re[b] * cos + im[b] * sin, im[b] * cos - re[b] * sin);
                (re[b], im[b]) = (re[a] - x, im[a] - y);
                (re[a], im[a]) = (re[a] + x, im[a] + y);
            }
        }
        size *= 2;
    }
}

/// The power spectrum of a buffer.
#[derive(Clone, Debug)]
pub struct Spectrum {
    /// Power of each bin from 0 Hz up to half the rate; they add up to the buffer's energy (by Parseval's theorem).
    pub powers: Vec<f64>,
    /// Width of a bin, Hz.
    pub bin_hz: f64,
}

impl Spectrum {
    /// The spectrum of the whole of `samples` (no window: for sounds that start and end in silence).
    pub fn of(samples: &[f32], rate: u32) -> Spectrum {
        let n = samples.len().next_power_of_two().max(2);
        let mut re: Vec<f64> = samples.iter().map(|&sample| f64::from(sample)).collect();
        re.resize(n, 0.0);
        let mut im = vec![0.0; n];
        fourier(&mut re, &mut im);
        let both = |k: usize| if k == 0 || k == n / 2 { 1.0 } else { 2.0 };
        let powers = (0..=n / 2).map(|k| both(k) * (re[k] * re[k] + im[k] * im[k]) / n as f64).collect();
        Spectrum { powers, bin_hz: f64::from(rate) / n as f64 }
    }

    /// The mean frequency, weighed by power, Hz; 0 for silence.
    pub fn centroid_hz(&self) -> f64 {
        let total: f64 = self.powers.iter().sum();
        let weighed: f64 = self.powers.iter().enumerate().map(|(k, power)| power * k as f64 * self.bin_hz).sum();
        if total > 0.0 { weighed / total } else { 0.0 }
    }

    /// The share of the energy from `low_hz` up to `high_hz`, 0 to 1.
    pub fn share(&self, low_hz: f64, high_hz: f64) -> f64 {
        let total: f64 = self.powers.iter().sum();
        let within = |k: usize| (low_hz..high_hz).contains(&(k as f64 * self.bin_hz));
        let part: f64 = self.powers.iter().enumerate().filter(|(k, _)| within(*k)).map(|(_, power)| power).sum();
        if total > 0.0 { part / total } else { 0.0 }
    }

    /// The frequency of the strongest bin from `low_hz` to `high_hz`, refined by a parabola through its neighbours, Hz.
    pub fn peak_hz(&self, low_hz: f64, high_hz: f64) -> f64 {
        let (low, high) = ((low_hz / self.bin_hz) as usize, (high_hz / self.bin_hz) as usize);
        let range = low.max(1)..high.min(self.powers.len().saturating_sub(1));
        let Some(k) = range.max_by(|&a, &b| self.powers[a].total_cmp(&self.powers[b])) else { return 0.0 };
        let [a, b, c] = [k - 1, k, k + 1].map(|k| self.powers[k].max(1e-30).ln());
        let bend = a - 2.0 * b + c;
        (k as f64 + if bend.abs() > 1e-12 { 0.5 * (a - c) / bend } else { 0.0 }) * self.bin_hz
    }
}

/// `signal` through the finite impulse response `impulse`, cut to the length of `signal`.
pub fn convolve(signal: &[f32], impulse: &[f32]) -> Vec<f32> {
    let n = (signal.len() + impulse.len()).next_power_of_two().max(2);
    // Two real transforms in one: the signal as the real part, the impulse as the imaginary.
    let mut re: Vec<f64> = signal.iter().map(|&x| f64::from(x)).collect();
    let mut im: Vec<f64> = impulse.iter().map(|&x| f64::from(x)).collect();
    re.resize(n, 0.0);
    im.resize(n, 0.0);
    fourier(&mut re, &mut im);
    let (mut out_re, mut out_im) = (vec![0.0; n], vec![0.0; n]);
    for k in 0..n {
        let m = (n - k) % n;
        let (a_re, a_im) = (0.5 * (re[k] + re[m]), 0.5 * (im[k] - im[m]));
        let (b_re, b_im) = (0.5 * (im[k] + im[m]), 0.5 * (re[m] - re[k]));
        // Exchanged, so that the next transform is the inverse.
        out_im[k] = a_re * b_re - a_im * b_im;
        out_re[k] = a_re * b_im + a_im * b_re;
    }
    fourier(&mut out_re, &mut out_im);
    out_im.iter().take(signal.len()).map(|x| (x / n as f64) as f32).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_transform_equals_its_definition() {
        let x: Vec<f64> = (0..16).map(|i| f64::from((i * 7) % 5) - 1.3).collect();
        let (mut re, mut im) = (x.clone(), vec![0.0; 16]);
        fourier(&mut re, &mut im);
        for k in 0..16 {
            let (mut a, mut b) = (0.0, 0.0);
            for (i, x) in x.iter().enumerate() {
                let angle = TAU * (k * i) as f64 / 16.0;
                a += x * angle.cos();
                b -= x * angle.sin();
            }
            assert!((re[k] - a).abs() < 1e-12 && (im[k] - b).abs() < 1e-12, "{k}");
        }
    }

    #[test]
    fn convolution_equals_its_definition() {
        let signal: Vec<f32> = (0..50).map(|i| ((i * 13) % 7) as f32 - 3.0).collect();
        let impulse: Vec<f32> = (0..9).map(|i| 1.0 / (i + 1) as f32).collect();
        for (i, found) in convolve(&signal, &impulse).iter().enumerate() {
            let expected: f32 = (0..=i.min(8)).map(|j| impulse[j] * signal[i - j]).sum();
            assert!((found - expected).abs() < 1e-4, "{i}");
        }
    }

    #[test]
    fn a_spectrum_finds_a_tone() {
        let tone: Vec<f32> = (0..8192).map(|i| (TAU * 440.0 * f64::from(i) / 48_000.0).sin() as f32).collect();
        let spectrum = Spectrum::of(&tone, 48_000);
        assert!((spectrum.peak_hz(100.0, 2000.0) - 440.0).abs() < 1.0);
        assert!(spectrum.share(400.0, 480.0) > 0.95);
        let energy: f64 = tone.iter().map(|&x| f64::from(x) * f64::from(x)).sum();
        assert!((spectrum.powers.iter().sum::<f64>() / energy - 1.0).abs() < 1e-9);
    }
}
