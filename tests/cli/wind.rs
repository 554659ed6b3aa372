//! Wind in words, tables and records.

use super::{shipped_path, yard_with};
use lurefield::scenario::{Scenario, Wind, WindHour, read};

fn with_csv(wind: &str, csv: &str) -> Result<Scenario, String> {
    let text = yard_with("extra", wind);
    read(&text, "yard.json", &|_| Ok(csv.to_string())).map_err(|faults| {
        faults
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("\n")
    })
}

fn days(scenario: &Scenario) -> &[Vec<WindHour>] {
    match &scenario.wind {
        Wind::Record { days, .. } => days,
        other => panic!("{other:?}"),
    }
}

/// A record of `n` days, 8 to 17 h, changed line by line.
fn record(n: u32, change: impl Fn(u32, u32, String) -> String) -> String {
    let mut text = "time,wind_dir_deg_from,wind_mph\n".to_string();
    for day in 1..=n {
        for hour in 8..18 {
            text += &change(
                day,
                hour,
                format!("2013-06-{day:02}T{hour:02}:00:00-04:00,270,10\n"),
            );
        }
    }
    text
}

const FILE: &str = r#""wind": { "file": "w.csv", "measured_at": "yard" }"#;

#[test]
fn record_keeps_direction_speed_calm_and_variable() {
    let csv = record(2, |day, hour, line| match (day, hour) {
        (1, 8) => "2013-06-01T08:00:00-04:00,0,0\n".into(),
        (1, 9) => "2013-06-01T09:00:00-04:00,,5\n".into(),
        (1, 10) => "2013-06-01T10:00:00-04:00,360,5\n".into(),
        _ => line,
    });
    let scenario = with_csv(FILE, &csv).unwrap();
    let first = &days(&scenario)[0];
    assert_eq!(days(&scenario).len(), 2);
    assert_eq!(first.len(), 10);
    assert_eq!(first[0], WindHour::Calm);
    assert_eq!(
        first[1],
        WindHour::Variable {
            speed_m_per_s: 5.0 * 0.447_04
        }
    );
    assert_eq!(
        first[2],
        WindHour::Steady {
            from_rad: 0.0,
            speed_m_per_s: 5.0 * 0.447_04
        }
    );
    match first[3] {
        WindHour::Steady { from_rad, .. } => {
            assert!((from_rad - 1.5 * std::f64::consts::PI).abs() < 1e-12);
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn impossible_speed_is_missing_and_named_with_its_line() {
    let csv = record(10, |day, hour, line| {
        if (day, hour) == (1, 10) {
            "2013-06-01T10:00:00-04:00,270,1048.36058\n".into()
        } else {
            line
        }
    });
    let scenario = with_csv(FILE, &csv).unwrap();
    let warnings = scenario.warnings.join("\n");
    assert!(
        warnings
            .contains("w.csv: impossible wind speeds, counted as missing: 1 (line 4: 1048 mph)"),
        "{warnings}"
    );
    assert!(
        warnings.contains("hours with no wind told, which repeat the one before: 1"),
        "{warnings}"
    );
}

#[test]
fn record_of_nonsense_is_refused() {
    let refused = |wind: &str, csv: &str, words: &str| {
        let said = with_csv(wind, csv).unwrap_err();
        assert!(said.contains(words), "{words}\n{said}");
        assert!(said.contains("wind.file: w.csv: "), "{said}");
    };
    let csv = record(3, |_, _, line| line.replace("270", "north"));
    refused(
        FILE,
        &csv,
        "w.csv: line 2: column `wind_dir_deg_from`: `north` is no number",
    );
    refused(FILE, "", "the file is empty");
    let fine = record(2, |_, _, line| line);
    refused(
        FILE,
        &fine.replace("wind_mph", "speed"),
        "the unit of `speed` is not in its name",
    );
    refused(
        FILE,
        &fine.replace("T08:00", "T88:00"),
        "line 2: `2013-06-01T88:00:00-04:00` is no time",
    );
    refused(
        FILE,
        &fine.replace("270", "400"),
        "line 2: the wind direction 400",
    );
    let named = r#""wind": { "file": "w.csv", "speed_column": "wind_mhp" }"#;
    refused(
        named,
        &fine,
        "there is no column `wind_mhp`. The columns found are",
    );
    let daily = "date,tmin_c,tmax_c,wind_ms\n2013-06-01,10,20,3\n";
    refused(FILE, daily, "one row an hour is needed");
    refused(
        FILE,
        "XX000000001,20130601,TMAX,200,,,W,\n",
        "one row an hour is needed",
    );
}

#[test]
fn times_marked_utc_are_moved_by_the_offset_of_the_yard() {
    let utc = |offset: &str| {
        let wind = format!(r#""wind": {{ "file": "w.csv", "measured_at": "yard"{offset} }}"#);
        let csv = record(2, |_, hour, line| {
            let moved = format!("T{:02}", hour + 4);
            let line = line.replace(&format!("T{hour:02}"), &moved);
            line.replace("-04:00,", "Z,")
                .replace(",10\n", &format!(",{hour}\n"))
        });
        with_csv(&wind, &csv)
    };
    for offset in ["", r#", "utc_offset": 1e300"#] {
        let said = utc(offset).unwrap_err();
        assert!(said.contains("\"utc_offset\": -5"), "{said}");
    }
    let found = utc(r#", "utc_offset": -4"#).unwrap();
    let first = days(&found)[0][0];
    let WindHour::Steady { speed_m_per_s, .. } = first else {
        panic!("{first:?}")
    };
    assert!((speed_m_per_s - 8.0 * 0.447_04).abs() < 1e-9);
}

#[test]
fn record_is_kept_to_the_months_of_the_window() {
    let csv = record(3, |_, _, line| line)
        + &record(2, |_, _, line| line.replace("-06-", "-09-"))
            .replace("time,wind_dir_deg_from,wind_mph\n", "");
    assert_eq!(days(&with_csv(FILE, &csv).unwrap()).len(), 5);
    let june = format!(r#"{FILE}, "window": {{ "first_day": "2026-06-05", "days": 14 }}"#);
    assert_eq!(days(&with_csv(&june, &csv).unwrap()).len(), 3);
    let may = format!(r#"{FILE}, "window": {{ "first_day": "2026-05-05", "days": 14 }}"#);
    assert!(
        with_csv(&may, &csv)
            .unwrap_err()
            .contains("no whole day is left")
    );
}

#[test]
fn shipped_record_gives_july_of_the_airport() {
    let text = std::fs::read_to_string(shipped_path("newark-wind-beetles.json")).unwrap();
    let load = |name: &str| std::fs::read_to_string(shipped_path(name)).map_err(|e| e.to_string());
    let scenario = read(&text, "newark-wind-beetles.json", &load).unwrap();
    let days = days(&scenario);
    assert_eq!(days.len(), 31);
    // 2013-07-01T08:00 of the source, halved for a yard.
    let csv = load("data/newark-2013-hourly.csv").unwrap();
    let line = csv
        .lines()
        .find(|l| l.starts_with("2013-07-01T08"))
        .unwrap();
    let cells: Vec<f64> = line
        .split(',')
        .skip(2)
        .map(|c| c.parse().unwrap())
        .collect();
    match days[0][0] {
        WindHour::Steady {
            from_rad,
            speed_m_per_s,
        } => {
            assert!((from_rad.to_degrees() - cells[0]).abs() < 1e-9);
            assert!((speed_m_per_s - 0.5 * cells[1] * 0.447_04).abs() < 1e-9);
        }
        other => panic!("{other:?} for {line}"),
    }
}

#[test]
fn shares_of_words_and_tables_add_up_to_one() {
    let words = r#""wind": { "usually_from": "NNW", "strength": "moderate" }"#;
    let table = r#""wind": { "sectors": [{ "from": "W", "share": 60, "speed": "5 mph" }, { "from": "E", "share": 30, "speed": 1 }], "calm": 10 }"#;
    for wind in [words, table] {
        let Wind::Rose {
            sectors,
            calm_share,
            ..
        } = with_csv(wind, "").unwrap().wind
        else {
            panic!("no rose")
        };
        let sum: f64 = sectors.iter().map(|s| s.share).sum::<f64>() + calm_share;
        assert!((sum - 1.0).abs() < 1e-9, "{sum}");
        assert!(
            sectors
                .iter()
                .all(|s| (s.width_rad.to_degrees() - 45.0).abs() < 1e-9)
        );
    }
}
