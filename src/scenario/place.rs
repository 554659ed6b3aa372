//! Where each part of a JSON text stands: line of every path, and keys written twice.

use std::collections::{BTreeMap, BTreeSet};

/// Lines of all JSON paths of a text, and its duplicate keys.
#[derive(Debug, Default)]
pub(crate) struct Places {
    lines: BTreeMap<String, usize>,
    /// Paths of keys written more than once in the same object, with the line of the second.
    pub(crate) duplicates: Vec<(String, usize)>,
}

impl Places {
    /// Scans a text that is known to be valid JSON; stops quietly at the first thing it does not understand.
    pub(crate) fn of(text: &str) -> Places {
        let mut scan = Scan {
            bytes: text.as_bytes(),
            at: 0,
            line: 1,
            places: Places::default(),
        };
        scan.value("");
        scan.places
    }

    /// Line of a path, or of its nearest parent that is in the text; 1 for the file as a whole.
    pub(crate) fn line_of(&self, path: &str) -> usize {
        let mut path = path;
        loop {
            if let Some(line) = self.lines.get(path) {
                return *line;
            }
            match path.rfind(['.', '[']) {
                Some(cut) => path = &path[..cut],
                None => return 1,
            }
        }
    }
}

/// The path of a member of an object.
pub(crate) fn member(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_string()
    } else {
        format!("{path}.{key}")
    }
}

struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
    places: Places,
}

impl Scan<'_> {
    fn peek(&mut self) -> Option<u8> {
        while let Some(&byte) = self.bytes.get(self.at) {
            if !byte.is_ascii_whitespace() {
                return Some(byte);
            }
            if byte == b'\n' {
                self.line += 1;
            }
            self.at += 1;
        }
        None
    }

    fn value(&mut self, path: &str) -> Option<()> {
        let first = self.peek()?;
        self.places
            .lines
            .entry(path.to_string())
            .or_insert(self.line);
        match first {
            b'{' => self.object(path),
            b'[' => self.array(path),
            b'"' => self.string().map(|_| ()),
            _ => {
                while self
                    .bytes
                    .get(self.at)
                    .is_some_and(|b| !matches!(b, b',' | b'}' | b']') && !b.is_ascii_whitespace())
                {
                    self.at += 1;
                }
                Some(())
            }
        }
    }

    fn object(&mut self, path: &str) -> Option<()> {
        self.at += 1;
        let mut seen = BTreeSet::new();
        loop {
            match self.peek()? {
                b'}' => {
                    self.at += 1;
                    return Some(());
                }
                b',' => self.at += 1,
                b'"' => {
                    let line = self.line;
                    let key = self.string()?;
                    let inner = member(path, &key);
                    if seen.insert(key) {
                        self.places.lines.insert(inner.clone(), line);
                    } else {
                        self.places.duplicates.push((inner.clone(), line));
                    }
                    if self.peek()? != b':' {
                        return None;
                    }
                    self.at += 1;
                    self.value(&inner)?;
                }
                _ => return None,
            }
        }
    }

    fn array(&mut self, path: &str) -> Option<()> {
        self.at += 1;
        let mut index = 0;
        loop {
            match self.peek()? {
                b']' => {
                    self.at += 1;
                    return Some(());
                }
                b',' => self.at += 1,
                _ => {
                    self.value(&format!("{path}[{index}]"))?;
                    index += 1;
                }
            }
        }
    }

    fn string(&mut self) -> Option<String> {
        let start = self.at;
        self.at += 1;
        while let Some(&byte) = self.bytes.get(self.at) {
            match byte {
                b'\\' => self.at += 2,
                b'"' => {
                    self.at += 1;
                    return serde_json::from_slice(&self.bytes[start..self.at]).ok();
                }
                _ => self.at += 1,
            }
        }
        None
    }
}
