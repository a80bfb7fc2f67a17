//! The wiring rules of circuits, for anyone who wants a circuit checked: no survey, no house, no price.
//!
//! A shower of 9.5 kW in 10 mm2 flat twin and earth, 18 m from the board and clipped direct:
//!
//! ```
//! use wiring::checks::{
//!     CheckName, CircuitCable, CircuitLoad, CircuitSupply, CircuitToCheck, ProtectiveDevice, UpstreamOfCircuit, Verdict,
//! };
//! use wiring::standards::{CableType, CircuitUse, DeviceType, ReferenceMethod, Standards, SupplyEarthing, TripCurve};
//! use wiring::working::check_one;
//!
//! let standards = Standards::built_in();
//! let supply = CircuitSupply { ze_ohm: Some(0.35), fault_current_ka: Some(1.2), ..CircuitSupply::of(SupplyEarthing::TnCS) };
//! let shower = CircuitToCheck {
//!     device: ProtectiveDevice { residual_ma: Some(30.0), ..ProtectiveDevice::breaker(DeviceType::Rcbo, TripCurve::B, 45.0) },
//!     cable: CircuitCable::of(CableType::FlatTwinAndEarth70, 10.0),
//!     ..CircuitToCheck::radial("shower", CircuitUse::Power, CircuitLoad::kilowatts(9.5), 18.0, ReferenceMethod::C)
//! };
//! let checked = check_one(&standards, &supply, &shower, &UpstreamOfCircuit::at_origin(&supply)).expect("no faults");
//!
//! assert_eq!(checked.verdict, Verdict::Pass);
//! let load = checked.check(CheckName::DesignCurrent).expect("seven checks");
//! assert_eq!(load.working, "Ib = 9.5 kW x 1000 / 230 V = 41.3043 A. In = 45 A. 41.3043 A <= 45 A");
//! ```
//!
//! In the order in which each builds on those before it: [`quantities`], [`closed_list!`], [`faults`], [`limits`] and
//! [`table`] are the ground; [`standards`] holds the tables, each row with its source; [`checks`] judges circuits, in
//! figures alone; [`demand`] works out a demand after diversity; [`working`] shows how each figure was come by, and
//! answers requests. Nothing here asks the clock, the environment or a file: the tables are compiled in.

pub mod quantities;

pub mod faults;
pub mod limits;
pub mod table;

pub mod standards;

pub mod checks;
pub mod demand;

pub mod working;

mod closed_list;
