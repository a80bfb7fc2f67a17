//! What a room is used for, read from its name as people write it.

use super::RoomUseKind;
use crate::survey::RoomUse;

/// Endings that people write to a word or leave out: "bath", "bathroom" and "baths" are one.
const ENDINGS: [&str; 3] = ["room", "rm", "s"];
/// From how many letters a word is looked for inside a longer one ("masterbedroom"): shorter ones turn up by chance.
const LETTERS_WITHIN_MIN: usize = 4;

/// The use that a name gives away. A name of several parts ("Utility/Boot") goes by the first that gives one away, but a
/// kitchen with a place to eat or to sit is one room of both; within a part the last word does ("front bedroom cupboard").
pub(super) fn room_use(kinds: &[RoomUseKind], name: &str) -> Option<RoomUse> {
    let name = name.to_lowercase();
    let parts: Vec<Vec<&str>> = name
        .split(['/', '&', '+', ',', '('])
        .flat_map(|part| part.split(" and "))
        .map(words)
        .filter(|words| !words.is_empty())
        .collect();
    let uses: Vec<RoomUse> = parts.iter().filter_map(|part| last(kinds, part)).collect();
    let eaten_or_sat_in = |found: &RoomUse| matches!(found, RoomUse::Dining | RoomUse::Living);
    match uses.first() {
        Some(RoomUse::Kitchen | RoomUse::Dining | RoomUse::Living)
            if uses.contains(&RoomUse::Kitchen) && uses.iter().any(eaten_or_sat_in) =>
        {
            Some(RoomUse::KitchenDiner)
        }
        Some(first) => Some(*first),
        None => alone(kinds, &parts).or_else(|| within(kinds, &name)),
    }
}

/// Words without numbers and signs: `bed-2`, `bed2` and `Bed 2` are one.
fn words(part: &str) -> Vec<&str> {
    part.split(|letter: char| !letter.is_alphabetic()).filter(|word| !word.is_empty()).collect()
}

fn is(written: &str, word: &str) -> bool {
    written == word || written.strip_prefix(word).is_some_and(|ending| ENDINGS.contains(&ending))
}

/// Whether the words end with a term, which may itself have several words.
fn ends_with(words: &[&str], term: &str) -> Option<usize> {
    let count = term.split(' ').count();
    let tail = words.get(words.len().checked_sub(count)?..)?;
    tail.iter().zip(term.split(' ')).all(|(written, word)| is(written, word)).then_some(count)
}

/// The use by the last term of the part; of two that end with the same word the one of more words.
fn last(kinds: &[RoomUseKind], part: &[&str]) -> Option<RoomUse> {
    (1..=part.len()).rev().find_map(|end| {
        let found = terms(kinds).filter_map(|(term, found)| Some((ends_with(&part[..end], term)?, found)));
        found.max_by_key(|(count, _)| *count).map(|(_, found)| found)
    })
}

fn terms(kinds: &[RoomUseKind]) -> impl Iterator<Item = (&str, RoomUse)> {
    kinds
        .iter()
        .flat_map(|row| row.words.split(';').map(|term| (term, row.room_use)))
        .filter(|(term, _)| !term.is_empty())
}

/// Words that say where a room lies, where nothing says what it is.
fn alone(kinds: &[RoomUseKind], parts: &[Vec<&str>]) -> Option<RoomUse> {
    let terms = || kinds.iter().flat_map(|row| row.alone.split(';').map(|term| (term, row.room_use)));
    let found = |part: &Vec<&str>| {
        terms().find(|(term, _)| !term.is_empty() && ends_with(part, term).is_some()).map(|(_, found)| found)
    };
    parts.iter().find_map(found)
}

/// A word inside a longer one, the longest first.
fn within(kinds: &[RoomUseKind], name: &str) -> Option<RoomUse> {
    let long = |(term, _): &(&str, RoomUse)| term.len() >= LETTERS_WITHIN_MIN && name.contains(term);
    terms(kinds).filter(long).max_by_key(|(term, _)| term.len()).map(|(_, found)| found)
}

#[cfg(test)]
mod tests {
    use super::super::Catalogue;
    use crate::survey::RoomUse::{
        self, Bathroom, Bedroom, Cellar, Cloakroom, Conservatory, Garage, Hall, Kitchen, KitchenDiner, Landing, Living,
        Loft, Outside, Store, Study, Utility,
    };

    fn named(name: &str) -> Option<RoomUse> {
        Catalogue::built_in().use_from_words(name)
    }

    #[test]
    fn rooms_are_known_by_the_names_that_people_write() {
        let names = [
            ("Foyer", Hall),
            ("WC", Cloakroom),
            ("Bed 2", Bedroom),
            ("bed2", Bedroom),
            ("Bdrm 3", Bedroom),
            ("Utility/Boot", Utility),
            ("Wet room", Bathroom),
            ("Bed 1 en-suite", Bathroom),
            ("Ensuite", Bathroom),
            ("Hallway", Hall),
            ("hall-stairs-landing", Landing),
            ("Hall / stairs / landing", Hall),
            ("Family room", Living),
            ("Lounge/Diner", Living),
            ("Kitchen/Diner", KitchenDiner),
            ("Kitchen-Diner", KitchenDiner),
            ("Open plan kitchen, living and dining", KitchenDiner),
            ("Kitchen & utility", Kitchen),
            ("Home office", Study),
            ("Under-stairs cupboard", Store),
            ("Orangery", Conservatory),
            ("Integral garage", Garage),
            ("Roof space", Loft),
            ("Basement", Cellar),
            ("Rear garden", Outside),
            ("masterbedroom", Bedroom),
        ];
        for (name, room_use) in names {
            assert_eq!(named(name), Some(room_use), "{name}");
        }
    }

    #[test]
    fn where_a_room_lies_does_not_hide_what_it_is() {
        assert_eq!(named("Front bedroom"), Some(Bedroom));
        assert_eq!(named("Bedroom, rear"), Some(Bedroom));
        assert_eq!(named("bedroom-front"), Some(Bedroom));
        assert_eq!(named("Loft bedroom"), Some(Bedroom));
        assert_eq!(named("Garden room"), Some(Living));
        assert_eq!(named("Bathroom cupboard"), Some(Store));
        assert_eq!(named("front"), Some(Living));
    }

    #[test]
    fn a_name_that_says_nothing_gives_no_use_away() {
        for name in ["room 7", "R12", "", "Zone B", "bedlam", "3"] {
            assert_eq!(named(name), None, "{name}");
        }
    }
}
