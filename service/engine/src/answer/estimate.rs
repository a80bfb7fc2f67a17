//! The estimate as it goes out: the answer types, apart from the types that the engine computes with.
//!
//! Answers may gain fields and enum values; readers should let unknown ones pass.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::flags::{Included, RiskFlag};
use super::options::{FinishAlternative, PricedOption};
use super::plan::{Plan, RoutePlace};
use super::price::{CrossCheck, Line, Offer, RoomPrice, Totals};
use super::programme::{HoursByStage, Programme};
use super::{Alarms, BathroomPoint, Board, Breakdown, Circuit, ExtraPoint, JobScope, TakeOffItem};
use crate::catalogue::BuildingLimitName;
use crate::checks::Verdict;
use crate::circuits::phases::Phase;
use crate::circuits::{DemandVerdict, LargeKind, OperatorNotice};
use crate::demand::KindDemand;
use crate::money::Money;
use crate::quantities::{Amps, Hours, Metres};
use crate::standards::{ReferenceMethod, Ruleset};
use crate::survey::vocabulary::{Medium, Method};

/// A costed estimate. An opinion of price from what was recorded, not an offer and not a design certificate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Estimate {
    /// UUIDv7.
    #[schema(example = "01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d")]
    pub id: String,
    /// RFC 3339, UTC.
    #[schema(example = "2026-11-25T10:00:00Z")]
    pub created_at: String,
    /// The firm's own reference, as sent.
    pub reference: Option<String>,
    /// ISO 4217; every amount of the document is in it.
    #[schema(example = "GBP")]
    pub currency: String,
    /// The rate sheet that priced it.
    pub rate_sheet: RateSheetUsed,
    /// The wiring rules that it was designed to, and what of them was checked against what.
    pub ruleset: Ruleset,
    /// The engine's version.
    pub engine_version: String,
    /// How it was priced; the other method is in `cross_check`.
    pub method: Method,
    /// The price.
    pub totals: Totals,
    /// Person-hours by stage.
    pub hours: HoursByStage,
    /// Days, and what waits for what.
    pub programme: Programme,
    /// What kind of job it is: what stays, what is put right first, the papers; absent in older estimates.
    pub scope: Option<JobScope>,
    /// What each room costs; with the whole-house lines these add to `totals.net`.
    pub rooms: Vec<RoomPrice>,
    /// What the price is made of; the amounts add to `totals.net` to the penny.
    pub lines: Vec<Line>,
    /// The price by circuit and by stage.
    #[serde(default)]
    pub breakdown: Breakdown,
    /// How long the price holds, and what is paid when.
    #[serde(default)]
    pub offer: Offer,
    /// The circuits.
    pub circuits: Vec<Circuit>,
    /// The boards; the house's own first.
    pub board: Board,
    /// Alarms of the category asked for: which rooms, which kind, how far they reach; absent in older estimates.
    pub alarms: Option<Alarms>,
    /// Points of rooms with a bath or shower, by zone.
    #[serde(default)]
    pub bathrooms: Vec<BathroomPoint>,
    /// Demand after diversity, against the cut-out.
    pub demand: Demand,
    /// How the cable of each circuit goes.
    pub routes: Vec<Route>,
    /// The house as it was drawn; absent where nothing was.
    pub plan: Option<Plan>,
    /// Materials as used, as bought and left over.
    pub take_off: Vec<TakeOffItem>,
    /// What could hurt somebody, cost money or delay the job.
    pub risk_flags: Vec<RiskFlag>,
    /// What is in the price because of the house, dearest first; empty in older estimates.
    #[serde(default)]
    pub included: Vec<Included>,
    /// What is worth asking, dearest first.
    pub questions: Vec<Question>,
    /// The spread of the net price.
    pub range: Range,
    /// The other method's price, and the difference by cause.
    pub cross_check: CrossCheck,
    /// What could be done another way, and what it saves or costs.
    pub options: Vec<PricedOption>,
    /// The same points in every finish that the firm supplies, for the house and for each room.
    #[serde(default)]
    pub finishes: Vec<FinishAlternative>,
    /// What one more of each kind of point costs on this job; empty in older estimates.
    #[serde(default)]
    pub extra_points: Vec<ExtraPoint>,
    /// What was not recorded and what was taken instead.
    pub assumptions: Vec<Assumption>,
    /// What the price does not hold.
    pub exclusions: Vec<Cow<'static, str>>,
    /// What to mind before anybody touches anything.
    pub cautions: Vec<Cow<'static, str>>,
}

