//! A calendar file that any calendar reads: RFC 5545, all-day events, the same bytes for the same input.

use crate::season::calendar::Entry;
use crate::season::day::plus;
use jiff::civil::Date;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Longest content line in octets, without the line break (RFC 5545, 3.1).
pub const LONGEST_LINE: usize = 75;

/// The calendar of a season.
///
/// Shape: one all-day event for each entry, in order. Identifiers come from pest, year, action and a running number of that
/// action, so a later forecast replaces the earlier one; the time stamp is the last day of the data, never the clock.
pub fn write(
    entries: &[Entry],
    pest_id: &str,
    pest_name: &str,
    data_last_day: Date,
    closing: &str,
) -> String {
    let mut text = String::new();
    let mut line = |content: String| fold(&mut text, &content);
    line("BEGIN:VCALENDAR".into());
    line("VERSION:2.0".into());
    line(format!(
        "PRODID:-//lurefield//season {}//EN",
        env!("CARGO_PKG_VERSION")
    ));
    line("CALSCALE:GREGORIAN".into());
    line(format!(
        "X-WR-CALNAME:{}",
        escape(&format!("{pest_name} season"))
    ));
    let stamp = format!("{}T000000Z", compact(data_last_day));
    let mut earlier: BTreeMap<&str, u32> = BTreeMap::new();
    for entry in entries {
        let n = earlier.entry(&entry.action).or_insert(0_u32);
        *n += 1;
        let key = format!("{pest_id}|{}|{}|{n}", data_last_day.year(), entry.action);
        line("BEGIN:VEVENT".into());
        line(format!("UID:{}@lurefield.invalid", short_hash(&key)));
        line(format!("DTSTAMP:{stamp}"));
        line(format!("DTSTART;VALUE=DATE:{}", compact(entry.from_day)));
        // The end of an all-day event is the day after its last day.
        line(format!(
            "DTEND;VALUE=DATE:{}",
            compact(plus(entry.to_day.max(entry.from_day), 1))
        ));
        line(format!(
            "SUMMARY:{}",
            escape(&format!("{}: {}", entry.action, entry.what))
        ));
        line(format!(
            "DESCRIPTION:{}",
            escape(&format!(
                "Best day: {}. Why: {}. Source: {}. {closing}",
                entry.date,
                entry.reason.trim_end_matches('.'),
                entry.source
            ))
        ));
        line("TRANSP:TRANSPARENT".into());
        line("END:VEVENT".into());
    }
    line("END:VCALENDAR".into());
    text
}

/// `20140508`.
fn compact(date: Date) -> String {
    format!("{:04}{:02}{:02}", date.year(), date.month(), date.day())
}

/// Escapes text values: backslash, semicolon, comma, line break.
fn escape(text: &str) -> String {
    text.replace('\\', "\\\\")
        .replace(';', "\\;")
        .replace(',', "\\,")
        .replace('\n', "\\n")
}

/// Adds a content line, folded at 75 octets between characters, with its line breaks.
fn fold(out: &mut String, content: &str) {
    let mut width = 0;
    for c in content.chars() {
        if width + c.len_utf8() > LONGEST_LINE {
            out.push_str("\r\n ");
            width = 1;
        }
        out.push(c);
        width += c.len_utf8();
    }
    out.push_str("\r\n");
}

/// Twenty hexadecimal digits of a SHA-256.
fn short_hash(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    let digits =
        |byte: &u8| [byte >> 4, byte & 15].map(|d| char::from_digit(d.into(), 16).unwrap_or('0'));
    digest.iter().take(10).flat_map(digits).collect()
}
