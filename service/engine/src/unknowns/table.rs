//! The table of answers: what a thing may turn out to be, and how likely each is.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::AnswerSubject;
use crate::survey::{
    CeilingConstruction, Earthing, Finish, FloorConstruction, FloorCovering, Ground, Occupancy,
    OutbuildingConstruction, Parking, Wall,
};
use crate::table::rows;

/// What a thing turns out to be.
#[derive(Debug, Clone, PartialEq)]
pub enum AnswerValue {
    /// Walls of this kind.
    Wall(Wall),
    /// Floors of this kind.
    Floor(FloorConstruction),
    /// This lies on the floors.
    Covering(FloorCovering),
    /// Ceilings of this kind.
    Ceiling(CeilingConstruction),
    /// Rooms as full as this.
    Occupancy(Occupancy),
    /// The van stands there.
    Parking(Parking),
    /// The trench goes through this.
    Ground(Ground),
    /// An outbuilding of this kind.
    Outbuilding(OutbuildingConstruction),
    /// The house is earthed so.
    Earthing(Earthing),
    /// Plates of this look.
    Finish(Finish),
    /// Something that the survey has no word for.
    Figure {
        /// As the table calls it.
        label: String,
        /// What is reckoned with: a multiple, metres, amps, a share, kilograms.
        figure: f64,
    },
}

impl AnswerValue {
    fn read(row: &Row) -> Self {
        fn word<T>(row: &Row, value: Option<T>, of: fn(T) -> AnswerValue) -> AnswerValue {
            let Some(value) = value else {
                panic!("built-in table alternatives.csv: {}: `{}` is no word of the survey", row.subject, row.answer)
            };
            of(value)
        }
        let text = row.answer.as_str();
        match row.subject {
            AnswerSubject::Wall => word(row, Wall::from_word(text), Self::Wall),
            AnswerSubject::GroundFloor | AnswerSubject::UpperFloor => {
                word(row, FloorConstruction::from_word(text), Self::Floor)
            }
            AnswerSubject::FloorCovering => word(row, FloorCovering::from_word(text), Self::Covering),
            AnswerSubject::Ceiling => word(row, CeilingConstruction::from_word(text), Self::Ceiling),
            AnswerSubject::Occupancy => word(row, Occupancy::from_word(text), Self::Occupancy),
            AnswerSubject::Parking => word(row, Parking::from_word(text), Self::Parking),
            AnswerSubject::Ground => word(row, Ground::from_word(text), Self::Ground),
            AnswerSubject::OutbuildingConstruction => {
                word(row, OutbuildingConstruction::from_word(text), Self::Outbuilding)
            }
            AnswerSubject::Earthing => word(row, Earthing::from_word(text), Self::Earthing),
            AnswerSubject::Finish => word(row, Finish::from_word(text), Self::Finish),
            AnswerSubject::Lengths
            | AnswerSubject::Positions
            | AnswerSubject::ServicePosition
            | AnswerSubject::ServiceBond
            | AnswerSubject::PointsToStrip
            | AnswerSubject::Distance
            | AnswerSubject::OutbuildingRun
            | AnswerSubject::BuriedServices
            | AnswerSubject::CutOut
            | AnswerSubject::Isolator
            | AnswerSubject::Looped
            | AnswerSubject::CeilingCoating
            | AnswerSubject::BoardBacking
            | AnswerSubject::LightWeight
            | AnswerSubject::WayPastSteel
            | AnswerSubject::RoofOverExtension
            | AnswerSubject::OpeningHeights
            | AnswerSubject::NoHiddenWay
            | AnswerSubject::UnseenFabric
            | AnswerSubject::MissingPoint
            | AnswerSubject::MissingSwitch
            | AnswerSubject::MakingGood
            | AnswerSubject::KitchenPlan
            | AnswerSubject::ApplianceLoad
            | AnswerSubject::ScopeSmall
            | AnswerSubject::ScopeWhole
            | AnswerSubject::Above
            | AnswerSubject::Below
            | AnswerSubject::SignalHub
            | AnswerSubject::StudInsulation
            | AnswerSubject::EarthingSound
            | AnswerSubject::FreeWays
            | AnswerSubject::BoardChanged => Self::reckoned(row),
        }
    }

    /// Something that the survey has no word for: it has a figure, or the table is refused.
    fn reckoned(row: &Row) -> Self {
        let Some(figure) = row.figure else {
            panic!("built-in table alternatives.csv: {}: `{}` has no figure", row.subject, row.answer)
        };
        Self::Figure { label: row.answer.clone(), figure }
    }

