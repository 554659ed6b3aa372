//! Whole yards: what must not change a result, and what must balance.

use crate::common::{FOUR_SE, mean_and_se, within_four_se};
use crate::yard::seed::seed;
use crate::yard::{trap, yard};
use lurefield::count::plans::plan_summer;
use lurefield::count::prepare::{Prepared, prepare};
use lurefield::count::summer::{MapCount, SummerTally};
use lurefield::engine::ensemble::{Unwatched, run_plan};
use lurefield::engine::event::{Event, Fate, Observer};
use lurefield::engine::flight::{Lures, live};
use lurefield::engine::ground::{Ground, LOOKUP_CELL_M};
use lurefield::engine::insect::Insect;
use lurefield::engine::lookup::PlantLookup;
use lurefield::engine::lure::LureMemory;
use lurefield::engine::random::{Purpose, ShortStream};
use lurefield::geometry::Point;
use lurefield::scenario::{Scenario, Source, Wind, WindSector};
use lurefield::study::run::run;
use std::f64::consts::{FRAC_PI_2, PI};

const VINES: &[(f64, f64)] = &[(6.0, 9.0), (8.0, 9.0), (10.0, 9.0), (14.0, 4.0)];

fn tally_of(prepared: &Prepared, ground: &Ground, plan: usize) -> SummerTally {
    let scenario = prepared.scenario;
    let maps = MapCount::new(scenario.yard, scenario.settings.cell_m);
    plan_summer(prepared, ground, &scenario.plans[plan], Some(maps)).0
}

/// A yard whose density is given, not fitted: for what holds at any density, without the pilot.
fn unfitted(scenario: &Scenario, day_by_day: bool) -> Prepared<'_> {
    Prepared {
        scenario,
        density_factor: 1.0,
        day_by_day,
        mating: false,
    }
}

#[test]
fn lure_of_no_strength_equals_no_trap_to_the_bit() {
    let mut scenario = yard(20.0, VINES, &[("dead lure", &[(12.0, 12.0)])]);
    scenario.plans[1].traps[0].strength = 0.0;
    let prepared = unfitted(&scenario, false);
    for summer in 0..3 {
        let ground = Ground::for_summer(&scenario, summer);
        let none = tally_of(&prepared, &ground, 0);
        let mut dead = tally_of(&prepared, &ground, 1);
        assert!(none.segments > 2_000, "{}", none.segments);
        dead.caught.clear();
        dead.caught_by_day.clear();
        assert_eq!(none, dead);
        // The same with the dead lure kept in the list: the engine itself must not mind it.
        let mut lures = Lures::new(vec![ground.lure_site(&scenario.plans[1].traps[0], 0)]);
        let (_, _, rules) = prepared.lures(&ground, &scenario.plans[0]);
        let arrivals = prepared.arrivals(&ground);
        let maps = MapCount::new(scenario.yard, scenario.settings.cell_m);
        let mut kept = SummerTally::new(VINES.len(), 1, ground.clock.days, Some(maps));
        run_plan(&ground, &arrivals, &mut lures, &rules, &mut kept);
        kept.insects.initial = none.insects.initial;
        kept.insects.entered = none.insects.entered;
        kept.bags.clone_from(&none.bags);
        kept.caught.clear();
        kept.caught_by_day.clear();
        assert_eq!(none, kept);
    }
}

#[test]
fn halving_the_lookup_cell_changes_no_bit() {
    let vines: Vec<(f64, f64)> = (0..24)
        .map(|i| (4.0 + 1.9 * f64::from(i % 8), 5.0 + 4.3 * f64::from(i / 8)))
        .collect();
    let scenario = yard(24.0, &vines, &[("one", &[(12.0, 12.0)])]);
    let prepared = prepare(&scenario, &Unwatched).unwrap();
    for summer in 0..2 {
        let mut ground = Ground::for_summer(&scenario, summer);
        let usual = tally_of(&prepared, &ground, 1);
        assert!(usual.fed_ticks.iter().any(|&t| t > 0));
        for cell in [0.5 * LOOKUP_CELL_M, 0.37, 50.0] {
            ground.lookup = PlantLookup::new(&ground.plants, cell);
            assert_eq!(usual, tally_of(&prepared, &ground, 1), "cell {cell}");
        }
    }
}

