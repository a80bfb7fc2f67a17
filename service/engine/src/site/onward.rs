//! Outbuildings that could be fed from one another: the way between them, and which of the two feeds a building has.

use geo::{Distance, Euclidean};

use super::assume::{Assumed, Assumptions};
use super::rooms::RoomPlan;
use super::supply::OutbuildingPlan;
use crate::checks::CheckName;
use crate::quantities::Metres;
use crate::survey::{Ground, Outbuilding, Survey};

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
) {
    let mut recorded: Vec<&Outbuilding> = survey.outbuildings.iter().collect();
    recorded.sort_by(|a, b| a.id.cmp(&b.id));
    let ids: Vec<&str> = recorded.iter().map(|building| building.id.as_str()).collect();
    for (index, building) in recorded.iter().enumerate() {
        if building.fed_onward == Some(false) || !has_a_board(rooms, &buildings[index]) {
            continue;
        }
        let Some((from, run)) = way(building, index, &ids, rooms, buildings) else { continue };
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
    building: &Outbuilding,
    index: usize,
    ids: &[&str],
    rooms: &[RoomPlan],
    buildings: &[OutbuildingPlan],
) -> Option<(usize, Metres)> {
    let apart = |other: usize| {
        let outline = |building: usize| rooms[buildings[building].room].outline.as_ref();
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
    let drawn = others().filter_map(|other| Some((other, apart(other)?)));
    drawn.min_by(|a, b| a.1.value().total_cmp(&b.1.value()).then(a.0.cmp(&b.0)))
}
