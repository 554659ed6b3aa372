//! Files and terminal text of `lurefield calibrate`.

use crate::catalogue::calibration::RULES_TEXT;
use crate::catalogue::ensemble::{Column, Ensemble, Made};
use crate::catalogue::patterns::PATTERNS_TEXT;
use crate::report::Facts;
use crate::report::csv::write;
use crate::report::figure_files;
use crate::report::lines::Lines;
use crate::report::provenance::{run_manifest, sha256};
use crate::say::{say, voice};
use crate::stats::abc::{Band, FEWEST};
use crate::stats::words::thousands;
use crate::study::calibrate::{Calibration, Fitted, Measure, Task};
use crate::study::vary::with_unit;
use std::fmt::Write as _;

/// Name of the data file.
pub fn ensemble_name(pest: &str) -> String {
    format!("ensemble-{pest}.json")
}

/// The bottom line.
pub fn headline(found: &Calibration) -> String {
    let tried = thousands(found.draws as f64);
    if found.accepted == 0 {
        return say!("detail.calibrate.none", tried);
    }
    let key = if found.accepted < found.few as usize {
        "detail.calibrate.few"
    } else {
        "detail.calibrate.fit"
    };
    let kept = thousands(found.accepted as f64);
    let of_100 = format!("{:.1}", 100.0 * found.acceptance);
    say!(key, kept, tried, of_100, few = found.few)
}

fn band_words(band: &Band) -> String {
    match (band.low, band.high) {
        (Some(low), Some(high)) => say!("detail.band.between", low, high),
        (Some(low), None) => say!("detail.calibrate.or-more", low),
        (None, Some(high)) => say!("detail.calibrate.or-less", high),
        (None, None) => say!("detail.band.any"),
    }
}

/// What the range after the calibration is.
fn after_words(kept: usize) -> String {
    if kept < FEWEST {
        say!("detail.calibrate.after.whole", fewest = FEWEST)
    } else {
        say!("detail.calibrate.after")
    }
}

/// What comes back when the truth is known.
fn recovery(found: &Calibration) -> Vec<String> {
    if found.recovery.is_empty() {
        return Vec::new();
    }
    let inside: f64 = found.recovery.iter().map(|r| r.inside).sum();
    let share = format!("{:.0}", 100.0 * inside / found.recovery.len() as f64);
    let mut lines = vec![say!("detail.calibrate.truth", truths = found.truths, share)];
    let mut all: Vec<_> = found.parameters.iter().zip(&found.recovery).collect();
    all.sort_by(|a, b| b.1.correlation.total_cmp(&a.1.correlation));
    lines.extend(all.into_iter().map(|(fitted, back)| {
        // Assumed: where one word gives way to the next.
        let key = match back.correlation {
            r if r >= 0.7 => "detail.calibrate.back",
            r if r >= 0.35 => "detail.calibrate.back.in-part",
            _ => "detail.calibrate.back.not",
        };
        say!(
            key,
            number = fitted.unknown.name,
            correlation = format!("{:.2}", back.correlation),
            inside = format!("{:.0}", 100.0 * back.inside)
        )
    }));
    lines
}

fn measure_lines(found: &Calibration, m: &Measure) -> String {
    let two = |v: f64| format!("{v:.2}");
    let of_100 = |n: usize| (100.0 * n as f64 / found.draws.max(1) as f64).round();
    let [low, middle, high] = m.tried.map(two);
    let head = say!(
        "detail.calibrate.measure",
        pattern = m.pattern,
        words = m.words,
        band = band_words(&m.band),
        low,
        middle,
        high
    );
    let kept = m.kept.map(|kept| {
        let [low, middle, high] = kept.map(two);
        say!("detail.calibrate.measure.kept", low, middle, high)
    });
    let turns = say!(
        "detail.calibrate.measure.turns",
        outside = of_100(m.outside),
        alone = of_100(m.alone)
    );
    let all: Vec<String> = std::iter::once(head).chain(kept).chain([turns]).collect();
    all.join(" ")
}

/// The terminal text, at most 80 columns wide.
pub fn text(found: &Calibration) -> String {
    let mut out = Lines::default();
    out.say(&headline(found));
    if let Some(worst) = found.measures.iter().max_by_key(|m| m.outside) {
        let (pattern, words) = (&worst.pattern, &worst.words);
        out.say(&say!("detail.calibrate.worst", pattern, words));
    }
    for m in &found.measures {
        out.say(&measure_lines(found, m));
    }
    if found.accepted == 0 {
        out.say(voice().get("detail.calibrate.misses"));
        for set in found.nearest_misses.iter().take(5) {
            let each = found.measures.iter().zip(&set.simulated);
            let told: Vec<String> = each.map(|(m, v)| format!("{} {v:.2}", m.measure)).collect();
            out.say(&say!(
                "detail.calibrate.miss",
                draw = set.draw,
                distance = format!("{:.2}", set.distance),
                values = told.join(", ")
            ));
        }
        out.say(voice().get("detail.calibrate.either"));
    } else {
        learnt(&mut out, found);
    }
    out.say(&say!(
        "detail.calibrate.rule",
        rule_written = found.rule_written,
        bands_written = found.bands_written,
        rule = found.rule,
        split = found.split
    ));
    out.say(voice().get("detail.calibrate.not-your-yard"));
    out.text()
}

