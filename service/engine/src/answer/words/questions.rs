//! What is asked, what each answer is called, and what of the job it changes.

use crate::range::PlainQuestion;
use crate::unknowns::{AnswerAmount, AnswerSubject, AnswerValue, HousePlace};

/// Why a question is asked whose answers move no line.
pub(crate) const MOVES_NOTHING: &str =
    "It does not move the price. It decides what to look for, and whether the job is safe or allowed";

/// The question about something whose answers move the price; none where only opening the fabric tells.
pub(crate) const fn ask(subject: AnswerSubject) -> Option<&'static str> {
    Some(match subject {
        AnswerSubject::Wall => "What are the walls made of? Knock, and drill one test hole in a partition",
        AnswerSubject::GroundFloor => "How are the ground floors made? Is there a void under them? Lift one board",
        AnswerSubject::UpperFloor => {
            "How are the upper floors made: boards, or tongued chipboard? Lift a corner of the carpet"
        }
        AnswerSubject::FloorCovering => "What lies on these floors, and may it be lifted?",
        AnswerSubject::Ceiling => "What are these ceilings made of: boards, laths or concrete?",
        AnswerSubject::Occupancy => "Will these rooms be empty while we work, furnished, or lived in?",
        AnswerSubject::Lengths => "What are the sizes of the rooms, and which lies beside which? Sketch each floor",
        AnswerSubject::Positions => "Where does each point go? Mark them on the walls with the client",
        AnswerSubject::ServicePosition => "Where does the pipe come in?",
        AnswerSubject::ServiceBond => "Is the pipe metal where it comes in, and does it have a 10 mm2 bond already?",
        AnswerSubject::PointsToStrip => "How many old points come out? Count them on the way round",
        AnswerSubject::Distance => "How far is the house from the firm?",
        AnswerSubject::Parking => "Where can the van stand?",
        AnswerSubject::OutbuildingRun => "How long is the way to the outbuilding? Pace it",
        AnswerSubject::Ground => "What does the trench go through: lawn, slabs, concrete?",
        AnswerSubject::BuriedServices => {
            "What else is buried on the way of the trench? Ask for the service drawings, and scan"
        }
        AnswerSubject::OutbuildingConstruction => "What is the outbuilding made of?",
        AnswerSubject::Earthing => "How is the house earthed? Look for the earth at the cut-out, or ask the operator",
        AnswerSubject::CutOut => "What fuse does the cut-out hold? Photograph its label",
        AnswerSubject::Isolator => "Is there an isolator after the meter?",
        AnswerSubject::Looped => "Do two service cables leave the cut-out? One may feed the neighbour",
        AnswerSubject::CeilingCoating => "Have these textured ceilings been sampled for asbestos, and what was found?",
        AnswerSubject::BoardBacking => {
            "Has the board behind the old fuses been sampled for asbestos, and what was found?"
        }
        AnswerSubject::LightWeight => "What do the client's own lights weigh, and are they on site and complete?",
        AnswerSubject::WayPastSteel => {
            "Is there a way over or under what lies across the void? Lift a board beside it and look"
        }
        AnswerSubject::OpeningHeights => {
            "How high are the sills and heads of these doors and windows? We took no cable over or under them"
        }
        AnswerSubject::RoofOverExtension => {
            "Is there a way into the roof over these rooms? The loft does not reach them"
        }
        AnswerSubject::NoHiddenWay => {
            "These rooms have no hidden way. May trunking show? Or shall we chase along the walls, or do others build a new \
             ceiling or boxing over it?"
        }
        AnswerSubject::Above => "What is over these rooms: another home, a flat roof, or your own roof void?",
        AnswerSubject::Below => "What is under these rooms: another home, the ground, a passage?",
        AnswerSubject::SignalHub | AnswerSubject::StudInsulation => unseen(subject).0,
        AnswerSubject::UnseenFabric => return None,
        AnswerSubject::MissingPoint => "What connects this appliance: a point on the list, or one that is not on it?",
        AnswerSubject::MissingSwitch => "How are the lights in these rooms switched?",
        AnswerSubject::MakingGood => {
            "Who fills the chases and makes good round the boxes: we, or the client's plasterer?"
        }
        AnswerSubject::Finish => "Are the plates to be white, or metal?",
        AnswerSubject::KitchenPlan => "Has the client signed a plan of the kitchen? Mark its points from it",
        AnswerSubject::ApplianceLoad => "What load does its plate name?",
        AnswerSubject::ScopeSmall | AnswerSubject::ScopeWhole => "Is this a rewire, or an addition to what is there?",
        AnswerSubject::EarthingSound | AnswerSubject::FreeWays | AnswerSubject::BoardChanged => staying(subject).0,
    })
}

