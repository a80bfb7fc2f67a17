//! Demand after diversity, by the published allowances for one dwelling, and whether the supply bears it.
//!
//! In: loads by kind. Out: what each kind counts and why, the total, a verdict against the cut-out, and what to ask the
//! network operator. The parts add to the total. Nothing here decides what the house holds.

mod allowances;
#[cfg(test)]
mod tests;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::checks::Verdict;
use crate::faults::{Fault, FaultCode};
use crate::limits::{FAULTS_LISTED_MAX, LOAD_COUNT_MAX, LOAD_KW_MAX, LOADS_MAX};
use crate::quantities::{Amps, Kilowatts, Volts};
use crate::standards::{LoadKind, Ruleset, RulesetId, Standards};

use allowances::{Load, counted};

/// Greatest current of one load, in amps.
const CURRENT_A_MAX: f64 = 1_000.0;
const VOLTAGE_V: std::ops::RangeInclusive<f64> = 100.0..=400.0;
const CUT_OUT_A: std::ops::RangeInclusive<f64> = 20.0..=400.0;

/// Nominal voltage of a public supply in the UK (ESQCR 2002, from memory).
const NOMINAL_VOLTAGE_V: f64 = 230.0;
/// What a cut-out that nobody has read is taken for (common practice, no source).
const UNREAD_CUT_OUT_A: f64 = 60.0;
/// Above this an operator wants to be asked before new load is connected (ENA notification practice, from memory).
const ASK_FIRST_A: f64 = 60.0;
/// The largest cut-out of an ordinary single-phase dwelling (from memory).
const LARGEST_CUT_OUT_A: f64 = 100.0;

/// Loads of one dwelling on a single-phase supply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "supply": { "voltage_v": 230, "cut_out_a": 80 },
    "loads": [
        { "kind": "lighting", "current_a": 6 },
        { "kind": "cooker", "load_kw": 10.4, "socket_outlet": true },
        { "kind": "shower", "load_kw": 9.5 },
        { "kind": "socket-circuit", "count": 2, "current_a": 32 }
    ]
}))]
pub struct DemandRequest {
    /// The rules to judge by; those in force if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ruleset: Option<RulesetId>,
    /// The supply.
    pub supply: DemandSupply,
    /// What is connected.
    #[schema(min_items = 1, max_items = 1000)]
    pub loads: Vec<DemandLoad>,
}

/// The supply that has to bear the demand.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DemandSupply {
    /// Nominal voltage to earth, in volts; 230 if left out.
    #[schema(minimum = 100, maximum = 400, example = 230)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub voltage_v: Option<f64>,
    /// Rating of the cut-out fuse in amps, as read from its carrier. Left out: unread, and taken as 60.
    #[schema(minimum = 20, maximum = 400, example = 80)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut_out_a: Option<f64>,
}

/// One load, or several alike: `load_kw` or `current_a` of each.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DemandLoad {
    /// The kind.
    pub kind: LoadKind,
    /// How many alike; one if left out.
    #[schema(minimum = 0, maximum = 10000, example = 1)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Load of each in kilowatts at unity power factor.
    #[schema(exclusive_minimum = 0, maximum = 100, example = 9.5)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_kw: Option<f64>,
    /// Current of each in amps; of a socket circuit, the rating of its device.
    #[schema(exclusive_minimum = 0, maximum = 1000)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_a: Option<f64>,
    /// Whether the control unit of a cooker has a socket.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub socket_outlet: Option<bool>,
}

/// The demand of a dwelling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DemandAnswer {
    /// The rules that were judged by.
    pub ruleset: Ruleset,
    /// Everything together, in amps.
    #[schema(example = 156.52)]
    pub connected_a: f64,
    /// After diversity, in amps: the sum of `by_kind`.
    #[schema(example = 116.69)]
    pub after_diversity_a: f64,
    /// By kind, in the order of the published table.
    pub by_kind: Vec<KindDemand>,
    /// The cut-out that it is held against, in amps.
    #[schema(example = 80)]
    pub cut_out_a: f64,
    /// `pass` where the cut-out bears it and the operator need only be told; `advise` where it does by a figure that was
    /// not read, or where the operator has to be asked first; `fail` where it does not.
    pub verdict: Verdict,
    /// The comparison, to be redone with a pencil.
    #[schema(example = "6 x 0.66 + 20.56 + 41.3 = 65.82 A; cut-out 80 A; 65.82 A <= 80 A")]
    pub working: String,
    /// What to ask or tell the network operator.
    pub ask_operator: Vec<String>,
}

