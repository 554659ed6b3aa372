//! Hourly tables that a scenario names, cut into the active hours of the days of its months.

use super::Window;
use super::notes::Notes;
use crate::catalogue::Pest;
use crate::say::say;
use crate::weather::ReadOptions;
use crate::weather::columns::Holds;
use crate::weather::hourly::{self, Hour};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A part of a scenario that names an hourly table.
pub(crate) struct Record<'a> {
    /// Path of the part, such as `wind`.
    pub(crate) part: &'a str,
    /// Name of the file.
    pub(crate) file: &'a str,
    /// What the part says of the table.
    pub(crate) options: ReadOptions,
    /// Gives the active hours.
    pub(crate) pest: &'a Pest,
    /// Gives the months.
    pub(crate) window: Option<&'a Window>,
}

/// Columns by the names that a scenario gives.
pub(crate) fn named(columns: &[(Holds, &Option<String>)]) -> Vec<(Holds, String)> {
    let named = |(holds, name): &(Holds, &Option<String>)| Some((*holds, (*name).clone()?));
    columns.iter().filter_map(named).collect()
}

impl Record<'_> {
    /// Number of active hours a day, whole hours.
    pub(crate) fn active(&self) -> usize {
        self.pest.activity.hours.ceil().clamp(1.0, 24.0) as usize
    }

    /// The values of the active hours of each day of the months, in order; `None` for an hour without one.
    pub(crate) fn read<T: Copy>(
        &self,
        (needed, also): (&[Holds], &[Holds]),
        load: &dyn Fn(&str) -> Result<String, String>,
        notes: &mut Notes,
        value: impl Fn(&Hour) -> Option<T>,
    ) -> Option<Vec<Vec<Option<T>>>> {
        let path = format!("{}.file", self.part);
        let text = match load(self.file) {
            Ok(text) => text,
            Err(why) => {
                notes.add(path, why, say!("record.give-file"));
                return None;
            }
        };
        let mut hours: BTreeMap<(Date, u8), T> = BTreeMap::new();
        let take = |hour: &Hour| {
            // The hour that stands twice when clocks go back keeps its first reading.
            if let Some(value) = value(hour) {
                hours.entry((hour.date, hour.hour)).or_insert(value);
            }
        };
        let (file, bytes) = (self.file, text.as_bytes());
        match hourly::read(file, bytes, &self.options, needed, also, take) {
            Err(fault) => {
                let what = fault.to_string();
                notes.add(path, what.trim_end_matches('.'), say!("record.mend"));
                return None;
            }
            Ok(read) => {
                let told =
                    |note: &String| say!("record.note", file, what = note.trim_end_matches('.'));
                let odd = read.notes.iter().chain(&read.wild);
                notes.warnings.extend(odd.map(told));
            }
        }
        let start = self.pest.activity.start_hour.floor().clamp(0.0, 23.0) as usize;
        let months = months_of(self.window);
        let mut dates: Vec<Date> = hours.keys().map(|(date, _)| *date).collect();
        dates.dedup();
        dates.retain(|date| months.is_empty() || months.contains(&date.month()));
        let at = |date: Date, h: usize| {
            let day = if h < 24 { date } else { date.tomorrow().ok()? };
            hours.get(&(day, (h % 24) as u8)).copied()
        };
        let active = start..start + self.active();
        let day = |date| active.clone().map(|h| at(date, h)).collect();
        Some(dates.into_iter().map(day).collect())
    }
}

/// Months that a window touches; empty for all.
fn months_of(window: Option<&Window>) -> Vec<i8> {
    let first = window.and_then(|window| window.first_day.as_deref());
    let first = first.and_then(|d| d.parse::<Date>().ok());
    let (Some(window), Some(mut day)) = (window, first) else {
        return Vec::new();
    };
    let mut months = vec![day.month()];
    for _ in 1..window.days {
        let Ok(next) = day.tomorrow() else { break };
        day = next;
        if !months.contains(&day.month()) {
            months.push(day.month());
        }
    }
    months
}
