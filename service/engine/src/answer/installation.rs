//! Circuits and boards as they go out. What estimates did not hold from the first is optional here, so that an older one
//! still reads.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{SmallBoard, Way};
use crate::checks::Verdict;
use crate::circuits::phases::Phase;
use crate::quantities::{Amps, Metres, Ohms, Volts};
use crate::standards::ReferenceMethod;
use crate::survey::vocabulary::Medium;
use crate::working::{Advice, Check};

/// A circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Circuit {
    /// Its way on its board, as the schedule of circuits has it: `3`, in an outbuilding `workshop-1`, by its own fuse at the
    /// intake `intake-1`. A circuit that was given keeps its identifier; a way whose name was given away has `house-`
    /// before it. Ways move when circuits come in before them: compare by what a circuit is, not by its way.
    #[schema(example = "3")]
    pub id: String,
    /// Its name on the chart.
    #[schema(example = "Sockets, kitchen and utility")]
    pub name: String,
    /// The kind.
    pub circuit_type: String,
    /// Ring or radial.
    pub arrangement: String,
    /// The device in the board.
    pub device: DeviceChosen,
    /// The cable.
    pub cable: CableChosen,
    /// Metres of cable from the board: the whole loop of a ring, the whole tree of a radial.
    pub length_m: Metres,
    /// Metres to the far end, which the drop and the impedance are worked over.
    pub far_end_m: Metres,
    /// Its design current.
    pub design_current_a: Amps,
    /// What it feeds.
    pub points: Vec<CircuitPoint>,
    /// What was checked, with the working.
    pub checks: Vec<Check>,
    /// `pass`, `fail` or `advise`, the worst of its checks.
    pub verdict: Verdict,
    /// Capacity of the cable as it lies.
    pub capacity_a: Option<Amps>,
    /// The stretch that governs that, and what it is worked from; absent where it could not be checked, and in older
    /// estimates.
    #[serde(default)]
    pub rating: Option<CircuitRating>,
    /// Loop impedance at the far end.
    pub zs_ohm: Option<Ohms>,
    /// What a tester should find, and what is still allowed; absent where a figure is beyond the tables.
    #[serde(default)]
    pub test_values: Option<ExpectedTests>,
    /// What the rules recommend for it.
    pub advice: Vec<Advice>,
    /// The phase that it is on; absent where the supply has one only.
    #[serde(default)]
    pub phase: Option<Phase>,
    /// The circuit upstream, or `intake`; absent where the house's board feeds it.
    pub fed_from: Option<String>,
    /// Whether it is there now and stays: of its cable only what joins its points is laid.
    #[serde(default)]
    pub existing: bool,
    /// Why it is as it is.
    pub because: Vec<String>,
}

/// What a tester should find at a circuit, and what is still allowed. All at 20 degC; the tester's own reading decides.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ExpectedTests {
    /// The largest loop impedance that may be measured cold: 0.8 of the tabulated limit, cut to two places (BS 7671
    /// Appendix 3); on an own electrode what the residual current device allows (Table 41.5).
    #[schema(example = 1.09)]
    pub zs_max_measured_ohm: Ohms,
    /// R1+R2 to be expected at the far end; of a ring (r1 + r2) / 4.
    #[schema(example = 0.2926)]
    pub r1_r2_ohm: Ohms,
    /// Line of a ring from end to end.
    pub r1_ohm: Option<Ohms>,
    /// Neutral of a ring from end to end.
    pub rn_ohm: Option<Ohms>,
    /// Protective conductor of a ring from end to end.
    pub r2_ohm: Option<Ohms>,
    /// Least insulation resistance in megohms at 500 V d.c. (BS 7671 Table 64). New wiring reads far higher.
    #[schema(example = 1.0)]
    pub insulation_mohm_min: f64,
    /// Longest time of its residual current device at its rated residual current, in milliseconds; absent where it has none
    /// of its own.
    #[schema(example = 300.0)]
    pub residual_trip_ms_max: Option<f64>,
}

