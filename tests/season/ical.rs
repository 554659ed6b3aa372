//! The calendar file, against RFC 5545 and an independent parser.

use crate::command::{folder, line};
use icalendar::{Calendar, CalendarComponent, Component, DatePerhapsTime};

fn file(until: &str) -> String {
    let dir = folder();
    let args = format!(
        "--pest codling-moth --data seattle --until {until} --crop apple --no-figures --quiet --out o"
    );
    let output = line(dir.path(), &args);
    assert!(output.status.success());
    assert!(output.stdout.is_empty(), "--quiet prints nothing");
    std::fs::read_to_string(dir.path().join("o/season/season.ics")).unwrap()
}

#[test]
fn lines_end_with_crlf_and_stay_within_75_octets() {
    let text = file("2014-06-01");
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    for line in text.split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
    }
    assert!(text.contains("\r\n "), "long lines are folded");
}

#[test]
fn an_independent_parser_reads_all_day_events() {
    let text = file("2014-06-01");
    let calendar: Calendar = text.parse().unwrap();
    let mut uids = Vec::new();
    let mut actions = Vec::new();
    for component in &calendar.components {
        let CalendarComponent::Event(event) = component else {
            panic!("only events are written")
        };
        let (Some(DatePerhapsTime::Date(start)), Some(DatePerhapsTime::Date(end))) =
            (event.get_start(), event.get_end())
        else {
            panic!("all-day events have dates")
        };
        assert!(end > start, "the end is the day after the last");
        let stamp = event.get_timestamp().unwrap();
        assert_eq!(stamp.to_rfc3339(), "2014-06-01T00:00:00+00:00");
        uids.push(event.get_uid().unwrap().to_string());
        let summary = event.get_summary().unwrap();
        actions.push(summary.split(':').next().unwrap().to_string());
        assert!(
            event
                .get_description()
                .unwrap()
                .contains("local extension office"),
            "{summary}"
        );
    }
    for action in [
        "hang",
        "check",
        "replace lure",
        "cover",
        "uncover",
        "pick",
        "take down",
    ] {
        assert!(
            actions.iter().any(|a| a == action),
            "{action} is missing in {actions:?}"
        );
    }
    let n = uids.len();
    uids.sort();
    uids.dedup();
    assert_eq!(uids.len(), n, "identifiers differ");
}

#[test]
fn a_later_forecast_keeps_the_identifiers() {
    let uids = |text: &str| -> Vec<String> {
        let calendar: Calendar = text.parse().unwrap();
        let mut all: Vec<String> = calendar
            .components
            .iter()
            .filter_map(|c| c.as_event().and_then(|e| e.get_uid().map(String::from)))
            .collect();
        all.sort();
        all
    };
    let (early, late) = (uids(&file("2014-06-01")), uids(&file("2014-06-15")));
    let shared = early.iter().filter(|uid| late.contains(uid)).count();
    assert!(shared + 2 >= early.len(), "{shared} of {}", early.len());
}

#[test]
fn commas_semicolons_and_wide_letters_survive() {
    use lurefield::catalogue::Grade;
    use lurefield::season::calendar::{Action, Entry};
    let day = jiff::civil::Date::constant(2014, 5, 8);
    let what = "check; then, if \u{e9}l\u{e9}gant \\ really long ".repeat(6);
    let entry = Entry {
        action: Action::Check,
        what: what.clone(),
        date: day,
        from: day,
        to: day,
        reason: "because".into(),
        source: "test".into(),
        grade: Grade::Assumed,
    };
    let text = lurefield::season::ical::write(&[entry], "p", "pest, one", day, "end");
    assert!(text.split("\r\n").all(|line| line.len() <= 75));
    let calendar: Calendar = text.parse().unwrap();
    let event = calendar.components[0].as_event().unwrap();
    assert_eq!(event.get_summary().unwrap(), format!("check: {what}"));
}
