//! Alarms: which rooms the category asks for, of which kind, and whether they reach.

use crate::checks::Verdict;
use crate::geometry::{Shape, straight};
use crate::site::{PointPlan, RoomIndex, RoomPlan, Site};
use crate::survey::{AlarmCategory, PointType, Position, RoomUse};

/// Greatest distance from any point of the ceiling to a smoke alarm. Source: BS 5839-6, from memory; the same 7.5 m from
/// every door of a habitable room in Approved Document B, seen.
pub const SMOKE_REACH_M: f64 = 7.5;
/// Greatest distance from any point of the ceiling to a heat alarm. Source: BS 5839-6, seen in a maker's manual.
const HEAT_REACH_M: f64 = 5.3;
/// From a bedroom's door to the smoke alarm that is to wake who sleeps there. Source: BS 5839-6, seen as above.
pub const BEDROOM_REACH_M: f64 = 3.0;
/// From walls and light fittings. Source: Approved Document B, seen.
pub const FROM_WALL_M: f64 = 0.3;
/// Places of a room that are looked at along each side.
const PLACES_ALONG: u32 = 20;

/// The kind of alarm that a room wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlarmKind {
    /// Smoke.
    Smoke,
    /// Heat, where cooking or exhaust would set a smoke alarm off.
    Heat,
}

impl AlarmKind {
    /// The word on the wire.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Smoke => "smoke",
            Self::Heat => "heat",
        }
    }

    const fn reach_m(self) -> f64 {
        match self {
            Self::Smoke => SMOKE_REACH_M,
            Self::Heat => HEAT_REACH_M,
        }
    }
}

/// One room of the category, or a storey.
#[derive(Debug, Clone, PartialEq)]
pub struct AlarmFinding {
    /// The room; none for a storey.
    pub room: Option<RoomIndex>,
    /// The level.
    pub level: i8,
    /// The kind that the category asks for.
    pub wants: AlarmKind,
    /// Alarms recorded in it, whatever their kind.
    pub recorded: u32,
    /// The greatest distance that was found, where it could be measured.
    pub reach_m: Option<f64>,
    /// What follows.
    pub verdict: Verdict,
    /// What was found.
    pub seen: AlarmSeen,
}

/// What was found of the alarms in a room, or on a storey.
#[derive(Debug, Clone, PartialEq)]
pub enum AlarmSeen {
    /// The category asks for one and none was recorded.
    Missing,
    /// A smoke alarm where cooking or exhaust will set it off.
    SmokeInPlaceOfHeat,
    /// The room is not drawn, so that nothing can be measured.
    NotDrawn {
        /// How far one reaches.
        limit_m: f64,
    },
    /// How far the farthest place of the ceiling is.
    Measured(AlarmReach),
    /// Whether any stands on the storey.
    OnStorey,
}

/// How far alarms are from what they watch.
#[derive(Debug, Clone, PartialEq)]
pub struct AlarmReach {
    /// From the farthest place of the ceiling to the nearest of them.
    pub farthest_m: f64,
    /// How far one reaches.
    pub limit_m: f64,
    /// Whether all of them are marked; they are shared out evenly otherwise.
    pub marked: bool,
    /// Whether one is marked too near to a wall.
    pub near_wall: bool,
    /// Doors that are too far away.
    pub doors: Option<FarDoors>,
}

/// Rooms whose doors are too far from the alarm on the way out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FarDoors {
    /// Farther than it is to be heard from.
    TooFar(Vec<RoomIndex>),
    /// Farther than wakes who sleeps there.
    TooFarToWake(Vec<RoomIndex>),
}

impl FarDoors {
    const fn verdict(&self) -> Verdict {
        match self {
            Self::TooFar(_) => Verdict::Fail,
            Self::TooFarToWake(_) => Verdict::Advise,
        }
    }
}

