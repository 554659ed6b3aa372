//! What `place` says of random placement outcomes agrees with the numbers printed beside it.

use crate::fixture;
use lurefield::placement::finding::{Against, Best, Finding, Standing};
use lurefield::placement::outcome::{
    PlaceOutcome, Ranked, SiteOutcome, Sweep, SweepPoint, Verdict, Zone, ZoneMap,
};
use lurefield::report::place;
use lurefield::scenario::Scenario;

/// Random outcomes tried.
const MANY: u64 = 400;

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A number that is often nothing or close to it.
fn change(luck: &mut fixture::Stream) -> f64 {
    let size = [0.0, 0.04, 0.3, 1.2, 9.0][(luck.next() * 5.0) as usize];
    size * (2.0 * luck.next() - 1.0)
}

/// Counts of twenty, more, same and less, that often have an empty side, and a mean change on the side of most of them.
fn site(luck: &mut fixture::Stream) -> SiteOutcome {
    let most = [0.0, 2.0, 8.0, 20.0];
    let mut side = || (luck.next() * (most[(luck.next() * 4.0) as usize] + 1.0)) as usize;
    let more = side().min(20);
    let less = side().min(20 - more);
    let counts = [more, 20 - more - less, less];
    let way = (more as f64 - less as f64) / 20.0;
    SiteOutcome {
        name: None,
        x_m: 15.0 * luck.next(),
        y_m: 10.0 * luck.next(),
        change_mean: 6.0 * way + 0.1 * change(luck),
        se: 0.5 * luck.next(),
        more: counts[0],
        same: counts[1],
        less: counts[2],
        zone: Zone::of_20(counts),
        more_share: more as f64 / 20.0,
        less_share: less as f64 / 20.0,
        damage_mean: 10.0,
        caught_mean: 100.0 * luck.next(),
        catches_share: luck.next(),
        neighbour_change: Some(change(luck)),
        summers: 60,
    }
}

/// A curve over the number of traps, by small steps or large ones.
fn curve(luck: &mut fixture::Stream) -> Vec<SweepPoint> {
    let (mut mean, step) = (12.0, [0.05, 0.4, 1.5][(luck.next() * 3.0) as usize]);
    let tilt = luck.next() - 0.6;
    let se = 0.3 * luck.next();
    (0..8)
        .map(|traps| {
            if traps > 0 {
                mean += step * (2.0 * luck.next() - 1.0 + tilt);
            }
            SweepPoint {
                label: match traps {
                    0 => "no trap".into(),
                    1 => "1 trap".into(),
                    n => format!("{n} traps"),
                },
                at: traps as f64,
                damage_mean: mean,
                change_mean: mean - 12.0,
                se,
                counts: [2, 3, 15],
                caught_mean: 10.0 * traps as f64,
                traps,
                places_m: vec![[5.0, 5.0]; traps],
                outside: 0,
            }
        })
        .collect()
}

fn outcome(scenario: &Scenario, seed: u64) -> PlaceOutcome {
    let mut luck = fixture::Stream::new(seed);
    let mut sites: Vec<SiteOutcome> = (0..12).map(|_| site(&mut luck)).collect();
    sites.sort_by(|a, b| a.change_mean.total_cmp(&b.change_mean));
    let ranked = |site: usize| Ranked {
        rank: site + 1,
        site,
        tied: false,
        full_run: false,
    };
    let zones: Vec<Zone> = sites.iter().map(|s| s.zone).collect();
    let of = |zone: Zone| zones.iter().filter(|z| **z == zone).count() as f64 / 12.0;
    let points = curve(&mut luck);
    let tie_band = [0.01, 0.5, 1.0][(luck.next() * 3.0) as usize];
    let number = Sweep {
        name: "number",
        damage_without: points[0].damage_mean,
        summers: 40,
        finding: Finding::of_numbers(&points, tie_band),
        points,
    };
    let mut outcome = PlaceOutcome {
        format: 2,
        scenario: scenario.name.clone(),
        objective: "damage",
        unit: "leaves chewed in 100".into(),
        seed,
        summers: 60,
        summers_asked: 60,
        settled: true,
        stopped_early: false,
        against: Against::NoTrap,
        base_mean: 12.0,
        damage_without: 12.0,
        tie_band,
        verdict: Verdict::TooCloseToCall,
        best: (0..3).map(ranked).collect(),
        worst: 11,
        neighbour_change: None,
        spots: Vec::new(),
        map: Some(ZoneMap {
            x0_m: 0.0,
            y0_m: 0.0,
            cell_m: 5.0,
            columns: 4,
            rows: 3,
            change: sites.iter().map(|s| s.change_mean).collect(),
            se: vec![0.1; 12],
            zone: zones.clone(),
            model: "plain".into(),
            left_out_rms: 0.1,
            left_out_within: 12,
            kernel: "exponential",
            sill: 1.0,
            length_m: 1.0,
        }),
        sites,
        zone_shares: Zone::OPEN.map(of),
        sweeps: vec![number],
        lived_again: 0,
        notes: Vec::new(),
    };
    outcome.judge();
    outcome
}

/// Each random outcome with its text.
fn each(mut check: impl FnMut(&PlaceOutcome, &str)) {
    let scenario = fixture::scenario();
    for seed in 0..MANY {
        let outcome = outcome(&scenario, seed);
        let text = place::text(&scenario, &outcome);
        check(&outcome, &flat(&text));
    }
}

