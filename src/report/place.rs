//! The files and the terminal text of a search for a place.

use crate::catalogue::believe::{Believe, Question, believe};
use crate::figure::place_words::{
    best_word, capital, headline, nothing_matters, number, place_name, split, told, what_counts,
    worst_word, zone_word, zones_of_100,
};
use crate::geometry::Point;
use crate::placement::outcome::{PlaceOutcome, Ranked, SiteOutcome, Sweep, Verdict};
use crate::report::cautions;
use crate::report::csv::{harmless, write};
use crate::report::json::{damage_unit, pretty};
use crate::report::lines::Lines;
use crate::report::provenance::{Facts, Manifest};
use crate::report::words::{how_sure_of_map, notes, usual};
use crate::say::voice;
use crate::scenario::Scenario;
use crate::stats::words::{thousands, word_of_20};
use serde::Serialize;

/// All files of a search; the manifest comes last and holds the hashes of the others.
pub fn files(scenario: &Scenario, outcome: &PlaceOutcome, facts: &Facts) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = vec![
        ("placement.txt".into(), text(scenario, outcome).into_bytes()),
        (
            "placement.json".into(),
            pretty(&Believed {
                outcome,
                believe: believe(&scenario.pest, Question::Map, []),
            })
            .into_bytes(),
        ),
        ("placement.csv".into(), tidy(scenario, outcome).into_bytes()),
    ];
    if let Some(grid) = grid(outcome) {
        files.push(("placement-map.csv".into(), grid.into_bytes()));
    }
    let figures = crate::figure::placement::all(scenario, outcome);
    files.extend(super::figure_files(&figures));
    files.push(manifest(scenario, outcome, facts, &files).file());
    files
}

/// The outcome with how sure its biology is.
#[derive(Serialize)]
struct Believed<'a> {
    #[serde(flatten)]
    outcome: &'a PlaceOutcome,
    believe: Believe,
}

/// The terminal text, lines of at most 80 columns.
pub fn text(scenario: &Scenario, outcome: &PlaceOutcome) -> String {
    let mut out = Lines::default();
    if let Some(warning) = crate::report::words::invented(scenario) {
        out.say(warning);
    }
    let mut first = headline(scenario, outcome);
    if let Some(best) = outcome.best.first().map(|r| &outcome.sites[r.site]) {
        if outcome.settled && outcome.verdict == Verdict::SpotBeatsNoTrap {
            first.push_str(" [");
            first.push_str(word_of_20(best.less));
            first.push(']');
        }
        if !outcome.settled {
            first.push_str(" [preview]");
        }
        out.say(&first);
        if matches!(
            outcome.verdict,
            Verdict::NoSpotBeatsNoTrap | Verdict::MakesNoDifference
        ) && !nothing_matters(outcome)
        {
            let least = format!(
                "{} spot: {}.",
                spot_word(outcome),
                place_name(scenario, best)
            );
            out.say(&least);
        }
        counts(&mut out, scenario, outcome, best);
    }
    if !outcome.settled {
        let text = format!(
            "This is a preview from {} summers: with more of them a class may change. Without --summers and --seconds \
             the search goes on until it is settled.",
            thousands(outcome.summers as f64)
        );
        out.say(&text);
    }
    if outcome.summers < outcome.summers_asked {
        let text = format!(
            "The time given ran out after {} of {} summers. More summers may change the list.",
            outcome.summers, outcome.summers_asked
        );
        out.say(&text);
    }
    rankings(&mut out, scenario, outcome);
    zones(&mut out, outcome);
    sweeps(&mut out, scenario, outcome);
    ending(&mut out, scenario, outcome);
    out.say(&repeated(outcome));
    out.text()
}

/// What the first of the best places is called in a sentence of its own.
fn spot_word(outcome: &PlaceOutcome) -> &'static str {
    match best_word(outcome) {
        "Least harmful" => "The least harmful",
        "Does no harm" => "The least risky",
        _ => "The best",
    }
}

fn counts(out: &mut Lines, scenario: &Scenario, outcome: &PlaceOutcome, best: &SiteOutcome) {
    let without = outcome.base_mean;
    let text = format!(
        "  {}: {} -> {}; {}. Caught: {} a summer.",
        capital(&outcome.unit),
        number(without),
        number(without + best.change_mean),
        split(best),
        thousands(best.caught_mean)
    );
    out.hang(&text, 4);
    if let Some(theirs) = best.neighbour_change {
        let text = format!(
            "  What it does next door: {} in 100 {} damage on the neighbor's {}s.",
            number(theirs.abs()),
            if theirs >= 0.0 { "more" } else { "less" },
            scenario.pest.guild.target_noun()
        );
        out.hang(&text, 4);
    } else {
        out.hang(
            "  What it does next door: not known, as the file names no plants of a neighbor.",
            4,
        );
    }
}

