//! Every season file reads, every number has a source and a grade, and published values stand as published.

use lurefield::catalogue::season::{BloomEntry, SEASONS, SeasonPest, bloom, season};
use lurefield::catalogue::{Grade, Sourced};
use lurefield::season::events::{rule_of, scale};

fn all() -> Vec<SeasonPest> {
    SEASONS.iter().map(|(id, _)| season(id).unwrap()).collect()
}

fn sourced(pest: &SeasonPest) -> Vec<&Sourced> {
    let mut all = vec![
        &pest.counts.dispersion,
        &pest.upkeep.lure_life,
        &pest.upkeep.lure_q10,
        &pest.upkeep.lure_reference,
        &pest.upkeep.check_every,
        &pest.upkeep.visit,
    ];
    all.extend(
        pest.counts
            .captured_share
            .iter()
            .chain(&pest.counts.trapping_area)
            .chain(&pest.upkeep.capacity),
    );
    all.extend(&pest.biofix.dusk);
    if let Some(flights) = &pest.flights {
        all.push(&flights.adult_life);
        all.extend(
            flights
                .generations
                .iter()
                .flat_map(|g| [&g.start, &g.middle, &g.size]),
        );
    }
    all
}

#[test]
fn files_read_and_carry_their_own_name() {
    for (id, text) in SEASONS {
        let pest: SeasonPest = serde_json::from_str(text).unwrap_or_else(|e| panic!("{id}: {e}"));
        assert_eq!(pest.id, *id);
    }
    assert!(all().len() >= 11);
}

#[test]
fn every_number_has_a_source_a_known_unit_and_lies_in_its_range() {
    for pest in all() {
        for number in sourced(&pest) {
            assert_eq!(
                super::sourced::fault(number),
                None,
                "{}: {number:?}",
                pest.id
            );
        }
        for event in pest.tables.iter().flat_map(|t| &t.events) {
            assert!(
                !event.source.trim().is_empty(),
                "{}: {}",
                pest.id,
                event.name
            );
            if let Some([low, high]) = event.range {
                assert!(
                    low <= event.at && event.at <= high,
                    "{}: {}",
                    pest.id,
                    event.name
                );
            }
            assert!(
                event.grade != Grade::Assumed || event.range.is_some(),
                "{}: {} is assumed without a range",
                pest.id,
                event.name
            );
        }
        for threshold in &pest.counts.thresholds {
            assert!(!threshold.source.is_empty() && threshold.grade != Grade::Assumed);
        }
    }
}

#[test]
fn rules_tables_and_flights_fit_together() {
    for pest in all() {
        rule_of(&pest.rule).unwrap();
        for table in &pest.tables {
            scale(&table.unit).unwrap();
            if let Some(rule) = &table.rule {
                rule_of(rule).unwrap();
            }
            assert!(
                table.events.windows(2).all(|pair| pair[0].at <= pair[1].at),
                "{} {}",
                pest.id,
                table.id
            );
            if let Some(name) = &table.stands_for_biofix {
                assert!(table.events.iter().any(|e| e.name == *name), "{}", pest.id);
            }
        }
        if let Some(flights) = &pest.flights {
            assert!(pest.table(&flights.table).is_some(), "{}", pest.id);
            for generation in &flights.generations {
                assert!(
                    generation.start.value < generation.middle.value,
                    "{}",
                    pest.id
                );
                assert_eq!(generation.start.unit, generation.middle.unit);
            }
        }
    }
}

#[test]
fn codling_moth_stands_as_published() {
    // Michigan State Univ. model note; Washington State Univ.; British Columbia page (Celsius degree-days).
    let pest = season("codling-moth").unwrap();
    let sums = |id: &str| {
        pest.table(id)
            .unwrap()
            .events
            .iter()
            .map(|e| e.at)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        sums("biofix"),
        [0.0, 250.0, 350.0, 550.0, 1060.0, 1250.0, 1600.0, 1700.0]
    );
    assert_eq!(sums("no-biofix"), [175.0, 425.0]);
    assert_eq!(
        sums("british-columbia"),
        [100.0, 150.0, 220.0, 500.0, 575.0, 650.0, 700.0, 1160.0]
    );
    assert_eq!((pest.rule.lower, pest.rule.upper), (50.0, Some(88.0)));
    // 175 from 1 January plus 250 from the biofix is the other source's 425.
    assert_eq!(175.0 + 250.0, 425.0);
}

#[test]
fn chains_of_stages_add_up() {
    // South Dakota State Extension: 1000, then 245-300, then 660, then 745.
    let borer = season("squash-vine-borer").unwrap();
    let ranges: Vec<[f64; 2]> = borer.tables[0]
        .events
        .iter()
        .filter_map(|e| e.range)
        .collect();
    assert_eq!(
        ranges,
        [[1245.0, 1300.0], [1905.0, 1960.0], [2650.0, 2705.0]]
    );
    // Nielsen et al. 2008: 537.63 + 147.65.
    let bug = season("brown-marmorated-stink-bug").unwrap();
    assert!((bug.tables[0].events[2].at - (537.63 + 147.65)).abs() < 1e-9);
}

#[test]
fn bloom_windows_are_ranges_in_order_and_marked_assumed() {
    for (
        id,
        BloomEntry {
            first,
            last,
            grade,
            source,
            ..
        },
    ) in bloom()
    {
        assert!(
            first[0] <= first[1]
                && last[0] <= last[1]
                && first[0] <= last[0]
                && first[1] <= last[1],
            "{id}"
        );
        assert_eq!(grade, Grade::Assumed, "{id}");
        assert!(!source.is_empty());
    }
    assert!(bloom()["apple"].needs_bees);
    assert!(!bloom()["tomato"].needs_bees);
}