#[test]
fn the_verdict_agrees_with_the_counts_of_the_best_place() {
    let mut seen = std::collections::BTreeSet::new();
    each(|outcome, text| {
        let best = &outcome.sites[outcome.best[0].site];
        seen.insert(format!("{:?}", outcome.verdict));
        match outcome.verdict {
            Verdict::SpotBeatsNoTrap => {
                assert!(best.less > best.more && best.zone == Zone::Lowers);
                assert!(text.contains("Best spot:"), "{text}");
            }
            Verdict::MakesNoDifference => assert!(best.same >= 15),
            Verdict::TooCloseToCall => assert!(best.less > best.more && best.same < 15),
            Verdict::NoSpotBeatsNoTrap => {
                assert!(best.zone != Zone::Lowers && best.same < 15);
                assert!(text.contains("No spot in this yard beats"), "{text}");
            }
            Verdict::RankedForCatch => panic!("damage is asked about"),
        }
        let counts = format!(
            "more in {} of 20 summers, no change in {}, less in {}",
            best.more, best.same, best.less
        );
        assert!(text.contains(&counts), "{counts}\n{text}");
    });
    assert_eq!(seen.len(), 4, "all verdicts are met: {seen:?}");
}

#[test]
fn either_way_has_both_sides() {
    let scenario = fixture::scenario();
    let mut n = 0;
    each(|outcome, _| {
        let table = place::tidy(&scenario, outcome);
        let mut counts = [0_usize; 2];
        for row in table.lines() {
            let cells: Vec<&str> = row.split(',').collect();
            match cells[4] {
                "more" => counts[0] = cells[5].parse().unwrap(),
                "less" => counts[1] = cells[5].parse().unwrap(),
                "class" if cells[5] == "could go either way" => {
                    n += 1;
                    assert!(counts[0] > 0 && counts[1] > 0, "{counts:?}");
                }
                _ => {}
            }
        }
    });
    assert!(n > 100, "only {n} places could go either way");
}

#[test]
fn no_place_that_raises_damage_is_advised() {
    let mut n = 0;
    each(|outcome, text| {
        if outcome.best_is() != Best::Good {
            return;
        }
        n += 1;
        for ranked in &outcome.best {
            assert!(outcome.sites[ranked.site].zone != Zone::Raises, "{text}");
        }
        let worst = &outcome.sites[outcome.worst];
        assert_eq!(text.contains("Never here:"), worst.zone == Zone::Raises);
    });
    assert!(n > 50, "only {n} outcomes have a good place");
}

#[test]
fn the_zones_of_the_map_add_up() {
    each(|outcome, text| {
        let (_, zones) = text.split_once("Of 100 places on the map, ").unwrap();
        let (zones, _) = zones.split_once("Number of traps").unwrap();
        let numbers: Vec<f64> = zones
            .split(|c: char| !c.is_ascii_digit())
            .filter_map(|n| n.parse().ok())
            .collect();
        assert_eq!(numbers.iter().sum::<f64>(), 100.0, "{zones}");
        for (told, share) in numbers.iter().zip(outcome.zone_shares) {
            assert!((told - 100.0 * share).abs() <= 1.0, "{zones}");
        }
    });
}

#[test]
fn the_advice_on_the_number_of_traps_judges_the_whole_curve() {
    let (mut beaten, mut none) = (0, 0);
    each(|outcome, text| {
        let sweep = &outcome.sweeps[0];
        assert!(text.contains(&sweep.finding.to_string()), "{text}");
        let order = |a: &&SweepPoint, b: &&SweepPoint| a.damage_mean.total_cmp(&b.damage_mean);
        let least = sweep.points.iter().min_by(order).unwrap();
        match &sweep.finding {
            Finding::NoNumber => {
                none += 1;
                assert!(Standing::of(least, outcome.tie_band) != Standing::Less);
            }
            Finding::Number {
                label,
                damage,
                fewer,
                by_little,
                ..
            } => {
                beaten += 1;
                assert_eq!(*label, least.label);
                let printed = damage.map(|d| format!("{d:.1}"));
                assert!(printed[0] != printed[1], "{text}");
                assert!(damage[0] - damage[1] > outcome.tie_band);
                if let Some((traps, _)) = fewer {
                    let fewer = &sweep.points[*traps];
                    assert!(*traps > 0 && *traps < least.traps);
                    assert!(fewer.damage_mean - least.damage_mean < outcome.tie_band);
                }
                let steps = sweep.points[..=least.traps].windows(2);
                let gains: Vec<f64> = steps.map(|w| w[0].damage_mean - w[1].damage_mean).collect();
                if *by_little {
                    assert!(gains.iter().all(|gain| *gain < outcome.tie_band));
                }
            }
            other => panic!("{other:?} is no finding about numbers"),
        }
    });
    assert!(beaten > 50 && none > 50, "{beaten} and {none}");
}

#[test]
fn no_change_next_door_is_not_called_more_or_less() {
    let mut same = 0;
    each(|outcome, text| {
        let (_, line) = text.split_once("What it does next door: ").unwrap();
        let line = line.split_once('.').map_or(line, |(first, rest)| {
            let end = rest.find(". ").map_or(rest.len(), |at| at);
            &line[..first.len() + 1 + end]
        });
        assert!(!line.starts_with("0.0 "), "{line}");
        let theirs = outcome.neighbour_change.unwrap();
        if theirs.abs() < 0.05 {
            same += 1;
            assert!(line.starts_with("no change"), "{line}");
        } else {
            let word = if theirs > 0.0 { "more" } else { "less" };
            assert!(line.contains(&format!("in 100 {word} damage")), "{line}");
        }
    });
    assert!(same > 20, "only {same} without a change");
}
