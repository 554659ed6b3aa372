//! The rule that says when enough summers have been taken, and means adjusted by known biology.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a helper of a test that fails should panic; the figures stand in the model description"
)]

use crate::common::{FOUR_SE, within_four_se};
use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::engine::ground::fitted_set;
use lurefield::engine::known::Known;
use lurefield::engine::random::{Purpose, ShortStream};
use lurefield::scenario::Scenario;
use lurefield::scenario::biology::KeptSets;
use lurefield::stats::covariate::{Adjusted, Covariates, FEWEST};
use lurefield::stats::paired::{self, Class, differences};
use lurefield::stats::settle::{MOST, NEAR, mean_settled, next_look};
use lurefield::stats::spread::{mean, standard_error};
use lurefield::stats::words::{Word, settled_word};
use lurefield::study::compare::{How, compare};
use lurefield::study::settle::Take;
use std::fmt::Write as _;
use std::path::Path;

/// Every shipped yard with plans to compare.
const YARDS: [&str; 10] = [
    "allotment-beetles",
    "backyard-pears-stink-bug",
    "dozen-apples-codling-moth",
    "isolated-orchard-perimeter",
    "newark-wind-beetles",
    "patio-wasps",
    "strawberry-netting",
    "strawberry-slugs",
    "street-of-five",
    "weak-lure",
];

fn shipped(yard: &str) -> Scenario {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|e| e.to_string());
    let name = format!("{yard}.json");
    let read = lurefield::scenario::read(&text(&name).unwrap(), &name, &text);
    read.unwrap_or_else(|faults| panic!("{yard}: {faults:?}"))
}

fn taken(values: &[f64], order: &[usize]) -> Vec<f64> {
    order.iter().map(|i| values[*i]).collect()
}

/// Strength and class of a word: 0 for none.
fn strength(word: Option<Word>, way: &'static str) -> (u8, &'static str) {
    match word {
        Some(Word::AlmostAlways) => (3, way),
        Some(Word::Usually) => (2, way),
        Some(_) => (1, way),
        None => (0, ""),
    }
}

/// Words given where the rule stops, against the word of all summers of the table: at most 1 in 100 is stronger, none tells
/// the other side, and at most 1 in 100 tells no change in place of a side with hardly half of the summers, or the reverse.
#[test]
fn a_word_given_early_is_hardly_ever_stronger_than_the_word_of_the_long_run() {
    const SHUFFLES: u32 = 60;
    const BAND: f64 = 1.0;
    let (mut words, mut stronger, mut milder, mut other, mut stops) = (0, 0, 0, 0, Vec::new());
    for yard in YARDS {
        let (scenario, plans) = (shipped(yard), series(yard));
        let changes: Vec<Vec<f64>> = plans[1..]
            .iter()
            .map(|p| differences(&plans[0], p))
            .collect();
        let long = changes.iter().map(|change| {
            let count = paired::count(change, BAND);
            let class = count.class();
            let word = (class != Class::EitherWay).then(|| Word::of(count.leading(), 20));
            strength(word, class.way())
        });
        let long: Vec<(u8, &str)> = long.collect();
        for shuffle in 0..SHUFFLES {
            let order = shuffled(&scenario, plans[0].len(), shuffle);
            let mut done = 0;
            let said = loop {
                done = next_look(done, MOST);
                let said: Vec<_> = changes
                    .iter()
                    .map(|change| {
                        let so_far = taken(change, &order[..done as usize]);
                        settled_word(&paired::count(&so_far, BAND), &so_far, BAND)
                    })
                    .collect();
                if done == MOST || said.iter().all(|s| s.settled) {
                    break said;
                }
            };
            stops.push(f64::from(done));
            for (said, long) in said.iter().zip(&long) {
                let (said, long) = (strength(said.word, said.way), *long);
                let ways = [said.1, long.1];
                assert!(
                    !(ways.contains(&"more") && ways.contains(&"less")),
                    "{yard}: {said:?} {long:?}"
                );
                words += 1;
                let beside = said.0 > 0 && long.0 > 0 && said.1 != long.1;
                other += u32::from(beside);
                stronger += u32::from(!beside && said.0 > long.0);
                milder += u32::from(!beside && said.0 < long.0);
            }
        }
    }
    let summers = mean(&stops);
    println!(
        "{words} words: {stronger} stronger, {milder} milder, {other} of the class beside; {summers:.0} summers"
    );
    // "No change in 15 of 20" beside "less in 6 of 20, never more": the counts are told, so either may stand.
    assert!(
        other * 10 <= words,
        "{other} of {words} are of another class"
    );
    assert!(
        stronger * 100 <= words,
        "{stronger} of {words} are stronger"
    );
    assert!(summers < 250.0, "{summers}");
}