/// What of the job the answers change.
pub(crate) const fn because(subject: AnswerSubject) -> &'static str {
    match subject {
        AnswerSubject::Wall => "Boxes, chases, drops and filling. We took the same answer in all these rooms",
        AnswerSubject::GroundFloor => "Open the floor and rise a little, or drop down the wall",
        AnswerSubject::UpperFloor => "Opening the floor. We took the same answer in all these rooms",
        AnswerSubject::FloorCovering => "Lift it and lay it again, or drop from above where it does not lift",
        AnswerSubject::Ceiling => "A slab keeps cables out, so they go in trunking on the surface",
        AnswerSubject::Occupancy => {
            "Work round furniture, move it, protect it, and keep the house live in the evenings"
        }
        AnswerSubject::Lengths => "All runs. We took them from the floor areas, good to a quarter either way",
        AnswerSubject::Positions => "Drops and runs. We spread these points round the walls",
        AnswerSubject::ServicePosition => "The length of the main bond. It is priced to the far side of the house",
        AnswerSubject::ServiceBond => "The main bond is left out if the pipe needs none",
        AnswerSubject::PointsToStrip => "Taking the old points off and away",
        AnswerSubject::Distance => "The crew's travel and the van, every day",
        AnswerSubject::Parking => "Carrying tools and material to the door every day",
        AnswerSubject::OutbuildingRun => "Digging, laying and the armoured cable",
        AnswerSubject::Ground => "Digging, by what lies on top",
        AnswerSubject::BuriedServices => "Digging by hand round what crosses",
        AnswerSubject::OutbuildingConstruction => "A metal building gets its own earth rod",
        AnswerSubject::Earthing => {
            "Where the street gives no earth the house needs an earth rod. Every circuit check rests on this too"
        }
        AnswerSubject::CutOut => {
            "If it proves too small on the day, the crew has to come back. If we know before, the operator changes it first. The \
             operator's charge is not in the price"
        }
        AnswerSubject::Isolator => {
            "If it is missing on the day, the crew has to come back for the board. If we know before, it is ordered first"
        }
        AnswerSubject::Looped => {
            "If we find a loop on the day, the crew has to come back. If we know before, the operator removes it first"
        }
        AnswerSubject::CeilingCoating | AnswerSubject::BoardBacking => asbestos(subject),
        AnswerSubject::LightWeight => "A heavy light needs a noggin over it at first fix",
        AnswerSubject::WayPastSteel => "The detour of every cable that a free void would spare",
        AnswerSubject::OpeningHeights => "Cables go beside them unless there is wall over the head or under the sill",
        AnswerSubject::RoofOverExtension => {
            "Cables are laid from above, or fished through a closed ceiling with a hole to patch at each light"
        }
        AnswerSubject::NoHiddenWay => "Trunking in these rooms, a chase as long, or neither",
        AnswerSubject::Above => "Trunking under the ceilings, or cables in the roof void",
        AnswerSubject::SignalHub | AnswerSubject::StudInsulation => unseen(subject).1,
        AnswerSubject::Below => "Cables drop from above or show, or come up from under the floors",
        AnswerSubject::UnseenFabric => "Runs in voids that prove blocked take longer, by the rate sheet's factor",
        AnswerSubject::MissingPoint => "One point more, at the rate of the first of its kind",
        AnswerSubject::MissingSwitch => "A switch at its rate for each of these rooms",
        AnswerSubject::MakingGood => "Filling is priced. It is left out if the client's plasterer does it",
        AnswerSubject::Finish => "The price of every plate in these rooms, and the care that metal takes",
        AnswerSubject::KitchenPlan => "If the units end up elsewhere, boxes, chases and drops are done again",
        AnswerSubject::ApplianceLoad => "The cable and the device of its circuit",
        AnswerSubject::ScopeSmall => "A rewire adds a new board, tails and main bonds, and takes the old points out",
        AnswerSubject::ScopeWhole => "Board, tails and main bonds are left out if they stay",
        AnswerSubject::EarthingSound | AnswerSubject::FreeWays | AnswerSubject::BoardChanged => staying(subject).1,
    }
}

