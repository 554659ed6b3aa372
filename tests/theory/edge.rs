//! The open edge: insects that never come near anything are not made, and the land around is wide enough.

use crate::common::{mean_and_se, within_four_se};
use lurefield::count::plans::plan_summer;
use lurefield::count::prepare::{Prepared, prepare};
use lurefield::engine::ensemble::{Unwatched, each_summer};
use lurefield::engine::event::{Event, Observer};
use lurefield::engine::ground::{Arena, Ground, MARGIN_SEGMENTS, Outline};
use lurefield::engine::walk::TurnLaw;
use lurefield::geometry::Rect;
use lurefield::scenario::Scenario;

fn core_of(ground: &Ground) -> Rect {
    ground.arena.core.expect("an open yard has a core")
}

/// The same land, with every insect of it made.
fn whole(mut ground: Ground) -> Ground {
    ground.arena.core = None;
    ground
}

fn shipped(name: &str) -> Scenario {
    let path = format!("{}/scenarios/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the shipped scenario is there");
    let mut scenario = lurefield::scenario::read(&text, &path, &|f| Err(f.to_string()))
        .unwrap_or_else(|_| panic!("{name} reads"));
    scenario.window.days = 10;
    scenario.window.day_weights = vec![1.0; 10];
    scenario
}

/// Hours of feeding on all plants without and with the first trap, and the catch.
fn outcome(prepared: &Prepared, ground: &Ground) -> [f64; 3] {
    let plans = &prepared.scenario.plans;
    let with = plans.iter().find(|p| !p.traps.is_empty());
    let fed = |plan| {
        let (tally, _) = plan_summer(prepared, ground, plan, None);
        let hours = tally.fed_ticks.iter().sum::<u64>() as f64 / 1024.0 / 3600.0;
        (hours, tally.insects.caught as f64)
    };
    let (without, with) = (fed(&plans[0]), fed(with.expect("the yard has a trap")));
    [without.0, with.0, with.1]
}

/// Exact: the newcomers of the core are those of the wide arena, so nothing that touches a plant or a lure may differ. Two
/// shipped yards; summer by summer the same biology, other luck.
#[test]
fn what_never_comes_near_need_not_be_made() {
    for (name, crowd, summers) in [
        ("allotment-beetles", 1.0, 60),
        ("backyard-pears-stink-bug", 24.0, 60),
    ] {
        let scenario = shipped(name);
        let mut prepared = prepare(&scenario, &Unwatched).expect("the yard can be run");
        // Feeding is proportional to the number of insects, so that more of them cost time and give precision.
        prepared.density_factor *= crowd;
        let mut ratios: [Vec<f64>; 3] = Default::default();
        let one = |summer: u32| {
            let ground = Ground::for_summer(&scenario, summer);
            (
                outcome(&prepared, &ground),
                outcome(&prepared, &whole(ground)),
            )
        };
        let mut sums = [0.0; 3];
        each_summer(0..summers, &Unwatched, one, |_, (core, all)| {
            for k in 0..3 {
                ratios[k].push(core[k] - all[k]);
                sums[k] += all[k];
            }
        })
        .expect("nobody stops it");
        for (k, what) in ["feeding", "feeding with a trap", "catch"]
            .iter()
            .enumerate()
        {
            let size = sums[k] / f64::from(summers);
            let share: Vec<f64> = ratios[k].iter().map(|d| d / size).collect();
            let (mean, se) = mean_and_se(&share);
            within_four_se(&format!("{name}, {what}"), mean, 0.0, se, 0.0);
            assert!(
                se < 0.02,
                "{name}, {what}: a standard error of {se} tests little"
            );
        }
        let margin = MARGIN_SEGMENTS;
        assert!(
            (margin - 12.0).abs() < 1e-12,
            "the margin that this is about is {margin}"
        );
    }
}

