//! What counts mean, and how a notebook sets the biofix.

use lurefield::catalogue::season::season;
use lurefield::season::biofix::{BiofixRule, Dusk, find};
use lurefield::season::counts::{CountBasis, Counts, CountsOptions, read};
use lurefield::season::reading::{self, ReadingOptions, density};
use lurefield::weather::Temperature;

fn notebook(text: &str) -> Counts {
    read("notebook", text.as_bytes(), &CountsOptions::default()).unwrap()
}

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

#[test]
fn density_from_catch_holds() {
    // Adams et al. 2017a, doi 10.1093/jee/tow258: males a hectare = catch / (0.01 * 21).
    for (catch, per_ha) in [(1, 4.76), (3, 14.3), (10, 47.6), (30, 142.9)] {
        near(
            density("t", catch, [0.01, 0.01, 0.01], 21.0).per_ha,
            per_ha,
            0.1,
            "density",
        );
    }
    // The trapping area itself: pi * 260^2 m2.
    near(
        std::f64::consts::PI * 260.0 * 260.0 / 1e4,
        21.24,
        0.01,
        "area",
    );
}

#[test]
fn density_carries_the_doubt_of_count_and_share() {
    let d = density("t", 3, [0.01, 0.014, 0.02], 21.0);
    near(d.per_ha_low, 0.618_672_12 / 0.42, 1e-6, "low");
    near(d.per_ha_high, 8.767_273_07 / 0.21, 1e-6, "high");
    near(d.per_acre[1], d.per_ha * 0.404_685_642_24, 1e-9, "acre");
}

#[test]
fn blank_is_not_checked_and_zero_is_checked_and_none() {
    let counts = notebook(
        "trap,date_set,date_checked,count\na,2014-05-01,2014-05-08,0\na,,2014-05-15,\na,,2014-05-22,6\n",
    );
    assert_eq!(
        (
            counts.understood.zeros,
            counts.understood.blanks,
            counts.understood.with_catch
        ),
        (1, 1, 1)
    );
    // The catch after a blank covers both weeks.
    assert_eq!(counts.traps[0].checks[1].days(), Some(14));
    let reading = reading::read(
        Some(&counts),
        &season("codling-moth").unwrap().counts,
        &ReadingOptions::default(),
    );
    near(
        reading.traps[0].per_day.unwrap(),
        6.0 / 21.0,
        1e-12,
        "rate over all days, the empty week included",
    );
}

#[test]
fn running_totals_are_taken_apart() {
    let options = CountsOptions {
        basis: CountBasis::Total,
        species: None,
    };
    let text = "date,count\n2014-05-01,2\n2014-05-08,2\n2014-05-15,9\n";
    let counts = read("n", text.as_bytes(), &options).unwrap();
    assert_eq!(
        counts.traps[0]
            .checks
            .iter()
            .map(|c| c.count)
            .collect::<Vec<_>>(),
        [2, 0, 7]
    );
    let told = notebook(
        "date,count\n2014-05-01,1\n2014-05-08,2\n2014-05-15,5\n2014-05-22,9\n2014-05-29,9\n",
    );
    assert!(
        told.understood
            .notes
            .iter()
            .any(|n| n.contains("--counts-are total"))
    );
}

#[test]
fn two_traps_are_compared_by_rate() {
    // library-statistics.json: 12 in 10 days against 25 in 10 days.
    let counts = notebook(
        "trap,date_set,date,count\na,2014-05-01,2014-05-11,12\nb,2014-05-01,2014-05-11,25\n",
    );
    let reading = reading::read(
        Some(&counts),
        &season("codling-moth").unwrap().counts,
        &ReadingOptions::default(),
    );
    let pair = &reading.comparisons[0];
    assert_eq!((pair.first.as_str(), pair.second.as_str()), ("b", "a"));
    near(pair.ratio.unwrap(), 1.0 / 0.48, 1e-9, "ratio");
    near(pair.ratio_low, 1.0 / 0.991_449_84, 1e-6, "low");
    near(pair.ratio_high.unwrap(), 1.0 / 0.219_718_43, 1e-5, "high");
    near(pair.chance_if_equal, 0.047_031_03, 1e-6, "chance");
    assert!(!pair.could_be_luck);
}

