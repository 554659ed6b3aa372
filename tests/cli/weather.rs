//! Hours fit for movement from hourly weather, and arrivals from a side.

use super::yard_with;
use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::scenario::{Scenario, read};
use lurefield::study::run::run;
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
    refused(FILE, &bare, &["weather.temperature_column", "_f or _c"]);
    refused(FILE, "time,wind\n", &["weather.temperature_column"]);
    let hot = month(|hour| if hour == 9 { 800.0 } else { 80.0 });
    // One hour of 24 is too few to refuse the file; each line is named.
    let kept = with_csv(FILE, &hot).unwrap();
    assert!(
        kept.warnings
            .iter()
            .any(|w| w.contains("line") && w.contains("800"))
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
