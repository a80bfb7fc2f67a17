//! What judging gives: figures and verdicts, no words.

use super::names::{CheckName, Verdict};
use super::request::UpstreamOfCircuit;

const SCALE: f64 = 10_000.0;
/// Above this a rounded figure no longer fits the whole numbers that a double holds exactly.
const LARGEST: f64 = 9e15;

/// A figure at four decimals: what is compared, sent and shown is one and the same. Half goes away from nought.
pub(crate) fn round_to_4(value: f64) -> f64 {
    let scaled = value * SCALE;
    if scaled.abs() < LARGEST { scaled.round() / SCALE } else { value }
}

/// One check of one circuit, judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JudgedCheck {
    /// Which check it is; it names the unit of both figures.
    pub name: CheckName,
    /// What was found, at four decimals.
    pub value: f64,
    /// What it may be at most, at four decimals.
    pub limit: f64,
    /// What follows.
    pub verdict: Verdict,
}

impl JudgedCheck {
    /// Rounds both figures and compares them; `otherwise` is the verdict where the value is above the limit.
    pub(crate) fn of(name: CheckName, value: f64, limit: f64, otherwise: Verdict) -> Self {
        let (value, limit) = (round_to_4(value), round_to_4(limit));
        Self { name, value, limit, verdict: if value <= limit { Verdict::Pass } else { otherwise } }
    }
}

/// Whether cables fit their conduit or trunking, judged: the terms of the cables against that of the enclosure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JudgedEnclosure {
    /// The terms of all cables together, at four decimals.
    pub value: f64,
    /// The term of the enclosure, at four decimals.
    pub limit: f64,
    /// What follows.
    pub verdict: Verdict,
}

/// One circuit, judged. Every figure is at four decimals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JudgedCircuit {
    /// The worst of its checks, and of its cables in their enclosure.
    pub verdict: Verdict,
    /// Seven checks, always in the order of [`CheckName`].
    pub checks: [JudgedCheck; 7],
    /// Whether its cables fit the conduit or trunking that was given.
    pub enclosure: Option<JudgedEnclosure>,
    /// Design current, in amps.
    pub ib_a: f64,
    /// Rating of the device, in amps.
    pub in_a: f64,
    /// Capacity of the cable as it lies, in amps; of one leg where it is a ring.
    pub iz_a: f64,
    /// Voltage dropped from the origin to the end, in volts.
    pub voltage_drop_v: f64,
    /// Earth fault loop impedance at the end, in ohms, conductors at operating temperature.
    pub zs_ohm: f64,
    /// Resistance of line and protective conductor of this circuit, in ohms, at operating temperature.
    pub r1_r2_ohm: f64,
    /// Prospective fault current at its device, in kiloamps, where it is known.
    pub fault_current_ka: Option<f64>,
    /// Prospective fault current at its end, in kiloamps: what a board fed from it has to bear.
    pub end_fault_current_ka: Option<f64>,
    /// Smallest residual operating current that protects it, in milliamps.
    pub residual_ma: Option<f64>,
}

impl JudgedCircuit {
    /// What a circuit fed from the end of this one finds there.
    #[must_use]
    pub const fn feeds(&self) -> UpstreamOfCircuit {
        UpstreamOfCircuit {
            voltage_drop_v: self.voltage_drop_v,
            zs_ohm: self.zs_ohm,
            fault_current_ka: self.end_fault_current_ka,
            residual_ma: self.residual_ma,
        }
    }

    /// The check of a name.
    #[must_use]
    pub const fn check(&self, name: CheckName) -> &JudgedCheck {
        // They stand in the order of the closed list.
        &self.checks[name as usize]
    }

    /// The checks that it fails.
    pub fn failing(&self) -> impl Iterator<Item = &JudgedCheck> {
        self.checks.iter().filter(|check| check.verdict == Verdict::Fail)
    }

    /// The same circuit with one check left to judgement.
    #[must_use]
    pub fn with_advice_on(mut self, name: CheckName) -> Self {
        self.checks[name as usize].verdict = Verdict::Advise;
        let verdicts = self.checks.iter().map(|check| check.verdict);
        self.verdict = verdicts.chain(self.enclosure.map(|check| check.verdict)).max().unwrap_or(Verdict::Pass);
        self
    }
}
