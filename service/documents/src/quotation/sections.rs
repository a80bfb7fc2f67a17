//! What stands on a quotation, in the order in which a client wants to know it: what it costs, what is done, what is not, what
//! could change it, when it is paid, and what the law asks for.

use std::collections::BTreeMap;

use engine::circuits::CertificateKind;
use engine::estimate::{Estimate, JobScope, PriceStanding, Severity};
use engine::survey::SuppliedBy;
use jiff::civil::Date;

use super::paper::{Block, Paper, PaperTable, RowWeight, figures, heading, paragraph, row, word, words};
use super::{ClientDetails, FirmDetails, Offered, notices, prices};
use crate::words::{capital, change, clean, money, sentence, short};

/// Dark green: told from black in grey, and by every reader.
const USUAL_COLOUR: &str = "#1f5c4d";

/// The whole paper.
pub(super) fn paper(offered: Offered<'_>) -> Paper {
    let Offered { estimate, firm, client, detail } = offered;
    let stands_as = estimate.stands_as();
    let subject = clean(estimate.reference.as_deref().unwrap_or("Electrical work"));
    let mut blocks = Vec::new();
    blocks.extend(standing(stands_as.standing, &stands_as.missing));
    blocks.push(heading("The price"));
    blocks.push(prices::table(estimate, detail));
    blocks.push(paragraph(format!("Tax: {}", sentence(&estimate.totals.vat_basis))));
    blocks.extend(work(estimate));
    blocks.extend(papers_given(estimate.scope.as_ref()));
    blocks.extend(clients_part(estimate));
    blocks.extend(could_change(estimate));
    blocks.extend(options(estimate));
    blocks.extend(programme(estimate));
    blocks.extend(payments(estimate));
    blocks.push(heading("Safety"));
    blocks.push(Block::List { entries: estimate.cautions.iter().map(|caution| sentence(caution)).collect() });
    blocks.extend(terms(firm));
    blocks.extend(acceptance());
    let letterhead = letterhead(firm);
    blocks.extend(notices::cancellation(&letterhead, &subject));
    let made = date(&estimate.created_at);
    Paper {
        title: title(stands_as.standing),
        foot: format!("{} {}", title(stands_as.standing), number(estimate)),
        facts: facts(estimate, made),
        firm_name: clean(firm.name.as_deref().unwrap_or(notices::BLANK)),
        firm: letterhead.into_iter().skip(usize::from(firm.name.is_some())).collect(),
        client: addressed(client),
        colour: firm.colour.clone().unwrap_or_else(|| USUAL_COLOUR.to_owned()),
        subject,
        blocks,
    }
}

const fn title(standing: PriceStanding) -> &'static str {
    match standing {
        PriceStanding::Budget => "Budget price",
        PriceStanding::Estimate => "Estimate",
        PriceStanding::Quotation => "Quotation",
    }
}

/// A short number that a client can read out: the end of the estimate's own.
fn number(estimate: &Estimate) -> String {
    let digits: Vec<char> = estimate.id.chars().filter(char::is_ascii_alphanumeric).collect();
    digits[digits.len().saturating_sub(8)..].iter().collect::<String>().to_uppercase()
}

fn date(stamp: &str) -> Option<Date> {
    stamp.get(..10)?.parse().ok()
}

fn facts(estimate: &Estimate, made: Option<Date>) -> Vec<(String, String)> {
    let written = |date: Option<Date>| {
        date.map_or_else(|| notices::BLANK.to_owned(), |date| date.strftime("%-d %B %Y").to_string())
    };
    let until =
        made.and_then(|made| made.checked_add(jiff::Span::new().days(i64::from(estimate.offer.valid_days))).ok());
    vec![
        ("Number".to_owned(), number(estimate)),
        ("Date".to_owned(), written(made)),
        ("Valid until".to_owned(), written(until)),
        ("Estimate".to_owned(), clean(&estimate.id)),
    ]
}

