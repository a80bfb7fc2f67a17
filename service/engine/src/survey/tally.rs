//! A tally kept as a table: rooms down the side, what is wanted in each, how many.
//!
//! In: CSV in UTF-8 with the heading `room,point,count` and any of `storey`, `floor`, `finish`, `priority`, these and the words
//! below them as people write them too (`Qty`, `Double socket`);
//! comma, semicolon or tab between the cells, as the heading shows. Out: the same [`EstimateRequest`] that a JSON
//! survey gives, or every fault at once with its row and column. A line `scope,addition` before the heading says what kind of
//! job it is, as `?scope=` does over HTTP. A tally says nothing of gangs, positions or
//! fabric; that stays unknown. Work grows with the bytes, and with rows times the kinds of point in one room.

use std::collections::BTreeMap;

use csv::StringRecord;
use wiring::closed_list;

use super::tally_names;
use super::{
    EstimateRequest, Finish, Floor, FloorConstruction, Point, PointType, Priority, Room, Scope, Survey, rules,
};
pub use crate::faults::CellFault as TallyFault;
use crate::faults::nearest;
use crate::limits::{
    FAULTS_LISTED_MAX, IDENTIFIER_CHARACTERS_MAX, POINT_COUNT_MAX, ROOM_ENTRIES_MAX, ROOMS_MAX, TALLY_ROWS_MAX,
};
use crate::table::spreadsheet::{self, Rows, separator, shown};

closed_list! {
    /// The columns of a tally. The first three have to be there.
    Column {
        Room = "room": "The room's name.",
        Point = "point": "What is wanted, by its word.",
        Count = "count": "How many.",
        Storey = "storey": "The storey that the room is on.",
        Floor = "floor": "How the room's floor is made.",
        Finish = "finish": "The look of the accessory.",
        Priority = "priority": "How much it is wanted.",
    }
}

const REQUIRED: [Column; 3] = [Column::Room, Column::Point, Column::Count];

/// The words for storeys that stand for themselves where a survey lists no storeys, see [`rules::usual_level`].
pub(super) const STOREYS: [&str; 7] = ["cellar", "basement", "ground", "first", "second", "third", "loft"];

/// Reads a tally.
///
/// # Errors
/// Every fault at once, at most [`FAULTS_LISTED_MAX`], in the order of the rows.
pub fn read(bytes: &[u8]) -> Result<EstimateRequest, Vec<TallyFault>> {
    read_as(bytes, None)
}

/// Reads a tally as a job of that kind; none where nobody said.
///
/// # Errors
/// As [`read`].
pub fn read_as(bytes: &[u8], scope: Option<Scope>) -> Result<EstimateRequest, Vec<TallyFault>> {
    let text = spreadsheet::text(bytes).map_err(|fault| vec![fault])?;
    let mut tally = Tally { scope, ..Tally::default() };
    let text = tally.scope_line(text);
    if let Some(rows) = tally.heading(text) {
        tally.rows(rows);
    }
    tally.finish()
}

fn column_named(cell: &str) -> Option<Column> {
    Column::from_word(&cell.trim().to_lowercase()).or_else(|| tally_names::column(cell))
}

/// One cell of the heading.
#[derive(Clone, Copy, PartialEq, Eq)]
enum TallyHeading {
    Column(Column),
    /// A name that no column has: a fault of its own, so the cells below it are let be.
    Unknown,
    /// Nothing, as a spreadsheet writes an unused column.
    Blank,
}

/// Where the parts of a room were written.
struct Origin {
    row: u64,
    storey: Option<u64>,
    floor: Option<u64>,
    points: Vec<u64>,
}

/// A tally while it is read.
#[derive(Default)]
struct Tally {
    /// The kind of job.
    scope: Option<Scope>,
    /// Rows before those that are read.
    before: u64,
    heading_row: u64,
    /// What each cell of a row stands under.
    headings: Vec<TallyHeading>,
    rooms: Vec<Room>,
    origins: Vec<Origin>,
    /// Rooms by name, without regard to capitals and spaces.
    by_name: BTreeMap<String, usize>,
    faults: Vec<TallyFault>,
}

impl Tally {
    fn fault(&mut self, row: u64, column: Option<Column>, detail: String) {
        self.faults.push(TallyFault { row, column: column.map(|column| column.word().to_owned()), detail });
    }