#[test]
fn halving_the_map_cell_changes_no_damage() {
    let mut scenario = yard(20.0, VINES, &[("one", &[(12.0, 12.0)])]);
    scenario.settings.summers = 4;
    let coarse = run(&prepare(&scenario, &Unwatched).unwrap(), &Unwatched).unwrap();
    scenario.settings.cell_m *= 0.5;
    let fine = run(&prepare(&scenario, &Unwatched).unwrap(), &Unwatched).unwrap();
    for (a, b) in coarse.plans.iter().zip(&fine.plans) {
        assert_eq!(a.damage_by_summer, b.damage_by_summer);
        assert_eq!(a.plant_feeding_h, b.plant_feeding_h);
        assert_eq!(a.caught_by_summer, b.caught_by_summer);
        assert_eq!(a.answers, b.answers);
    }
}

/// A yard without symmetry, in a wind that is mostly from the south-west.
fn lopsided(place: impl Fn(f64, f64) -> (f64, f64), turn_wind: impl Fn(f64) -> f64) -> Scenario {
    let vines: Vec<(f64, f64)> = VINES.iter().map(|v| place(v.0, v.1)).collect();
    let mut scenario = yard(20.0, &vines, &[("one", &[place(12.5, 13.0)])]);
    let sector = |from_rad: f64, share: f64| WindSector {
        from_rad: turn_wind(from_rad),
        width_rad: 0.5,
        share,
        speed_m_per_s: 3.5,
    };
    scenario.wind = Wind::Rose {
        said: "invented".into(),
        sectors: vec![sector(1.25 * PI, 0.7), sector(0.3, 0.2)],
        calm_share: 0.1,
        persistence: [0.5, 0.8],
    };
    scenario.settings.summers = 240;
    scenario
}

/// Feeding on each plant, catch, and answers from either side of the trap as seen toward the first vine.
struct Sides {
    fed: Vec<u64>,
    caught: u64,
    trap: Point,
    toward: (f64, f64),
    answers: [u64; 2],
}

impl Observer for Sides {
    fn hear(&mut self, event: &Event) {
        match *event {
            Event::Fed(meal) => self.fed[meal.plant as usize] += meal.ticks + meal.late_ticks,
            Event::Answered(_, at) => {
                let (dx, dy) = (at.x - self.trap.x, at.y - self.trap.y);
                let along = dx * self.toward.0 + dy * self.toward.1;
                self.answers[usize::from(along > 0.0)] += 1;
            }
            Event::Over {
                fate: Fate::Caught(_),
                ..
            } => self.caught += 1,
            _ => {}
        }
    }
}

/// What [`Sides`] counts with the trap, for each summer.
///
/// The density is given, not fitted: the pilot's own error would be shared by all summers.
fn by_summer(scenario: &Scenario) -> Vec<Vec<f64>> {
    let prepared = unfitted(scenario, scenario.plans[1].traps[0].empty_every_d.is_some());
    let mut columns = vec![Vec::new(); VINES.len() + 3];
    for summer in 0..scenario.settings.summers {
        let ground = Ground::for_summer(scenario, summer);
        let (mut lures, _, rules) = prepared.lures(&ground, &scenario.plans[1]);
        let trap = scenario.plans[1].traps[0].at;
        let vine = scenario.plants[0].at;
        let mut sides = Sides {
            fed: vec![0; VINES.len()],
            caught: 0,
            trap,
            toward: (vine.x - trap.x, vine.y - trap.y),
            answers: [0; 2],
        };
        let arrivals = prepared.arrivals(&ground);
        run_plan(&ground, &arrivals, &mut lures, &rules, &mut sides);
        for (i, &ticks) in sides.fed.iter().enumerate() {
            columns[i].push(ticks as f64);
        }
        columns[VINES.len()].push(sides.caught as f64);
        columns[VINES.len() + 1].push(sides.answers[0] as f64);
        columns[VINES.len() + 2].push(sides.answers[1] as f64);
    }
    columns
}

