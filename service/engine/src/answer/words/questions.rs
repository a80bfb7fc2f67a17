//! What is asked, what each answer is called, and what of the job it changes.

use crate::range::PlainQuestion;
use crate::unknowns::{AnswerAmount, AnswerSubject, AnswerValue, HousePlace};

/// Why a question is asked whose answers move no line.
pub(crate) const MOVES_NOTHING: &str =
    "it moves no line of this price; it decides what to look for, and whether the job is safe or allowed";

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
            "How high are the sills and the heads of these doors and windows? Nothing was taken over or under them"
        }
        AnswerSubject::RoofOverExtension => {
            "Is there a way into the roof over these rooms? The loft does not reach them"
        }
        AnswerSubject::NoHiddenWay => {
            "These rooms have no hidden way: may trunking show, are the walls chased along, or do others hide it under a \
             new ceiling or boxing?"
        }
        AnswerSubject::Above => {
            "What is over these rooms: another home, a flat roof, or a roof void that belongs to the dwelling?"
        }
        AnswerSubject::Below => "What is under these rooms: another home, the ground, a passage?",
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
    })
}

/// What of the job the answers change.
pub(crate) const fn because(subject: AnswerSubject) -> &'static str {
    match subject {
        AnswerSubject::Wall => "boxes, chases, drops and filling, the same answer taken in all these rooms",
        AnswerSubject::GroundFloor => "opening the floor and a short rise, or a drop down the wall",
        AnswerSubject::UpperFloor => "opening the floor, the same answer taken in all these rooms",
        AnswerSubject::FloorCovering => "lifting and relaying it, or the drop from above where it does not lift",
        AnswerSubject::Ceiling => "trunking on the surface where a slab keeps the cables out",
        AnswerSubject::Occupancy => {
            "working round furniture, moving it, protecting, keeping the house alive in the evenings"
        }
        AnswerSubject::Lengths => "all runs: from a model of floor areas, which is good to a quarter either way",
        AnswerSubject::Positions => "drops and runs between points that were spread round the walls by rule",
        AnswerSubject::ServicePosition => "the length of the main bond, priced to the far side of the house",
        AnswerSubject::ServiceBond => "the main bond falls away",
        AnswerSubject::PointsToStrip => "taking the old points off and carting them away",
        AnswerSubject::Distance => "the crew's travel and the van, every day",
        AnswerSubject::Parking => "carrying tools and material to the door every day",
        AnswerSubject::OutbuildingRun => "digging, laying and the armoured cable",
        AnswerSubject::Ground => "digging, by what lies on top",
        AnswerSubject::BuriedServices => "digging by hand round what crosses",
        AnswerSubject::OutbuildingConstruction => "an electrode of its own for a metal building",
        AnswerSubject::Earthing => {
            "an electrode of its own where the street gives no earth; every check of a circuit rests on it too"
        }
        AnswerSubject::CutOut => {
            "found too small on the day, the crew comes back after the operator's change, whose own charge is excluded; known \
             before, the change is ordered first"
        }
        AnswerSubject::Isolator => {
            "found missing on the day, the crew comes back for the board; known before, it is ordered first"
        }
        AnswerSubject::Looped => {
            "found on the day, the crew comes back after the operator has unlooped it; known before, it is ordered first"
        }
        AnswerSubject::CeilingCoating => {
            "found on the day, work under them stops and the crew comes back; sampled before, it is planned; removal is excluded"
        }
        AnswerSubject::BoardBacking => {
            "found on the day, nothing is touched and the crew comes back; sampled before, it is planned; removal is excluded"
        }
        AnswerSubject::LightWeight => "a noggin over each at first fix if it is heavy",
        AnswerSubject::WayPastSteel => "every route beside those that a free void would have",
        AnswerSubject::OpeningHeights => "what stands beside them for want of a wall over the head or under the sill",
        AnswerSubject::RoofOverExtension => {
            "lights and switches fished through a closed ceiling, and a hole patched at each, against laid from above"
        }
        AnswerSubject::NoHiddenWay => "the trunking of these rooms, beside a chase as long, or beside neither",
        AnswerSubject::Above => "trunking under the ceilings, against cables laid in the roof void",
        AnswerSubject::Below => "cables dropped from above or shown, against brought up from under the floors",
        AnswerSubject::UnseenFabric => {
            "runs in closed voids that turn out to be blocked take the sheet's factor for obstruction"
        }
        AnswerSubject::MissingPoint => "one point more, at the rate of the first of its kind",
        AnswerSubject::MissingSwitch => "a switch at its rate for each of these rooms",
        AnswerSubject::MakingGood => "filling, which is priced, falls away where the client's plasterer does it",
        AnswerSubject::Finish => "the price of every plate in these rooms, and the care that metal takes",
        AnswerSubject::KitchenPlan => "its boxes, chases and drops done over where the units come to stand elsewhere",
        AnswerSubject::ApplianceLoad => "the cable and the device of its circuit",
        AnswerSubject::ScopeSmall => "a new board, tails and main bonds, the old points stripped out",
        AnswerSubject::ScopeWhole => "board, tails and main bonds fall away where they stay",
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
            ("What are the loop impedance and the fault current at the intake? Measure them", HousePlace::Intake)
        }
        PlainQuestion::CutOut => ("What fuse does the cut-out hold?", HousePlace::Intake),
        PlainQuestion::Earthing => ("How is the house earthed?", HousePlace::Intake),
        PlainQuestion::PointPlace => (
            "Where do the points go that were recorded in a beam, an opening or a neighbour's wall? They stand beside it \
             for now",
            HousePlace::House,
        ),
        PlainQuestion::Nation => ("In which nation is the house?", HousePlace::House),
        PlainQuestion::BuiltYear => ("When was the house built?", HousePlace::House),
        PlainQuestion::TwoWayPartner => (
            "Where is the other switch of the lone two-way switch, and of which light? Neither is wired yet",
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
