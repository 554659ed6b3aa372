//! Slides: one claim and one picture each, 16:9, as SVG and PNG at twice the size, with text alternative and notes.

use crate::figure::sheet::Look;
use crate::figure::{Figure, pngs};
use crate::report::products::page::{cautions, clean};
use crate::report::products::results::{Sweep, SweepPoint};
use crate::report::products::story::Story;
use crate::report::products::{Files, Made, pictures, summer};
use crate::stats::paired::Class;
use std::cmp::Ordering;

/// The slides of a story.
pub(super) fn files(story: &Story, made: &Made) -> Files {
    let s = story.s;
    let look = |claim: String| Look::Slide {
        claim: clean(&claim),
        foot: s.get("slide.foot").to_owned(),
    };
    let mut all: Vec<(Figure, Vec<String>)> = Vec::new();
    let said =
        |keys: &[&str]| -> Vec<String> { keys.iter().map(|k| s.get(k).to_owned()).collect() };
    if let Some(figure) = pictures::change(story, "slide-verdict", &look(verdict(story))) {
        let notes = [
            "slide.verdict.notes.1",
            "slide.verdict.notes.2",
            "slide.verdict.notes.3",
        ];
        all.push((figure, said(&notes)));
    }
    let claim = match story.way() {
        Some(Class::Less) => "slide.damage.claim.less",
        // A plan without a trap has no bag to speak of.
        _ if story.plan().traps == 0 => "handout.table",
        Some(Class::More) => "slide.damage.claim",
        _ => "slide.damage.claim.flat",
    };
    let of_bags = usize::from(story.hangs_any());
    all.push((
        pictures::damage_and_catch(
            story,
            "slide-damage-and-catch",
            &look(story.about_it(claim)),
        ),
        said(&["slide.damage.notes.1", "slide.damage.notes.2"][..=of_bags]),
    ));
    if let Some([kept, plant, away]) = story.plan().fate {
        // "Most" is more than half; else the greater of the two is told.
        let claim = match [kept, plant, away] {
            [most, ..] if most > 50 => s.get("slide.fate.claim.kept"),
            [_, most, _] if most > 50 => s.get("slide.fate.claim"),
            [a, b, most] if most > a.max(b) => s.get("slide.fate.claim.away"),
            _ => story.pattern().unwrap_or(s.get("figure.fate.title")),
        };
        let claim = claim.trim_end_matches('.').to_owned();
        let note = match kept.cmp(&plant) {
            Ordering::Greater => Some("slide.fate.notes.kept"),
            Ordering::Less => Some("slide.fate.notes.2"),
            Ordering::Equal => None,
        };
        if let Some(figure) = pictures::fate(story, "slide-where-they-end", &look(claim)) {
            let notes: Vec<&str> = std::iter::once("slide.fate.notes.1").chain(note).collect();
            all.push((figure, said(&notes)));
        }
    }
    let for_claim = |claim: &str| look(claim.to_owned());
    if let Some(figure) = summer::still(story, "slide-one-summer", for_claim) {
        let notes = ["slide.summer.notes.1", "slide.summer.notes.2"];
        all.push((figure, notes.map(|k| story.about_it(k)).to_vec()));
    }
    if let Some(sweep) = distances(story) {
        let class = |p: &SweepPoint| Class::of_20(p.counts[0], p.counts[1], p.counts[2]);
        let less = sweep.points.iter().any(|p| class(p) == Class::Less);
        let (claim, notes) = if less {
            ("slide.place.claim.less", 0)
        } else {
            ("slide.place.claim", 1)
        };
        let look = look(s.get(claim).into());
        let figure = pictures::distances(story, sweep, "slide-distance", &look);
        let notes = &["slide.place.notes.1", "slide.place.notes.2"][..=notes];
        all.push((figure, said(notes)));
    }
    let (figures, notes): (Vec<Figure>, Vec<Vec<String>>) = all.into_iter().unzip();
    let mut files = Files::new();
    for ((figure, notes), png) in figures.iter().zip(&notes).zip(pngs(&figures)) {
        let name = format!("slides/{}", figure.name);
        files.push((format!("{name}.svg"), figure.svg.clone().into_bytes()));
        files.push((format!("{name}.png"), png));
        files.push((
            format!("{name}.txt"),
            side_text(story, figure, notes, made).into_bytes(),
        ));
    }
    files
}

/// The sweep of distances, when a search for places has been run.
fn distances<'a>(story: &'a Story) -> Option<&'a Sweep> {
    let sweeps = &story.results.placement.as_ref()?.sweeps;
    sweeps
        .iter()
        .find(|s| s.name == "distance" && !s.points.is_empty())
}

fn verdict(story: &Story) -> String {
    match story.word() {
        Some(word) => format!("{} [{word}]", story.verdict()),
        None if story.preview() => {
            format!("{} [{}]", story.verdict(), story.s.get("slide.preview"))
        }
        None => story.verdict(),
    }
}

/// Text alternative, notes and cautions of a slide.
fn side_text(story: &Story, figure: &Figure, notes: &[String], made: &Made) -> String {
    let s = story.s;
    let mut out = format!("{}\n\n{}\n", s.get("slide.alt"), figure.alternative());
    for part in [
        "\n",
        s.get("slide.notes"),
        "\n\n",
        &notes.join("\n"),
        "\n\n",
    ] {
        out.push_str(part);
    }
    for line in cautions(s, Some(story)) {
        out.push_str(&clean(&line));
        out.push('\n');
    }
    let repeat = story.repeat_line();
    let line = [
        made.version,
        ". ",
        s.get("footer.repeat"),
        " ",
        &repeat,
        "\n",
    ]
    .concat();
    out + "\nlurefield " + &line
}
