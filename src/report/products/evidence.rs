//! The evidence panel of a pest: contested questions with both sides, test conditions and grades; what the model leaves out.

use crate::catalogue::believe::{self, believe};
use crate::catalogue::evidence::{Evidence, Question};
use crate::catalogue::{Grade, Pest, PestValues, Sourced};
use crate::report::products::page::{Head, caution_list, clean, footer_lines, page};
use crate::report::products::story::{Story, grade_key};
use crate::report::products::{Files, Request};
use crate::say::Strings;
use maud::{Markup, html};

pub(super) fn files(s: &Strings, request: &Request, pest: &str, story: Option<&Story>) -> Files {
    let page = panel(s, request, pest, story);
    vec![("evidence.html".into(), page.into_bytes())]
}

const NOT_MODELLED: [&str; 7] = ["sun", "color", "height", "spray", "name", "next", "limits"];

fn panel(s: &Strings, request: &Request, id: &str, story: Option<&Story>) -> String {
    // The numbers that the yard uses, where its file has its own.
    let own = story.map(|story| story.yard.scenario.pest.clone());
    let pest = own
        .filter(|pest| pest.id == id)
        .or_else(|| crate::catalogue::pest(id))
        .or_else(|| crate::catalogue::pest("custom"));
    let evidence = crate::catalogue::evidence::evidence(id);
    let name = pest.as_ref().map_or(id, |p| p.plural.as_str());
    let title = s.fill("evidence.title", &[("pest", name)]);
    let head = Head {
        title: &title,
        kind: s.get("evidence.kind"),
    };
    let body = html! {
        @if let Some(pest) = &pest { @if !pest.scientific.is_empty() { p { (pest.name) ", " i { (pest.scientific) } } } }
        @if let Some(pest) = &pest { (sure(s, pest)) }
        @match &evidence {
            Some(evidence) => (questions(s, evidence)),
            None => p { (s.get("evidence.none")) },
        }
        h2 { (s.get("evidence.not-modelled")) }
        ul { @for key in NOT_MODELLED { li { (s.get(&format!("evidence.not.{key}"))) } } }
        h2 { (s.get("evidence.grades")) }
        p { (s.get("evidence.grades.line")) " " (s.get("evidence.grades.line2")) }
        @if let Some(pest) = &pest { (numbers(s, pest)) }
        (caution_list(s, story))
    };
    page(s, &head, &body, &footer_lines(s, request), None)
}

/// How sure anyone can be of what is asked about a trap.
fn sure(s: &Strings, pest: &Pest) -> Markup {
    html! {
        p { strong { (s.get("badge.title")) } }
        ul { @for (question, key) in believe::Question::OF_TRAPS {
            @let own = believe(pest, question, []);
            li { (s.get(key)) ": " strong { (own.level.word()) } ". " (own.reason) }
        } }
    }
}

/// Source and grade in one cell.
pub(super) fn source(s: &Strings, source: &str, grade: Grade) -> Markup {
    html! { (clean(source)) " (" (s.get(grade_key(grade))) ")" }
}

fn questions(s: &Strings, evidence: &Evidence) -> Markup {
    html! {
        p { (s.get("evidence.line")) }
        @for question in &evidence.questions { (one(s, question)) }
        h2 { (s.get("evidence.unknown")) }
        ul { @for line in &evidence.not_known { li { (line) } } }
    }
}

fn one(s: &Strings, question: &Question) -> Markup {
    html! {
        h2 { (question.question) }
        p { strong { (question.answer) } }
        div.scroll tabindex="0" role="group" aria-label=(question.question) {
            table {
                thead { tr { @for key in ["side", "says", "test", "source"] { th scope="col" { (s.get(&format!("evidence.{key}"))) } } } }
                tbody {
                    @for side in &question.sides {
                        @for (i, finding) in side.findings.iter().enumerate() {
                            tr {
                                @if i == 0 { th scope="rowgroup" rowspan=(side.findings.len()) { (side.side) } }
                                td { (finding.says) }
                                td { (finding.test) }
                                td { (source(s, &finding.source, finding.grade)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The catalogue's own numbers, folded: for those who ask what stands behind.
fn numbers(s: &Strings, pest: &Pest) -> Markup {
    let all: Vec<(&str, &Sourced)> = PestValues::TABLE
        .iter()
        .filter_map(|info| Some((info.key, pest.values.get(info.key)?)))
        .collect();
    html! {
        details {
            summary { (s.get("evidence.numbers")) }
            p { (s.get("evidence.numbers.line")) }
            div.scroll tabindex="0" role="group" aria-label=(s.get("evidence.numbers")) {
                table {
                    thead { tr { @for key in ["number", "value", "range", "grade", "source"] { th scope="col" { (s.get(&format!("evidence.col.{key}"))) } } } }
                    tbody { @for (key, number) in all {
                        tr {
                            th scope="row" { (key.replace('_', " ")) }
                            td { (number.value) " " (number.unit) }
                            td { @if let Some([low, high]) = number.range { (low) " - " (high) } }
                            td { (s.get(grade_key(number.grade))) }
                            td { (number.source) }
                        }
                    } }
                }
            }
        }
    }
}
