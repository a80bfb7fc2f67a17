//! How much room a text takes, and how it is made to fit: cut with an ellipsis, or wrapped.
//!
//! A drawing does not carry its letters with it; whoever shows it takes a plain sans-serif. The widths are those of the
//! most usual one, with something to spare for a wider one.

/// Light or heavy letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Face {
    Plain,
    Bold,
}

/// Height above the base line and depth below it, as shares of the size.
pub(super) const ASCENT: f64 = 0.76;
pub(super) const DESCENT: f64 = 0.22;

/// Widths of the characters from space to tilde in thousandths of the size. Source: advance widths of the metric-compatible
/// plain sans-serif letters that free systems ship, read from the file.
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556,
    556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
    260, 334, 584,
];
/// Any other character: none of the letters of European languages is wider, and those of the East are as wide as high.
const WIDEST: f64 = 1_000.0;
/// Heavy letters against light ones: the mean of the same two files is 1.05.
const BOLD: f64 = 1.08;
/// Room for letters that are wider than those measured.
const TO_SPARE: f64 = 1.06;

/// The width of a text.
pub(super) fn width(text: &str, size: f64, face: Face) -> f64 {
    let thousandths: f64 = text.chars().map(character_width).sum();
    thousandths / 1_000.0 * size * factor(face)
}

fn factor(face: Face) -> f64 {
    match face {
        Face::Plain => TO_SPARE,
        Face::Bold => TO_SPARE * BOLD,
    }
}

fn character_width(character: char) -> f64 {
    let place = u32::from(character).checked_sub(32).and_then(|place| usize::try_from(place).ok());
    place.and_then(|place| WIDTHS.get(place)).map_or(WIDEST, |width| f64::from(*width))
}

/// The text, or as much of it as fits, with an ellipsis.
pub(super) fn fitted(text: &str, size: f64, face: Face, room: f64) -> String {
    let text = text.trim();
    if width(text, size, face) <= room {
        return text.to_owned();
    }
    let unit = size * factor(face) / 1_000.0;
    let mut left = room - WIDEST * unit;
    let mut cut = String::new();
    for character in text.chars() {
        left -= character_width(character) * unit;
        if left < 0.0 {
            break;
        }
        cut.push(character);
    }
    cut.truncate(cut.trim_end().len());
    cut.push('…');
    cut
}

/// The text in lines no wider than the room, at most so many; the last one ends in an ellipsis where there was more.
pub(super) fn wrapped(text: &str, size: f64, face: Face, room: f64, lines_max: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.next() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if line.is_empty() || width(&longer, size, face) <= room {
            line = longer;
        } else if lines.len() + 1 >= lines_max {
            // More than fits: the rest of the text is cut where the room ends.
            lines.push(fitted(&format!("{longer} …"), size, face, room));
            return lines;
        } else {
            lines.push(fitted(&line, size, face, room));
            line = word.to_owned();
        }
        if words.peek().is_none() {
            lines.push(fitted(&line, size, face, room));
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_has_room_in_letters_that_are_as_wide_as_those_measured() {
        // Source: advance widths read from the letters' file and added by a script.
        for (text, thousandths) in [("Double socket", 6_336.0), ("RCBO B32 30 mA", 8_114.0)] {
            let given = width(text, 1.0, Face::Plain) * 1_000.0;
            assert!((thousandths..thousandths * 1.07).contains(&given), "{text}: {given}");
        }
    }

    #[test]
    fn what_does_not_fit_is_cut_and_says_so() {
        assert_eq!(fitted("Kitchen", 2.5, Face::Plain, 50.0), "Kitchen");
        let cut = fitted("Kitchen and utility room", 2.5, Face::Plain, 15.0);
        assert!(cut.ends_with('…') && width(&cut, 2.5, Face::Plain) <= 15.0, "{cut}");
        assert_eq!(fitted("Kitchen", 2.5, Face::Plain, 0.0), "…");
    }

    #[test]
    fn no_line_is_wider_than_its_room_and_no_word_is_lost_where_there_are_lines_enough() {
        let text =
            "seven double sockets, two with charging, four fused units and a very-long-word-without-any-gap-in-it";
        let lines = wrapped(text, 2.5, Face::Plain, 40.0, 20);
        assert!(lines.iter().all(|line| width(line, 2.5, Face::Plain) <= 40.0), "{lines:?}");
        assert_eq!(lines.concat().matches("fused").count(), 1);

        let few = wrapped(text, 2.5, Face::Plain, 40.0, 2);
        assert_eq!(few.len(), 2);
        assert!(few[1].ends_with('…'), "{few:?}");
    }
}
