//! Outbuildings that could be fed from one another: the way between them, and which of the two feeds a building has.

use geo::{Distance, Euclidean};

use super::assume::{Assumed, Assumptions};
use super::rooms::RoomPlan;
use super::supply::OutbuildingPlan;
use crate::checks::CheckName;
use crate::geometry::{Shape, straight};
use crate::quantities::Metres;
use crate::survey::{Ground, Outbuilding, Position, Survey};
use crate::work::{WorkBudget, WorkPart};

/// A buried run is so much longer than the straight line. Source: domain practice, from memory.
pub(crate) const WINDING: f64 = 1.3;
/// The shortest run between two buildings, which may touch. Common practice, no source.
const RUN_M_MIN: f64 = 0.5;

/// A way to feed an outbuilding that it does not have: onward from another one, or from the house where it has that.
#[derive(Debug, Clone, PartialEq)]
pub struct Onward {
    /// The outbuilding from whose board it could be fed.
    pub from: usize,
    /// The buried run of the way that is not taken, by ground.
    pub stretches: Vec<(Ground, Metres)>,
    /// Whether the survey says which way it is to be.
    pub decided_by_survey: bool,
}

/// What the feed that was not taken would come to.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherFeed {
    /// Metres of armoured cable more.
    pub metres: f64,
    /// Hours more, of the whole job.
    pub hours: f64,
    /// Direct cost more, of the whole job.
    pub money: f64,
    /// The first circuit that would not comply; absent where all would.
    pub fails: Option<FeedFailure>,
}

/// A circuit of an outbuilding that does not comply.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FeedFailure {
    /// Its name on the chart.
    pub circuit: String,
    /// In what.
    pub fault: FeedFault,
}

/// In what a circuit of an outbuilding does not comply.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FeedFault {
    /// Its figures are beyond the tables, so that it could not be checked.
    BeyondTables,
    /// It carries more than the largest device of its kind.
    AboveLargestDevice,
    /// It fails these checks.
    Checks(Vec<CheckName>),
}

impl OutbuildingPlan {
    /// Feeds it the other way: onward in place of from the house, or the other way about.
    pub fn feed_the_other_way(&mut self) {
        if let Some(onward) = &mut self.onward {
            self.via = if self.via.is_some() { None } else { Some(onward.from) };
            std::mem::swap(&mut self.stretches, &mut onward.stretches);
        }
    }
}

/// Finds for each outbuilding the one that it could be fed from; where the survey asks for it, it is.
pub(super) fn find(
    survey: &Survey,
    rooms: &[RoomPlan],
    buildings: &mut [OutbuildingPlan],
    assumptions: &mut Assumptions,
    work: &WorkBudget,
) {
    let mut recorded: Vec<&Outbuilding> = survey.outbuildings.iter().collect();
    recorded.sort_by(|a, b| a.id.cmp(&b.id));
    let ids: Vec<&str> = recorded.iter().map(|building| building.id.as_str()).collect();
    for (index, building) in recorded.iter().enumerate() {
        if building.fed_onward == Some(false) || !has_a_board(rooms, &buildings[index]) {
            continue;
        }
        let Some((from, run)) = way((building, index), &ids, rooms, buildings, work) else { continue };
        let usual = buildings[index].stretches.last().map_or(Ground::Lawn, |(ground, _)| *ground);
        let ground = building.onward_ground.unwrap_or(usual);
        if building.onward_m.is_none() {
            assumptions.room(Assumed::OnwardRun { from, run, ground }, &building.id);
        }
        let decided_by_survey = building.fed_onward == Some(true);
        buildings[index].onward = Some(Onward { from, stretches: vec![(ground, run)], decided_by_survey });
        if decided_by_survey {
            buildings[index].feed_the_other_way();
        }
    }
}

fn has_a_board(rooms: &[RoomPlan], building: &OutbuildingPlan) -> bool {
    let room = &rooms[building.room];
    !room.points.is_empty() || !room.appliances.is_empty()
}

/// From where, and how far: as recorded, else from the only other one, else from the nearest that was drawn.
fn way(
    (building, index): (&Outbuilding, usize),
    ids: &[&str],
    rooms: &[RoomPlan],
    buildings: &[OutbuildingPlan],
    work: &WorkBudget,
) -> Option<(usize, Metres)> {
    const STEPS_OF_A_CORNER: u64 = 100;
    let outline = |building: usize| rooms[buildings[building].room].outline.as_ref();
    let apart = |other: usize| {
        let corners = (outline(index)?.corners().len() + outline(other)?.corners().len()) as u64;
        if !work.spend(WorkPart::Plans, corners * STEPS_OF_A_CORNER) {
            return None;
        }
        let straight = Euclidean.distance(outline(index)?.polygon(), outline(other)?.polygon());
        Some(Metres::new((straight * WINDING).max(RUN_M_MIN)).rounded(2))
    };
    let run = |other: usize| building.onward_m.map(Metres::new).or_else(|| apart(other));
    let others = || (0..buildings.len()).filter(|other| *other != index && has_a_board(rooms, &buildings[*other]));
    if let Some(from) = &building.onward_from {
        let from = others().find(|other| ids[*other] == from)?;
        return Some((from, run(from)?));
    }
    if buildings.len() == 2 {
        let from = others().next()?;
        return Some((from, run(from)?));
    }
    nearest(others().filter_map(|other| Some((other, apart_at_least(outline(index)?, outline(other)?)))), apart)
}

/// The nearest of the others, the first of those as near; measured only where it may be that.
fn nearest(
    others: impl Iterator<Item = (usize, f64)>,
    apart: impl Fn(usize) -> Option<Metres>,
) -> Option<(usize, Metres)> {
    /// More than runs are rounded by.
    const ROUNDED_M: f64 = 0.01;
    let mut others: Vec<(usize, f64)> = others.collect();
    others.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let mut best: Option<(usize, Metres)> = None;
    for (other, at_least) in others {
        if best.is_some_and(|(_, run)| at_least * WINDING > run.value() + ROUNDED_M) {
            break;
        }
        let Some(run) = apart(other) else { continue };
        let is_nearer =
            |(before, known): (usize, Metres)| run.value().total_cmp(&known.value()).then(other.cmp(&before)).is_lt();
        if best.is_none_or(is_nearer) {
            best = Some((other, run));
        }
    }
    best
}

/// Metres between the rectangles round two outlines: never more than between the outlines.
fn apart_at_least(one: &Shape, other: &Shape) -> f64 {
    let ((from, to), (least, greatest)) = (one.bounds(), other.bounds());
    let gap = |from: f64, to: f64, least: f64, greatest: f64| (least - to).max(from - greatest).max(0.0);
    let (x_m, y_m) = (gap(from.x_m, to.x_m, least.x_m, greatest.x_m), gap(from.y_m, to.y_m, least.y_m, greatest.y_m));
    straight(Position { x_m: 0.0, y_m: 0.0 }, Position { x_m, y_m })
}
