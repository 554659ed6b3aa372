//! Stays on plants: exponential whenever they begin, and where two lives of one insect become one again.

use crate::common::{mean_and_se, share_and_se, within_four_se};
use crate::yard::yard;
use lurefield::count::summer::SummerTally;
use lurefield::engine::flight::{Lures, live};
use lurefield::engine::ground::Ground;
use lurefield::engine::insect::{Insect, Mode, Stay};
use lurefield::geometry::Point;

const VINES: &[(f64, f64)] = &[(6.0, 9.0), (8.0, 9.0), (10.0, 9.0), (14.0, 4.0)];

fn ground() -> Ground {
    Ground::for_summer(&yard(20.0, VINES, &[]), 0)
}

/// Exact: the time to the next event of a Poisson process is exponential with its mean, seen from any time.
#[test]
fn a_stay_is_exponential_whenever_it_begins() {
    let ground = ground();
    let mean_s = ground.pest.residence_mean;
    // Some times on the borders of the spans that the clock is drawn in.
    for begins_s in [0.0, 0.3 * mean_s, mean_s, 2.999_999 * mean_s, 5.5 * mean_s] {
        let stays: Vec<f64> = (0..20_000)
            .map(|insect| Stay::on(&ground, insect, insect % 4, begins_s).leaves_s - begins_s)
            .collect();
        let (mean, se) = mean_and_se(&stays);
        within_four_se(&format!("mean from {begins_s}"), mean, mean_s, se, 0.0);
        for times in [0.1, 0.5, 1.0, 2.0] {
            let longer = stays.iter().filter(|s| **s > times * mean_s).count() as u32;
            let (share, se) = share_and_se(longer, 20_000);
            let what = format!("longer than {times} means from {begins_s}");
            within_four_se(&what, share, libm::exp(-times), se, 0.0);
        }
    }
}

/// Exact: what follows a stay owes nothing to how long it was, so one stay after another is exponential too.
#[test]
fn stays_that_follow_one_another_are_exponential_and_unrelated() {
    let ground = ground();
    let mean_s = ground.pest.residence_mean;
    let pairs: Vec<(f64, f64)> = (0..20_000)
        .map(|insect| {
            let first = Stay::on(&ground, insect, 1, 1_000.0);
            let second = Stay::on(&ground, insect, 1, first.leaves_s);
            assert!(second.leg != first.leg);
            let scaled = |from: f64, to: f64| (to - from) / mean_s;
            (
                scaled(1_000.0, first.leaves_s),
                scaled(first.leaves_s, second.leaves_s),
            )
        })
        .collect();
    let second: Vec<f64> = pairs.iter().map(|p| p.1).collect();
    let (mean, se) = mean_and_se(&second);
    within_four_se("second stay", mean, 1.0, se, 0.0);
    let products: Vec<f64> = pairs.iter().map(|(a, b)| (a - 1.0) * (b - 1.0)).collect();
    let (mean, se) = mean_and_se(&products);
    within_four_se("covariance", mean, 0.0, se, 0.0);
}

#[test]
fn two_lives_that_meet_on_a_plant_are_one_again() {
    let ground = ground();
    let end_s = ground.clock.end_s();
    let (mut met, mut flown) = (0, 0);
    for id in 0..400 {
        let plant = id % 4;
        let stay = Stay::on(&ground, id, plant, 3_000.0);
        if stay.leaves_s < 3_600.0 || stay.leaves_s > 0.5 * end_s {
            continue;
        }
        // The same insect, that came to the plant from elsewhere, earlier or later.
        let lives = [3_000.0, 3_500.0].map(|t_s| {
            let from = Point::new(t_s / 1_000.0, 2.0);
            let mut insect = Insect::new(&ground, id, t_s, from, (1.0, 0.0), true);
            insect.dies_s = 0.9 * end_s;
            insect.sit_down(&ground, plant);
            let mut tally = SummerTally::new(4, 0, ground.clock.days, None);
            live(
                &ground,
                &Lures::none(),
                &mut insect,
                &mut [],
                end_s,
                &mut tally,
            );
            (insect, tally)
        });
        let [(a, told_a), (b, told_b)] = &lives;
        assert_eq!((a.t_s, a.at, a.mode), (b.t_s, b.at, b.mode));
        assert_eq!(told_a.segments, told_b.segments);
        let fed = |t: &SummerTally| t.sitting_ticks.iter().sum::<u64>();
        assert_eq!(
            fed(told_a) - fed(told_b),
            500 * 1_024,
            "the one was there 500 s earlier"
        );
        met += 1;
        flown += told_a.segments;
        assert!(matches!(a.mode, Mode::Over(_)));
    }
    assert!(met > 50 && flown > 1_000, "{met} lives, {flown} flights");
}