#[test]
fn a_pest_without_a_measured_share_gives_no_density() {
    let counts = notebook("date_set,date,count\n2014-05-01,2014-05-11,12\n");
    let reading = reading::read(
        Some(&counts),
        &season("japanese-beetle").unwrap().counts,
        &ReadingOptions::default(),
    );
    assert!(
        reading.density.is_empty()
            && reading.zero_chance.is_empty()
            && reading.captured_share.is_none()
    );
    let own = ReadingOptions {
        share: Some(0.02),
        recapture: None,
    };
    let reading = reading::read(
        Some(&counts),
        &season("japanese-beetle").unwrap().counts,
        &own,
    );
    near(
        reading
            .zero_chance
            .iter()
            .find(|z| z.there == 100)
            .unwrap()
            .plain,
        libm::pow(0.98, 100.0),
        1e-12,
        "own share",
    );
}

#[test]
fn saturation_is_seen_in_one_stretch_and_over_the_season() {
    let counts =
        notebook("date_set,date,count\n2014-05-01,2014-05-08,25\n,2014-05-15,40\n,2014-05-22,40\n");
    let reading = reading::read(
        Some(&counts),
        &season("codling-moth").unwrap().counts,
        &ReadingOptions::default(),
    );
    let reached: Vec<bool> = reading
        .saturation
        .iter()
        .map(|s| !s.traps_reached.is_empty())
        .collect();
    // Small trap 20-30: reached; large 50-70 in one stretch: not; 100 over the season: reached with 105.
    assert_eq!(reached, [true, false, true]);
}

const DAILY: &str = "date,count\n2014-05-01,0\n2014-05-02,1\n2014-05-03,0\n2014-05-04,2\n2014-05-05,1\n2014-05-06,3\n2014-05-07,4\n2014-05-08,1\n";

#[test]
fn the_biofix_is_the_first_of_three_days_running() {
    let counts = notebook(DAILY);
    let found = find(BiofixRule::ThreeDays, Some(&counts), None)
        .unwrap()
        .unwrap();
    assert_eq!(found.date, "2014-05-04");
    let first = find(BiofixRule::FirstCatch, Some(&counts), None)
        .unwrap()
        .unwrap();
    assert_eq!(first.date, "2014-05-02");
}

#[test]
fn a_cold_dusk_does_not_count() {
    // UC IPM: start when catch is sustained and sunset temperature is 62 F or more.
    let counts = notebook(DAILY);
    let warm_from = |day: i8| {
        move |date: jiff::civil::Date| {
            Some(Temperature::from_f(if date.day() >= day {
                63.0
            } else {
                58.0
            }))
        }
    };
    let at = warm_from(6);
    let dusk = Dusk {
        least: Temperature::from_f(62.0),
        at: &at,
    };
    let found = find(BiofixRule::ThreeDays, Some(&counts), Some(&dusk))
        .unwrap()
        .unwrap();
    assert_eq!(found.date, "2014-05-06");
    let unknown = |_: jiff::civil::Date| None;
    let dusk = Dusk {
        least: Temperature::from_f(62.0),
        at: &unknown,
    };
    let found = find(BiofixRule::ThreeDays, Some(&counts), Some(&dusk))
        .unwrap()
        .unwrap();
    assert_eq!(found.date, "2014-05-04");
    assert!(found.notes[0].contains("62 F (17 C) at dusk"));
}

#[test]
fn weekly_checks_give_a_range() {
    let counts = notebook(
        "date_set,date,count\n2014-04-14,2014-04-21,0\n,2014-04-28,\n,2014-05-05,2\n,2014-05-12,9\n",
    );
    let found = find(BiofixRule::FromCounts, Some(&counts), None)
        .unwrap()
        .unwrap();
    assert_eq!(
        (found.date.as_str(), found.earliest.as_str()),
        ("2014-05-05", "2014-04-22")
    );
    assert!(find(BiofixRule::ThreeDays, Some(&counts), None).is_err());
}

#[test]
fn catches_with_a_gap_between_days_are_not_running() {
    let counts = notebook(
        "date,count\n2014-05-01,1\n2014-05-02,1\n2014-05-03,0\n2014-05-04,1\n2014-05-05,1\n",
    );
    assert_eq!(
        find(BiofixRule::ThreeDays, Some(&counts), None).unwrap(),
        None
    );
}

