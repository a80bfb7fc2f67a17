//! Tables as spreadsheets write them: with or without a byte-order mark, comma, semicolon or tab between the cells, any
//! kind of line end, blank lines anywhere. Every row is known by the line that it starts in.

use csv::StringRecord;

use crate::faults::CellFault;

/// The text of a table, without its byte-order mark.
///
/// # Errors
/// A fault at the first character that is not UTF-8.
pub(crate) fn text(bytes: &[u8]) -> Result<&str, CellFault> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let row = 1 + line_ends(bytes.get(..error.valid_up_to()).unwrap_or_default());
        let detail = "a character is not UTF-8; save the table as 'CSV UTF-8' and send it again".to_owned();
        CellFault { row, column: None, detail }
    })
}

/// What was found, short enough to be read in a fault.
pub(crate) fn shown(text: &str) -> String {
    text.chars().filter(|character| !character.is_control()).take(40).collect()
}

/// The rows that hold anything, each with the line that it starts in.
pub(crate) struct Rows<'a> {
    text: &'a [u8],
    reader: csv::Reader<&'a [u8]>,
    counted_to: usize,
    line: u64,
}

impl<'a> Rows<'a> {
    pub(crate) fn new(text: &'a str, separator: u8) -> Self {
        let reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(separator)
            .from_reader(text.as_bytes());
        Self { text: text.as_bytes(), reader, counted_to: 0, line: 1 }
    }

    /// The line of the first byte at or after `start` that does not end a line. Counted here, because the reader
    /// puts a record that follows blank lines at the first of them.
    fn line_at(&mut self, start: u64) -> u64 {
        let rest = self.text.iter().skip(usize::try_from(start).unwrap_or(usize::MAX));
        let blank = rest.take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
        let end = usize::try_from(start).unwrap_or(usize::MAX).saturating_add(blank);
        self.line += line_ends(self.text.get(self.counted_to..end).unwrap_or_default());
        self.counted_to = end.max(self.counted_to);
        self.line
    }
}

impl Iterator for Rows<'_> {
    type Item = (u64, StringRecord);

    fn next(&mut self) -> Option<Self::Item> {
        let mut cells = StringRecord::new();
        loop {
            // The text is UTF-8 in memory and rows may be of any length, so the only end is the end of the text.
            if !self.reader.read_record(&mut cells).unwrap_or(false) {
                return None;
            }
            if cells.iter().any(|cell| !cell.trim().is_empty()) {
                let start = cells.position().map_or(0, csv::Position::byte);
                return Some((self.line_at(start), cells));
            }
        }
    }
}

/// The separator under which the heading names the most columns; the comma where none does.
pub(crate) fn separator(text: &str, is_heading: impl Fn(&str) -> bool) -> u8 {
    let named = |separator: u8| {
        let first = Rows::new(text, separator).next();
        first.map_or(0, |(_, cells)| cells.iter().filter(|cell| is_heading(cell)).count())
    };
    [b',', b';', b'\t'].into_iter().rev().max_by_key(|separator| named(*separator)).unwrap_or(b',')
}

/// Line ends of any kind: LF, CR LF, or CR alone.
pub(crate) fn line_ends(bytes: &[u8]) -> u64 {
    let ends = bytes.iter().enumerate().filter(|(index, byte)| match byte {
        b'\n' => true,
        b'\r' => bytes.get(index + 1) != Some(&b'\n'),
        _ => false,
    });
    ends.count() as u64
}
