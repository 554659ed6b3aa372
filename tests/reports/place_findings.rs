//! What `place` says of random placement outcomes agrees with the numbers printed beside it.

use crate::fixture;
use lurefield::placement::finding::{Against, Best, Finding, standing};
use lurefield::placement::outcome::{
    PlaceOutcome, Ranked, SiteOutcome, Sweep, SweepPoint, Verdict, Zone, ZoneMap,
};
use lurefield::placement::zones::zone_at;
use lurefield::report::place;
use lurefield::scenario::Scenario;
use lurefield::stats::paired::{Class, MeanChange, Told};
use lurefield::stats::words::{Change, printed};

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

/// Counts, more, same and less, that often have an empty side, and a mean change on the side of most of them.
pub(crate) fn site(luck: &mut fixture::Stream, of: usize) -> SiteOutcome {
    let (most, size) = ([0.0, 0.1, 0.4, 1.0], of as f64);
    let mut side = || (luck.next() * (most[(luck.next() * 4.0) as usize] * size + 1.0)) as usize;
    let more = side().min(of);
    let less = side().min(of - more);
    let counts = Told::new([more, of - more - less, less]);
    // A few summers that weigh heavily may turn the average.
    let heavy = if luck.next() < 0.2 { -0.5 } else { 1.0 };
    let way = heavy * (more as f64 - less as f64) / size;
    SiteOutcome {
        name: None,
        x_m: 15.0 * luck.next(),
        y_m: 10.0 * luck.next(),
        change_mean: 6.0 * way + 0.1 * change(luck),
        se: 0.5 * luck.next(),
        counts,
        zone: counts.class().into(),
        more_share: more as f64 / size,
        less_share: less as f64 / size,
        damage_mean: 10.0,
        caught_mean: 100.0 * luck.next(),
        catches_share: luck.next(),
        neighbour_change: Some(change(luck)),
        summers: 3 * of,
    }
}

/// A curve over the number of traps, by small steps or large ones.
fn curve(luck: &mut fixture::Stream, of: usize) -> Vec<SweepPoint> {
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
                mean: MeanChange {
                    change: mean - 12.0,
                    error: se,
                },
                counts: [0, 1, of - 1],
                caught_mean: 10.0 * traps as f64,
                traps,
                places_m: vec![[5.0, 5.0]; traps],
                outside: 0,
            }
        })
        .collect()
}

pub(crate) fn outcome(scenario: &Scenario, seed: u64) -> PlaceOutcome {
    let mut luck = fixture::Stream::new(seed);
    // Every fourth search has few summers, which are told as they are.
    let (of, summers) = if seed % 4 == 3 { (8, 8) } else { (20, 60) };
    let mut sites: Vec<SiteOutcome> = (0..12).map(|_| site(&mut luck, of)).collect();
    sites.sort_by(|a, b| a.change_mean.total_cmp(&b.change_mean));
    let ranked = |site: usize| Ranked {
        rank: site + 1,
        site,
        tied: false,
        full_run: false,
    };
    let zones: Vec<Zone> = sites.iter().map(|s| s.zone).collect();
    let part = |zone: Zone| zones.iter().filter(|z| **z == zone).count() as f64 / 12.0;
    let points = curve(&mut luck, of);
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
        summers,
        summers_asked: summers,
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
        zone_shares: Zone::OPEN.map(part),
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
                assert!(best.counts.less > best.counts.more && best.zone == Zone::Lowers);
                assert!(text.contains("Best spot:"), "{text}");
            }
            Verdict::MakesNoDifference => assert!(best.counts.most(best.counts.same)),
            Verdict::TooCloseToCall => {
                assert!(best.counts.less > best.counts.more && !best.counts.most(best.counts.same));
            }
            Verdict::NoSpotBeatsNoTrap => {
                assert!(best.zone != Zone::Lowers && !best.counts.most(best.counts.same));
                assert!(text.contains("No spot in this yard beats"), "{text}");
            }
            Verdict::RankedForCatch => panic!("damage is asked about"),
        }
        let counts = format!(
            "more in {} of {} summers, no change in {}, less in {}",
            best.counts.more, best.counts.of, best.counts.same, best.counts.less
        );
        assert!(text.contains(&counts), "{counts}\n{text}");
    });
    assert_eq!(seen.len(), 4, "all verdicts are met: {seen:?}");
}

