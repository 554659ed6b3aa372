//! Walks a JSON value along the generated schema and names every place where the two differ.

use super::error::{fault, nearest};
use super::notes::Notes;
use super::place::member;
use crate::say::{say, translated};
use crate::units::shortened;
use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// Notes unknown names, wrong types, missing fields and unknown words of `value` against `schema`.
pub(crate) fn walk(value: &Value, schema: &Value, notes: &mut Notes) {
    Walker { root: schema }.visit(value, schema, "", notes);
}

struct Walker<'a> {
    root: &'a Value,
}

impl<'a> Walker<'a> {
    fn resolve(&self, schema: &'a Value) -> &'a Value {
        let target = schema.get("$ref").and_then(Value::as_str);
        match target.and_then(|r| self.root.pointer(r.trim_start_matches('#'))) {
            Some(inner) => self.resolve(inner),
            None => schema,
        }
    }

    /// All alternatives of a schema, flattened.
    fn branches(&self, schema: &'a Value, out: &mut Vec<&'a Value>) {
        let schema = self.resolve(schema);
        let alternatives = schema.get("anyOf").or_else(|| schema.get("oneOf"));
        match alternatives.and_then(Value::as_array) {
            Some(list) => list.iter().for_each(|inner| self.branches(inner, out)),
            None => out.push(schema),
        }
    }

    fn visit(&self, value: &Value, schema: &'a Value, path: &str, notes: &mut Notes) {
        let mut all = Vec::new();
        self.branches(schema, &mut all);
        let fitting = all.iter().copied().filter(|s| accepts_type(s, value));
        let fitting: Vec<&Value> = fitting.collect();
        if fitting.is_empty() {
            let expected = self.expected(schema, &all);
            fault!(
                notes,
                path,
                "fault.found",
                found = described(value),
                expected
            );
            return;
        }
        if let Some(words) = words(&fitting) {
            check_word(value, &words, path, notes);
            return;
        }
        let tried = fitting.into_iter().map(|candidate| {
            let mut own = Notes::default();
            self.check(value, candidate, path, &mut own);
            own.faults
        });
        let least = tried.min_by_key(Vec::len);
        notes.faults.extend(least.into_iter().flatten());
    }

    fn check(&self, value: &Value, schema: &'a Value, path: &str, notes: &mut Notes) {
        match value {
            Value::Object(map) => self.check_object(map, schema, path, notes),
            Value::Array(items) => self.check_array(items, schema, path, notes),
            Value::Number(number) => check_number(number, schema, path, notes),
            _ => {}
        }
    }

    fn check_object(
        &self,
        map: &Map<String, Value>,
        schema: &'a Value,
        path: &str,
        notes: &mut Notes,
    ) {
        let properties = schema.get("properties").and_then(Value::as_object);
        let known = properties.into_iter().flat_map(Map::keys);
        let known: Vec<&str> = known.map(String::as_str).collect();
        let other = schema.get("additionalProperties");
        for (key, inner) in map {
            let inner_path = member(path, key);
            let rule = properties.and_then(|p| p.get(key));
            if let Some(rule) = rule.or_else(|| other.filter(|o| o.is_object())) {
                self.visit(inner, rule, &inner_path, notes);
            } else if other == Some(&Value::Bool(false)) {
                notes.add_near(
                    inner_path,
                    say!("fault.unknown.name", name = shortened(key)),
                    say!("fault.known-here", list = known.join(", ")),
                    nearest(key, &known),
                );
            }
        }
        let required = schema.get("required").and_then(Value::as_array);
        for name in required.into_iter().flatten().filter_map(Value::as_str) {
            if !map.contains_key(name) {
                let rule = properties.and_then(|p| p.get(name));
                let example = rule.map_or_else(String::new, |rule| self.noun(rule));
                fault!(notes, path, "fault.missing", name, example);
            }
        }
    }

    fn check_array(&self, items: &[Value], schema: &'a Value, path: &str, notes: &mut Notes) {
        let limit = |key: &str| schema.get(key).and_then(Value::as_u64);
        let n = items.len() as u64;
        if limit("minItems").is_some_and(|least| n < least)
            || limit("maxItems").is_some_and(|most| n > most)
        {
            let belong = limit("minItems").or(limit("maxItems")).unwrap_or(0);
            fault!(notes, path, "fault.list", n, belong);
            return;
        }
        if let Some(rule) = schema.get("items") {
            for (i, item) in items.iter().enumerate() {
                self.visit(item, rule, &format!("{path}[{i}]"), notes);
            }
        }
    }

    /// What belongs here, in words.
    fn expected(&self, schema: &'a Value, branches: &[&'a Value]) -> String {
        let text = self.noun(schema);
        if !text.is_empty() {
            return text;
        }
        let mut kinds: Vec<String> = Vec::new();
        for branch in branches {
            for name in types(branch).into_iter().filter(|name| *name != "null") {
                let words = type_words(name);
                if !kinds.contains(&words) {
                    kinds.push(words);
                }
            }
        }
        let either = kinds.into_iter().reduce(|a, b| say!("fault.either", a, b));
        either.unwrap_or_default()
    }

