//! What is answered: seven checks a circuit, each with its working, and the figures between.

use std::borrow::Cow;

use crate::closed_list;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::line::{Working, line};
use crate::checks::{CheckName, CheckUnit, JudgedCheck, UpstreamOfCircuit, Verdict};
use crate::standards::Ruleset;

/// The checks of every circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CircuitCheckAnswer {
    /// The rules that were judged by.
    pub ruleset: Ruleset,
    /// The circuits, in the order of the request.
    pub circuits: Vec<CheckedCircuit>,
    /// The worst verdict of all circuits.
    pub verdict: Verdict,
    /// What the rules recommend for the installation as a whole.
    pub advice: Vec<Advice>,
    /// What was taken for granted because it was not given.
    pub assumptions: Vec<String>,
}

/// One circuit, checked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CheckedCircuit {
    /// The identifier given.
    #[schema(example = "C1")]
    pub id: String,
    /// The name given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The worst of its checks, and of its cables in their enclosure.
    pub verdict: Verdict,
    /// Seven checks, always in the same order.
    #[schema(min_items = 7, max_items = 7)]
    pub checks: Vec<Check>,
    /// Whether its cables fit the conduit or trunking that was given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub enclosure: Option<EnclosureCheck>,
    /// Design current, in amps.
    #[schema(example = 41.3043)]
    pub ib_a: f64,
    /// Rating of the device, in amps.
    #[schema(example = 45)]
    pub in_a: f64,
    /// Capacity of the cable as it lies, in amps; of one leg where it is a ring.
    #[schema(example = 64)]
    pub iz_a: f64,
    /// Voltage dropped from the origin to the end, in volts.
    #[schema(example = 3.2713)]
    pub voltage_drop_v: f64,
    /// Earth fault loop impedance at the end, in ohms, conductors at operating temperature.
    #[schema(example = 0.4891)]
    pub zs_ohm: f64,
    /// Resistance of line and protective conductor of this circuit, in ohms, at operating temperature.
    #[schema(example = 0.1391)]
    pub r1_r2_ohm: f64,
    /// Prospective fault current at its device, in kiloamps, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fault_current_ka: Option<f64>,
    /// Prospective fault current at its end, in kiloamps: what a board fed from it has to bear.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end_fault_current_ka: Option<f64>,
    /// Smallest residual operating current that protects it, in milliamps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual_ma: Option<f64>,
    /// What the rules recommend for it.
    pub advice: Vec<Advice>,
}

impl CheckedCircuit {
    /// What a circuit fed from the end of this one finds there.
    #[must_use]
    pub fn feeds(&self) -> UpstreamOfCircuit {
        UpstreamOfCircuit {
            voltage_drop_v: self.voltage_drop_v,
            zs_ohm: self.zs_ohm,
            fault_current_ka: self.end_fault_current_ka,
            residual_ma: self.residual_ma,
        }
    }

    /// The check of a name.
    #[must_use]
    pub fn check(&self, name: CheckName) -> Option<&Check> {
        self.checks.iter().find(|check| check.name == name)
    }
}

/// One check of one circuit.
///
/// `pass` says that the value is not above the limit; `fail` that it is; `advise` that it is above, but by the rules
/// this is left to judgement or rests on something that was not given. Both are rounded to four decimals first, and the
/// rounded figures are compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = CircuitCheck)]
pub struct Check {
    /// Which check it is.
    pub name: CheckName,
    /// What was found.
    #[schema(example = 41.3043)]
    pub value: f64,
    /// What it may be at most.
    #[schema(example = 45)]
    pub limit: f64,
    /// The unit of both.
    pub unit: CheckUnit,
    /// What follows.
    pub verdict: Verdict,
    /// The clause.
    #[schema(value_type = String, example = "BS 7671 433.1.1(i)")]
    pub clause: Cow<'static, str>,
    /// How it was worked, to be redone with a pencil.
    #[schema(example = "Ib = 9.5 kW x 1000 / 230 V = 41.3043 A. In = 45 A. 41.3043 A <= 45 A")]
    pub working: String,
}

/// Whether cables fit their conduit or trunking: the terms of the cables against that of the enclosure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct EnclosureCheck {
    /// The terms of all cables together.
    #[schema(example = 110)]
    pub value: f64,
    /// The term of the enclosure, which they may come to at most.
    #[schema(example = 256)]
    pub limit: f64,
    /// What follows.
    pub verdict: Verdict,
    /// The tables.
    #[schema(value_type = String, example = "On-Site Guide Tables E3 and E4")]
    pub clause: Cow<'static, str>,
    /// How it was worked.
    #[schema(example = "2 x 22 (1.5 mm2) + 1 x 22 (1.5 mm2) = 66. 66 <= 256")]
    pub working: String,
}

/// Something that the rules recommend, or that has to be looked at, without a limit to hold it against.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = CircuitAdvice)]
pub struct Advice {
    /// What it is about.
    pub name: AdviceName,
    /// Always `advise`.
    pub verdict: Verdict,
    /// The clause.
    #[schema(value_type = String, example = "BS 7671 421.1.7")]
    pub clause: Cow<'static, str>,
    /// What is recommended, and why.
    #[schema(value_type = String)]
    pub working: Cow<'static, str>,
}

closed_list! {
    /// What advice is about.
    AdviceName {
        ArcFaultDetection = "arc-fault-detection": "Arc fault detection.",
        SurgeProtection = "surge-protection": "Protection against surges.",
        ElectrodeStability = "electrode-stability": "Whether an earth electrode can be relied on.",
        TerminalTemperature = "terminal-temperature": "Whether the terminals bear the heat of the conductor.",
        InsulationInMethod = "insulation-in-method": "Insulation given beside a method that allows for it.",
    }
}

impl Check {
    /// Ends the working with the comparison: the printed figures are those that decided.
    pub(super) fn shown(judged: &JudgedCheck, clause: &'static str, mut working: Working) -> Self {
        let JudgedCheck { name, value, limit, verdict } = *judged;
        let unit = name.unit();
        let sign = if value <= limit { "<=" } else { ">" };
        line!(working, ". ", value, " ", unit, " ", sign, " ", limit, " ", unit);
        Self { name, value, limit, unit, verdict, clause: Cow::Borrowed(clause), working: working.written() }
    }
}