/// The summers share their biology, so the difference is taken summer by summer.
fn same_within_error(what: &str, a: &[Vec<f64>], b: &[Vec<f64>]) {
    for (k, (a, b)) in a.iter().zip(b).enumerate() {
        let differences: Vec<f64> = a.iter().zip(b).map(|(a, b)| a - b).collect();
        let (mean, se) = mean_and_se(&differences);
        within_four_se(&format!("{what}, column {k}"), mean, 0.0, se, 0.0);
    }
}

#[test]
fn mirrored_and_rotated_yards_give_the_same_damage_and_catch() {
    let plain = by_summer(&lopsided(|x, y| (x, y), |w| w));
    let mirrored = by_summer(&lopsided(|x, y| (20.0 - x, y), |w| -w));
    same_within_error("mirrored", &plain, &mirrored);
    // A quarter turn counter-clockwise takes a bearing back by a quarter.
    let rotated = by_summer(&lopsided(|x, y| (20.0 - y, x), |w| w - FRAC_PI_2));
    same_within_error("rotated", &plain, &rotated);
    // The same by turning the map: the top points east, so what was west is up.
    let mut turned = lopsided(|x, y| (20.0 - y, x), |w| w);
    turned.up_bearing_rad = FRAC_PI_2;
    same_within_error("turned map", &plain, &by_summer(&turned));
    // The check has teeth: half a turn of the yard but not of the wind changes which side the answers come from. The lean
    // of each summer counts, since a summer of many insects would drown the others.
    let wrong = by_summer(&lopsided(|x, y| (20.0 - x, 20.0 - y), |w| w));
    let leans = |yard: &[Vec<f64>]| -> Vec<f64> {
        let [near, far] = [&yard[VINES.len() + 2], &yard[VINES.len() + 1]];
        let lean = |(n, f): (&f64, &f64)| (n - f) / (n + f).max(1.0);
        near.iter().zip(far).map(lean).collect()
    };
    let (plain, wrong) = (leans(&plain), leans(&wrong));
    let differences: Vec<f64> = plain.iter().zip(&wrong).map(|(a, b)| a - b).collect();
    let (mean, se) = mean_and_se(&differences);
    assert!(
        mean.abs() > FOUR_SE * se,
        "the wind must matter: {mean} ± {se}"
    );
}

/// Everything that is told about a life, in order.
#[derive(Default)]
struct Log(Vec<Event>);

impl Observer for Log {
    fn hear(&mut self, event: &Event) {
        self.0.push(*event);
    }
}

#[test]
fn insect_lives_the_same_life_until_its_first_answer() {
    let scenario = yard(20.0, VINES, &[("two", &[(12.0, 12.0), (3.0, 16.0)])]);
    let mut prepared = prepare(&scenario, &Unwatched).unwrap();
    prepared.density_factor *= 8.0;
    let ground = Ground::for_summer(&scenario, 1);
    let arrivals = prepared.arrivals(&ground);
    let (lures, _, _) = prepared.lures(&ground, &scenario.plans[1]);
    let end_s = ground.clock.end_s();
    let log_of = |first: &Insect, lures: &Lures| {
        let mut insect = *first;
        let mut memory = vec![LureMemory::NEW; lures.sites.len()];
        let mut log = Log::default();
        live(&ground, lures, &mut insect, &mut memory, end_s, &mut log);
        log.0
    };
    let (mut never, mut later) = (0, 0);
    for first in arrivals.insects(&ground).take(4000) {
        let id = first.id;
        let without = log_of(&first, &Lures::none());
        let with = log_of(&first, &lures);
        match with.iter().position(|t| matches!(t, Event::Answered(..))) {
            None => {
                assert_eq!(without, with, "insect {id} met no lure");
                never += 1;
            }
            Some(n) => {
                // The flight that ends in the answer was cut short; all before it is the same, and it starts alike.
                assert_eq!(without[..n - 1], with[..n - 1], "insect {id}");
                let (Event::Flew(a, _), Event::Flew(b, _)) = (&without[n - 1], &with[n - 1]) else {
                    panic!("insect {id}: an answer comes in flight");
                };
                assert_eq!(a, b);
                later += 1;
            }
        }
    }
    assert!(never > 100 && later > 100, "{never} never, {later} later");
}

