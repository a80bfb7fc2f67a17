//! One cell: written so that it reads back the same, and read as people write it, where the meaning is plain.

use rust_decimal::Decimal;
use serde_json::{Number, Value};

use super::CellKind;
use crate::table::spreadsheet::shown;

/// What a spreadsheet would take for the start of a formula, and the apostrophe that keeps it from doing so.
const FORMULA_STARTS: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\''];

/// Longest figure that is read; far beyond what any figure of a sheet needs.
const FIGURE_CHARACTERS_MAX: usize = 40;

/// How the file is written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Style {
    /// What stands between the cells.
    pub separator: u8,
    /// The sign of the sheet's currency, where it has one.
    pub sign: Option<char>,
}

/// The sign of a currency.
pub(super) fn sign_of(currency: &str) -> Option<char> {
    match currency {
        "GBP" => Some('£'),
        "EUR" => Some('€'),
        _ => None,
    }
}

/// A value of the document as it stands in a cell.
pub(super) fn plain(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        // 10.0 is written 10: what is the same figure is written the same way.
        Value::Number(number) => number.as_f64().map_or_else(|| number.to_string(), |figure| figure.to_string()),
        Value::String(text) => text.clone(),
        Value::Array(entries) => entries.iter().map(plain).collect::<Vec<_>>().join(";"),
        Value::Object(pack) => {
            let part = |name| pack.get(name).map_or_else(String::new, plain);
            format!("{} at {}", part("size"), part("price"))
        }
    }
}

/// A text as it is written: with an apostrophe before it where a spreadsheet would calculate it.
pub(super) fn guarded(text: &str) -> String {
    if text.starts_with(FORMULA_STARTS) { format!("'{text}") } else { text.to_owned() }
}

/// A text as it was meant: the inverse of [`guarded`].
fn unguarded(text: &str) -> &str {
    text.strip_prefix('\'').filter(|rest| rest.starts_with(FORMULA_STARTS)).unwrap_or(text)
}

/// Reads a cell.
///
/// # Errors
/// What is wrong with it and how to mend it, to be put after the column's name.
pub(super) fn read(kind: CellKind, cell: &str, style: Style) -> Result<Value, String> {
    let trimmed = cell.trim();
    match kind {
        CellKind::Text => Ok(Value::from(unguarded(cell))),
        CellKind::OptionalText if trimmed.is_empty() => Ok(Value::Null),
        CellKind::OptionalText => Ok(Value::from(unguarded(trimmed))),
        CellKind::Money => money(trimmed, style).map(Value::from),
        CellKind::Figure => figure(trimmed, style),
        CellKind::Percent => figure(trimmed.strip_suffix('%').map_or(trimmed, str::trim_end), style),
        CellKind::Whole => whole(trimmed, style),
        CellKind::YesNo => yes_no(trimmed),
        CellKind::Words => Ok(words(trimmed)),
        CellKind::Packs => packs(trimmed, style),
        CellKind::Grade => grade(trimmed, style),
    }
}

fn grade(cell: &str, style: Style) -> Result<Value, String> {
    const TESTS: &str = "tests";
    let end = cell.len().saturating_sub(TESTS.len());
    let last = cell.get(end..).filter(|last| last.eq_ignore_ascii_case(TESTS));
    let rest = match last {
        Some(_) => cell[..end].trim_end_matches([',', ';', ' ']),
        None => cell,
    };
    let Some((people, rate)) = rest.split_once(" at ") else {
        return Err(format!("is `{}`; give people and rate as 1 at 34.00, or as 1 at 34.00, tests", shown(cell)));
    };
    let (people, rate) = (whole(people.trim(), style)?, money(rate.trim(), style)?);
    Ok(serde_json::json!({ "people": people, "rate": rate, "tests": last.is_some() }))
}

fn words(cell: &str) -> Value {
    cell.split(';').map(str::trim).filter(|word| !word.is_empty()).map(Value::from).collect::<Vec<_>>().into()
}