    /// What is reckoned with, where it is no word of the survey.
    #[must_use]
    pub const fn figure(&self) -> Option<f64> {
        if let Self::Figure { figure, .. } = self { Some(*figure) } else { None }
    }
}

#[derive(Deserialize)]
struct Row {
    subject: AnswerSubject,
    until: u16,
    answer: String,
    odds: f64,
    figure: Option<f64>,
    source: String,
}

/// One answer of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct TableAnswer {
    /// What the thing turns out to be.
    pub value: AnswerValue,
    /// How probable it is.
    pub odds: f64,
    /// Where the odds come from.
    pub source: String,
}

/// The answers of every subject, by age where it matters.
#[derive(Debug, Clone)]
pub struct AnswerTable {
    subjects: BTreeMap<AnswerSubject, BTreeMap<u16, Vec<TableAnswer>>>,
}

/// Rows for a house whose age is not known.
const AGE_UNKNOWN: u16 = 0;

impl AnswerTable {
    /// Reads the table that is part of the program.
    #[must_use]
    pub fn built_in() -> Self {
        let mut subjects: BTreeMap<AnswerSubject, BTreeMap<u16, Vec<TableAnswer>>> = BTreeMap::new();
        for row in rows::<Row>("alternatives.csv", include_str!("../../data/alternatives.csv")) {
            let answer = TableAnswer { value: AnswerValue::read(&row), odds: row.odds, source: row.source };
            subjects.entry(row.subject).or_default().entry(row.until).or_default().push(answer);
        }
        Self { subjects }
    }

    /// The answers of a subject in a house of that year.
    #[must_use]
    pub fn of(&self, subject: AnswerSubject, built_year: Option<u16>) -> &[TableAnswer] {
        let Some(ages) = self.subjects.get(&subject) else { return &[] };
        let last = || ages.values().next_back();
        let found = match built_year {
            Some(year) => ages.range(year.max(1)..).next().map(|(_, rows)| rows).or_else(last),
            None => ages.get(&AGE_UNKNOWN).or_else(last),
        };
        found.map_or(&[], Vec::as_slice)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_odds_of_every_subject_and_age_add_to_one_and_name_where_they_come_from() {
        let table = AnswerTable::built_in();
        assert_eq!(table.subjects.len(), AnswerSubject::ALL.len(), "every subject has answers");
        for (subject, ages) in table.subjects {
            for (until, rows) in ages {
                let sum: f64 = rows.iter().map(|row| row.odds).sum();
                assert!((sum - 1.0).abs() < 1e-9, "{subject} until {until}: {sum}");
                assert!(rows.len() > 1 && rows.iter().all(|row| row.odds > 0.0), "{subject} until {until}");
                assert!(
                    rows.iter().all(|row| row.source.contains("from memory") || row.source.contains("no source")),
                    "{subject}: odds are a judgement, and say so"
                );
            }
        }
    }

    fn row(subject: AnswerSubject, answer: &str, figure: Option<f64>) -> Row {
        Row { subject, until: 0, answer: answer.to_owned(), odds: 0.5, figure, source: "from memory".to_owned() }
    }

    #[test]
    #[should_panic(expected = "`wattle` is no word of the survey")]
    fn a_word_that_the_survey_does_not_know_is_refused_though_a_figure_stands_beside_it() {
        let _ = AnswerValue::read(&row(AnswerSubject::Wall, "wattle", Some(2.0)));
    }

    #[test]
    #[should_panic(expected = "`long` has no figure")]
    fn an_answer_that_is_reckoned_with_needs_its_figure() {
        let _ = AnswerValue::read(&row(AnswerSubject::Lengths, "long", None));
    }

    #[test]
    fn a_house_of_1934_is_asked_about_breeze_and_one_of_unknown_age_about_all_ages_together() {
        let table = AnswerTable::built_in();
        let walls = |year| table.of(AnswerSubject::Wall, year);
        assert!(walls(Some(1934)).iter().any(|row| row.value == AnswerValue::Wall(Wall::BreezeBlock)));
        assert!(walls(Some(2015)).iter().all(|row| row.value != AnswerValue::Wall(Wall::Brick)));
        assert_eq!(walls(None)[0].source, "from memory: all ages together");
        assert_eq!(table.of(AnswerSubject::Occupancy, Some(1934)), table.of(AnswerSubject::Occupancy, None));
    }
}