/// The whole rule, words and means, on the summers of the tables in other orders: means at the end are unbiased, two
/// standard errors cover the truth, and the summers are few. Truth is the adjusted mean of the whole table, which has an
/// error of its own, less than half as large. (A table is finite: about a tenth of it is taken, which narrows the spread
/// by a twentieth.)
#[test]
fn means_at_the_end_are_unbiased_and_as_good_as_their_errors_say() {
    const SHUFFLES: u32 = 10;
    let (mut covered, mut intervals) = (0, 0);
    let mut stops = Vec::new();
    for yard in YARDS {
        let (scenario, plans) = (shipped(yard), series(yard));
        let known = Known::new(&scenario);
        let moments = known.moments();
        let n = plans[0].len();
        let rows: Vec<Vec<f64>> = (0..n).map(|s| known.of(s as u32)).collect();
        let strata: Option<Vec<usize>> = (0..n).map(|s| fitted_set(&scenario, s as u32)).collect();
        let changes: Vec<Vec<f64>> = plans[1..]
            .iter()
            .map(|p| differences(&plans[0], p))
            .collect();
        let all: Vec<&Vec<f64>> = plans.iter().chain(&changes).collect();
        let sets = scenario.kept_sets.as_ref().map_or(0, KeptSets::len);
        let turn = strata.as_deref().map(|strata| (strata, sets));
        let whole = Covariates::new(&rows, &moments, turn);
        let truths: Vec<Adjusted> = all.iter().map(|v| whole.adjust(v)).collect();
        let mut off: Vec<Vec<f64>> = vec![Vec::new(); all.len()];
        let mut here = Vec::new();
        for shuffle in 0..SHUFFLES {
            let order = shuffled(&scenario, n, 1000 + shuffle);
            let mut done = 0;
            let means = loop {
                done = next_look(done, MOST);
                let order = &order[..done as usize];
                let worded = changes.iter().all(|change| {
                    let so_far = taken(change, order);
                    settled_word(&paired::count(&so_far, 1.0), &so_far, 1.0).settled
                });
                if !worded && done < MOST {
                    continue;
                }
                let own: Vec<Vec<f64>> = order.iter().map(|i| rows[*i].clone()).collect();
                let strata = strata.as_ref();
                let turn: Option<Vec<usize>> =
                    strata.map(|strata| order.iter().map(|i| strata[*i]).collect());
                let turn = turn.as_deref().map(|turn| (turn, sets));
                let covariates = Covariates::new(&own, &moments, turn);
                let means: Vec<Adjusted> = all
                    .iter()
                    .map(|v| covariates.adjust(&taken(v, order)))
                    .collect();
                if done == MOST || means.iter().all(mean_settled) {
                    break means;
                }
            };
            here.push(f64::from(done));
            for ((mean_here, truth), off) in means.iter().zip(&truths).zip(&mut off) {
                let miss = mean_here.mean - truth.mean;
                off.push(miss);
                if mean_here.error > 0.0 {
                    intervals += 1;
                    // Values are rounded to 0.01.
                    covered += u32::from(miss.abs() <= NEAR * mean_here.error + 0.005);
                }
            }
        }
        println!("{yard}: {:.0} summers", mean(&here));
        stops.extend(here);
        for (i, (off, truth)) in off.iter().zip(&truths).enumerate() {
            // Plans that change nothing have nothing to be off by.
            if let Some(se) = standard_error(off).filter(|se| *se > 1e-9) {
                let se = (se * se + truth.error * truth.error).sqrt();
                within_four_se(&format!("{yard}, series {i}"), mean(off), 0.0, se, 0.0);
            }
        }
    }
    let share = f64::from(covered) / f64::from(intervals);
    println!(
        "{:.0} summers; {share:.3} of {intervals} intervals cover",
        mean(&stops)
    );
    assert!(share >= 0.93, "{share}");
    assert!(mean(&stops) < 400.0);
}