/// Counts the catch by day.
struct CatchByDay(Vec<u64>);

impl Observer for CatchByDay {
    fn hear(&mut self, event: &Event) {
        if let Event::Over {
            fate: Fate::Caught(_),
            day,
            ..
        } = *event
        {
            self.0[day as usize] += 1;
        }
    }
}

#[test]
fn full_trap_keeps_nothing_until_it_is_emptied() {
    let mut scenario = yard(20.0, VINES, &[("one", &[(12.0, 12.0)])]);
    scenario.plans[1].traps[0].empty_every_d = Some(5);
    let full_at = 3.0;
    scenario.trap_kinds[0].values.capacity.value = full_at;
    scenario.trap_kinds[0].values.capacity.range = None;
    let prepared = prepare(&scenario, &Unwatched).unwrap();
    let mut full_days = 0;
    for summer in 0..16 {
        let ground = Ground::for_summer(&scenario, summer);
        let (mut lures, _, mut rules) = prepared.lures(&ground, &scenario.plans[1]);
        rules.day_by_day = true;
        let arrivals = prepared.arrivals(&ground);
        let mut count = CatchByDay(vec![0; 14]);
        run_plan(&ground, &arrivals, &mut lures, &rules, &mut count);
        let mut held = 0;
        for (day, &caught) in count.0.iter().enumerate() {
            if day % 5 == 0 {
                held = 0;
            }
            if held as f64 >= full_at {
                assert_eq!(caught, 0, "summer {summer}, day {day}: the trap was full");
                full_days += 1;
            }
            held += caught;
        }
    }
    assert!(full_days > 20, "only {full_days} full days");
}

#[test]
fn living_by_days_gives_the_same_damage_as_living_at_once() {
    let mut scenario = yard(20.0, VINES, &[("one", &[(12.0, 12.0)])]);
    scenario.settings.summers = 60;
    let at_once = by_summer(&scenario);
    // Emptied every day and never full: only the way of running differs.
    scenario.plans[1].traps[0].empty_every_d = Some(1);
    scenario.trap_kinds[0].values.capacity.value = 1e9;
    scenario.trap_kinds[0].values.capacity.range = None;
    assert_eq!(at_once, by_summer(&scenario), "to the bit");
}

