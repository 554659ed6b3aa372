//! Calibration against truths that are known because the data were simulated.

use lurefield::catalogue::calibration::{Part, PestRule, rules};
use lurefield::engine::ensemble::Unwatched;
use lurefield::engine::ground::study_uniform;
use lurefield::stats::abc::{self, Band};
use lurefield::stats::hypercube::latin_hypercube;
use lurefield::tally::calibrate::{Changes, Task, judge, values};
use lurefield::tally::keep::KeepNothing;

/// Uniform numbers of a test, by name.
fn uniforms(name: &str) -> impl FnMut() -> f64 {
    let name = name.to_owned();
    let mut i = 0;
    move || {
        i += 1;
        study_uniform(7, &name, i)
    }
}

/// A sum of 12 uniforms less 6: mean 0, variance 1, nearly normal.
fn noise(uniform: &mut impl FnMut() -> f64) -> f64 {
    (0..12).map(|_| uniform()).sum::<f64>() - 6.0
}

/// A toy with two numbers that matter and one that does not: measures are a + b and a - b, with noise.
fn toy(point: &[f64], spread: f64, uniform: &mut impl FnMut() -> f64) -> Vec<f64> {
    vec![
        point[0] + point[1] + spread * noise(uniform),
        point[0] - point[1] + spread * noise(uniform),
    ]
}

/// Truths drawn from the prior lie in the middle 90 of 100 of the kept sets about 90 times of 100. The bands are as wide
/// as the noise, so the kept sets are a little too wide, never too narrow: the bound from below is four standard errors.
#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    let (sets, truths, spread) = (2000, 60, 0.05);
    let points = latin_hypercube(sets, 3, |axis, i| {
        study_uniform(3, &format!("toy{axis}"), i)
    });
    let mut noisy = uniforms("toy noise");
    let simulated: Vec<Vec<f64>> = points.iter().map(|p| toy(p, spread, &mut noisy)).collect();
    let mut truth_of = uniforms("truths");
    let mut resample = uniforms("resamples");
    let (mut inside, mut trials, mut ratios) = (0_u32, 0_u32, [0.0; 3]);
    for _ in 0..truths {
        let truth: Vec<f64> = (0..3).map(|_| truth_of()).collect();
        let seen = toy(&truth, spread, &mut truth_of);
        let bands: Vec<Band> = seen
            .iter()
            .map(|v| Band {
                low: Some(v - spread),
                high: Some(v + spread),
            })
            .collect();
        let kept = abc::kept(&abc::distances(&simulated, &bands), 0.0);
        if kept.len() < 5 {
            continue;
        }
        for axis in 0..3 {
            let of_kept: Vec<f64> = kept.iter().map(|&k| points[k][axis]).collect();
            let found = abc::marginal(&of_kept, 3, 20, &mut resample).expect("kept sets");
            ratios[axis] += found.width_ratio / f64::from(truths);
            inside += u32::from((found.low..=found.high).contains(&truth[axis]));
            trials += 1;
        }
    }
    assert!(trials > 120, "most truths keep sets: {trials}");
    let share = f64::from(inside) / f64::from(trials);
    let error = (0.9 * 0.1 / f64::from(trials)).sqrt();
    assert!(share > 0.9 - 4.0 * error, "{share} of {trials}, SE {error}");
    assert!(ratios[0] < 0.3 && ratios[1] < 0.3, "informed: {ratios:?}");
    assert!(ratios[2] > 0.6, "not informed: {ratios:?}");
}

/// The real program as its own field: a set of known numbers makes the measure, and the calibration must find that
/// the lure reaches far.
#[test]
fn a_known_reach_is_recovered_from_where_the_bugs_gather() {
    let rule = PestRule {
        pest: "brown-marmorated-stink-bug".into(),
        draws: 160,
        parts: vec![Part {
            layout: "row of tomatoes, trap beyond its end".into(),
            summers: 10,
            measures: vec!["p12-near-over-far".into()],
        }],
    };
    let mut task =
        Task::by(rules(), rule, None, 5, &Changes::default()).expect("the ranges are the shipped");
    let reach = task
        .parameters
        .iter()
        .position(|p| p.key == "reach")
        .expect("the lure has a reach");
    let mut truth = vec![0.5; task.parameters.len()];
    truth[reach] = 0.9;
    let run = |points: &[Vec<f64>]| {
        values(&task, points, &Unwatched, &mut KeepNothing).expect("nobody stops it")
    };
    let seen = run(std::slice::from_ref(&truth))[0][0];
    let points = task.points();
    let simulated = run(&points);
    task.checks[0].1.at_least = Some(0.75 * seen);
    task.checks[0].1.at_most = Some(1.25 * seen);
    let found = judge(&task, &points, &simulated);
    assert!(
        seen > 1.3 && found.accepted >= 5,
        "{seen}, {}",
        found.accepted
    );
    let learnt = found.parameters[reach].learnt.expect("sets were kept");
    assert!(
        (learnt.low..=learnt.high).contains(&0.9),
        "{} to {}",
        learnt.low,
        learnt.high
    );
    assert!(learnt.median > 0.5 && learnt.informed, "{learnt:?}");
    assert_eq!(found.by_gain()[0].unknown.key, "reach");
}

