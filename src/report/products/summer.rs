//! The moving picture of one summer: a page that plays by itself, a still for a slide, and a GIF.

use crate::control::Action;
use crate::count::one_summer::{OneSummer, What};
use crate::figure::Figure;
use crate::figure::canvas::pixels;
use crate::figure::map::View;
use crate::figure::sheet::day::{self, Still};
use crate::figure::sheet::{Caption, Look, SLIDE_HEIGHT};
use crate::report::json::compact;
use crate::report::products::page::{self, Head, caution_list, clean, footer, safe_json};
use crate::report::products::show::Show;
use crate::report::products::story::Story;
use crate::report::products::{Files, Made, Request};
use crate::say::fill;
use crate::scenario::Plan;
use maud::{PreEscaped, html};
use serde::Serialize;
use std::collections::BTreeMap;

const PLAYER: &str = include_str!("player.js");
/// Insects in the GIF, frames a second, seconds.
const GIF_INSECTS: usize = 40;
const GIF_RATE: u32 = 8;
const GIF_SECONDS: f64 = 20.0;
/// Size of the GIF relative to a slide of 1200 by 675.
const GIF_SCALE: f32 = 0.7;

/// What the pages need of one summer.
struct Stage<'a> {
    one: &'a OneSummer,
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

/// Whether there is a summer to show.
pub(super) fn has(story: &Story) -> bool {
    stage(story).is_ok()
}

