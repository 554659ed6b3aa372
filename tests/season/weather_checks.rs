//! Every public value of weather-checks.json: sums, month ends, passing dates, single days, and the wind rose.

use crate::{data, json};
use jiff::civil::Date;
use lurefield::season::degree_day::{Cutoff, Method, Rule};
use lurefield::season::forecast::Outlook;
use lurefield::season::hourly::{HourlyOptions, HourlyRecord, read_hourly};
use lurefield::units::M_PER_S_PER_MPH;
use lurefield::weather::daily::{DayTemps, ReadOptions, Record, read_daily};
use lurefield::weather::{DegreeDays, Scale, Temperature};
use serde_json::Value;
use std::fs::File;
use std::io::BufReader;

const SETS: [&str; 4] = [
    "newark-2013",
    "seattle-2012",
    "seattle-2013",
    "seattle-2014",
];

fn rule(name: &str) -> (Rule, Scale) {
    let f = Temperature::from_f;
    let horizontal =
        |method, upper| Rule::new(method, f(50.0), Some(f(upper)), Cutoff::Horizontal).unwrap();
    match name {
        "sine_50_88_horizontal_f" => (horizontal(Method::Sine, 88.0), Scale::F),
        "triangle_50_88_horizontal_f" => (horizontal(Method::Triangle, 88.0), Scale::F),
        "simple_average_50_f" => (
            Rule::new(Method::Average, f(50.0), None, Cutoff::None).unwrap(),
            Scale::F,
        ),
        "simple_average_50_mean_capped_88_f" => (horizontal(Method::Average, 88.0), Scale::F),
        "substitution_50_86_f" => (horizontal(Method::Substitution, 86.0), Scale::F),
        "sine_10_none_c" => (
            Rule::new(Method::Sine, Temperature::from_c(10.0), None, Cutoff::None).unwrap(),
            Scale::C,
        ),
        other => panic!("a method without a test: {other}"),
    }
}

fn newark() -> HourlyRecord {
    let file = File::open(data("newark-2013-hourly.csv")).unwrap();
    read_hourly(
        "newark",
        BufReader::new(file),
        &HourlyOptions {
            dusk_hour: 20,
            ..HourlyOptions::default()
        },
    )
    .unwrap()
}

fn seattle() -> Record {
    let text = lurefield::catalogue::season::SEATTLE;
    read_daily("seattle", text.as_bytes(), &ReadOptions::default()).unwrap()
}

fn days(set: &str) -> Vec<DayTemps> {
    if set == "newark-2013" {
        return newark().daily.days;
    }
    let year: i16 = set.rsplit('-').next().unwrap().parse().unwrap();
    seattle()
        .days
        .into_iter()
        .filter(|d| d.date.year() == year)
        .collect()
}

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

fn date(text: &Value) -> Date {
    text.as_str().unwrap().parse().unwrap()
}

#[test]
fn sums_and_month_ends_agree() {
    let checks = json("weather-checks.json");
    for set in SETS {
        let days = days(set);
        let year = days[0].date.year();
        let expected = &checks["degree_days"][set];
        for (name, month_ends) in expected["accumulated_at_month_end"].as_object().unwrap() {
            let (rule, scale) = rule(name);
            let outlook = Outlook::build(&rule, &days, &[]);
            let at = |date: Date| outlook.typical[outlook.index(date).unwrap()].on(scale);
            for (i, want) in month_ends.as_array().unwrap().iter().enumerate() {
                let end = Date::new(year, i as i8 + 1, 1).unwrap().last_of_month();
                near(
                    at(end),
                    want.as_f64().unwrap(),
                    0.02,
                    &format!("{set} {name} {end}"),
                );
            }
            let sums = &expected["accumulated"][name];
            near(
                at(Date::constant(year, 6, 30)),
                sums["to_30_jun"].as_f64().unwrap(),
                0.02,
                "June",
            );
            near(
                at(Date::constant(year, 8, 31)),
                sums["to_31_aug"].as_f64().unwrap(),
                0.02,
                "August",
            );
        }
    }
}

#[test]
fn thresholds_are_passed_on_the_stated_days() {
    let checks = json("weather-checks.json");
    let mut n = 0;
    for set in SETS {
        let days = days(set);
        for (name, passings) in checks["degree_days"][set]["passing_dates"]
            .as_object()
            .unwrap()
        {
            let (rule, scale) = rule(name);
            let outlook = Outlook::build(&rule, &days, &[]);
            for passing in passings.as_array().unwrap() {
                let at = DegreeDays::from_scale(passing["threshold"].as_f64().unwrap(), scale);
                let when = outlook.when(at, at, at);
                assert_eq!(
                    when.date,
                    Some(date(&passing["date"])),
                    "{set} {name} {passing}"
                );
                let i = outlook.index(when.date.unwrap()).unwrap();
                near(
                    outlook.typical[i].on(scale),
                    passing["accumulated_that_day"].as_f64().unwrap(),
                    0.02,
                    "that day",
                );
                near(
                    outlook.typical[i - 1].on(scale),
                    passing["accumulated_day_before"].as_f64().unwrap(),
                    0.02,
                    "before",
                );
                n += 1;
            }
        }
    }
    assert!(n >= 32, "{n} passings");
}

