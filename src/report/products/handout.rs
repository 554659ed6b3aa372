//! The handout: one or two printed pages with one figure, one table, three lines to act on, limits and sources.

use crate::figure::sheet::Look;
use crate::report::products::page::{Head, cautions, clean, figure, footer, page, verdict};
use crate::report::products::pictures;
use crate::report::products::results::Plan;
use crate::report::products::story::{Story, number};
use crate::report::products::{Files, Made, Request};
use crate::report::words::{day, period};
use crate::say::capital;
use crate::stats::words::thousands;
use maud::{Markup, html};

/// Most plans in the table.
pub(super) const MOST_ROWS: usize = 6;
/// Most sources.
const MOST_SOURCES: usize = 4;

pub(super) fn files(story: &Story, request: &Request, made: &Made) -> Files {
    let s = story.s;
    let title = &story.yard.scenario.title;
    let head = Head {
        title,
        kind: s.get("handout.kind"),
    };
    let sources = sources(story);
    let body = html! {
        (verdict(story))
        p { @if let Some(line) = story.damage() { (line) } @if let Some(catch) = story.catch() { " " (clean(&catch)) } }
        p { @for line in story.why() { (line) " " } }
        div.box {
            h2 { (s.get("handout.do")) }
            ol.do { @for line in story.do_this() { li { (line) } } }
        }
        @if let Some(fig) = pictures::change(story, "change", &Look::Page) {
            (figure(s, &fig, &pictures::change_title(story), s.get("figure.change.explain")))
        }
        (plans(story))
        @if let Some(season) = season(story) { (season) }
        div.box {
            h2 { (s.get("handout.limits")) }
            p { strong { (s.get("badge.title")) } " " (story.badge()) }
            ul {
                li { (s.get("handout.limits.model")) }
                @if story.hangs_any() { li { (s.get("handout.limits.range")) } }
                li { (s.get("handout.limits.yard")) }
                @for line in cautions(s, Some(story)).into_iter().skip(1) { li { (clean(&line)) } }
            }
        }
        h2 { (s.get("words.title")) }
        p { @for key in words(story) { (s.get(key)) " " } }
        @if !sources.is_empty() {
            h2 { (s.get("handout.sources")) }
            ul { @for source in &sources { li { (source) } } }
        }
        @if !story.yard.scenario.note.is_empty() { p { (s.get("note.demo")) " " (clean(&story.yard.scenario.note)) } }
    };
    let html = page(s, &head, &body, &footer(story, request, made), None);
    vec![("handout.html".into(), html.into_bytes())]
}

/// Words to explain: those of a trap only where one hangs.
fn words(story: &Story) -> &'static [&'static str] {
    let all = &[
        "words.lure",
        "words.capture",
        "words.spillover",
        "words.run",
    ];
    if story.hangs_any() { all } else { &all[3..] }
}

/// The table of plans, the headline marked.
fn plans(story: &Story) -> Markup {
    let s = story.s;
    let others = story.shown(MOST_ROWS - 1);
    if others.is_empty() {
        return html! {};
    }
    let left_out = pictures::left_out(story, &others);
    let rows: Vec<&Plan> = std::iter::once(story.first()).chain(others).collect();
    let costs = story
        .yard
        .plans
        .iter()
        .any(|p| p.minutes.is_some() || p.dollars.is_some());
    let flags = story.yard.plans.iter().any(|p| p.flag.is_some());
    let of = rows.iter().find_map(|p| p.count.as_ref());
    let of = of.map_or(0, |count| count.told.of).to_string();
    let whole = |value: Option<f64>| value.map_or_else(String::new, thousands);
    html! {
        h2 { (s.get("handout.table")) }
        div.scroll tabindex="0" role="group" aria-label=(s.get("handout.table")) {
            table {
                thead { tr {
                    th scope="col" { (s.get("handout.col.plan")) }
                    th.n scope="col" { (s.fill("handout.col.damage", &[("state", story.state())])) }
                    th.n scope="col" { (s.get("handout.col.caught")) }
                    @for key in ["handout.col.more", "handout.col.same", "handout.col.less"] {
                        th.n scope="col" { (s.fill(key, &[("of", of.as_str())])) }
                    }
                    @if costs {
                        th.n scope="col" { (s.get("handout.col.minutes")) }
                        th.n scope="col" { (s.get("handout.col.dollars")) }
                    }
                    @if flags { th scope="col" { (s.get("handout.col.flag")) } }
                } }
                tbody {
                    @for plan in &rows {
                        tr.on[std::ptr::eq(*plan, story.plan())] {
                            th scope="row" { (clean(&plan.name)) }
                            td.n { (number(plan.damage)) }
                            td.n { (thousands(plan.caught)) }
                            @match &plan.count {
                                Some(count) => {
                                    @for n in count.told.all() { td.n { (n) } }
                                }
                                None => td colspan="3" { (s.get("handout.base")) },
                            }
                            @if costs {
                                td.n { (whole(plan.minutes)) }
                                td.n { (whole(plan.dollars)) }
                            }
                            @if flags { td { (plan.flag.as_deref().map(clean).unwrap_or_default()) } }
                        }
                    }
                }
            }
        }
        p {
            (clean(&s.fill("handout.table.note", &[("first", &story.first().name as &str)])))
            " " (period(s, &story.yard.scenario))
        }
        @if let Some(line) = left_out { p { (clean(&line)) } }
    }
}

/// The dates of the season, when they are known.
fn season(story: &Story) -> Option<Markup> {
    let s = story.s;
    let season = story.season()?;
    let flight = season.flight.as_ref()?;
    let (from, last) = (flight.first.as_ref()?, flight.last.as_ref()?);
    let peak = flight.peak.as_ref()?;
    // The flight begins, by its own measure, once many fly. The very first come before, on the day of the event table.
    let (key, first) = match season.first_adults() {
        Some(first) => ("handout.season.flight", first),
        None => ("handout.season.many", from[1].as_str()),
    };
    let text = s.fill(
        key,
        &[
            ("first", &day(s, first) as &str),
            ("last", &day(s, &last[1])),
            ("peak", &day(s, peak)),
        ],
    );
    let note = season.weather.as_ref().map(|weather| {
        let year = |date: &str| date.chars().take(4).collect::<String>();
        let (from, to) = (year(&weather.first_day), year(&weather.last_day));
        let years = if from == to {
            from
        } else {
            format!("{from}-{to}")
        };
        // A record that comes with the program says so behind its name.
        let place = capital(weather.file.split(" (").next().unwrap_or_default());
        s.fill(
            "handout.season.note",
            &[("place", &place as &str), ("years", &years)],
        )
    });
    Some(html! {
        h2 { (s.get("handout.season")) }
        p { (clean(&text)) @if let Some(note) = note { " " (clean(&note)) } }
    })
}

/// Published sources on this pest, the first ones of its evidence file.
fn sources(story: &Story) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    if let Some(evidence) = crate::catalogue::evidence::evidence(&story.yard.scenario.pest.id) {
        for finding in evidence
            .questions
            .iter()
            .flat_map(|q| &q.sides)
            .flat_map(|side| &side.findings)
            .filter(|f| f.grade == crate::catalogue::Grade::Published)
        {
            if !all.contains(&finding.source) {
                all.push(finding.source.clone());
            }
        }
    }
    all.truncate(MOST_SOURCES);
    all
}
