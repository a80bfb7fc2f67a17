//! How figures and closed lists are written for people, the same in every document.

use engine::estimate::{CableChosen, DeviceChosen, RiskKind, Severity, Totals};
use engine::money::{Money, decimal};
use rust_decimal::{Decimal, RoundingStrategy};

/// Text from the survey as it may stand in a document: control characters and marks that turn the direction of
/// writing become spaces, so that a name cannot disturb a terminal, a cell or the words beside it.
pub(crate) fn clean(text: &str) -> String {
    let turns_direction = |character: char| matches!(character, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars()
        .map(|character| if character.is_control() || turns_direction(character) { ' ' } else { character })
        .collect()
}

/// An amount with its thousands apart: `12,345.60`.
pub(crate) fn money(amount: Money) -> String {
    let plain = amount.abs().to_string();
    let (whole, pennies) = plain.split_once('.').unwrap_or((&plain, "00"));
    let mut grouped = String::new();
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{}{grouped}.{pennies}", if amount.is_negative() { "-" } else { "" })
}

/// A change of money, with its sign.
pub(crate) fn change(amount: Money) -> String {
    let sign = if amount > Money::ZERO { "+" } else { "" };
    format!("{sign}{}", money(amount))
}

/// A figure at a fixed number of decimals, half away from nought, never as minus nought.
pub(crate) fn fixed(figure: f64, decimals: u32) -> String {
    let rounded = decimal(figure).round_dp_with_strategy(decimals, RoundingStrategy::MidpointAwayFromZero);
    let rounded = if rounded.is_zero() { Decimal::ZERO } else { rounded };
    format!("{rounded:.0$}", decimals as usize)
}

/// A figure without needless decimals: `6`, `2.5`.
pub(crate) fn short(figure: f64) -> String {
    decimal(figure).normalize().to_string()
}

/// Text as a sentence, for standing beside others: its first letter large, a full stop at its end.
pub(crate) fn sentence(text: &str) -> String {
    let text = clean(text);
    let text = text.trim();
    let end = if text.is_empty() || text.ends_with(['.', '!', '?', ':']) { "" } else { "." };
    capital(text) + end
}

/// Text with a large first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map(|first| format!("{}{}", first.to_uppercase(), characters.as_str())).unwrap_or_default()
}

/// A device of a board: `RCBO B32 30 mA`.
pub(crate) fn device(device: &DeviceChosen) -> String {
    let kind = match device.device_type.as_str() {
        "rcbo" => "RCBO",
        "rcd" => "RCD",
        other => other,
    };
    let curve = device.curve.as_deref().unwrap_or_default().to_uppercase();
    let rated = format!("{kind} {curve}{}", short(device.rating_a.value()));
    let unit = if curve.is_empty() { " A" } else { "" };
    let residual = device.residual_ma.map(|current| format!(" {} mA", short(current))).unwrap_or_default();
    clean(&format!("{rated}{unit}{residual}"))
}

/// A cable, line and protective conductor in mm2: `2.5/1.5 twin and earth`.
pub(crate) fn cable(cable: &CableChosen) -> String {
    let kind = match cable.cable_type.as_str() {
        "flat-twin-and-earth-70c" if cable.cores == Some(3) => "3-core and earth",
        "flat-twin-and-earth-70c" => "twin and earth",
        "single-core-70c" => "singles",
        "armoured-70c" => "armoured, 70 C",
        "armoured-90c" => "armoured, 90 C",
        other => other,
    };
    clean(&format!("{}/{} {kind}", short(cable.line_mm2), short(cable.cpc_mm2)))
}

/// People who come.
pub(crate) fn people(people: u32) -> String {
    if people == 1 { "1 person".to_owned() } else { format!("{people} people") }
}

/// Times that they come.
pub(crate) fn visits(visits: u32) -> String {
    if visits == 1 { "1 visit".to_owned() } else { format!("{visits} visits") }
}

/// A kind of point in words, from its word on the wire: `double socket USB`.
pub(crate) fn point(point_type: &str) -> String {
    let word = |word: &str| match word {
        "usb" | "tv" | "co" => word.to_uppercase(),
        other => other.to_owned(),
    };
    clean(point_type).split('-').map(word).collect::<Vec<_>>().join(" ")
}

/// The rooms or things that something is about: the first few, and how many more.
pub(crate) fn places(places: &[String]) -> String {
    const SHOWN: usize = 6;
    let mut text = places.iter().take(SHOWN).map(|place| clean(place)).collect::<Vec<_>>().join(", ");
    if places.len() > SHOWN {
        text.push_str(&format!(" and {} more", places.len() - SHOWN));
    }
    text
}

pub(crate) fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "stop",
        Severity::High => "high",
        Severity::Medium => "medium",
        Severity::Low => "low",
    }
}

pub(crate) fn risk_kind(kind: RiskKind) -> &'static str {
    match kind {
        RiskKind::Safety => "safety",
        RiskKind::Money => "money",
        RiskKind::Programme => "programme",
    }
}

/// The label of the tax: its one rate, or each where a job is mixed.
pub(crate) fn tax(totals: &Totals) -> String {
    match totals.vat_by_case.as_slice() {
        [] | [_] => format!("VAT, {} % ({})", clean(&totals.vat_percent), totals.vat_case),
        mixed => {
            let percents: Vec<String> = mixed.iter().map(|share| clean(&share.percent)).collect();
            format!("VAT, {} %", percents.join(" and "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart_and_the_sign_before_them() {
        let shown = |text: &str| money(text.parse().expect("an amount in a test"));
        assert_eq!(shown("0.00"), "0.00");
        assert_eq!(shown("999.99"), "999.99");
        assert_eq!(shown("1000.00"), "1,000.00");
        assert_eq!(shown("-1234567.80"), "-1,234,567.80");
        assert_eq!(change("12.00".parse().expect("an amount in a test")), "+12.00");
    }

    #[test]
    fn a_figure_never_reads_as_minus_nought() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-0.06, 1), "-0.1");
        assert_eq!(fixed(2.25, 1), "2.3");
        assert_eq!(fixed(7.0, 1), "7.0");
        assert_eq!(short(2.50), "2.5");
        assert_eq!(short(10.0), "10");
    }

    #[test]
    fn a_remark_becomes_a_sentence_once() {
        assert_eq!(sentence("phase by storey"), "Phase by storey.");
        assert_eq!(sentence("Ask first."), "Ask first.");
        assert_eq!(sentence(" "), "");
    }

    #[test]
    fn a_name_cannot_move_the_cursor_or_turn_the_line_round() {
        assert_eq!(clean("Hall\u{1b}[2J\u{202e}x\r\n"), "Hall [2J x  ");
    }
}
