//! Files and terminal text of `lurefield calibrate`.

use crate::catalogue::calibration::RULES_TEXT;
use crate::catalogue::ensemble::{Column, Ensemble, Made};
use crate::catalogue::patterns::PATTERNS_TEXT;
use crate::report::Facts;
use crate::report::provenance::{run_manifest, sha256};
use crate::report::words::fold;
use crate::stats::abc::{Band, FEWEST};
use crate::stats::words::thousands;
use crate::study::calibrate::{Calibration, Measure, Task};
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
        return format!(
            "No set fits: none of {tried} sets of numbers lies in every band. No data file was written."
        );
    }
    let few = if found.accepted < found.few as usize {
        format!(
            " That is very few (fewer than {}): the sets below are a hint, not a basis.",
            found.few
        )
    } else {
        String::new()
    };
    format!(
        "{} of {tried} sets of numbers fit every tuned field pattern, {:.1} of 100.{few}",
        thousands(found.accepted as f64),
        100.0 * found.acceptance
    )
}

fn band_words(band: &Band) -> String {
    match (band.low, band.high) {
        (Some(a), Some(b)) => format!("{a} to {b}"),
        (Some(a), None) => format!("{a} or more"),
        (None, Some(b)) => format!("{b} or less"),
        (None, None) => "any".into(),
    }
}

/// What the range after the calibration is.
fn after_words(kept: usize) -> String {
    if kept < FEWEST {
        format!(
            "After: the whole range stands, since fewer than {FEWEST} kept sets cannot narrow it to one that holds the true \
             number 90 times of 100."
        )
    } else {
        "After: a range between kept sets that holds the true number at least 90 times of 100, if the rules of the model are \
         right."
            .into()
    }
}

/// What comes back when the truth is known.
fn recovery(found: &Calibration) -> Vec<String> {
    if found.recovery.is_empty() {
        return Vec::new();
    }
    let inside: f64 = found.recovery.iter().map(|r| r.inside).sum();
    let mut lines = vec![format!(
        "Would it find the truth? {} kept sets were taken for the truth, one after the other, and looked for among the \
         other sets. The range told held the true number {:.0} of 100 times.",
        found.truths,
        100.0 * inside / found.recovery.len() as f64
    )];
    let mut all: Vec<_> = found.parameters.iter().zip(&found.recovery).collect();
    all.sort_by(|a, b| b.1.correlation.total_cmp(&a.1.correlation));
    lines.extend(all.into_iter().map(|(fitted, back)| {
        // Assumed: where one word gives way to the next.
        let word = match back.correlation {
            r if r >= 0.7 => "comes back",
            r if r >= 0.35 => "comes back in part",
            _ => "does not come back",
        };
        format!(
            "- {}: {word} (correlation of true and found {:.2}; inside {:.0} of 100 times).",
            fitted.unknown.name,
            back.correlation,
            100.0 * back.inside
        )
    }));
    lines
}

fn measure_lines(found: &Calibration, m: &Measure) -> String {
    let kept = m.kept.map_or(String::new(), |[a, b, c]| {
        format!(" Kept sets: {b:.2} ({a:.2} to {c:.2}).")
    });
    let [a, b, c] = m.tried;
    format!(
        "{} {}. Band: {}. All sets: {b:.2} (middle 90 of 100: {a:.2} to {c:.2}).{kept} It turns away {} of 100 sets, {} of 100 \
         by itself.",
        m.pattern,
        m.words,
        band_words(&m.band),
        (100.0 * m.outside as f64 / found.draws.max(1) as f64).round(),
        (100.0 * m.alone as f64 / found.draws.max(1) as f64).round()
    )
}

