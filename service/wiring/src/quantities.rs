//! Physical quantities as types, so that a wrong unit does not compile. Only arithmetic that means something
//! is defined: metres add to metres, amps times ohms are volts, nothing else.

use std::fmt;

use derive_more::{Add, AddAssign, Mul, Sub, Sum};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize, ToSchema,
            Add, AddAssign, Sub, Sum, Mul,
        )]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);

            /// From a figure in the unit of the type's name.
            #[must_use]
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            /// The figure, in the unit of the type's name.
            #[must_use]
            pub const fn value(self) -> f64 {
                self.0
            }

            /// The same figure at a fixed number of decimals, half away from zero, for showing.
            #[must_use]
            pub fn rounded(self, decimals: i32) -> Self {
                let scale = 10f64.powi(decimals);
                let rounded = (self.0 * scale).round() / scale;
                Self(if rounded == 0.0 { 0.0 } else { rounded })
            }

            /// The larger of the two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The smaller of the two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                if let Some(decimals) = f.precision() {
                    write!(f, "{:.*} {}", decimals, self.0, $unit)
                } else {
                    write!(f, "{} {}", self.rounded(3).0, $unit)
                }
            }
        }
    };
}

quantity!(
    /// A length.
    Metres, "m");
quantity!(
    /// An area of floor, wall or ceiling.
    SquareMetres, "m2");
quantity!(
    /// The cross-section of a conductor.
    SquareMillimetres, "mm2");
quantity!(
    /// A current.
    Amps, "A");
quantity!(
    /// A prospective or breaking current.
    Kiloamps, "kA");
quantity!(
    /// A potential difference.
    Volts, "V");
quantity!(
    /// A resistance or the size of an impedance.
    Ohms, "ohm");
quantity!(
    /// A load.
    Kilowatts, "kW");
quantity!(
    /// Person-hours.
    Hours, "h");
quantity!(
    /// A share in hundredths.
    Percent, "%");

impl std::ops::Mul<Ohms> for Amps {
    type Output = Volts;
    fn mul(self, impedance: Ohms) -> Volts {
        Volts(self.0 * impedance.0)
    }
}

impl std::ops::Mul<Metres> for Metres {
    type Output = SquareMetres;
    fn mul(self, other: Metres) -> SquareMetres {
        SquareMetres(self.0 * other.0)
    }
}

impl Kilowatts {
    /// The current that this load draws at unity power factor on one phase: `I = P / U`.
    #[must_use]
    pub fn current_at(self, voltage: Volts) -> Amps {
        Amps(self.0 * 1_000.0 / voltage.0)
    }
}

impl Percent {
    /// As a fraction of one.
    #[must_use]
    pub fn fraction(self) -> f64 {
        self.0 / 100.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_3_kw_immersion_heater_draws_13_a_at_230_v() {
        let current = Kilowatts::new(3.0).current_at(Volts::new(230.0));
        assert!((current.value() - 13.043).abs() < 0.001);
    }

    #[test]
    fn amps_through_ohms_drop_volts() {
        let drop = Amps::new(32.0) * Ohms::new(0.25);
        assert!((drop.value() - 8.0).abs() < 1e-12);
    }

    #[test]
    fn a_shown_figure_is_rounded_half_away_from_zero_and_never_reads_minus_nought() {
        assert_eq!(Metres::new(2.345).rounded(1).value(), 2.3);
        assert_eq!(Metres::new(-0.001).rounded(2).value().to_bits(), 0f64.to_bits());
    }
}
