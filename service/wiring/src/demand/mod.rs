//! Demand after diversity, by the published allowances for one dwelling, and whether the supply bears it.
//!
//! In: loads by kind. Out: what each kind counts and why, the total, a verdict against the cut-out, and what to ask the
//! network operator. The parts add to the total. Nothing here decides what the house holds.

mod allowances;
mod answer;
mod request;
#[cfg(test)]
mod tests;

pub use answer::{DemandAnswer, KindDemand};
pub use request::{DemandLoad, DemandRequest, DemandSupply};

use crate::checks::Verdict;
use crate::faults::Fault;
use crate::limits::FAULTS_LISTED_MAX;
use crate::quantities::{Amps, Kilowatts, Volts};
use crate::standards::{LoadKind, RulesetId, Standards};

use allowances::{CountedLoad, counted};
use answer::amps_shown;
use request::faults;

/// Nominal voltage of a public supply in the UK (ESQCR 2002, from memory).
const NOMINAL_VOLTAGE_V: f64 = 230.0;
/// What a cut-out that nobody has read is taken for (common practice, no source).
const UNREAD_CUT_OUT_A: f64 = 60.0;
/// Above this an operator wants to be asked before new load is connected (ENA notification practice, from memory).
const ASK_FIRST_A: f64 = 60.0;
/// The largest cut-out of an ordinary single-phase dwelling (from memory).
const LARGEST_CUT_OUT_A: f64 = 100.0;

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
    let loads: Vec<CountedLoad> =
        request.loads.iter().map(|load| read(load, voltage)).filter(|load| load.count > 0).collect();
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

fn read(load: &DemandLoad, voltage: Volts) -> CountedLoad {
    let each = match (load.current_a, load.load_kw) {
        (Some(current_a), _) => Amps::new(current_a),
        (None, load_kw) => Kilowatts::new(load_kw.unwrap_or_default()).current_at(voltage),
    };
    CountedLoad {
        kind: load.kind,
        each: each.rounded(2),
        count: load.count.unwrap_or(1),
        socket: load.socket_outlet == Some(true),
    }
}

fn working(by_kind: &[KindDemand], total_a: f64, read_a: Option<f64>, cut_out_a: f64) -> String {
    let parts: Vec<String> = by_kind.iter().map(|kind| format!("{} {}", kind.kind, kind.after_diversity_a)).collect();
    let unread = if read_a.is_none() { " (not read: the smallest usual)" } else { "" };
    let sign = if total_a > cut_out_a { ">" } else { "<=" };
    let sum = if parts.is_empty() { "0".to_owned() } else { parts.join(" + ") };
    format!("{sum} = {total_a} A. Main fuse: {cut_out_a} A{unread}. {total_a} A {sign} {cut_out_a} A")
}

/// What the operator has to be asked or told (ENA connect-and-notify practice, from memory).
fn ask_operator(request: &DemandRequest, total_a: f64, cut_out_a: f64) -> Vec<String> {
    let holds = |kind| request.loads.iter().any(|load| load.kind == kind && load.count != Some(0));
    let mut asks = Vec::new();
    if request.supply.cut_out_a.is_none() {
        asks.push("What is the rating of the main fuse? Nobody read it, and we took 60 A".to_owned());
    }
    if total_a > cut_out_a {
        let upgrade =
            if total_a <= LARGEST_CUT_OUT_A { "May the main fuse be made larger" } else { "Which supply can be had" };
        let largest =
            if total_a <= LARGEST_CUT_OUT_A { "" } else { ". On one phase a main fuse goes to 100 A as a rule" };
        asks.push(format!(
            "The demand of {total_a} A is over the main fuse of {cut_out_a} A. {upgrade}? Otherwise limit the load{largest}"
        ));
    } else if total_a > ASK_FIRST_A {
        asks.push(format!("The demand of {total_a} A is over {ASK_FIRST_A} A. May it be connected? Apply first"));
    }
    for (kind, thing) in [(LoadKind::EvCharger, "charge point"), (LoadKind::HeatPump, "heat pump")] {
        if holds(kind) {
            asks.push(if total_a > ASK_FIRST_A || request.supply.cut_out_a.is_none() {
                format!("May the {thing} be connected? Apply before it is fitted, with its data sheet")
            } else {
                format!("A {thing} is to be connected. Tell them within 28 days, with its data sheet")
            });
        }
    }
    asks
}
