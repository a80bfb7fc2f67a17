//! The cables, each a row of one table: what it is made of, what it may be used for, and what laying it asks of the rate
//! sheet.

use std::cmp::Ordering;

use serde::Deserialize;
use wiring::closed_list;
use wiring::table::rows;

use super::fabric::yes;
use crate::standards::CableType;

closed_list! {
    /// The make of a cable.
    CableMake {
        Flat = "flat": "Flat twin and earth.",
        FlatThreeCore = "flat-three-core": "Flat three-core and earth.",
        Armoured = "armoured": "Steel wire armoured.",
        Data = "data": "Four-pair data cable.",
        Coax = "coax": "Coaxial cable.",
        Control = "control": "Control cable.",
        Bonding = "bonding": "Bonding conductor.",
        Conduit = "conduit": "Conduit with a draw wire.",
    }
}

closed_list! {
    /// What a cable may be used for.
    CableUse {
        Laid = "laid": "It is bought and laid.",
        Kept = "kept": "It is never laid anew, but may be there and stay.",
    }
}

/// A row of the table of cables. The order of rows is that of sizes within a make.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CableIndex(u8);

impl CableIndex {
    /// For lists by row.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// A cable that a circuit may be wired in, with what the wiring rules ask of it. Two are the same, and one is the larger, by
/// their rows.
#[derive(Debug, Clone, Copy)]
pub struct CableSize {
    row: CableIndex,
    make: CableMake,
    cable_type: CableType,
    cores: u8,
    line_mm2: f64,
    cpc_mm2: f64,
    largest_device_a: f64,
}

impl CableSize {
    /// Its row.
    #[must_use]
    pub const fn row(self) -> CableIndex {
        self.row
    }

    /// Its make.
    #[must_use]
    pub const fn make(self) -> CableMake {
        self.make
    }

    /// Its type in the rating tables.
    #[must_use]
    pub const fn cable_type(self) -> CableType {
        self.cable_type
    }

    /// Insulated cores of it, as it is laid.
    #[must_use]
    pub const fn cores(self) -> u8 {
        self.cores
    }

    /// Line conductor, mm2.
    #[must_use]
    pub const fn line_mm2(self) -> f64 {
        self.line_mm2
    }

    /// Protective conductor, mm2.
    #[must_use]
    pub const fn cpc_mm2(self) -> f64 {
        self.cpc_mm2
    }

    /// The largest device that is usual before it, in amps.
    #[must_use]
    pub const fn largest_device_a(self) -> f64 {
        self.largest_device_a
    }

    /// Whether it is armoured.
    #[must_use]
    pub const fn is_armoured(self) -> bool {
        self.cable_type.is_armoured()
    }
}

impl PartialEq for CableSize {
    fn eq(&self, other: &Self) -> bool {
        self.row == other.row
    }
}

impl Eq for CableSize {}

impl PartialOrd for CableSize {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for CableSize {
    fn cmp(&self, other: &Self) -> Ordering {
        self.row.cmp(&other.row)
    }
}

/// The cables that ways are weighed for: a class until the size is known, then the cable itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CableClass {
    /// Up to 1.5 mm2.
    Lighting,
    /// 2.5 mm2.
    Sockets,
    /// Up to 6 mm2.
    Heavy,
    /// 10 mm2 and more.
    Heaviest,
    /// 10 mm2 bonding conductor.
    Bond,
    /// Conduit with a draw wire.
    DrawIn,
    /// A cable whose size is known, where no class has its prices.
    #[serde(skip)]
    Of(CableIndex),
}

impl CableClass {
    /// Those that the ways of every house are weighed for.
    pub const USUAL: [Self; 5] = [Self::Lighting, Self::Sockets, Self::Heavy, Self::Heaviest, Self::Bond];
    /// All but the cables whose size is known.
    const NAMED: [Self; 6] = [Self::Lighting, Self::Sockets, Self::Heavy, Self::Heaviest, Self::Bond, Self::DrawIn];