#[test]
fn single_days_agree() {
    let checks = json("weather-checks.json");
    for set in SETS {
        let days = days(set);
        let unit = if set == "newark-2013" {
            Scale::F
        } else {
            Scale::C
        };
        for spot in checks["degree_days"][set]["spot_days"].as_array().unwrap() {
            let day = days.iter().find(|d| d.date == date(&spot["date"])).unwrap();
            near(
                day.tmin.on(unit),
                spot["tmin"].as_f64().unwrap(),
                1e-9,
                "tmin",
            );
            near(
                day.tmax.on(unit),
                spot["tmax"].as_f64().unwrap(),
                1e-9,
                "tmax",
            );
            if let Some(hours) = spot["hours_with_temperature"].as_u64() {
                assert_eq!(
                    day.n_readings.map(u64::from),
                    Some(hours),
                    "{set} {}",
                    day.date
                );
            }
            for (name, want) in spot["degree_days"].as_object().unwrap() {
                let (rule, scale) = rule(name);
                near(
                    rule.of_day(day.tmin, day.tmax, None).on(scale),
                    want.as_f64().unwrap(),
                    1e-3,
                    name,
                );
            }
        }
    }
}

#[test]
fn hours_are_cut_into_local_days() {
    let checks = json("weather-checks.json");
    let expected = &checks["degree_days"]["newark-2013"];
    let days = newark().daily.days;
    assert_eq!(days.len() as u64, expected["daily_days"].as_u64().unwrap());
    assert_eq!(days[0].date, date(&expected["daily_first"]));
    assert_eq!(days.last().unwrap().date, date(&expected["daily_last"]));
    let others = expected["days_with_other_than_24_temperatures"]
        .as_object()
        .unwrap();
    for day in &days {
        let want = others
            .get(&day.date.to_string())
            .map_or(24, |n| n.as_u64().unwrap());
        assert_eq!(day.n_readings.map(u64::from), Some(want), "{}", day.date);
    }
    near(
        days.iter().map(|d| d.tmin.f()).sum(),
        expected["sum_of_daily_tmin_f"].as_f64().unwrap(),
        1e-6,
        "minima",
    );
    near(
        days.iter().map(|d| d.tmax.f()).sum(),
        expected["sum_of_daily_tmax_f"].as_f64().unwrap(),
        1e-6,
        "maxima",
    );
    let hottest = days.iter().map(|d| d.mean().f()).fold(0.0, f64::max);
    near(
        hottest,
        expected["highest_daily_mean_f"].as_f64().unwrap(),
        1e-6,
        "hottest mean",
    );
}

#[test]
fn local_days_are_not_utc_days() {
    // The file gives the sums that UTC days would yield by mistake; ours must lie well away from them.
    let checks = json("weather-checks.json");
    let wrong = &checks["degree_days"]["newark-2013"]["if_utc_days_were_used_by_mistake"];
    let days = newark().daily.days;
    for (name, sums) in wrong.as_object().unwrap() {
        let (rule, scale) = rule(name);
        let outlook = Outlook::build(&rule, &days, &[]);
        let got = outlook.typical[outlook.index(Date::constant(2013, 8, 31)).unwrap()].on(scale);
        assert!(
            (got - sums["to_31_aug"].as_f64().unwrap()).abs() > 20.0,
            "{name}"
        );
    }
}

#[test]
fn sums_of_seattle_extremes_agree() {
    let checks = json("weather-checks.json");
    for set in &SETS[1..] {
        let expected = &checks["degree_days"][set];
        let days = days(set);
        assert_eq!(days.len() as u64, expected["daily_days"].as_u64().unwrap());
        near(
            days.iter().map(|d| d.tmin.c()).sum(),
            expected["sum_of_daily_tmin_c"].as_f64().unwrap(),
            1e-6,
            "minima",
        );
        near(
            days.iter().map(|d| d.tmax.c()).sum(),
            expected["sum_of_daily_tmax_c"].as_f64().unwrap(),
            1e-6,
            "maxima",
        );
    }
}

