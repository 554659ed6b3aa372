//! Columns and units of weather files, as stations and services write them.

use lurefield::season::hourly::{HourlyOptions, read_hourly};
use lurefield::weather::columns::{Holds, TemperatureUnit, find};
use lurefield::weather::daily::{ReadOptions, Record, read_daily};

fn read(text: &str) -> Record {
    read_daily("w.csv", text.as_bytes(), &ReadOptions::default())
        .unwrap_or_else(|e| panic!("{e}\n{text}"))
}

#[test]
fn common_column_names_are_recognised() {
    let names = [
        ("date,tmin_f,tmax_f", TemperatureUnit::F),
        (
            "Date,Min Temp (\u{b0}F),Max Temp (\u{b0}F)",
            TemperatureUnit::F,
        ),
        ("DATE;TMIN_C;TMAX_C", TemperatureUnit::C),
        (
            "time\tTemperature_2m_min (\u{b0}C)\ttemperature_2m_max (\u{b0}C)",
            TemperatureUnit::C,
        ),
        ("day,low degF,high degF", TemperatureUnit::F),
        (
            "date,minimum air temperature (Celsius),maximum air temperature (Celsius)",
            TemperatureUnit::C,
        ),
        (
            "\"STATION\",\"DATE\",\"TMAX tenths C\",\"TMIN tenths C\"",
            TemperatureUnit::TenthsC,
        ),
        ("date,tminf,tmaxf", TemperatureUnit::F),
    ];
    for (header, unit) in names {
        let delimiter = if header.contains(';') {
            ';'
        } else if header.contains('\t') {
            '\t'
        } else {
            ','
        };
        let columns: Vec<String> = header
            .split(delimiter)
            .map(|c| c.trim_matches('"').to_string())
            .collect();
        for holds in [Holds::Highest, Holds::Lowest] {
            let found = find(&columns, holds).unwrap_or_else(|| panic!("{holds:?} in {header}"));
            assert_eq!(found.unit, Some(unit), "{header}");
        }
        assert!(find(&columns, Holds::Day).is_some(), "{header}");
    }
}

#[test]
fn other_columns_are_not_taken_for_temperatures() {
    let columns: Vec<String> = ["date", "wind_max", "dew_point_min", "precip"]
        .map(String::from)
        .to_vec();
    assert_eq!(find(&columns, Holds::Highest), None);
    assert_eq!(find(&columns, Holds::Lowest), None);
    let columns: Vec<String> = ["id", "dew_temp_f", "gust_mph", "dir"]
        .map(String::from)
        .to_vec();
    assert_eq!(find(&columns, Holds::Temperature), None);
    assert_eq!(find(&columns, Holds::WindSpeed), None);
    assert_eq!(
        find(&columns, Holds::WindDirection).map(|f| f.index),
        Some(3)
    );
}

#[test]
fn one_day_reads_the_same_in_every_unit() {
    let f = read("date,tmin_f,tmax_f\n2014-05-01,50,68\n");
    let c = read("date,tmin_c,tmax_c\n2014-05-01,10,20\n");
    let tenths = read("date,tmin_tenths_c,tmax_tenths_c\n20140501,100,200\n");
    let comma = read("date;tmin_c;tmax_c\n2014-05-01;10,0;20,0\n");
    let us = read("date,tmin_f,tmax_f\n5/1/2014,50,68\n5/13/2014,50,68\n");
    let parts = read("year,month,day,tmin_c,tmax_c\n2014,5,1,10,20\n");
    for record in [&f, &c, &tenths, &comma, &us, &parts] {
        let day = record.days[0];
        assert_eq!(day.date.to_string(), "2014-05-01");
        assert!((day.tmin.c() - 10.0).abs() < 1e-12 && (day.tmax.c() - 20.0).abs() < 1e-12);
    }
}

/// From Celsius to the numbers of a file.
type Scaled = fn(f64) -> f64;

#[test]
fn units_without_a_name_are_worked_out_from_a_whole_year_or_refused() {
    let year = |unit: fn(f64) -> f64| {
        let mut text = String::from("DATE,TMAX,TMIN\n");
        for day in 0..365 {
            let date = lurefield::weather::day::plus(jiff::civil::Date::constant(2013, 1, 1), day);
            let t = 12.0 - 12.0 * libm::cos((day as f64 - 20.0) / 365.0 * std::f64::consts::TAU);
            text.push_str(&format!(
                "{date},{:.0},{:.0}\n",
                unit(t + 5.0),
                unit(t - 5.0)
            ));
        }
        text
    };
    let cases: [(Scaled, &str); 3] = [
        (|c| c, "degrees C"),
        (|c| c * 1.8 + 32.0, "degrees F"),
        (|c| c * 10.0, "tenths of a degree C"),
    ];
    for (unit, words) in cases {
        let record = read(&year(unit));
        assert!(
            record.understood.unit.starts_with(words),
            "{}",
            record.understood.unit
        );
        assert!(record.understood.unit.contains("worked out"));
    }
    // A winter alone could be in any unit.
    let winter: String = year(|c| c)
        .lines()
        .take(60)
        .map(|l| format!("{l}\n"))
        .collect();
    assert!(read_daily("w", winter.as_bytes(), &ReadOptions::default()).is_err());
    let said = ReadOptions {
        unit: Some(TemperatureUnit::C),
        ..ReadOptions::default()
    };
    assert!(read_daily("w", winter.as_bytes(), &said).is_ok());
}

