//! Where each part of a JSON text stands: line of every path, and keys written twice.

use jsonc_parser::ast::Value;
use jsonc_parser::common::Ranged;
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};
use std::collections::BTreeMap;

/// Lines of all JSON paths of a text, and its duplicate keys.
#[derive(Debug, Default)]
pub(crate) struct Places {
    lines: BTreeMap<String, usize>,
    /// Paths of keys written more than once in the same object, with the line of the second.
    pub(crate) duplicates: Vec<(String, usize)>,
}

impl Places {
    /// Scans a text that is known to be valid JSON; knows no place in any other.
    pub(crate) fn of(text: &str) -> Places {
        let mut places = Places::default();
        let tree = parse_to_ast(text, &CollectOptions::default(), &ParseOptions::default());
        if let Some(value) = tree.ok().and_then(|tree| tree.value) {
            let breaks: Vec<usize> = text.match_indices('\n').map(|(at, _)| at).collect();
            places.take("", &value, &breaks);
        }
        places
    }

    fn take(&mut self, path: &str, value: &Value, breaks: &[usize]) {
        let line = |at: usize| 1 + breaks.partition_point(|&b| b < at);
        let known = self.lines.entry(path.to_owned());
        known.or_insert(line(value.range().start));
        match value {
            Value::Object(object) => {
                let mut seen = std::collections::BTreeSet::new();
                for property in &object.properties {
                    let inner = member(path, property.name.as_str());
                    let line = line(property.range.start);
                    if seen.insert(inner.clone()) {
                        self.lines.insert(inner.clone(), line);
                    } else {
                        self.duplicates.push((inner.clone(), line));
                    }
                    self.take(&inner, &property.value, breaks);
                }
            }
            Value::Array(array) => {
                for (index, element) in array.elements.iter().enumerate() {
                    self.take(&format!("{path}[{index}]"), element, breaks);
                }
            }
            _ => {}
        }
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
