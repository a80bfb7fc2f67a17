//! Lines of the price with their working, and what each room comes to.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{Line, RoomPrice, words};
use crate::money::Money;
use crate::pricing::{LineSource, PerPoint, PriceLine, PricedItem, RateLine, apportion, exact_cost};
use crate::quantities::Hours;
use crate::rate_sheet::{RateTerms, Stage, Workbook};
use crate::site::{RoomIndex, Site};
use crate::take_off::{Item, ItemKind, Job, LineKind, TakeOff};

/// What the lines are made from.
pub(crate) struct LineBasis<'a> {
    pub job: Job<'a>,
    pub take_off: &'a TakeOff,
    pub items: &'a [(&'a Item, PricedItem)],
    pub per_point: &'a PerPoint,
}

/// The lines of a price in their order, numbered.
pub(crate) fn lines(basis: &LineBasis<'_>, lines: &[PriceLine]) -> Vec<Line> {
    let prices = selling_prices(lines);
    let mut alike: BTreeMap<String, u32> = BTreeMap::new();
    let line = |(index, line): (usize, &PriceLine)| {
        let said = basis.line(line);
        let key = basis.key(line, &said);
        let seen = alike.entry(key.clone()).or_default();
        *seen += 1;
        let key = if *seen == 1 { key } else { format!("{key}/{seen}") };
        Line { id: format!("L{}", index + 1), key, price: prices[index], ..said }
    };
    // Of an answer that nobody waits for the rest is not said.
    lines.iter().enumerate().take_while(|_| basis.job.ways.work().goes_on()).map(line).collect()
}

/// Whether a line comes on top of work and materials: its money is carried by their lines where they are sold.
const fn is_on_top(kind: LineKind) -> bool {
    matches!(kind, LineKind::Overhead | LineKind::Contingency | LineKind::Profit)
}

/// What each line is sold for.
fn selling_prices(lines: &[PriceLine]) -> Vec<Money> {
    let on_top: Money = lines.iter().filter(|line| is_on_top(line.kind)).map(|line| line.amount).sum();
    let weight =
        |line: &PriceLine| if is_on_top(line.kind) { Decimal::ZERO } else { line.amount.exact().max(Decimal::ZERO) };
    let weights: Vec<Decimal> = lines.iter().map(weight).collect();
    let shares = apportion(on_top, &weights);
    let price = |(line, share): (&PriceLine, Money)| if is_on_top(line.kind) { share } else { line.amount + share };
    lines.iter().zip(shares).map(price).collect()
}

