//! What was said to be over and under a room must not be contradicted by the rooms that were drawn there.

use std::cell::Cell;
use std::collections::BTreeMap;

use super::plan::{DrawnRoom, looks, trees};
use crate::faults::{Fault, FaultCode};
use crate::geometry::OutlineTree;
use crate::limits::OUTLINE_PAIRS_MAX;
use crate::survey::{Above, Below, Room, RoomUse, Storey, Survey};

/// A drawn room over or under so much of another is what is there. Common practice, no source.
const THERE_SHARE_MIN: f64 = 0.5;

/// One of the two sides on which something was said to be.
struct SaidBeside<'s> {
    /// The field that says it.
    field: &'static str,
    /// What it says.
    word: &'s str,
    /// Whether that is rooms of the dwelling.
    rooms: bool,
    /// The storey on that side, from this one.
    by: i8,
    /// How a room there lies to this one, and how one that should be there does not.
    lies: &'static str,
    lacks: &'static str,
    /// Whether a drawn room there counts.
    counts: fn(&DrawnRoom<'_>) -> bool,
}

/// Every breach of it.
pub(super) fn faults(survey: &Survey, drawn: &[DrawnRoom<'_>], faults: &mut Vec<Fault>) {
    let listed = || survey.site.iter().flat_map(|site| &site.storeys);
    let rooms: BTreeMap<&str, &Room> = survey.rooms.iter().rev().map(|room| (room.id.as_str(), room)).collect();
    let drawn = DrawnStoreys { rooms: drawn, trees: trees(drawn), looked_at: Cell::new(0) };
    for room in drawn.rooms.iter().filter(|room| room.in_the_house) {
        let Some(recorded) = rooms.get(room.id) else { continue };
        let storey = listed().find(|storey| recorded.storey.as_deref() == Some(storey.id.as_str()));
        let above = recorded.above.as_ref().map(|above| SaidBeside {
            field: "above",
            word: above.word(),
            rooms: *above == Above::Rooms,
            by: 1,
            lies: "over it",
            lacks: "no drawn room of the storey above stands on it. Say what is over it",
            counts: |one| one.room_use != Some(RoomUse::Loft),
        });
        let below = recorded.below.as_ref().map(|below| SaidBeside {
            field: "below",
            word: below.word(),
            rooms: *below == Below::Rooms,
            by: -1,
            lies: "under it",
            lacks: "no drawn room of the storey below is under it. Say what is under it",
            counts: |_| true,
        });
        faults
            .extend([above, below].into_iter().flatten().filter_map(|said| contradicted(&said, storey, room, &drawn)));
    }
}

/// What was said of one side, where the drawing says otherwise.
fn contradicted(
    said: &SaidBeside<'_>,
    storey: Option<&Storey>,
    room: &DrawnRoom<'_>,
    drawn: &DrawnStoreys<'_, '_>,
) -> Option<Fault> {
    let SaidBeside { field, word, rooms, by, lies, lacks, counts } = said;
    let (any, share, id) = drawn.there(room, *by, counts);
    let detail = if *rooms && any && share <= 0.0 {
        format!("`{field}` is `rooms`, but {lacks}, or move one of the two")
    } else if !rooms && share > THERE_SHARE_MIN {
        let of = storey.map_or_else(String::new, |storey| format!(" of `{}`", storey.id));
        format!("`{field}` is `{word}`, but `{id}` is drawn {lies}{of}. Say `rooms`, or move one of the two")
    } else {
        return None;
    };
    Some(Fault::new(format!("{}/{field}", room.pointer), FaultCode::Contradiction, detail))
}

/// What was drawn, for asking what lies over a room without looking at every other.
struct DrawnStoreys<'d, 'a> {
    rooms: &'d [DrawnRoom<'a>],
    trees: BTreeMap<i8, OutlineTree>,
    /// Pairs of outlines so far.
    looked_at: Cell<usize>,
}

impl<'d> DrawnStoreys<'d, '_> {
    /// Whether the next storey has drawn rooms, over what share of this one they stand, and the one that takes most of it.
    fn there(&self, room: &DrawnRoom<'_>, by: i8, counts: impl Fn(&DrawnRoom<'_>) -> bool) -> (bool, f64, &'d str) {
        let counted = |index: usize| self.rooms[index].in_the_house && counts(&self.rooms[index]);
        let tree = room.level.and_then(|level| self.trees.get(&level.saturating_add(by)));
        let Some(tree) = tree else { return (false, 0.0, "") };
        let mut found: Vec<usize> = tree.near(&room.shape).filter(|index| counted(*index)).collect();
        let here: usize = found.iter().map(|index| looks(room, &self.rooms[*index])).sum();
        self.looked_at.set(self.looked_at.get() + here);
        if self.looked_at.get() > OUTLINE_PAIRS_MAX {
            // What is drawn like lace is taken as it was said.
            return (false, 0.0, "");
        }
        found.sort_unstable();
        let shares: Vec<(f64, &str)> = found
            .into_iter()
            .map(|index| (room.shape.overlap(&self.rooms[index].shape).value(), self.rooms[index].id))
            .collect();
        let area = room.shape.area().value().max(f64::MIN_POSITIVE);
        let most = shares.iter().max_by(|a, b| a.0.total_cmp(&b.0)).map_or("", |(_, id)| id);
        let any = !shares.is_empty() || tree.places().any(counted);
        (any, shares.iter().map(|(shared, _)| shared).sum::<f64>() / area, most)
    }
}