    /// Reads the line that says what kind of job it is, where there is one; gives what comes after it.
    fn scope_line<'a>(&mut self, text: &'a str) -> &'a str {
        let (line, rest) = text.split_once('\n').unwrap_or((text, ""));
        let mut cells = line.split([',', ';', '\t']).map(|cell| cell.trim().trim_matches('"'));
        if !cells.next().is_some_and(|cell| cell.eq_ignore_ascii_case("scope")) {
            return text;
        }
        self.before = 1;
        let written = cells.next().unwrap_or_default();
        let said = Scope::from_word(written);
        match (said, self.scope) {
            (Some(said), None) => self.scope = Some(said),
            (Some(said), Some(asked)) if said == asked => {}
            (Some(said), Some(asked)) => {
                let detail = format!("the tally says `{said}` and the request `{asked}`; give one of them");
                self.faults.push(TallyFault { row: 1, column: Some("scope".to_owned()), detail });
            }
            (None, _) => {
                let words = Scope::ALL.iter().map(|scope| scope.word()).collect::<Vec<_>>().join(", ");
                let detail = format!("`{}` is no kind of job; accepted: {words}", shown(written));
                self.faults.push(TallyFault { row: 1, column: Some("scope".to_owned()), detail });
            }
        }
        rest
    }

    /// Reads the heading; gives the rows below it, if it names enough to read them by.
    fn heading<'a>(&mut self, text: &'a str) -> Option<Rows<'a>> {
        let mut rows = Rows::new(text, separator(text, |cell| column_named(cell).is_some()));
        let Some((row, cells)) = rows.next() else {
            self.fault(1 + self.before, None, "the tally is empty; its first line reads room,point,count".to_owned());
            return None;
        };
        let row = row + self.before;
        self.heading_row = row;
        for cell in &cells {
            if self.faults.len() >= FAULTS_LISTED_MAX {
                return None;
            }
            let heading = match column_named(cell) {
                Some(column) => TallyHeading::Column(column),
                None if cell.trim().is_empty() => TallyHeading::Blank,
                None => TallyHeading::Unknown,
            };
            match heading {
                TallyHeading::Column(twice) if self.headings.contains(&heading) => {
                    self.fault(row, Some(twice), format!("the column `{twice}` is there twice; keep one"));
                }
                TallyHeading::Unknown => self.unknown_column(row, cell.trim()),
                TallyHeading::Column(_) | TallyHeading::Blank => {}
            }
            self.headings.push(heading);
        }
        let there = |column: &Column| self.headings.contains(&TallyHeading::Column(*column));
        let missing: Vec<Column> = REQUIRED.into_iter().filter(|column| !there(column)).collect();
        for column in &missing {
            let detail = format!("the column `{column}` is missing; the heading reads room,point,count");
            self.fault(row, Some(*column), detail);
        }
        (missing.len() < REQUIRED.len()).then_some(rows)
    }

    fn unknown_column(&mut self, row: u64, name: &str) {
        let words = Column::ALL.iter().map(|column| column.word());
        let mend = match nearest(name, words.clone()) {
            Some(meant) => format!("; did you mean `{meant}`?"),
            None => format!("; leave it out, or use one of {}", words.collect::<Vec<_>>().join(", ")),
        };
        let detail = format!("there is no column `{}`{mend}", shown(name));
        self.faults.push(TallyFault { row, column: Some(shown(name)), detail });
    }

    fn rows(&mut self, rows: Rows<'_>) {
        let before = self.before;
        for (read, (row, cells)) in rows.map(|(row, cells)| (row + before, cells)).enumerate() {
            if read == TALLY_ROWS_MAX {
                self.fault(row, None, format!("more than {TALLY_ROWS_MAX} rows; split the tally"));
                return;
            }
            self.row(row, &cells);
            if self.faults.len() >= FAULTS_LISTED_MAX {
                return;
            }
        }
    }

    fn row(&mut self, row: u64, cells: &StringRecord) {
        self.cells_without_heading(row, cells);
        let named = self.cell(cells, Column::Point).and_then(tally_names::point);
        let point_type = match named {
            Some((point_type, _)) => Some(point_type),
            None => self.word(row, cells, Column::Point, PointType::ALL, PointType::word),
        };
        let count = self.count(row, cells);
        let finish = self.word(row, cells, Column::Finish, Finish::ALL, Finish::word);
        let priority = self.word(row, cells, Column::Priority, Priority::ALL, Priority::word);
        let storey = match self.cell(cells, Column::Storey).and_then(tally_names::storey) {
            Some(storey) => Some(storey),
            None => self.word(row, cells, Column::Storey, &STOREYS, |word| word),
        };
        let floor = self.word(row, cells, Column::Floor, FloorConstruction::ALL, FloorConstruction::word);
        let Some(room) = self.room(row, cells) else { return };
        self.place(row, room, storey, floor);
        if let (Some(point_type), Some(count)) = (point_type, count) {
            let gangs = named.and_then(|(_, gangs)| gangs);
            let wanted = Point { count: Some(count), finish, priority, gangs, ..bare_point(point_type) };
            self.add(row, room, wanted);
        }
    }

    /// The cell of a row under a heading, without the spaces round it; `None` where the heading does not name it.
    fn cell<'c>(&self, cells: &'c StringRecord, column: Column) -> Option<&'c str> {
        let index = self.headings.iter().position(|heading| *heading == TallyHeading::Column(column))?;
        Some(cells.get(index).unwrap_or_default().trim())
    }

    fn cells_without_heading(&mut self, row: u64, cells: &StringRecord) {
        let headless = cells.iter().enumerate().any(|(index, cell)| {
            let heading = self.headings.get(index).copied().unwrap_or(TallyHeading::Blank);
            heading == TallyHeading::Blank && !cell.trim().is_empty()
        });
        if headless {
            let detail = "a cell of this row stands under no heading; give its column a name, or put a cell that holds a \
                          separator in quotation marks";
            self.fault(row, None, detail.to_owned());
        }
    }

    /// The value on a closed list that a cell names. An empty cell is unknown, or a fault in a column that has to
    /// be filled.
    fn word<T: Copy>(
        &mut self,
        row: u64,
        cells: &StringRecord,
        column: Column,
        accepted: &[T],
        word_of: fn(T) -> &'static str,
    ) -> Option<T> {
        let written = self.cell(cells, column)?;
        if written.is_empty() {
            if REQUIRED.contains(&column) {
                self.fault(row, Some(column), format!("`{column}` is empty; give its word"));
            }
            return None;
        }
        let found = accepted.iter().copied().find(|value| word_of(*value) == written);
        if found.is_none() {
            let words = accepted.iter().map(|value| word_of(*value));
            let mend = match nearest(written, words.clone()) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None => format!("accepted: {}", words.collect::<Vec<_>>().join(", ")),
            };
            self.fault(row, Some(column), format!("`{}` is not known here; {mend}", shown(written)));
        }
        found
    }

    fn count(&mut self, row: u64, cells: &StringRecord) -> Option<u32> {
        let written = self.cell(cells, Column::Count)?;
        // A spreadsheet writes six as `6.0` where its column shows decimals.
        let whole = written.split_once('.').map_or(written, |(whole, rest)| {
            if !rest.is_empty() && rest.bytes().all(|byte| byte == b'0') { whole } else { written }
        });
        let digits = !whole.is_empty() && whole.bytes().all(|byte| byte.is_ascii_digit());
        let count = whole.parse().ok().filter(|count: &u32| digits && *count <= POINT_COUNT_MAX);
        if count.is_none() {
            let found = if written.is_empty() { "empty".to_owned() } else { shown(written) };
            let detail = format!("`count` is {found}; give a whole number from 0 to {POINT_COUNT_MAX}");
            self.fault(row, Some(Column::Count), detail);
        }
        count
    }

    /// The room that a row belongs to: one met before, or a new one.
    fn room(&mut self, row: u64, cells: &StringRecord) -> Option<usize> {
        let name = self.cell(cells, Column::Room)?;
        if let Some(fault) = name_fault(name) {
            self.fault(row, Some(Column::Room), fault);
            return None;
        }
        let folded = name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        if let Some(known) = self.by_name.get(&folded).copied() {
            let (first, first_row) = (&self.rooms[known].id, self.origins[known].row);
            if first != name {
                let detail = format!(
                    "`{name}` differs from `{first}` in row {first_row} only by capitals or spaces; write one room one way"
                );
                self.fault(row, Some(Column::Room), detail);
            }
            return Some(known);
        }
        if self.rooms.len() == ROOMS_MAX {
            self.fault(row, Some(Column::Room), format!("more than {ROOMS_MAX} rooms; split the tally"));
            return None;
        }
        self.by_name.insert(folded, self.rooms.len());
        self.rooms.push(bare_room(name));
        self.origins.push(Origin { row, storey: None, floor: None, points: Vec::new() });
        Some(self.rooms.len() - 1)
    }

    /// Notes where a room is and how its floor is made; two rows may not disagree.
    fn place(&mut self, row: u64, room: usize, storey: Option<&'static str>, floor: Option<FloorConstruction>) {
        if let Some(storey) = storey {
            let known = self.rooms[room].storey.get_or_insert_with(|| storey.to_owned()).clone();
            let first = *self.origins[room].storey.get_or_insert(row);
            if known != storey {
                self.disagreement(row, Column::Storey, storey, &known, first);
            }
        }
        if let Some(floor) = floor {
            let known = *self.rooms[room].floor.get_or_insert_with(Floor::default).construction.get_or_insert(floor);
            let first = *self.origins[room].floor.get_or_insert(row);
            if known != floor {
                self.disagreement(row, Column::Floor, floor.word(), known.word(), first);
            }
        }
    }

    fn disagreement(&mut self, row: u64, column: Column, here: &str, there: &str, first: u64) {
        let detail =
            format!("`{here}`, but row {first} has `{there}` for the same room; give one, or leave this empty");
        self.fault(row, Some(column), detail);
    }

    /// Adds points to a room. What is alike in kind, finish and priority is one entry.
    fn add(&mut self, row: u64, room: usize, wanted: Point) {
        let alike = |entry: &&mut Point| Point { count: wanted.count, ..(**entry).clone() } == wanted;
        if let Some(entry) = self.rooms[room].points.iter_mut().find(alike) {
            let sum = entry.count.unwrap_or(1) + wanted.count.unwrap_or(1);
            entry.count = Some(sum.min(POINT_COUNT_MAX));
            if sum > POINT_COUNT_MAX {
                let detail = format!(
                    "with the rows above this makes {sum} of `{}` in one room; give at most {POINT_COUNT_MAX}",
                    wanted.point_type
                );
                self.fault(row, Some(Column::Count), detail);
            }
        } else if self.rooms[room].points.len() == ROOM_ENTRIES_MAX {
            let detail = format!("more than {ROOM_ENTRIES_MAX} kinds of point in one room; split the room");
            self.fault(row, Some(Column::Point), detail);
        } else {
            self.rooms[room].points.push(wanted);
            self.origins[room].points.push(row);
        }
    }

    fn finish(mut self) -> Result<EstimateRequest, Vec<TallyFault>> {
        let request = request(std::mem::take(&mut self.rooms), self.scope);
        // The rules of the whole survey say something only of rows that can each be read.
        if self.faults.is_empty() {
            for fault in rules::faults(&request) {
                let row = self.row_of(&fault.pointer);
                self.fault(row, None, fault.detail);
            }
        }
        if self.faults.is_empty() {
            return Ok(request);
        }
        self.faults.sort();
        self.faults.truncate(FAULTS_LISTED_MAX);
        Err(self.faults)
    }

    /// The row that `/survey/rooms/3/points/1/…` was written in; the heading's where no room is meant.
    fn row_of(&self, pointer: &str) -> u64 {
        let mut indices = pointer.split('/').filter_map(|token| token.parse::<usize>().ok());
        let Some(origin) = indices.next().and_then(|room| self.origins.get(room)) else { return self.heading_row };
        indices.next().and_then(|point| origin.points.get(point)).copied().unwrap_or(origin.row)
    }
}