    /// Its place in lists by class: the named ones first, then the rows of the table.
    #[must_use]
    pub const fn index(self) -> usize {
        match self {
            Self::Lighting => 0,
            Self::Sockets => 1,
            Self::Heavy => 2,
            Self::Heaviest => 3,
            Self::Bond => 4,
            Self::DrawIn => 5,
            Self::Of(row) => Self::NAMED.len() + row.index(),
        }
    }

    /// How long a list by class is that holds the named ones and these.
    #[must_use]
    pub fn places(classes: &[Self]) -> usize {
        classes.iter().map(|class| class.index() + 1).fold(Self::NAMED.len(), usize::max)
    }
}

/// One cable of the table.
#[derive(Debug, Clone)]
pub struct CableKind {
    /// What tells it from the others.
    pub cable: String,
    /// Its make.
    pub make: CableMake,
    /// What a circuit that is wired in it goes by; absent for signal cable, bonding conductor and conduit.
    pub size: Option<CableSize>,
    /// What it may be used for.
    pub used: CableUse,
    /// Whether a feed to an outbuilding may be chosen in it.
    pub feed: bool,
    /// The class that is weighed with its prices.
    pub class: Option<CableClass>,
    /// The row whose prices are its own.
    pub priced_as: CableIndex,
    /// What its line is called, kebab-case; empty where no line is of it alone.
    pub item: &'static str,
    /// The same in words.
    pub words: String,
    /// What it asks of the rate sheet.
    pub asks: CableNames,
}

impl CableKind {
    /// Whether it is laid, and of that make.
    fn is_laid(&self, make: CableMake) -> bool {
        self.make == make && self.used == CableUse::Laid
    }
}

/// Names of the rate sheet, each with its fall-backs parted by `|`; one with `?` behind it may be lacking.
#[derive(Debug, Clone)]
pub struct CableNames {
    /// The cable itself.
    pub material: String,
    /// A metre of it in an open void, through joists, clipped to a surface, fished through a closed void, in a chase.
    pub laying: [String; 5],
    /// A metre of it in an open trench; empty where it is not buried.
    pub trench: String,
    /// One gland; empty where it has none.
    pub gland: String,
}

#[derive(Deserialize)]
struct CableRow {
    cable: String,
    make: CableMake,
    cable_type: Option<CableType>,
    cores: Option<u8>,
    line_mm2: Option<f64>,
    cpc_mm2: Option<f64>,
    largest_device_a: Option<f64>,
    #[serde(rename = "use")]
    used: CableUse,
    #[serde(deserialize_with = "yes")]
    feed: bool,
    class: Option<CableClass>,
    priced_as: String,
    item: String,
    words: String,
    material: String,
    open: String,
    joists: String,
    clipped: String,
    fished: String,
    chase: String,
    trench: String,
    gland: String,
}

impl CableRow {
    fn kind(self, own: CableIndex, priced_as: CableIndex, text: &'static str) -> CableKind {
        CableKind {
            size: self.size(own),
            cable: self.cable,
            make: self.make,
            used: self.used,
            feed: self.feed,
            class: self.class,
            priced_as,
            item: as_it_stands(text, &self.item),
            words: self.words,
            asks: CableNames {
                material: self.material,
                laying: [self.open, self.joists, self.clipped, self.fished, self.chase],
                trench: self.trench,
                gland: self.gland,
            },
        }
    }

