//! The rules of a rate sheet that a schema cannot say: no rate below nothing, no operation that nothing asks for, none
//! missing that the engine does ask for, nothing written twice. Every breach is reported, in the order of the document.

use std::collections::{BTreeMap, BTreeSet};

use super::HouseRate;
use super::{
    HireKind, HireRate, LabourUnit, Material, PointRate, RateSheet, RateTerms, Section, UnusableSheet, Workbook,
};
use crate::catalogue::Catalogue;
use crate::faults::{Fault, FaultCode, nearest, pointer_token};
use crate::limits::{
    CATEGORY_PERCENTS, FAULTS_LISTED_MAX, FINISH_MULTIPLE_MAX, LABOUR_RATE_MAX, PACK_SIZE_MIN, PRICE_MAX,
    SHEET_FIGURE_DECIMALS,
};
use crate::money::Money;
use crate::survey::{Finish, PointType};

/// The names that a sheet may use: those of the built-in sheet, which has everything that the engine asks for.
pub struct SheetRules {
    operations: BTreeSet<String>,
    /// Levels by factor.
    factors: BTreeMap<String, BTreeSet<String>>,
}

impl SheetRules {
    /// Reads the names from the built-in sheet.
    #[must_use]
    pub fn built_in() -> Self {
        let sheet = RateSheet::standard();
        let mut factors: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for factor in sheet.factors {
            factors.entry(factor.factor).or_default().insert(factor.level);
        }
        // Named by operations of the table, though the engine has no survey of winters.
        factors.entry("weather".to_owned()).or_default();
        Self { operations: sheet.labour.into_iter().map(|unit| unit.operation).collect(), factors }
    }

    /// Every breach, at most [`FAULTS_LISTED_MAX`]. Work grows with the rows.
    #[must_use]
    pub fn faults(&self, sheet: &RateSheet, catalogue: &Catalogue) -> Vec<Fault> {
        let mut found = FaultList(Vec::new());
        self.labour(&sheet.labour, &mut found);
        materials(&sheet.materials, &mut found);
        points(&sheet.points, &mut found);
        self.factors(sheet, &mut found);
        hire(&sheet.hire, &mut found);
        terms(&sheet.terms, &mut found);
        crew(&sheet.terms, &mut found);
        categories(sheet, &mut found);
        payments(&sheet.terms, &mut found);
        dates(sheet, &mut found);
        found.text("/note", &sheet.note);
        if let Err(unusable) = Workbook::new(sheet.clone(), 1, catalogue) {
            found.unusable(unusable);
        }
        found.0
    }

    fn labour(&self, units: &[LabourUnit], found: &mut FaultList) {
        let mut seen = BTreeMap::new();
        for (index, unit) in units.iter().enumerate() {
            let at = |field: &str| format!("/labour/{index}/{field}");
            if !self.operations.contains(&unit.operation) {
                found.unknown(at("operation"), "operation", &unit.operation, self.operations.iter());
            }
            if let Some(first) = seen.insert((unit.operation.as_str(), unit.stage), index) {
                found.twice(at("operation"), &format!("`{}` in {}", unit.operation, unit.stage.words()), first);
            }
            for (place, factor) in unit.difficulty_factors.iter().enumerate() {
                if !self.factors.contains_key(factor) {
                    found.unknown(at(&format!("difficulty_factors/{place}")), "factor", factor, self.factors.keys());
                }
            }
            let hours = [
                ("optimistic_h", unit.optimistic_h),
                ("likely_h", unit.likely_h),
                ("pessimistic_h", unit.pessimistic_h),
            ];
            for (field, figure) in hours {
                found.figure(at(field), figure);
            }
            if !(unit.optimistic_h <= unit.likely_h && unit.likely_h <= unit.pessimistic_h) {
                found.add(at("likely_h"), FaultCode::Contradiction, || {
                    format!(
                        "{} h when all goes well, {} h as a rule, {} h when little does; give them from the least to the most",
                        unit.optimistic_h, unit.likely_h, unit.pessimistic_h
                    )
                });
            }
            for (field, text) in [
                ("group", &unit.group),
                ("description", &unit.description),
                ("unit", &unit.unit),
                ("assumes", &unit.assumes),
                ("source", &unit.source),
            ] {
                found.text(&at(field), text);
            }
        }
    }