/// The demand of one kind of load.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KindDemand {
    /// The kind.
    pub kind: LoadKind,
    /// All of it together, in amps.
    #[schema(example = 45.22)]
    pub connected_a: f64,
    /// After diversity, in amps.
    #[schema(example = 25.57)]
    pub after_diversity_a: f64,
    /// The allowance in words, with its source.
    pub rule: String,
    /// How it was worked.
    #[schema(example = "10 A x 1 + 35.22 A x 0.3 + 1 x 5 A = 25.57 A")]
    pub working: String,
}

/// Works out the demand. Linear in loads but for a sort.
///
/// # Errors
/// Every fault at once, with pointers that begin at the request.
///
/// ```
/// use wiring::demand::{DemandLoad, DemandRequest, DemandSupply, after_diversity};
/// use wiring::standards::{LoadKind, Standards};
///
/// let shower = DemandLoad { kind: LoadKind::Shower, count: None, load_kw: Some(9.2), current_a: None, socket_outlet: None };
/// let supply = DemandSupply { cut_out_a: Some(80.0), ..DemandSupply::default() };
/// let request = DemandRequest { ruleset: None, supply, loads: vec![shower] };
/// let demand = after_diversity(&Standards::built_in(), &request).expect("no faults");
/// assert_eq!(demand.after_diversity_a, 40.0);
/// ```
pub fn after_diversity(standards: &Standards, request: &DemandRequest) -> Result<DemandAnswer, Vec<Fault>> {
    let mut faults = faults(request);
    if !faults.is_empty() {
        faults.truncate(FAULTS_LISTED_MAX);
        return Err(faults);
    }
    let voltage = Volts::new(request.supply.voltage_v.unwrap_or(NOMINAL_VOLTAGE_V));
    let loads: Vec<Load> = request.loads.iter().map(|load| read(load, voltage)).filter(|load| load.count > 0).collect();
    let by_kind: Vec<KindDemand> = LoadKind::ALL
        .iter()
        .filter(|kind| loads.iter().any(|load| load.kind == **kind))
        .map(|kind| counted(standards.allowance(*kind), &loads))
        .collect();
    let connected_a = amps_shown(by_kind.iter().map(|kind| kind.connected_a).sum());
    let after_diversity_a = amps_shown(by_kind.iter().map(|kind| kind.after_diversity_a).sum());
    let cut_out_a = request.supply.cut_out_a.unwrap_or(UNREAD_CUT_OUT_A);
    let ask_operator = ask_operator(request, after_diversity_a, cut_out_a);
    let verdict = if after_diversity_a > cut_out_a {
        Verdict::Fail
    } else if ask_operator.is_empty() {
        Verdict::Pass
    } else {
        Verdict::Advise
    };
    Ok(DemandAnswer {
        ruleset: standards.ruleset(request.ruleset.unwrap_or(RulesetId::IN_FORCE)).clone(),
        connected_a,
        after_diversity_a,
        working: working(&by_kind, after_diversity_a, request.supply.cut_out_a, cut_out_a),
        by_kind,
        cut_out_a,
        verdict,
        ask_operator,
    })
}

/// Currents are shown, compared and added at two decimals.
fn amps_shown(amps: f64) -> f64 {
    Amps::new(amps).rounded(2).value()
}

fn read(load: &DemandLoad, voltage: Volts) -> Load {
    let each = match (load.current_a, load.load_kw) {
        (Some(current_a), _) => Amps::new(current_a),
        (None, load_kw) => Kilowatts::new(load_kw.unwrap_or_default()).current_at(voltage),
    };
    Load {
        kind: load.kind,
        each: each.rounded(2),
        count: load.count.unwrap_or(1),
        socket: load.socket_outlet == Some(true),
    }
}

fn working(by_kind: &[KindDemand], total_a: f64, read_a: Option<f64>, cut_out_a: f64) -> String {
    let parts: Vec<String> = by_kind.iter().map(|kind| format!("{} {}", kind.kind, kind.after_diversity_a)).collect();
    let unread = if read_a.is_none() { " (not read, taken as the smallest usual)" } else { "" };
    let sign = if total_a > cut_out_a { ">" } else { "<=" };
    let sum = if parts.is_empty() { "0".to_owned() } else { parts.join(" + ") };
    format!("{sum} = {total_a} A; cut-out {cut_out_a} A{unread}; {total_a} A {sign} {cut_out_a} A")
}

