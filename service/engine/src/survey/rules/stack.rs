//! What was said to be over and under a room must not be contradicted by the rooms that were drawn there.

use super::plan::DrawnRoom;
use crate::faults::{Fault, FaultCode};
use crate::survey::{Above, Below, RoomUse, Storey, Survey};

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
    for room in drawn {
        let Some(recorded) = survey.rooms.iter().find(|one| one.id == room.id && room.in_the_house) else { continue };
        let storey = listed().find(|storey| recorded.storey.as_deref() == Some(storey.id.as_str()));
        let above = recorded.above.as_ref().map(|above| SaidBeside {
            field: "above",
            word: above.word(),
            rooms: *above == Above::Rooms,
            by: 1,
            lies: "over it",
            lacks: "no drawn room of the storey above stands on it: say what is over it",
            counts: |one| one.room_use != Some(RoomUse::Loft),
        });
        let below = recorded.below.as_ref().map(|below| SaidBeside {
            field: "below",
            word: below.word(),
            rooms: *below == Below::Rooms,
            by: -1,
            lies: "under it",
            lacks: "no drawn room of the storey below is under it: say what is under it",
            counts: |_| true,
        });
        faults.extend([above, below].into_iter().flatten().filter_map(|said| contradicted(&said, storey, room, drawn)));
    }
}

/// What was said of one side, where the drawing says otherwise.
fn contradicted(
    said: &SaidBeside<'_>,
    storey: Option<&Storey>,
    room: &DrawnRoom<'_>,
    drawn: &[DrawnRoom<'_>],
) -> Option<Fault> {
    let SaidBeside { field, word, rooms, by, lies, lacks, counts } = said;
    let (any, share, id) = there(room, *by, drawn, counts);
    let detail = if *rooms && any && share <= 0.0 {
        format!("`{field}` is `rooms`, and {lacks}, or move one of the two")
    } else if !rooms && share > THERE_SHARE_MIN {
        let of = storey.map_or_else(String::new, |storey| format!(" of `{}`", storey.id));
        format!("`{field}` is `{word}`, and `{id}` is drawn {lies}{of}: say `rooms`, or move one of the two")
    } else {
        return None;
    };
    Some(Fault::new(format!("{}/{field}", room.pointer), FaultCode::Contradiction, detail))
}

/// Whether the next storey has drawn rooms, over what share of this one they stand, and the one that takes most of it.
fn there<'d>(
    room: &DrawnRoom<'_>,
    by: i8,
    drawn: &'d [DrawnRoom<'_>],
    counts: impl Fn(&DrawnRoom<'_>) -> bool,
) -> (bool, f64, &'d str) {
    let Some(level) = room.level.map(|level| level.saturating_add(by)) else { return (false, 0.0, "") };
    let there = || drawn.iter().filter(|one| one.level == Some(level) && one.in_the_house && counts(one));
    let shares: Vec<(f64, &str)> = there().map(|one| (room.shape.overlap(&one.shape).value(), one.id)).collect();
    let area = room.shape.area().value().max(f64::MIN_POSITIVE);
    let most = shares.iter().max_by(|a, b| a.0.total_cmp(&b.0)).map_or("", |(_, id)| id);
    (!shares.is_empty(), shares.iter().map(|(shared, _)| shared).sum::<f64>() / area, most)
}