/// The rate sheet that priced an estimate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct RateSheetUsed {
    /// Its name.
    #[schema(example = "standard")]
    pub name: String,
    /// Its version.
    #[schema(example = 1)]
    pub version: u32,
    /// What the sheet says of itself, such as that its prices are invented.
    pub note: String,
}

/// Demand after diversity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Demand {
    /// All loads at once.
    pub connected_a: Amps,
    /// After diversity.
    pub after_diversity_a: Amps,
    /// The cut-out that it is held against; assumed where it was not read.
    pub cut_out_a: Amps,
    /// Whether the supply bears it.
    pub verdict: DemandVerdict,
    /// What a designer would defend: a peak that was measured with what is new on top, or the published allowance; a vehicle
    /// held back by its load sensor so that the fuse bears the rest.
    #[serde(default)]
    pub designed_a: Option<Amps>,
    /// What that figure is made of.
    #[serde(default)]
    pub designed_because: Vec<String>,
    /// The peak that was measured.
    #[serde(default)]
    pub measured_peak_a: Option<Amps>,
    /// What the operator of the network has to be told of new large loads; absent in older estimates.
    #[serde(default)]
    pub operator: Option<OperatorNotice>,
    /// Why.
    #[serde(default)]
    pub operator_because: Vec<String>,
    /// The devices that the operator's form asks for.
    #[serde(default)]
    pub large_loads: Vec<LargeLoad>,
    /// Phase by phase, where there are three; the other figures are those of the phase that carries most.
    #[serde(default)]
    pub phases: Vec<DemandOfPhase>,
    /// The comparison, to be redone with a pencil.
    pub working: String,
    /// What to ask or tell the network operator.
    pub ask_operator: Vec<String>,
    /// The sum, kind by kind.
    pub by_kind: Vec<KindDemand>,
    /// What the figure hangs on, and what would lower it; empty in older estimates.
    #[serde(default)]
    pub notes: Vec<String>,
}

/// The demand of one phase.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DemandOfPhase {
    /// Which.
    pub phase: Phase,
    /// By the published allowances.
    pub after_diversity_a: Amps,
    /// What a designer would defend.
    pub designed_a: Amps,
    /// Whether its fuse bears it.
    pub verdict: DemandVerdict,
}

/// A device that the operator of the network asks about.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LargeLoad {
    /// What.
    pub kind: LargeKind,
    /// Where, if a room is known.
    pub room: Option<String>,
    /// What it draws or gives.
    pub current_a: Amps,
}

/// How the cable of one circuit goes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Route {
    /// Its identifier in this document.
    #[schema(example = "R3")]
    pub id: String,
    /// The circuit, the outbuilding or the service that it serves.
    pub serves: String,
    /// The circuit whose cable it is; absent for bonds, tails and signal wiring.
    #[schema(example = "3")]
    pub circuit: Option<String>,
    /// Stretch by stretch.
    pub segments: Vec<RouteSegment>,
    /// All stretches together.
    pub metres: Metres,
    /// Hours of running the cable, without opening and making good.
    pub hours: Hours,
    /// Its segments and its share of what is opened, to the penny; direct cost. Where nothing was drawn only the cable and
    /// its laying: chases and what is opened are in the lines of the rooms. Absent there in older estimates.
    pub amount: Option<Money>,
    /// What is opened for it, and how many share it; empty in older estimates.
    #[serde(default)]
    pub openings: Vec<RouteOpening>,
    /// What the fabric allows its way.
    #[serde(default)]
    pub limits: Vec<RouteLimit>,
    /// Why it goes so.
    pub chosen_because: String,
    /// The next best way; absent where none was worked out.
    pub runner_up: Option<RunnerUp>,
}

/// One stretch of a route.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RouteSegment {
    /// The way that it goes.
    pub medium: Medium,
    /// The room; absent outside rooms.
    pub room: Option<String>,
    /// Metres.
    pub metres: Metres,
    /// Hours of running the cable, and of the chase that it is the first in or the trench that is dug for it.
    pub hours: Hours,
    /// Labour and material of it; direct cost. Absent where nothing was drawn in older estimates.
    pub amount: Option<Money>,
    /// Reference method by which the cable of a circuit lies there; absent of other cables and in older estimates.
    #[serde(default)]
    pub method: Option<ReferenceMethod>,
    /// What the cable carries there, among those that it shares holes with.
    #[serde(default)]
    pub iz_a: Option<Amps>,
    /// What stands in the way.
    pub obstruction: Option<String>,
    /// The places that it goes through, in order; empty where nothing was drawn.
    #[serde(default)]
    pub path: Vec<RoutePlace>,
}

