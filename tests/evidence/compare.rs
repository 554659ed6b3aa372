//! Plans against doing nothing: exact identities, published field patterns (bands in `tests/data/compare-bands.json`,
//! each with its date and what had been seen before it) and how far each holds. What each method does stands in
//! `methods.rs`.

use crate::yard::seed::seed;
use lurefield::control::males::share_mated;
use lurefield::count::plans::plan_summer;
use lurefield::count::prepare::prepare;
use lurefield::count::seasons::seasons;
use lurefield::engine::ensemble::Unwatched;
use lurefield::engine::ground::Ground;
use lurefield::scenario::{Scenario, read};
use lurefield::study::compare::{CompareOutcome, How, PlanCompared, compare};
use lurefield::study::run::run;
use lurefield::study::settle::Take;
use std::sync::LazyLock;

pub(crate) fn scenario(text: &str) -> Scenario {
    let mut yard = read(text, "test.json", &|_| Err("no files".into()))
        .unwrap_or_else(|faults| panic!("{}", faults[0]));
    yard.settings.seed = seed(yard.settings.seed);
    yard
}

pub(crate) fn shipped(name: &str, summers: u32) -> Scenario {
    let path = format!("{}/scenarios/{name}", env!("CARGO_MANIFEST_DIR"));
    let mut yard = scenario(&std::fs::read_to_string(path).unwrap());
    yard.settings.summers = summers;
    yard
}

pub(crate) fn compared(yard: &Scenario) -> CompareOutcome {
    let prepared = prepare(yard, &Unwatched).unwrap();
    let how = How {
        take: Take::exactly(yard.settings.summers),
        spread: false,
    };
    compare(&prepared, how, &Unwatched).unwrap()
}

pub(crate) fn plan<'a>(outcome: &'a CompareOutcome, name: &str) -> &'a PlanCompared {
    outcome.plans.iter().find(|p| p.name == name).unwrap()
}

fn band(name: &str, key: &str) -> serde_json::Value {
    let bands: serde_json::Value =
        serde_json::from_str(include_str!("../data/compare-bands.json")).unwrap();
    let value = bands["bands"][name][key].clone();
    assert!(!value.is_null(), "no band {name}, {key}");
    value
}

fn number(name: &str, key: &str) -> f64 {
    band(name, key).as_f64().unwrap()
}

fn range(name: &str, key: &str) -> [f64; 2] {
    serde_json::from_value(band(name, key)).unwrap()
}

/// One grape in the middle of open ground, 60 m by 60 m, wind from the west.
pub(crate) fn grape(plans: &str, pressure: &str, summers: u32) -> Scenario {
    scenario(&format!(
        r#"{{ "format": 1, "title": "t", "yard": {{ "width": 60, "depth": 60 }},
        "crops": [{{ "name": "plant", "kind": "grape", "single": [30, 30] }}],
        "surroundings": {{ "pressure": {{ "on_plants_a_day": {pressure} }} }},
        "wind": {{ "usually_from": "west", "strength": "light" }},
        "pest": "japanese-beetle", "window": {{ "days": 7 }},
        "plans": [{{ "name": "no trap" }}, {plans}],
        "settings": {{ "summers": {summers}, "seed": 11 }} }}"#
    ))
}

