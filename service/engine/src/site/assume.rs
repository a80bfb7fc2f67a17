//! What was not recorded and what was taken instead: one entry for each thing taken, with all the places meant.

use crate::estimate::Assumption;

/// The assumptions made so far, in the order in which they were first made.
#[derive(Debug, Clone, Default)]
pub struct Assumptions {
    entries: Vec<Assumption>,
}

impl Assumptions {
    /// Notes that `assumed` was taken for `subject` at `place`.
    pub fn add(&mut self, subject: &'static str, assumed: &str, because: &str, place: &str) {
        // A handful of distinct assumptions, whatever the size of the house: a list is quicker than a map.
        let known = self
            .entries
            .iter_mut()
            .find(|entry| entry.subject == subject && entry.assumed == assumed && entry.because == because);
        match known {
            Some(entry) if entry.places.last().is_some_and(|last| last == place) => {}
            Some(entry) => entry.places.push(place.to_owned()),
            None => self.entries.push(Assumption {
                subject: subject.into(),
                places: vec![place.to_owned()],
                assumed: assumed.to_owned(),
                because: because.to_owned(),
            }),
        }
    }

    /// The places at which something was taken for `subject`.
    pub fn places<'a>(&'a self, subject: &'a str) -> impl Iterator<Item = &'a str> {
        let entries = self.entries.iter().filter(move |entry| entry.subject == subject);
        entries.flat_map(|entry| entry.places.iter().map(String::as_str))
    }

    /// Whether anything was taken for `subject`.
    #[must_use]
    pub fn made(&self, subject: &str) -> bool {
        self.entries.iter().any(|entry| entry.subject == subject)
    }

    /// All of them, as they go out.
    #[must_use]
    pub fn into_entries(self) -> Vec<Assumption> {
        self.entries
    }
}