#[test]
fn missing_marks_are_missing_and_said() {
    let record = read(
        "date,tmin_c,tmax_c\n2014-05-01,10,20\n2014-05-02,,20\n2014-05-03,M,-9999\n2014-05-04,10,NA\n2014-05-05,11,21\n",
    );
    assert_eq!(record.days.len(), 2);
    assert!(
        record.understood.notes[0].starts_with("3 rows lack"),
        "{:?}",
        record.understood.notes
    );
}

#[test]
fn one_station_of_several_can_be_picked() {
    let text = "STATION,DATE,TMAX_F,TMIN_F\nA,2014-05-01,60,40\nB,2014-05-01,70,50\nA,2014-05-02,61,41\nB,2014-05-02,71,51\n";
    let error = read_daily("w", text.as_bytes(), &ReadOptions::default())
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("`A` and `B`") && error.contains("--station"),
        "{error}"
    );
    let options = ReadOptions {
        station: Some("B".into()),
        ..ReadOptions::default()
    };
    let record = read_daily("w", text.as_bytes(), &options).unwrap();
    assert!((record.days[1].tmax.f() - 71.0).abs() < 1e-9);
}

/// A year of a national daily file: no row of names, an element a row, tenths of a degree C.
fn national(change: impl Fn(&str) -> String) -> String {
    let mut text = String::new();
    for day in 0..365 {
        let date = lurefield::weather::day::plus(jiff::civil::Date::constant(2013, 1, 1), day);
        let date = date.to_string().replace('-', "");
        let t = 120.0 - 120.0 * libm::cos((day as f64 - 20.0) / 365.0 * std::f64::consts::TAU);
        for (element, value) in [("PRCP", 30.0), ("TMAX", t + 50.0), ("TMIN", t - 50.0)] {
            let row = format!("XX000000001,{date},{element},{value:.0},,,W,2400");
            text.push_str(&format!("{}\n", change(&row)));
        }
    }
    text
}

#[test]
fn a_national_daily_file_without_names_is_read_as_the_same_year_with_names() {
    let plain = national(str::to_owned);
    let record = read(&plain);
    assert_eq!((record.understood.rows, record.days.len()), (1095, 365));
    assert_eq!(
        record.understood.unit,
        "tenths of a degree C (as in the daily files of national networks)"
    );
    let mut named = String::from("date,tmin_tenths_c,tmax_tenths_c\n");
    for rows in plain.lines().collect::<Vec<_>>().chunks(3) {
        let cell = |row: usize, at: usize| rows[row].split(',').nth(at).unwrap();
        named.push_str(&format!("{},{},{}\n", cell(0, 1), cell(2, 3), cell(1, 3)));
    }
    assert_eq!(record.days, read(&named).days);
    // The order of its rows does not matter, nor do other stations once one is picked.
    let mut rows: Vec<&str> = plain.lines().collect();
    rows.reverse();
    let turned = rows.join("\n");
    assert_eq!(record.days, read(&turned).days);
    let two = format!(
        "{plain}{}",
        national(|row| row.replace("XX000000001", "XX000000002"))
    );
    let options = ReadOptions {
        station: Some("XX000000001".into()),
        ..ReadOptions::default()
    };
    let one = read_daily("w", two.as_bytes(), &options).unwrap();
    assert_eq!(record.days, one.days);
    let said = |text: &str, options: &ReadOptions| {
        let error = read_daily("w", text.as_bytes(), options).unwrap_err();
        error.to_string()
    };
    let several = said(&two, &ReadOptions::default());
    assert!(
        several.starts_with("w: line 1096: ") && several.contains("--station"),
        "{several}"
    );
    let other = ReadOptions {
        station: Some("XX000000003".into()),
        ..ReadOptions::default()
    };
    assert!(said(&two, &other).contains("no row belongs to the station"));
    let twice = format!("{plain}XX000000001,20130301,TMAX,9,,,W,\n");
    let twice = said(&twice, &ReadOptions::default());
    assert!(
        twice.starts_with("w: line 1096: keep one row a day: 2013-03-01 stands twice"),
        "{twice}"
    );
    let rain = national(|row| row.replace("TMAX", "SNOW").replace("TMIN", "SNWD"));
    assert!(said(&rain, &ReadOptions::default()).contains("no row is about TMAX or TMIN"));
}