impl LineBasis<'_> {
    /// What tells a line from every other: where, what for, and of what, with the circuit by what it serves, for ways on a
    /// board move.
    fn key(&self, line: &PriceLine, said: &Line) -> String {
        let mut key = format!("{}/{}/{}", said.room.as_deref().unwrap_or("house"), line.kind.word(), said.item);
        if let Some(finish) = said.finish {
            key = format!("{key}/{}", finish.word());
        }
        if let Some(circuit) = line.circuit {
            let name = self.job.installation.circuits[circuit].name.to_lowercase();
            let words: Vec<&str> =
                name.split(|one: char| !one.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
            key = format!("{key}/{}", words.join("-"));
        }
        key
    }

    fn line(&self, line: &PriceLine) -> Line {
        match line.source {
            LineSource::Item(place) => self.of_item(line, place),
            LineSource::Rate(place) => self.of_rate(line, &self.per_point.lines[place]),
            LineSource::SmallMaterials { .. }
            | LineSource::LeftOver
            | LineSource::Overhead { .. }
            | LineSource::Contingency
            | LineSource::Profit
            | LineSource::MinimumCharge { .. }
            | LineSource::RoundedDown => self.plain(line),
        }
    }

    fn of_item(&self, line: &PriceLine, place: usize) -> Line {
        let (item, priced) = &self.items[place];
        Line {
            item: item.what.word(self.job.catalogue.cables()).to_owned(),
            description: words::take_off::description(self.job, item),
            quantity: item.quantity,
            unit: item.unit.to_owned(),
            stage: main_stage(&priced.hours.stages),
            finish: matches!(item.what, ItemKind::Point(_)).then_some(item.conditions.finish),
            crew: self.crew(item),
            hours: Hours::new(priced.hours.total()).rounded(2),
            because: because(self.job, self.take_off, item, priced),
            ..self.bare(line)
        }
    }

    /// How many people the work of an item needs at once.
    fn crew(&self, item: &Item) -> u32 {
        let works = self.take_off.works(item);
        works.iter().map(|work| self.job.workbook.operation(work.operation).people).max().unwrap_or(0)
    }

    /// A line for each rate, with overhead and profit taken out, so that the totals have the same parts as the other
    /// method's.
    fn of_rate(&self, line: &PriceLine, rate: &RateLine) -> Line {
        Line {
            item: rate.item.word().to_owned(),
            description: words::pricing::rate(rate, self.job.catalogue.points()),
            quantity: rate.quantity,
            unit: rate.unit.to_owned(),
            hours: Hours::new(hours_in(line.labour, &self.job.workbook.sheet.terms)).rounded(2),
            because: vec![words::pricing::rate_working(rate, self.job.visit)],
            ..self.bare(line)
        }
    }

    /// A line that is neither work nor a rate: overhead, contingency, profit, sundries.
    fn plain(&self, line: &PriceLine) -> Line {
        let bare = self.bare(line);
        let Some(plain) = words::pricing::plain_line(line.source, &self.job.workbook.sheet.terms) else { return bare };
        Line {
            item: plain.item.to_owned(),
            description: plain.description.to_owned(),
            unit: "item".to_owned(),
            because: vec![plain.because],
            ..bare
        }
    }

    /// What every line has.
    fn bare(&self, line: &PriceLine) -> Line {
        Line {
            id: String::new(),
            key: String::new(),
            kind: line.kind,
            room: line.room.map(|room| self.job.site.rooms[room].id.clone()),
            circuit: line.circuit.map(|circuit| self.job.installation.circuits[circuit].id.clone()),
            item: String::new(),
            description: String::new(),
            quantity: 1.0,
            unit: String::new(),
            stage: None,
            finish: None,
            crew: 0,
            hours: Hours::ZERO,
            materials: line.materials,
            labour: line.labour,
            amount: line.amount,
            price: Money::ZERO,
            vat_case: line.vat_case,
            vat: line.vat,
            because: Vec::new(),
        }
    }
}

/// The stage that takes most of the hours; of several, the first.
fn main_stage(stages: &[f64; Stage::COUNT]) -> Option<Stage> {
    let hours = |stage: &Stage| stages[stage.index()];
    let most = Stage::ALL.into_iter().rev().max_by(|one, other| hours(one).total_cmp(&hours(other)));
    most.filter(|stage| hours(stage) > 0.0)
}

/// Quantities, unit hours, factors, prices: enough to redo the line with a pencil.
fn because(job: Job<'_>, take_off: &TakeOff, item: &Item, priced: &PricedItem) -> Vec<String> {
    let workbook = job.workbook;
    let mut working = Vec::with_capacity(4);
    let mut bare = 0.0;
    let mut parts = String::new();
    for work in take_off.works(item) {
        let operation = workbook.operation(work.operation);
        let mean: f64 =
            Stage::ALL.iter().filter_map(|stage| operation.stages[stage.index()]).map(|hours| hours.mean()).sum();
        bare += mean * work.quantity;
        if !parts.is_empty() {
            parts.push_str(" + ");
        }
        push_figure(&mut parts, work.quantity, 2);
        parts.push_str(" × ");
        parts.push_str(&operation.name);
        parts.push_str(" at ");
        push_figure(&mut parts, mean, 3);
        parts.push_str(" h");
    }
    let hours = priced.hours.total();
    if bare > 0.0 {
        parts.push_str(" = ");
        push_figure(&mut parts, bare, 2);
        parts.push_str(" h");
        let factor = hours / bare;
        if (factor - 1.0).abs() > 5e-4 {
            parts.push_str(". With × ");
            push_figure(&mut parts, factor, 3);
            parts.push_str(" for the room, its height and finish: ");
            push_figure(&mut parts, hours, 2);
            parts.push_str(" h");
        }
        parts.push_str(&rates(&priced.hours.stages, workbook));
        parts.push_str(": ");
        parts.push_str(&priced.labour.to_string());
        working.push(parts);
    }
    if let Some(materials) = materials(take_off, item, workbook) {
        working.push(materials);
    }
    if item.outlay_pennies != 0 {
        working.push(format!("Fees, hire and van: {}", Money::from_pennies(item.outlay_pennies)));
    }
    working.extend(words::take_off::note(job, item));
    working
}

