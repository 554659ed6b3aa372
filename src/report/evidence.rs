//! Files and terminal text of `lurefield evidence`.

use crate::catalogue::patterns::Kin;
use crate::report::figure_files;
use crate::report::lines::Lines;
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
    let key = if held.is_empty() {
        "detail.evidence.headline.none"
    } else {
        "detail.evidence.headline"
    };
    say!(
        key,
        asked = asked.len(),
        held = held.len(),
        ids = held.join(", "),
        all = evidence.patterns.len(),
        pass,
        fail,
        left
    )
}

fn role(tested: &Tested) -> String {
    let kin = voice().get(match tested.kin {
        Kin::Tuned => "detail.evidence.kin.tuned",
        Kin::SameFamily => "detail.evidence.kin.same-family",
        Kin::Independent => "detail.evidence.kin.independent",
    });
    let key = if tested.pattern.seen_before {
        "detail.evidence.role.seen"
    } else {
        "detail.evidence.role"
    };
    say!(key, kin, written = tested.written)
}

/// What became of a pattern, in a word.
fn status(tested: &Tested) -> &'static str {
    voice().get(match tested.status.as_str() {
        "pass" => "detail.evidence.status.pass",
        "fail" => "detail.evidence.status.fail",
        _ => "detail.evidence.status.not-run",
    })
}

/// The terminal text, at most 80 columns wide.
pub fn text(evidence: &Evidence) -> String {
    let mut lines = Lines::default();
    let mut tell = |text: &str, indent: usize| lines.hang(text, indent);
    tell(&headline(evidence), 2);
    let summers = say!(
        "detail.evidence.summers",
        summers = evidence.summers,
        seed = evidence.seed,
        written = evidence.bands_written
    );
    tell(&summers, 2);
    for p in &evidence.patterns {
        let head = say!(
            "detail.evidence.pattern",
            id = format!("{:<4}", p.pattern.id),
            status = format!("{:<8}", status(p).to_uppercase()),
            name = p.pattern.name,
            role = role(p)
        );
        tell(&head, 4);
        if let Some(reason) = &p.pattern.not_run {
            tell(&say!("detail.evidence.why", reason), 5);
            continue;
        }
        for m in &p.measured {
            let value = format!("{:.2}", m.value);
            let said = say!(
                "detail.evidence.measured",
                words = m.words,
                value,
                band = m.band
            );
            tell(&said, 7);
        }
        if let Some(diagnosis) = &p.diagnosis {
            tell(&say!("detail.evidence.diagnosis", diagnosis), 5);
        }
    }
    tell(&evidence.biology, 2);
    tell(&evidence.honesty, 2);
    tell(voice().get("patterns.pass-says"), 2);
    tell(voice().get("caution.forecast"), 2);
    tell(voice().get("caution.local"), 2);
    lines.text()
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
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{}</title>\n<style>\n\
         body{{font:1.05rem/1.5 sans-serif;max-width:60rem;margin:1.5rem auto;padding:0 1rem;color:#000;background:#fff}}\n\
         table{{border-collapse:collapse;width:100%;font-size:.95rem}}th,td{{border:1px solid #767676;padding:.35rem .5rem;\
         text-align:left;vertical-align:top}}\n\
         th{{background:#eee}}.wide{{overflow-x:auto}}svg{{max-width:100%;height:auto}}\n\
         .pass::before{{content:\"\\2713\\a0\"}}.fail::before{{content:\"\\2717\\a0\"}}.fail{{font-weight:bold}}\n\
         </style>\n</head>\n<body>\n<main>\n{body}</main>\n</body>\n</html>\n",
        voice().get("language"),
        escape(title)
    )
}

/// `evidence.html`; `drawing` is an SVG or empty.
pub fn html(evidence: &Evidence, drawing: &str) -> String {
    let title = voice().get("patterns.title");
    let mut body = format!(
        "<h1>{title}</h1>\n<p><strong>{}</strong></p>\n<p>{}</p>\n",
        escape(&headline(evidence)),
        escape(&[say!("caution.forecast"), say!("caution.local")].join(" "))
    );
    if !drawing.is_empty() {
        write!(body, "<figure>\n{drawing}\n</figure>\n").expect("writing to a string cannot fail");
    }
    let head = |key: &str| escape(voice().get(key));
    write!(
        body,
        "<h2>{}</h2>\n<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{}\">\n<table>\n<caption>{}</caption>\n\
         <thead><tr>",
        head("detail.evidence.patterns"),
        head("detail.evidence.table"),
        head("detail.evidence.caption")
    )
    .expect("writing to a string cannot fail");
    for key in [
        "detail.evidence.column.pattern",
        "detail.evidence.column.result",
        "detail.evidence.column.observed",
        "detail.evidence.column.simulated",
        "detail.evidence.column.band",
        "detail.evidence.column.use",
    ] {
        write!(body, "<th scope=\"col\">{}</th>", head(key))
            .expect("writing to a string cannot fail");
    }
    body.push_str("</tr></thead>\n<tbody>\n");
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
            escape(status(p)),
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
    let summers = say!(
        "detail.evidence.page-summers",
        summers = evidence.summers,
        seed = evidence.seed,
        written = evidence.bands_written
    );
    write!(
        body,
        "</tbody>\n</table>\n</div>\n<h2>{}</h2>\n<p>{}</p>\n<p>{}</p>\n<p>{}</p>\n<p>{}</p>\n{}",
        head("patterns.trust"),
        escape(&evidence.biology),
        escape(&evidence.honesty),
        head("patterns.pass-says"),
        escape(&summers),
        voice()
            .mark()
            .map_or_else(String::new, |mark| ["<p>", &escape(mark), "</p>\n"]
                .concat())
    )
    .expect("writing to a string cannot fail");
    page(title, &body)
}

/// All files of the report with their names inside the output folder.
pub fn files(evidence: &Evidence) -> Vec<(String, Vec<u8>)> {
    let figure = crate::figure::evidence::same_rules(evidence);
    let drawing = figure.svg.clone();
    let mut files = figure_files(|| vec![figure]);
    files.insert(0, ("evidence.txt".into(), text(evidence).into_bytes()));
    files.push(("evidence.json".into(), json(evidence).into_bytes()));
    files.push((
        "evidence.html".into(),
        html(evidence, &drawing).into_bytes(),
    ));
    files
}
