//! The moving picture of one summer: a page that plays by itself, a still for a slide, and a GIF.

use crate::control::Action;
use crate::count::one_summer::{OneSummer, What};
use crate::figure::Figure;
use crate::figure::map::View;
use crate::figure::sheet::day::{self, Still};
use crate::figure::sheet::{Caption, Look};
use crate::report::json::compact;
use crate::report::products::page::{self, Head, caution_list, clean, footer, safe_json};
use crate::report::products::show::Show;
use crate::report::products::story::{Story, rounded};
use crate::report::products::{Files, Made, Request};
use crate::report::words::followed;
use crate::say::{self, fill};
use crate::scenario::Plan;
use crate::stats::words::thousands;
use maud::{PreEscaped, html};
use serde::Serialize;
use std::collections::BTreeMap;

const PLAYER: &str = include_str!("player.js");
/// What the pages need of one summer.
pub(super) struct Stage<'a> {
    pub(super) one: &'a OneSummer,
    plans: [&'a Plan; 2],
}

fn stage<'a>(story: &'a Story) -> Result<Stage<'a>, String> {
    let all = &story.results.one_summers;
    if all.is_empty() {
        return Err(story.s.get("summer.missing").into());
    }
    let (first, name) = (&story.first().name, &story.plan().name);
    let one = all
        .iter()
        .find(|one| one.without == *first && one.with == *name)
        .ok_or_else(|| {
            let others: Vec<String> = all.iter().map(|o| format!("\"{}\"", o.with)).collect();
            let (name, list) = (name.as_str(), others.join(", "));
            let values = [("name", name), ("other", first), ("list", &list)];
            story.s.fill("summer.missing.plan", &values)
        })?;
    if one.insects.is_empty() {
        return Err(story.s.get("summer.missing.insects").into());
    }
    let plan = |name: &str| story.yard.scenario.plans.iter().find(|p| p.name == name);
    match (plan(&one.without), plan(&one.with)) {
        (Some(without), Some(with)) => Ok(Stage {
            one,
            plans: [without, with],
        }),
        _ => Err(story.s.get("summer.missing.other").into()),
    }
}

impl Stage<'_> {
    /// What differs between the two yards. Whoever does anything has the traps next door too.
    fn line(&self) -> &'static str {
        let theirs = self.plans.map(|p| p.traps.iter().any(|t| t.neighbours));
        let acts = |p: &Plan| p.own_traps().count() + p.methods.len() > 0;
        if theirs[0] == theirs[1] {
            "summer.line"
        } else if self.plans.into_iter().any(acts) {
            "summer.line.both"
        } else {
            "summer.line.theirs"
        }
    }
}

/// The show, where there is a summer to show.
pub(super) fn shown(story: &Story) -> Option<Show> {
    let stage = stage(story).ok()?;
    Some(Show::new(stage.one, &views(story, &Look::Page), usize::MAX))
}

/// What differs between the two yards, where there is a summer to show.
pub(super) fn line<'a>(story: &'a Story) -> &'a str {
    let line = stage(story).map_or("summer.line", |stage| stage.line());
    story.s.get(line)
}

/// The mean catch of a whole summer, where a trap of the asker's catches one or more: what a few days show may be far from it.
pub(super) fn usual(story: &Story) -> Option<String> {
    let plan = story.plan();
    (plan.traps > 0 && thousands(plan.caught) != "0").then(|| rounded(plan.caught))
}

/// What stands beside the catch that a picture shows.
fn beside_catch(story: &Story, show: &Show) -> Option<String> {
    let usual = usual(story)?;
    let key = match show.counts(1).caught {
        0 => "summer.usual.none",
        _ => "summer.usual",
    };
    Some(story.s.fill(key, &[("caught", &usual as &str)]))
}

pub(super) fn files(story: &Story, request: &Request, made: &Made) -> Result<Files, String> {
    let stage = stage(story)?;
    let page = player(story, &stage, request, made).into_bytes();
    let files = [
        ("one-summer.html".to_owned(), page),
        #[cfg(feature = "pictures")]
        ("one-summer.gif".to_owned(), super::gif::gif(story, &stage)),
    ];
    Ok(files.into())
}

/// The page that plays by itself.
///
/// # Errors
/// A sentence where there is no summer to show.
pub fn page(story: &Story, request: &Request, made: &Made) -> Result<String, String> {
    Ok(player(story, &stage(story)?, request, made))
}

