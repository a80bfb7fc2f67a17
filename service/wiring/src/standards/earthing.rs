//! Sizes of earthing conductors, protective conductors and bonds.

use crate::closed_list;
use serde::Deserialize;

use super::look_up::NotInTable;
use super::provenance::Provenance;
use crate::quantities::SquareMillimetres;
use crate::table::rows;

closed_list! {
    /// A conductor that is sized by another.
    EarthingItem {
        ProtectiveConductor = "protective-conductor": "Protective or earthing conductor, by the line conductor.",
        MainBondPme = "main-bond-pme": "Main bond where earth and neutral are joined in the street, by the supply's neutral.",
        MainBond = "main-bond": "Main bond elsewhere, by the earthing conductor.",
        BuriedEarthingConductor = "buried-earthing-conductor": "Earthing conductor in the ground, sheathed.",
        SupplementaryBond = "supplementary-bond": "Supplementary bond.",
    }
}

#[derive(Debug, Clone, Deserialize)]
struct EarthingRow {
    item: EarthingItem,
    over_mm2: SquareMillimetres,
    up_to_mm2: Option<SquareMillimetres>,
    fixed_mm2: Option<SquareMillimetres>,
    share: Option<f64>,
    least_mm2: Option<SquareMillimetres>,
    most_mm2: Option<SquareMillimetres>,
    source: String,
    #[serde(rename = "status")]
    _status: Provenance,
}

/// A size, and the table or clause that gives it.
#[derive(Debug, Clone, PartialEq)]
pub struct SizedConductor {
    /// The size.
    pub size: SquareMillimetres,
    /// Where it stands.
    pub source: String,
}

#[derive(Debug, Clone)]
pub(super) struct Earthing {
    rows: Vec<EarthingRow>,
}

const TABLES: &str = "BS 7671 Tables 54.1, 54.7 and 54.8";

impl Earthing {
    pub(super) fn built_in() -> Self {
        let rows: Vec<EarthingRow> =
            rows("earthing_conductors.csv", include_str!("../../data/earthing_conductors.csv"));
        for item in EarthingItem::ALL {
            assert!(rows.iter().any(|row| row.item == *item), "earthing_conductors.csv holds `{item}`");
        }
        Self { rows }
    }

    /// The size of `item` beside a conductor of `governing`; `made` are the sizes that are made, smallest first.
    pub(super) fn size(
        &self,
        item: EarthingItem,
        governing: SquareMillimetres,
        mut made: impl Iterator<Item = SquareMillimetres>,
    ) -> Result<SizedConductor, NotInTable> {
        let within = |row: &&EarthingRow| {
            row.item == item && governing > row.over_mm2 && row.up_to_mm2.is_none_or(|up_to| governing <= up_to)
        };
        let unknown = || NotInTable::new(TABLES, format!("no `{item}` beside {governing}"));
        let row = self.rows.iter().find(within).ok_or_else(unknown)?;
        let by_share = || SquareMillimetres::new(governing.value() * row.share.unwrap_or(1.0));
        let mut wanted = row.fixed_mm2.unwrap_or_else(by_share);
        if let Some(most) = row.most_mm2 {
            wanted = wanted.min(most);
        }
        if let Some(least) = row.least_mm2 {
            wanted = wanted.max(least);
        }
        let size = made.find(|size| size.value() >= wanted.value() - 1e-6).ok_or_else(unknown)?;
        Ok(SizedConductor { size, source: row.source.clone() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::Standards;

    fn size(item: EarthingItem, governing: f64) -> Result<f64, NotInTable> {
        let standards = Standards::built_in();
        standards.earthing(item, SquareMillimetres::new(governing)).map(|sized| sized.size.value())
    }

    #[test]
    fn tails_of_25_mm2_want_an_earthing_conductor_of_16_mm2() {
        // Source: BS 7671 Table 54.7 (seen): as large up to 16, then 16 up to 35, then half.
        assert_eq!(size(EarthingItem::ProtectiveConductor, 25.0), Ok(16.0));
        assert_eq!(size(EarthingItem::ProtectiveConductor, 10.0), Ok(10.0));
        assert_eq!(size(EarthingItem::ProtectiveConductor, 70.0), Ok(35.0));
    }

    #[test]
    fn a_main_bond_on_the_streets_neutral_is_10_mm2_up_to_a_neutral_of_35_mm2() {
        // Source: BS 7671 Table 54.8, seen.
        assert_eq!(size(EarthingItem::MainBondPme, 25.0), Ok(10.0));
        assert_eq!(size(EarthingItem::MainBondPme, 35.0), Ok(10.0));
        assert_eq!(size(EarthingItem::MainBondPme, 50.0), Ok(16.0));
        assert_eq!(size(EarthingItem::MainBondPme, 95.0), Ok(25.0));
    }

    #[test]
    fn elsewhere_a_main_bond_is_half_of_the_earthing_conductor_and_never_under_6_mm2() {
        // Source: BS 7671 544.1.1 (seen): half, at least 6, need not exceed 25.
        assert_eq!(size(EarthingItem::MainBond, 16.0), Ok(10.0));
        assert_eq!(size(EarthingItem::MainBond, 6.0), Ok(6.0));
        assert_eq!(size(EarthingItem::MainBond, 70.0), Ok(25.0));
    }

    #[test]
    fn nothing_goes_with_no_conductor_at_all() {
        let refused = size(EarthingItem::MainBondPme, 0.0).expect_err("no such neutral");
        assert_eq!(refused.table(), TABLES);
    }
}
