//! Voltage drop from the origin to the far end, in percent of nominal.

use super::answer::{Check, CheckName, CheckUnit, Finding, Verdict};
use super::figure::{Working, line};
use super::prepared::{Prepared, RING_SHARE};
use super::request::LoadSpread;
use crate::quantities::{Amps, Volts};
use crate::standards::{DeviceType, drop_table};

/// What a ring is taken to carry half way round before the rest is spread (the reading of the On-Site Guide that gives
/// its published 106 m).
const RING_FAR_A: f64 = 20.0;
/// A current that is spread evenly drops half as much as one at the end.
const EVEN_SHARE: f64 = 0.5;
/// Above this the table's figure has a reactance, which a cooler conductor does not lessen.
const RESISTIVE_MM2_MAX: f64 = 16.0;
/// The formula of Ct refers copper to 230 degC below nought and the tables to air at 30 degC.
const COPPER_C: f64 = 230.0;
const TABLE_AIR_C: f64 = 30.0;

/// The check, and the volts from the origin to the end.
pub(super) fn voltage_drop(prepared: &Prepared<'_>) -> (Check, Volts) {
    let mut working = prepared.working(232);
    let effective = effective_current(prepared, &mut working);
    let ct = temperature_correction(prepared, effective, &mut working);
    line!(
        working,
        "drop = ",
        prepared.drop.value(),
        " mV/A/m (",
        drop_table(prepared.circuit.cable.cable_type),
        ") x ",
        effective.value(),
        " A x ",
        prepared.length.value(),
        " m / 1000"
    );
    let mut own = prepared.drop.drop(effective, prepared.length);
    if prepared.ring {
        own = own * RING_SHARE;
        working.push_str(" / 4 (ring)");
    }
    if let Some(ct) = ct {
        own = own * ct;
        line!(working, " x Ct ", ct);
    }
    let upstream = Volts::new(prepared.upstream.voltage_drop_v);
    let total = upstream + own;
    let percent = total.value() / prepared.voltage.value() * 100.0;
    line!(working, " = ", own.value(), " V");
    if upstream > Volts::ZERO {
        line!(working, "; + ", upstream.value(), " V upstream = ", total.value(), " V");
    }
    line!(working, "; / ", prepared.voltage.value(), " V = ", percent, " %");
    let finding = Finding {
        name: CheckName::VoltageDrop,
        value: percent,
        limit: prepared.drop_limit_percent,
        unit: CheckUnit::Percent,
        clause: "BS 7671 525.202, Appendix 4 section 6.4",
        otherwise: Verdict::Fail,
    };
    (Check::judge(finding, working), total)
}

/// The current that, at the far end alone, would drop what the load as it is spread drops.
fn effective_current(prepared: &Prepared<'_>, working: &mut Working) -> Amps {
    let ib = prepared.ib;
    match prepared.spread() {
        Some(LoadSpread::AtEnd) => ib,
        Some(LoadSpread::Even) => {
            line!(*working, ib.value(), " A spread evenly counts half; ");
            ib * EVEN_SHARE
        }
        None if ib.value() > RING_FAR_A => {
            let rest = ib.value() - RING_FAR_A;
            let effective = RING_FAR_A + rest * EVEN_SHARE;
            line!(*working, RING_FAR_A, " A half way round and ", rest, " A spread evenly count ", effective, " A; ");
            Amps::new(effective)
        }
        None => {
            working.push_str("all of it half way round; ");
            ib
        }
    }
}

/// `Ct = (230 + tp - (Ca^2 Cg^2 - Ib^2 / It^2)(tp - 30)) / (230 + tp)` (BS 7671 Appendix 4 section 6.1). Ci is taken
/// with Ca and Cg, which makes the conductor warmer: on the safe side.
fn temperature_correction(prepared: &Prepared<'_>, effective: Amps, working: &mut Working) -> Option<f64> {
    if !prepared.drop_at_operating_temperature() {
        return None;
    }
    if prepared.line.value() > RESISTIVE_MM2_MAX || prepared.circuit.device.device_type == DeviceType::FuseBs3036 {
        working.push_str("no Ct above 16 mm2 or with rewirable fuses; ");
        return None;
    }
    let rated = prepared.circuit.cable.cable_type.conductor_temperature().value();
    let factors = (prepared.capacity.ca * prepared.capacity.cg * prepared.capacity.ci).powi(2);
    let loaded = (conductor_current(prepared, effective).value() / prepared.capacity.tabulated.value()).powi(2);
    let ct = (COPPER_C + rated - (factors - loaded) * (rated - TABLE_AIR_C)) / (COPPER_C + rated);
    line!(
        *working,
        "Ct = (",
        COPPER_C,
        " + ",
        rated,
        " - (",
        factors,
        " - ",
        loaded,
        ") x (",
        rated,
        " - ",
        TABLE_AIR_C,
        ")) / (",
        COPPER_C,
        " + ",
        rated,
        ") = ",
        ct,
        "; "
    );
    Some(ct)
}

/// The current that warms the conductor: of a ring each leg carries half, by the reading that gives the published 106 m
/// half of the current that counts for the drop.
fn conductor_current(prepared: &Prepared<'_>, effective: Amps) -> Amps {
    match (prepared.ring, prepared.spread()) {
        (false, _) => prepared.ib,
        (true, None) => effective * EVEN_SHARE,
        (true, Some(_)) => prepared.ib * EVEN_SHARE,
    }
}
