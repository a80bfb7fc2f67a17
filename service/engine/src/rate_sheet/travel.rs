//! How much of the travel the firm pays for.

use wiring::closed_list;

use super::RateTerms;

closed_list! {
    /// Which travel is paid as working time.
    PaidTravel {
        None = "none": "None: it is the crew's own time.",
        Beyond = "beyond": "What lies beyond a distance or a time.",
        All = "all": "All of it, within the working day.",
    }
}

impl PaidTravel {
    /// As it was before sheets said.
    pub(super) const fn usual() -> Self {
        Self::All
    }
}

impl RateTerms {
    /// Kilometres one way of so many that are paid for, where ten take so many hours.
    #[must_use]
    pub fn paid_km(&self, distance_km: f64, hours_of_ten_km: f64) -> f64 {
        const MINUTES: f64 = 60.0;
        const TEN_KM: f64 = 10.0;
        match self.paid_travel {
            PaidTravel::None => 0.0,
            PaidTravel::All => distance_km,
            PaidTravel::Beyond => {
                let in_time = if hours_of_ten_km > 0.0 {
                    self.paid_travel_beyond_min / MINUTES / hours_of_ten_km * TEN_KM
                } else {
                    0.0
                };
                (distance_km - self.paid_travel_beyond_km.max(in_time)).max(0.0)
            }
        }
    }
}