fn packs(cell: &str, style: Style) -> Result<Value, String> {
    let pack = |text: &str| {
        let parts = text.split_once(" at ").or_else(|| text.split_once('='));
        let (size, price) = parts.ok_or_else(|| format!("is `{}`; give packs as 50 at 47.00", shown(text)))?;
        let (size, price) = (figure(size.trim(), style)?, money(price.trim(), style)?);
        Ok(serde_json::json!({ "size": size, "price": price }))
    };
    let packs = cell.split(';').map(str::trim).filter(|text| !text.is_empty());
    packs.map(pack).collect::<Result<Vec<Value>, String>>().map(Value::Array)
}

fn yes_no(cell: &str) -> Result<Value, String> {
    match cell.to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" => Ok(Value::from(true)),
        "no" | "n" | "false" | "0" | "" => Ok(Value::from(false)),
        _ => Err(format!("is `{}`; give yes or no", shown(cell))),
    }
}

fn money(cell: &str, style: Style) -> Result<String, String> {
    let (minus, rest) = match cell.strip_prefix('-') {
        Some(rest) => ("-", rest.trim_start()),
        None => ("", cell),
    };
    let unsigned = style.sign.map_or(rest, |sign| rest.trim_matches(sign).trim());
    if unsigned.starts_with('-') {
        return Err(format!("is `{}`; give an amount such as 12.50", shown(cell)));
    }
    let text = number(unsigned, style).map_err(|why| format!("is `{}`; {why}", shown(cell)))?;
    let amount = Decimal::from_str_exact(&text).map_err(|_| format!("is `{}`; give an amount", shown(cell)))?;
    if amount.normalize().scale() > 2 {
        return Err(format!("is `{}`; give at most two decimals, such as 12.50", shown(cell)));
    }
    Ok(format!("{minus}{amount:.2}"))
}

fn figure(cell: &str, style: Style) -> Result<Value, String> {
    let text = number(cell, style).map_err(|why| format!("is `{}`; {why}", shown(cell)))?;
    let figure = text.parse().ok().and_then(Number::from_f64);
    figure.map(Value::Number).ok_or_else(|| format!("is `{}`; give a number", shown(cell)))
}

fn whole(cell: &str, style: Style) -> Result<Value, String> {
    let text = number(cell, style).map_err(|why| format!("is `{}`; {why}", shown(cell)))?;
    let digits = text
        .split_once('.')
        .map_or(Some(text.as_str()), |(whole, decimals)| decimals.bytes().all(|byte| byte == b'0').then_some(whole));
    let whole = digits.and_then(|digits| digits.parse::<u64>().ok());
    whole.map(Value::from).ok_or_else(|| format!("is `{}`; give a whole number", shown(cell)))
}

/// Digits with a point, from a number with thousands set apart or a decimal comma, where only one reading is possible.
fn number(cell: &str, style: Style) -> Result<String, String> {
    const ASK: &str = "give a number such as 12.5";
    if cell.is_empty() {
        return Err(format!("it is empty; {ASK}"));
    }
    if cell.len() > FIGURE_CHARACTERS_MAX {
        return Err(format!("it is too long; {ASK}"));
    }
    let (minus, digits) = cell.strip_prefix('-').map_or(("", cell), |rest| ("-", rest));
    let spaceless: String = digits.chars().filter(|character| !matches!(character, '\u{a0}' | '\u{202f}')).collect();
    let plain = match (spaceless.find(','), spaceless.find('.')) {
        (None, _) => spaceless,
        (Some(comma), Some(point)) if comma < point => without_thousands(&spaceless, ',').ok_or(ASK)?,
        (Some(_), Some(_)) if style.separator != b',' => {
            without_thousands(&spaceless, '.').map(|text| text.replacen(',', ".", 1)).ok_or(ASK)?
        }
        (Some(_), Some(_)) => return Err(ASK.to_owned()),
        (Some(_), None) => comma_alone(&spaceless, style).ok_or_else(|| {
            "the comma may set thousands apart or decimals; write decimals with a point and thousands without a sign".to_owned()
        })?,
    };
    let (whole, decimals) = plain.split_once('.').unwrap_or((&plain, "0"));
    let all_digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    if all_digits(whole) && all_digits(decimals) { Ok(format!("{minus}{plain}")) } else { Err(ASK.to_owned()) }
}