/// What the kept sets say about each number.
fn learnt(out: &mut Lines, found: &Calibration) {
    let informed = |f: &&&Fitted| f.learnt.is_some_and(|l| l.informed);
    let all = found.by_gain();
    let n = all.iter().filter(informed).count();
    let of = found.parameters.len();
    out.say(&say!("detail.calibrate.learnt", n, of));
    for f in all.into_iter().take(n.max(3)) {
        let Some(l) = &f.learnt else { continue };
        let key = if l.informed {
            "detail.calibrate.number"
        } else {
            "detail.calibrate.number.chance"
        };
        let own = |value: f64| with_unit(value, &f.unknown.unit);
        let [least, most] = l.width_ratio_range.map(|v| format!("{v:.2}"));
        out.say(&say!(
            key,
            number = f.unknown.name,
            low = own(f.unknown.low),
            high = own(f.unknown.high),
            after_low = own(f.unknown.at(l.low)),
            after_high = own(f.unknown.at(l.high)),
            ratio = format!("{:.2}", l.width_ratio),
            least,
            most
        ));
    }
    out.say(&after_words(found.accepted));
    out.say_all(recovery(found));
}

/// `calibration.json`.
pub fn json(found: &Calibration) -> String {
    crate::report::json::pretty(found)
}

/// `draws.csv`: every set with its distance, its measures and its quantiles.
pub fn csv(found: &Calibration, points: &[Vec<f64>], values: &[Vec<f64>]) -> String {
    let mut head = vec!["draw".to_owned(), "kept".into(), "distance".into()];
    head.extend(found.measures.iter().map(|m| m.measure.clone()));
    head.extend(
        found
            .parameters
            .iter()
            .map(|p| format!("{}.{} quantile", p.unknown.id, p.unknown.key)),
    );
    let mut rows = vec![head];
    for (draw, (point, measured)) in points.iter().zip(values).enumerate() {
        let distance = found.distances[draw];
        let kept = u8::from(distance <= found.epsilon);
        let mut row = vec![draw.to_string(), kept.to_string(), format!("{distance:.6}")];
        row.extend(measured.iter().chain(point).map(|v| format!("{v:.6}")));
        rows.push(row);
    }
    write(rows)
}

/// The data file of the kept sets, one set a line; `None` when no set was kept.
///
/// # Panics
/// Never: the list of sets stands last in what is written.
pub fn ensemble(task: &Task, found: &Calibration, facts: &Facts) -> Option<String> {
    if found.kept.is_empty() {
        return None;
    }
    let made = Ensemble {
        format: 1,
        pest: found.pest.clone(),
        made: Made {
            command: format!("lurefield {}", facts.command.join(" ")),
            version: facts.version.clone(),
            seed: found.seed,
            draws: found.draws as u32,
            kept: found.accepted as u32,
            bands_written: found.bands_written.clone(),
            patterns_sha256: sha256(PATTERNS_TEXT.as_bytes()),
            rules_sha256: sha256(RULES_TEXT.as_bytes()),
        },
        parameters: task
            .parameters
            .iter()
            .zip(&task.ranges)
            .map(|(u, (unit, range))| Column {
                id: u.id.clone(),
                key: u.key.clone(),
                unit: unit.clone(),
                range: *range,
            })
            .collect(),
        sets: Vec::new(),
    };
    let head = crate::report::json::pretty(&made);
    let rows: Vec<String> = found
        .kept
        .iter()
        .take(task.rules.most_shipped as usize)
        .map(|set| {
            let quantiles: Vec<String> = set.quantiles.iter().map(f64::to_string).collect();
            format!("    [{}]", quantiles.join(", "))
        })
        .collect();
    let open = head
        .rfind("[]")
        .expect("the empty list of sets stands last");
    let mut text = head[..open].to_owned();
    write!(text, "[\n{}\n  ]{}", rows.join(",\n"), &head[open + 2..])
        .expect("writing to a string cannot fail");
    Some(text)
}

/// All files of a calibration with their names inside the output folder, the manifest last.
pub fn files(
    task: &Task,
    found: &Calibration,
    points: &[Vec<f64>],
    values: &[Vec<f64>],
    facts: &Facts,
) -> Vec<(String, Vec<u8>)> {
    let mut files = vec![("calibration.txt".to_owned(), text(found).into_bytes())];
    files.extend(figure_files(|| crate::figure::calibrate::all(found)));
    files.push(("calibration.json".into(), json(found).into_bytes()));
    files.push(("draws.csv".into(), csv(found, points, values).into_bytes()));
    if let Some(text) = ensemble(task, found, facts) {
        files.push((ensemble_name(&found.pest), text.into_bytes()));
    }
    let manifest = run_manifest(facts, found.seed, None, &files);
    files.push(("manifest.json".into(), manifest.into_bytes()));
    files
}
