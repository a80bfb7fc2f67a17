//! What was taken where nothing was recorded, and why.

use std::borrow::Cow;

use super::routes::map_limits;
use crate::geometry::Position;
use crate::limits::{FEEDS_COMPARED_MAX, FEEDS_COMPARED_POINTS_MAX, FEEDS_COMPARED_ROOMS_MAX};
use crate::site::{
    Assumed, FabricAge, MovedFrom, StudFilling, USUAL_CUT_OUT_A, USUAL_DISTANCE_KM, USUAL_HEIGHT_M, USUAL_RUN_M,
    WINDING,
};
use crate::survey::{Above, Below, Finish, Ground, NeutralLoop, Occupancy, Parking, RoomUse, Scope};
use crate::take_off::Job;

/// What was taken.
pub(crate) fn taken(job: Job<'_>, assumed: Assumed) -> String {
    match assumed {
        Assumed::RoomSize(area_m2) => format!("{area_m2} m2"),
        Assumed::Height => format!("{USUAL_HEIGHT_M} m"),
        Assumed::Storey(level) => format!("level {level}"),
        Assumed::Load(kind) => {
            let usual = job.catalogue.appliance(kind);
            format!("{} {} kW", usual.label.to_lowercase(), usual.usual_kw)
        }
        Assumed::Ze(ohms) => format!("{ohms} ohm"),
        Assumed::CutOut => format!("{USUAL_CUT_OUT_A} A"),
        Assumed::BoardPlace(at) => format!("on a wall, {}", on_the_drawing(job, at)),
        Assumed::Intake(Some(room)) | Assumed::IntakeAtBoard(Some(room)) => job.site.rooms[room].name.clone(),
        Assumed::IntakePlace(at) => format!("on the front wall, {}", on_the_drawing(job, at)),
        Assumed::OutbuildingRun => format!("{USUAL_RUN_M} m"),
        Assumed::OnwardRun { run, ground, .. } => {
            format!("{:.1} m in {}", run.value(), ground.word().replace('-', " "))
        }
        Assumed::Distance => format!("{USUAL_DISTANCE_KM} km"),
        Assumed::PointsToStrip(points) => points.to_string(),
        Assumed::Visit => match job.visit {
            Some(visit) => {
                format!("done beside {}, which pays for {} days of the crew", visit.paid_by, visit.days_paid())
            }
            None => String::new(),
        },
        _ => fixed(assumed).to_owned(),
    }
}

fn on_the_drawing(job: Job<'_>, at: Position) -> String {
    let at = job.site.on_the_drawing(at);
    format!("at ({:.2}, {:.2})", at.x_m, at.y_m)
}

/// What was taken, where no figure is in it.
const fn fixed(assumed: Assumed) -> &'static str {
    match assumed {
        Assumed::RoomUse(Some(room_use)) => room_use.word(),
        Assumed::RoomUse(None) => RoomUse::Other.word(),
        Assumed::FloorConstruction(floor, _) => floor.word(),
        Assumed::FloorCovering(covering) => covering.word(),
        Assumed::Wall(wall, _) => wall.word(),
        Assumed::Ceiling(ceiling, _) => ceiling.word(),
        Assumed::Above(above) => above.word(),
        Assumed::Below(below) => below.word(),
        Assumed::Occupancy => Occupancy::LightlyFurnished.word(),
        Assumed::Finish => Finish::White.word(),
        Assumed::Positions => "spread",
        Assumed::PointMoved(MovedFrom::BesideItsWall) => "put on its wall",
        Assumed::PointMoved(_) => "moved to the nearest place beside it",
        Assumed::SurfaceWiring => "clipped",
        Assumed::Earthing => "tn-c-s",
        Assumed::FaultCurrent => "unknown",
        Assumed::ConsumerUnit => "at the intake",
        Assumed::Intake(_) => "the front wall",
        Assumed::IntakeAtBoard(_) => "at the board",
        Assumed::Services => "gas and water in metal",
        Assumed::ServicePosition => "far side",
        Assumed::ServiceMaterial => "metal",
        Assumed::Bonding => "none",
        Assumed::BondsSound => "sound",
        Assumed::Scope(scope) => scope.word(),
        Assumed::OutbuildingConstruction => "timber",
        Assumed::SubBoardPlace => "on the wall nearest to the house",
        Assumed::Ground => Ground::Lawn.word(),
        Assumed::OutbuildingFeed => "a feed of its own from the house",
        Assumed::NeutralLoopedAt => NeutralLoop::Ceiling.word(),
        Assumed::MakingGood => "by the firm",
        Assumed::Parking => Parking::Street.word(),
        Assumed::Nation => "england",
        Assumed::Routes => "straight lines along the building, from room to room",
        Assumed::Lengths => "from the floor areas",
        Assumed::CablesAsTheyLie => {
            "30 degC in air, 20 degC and 2.5 K.m/W in the ground, and no cable heated by others beside it"
        }
        Assumed::LampLoad => "LED fittings, 6 to 40 W each",
        Assumed::SignalHub => "beside the board",
        Assumed::StudInsulation(StudFilling::Empty) => "empty",
        Assumed::StudInsulation(StudFilling::Filled | StudFilling::FilledForWantOfAge) => {
            "insulated, the cables touching the face of the wall"
        }
        Assumed::RoomSize(_)
        | Assumed::Height
        | Assumed::Storey(_)
        | Assumed::Load(_)
        | Assumed::Ze(_)
        | Assumed::CutOut
        | Assumed::BoardPlace(_)
        | Assumed::IntakePlace(_)
        | Assumed::OutbuildingRun
        | Assumed::OnwardRun { .. }
        | Assumed::Distance
        | Assumed::PointsToStrip(_)
        | Assumed::Visit => "",
    }
}

