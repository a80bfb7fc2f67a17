//! Which void serves each room: below the floor, over the ceiling, in the loft, or on the surface.
//!
//! 'Think of voids as roads and of walls as the last two metres': a floor that lifts takes the short rise; a solid
//! floor or a covering that does not lift takes the drop; where both are closed the cable shows.

use crate::catalogue::Catalogue;
use crate::site::{Patches, RoomIndex, RoomPlan, Site};
use crate::survey::{Above, Below, CeilingConstruction, Medium, RoomUse};
use crate::unit_rates::Void;

/// A void that is opened once and then shared by every run through it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Opening {
    /// The floor of this room is lifted along one line.
    Floor(RoomIndex),
    /// The floors of this level are lifted, room by room; which room lies over which is not known.
    Storey(i8),
    /// A hole through the wall between two rooms.
    Wall {
        /// One room.
        from: RoomIndex,
        /// The other.
        to: RoomIndex,
        /// Whether it is drilled in the void, and not at the foot of the wall.
        void: bool,
        /// The room whose wall it is.
        room: RoomIndex,
    },
    /// A chase or drilled plates up a corner of a room.
    Riser {
        /// The room.
        room: RoomIndex,
        /// Which of its corners.
        corner: usize,
        /// How far up, in millimetres.
        metres_mm: u32,
    },
    /// A hole through the outside wall of a room.
    Outside(RoomIndex),
    /// A hole through the slab of a floor without a void, and the way up to it.
    Slab {
        /// The room on the slab.
        room: RoomIndex,
        /// The room under it.
        under: RoomIndex,
    },
}

/// A way into a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Access {
    /// The medium.
    pub medium: Medium,
    /// How it is to work in.
    pub void: Void,
    /// Whether cables come up from below; they drop from above otherwise.
    pub rises: bool,
    /// What has to be opened for it.
    pub opening: Option<Opening>,
}

/// The ways into one room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomWays {
    /// For points low on the wall.
    pub low: Access,
    /// For the ceiling and for switches.
    pub high: Access,
    /// Whether the floor hides a void that its covering keeps shut.
    pub covering_in_the_way: bool,
    /// Whether neither the floor nor the ceiling lets a cable through unseen.
    pub both_closed: bool,
}

pub(super) fn room_ways(site: &Site, catalogue: &Catalogue, patches: &Patches) -> Vec<RoomWays> {
    let opens: Vec<bool> = site.rooms.iter().map(|room| floor_opens(room, catalogue)).collect();
    let storeys = storeys_that_open(site, &opens);
    site.rooms
        .iter()
        .enumerate()
        .map(|(index, room)| {
            let high = ceiling(site, index, room, patches, &opens, &storeys);
            let low = floor(site, index, room, patches, &opens).unwrap_or(high);
            RoomWays {
                low,
                high,
                covering_in_the_way: catalogue.floor(room.floor).void && !catalogue.covering(room.covering).lifts,
                both_closed: !room.surface && matches!(low.void, Void::Trunking),
            }
        })
        .collect()
}

/// The ways that the plan chose for each room, in place of the usual ones.
pub(super) fn as_planned(
    network: &super::network::Network<'_>,
    approaches: &super::sharing::Approaches,
    rooms: &mut [RoomWays],
) {
    use super::network::Approach;
    use super::sharing::Class;
    for ((room, class), approach) in approaches {
        let middle = network.site.rooms[*room].shape.middle();
        let Some(bay) = network.bay(*room, middle, *approach) else { continue };
        let bay = &network.map.bays[bay];
        let access = Access {
            medium: bay.medium,
            void: bay.void,
            rises: *approach == Approach::Rise,
            opening: bay.opening.map(|opening| network.map.openings[opening].opening),
        };
        match class {
            Class::Low => rooms[*room].low = access,
            Class::High => rooms[*room].high = access,
        }
    }
    for (room, ways) in rooms.iter_mut().enumerate() {
        let bays = network.map.rooms[room];
        let middle = network.site.rooms[room].shape.middle();
        let exposed = |class: Class| match approaches.get(&(room, class)) {
            Some(Approach::Foot) => true,
            Some(approach) => bays.head.is_some() && network.bay(room, middle, *approach) == bays.head,
            None => false,
        };
        let shown = exposed(Class::Low) || exposed(Class::High);
        ways.both_closed = shown && !network.site.rooms[room].surface;
    }
}

