//! Numbers as people type them and as they are shown.

/// The longest text that is read as a number.
const MAX_DIGITS: usize = 16;

/// Reads a number with a decimal point or a decimal comma: "92.5", "92,5", "-3", "+0,5". `None` for anything else:
/// exponents, thousands separators, words.
pub fn parse(text: &str) -> Option<f64> {
    let text = text.trim().replace('\u{2212}', "-").replace(',', ".");
    let digits = text.strip_prefix(['-', '+']).unwrap_or(&text);
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let plain = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    let sound =
        digits.len() <= MAX_DIGITS && !(whole.is_empty() && fraction.is_empty()) && plain(whole) && plain(fraction);
    if sound { text.parse().ok() } else { None }
}

/// A number with at most `decimals` digits after the point and no idle zeros: 92.5, 142, 0.25.
pub fn format(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A count with its noun: "1 bar", "2 bars".
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    #[test]
    fn comma_and_point_are_one() {
        for (text, want) in [
            ("92.5", Some("92.5")),
            ("92,5", Some("92.5")),
            (" 142 ", Some("142")),
            ("-3", Some("-3")),
            ("\u{2212}3,25", Some("-3.25")),
            ("+,5", Some("0.5")),
            ("120.", Some("120")),
            ("", None),
            (",", None),
            ("-", None),
            ("1.2.3", None),
            ("1,234.5", None),
            ("1e9", None),
            ("inf", None),
            ("NaN", None),
            ("ten", None),
            ("12345678901234567", None),
        ] {
            assert_eq!(parse(text).map(|n| format(n, 3)).as_deref(), want, "{text:?}");
        }
    }

    #[test]
    fn shown_without_idle_zeros() {
        for (value, decimals, want) in
            [(142.0, 2, "142"), (92.5, 2, "92.5"), (66.666, 1, "66.7"), (-0.001, 1, "0"), (100.0, 0, "100")]
        {
            assert_eq!(format(value, decimals), want);
        }
        assert_eq!(counted(1, "bar", "bars"), "1 bar");
        assert_eq!(counted(0, "bar", "bars"), "0 bars");
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(7),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn whatever_is_shown_reads_back(hundredths in -1_000_000..1_000_000_i64) {
            let shown = format(hundredths as f64 / 100.0, 2);
            prop_assert_eq!(parse(&shown).map(|n| (n * 100.0).round() as i64), Some(hundredths));
        }
    }
}