/// A fitted set rules what the scenario leaves alone; a number the scenario sets stays exact, and a held number wins.
#[test]
fn a_fitted_set_gives_way_to_the_scenario_and_to_what_is_held() {
    use lurefield::catalogue::ensemble::{Column, Ensemble, Made};
    use lurefield::engine::ground::{Ground, Held};
    use lurefield::scenario::biology::KeptSets;
    let text = |pest: &str| {
        format!(
            r#"{{"format":1,"title":"t","yard":{{"width":20,"depth":20}},"biology":"ranges",
            "crops":[{{"name":"vine","kind":"grape","single":[10,10]}}],"pest":{pest},
            "plans":[{{"name":"trap","traps":[{{"at":[15,10]}}]}}]}}"#
        )
    };
    let read = |pest: &str| {
        let none = |name: &str| Err(name.to_owned());
        lurefield::scenario::read(&text(pest), "t", &none).expect("reads")
    };
    let column = |id: &str, key: &str| Column {
        id: id.into(),
        key: key.into(),
        unit: "m".into(),
        range: [0.0, 1.0],
    };
    let made = Ensemble {
        format: 1,
        pest: "japanese-beetle".into(),
        made: Made {
            command: String::new(),
            version: String::new(),
            seed: 1,
            draws: 2,
            kept: 2,
            bands_written: String::new(),
            patterns_sha256: String::new(),
            rules_sha256: String::new(),
        },
        parameters: vec![
            column("lure:japanese-beetle-both", "reach"),
            column("pest:japanese-beetle", "speed"),
        ],
        sets: vec![vec![0.25, 0.0], vec![0.75, 1.0]],
    };
    let fit = |mut s: lurefield::scenario::Scenario| {
        s.kept_sets = KeptSets::new(&made, &s.pest, &s.lures, &s.trap_kinds);
        s
    };
    let plain = read(r#""japanese-beetle""#);
    let fitted = fit(plain.clone());
    let reach = &plain.lures[0].values.reach;
    let mut seen = [0, 0];
    for summer in 0..40 {
        let ground = Ground::for_summer(&fitted, summer);
        let set = usize::from(ground.lures[0].reach != reach.at(0.25));
        seen[set] += 1;
        assert_eq!(ground.lures[0].reach, reach.at([0.25, 0.75][set]));
        assert_eq!(
            ground.pest.speed,
            [1.0, 2.5][set],
            "numbers of one set stay together"
        );
        let before = Ground::for_summer(&plain, summer);
        assert_eq!(
            ground.pest.rest_mean, before.pest.rest_mean,
            "no other draw moves"
        );
        let held = Held {
            id: "pest:japanese-beetle".into(),
            number: 0,
            quantile: 0.5,
        };
        let held = Ground::for_summer_with(&fitted, summer, &[held]);
        assert_eq!(held.pest.speed, 1.75);
        assert_eq!(held.lures[0].reach, ground.lures[0].reach);
    }
    assert!(seen[0] > 5 && seen[1] > 5, "{seen:?}");
    let own = fit(read(
        r#"{"base":"japanese-beetle","overrides":{"speed":[1.9,1.9]}}"#,
    ));
    for summer in 0..5 {
        assert_eq!(Ground::for_summer(&own, summer).pest.speed, 1.9);
    }
}

/// What is shipped is what the present rules, bands and ranges give.
#[test]
fn shipped_sets_belong_to_the_ranges_and_bands_of_today() {
    use lurefield::catalogue::{self, ensemble::ENSEMBLES, ensemble::ensemble};
    for (pest, _) in ENSEMBLES {
        let made = ensemble(pest).expect("in the list");
        let task = Task::of(pest, Some(2), 1, &Changes::default())
            .expect("has rules")
            .expect("the ranges are the shipped");
        assert_eq!(made.pest, *pest);
        assert!(!made.sets.is_empty() && made.sets.len() <= made.made.kept as usize);
        for (column, (unit, range)) in made.parameters.iter().zip(&task.ranges) {
            assert_eq!(
                (&column.unit, &column.range),
                (unit, range),
                "{}",
                column.key
            );
        }
        for set in &made.sets {
            assert_eq!(set.len(), task.parameters.len());
            assert!(set.iter().all(|q| (0.0..1.0).contains(q)));
        }
        let hash = |text: &str| lurefield::report::provenance::sha256(text.as_bytes());
        assert_eq!(
            made.made.patterns_sha256,
            hash(catalogue::patterns::PATTERNS_TEXT),
            "bands were changed after the calibration: calibrate again"
        );
        assert_eq!(
            made.made.rules_sha256,
            hash(catalogue::calibration::RULES_TEXT)
        );
    }
}
