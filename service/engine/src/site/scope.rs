//! What kind of job it is, and so what of the installation stays.

use std::collections::BTreeMap;

use super::rooms::{marked, outline};
use crate::survey::{BoardCondition, Point, PointType, Position, Room, Scope, Survey};

/// Points up to which a survey that does not say what it is may be an addition. Common practice, no source: what one
/// visit does.
const POINTS_OF_AN_ADDITION_MAX: u64 = 8;
/// Rooms up to which it may. Common practice, no source.
const ROOMS_OF_AN_ADDITION_MAX: usize = 2;
/// Drawn rooms on one storey from which it is the plan of a storey. Common practice, no source.
const ROOMS_OF_A_STOREY: usize = 3;

/// What kind of job it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ScopePlan {
    /// The kind.
    pub kind: Scope,
    /// Whether it was taken from what is asked, as the survey does not say.
    pub assumed: bool,
}

impl ScopePlan {
    /// As recorded; else as what is asked lets one think.
    #[must_use]
    pub fn of(survey: &Survey) -> Self {
        match survey.scope {
            Some(kind) => Self { kind, assumed: false },
            None if is_small(survey) => Self { kind: Scope::Addition, assumed: true },
            None => Self { kind: Scope::Rewire, assumed: true },
        }
    }

    /// Whether the house is wired anew, as a whole or in part: board, tails and bonds with it.
    #[must_use]
    pub const fn rewires(self) -> bool {
        matches!(self.kind, Scope::Rewire | Scope::PartialRewire)
    }

    /// Whether the board, its tails and the earthing stay.
    #[must_use]
    pub const fn board_stays(self) -> bool {
        matches!(self.kind, Scope::Addition | Scope::Alteration | Scope::SingleCircuit)
    }

    /// Whether points are joined to circuits that are there.
    #[must_use]
    pub const fn extends(self) -> bool {
        matches!(self.kind, Scope::Addition | Scope::Alteration | Scope::BoardChange)
    }
}

/// Whether a survey that does not say so asks for no more than an addition.
fn is_small(survey: &Survey) -> bool {
    let wanted = |point: &&Point| point.stays != Some(true);
    let count = |points: &[Point]| -> u64 {
        points.iter().filter(wanted).map(|point| u64::from(point.count.unwrap_or(1))).sum()
    };
    let rooms = survey.rooms.iter().map(|room| count(&room.points) + room.appliances.len() as u64);
    let buildings =
        survey.outbuildings.iter().map(|building| count(&building.points) + building.appliances.len() as u64);
    let worked_on: Vec<u64> = rooms.chain(buildings).filter(|count| *count > 0).collect();
    let points: u64 = survey.rooms.iter().map(|room| count(&room.points)).sum::<u64>()
        + survey.outbuildings.iter().map(|building| count(&building.points)).sum::<u64>();
    let strips = survey.existing.as_ref().is_some_and(|existing| {
        existing.points_to_strip.is_some_and(|points| points > 0)
            || existing.storage_heaters.is_some_and(|heaters| heaters > 0)
    });
    points <= POINTS_OF_AN_ADDITION_MAX
        && worked_on.len() <= ROOMS_OF_AN_ADDITION_MAX
        && !asks_for_a_board(survey)
        && !strips
        && !draws_a_storey(survey)
}

/// A board is asked for where its place is given and none is said to hang there.
fn asks_for_a_board(survey: &Survey) -> bool {
    survey.consumer_unit.as_ref().is_some_and(|unit| match &unit.existing {
        None => true,
        Some(board) => {
            board.condition == Some(BoardCondition::None) || board.room.as_ref().is_some_and(|room| *room != unit.room)
        }
    })
}

/// Whether the plan of a storey is there.
fn draws_a_storey(survey: &Survey) -> bool {
    let drawn = survey.rooms.iter().filter(|room| room.outline.is_some() || !room.corners.is_empty());
    let mut storeys: BTreeMap<Option<&str>, usize> = BTreeMap::new();
    drawn.for_each(|room| *storeys.entry(room.storey.as_deref()).or_default() += 1);
    storeys.values().any(|rooms| *rooms >= ROOMS_OF_A_STOREY)
}

/// A point that is there and stays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StayingPoint {
    /// The kind.
    pub kind: PointType,
    /// Where it stands, if it was marked.
    pub at: Option<Position>,
}

/// What of a room's points stays.
pub(super) fn staying(room: &Room) -> Vec<StayingPoint> {
    let stays = room.points.iter().filter(|point| point.stays == Some(true) && point.count != Some(0));
    let shape = outline(room.outline, &room.corners);
    stays.map(|point| StayingPoint { kind: point.point_type, at: marked(point, shape.as_ref()) }).collect()
}