fn rankings(out: &mut Lines, scenario: &Scenario, outcome: &PlaceOutcome) {
    let mut list = |title: &str, ranked: &[Ranked]| {
        if ranked.is_empty() {
            return;
        }
        out.gap();
        out.say(title);
        for r in ranked {
            let site = &outcome.sites[r.site];
            let tie = if r.tied { " (a tie)" } else { "" };
            let text = format!(
                "  {}{tie}. {}: {}.",
                r.rank,
                capital(&place_name(scenario, site)),
                told(outcome, site)
            );
            out.hang(&text, 6);
        }
    };
    list("Your spots, best first:", &outcome.spots);
    let outside = outcome
        .sites
        .iter()
        .any(|s| !scenario.yard.contains(Point::new(s.x_m, s.y_m)));
    let best = best_word(outcome).to_lowercase();
    let best = if best == "best" {
        "best"
    } else {
        "least harmful"
    };
    let title = if outside {
        format!("The {best} places in the yard and round it:")
    } else {
        format!("The {best} places anywhere in the yard:")
    };
    if nothing_matters(outcome) {
        return;
    }
    list(&title, &outcome.best);
    let worst = &outcome.sites[outcome.worst];
    out.say(&format!(
        "{}: {}: {}.",
        worst_word(outcome),
        place_name(scenario, worst),
        told(outcome, worst)
    ));
}

fn zones(out: &mut Lines, outcome: &PlaceOutcome) {
    if outcome.map.is_none() {
        return;
    }
    let of_100 = zones_of_100(outcome);
    out.gap();
    out.say(
        &format!(
            "Of 100 places on the map, a trap lowers {} at {}, could go either way at {}, makes no difference at {}, and raises \
             it at {}.",
            what_counts(outcome), of_100[0], of_100[1], of_100[2], of_100[3]
        ));
}

fn sweeps(out: &mut Lines, scenario: &Scenario, outcome: &PlaceOutcome) {
    let target = scenario.pest.guild.target_noun();
    if outcome.objective != "damage" && !outcome.sweeps.is_empty() {
        out.gap();
        out.say("The lists from here on count damage.");
    }
    for sweep in &outcome.sweeps {
        out.gap();
        let title = match sweep.name {
            "distance" => format!("Distance from your nearest {target} (mean of 8 sides):"),
            "side" => format!("Side of the {target}s, 20 ft away:"),
            "number" => "Number of traps, each where it does best:".into(),
            _ => "Spacing:".into(),
        };
        out.say(&format!("{title} {}", sweep.finding));
        let wide = sweep
            .points
            .iter()
            .map(|p| p.label.len())
            .max()
            .unwrap_or(0);
        out.0.push(format!(
            "  {:wide$}  {:>7} of 100 {}",
            "no trap",
            number(sweep.damage_without),
            scenario.pest.guild.damage_noun()
        ));
        for p in sweep.points.iter().filter(|p| p.traps > 0) {
            let outside = match p.outside {
                0 => "",
                n if n == p.places_m.len() => " (outside the yard)",
                _ => " (partly outside)",
            };
            out.0.push(format!(
                "  {:wide$}  {:>7}  caught {}{outside}",
                p.label,
                number(p.damage_mean),
                thousands(p.caught_mean)
            ));
        }
        out.hang(&format!("  From {} summers.", sweep.summers), 4);
    }
}

fn ending(out: &mut Lines, scenario: &Scenario, outcome: &PlaceOutcome) {
    out.gap();
    if !matches!(
        outcome.verdict,
        Verdict::SpotBeatsNoTrap | Verdict::RankedForCatch
    ) {
        // The plans of the file are not tried here, so nothing is left out that one of them does.
        let usual = usual(&scenario.pest, voice());
        out.say(&format!("Instead: {usual}."));
    }
    for note in &outcome.notes {
        out.say(&format!("Note: {note}"));
    }
    out.say_all(notes(&scenario.warnings));
    out.gap();
    out.say_all(cautions::told(scenario));
    out.gap();
    // Only traps are placed here.
    out.say_all(how_sure_of_map(scenario));
    out.gap();
    out.say(&format!(
        "{} sites, {} summers, shown as 20. Seed {}. A change under {} counts as no change.{}",
        outcome.sites.len(),
        thousands(outcome.summers as f64),
        outcome.seed,
        number(outcome.tie_band),
        if outcome.sites.iter().any(|s| s.summers < outcome.summers) {
            " Sites whose class was settled got fewer summers."
        } else {
            ""
        }
    ));
    if let Some(map) = &outcome.map {
        out.say(&format!(
            "The map between the sites: {} (chosen because it misses sites that are left out by least, {} on average; {} of \
             {} lie within two standard errors).",
            map.model,
            number(map.left_out_rms),
            map.left_out_within,
            outcome.sites.len()
        ));
    }
}