/// What a cable carries where it lies worst: `It x Ca x Cg x Ci`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CircuitRating {
    /// Reference method of the stretch that governs.
    pub method: ReferenceMethod,
    /// Its room; absent outside rooms.
    pub room: Option<String>,
    /// The way that it goes.
    pub medium: Medium,
    /// What the cable carries there.
    pub iz_a: Amps,
    /// By the table, before the factors.
    pub it_a: Amps,
    /// Factor for the temperature round it.
    pub ca: f64,
    /// Factor for the cables beside it; 1 where nothing groups.
    pub cg: f64,
    /// Factor for insulation all round it; 1 where the method allows for insulation.
    pub ci: f64,
    /// Loaded cables that lie together there, itself with them.
    pub grouped_circuits: u32,
    /// What is left out of account and why.
    pub because: String,
}

/// A device in a board.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DeviceChosen {
    /// `rcbo`, `breaker`, `switched-fuse`.
    #[serde(rename = "type")]
    pub device_type: String,
    /// Curve of a breaker.
    pub curve: Option<String>,
    /// Rated current.
    pub rating_a: Amps,
    /// Poles that it breaks: 2 where the neutral has to be cut off too; absent in older estimates.
    #[serde(default)]
    pub poles: Option<u8>,
    /// Residual current in milliamps.
    pub residual_ma: Option<f64>,
    /// What it can break, in kiloamps.
    pub breaking_capacity_ka: f64,
    /// The most energy that it may let through by its maker's figure, in A2s, where the limit of its class is too much for
    /// the cable.
    pub let_through_a2s_max: Option<f64>,
    /// The kind of residual current that it has to sense, where it senses any.
    pub residual_type: Option<String>,
    /// Whether it has to be marked fit for current in both directions: storage or generation is behind it.
    #[serde(default)]
    pub both_directions: bool,
}

/// A cable.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CableChosen {
    /// The type.
    #[serde(rename = "type")]
    pub cable_type: String,
    /// Line conductor, mm2.
    pub line_mm2: f64,
    /// Protective conductor, mm2.
    pub cpc_mm2: f64,
    /// Insulated cores, without the bare protective conductor of a flat cable; absent where nobody counted them, and in
    /// older estimates.
    #[serde(default)]
    pub cores: Option<u8>,
    /// The reference method that its capacity is read for: the most onerous way in which it lies.
    pub method: ReferenceMethod,
}

/// Points of one kind that a circuit feeds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CircuitPoint {
    /// The room.
    pub room: String,
    /// The kind.
    #[serde(rename = "type")]
    pub point_type: String,
    /// How many.
    pub count: u64,
}

/// The house's board and any others: all that a single-line diagram shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Board {
    /// Whether it is there now and stays: its figures are then what was recorded of it, or a usual board's, as `because` says.
    #[serde(default)]
    pub stays: bool,
    /// The small board beside it for new circuits, where the one that stays has no free way.
    #[serde(default)]
    pub small_board: Option<SmallBoard>,
    /// Where it stands.
    pub room: Option<String>,
    /// Its middle above the floor, where it was recorded.
    pub height_m: Option<Metres>,
    /// What is to be said of that place; absent in older estimates.
    pub place: Option<BoardPlace>,
    /// What feeds it; absent in older estimates.
    pub supply: Option<BoardSupply>,
    /// Metres of tails from the intake along the route.
    pub tails_m: Metres,
    /// Line conductor of the tails, mm2; absent in older estimates.
    pub tails_mm2: Option<f64>,
    /// What the tails drop at the rating of the cut-out, in volts: counted where they are long, and in every check then;
    /// absent in older estimates.
    pub tails_drop_v: Option<Volts>,
    /// Loop impedance at the board; absent in older estimates.
    pub zs_ohm: Option<Ohms>,
    /// Prospective fault current at the board, in kiloamps; absent where that of the supply was not measured.
    pub fault_current_ka: Option<f64>,
    /// The switched fuse at the meter, where the tails are too long to do without.
    pub switched_fuse_a: Option<Amps>,
    /// Rating of the main switch.
    pub main_switch_a: Amps,
    /// Poles of the main switch; absent in older estimates.
    pub main_switch_poles: Option<u8>,
    /// Ways that the circuits take.
    pub ways_used: u32,
    /// Ways left free.
    pub ways_spare: u32,
    /// Ways of the board chosen, or of the one that stays.
    pub ways: u32,
    /// Every way in the order of the chart, spare ones last; empty in older estimates.
    #[serde(default)]
    pub chart: Vec<Way>,
    /// The enclosure.
    pub enclosure: String,
    /// Whether a surge device is fitted.
    pub surge_device: bool,
    /// The kind of surge device, and why; absent in older estimates.
    pub surge: Option<String>,
    /// Arc fault detection of socket circuits; absent in older estimates.
    pub arc_detection: Option<Judged>,
    /// Boards in outbuildings.
    pub sub_boards: Vec<SubBoard>,
    /// Earthing conductor, bonds, electrode; absent in older estimates.
    pub earthing: Option<BoardEarthing>,
    /// What is laid ready for what may come.
    #[serde(default)]
    pub provisions: Vec<ProvisionLaid>,
    /// What the newest amendment adds that may touch the house.
    #[serde(default)]
    pub new_rules: Vec<NewRuleJudged>,
    /// Why it is as it is.
    pub because: Vec<String>,
}