/// What the fabric allows the way of a cable, and whether it is kept to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RouteLimit {
    /// Which limit.
    pub limit: BuildingLimitName,
    /// The room where it is closest.
    pub room: String,
    /// What the route does, in millimetres.
    pub value_mm: f64,
    /// What is allowed, in millimetres: at most, or at least for a distance from an edge.
    pub limit_mm: f64,
    /// Whether it is kept to.
    pub verdict: Verdict,
    /// The comparison, to be redone with a pencil.
    pub working: String,
    /// Document and clause, and where the figure was read.
    pub document: String,
}

/// Something that is opened once and shared by all cables that use it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RouteOpening {
    /// `floor`, `wall`, `riser`, `outside-wall`, `slab`.
    #[schema(example = "floor")]
    pub what: String,
    /// The room whose floor or wall it is.
    pub room: String,
    /// How many share it.
    pub shared_by: u32,
    /// Hours of the share of this one; 0 in older estimates.
    #[serde(default)]
    pub hours: Hours,
    /// The share of this one; direct cost.
    pub share: Money,
}

/// The next best way: mostly by another medium.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RunnerUp {
    /// The way that it would go.
    pub medium: Medium,
    /// Metres more.
    pub metres_more: Metres,
    /// Hours more.
    pub hours_more: Hours,
    /// Money more; direct cost.
    pub money_more: Option<Money>,
}

/// What is worth asking.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Question {
    /// What it settles.
    #[schema(example = "floor-construction")]
    pub id: Cow<'static, str>,
    /// The question.
    pub ask: String,
    /// The rooms or things meant.
    #[serde(rename = "where")]
    pub places: Vec<String>,
    /// The money that the answer can move: how far the price as it stands is off, on average over the answers.
    pub worth: Money,
    /// The answers with their odds and the net price under each, contingency unchanged; none where no answer moves a
    /// line of the price.
    #[serde(default)]
    pub answers: Vec<PricedAnswer>,
    /// What of the job the answers change.
    pub because: String,
}

/// One answer to a question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PricedAnswer {
    /// In the survey's word where it has one.
    #[schema(example = "suspended-timber")]
    pub answer: String,
    /// How probable it is, from 0 to 1: a judgement, common practice or from memory.
    #[schema(minimum = 0, maximum = 1, example = 0.45)]
    pub odds: f64,
    /// The net price if it turns out so without having been asked, contingency unchanged.
    pub net: Money,
}

/// The spread of the net price.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Range {
    /// One job in ten costs less.
    pub p10: Money,
    /// Half the jobs cost less.
    pub p50: Money,
    /// Four jobs in five cost less.
    pub p80: Money,
    /// Nine jobs in ten cost less.
    pub p90: Money,
    /// The mean of all cases.
    #[serde(default)]
    pub mean: Money,
    /// The price as it stands, without contingency: what was recorded, and what was taken where nothing was.
    #[serde(default)]
    pub base: Money,
    /// What takes the price from its base to the confidence asked for.
    pub contingency: Money,
    /// The confidence asked for; where the request names none, 0.8, and 0.9 while two or more `stop` flags are open.
    pub confidence: f64,
    /// Why that confidence.
    #[serde(default)]
    pub confidence_because: String,
    /// How many times the job was drawn.
    #[serde(default)]
    pub draws: u32,
    /// What the spread comes from, widest first.
    pub drivers: Vec<Driver>,
    /// How often the net price falls where: bins from the cheapest to the dearest, whose shares add to 1.
    #[serde(default)]
    pub distribution: Vec<DistributionBin>,
    /// How the spread was worked out, and what it leaves out.
    pub basis: Cow<'static, str>,
}

/// How often the net price falls between two amounts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DistributionBin {
    /// From this net price.
    pub from: Money,
    /// To this net price.
    pub to: Money,
    /// The share of all cases, from 0 to 1.
    #[schema(minimum = 0, maximum = 1, example = 0.0625)]
    pub share: f64,
}

/// Where part of the spread comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Driver {
    /// The cause.
    pub cause: String,
    /// Its share of the variance; the shares add to 100.
    pub share_percent: f64,
    /// What it moves the net price by, taken alone: between its p10 and p90, or between the cheapest and the dearest of
    /// a few alternatives.
    pub swing: Money,
}

/// What was not recorded and what was taken instead.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Assumption {
    /// What was not recorded.
    #[schema(example = "wall")]
    pub subject: Cow<'static, str>,
    /// The rooms or things meant; `house` for the whole.
    #[serde(rename = "where")]
    pub places: Vec<String>,
    /// What was taken.
    #[schema(example = "brick")]
    pub assumed: String,
    /// Why.
    pub because: String,
}
