//! Plain text in columns: aligned, wrapped to the width of a terminal, without colours.

/// Columns of the terminal that the table is made for.
pub(super) const WIDTH: usize = 100;
const INDENT: usize = 2;
const GAP: usize = 2;
/// A column that gives way is never made narrower than this, in characters.
const NARROWEST: usize = 16;

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum TableColumn {
    /// Text, as wide as it is.
    Text(&'static str),
    /// Text that is wrapped where the table would be too wide.
    Wrapped(&'static str),
    /// Figures, flush right.
    Figure(&'static str),
}

impl TableColumn {
    fn title(self) -> &'static str {
        match self {
            Self::Text(title) | Self::Wrapped(title) | Self::Figure(title) => title,
        }
    }
}

enum TableRow {
    Cells(Vec<String>),
    Rule,
    Note(String),
}

/// A table: columns with titles, rows of cells, rules and notes between them.
pub(super) struct Grid {
    columns: Vec<TableColumn>,
    rows: Vec<TableRow>,
}

impl Grid {
    pub(super) fn new(columns: impl IntoIterator<Item = TableColumn>) -> Self {
        Self { columns: columns.into_iter().collect(), rows: Vec::new() }
    }

    pub(super) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(TableRow::Cells(cells.into_iter().collect()));
    }

    pub(super) fn rule(&mut self) {
        self.rows.push(TableRow::Rule);
    }

    /// A remark on the row above, over the whole width.
    pub(super) fn note(&mut self, text: String) {
        self.rows.push(TableRow::Note(text));
    }

    pub(super) fn print(self, out: &mut String) {
        let widths = self.widths();
        let ruled = widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1);
        if self.columns.iter().any(|column| !column.title().is_empty()) {
            self.line(&self.columns.iter().map(|column| column.title().to_owned()).collect::<Vec<_>>(), &widths, out);
            rule(ruled, out);
        }
        for row in &self.rows {
            match row {
                TableRow::Cells(cells) => self.line(cells, &widths, out),
                TableRow::Rule => rule(ruled, out),
                TableRow::Note(text) => hanging("      ", text, out),
            }
        }
    }

    /// As wide as the widest cell; the wrapped columns give what is too much, the first one first.
    fn widths(&self) -> Vec<usize> {
        let mut widths: Vec<usize> = self.columns.iter().map(|column| length(column.title())).collect();
        for row in &self.rows {
            if let TableRow::Cells(cells) = row {
                for (width, cell) in widths.iter_mut().zip(cells) {
                    *width = (*width).max(length(cell));
                }
            }
        }
        let total = INDENT + widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1);
        let mut over = total.saturating_sub(WIDTH);
        for (width, column) in widths.iter_mut().zip(&self.columns) {
            if matches!(column, TableColumn::Wrapped(_)) {
                let narrowed = width.saturating_sub(over).max(NARROWEST.min(*width));
                over -= *width - narrowed;
                *width = narrowed;
            }
        }
        widths
    }

    fn line(&self, cells: &[String], widths: &[usize], out: &mut String) {
        let wrapped: Vec<Vec<String>> = cells.iter().zip(widths).map(|(cell, width)| wrap(cell, *width)).collect();
        let height = wrapped.iter().map(Vec::len).max().unwrap_or(0);
        for index in 0..height {
            let mut line = " ".repeat(INDENT);
            for ((parts, width), column) in wrapped.iter().zip(widths).zip(&self.columns) {
                let part = parts.get(index).map_or("", String::as_str);
                let padding = " ".repeat(width.saturating_sub(length(part)));
                if matches!(column, TableColumn::Figure(_)) {
                    line.push_str(&padding);
                    line.push_str(part);
                } else {
                    line.push_str(part);
                    line.push_str(&padding);
                }
                line.push_str(&" ".repeat(GAP));
            }
            out.push_str(line.trim_end());
            out.push('\n');
        }
    }
}

fn rule(width: usize, out: &mut String) {
    out.push_str(&" ".repeat(INDENT));
    out.push_str(&"-".repeat(width));
    out.push('\n');
}

/// Starts a part of the document.
pub(super) fn heading(title: &str, out: &mut String) {
    out.push('\n');
    hanging("", title, out);
    out.push_str(&"=".repeat(length(title).min(WIDTH)));
    out.push('\n');
}

/// Text wrapped to the width, its further lines as far in as the first word after `start`.
pub(super) fn hanging(start: &str, text: &str, out: &mut String) {
    let indent = length(start);
    for (index, part) in wrap(text, WIDTH - indent).iter().enumerate() {
        let before = if index == 0 { start.to_owned() } else { " ".repeat(indent) };
        out.push_str(format!("{before}{part}").trim_end());
        out.push('\n');
    }
}

/// Characters, which is columns for the scripts that surveys here are written in.
fn length(text: &str) -> usize {
    text.chars().count()
}

/// Breaks between words; a word that is longer than the width is cut.
fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let mut word: Vec<char> = word.chars().collect();
        if !line.is_empty() && length(&line) + 1 + word.len() > width {
            lines.push(std::mem::take(&mut line));
        }
        while word.len() > width.max(1) {
            lines.push(word.drain(..width.max(1)).collect());
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.extend(word);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_description_is_wrapped_and_the_figures_stay_in_line() {
        let mut grid = Grid::new([TableColumn::Wrapped("What"), TableColumn::Figure("Amount")]);
        grid.row(["lift and relay boards ".repeat(8), "1,240.50".to_owned()]);
        grid.row(["tails".to_owned(), "9.00".to_owned()]);
        let mut out = String::new();
        grid.print(&mut out);

        let lines: Vec<&str> = out.lines().collect();
        assert!(lines.iter().all(|line| line.chars().count() <= WIDTH), "{out}");
        assert!(lines[2].ends_with("1,240.50") && lines[2].chars().count() == WIDTH, "{out}");
        assert!(lines.last().is_some_and(|line| line.ends_with("    9.00")), "{out}");
    }

    #[test]
    fn a_word_longer_than_the_line_is_cut_not_lost() {
        assert_eq!(wrap("ab cdefgh", 3), ["ab", "cde", "fgh"]);
        assert_eq!(wrap("", 3), [""]);
    }
}