/// What feeds a board.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BoardSupply {
    /// Nominal voltage to earth.
    pub voltage_v: Volts,
    /// Phases that the design uses.
    pub phases: u8,
    /// How it is earthed; assumed where nobody found out.
    #[schema(example = "tn-c-s")]
    pub earthing: String,
    /// Loop impedance outside the house; assumed where it was not measured.
    pub ze_ohm: Ohms,
    /// Prospective fault current at the origin, in kiloamps; absent where it was not measured.
    pub fault_current_ka: Option<f64>,
    /// Rating of the cut-out; assumed where it was not read.
    pub cut_out_a: Amps,
    /// Whether the rating of the cut-out was read.
    pub cut_out_read: bool,
    /// Whether it is looped from a neighbour; absent where nobody found out.
    pub looped: Option<bool>,
    /// Whether there is an isolator after the meter; absent where nobody found out.
    pub isolator_after_meter: Option<bool>,
}

/// A verdict without figures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Judged {
    /// What follows.
    pub verdict: Verdict,
    /// Why, with the clause.
    pub because: String,
}

/// The place of a board, judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BoardPlace {
    /// The worst of the findings; `pass` where there is none.
    pub verdict: Verdict,
    /// What is to be said of it.
    pub findings: Vec<Judged>,
}

/// A board in an outbuilding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SubBoard {
    /// The outbuilding.
    pub outbuilding: String,
    /// The circuit that feeds it.
    pub fed_from: String,
    /// Ways of the board chosen.
    pub ways: u32,
    /// Ways that its circuits take; absent in older estimates.
    pub ways_used: Option<u32>,
    /// Ways left free; absent in older estimates.
    pub ways_spare: Option<u32>,
    /// Rating of its main switch; absent in older estimates.
    pub main_switch_a: Option<Amps>,
    /// Loop impedance at it, by the house's earth; absent where the feed could not be checked.
    pub zs_ohm: Option<Ohms>,
    /// Prospective fault current at it, in kiloamps; absent where that of the supply was not measured.
    pub fault_current_ka: Option<f64>,
    /// Every way in the order of the chart, spare ones last; empty in older estimates.
    #[serde(default)]
    pub chart: Vec<Way>,
    /// Where its earth comes from, and why.
    pub earthing: String,
    /// Whether it has a surge device of its own; absent in older estimates.
    #[serde(default)]
    pub surge_device: Option<bool>,
    /// Why it has one, or none; absent in older estimates.
    #[serde(default)]
    pub surge: Option<String>,
    /// The enclosure, and what is disputed about it; absent in older estimates.
    #[serde(default)]
    pub enclosure: Option<String>,
    /// How the feed is made off at both ends, and what protects it; absent in older estimates.
    #[serde(default)]
    pub feed_entry: Option<String>,
    /// Its own electrode, where it has one.
    pub electrode: Option<Electrode>,
}