/// What the operator has to be asked or told (ENA connect-and-notify practice, from memory).
fn ask_operator(request: &DemandRequest, total_a: f64, cut_out_a: f64) -> Vec<String> {
    let holds = |kind| request.loads.iter().any(|load| load.kind == kind && load.count != Some(0));
    let mut asks = Vec::new();
    if request.supply.cut_out_a.is_none() {
        asks.push("what is the rating of the cut-out fuse? It was not read, and 60 A was assumed".to_owned());
    }
    if total_a > cut_out_a {
        let upgrade = if total_a <= LARGEST_CUT_OUT_A {
            "may the cut-out be made larger"
        } else {
            "which supply can be had; a single-phase cut-out goes to 100 A as a rule"
        };
        asks.push(format!(
            "the demand of {total_a} A is over the cut-out of {cut_out_a} A: {upgrade}? Otherwise limit the load"
        ));
    } else if total_a > ASK_FIRST_A {
        asks.push(format!("the demand of {total_a} A is over {ASK_FIRST_A} A: may it be connected? Apply first"));
    }
    for (kind, thing) in [(LoadKind::EvCharger, "charge point"), (LoadKind::HeatPump, "heat pump")] {
        if holds(kind) {
            asks.push(if total_a > ASK_FIRST_A || request.supply.cut_out_a.is_none() {
                format!("may the {thing} be connected? Apply before it is fitted, with its data sheet")
            } else {
                format!("a {thing} is to be connected: tell them within 28 days, with its data sheet")
            });
        }
    }
    asks
}

fn faults(request: &DemandRequest) -> Vec<Fault> {
    let mut faults = Vec::new();
    let ranged =
        [("voltage_v", request.supply.voltage_v, VOLTAGE_V), ("cut_out_a", request.supply.cut_out_a, CUT_OUT_A)];
    for (field, value, range) in ranged {
        if let Some(value) = value.filter(|value| !range.contains(value)) {
            let detail = format!("`{field}` is {value}; give {} to {}", range.start(), range.end());
            faults.push(Fault::new(format!("/supply/{field}"), FaultCode::OutOfRange, detail));
        }
    }
    let entries = request.loads.len();
    if entries == 0 || entries > LOADS_MAX {
        let detail = format!("`loads` has {entries} entries; give 1 to {LOADS_MAX}");
        faults.push(Fault::new("/loads", FaultCode::OutOfRange, detail));
    }
    for (index, load) in request.loads.iter().enumerate().take(LOADS_MAX) {
        load_faults(load, &format!("/loads/{index}"), &mut faults);
    }
    faults
}

fn load_faults(load: &DemandLoad, pointer: &str, faults: &mut Vec<Fault>) {
    if load.count.is_some_and(|count| count > LOAD_COUNT_MAX) {
        let detail = format!("`count` is {}; give 0 to {LOAD_COUNT_MAX}", load.count.unwrap_or_default());
        faults.push(Fault::new(format!("{pointer}/count"), FaultCode::OutOfRange, detail));
    }
    let ranged = [("load_kw", load.load_kw, LOAD_KW_MAX), ("current_a", load.current_a, CURRENT_A_MAX)];
    for (field, value, max) in ranged {
        // Not a number is not above nought either.
        if let Some(value) = value.filter(|value| value.is_nan() || *value <= 0.0 || *value > max) {
            let detail = format!("`{field}` is {value}; give more than 0 and at most {max}");
            faults.push(Fault::new(format!("{pointer}/{field}"), FaultCode::OutOfRange, detail));
        }
    }
    if load.load_kw.is_some() == load.current_a.is_some() {
        let (code, found) = if load.load_kw.is_some() {
            (FaultCode::Contradiction, "both `load_kw` and `current_a` are given")
        } else {
            (FaultCode::MissingField, "neither `load_kw` nor `current_a` is given")
        };
        faults.push(Fault::new(pointer, code, format!("{found}; give one of them")));
    }
    if load.socket_outlet == Some(true) && load.kind != LoadKind::Cooker {
        let detail = format!("`socket_outlet` is for cookers; leave it out of `{}`", load.kind);
        faults.push(Fault::new(format!("{pointer}/socket_outlet"), FaultCode::Contradiction, detail));
    }
}
