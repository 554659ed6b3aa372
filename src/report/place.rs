//! The files and the terminal text of a search for a place.

use crate::catalogue::Guild;
use crate::catalogue::believe::{Believe, Question, believe};
use crate::geometry::Point;
use crate::placement::finding::Best;
use crate::placement::outcome::{PlaceOutcome, Ranked, SiteOutcome, Sweep, Verdict};
use crate::placement::words::{
    headline, number, place_name, signed, told, what_counts, worst_word, zone_word, zones_of_100,
};
use crate::report::cautions;
use crate::report::csv::{harmless, write};
use crate::report::figure_files;
use crate::report::json::{damage_unit, pretty};
use crate::report::lines::Lines;
use crate::report::provenance::{Facts, Manifest};
use crate::report::words::{average_apart, followed, how_sure_of_map, notes, usual};
use crate::say::{counted, say, voice};
use crate::scenario::Scenario;
use crate::stats::quantile::DOTS;
use crate::stats::words::{Word, of_summers, printed, thousands};
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
    files.extend(figure_files(|| {
        crate::figure::placement::all(scenario, outcome)
    }));
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

/// The text for people, then the numbers behind it; lines of at most 80 columns.
pub fn text(scenario: &Scenario, outcome: &PlaceOutcome) -> String {
    let mut out = Lines::default();
    if let Some(warning) = crate::report::words::invented(scenario) {
        out.say(warning);
    }
    let mut first = headline(scenario, outcome);
    if let Some(best) = outcome.best.first().map(|r| &outcome.sites[r.site]) {
        let whole = best.counts.of == DOTS;
        if outcome.settled && whole && outcome.verdict == Verdict::SpotBeatsNoTrap {
            first = say!(
                "place.headline.word",
                headline = first,
                word = Word::of(best.counts.less, DOTS).told(voice())
            );
        }
        if !outcome.settled {
            first = say!("place.headline.preview", headline = first);
        }
        out.say(&first);
        // Other headlines name the place that the counts below are of.
        let key = match (outcome.verdict, outcome.best_is()) {
            (Verdict::MakesNoDifference, _) if outcome.nothing_matters() => {
                Some("place.spot.tried")
            }
            (Verdict::NoSpotBeatsNoTrap, Best::Good) => Some("place.spot.best"),
            (Verdict::NoSpotBeatsNoTrap, Best::DoesNoHarm) => Some("place.spot.least-risky"),
            (Verdict::NoSpotBeatsNoTrap, Best::LeastHarmful) => Some("place.spot.least-harmful"),
            _ => None,
        };
        if let Some(key) = key {
            out.say(&say!(key, spot_told = place_name(scenario, best)));
        }
        counts(&mut out, scenario, outcome, best);
    }
    let n = outcome.summers as u64;
    let summers = thousands(outcome.summers as f64);
    if !outcome.settled {
        out.say(&say!(&counted("place.preview", n), summers));
    }
    if outcome.summers < outcome.summers_asked {
        out.say(&say!(
            "place.out-of-time",
            n,
            of_summers = outcome.summers_asked
        ));
    }
    rankings(&mut out, scenario, outcome);
    zones(&mut out, outcome);
    sweeps(&mut out, scenario, outcome);
    ending(&mut out, scenario, outcome);
    out.say(&repeated(outcome));
    out.details();
    behind(&mut out, outcome);
    out.text()
}

fn counts(out: &mut Lines, scenario: &Scenario, outcome: &PlaceOutcome, best: &SiteOutcome) {
    let (without, with) = (outcome.base_mean, outcome.base_mean + best.change_mean);
    let text = say!(
        "place.counts",
        counted_in = outcome.unit,
        without = number(without),
        with = number(with),
        more = of_summers(best.counts.more, best.counts.of),
        same = best.counts.same,
        less = best.counts.less,
        caught = thousands(best.caught_mean)
    );
    let in_damage = outcome.verdict != Verdict::RankedForCatch;
    let (class, band) = (best.counts.class(), outcome.tie_band);
    let apart = average_apart(class, printed(without), printed(with), band);
    let apart = apart.filter(|_| in_damage).map(|key| voice().get(key));
    out.hang(&followed(text, apart), 4);
    out.hang(&next_door(scenario, best.neighbour_change), 4);
}

/// What a trap does next door; a change that is printed as nothing is called none.
fn next_door(scenario: &Scenario, change: Option<f64>) -> String {
    let Some(change) = change else {
        return say!("place.next-door.not-known");
    };
    let theirs = voice().get(match scenario.pest.guild {
        Guild::Visitor => "place.theirs.tables",
        _ => "place.theirs.plants",
    });
    let size = number(change.abs());
    let key = match change {
        _ if size == number(0.0) => "place.next-door.same",
        c if c > 0.0 => "place.next-door.more",
        _ => "place.next-door.less",
    };
    say!(key, size, theirs)
}