/// An earth electrode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Electrode {
    /// What it may have at most to be relied on, in ohms.
    pub ohm_max: Ohms,
    /// Conductor from it to the earth terminal, mm2.
    pub conductor_mm2: f64,
    /// The tables behind both.
    pub because: String,
}

/// Earthing conductor, bonds, electrode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BoardEarthing {
    /// How the supply is earthed.
    #[schema(example = "tn-c-s")]
    pub system: String,
    /// Whether somebody found that out.
    pub known: bool,
    /// Conductor to the main earthing terminal, mm2.
    pub conductor_mm2: f64,
    /// The table that gives it.
    pub conductor_because: String,
    /// A main bond for each service.
    pub main_bonds: Vec<MainBond>,
    /// Bonds within rooms that have a bath or shower.
    pub supplementary: Vec<SupplementaryBond>,
    /// The house's own electrode, where it has one.
    pub electrode: Option<Electrode>,
}

/// A main bond.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MainBond {
    /// The service.
    #[schema(example = "gas")]
    pub service: String,
    /// Whether a new one is run.
    pub needed: bool,
    /// Its size, mm2.
    pub size_mm2: f64,
    /// The conductor that is there now, mm2; 0 where there is none.
    pub existing_mm2: f64,
    /// Metres from the earth bar, where a new one is run.
    pub length_m: Option<Metres>,
    /// Why.
    pub because: String,
}

/// Bonds within a room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SupplementaryBond {
    /// The room.
    pub room: String,
    /// Whether they are wanted.
    pub needed: bool,
    /// Their size, mm2, where they are.
    pub size_mm2: f64,
    /// Why.
    pub because: String,
}

/// What is laid ready for one thing that may come.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ProvisionLaid {
    /// What may come.
    #[schema(example = "second-charge-point")]
    pub future: String,
    /// Ways kept free for it.
    pub ways: u32,
    /// What is laid ready.
    pub provision: String,
    /// Where its draw-in run ends; absent where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub towards: Option<String>,
    /// Metres of its draw-in run along the route, which others to the same place share: the line `draw-in-run` prices it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metres: Option<Metres>,
    /// Where that comes from.
    pub source: String,
}

/// One thing that an amendment adds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NewRuleJudged {
    /// What it is about.
    #[schema(example = "stationary-batteries")]
    pub subject: String,
    /// Whether anything in the survey makes it apply.
    pub applies: bool,
    /// `pass` where it does not apply or is met.
    pub verdict: Verdict,
    /// The document behind it, and how far it was read.
    pub clause: String,
    /// What was found, and what to do.
    pub working: String,
}

/// Alarms of the category asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Alarms {
    /// The category: LD2 unless the survey asks for another.
    #[schema(example = "ld2")]
    pub category: String,
    /// The worst of the findings.
    pub verdict: Verdict,
    /// Every room that the category asks for, and every storey.
    pub findings: Vec<AlarmJudged>,
}

/// Alarms of one room, or of one storey.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AlarmJudged {
    /// The room; absent for a storey.
    pub room: Option<String>,
    /// The level.
    pub level: i8,
    /// The kind asked for: `smoke` or `heat`.
    #[schema(example = "smoke")]
    pub wants: String,
    /// Alarms recorded there.
    pub recorded: u32,
    /// From the farthest place of the ceiling to the nearest alarm, where the room is drawn.
    pub reach_m: Option<f64>,
    /// What follows.
    pub verdict: Verdict,
    /// Why.
    pub working: String,
}

/// One kind of point in a room with a bath or shower, judged by zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BathroomPoint {
    /// The room.
    pub room: String,
    /// The kind of point.
    #[serde(rename = "type")]
    pub point_type: String,
    /// From the bath or tray to where it stands, or could stand at best, in metres.
    pub distance_m: f64,
    /// Whether bath and point are both marked, so that the distance is measured.
    pub measured: bool,
    /// What it has to keep from the bath, in metres.
    pub least_m: f64,
    /// What follows.
    pub verdict: Verdict,
    /// Why, with the clause.
    pub working: String,
}
