//! What is asked: the loads of one dwelling and the supply that has to bear them.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::faults::{Fault, FaultCode};
use crate::limits::{LOAD_COUNT_MAX, LOAD_KW_MAX, LOADS_MAX};
use crate::standards::{LoadKind, RulesetId};

/// Greatest current of one load, in amps.
const CURRENT_A_MAX: f64 = 1_000.0;
const VOLTAGE_V: std::ops::RangeInclusive<f64> = 100.0..=400.0;
const CUT_OUT_A: std::ops::RangeInclusive<f64> = 20.0..=400.0;

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

/// Every fault of a request; pointers begin at it.
pub(super) fn faults(request: &DemandRequest) -> Vec<Fault> {
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
