//! The risk flags as they go out.

use std::borrow::Cow;

use serde::{Deserialize, Deserializer, Serialize};
use utoipa::ToSchema;

use super::words;
use crate::flags::{FlagRules, RaisedFlag, ToldAs};
pub use crate::flags::{RiskKind, Severity};
use crate::money::Money;
use crate::take_off::Job;

/// What could hurt somebody, cost money or delay the job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RiskFlag {
    /// What kind of risk it is.
    #[schema(example = "bond-far-side")]
    pub id: Cow<'static, str>,
    /// How bad.
    pub severity: Severity,
    /// What is at stake.
    pub kind: RiskKind,
    /// The rooms, circuits or services; `house` for the whole. Estimates kept long ago have one text, which reads as a
    /// list of one.
    #[serde(rename = "where", deserialize_with = "one_or_many")]
    pub places: Vec<String>,
    /// What was seen.
    pub what: String,
    /// What to do.
    pub action: Cow<'static, str>,
    /// The document or habit behind it.
    pub basis: Cow<'static, str>,
    /// The money at stake, where it can be worked out.
    pub at_stake: Option<Money>,
}

/// A list of texts, or one text.
fn one_or_many<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<String>, D::Error> {
    #[derive(Deserialize)]
    #[serde(untagged)]
    enum OneOrMany {
        One(String),
        Many(Vec<String>),
    }
    Ok(match OneOrMany::deserialize(deserializer)? {
        OneOrMany::One(place) => vec![place],
        OneOrMany::Many(places) => places,
    })
}

/// Something about the house that the price already holds, with its money.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Included {
    /// What it is; the names are of one list with those of the risks.
    #[schema(example = "lived-in")]
    pub id: Cow<'static, str>,
    /// The rooms, circuits or services; `house` for the whole.
    #[serde(rename = "where")]
    pub places: Vec<String>,
    /// What it is and what is done about it.
    pub what: String,
    /// What it adds to the net price, where it can be worked out.
    pub net: Option<Money>,
}

/// What was found: the risks, what the price holds because of the house, and what to mind in this one.
pub(crate) struct ToldFindings {
    /// By severity, then money, then name.
    pub risk_flags: Vec<RiskFlag>,
    /// By money, then name.
    pub included: Vec<Included>,
    /// The cautions of every house, then those of this one.
    pub cautions: Vec<Cow<'static, str>>,
}

/// What was found in words.
pub(crate) fn told(raised: &[RaisedFlag], rules: &FlagRules, job: Job<'_>) -> ToldFindings {
    let of = |kind: ToldAs| raised.iter().filter(move |flag| flag.told_as == kind);
    let what = |flag: &RaisedFlag| words::flags::what(job, flag);
    let flag = |flag: &RaisedFlag| {
        let rule = rules.of(flag.id);
        RiskFlag {
            id: Cow::Borrowed(flag.id.word()),
            severity: flag.severity,
            kind: rule.kind,
            places: words::places::of_flag(job, &flag.places),
            what: what(flag),
            action: Cow::Owned(rule.action.clone()),
            basis: Cow::Owned(rule.basis.clone()),
            at_stake: flag.at_stake,
        }
    };
    let mut risk_flags: Vec<RiskFlag> = of(ToldAs::Flag).map(flag).collect();
    risk_flags.sort_by(|a, b| {
        let weight = a.severity.cmp(&b.severity).then(b.at_stake.cmp(&a.at_stake));
        weight.then_with(|| a.id.cmp(&b.id)).then_with(|| a.places.cmp(&b.places))
    });
    let what_and_action = |flag: &RaisedFlag| format!("{}. {}", what(flag), rules.of(flag.id).action);
    let included = |flag: &RaisedFlag| Included {
        id: Cow::Borrowed(flag.id.word()),
        places: words::places::of_flag(job, &flag.places),
        what: what_and_action(flag),
        net: flag.at_stake,
    };
    let mut included: Vec<Included> = of(ToldAs::Included).map(included).collect();
    included.sort_by(|a, b| b.net.cmp(&a.net).then_with(|| a.id.cmp(&b.id)).then_with(|| a.places.cmp(&b.places)));
    let mut cautions = words::general::borrowed(&words::general::CAUTIONS);
    cautions.extend(of(ToldAs::Caution).map(|flag| Cow::Owned(what_and_action(flag))));
    ToldFindings { risk_flags, included, cautions }
}
