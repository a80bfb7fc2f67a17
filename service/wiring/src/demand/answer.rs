//! What is answered: what each kind of load counts, and the total.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::checks::Verdict;
use crate::quantities::Amps;
use crate::standards::{LoadKind, Ruleset};

/// The demand of a dwelling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DemandAnswer {
    /// The rules that were judged by.
    pub ruleset: Ruleset,
    /// Everything together, in amps.
    #[schema(example = 156.52)]
    pub connected_a: f64,
    /// After diversity, in amps: the sum of `by_kind`.
    #[schema(example = 116.69)]
    pub after_diversity_a: f64,
    /// By kind, in the order of the published table.
    pub by_kind: Vec<KindDemand>,
    /// The cut-out that it is held against, in amps.
    #[schema(example = 80)]
    pub cut_out_a: f64,
    /// `pass` where the cut-out bears it and the operator need only be told; `advise` where it does by a figure that was
    /// not read, or where the operator has to be asked first; `fail` where it does not.
    pub verdict: Verdict,
    /// The comparison, to be redone with a pencil.
    #[schema(example = "6 x 0.66 + 20.56 + 41.3 = 65.82 A. Main fuse: 80 A. 65.82 A <= 80 A")]
    pub working: String,
    /// What to ask or tell the network operator.
    pub ask_operator: Vec<String>,
}

/// The demand of one kind of load.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KindDemand {
    /// The kind.
    pub kind: LoadKind,
    /// All of it together, in amps.
    #[schema(example = 45.22)]
    pub connected_a: f64,
    /// After diversity, in amps.
    #[schema(example = 25.57)]
    pub after_diversity_a: f64,
    /// The allowance in words, with its source.
    pub rule: String,
    /// How it was worked.
    #[schema(example = "10 A x 1 + 35.22 A x 0.3 + 1 x 5 A = 25.57 A")]
    pub working: String,
}

/// Currents are shown, compared and added at two decimals.
pub(super) fn amps_shown(amps: f64) -> f64 {
    Amps::new(amps).rounded(2).value()
}