fn letterhead(firm: &FirmDetails) -> Vec<String> {
    let lines = firm.name.iter().chain(&firm.address).chain(&firm.telephone).chain(&firm.email);
    lines.chain(&firm.registrations).chain(&firm.insurance).map(|line| clean(line)).collect()
}

fn addressed(client: &ClientDetails) -> Vec<String> {
    let mut lines: Vec<String> = client.name.iter().chain(&client.address).map(|line| clean(line)).collect();
    if lines.is_empty() {
        lines.extend(["Client", "Address"].map(|what| format!("{what} {}", notices::BLANK)));
    }
    if !client.site_address.is_empty() {
        let site: Vec<String> = client.site_address.iter().map(|line| clean(line)).collect();
        lines.push(format!("Work at {}", site.join(", ")));
    }
    lines
}

/// What the price may be relied on for, and what is missing.
fn standing(standing: PriceStanding, missing: &[String]) -> Vec<Block> {
    let text = match standing {
        PriceStanding::Budget => "This is a budget price: a likely figure with much still open. It is no offer.",
        PriceStanding::Estimate => {
            "This is an estimate from a survey. What is still open may move it. It is no fixed price."
        }
        PriceStanding::Quotation => "This price holds until the date above for the work described here.",
    };
    let mut blocks = vec![Block::Notice { text: text.to_owned() }];
    if !missing.is_empty() {
        blocks.push(paragraph("To make it firm we need to know:"));
        blocks.push(Block::List { entries: missing.iter().map(|text| sentence(text)).collect() });
    }
    blocks
}

fn work(estimate: &Estimate) -> Vec<Block> {
    let mut blocks = vec![heading("The work")];
    let rooms = prices::scope_by_room(estimate);
    if !rooms.is_empty() {
        blocks.push(Block::Facts { facts: rooms });
    }
    if let Some(scope) = &estimate.scope {
        if !scope.stays.is_empty() {
            blocks.push(paragraph("What stays, and is looked at before work starts:"));
            blocks.push(Block::List { entries: scope.stays.iter().map(|text| sentence(text)).collect() });
        }
        let made_good = scope.made_good.iter().map(|one| sentence(&format!("{}: {}", one.what, one.because)));
        let made_good: Vec<String> = made_good.collect();
        if !made_good.is_empty() {
            blocks.push(paragraph("What has to be put right first, and is in the price:"));
            blocks.push(Block::List { entries: made_good });
        }
    }
    let included: Vec<String> = estimate.included.iter().map(|one| sentence(&one.what)).collect();
    if !included.is_empty() {
        blocks.push(paragraph("In the price because of the house:"));
        blocks.push(Block::List { entries: included });
    }
    blocks
}

fn papers_given(scope: Option<&JobScope>) -> Vec<Block> {
    let Some(scope) = scope else { return Vec::new() };
    let mut entries: Vec<String> = scope
        .certificates
        .iter()
        .map(|due| match due.kind {
            CertificateKind::Installation => "Electrical installation certificate (BS 7671).".to_owned(),
            CertificateKind::MinorWorks => "Minor works certificate (BS 7671).".to_owned(),
        })
        .collect();
    entries.dedup();
    entries.push(sentence(&scope.notifiable.because));
    vec![heading("Papers that you get"), Block::List { entries }]
}

fn clients_part(estimate: &Estimate) -> Vec<Block> {
    let supplied = estimate.take_off.iter().filter(|item| item.supplied_by == SuppliedBy::Client);
    let supplied: Vec<String> =
        supplied.map(|item| format!("{} × {}", short(item.used), clean(&item.description))).collect();
    let mut blocks = vec![heading("Not in the price")];
    blocks.push(Block::List { entries: estimate.exclusions.iter().map(|text| sentence(text)).collect() });
    if !supplied.is_empty() {
        blocks.push(heading("What you supply"));
        blocks.push(Block::List { entries: supplied });
    }
    blocks
}

