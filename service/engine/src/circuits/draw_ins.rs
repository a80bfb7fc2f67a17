//! Draw-in runs for what may come: conduit with a draw wire from the board, where each ends and which way it goes.

use std::collections::BTreeMap;

use crate::catalogue::{CableClass, Catalogue, DrawsIn};
use crate::geometry::axis_distance;
use crate::quantities::Metres;
use crate::routes::{BENDS, Routing, Run};
use crate::site::{FuturePlace, Location, RoomIndex, Site};
use crate::survey::{FutureType, Position, RoomUse};

/// Where a draw-in run ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DrawInEnd {
    /// Under the roof, or at which wall.
    pub side: DrawsIn,
    /// The room; absent where it is not known.
    pub room: Option<RoomIndex>,
}

/// A draw-in run, with what it is laid for.
#[derive(Debug, Clone)]
pub struct DrawIn {
    /// What may come and would be drawn in.
    pub futures: Vec<FutureType>,
    /// Under the roof or at which wall it ends, and in which room.
    pub ends: DrawInEnd,
    /// Whether it goes out through the wall.
    pub through_the_wall: bool,
    /// Its length.
    pub metres: Metres,
    /// Its way, where the house was drawn.
    pub run: Option<Run>,
    /// Where it ends and how high, where that is known.
    pub end: Option<(Location, Metres)>,
    /// Whether its end was recorded, or taken.
    pub recorded: bool,
}

impl DrawIn {
    /// Its way with its reasons, for the routes.
    pub(crate) fn explained(&self, ways: &Routing<'_>) -> Option<Run> {
        let (end, height) = self.end?;
        ways.between_explained(ways.site().board, end, height, CableClass::DrawIn)
    }
}

/// What tells one draw-in run from another: where it goes, and the place that was recorded for it.
type Target = (DrawsIn, Option<RoomIndex>, Option<[u64; 2]>);

/// The draw-in runs of a house: one for each place, whatever may come there.
pub(super) fn draw_ins(ways: &Routing<'_>, catalogue: &Catalogue) -> Vec<DrawIn> {
    let site = ways.site();
    let mut targets: BTreeMap<Target, (FuturePlace, Vec<FutureType>)> = BTreeMap::new();
    for (future, place) in site.future.iter().zip(&site.future_places) {
        let draws_in = catalogue.provision(*future).draws_in;
        if draws_in == DrawsIn::None {
            continue;
        }
        let at = place.at.map(|at| [at.x_m.to_bits(), at.y_m.to_bits()]);
        let entry = targets.entry((draws_in, place.room, at)).or_insert_with(|| (*place, Vec::new()));
        if !entry.1.contains(future) {
            entry.1.push(*future);
        }
    }
    let runs = targets.into_iter().map(|((draws_in, _, _), (place, mut futures))| {
        futures.sort_unstable_by_key(|future| *future as usize);
        draw_in(ways, draws_in, place, futures)
    });
    runs.collect()
}

fn draw_in(ways: &Routing<'_>, draws_in: DrawsIn, place: FuturePlace, futures: Vec<FutureType>) -> DrawIn {
    /// It leaves the house this high. Common practice, no source.
    const LEAVES_AT: Metres = Metres::new(0.3);
    /// From the board to the void, and out of it at the other end, where nothing was drawn. Common practice, no source.
    const ENDS_M: f64 = 2.0;
    let site = ways.site();
    let board = site.board;
    let recorded = place.room.is_some() || place.at.is_some();
    let spot = match draws_in {
        DrawsIn::Loft => under_the_roof(site, place),
        DrawsIn::Front | DrawsIn::Back | DrawsIn::None => at_the_wall(ways, place, draws_in),
    };
    let room = spot.and_then(|spot| spot.room);
    let through_the_wall = draws_in != DrawsIn::Loft;
    // Into the roof it is left over the ceiling; to a wall it comes down to where it goes out.
    let height = match room {
        Some(room) if !through_the_wall => site.rooms[room].height,
        _ => LEAVES_AT,
    };
    let run = spot.and_then(|spot| ways.between_on_the_map(board, spot, height, CableClass::DrawIn));
    let metres = run.as_ref().map_or_else(
        || {
            let plan = match spot {
                Some(spot) => ways.between_spots(board, spot),
                None => ways.to_far_side(board),
            };
            plan * BENDS + Metres::new(ENDS_M)
        },
        |run| run.metres,
    );
    let end = spot.map(|spot| (spot, height));
    let ends = DrawInEnd { side: draws_in, room };
    DrawIn { futures, ends, through_the_wall, metres, run, end, recorded }
}

/// Over the ceiling of the room that was named; else of the room under the roof that is nearest to the board.
fn under_the_roof(site: &Site, place: FuturePlace) -> Option<Location> {
    let under_it = |room: RoomIndex| {
        let plan = &site.rooms[room];
        plan.level == site.top_level && plan.is_inside() && plan.room_use != RoomUse::Loft
    };
    let named = place.room.filter(|room| under_it(*room));
    let meant = place.at.or(site.board.at);
    let from_it = |room: &RoomIndex| match (&site.rooms[*room].outline, meant) {
        (Some(outline), Some(at)) => axis_distance(outline.on_wall(outline.along(at)), at),
        _ => Metres::ZERO,
    };
    let nearest = (0..site.rooms.len())
        .filter(|room| under_it(*room))
        .min_by(|a, b| from_it(a).value().total_cmp(&from_it(b).value()).then(a.cmp(b)));
    let room = named.or(nearest)?;
    let outline = site.rooms[room].outline.as_ref();
    let at = outline.map(|outline| meant.map_or_else(|| outline.middle(), |at| outline.on_wall(outline.along(at))));
    Some(Location { room: Some(room), level: site.rooms[room].level, at, height: None })
}

/// On the inside of the outside wall: in the room that was named, else nearest to the place that was marked, else in the
/// middle of the front or the back.
fn at_the_wall(ways: &Routing<'_>, place: FuturePlace, side: DrawsIn) -> Option<Location> {
    /// So far off the wall nothing else is nearer to it.
    const OFF_M: f64 = 5.0;
    let site = ways.site();
    let outline = site.outside_walls.get(&0).and_then(|outlines| outlines.first());
    let beside = outline.map(|outline| {
        let (least, greatest) = outline.bounds();
        let x_m = (least.x_m + greatest.x_m) / 2.0;
        let y_m = if side == DrawsIn::Front { least.y_m - OFF_M } else { greatest.y_m + OFF_M };
        Position { x_m, y_m }
    });
    if let Some(room) = place.room {
        let plan = &site.rooms[room];
        if plan.is_inside() {
            let at = plan.outline.as_ref().map(|outline| {
                place.at.or(beside).map_or_else(|| outline.middle(), |at| outline.on_wall(outline.along(at)))
            });
            return Some(Location { room: Some(room), level: plan.level, at, height: None });
        }
    }
    ways.leaves_towards(place.at.or(beside)?)
}
