//! Tables as text: a guarded CSV reader whose lines cannot grow without bound, and whose faults carry line numbers.

use crate::say::say;
use crate::weather::columns::{Found, Holds, TemperatureUnit, list};
use crate::weather::day::{self, shorten};
use crate::weather::error::InputError;
use std::io::BufRead;

/// Longest line that is read, bytes. A weather row is a few dozen; anything longer is no table of ours.
pub const LONGEST_LINE: usize = 65_536;

/// What the user says of a table.
#[derive(Clone, Debug, Default)]
pub struct ReadOptions {
    /// Unit of the temperatures.
    pub unit: Option<TemperatureUnit>,
    /// Station to keep, when the file holds several.
    pub station: Option<String>,
    /// Hours to add to times marked UTC, so that days are local days.
    pub utc_offset_h: Option<f64>,
    /// Whether the user has looked at a jump that resembles a change of unit and says it is real.
    pub accept_jumps: bool,
    /// Columns by the name that the user gives.
    pub named: Vec<(Holds, String)>,
}

/// Column names of the daily files that national networks publish without any: one row for each station, day and element.
const NATIONAL: [&str; 8] = [
    "station", "date", "element", "value", "m_flag", "q_flag", "s_flag", "time",
];

/// A table that is read row by row; one row is one line, and one line is all that is held.
pub struct Table<R: BufRead> {
    file: String,
    header: Vec<String>,
    header_line: u64,
    lines: Lines<R>,
    cells: Cells,
    /// Whether the first row is one of data, and whether it is still to be handed out.
    headless: bool,
    first_waits: bool,
}

impl<R: BufRead> Table<R> {
    /// Opens a table: finds the header row and the character between the columns (comma, semicolon or tab).
    ///
    /// Empty lines and lines that begin with `#` are passed over. A national daily file has no row of names and needs none.
    ///
    /// # Errors
    /// An empty file, a line that is too long, and bytes that are no text.
    pub fn open(file: &str, source: R) -> Result<Self, InputError> {
        let mut lines = Lines {
            source,
            line: 0,
            text: Vec::new(),
        };
        if !lines.advance(file)? {
            return Err(InputError::file(file, say!("table.empty")));
        }
        if lines.text.contains(&0) {
            return Err(InputError::file(file, say!("table.no-text")));
        }
        if lines.text.starts_with(b"\xef\xbb\xbf") {
            lines.text.drain(..3);
        }
        let delimiter = [b',', b';', b'\t']
            .into_iter()
            .max_by_key(|d| (how_many(&lines.text, *d), u8::from(*d == b',')))
            .unwrap_or(b',');
        let mut cells = Cells {
            delimiter,
            ..Cells::default()
        };
        cells
            .split(&lines.text)
            .map_err(|what| InputError::line(file, lines.line, what))?;
        let mut header: Vec<String> = (0..cells.ends.len())
            .map(|i| String::from_utf8_lossy(cells.bytes(i)).trim().to_string())
            .collect();
        let headless = is_national(&header);
        if headless {
            header = NATIONAL.map(String::from).to_vec();
        }
        Ok(Self {
            file: file.into(),
            header,
            header_line: lines.line,
            lines,
            cells,
            headless,
            first_waits: headless,
        })
    }

    /// Whether this is a national daily file without column names.
    pub fn headless(&self) -> bool {
        self.headless
    }

    /// Column names as written.
    pub fn header(&self) -> &[String] {
        &self.header
    }

    /// The file's name.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Column names in one list for a message.
    pub fn header_words(&self) -> String {
        list(&self.header)
    }

    /// A fault of the header row.
    pub fn header_fault(&self, what: impl Into<String>) -> InputError {
        InputError::line(&self.file, self.header_line, what)
    }

    /// A fault at a line.
    pub fn fault(&self, line: u64, what: impl Into<String>) -> InputError {
        InputError::line(&self.file, line, what)
    }

