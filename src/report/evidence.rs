//! Files and terminal text of `lurefield evidence`.

use crate::catalogue::patterns::Kin;
use crate::report::words::fold;
use crate::say::{say, voice};
use crate::study::patterns::{Evidence, Tested};
use std::fmt::Write as _;

/// Numbers of patterns that pass, fail and are not run.
fn counts(evidence: &Evidence) -> [usize; 3] {
    ["pass", "fail", "not run"].map(|status| {
        evidence
            .patterns
            .iter()
            .filter(|p| p.status == status)
            .count()
    })
}

/// The bottom line.
fn headline(evidence: &Evidence) -> String {
    let [pass, fail, left] = counts(evidence);
    let asked: Vec<&Tested> = evidence
        .patterns
        .iter()
        .filter(|p| p.kin == Kin::Independent && p.quantitative)
        .collect();
    let held: Vec<&str> = asked
        .iter()
        .filter(|p| p.status == "pass")
        .map(|p| p.pattern.id.as_str())
        .collect();
    let named = if held.is_empty() {
        String::new()
    } else {
        format!(" ({})", held.join(", "))
    };
    format!(
        "Of {} independent patterns that ask for a size, {} pass{named}. Of all {} field patterns, {pass} pass, {fail} fail and {left} were \
         not run.",
        asked.len(),
        held.len(),
        evidence.patterns.len()
    )
}

fn role(tested: &Tested) -> String {
    let seen = if tested.pattern.seen_before {
        ", seen in earlier runs"
    } else {
        ""
    };
    let kin = match tested.kin {
        Kin::Tuned => "tuned or fed in",
        Kin::SameFamily => "same family as what tuned",
        Kin::Independent => "independent",
    };
    format!("{kin}{seen}; band of {}", tested.written)
}

/// The terminal text, at most 80 columns wide.
pub fn text(evidence: &Evidence) -> String {
    let mut lines = Vec::new();
    let mut say = |text: &str, indent: usize| lines.extend(fold(text, indent));
    say(&headline(evidence), 2);
    say(
        &format!(
            "{} simulated summers for each layout, seed {}. Bands written on {}, before these runs.",
            evidence.summers, evidence.seed, evidence.bands_written
        ),
        2,
    );
    for p in &evidence.patterns {
        let id = &p.pattern.id;
        say(
            &format!(
                "{id:<4} {:<8} {} ({})",
                p.status.to_uppercase(),
                p.pattern.name,
                role(p)
            ),
            4,
        );
        if p.status == "not run" {
            let reason = p.pattern.not_run.as_deref().unwrap_or_default();
            say(&format!("     Why: {reason}"), 5);
            continue;
        }
        for m in &p.measured {
            say(
                &format!("     {}: {:.2}; band: {}.", m.words, m.value, m.band),
                7,
            );
        }
        if let Some(diagnosis) = &p.diagnosis {
            say(&format!("     Outside its band: {diagnosis}"), 5);
        }
    }
    say(&evidence.biology, 2);
    say(&evidence.honesty, 2);
    say(
        "A pass says that the model can show what was seen in the field. It does not say that your yard will.",
        2,
    );
    say(voice().get("caution.forecast"), 2);
    say(voice().get("caution.local"), 2);
    lines.join("\n") + "\n"
}

/// `evidence.json`.
pub fn json(evidence: &Evidence) -> String {
    crate::report::json::pretty(evidence)
}