    fn size(&self, row: CableIndex) -> Option<CableSize> {
        let cable_type = self.cable_type?;
        let figures = self.cores.zip(self.line_mm2).zip(self.cpc_mm2).zip(self.largest_device_a);
        let Some((((cores, line_mm2), cpc_mm2), largest_device_a)) = figures else {
            panic!("cables.csv: `{}` lacks a figure that a circuit goes by", self.cable)
        };
        Some(CableSize { row, make: self.make, cable_type, cores, line_mm2, cpc_mm2, largest_device_a })
    }
}

/// The table of cables.
#[derive(Debug, Clone)]
pub struct Cables {
    rows: Vec<CableKind>,
    /// The first row of each make.
    first: Vec<CableIndex>,
    /// The row that each named class is weighed with.
    standing: [CableIndex; CableClass::NAMED.len()],
    three_core: CableSize,
    /// Flat cables that are laid, from the smallest.
    flat: Vec<CableSize>,
    /// Cables that a feed may be chosen in, from the smallest.
    feeds: Vec<CableSize>,
}

impl Cables {
    /// The table that is part of the program.
    pub(super) fn built_in() -> Self {
        Self::read(include_str!("../../data/cables.csv"))
    }

    /// Reads a table.
    ///
    /// # Panics
    /// If a row is not whole or names one that is not there, or if a make, a class or the feeds have none: the first test
    /// that runs finds it.
    pub(crate) fn read(text: &'static str) -> Self {
        let table: Vec<CableRow> = rows("cables.csv", text);
        let place = |what: &str, wanted: &dyn Fn(&CableRow) -> bool| {
            let place = table.iter().position(wanted);
            index(place.unwrap_or_else(|| panic!("cables.csv has no row for {what}")))
        };
        let first = CableMake::ALL.iter().map(|make| place(make.word(), &|row| row.make == *make)).collect();
        let standing = CableClass::NAMED.map(|class| place(&format!("{class:?}"), &|row| row.class == Some(class)));
        let priced_as: Vec<CableIndex> = table
            .iter()
            .enumerate()
            .map(|(own, row)| match row.priced_as.as_str() {
                "" => index(own),
                name => place(name, &|other| other.cable == name),
            })
            .collect();
        let table = table.into_iter().zip(priced_as).enumerate();
        let rows: Vec<CableKind> = table.map(|(own, (row, priced_as))| row.kind(index(own), priced_as, text)).collect();
        let laid = |make: CableMake| rows.iter().filter(move |row| row.is_laid(make)).filter_map(|row| row.size);
        let three_core = laid(CableMake::FlatThreeCore).next().expect("cables.csv has a three-core cable");
        let flat: Vec<CableSize> = laid(CableMake::Flat).collect();
        let feeds: Vec<CableSize> = rows.iter().filter(|row| row.feed).filter_map(|row| row.size).collect();
        assert!(!flat.is_empty() && !feeds.is_empty(), "cables.csv has a flat cable and one for feeds");
        Self { first, standing, three_core, flat, feeds, rows }
    }

    /// Every cable, in the order of the table.
    #[must_use]
    pub fn rows(&self) -> &[CableKind] {
        &self.rows
    }

    /// A cable.
    #[must_use]
    pub fn row(&self, cable: CableIndex) -> &CableKind {
        &self.rows[cable.index()]
    }

    /// The first cable of a make.
    #[must_use]
    pub fn first(&self, make: CableMake) -> CableIndex {
        self.first[make as usize]
    }

    /// The cables of a make that are laid, from the smallest.
    pub fn laid(&self, make: CableMake) -> impl Iterator<Item = CableSize> + '_ {
        self.rows.iter().filter(move |row| row.is_laid(make)).filter_map(|row| row.size)
    }