    fn factors(&self, sheet: &RateSheet, found: &mut FaultList) {
        let mut seen = BTreeMap::new();
        for (index, row) in sheet.factors.iter().enumerate() {
            let at = |field: &str| format!("/factors/{index}/{field}");
            match self.factors.get(&row.factor) {
                None => found.unknown(at("factor"), "factor", &row.factor, self.factors.keys()),
                Some(levels) if !levels.contains(&row.level) => {
                    found.unknown(at("level"), &format!("level of `{}`", row.factor), &row.level, levels.iter());
                }
                Some(_) => {}
            }
            if let Some(first) = seen.insert((row.factor.as_str(), row.level.as_str()), index) {
                found.twice(at("level"), &format!("`{}` of `{}`", row.level, row.factor), first);
            }
            let stages = [
                ("first_fix", row.first_fix),
                ("second_fix", row.second_fix),
                ("testing", row.testing),
                ("preliminaries", row.preliminaries),
            ];
            for (field, figure) in stages {
                found.figure(at(field), figure);
            }
            found.text(&at("source"), &row.source);
        }
    }
}

/// The breaches found so far. What stands beyond the limit is not even worded.
struct FaultList(Vec<Fault>);

impl FaultList {
    fn add(&mut self, pointer: String, code: FaultCode, detail: impl FnOnce() -> String) {
        if self.0.len() < FAULTS_LISTED_MAX {
            self.0.push(Fault::new(pointer, code, detail()));
        }
    }

    fn unknown<'a>(&mut self, pointer: String, what: &str, word: &str, known: impl Iterator<Item = &'a String>) {
        self.add(pointer, FaultCode::NotInTable, || {
            let shown: String = word.chars().take(64).collect();
            match nearest(word, known.map(String::as_str)) {
                Some(meant) => format!("there is no {what} `{shown}`; did you mean `{meant}`?"),
                None => format!("there is no {what} `{shown}`, and nothing would ask for it; leave the row out"),
            }
        });
    }

    fn twice(&mut self, pointer: String, what: &str, first: usize) {
        self.add(pointer, FaultCode::DuplicateId, || format!("{what} stands in entry {first} too; keep one"));
    }

    /// A price: not below nothing, not beyond what anything costs.
    fn price(&mut self, pointer: String, price: Money, most: i64) {
        if price.is_negative() || price > Money::from_pennies(most * 100) {
            self.add(pointer, FaultCode::OutOfRange, || {
                format!("it is {price}; give an amount from 0.00 to {most}.00")
            });
        }
    }

    /// The price of one unit of a pack: small packs at large prices are a slip of the keys.
    fn unit_price(&mut self, pointer: String, material: &Material) {
        #[expect(clippy::cast_precision_loss, reason = "a round number")]
        let most = PRICE_MAX as f64;
        let unit = material.pack_price.approximate() / material.pack_size;
        let each_by_itself = material.pack_size >= PACK_SIZE_MIN && material.pack_price.approximate() <= most;
        if each_by_itself && unit > most {
            let (price, size) = (material.pack_price, material.pack_size);
            self.add(pointer, FaultCode::OutOfRange, || {
                format!("{price} for a pack of {size} is {unit:.2} a unit; give no more than {PRICE_MAX}.00 a unit")
            });
        }
    }

    /// What makes a sheet unfit for pricing. A price that was named already is not named again.
    fn unusable(&mut self, unusable: UnusableSheet) {
        for missing in unusable.missing {
            self.add(format!("/{}", missing.section), FaultCode::MissingField, || match missing.section {
                Section::Terms => format!("there is no term `{}`, which the engine asks for; add it", missing.key),
                section => {
                    format!("there is no row for `{}` in {section}, which the engine asks for; add one", missing.key)
                }
            });
        }
        for price in unusable.beyond {
            let pointer = price.pointer();
            if self.0.iter().all(|fault| fault.pointer != pointer) {
                self.add(pointer, FaultCode::OutOfRange, || price.to_string());
            }
        }
    }

    /// A figure that is counted with as it is written.
    fn figure(&mut self, pointer: String, figure: f64) {
        let scale = 10_f64.powi(SHEET_FIGURE_DECIMALS);
        // Division of whole numbers rounds as reading a decimal does: equal means that it has no further decimals.
        #[expect(clippy::float_cmp, reason = "either it is that decimal or it is not")]
        let kept = (figure * scale).round() / scale == figure;
        if !kept {
            self.add(pointer, FaultCode::WrongForm, || {
                format!("{figure} has more than {SHEET_FIGURE_DECIMALS} decimals; round it")
            });
        }
    }

    /// A size that something is sold in: bought and cut in hundredths, and so at least one of them.
    fn pack(&mut self, pointer: String, size: f64) {
        if size < PACK_SIZE_MIN {
            self.add(pointer, FaultCode::OutOfRange, || format!("a pack of {size}; give {PACK_SIZE_MIN} or more"));
            return;
        }
        self.figure(pointer.clone(), size);
        #[expect(clippy::float_cmp, reason = "either it is that decimal or it is not")]
        let kept = (size * 100.0).round() / 100.0 == size;
        if !kept {
            self.add(pointer, FaultCode::WrongForm, || {
                format!("a pack of {size} has more than two decimals; round it")
            });
        }
    }

    /// A name: what a table can hold in one cell, and reads back the same.
    fn name(&mut self, pointer: &str, name: &str) {
        self.text(pointer, name);
        if name.trim() != name {
            self.add(pointer.to_owned(), FaultCode::WrongForm, || {
                "it begins or ends with a space; take that out".to_owned()
            });
        }
    }

    fn text(&mut self, pointer: &str, text: &str) {
        if text.chars().any(char::is_control) {
            let detail = || "it holds a line end or another control character; write it in one line".to_owned();
            self.add(pointer.to_owned(), FaultCode::WrongForm, detail);
        }
    }
}

