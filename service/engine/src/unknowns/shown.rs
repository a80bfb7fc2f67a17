//! Rooms that no cable gets to unseen: it is priced in trunking, the least damage there is, and the client is asked.

use super::{AnswerSubject, OpenQuestion, UnknownsContext};
use crate::catalogue::CableClass;
use crate::pricing::Cost;
use crate::site::RoomIndex;
use crate::take_off::ItemKind;
use crate::unit_rates::FIXINGS_PER_M;

pub(super) fn shown(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let trunking = |room: RoomIndex| -> f64 {
        let items = asked.take_off.items.iter();
        items
            .filter(|item| item.what == ItemKind::MiniTrunking && item.room == Some(room))
            .map(|item| item.quantity)
            .sum()
    };
    let rooms: Vec<RoomIndex> = (0..asked.job.site.rooms.len())
        .filter(|room| asked.job.ways.room(*room).both_closed && trunking(*room) > 0.0)
        .collect();
    if rooms.is_empty() {
        return;
    }
    let shows = asked
        .cost_of(|item| item.what == ItemKind::MiniTrunking && item.room.is_some_and(|room| rooms.contains(&room)));
    let chased: Cost = rooms.iter().map(|room| along_the_wall(asked, *room, trunking(*room))).sum();
    found.push(OpenQuestion {
        subject: AnswerSubject::NoHiddenWay,
        places: super::rooms(rooms.iter().copied()),
        answers: asked.answers(AnswerSubject::NoHiddenWay, |value| match value.figure().unwrap_or(0.0) {
            figure if figure < 1.0 => Cost::ZERO,
            figure if figure < 2.0 => chased - shows,
            _ => Cost::ZERO - shows,
        }),
        part: None,
        change: None,
    });
}

/// A way as long in the wall itself: chased and filled, or fished where the wall is hollow.
pub(super) fn along_the_wall(asked: &UnknownsContext<'_>, index: RoomIndex, metres: f64) -> Cost {
    let room = &asked.job.site.rooms[index];
    let (operations, materials) = (&asked.job.workbook.operations, &asked.job.workbook.materials);
    let cost = match asked.job.workbook.wall_work(room.wall).chases {
        Some([single, _]) => {
            let cut = asked.work(single, metres)
                + asked.material(materials.capping, metres)
                + asked.material(materials.fixing, metres * FIXINGS_PER_M);
            if asked.job.site.making_good {
                cut + asked.work(operations.fill_chase, metres) + asked.material(materials.filler, metres)
            } else {
                cut
            }
        }
        None => {
            let cable = asked.job.cable(CableClass::Sockets);
            asked.work(cable.fished(), metres) - asked.work(cable.open(), metres)
        }
    };
    cost * asked.crowding(room)
}