/// What is wrong with a room's name, if anything is.
fn name_fault(name: &str) -> Option<String> {
    let characters = name.chars().count();
    if name.is_empty() {
        Some("`room` is empty; give the room's name in every row".to_owned())
    } else if name.chars().any(char::is_control) {
        Some("`room` holds a line end or another control character; was a quotation mark left open?".to_owned())
    } else if characters > IDENTIFIER_CHARACTERS_MAX {
        Some(format!("`room` has {characters} characters; give at most {IDENTIFIER_CHARACTERS_MAX}"))
    } else {
        None
    }
}

fn bare_room(name: &str) -> Room {
    Room {
        id: name.to_owned(),
        name: Some(name.to_owned()),
        room_use: None,
        storey: None,
        outline: None,
        corners: Vec::new(),
        height_m: None,
        floor: None,
        ceiling: None,
        wall: None,
        tiled: None,
        occupancy: None,
        surface_wiring: None,
        units_stay: None,
        combustion_appliance: None,
        wall_insulation: None,
        openings: Vec::new(),
        above: None,
        below: None,
        baths: Vec::new(),
        points: Vec::new(),
        appliances: Vec::new(),
    }
}

fn bare_point(point_type: PointType) -> Point {
    Point {
        point_type,
        count: None,
        at: None,
        wall: None,
        along_m: None,
        height_m: None,
        gangs: None,
        length_m: None,
        finish: None,
        supplied_by: None,
        weight_kg: None,
        priority: None,
        stays: None,
        existing_reuse: None,
        note: None,
    }
}

fn request(rooms: Vec<Room>, scope: Option<Scope>) -> EstimateRequest {
    let survey = Survey {
        reference: None,
        note: None,
        scope,
        site: None,
        rooms,
        obstructions: Vec::new(),
        intake: None,
        consumer_unit: None,
        signal_hub: None,
        services: None,
        outbuildings: Vec::new(),
        supply: None,
        existing: None,
        future: Vec::new(),
        preferences: None,
        circuits: Vec::new(),
    };
    EstimateRequest { survey, rate_sheet: None, method: None, terms: None }
}
