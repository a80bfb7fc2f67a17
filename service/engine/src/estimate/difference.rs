//! Two estimates line by line: what came out before, what comes out after, and where the money between them lies.
//!
//! It reads the documents as they were sent and looks at nothing but what every version of the engine has written, so that
//! an estimate of long ago can still be held against one of today.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use utoipa::ToSchema;

use crate::limits::CHANGES_LISTED_MAX;
use crate::money::Money;

/// What two estimates do not agree on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct EstimateDifference {
    /// Totals that differ.
    pub totals: Vec<TotalDifference>,
    /// Lines that differ, in the order of the second estimate, then those that it lacks. Their differences add to that of
    /// `net`.
    pub lines: Vec<LineDifference>,
    /// How many lines differ; more than are listed where there are very many.
    pub lines_total: usize,
    /// Other parts of the document that differ, such as `routes` or `risk_flags`.
    pub parts: Vec<String>,
}

/// One total of two estimates.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TotalDifference {
    /// Which.
    #[schema(example = "net")]
    pub total: String,
    /// Before.
    pub before: Money,
    /// After.
    pub after: Money,
    /// After less before.
    pub difference: Money,
}

/// One line of two estimates.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct LineDifference {
    /// What the line is for.
    #[schema(example = "cable")]
    pub kind: String,
    /// The room; absent for the whole house.
    pub room: Option<String>,
    /// The circuit, where it belongs to one.
    pub circuit: Option<String>,
    /// What is done or bought.
    #[schema(example = "cable-2-5")]
    pub item: String,
    /// Before; absent where there was no such line.
    pub before: Option<Money>,
    /// After; absent where there is no such line.
    pub after: Option<Money>,
    /// After less before.
    pub difference: Money,
}

/// A document that is not an estimate.
#[derive(Debug, thiserror::Error)]
#[error("this is no estimate: {0}")]
pub struct NotAnEstimate(#[from] serde_json::Error);

#[derive(Deserialize)]
struct Document {
    totals: Map<String, Value>,
    lines: Vec<Line>,
    #[serde(flatten)]
    parts: BTreeMap<String, Value>,
}

#[derive(Deserialize, PartialEq)]
struct Line {
    kind: String,
    room: Option<String>,
    circuit: Option<String>,
    item: String,
    amount: Money,
    #[serde(flatten)]
    rest: BTreeMap<String, Value>,
}

/// Kind, room, circuit and item of a line.
type Key<'a> = (&'a str, Option<&'a str>, Option<&'a str>, &'a str);

/// What tells lines apart: their key, and which of several alike it is.
type Place<'a> = (Key<'a>, usize);

/// The two documents held against each other.
///
/// # Errors
/// Where one of them is no estimate.
pub fn difference(before: &[u8], after: &[u8]) -> Result<EstimateDifference, NotAnEstimate> {
    let (before, after): (Document, Document) = (serde_json::from_slice(before)?, serde_json::from_slice(after)?);
    let mut lines = lines(&before.lines, &after.lines);
    let lines_total = lines.len();
    lines.truncate(CHANGES_LISTED_MAX);
    let names: BTreeSet<&String> = before.parts.keys().chain(after.parts.keys()).collect();
    let parts = names.into_iter().filter(|name| before.parts.get(*name) != after.parts.get(*name)).cloned().collect();
    Ok(EstimateDifference { totals: totals(&before.totals, &after.totals), lines, lines_total, parts })
}

fn totals(before: &Map<String, Value>, after: &Map<String, Value>) -> Vec<TotalDifference> {
    let amount = |totals: &Map<String, Value>, name: &str| totals.get(name).and_then(Value::as_str)?.parse().ok();
    after
        .keys()
        .filter_map(|name| {
            let (before, after): (Money, Money) = (amount(before, name)?, amount(after, name)?);
            let difference = after - before;
            (difference != Money::ZERO).then(|| TotalDifference { total: name.clone(), before, after, difference })
        })
        .collect()
}

fn lines(before: &[Line], after: &[Line]) -> Vec<LineDifference> {
    let earlier: BTreeMap<Place<'_>, &Line> = places(before).zip(before).collect();
    let later: BTreeSet<Place<'_>> = places(after).collect();
    let changed = places(after).zip(after).filter_map(|(place, line)| {
        let before = earlier.get(&place).copied();
        // A line's number moves when another comes in before it: that alone is no difference.
        let same = before.is_some_and(|before| without_id(before) == without_id(line) && before.amount == line.amount);
        (!same).then(|| told(line, before.map(|line| line.amount), Some(line.amount)))
    });
    let gone = places(before).zip(before).filter(|(place, _)| !later.contains(place));
    changed.chain(gone.map(|(_, line)| told(line, Some(line.amount), None))).collect()
}

fn without_id(line: &Line) -> impl PartialEq + '_ {
    line.rest.iter().filter(|(name, _)| *name != "id").collect::<Vec<_>>()
}

fn places(lines: &[Line]) -> impl Iterator<Item = Place<'_>> {
    let mut seen: BTreeMap<Key<'_>, usize> = BTreeMap::new();
    lines.iter().map(move |line| {
        let key = (line.kind.as_str(), line.room.as_deref(), line.circuit.as_deref(), line.item.as_str());
        let count = seen.entry(key).or_default();
        *count += 1;
        (key, *count)
    })
}

fn told(line: &Line, before: Option<Money>, after: Option<Money>) -> LineDifference {
    LineDifference {
        kind: line.kind.clone(),
        room: line.room.clone(),
        circuit: line.circuit.clone(),
        item: line.item.clone(),
        before,
        after,
        difference: after.unwrap_or_default() - before.unwrap_or_default(),
    }
}
