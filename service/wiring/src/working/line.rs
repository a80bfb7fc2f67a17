//! How figures are shown, and how lines of working are put together.
//!
//! Seven workings of some ten figures each are most of the work of checking a circuit. They are therefore pushed onto
//! their string piece by piece, without the general formatter: 1.3 instead of 2.1 microseconds of processor time a
//! circuit (measured on one machine, a shower).

use crate::checks::CheckUnit;
use crate::standards::{DeviceType, ReferenceMethod};

const SCALE: f64 = 10_000.0;
const TEN_THOUSAND: u64 = 10_000;
const DECIMALS: usize = 4;
/// Above this a rounded figure no longer fits the whole numbers that a double holds exactly.
const LARGEST: f64 = 9e15;

/// Adds pieces to a line of working: texts as they are, figures at four decimals without trailing noughts.
macro_rules! line {
    ($working:expr, $($piece:expr),+ $(,)?) => {
        { $($crate::working::line::Piece::add_to($piece, &mut $working);)+ }
    };
}
pub(super) use line;

/// A line of working.
pub(super) struct Working(String);

impl Working {
    /// An empty line with room for so many bytes.
    pub(super) fn new(room: usize) -> Self {
        Self(String::with_capacity(room))
    }

    /// Adds a text.
    pub(super) fn push_str(&mut self, text: &str) {
        self.0.push_str(text);
    }

    /// The line.
    pub(super) fn written(self) -> String {
        self.0
    }
}

/// A piece of a line of working.
pub(super) trait Piece {
    /// Adds it at the end.
    fn add_to(self, working: &mut Working);
}

impl Piece for &str {
    fn add_to(self, working: &mut Working) {
        working.push_str(self);
    }
}

impl Piece for f64 {
    fn add_to(self, working: &mut Working) {
        let scaled = self.abs() * SCALE;
        if scaled < LARGEST {
            // Half goes up by cutting off what is left after adding it; quicker than `round`.
            add_scaled((scaled + 0.5) as u64, self < 0.0, working);
        } else {
            working.push_str(&self.to_string());
        }
    }
}

impl Piece for u32 {
    fn add_to(self, working: &mut Working) {
        add_scaled(u64::from(self) * TEN_THOUSAND, false, working);
    }
}

impl Piece for ReferenceMethod {
    fn add_to(self, working: &mut Working) {
        working.push_str(self.word());
    }
}

impl Piece for DeviceType {
    fn add_to(self, working: &mut Working) {
        working.push_str(self.word());
    }
}

impl Piece for CheckUnit {
    fn add_to(self, working: &mut Working) {
        working.push_str(self.word());
    }
}

/// Adds a whole number of ten-thousandths, made from its last digit to its first.
fn add_scaled(scaled: u64, negative: bool, working: &mut Working) {
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
    working.0.extend(text[at..].iter().map(|&digit| char::from(digit)));
}

#[cfg(test)]
pub(super) fn figure(value: f64) -> String {
    let mut working = Working::new(0);
    value.add_to(&mut working);
    working.written()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::round_to_4;

    #[test]
    fn a_figure_shows_at_most_four_decimals_and_no_trailing_noughts() {
        let figures = [45.0, 41.304_347, 0.5, 0.0, 1_667.0, 0.000_04, 0.000_05, -2.25, 100.0, 230.1, -0.000_01];
        let shown: Vec<String> = figures.into_iter().map(figure).collect();
        assert_eq!(shown, ["45", "41.3043", "0.5", "0", "1667", "0", "0.0001", "-2.25", "100", "230.1", "0"]);
    }

    #[test]
    fn a_line_is_its_pieces_one_after_the_other() {
        let mut working = Working::new(0);
        line!(working, "In = ", 45.0, " A, method ", ReferenceMethod::M100, ", ", 3_u32, " together");
        assert_eq!(working.written(), "In = 45 A, method 100, 3 together");
    }

    proptest::proptest! {
        #[test]
        fn a_figure_reads_back_as_what_was_compared(value in -1e9..1e9f64) {
            let read: f64 = figure(value).parse().expect("reads");
            proptest::prop_assert!((read - round_to_4(value)).abs() < 1e-6, "{value} shows as {}", figure(value));
        }
    }
}