/// Text that may stand in HTML.
pub(crate) fn escape(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// A page of its own: title, language, style for screen and paper, the body given.
pub(crate) fn page(title: &str, body: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{}</title>\n<style>\n\
         body{{font:1.05rem/1.5 sans-serif;max-width:60rem;margin:1.5rem auto;padding:0 1rem;color:#000;background:#fff}}\n\
         table{{border-collapse:collapse;width:100%;font-size:.95rem}}th,td{{border:1px solid #767676;padding:.35rem .5rem;\
         text-align:left;vertical-align:top}}\n\
         th{{background:#eee}}.wide{{overflow-x:auto}}svg{{max-width:100%;height:auto}}\n\
         .pass::before{{content:\"\\2713\\a0\"}}.fail::before{{content:\"\\2717\\a0\"}}.fail{{font-weight:bold}}\n\
         </style>\n</head>\n<body>\n<main>\n{body}</main>\n</body>\n</html>\n",
        escape(title)
    )
}

/// `evidence.html`; `drawing` is an SVG or empty.
pub fn html(evidence: &Evidence, drawing: &str) -> String {
    let title = "Does the model show what was seen in the field?";
    let mut body = format!(
        "<h1>{title}</h1>\n<p><strong>{}</strong></p>\n<p>{}</p>\n",
        escape(&headline(evidence)),
        escape(&[say!("caution.forecast"), say!("caution.local")].join(" "))
    );
    if !drawing.is_empty() {
        write!(body, "<figure>\n{drawing}\n</figure>\n").expect("writing to a string cannot fail");
    }
    body.push_str(
        "<h2>The patterns</h2>\n<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Table of patterns\">\n<table>\n\
         <caption>Observed, simulated and the band that was set before</caption>\n<thead><tr><th scope=\"col\">Pattern</th>\
         <th scope=\"col\">Result</th><th scope=\"col\">Observed (source)</th><th scope=\"col\">Simulated</th>\
         <th scope=\"col\">Band</th><th scope=\"col\">Use</th></tr></thead>\n<tbody>\n",
    );
    for p in &evidence.patterns {
        let reason = p
            .diagnosis
            .as_deref()
            .or(p.pattern.not_run.as_deref())
            .unwrap_or("");
        let note = &p.pattern.note;
        let class = if p.status == "not run" {
            "left"
        } else {
            &p.status
        };
        writeln!(
            body,
            "<tr><th scope=\"row\">{} {}</th><td class=\"{class}\">{}</td><td>{} ({})</td><td>{} {}</td><td>{} {}</td><td>{}</td></tr>",
            escape(&p.pattern.id),
            escape(&p.pattern.name),
            escape(&p.status),
            escape(&p.pattern.observed),
            escape(&p.pattern.source),
            escape(&p.simulated),
            escape(reason),
            escape(&p.band),
            escape(note),
            escape(&role(p))
        )
        .expect("writing to a string cannot fail");
    }
    write!(
        body,
        "</tbody>\n</table>\n</div>\n<h2>How far to trust this</h2>\n<p>{}</p>\n<p>{}</p>\n\
         <p>A pass says that the model can show what was seen in the field. It does not say that your yard will.</p>\n\
         <p>{} simulated summers for each layout, seed {}. Bands written on {}.</p>\n",
        escape(&evidence.biology),
        escape(&evidence.honesty),
        evidence.summers,
        evidence.seed,
        escape(&evidence.bands_written)
    )
    .expect("writing to a string cannot fail");
    page(title, &body)
}

/// All files of the report with their names inside the output folder.
pub fn files(evidence: &Evidence) -> Vec<(String, Vec<u8>)> {
    let (mut files, drawing) = pictures(evidence);
    files.insert(0, ("evidence.txt".into(), text(evidence).into_bytes()));
    files.push(("evidence.json".into(), json(evidence).into_bytes()));
    files.push((
        "evidence.html".into(),
        html(evidence, &drawing).into_bytes(),
    ));
    files
}

#[cfg(feature = "pictures")]
fn pictures(evidence: &Evidence) -> (Vec<(String, Vec<u8>)>, String) {
    let figure = crate::figure::evidence::same_rules(evidence);
    let svg = figure.svg.clone();
    (crate::report::figure_files(&[figure]), svg)
}

#[cfg(not(feature = "pictures"))]
fn pictures(_: &Evidence) -> (Vec<(String, Vec<u8>)>, String) {
    (Vec::new(), String::new())
}
