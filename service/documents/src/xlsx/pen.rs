//! Writing a sheet row by row: what stands in a cell, and how it looks.

use engine::money::{Money, decimal};
use rust_decimal::prelude::ToPrimitive;
use rust_xlsxwriter::{Format, FormatAlign, FormatBorder, Formula, Worksheet};

use crate::words::clean;

/// Decimals of a physical figure in a cell: finer than anybody measures on site.
const FIGURE_DECIMALS: u32 = 4;

/// Height of a line of text, and the greatest height of a row, in points.
const LINE_POINTS: f64 = 15.0;
const ROW_POINTS_MAX: f64 = 409.0;

pub(super) type Written = Result<(), rust_xlsxwriter::XlsxError>;

/// How cells look.
pub(super) struct Styles {
    title: Format,
    heading: Format,
    figure_heading: Format,
    text: Format,
    unwrapped: Format,
    money: Format,
    figure: Format,
    total_text: Format,
    total_money: Format,
}

impl Styles {
    pub(super) fn new() -> Self {
        let top = |format: Format| format.set_align(FormatAlign::Top);
        // A space at the right, or a figure runs into the text of the next column.
        let right = |format: Format| format.set_align(FormatAlign::Right).set_indent(1);
        let heading = top(Format::new().set_bold().set_text_wrap().set_border_bottom(FormatBorder::Thin));
        let money = right(top(Format::new().set_num_format("#,##0.00;[Red]-#,##0.00")));
        let total = |format: Format| format.set_bold().set_border_top(FormatBorder::Thin);
        Self {
            title: Format::new().set_bold().set_font_size(14),
            figure_heading: right(heading.clone()),
            heading,
            text: top(Format::new().set_text_wrap()),
            unwrapped: top(Format::new()),
            figure: right(top(Format::new())),
            total_text: total(Format::new()),
            total_money: total(money.clone()),
            money,
        }
    }
}

/// What stands in one cell.
pub(super) enum Cell {
    Text(String),
    /// Text that runs over the empty cells to its right.
    Unwrapped(String),
    Figure(f64),
    Money(Money),
    Empty,
}

impl Cell {
    pub(super) fn text(text: impl AsRef<str>) -> Self {
        Self::Text(clean(text.as_ref()))
    }

    pub(super) fn unwrapped(text: impl AsRef<str>) -> Self {
        Self::Unwrapped(clean(text.as_ref()))
    }

    /// Lines that it takes in a column of `width` characters, words kept whole.
    fn lines(&self, width: f64) -> f64 {
        match self {
            // A tenth of each line is taken to be lost where a word goes over.
            Self::Text(text) => (text.chars().count() as f64 / (width * 0.9).max(1.0)).ceil(),
            Self::Unwrapped(_) | Self::Figure(_) | Self::Money(_) | Self::Empty => 1.0,
        }
    }

    pub(super) fn optional(text: Option<&String>) -> Self {
        text.map_or(Self::Empty, Self::text)
    }
}

/// A column: its heading, and its width in characters where the heading stands at the top of the sheet.
pub(super) struct Heading {
    name: &'static str,
    width: f64,
    of_figures: bool,
}

pub(super) const fn text(name: &'static str, width: f64) -> Heading {
    Heading { name, width, of_figures: false }
}

pub(super) const fn figures(name: &'static str, width: f64) -> Heading {
    Heading { name, width, of_figures: true }
}

/// A heading further down the sheet, over columns that have their widths.
pub(super) const fn below(name: &'static str) -> Heading {
    text(name, 0.0)
}

/// As [`below`], over figures.
pub(super) const fn figures_below(name: &'static str) -> Heading {
    figures(name, 0.0)
}

/// Writes rows downwards.
pub(super) struct SheetPen<'a> {
    pub(super) sheet: &'a mut Worksheet,
    styles: &'a Styles,
    /// The next row.
    pub(super) row: u32,
    /// Widths of the columns in characters, for the height of rows whose text is wrapped.
    widths: Vec<f64>,
}

impl<'a> SheetPen<'a> {
    pub(super) fn new(sheet: &'a mut Worksheet, styles: &'a Styles) -> Self {
        Self { sheet, styles, row: 0, widths: Vec::new() }
    }

