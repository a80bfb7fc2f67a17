//! The table of alternatives: what a thing may turn out to be, and how likely each is.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::table::rows;

/// One alternative.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Row {
    subject: String,
    until: u16,
    /// In the survey's word where it has one.
    pub answer: String,
    /// How probable it is.
    pub odds: f64,
    /// What the engine reckons with, where a word will not do.
    pub figure: Option<f64>,
    /// Where the odds come from.
    pub source: String,
}

/// The alternatives of every subject, by age where it matters.
#[derive(Debug, Clone)]
pub struct Odds {
    subjects: BTreeMap<String, BTreeMap<u16, Vec<Row>>>,
}

/// Rows for a house whose age is not known.
const AGE_UNKNOWN: u16 = 0;

impl Odds {
    /// Reads the table that is part of the program.
    #[must_use]
    pub fn built_in() -> Self {
        let mut subjects: BTreeMap<String, BTreeMap<u16, Vec<Row>>> = BTreeMap::new();
        for row in rows::<Row>("alternatives.csv", include_str!("../../data/alternatives.csv")) {
            subjects.entry(row.subject.clone()).or_default().entry(row.until).or_default().push(row);
        }
        Self { subjects }
    }

    /// The alternatives of a subject in a house of that year.
    #[must_use]
    pub fn of(&self, subject: &str, built_year: Option<u16>) -> &[Row] {
        let Some(ages) = self.subjects.get(subject) else { return &[] };
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
        for (subject, ages) in Odds::built_in().subjects {
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

    #[test]
    fn a_house_of_1934_is_asked_about_breeze_and_one_of_unknown_age_about_all_ages_together() {
        let odds = Odds::built_in();
        assert!(odds.of("wall", Some(1934)).iter().any(|row| row.answer == "breeze-block"));
        assert!(odds.of("wall", Some(2015)).iter().all(|row| row.answer != "brick"));
        assert_eq!(odds.of("wall", None)[0].source, "from memory: all ages together");
        assert_eq!(odds.of("occupancy", Some(1934)), odds.of("occupancy", None));
    }
}