/// The terminal text, at most 80 columns wide.
pub fn text(found: &Calibration) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut say = |text: &str, indent: usize| lines.extend(fold(text, indent));
    say(&headline(found), 2);
    if let Some(worst) = found.measures.iter().max_by_key(|m| m.outside) {
        say(
            &format!(
                "The pattern that turns away most sets is {} ({}).",
                worst.pattern, worst.words
            ),
            2,
        );
    }
    for m in &found.measures {
        say(&format!("- {}", measure_lines(found, m)), 2);
    }
    if found.accepted == 0 {
        say(
            "Nearest misses (distance in half widths of a band, or in sizes of its end):",
            2,
        );
        for set in found.nearest_misses.iter().take(5) {
            let each = found.measures.iter().zip(&set.simulated);
            let told: Vec<String> = each.map(|(m, v)| format!("{} {v:.2}", m.measure)).collect();
            say(
                &format!(
                    "- draw {}: {:.2} away; {}.",
                    set.draw,
                    set.distance,
                    told.join(", ")
                ),
                2,
            );
        }
        say(
            "Either the ranges are wrong, or the model lacks something. Widen a range only for a reason from outside.",
            2,
        );
    } else {
        let learnt = found
            .by_gain()
            .into_iter()
            .filter(|f| f.learnt.is_some_and(|l| l.informed))
            .count();
        say(
            &format!(
                "The patterns say something about {learnt} of {} numbers. For the others the range before is the range after.",
                found.parameters.len()
            ),
            2,
        );
        for f in found.by_gain().into_iter().take(learnt.max(3)) {
            if let Some(l) = &f.learnt {
                say(
                    &format!(
                        "- {}: before {} to {}, after {} to {}; width {:.2} of before ({:.2} to {:.2}){}.",
                        f.unknown.name,
                        with_unit(f.unknown.low, &f.unknown.unit),
                        with_unit(f.unknown.high, &f.unknown.unit),
                        with_unit(f.unknown.at(l.low), &f.unknown.unit),
                        with_unit(f.unknown.at(l.high), &f.unknown.unit),
                        l.width_ratio,
                        l.width_ratio_range[0],
                        l.width_ratio_range[1],
                        if l.informed { "" } else { "; may be chance" }
                    ),
                    2,
                );
            }
        }
        say(&after_words(found.accepted), 2);
        for line in recovery(found) {
            say(&line, 2);
        }
    }
    say(
        &format!(
            "Rule, written on {}; bands, written on {}. {} {}",
            found.rule_written, found.bands_written, found.rule, found.split
        ),
        2,
    );
    say(
        "Sets that fit trials elsewhere are not measured in your yard. This narrows guesses; it does not make them facts.",
        2,
    );
    lines.join("\n") + "\n"
}

/// `calibration.json`.
pub fn json(found: &Calibration) -> String {
    crate::report::json::pretty(found)
}

/// `draws.csv`: every set with its distance, its measures and its quantiles.
///
/// # Panics
/// Never: rows are as long as the header and memory takes them.
pub fn csv(found: &Calibration, points: &[Vec<f64>], values: &[Vec<f64>]) -> String {
    let whole = "writing to memory cannot fail";
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    let mut head = vec!["draw".to_owned(), "kept".into(), "distance".into()];
    head.extend(found.measures.iter().map(|m| m.measure.clone()));
    head.extend(
        found
            .parameters
            .iter()
            .map(|p| format!("{}.{} quantile", p.unknown.id, p.unknown.key)),
    );
    writer.write_record(&head).expect(whole);
    for (draw, (point, measured)) in points.iter().zip(values).enumerate() {
        let distance = found.distances[draw];
        let kept = u8::from(distance <= found.epsilon);
        let mut row = vec![draw.to_string(), kept.to_string(), format!("{distance:.6}")];
        row.extend(measured.iter().map(|v| format!("{v:.6}")));
        row.extend(point.iter().map(|q| format!("{q:.6}")));
        writer.write_record(&row).expect(whole);
    }
    String::from_utf8(writer.into_inner().expect(whole)).expect("text fields stay text")
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
    files.extend(pictures(found));
    files.push(("calibration.json".into(), json(found).into_bytes()));
    files.push(("draws.csv".into(), csv(found, points, values).into_bytes()));
    if let Some(text) = ensemble(task, found, facts) {
        files.push((ensemble_name(&found.pest), text.into_bytes()));
    }
    let manifest = run_manifest(facts, found.seed, None, &files);
    files.push(("manifest.json".into(), manifest.into_bytes()));
    files
}

#[cfg(feature = "pictures")]
fn pictures(found: &Calibration) -> Vec<(String, Vec<u8>)> {
    crate::report::figure_files(&crate::figure::calibrate::all(found))
}

#[cfg(not(feature = "pictures"))]
fn pictures(_: &Calibration) -> Vec<(String, Vec<u8>)> {
    Vec::new()
}
