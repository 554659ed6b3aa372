//! Calibration against truths that are known because the data were simulated.

use lurefield::catalogue::calibration::{Part, PestRule, rules};
use lurefield::engine::ensemble::Unwatched;
use lurefield::engine::ground::study_uniform;
use lurefield::stats::abc::{self, Band};
use lurefield::stats::hypercube::latin_hypercube;
use lurefield::tally::calibrate::{Changes, Task, judge, values};

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
        values(&task, points, Vec::new(), &Unwatched, &mut |_| true).expect("nobody stops it")
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