/// The kind of alarm that a category asks for in a room. Source: BS 5839-6 categories as printed in a fire safety
/// guide: LD3 escape routes; LD2 with the kitchen and the main living room; LD1 nearly every room.
#[must_use]
pub const fn wanted(category: AlarmCategory, room_use: RoomUse) -> Option<AlarmKind> {
    match (category, room_use) {
        (_, RoomUse::Hall | RoomUse::Landing) => Some(AlarmKind::Smoke),
        (AlarmCategory::Ld3, _) => None,
        (_, RoomUse::Kitchen | RoomUse::KitchenDiner) => Some(AlarmKind::Heat),
        (_, RoomUse::Living) => Some(AlarmKind::Smoke),
        (AlarmCategory::Ld2, _) => None,
        (AlarmCategory::Ld1, RoomUse::Bathroom | RoomUse::Cloakroom | RoomUse::Outside | RoomUse::Store) => None,
        (AlarmCategory::Ld1, RoomUse::Garage | RoomUse::Utility) => Some(AlarmKind::Heat),
        (
            AlarmCategory::Ld1,
            RoomUse::Dining
            | RoomUse::Bedroom
            | RoomUse::Study
            | RoomUse::Conservatory
            | RoomUse::Cellar
            | RoomUse::Loft
            | RoomUse::Other,
        ) => Some(AlarmKind::Smoke),
    }
}

/// Every room that the category asks for, and every storey.
pub(super) fn findings(site: &Site) -> Vec<AlarmFinding> {
    let rooms = site.rooms.iter().enumerate().filter(|(_, room)| room.is_inside());
    let mut found: Vec<AlarmFinding> = rooms
        .filter_map(|(index, room)| Some(in_room(site, index, room, wanted(site.alarms, room.room_use)?)))
        .collect();
    found.extend(storeys(site));
    found
}

fn alarms(room: &RoomPlan, kinds: &[PointType]) -> Vec<PointPlan> {
    room.points.iter().filter(|point| kinds.contains(&point.kind)).cloned().collect()
}

fn in_room(site: &Site, index: RoomIndex, room: &RoomPlan, wants: AlarmKind) -> AlarmFinding {
    let here = alarms(room, &[PointType::SmokeAlarm, PointType::HeatAlarm]);
    let recorded: u32 = here.iter().map(|point| point.count).sum();
    let finding = |reach_m, verdict, seen| AlarmFinding {
        room: Some(index),
        level: room.level,
        wants,
        recorded,
        reach_m,
        verdict,
        seen,
    };
    if recorded == 0 {
        return finding(None, Verdict::Fail, AlarmSeen::Missing);
    }
    if wants == AlarmKind::Heat && !here.iter().any(|point| point.kind == PointType::HeatAlarm) {
        return finding(None, Verdict::Advise, AlarmSeen::SmokeInPlaceOfHeat);
    }
    let limit_m =
        if here.iter().any(|point| point.kind == PointType::SmokeAlarm) { SMOKE_REACH_M } else { wants.reach_m() };
    let Some(outline) = &room.outline else {
        return finding(None, Verdict::Advise, AlarmSeen::NotDrawn { limit_m });
    };
    let way_out = matches!(room.room_use, RoomUse::Hall | RoomUse::Landing);
    let reach = AlarmReach {
        farthest_m: reach(outline, &here, recorded),
        limit_m,
        marked: here.iter().all(|point| point.at.is_some()),
        near_wall: near_wall(outline, &here),
        doors: if way_out { doors(site, room, outline, &here) } else { None },
    };
    let verdict = if reach.farthest_m <= limit_m { Verdict::Pass } else { Verdict::Fail };
    let verdict = if reach.near_wall { verdict.max(Verdict::Advise) } else { verdict };
    let verdict = reach.doors.as_ref().map_or(verdict, |doors| verdict.max(doors.verdict()));
    finding(Some((reach.farthest_m * 100.0).round() / 100.0), verdict, AlarmSeen::Measured(reach))
}

/// The marked places of the alarms; none unless all of them are marked.
fn marked(alarms: &[PointPlan]) -> Option<Vec<Position>> {
    alarms.iter().map(|point| point.at).collect()
}

/// Width and depth of the rectangle round an outline.
fn sides(outline: &Shape) -> (f64, f64) {
    let (least, greatest) = outline.bounds();
    (greatest.x_m - least.x_m, greatest.y_m - least.y_m)
}

