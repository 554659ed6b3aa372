//! Morris and Sobol estimates on the Ishigami function, against closed forms and library values
//! (tests/data/sensitivity/README.md).

use crate::yard::seed::seed;
use lurefield::stats::{morris, sequence, sobol};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::Value;
use std::f64::consts::PI;

fn reference() -> Value {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/data/sensitivity/ishigami.json"
    );
    serde_json::from_str(&std::fs::read_to_string(path).expect("shipped")).expect("reads")
}

fn three(value: &Value) -> [f64; 3] {
    std::array::from_fn(|i| value[i].as_f64().expect("a number"))
}

/// The Ishigami function of inputs on the unit interval.
fn ishigami(u: &[f64]) -> f64 {
    let x: Vec<f64> = u.iter().map(|u| PI * (2.0 * u - 1.0)).collect();
    let s2 = libm::sin(x[1]);
    libm::sin(x[0]) * (1.0 + 0.1 * x[2] * x[2] * x[2] * x[2]) + 7.0 * s2 * s2
}

fn sobol_estimate(n: usize) -> Vec<sobol::Shares> {
    let mut random = ChaCha8Rng::seed_from_u64(seed(11));
    let shift: Vec<f64> = (0..6).map(|_| random.random()).collect();
    let design = sobol::Design::new(&sequence::sobol_points(n, &shift));
    let flat: Vec<f64> = design.points().iter().map(|p| ishigami(p)).collect();
    assert_eq!(flat.len(), n * 5);
    sobol::shares(&design.answers(&flat), 200, || random.random())
}

#[test]
fn sobol_shares_meet_the_closed_form_within_four_of_their_own_standard_errors() {
    let ishigami = &reference()["ishigami"];
    let (first, total) = (three(&ishigami["first_order"]), three(&ishigami["total"]));
    let library = &ishigami["sobol_estimate"];
    let half = three(&library["first_order_95_half_width"]);
    for (i, s) in sobol_estimate(4096).iter().enumerate() {
        for (name, share, exact) in [("first", s.first, first[i]), ("total", s.total, total[i])] {
            let bound = 4.0 * share.error;
            assert!(
                bound < 0.2,
                "{name} {i}: an error of {bound} proves nothing"
            );
            assert!(
                (share.value - exact).abs() < bound,
                "{name} {i}: {share:?} against {exact}"
            );
            assert!(share.low <= share.value && share.value <= share.high);
        }
        let by_library = three(&library["first_order"])[i];
        let both = (16.0 * s.first.error * s.first.error + 4.0 * half[i] * half[i]).sqrt();
        assert!(
            (s.first.value - by_library).abs() < both,
            "{i} against the library"
        );
    }
}

#[test]
fn an_even_sequence_is_nearer_the_truth_than_its_resampling_error() {
    let exact = three(&reference()["ishigami"]["total"]);
    let off: f64 = sobol_estimate(4096)
        .iter()
        .zip(exact)
        .map(|(s, e)| (s.total.value - e).abs() / s.total.error)
        .sum::<f64>()
        / 3.0;
    assert!(off < 1.0, "{off} resampling errors away on average");
}

#[test]
fn morris_effects_meet_the_exact_grid_values_within_four_standard_errors() {
    let exact = &reference()["ishigami"]["morris_exact_for_4_levels"];
    let (mu, star, sigma) = (
        three(&exact["mu"]),
        three(&exact["mu_star"]),
        three(&exact["sigma"]),
    );
    let mut random = ChaCha8Rng::seed_from_u64(seed(7));
    let n = 4000;
    let paths = morris::paths(3, n, 4, || random.random());
    let answers: Vec<Vec<f64>> = paths
        .iter()
        .map(|p| p.points.iter().map(|u| ishigami(u)).collect())
        .collect();
    for (i, e) in morris::effects(&paths, &answers).iter().enumerate() {
        let error = e.sigma / (n as f64).sqrt();
        assert!((e.mu - mu[i]).abs() < 4.0 * error, "mu {i}: {e:?}");
        // An input whose effects all have one size has no error but rounding in the reference's decimals.
        let bound = (4.0 * e.mu_star_error).max(1e-6);
        assert!((e.mu_star - star[i]).abs() < bound, "mu* {i}: {e:?}");
        // Effects lie between sizes of 0 and 21.1, so their fourth moment is below 21.1^2 times their second.
        let widest = 21.1;
        let variance_error = widest * e.sigma.max(sigma[i]) / (n as f64).sqrt();
        assert!(
            (e.sigma * e.sigma - sigma[i] * sigma[i]).abs() < 4.0 * variance_error,
            "sigma {i}: {e:?}"
        );
    }
}

mod study {
    use super::super::yard::yard;
    use lurefield::catalogue::{LureValues, PestValues};
    use lurefield::count::prepare::{Prepared, prepare};
    use lurefield::engine::ensemble::{Unwatched, with_threads};
    use lurefield::engine::ground::{Ground, Held};
    use lurefield::scenario::Scenario;
    use lurefield::study::keep::KeepNothing;
    use lurefield::study::settle::Take;
    use lurefield::study::vary::habits::What;
    use lurefield::study::vary::{Ask, LEVELS, Method, Study, moved, study};

    fn small() -> Scenario {
        let mut scenario = yard(12.0, &[(6.0, 6.0)], &[("trap", &[(9.0, 6.0)])]);
        scenario.window.days = 3;
        scenario.window.day_weights = vec![1.0; 3];
        scenario
    }

    /// The same with few beetles, for what holds of any number of them.
    fn few() -> Scenario {
        let mut scenario = small();
        scenario.pressure.low = 0.2;
        scenario.pressure.high = 0.6;
        scenario
    }