fn caption(story: &Story, stage: &Stage, show: &Show, name: &str) -> (Caption, Vec<Vec<String>>) {
    let s = story.s;
    let [without, with] = [show.counts(0), show.counts(1)];
    let row = |kind: &&str| {
        vec![
            s.get(&format!("summer.count.{kind}")).to_owned(),
            without.of(kind).to_string(),
            with.of(kind).to_string(),
        ]
    };
    let kinds = counted(stage);
    let rows: Vec<Vec<String>> = kinds.iter().map(row).collect();
    let numbers = [
        ("meals_without", without.landed.to_string()),
        ("meals_with", with.landed.to_string()),
        ("smelled", with.smelled.to_string()),
        ("caught", with.caught.to_string()),
        ("taken", with.taken.to_string()),
    ];
    let values: Vec<(&str, &str)> = numbers.iter().map(|(k, v)| (*k, v.as_str())).collect();
    let mut told = vec![fill(&story.about_it("summer.level2"), &values)];
    if kinds.contains(&"caught") {
        told.push(s.fill("summer.level2.scent", &values));
        told.extend(beside_catch(story, show));
    }
    if kinds.contains(&"taken") {
        told.push(s.fill("summer.level2.taken", &values));
    }
    let caption = Caption {
        name: name.into(),
        title: story.about_it("summer.title"),
        alt: story.about_it("summer.alt"),
        levels: [
            s.get("summer.legend").into(),
            told.join(" "),
            s.get(stage.line()).to_owned(),
        ],
        header: vec![
            s.get("summer.table").to_owned(),
            stage.one.without.clone(),
            stage.one.with.clone(),
        ],
    };
    (caption, rows)
}

/// What is counted beside the pictures: the scent and the catch where a trap hangs, those taken where a method takes.
fn counted(stage: &Stage) -> Vec<&'static str> {
    let takes = |p: &&Plan| {
        let takes =
            |m: &crate::control::Method| matches!(m.action, Action::Hands(_) | Action::Water(_));
        p.methods.iter().any(takes)
    };
    let trapped = stage.plans.iter().any(|p| !p.traps.is_empty());
    let taken = stage.plans.iter().any(takes);
    [
        ("smelled", trapped),
        ("meals", true),
        ("caught", trapped),
        ("taken", taken),
    ]
    .into_iter()
    .filter_map(|(kind, is)| is.then_some(kind))
    .collect()
}

/// The stage as a picture without insects.
pub(super) fn empty(story: &Story, stage: &Stage, show: &Show, name: &str, look: &Look) -> Figure {
    let (caption, rows) = caption(story, stage, show, name);
    day::day(caption, &story.yard.scenario, stage.plans, rows, None, look)
}

/// The views of a look: where its maps will be drawn. The head of a slide depends on its claim, so it is measured.
pub(super) fn views(story: &Story, look: &Look) -> [View; 2] {
    let scenario = &story.yard.scenario;
    let (top, end) = day::room(look);
    day::stage(scenario, top, end).views
}

/// A still with all landings, for a slide; `None` when the results hold no summer.
pub(super) fn still(story: &Story, name: &str, look: impl Fn(&str) -> Look) -> Option<Figure> {
    let s = story.s;
    let stage = stage(story).ok()?;
    // The claim is the counts, and the place of the maps depends on the claim.
    let first = shown(story)?;
    let counts = [0, 1].map(|side| first.counts(side).landed.to_string());
    let gaps = [("before", counts[0].as_str()), ("after", &counts[1])];
    let look = look(&fill(&story.about_it("slide.summer.claim"), &gaps));
    let views = views(story, &look);
    let show = Show::new(stage.one, &views, usize::MAX);
    let stills = [0, 1].map(|side| {
        let parts = show.insects.iter().map(|a| &a.sides[side]);
        let landings = parts
            .flat_map(|part| {
                let landed = part.events.iter().filter(|e| e.1 == What::Landed);
                landed.filter_map(|e| part.at(e.0).map(|(at, _)| at))
            })
            .filter(|at| inside(&views[side], *at))
            .collect();
        let n = show.counts(side);
        let usual = usual(story).filter(|_| side == 1);
        let note = |kind: &&str| {
            let label = s.get(&format!("summer.count.{kind}"));
            let beside = usual.as_ref().filter(|_| **kind == *"caught");
            let beside = beside.map(|n| s.fill("summer.still.usual", &[("caught", n as &str)]));
            followed(format!("{label}: {}", n.of(kind)), beside.as_deref())
        };
        let kinds = counted(&stage);
        let kinds = kinds.iter().filter(|kind| **kind != "smelled");
        Still {
            landings,
            notes: kinds.map(note).collect(),
        }
    });
    let (mut caption, rows) = caption(story, &stage, &show, name);
    caption.levels[0] = s.get("summer.still.legend").into();
    Some(day::day(
        caption,
        &story.yard.scenario,
        stage.plans,
        rows,
        Some(&stills),
        &look,
    ))
}