fn materials(materials: &[Material], found: &mut FaultList) {
    let mut seen = BTreeMap::new();
    for (index, material) in materials.iter().enumerate() {
        let at = |field: &str| format!("/materials/{index}/{field}");
        found.name(&at("item"), &material.item);
        if let Some(first) = seen.insert(material.item.as_str(), index) {
            found.twice(at("item"), &format!("`{}`", material.item), first);
        }
        found.pack(at("pack_size"), material.pack_size);
        found.price(at("pack_price"), material.pack_price, PRICE_MAX);
        found.unit_price(at("pack_price"), material);
        found.figure(at("waste_percent"), material.waste_percent);
        for (place, pack) in material.other_packs.iter().enumerate() {
            found.pack(at(&format!("other_packs/{place}/size")), pack.size);
            found.price(at(&format!("other_packs/{place}/price")), pack.price, PRICE_MAX);
        }
        for (field, text) in [
            ("description", &material.description),
            ("unit", &material.unit),
            ("category", &material.category),
            ("source", &material.source),
        ] {
            found.text(&at(field), text);
        }
    }
}

fn points(points: &[PointRate], found: &mut FaultList) {
    let mut seen = BTreeMap::new();
    let known: BTreeSet<String> = PointType::ALL
        .iter()
        .map(|point| point.word())
        .chain(HouseRate::ALL.iter().map(|rate| rate.word()))
        .map(str::to_owned)
        .collect();
    for (index, rate) in points.iter().enumerate() {
        let at = |field: &str| format!("/points/{index}/{field}");
        if !known.contains(&rate.item) {
            found.unknown(at("item"), "point", &rate.item, known.iter());
        }
        if let Some(first) = seen.insert(rate.item.as_str(), index) {
            found.twice(at("item"), &format!("`{}`", rate.item), first);
        }
        found.price(at("first"), rate.first, PRICE_MAX);
        found.price(at("further"), rate.further, PRICE_MAX);
        if rate.further > rate.first {
            found.add(at("further"), FaultCode::Contradiction, || {
                format!(
                    "a further one at {} costs more than the first at {}; give it no more than that",
                    rate.further, rate.first
                )
            });
        }
        found.figure(at("materials_percent"), rate.materials_percent);
        found.text(&at("source"), &rate.source);
    }
}