/// Why it was taken.
pub(crate) fn because(job: Job<'_>, assumed: Assumed) -> Cow<'static, str> {
    match assumed {
        Assumed::OnwardRun { from, .. } => {
            let from = &job.site.rooms[job.site.outbuildings[from].room].id;
            Cow::Owned(format!("From `{from}`, not measured. The straight line, times {WINDING} for bends"))
        }
        Assumed::OutbuildingFeed => Cow::Owned(format!(
            "We did not compare a feed by way of another outbuilding. We do so for up to {FEEDS_COMPARED_MAX} outbuildings, in jobs \
             of up to {FEEDS_COMPARED_ROOMS_MAX} rooms and {FEEDS_COMPARED_POINTS_MAX} points"
        )),
        Assumed::Routes => Cow::Owned(format!("{}. Split the survey for more", map_limits())),
        _ => Cow::Borrowed(habit(assumed)),
    }
}

/// The habit or the memory behind it.
const fn habit(assumed: Assumed) -> &'static str {
    match assumed {
        Assumed::FloorConstruction(_, age) | Assumed::Wall(_, age) | Assumed::Ceiling(_, age) => fabric(age),
        Assumed::RoomSize(_) => "Not drawn. A usual size for its use (common practice)",
        Assumed::Height => "Not measured. A usual height (from memory)",
        Assumed::RoomUse(Some(_)) => "Read from its name",
        Assumed::RoomUse(None) => "Its name does not say",
        Assumed::Storey(_) => "No storey recorded. Taken from its use (common practice)",
        Assumed::FloorCovering(_) => "Not recorded. Usual for its use",
        Assumed::Occupancy => "Not recorded. The middle between empty and furnished",
        Assumed::Finish => "Not recorded. White plastic is the base",
        Assumed::Positions => "Not marked. Spread evenly round the walls, lights over the middle",
        Assumed::PointMoved(MovedFrom::Beam) => "A beam is over it. No cable comes down through it or where it rests",
        Assumed::PointMoved(MovedFrom::Opening) => "A door or window is there, and no box goes in it",
        Assumed::PointMoved(MovedFrom::BesideItsWall) => "Marked beside, in or beyond a wall. It goes on the wall",
        Assumed::PointMoved(MovedFrom::Lintel) => "A lintel is there. Nothing is cut into it",
        Assumed::Above(Above::AnotherDwelling) => {
            "Not recorded. A flat or maisonette has another home over it, and no cable goes through that"
        }
        Assumed::Above(_) => {
            "Not recorded. No room is over it, so we took a flat or lean-to roof. Every cable in it is fished"
        }
        Assumed::Below(Below::AnotherDwelling) => {
            "Not recorded. A flat or maisonette has another home under it, and no cable goes through that"
        }
        Assumed::Below(_) => "Not recorded. No room is under it, so we took a passage or a carport",
        Assumed::Load(_) => "Nobody read its plate. The upper side of what is usual (from memory)",
        Assumed::SurfaceWiring => "Not recorded. Usual in a place of that use",
        Assumed::Scope(Scope::Rewire) => "Not recorded. The job asks for more than an addition has",
        Assumed::Scope(_) => {
            "Not recorded. Few points in one or two rooms and no board, so what is there stays. Only checks of it are priced"
        }
        Assumed::BondsSound => "Not recorded. We took what stays as sound. Check it before work starts",
        Assumed::Bonding | Assumed::OutbuildingConstruction | Assumed::Parking => "Not recorded",
        Assumed::Distance => "Not recorded. A usual working distance (common practice)",
        Assumed::MakingGood => "Not recorded. Chases and round boxes are filled, not painted",
        Assumed::PointsToStrip(_) => {
            "Not counted. An old house has about half the points of a new one (common practice)"
        }
        Assumed::SignalHub => {
            "Not recorded. Data, television and telephone cables end there (common practice, no source)"
        }
        Assumed::StudInsulation(StudFilling::Empty) => {
            "Nobody looked. Stud walls of that age and make are seldom filled (from memory), so cables lie loose in them"
        }
        Assumed::StudInsulation(StudFilling::Filled) => {
            "Nobody looked. Stud walls of that age and make are usually filled (from memory)"
        }
        Assumed::StudInsulation(StudFilling::FilledForWantOfAge) => {
            "Nobody looked, and the age is not known. A cable carries less there than in an empty wall"
        }
        Assumed::NeutralLoopedAt => {
            "Not recorded. It goes from light to light (common practice), so a smart switch finds no neutral"
        }
        Assumed::Nation => "Not recorded. Notice, alarms and consent differ by nation",
        _ => habit_outside_rooms(assumed),
    }
}

