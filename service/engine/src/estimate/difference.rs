//! Two estimates line by line: what came out before, what comes out after, and where the money between them lies.
//!
//! Documents are read as they were sent, and nothing is looked at but what every version of the engine has written, so that
//! an estimate of long ago can still be held against one of today. Two that were just made are compared as they are.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use utoipa::ToSchema;

use super::Estimate;
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
struct ComparedEstimate {
    totals: Map<String, Value>,
    lines: Vec<LineRead>,
    #[serde(flatten)]
    parts: BTreeMap<String, Value>,
}

impl ComparedEstimate {
    fn lines(&self) -> LinesOf<'_, LineRead> {
        let circuits = self.parts.get("circuits").and_then(Value::as_array).into_iter().flatten();
        let named = circuits.filter_map(|circuit| Some((circuit.get("id")?.as_str()?, circuit.get("name")?.as_str()?)));
        LinesOf { lines: &self.lines, circuits: named.collect() }
    }
}

#[derive(Deserialize)]
struct LineRead {
    kind: String,
    room: Option<String>,
    circuit: Option<String>,
    item: String,
    amount: Money,
    #[serde(flatten)]
    rest: BTreeMap<String, Value>,
}

/// Kind, room, circuit by its name and item of a line. A circuit's identifier is its way on the board, which moves when a
/// circuit comes in before it.
type LineKey<'a> = (&'a str, Option<&'a str>, Option<&'a str>, &'a str);

/// The names of the circuits of an estimate by their identifiers.
type CircuitNames<'a> = BTreeMap<&'a str, &'a str>;

/// The lines of an estimate and what tells their circuits apart.
struct LinesOf<'a, T> {
    lines: &'a [T],
    circuits: CircuitNames<'a>,
}

/// What tells lines apart: their key, and which of several alike it is.
type LinePlace<'a> = (LineKey<'a>, usize);

/// A line of an estimate, read from a document or just made.
trait ComparedLine {
    fn place(&self) -> LineKey<'_>;
    fn amount(&self) -> Money;
    /// Its place, with the circuit by its name where that is known.
    fn key<'a>(&'a self, circuits: &CircuitNames<'a>) -> LineKey<'a> {
        let (kind, room, circuit, item) = self.place();
        (kind, room, circuit.map(|circuit| circuits.get(circuit).copied().unwrap_or(circuit)), item)
    }
    /// Whether it says the same. A line's number moves when another comes in before it: that alone is no difference.
    fn says(&self, other: &Self) -> bool;
}

impl ComparedLine for LineRead {
    fn place(&self) -> LineKey<'_> {
        (&self.kind, self.room.as_deref(), self.circuit.as_deref(), &self.item)
    }

    fn amount(&self) -> Money {
        self.amount
    }

    fn says(&self, other: &Self) -> bool {
        fn numberless(line: &LineRead) -> impl PartialEq + '_ {
            line.rest.iter().filter(|(name, _)| !["id", "key", "price"].contains(&name.as_str())).collect::<Vec<_>>()
        }
        self.amount == other.amount && numberless(self) == numberless(other)
    }
}

impl ComparedLine for super::Line {
    fn place(&self) -> LineKey<'_> {
        (self.kind.word(), self.room.as_deref(), self.circuit.as_deref(), &self.item)
    }

    fn amount(&self) -> Money {
        self.amount
    }

    fn says(&self, other: &Self) -> bool {
        // Taken apart, so that a new field finds its place here.
        let Self {
            id: _,
            key: _,
            kind,
            room,
            // Held against the other by its name, in the key.
            circuit: _,
            item,
            description,
            quantity,
            unit,
            stage,
            finish,
            crew,
            hours,
            materials,
            labour,
            amount,
            // Carries its share of what is on top, which moves with every other line.
            price: _,
            vat_case,
            vat,
            because,
        } = self;
        (kind, room, item) == (&other.kind, &other.room, &other.item)
            && (description, quantity, unit, hours) == (&other.description, &other.quantity, &other.unit, &other.hours)
            && (stage, finish, crew) == (&other.stage, &other.finish, &other.crew)
            && (materials, labour, amount) == (&other.materials, &other.labour, &other.amount)
            && (vat_case, vat, because) == (&other.vat_case, &other.vat, &other.because)
    }
}

/// The two documents held against each other.
///
/// # Errors
/// Where one of them is no estimate.
pub fn difference(before: &[u8], after: &[u8]) -> Result<EstimateDifference, NotAnEstimate> {
    let (before, after): (ComparedEstimate, ComparedEstimate) =
        (serde_json::from_slice(before)?, serde_json::from_slice(after)?);
    let names: BTreeSet<&String> = before.parts.keys().chain(after.parts.keys()).collect();
    let parts = names.into_iter().filter(|name| before.parts.get(*name) != after.parts.get(*name)).cloned().collect();
    Ok(found(totals(&before.totals, &after.totals), &before.lines(), &after.lines(), parts))
}

