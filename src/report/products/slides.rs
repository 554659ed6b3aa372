//! Slides: one claim and one picture each, 16:9, as SVG and PNG at twice the size, with text alternative and notes.

use crate::figure::sheet::Look;
use crate::figure::{Figure, pngs};
use crate::report::products::page::{cautions, clean};
use crate::report::products::results::Sweep;
use crate::report::products::story::Story;
use crate::report::products::{Files, Made, pictures, summer};
use crate::stats::paired::{Class, Told};

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
        Some(Class::More) => "slide.damage.claim",
        Some(Class::Less) => "slide.damage.claim.less",
        _ => "slide.damage.claim.flat",
    };
    all.push((
        pictures::damage_and_catch(story, "slide-damage-and-catch", &look(s.get(claim).into())),
        said(&["slide.damage.notes.1", "slide.damage.notes.2"]),
    ));
    if let Some([kept, plant, away]) = story.plan().fate {
        let (claim, note) = if kept >= plant && kept >= away {
            ("slide.fate.claim.kept", "slide.fate.notes.kept")
        } else if plant >= away {
            ("slide.fate.claim", "slide.fate.notes.2")
        } else {
            ("slide.fate.claim.away", "slide.fate.notes.1")
        };
        if let Some(figure) =
            pictures::fate(story, "slide-where-they-end", &look(s.get(claim).into()))
        {
            let mut notes = said(&["slide.fate.notes.1", note]);
            notes.dedup();
            all.push((figure, notes));
        }
    }
    let for_claim = |claim: &str| look(claim.to_owned());
    if let Some(figure) = summer::still(story, "slide-one-summer", for_claim) {
        let notes = ["slide.summer.notes.1", "slide.summer.notes.2"];
        all.push((figure, notes.map(|k| story.about_it(k)).to_vec()));
    }
    if let Some(sweep) = distances(story) {
        let claim = if sweep
            .points
            .iter()
            .any(|p| Told::new(p.counts).class() == Class::Less)
        {
            "slide.place.claim.less"
        } else {
            "slide.place.claim"
        };
        let look = look(s.get(claim).into());
        let figure = pictures::distances(story, sweep, "slide-distance", &look);
        let notes = ["slide.place.notes.1", "slide.place.notes.2"];
        all.push((figure, said(&notes)));
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
    let mark = s.mark().map(str::to_owned);
    for line in cautions(s, Some(story)).into_iter().chain(mark) {
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