#[test]
fn insects_and_answers_balance_in_random_yards() {
    for case in 0..18 {
        let mut u = ShortStream::new(seed(99), 0, case, Purpose::Biology);
        let side = 8.0 + 22.0 * u.uniform();
        let mut place = || (side * u.uniform(), side * u.uniform());
        let vines: Vec<(f64, f64)> = (0..=case % 9).map(|_| place()).collect();
        let traps: Vec<(f64, f64)> = (0..case % 6).map(|_| place()).collect();
        let source = place();
        let mut scenario = yard(side, &vines, &[("some", &traps)]);
        scenario.settings.seed = seed(u64::from(case) << 20);
        scenario.settings.summers = 4;
        scenario.window.days = 2 + case % 4;
        scenario.window.day_weights = vec![1.0; scenario.window.days as usize];
        scenario.pressure.low = 0.1;
        scenario.pressure.high = 0.3;
        scenario.isolated = case % 3 == 0;
        if case % 4 == 1 {
            scenario.pest = lurefield::catalogue::pest("gray-field-slug").unwrap();
            scenario.lures = vec![lurefield::catalogue::lure("slug-beer").unwrap()];
            let slug_host = scenario.crops[0].kind.hosts["gray-field-slug"].clone();
            scenario.crops[0].host.detection = slug_host.detection;
            scenario.crops[0].host.acceptance = slug_host.acceptance;
            // Few are seen of the many that are about.
            scenario.pressure.low = 0.02;
            scenario.pressure.high = 0.06;
        }
        if case % 5 == 2 {
            scenario.sources.push(Source {
                name: "lawn".into(),
                at: Point::new(source.0, source.1),
                bed: None,
                radius_m: 3.0,
                per_day_low: 10.0,
                per_day_high: 40.0,
            });
        }
        for (i, t) in scenario.plans[1].traps.iter_mut().enumerate() {
            if case % 2 == 0 {
                t.empty_every_d = Some(1 + i as u32);
            }
            if case % 7 == 3 {
                t.catch_radius_m = Some(1.5);
            }
            t.n_lures = 1 + i as u32 % 3;
            t.from_day = i as u32 % 2;
        }
        if case % 6 == 5 {
            scenario.plans[1].traps.push(trap(side / 2.0, side / 2.0));
        }
        let crawls = scenario.pest.mover == lurefield::catalogue::Mover::Crawler;
        let outcome = run(&unfitted(&scenario, crawls), &Unwatched).unwrap();
        for plan in &outcome.plans {
            assert!(plan.insects.balances(), "case {case}: {:?}", plan.insects);
            let a = plan.answers;
            assert_eq!(
                a.answered,
                a.caught + a.landed_on_plant + a.went_away + a.unfinished,
                "case {case}: {a:?}"
            );
            assert_eq!(a.caught, plan.insects.caught, "case {case}");
            assert!(
                plan.insects.initial + plan.insects.entered > 0,
                "case {case}: empty"
            );
            assert!(
                plan.damage_by_summer
                    .iter()
                    .all(|d| (0.0..=100.0).contains(d))
            );
        }
    }
}

/// Death or the end of the day between the arrestment radius and the plant must not make feeding negative.
#[test]
fn insect_that_dies_on_the_last_metres_feeds_for_no_time() {
    let mut scenario = yard(20.0, &[(10.0, 10.0)], &[("by the vine", &[(10.5, 10.0)])]);
    // Lives of a minute, so that many end on the last metres.
    scenario.pest.values.daily_survival.value = 1e-150;
    scenario.pest.values.daily_survival.range = None;
    scenario.pressure.low = 0.05;
    scenario.pressure.high = 0.05;
    scenario.window.days = 1;
    scenario.window.day_weights = vec![1.0];
    let ground = Ground::for_summer(&scenario, 0);
    let arrivals = lurefield::engine::arrival::draw(&ground, &[], 0.02, &[1.0], None);
    let lures = Lures::new(
        ground
            .lures_of(&scenario.plans[1])
            .into_iter()
            .map(|l| l.1)
            .collect(),
    );
    let mut log = Log::default();
    let mut memory = vec![LureMemory::NEW; 1];
    for mut insect in arrivals.insects(&ground) {
        memory.fill(LureMemory::NEW);
        live(
            &ground,
            &lures,
            &mut insect,
            &mut memory,
            ground.clock.end_s(),
            &mut log,
        );
    }
    let day_ticks = lurefield::engine::flight::ticks(ground.clock.end_s());
    let mut meals = 0;
    for told in &log.0 {
        if let Event::Fed(meal) = told {
            assert!(meal.ticks <= day_ticks, "{meal:?}");
            meals += 1;
        }
    }
    assert!(meals > 100, "only {meals} meals");
}