pub(super) fn files(story: &Story, request: &Request, made: &Made) -> Result<Files, String> {
    let page = page(story, request, made)?.into_bytes();
    Ok(vec![
        ("one-summer.html".into(), page),
        ("one-summer.gif".into(), gif(story, &stage(story)?)),
    ])
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
            s.get("summer.line").to_owned(),
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
fn empty(story: &Story, stage: &Stage, show: &Show, name: &str, look: &Look) -> Figure {
    let (caption, rows) = caption(story, stage, show, name);
    day::day(caption, &story.yard.scenario, stage.plans, rows, None, look)
}

/// The views of a look: where its maps will be drawn. The head of a slide depends on its claim, so it is measured.
fn views(story: &Story, look: &Look) -> [View; 2] {
    let scenario = &story.yard.scenario;
    let (top, end) = day::room(look);
    day::stage(scenario, top, end).views
}

/// A still with all landings, for a slide; `None` when the results hold no summer.
pub(super) fn still(story: &Story, name: &str, look: impl Fn(&str) -> Look) -> Option<Figure> {
    let s = story.s;
    let stage = stage(story).ok()?;
    let counts = |show: &Show| [show.counts(0), show.counts(1)];
    // What is claimed depends on the counts, and the place of the maps on the claim.
    let first = look(&story.about_it("slide.summer.claim"));
    let [without, with] = counts(&Show::new(stage.one, &views(story, &first), usize::MAX));
    let claim = match with.landed.cmp(&without.landed) {
        std::cmp::Ordering::Greater => "slide.summer.claim",
        std::cmp::Ordering::Less => "slide.summer.claim.less",
        std::cmp::Ordering::Equal => "slide.summer.claim.same",
    };
    let look = look(&story.about_it(claim));
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
        let note =
            |kind: &&str| format!("{}: {}", s.get(&format!("summer.count.{kind}")), n.of(kind));
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
fn inside(view: &View, (x, y): (f64, f64)) -> bool {
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
    let body = html! {
        p.lead { (s.get("summer.line")) }
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
            (s.fill("summer.kept", &[
                ("came", &stage.one.came.to_string() as &str),
                ("days", &days),
                ("shown", &stage.one.insects.len().to_string()),
            ]))
        }
        (caution_list(s, Some(story)))
        script type="application/json" id="data" { (PreEscaped(safe_json(&compact(&data)))) }
    };
    page::page(s, &head, &body, &footer(story, request, made), Some(PLAYER))
}

/// A short moving picture for slides: true paths, dots with rings for those that eat, crosses for the caught.
fn gif(story: &Story, stage: &Stage) -> Vec<u8> {
    let look = Look::Slide {
        claim: story.about_it("summer.title"),
        foot: story.s.get("slide.foot").to_owned(),
    };
    let views = views(story, &look);
    let show = Show::new(stage.one, &views, GIF_INSECTS);
    let figure = empty(story, stage, &show, "one-summer-gif", &look);
    let ground = pixels(&figure.svg, GIF_SCALE);
    let (width, height) = (ground.width() as usize, ground.height() as usize);
    debug_assert!(height <= SLIDE_HEIGHT as usize);
    // Sixteen shades of gray and three colors for what moves.
    let shade = |r: u8, g: u8, b: u8| {
        ((u32::from(r) * 299 + u32::from(g) * 587 + u32::from(b) * 114) / 1000 / 16) as u8
    };
    let background: Vec<u8> = ground
        .data()
        .chunks_exact(4)
        .map(|p| shade(p[0], p[1], p[2]))
        .collect();
    let mut palette: Vec<u8> = (0..16_u8).flat_map(|i| [17 * i; 3]).collect();
    palette.extend([0xD5, 0x5E, 0x00, 0x00, 0x72, 0xB2]);
    palette.resize(32 * 3, 0);
    let mut out = Vec::new();
    let seconds = show.length.min(GIF_SECONDS);
    let frames = (seconds * f64::from(GIF_RATE)) as u32;
    {
        let mut encoder = gif::Encoder::new(&mut out, width as u16, height as u16, &palette)
            .expect("writing to memory cannot fail");
        encoder
            .set_repeat(gif::Repeat::Infinite)
            .expect("writing to memory cannot fail");
        let mut before = background.clone();
        for frame in 0..frames.max(1) {
            let t = f64::from(frame) / f64::from(GIF_RATE);
            let now = draw(&show, t, &background, width, &views);
            let frame = difference(&before, &now, width, frame == 0);
            encoder
                .write_frame(&frame)
                .expect("writing to memory cannot fail");
            before = now;
        }
    }
    out
}

const ORANGE: u8 = 16;
const BLUE: u8 = 17;

/// The picture at a moment of the show, one byte a pixel.
fn draw(show: &Show, t: f64, background: &[u8], width: usize, views: &[View; 2]) -> Vec<u8> {
    let mut now = background.to_vec();
    // Half pixels of the sheet to pixels of the GIF.
    let scale = f64::from(GIF_SCALE) / 2.0;
    for actor in &show.insects {
        for (side, part) in actor.sides.iter().enumerate() {
            let place = |(x, y): (f64, f64)| (x * scale, y * scale);
            if let Some((at, _)) = part.at(t).filter(|(at, _)| inside(&views[side], *at)) {
                let eats = part.eats(t);
                disc(
                    &mut now,
                    width,
                    place(at),
                    4.5,
                    0.0,
                    if eats { ORANGE } else { BLUE },
                );
                if eats {
                    disc(&mut now, width, place(at), 8.0, 6.2, ORANGE);
                }
            }
            for (at, what, _) in &part.events {
                if matches!(what, What::Caught | What::Taken)
                    && t >= *at
                    && let Some(last) = part.pieces.last().and_then(|p| p.last())
                {
                    cross(&mut now, width, place((last[1], last[2])));
                }
            }
        }
    }
    now
}

/// Colors a pixel, if it lies in the picture.
fn dot(pixels: &mut [u8], width: usize, (x, y): (f64, f64), colour: u8) {
    let (x, y) = (x.round(), y.round());
    if x >= 0.0
        && y >= 0.0
        && (x as usize) < width
        && let Some(pixel) = pixels.get_mut(y as usize * width + x as usize)
    {
        *pixel = colour;
    }
}

/// Fills a ring or disc.
fn disc(pixels: &mut [u8], width: usize, (x, y): (f64, f64), radius: f64, hole: f64, colour: u8) {
    let reach = radius.ceil() as i32;
    for dy in -reach..=reach {
        for dx in -reach..=reach {
            let away = f64::from(dx * dx + dy * dy);
            if away <= radius * radius && away >= hole * hole {
                dot(
                    pixels,
                    width,
                    (x + f64::from(dx), y + f64::from(dy)),
                    colour,
                );
            }
        }
    }
}

/// Marks a catch.
fn cross(pixels: &mut [u8], width: usize, (x, y): (f64, f64)) {
    for k in -6..=6 {
        let k = f64::from(k);
        for d in [0.0, 1.0] {
            dot(pixels, width, (x + k + d, y + k), 0);
            dot(pixels, width, (x + k + d, y - k), 0);
        }
    }
}

/// A frame that holds only the rectangle that changed.
fn difference(before: &[u8], now: &[u8], width: usize, whole: bool) -> gif::Frame<'static> {
    let height = now.len() / width;
    let (mut left, mut right, mut top, mut bottom) = (width, 0, height, 0);
    for (i, (a, b)) in before.iter().zip(now).enumerate() {
        if a != b {
            let (x, y) = (i % width, i / width);
            left = left.min(x);
            right = right.max(x + 1);
            top = top.min(y);
            bottom = bottom.max(y + 1);
        }
    }
    if whole {
        (left, right, top, bottom) = (0, width, 0, height);
    } else if left >= right {
        (left, right, top, bottom) = (0, 1, 0, 1);
    }
    let rows = (top..bottom).flat_map(|y| now[y * width + left..y * width + right].iter().copied());
    gif::Frame {
        delay: (100 / GIF_RATE) as u16,
        left: left as u16,
        top: top as u16,
        width: (right - left) as u16,
        height: (bottom - top) as u16,
        buffer: rows.collect::<Vec<u8>>().into(),
        ..gif::Frame::default()
    }
}
