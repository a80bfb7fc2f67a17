//! Which rules an answer was judged by, and what of them was checked against what.

use crate::closed_list;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::table::rows;

closed_list! {
    /// A set of rules by name.
    RulesetId {
        A4 = "uk-bs7671-2018-a4": "BS 7671:2018+A4:2026, in force in the UK since 15 October 2026.",
        A2 = "uk-bs7671-2018-a2": "BS 7671:2018+A2:2022+A3:2024, for jobs designed before.",
    }
}

impl RulesetId {
    /// The rules in force.
    pub const IN_FORCE: Self = Self::A4;
}

/// The rules that an answer was judged by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Ruleset {
    /// Its name.
    pub id: RulesetId,
    /// The standard and its amendments.
    #[schema(example = "BS 7671:2018+A4:2026")]
    pub title: String,
    /// What of it was checked against what, group by group.
    pub checked: Vec<CheckedGroup>,
}

/// One group of figures and how far it can be relied on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct CheckedGroup {
    /// The group.
    #[schema(example = "voltage-drop")]
    pub group: String,
    /// The edition that the figures come from.
    #[schema(example = "17th edition and 18th edition to A2")]
    pub edition: String,
    /// Whether it was seen or recalled, or is not held at all.
    #[schema(example = "seen")]
    pub status: String,
    /// What has still to be done.
    pub note: String,
}

#[derive(Deserialize)]
struct RulesetRow {
    ruleset: RulesetId,
    title: String,
    group: String,
    edition: String,
    status: String,
    note: String,
}

pub(super) fn built_in() -> Vec<Ruleset> {
    let mut rulesets: Vec<Ruleset> = Vec::new();
    for row in rows::<RulesetRow>("rulesets.csv", include_str!("../../data/rulesets.csv")) {
        let group = CheckedGroup { group: row.group, edition: row.edition, status: row.status, note: row.note };
        match rulesets.iter_mut().find(|ruleset| ruleset.id == row.ruleset) {
            Some(ruleset) => ruleset.checked.push(group),
            None => rulesets.push(Ruleset { id: row.ruleset, title: row.title, checked: vec![group] }),
        }
    }
    rulesets.sort_by_key(|ruleset| ruleset.id);
    assert!(rulesets.iter().map(|ruleset| ruleset.id).eq(RulesetId::ALL.iter().copied()), "rulesets.csv holds both");
    rulesets
}
