//! A calendar file that any calendar reads: RFC 5545, all-day events, the same bytes for the same input.

use crate::say::{say, voice};
use crate::season::calendar::{Action, Entry};
use crate::weather::day::plus;
use icalendar::{Calendar, Component, Event, Property};
use jiff::civil::Date;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

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
    let program = format!(
        "-//lurefield//season {}//{}",
        env!("CARGO_PKG_VERSION"),
        voice().get("language").to_uppercase()
    );
    let name = say!("invite.name", pest = pest_name);
    let mark = voice().mark().unwrap_or_default();
    let mut calendar = Calendar::empty();
    for (key, value) in [
        ("VERSION", "2.0"),
        ("PRODID", &program),
        ("CALSCALE", "GREGORIAN"),
        ("X-WR-CALNAME", &name),
        ("X-WR-CALDESC", mark),
    ]
    .into_iter()
    .filter(|(_, value)| !value.is_empty())
    {
        calendar.append_property(Property::new(key, value));
    }
    let stamp = format!("{}T000000Z", compact(data_last_day));
    let mut earlier: BTreeMap<Action, u32> = BTreeMap::new();
    for entry in entries {
        let n = earlier.entry(entry.action).or_insert(0_u32);
        *n += 1;
        let (year, name) = (data_last_day.year(), entry.action.name());
        let key = format!("{pest_id}|{year}|{name}|{n}");
        let (action, what) = (entry.action.words(), &entry.what);
        let best = entry
            .best()
            .map(|day| say!("invite.best", date = day) + " ");
        let why = entry.reason.trim_end_matches('.');
        let mut event = Event::new();
        // Without identifier and time stamp the library would make some of its own, from chance and clock.
        event
            .add_property("UID", format!("{}@lurefield.invalid", short_hash(&key)))
            .add_property("DTSTAMP", &stamp)
            .append_property(day("DTSTART", entry.from))
            // The end of an all-day event is the day after its last day.
            .append_property(day("DTEND", plus(entry.to, 1)))
            .summary(&say!("invite.summary", action, what))
            .description(&say!(
                "invite.why",
                best = best.unwrap_or_default(),
                why,
                source = entry.source,
                closing = [closing, mark].join(" ").trim_end()
            ))
            .add_property("TRANSP", "TRANSPARENT");
        calendar.push(event.done());
    }
    calendar.to_string()
}

/// A day as a property.
fn day(key: &str, date: Date) -> Property {
    Property::new(key, compact(date))
        .add_parameter("VALUE", "DATE")
        .done()
}

/// `20140508`.
fn compact(date: Date) -> String {
    format!("{:04}{:02}{:02}", date.year(), date.month(), date.day())
}

/// Twenty hexadecimal digits of a SHA-256.
fn short_hash(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    let digits =
        |byte: &u8| [byte >> 4, byte & 15].map(|d| char::from_digit(d.into(), 16).unwrap_or('0'));
    digest.iter().take(10).flat_map(digits).collect()
}