/// An average that does not go the way of the counts beside it is told, and no other.
#[test]
fn an_average_that_goes_the_other_way_is_told() {
    let mut seen = [0; 2];
    each(|outcome, text| {
        let best = &outcome.sites[outcome.best[0].site];
        let [before, after] =
            [outcome.base_mean, outcome.base_mean + best.change_mean].map(printed);
        let same = Change::of(before, after, outcome.tie_band).0 == Change::Same;
        let apart = match best.counts.class() {
            Class::Less => after > before,
            Class::More => after < before,
            Class::NoChange => !same,
            Class::EitherWay => false,
        };
        let way = if after > before { "up" } else { "down" };
        let told = format!("Its average went {way} all the same");
        assert_eq!(text.contains(&told), apart, "{before} {after} {text}");
        assert_eq!(text.contains("Its average went"), apart, "{text}");
        seen[usize::from(apart)] += 1;
    });
    assert!(seen.iter().all(|n| *n > 10), "{seen:?}");
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

/// Few summers are told as they are: no line, table or caption counts more of them than were run.
#[test]
fn counts_are_out_of_the_summers_run() {
    let scenario = fixture::scenario();
    let mut few = 0;
    each(|outcome, text| {
        if outcome.summers >= 20 {
            return;
        }
        few += 1;
        let mut said = text.to_owned() + &flat(&place::tidy(&scenario, outcome));
        for figure in lurefield::figure::placement::all(&scenario, outcome) {
            said += &flat(&figure.alternative());
        }
        said += &serde_json::to_string(outcome).unwrap();
        assert!(!said.contains("of 20"), "{said}");
        assert!(text.contains("of 8 summers") && !text.contains("shown as"));
        assert!(said.contains("more of 8") && said.contains("summers of 8"));
        assert!(said.contains(r#""of":8"#), "{said}");
    });
    assert!(few > 50, "only {few} with few summers");
}

#[test]
fn a_place_between_the_sites_goes_either_way_only_with_both_sides() {
    let mut luck = fixture::Stream::new(11);
    let mut seen = std::collections::BTreeMap::new();
    for _ in 0..20_000 {
        let more = luck.next();
        let less = luck.next() * (1.0 - more);
        let cases = [[more, less], [more, 0.0], [0.0, less], [0.05 * more, less]];
        let shares = cases[(4.0 * luck.next()) as usize];
        let (side, se) = (shares[0] - shares[1], luck.next());
        let mean = 4.0 * side + change(&mut luck);
        let zone = zone_at(shares, mean, se);
        *seen.entry(format!("{zone:?}")).or_insert(0) += 1;
        let clear = mean * side > 0.0 && mean.abs() > 2.0 * se;
        match zone {
            Zone::EitherWay => assert!(shares[0] > 0.0 && shares[1] > 0.0, "{shares:?}"),
            Zone::Raises => assert!(side > 0.0 && (clear || shares[0] >= 0.5), "{shares:?}"),
            Zone::Lowers => assert!(side < 0.0 && (clear || shares[1] >= 0.5), "{shares:?}"),
            Zone::NoDifference => assert!(1.0 - shares[0] - shares[1] >= 0.5, "{shares:?}"),
            Zone::Closed => panic!("a trap may hang there"),
        }
    }
    assert!(
        seen.len() == 4 && seen.values().all(|n| *n > 500),
        "{seen:?}"
    );
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
                assert!(standing(least, outcome.tie_band) != Class::Less);
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