#[test]
fn wind_rose_agrees() {
    let checks = json("weather-checks.json");
    let want = &checks["wind_rose"]["newark-2013-summer-day"];
    let record = newark();
    let rose = record.wind.as_ref().unwrap();
    let count = |key: &str| want[key].as_u64().unwrap();
    assert_eq!(
        rose.rows,
        count("hours_expected") - count("hours_without_a_row")
    );
    assert_eq!(rose.without_speed, count("hours_with_row_but_no_speed"));
    assert_eq!(rose.valid, count("hours_valid"));
    assert_eq!(rose.calm, count("calm_hours"));
    assert_eq!(rose.variable, count("variable_direction_hours"));
    assert_eq!(rose.directional, count("directional_hours"));
    let value = |key: &str| want[key].as_f64().unwrap();
    let mph = |m_per_s: f64| m_per_s / M_PER_S_PER_MPH;
    near(rose.calm_share, value("calm_share"), 1e-6, "calm");
    near(
        rose.variable_share,
        value("variable_direction_share"),
        1e-6,
        "variable",
    );
    near(
        mph(rose.variable_mean_speed_m_per_s.unwrap()),
        value("variable_direction_mean_speed_mph"),
        1e-4,
        "variable speed",
    );
    near(
        mph(rose.mean_speed_m_per_s),
        value("mean_speed_mph_all_valid_hours"),
        1e-4,
        "mean speed",
    );
    near(
        mph(rose.directional_mean_speed_m_per_s),
        value("mean_speed_mph_directional_hours"),
        1e-4,
        "directional speed",
    );
    let sectors = want["sectors"].as_array().unwrap();
    assert_eq!(sectors.len(), rose.sectors.len());
    for (got, want) in rose.sectors.iter().zip(sectors) {
        assert_eq!(got.name, want["name"].as_str().unwrap());
        near(
            got.centre_deg,
            want["centre_deg"].as_f64().unwrap(),
            1e-9,
            "centre",
        );
        assert_eq!(got.hours, want["hours"].as_u64().unwrap(), "{}", got.name);
        near(
            got.share,
            want["share_of_valid"].as_f64().unwrap(),
            1e-6,
            got.name,
        );
        near(
            mph(got.mean_speed_m_per_s.unwrap()),
            want["mean_speed_mph"].as_f64().unwrap(),
            1e-4,
            got.name,
        );
    }
    let unit = &want["unit_vectors"];
    near(
        rose.mean_direction_deg.unwrap(),
        unit["mean_direction_deg_from"].as_f64().unwrap(),
        1e-3,
        "direction",
    );
    near(
        rose.mean_vector_length,
        unit["mean_vector_length"].as_f64().unwrap(),
        1e-6,
        "length",
    );
    let weighted = &want["speed_weighted"];
    near(
        rose.weighted_direction_deg.unwrap(),
        weighted["mean_direction_deg_from"].as_f64().unwrap(),
        1e-3,
        "weighted",
    );
    near(
        mph(rose.resultant_m_per_s),
        weighted["resultant_speed_mph_over_directional_hours"]
            .as_f64()
            .unwrap(),
        1e-4,
        "resultant",
    );
    near(
        mph(rose.resultant_with_calm_m_per_s),
        weighted["resultant_speed_mph_over_directional_and_calm_hours"]
            .as_f64()
            .unwrap(),
        1e-4,
        "resultant with calm",
    );
    near(
        rose.steadiness,
        weighted["steadiness_resultant_over_scalar_mean"]
            .as_f64()
            .unwrap(),
        1e-6,
        "steadiness",
    );
}

#[test]
fn the_impossible_wind_is_noticed_with_its_line() {
    let notes = newark().daily.understood.notes.join(" ");
    assert!(
        notes.contains("impossible wind speeds, counted as missing: 1 (line"),
        "{notes}"
    );
    assert!(notes.contains("1048 mph"), "{notes}");
}

#[test]
fn a_rose_becomes_the_wind_of_a_scenario() {
    let rose = newark().wind.unwrap();
    let lurefield::scenario::Wind::Rose {
        sectors,
        calm_share,
        ..
    } = rose.as_scenario_wind("test")
    else {
        panic!("no rose")
    };
    let sum: f64 = sectors.iter().map(|s| s.share).sum();
    near(sum + calm_share, 1.0, 1e-9, "shares");
    near(
        sectors[12].from_rad,
        1.5 * std::f64::consts::PI,
        1e-9,
        "west",
    );
}

#[test]
fn sectors_include_their_lower_edge() {
    use lurefield::season::wind_rose::sector_of;
    for (degrees, sector) in [
        (0.0, 0),
        (360.0, 0),
        (348.75, 0),
        (11.24, 0),
        (11.25, 1),
        (33.75, 2),
        (348.74, 15),
        (270.0, 12),
    ] {
        assert_eq!(sector_of(degrees), sector, "{degrees}");
    }
}
