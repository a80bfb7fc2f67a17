//! Names on paper.

use std::collections::BTreeMap;

use engine::estimate::Estimate;

/// Names on paper, by identifier.
pub(super) struct PaperNames<'a>(BTreeMap<&'a str, &'a str>);

impl<'a> PaperNames<'a> {
    pub(super) fn of(estimate: &'a Estimate) -> Self {
        Self(estimate.rooms.iter().map(|room| (room.room.as_str(), room.name.as_str())).collect())
    }

    /// The room's name, or its identifier where it has none.
    pub(super) fn room<'b>(&self, id: &'b str) -> &'b str
    where
        'a: 'b,
    {
        self.0.get(id).copied().filter(|name| !name.trim().is_empty()).unwrap_or(id)
    }
}
