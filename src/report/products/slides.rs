//! Slides: one claim and one picture each, 16:9, as SVG and PNG at twice the size, with text alternative and notes.

use crate::figure::Figure;
#[cfg(feature = "pictures")]
use crate::figure::pngs;
use crate::figure::sheet::Look;
use crate::report::products::page::{cautions, clean};
use crate::report::products::results::{Sweep, SweepPoint};
use crate::report::products::story::Story;
use crate::report::products::{Files, Made, pictures, summer};
use crate::stats::paired::{Class, Told};
use crate::stats::words::thousands;

/// The slides of a story, as drawings, pictures and texts.
pub(super) fn files(story: &Story, made: &Made) -> Files {
    let (figures, texts): (Vec<Figure>, Vec<String>) = drawn(story, made).into_iter().unzip();
    let mut files = Files::new();
    #[cfg(feature = "pictures")]
    let mut pngs = pngs(&figures).into_iter();
    for (figure, text) in figures.iter().zip(texts) {
        let name = format!("slides/{}", figure.name);
        files.push((format!("{name}.svg"), figure.svg.clone().into_bytes()));
        #[cfg(feature = "pictures")]
        files.extend(pngs.next().map(|png| (format!("{name}.png"), png)));
        files.push((format!("{name}.txt"), text.into_bytes()));
    }
    files
}

/// The drawings of a story with the texts beside them.
pub fn drawn(story: &Story, made: &Made) -> Vec<(Figure, String)> {
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
    let apart = story.average_apart().is_some();
    let claim = match story.way() {
        Some(Class::More | Class::Less) if apart => "slide.damage.claim.flat",
        Some(Class::More) if thousands(story.plan().caught) != "0" => "slide.damage.claim",
        Some(Class::More) => "slide.damage.claim.more",
        Some(Class::Less) => "slide.damage.claim.less",
        // A plan without a trap has no bag to speak of.
        _ if story.plan().traps == 0 => "handout.table",
        _ => "slide.damage.claim.flat",
    };
    let name = "slide-damage-and-catch";
    let figure = pictures::damage_and_catch(story, name, &look(story.about_it(claim)));
    let of_bags = usize::from(story.hangs_any());
    let mut notes = said(&["slide.damage.notes.1", "slide.damage.notes.2"][..=of_bags]);
    notes.extend(story.instead_best());
    all.push((figure, notes));
    if let Some(figure) = fate(story, &look) {
        all.push(figure);
    }
    let for_claim = |claim: &str| look(claim.to_owned());
    if let Some(figure) = summer::still(story, "slide-one-summer", for_claim) {
        let notes = [summer::line(story), s.get("slide.summer.notes.2")];
        all.push((figure, notes.map(str::to_owned).to_vec()));
    }
    if let Some(sweep) = distances(story) {
        let helps = |p: &SweepPoint| Told::new(p.counts).class() == Class::Less;
        let drawn = &sweep.points[..sweep.points.len().min(pictures::MOST_DISTANCES)];
        let claim = match drawn.last() {
            Some(farthest) if helps(farthest) => "slide.place.claim.less",
            _ if drawn.iter().any(helps) => "slide.place.claim.some",
            _ => "slide.place.claim",
        };
        let look = look(s.get(claim).into());
        let figure = pictures::distances(story, sweep, "slide-distance", &look);
        all.push((
            figure,
            said(&["slide.place.notes.1", "slide.place.notes.2"]),
        ));
    }
    let texts = all
        .iter()
        .map(|(figure, notes)| side_text(story, figure, notes, made));
    let texts: Vec<String> = texts.collect();
    all.into_iter()
        .map(|(figure, _)| figure)
        .zip(texts)
        .collect()
}

/// Where those that answered a lure ended, with what the room is told; `None` when the results do not tell.
fn fate(story: &Story, look: &impl Fn(String) -> Look) -> Option<(Figure, Vec<String>)> {
    let s = story.s;
    let ended = story.plan().fate?;
    // Of a hundred, at most one part is more than half.
    let claim = match ended.three().iter().position(|n| *n > 50) {
        Some(0) => "slide.fate.claim.kept",
        Some(1) => "slide.fate.claim",
        Some(_) => "slide.fate.claim.away",
        None => "slide.fate.claim.split",
    };
    let values = [ended.kept, ended.landed].map(|n| n.to_string());
    let claim = s.fill(claim, &[("a", &values[0] as &str), ("b", &values[1])]);
    let note = if ended.lean().is_lt() {
        "slide.fate.notes.kept"
    } else {
        "slide.fate.notes.2"
    };
    let figure = pictures::fate(story, "slide-where-they-end", &look(claim))?;
    let notes = ["slide.fate.notes.1", note].map(|k| s.get(k).to_owned());
    Some((figure, notes.to_vec()))
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
    let preview = story.preview().then(|| s.get("verdict.preview").to_owned());
    let mark = s.mark().map(str::to_owned);
    let lines = preview.into_iter().chain(cautions(s, Some(story)));
    for line in lines.chain(mark) {
        out.push_str(&clean(&line));
        out.push('\n');
    }
    let repeat = story.repeat().map(|said| said.join(" "));
    let line = format!("{}. {}", made.version, repeat.unwrap_or_default());
    out + "\nlurefield " + line.trim_end() + "\n"
}