fn floor_opens(room: &RoomPlan, catalogue: &Catalogue) -> bool {
    catalogue.floor(room.floor).void && catalogue.covering(room.covering).lifts
}

/// Levels on which more than half of the floor area can be lifted.
fn storeys_that_open(site: &Site, opens: &[bool]) -> std::collections::BTreeMap<i8, bool> {
    let mut areas: std::collections::BTreeMap<i8, (f64, f64)> = std::collections::BTreeMap::new();
    for (room, opens) in site.rooms.iter().zip(opens).filter(|(room, _)| room.is_inside()) {
        let (open, all) = areas.entry(room.level).or_default();
        *all += room.area.value();
        *open += if *opens { room.area.value() } else { 0.0 };
    }
    areas.into_iter().map(|(level, (open, all))| (level, open * 2.0 > all)).collect()
}

const SURFACE: Access = Access { medium: Medium::SurfaceClipped, void: Void::Surface, rises: false, opening: None };
const TRUNKING: Access = Access { medium: Medium::MiniTrunking, void: Void::Trunking, rises: false, opening: None };

fn ceiling(
    site: &Site,
    index: RoomIndex,
    room: &RoomPlan,
    patches: &Patches,
    opens: &[bool],
    storeys: &std::collections::BTreeMap<i8, bool>,
) -> Access {
    let from_above = |medium, void, opening| Access { medium, void, rises: false, opening };
    if room.room_use == RoomUse::Outside {
        return Access { medium: Medium::ExternalWall, void: Void::Surface, rises: false, opening: None };
    }
    if room.surface {
        return SURFACE;
    }
    if room.ceiling == CeilingConstruction::Concrete || room.stack.above == Above::AnotherDwelling {
        return TRUNKING;
    }
    let closed = from_above(Medium::CeilingVoid, Void::Closed, None);
    if room.level >= site.top_level {
        let open = room.stack.above == Above::RoofVoid
            && !matches!(room.ceiling, CeilingConstruction::Vaulted | CeilingConstruction::ExposedBeams);
        return if open { from_above(Medium::Loft, Void::Open, None) } else { closed };
    }
    if let Some(outline) = room.outline.as_ref().filter(|_| site.measured) {
        // Nothing over a room below the top is a flat or lean-to roof: its void is closed.
        let above = patches.room_at(&site.rooms, room.level.saturating_add(1), outline.middle());
        return match above {
            Some(above) if above != index && opens[above] => {
                from_above(Medium::CeilingVoid, Void::Joists, Some(Opening::Floor(above)))
            }
            _ => closed,
        };
    }
    let level = room.level.saturating_add(1);
    if storeys.get(&level).copied().unwrap_or(false) {
        from_above(Medium::CeilingVoid, Void::Joists, Some(Opening::Storey(level)))
    } else {
        closed
    }
}

/// The way up from below; absent where the floor gives none.
fn floor(site: &Site, index: RoomIndex, room: &RoomPlan, patches: &Patches, opens: &[bool]) -> Option<Access> {
    if room.room_use == RoomUse::Outside || room.surface {
        return None;
    }
    let has_void = crate::survey::FloorConstruction::SuspendedTimber == room.floor
        || crate::survey::FloorConstruction::ChipboardOnJoists == room.floor;
    let middle = room.outline.as_ref().map(crate::geometry::Shape::middle);
    let over_cellar = has_void
        && middle
            .and_then(|at| patches.room_at(&site.rooms, room.level.saturating_sub(1), at))
            .is_some_and(|below| site.rooms[below].room_use == RoomUse::Cellar);
    if over_cellar {
        return Some(Access { medium: Medium::CellarSoffit, void: Void::Surface, rises: true, opening: None });
    }
    (opens[index] && room.stack.below != Below::AnotherDwelling).then_some(Access {
        medium: Medium::FloorVoid,
        void: Void::Joists,
        rises: true,
        opening: Some(Opening::Floor(index)),
    })
}