/// One row a number.
pub fn tidy(scenario: &Scenario, outcome: &PlaceOutcome) -> String {
    let header = ["object", "name", "x_m", "y_m", "quantity", "value", "unit"];
    let mut rows = vec![header.map(String::from).to_vec()];
    for (i, site) in outcome.sites.iter().enumerate() {
        let name = site
            .name
            .clone()
            .unwrap_or_else(|| format!("site {}", i + 1));
        let mut add = |quantity: &str, value: Option<String>, unit: &str| {
            rows.push(vec![
                "site".into(),
                harmless(&name),
                site.x_m.to_string(),
                site.y_m.to_string(),
                quantity.into(),
                value.unwrap_or_default(),
                unit.into(),
            ]);
        };
        let unit = outcome.unit.as_str();
        add("change mean", Some(site.change_mean.to_string()), unit);
        add("standard error", Some(site.se.to_string()), unit);
        add("more", Some(site.more.to_string()), "summers of 20");
        add("no change", Some(site.same.to_string()), "summers of 20");
        add("less", Some(site.less.to_string()), "summers of 20");
        add("class", Some(zone_word(site.zone).into()), "");
        add(
            "catch mean",
            Some(site.caught_mean.to_string()),
            "insects a summer",
        );
        add(
            "neighbor's change",
            site.neighbour_change.map(|v| v.to_string()),
            &damage_unit(scenario),
        );
        add("summers", Some(site.summers.to_string()), "summers");
    }
    for sweep in &outcome.sweeps {
        sweep_rows(scenario, sweep, &mut rows);
    }
    write(rows)
}

fn sweep_rows(scenario: &Scenario, sweep: &Sweep, rows: &mut Vec<Vec<String>>) {
    let unit = damage_unit(scenario);
    for p in &sweep.points {
        for (quantity, value, unit) in [
            ("damage mean", p.damage_mean, unit.as_str()),
            ("change mean", p.change_mean, &unit),
            ("standard error", p.se, &unit),
            ("catch mean", p.caught_mean, "insects a summer"),
            ("places outside the yard", p.outside as f64, "places"),
        ] {
            rows.push(vec![
                format!("sweep {}", sweep.name),
                p.label.clone(),
                String::new(),
                String::new(),
                quantity.into(),
                value.to_string(),
                unit.into(),
            ]);
        }
    }
}

/// The map, one row a cell.
pub fn grid(outcome: &PlaceOutcome) -> Option<String> {
    let map = outcome.map.as_ref()?;
    let header = ["x_m", "y_m", "change", "se", "zone"];
    let mut rows = vec![header.map(String::from).to_vec()];
    for (i, change) in map.change.iter().enumerate() {
        let centre = |n: usize| (n as f64 + 0.5) * map.cell_m;
        rows.push(vec![
            format!("{:.4}", map.x0_m + centre(i % map.columns)),
            format!("{:.4}", map.y0_m + centre(i / map.columns)),
            change.to_string(),
            map.se[i].to_string(),
            zone_word(map.zone[i]).into(),
        ]);
    }
    Some(write(rows))
}

/// Says how to make the search again; the clock may have ended it, and a second run would end elsewhere.
fn repeated(outcome: &PlaceOutcome) -> String {
    if outcome.stopped_early {
        return format!(
            "Repeat: run place again with --summers {} and without --seconds",
            outcome.summers
        );
    }
    crate::report::words::repeat(Manifest::NAME)
}

fn manifest(
    scenario: &Scenario,
    outcome: &PlaceOutcome,
    facts: &Facts,
    files: &[(String, Vec<u8>)],
) -> Manifest {
    let kriging = outcome.map.as_ref();
    let mut all = Manifest::new(facts, Some(scenario), files)
        .of_summers(outcome.seed, u32::try_from(outcome.summers).ok())
        .with("summers_asked", outcome.summers_asked)
        .with("sites", outcome.sites.len())
        .with("objective", outcome.objective)
        .with(
            "kriging",
            kriging.map(|m| (m.model.as_str(), m.kernel, m.sill, m.length_m)),
        );
    if outcome.stopped_early {
        all.repeat = Some(repeated(outcome));
    }
    all
}