/// Takes out a sign between thousands, if it stands after every third digit and nowhere else. Decimals stay behind the
/// other sign.
fn without_thousands(text: &str, sign: char) -> Option<String> {
    let end = text.rfind(if sign == ',' { '.' } else { ',' }).unwrap_or(text.len());
    let (whole, decimals) = text.split_at(end);
    let mut groups = whole.split(sign);
    let first = groups.next().unwrap_or_default();
    let apart = (1..=3).contains(&first.len()) && groups.all(|group| group.len() == 3);
    (apart && !decimals.contains(sign)).then(|| format!("{}{decimals}", whole.replace(sign, "")))
}

/// A number whose only sign is a comma: decimals, or thousands where commas stand between cells too and every group has
/// three digits. `1,250` in a file with semicolons may be either, so it is neither.
fn comma_alone(text: &str, style: Style) -> Option<String> {
    let (whole, decimals) = text.split_once(',')?;
    if decimals.len() != 3 && !decimals.contains(',') {
        return Some(text.replacen(',', ".", 1));
    }
    if whole.starts_with('0') {
        return (!decimals.contains(',')).then(|| text.replacen(',', ".", 1));
    }
    if style.separator == b',' || decimals.contains(',') { without_thousands(text, ',') } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COMMAS: Style = Style { separator: b',', sign: Some('£') };
    const SEMICOLONS: Style = Style { separator: b';', sign: Some('£') };

    fn amount(cell: &str, style: Style) -> Option<String> {
        money(cell, style).ok()
    }

    #[test]
    fn an_amount_is_read_as_people_write_it() {
        for cell in ["62", "62.0", "62.00", "£62.00", "£ 62", " 62.00"] {
            assert_eq!(amount(cell.trim(), COMMAS).as_deref(), Some("62.00"), "{cell}");
        }
        assert_eq!(amount("£1,240.50", COMMAS).as_deref(), Some("1240.50"));
        assert_eq!(amount("1,240", COMMAS).as_deref(), Some("1240.00"));
        assert_eq!(amount("62,50", SEMICOLONS).as_deref(), Some("62.50"));
        assert_eq!(amount("1.240,50", SEMICOLONS).as_deref(), Some("1240.50"));
        assert_eq!(amount("-£5", COMMAS).as_deref(), Some("-5.00"));
    }

    #[test]
    fn an_amount_that_could_mean_two_things_or_nothing_is_refused() {
        for cell in ["1,240", "€5", "12.345", "", "five", "1 2", "--5", "1,24,0", ".", "1.", "1e3", "12,5,0"] {
            assert_eq!(amount(cell, SEMICOLONS), None, "{cell}");
        }
        assert_eq!(amount("1.240,50", COMMAS), None);
    }

    #[test]
    fn a_share_may_carry_its_sign_and_a_yes_may_be_a_ja_only_in_english() {
        assert_eq!(read(CellKind::Percent, "10 %", COMMAS), Ok(Value::from(10.0)));
        assert_eq!(read(CellKind::Figure, "0,125", COMMAS), Ok(Value::from(0.125)));
        assert_eq!(read(CellKind::YesNo, "Yes", COMMAS), Ok(Value::from(true)));
        assert!(read(CellKind::YesNo, "ja", COMMAS).is_err());
        assert_eq!(read(CellKind::Whole, "2.0", COMMAS), Ok(Value::from(2)));
        assert!(read(CellKind::Whole, "2.5", COMMAS).is_err());
    }

    #[test]
    fn a_text_that_looks_like_a_formula_comes_back_as_it_went() {
        for text in ["=1+1", "-", "'", "''", "'=x", "@a", "\tb", "plain", "'quoted'"] {
            assert_eq!(unguarded(&guarded(text)), text);
        }
    }
}
