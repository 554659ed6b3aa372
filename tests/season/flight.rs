//! The flight as a distribution over degree-days, and the weights it gives a window.

use jiff::civil::Date;
use lurefield::season::degree_day::{Cutoff, Method, Rule};
use lurefield::season::flight::{Flight, Generation, day_weights, span};
use lurefield::season::forecast::Outlook;
use lurefield::weather::daily::DayTemps;
use lurefield::weather::{DegreeDays, Temperature};

fn dd(c: f64) -> DegreeDays {
    DegreeDays::from_c(c)
}

fn one(start: f64, middle: f64, life: f64) -> Flight {
    let generation = Generation {
        number: 1,
        start: dd(start),
        middle: dd(middle),
        size: 1.0,
    };
    Flight {
        generations: vec![generation],
        adult_life_d: life,
        shift: DegreeDays::ZERO,
    }
}

/// Ten degree-days every day.
fn even(days: usize) -> Outlook {
    let rule = Rule::new(
        Method::Average,
        Temperature::from_c(10.0),
        None,
        Cutoff::None,
    )
    .unwrap();
    let first = Date::constant(2014, 1, 1);
    let temps: Vec<DayTemps> = (0..days)
        .map(|i| DayTemps {
            date: lurefield::weather::day::nth(first, i),
            tmin: Temperature::from_c(15.0),
            tmax: Temperature::from_c(25.0),
            n_readings: None,
            dusk: None,
        })
        .collect();
    Outlook::build(&rule, &temps, &[])
}

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

#[test]
fn one_in_a_hundred_has_emerged_at_the_start_and_half_at_the_middle() {
    let g = Generation {
        number: 1,
        start: dd(100.0),
        middle: dd(300.0),
        size: 1.0,
    };
    near(g.emerged(dd(100.0)), 0.01, 1e-9, "start");
    near(g.emerged(dd(300.0)), 0.5, 1e-12, "middle");
    near(g.emerged(dd(500.0)), 0.99, 1e-9, "mirrored");
}

#[test]
fn everybody_emerges_once_and_lives_the_mean_life() {
    // Insect-days add up to size times the mean number of days alive, 1 / (1 - e^(-1/life)).
    for life in [3.0, 12.0, 40.0] {
        let outlook = even(400);
        let flight = one(500.0, 900.0, life);
        let total: f64 = flight.presence(&outlook.typical).iter().sum();
        // The thin tail before the first day (emerged at sum 0) is outside the record.
        let want = (1.0 - flight.emerged(DegreeDays::ZERO)) / (1.0 - libm::exp(-1.0 / life));
        near(
            total,
            want,
            1e-3 * want,
            "insect-days; the oldest of a long life outlive the record",
        );
        near(
            one(500.0, 900.0, 3.0)
                .presence(&outlook.typical)
                .iter()
                .sum(),
            1.0 / (1.0 - libm::exp(-1.0 / 3.0)),
            1e-6,
            "short life",
        );
    }
}

#[test]
fn weights_have_mean_one_and_follow_the_flight() {
    let outlook = even(300);
    let flight = one(500.0, 900.0, 10.0);
    let weights = day_weights(&flight, &outlook, Date::constant(2014, 2, 15), 90).unwrap();
    assert_eq!(weights.len(), 90);
    near(weights.iter().sum::<f64>() / 90.0, 1.0, 1e-12, "mean");
    assert!(weights.iter().all(|w| *w >= 0.0));
    let (_, peak, _) = span(&weights, 0.05).unwrap();
    // Half have emerged on day 90 of the year (10 a day); with a life of 10 days the peak comes a few days later.
    assert!((44..=56).contains(&peak), "{peak}");
    assert!(weights[0] < 0.2 && weights[89] < weights[peak]);
}

#[test]
fn windows_outside_the_weather_or_the_flight_are_refused() {
    let outlook = even(100);
    let flight = one(500.0, 900.0, 10.0);
    assert!(
        day_weights(&flight, &outlook, Date::constant(2014, 4, 1), 20)
            .unwrap_err()
            .to_string()
            .contains("not covered")
    );
    assert!(day_weights(&flight, &outlook, Date::constant(2013, 12, 1), 5).is_err());
    let late = one(1e5, 2e5, 10.0);
    assert!(
        day_weights(&late, &outlook, Date::constant(2014, 2, 1), 5)
            .unwrap_err()
            .to_string()
            .contains("no adults")
    );
}

#[test]
fn two_generations_give_two_peaks() {
    let outlook = even(300);
    let mut flight = one(300.0, 600.0, 8.0);
    flight.generations.push(Generation {
        number: 2,
        start: dd(1700.0),
        middle: dd(2000.0),
        size: 0.5,
    });
    let presence = flight.presence(&outlook.typical);
    let peak = |from: usize, to: usize| presence[from..to].iter().copied().fold(0.0, f64::max);
    near(
        peak(150, 299) / peak(0, 130),
        0.5,
        1e-3,
        "a generation of half the size",
    );
    assert!(presence[135] < 0.05 * peak(0, 130));
}

#[test]
fn weights_fill_the_window_of_a_scenario() {
    // The engine reads mean 1 over the window: half the insects twice as often must leave the sum unchanged.
    let outlook = even(300);
    let weights = day_weights(
        &one(500.0, 900.0, 10.0),
        &outlook,
        Date::constant(2014, 3, 1),
        28,
    )
    .unwrap();
    let window = lurefield::scenario::Window {
        first_day: Some("2014-03-01".into()),
        days: 28,
        day_weights: weights,
    };
    near(window.day_weights.iter().sum::<f64>(), 28.0, 1e-9, "sum");
}