#[test]
fn readings_that_a_network_doubts_are_missing_and_wild_ones_are_named_with_their_line() {
    let marked = national(|row| {
        if row.contains("20130301,TMAX") {
            row.replace(",,,W", ",,X,W")
        } else {
            row.to_owned()
        }
    });
    let record = read(&marked);
    assert_eq!(record.days.len(), 364);
    assert_eq!(
        record.understood.notes,
        [
            "1 row lacks the maximum or the minimum; that day counts as missing",
            "1 reading bears a mark of doubt in the file; it counts as missing"
        ]
    );
    // The sign of a summer's minimum has slipped: it is named, and used as it stands.
    let slipped = national(|row| {
        if row.contains("20130701,TMIN") {
            row.replace("TMIN,", "TMIN,-")
        } else {
            row.to_owned()
        }
    });
    let line = 1 + slipped
        .lines()
        .position(|l| l.contains("TMIN,-") && l.contains("0701"))
        .unwrap();
    let record = read(&slipped);
    let wild = &record.understood.wild[0];
    assert!(
        wild.starts_with(&format!("line {line}: the minimum -")),
        "{wild}"
    );
    assert!(wild.contains("The sign may have slipped."), "{wild}");
    assert!(
        record
            .days
            .iter()
            .any(|d| d.date.month() == 7 && d.tmin.c() < 0.0)
    );
}

#[test]
fn a_long_table_with_names_is_read_too() {
    let mut text = String::from("station,date,datatype,value\n");
    for (date, high) in [("2014-05-01T00:00:00", 68), ("2014-05-02T00:00:00", 70)] {
        text.push_str(&format!("A,{date},TMAX,{high}\nA,{date},TMIN,50\n"));
    }
    let said = ReadOptions {
        unit: Some(TemperatureUnit::F),
        ..ReadOptions::default()
    };
    let record = read_daily("w", text.as_bytes(), &said).unwrap();
    assert_eq!(record.days.len(), 2);
    assert!((record.days[1].tmax.f() - 70.0).abs() < 1e-9);
    assert!(read_daily("w", text.as_bytes(), &ReadOptions::default()).is_err());
}

#[test]
fn real_years_are_no_jump_of_units() {
    assert_eq!(read(lurefield::catalogue::season::SEATTLE).days.len(), 1096);
}

fn hours(suffix: &str, offset: Option<f64>) -> usize {
    let mut text = String::from("time,temp_f\n");
    for day in 1..=3 {
        for hour in 0..24 {
            text.push_str(&format!(
                "2014-05-{day:02}T{hour:02}:00{suffix},{}\n",
                50 + hour
            ));
        }
    }
    let options = HourlyOptions {
        read: ReadOptions {
            utc_offset_h: offset,
            ..ReadOptions::default()
        },
        ..HourlyOptions::default()
    };
    let record = read_hourly("h", text.as_bytes(), &options).unwrap();
    assert!(record.wind.is_none());
    record.daily.days.len()
}

#[test]
fn utc_hours_are_moved_to_local_days() {
    assert_eq!(hours("", None), 3);
    assert_eq!(hours("-05:00", None), 3);
    // Five hours west: two whole days, one of 19 hours, and five hours of the day before.
    assert_eq!(hours("Z", Some(-5.0)), 3);
    assert_eq!(hours("Z", Some(-9.0)), 2);
}

#[test]
fn wind_speeds_are_converted() {
    for (column, value, m_per_s) in [
        ("wind_mph", 10.0, 4.4704),
        ("sknt", 10.0, 5.144_444),
        ("wind_kmh", 36.0, 10.0),
        ("wind_m_per_s", 7.0, 7.0),
        ("wind_speed_m_s", 7.0, 7.0),
        ("wind speed (m/s)", 7.0, 7.0),
    ] {
        let mut text = format!("time,temp_c,wind_dir,{column}\n");
        for hour in 0..24 {
            text.push_str(&format!("2014-07-01 {hour:02}:00,20,90,{value}\n"));
        }
        let rose = read_hourly("h", text.as_bytes(), &HourlyOptions::default())
            .unwrap()
            .wind
            .unwrap();
        assert_eq!(
            (rose.directional, rose.sectors[4].hours),
            (10, 10),
            "{column}"
        );
        assert!((rose.mean_speed_m_per_s - m_per_s).abs() < 1e-5, "{column}");
    }
}
