//! How people write the headings and words of a tally: read beside the contract's own words, so that an office's sheet can be
//! sent as it is.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::PointType;
use super::tally::{Column, STOREYS};
use crate::table::rows;

/// One way of writing one thing.
#[derive(Deserialize)]
struct WrittenName {
    what: NamedThing,
    written: String,
    word: String,
    gangs: Option<u8>,
}

#[derive(Deserialize, PartialEq, Eq, Clone, Copy)]
#[serde(rename_all = "kebab-case")]
enum NamedThing {
    Column,
    Storey,
    Point,
}

/// What the names stand for.
struct TallyNames {
    columns: BTreeMap<String, Column>,
    storeys: BTreeMap<String, &'static str>,
    points: BTreeMap<String, (PointType, Option<u8>)>,
}

static NAMES: LazyLock<TallyNames> = LazyLock::new(|| {
    let names: Vec<WrittenName> = rows("tally_names.csv", include_str!("../../data/tally_names.csv"));
    let of = |what: NamedThing| names.iter().filter(move |name| name.what == what);
    let storey = |word: &str| STOREYS.into_iter().find(|storey| *storey == word);
    let own = |words: &mut dyn Iterator<Item = &'static str>| words.map(folded).collect::<Vec<_>>();
    let mut points: BTreeMap<String, (PointType, Option<u8>)> = of(NamedThing::Point)
        .filter_map(|name| Some((folded(&name.written), (PointType::from_word(&name.word)?, name.gangs))))
        .collect();
    let words = own(&mut PointType::ALL.iter().map(|point| point.word()));
    points.extend(words.into_iter().zip(PointType::ALL.iter().map(|point| (*point, None))));
    let mut storeys: BTreeMap<String, &'static str> =
        of(NamedThing::Storey).filter_map(|name| Some((folded(&name.written), storey(&name.word)?))).collect();
    storeys.extend(STOREYS.map(|storey| (folded(storey), storey)));
    TallyNames {
        columns: of(NamedThing::Column)
            .filter_map(|name| Some((folded(&name.written), Column::from_word(&name.word)?)))
            .collect(),
        storeys,
        points,
    }
});

/// Capitals, signs, spaces and the plural do not matter: `Double sockets` and `double-socket` are one.
fn folded(written: &str) -> String {
    let lower = written.to_lowercase();
    let words = lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    let singular = |word: &str| {
        let plural = word.chars().count() > 3 && word.ends_with('s') && !word.ends_with("ss");
        if plural { word[..word.len() - 1].to_owned() } else { word.to_owned() }
    };
    words.map(singular).collect::<Vec<_>>().join(" ")
}

/// The column that a heading means.
pub(super) fn column(written: &str) -> Option<Column> {
    NAMES.columns.get(&folded(written)).copied()
}

/// The storey that a word means.
pub(super) fn storey(written: &str) -> Option<&'static str> {
    NAMES.storeys.get(&folded(written)).copied()
}

/// The point that a name means, and how many gangs it has where the name says it.
pub(super) fn point(written: &str) -> Option<(PointType, Option<u8>)> {
    NAMES.points.get(&folded(written)).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_names_stands_for_a_word_of_the_contract_and_no_two_disagree() {
        let names: Vec<WrittenName> = rows("tally_names.csv", include_str!("../../data/tally_names.csv"));
        for name in &names {
            let known = match name.what {
                NamedThing::Column => column(&name.written).map(|column| column.word()),
                NamedThing::Storey => storey(&name.written),
                NamedThing::Point => point(&name.written).map(|(point, _)| point.word()),
            };
            assert_eq!(known, Some(name.word.as_str()), "{}", name.written);
        }
    }

    #[test]
    fn points_are_known_by_the_names_that_people_write() {
        assert_eq!(point("Double sockets"), Some((PointType::DoubleSocket, None)));
        assert_eq!(point("2-Gang 2-way Switch"), Some((PointType::TwoWaySwitch, Some(2))));
        assert_eq!(point("FCU"), Some((PointType::FusedUnit, None)));
        assert_eq!(point("Smoke Detectors"), Some((PointType::SmokeAlarm, None)));
        assert_eq!(point("thing"), None);
    }
}