    fn ask(method: Method, summers: u32, settle: u32, habit_summers: u32) -> Ask {
        Ask {
            plan: 1,
            method,
            summers,
            settle: Take::exactly(settle),
            habit_summers,
        }
    }

    fn asked(prepared: &Prepared, method: Method, summers: u32, settle: u32) -> Study {
        let ask = ask(method, summers, settle, 2);
        study(prepared, ask, &Unwatched, &mut KeepNothing).expect("not stopped")
    }

    #[test]
    fn a_held_unknown_takes_its_value_and_moves_no_other_draw() {
        let scenario = small();
        let number = LureValues::TABLE
            .iter()
            .position(|p| p.key == "reach")
            .expect("in the table");
        let held = Held {
            id: "lure:japanese-beetle-both".into(),
            number,
            quantile: 1.0,
        };
        let free = Ground::for_summer(&scenario, 3);
        let ground = Ground::for_summer_with(&scenario, 3, &[held]);
        // The logarithm there and back may round the last bit.
        let highest = scenario.lures[0].values.reach.highest();
        assert!((ground.lures[0].reach / highest - 1.0).abs() < 1e-12);
        assert_ne!(ground.lures[0].reach, free.lures[0].reach);
        assert_eq!(ground.lures[0].response, free.lures[0].response);
        assert_eq!(
            (ground.pest, ground.seen_on_plants),
            (free.pest, free.seen_on_plants)
        );
        assert_eq!(
            (ground.wind, ground.source_per_day),
            (free.wind, free.source_per_day)
        );
    }

    #[test]
    fn every_drawn_number_is_swept_and_one_that_does_nothing_moves_nothing() {
        let scenario = few();
        let prepared = prepare(&scenario, &Unwatched).expect("can be run");
        let found = asked(&prepared, Method::OneAtATime, 6, 12);
        let ranged = PestValues::TABLE
            .iter()
            .filter(|p| {
                scenario
                    .pest
                    .values
                    .get(p.key)
                    .is_some_and(|v| v.range.is_some_and(|r| r[0] < r[1]))
            })
            .count();
        assert!(
            found.sweeps.len() > ranged && found.sweeps.len() == moved(&scenario, found.plan).len()
        );
        let of = |key: &str| {
            found
                .sweeps
                .iter()
                .find(|s| s.unknown.key == key)
                .expect("swept")
        };
        // No net hangs in this yard, so the width of the body has nothing to act on.
        let inert = of("body_width");
        assert_eq!(inert.swing, 0.0);
        assert!((inert.levels[0].point.mean.change - found.base.mean.change).abs() < 1e-9);
        // Same insects, same meals, more leaf for each hour: damage can only grow.
        let rate = of("damage_rate");
        assert_eq!(rate.levels.len(), LEVELS);
        for pair in rate.levels.windows(2) {
            assert!(pair[1].point.without > pair[0].point.without);
        }
        assert!(found.sweeps.windows(2).all(|p| p[0].swing >= p[1].swing));
    }

    #[test]
    fn screening_and_shares_are_the_same_on_any_number_of_threads() {
        let scenario = few();
        let prepared = prepare(&scenario, &Unwatched).expect("can be run");
        for method in [
            Method::Morris {
                top: 3,
                paths: 3,
                summers: 2,
            },
            Method::Sobol {
                top: 2,
                base: 8,
                summers: 2,
            },
        ] {
            let one = || asked(&prepared, method, 2, 4);
            let first = with_threads(1, one).expect("one thread starts");
            assert_eq!(first, with_threads(3, one).expect("three threads start"));
            let listed = first
                .screened
                .map(|s| s.len())
                .or(first.shared.map(|s| s.len()));
            assert!(matches!(listed, Some(2 | 3)));
        }
    }

    #[test]
    fn an_old_lure_calls_less_and_what_is_written_is_the_study_itself() {
        let scenario = small();
        let prepared = prepare(&scenario, &Unwatched).expect("can be run");
        let asked = ask(Method::OneAtATime, 12, 12, 12);
        let found = study(&prepared, asked, &Unwatched, &mut KeepNothing).expect("not stopped");
        let of = |what: What| {
            let habit = found.habits.iter().find(|h| h.what == what);
            habit.expect("the plan has a trap")
        };
        let ages = of(What::LureAge);
        // The yard as written, on the same twelve summers.
        let written = &ages.rows[ages.usual];
        assert!(ages.as_written && (written.mean.change - found.base.mean.change).abs() < 1e-9);
        assert!((written.without - found.base.without).abs() < 1e-9);
        let (fresh, old) = (&ages.rows[0], ages.rows.last().expect("five ages"));
        assert!(old.taken < fresh.taken, "{} of {}", old.taken, fresh.taken);
        // A trap that does not fill is the same whenever it is emptied, but for the minutes.
        let emptied = of(What::Emptying);
        for row in &emptied.rows {
            assert_eq!(
                (row.mean.change, row.step),
                (emptied.rows[0].mean.change, 0.0)
            );
        }
        assert!(emptied.rows[0].minutes[1] > emptied.rows.last().expect("never").minutes[1]);
        assert!(
            found
                .habits
                .iter()
                .all(|h| !matches!(h.what, What::Leak | What::NextDoor))
        );
    }

    #[test]
    fn no_habit_summers_leave_the_habits_out_and_move_nothing_else() {
        let scenario = few();
        let prepared = prepare(&scenario, &Unwatched).expect("can be run");
        let run = |habits: u32| {
            let ask = ask(Method::OneAtATime, 2, 4, habits);
            study(&prepared, ask, &Unwatched, &mut KeepNothing).expect("not stopped")
        };
        let (with, without) = (run(2), run(0));
        assert!(without.habits.is_empty() && !with.habits.is_empty());
        assert_eq!((with.base, with.sweeps), (without.base, without.sweeps));
    }
}
