//! The document that goes out: its types, how each part of it is put together, and all that is said in it.

pub(crate) mod assumptions;
pub(crate) mod board;
pub(crate) mod breakdown;
mod chart;
pub(crate) mod demand;
pub(crate) mod drawn;
mod estimate;
mod extra_points;
pub(crate) mod flags;
mod installation;
pub(crate) mod lines;
pub(crate) mod materials;
pub(crate) mod options;
mod plan;
pub(crate) mod price;
pub(crate) mod programme;
pub(crate) mod range;
mod routes_asked;
pub(crate) mod scope;
pub(crate) mod size;
mod standing;
pub(crate) mod unmapped;
pub(crate) mod ways;
pub(crate) mod words;

pub use breakdown::{Breakdown, CircuitPrice, StagePrice};
pub use chart::{SmallBoard, Way};
pub use estimate::*;
pub use extra_points::ExtraPoint;
pub use flags::{Included, RiskFlag, RiskKind, Severity};
pub use installation::*;
pub use materials::{DrumCuts, Purchase, TakeOffItem, UsedInRoom, UsedInStage};
pub use options::{FinishAlternative, PricedOption};
pub use plan::*;
pub use price::{
    CrossCheck, DifferenceCause, Line, LineKind, MatchingRate, Offer, Payment, RoomPrice, Totals, VatShare,
};
pub use programme::{HoursByStage, Programme, ProgrammeStep};
pub use routes_asked::*;
pub use scope::{CertificateDue, JobScope, MadeGood, Notifiable};
pub use standing::{PriceStanding, StandsAs};