fn hung(name: &str, places: &[(f64, f64)]) -> String {
    let traps: Vec<String> = places
        .iter()
        .map(|(x, y)| format!(r#"{{ "at": [{x}, {y}] }}"#))
        .collect();
    format!(r#"{{ "name": "{name}", "traps": [{}] }}"#, traps.join(", "))
}

/// Places on a circle round the plant.
fn ring(n: usize, radius_m: f64) -> Vec<(f64, f64)> {
    (0..n)
        .map(|i| {
            let turn = 2.0 * std::f64::consts::PI * i as f64 / n as f64;
            let (s, c) = lurefield::engine::random::sin_cos(turn);
            (30.0 + radius_m * c, 30.0 + radius_m * s)
        })
        .collect()
}

/// Six vines in a row, plans of methods.
pub(crate) fn vines(plans: &str, extra: &str, summers: u32) -> Scenario {
    scenario(&format!(
        r#"{{ "format": 1, "title": "t", "yard": {{ "width": 60, "depth": 60 }},
        "crops": [{{ "name": "vines", "kind": "grape", "row": {{ "from": [20, 30], "to": [40, 30], "count": 6 }} }},
                  {{ "name": "roses", "kind": "rose", "row": {{ "from": [20, 36], "to": [40, 36], "count": 6 }}, "trap_crop": true }}],
        "surroundings": {{ "pressure": {{ "on_plants_a_day": [8, 32] }} {extra} }},
        "pest": "japanese-beetle", "window": {{ "days": 10 }},
        "plans": [{{ "name": "nothing" }}, {plans}],
        "settings": {{ "summers": {summers}, "seed": 12 }} }}"#
    ))
}

#[test]
fn a_lure_without_strength_makes_no_change_in_20_of_20() {
    let yard = grape(
        r#"{ "name": "empty", "traps": [{ "at": [33, 30], "strength": 0 }] }"#,
        "[2, 8]",
        40,
    );
    let outcome = compared(&yard);
    let empty = plan(&outcome, "empty");
    assert_eq!(
        (empty.finding.count.no_change, empty.finding.count.rare),
        (20, None)
    );
    assert_eq!(
        (empty.finding.change.mean, empty.finding.change.error),
        (0.0, 0.0)
    );
    assert_eq!(empty.pairing_factor, None);
}

#[test]
fn a_plan_and_its_copy_differ_by_exactly_nothing() {
    let one = r#""traps": [{ "at": [33, 33] }], "methods": [
        { "method": "hand-removal", "crops": ["vines"] },
        { "method": "row-cover", "crops": ["vines"], "mesh_mm": 3, "from_day": 4 },
        { "method": "repellent", "crops": ["vines"] },
        { "method": "trap-crop", "every": 2 }]"#;
    let yard = vines(
        &format!(r#"{{ "name": "one", {one} }}, {{ "name": "copy", {one} }}"#),
        "",
        30,
    );
    let run = compared(&yard).run;
    assert_eq!(run.plans[1].damage_by_summer, run.plans[2].damage_by_summer);
    assert_eq!(run.plans[1].insects, run.plans[2].insects);
    assert_ne!(run.plans[0].damage_by_summer, run.plans[1].damage_by_summer);
}

#[test]
fn plans_run_together_give_the_same_bits_as_each_by_itself() {
    let mut yard = shipped("allotment-beetles.json", 12);
    let more = vines(
        r#"{ "name": "crop", "methods": [{ "method": "trap-crop", "every": 1 }] },
           { "name": "water", "methods": [{ "method": "water-spray", "crops": ["vines"] }] },
           { "name": "both", "traps": [{ "at": [33, 33] }], "methods": [{ "method": "repellent", "crops": ["vines"] }] }"#,
        r#", "sources": [{ "name": "bed", "bed": "vines", "a_day": 20 }]"#,
        12,
    );
    yard.settings.cell_m = 1.0;
    for yard in [&yard, &more] {
        let prepared = prepare(yard, &Unwatched).unwrap();
        let together = run(&prepared, &Unwatched).unwrap();
        for (outcome, plan) in together.plans.iter().zip(&yard.plans) {
            let mut feeding = vec![0_u64; yard.plants.len()];
            let mut account = lurefield::count::outcome::InsectAccount::default();
            for summer in 0..12 {
                let ground = Ground::for_summer(yard, summer);
                let (tally, _) = plan_summer(&prepared, &ground, plan, None);
                account.add(&tally.insects);
                for (sum, ticks) in feeding.iter_mut().zip(&tally.fed_ticks) {
                    *sum += ticks;
                }
            }
            assert_eq!(outcome.insects, account, "{}", plan.name);
            let hours: Vec<f64> = feeding
                .iter()
                .map(|t| *t as f64 / (1024.0 * 3600.0 * 12.0))
                .collect();
            assert_eq!(outcome.plant_feeding_h, hours, "{}", plan.name);
        }
    }
}

#[test]
fn lives_under_methods_are_the_same_day_by_day_and_at_once() {
    let yard = vines(
        r#"{ "name": "all", "methods": [
            { "method": "hand-removal", "crops": ["vines"], "times": ["8:00", "14:00", "19:00"] },
            { "method": "row-cover", "crops": ["vines"], "mesh_mm": 0, "from_day": 3, "to_day": 8 },
            { "method": "water-spray", "crops": ["vines"], "times": ["20:30"] }] }"#,
        r#", "sources": [{ "name": "bed", "bed": "vines", "a_day": 20 }]"#,
        15,
    );
    let mut prepared = prepare(&yard, &Unwatched).unwrap();
    let at_once = run(&prepared, &Unwatched).unwrap();
    prepared.day_by_day = true;
    let by_day = run(&prepared, &Unwatched).unwrap();
    assert_eq!(
        at_once.plans[1].damage_by_summer,
        by_day.plans[1].damage_by_summer
    );
    assert_eq!(at_once.plans[1].insects, by_day.plans[1].insects);
    let insects = &at_once.plans[1].insects;
    assert!(insects.removed > 0 && insects.killed > 0 && insects.balances());
}

