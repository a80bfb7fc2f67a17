//! The tables of the wiring rules as data files, each row with its source, and typed look-ups over them.
//!
//! In: `data/*.csv`, compiled in. Out: [`Standards`], a plain value that is built once and handed round.
//! A value outside a table is refused with the table's name; nothing here ever extrapolates.

mod cables;
mod conductors;
mod devices;
mod diversity;
mod earthing;
mod enclosures;
mod factors;
mod look_up;
mod provenance;
mod ruleset;
mod vocabulary;

#[cfg(test)]
mod physics;

pub use cables::MillivoltsPerAmpMetre;
pub use conductors::{Armour, MilliohmsPerMetre};
pub use devices::{LetThrough, OvercurrentDevice, TABLE_VOLTAGE, VOLTAGE_FACTOR_MIN};
pub use diversity::{AllowanceRule, DiversityAllowance, LoadKind};
pub use earthing::{EarthingItem, SizedConductor};
pub use enclosures::{EnclosureSize, EnclosureSpace, EnclosureTable, EnclosureType};
pub use look_up::NotInTable;
pub use provenance::Provenance;
pub use ruleset::{CheckedGroup, Ruleset, RulesetId};
pub use vocabulary::{
    Burial, CableGrouping, CableType, Celsius, CircuitUse, DeviceType, EnergyClass, ProtectiveConductor,
    ReferenceMethod, SupplyEarthing, Surroundings, TripCurve,
};

pub(crate) use cables::{capacity_table, drop_table};
pub(crate) use devices::impedance_table;
pub(crate) use factors::{GROUPING_TABLE, INSULATION_TABLE, ambient_table};

use serde::Deserialize;

use crate::quantities::{Amps, Kiloamps, Metres, Percent, SquareMillimetres};
use crate::table::rows;

/// Every table, read once and never changed.
///
/// ```
/// use wiring::quantities::SquareMillimetres;
/// use wiring::standards::{CableType, ReferenceMethod, Standards};
///
/// let standards = Standards::built_in();
/// let capacity = standards.capacity(CableType::FlatTwinAndEarth70, ReferenceMethod::C, SquareMillimetres::new(2.5));
/// assert_eq!(capacity.map(|amps| amps.value()), Ok(27.0));
/// ```
#[derive(Debug, Clone)]
pub struct Standards {
    cables: cables::CableTables,
    conductors: conductors::Conductors,
    devices: devices::Devices,
    factors: factors::CorrectionFactors,
    earthing: earthing::Earthing,
    enclosures: enclosures::Enclosures,
    drop_limits: Vec<DropLimitRow>,
    allowances: Vec<DiversityAllowance>,
    rulesets: Vec<Ruleset>,
}

#[derive(Debug, Clone, Deserialize)]
struct DropLimitRow {
    #[serde(rename = "use")]
    circuit_use: CircuitUse,
    percent: Percent,
    #[serde(rename = "status")]
    _status: Provenance,
}

impl Standards {
    /// Reads the tables that are compiled into the program. Costs well under a millisecond; do it once.
    ///
    /// # Panics
    /// If one of our own data files does not read: a bug that the first test finds.
    #[must_use]
    pub fn built_in() -> Self {
        let mut drop_limits: Vec<DropLimitRow> =
            rows("voltage_drop_limits.csv", include_str!("../../data/voltage_drop_limits.csv"));
        drop_limits.sort_by_key(|row| row.circuit_use);
        assert!(
            drop_limits.iter().map(|row| row.circuit_use).eq(CircuitUse::ALL.iter().copied()),
            "voltage_drop_limits.csv holds every use once"
        );
        Self {
            cables: cables::CableTables::built_in(),
            conductors: conductors::Conductors::built_in(),
            devices: devices::Devices::built_in(),
            factors: factors::CorrectionFactors::built_in(),
            earthing: earthing::Earthing::built_in(),
            enclosures: enclosures::Enclosures::built_in(),
            drop_limits,
            allowances: diversity::built_in(),
            rulesets: ruleset::built_in(),
        }
    }

    /// Current-carrying capacity It, single-phase, before any rating factor.
    ///
    /// # Errors
    /// [`NotInTable`] where the table has no such method or size.
    pub fn capacity(
        &self,
        cable: CableType,
        method: ReferenceMethod,
        line: SquareMillimetres,
    ) -> Result<Amps, NotInTable> {
        self.cables.capacity(cable, method, line)
    }

    /// Voltage drop per amp and metre at full conductor temperature, single-phase.
    ///
    /// # Errors
    /// [`NotInTable`] where the table has no such size.
    pub fn voltage_drop(&self, cable: CableType, line: SquareMillimetres) -> Result<MillivoltsPerAmpMetre, NotInTable> {
        self.cables.drop(cable, line)
    }

    /// The sizes made of a kind of cable, smallest first.
    pub fn sizes(&self, cable: CableType) -> impl Iterator<Item = SquareMillimetres> {
        self.cables.sizes(cable)
    }

    /// The reference methods for which a kind of cable has capacities.
    pub fn methods(&self, cable: CableType) -> impl Iterator<Item = ReferenceMethod> {
        self.cables.methods(cable)
    }

    /// The protective conductor made into flat twin and earth cable of a size.
    ///
    /// # Errors
    /// [`NotInTable`] where the cable is not made in that size.
    pub fn flat_cable_cpc(&self, line: SquareMillimetres) -> Result<SquareMillimetres, NotInTable> {
        self.cables.flat_protective(line)
    }