    /// The cables of a make that are laid, and those that may be there and stay.
    pub fn laid_or_kept(&self, make: CableMake) -> impl Iterator<Item = CableSize> + '_ {
        self.rows.iter().filter(move |row| row.make == make).filter_map(|row| row.size)
    }

    /// A cable and those of its make that are larger, as they are laid.
    pub fn from_size(&self, first: CableSize) -> impl Iterator<Item = CableSize> + '_ {
        self.laid(first.make()).filter(move |size| *size >= first)
    }

    /// The cables that a feed may be chosen in, from the smallest; there is one at least.
    #[must_use]
    pub fn feeds(&self) -> &[CableSize] {
        &self.feeds
    }

    /// The smallest flat cable with lines of at least this size; the largest where there is none.
    #[must_use]
    pub fn flat(&self, line_mm2: f64) -> CableSize {
        let fits = self.flat.iter().find(|size| line_mm2 <= size.line_mm2());
        *fits.unwrap_or(&self.flat[self.flat.len() - 1])
    }

    /// The three-core cable of alarms, and of lights that are switched from two places.
    #[must_use]
    pub const fn three_core(&self) -> CableSize {
        self.three_core
    }

    /// The class of a flat cable with lines of this size, before it is known which one is taken.
    #[must_use]
    pub fn class(&self, line_mm2: f64) -> CableClass {
        let classes = || self.flat.iter().filter_map(|size| Some((size.line_mm2(), self.row(size.row()).class?)));
        let fits = classes().find(|(largest, _)| line_mm2 <= *largest);
        fits.or_else(|| classes().next_back()).map_or(CableClass::Heaviest, |(_, class)| class)
    }

    /// What a cable whose size is known is weighed as: the class that has its prices, else by itself.
    #[must_use]
    pub fn class_of(&self, cable: CableSize) -> CableClass {
        let priced_as = self.row(cable.row()).priced_as;
        self.row(priced_as).class.unwrap_or(CableClass::Of(priced_as))
    }

    /// The cable whose prices a class is weighed with.
    #[must_use]
    pub const fn standing_for(&self, class: CableClass) -> CableIndex {
        match class {
            CableClass::Of(row) => row,
            named => self.standing[named.index()],
        }
    }
}

/// A word where it stands in the table, which lasts as long as the program: lines borrow it.
fn as_it_stands(text: &'static str, word: &str) -> &'static str {
    let start = text.find(word).unwrap_or_default();
    text.get(start..start + word.len()).unwrap_or_default()
}

fn index(place: usize) -> CableIndex {
    CableIndex(u8::try_from(place).expect("the table has fewer than 256 rows"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sizes_of_a_make_grow_from_row_to_row() {
        let cables = Cables::built_in();
        for make in CableMake::ALL {
            let sizes: Vec<f64> = cables.laid(*make).map(CableSize::line_mm2).collect();
            assert!(sizes.is_sorted(), "{make}: {sizes:?}");
        }
    }

    #[test]
    fn every_cable_of_a_circuit_has_its_figures_in_the_rating_tables() {
        let standards = crate::standards::Standards::built_in();
        for size in Cables::built_in().rows().iter().filter_map(|row| row.size) {
            let line = crate::quantities::SquareMillimetres::new(size.line_mm2());
            let method = crate::standards::ReferenceMethod::C;
            assert!(standards.capacity(size.cable_type(), method, line).is_ok(), "{size:?}");
            assert!(standards.voltage_drop(size.cable_type(), line).is_ok(), "{size:?}");
            if size.make() == CableMake::Flat {
                let printed = standards.flat_cable_cpc(line).expect("a flat cable has its row");
                assert!((printed.value() - size.cpc_mm2()).abs() < 1e-9, "{size:?}");
            }
        }
    }

    #[test]
    fn a_size_that_is_not_made_takes_the_next_larger_one_and_beyond_all_the_largest() {
        let cables = Cables::built_in();
        assert!((cables.flat(3.0).line_mm2() - 4.0).abs() < 1e-9);
        assert!((cables.flat(50.0).line_mm2() - 16.0).abs() < 1e-9);
        assert_eq!([1.0, 2.5, 4.0, 16.0].map(|size| cables.class(size)), CableClass::USUAL[..4]);
    }

    #[test]
    fn a_cable_that_only_stays_is_weighed_as_the_one_whose_prices_it_has() {
        let cables = Cables::built_in();
        let kept = cables.rows().iter().filter(|row| row.used == CableUse::Kept);
        for row in kept {
            let size = row.size.expect("a circuit may be wired in what stays");
            assert_eq!(cables.class_of(size), CableClass::Of(row.priced_as), "{}", row.cable);
        }
    }
}