const fn fabric(age: FabricAge) -> &'static str {
    match age {
        FabricAge::Known => "Not recorded. Usual for the age of the house (from memory)",
        FabricAge::Unknown => "Not recorded, nor is the age of the house. A middling house was taken (from memory)",
    }
}

/// The same of the supply, the services, the outbuildings and the job as a whole.
const fn habit_outside_rooms(assumed: Assumed) -> &'static str {
    match assumed {
        Assumed::Earthing => "Not known. The most usual (from memory)",
        Assumed::Ze(_) => "Not measured. The usual greatest value",
        Assumed::CutOut => "Not read. The smallest usual rating (from memory)",
        Assumed::FaultCurrent => "Not measured. What rests on it is advised, not passed",
        Assumed::ConsumerUnit => "Not recorded. It stays where the supply comes in",
        Assumed::BoardPlace(_) => "Its place was not recorded. On the wall nearest to the intake (common practice)",
        Assumed::IntakeAtBoard(_) => "Not recorded. The tails reach the board today, so the supply comes in beside it",
        Assumed::Intake(_) => "Not recorded. By the entrance, on its front wall (common practice)",
        Assumed::IntakePlace(_) => "Its place was not recorded. Supplies come in from the street (common practice)",
        Assumed::Services => "Not recorded. Nearly every house has both (common practice)",
        Assumed::ServicePosition => "Its place was not recorded. The far side of the house costs most",
        Assumed::ServiceMaterial => "Not recorded. A metal pipe needs a bond, so it is priced",
        Assumed::SubBoardPlace => "Nobody says where. Where the feed comes in (common practice, no source)",
        Assumed::OutbuildingRun => "Not measured (common practice)",
        Assumed::Ground => "Not recorded. Soft ground, dug by hand",
        Assumed::Visit => "Told in `terms.visit`. The firm sees whether those days have room for this job",
        Assumed::Lengths => {
            "Not every room was drawn. We took square storeys, with a mean run of two thirds of a side. One circuit is good to a \
             quarter either way"
        }
        Assumed::CablesAsTheyLie => {
            "So the capacity tables have it. Circuits of a house seldom carry load together (common practice). Where loaded ones \
             run bunched or in one trunking, the designer applies BS 7671 Table 4C1"
        }
        Assumed::LampLoad => "Lamps are not recorded. Usual fittings (from memory)",
        Assumed::Scope(_)
        | Assumed::BondsSound
        | Assumed::Above(..)
        | Assumed::Below(..)
        | Assumed::RoomSize(..)
        | Assumed::Height
        | Assumed::RoomUse(..)
        | Assumed::Storey(..)
        | Assumed::FloorConstruction(..)
        | Assumed::FloorCovering(..)
        | Assumed::Wall(..)
        | Assumed::Ceiling(..)
        | Assumed::Occupancy
        | Assumed::Finish
        | Assumed::Positions
        | Assumed::PointMoved(..)
        | Assumed::Load(..)
        | Assumed::SurfaceWiring
        | Assumed::Bonding
        | Assumed::OutbuildingConstruction
        | Assumed::OnwardRun { .. }
        | Assumed::OutbuildingFeed
        | Assumed::NeutralLoopedAt
        | Assumed::Distance
        | Assumed::MakingGood
        | Assumed::Parking
        | Assumed::PointsToStrip(..)
        | Assumed::Nation
        | Assumed::SignalHub
        | Assumed::StudInsulation(_)
        | Assumed::Routes => "",
    }
}