    /// The words after "Write" in the type's own description, or its JSON type.
    fn noun(&self, schema: &'a Value) -> String {
        let inner = self.resolve(schema);
        let mut described = [inner, schema].into_iter();
        let described = described.find_map(|s| proposed(s.get("description")?));
        if let Some(text) = described {
            return translated(&text).to_owned();
        }
        let first = types(inner).into_iter().next();
        first.map_or_else(String::new, type_words)
    }
}

/// The words after "Write" in a description.
fn proposed(description: &Value) -> Option<String> {
    let (_, text) = description.as_str()?.split_once("Write ")?;
    Some(text.trim_end_matches('.').replace('\n', " "))
}

/// All that a schema proposes to write.
pub(crate) fn proposals(schema: &Value, out: &mut BTreeSet<String>) {
    match schema {
        Value::Object(map) => {
            out.extend(map.get("description").and_then(proposed));
            map.values().for_each(|inner| proposals(inner, out));
        }
        Value::Array(list) => list.iter().for_each(|inner| proposals(inner, out)),
        _ => {}
    }
}

fn check_word(value: &Value, words: &[&str], path: &str, notes: &mut Notes) {
    let said = value.as_str().unwrap_or_default();
    if !words.contains(&said) {
        notes.add_near(
            path,
            say!("fault.unknown.word", name = shortened(said)),
            say!("fault.one-of", list = words.join(", ")),
            nearest(said, words),
        );
    }
}

fn check_number(number: &serde_json::Number, schema: &Value, path: &str, notes: &mut Notes) {
    let least = schema.get("minimum").and_then(Value::as_f64);
    let format = schema.get("format").and_then(Value::as_str);
    let value = number.as_f64().unwrap_or(f64::INFINITY);
    if !value.is_finite() {
        fault!(notes, path, "fault.number.too-large");
    } else if least.is_some_and(|least| value < least) {
        fault!(notes, path, "fault.number.negative", n = number);
    } else if format == Some("uint32") && value > f64::from(u32::MAX) {
        fault!(notes, path, "fault.number.large", n = number);
    }
}

fn types(schema: &Value) -> Vec<&str> {
    match schema.get("type") {
        Some(Value::String(one)) => vec![one.as_str()],
        Some(Value::Array(list)) => list.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    }
}

fn accepts_type(schema: &Value, value: &Value) -> bool {
    let list = types(schema);
    let fits = |name: &&str| match *name {
        "string" => value.is_string(),
        "number" => value.is_number(),
        "integer" => value.is_u64() || value.is_i64(),
        "boolean" => value.is_boolean(),
        "object" => value.is_object(),
        "array" => value.is_array(),
        "null" => value.is_null(),
        _ => false,
    };
    list.is_empty() || list.iter().any(fits)
}

/// The allowed words, when every alternative is a list of words.
fn words<'a>(branches: &[&'a Value]) -> Option<Vec<&'a str>> {
    let mut out = Vec::new();
    for branch in branches {
        match (branch.get("const"), branch.get("enum")) {
            (Some(Value::String(word)), _) => out.push(word.as_str()),
            (_, Some(Value::Array(list))) => out.extend(list.iter().filter_map(Value::as_str)),
            _ => return None,
        }
    }
    Some(out)
}

fn type_words(name: &str) -> String {
    const TYPES: [&str; 6] = ["string", "number", "integer", "boolean", "object", "array"];
    let known = TYPES.contains(&name);
    say!(&format!(
        "fault.type.{}",
        if known { name } else { "other" }
    ))
}

fn described(value: &Value) -> String {
    match value {
        Value::Null => say!("fault.found.nothing"),
        Value::Bool(b) => b.to_string(),
        Value::Number(n) => say!("fault.found.number", n),
        Value::String(s) => say!("fault.found.text", text = shortened(s)),
        Value::Array(list) => say!("fault.found.list", n = list.len()),
        Value::Object(_) => say!("fault.type.object"),
    }
}