    /// A fault of the whole file.
    pub fn file_fault(&self, what: impl Into<String>) -> InputError {
        InputError::file(&self.file, what)
    }

    /// The next row, or `None` at the end.
    ///
    /// # Errors
    /// A line that is too long, or a quote mark that is not closed on its line.
    pub fn next_row(&mut self) -> Result<Option<Row<'_>>, InputError> {
        if !std::mem::take(&mut self.first_waits) && !self.lines.advance(&self.file)? {
            return Ok(None);
        }
        let line = self.lines.line;
        self.cells
            .split(&self.lines.text)
            .map_err(|what| InputError::line(&self.file, line, what))?;
        Ok(Some(Row {
            cells: &self.cells,
            line,
        }))
    }
}

/// Lines of bounded length.
struct Lines<R> {
    source: R,
    line: u64,
    text: Vec<u8>,
}

impl<R: BufRead> Lines<R> {
    /// Moves to the next line that is neither empty nor a comment; `false` at the end.
    fn advance(&mut self, file: &str) -> Result<bool, InputError> {
        loop {
            self.text.clear();
            let ended = self.read_line(file)?;
            let content = self.text.trim_ascii();
            if !content.is_empty() && content[0] != b'#' {
                return Ok(true);
            }
            if ended {
                return Ok(false);
            }
        }
    }

    /// Reads one line without its end; `true` when the source is exhausted.
    fn read_line(&mut self, file: &str) -> Result<bool, InputError> {
        self.line += 1;
        loop {
            let chunk = match self.source.fill_buf() {
                Ok(chunk) => chunk,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(error) => {
                    let what = say!("table.unreadable", error);
                    return Err(InputError::line(file, self.line, what));
                }
            };
            let end = chunk.iter().position(|b| *b == b'\n');
            let taken = end.unwrap_or(chunk.len());
            if self.text.len() + taken > LONGEST_LINE {
                let what = say!("table.long-line", longest = LONGEST_LINE);
                return Err(InputError::line(file, self.line, what));
            }
            self.text.extend_from_slice(&chunk[..taken]);
            let exhausted = chunk.is_empty();
            self.source.consume(taken + usize::from(end.is_some()));
            if exhausted || end.is_some() {
                if self.text.last() == Some(&b'\r') {
                    self.text.pop();
                }
                return Ok(exhausted);
            }
        }
    }
}

/// How often a byte stands in a text.
fn how_many(text: &[u8], byte: u8) -> usize {
    text.iter().map(|b| usize::from(*b == byte)).sum()
}

/// The cells of one line.
#[derive(Default)]
struct Cells {
    delimiter: u8,
    text: Vec<u8>,
    ends: Vec<usize>,
}

impl Cells {
    /// Splits a line; a line with quote marks goes through the CSV library, which knows their rules.
    fn split(&mut self, line: &[u8]) -> Result<(), String> {
        self.text.clear();
        self.ends.clear();
        if !line.contains(&b'"') {
            let delimiter = self.delimiter;
            for cell in line.split(|b| *b == delimiter) {
                self.push(cell);
            }
            return Ok(());
        }
        if how_many(line, b'"') % 2 == 1 {
            return Err(say!("table.open-quote"));
        }
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(self.delimiter)
            .has_headers(false)
            .from_reader(line);
        let mut record = csv::ByteRecord::new();
        match reader.read_byte_record(&mut record) {
            Ok(_) => record.iter().for_each(|cell| self.push(cell)),
            Err(error) => return Err(say!("table.unreadable-row", error)),
        }
        Ok(())
    }

    fn push(&mut self, cell: &[u8]) {
        self.text.extend_from_slice(cell);
        self.ends.push(self.text.len());
    }

    fn bytes(&self, column: usize) -> &[u8] {
        match self.ends.get(column) {
            Some(&end) => &self.text[column.checked_sub(1).map_or(0, |i| self.ends[i])..end],
            None => b"",
        }
    }
}

