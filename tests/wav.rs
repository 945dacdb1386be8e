//! Wave files: exact sizes, one sound one file, and readers that are not ours agree.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

#[path = "styles/mod.rs"]
mod styles;

use proptest::prelude::*;
use std::io::Cursor;
use stickleback::audio::plan;
use stickleback::schedule::Start;
use stickleback::share::wav::{Depth, Encoder, Format, HEADER_BYTES, TooLong, file};

const BOTH: [Depth; 2] = [Depth::Sixteen, Depth::TwentyFour];

fn format(rate: u32, channels: u16, depth: Depth) -> Format {
    Format { rate, channels, depth }
}

fn number(bytes: &[u8], at: usize, size: usize) -> u64 {
    bytes[at..at + size].iter().rev().fold(0, |number, &byte| number << 8 | u64::from(byte))
}

#[test]
fn sizes_are_exact() {
    // frames, channels, depth: size of data, of the outer chunk, of the file
    let check = |frames: usize, channels: u16, depth: Depth, data: u64, riff: u64, whole: usize| {
        let sound = vec![0.25; frames];
        let all: Vec<&[f32]> = (0..channels).map(|_| sound.as_slice()).collect();
        let format = format(44_100, channels, depth);
        let bytes = file(format, &all).unwrap();
        let found = (number(&bytes, 40, 4), number(&bytes, 4, 4), bytes.len());
        assert_eq!(found, (data, riff, whole), "{frames} frames, {channels}, {depth:?}");
        assert_eq!(format.file_bytes(frames as u64), whole as u64);
        assert_eq!((&bytes[..4], &bytes[8..16], &bytes[36..40]), (&b"RIFF"[..], &b"WAVEfmt "[..], &b"data"[..]));
        let fields =
            [(16, 4), (20, 2), (22, 2), (24, 4), (28, 4), (32, 2), (34, 2)].map(|(at, size)| number(&bytes, at, size));
        let frame = u64::from(channels) * depth.bytes();
        assert_eq!(fields, [16, 1, u64::from(channels), 44_100, 44_100 * frame, frame, 8 * depth.bytes()]);
    };
    check(0, 2, Depth::Sixteen, 0, 36, 44);
    check(1, 1, Depth::Sixteen, 2, 38, 46);
    check(1, 2, Depth::TwentyFour, 6, 42, 50);
    check(2, 1, Depth::TwentyFour, 6, 42, 50);
    // Odd: a byte more, which the data do not count.
    check(1, 1, Depth::TwentyFour, 3, 40, 48);
    check(7, 1, Depth::TwentyFour, 21, 58, 66);
    check(1000, 2, Depth::Sixteen, 4000, 4036, 4044);
}

#[test]
fn what_a_file_cannot_hold_is_refused() {
    let stereo = format(48_000, 2, Depth::Sixteen);
    let most = (u64::from(u32::MAX) - 36) / 4;
    assert!(stereo.header(most).is_ok());
    assert_eq!(stereo.header(most + 1), Err(TooLong));
    assert_eq!(stereo.header(u64::MAX), Err(TooLong));
    // An odd byte may be the one too many.
    let mono = format(48_000, 1, Depth::TwentyFour);
    let most = (u64::from(u32::MAX) - 36) / 3;
    assert_eq!(most % 2, 1);
    assert_eq!(mono.header(most).is_ok(), 3 * most + 1 + 36 <= u64::from(u32::MAX));
    assert_eq!(mono.header(most + 1), Err(TooLong));
}

#[test]
fn full_scale_and_what_is_no_sound_stay_inside() {
    for (given, sixteen, fine) in [
        (1.0_f32, 32_767, 8_388_607),
        (9.0, 32_767, 8_388_607),
        (f32::INFINITY, 32_767, 8_388_607),
        (-1.0, -32_768, -8_388_608),
        (f32::NEG_INFINITY, -32_768, -8_388_608),
        (f32::NAN, 0, 0),
        (0.5, 16_384, 4_194_304),
    ] {
        for (depth, want, slack) in [(Depth::Sixteen, sixteen, 1), (Depth::TwentyFour, fine, 0)] {
            let bytes = file(format(48_000, 1, depth), &[&[given]]).unwrap();
            let found: i32 = hound::WavReader::new(Cursor::new(bytes)).unwrap().samples().next().unwrap().unwrap();
            assert!((found - want).abs() <= slack, "{given} {depth:?}: {found}");
        }
    }
}