/// From the farthest place of the ceiling to the nearest alarm. Alarms that are not marked divide the longer side evenly
/// and stand in the middle of their part, which is the best that so many can do; of a room that is no rectangle, the
/// rectangle round it is taken, on the safe side.
fn reach(outline: &Shape, alarms: &[PointPlan], count: u32) -> f64 {
    let (width, depth) = sides(outline);
    let Some(places) = marked(alarms) else {
        let (long, short) = (width.max(depth), width.min(depth));
        return libm::hypot(long / f64::from(count) / 2.0, short / 2.0);
    };
    let least = outline.bounds().0;
    let along = |share: u32| f64::from(share) / f64::from(PLACES_ALONG);
    let grid = (0..=PLACES_ALONG).flat_map(|column| (0..=PLACES_ALONG).map(move |row| (column, row)));
    grid.map(|(column, row)| Position { x_m: least.x_m + width * along(column), y_m: least.y_m + depth * along(row) })
        .filter(|place| outline.holds(*place))
        .chain(outline.corners().iter().copied())
        .map(|place| places.iter().map(|at| straight(*at, place)).fold(f64::INFINITY, f64::min))
        .fold(0.0, f64::max)
}

fn near_wall(outline: &Shape, alarms: &[PointPlan]) -> bool {
    alarms.iter().filter_map(|point| point.at).any(|at| straight(outline.on_wall(outline.along(at)), at) < FROM_WALL_M)
}

/// Rooms of the storey that are slept or lived in, from the alarm on the way out. Doors are not recorded, so the nearest
/// place of each room is taken: what is too far even so is certainly too far.
fn doors(site: &Site, here: &RoomPlan, outline: &Shape, alarms: &[PointPlan]) -> Option<FarDoors> {
    let places = marked(alarms).unwrap_or_else(|| vec![outline.middle()]);
    let distance = |room: &Shape| places.iter().map(|at| from_edge(*at, room)).fold(f64::INFINITY, f64::min);
    let mut too_far = Vec::new();
    let mut asleep = Vec::new();
    for (index, room) in site.rooms.iter().enumerate().filter(|(_, room)| room.is_inside() && room.level == here.level)
    {
        let Some(shape) = &room.outline else { continue };
        if !is_next_to(outline, shape) {
            continue;
        }
        if is_habitable(room.room_use) && distance(shape) > SMOKE_REACH_M {
            too_far.push(index);
        } else if room.room_use == RoomUse::Bedroom && distance(shape) > BEDROOM_REACH_M {
            asleep.push(index);
        }
    }
    if !too_far.is_empty() {
        return Some(FarDoors::TooFar(too_far));
    }
    (!asleep.is_empty()).then_some(FarDoors::TooFarToWake(asleep))
}

const fn is_habitable(room_use: RoomUse) -> bool {
    matches!(
        room_use,
        RoomUse::Living
            | RoomUse::Dining
            | RoomUse::Kitchen
            | RoomUse::KitchenDiner
            | RoomUse::Bedroom
            | RoomUse::Study
            | RoomUse::Conservatory
    )
}

fn from_edge(at: Position, room: &Shape) -> f64 {
    if room.holds(at) { 0.0 } else { straight(room.on_wall(room.along(at)), at) }
}

/// Whether the rectangles round two rooms share a wall.
fn is_next_to(one: &Shape, other: &Shape) -> bool {
    /// Walls between two rooms as they are drawn. Common practice, no source.
    const WALL_M: f64 = 0.35;
    let ((a, b), (c, d)) = (one.bounds(), other.bounds());
    let across = (c.x_m - b.x_m).max(a.x_m - d.x_m);
    let along = (c.y_m - b.y_m).max(a.y_m - d.y_m);
    across <= WALL_M && along <= WALL_M && (across < 0.0 || along < 0.0)
}