/// Truth known: a response that bends, multiplies and spreads unevenly, and one that owes nothing to what is known. Uniform
/// covariates, most of them idle.
#[test]
fn an_adjusted_mean_covers_the_truth_and_does_not_lose() {
    const WIDTH: usize = 33;
    let mut luck = ShortStream::new(12, 0, 0, Purpose::Weather);
    let moments: Vec<f64> = (0..WIDTH * WIDTH)
        .map(|i| {
            if i % (WIDTH + 1) == 0 {
                1.0 / 12.0
            } else {
                0.0
            }
        })
        .collect();
    // Means over uniform quantiles: e^(2q) has (e² − 1)/2, and the product of two centred ones 0.
    let truths = [(libm::exp(2.0) - 1.0) / 2.0 + 3.0, 1.0];
    let (mut all_covered, mut all) = (0, 0);
    for (n, times) in [(FEWEST, 800), (200, 600), (400, 150)] {
        let mut covered = [0_u32; 2];
        let mut off: [Vec<f64>; 2] = Default::default();
        let mut plain: [Vec<f64>; 2] = Default::default();
        for _ in 0..times {
            let rows: Vec<Vec<f64>> = (0..n)
                .map(|_| (0..WIDTH).map(|_| luck.uniform() - 0.5).collect())
                .collect();
            // An exponential has mean 1 and a long tail.
            let noise: Vec<f64> = (0..n).map(|_| -libm::log(luck.uniform())).collect();
            let bent = rows.iter().zip(&noise).map(|(r, noise)| {
                let q = |i: usize| r[i] + 0.5;
                libm::exp(2.0 * q(0)) + 4.0 * r[1] * r[2] + 2.0 * q(3) + 2.0 * (1.0 + r[4]) * noise
            });
            let bent: Vec<f64> = bent.collect();
            let covariates = Covariates::new(&rows, &moments, None);
            for (i, values) in [&bent, &noise].into_iter().enumerate() {
                let adjusted = covariates.adjust(values);
                let miss = adjusted.mean - truths[i];
                covered[i] += u32::from(miss.abs() <= NEAR * adjusted.error);
                off[i].push(miss);
                plain[i].push(adjusted.plain_mean - truths[i]);
            }
        }
        for i in 0..2 {
            let share = f64::from(covered[i]) / f64::from(times);
            let squares = |off: &[f64]| mean(&off.iter().map(|o| o * o).collect::<Vec<_>>());
            let gain = squares(&plain[i]) / squares(&off[i]);
            println!(
                "{n} values, response {i}: {share:.3} cover, variance {gain:.2} times smaller"
            );
            let share_se = (0.93 * 0.07 / f64::from(times)).sqrt();
            assert!(
                share > 0.93 - FOUR_SE * share_se,
                "{n} values, response {i}: {share}"
            );
            all_covered += covered[i];
            all += times;
            let se = standard_error(&off[i]).unwrap();
            within_four_se("adjusted mean", mean(&off[i]), 0.0, se, 0.0);
            // Of the bent response less than half is explained at all (3.7 of a variance of 8.0).
            assert!(gain > [1.15, 0.95][i], "{n} values, response {i}: {gain}");
        }
    }
    assert!(all_covered * 100 >= all * 93, "{all_covered} of {all}");
}

