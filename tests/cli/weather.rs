//! Hours fit for movement from hourly weather, and arrivals from a side.

use super::{shipped_path, yard_with};
use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::scenario::{Scenario, Wind, WindHour, read};
use lurefield::season::hourly::{HourlyOptions, HourlyRecord, read_hourly};
use lurefield::study::run::run;
use lurefield::weather::daily::ReadOptions;
use std::fmt::Write as _;

fn with_csv(extra: &str, csv: &str) -> Result<Scenario, String> {
    let text = yard_with("extra", extra);
    read(&text, "yard.json", &|_| Ok(csv.to_string())).map_err(|faults| {
        let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
        said.join("\n")
    })
}

const FILE: &str = r#""weather": { "file": "hours.csv" }"#;

/// A month of hours whose temperature, in degrees Fahrenheit, depends on the hour.
fn month(air_f: impl Fn(u32) -> f64) -> String {
    let mut text = "time,temp_f,wind_mph\n".to_string();
    for day in 1..=30 {
        for hour in 0..24 {
            let air = air_f(hour);
            writeln!(text, "2013-06-{day:02}T{hour:02}:00:00-04:00,{air},5").unwrap();
        }
    }
    text
}

/// Damage of every plan, and the catch, over some summers.
fn answer(mut scenario: Scenario) -> (Vec<Vec<f64>>, Vec<Vec<u64>>) {
    scenario.settings.summers = 6;
    let prepared = prepare(&scenario, &Unwatched).unwrap();
    let found = run(&prepared, &Unwatched).unwrap();
    let plans = found.plans.into_iter();
    plans
        .map(|p| (p.damage_by_summer, p.caught_by_summer))
        .unzip()
}