/// What asbestos changes, by where it is found.
const fn asbestos(subject: AnswerSubject) -> &'static str {
    match subject {
        AnswerSubject::BoardBacking => {
            "If asbestos is found on the day, nothing is touched and the crew comes back. If sampled before, it is planned. Removal is \
             not in the price"
        }
        _ => {
            "If asbestos is found on the day, work stops and the crew comes back. If sampled before, it is planned. Removal is not in \
             the price"
        }
    }
}

/// The question about what stays, and what its answers change.
const fn staying(subject: AnswerSubject) -> (&'static str, &'static str) {
    match subject {
        AnswerSubject::FreeWays => (
            "Which ways of the board are free? Photograph it with its cover open",
            "A small board beside the one that stays",
        ),
        AnswerSubject::BoardChanged => (
            "The board is full. Does it stay with a small board beside it, or is it changed?",
            "A new board, and tests of every circuit on it",
        ),
        _ => (
            "Are the earthing and the main bonds sound? Photograph the cut-out and the clamps",
            "If they are not, earthing and bonds are put right before the new work",
        ),
    }
}

/// The question about what nobody saw or said of cables that end or drop out of sight, and what its answers change.
const fn unseen(subject: AnswerSubject) -> (&'static str, &'static str) {
    match subject {
        AnswerSubject::StudInsulation => (
            "Are these stud walls insulated? Take a plate off and look",
            "Cables that drop in these walls carry less in insulation, and may have to be larger",
        ),
        _ => (
            "Where do the data, television and telephone cables end: at the board, at the router, under the roof?",
            "The length of those cables, and what stands at their end",
        ),
    }
}

/// A question whose answers move no line, and what it is about.
pub(crate) const fn plain(question: PlainQuestion) -> (&'static str, HousePlace) {
    match question {
        PlainQuestion::VulnerablePerson => (
            "Does anybody in the house depend on power or clean air for their health, or is anybody under two?",
            HousePlace::House,
        ),
        PlainQuestion::ExistingBoard => {
            ("What board is there now, and what is it fixed to? Photograph it shut", HousePlace::Board)
        }
        PlainQuestion::Tenure => ("Does the client own the house, and alone?", HousePlace::House),
        PlainQuestion::SupplyMeasured => {
            ("What are Ze and the fault current at the intake? Measure them", HousePlace::Intake)
        }
        PlainQuestion::CutOut => ("What fuse does the cut-out hold?", HousePlace::Intake),
        PlainQuestion::Earthing => ("How is the house earthed?", HousePlace::Intake),
        PlainQuestion::PointPlace => (
            "Some points were recorded in a beam, an opening or a neighbour's wall. Where do they go? We put them beside it for now",
            HousePlace::House,
        ),
        PlainQuestion::Nation => ("In which nation is the house?", HousePlace::House),
        PlainQuestion::BuiltYear => ("When was the house built?", HousePlace::House),
        PlainQuestion::TwoWayPartner => (
            "Where is the partner of this two-way switch, and for which light? Neither is wired yet",
            HousePlace::House,
        ),
        PlainQuestion::CableEra => {
            ("What is the oldest cable to be seen, in the loft or behind a socket?", HousePlace::House)
        }
    }
}

/// An answer: in the survey's word where it has one.
pub(crate) fn answer(value: &AnswerValue, amount: Option<AnswerAmount>) -> String {
    let label = match value {
        AnswerValue::Wall(wall) => wall.word(),
        AnswerValue::Floor(floor) => floor.word(),
        AnswerValue::Covering(covering) => covering.word(),
        AnswerValue::Ceiling(ceiling) => ceiling.word(),
        AnswerValue::Occupancy(occupancy) => occupancy.word(),
        AnswerValue::Parking(parking) => parking.word(),
        AnswerValue::Ground(ground) => ground.word(),
        AnswerValue::Outbuilding(construction) => construction.word(),
        AnswerValue::Earthing(earthing) => earthing.word(),
        AnswerValue::Finish(finish) => finish.word(),
        AnswerValue::Figure { label, .. } => label.as_str(),
    };
    match amount {
        None => label.to_owned(),
        Some(AnswerAmount::Points(points)) => format!("{label}: {points:.0} points"),
        Some(AnswerAmount::Kilometres(kilometres)) => format!("{label}: {kilometres:.0} km"),
        Some(AnswerAmount::Metres(metres)) => format!("{label}: {metres:.0} m"),
        Some(AnswerAmount::Kilowatts(load)) => format!("{label}: {load:.1} kW"),
    }
}
