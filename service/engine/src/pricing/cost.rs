//! What something costs, in its two kinds, for statistics.

/// Money in its two kinds, for statistics: never added up into a price.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cost {
    /// Paid for hours.
    pub labour: f64,
    /// Paid for materials.
    pub materials: f64,
}

impl Cost {
    /// Nothing.
    pub const ZERO: Self = Self { labour: 0.0, materials: 0.0 };

    /// Hours' pay alone.
    #[must_use]
    pub const fn labour(labour: f64) -> Self {
        Self { labour, materials: 0.0 }
    }

    /// Both kinds together.
    #[must_use]
    pub fn total(self) -> f64 {
        self.labour + self.materials
    }
}

impl std::ops::Add for Cost {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { labour: self.labour + other.labour, materials: self.materials + other.materials }
    }
}

impl std::ops::Sub for Cost {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + other * -1.0
    }
}

impl std::ops::Mul<f64> for Cost {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self { labour: self.labour * by, materials: self.materials * by }
    }
}

impl std::iter::Sum for Cost {
    fn sum<I: Iterator<Item = Self>>(costs: I) -> Self {
        costs.fold(Self::ZERO, std::ops::Add::add)
    }
}
