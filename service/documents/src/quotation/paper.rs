//! A paper as blocks: what stands on it, in order, whatever prints it.

/// One piece of a paper.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Block {
    /// A heading of a section.
    Heading { text: String },
    /// A paragraph.
    Paragraph { text: String },
    /// What must not be overlooked, in a frame.
    Notice { text: String },
    /// Names and what belongs to them.
    Facts { facts: Vec<(String, String)> },
    /// A list.
    List { entries: Vec<String> },
    /// A table.
    Table(PaperTable),
    /// Lines to be filled in by hand, each with what is wanted on it.
    Blanks { lines: Vec<&'static str> },
    /// What follows begins on a new page.
    NewPage,
}

/// A table with a heading on every page that it reaches.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PaperTable {
    /// What it shows, for those who cannot see it.
    pub caption: String,
    pub columns: Vec<PaperColumn>,
    pub rows: Vec<PaperRow>,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct PaperColumn {
    pub heading: &'static str,
    pub holds: ColumnContent,
}

/// What a column holds, and so how it is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ColumnContent {
    /// Text that wraps.
    Words,
    /// A word or two.
    Word,
    /// Figures, which stand under one another by their last digit.
    Figures,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct PaperRow {
    pub cells: Vec<String>,
    pub weight: RowWeight,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RowWeight {
    Plain,
    /// A heading of the rows below it.
    Group,
    /// A sum of rows above it.
    Sum,
    /// What is to be paid.
    Total,
}

/// A whole paper.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Paper {
    /// What the paper is: `Quotation`, `Estimate` or `Budget price`.
    pub title: &'static str,
    /// What the paper is for: the reference, where there is one.
    pub subject: String,
    pub firm: Vec<String>,
    pub firm_name: String,
    pub client: Vec<String>,
    pub facts: Vec<(String, String)>,
    /// At the foot of every page.
    pub foot: String,
    pub colour: String,
    pub blocks: Vec<Block>,
}

pub(super) fn heading(text: &str) -> Block {
    Block::Heading { text: text.to_owned() }
}

pub(super) fn paragraph(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into() }
}

pub(super) fn row(cells: Vec<String>, weight: RowWeight) -> PaperRow {
    PaperRow { cells, weight }
}

pub(super) const fn words(heading: &'static str) -> PaperColumn {
    PaperColumn { heading, holds: ColumnContent::Words }
}

pub(super) const fn word(heading: &'static str) -> PaperColumn {
    PaperColumn { heading, holds: ColumnContent::Word }
}

pub(super) const fn figures(heading: &'static str) -> PaperColumn {
    PaperColumn { heading, holds: ColumnContent::Figures }
}
