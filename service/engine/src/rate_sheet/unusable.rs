//! Why a sheet cannot be priced with: rows that it lacks, prices that no sum can hold.

use std::fmt;

use rust_decimal::Decimal;

use super::Section;
use crate::limits::UNIT_PRICE_MAX;

/// A row that the engine asks for and a sheet does not have.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Missing {
    /// The section.
    pub section: Section,
    /// The operation, item, rate or term.
    pub key: String,
}

impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.section, self.key)
    }
}

/// A material whose price of a unit is a slip of the keys: sums with it would leave what a number holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceBeyondLimit {
    /// Its row in the section of materials, from 0.
    pub row: usize,
    /// Its name.
    pub item: String,
    /// What a unit comes to, waste and mark-up with it, in whole units of the currency.
    pub unit_price: Decimal,
}

impl PriceBeyondLimit {
    /// JSON Pointer into the sheet, to the price that is at fault.
    #[must_use]
    pub fn pointer(&self) -> String {
        format!("/{}/{}/pack_price", Section::Materials, self.row)
    }
}

impl fmt::Display for PriceBeyondLimit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` comes to {:.2} a unit, waste and mark-up with it; give no more than {UNIT_PRICE_MAX}.00 a unit",
            self.item, self.unit_price
        )
    }
}

/// A rate sheet that cannot be priced with.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the rate sheet `{sheet}` cannot be priced with: {}", self.reasons().join("; "))]
pub struct UnusableSheet {
    /// The sheet.
    pub sheet: String,
    /// What the engine asks for and does not find.
    pub missing: Vec<Missing>,
    /// Prices that cannot be reckoned with.
    pub beyond: Vec<PriceBeyondLimit>,
}

impl UnusableSheet {
    fn reasons(&self) -> Vec<String> {
        let prices = self.beyond.iter().map(|price| format!("`{}`: {price}", price.pointer()));
        self.lacks(usize::MAX).into_iter().chain(prices).collect()
    }

    /// What it lacks, in one sentence of at most so many rows; nothing where every row is there.
    #[must_use]
    pub fn lacks(&self, most: usize) -> Option<String> {
        let named: Vec<String> = self.missing.iter().take(most).map(ToString::to_string).collect();
        let more = self.missing.len() - named.len();
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        (!named.is_empty()).then(|| format!("it lacks {}{more}", named.join("; ")))
    }
}