#[test]
fn each_method_acts_as_it_should_alone_and_with_others() {
    let outcome = compared(&vines(
        r#"{ "name": "net", "methods": [{ "method": "row-cover", "crops": ["vines"], "mesh_mm": 4 }] },
           { "name": "wide net", "methods": [{ "method": "row-cover", "crops": ["vines"], "mesh_mm": 8 }] },
           { "name": "late net", "methods": [{ "method": "row-cover", "crops": ["vines"], "mesh_mm": 4, "from_day": 8 }] },
           { "name": "open net", "methods": [{ "method": "row-cover", "crops": ["vines"], "mesh_mm": 4, "open_days": [3, 7] }] },
           { "name": "hands", "methods": [{ "method": "hand-removal", "crops": ["vines"] }] },
           { "name": "hands 2 days", "methods": [{ "method": "hand-removal", "crops": ["vines"], "days_a_week": 2 }] },
           { "name": "spray", "methods": [{ "method": "repellent", "crops": ["vines"] }] },
           { "name": "water", "methods": [{ "method": "water-spray", "crops": ["vines"] }] },
           { "name": "roses", "methods": [{ "method": "trap-crop" }] },
           { "name": "roses cleared", "methods": [{ "method": "trap-crop", "every": 1 }] },
           { "name": "net and hands", "methods": [{ "method": "row-cover", "crops": ["vines"], "mesh_mm": 4 }, { "method": "hand-removal", "crops": ["vines"] }] }"#,
        "",
        80,
    ));
    let change = |name: &str| {
        let p = plan(&outcome, name);
        (p.finding.change.mean, p.finding.change.error)
    };
    for name in [
        "net",
        "late net",
        "open net",
        "hands",
        "hands 2 days",
        "spray",
        "water",
    ] {
        let (mean, se) = change(name);
        assert!(mean < -4.0 * se, "{name}: {mean} +- {se}");
    }
    assert_eq!(change("wide net"), (0.0, 0.0));
    let order = |a: &str, b: &str| assert!(change(a).0 < change(b).0, "{a} not below {b}");
    order("net", "open net");
    order("open net", "late net");
    order("hands", "hands 2 days");
    order("net and hands", "net");
    order("net and hands", "hands");
    order("roses cleared", "roses");
    let hands = plan(&outcome, "hands");
    assert!(hands.removed_mean > 0.0 && hands.caught_mean == 0.0);
    assert!(plan(&outcome, "hands").effort.minutes[1] > 0.0);
    assert_eq!(plan(&outcome, "nothing").effort.minutes[1], 0.0);
}

const COVER: &str = r#"{ "name": "net", "methods": [{ "method": "row-cover", "crops": ["vines"], "mesh_mm": 0 }] }"#;

/// The vines with nothing else about, and under a net, for tests that change what is about.
static PLAIN_VINES: LazyLock<CompareOutcome> = LazyLock::new(|| compared(&vines(COVER, "", 60)));

#[test]
fn a_cover_fails_when_the_pest_comes_out_of_the_bed() {
    let bed = r#", "sources": [{ "name": "bed", "bed": "vines", "a_day": [60, 80] }]"#;
    let with = compared(&vines(COVER, bed, 60));
    let net = |o: &CompareOutcome| {
        (
            plan(o, "net").finding.change.mean,
            plan(o, "net").finding.change.error,
        )
    };
    let ((clean, clean_se), (infested, se)) = (net(&PLAIN_VINES), net(&with));
    assert!(clean < -4.0 * clean_se, "{clean}");
    assert!(
        infested > 4.0 * se,
        "locked in, they eat more: {infested} +- {se}"
    );
}