fn hire(rates: &[HireRate], found: &mut FaultList) {
    let mut seen = BTreeMap::new();
    let mut of_kind = BTreeMap::new();
    for (index, rate) in rates.iter().enumerate() {
        let at = |field: &str| format!("/hire/{index}/{field}");
        found.name(&at("item"), &rate.item);
        if let Some(first) = seen.insert(rate.item.as_str(), index) {
            found.twice(at("item"), &format!("`{}`", rate.item), first);
        }
        let is_skip = rate.kind == HireKind::Skip;
        if let Some(first) = of_kind.insert(rate.kind, index).filter(|_| !is_skip) {
            found.twice(at("kind"), &format!("`{}`", rate.kind), first);
        }
        if is_skip != (rate.capacity_m3 > 0.0) {
            found.add(at("capacity_m3"), FaultCode::Contradiction, || match is_skip {
                true => "a skip that holds nothing takes no waste; give the cubic metres that it holds".to_owned(),
                false => format!("only a skip holds something; give 0 for a `{}`", rate.kind),
            });
        }
        found.figure(at("capacity_m3"), rate.capacity_m3);
        found.price(at("price"), rate.price, PRICE_MAX);
        for (field, text) in [("description", &rate.description), ("unit", &rate.unit), ("source", &rate.source)] {
            found.text(&at(field), text);
        }
    }
}

/// A crew by grade: its people are the crew, somebody of it tests, and an hour costs what the mix comes to.
fn crew(terms: &RateTerms, found: &mut FaultList) {
    let Some(mix) = RateTerms::mix(terms.crew.iter()) else { return };
    let mut seen = BTreeMap::new();
    for (index, grade) in terms.crew.iter().enumerate() {
        let at = |field: &str| format!("/terms/crew/{index}/{field}");
        found.name(&at("grade"), &grade.grade);
        if let Some(first) = seen.insert(grade.grade.as_str(), index) {
            found.twice(at("grade"), &format!("`{}`", grade.grade), first);
        }
        found.price(at("rate"), grade.rate, LABOUR_RATE_MAX);
    }
    let people: u32 = terms.crew.iter().map(|grade| grade.people).sum();
    if people != terms.people {
        found.add("/terms/people".to_owned(), FaultCode::Contradiction, || {
            format!("it is {}, and the crew by grade has {people}; give {people}", terms.people)
        });
    }
    if terms.testers().next().is_none() {
        found.add("/terms/crew".to_owned(), FaultCode::Contradiction, || {
            "nobody of the crew may test; say which grade does".to_owned()
        });
    }
    if terms.labour_rate != mix {
        found.add("/terms/labour_rate".to_owned(), FaultCode::Contradiction, || {
            format!("it is {}, and the crew's mix comes to {mix}; give {mix}", terms.labour_rate)
        });
    }
}