/// At least one smoke alarm on each storey that is lived on. Source: Approved Document B, seen.
fn storeys(site: &Site) -> Vec<AlarmFinding> {
    let mut levels: std::collections::BTreeMap<i8, u32> = std::collections::BTreeMap::new();
    for room in site.rooms.iter().filter(|room| room.is_inside() && room.room_use != RoomUse::Loft) {
        let smoke: u32 = alarms(room, &[PointType::SmokeAlarm]).iter().map(|point| point.count).sum();
        *levels.entry(room.level).or_insert(0) += smoke;
    }
    levels
        .into_iter()
        .map(|(level, recorded)| AlarmFinding {
            room: None,
            level,
            wants: AlarmKind::Smoke,
            recorded,
            reach_m: None,
            verdict: if recorded > 0 { Verdict::Pass } else { Verdict::Fail },
            seen: AlarmSeen::OnStorey,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::survey::Survey;
    use crate::work::WorkBudget;

    fn found(survey: serde_json::Value) -> Vec<AlarmFinding> {
        let survey: Survey = serde_json::from_value(survey).expect("a survey");
        findings(&Site::from_survey(&survey, &Catalogue::built_in(), &WorkBudget::unlimited()).0)
    }

    fn hall(length_m: f64, points: serde_json::Value) -> serde_json::Value {
        serde_json::json!({ "rooms": [{
            "id": "hall", "use": "hall", "points": points,
            "outline": { "x_m": 0, "y_m": 0, "width_m": 1.2, "depth_m": length_m }
        }] })
    }

    #[test]
    fn one_smoke_alarm_reaches_7_5_m_and_a_long_hall_wants_two() {
        // Source: BS 5839-6, 7.5 m to any point of the ceiling, from memory: half of 15 m is the edge.
        let one = serde_json::json!([{ "type": "smoke-alarm" }]);
        let two = serde_json::json!([{ "type": "smoke-alarm", "count": 2 }]);
        assert_eq!(found(hall(14.9, one.clone()))[0].verdict, Verdict::Pass);
        assert_eq!(found(hall(15.1, one))[0].verdict, Verdict::Fail);
        assert_eq!(found(hall(15.1, two))[0].verdict, Verdict::Pass);
    }

    #[test]
    fn an_alarm_marked_at_one_end_does_not_reach_the_other() {
        let marked = serde_json::json!([{ "type": "smoke-alarm", "at": { "x_m": 0.6, "y_m": 0.6 } }]);
        let far = &found(hall(10.0, marked))[0];
        assert_eq!(far.verdict, Verdict::Fail);
        assert!(far.reach_m.is_some_and(|reach| (reach - 9.42).abs() < 0.01), "{far:?}");
    }

    #[test]
    fn a_heat_alarm_reaches_5_3_m() {
        // Source: BS 5839-6, seen in a maker's manual: a square kitchen with half a diagonal of 5.3 m is 7.49 m wide.
        let kitchen = |side_m: f64| {
            serde_json::json!({ "rooms": [{
                "id": "kitchen", "use": "kitchen", "points": [{ "type": "heat-alarm" }],
                "outline": { "x_m": 0, "y_m": 0, "width_m": side_m, "depth_m": side_m }
            }] })
        };
        assert_eq!(found(kitchen(7.4))[0].verdict, Verdict::Pass);
        assert_eq!(found(kitchen(7.6))[0].verdict, Verdict::Fail);
    }

    #[test]
    fn the_categories_ask_for_escape_routes_then_risk_rooms_then_all() {
        // Source: BS 5839-6 categories, seen in a fire safety guide.
        use AlarmCategory::{Ld1, Ld2, Ld3};
        assert_eq!([Ld1, Ld2, Ld3].map(|category| wanted(category, RoomUse::Landing)), [Some(AlarmKind::Smoke); 3]);
        assert_eq!(wanted(Ld3, RoomUse::Kitchen), None);
        assert_eq!(wanted(Ld2, RoomUse::Kitchen), Some(AlarmKind::Heat));
        assert_eq!((wanted(Ld2, RoomUse::Bedroom), wanted(Ld1, RoomUse::Bedroom)), (None, Some(AlarmKind::Smoke)));
        assert_eq!(wanted(Ld1, RoomUse::Bathroom), None);
    }

    #[test]
    fn a_storey_without_a_smoke_alarm_is_not_let_pass() {
        // Source: Approved Document B, at least one on each storey, seen.
        let survey = serde_json::json!({ "rooms": [
            { "id": "hall", "use": "hall", "storey": "ground", "points": [{ "type": "smoke-alarm" }] },
            { "id": "bed", "use": "bedroom", "storey": "first", "points": [{ "type": "pendant" }] }
        ] });
        let storeys: Vec<(i8, Verdict)> = found(survey)
            .into_iter()
            .filter(|finding| finding.room.is_none())
            .map(|finding| (finding.level, finding.verdict))
            .collect();
        assert_eq!(storeys, [(0, Verdict::Pass), (1, Verdict::Fail)]);
    }
}