#[test]
fn chewed_leaves_that_call_raise_the_damage() {
    let plans =
        r#"{ "name": "hands", "methods": [{ "method": "hand-removal", "crops": ["vines"] }] }"#;
    let call = compared(&vines(plans, r#", "chewed_leaves_call": true"#, 60));
    let damage = |o: &CompareOutcome| plan(o, "nothing").finding.after();
    assert!(
        damage(&call) > damage(&PLAIN_VINES),
        "{} {}",
        damage(&call),
        damage(&PLAIN_VINES)
    );
}

/// Gordon & Potter 1985 (JB1, JB2): one trap at 3.1 m or 9.3 m never lowered defoliation, three at 9.3 m raised it most.
///
/// **Fails in its counts**: the mean is up in all four places, but "more in 11 of 20" does not hold in all of them, where half
/// of the summers stay within one leaf in 100 at one to four beetles a look. Up to 0.4.1 it held, with sets of numbers that
/// were kept because they show this very pattern; since 0.5.0 no trial of damage tunes. At the leaf loss of the trial it
/// holds (next test). Three traps at 9.3 m beat one at 9.3 m, as they should.
#[test]
fn one_trap_near_a_plant_never_lowers_damage_and_three_are_worse() {
    let places = [
        ("3.1 m upwind", (26.9, 30.0)),
        ("3.1 m downwind", (33.1, 30.0)),
        ("9.3 m upwind", (20.7, 30.0)),
        ("9.3 m downwind", (39.3, 30.0)),
    ];
    let mut plans: Vec<String> = places.iter().map(|(n, at)| hung(n, &[*at])).collect();
    plans.push(hung("three", &ring(3, 9.3)));
    let outcome = compared(&grape(&plans.join(", "), "[1, 4]", 150));
    let most_less = number("one trap, four places", "less_of_20_at_most") as usize;
    let least_more = number("one trap, four places", "more_of_20_at_least") as usize;
    let mut enough = 0;
    for (name, _) in places {
        let p = plan(&outcome, name);
        assert!(
            p.finding.count.less <= most_less,
            "{name}: less in {}",
            p.finding.count.less
        );
        assert!(
            p.finding.change.mean > 4.0 * p.finding.change.error,
            "{name}"
        );
        enough += usize::from(p.finding.count.more >= least_more);
    }
    assert!(
        enough < 4,
        "more damage in {least_more} of 20 in all places: the pattern may hold now, say so here"
    );
    let (three, one) = (plan(&outcome, "three"), plan(&outcome, "9.3 m upwind"));
    let ratio = three.finding.after() / one.finding.after();
    assert!(
        ratio > number("three traps at 9.3 m", "ratio_to_one_trap_at_least"),
        "{ratio}"
    );
}

/// The same four places where the vine without a trap loses about what it lost in the trial (22 of 100, JB6,
/// second-hand): there the counts hold in all of them.
#[test]
fn at_the_leaf_loss_of_the_trial_one_trap_is_worse_in_all_places() {
    let places = [
        ("3.1 m upwind", (26.9, 30.0)),
        ("3.1 m downwind", (33.1, 30.0)),
        ("9.3 m upwind", (20.7, 30.0)),
        ("9.3 m downwind", (39.3, 30.0)),
    ];
    let plans: Vec<String> = places.iter().map(|(n, at)| hung(n, &[*at])).collect();
    let outcome = compared(&grape(&plans.join(", "), "[10, 34]", 40));
    let [low, high] = range("leaf loss of the trial without a trap", "of_100");
    let lost = plan(&outcome, "no trap").finding.after();
    assert!((low..=high).contains(&lost), "{lost} of 100 without a trap");
    let most_less = number("one trap, four places", "less_of_20_at_most") as usize;
    let least_more = number("one trap, four places", "more_of_20_at_least") as usize;
    for (name, _) in places {
        let p = plan(&outcome, name);
        assert!(
            p.finding.count.less <= most_less,
            "{name}: {:?}",
            p.finding.count
        );
        assert!(
            p.finding.count.more >= least_more,
            "{name}: {:?}",
            p.finding.count
        );
    }
}

/// Gordon & Potter 1986 (JB4): two to seven traps in five layouts; none lowered damage, four raised it. The layouts
/// themselves were not read; these are five of our own with as many traps.
#[test]
fn two_to_seven_traps_lower_damage_in_no_layout() {
    let row: Vec<(f64, f64)> = (0..5).map(|i| (12.0 + 9.0 * f64::from(i), 20.0)).collect();
    let layouts = [
        ("two beside", vec![(23.0, 30.0), (37.0, 30.0)]),
        (
            "three upwind",
            vec![(20.0, 25.0), (20.0, 30.0), (20.0, 35.0)],
        ),
        ("four round", ring(4, 9.3)),
        ("five in a row", row),
        ("seven round", ring(7, 12.0)),
    ];
    let plans: Vec<String> = layouts.iter().map(|(n, at)| hung(n, at)).collect();
    let outcome = compared(&grape(&plans.join(", "), "[1, 4]", 100));
    let of = |name: &str| plan(&outcome, name);
    let clear = |sign: f64| {
        let beyond = |n: &str| sign * of(n).finding.change.mean > 4.0 * of(n).finding.change.error;
        layouts.iter().filter(|(n, _)| beyond(n)).count() as f64
    };
    let pattern = "two to seven traps, five layouts";
    assert!(clear(-1.0) <= number(pattern, "layouts_lower_at_most"));
    assert!(
        clear(1.0) >= number(pattern, "layouts_higher_at_least"),
        "{}",
        clear(1.0)
    );
}

/// Guignard et al. 2025 (JB12): three clustered traps, one trap with three lures and one trap caught 48 : 30 : 22.
#[test]
fn three_traps_catch_more_than_three_lures_and_those_more_than_one() {
    let plans = [
        hung("one", &[(30.0, 45.0)]),
        r#"{ "name": "three lures", "traps": [{ "at": [30, 45], "lures": 3 }] }"#.into(),
        hung("three traps", &[(29.5, 45.0), (30.5, 45.0), (30.0, 45.6)]),
    ];
    let outcome = compared(&grape(&plans.join(", "), "[2, 8]", 100));
    let caught = |name: &str| plan(&outcome, name).caught_mean / plan(&outcome, "one").caught_mean;
    let pattern = "catch of three traps and of three lures";
    for (name, key) in [
        ("three traps", "three_traps"),
        ("three lures", "three_lures"),
    ] {
        let [low, high] = range(pattern, key);
        assert!(
            (low..=high).contains(&caught(name)),
            "{name}: {}",
            caught(name)
        );
    }
    assert!(caught("three traps") > caught("three lures"));
}

/// Switzer & Cumming 2014 (HR-1): both below none; once at 19:00 about as good as three times a day.
///
/// Holds since 0.5.0 (about 0.8), when beetles came to move from morning to evening and to feed overnight, as published. Up to
/// 0.4.1 they settled from 9:00 to 15:00 only and had done feeding by 19:00, which gave 0.55. In a trial of 0.3.1 with like
/// hours 0.79 had been seen, so this is no blind pass.
#[test]
fn picking_once_or_three_times_a_day_lowers_damage() {
    let at = |name: &str, times: &str| {
        format!(
            r#"{{ "name": "{name}", "methods": [{{ "method": "hand-removal", "crops": ["vines"], "times": [{times}] }}] }}"#
        )
    };
    let plans = [
        at("8", r#""8:00""#),
        at("14", r#""14:00""#),
        at("19", r#""19:00""#),
        at("three", r#""8:00", "14:00", "19:00""#),
    ];
    let outcome = compared(&vines(&plans.join(", "), "", 120));
    for name in ["8", "14", "19", "three"] {
        let p = plan(&outcome, name);
        assert!(
            p.finding.change.mean < -4.0 * p.finding.change.error,
            "{name}"
        );
    }
    let gain =
        plan(&outcome, "19").finding.change.mean / plan(&outcome, "three").finding.change.mean;
    let wanted = number(
        "picking at 19:00 and three times a day",
        "share_of_the_gain_of_three_at_least",
    );
    assert!((wanted..1.0).contains(&gain), "{gain}");
}

/// What would have to be true for HR-1: beetles that feed all the hours they sit. A check of the cause, not of the world.
#[test]
fn feeding_through_the_night_would_make_19_oclock_the_best_time() {
    let at = |name: &str, times: &str| {
        format!(
            r#"{{ "name": "{name}", "methods": [{{ "method": "hand-removal", "crops": ["vines"], "times": [{times}] }}] }}"#
        )
    };
    let plans = [
        at("14", r#""14:00""#),
        at("19", r#""19:00""#),
        at("three", r#""8:00", "14:00", "19:00""#),
    ];
    let mut yard = vines(&plans.join(", "), "", 160);
    let late = &mut yard.pest.values.late_feeding;
    (late.value, late.range) = (17.9, Some([17.8, 18.0]));
    let outcome = compared(&yard);
    let evening_less_noon = lurefield::stats::paired::differences(
        &outcome.run.plans[1].damage_by_summer,
        &outcome.run.plans[2].damage_by_summer,
    );
    let mean = lurefield::stats::spread::mean(&evening_less_noon);
    let se = lurefield::stats::spread::standard_error(&evening_less_noon).unwrap();
    assert!(mean < -4.0 * se, "19:00 less 14:00: {mean} +- {se}");
    let gain =
        plan(&outcome, "19").finding.change.mean / plan(&outcome, "three").finding.change.mean;
    let wanted = number(
        "picking at 19:00 and three times a day",
        "share_of_the_gain_of_three_at_least",
    );
    assert!(gain >= wanted, "{gain}");
}

/// Nets: EX-1, EX-2, EX-6, EX-7; trade press (P15): 1.2 mm stops spotted-wing drosophila, 1.7 mm does not.
///
/// Holds since 0.5.0 (0.83), when the leak of a net came to be drawn on the scale of exposure. Up to 0.4.1 it was read off per
/// cents of damage in crowded yards, and infested fruit fell by 0.67 only.
#[test]
fn a_fine_net_lowers_damage_as_published_and_a_coarse_or_late_one_does_not() {
    let mut yard = shipped("strawberry-netting.json", 60);
    yard.plans.retain(|p| p.name != "vinegar cup");
    let outcome = compared(&yard);
    let reduction = |name: &str| {
        1.0 - plan(&outcome, name).finding.after() / plan(&outcome, "no net").finding.after()
    };
    let [low, high] = range("nets", "reduction");
    let fine = reduction("fine net, 0.9 mm");
    assert!(
        (low..=high).contains(&fine),
        "{fine} (band {low} to {high})"
    );
    let hours = |name: &str| -> f64 {
        let found = outcome.run.plans.iter().find(|p| p.name == name).unwrap();
        found.plant_feeding_h.iter().sum()
    };
    let flies = 1.0 - hours("fine net, 0.9 mm") / hours("no net");
    assert!(
        (low..=high).contains(&flies),
        "fly-hours: {flies} (band {low} to {high})"
    );
    assert_eq!(
        plan(&outcome, "coarse net, 1.7 mm").finding.change.mean,
        0.0
    );
    assert!(reduction("fine net, put on late") < 0.6 * fine);
}

/// Bags: Leisso et al. 2021 (BG-1). Monitoring: Adams et al. 2017a (ADA17). Mating: PH-10, PH-12, PH-16.
#[test]
fn bags_save_fruit_and_traps_for_males_do_not() {
    let mut yard = shipped("dozen-apples-codling-moth.json", 30);
    yard.plans.retain(|p| p.name != "net over the trees");
    for plan in &mut yard.plans {
        for method in &mut plan.methods {
            if let lurefield::control::Action::Bags(bags) = &mut method.action {
                bags.share = 1.0;
            }
        }
    }
    let outcome = compared(&yard);
    let none = plan(&outcome, "no trap");
    let bags = plan(&outcome, "bags on half the fruit");
    let reduction = 1.0 - bags.finding.after() / none.finding.after();
    let [low, high] = range("bags", "reduction");
    assert!((low..=high).contains(&reduction), "{reduction}");
    for name in ["one trap", "four traps"] {
        let p = plan(&outcome, name);
        assert!(
            p.finding.change.mean.abs() < number("monitoring trap", "mean_change_within"),
            "{name}"
        );
        assert_eq!(p.finding.count.no_change, 20, "{name}");
        assert!(p.caught_mean > 0.0);
        assert!(p.mating.males_caught > 0 && p.mating.outside_mated > 0);
    }
    assert_eq!(none.mating.males_caught, 0);
}

/// Males-only trapping: mating gives way only when nearly all males are gone (PH-10), and mated females from outside
/// undo it (PH-12, PH-16). The traps here are far better than real ones, so that nearly all males go.
#[test]
fn catching_males_cuts_mating_only_where_no_female_comes_from_outside() {
    let traps: Vec<String> = (0..36)
        .map(|i| {
            let (x, y) = (2.5 + 5.0 * f64::from(i % 6), 2.5 + 5.0 * f64::from(i / 6));
            format!(r#"{{ "at": [{x}, {y}] }}"#)
        })
        .collect();
    // Moths keep growing up here; those there on the first day mate before any trap has caught a male.
    let yard = |setting: &str| {
        scenario(&format!(
            r#"{{ "format": 1, "title": "t", "yard": {{ "width": 30, "depth": 30 }},
            "crops": [{{ "name": "apples", "kind": "apple", "block": {{ "from": [5, 5], "to": [25, 25], "count": [3, 3] }} }}],
            "surroundings": {{ "pressure": {{ "on_plants_a_day": [0.2, 0.5] }},
                "sources": [{{ "name": "old tree", "at": [15, 15], "a_day": 30 }}] {setting} }},
            "lure_values": {{ "codling-moth-sex": {{ "near_share": [1, 1], "response": [2, 3] }} }},
            "trap_values": {{ "delta": {{ "capture": [0.9, 0.95], "land": [0, 0.05] }} }},
            "pest": {{ "base": "codling-moth", "overrides": {{ "arousal": [0.01, 0.01], "matings": [2, 3], "approach_loss": 0.0001 }} }},
            "window": {{ "days": 14 }},
            "plans": [{{ "name": "none" }}, {{ "name": "many", "traps": [{}] }}],
            "settings": {{ "summers": 20, "seed": 4 }} }}"#,
            traps.join(", ")
        ))
    };
    let closed = compared(&yard(r#", "setting": "isolated", "margin": "10 ft""#));
    let open = compared(&yard(""));
    let share = |p: &PlanCompared| p.mating.local_mated as f64 / p.mating.local_females as f64;
    let (none, many) = (plan(&closed, "none"), plan(&closed, "many"));
    assert!(many.mating.males_caught as f64 > 0.9 * many.mating.males as f64);
    assert!(
        share(many) < 0.5 * share(none),
        "{} {}",
        share(many),
        share(none)
    );
    assert!(many.finding.after() < none.finding.after());
    assert_eq!(many.mating.outside_females, 0);
    let relative =
        |o: &CompareOutcome| plan(o, "many").finding.after() / plan(o, "none").finding.after();
    let (here, there) = (relative(&closed), relative(&open));
    assert!(there > 1.3 * here, "closed {here}, open {there}");
    assert!(plan(&open, "many").mating.outside_mated > 0);
}

/// published-checks PH-8, PH-10.
#[test]
fn males_only_formulas_give_the_published_values() {
    for (caught, share) in [
        (0.0, 0.993),
        (0.5, 0.918),
        (0.8, 0.632),
        (0.9, 0.393),
        (0.95, 0.221),
        (0.99, 0.049),
    ] {
        assert!((share_mated(5.0, caught) - share).abs() < 5e-4, "{caught}");
    }
    for (caught, share) in [(0.5, 0.993), (0.9, 0.632), (0.99, 0.095)] {
        assert!((share_mated(10.0, caught) - share).abs() < 5e-4, "{caught}");
    }
}

/// Wawrzynski & Ascerno 1998 (JB23): an isolated population fell to 3 of 100 in four years, 0.416 a year.
///
/// **Its pace is not tested**: with 24 repeats two dozen traps on two hectares give 0.59 a year, by a hair inside the band
/// (0.25 to 0.6), and by few repeats chance decides, since the reach of the lure and the growth without traps (1 to 3 a year)
/// are wide ranges. How many traps stood on how much land in the field was not read. Tested is the direction: it falls
/// every year, a single trap does not hold it (next test), and arrivals from outside undo it.
#[test]
fn an_isolated_population_falls_under_many_traps_and_arrivals_undo_it() {
    let mut yard = shipped("isolated-orchard-perimeter.json", 12);
    // Each plan lives its own years, so those that nobody asks about are left out.
    yard.plans.retain(|p| p.name != "one trap in the field");
    let years = |yard: &Scenario| {
        let prepared = prepare(yard, &Unwatched).unwrap();
        seasons(&prepared, prepared.scenario.settings.summers, &Unwatched)
            .unwrap()
            .unwrap()
    };
    let alone = years(&yard);
    let edge = |o: &lurefield::count::seasons::SeasonsOutcome| {
        o.plans
            .iter()
            .find(|p| p.name == "traps on the edge")
            .unwrap()
            .clone()
    };
    let none = &alone.plans[0];
    let grows = none.insects_of_100.windows(2).all(|w| w[1] >= w[0]);
    assert!(grows && none.insects_of_100[4] > 100.0, "{none:?}");
    assert!(none.insects_of_100[4] <= 300.0 + 1e-9, "{none:?}");
    let course = edge(&alone).insects_of_100;
    assert!(course.windows(2).all(|w| w[1] < w[0]), "{course:?}");
    assert!(course[4] < 40.0, "{course:?}");
    yard.seasons.arrivals = 0.5;
    yard.plans.retain(|p| p.name == "traps on the edge");
    assert!(edge(&years(&yard)).insects_of_100[4] >= 50.0);
}

/// With a single trap the same closed land falls less than the field did (0.416 a year), or grows.
#[test]
fn one_trap_on_the_same_closed_land_does_not_hold_the_population() {
    let mut yard = shipped("isolated-orchard-perimeter.json", 48);
    yard.plans.retain(|p| p.name == "traps on the edge");
    yard.plans[0].traps.truncate(1);
    let prepared = prepare(&yard, &Unwatched).unwrap();
    let outcome = seasons(&prepared, prepared.scenario.settings.summers, &Unwatched)
        .unwrap()
        .unwrap();
    let [low, high] = range("isolated decline", "factor");
    let factor = outcome.plans[0].factor;
    assert!(low < 0.416 && 0.416 < high && factor > 0.416, "{factor}");
}

/// The plans of the allotment on two turns of its fitted sets, for both tests of pairing.
static PAIRED: LazyLock<CompareOutcome> = LazyLock::new(|| {
    let mut yard = shipped("allotment-beetles.json", 0);
    yard.settings.summers = 2 * yard.kept_sets.as_ref().unwrap().len() as u32;
    compared(&yard)
});

/// The same summers for both plans, and fitted sets that take turns, against draws of their own for every plan and summer:
/// the squared error of each mean difference must be at least three times smaller. What pairing alone can do for a plan
/// that spreads summers far more than no trap does is bounded below that (next test).
#[test]
fn the_squared_error_of_each_difference_is_cut_three_fold_against_independent_draws() {
    let outcome = &*PAIRED;
    let cuts: Vec<f64> = outcome
        .plans
        .iter()
        .filter_map(|p| p.variance_cut)
        .collect();
    assert_eq!(cuts.len(), outcome.plans.len() - 1);
    assert!(cuts.iter().all(|cut| *cut >= 3.0), "{cuts:?}");
    assert!(outcome.variance_cut_overall.unwrap() >= 3.0, "{cuts:?}");
    for p in outcome.plans.iter().skip(1) {
        assert!(p.variance_cut >= p.pairing_factor, "{}", p.name);
    }
}

/// Pairing: common random numbers must cut the variance of a difference.
#[test]
fn pairing_cuts_the_variance_of_the_difference() {
    let outcome = &*PAIRED;
    let factors: Vec<f64> = outcome
        .plans
        .iter()
        .filter_map(|p| p.pairing_factor)
        .collect();
    assert!(factors.iter().all(|f| *f > 1.0), "{factors:?}");
    // What spreads summers far more than no trap does no pairing can undo: each factor stays below its own bound, and half
    // of them are above three.
    for p in outcome.plans.iter().skip(1) {
        let (factor, limit) = (p.pairing_factor.unwrap(), p.pairing_limit.unwrap());
        assert!(
            factor <= limit * (1.0 + 1e-9),
            "{}: {factor} of {limit}",
            p.name
        );
    }
    let mut sorted = factors.clone();
    sorted.sort_by(f64::total_cmp);
    assert!(sorted[sorted.len() / 2] > 3.0, "{factors:?}");
    let overall = outcome.pairing_overall.unwrap();
    assert!(
        overall > 1.0 && overall < sorted[sorted.len() - 1],
        "{overall}"
    );
}
