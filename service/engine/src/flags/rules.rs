//! What the table says of each flag.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::FlagId;

/// How bad a risk is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Do not give a fixed price, or do not start, until it is answered.
    Stop,
    /// Price an allowance and say so.
    High,
    /// Tell.
    Medium,
    /// Tell.
    Low,
}

/// What a risk puts at stake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RiskKind {
    /// Somebody could be hurt.
    Safety,
    /// The firm could lose money.
    Money,
    /// The job could be late.
    Programme,
}

/// How the reader is told of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ToldAs {
    /// A risk: somebody has to decide or to find something out.
    Flag,
    /// Something about the house that the price already holds.
    Included,
    /// How to work, whatever the price.
    Caution,
}

/// One row of the table.
#[derive(Debug, Clone, Deserialize)]
pub struct FlagRule {
    /// The flag.
    pub id: FlagId,
    /// How the reader is told of it.
    pub told_as: ToldAs,
    /// How bad it is.
    pub severity: Severity,
    /// What is at stake.
    pub kind: RiskKind,
    /// What to do.
    pub action: String,
    /// The document or habit behind it.
    pub basis: String,
}

/// The table, read once.
#[derive(Debug, Clone)]
pub struct FlagRules {
    rules: BTreeMap<FlagId, FlagRule>,
}

impl FlagRules {
    /// The rules that are part of the program.
    #[must_use]
    pub fn built_in() -> Self {
        let rows: Vec<FlagRule> = crate::table::rows("risk_flags.csv", include_str!("../../data/risk_flags.csv"));
        Self { rules: rows.into_iter().map(|rule| (rule.id, rule)).collect() }
    }

    /// What the table says of a flag.
    ///
    /// # Panics
    /// If the built-in table lacks it: a bug, found by the first test that runs.
    #[must_use]
    pub fn of(&self, id: FlagId) -> &FlagRule {
        self.rules.get(&id).unwrap_or_else(|| panic!("risk_flags.csv lacks `{id}`"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_flag_has_its_row() {
        let rules = FlagRules::built_in();
        for id in FlagId::ALL {
            assert!(!rules.of(*id).action.is_empty(), "{id}");
        }
    }
}