fn rankings(out: &mut Lines, scenario: &Scenario, outcome: &PlaceOutcome) {
    let mut list = |title: &str, ranked: &[Ranked]| {
        if ranked.is_empty() {
            return;
        }
        out.gap();
        out.say(voice().get(title));
        for r in ranked {
            let site = &outcome.sites[r.site];
            let key = if r.tied {
                "place.ranked.tie"
            } else {
                "place.ranked"
            };
            let (spot_told, does) = (place_name(scenario, site), told(outcome, site));
            out.hang(&say!(key, rank = r.rank, spot_told, does), 6);
        }
    };
    list("place.your-spots", &outcome.spots);
    if outcome.nothing_matters() {
        return;
    }
    let mut sites = outcome.sites.iter();
    let outside = sites.any(|s| !scenario.yard.contains(Point::new(s.x_m, s.y_m)));
    let title = match (outcome.best_is(), outside) {
        (Best::Good, false) => "place.best.yard",
        (Best::Good, true) => "place.best.around",
        (_, false) => "place.least-harmful.yard",
        (_, true) => "place.least-harmful.around",
    };
    list(title, &outcome.best);
    let worst = &outcome.sites[outcome.worst];
    let (spot_told, does) = (place_name(scenario, worst), told(outcome, worst));
    out.say(&say!(
        "place.worst",
        word = worst_word(outcome),
        spot_told,
        does
    ));
}

fn zones(out: &mut Lines, outcome: &PlaceOutcome) {
    if outcome.map.is_none() {
        return;
    }
    let of_100 = zones_of_100(outcome);
    out.gap();
    out.say(&say!(
        "place.zones",
        counted = what_counts(outcome),
        lowers = of_100[0],
        either = of_100[1],
        same = of_100[2],
        raises = of_100[3]
    ));
}

fn sweeps(out: &mut Lines, scenario: &Scenario, outcome: &PlaceOutcome) {
    let guild = scenario.pest.guild;
    if outcome.objective != "damage" && !outcome.sweeps.is_empty() {
        out.gap();
        out.say(voice().get("place.sweep.count-damage"));
    }
    for sweep in &outcome.sweeps {
        out.gap();
        let title = match (sweep.name, guild) {
            ("distance", Guild::Visitor) => "place.sweep.distance.tables",
            ("distance", _) => "place.sweep.distance",
            ("side", Guild::Visitor) => "place.sweep.side.tables",
            ("side", _) => "place.sweep.side",
            ("number", _) => "place.sweep.number",
            _ => "place.sweep.spacing",
        };
        out.say(&say!(title, finding = sweep.finding));
        let labels = sweep.points.iter().map(|p| p.label.chars().count());
        let wide = labels.max().unwrap_or(0);
        let label = format!("{:wide$}", voice().get("place.label.no-trap"));
        let damage = format!("{:>7}", number(sweep.damage_without));
        let noun = guild.damage_noun();
        out.0.push(say!("place.sweep.without", label, damage, noun));
        for p in sweep.points.iter().filter(|p| p.traps > 0) {
            let key = match p.outside {
                0 => "place.sweep.row",
                n if n == p.places_m.len() => "place.sweep.row.outside",
                _ => "place.sweep.row.partly",
            };
            let label = format!("{:wide$}", p.label);
            let damage = format!("{:>7}", number(p.damage_mean));
            let caught = thousands(p.caught_mean);
            out.0.push(say!(key, label, damage, caught));
        }
        let n = sweep.summers as u64;
        out.hang(&say!(&counted("place.sweep.summers", n), n), 4);
    }
}

fn ending(out: &mut Lines, scenario: &Scenario, outcome: &PlaceOutcome) {
    out.gap();
    if !matches!(
        outcome.verdict,
        Verdict::SpotBeatsNoTrap | Verdict::RankedForCatch
    ) {
        // The plans of the file are not tried here, so nothing is left out that one of them does.
        out.say(&say!("place.instead", instead = usual(scenario, voice())));
    }
    for note in &outcome.notes {
        out.say(&say!("place.note", note));
    }
    out.say_all(notes(&scenario.warnings));
    out.gap();
    out.say_all(cautions::told(scenario));
    out.gap();
    // Only traps are placed here.
    out.say_all(how_sure_of_map(scenario));
    out.gap();
    let fewer = outcome.sites.iter().any(|s| s.summers < outcome.summers);
    let key = match (outcome.summers < DOTS, fewer) {
        (true, _) => "place.sites.few",
        (_, true) => "place.sites.fewer-summers",
        _ => "place.sites",
    };
    let key = &counted(key, outcome.summers as u64);
    out.say(&say!(
        key,
        n = outcome.sites.len(),
        summers = thousands(outcome.summers as f64),
        seed = outcome.seed,
        size = number(outcome.tie_band)
    ));
}

/// The numbers behind the answer: the error of the best and the worst site, and how the map was drawn.
fn behind(out: &mut Lines, outcome: &PlaceOutcome) {
    let best = outcome.best.first().map(|r| ("detail.place.best", r.site));
    for (key, i) in best
        .into_iter()
        .chain([("detail.place.worst", outcome.worst)])
    {
        let site = &outcome.sites[i];
        let (change, error) = (signed(site.change_mean), format!("{:.2}", site.se));
        out.say(&say!(key, change, error, summers = site.summers));
    }
    if let Some(map) = &outcome.map {
        out.say(&say!(
            "detail.place.map",
            model = map.model,
            missed = number(map.left_out_rms),
            within = map.left_out_within,
            sites = outcome.sites.len()
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
            .unwrap_or_else(|| say!("place.site", number = i + 1));
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
        let of = format!("summers of {}", site.counts.of);
        let counted = site.counts.all().map(|n| Some(n.to_string()));
        for (quantity, value) in ["more", "no change", "less"].into_iter().zip(counted) {
            add(quantity, value, &of);
        }
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
            ("change mean", p.mean.change, &unit),
            ("standard error", p.mean.error, &unit),
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
        return say!("place.repeat.without-seconds", n = outcome.summers);
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