/// Whether a place lies on its map.
pub(super) fn inside(view: &View, (x, y): (f64, f64)) -> bool {
    let (left, top, right, bottom) = view.frame;
    x >= left && x <= right && y >= top && y <= bottom
}

#[derive(Serialize)]
struct Data<'a> {
    show: &'a Show,
    frames: [[f64; 4]; 2],
    /// Number of the first day within the summer, from 1.
    first_day: u32,
    days: u32,
    day_hours: f64,
    words: BTreeMap<&'static str, &'a str>,
}

/// The words that the script shows.
const SCRIPT_WORDS: [&str; 23] = [
    "summer.play",
    "summer.pause",
    "summer.came",
    "summer.smelled",
    "summer.landed",
    "summer.left-plant",
    "summer.gave-up",
    "summer.caught",
    "summer.left",
    "summer.gone",
    "summer.taken",
    "summer.same",
    "summer.clock",
    "summer.end",
    "summer.still",
    "summer.nobody",
    "summer.insect",
    "summer.insect.taken",
    "summer.insect.ate",
    "summer.insect.smelled",
    "summer.count.smelled",
    "summer.count.meals",
    "summer.count.caught",
];

fn player(story: &Story, stage: &Stage, request: &Request, made: &Made) -> String {
    let s = story.s;
    let look = Look::Page;
    let views = views(story, &look);
    let show = Show::new(stage.one, &views, usize::MAX);
    let figure = empty(story, stage, &show, "one-summer", &look);
    let data = Data {
        show: &show,
        frames: views.map(|v| [v.frame.0, v.frame.1, v.frame.2, v.frame.3]),
        first_day: stage.one.day + 1,
        days: stage.one.days,
        day_hours: stage.one.day_s / 3600.0,
        words: SCRIPT_WORDS.iter().map(|k| (*k, s.get(k))).collect(),
    };
    let title = story.about_it("summer.title");
    let kinds = counted(stage);
    let (first, last) = (stage.one.day + 1, stage.one.day + stage.one.days);
    let (first, last) = (first.to_string(), last.to_string());
    let which = [("from", first.as_str()), ("to", &last)];
    let (days, typical) = match stage.one.days {
        1 => (s.get("summer.days.1").to_owned(), "summer.typical.one"),
        n => (
            s.fill("summer.days", &[("days", &n.to_string() as &str)]),
            "summer.typical",
        ),
    };
    let head = Head {
        title: &title,
        kind: s.get("summer.kind"),
    };
    // The table tells the end of the show, so the page is whole without scripts.
    let table = &figure.table;
    let kept = say::counted("summer.kept", stage.one.insects.len() as u64);
    let body = html! {
        p.lead { (s.get(stage.line())) }
        p { strong { (s.get("caution.forecast")) } " " (s.get("summer.time")) }
        noscript { p.warn { (s.get("summer.no-script")) } }
        div.controls {
            button type="button" id="play" aria-pressed="false" { (s.get("summer.play")) }
            button type="button" id="step" { (s.get("summer.step")) }
            button type="button" id="back" { (s.get("summer.back")) }
            label for="speed" { (s.get("summer.speed")) }
            select id="speed" {
                option value="0.5" { (s.get("summer.slow")) }
                option value="1" selected { (s.get("summer.normal")) }
                option value="3" { (s.get("summer.fast")) }
            }
            label for="follow" { (s.get("summer.follow")) }
            select id="follow" { option value="-1" { (s.get("summer.nobody")) } }
        }
        p id="status" role="status" aria-live="polite" {}
        figure {
            div.scroll tabindex="0" role="group" aria-label=(title) id="stage" { (PreEscaped(&figure.svg)) }
            figcaption { span { (s.get("summer.legend")) } }
        }
        div.two {
            @for (i, plan) in stage.plans.iter().enumerate() {
                div {
                    h2 { (clean(&plan.name)) }
                    ul { @for key in &kinds {
                        li { (s.get(&format!("summer.count.{key}"))) ": " strong id=(format!("{key}{i}")) { "0" } }
                    } }
                    h3 { (s.get("summer.story")) }
                    ol id=(format!("story{i}")) {}
                }
            }
        }
        p.no-print { (s.get("summer.keys")) }
        (page::table(table, Some(s.get("summer.table"))))
        p { (s.fill(typical, &which)) " "
            (s.fill(&kept, &[
                ("came", &stage.one.came.to_string() as &str),
                ("days", &days),
                ("shown", &stage.one.insects.len().to_string()),
            ]))
            @if let Some(usual) = beside_catch(story, &show) { " " (usual) }
        }
        (caution_list(s, Some(story)))
        script type="application/json" id="data" { (PreEscaped(safe_json(&compact(&data)))) }
    };
    page::page(s, &head, &body, &footer(story, request, made), Some(PLAYER))
}
