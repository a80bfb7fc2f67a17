//! What has changed from one rate sheet to another, row by row and column by column.

use std::collections::BTreeMap;

use serde::Serialize;
use utoipa::ToSchema;

use super::RateSheet;
use super::sections::{Section, rows};
use crate::limits::CHANGES_LISTED_MAX;

/// What has changed from one rate sheet to another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SheetDifference {
    /// The changes, section by section, by key.
    pub changes: Vec<SheetChange>,
    /// How many there are; more than are listed where there are very many.
    pub changes_total: usize,
}

/// One value that is another, or a row that is only in one of the two.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SheetChange {
    /// The section.
    pub section: Section,
    /// The row: its operation and stage, its item, its factor and level, or its term.
    #[schema(example = "cable-te-2-5")]
    pub key: String,
    /// The column; absent where the whole row is added or gone.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "pack_price")]
    pub column: Option<&'static str>,
    /// The value before; absent where the row was not there.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "86.00")]
    pub before: Option<String>,
    /// The value after; absent where the row is gone.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "91.00")]
    pub after: Option<String>,
}

/// What has changed. Two sheets without a change have the same rows, in whatever order.
#[must_use]
pub fn difference(before: &RateSheet, after: &RateSheet) -> SheetDifference {
    let [before, after] = [before, after].map(|sheet| serde_json::to_value(sheet).unwrap_or_default());
    let mut changes = Vec::new();
    for section in Section::ALL {
        let [before, after] = [&before, &after].map(|sheet| by_key(*section, rows(*section, sheet)));
        let mut keys: Vec<&String> = before.keys().chain(after.keys()).collect();
        keys.sort();
        keys.dedup();
        for key in keys {
            match (before.get(key), after.get(key)) {
                (Some(before), Some(after)) => columns(*section, key, before, after, &mut changes),
                (before, after) => changes.push(SheetChange {
                    section: *section,
                    key: key.clone(),
                    column: None,
                    before: before.map(|cells| values(*section, cells)),
                    after: after.map(|cells| values(*section, cells)),
                }),
            }
        }
    }
    let changes_total = changes.len();
    changes.truncate(CHANGES_LISTED_MAX);
    SheetDifference { changes, changes_total }
}

fn by_key(section: Section, rows: Vec<Vec<String>>) -> BTreeMap<String, Vec<String>> {
    let key = |cells: &[String]| {
        let keys = section.columns().iter().zip(cells).filter(|(column, _)| column.key);
        keys.map(|(_, cell)| cell.as_str()).collect::<Vec<_>>().join(" ")
    };
    rows.into_iter().map(|cells| (key(&cells), cells)).collect()
}

fn columns(section: Section, key: &str, before: &[String], after: &[String], changes: &mut Vec<SheetChange>) {
    let changed = section.columns().iter().zip(before.iter().zip(after)).filter(|(_, (before, after))| before != after);
    changes.extend(changed.map(|(column, (before, after))| SheetChange {
        section,
        key: key.to_owned(),
        column: Some(column.name),
        before: Some(before.clone()),
        after: Some(after.clone()),
    }));
}

/// What a whole row says, its key and its empty cells left out.
fn values(section: Section, cells: &[String]) -> String {
    let told = section.columns().iter().zip(cells).filter(|(column, cell)| !column.key && !cell.is_empty());
    told.map(|(column, cell)| format!("{} {cell}", column.name)).collect::<Vec<_>>().join(", ")
}