/// One row.
pub struct Row<'a> {
    cells: &'a Cells,
    line: u64,
}

impl Row<'_> {
    /// Line in the file, counted from 1.
    pub fn line(&self) -> u64 {
        self.line
    }

    /// A cell as text, trimmed; empty when the row is too short.
    pub fn text(&self, column: usize) -> &str {
        let text = std::str::from_utf8(self.cells.bytes(column));
        text.unwrap_or("\u{fffd}").trim()
    }

    /// A number, or `None` for a cell that says "missing".
    ///
    /// # Errors
    /// When the cell holds something that is no number.
    pub fn number(&self, column: usize) -> Result<Option<f64>, String> {
        let text = self.text(column);
        if is_missing(text) {
            return Ok(None);
        }
        let comma = self.cells.delimiter == b';' && text.contains(',');
        let pointed = comma.then(|| text.replace(',', "."));
        match pointed.as_deref().unwrap_or(text).parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(Some(value).filter(|v| !MISSING.contains(v))),
            _ => Err(say!("table.no-number", text = shorten(text))),
        }
    }

    /// The number of a column, whose name stands in the fault.
    ///
    /// # Errors
    /// As [`Row::number`].
    pub fn value(&self, column: &Found) -> Result<Option<f64>, String> {
        self.number(column.index)
            .map_err(|what| say!("table.column", name = shorten(&column.name), what))
    }
}

/// The rows of one station: the one asked for, or the only one.
pub struct Station<'a> {
    column: Option<usize>,
    wanted: Option<&'a str>,
    first: Option<String>,
    others: bool,
}

impl<'a> Station<'a> {
    /// The station of a table whose column of stations, if any, is known.
    pub fn new(column: Option<&Found>, options: &'a ReadOptions) -> Self {
        Self {
            column: column.map(|found| found.index),
            wanted: options.station.as_deref(),
            first: None,
            others: false,
        }
    }

    /// Whether a row belongs to it.
    ///
    /// # Errors
    /// When there are several stations and none is asked for.
    pub fn has(&mut self, row: &Row<'_>) -> Result<bool, String> {
        let Some(name) = self.column.map(|column| row.text(column)) else {
            return Ok(true);
        };
        if let Some(wanted) = self.wanted {
            let has = name == wanted;
            self.first = self.first.take().or(has.then(|| name.to_owned()));
            self.others |= !has;
            return Ok(has);
        }
        let first = self.first.get_or_insert_with(|| name.to_string());
        if first == name {
            return Ok(true);
        }
        let (one, other) = (shorten(first), shorten(name));
        Err(say!("table.stations", one, other))
    }

    /// Why no row was left: the station asked for is not there, or there are no rows at all.
    pub fn none(&self, no_rows: &str) -> String {
        match self.wanted {
            Some(wanted) if self.others && self.first.is_none() => {
                say!("table.no-station", name = shorten(wanted))
            }
            _ => say!(no_rows),
        }
    }
}

/// Whether the cells are a station, a day, an element and a whole number, as in the daily files of national networks.
fn is_national(cells: &[String]) -> bool {
    let [station, date, element, value, ..] = cells else {
        return false;
    };
    let name = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit();
    !station.is_empty()
        && date.len() == 8
        && day::read(date).is_ok()
        && element.len() == 4
        && element.starts_with(|c: char| c.is_ascii_uppercase())
        && element.chars().all(name)
        && value.parse::<i64>().is_ok()
}

/// Words that stand for a missing value.
fn is_missing(text: &str) -> bool {
    let words = [
        "", "-", "--", "?", "m", "na", "n/a", "nan", "null", "none", "missing",
    ];
    words.iter().any(|word| text.eq_ignore_ascii_case(word))
}

/// Numbers that stand for a missing value in station files.
const MISSING: [f64; 8] = [
    -9999.0, -999.9, -999.0, -99.99, 999.9, 9999.0, 9999.9, 99999.0,
];