    pub(super) fn widths(&mut self, widths: &[f64]) -> Written {
        for (width, column) in widths.iter().zip(0..) {
            self.sheet.set_column_width(column, *width)?;
        }
        self.widths = widths.to_vec();
        Ok(())
    }

    pub(super) fn title(&mut self, title: &str) -> Written {
        self.sheet.write_string_with_format(self.row, 0, short_enough(title), &self.styles.title)?;
        self.row += 1;
        Ok(())
    }

    pub(super) fn headings(&mut self, headings: &[Heading]) -> Written {
        for (heading, column) in headings.iter().zip(0..) {
            let style = if heading.of_figures { &self.styles.figure_heading } else { &self.styles.heading };
            self.sheet.write_string_with_format(self.row, column, heading.name, style)?;
        }
        if self.row == 0 {
            self.widths(&headings.iter().map(|heading| heading.width).collect::<Vec<_>>())?;
            self.sheet.set_freeze_panes(1, 0)?;
            self.sheet.set_repeat_rows(0, 0)?;
        }
        self.row += 1;
        Ok(())
    }

    pub(super) fn cells(&mut self, cells: &[Cell]) -> Written {
        for (cell, column) in cells.iter().zip(0..) {
            self.cell(column, cell)?;
        }
        let lines = cells.iter().zip(&self.widths).map(|(cell, width)| cell.lines(*width)).fold(1.0, f64::max);
        if lines > 1.0 {
            // Not every spreadsheet makes a row of wrapped text high enough by itself.
            self.sheet.set_row_height(self.row, (lines * LINE_POINTS).min(ROW_POINTS_MAX))?;
        }
        self.row += 1;
        Ok(())
    }

    pub(super) fn cell(&mut self, column: u16, cell: &Cell) -> Written {
        match cell {
            Cell::Text(text) => {
                self.sheet.write_string_with_format(self.row, column, short_enough(text), &self.styles.text)?;
            }
            Cell::Unwrapped(text) => {
                self.sheet.write_string_with_format(self.row, column, short_enough(text), &self.styles.unwrapped)?;
            }
            Cell::Figure(figure) => {
                let figure = decimal(*figure).round_dp(FIGURE_DECIMALS).to_f64().unwrap_or_default();
                self.sheet.write_number_with_format(self.row, column, figure, &self.styles.figure)?;
            }
            Cell::Money(amount) => {
                self.sheet.write_number_with_format(self.row, column, number(*amount), &self.styles.money)?;
            }
            Cell::Empty => {}
        }
        Ok(())
    }

    /// A total: the formula that gives it, and what it gives. Where the formula would not give the estimate's own
    /// figure, the figure stands alone: the document prevails over the sheet.
    pub(super) fn total(&mut self, column: u16, formula: &str, gives: Money, figure: Money) -> Written {
        self.sum(column, formula, (gives, figure), &self.styles.total_money)
    }

    /// As [`SheetPen::total`], for a part of a total further down.
    pub(super) fn part(&mut self, column: u16, formula: &str, gives: Money, figure: Money) -> Written {
        self.sum(column, formula, (gives, figure), &self.styles.money)
    }

    fn sum(&mut self, column: u16, formula: &str, (gives, figure): (Money, Money), style: &Format) -> Written {
        if gives == figure {
            let formula = Formula::new(formula).set_result(figure.to_string());
            self.sheet.write_formula_with_format(self.row, column, formula, style)?;
        } else {
            self.sheet.write_number_with_format(self.row, column, number(figure), style)?;
        }
        Ok(())
    }

    pub(super) fn total_label(&mut self, column: u16, label: &str) -> Written {
        self.sheet.write_string_with_format(self.row, column, short_enough(label), &self.styles.total_text)?;
        Ok(())
    }

    pub(super) fn skip(&mut self) {
        self.row += 1;
    }
}

/// The number nearest to an amount: a cell holds no decimals, and at two places the nearest number shows the same.
fn number(amount: Money) -> f64 {
    amount.exact().to_f64().unwrap_or_default()
}

/// Text cut at what a cell holds (32,767 characters).
fn short_enough(text: &str) -> String {
    const CELL_CHARACTERS_MAX: usize = 32_767;
    text.chars().take(CELL_CHARACTERS_MAX).collect()
}