#[test]
fn weather_that_is_always_fit_changes_nothing_to_the_bit() {
    let plain = answer(with_csv(r#""note": "no weather""#, "").unwrap());
    let fit = answer(with_csv(FILE, &month(|_| 80.0)).unwrap());
    assert_eq!(plain, fit);
}

#[test]
fn hours_that_are_too_cold_take_no_time() {
    // 21 degrees C is 70 F: of the active hours from 8 to 18 only those from 13 on are fit.
    let scenario = with_csv(FILE, &month(|hour| if hour < 13 { 60.0 } else { 75.0 })).unwrap();
    let weather = scenario.weather.clone().unwrap();
    assert_eq!(weather.hours_a_day(), (5.0, 0.0));
    assert!(weather.said.contains("50 of 100"), "{}", weather.said);
    let ground = lurefield::engine::ground::Ground::for_summer(&scenario, 0);
    let whole = f64::from(ground.clock.days) * ground.clock.day_s;
    assert!((ground.clock.end_s() - 0.5 * whole).abs() < 1e-6);
    let (damage, _) = answer(scenario);
    assert!(damage[0].iter().any(|d| *d > 0.0));
}

#[test]
fn weather_that_cannot_be_used_is_refused_with_its_reason() {
    let refused = |extra: &str, csv: &str, words: &[&str]| {
        let said = with_csv(extra, csv).unwrap_err();
        for word in words {
            assert!(said.contains(word), "{word}\n{said}");
        }
    };
    refused(FILE, &month(|_| 30.0), &["no hour of its days is fit"]);
    let bare = month(|_| 80.0).replace("temp_f", "temp");
    let unit = "weather.file: hours.csv: line 1: the unit of `temp` is not in its name";
    refused(FILE, &bare, &[unit, "`temp_c`"]);
    refused(FILE, "time,wind\n", &["no column for the temperature"]);
    let hot = month(|hour| if hour == 9 { 800.0 } else { 80.0 });
    refused(
        FILE,
        &hot,
        &["hours.csv: line 11: check the value, or its unit: 800 in degrees F"],
    );
    let moth_like = r#""weather": { "file": "hours.csv" }, "pest": "brown-marmorated-stink-bug""#;
    let text = yard_with("pest", moth_like);
    let load = |_: &str| Ok(month(|_| 80.0));
    let said = read(&text, "yard.json", &load).unwrap_err();
    assert!(
        said.iter()
            .any(|f| f.to_string().contains("no limits of weather"))
    );
}

const BOTH: &str = r#""weather": { "file": "hours.csv" },
    "wind": { "file": "hours.csv", "measured_at": "yard" }"#;

fn season_of(csv: &str) -> HourlyRecord {
    read_hourly("hours.csv", csv.as_bytes(), &HourlyOptions::default()).unwrap()
}

fn wind_days(scenario: &Scenario) -> &[Vec<WindHour>] {
    match &scenario.wind {
        Wind::Record { days, .. } => days,
        other => panic!("{other:?}"),
    }
}

#[test]
fn one_file_serves_the_season_the_wind_and_the_gate_in_each_form_that_stations_write() {
    let shipped = shipped_path("data/newark-2013-hourly.csv");
    let plain = std::fs::read_to_string(shipped).unwrap();
    let rows = || {
        plain
            .lines()
            .skip(1)
            .map(|l| l.split(',').collect::<Vec<_>>())
    };
    let missing = |cell: &str| {
        if cell.is_empty() {
            "M".to_owned()
        } else {
            cell.to_owned()
        }
    };
    // The same rows as a station writes them: other names and order, knots, `M` for what is missing, a note at the top.
    let mut export = "#DEBUG: a note\nstation,valid,sknt,drct,tmpf\n".to_owned();
    // And with semicolons and spelled-out names.
    let mut spelled = "Time;Air Temperature (\u{b0}F);Wind Direction;Wind Speed (mph)\n".to_owned();
    for row in rows() {
        let knots = row[3].parse::<f64>().map_or("M".into(), |mph| {
            (mph * 0.447_04 / (1852.0 / 3600.0)).to_string()
        });
        let (air, from) = (missing(row[1]), missing(row[2]));
        writeln!(
            export,
            "EWR,{},{knots},{from},{air}",
            row[0].replace('T', " ")
        )
        .unwrap();
        writeln!(spelled, "{};{};{};{}", row[0], row[1], row[2], row[3]).unwrap();
    }
    let of = |csv: &str| {
        let scenario = with_csv(BOTH, csv).unwrap();
        let season = season_of(csv);
        let days = wind_days(&scenario).to_vec();
        let fit = scenario.weather.unwrap().hours_a_day();
        (season.daily.days, season.wind.unwrap(), days, fit)
    };
    let (days, rose, wind, fit) = of(&plain);
    assert_eq!((days.len(), wind.len()), (92, 92));
    // The wind is among the limits: without it more hours would be fit.
    let no_wind = plain.replace("wind_mph", "other");
    let free = with_csv(FILE, &no_wind).unwrap().weather.unwrap();
    assert!(free.hours_a_day().0 > fit.0 + 0.5);
    assert_eq!(
        of(&spelled),
        (days.clone(), rose.clone(), wind.clone(), fit)
    );
    let exported = of(&export);
    assert_eq!((&exported.0, exported.3), (&days, fit));
    assert_eq!(exported.1.directional, rose.directional);
    for (a, b) in exported.2.iter().flatten().zip(wind.iter().flatten()) {
        match (a, b) {
            (
                WindHour::Steady {
                    from_rad,
                    speed_m_per_s,
                },
                WindHour::Steady {
                    from_rad: from,
                    speed_m_per_s: speed,
                },
            ) => assert!(from_rad == from && (speed_m_per_s - speed).abs() < 1e-9),
            (WindHour::Variable { .. }, WindHour::Variable { .. })
            | (WindHour::Calm, WindHour::Calm) => {}
            other => panic!("{other:?}"),
        }
    }
}

#[test]
fn one_fault_is_told_in_the_same_words_in_each_use() {
    let fine = month(|_| 80.0);
    let direction = |text: &str| {
        text.replace("wind_mph", "wind_mph,wind_dir")
            .replace(",5\n", ",5,90\n")
    };
    let fine = direction(&fine);
    with_csv(BOTH, &fine).unwrap();
    let bad = [
        fine.replacen(
            "2013-06-02T05:00:00-04:00,80,5",
            "2013-06-02T05:00:00-04:00,80,five",
            1,
        ),
        fine.replacen("2013-06-02T05:00", "2013-06-02T02:00", 1),
        fine.replacen("2013-06-02T05:00", "2013-06-31T05:00", 1),
        fine.replace("-04:00,", "Z,"),
        fine.replace("wind_mph", "wind"),
    ];
    for csv in bad {
        let season = read_hourly("hours.csv", csv.as_bytes(), &HourlyOptions::default());
        let season = season.unwrap_err().to_string();
        let yard = with_csv(BOTH, &csv).unwrap_err();
        let told = season.trim_end_matches('.');
        assert!(told.starts_with("hours.csv: line "), "{told}");
        for part in ["weather.file", "wind.file"] {
            assert!(
                yard.contains(&format!("{part}: {told}; ")),
                "{part}\n{told}\n{yard}"
            );
        }
    }
}

#[test]
fn a_wild_reading_is_named_with_its_line_in_each_use_and_left_to_the_user() {
    let text = month(|hour| 70.0 + f64::from(hour % 12)).replace("wind_mph", "wind_mph,wind_dir");
    let text = text.replace(",5\n", ",5,90\n");
    let line = 1 + text
        .lines()
        .position(|l| l.starts_with("2013-06-10T10"))
        .unwrap();
    // A reading of 80 F becomes 8 F, and a wind loses its point.
    let wild = text
        .replacen(
            "2013-06-10T10:00:00-04:00,80,5",
            "2013-06-10T10:00:00-04:00,8,5",
            1,
        )
        .replacen(
            "2013-06-11T10:00:00-04:00,80,5",
            "2013-06-11T10:00:00-04:00,80,500",
            1,
        );
    assert_ne!(text, wild);
    let named = format!("line {line}: the reading 8 looks wild");
    let wind = format!("counted as missing: 1 (line {}: 500 mph)", line + 24);
    let season = season_of(&wild);
    let understood = season.daily.understood;
    assert!(
        understood.wild[0].starts_with(&named),
        "{:?}",
        understood.wild
    );
    assert!(understood.notes.iter().any(|n| n.contains(&wind)));
    assert!(
        (season.daily.days[9].tmin.f() - 8.0).abs() < 1e-9,
        "used as it stands"
    );
    let told = |extra: &str| with_csv(extra, &wild).unwrap();
    let gate = told(FILE);
    let warnings = gate.warnings.join("\n");
    assert!(
        warnings.contains(&format!("hours.csv: {named}")),
        "{warnings}"
    );
    assert!(warnings.contains(&wind), "{warnings}");
    // The cold reading closes its hour, as it stands.
    let clean = with_csv(FILE, &text)
        .unwrap()
        .weather
        .unwrap()
        .hours_a_day()
        .0;
    let closed = clean - gate.weather.unwrap().hours_a_day().0;
    assert!((closed - 1.0 / 30.0).abs() < 1e-9, "{closed}");
    let record = told(r#""wind": { "file": "hours.csv" }"#);
    assert!(record.warnings.iter().any(|w| w.contains(&wind)));
}

#[test]
fn a_station_of_several_is_picked_in_each_use() {
    let rows = month(|_| 80.0)
        .replace("wind_mph", "wind_mph,wind_dir")
        .replace(",5\n", ",5,90\n");
    let mut lines = rows.lines();
    let mut text = format!("station,{}\n", lines.next().unwrap());
    for line in lines {
        writeln!(text, "A,{line}\nB,{}", line.replace(",80,", ",60,")).unwrap();
    }
    let said = with_csv(BOTH, &text).unwrap_err();
    assert!(
        said.contains("line 3: the file holds more than one station"),
        "{said}"
    );
    let of = |name: &str| {
        let extra = BOTH.replace(
            "\"hours.csv\"",
            &format!("\"hours.csv\", \"station\": \"{name}\""),
        );
        let scenario = with_csv(&extra, &text);
        let options = HourlyOptions {
            read: ReadOptions {
                station: Some(name.into()),
                ..ReadOptions::default()
            },
            ..HourlyOptions::default()
        };
        (
            scenario,
            read_hourly("hours.csv", text.as_bytes(), &options),
        )
    };
    let (yard, season) = of("A");
    assert_eq!(yard.unwrap().weather.unwrap().hours_a_day().0, 10.0);
    assert!((season.unwrap().daily.days[0].tmin.f() - 80.0).abs() < 1e-9);
    assert!(
        of("B")
            .0
            .unwrap_err()
            .contains("no hour of its days is fit")
    );
    let (yard, season) = of("C");
    for said in [yard.unwrap_err(), season.unwrap_err().to_string()] {
        assert!(said.contains("no row belongs to the station `C`"), "{said}");
    }
}

#[test]
fn a_side_of_arrivals_is_read_and_refused_where_it_means_nothing() {
    let side = |share: &str, more: &str| {
        let extra =
            format!(r#""surroundings": {{ "arrivals_from": {{ "side": "south"{share} }}{more} }}"#);
        with_csv(&extra, "")
    };
    let found = side("", "").unwrap().from_side.unwrap();
    assert!((found.bearing_rad - std::f64::consts::PI).abs() < 1e-12);
    assert_eq!(found.share, 0.6);
    assert!(
        side(r#", "share": 1.2"#, "")
            .unwrap_err()
            .contains("write 0 to 1")
    );
    let closed = side("", r#", "setting": "isolated""#).unwrap_err();
    assert!(closed.contains("isolated"), "{closed}");
}

#[test]
fn edges_of_a_net_move_its_leak() {
    let leak = |edges: &str| {
        let plans = format!(
            r#""plans": [{{ "name": "net", "methods": [{{ "method": "row-cover"{edges} }}] }}]"#
        );
        let text = yard_with("plans", &plans);
        let scenario = read(&text, "yard.json", &|n| Err(n.to_owned())).unwrap();
        scenario.plans[1].methods[0].kind.values["leak"]
            .range
            .unwrap()
    };
    assert_eq!(leak(r#", "edges": "tight""#), [0.005, 0.03]);
    assert_eq!(leak(r#", "edges": "gappy""#), [0.1, 0.27]);
    assert_eq!(leak(r#", "edges": "usual""#), leak(""));
    let own = r#", "edges": "gappy", "values": { "leak": [0.01, 0.02] }"#;
    assert_eq!(leak(own), [0.01, 0.02]);
}