/// What was taken because nobody recorded it, and what could still go wrong.
fn could_change(estimate: &Estimate) -> Vec<Block> {
    let mut blocks = Vec::new();
    let serious = estimate.risk_flags.iter().filter(|flag| matches!(flag.severity, Severity::Stop | Severity::High));
    let serious: Vec<String> = serious
        .map(|flag| {
            let stake = flag.at_stake.map(|stake| format!(" At stake: {}.", money(stake))).unwrap_or_default();
            format!("{} {}{stake}", sentence(&flag.what), sentence(&flag.action))
        })
        .collect();
    if !serious.is_empty() {
        blocks.push(heading("What could change the price or the date"));
        blocks.push(Block::List { entries: serious });
    }
    let names: BTreeMap<&str, &str> =
        estimate.rooms.iter().map(|room| (room.room.as_str(), room.name.as_str())).collect();
    let named =
        |place: &String| names.get(place.as_str()).map_or_else(|| clean(place).replace('-', " "), |name| clean(name));
    let assumed = estimate.assumptions.iter().map(|one| {
        let places: Vec<String> = one.places.iter().map(named).collect();
        let places = if places.is_empty() { String::new() } else { format!(" ({})", places.join(", ")) };
        let subject = capital(&clean(&one.subject).replace('-', " "));
        format!("{subject}{places}: {} {}", sentence(&one.assumed), sentence(&one.because))
    });
    let assumed: Vec<String> = assumed.collect();
    if !assumed.is_empty() {
        blocks.push(heading("What we took, because it was not recorded"));
        blocks.push(Block::List { entries: assumed });
    }
    blocks
}

fn options(estimate: &Estimate) -> Vec<Block> {
    if estimate.options.is_empty() {
        return Vec::new();
    }
    let rows = estimate
        .options
        .iter()
        .map(|one| row(vec![sentence(&one.what), sentence(&one.effect), change(one.net_change)], RowWeight::Plain));
    let columns = vec![words("What"), words("What it means"), figures("Price without VAT")];
    let table = PaperTable { caption: "What could be done another way".to_owned(), columns, rows: rows.collect() };
    vec![heading("What could be done another way"), Block::Table(table)]
}

fn programme(estimate: &Estimate) -> Vec<Block> {
    let rows = estimate.programme.steps.iter().map(|step| {
        let days = match step.wait_days {
            Some([least, most]) => format!("{least} to {most} days' wait"),
            None => format!("{} days", short(step.crew_days)),
        };
        row(vec![sentence(&step.step), days, sentence(&step.after)], RowWeight::Plain)
    });
    let columns = vec![words("Step"), word("Time"), words("After")];
    let table = PaperTable { caption: "How long it takes".to_owned(), columns, rows: rows.collect() };
    vec![heading("How long it takes"), Block::Table(table)]
}

fn payments(estimate: &Estimate) -> Vec<Block> {
    if estimate.offer.payments.is_empty() {
        return Vec::new();
    }
    let rows = estimate.offer.payments.iter().map(|payment| {
        row(
            vec![sentence(&payment.when), format!("{} %", short(payment.percent)), money(payment.amount)],
            RowWeight::Plain,
        )
    });
    let columns = vec![words("When"), figures("Share"), figures("Amount with VAT")];
    let table = PaperTable { caption: "When it is paid".to_owned(), columns, rows: rows.collect() };
    vec![heading("When it is paid"), Block::Table(table)]
}

fn terms(firm: &FirmDetails) -> Vec<Block> {
    let mut blocks = Vec::new();
    if !firm.terms.is_empty() {
        blocks.push(heading("Our terms"));
        blocks.extend(firm.terms.iter().map(|text| paragraph(clean(text))));
    }
    if let Some(complaints) = &firm.complaints {
        blocks.push(heading("If something is wrong"));
        blocks.push(paragraph(clean(complaints)));
    }
    blocks
}

fn acceptance() -> Vec<Block> {
    vec![
        heading("To accept"),
        paragraph("I accept this price for the work described, with what is not in it and what could change it."),
        Block::Blanks { lines: vec!["Name", "Signature", "Date"] },
    ]
}