/// Two estimates that were just made, held against each other: the same as [`difference`] of their documents, without
/// writing and reading them.
#[must_use]
pub fn between(before: &Estimate, after: &Estimate) -> EstimateDifference {
    let (b, a) = (&before.totals, &after.totals);
    let totals = [
        ("contingency", b.contingency, a.contingency),
        ("gross", b.gross, a.gross),
        ("labour", b.labour, a.labour),
        ("materials", b.materials, a.materials),
        ("net", b.net, a.net),
        ("overhead", b.overhead, a.overhead),
        ("preliminaries", b.preliminaries, a.preliminaries),
        ("profit", b.profit, a.profit),
        ("vat", b.vat, a.vat),
    ];
    let totals = totals.into_iter().filter_map(|(name, before, after)| total(name, before, after)).collect();
    found(totals, &just_made(before), &just_made(after), parts(before, after))
}

fn just_made(estimate: &Estimate) -> LinesOf<'_, super::Line> {
    let circuits = estimate.circuits.iter().map(|circuit| (circuit.id.as_str(), circuit.name.as_str())).collect();
    LinesOf { lines: &estimate.lines, circuits }
}

/// The parts that differ, by name.
fn parts(before: &Estimate, after: &Estimate) -> Vec<String> {
    /// Takes an estimate apart, so that a new part finds its place here, and names the parts that are another.
    macro_rules! differing {
        ($($part:ident),+ $(,)?) => {{
            let Estimate { totals: _, lines: _, $($part),+ } = before;
            let all = [$((stringify!($part), *$part != after.$part)),+];
            all.into_iter().filter(|(_, differs)| *differs).map(|(name, _)| name.to_owned()).collect()
        }};
    }
    // In the order of the alphabet, as a document's parts are named.
    differing!(
        alarms,
        assumptions,
        bathrooms,
        board,
        breakdown,
        cautions,
        circuits,
        created_at,
        cross_check,
        currency,
        demand,
        engine_version,
        exclusions,
        extra_points,
        finishes,
        hours,
        id,
        included,
        method,
        offer,
        options,
        plan,
        programme,
        questions,
        range,
        rate_sheet,
        reference,
        risk_flags,
        rooms,
        routes,
        ruleset,
        scope,
        take_off,
    )
}

fn found<T: ComparedLine>(
    totals: Vec<TotalDifference>,
    before: &LinesOf<'_, T>,
    after: &LinesOf<'_, T>,
    parts: Vec<String>,
) -> EstimateDifference {
    let mut lines = lines(before, after);
    let lines_total = lines.len();
    lines.truncate(CHANGES_LISTED_MAX);
    EstimateDifference { totals, lines, lines_total, parts }
}

fn totals(before: &Map<String, Value>, after: &Map<String, Value>) -> Vec<TotalDifference> {
    let amount = |totals: &Map<String, Value>, name: &str| totals.get(name).and_then(Value::as_str)?.parse().ok();
    after.keys().filter_map(|name| total(name, amount(before, name)?, amount(after, name)?)).collect()
}

fn total(name: &str, before: Money, after: Money) -> Option<TotalDifference> {
    let difference = after - before;
    (difference != Money::ZERO).then(|| TotalDifference { total: name.to_owned(), before, after, difference })
}

fn lines<T: ComparedLine>(before: &LinesOf<'_, T>, after: &LinesOf<'_, T>) -> Vec<LineDifference> {
    let earlier: BTreeMap<LinePlace<'_>, &T> = places(before).zip(before.lines).collect();
    let later: BTreeSet<LinePlace<'_>> = places(after).collect();
    let changed = places(after).zip(after.lines).filter_map(|(place, line)| {
        let before = earlier.get(&place).copied();
        let same = before.is_some_and(|before| before.says(line));
        (!same).then(|| line_difference(line, before.map(ComparedLine::amount), Some(line.amount())))
    });
    let gone = places(before).zip(before.lines).filter(|(place, _)| !later.contains(place));
    changed.chain(gone.map(|(_, line)| line_difference(line, Some(line.amount()), None))).collect()
}

fn places<'a, T: ComparedLine>(estimate: &'a LinesOf<'a, T>) -> impl Iterator<Item = LinePlace<'a>> {
    let mut seen: BTreeMap<LineKey<'_>, usize> = BTreeMap::new();
    estimate.lines.iter().map(move |line| {
        let key = line.key(&estimate.circuits);
        let count = seen.entry(key).or_default();
        *count += 1;
        (key, *count)
    })
}

fn line_difference(line: &impl ComparedLine, before: Option<Money>, after: Option<Money>) -> LineDifference {
    let (kind, room, circuit, item) = line.place();
    LineDifference {
        kind: kind.to_owned(),
        room: room.map(str::to_owned),
        circuit: circuit.map(str::to_owned),
        item: item.to_owned(),
        before,
        after,
        difference: after.unwrap_or_default() - before.unwrap_or_default(),
    }
}