#[test]
fn dither_is_triangular_and_leaves_the_mean_between_the_units() {
    for level in [0.0, 0.2, 0.5, 0.8] {
        let count = 200_000;
        let sound = vec![(level / 32_768.0) as f32; count];
        let bytes = file(format(48_000, 1, Depth::Sixteen), &[&sound]).unwrap();
        let samples = hound::WavReader::new(Cursor::new(bytes)).unwrap().into_samples::<i16>();
        let values: Vec<f64> = samples.map(|sample| f64::from(sample.unwrap())).collect();
        let mean = values.iter().sum::<f64>() / count as f64;
        let variance = values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / count as f64;
        assert!((mean - level).abs() < 0.01, "{level}: {mean}");
        // With this dither the error's power is a quarter of a unit squared, wherever between two units the sound is.
        assert!((variance - 0.25).abs() < 0.01, "{level}: {variance}");
        assert!(values.iter().all(|x| (x - level).abs() <= 1.5));
    }
}

#[test]
fn a_reader_that_is_not_ours_agrees_on_frames_and_peak() {
    for (name, groove, kit) in
        styles::styles().iter().filter(|(name, ..)| ["boom-bap", "jungle", "samba-batucada"].contains(&name.as_str()))
    {
        for (rate, depth) in [(44_100, Depth::Sixteen), (48_000, Depth::TwentyFour)] {
            let [left, right] = plan(groove, kit, 1, Start::default(), rate).render(kit, &kit.tone, 0.5);
            let bytes = file(format(rate, 2, depth), &[&left, &right]).unwrap();
            let mut reader = hound::WavReader::new(Cursor::new(bytes.clone())).unwrap();
            let spec = reader.spec();
            assert_eq!(
                (spec.channels, spec.sample_rate, u64::from(spec.bits_per_sample)),
                (2, rate, 8 * depth.bytes())
            );
            assert_eq!(reader.duration() as usize, left.len(), "{name}");
            let units = (1_i64 << (8 * depth.bytes() - 1)) as f64;
            let read: Vec<f64> = reader.samples::<i32>().map(|sample| f64::from(sample.unwrap()) / units).collect();
            let peak = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0_f64, |peak, x| peak.max(x.abs()));
            let (found, want) =
                (peak(&mut read.iter().copied()), peak(&mut left.iter().chain(&right).map(|&x| f64::from(x))));
            assert!((found - want).abs() <= 1.5 / units, "{name}: {found} for {want}");
            assert!(want > 0.1);
            let apart = read
                .chunks(2)
                .zip(left.iter().zip(&right))
                .map(|(pair, (&l, &r))| (pair[0] - f64::from(l)).abs().max((pair[1] - f64::from(r)).abs()));
            assert!(apart.fold(0.0, f64::max) <= 1.5 / units, "{name}");
            // Rendered and written again it is the same file.
            let again = plan(groove, kit, 1, Start::default(), rate).render(kit, &kit.tone, 0.5);
            assert!(bytes == file(format(rate, 2, depth), &[&again[0], &again[1]]).unwrap(), "{name}");
        }
    }
}

proptest! {
    #[test]
    fn blocks_of_any_size_make_the_same_file(sound in proptest::collection::vec(-1.2_f32..1.2, 0..400), cuts in proptest::collection::vec(0_usize..60, 1..20), fine: bool) {
        let depth = BOTH[usize::from(fine)];
        for channels in [1_u16, 2] {
            let format = format(48_000, channels, depth);
            let turned: Vec<f32> = sound.iter().rev().copied().collect();
            let all = [sound.as_slice(), turned.as_slice()];
            let all = &all[..usize::from(channels)];
            let whole = file(format, all).unwrap();
            let mut encoder = Encoder::new(format);
            let mut pieces = format.header(sound.len() as u64).unwrap().to_vec();
            let mut from = 0;
            for cut in cuts.iter().copied().chain([sound.len()]) {
                let to = (from + cut).min(sound.len());
                let block: Vec<&[f32]> = all.iter().map(|channel| &channel[from..to]).collect();
                pieces.extend(encoder.block(&block));
                from = to;
            }
            pieces.extend(encoder.ending());
            prop_assert_eq!(&pieces, &whole);
            prop_assert_eq!(whole.len() as u64, format.file_bytes(sound.len() as u64));
            prop_assert!(whole.len() >= HEADER_BYTES);
        }
    }
}
