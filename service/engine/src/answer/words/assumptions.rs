//! What was taken where nothing was recorded, and why.

use std::borrow::Cow;

use super::routes::map_limits;
use crate::geometry::Position;
use crate::limits::{FEEDS_COMPARED_MAX, FEEDS_COMPARED_POINTS_MAX, FEEDS_COMPARED_ROOMS_MAX};
use crate::site::{
    Assumed, FabricAge, MovedFrom, USUAL_CUT_OUT_A, USUAL_DISTANCE_KM, USUAL_HEIGHT_M, USUAL_RUN_M, WINDING,
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
        Assumed::Intake(Some(room)) => job.site.rooms[room].name.clone(),
        Assumed::IntakePlace(at) => format!("on the front wall, {}", on_the_drawing(job, at)),
        Assumed::OutbuildingRun => format!("{USUAL_RUN_M} m"),
        Assumed::OnwardRun { run, ground, .. } => {
            format!("{:.1} m in {}", run.value(), ground.word().replace('-', " "))
        }
        Assumed::Distance => format!("{USUAL_DISTANCE_KM} km"),
        Assumed::PointsToStrip(points) => points.to_string(),
        Assumed::Visit => match job.visit {
            Some(visit) => {
                format!("done beside {}; days of the crew that it pays for: {}", visit.paid_by, visit.days_paid())
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
        Assumed::Routes => "along the axes of the building, from room to room",
        Assumed::Lengths => "by the model of floor areas",
        Assumed::CablesAsTheyLie => {
            "30 degC in air, 20 degC and 2.5 K.m/W in the ground, no circuit heated by others beside it"
        }
        Assumed::LampLoad => "LED fittings, 6 to 40 W each",
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
            Cow::Owned(format!("from `{from}`, not measured: the straight line and {WINDING} for bends"))
        }
        Assumed::OutbuildingFeed => Cow::Owned(format!(
            "whether one feed onward is cheaper was not worked out: it is for up to {FEEDS_COMPARED_MAX} outbuildings, in \
             jobs of up to {FEEDS_COMPARED_ROOMS_MAX} rooms and {FEEDS_COMPARED_POINTS_MAX} points"
        )),
        Assumed::Routes => Cow::Owned(format!("{}; split the survey for more", map_limits())),
        _ => Cow::Borrowed(habit(assumed)),
    }
}

/// The habit or the memory behind it.
const fn habit(assumed: Assumed) -> &'static str {
    match assumed {
        Assumed::FloorConstruction(_, age) | Assumed::Wall(_, age) | Assumed::Ceiling(_, age) => fabric(age),
        Assumed::RoomSize(_) => "no outline drawn; usual size for its use, common practice",
        Assumed::Height => "not measured; usual height, from memory",
        Assumed::RoomUse(Some(_)) => "read from its name",
        Assumed::RoomUse(None) => "its name does not give it away",
        Assumed::Storey(_) => "no storey recorded; taken from its use, common practice",
        Assumed::FloorCovering(_) => "not recorded; usual for its use",
        Assumed::Occupancy => "not recorded; the middle between empty and furnished",
        Assumed::Finish => "not recorded; moulded white is the base",
        Assumed::Positions => "not marked; spread evenly round the walls, lights over the middle",
        Assumed::PointMoved(MovedFrom::Beam) => "a beam stands over it: no cable comes down through it or its bearing",
        Assumed::PointMoved(MovedFrom::Opening) => "a door or a window is there: no box stands in it",
        Assumed::PointMoved(MovedFrom::BesideItsWall) => "marked beside a wall, in it or beyond it: it stands on it",
        Assumed::PointMoved(MovedFrom::Lintel) => "a lintel is there: nothing is cut into it",
        Assumed::Above(Above::AnotherDwelling) => {
            "not recorded; a flat or a maisonette has another home over it: no cable goes through what is theirs"
        }
        Assumed::Above(_) => {
            "not recorded; no own room over it: a flat or lean-to roof, in which every cable is fished"
        }
        Assumed::Below(Below::AnotherDwelling) => {
            "not recorded; a flat or a maisonette has another home under it: no cable goes through what is theirs"
        }
        Assumed::Below(_) => "not recorded; no own room under it: a passage or a carport",
        Assumed::Load(_) => "plate not read; upper side of what is usual, from memory",
        Assumed::SurfaceWiring => "not recorded; usual in a place of that use",
        Assumed::Scope(Scope::Rewire) => "not recorded; more is asked for than an addition has",
        Assumed::Scope(_) => {
            "not recorded; few points in one or two rooms, and no board: what is there stays, and only checks of it are priced"
        }
        Assumed::BondsSound => "not recorded; what stays is taken as sound, and looked at before work starts",
        Assumed::Bonding | Assumed::OutbuildingConstruction | Assumed::Parking => "not recorded",
        Assumed::Distance => "not recorded; a working radius, common practice",
        Assumed::MakingGood => "not recorded; chases and round boxes filled, not painted",
        Assumed::PointsToStrip(_) => {
            "not counted; an old installation has about half the points of a new one, common practice"
        }
        Assumed::NeutralLoopedAt => {
            "not recorded; from light to light, common practice: an electronic switch that wants a neutral finds none"
        }
        Assumed::Nation => "not recorded; notice, alarms and consent differ by nation",
        _ => habit_outside_rooms(assumed),
    }
}

const fn fabric(age: FabricAge) -> &'static str {
    match age {
        FabricAge::Known => "not recorded; usual for the age of the house, from memory",
        FabricAge::Unknown => "neither recorded nor the age known; the middle of the stock was taken, from memory",
    }
}

/// The same of the supply, the services, the outbuildings and the job as a whole.
const fn habit_outside_rooms(assumed: Assumed) -> &'static str {
    match assumed {
        Assumed::Earthing => "not found out; the most usual, from memory",
        Assumed::Ze(_) => "not measured; the usual greatest value",
        Assumed::CutOut => "not read; the smallest usual rating, from memory",
        Assumed::FaultCurrent => "not measured; what rests on it is advised, not passed",
        Assumed::ConsumerUnit => "not recorded; it stays where the supply comes in",
        Assumed::BoardPlace(_) => "place in the room not recorded; on the wall nearest to the intake, common practice",
        Assumed::Intake(_) => "not recorded; by the entrance, on its front wall, common practice",
        Assumed::IntakePlace(_) => "place in the room not recorded; supplies come in from the street, common practice",
        Assumed::Services => "services not recorded; nearly every house has both, common practice",
        Assumed::ServicePosition => "position not recorded; the far side of the house, the dear case",
        Assumed::ServiceMaterial => "not recorded; a metal pipe needs a bond, so it is priced",
        Assumed::SubBoardPlace => "place not asked for; where the feed comes in, common practice, no source",
        Assumed::OutbuildingRun => "not measured; common practice",
        Assumed::Ground => "not recorded; soft ground, dug by hand",
        Assumed::Visit => "told in `terms.visit`; whether those days have room for this job is for the firm to see",
        Assumed::Lengths => {
            "not every room was drawn; a square storey, mean axis distance two thirds of its side; good to a quarter \
             either way on one circuit"
        }
        Assumed::CablesAsTheyLie => {
            "the conditions of the capacity tables; circuits of a house are seldom loaded together, common practice; \
             where loaded ones run bunched or through one trunking, BS 7671 Table 4C1 is for the designer to apply"
        }
        Assumed::LampLoad => "lamps are not recorded; usual fittings, from memory",
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
        | Assumed::Routes => "",
    }
}