    /// Resistance of a copper conductor at 20 degC.
    ///
    /// # Errors
    /// [`NotInTable`] where it is not a standard size.
    pub fn conductor_resistance(&self, size: SquareMillimetres) -> Result<MilliohmsPerMetre, NotInTable> {
        self.conductors.copper(size)
    }

    /// The steel wire armour of a cable.
    ///
    /// # Errors
    /// [`NotInTable`] where no such cable is listed.
    pub fn armour(&self, line: SquareMillimetres, cores: u8) -> Result<Armour, NotInTable> {
        self.conductors.armour(line, cores)
    }

    /// What the resistance at 20 degC is multiplied by at the operating temperature.
    ///
    /// # Errors
    /// [`NotInTable`] where the table has none.
    pub fn temperature_multiplier(&self, conductor: ProtectiveConductor, cable: CableType) -> Result<f64, NotInTable> {
        self.conductors.multiplier(conductor, cable)
    }

    /// k of the adiabatic equation, in A.s^0.5/mm2.
    ///
    /// # Errors
    /// [`NotInTable`] where the table has none.
    pub fn adiabatic_k(&self, conductor: ProtectiveConductor, cable: CableType) -> Result<f64, NotInTable> {
        self.conductors.adiabatic_k(conductor, cable)
    }

    /// A protective device of a rating.
    ///
    /// # Errors
    /// [`NotInTable`] where no such device is listed.
    pub fn device(
        &self,
        device: DeviceType,
        curve: Option<TripCurve>,
        rating: Amps,
    ) -> Result<&OvercurrentDevice, NotInTable> {
        self.devices.device(device, curve, rating)
    }

    /// The standard ratings of a kind of device, smallest first; none where kind and curve do not go together.
    #[must_use]
    pub fn ratings(&self, device: DeviceType, curve: Option<TripCurve>) -> &[OvercurrentDevice] {
        self.devices.ratings(device, curve)
    }

    /// The energy that a breaker may let through at a fault level; none where no limit is set.
    #[must_use]
    pub fn let_through(
        &self,
        class: EnergyClass,
        curve: TripCurve,
        rating: Amps,
        fault_level: Kiloamps,
    ) -> Option<LetThrough> {
        self.devices.let_through(class, curve, rating, fault_level)
    }

    /// The room in a conduit or trunking for single-core cables.
    ///
    /// # Errors
    /// [`NotInTable`] where there is no such enclosure, or the run is too long or too bent to draw cables into.
    pub fn enclosure_space(&self, enclosure: EnclosureSize) -> Result<EnclosureSpace, NotInTable> {
        self.enclosures.space(enclosure)
    }

    /// What one single-core cable takes of that room.
    ///
    /// # Errors
    /// [`NotInTable`] where the table has no such size.
    pub fn enclosed_cable_term(&self, table: EnclosureTable, line: SquareMillimetres) -> Result<f64, NotInTable> {
        self.enclosures.cable(table, line)
    }

    /// Ca: factor for the temperature of what surrounds the cable.
    ///
    /// # Errors
    /// [`NotInTable`] where it is too hot for the cable.
    pub fn ambient_factor(
        &self,
        surroundings: Surroundings,
        cable: CableType,
        temperature: Celsius,
    ) -> Result<f64, NotInTable> {
        self.factors.ambient(surroundings, cable, temperature)
    }

    /// Cg: factor for circuits that lie together.
    ///
    /// # Errors
    /// [`NotInTable`] above 20 circuits.
    pub fn grouping_factor(&self, grouping: CableGrouping, circuits: u32) -> Result<f64, NotInTable> {
        self.factors.grouping(grouping, circuits)
    }

    /// Ci: factor for a length wholly surrounded by thermal insulation; one where there is none, 0.5 from half a metre.
    #[must_use]
    pub fn insulation_factor(&self, length: Metres) -> f64 {
        self.factors.insulation(length)
    }

    /// Cs: factor for the thermal resistivity of the soil, in K.m/W.
    ///
    /// # Errors
    /// [`NotInTable`] above 3 K.m/W.
    pub fn soil_factor(&self, burial: Burial, resistivity_k_m_per_w: f64) -> Result<f64, NotInTable> {
        self.factors.soil(burial, resistivity_k_m_per_w)
    }

    /// Cd: factor for the depth of burial.
    ///
    /// # Errors
    /// [`NotInTable`] below 3 m.
    pub fn depth_factor(&self, burial: Burial, depth: Metres) -> Result<f64, NotInTable> {
        self.factors.depth(burial, depth)
    }

    /// Greatest voltage drop from the origin to any load, in percent of nominal.
    #[must_use]
    pub fn drop_limit(&self, circuit_use: CircuitUse) -> Percent {
        // Sorted and complete since `built_in`: the index is the position in the closed list.
        self.drop_limits[circuit_use as usize].percent
    }

    /// The allowance for diversity of a kind of load.
    #[must_use]
    pub fn allowance(&self, kind: LoadKind) -> &DiversityAllowance {
        // Sorted and complete since `built_in`.
        &self.allowances[kind as usize]
    }

    /// The size of an earthing conductor or bond beside the conductor that governs it.
    ///
    /// # Errors
    /// [`NotInTable`] where the tables go no further.
    pub fn earthing(&self, item: EarthingItem, governing: SquareMillimetres) -> Result<SizedConductor, NotInTable> {
        self.earthing.size(item, governing, self.conductors.sizes())
    }

    /// The rules by name, and what of them was checked against what.
    #[must_use]
    pub fn ruleset(&self, id: RulesetId) -> &Ruleset {
        // Sorted and complete since `built_in`.
        &self.rulesets[id as usize]
    }
}