/// The thresholds of the codling moth that a notebook of one trap reaches, as (insects a week, weeks running).
fn reached(text: &str) -> Vec<(f64, usize)> {
    let entry = season("codling-moth").unwrap().counts;
    let reading = reading::read(Some(&notebook(text)), &entry, &ReadingOptions::default());
    let reached = reading.threshold_examples.iter();
    let reached = reached.filter(|t| !t.traps_reached.is_empty());
    reached
        .map(|t| (t.rule.per_trap_week.unwrap(), t.rule.weeks_running))
        .collect()
}

/// A notebook of one trap that is checked every so many days from 1 May on.
fn checked_every(days: i64, counts: &[u64]) -> String {
    let first = jiff::civil::Date::constant(2014, 5, 1);
    let mut text = format!("date_set,date,count\n{first},");
    for (i, count) in counts.iter().enumerate() {
        let on = lurefield::weather::day::plus(first, days * (i as i64 + 1));
        text += &format!("{}{on},{count}\n", if i > 0 { "," } else { "" });
    }
    text
}

#[test]
fn other_peoples_thresholds_stand_beside_the_counts_as_examples() {
    // UK fruit research station page: 5 a trap and week, 3 from August; Washington State Univ.: 2 in two weeks running.
    let text = "date_set,date,count\n2014-05-01,2014-05-08,4\n,2014-05-22,4\n";
    assert_eq!(reached(text), [(2.0, 2)]);
    let august = text.replace("-05-", "-08-");
    assert_eq!(reached(&august), [(3.0, 1), (2.0, 2)]);
    assert_eq!(reached(&text.replace("-05-", "-04-")), [(2.0, 2)]);
    let entry = season("codling-moth").unwrap().counts;
    assert!(entry.thresholds.iter().all(|t| !t.source.is_empty()));
    // "More than 10" is not 10.
    let borer = season("greater-peachtree-borer").unwrap().counts;
    for (count, reaches) in [(10, 0), (11, 1)] {
        let counts = notebook(&checked_every(7, &[0, count, 0]));
        let reading = reading::read(Some(&counts), &borer, &ReadingOptions::default());
        assert_eq!(reading.threshold_examples[0].traps_reached.len(), reaches);
    }
}

#[test]
fn a_threshold_on_weeks_running_is_judged_on_runs_of_weeks() {
    let two = |text: &str| reached(text).contains(&(2.0, 2));
    // Once a week: two weeks side by side, whatever stands around them.
    let mut luck = 7_u64;
    let mut seen = [0, 0];
    for _ in 0..300 {
        let counts: Vec<u64> = (0..6)
            .map(|_| {
                luck = luck.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                [0, 0, 1, 2, 3, 9][(luck >> 33) as usize % 6]
            })
            .collect();
        let side_by_side = counts.windows(2).any(|pair| pair.iter().all(|n| *n >= 2));
        assert_eq!(two(&checked_every(7, &counts)), side_by_side, "{counts:?}");
        seen[usize::from(side_by_side)] += 1;
        // One check is never two weeks, however the days fall, unless it stands for two.
        for days in 1..14 {
            let mut alone = [0; 12];
            alone[luck as usize % 12] = 9;
            assert!(!two(&checked_every(days, &alone)), "every {days} days");
        }
    }
    assert!(seen.iter().all(|n| *n > 50), "{seen:?}");
    for (days, counts, so) in [
        (14, &[0, 4, 0][..], true),
        (14, &[0, 3, 0], false),
        (3, &[4, 4, 4, 4, 0], true),
        (1, &[0, 0, 2, 0, 0, 0, 0, 0, 0, 2, 0, 0, 0], true),
        (1, &[2, 2, 2, 0, 0, 0, 0, 0, 0, 0, 0], false),
    ] {
        assert_eq!(two(&checked_every(days, counts)), so, "{counts:?}");
    }
    // A trap that did not hang in between has no weeks running.
    let gap = "date_set,date,count\n2014-05-01,2014-05-08,4\n2014-06-01,2014-06-08,4\n";
    assert!(!two(gap));
    let text = "date,count\n2014-05-01,0\n2014-05-08,9\n2014-05-15,0\n2014-05-22,0\n2014-05-29,0\n";
    assert_eq!(reached(text), [(5.0, 1)]);
}
