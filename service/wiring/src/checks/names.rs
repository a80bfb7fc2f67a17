//! The closed lists of the checks: what is checked, in what unit, and what follows.

use crate::closed_list;

closed_list! {
    /// The seven checks.
    CheckName {
        DesignCurrent = "design-current": "The load is not above the rating of the device: Ib <= In, in amps.",
        Overload = "overload": "The rating is not above what the cable carries: In <= Iz, in amps.",
        VoltageDrop = "voltage-drop": "Drop from the origin to the end, in percent of nominal.",
        Disconnection = "disconnection": "Earth fault loop impedance at the end, in ohms.",
        FaultWithstand = "fault-withstand": "Cross-section that the protective conductor needs, against what it has, in mm2.",
        AdditionalProtection = "additional-protection": "Earth current that disconnects, in milliamps.",
        BreakingCapacity = "breaking-capacity": "Prospective fault current against the breaking capacity, in kiloamps.",
    }
}

impl CheckName {
    /// The unit of its value and its limit.
    #[must_use]
    pub const fn unit(self) -> CheckUnit {
        match self {
            Self::DesignCurrent | Self::Overload => CheckUnit::Amps,
            Self::VoltageDrop => CheckUnit::Percent,
            Self::Disconnection => CheckUnit::Ohms,
            Self::FaultWithstand => CheckUnit::SquareMillimetres,
            Self::AdditionalProtection => CheckUnit::Milliamps,
            Self::BreakingCapacity => CheckUnit::Kiloamps,
        }
    }
}

closed_list! {
    /// The unit of a check.
    CheckUnit {
        Amps = "A": "Amps.",
        Percent = "%": "Percent of the nominal voltage.",
        Ohms = "ohm": "Ohms.",
        SquareMillimetres = "mm2": "Square millimetres.",
        Milliamps = "mA": "Milliamps.",
        Kiloamps = "kA": "Kiloamps.",
    }
}

closed_list! {
    /// What follows from a check. The later, the worse.
    Verdict {
        Pass = "pass": "It complies.",
        Advise = "advise": "It is left to judgement, or rests on something that was not given.",
        Fail = "fail": "It does not comply.",
    }
}
