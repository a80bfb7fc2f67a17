//! How figures are rounded and shown. Four decimals, trailing noughts left out.

use std::fmt;

const SCALE: f64 = 10_000.0;
const TEN_THOUSAND: u64 = 10_000;
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
        let scaled = self.0.abs() * SCALE;
        if scaled < LARGEST {
            // Half goes up by cutting off what is left after adding it; quicker than `round`.
            write_scaled((scaled + 0.5) as u64, self.0 < 0.0, f)
        } else {
            write!(f, "{}", self.0)
        }
    }
}

/// Writes a whole number of ten-thousandths, from its last digit to its first.
fn write_scaled(scaled: u64, negative: bool, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    // Sixteen digits, a point and a sign at most.
    let mut text = [b'0'; 24];
    let mut at = text.len();
    let mut whole = scaled / TEN_THOUSAND;
    let mut part = (scaled % TEN_THOUSAND) as u32;
    if part > 0 {
        let mut places = DECIMALS;
        while part.is_multiple_of(10) {
            part /= 10;
            places -= 1;
        }
        for _ in 0..places {
            at -= 1;
            text[at] = b'0' + (part % 10) as u8;
            part /= 10;
        }
        at -= 1;
        text[at] = b'.';
    }
    loop {
        at -= 1;
        text[at] = b'0' + (whole % 10) as u8;
        whole /= 10;
        if whole == 0 {
            break;
        }
    }
    if negative && scaled > 0 {
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