/// Exact: in equilibrium as many come to the core for the first time as, of those who enter the wide arena, ever reach it.
#[test]
fn newcomers_are_counted_alike_from_inside_and_outside() {
    let scenario = shipped("allotment-beetles");
    let prepared = prepare(&scenario, &Unwatched).expect("the yard can be run");
    let (mut inside, mut outside) = (Vec::new(), Vec::new());
    for summer in 0..40 {
        let ground = Ground::for_summer(&scenario, summer);
        let core = core_of(&ground);
        let arrivals = prepared.arrivals(&ground);
        inside.push(arrivals.insects(&ground).count() as f64);
        let all = whole(ground.clone());
        let mut reach = 0;
        for mut insect in prepared.arrivals(&all).insects(&all) {
            let mut touches = Touches {
                core,
                yes: core.contains(insect.at),
            };
            let mut bare = all.clone();
            bare.plants.clear();
            bare.lookup = lurefield::engine::lookup::PlantLookup::new(&[], 2.0);
            let none = lurefield::engine::flight::Lures::none();
            let end_s = bare.clock.end_s();
            lurefield::engine::flight::live(
                &bare,
                &none,
                &mut insect,
                &mut [],
                end_s,
                &mut touches,
            );
            reach += u32::from(touches.yes);
        }
        outside.push(f64::from(reach));
    }
    let size = mean_and_se(&outside).0;
    let apart: Vec<f64> = inside
        .iter()
        .zip(&outside)
        .map(|(a, b)| (a - b) / size)
        .collect();
    let (mean, se) = mean_and_se(&apart);
    within_four_se("newcomers", mean, 0.0, se, 0.0);
}

struct Touches {
    core: Rect,
    yes: bool,
}

impl Observer for Touches {
    fn hear(&mut self, event: &Event) {
        if let Event::Flew(from, to) = *event {
            self.yes |= self.core.clip(from, to).is_some();
        }
    }
}

/// Exact: insects that fly straight on for ever never come back, so all who cross the edge of the core are newcomers, and
/// their number is the flux n·v/π over its edge.
#[test]
fn straight_flight_makes_everyone_a_newcomer() {
    let scenario = shipped("allotment-beetles");
    let mut ground = Ground::for_summer(&scenario, 3);
    ground.walk.turn = TurnLaw::Uniform(0.0);
    ground.pest.bout_mean = 1e9;
    ground.death_per_s = 0.0;
    let density = 1e-3;
    let arrivals = lurefield::engine::arrival::draw(&ground, &[], density, &[1.0; 10], None);
    let made = arrivals.insects(&ground).filter(|i| !i.from_start).count() as f64;
    assert_eq!(made, f64::from(arrivals.over_edge));
    let core = core_of(&ground);
    let flux = density * ground.pest.speed / std::f64::consts::PI * core.perimeter();
    let wanted = flux * ground.clock.end_s();
    within_four_se("flux", made, wanted, wanted.sqrt(), 0.0);
}

/// Day weights thin the insects by the day on which they came into the wide land, not on which they reached the core.
#[test]
fn nobody_comes_before_the_season() {
    let scenario = shipped("allotment-beetles");
    let ground = Ground::for_summer(&scenario, 3);
    let mut weights = [0.0; 10];
    weights[6..].fill(1.0);
    let arrivals = lurefield::engine::arrival::draw(&ground, &[], 1e-3, &weights, None);
    let first_s = 6.0 * ground.clock.day_s;
    let times: Vec<f64> = arrivals.insects(&ground).map(|i| i.t_s).collect();
    assert!(times.len() > 100, "{}", times.len());
    assert!(times.iter().all(|t| *t >= first_s));
    let Arena { outline, .. } = ground.arena;
    let Outline::Rect(wide) = outline else {
        panic!("yards are rectangles");
    };
    let room = core_of(&ground).x0 - wide.x0;
    assert!((room - MARGIN_SEGMENTS * ground.pest.segment_mean).abs() < 1e-9);
}