/// The rate of the hours, or each with its hours where those who test cost something else.
fn rates(stages: &[f64; Stage::COUNT], workbook: &Workbook) -> String {
    let testing = stages[Stage::Testing.index()];
    let rest: f64 = stages.iter().sum::<f64>() - testing;
    let (crew, testers) = (workbook.rate(Stage::FirstFix), workbook.rate(Stage::Testing));
    if crew == testers || testing == 0.0 {
        return format!(". At {crew} an hour");
    }
    let mut parts = ". ".to_owned();
    if rest > 0.0 {
        push_figure(&mut parts, rest, 2);
        parts.push_str(&format!(" h at {crew} + "));
    }
    push_figure(&mut parts, testing, 2);
    parts.push_str(&format!(" h of testing at {testers}"));
    parts
}

fn materials(take_off: &TakeOff, item: &Item, workbook: &Workbook) -> Option<String> {
    let mut parts = String::new();
    for used in take_off.uses(item) {
        let material = workbook.material(used.material);
        if !parts.is_empty() {
            parts.push_str(" + ");
        }
        push_figure(&mut parts, used.quantity, 2);
        parts.push_str(" × ");
        parts.push_str(&material.item);
        if material.waste > 0.0 {
            parts.push_str(" (");
            push_figure(&mut parts, material.waste * 100.0, 1);
            parts.push_str(" % waste)");
        }
        parts.push_str(" = ");
        let cost = exact_cost(used, workbook).round_dp(3);
        parts.push_str(&cost.normalize().to_string());
    }
    (!parts.is_empty()).then_some(parts)
}

/// A figure with at most so many decimals and no noughts at its end.
fn push_figure(text: &mut String, figure: f64, decimals: usize) {
    use std::fmt::Write as _;
    if push_short(text, figure, decimals) {
        return;
    }
    let start = text.len();
    // Writing to a string cannot fail.
    let _ = write!(text, "{figure:.decimals$}");
    if text[start..].contains('.') {
        let kept = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(kept);
    }
}

/// The same without the general formatter, which takes most of the time of a line. Not for figures that are so near to
/// half of the last place that rounding hangs on how a float is held.
fn push_short(text: &mut String, figure: f64, decimals: usize) -> bool {
    const POWERS: [u32; 4] = [1, 10, 100, 1_000];
    const LARGEST: f64 = 1e9;
    const NEAR_HALF: f64 = 1e-6;
    use std::fmt::Write as _;
    let Some(power) = POWERS.get(decimals).copied() else { return false };
    let scaled = figure * f64::from(power);
    if !(0.0..LARGEST).contains(&scaled) || (scaled.fract() - 0.5).abs() < NEAR_HALF {
        return false;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from nothing to a thousand million")]
    let scaled = (scaled + 0.5) as u32;
    // Writing to a string cannot fail.
    let _ = write!(text, "{}", scaled / power);
    let mut rest = scaled % power;
    if rest > 0 {
        text.push('.');
        let mut place = power / 10;
        while rest > 0 {
            text.push(char::from(b'0' + u8::try_from(rest / place).unwrap_or(0)));
            rest %= place;
            place /= 10;
        }
    }
    true
}

fn hours_in(labour: Money, terms: &RateTerms) -> f64 {
    let rate = terms.labour_rate.approximate();
    if rate > 0.0 { labour.approximate() / rate } else { 0.0 }
}

/// What each room and outbuilding comes to, in the order of the site.
pub(crate) fn rooms(site: &Site, lines: &[Line]) -> Vec<RoomPrice> {
    let mut index: BTreeMap<&str, RoomIndex> = BTreeMap::new();
    let mut rooms: Vec<RoomPrice> = site
        .rooms
        .iter()
        .enumerate()
        .map(|(place, room)| {
            index.insert(room.id.as_str(), place);
            RoomPrice {
                room: room.id.clone(),
                name: room.name.clone(),
                points: room.point_count(),
                hours: Hours::ZERO,
                materials: Money::ZERO,
                labour: Money::ZERO,
                amount: Money::ZERO,
                price: Money::ZERO,
            }
        })
        .collect();
    for line in lines {
        let Some(room) = line.room.as_deref().and_then(|room| index.get(room)) else { continue };
        let room = &mut rooms[*room];
        room.hours += line.hours;
        room.materials += line.materials;
        room.labour += line.labour;
        room.amount += line.amount;
        room.price += line.price;
    }
    for room in &mut rooms {
        room.hours = room.hours.rounded(2);
    }
    rooms
}