/// What is known of a summer is off its expectation by nothing on average, and its products have the moments told.
#[test]
fn what_is_known_of_a_summer_has_the_expectation_told() {
    for yard in ["allotment-beetles", "dozen-apples-codling-moth"] {
        let scenario = shipped(yard);
        let known = Known::new(&scenario);
        let (n, moments) = (known.len(), known.moments());
        let rows: Vec<Vec<f64>> = (0..2000).map(|summer| known.of(summer)).collect();
        assert!(n > 20, "{yard}: {n}");
        for i in 0..n {
            let own: Vec<f64> = rows.iter().map(|r| r[i]).collect();
            let se = standard_error(&own).unwrap();
            within_four_se("expectation", mean(&own), 0.0, se, 1e-9);
            for j in 0..=i {
                let products: Vec<f64> = rows.iter().map(|r| r[i] * r[j]).collect();
                let se = standard_error(&products).unwrap();
                assert_eq!(moments[i * n + j], moments[j * n + i]);
                // Some 1,000 products: the largest of so many normal numbers passes four in 1 of 16 cases, five hardly ever.
                let told = moments[i * n + j];
                assert!(
                    (mean(&products) - told).abs() < 5.0 * se + 1e-9,
                    "{yard} {i} {j}"
                );
            }
        }
    }
}

/// Writes the damage of every plan in each of many summers, of 100 and to 0.01, one table a yard, into the folder that
/// `LUREFIELD_SERIES` names: the tables in `tests/data/settle`, made anew.
#[test]
#[ignore = "takes many minutes; makes the tables in tests/data/settle anew"]
fn write_the_series() {
    let folder = std::env::var("LUREFIELD_SERIES").expect("LUREFIELD_SERIES names a folder");
    let yards = std::env::var("LUREFIELD_YARDS").unwrap_or_default();
    for yard in YARDS {
        if !yards.is_empty() && !yards.split(',').any(|y| y == yard) {
            continue;
        }
        let mut scenario = shipped(yard);
        scenario.settings.summers = SERIES;
        let prepared = prepare(&scenario, &Unwatched).unwrap();
        let how = How {
            take: Take::exactly(SERIES),
            spread: false,
        };
        let run = compare(&prepared, how, &Unwatched).unwrap().run;
        let names: Vec<String> = run.plans.iter().map(|p| p.name.replace(',', "")).collect();
        let mut table = names.join(",") + "\n";
        for summer in 0..SERIES as usize {
            let row = run.plans.iter().map(|p| {
                let value = format!("{:.2}", p.damage_by_summer[summer]);
                value.trim_end_matches('0').trim_end_matches('.').to_owned()
            });
            let row: Vec<String> = row.collect();
            let _ = writeln!(table, "{}", row.join(","));
        }
        std::fs::write(Path::new(&folder).join(format!("{yard}.csv")), table).unwrap();
    }
}

/// Summers of each table.
const SERIES: u32 = 2000;

/// The damage of every plan, one list a plan, in as many summers as the table has.
fn series(yard: &str) -> Vec<Vec<f64>> {
    let path = format!(
        "{}/tests/data/settle/{yard}.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).unwrap();
    let mut lines = text.lines();
    let mut plans = vec![Vec::new(); lines.next().unwrap().split(',').count()];
    for line in lines {
        for (plan, value) in plans.iter_mut().zip(line.split(',')) {
            plan.push(value.parse().unwrap());
        }
    }
    plans
}

/// The summers of a table in another order, as another seed would bring them: fitted sets still take turns.
fn shuffled(yard: &Scenario, n: usize, seed: u32) -> Vec<usize> {
    let turn = yard.kept_sets.as_ref().map_or(n, KeptSets::len);
    let mut luck = ShortStream::new(u64::from(seed), 0, 0, Purpose::Weather);
    let mut mixed = |mut list: Vec<Vec<usize>>| {
        list.sort_by_cached_key(|_| luck.uniform().to_bits());
        list
    };
    let turns = (0..n).step_by(turn).map(|from| {
        let one = (from..n.min(from + turn)).map(|i| vec![i]);
        mixed(one.collect()).concat()
    });
    let turns: Vec<Vec<usize>> = turns.collect();
    mixed(turns).concat()
}
