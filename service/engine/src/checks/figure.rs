//! How figures are rounded and shown. Four decimals, trailing noughts left out.

use std::fmt;

const SCALE: f64 = 10_000.0;
const DECIMALS: usize = 4;
/// Above this a rounded figure no longer fits the whole numbers that a double holds exactly.
const LARGEST: f64 = 9e15;

/// A figure at four decimals: what is compared, sent and shown is one and the same. Half goes away from nought.
pub(super) fn settled(value: f64) -> f64 {
    let scaled = value * SCALE;
    if scaled.abs() < LARGEST { scaled.round() / SCALE } else { value }
}

/// A figure shown at four decimals. Written without the general float formatter, which takes most of the time of a
/// check: 7 workings of some 8 figures each (figures in `benches/checks.rs`).
#[derive(Clone, Copy)]
pub(super) struct Figure(pub f64);

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let scaled = (self.0 * SCALE).round();
        if scaled.abs() < LARGEST { write_scaled(scaled, f) } else { write!(f, "{}", self.0) }
    }
}

/// Writes a whole number of ten-thousandths, from its last digit to its first.
fn write_scaled(scaled: f64, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    // Sixteen digits, a point and a sign at most.
    let mut text = [b'0'; 24];
    let mut at = text.len();
    let mut rest = scaled.abs() as u64;
    let mut significant = false;
    for place in 0.. {
        if rest == 0 && place > DECIMALS {
            break;
        }
        if place == DECIMALS && significant {
            at -= 1;
            text[at] = b'.';
        }
        let digit = (rest % 10) as u8;
        rest /= 10;
        significant |= digit != 0;
        if significant || place >= DECIMALS {
            at -= 1;
            text[at] = b'0' + digit;
        }
    }
    if scaled < 0.0 {
        at -= 1;
        text[at] = b'-';
    }
    f.write_str(std::str::from_utf8(&text[at..]).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_shows_at_most_four_decimals_and_no_trailing_noughts() {
        let shown: Vec<String> = [45.0, 41.304_347, 0.5, 0.0, 1_667.0, 0.000_04, 0.000_05, -2.25, 100.0, 230.1]
            .map(|f| Figure(f).to_string())
            .to_vec();
        assert_eq!(shown, ["45", "41.3043", "0.5", "0", "1667", "0", "0.0001", "-2.25", "100", "230.1"]);
    }

    proptest::proptest! {
        #[test]
        fn a_figure_reads_back_as_what_was_settled(value in -1e9..1e9f64) {
            let read: f64 = Figure(value).to_string().parse().expect("reads");
            proptest::prop_assert!((read - settled(value)).abs() < 1e-6, "{value} shows as {}", Figure(value));
        }
    }
}
