//! What was said to be over and under a room must not be contradicted by the rooms that were drawn there.

use super::plan::DrawnRoom;
use crate::faults::{Fault, FaultCode};
use crate::survey::{Above, Below, Room, RoomUse, Storey, Survey};

/// A drawn room over or under so much of another is what is there. Common practice, no source.
const THERE_SHARE_MIN: f64 = 0.5;

/// Every breach of it.
pub(super) fn faults(survey: &Survey, drawn: &[DrawnRoom<'_>], faults: &mut Vec<Fault>) {
    let listed = || survey.site.iter().flat_map(|site| &site.storeys);
    for room in drawn {
        let Some(recorded) = survey.rooms.iter().find(|one| one.id == room.id && room.in_the_house) else { continue };
        let storey = listed().find(|storey| recorded.storey.as_deref() == Some(storey.id.as_str()));
        over(recorded, storey, room, drawn, faults);
        under(recorded, storey, room, drawn, faults);
    }
}

fn over(
    recorded: &Room,
    storey: Option<&Storey>,
    room: &DrawnRoom<'_>,
    drawn: &[DrawnRoom<'_>],
    faults: &mut Vec<Fault>,
) {
    let Some(above) = recorded.above else { return };
    let loft = |one: &DrawnRoom<'_>| one.room_use == Some(RoomUse::Loft);
    let (any, share, id) = there(room, 1, drawn, |one| !loft(one));
    let pointer = format!("{}/above", room.pointer);
    if above == Above::Rooms && any && share <= 0.0 {
        let detail = "`above` is `rooms`, and no drawn room of the storey above stands on it: say what is over it, or move \
                      one of the two";
        faults.push(Fault::new(pointer, FaultCode::Contradiction, detail));
    } else if above != Above::Rooms && share > THERE_SHARE_MIN {
        let of = storey.map_or_else(String::new, |storey| format!(" of `{}`", storey.id));
        let detail =
            format!("`above` is `{above}`, and `{id}` is drawn over it{of}: say `rooms`, or move one of the two");
        faults.push(Fault::new(pointer, FaultCode::Contradiction, detail));
    }
}

fn under(
    recorded: &Room,
    storey: Option<&Storey>,
    room: &DrawnRoom<'_>,
    drawn: &[DrawnRoom<'_>],
    faults: &mut Vec<Fault>,
) {
    let Some(below) = recorded.below else { return };
    let (any, share, id) = there(room, -1, drawn, |_| true);
    let pointer = format!("{}/below", room.pointer);
    if below == Below::Rooms && any && share <= 0.0 {
        let detail = "`below` is `rooms`, and no drawn room of the storey below is under it: say what is under it, or move \
                      one of the two";
        faults.push(Fault::new(pointer, FaultCode::Contradiction, detail));
    } else if below != Below::Rooms && share > THERE_SHARE_MIN {
        let of = storey.map_or_else(String::new, |storey| format!(" of `{}`", storey.id));
        let detail =
            format!("`below` is `{below}`, and `{id}` is drawn under it{of}: say `rooms`, or move one of the two");
        faults.push(Fault::new(pointer, FaultCode::Contradiction, detail));
    }
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