fn terms(terms: &RateTerms, found: &mut FaultList) {
    let at = |field: &str| format!("/terms/{field}");
    found.price(at("labour_rate"), terms.labour_rate, LABOUR_RATE_MAX);
    if terms.labour_rate == Money::ZERO {
        let detail = || "it is 0.00; an hour that costs nothing prices the whole job at its materials".to_owned();
        found.add(at("labour_rate"), FaultCode::OutOfRange, detail);
    }
    let prices = [
        ("vehicle_per_km", terms.vehicle_per_km),
        ("waste_gate_fee", terms.waste_gate_fee),
        ("notification_fee", terms.notification_fee),
        ("minimum_charge", terms.minimum_charge),
        ("round_down_to", terms.round_down_to),
        ("spare_under", terms.spare_under),
    ];
    for (field, price) in prices {
        found.price(at(field), price, PRICE_MAX);
    }
    let figures = [
        ("sundries_percent", terms.sundries_percent),
        ("overhead_percent", terms.overhead_percent),
        ("left_over_charged_percent", terms.left_over_charged_percent),
        ("profit_margin_percent", terms.profit_margin_percent),
        ("factor_cap", terms.factor_cap),
        ("hours_per_day", terms.hours_per_day),
        ("paid_travel_beyond_km", terms.paid_travel_beyond_km),
        ("paid_travel_beyond_min", terms.paid_travel_beyond_min),
        ("crew_spread", terms.crew_spread),
        ("price_spread", terms.price_spread),
    ];
    for (field, figure) in figures {
        found.figure(at(field), figure);
    }
    for (finish, multiple) in &terms.finish_multiples {
        let pointer = at(&format!("finish_multiples/{}", pointer_token(finish)));
        if Finish::from_word(finish).is_none() {
            let known: Vec<String> = Finish::ALL.iter().map(|finish| finish.word().to_owned()).collect();
            found.unknown(pointer.clone(), "finish", finish, known.iter());
        }
        if !(0.0..=FINISH_MULTIPLE_MAX).contains(multiple) {
            found.add(pointer.clone(), FaultCode::OutOfRange, || {
                format!("it is {multiple}; give a multiple of the white price from 0 to {FINISH_MULTIPLE_MAX}")
            });
        }
        found.figure(pointer, *multiple);
    }
}

fn categories(sheet: &RateSheet, found: &mut FaultList) {
    let known: BTreeSet<String> = sheet.materials.iter().map(|material| material.category.clone()).collect();
    for (category, percent) in &sheet.terms.category_percents {
        let pointer = format!("/terms/category_percents/{}", pointer_token(category));
        if !known.contains(category) {
            found.unknown(pointer.clone(), "category of materials", category, known.iter());
        }
        if !CATEGORY_PERCENTS.contains(percent) {
            let (least, most) = (CATEGORY_PERCENTS.start(), CATEGORY_PERCENTS.end());
            found.add(pointer.clone(), FaultCode::OutOfRange, || format!("it is {percent}; give {least} to {most}"));
        }
        found.figure(pointer, *percent);
    }
}

fn payments(terms: &RateTerms, found: &mut FaultList) {
    let mut seen = BTreeMap::new();
    for (index, stage) in terms.payment_stages.iter().enumerate() {
        let at = |field: &str| format!("/terms/payment_stages/{index}/{field}");
        found.name(&at("when"), &stage.when);
        found.figure(at("percent"), stage.percent);
        if let Some(first) = seen.insert(stage.when.as_str(), index) {
            found.twice(at("when"), &format!("`{}`", stage.when), first);
        }
    }
    let sum: f64 = terms.payment_stages.iter().map(|stage| stage.percent).sum();
    // Shares of at most six decimals that add to 100 do so within the last bits of a float.
    if (sum - 100.0).abs() > 1e-7 {
        found.add("/terms/payment_stages".to_owned(), FaultCode::Contradiction, || {
            format!("the payments add to {sum} %; give shares that add to 100")
        });
    }
}

fn dates(sheet: &RateSheet, found: &mut FaultList) {
    let days = [
        ("/effective_from", &sheet.effective_from, sheet.first_day()),
        ("/effective_until", &sheet.effective_until, sheet.last_day()),
    ];
    for (pointer, written, day) in days {
        if let Some(written) = written.as_ref().filter(|_| day.is_none()) {
            found.add(pointer.to_owned(), FaultCode::WrongForm, || {
                format!("`{written}` is no day of the calendar; write it as 2027-01-31")
            });
        }
    }
    if let (Some(from), Some(until)) = (sheet.first_day(), sheet.last_day())
        && until < from
    {
        found.add("/effective_until".to_owned(), FaultCode::Contradiction, || {
            format!("{until} is before {from}, the first day; give a later one")
        });
    }
}
