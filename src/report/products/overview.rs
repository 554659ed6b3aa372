//! The page on top of a folder of results: every part of it with its answer, its pictures and its files.

use crate::report::products::page::{Head, clean, shell};
use crate::report::provenance::Manifest;
use crate::say::{say, voice};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// The parts of a folder of results in the order of the page, each with the file that holds its answer in words.
pub const PARTS: [(&str, &str); 12] = [
    ("run", "summary.txt"),
    ("compare", "compare.txt"),
    ("place", "placement.txt"),
    ("vary", "vary.txt"),
    ("season", "season.txt"),
    ("counts", "counts.txt"),
    ("emptying", "emptying.txt"),
    ("report", ""),
    ("page", ""),
    ("calibrate", "calibration.txt"),
    ("evidence", "evidence.txt"),
    ("describe", ""),
];

/// Stands in the head of the page, so that no page of somebody else is ever replaced.
pub const MARK: &str = "<meta name=\"generator\" content=\"lurefield\">";

/// One part: what its manifest lists, and its texts by file name.
#[derive(Clone, Debug)]
pub struct Part {
    /// Name of its folder, one of [`PARTS`].
    pub name: &'static str,
    /// Its manifest.
    pub manifest: Manifest,
    /// Texts by file name: the answer, and what stands beside each picture.
    pub texts: BTreeMap<String, String>,
}

/// The page.
pub fn page_of(parts: &[Part]) -> String {
    let of_yard = parts.iter().find_map(|p| p.manifest.scenario.as_ref());
    let title = of_yard.map_or_else(
        || say!("overview.title.none"),
        |s| say!("overview.title", title = s.title),
    );
    let head = Head {
        title: &title,
        kind: &say!("overview.kind"),
    };
    let body = html! {
        p { (say!("overview.line")) }
        @for part in parts { (section(part)) }
        p { strong { (say!("caution.forecast")) } }
    };
    let footer = html! { p { (say!("caution.local")) } };
    // Pictures stand beside the page, on a disk or behind a server.
    let policy = "img-src 'self' file: data:";
    shell(voice(), &head, &body, &footer, policy, None).replacen(
        "<head>",
        &format!("<head>{MARK}"),
        1,
    )
}

fn section(part: &Part) -> Markup {
    let name = part.name;
    let files: Vec<&str> = part.manifest.outputs.iter().map(|o| &*o.file).collect();
    let has = |file: &str| files.contains(&file);
    let pictures: Vec<&str> = files
        .iter()
        .filter_map(|f| f.strip_suffix(".png"))
        .collect();
    // What stands beside a picture is shown or linked with it.
    let beside = |file: &&str| {
        let (stem, ending) = file.rsplit_once('.').unwrap_or_default();
        pictures.contains(&stem) && ["png", "svg", "txt"].contains(&ending)
    };
    let others: Vec<&str> = files.iter().copied().filter(|f| !beside(f)).collect();
    let link = |file: &str| format!("{name}/{}", coded(file));
    let answer = PARTS
        .iter()
        .find(|(n, _)| *n == name)
        .and_then(|(_, file)| part.texts.get(*file))
        .map(|text| paragraphs(text));
    html! {
        section {
            h2 id=(name) { (say!(&format!("overview.{name}"))) }
            p { (say!(&format!("overview.{name}.line"))) }
            @for line in answer.iter().flatten().take(MOST_LINES) { p { strong { (clean(line)) } } }
            @for picture in &pictures {
                @let caption = part.texts.get(&format!("{picture}.txt")).and_then(|t| first_lines(t));
                @let caption = caption.unwrap_or_else(|| (*picture).to_owned());
                figure {
                    a href=(link(&format!("{picture}.png"))) {
                        img src=(link(&format!("{picture}.png"))) alt=(clean(&caption)) loading="lazy" style="max-width:100%";
                    }
                    figcaption {
                        (clean(&caption))
                        span {
                            @if has(&format!("{picture}.txt")) { a href=(link(&format!("{picture}.txt"))) { (say!("overview.in-words")) } " " }
                            @if has(&format!("{picture}.svg")) { a href=(link(&format!("{picture}.svg"))) { (say!("overview.to-print")) } }
                        }
                    }
                }
            }
            ul {
                @for file in others.into_iter().chain([Manifest::NAME]) {
                    li { a href=(link(file)) { (clean(file)) } ": " (what(file)) }
                }
            }
        }
    }
}

/// One line on what a file is for.
fn what(file: &str) -> String {
    let (_, ending) = file.rsplit_once('.').unwrap_or_default();
    let key = match ending {
        _ if file == Manifest::NAME => "overview.file.manifest",
        "html" => "overview.file.html",
        "txt" | "md" => "overview.file.txt",
        "csv" => "overview.file.csv",
        "ics" => "overview.file.ics",
        "gif" | "svg" => "overview.file.picture",
        _ => "overview.file.json",
    };
    say!(key)
}

/// Lines of an answer that the page repeats at most; the text holds all.
const MOST_LINES: usize = 4;

/// What stands before the first empty line, each piece on one line: where a piece goes on, its lines are indented.
fn paragraphs(text: &str) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let lines = text.lines().skip_while(|l| l.trim().is_empty());
    for line in lines.take_while(|l| !l.trim().is_empty()) {
        match all.last_mut() {
            Some(piece) if line.starts_with(' ') => {
                piece.push(' ');
                piece.push_str(line.trim());
            }
            _ => all.push(line.to_owned()),
        }
    }
    all
}

/// The first paragraph of a text on one line; `None` where there is none.
fn first_lines(text: &str) -> Option<String> {
    // The words of a slide stand under a title that says so.
    let title = voice().get("slide.alt");
    let lines = text.lines();
    let lines = lines.skip_while(|l| l.trim().is_empty() || l.trim() == title);
    let words: Vec<&str> = lines
        .take_while(|l| !l.trim().is_empty())
        .flat_map(str::split_whitespace)
        .collect();
    (!words.is_empty()).then(|| words.join(" "))
}

/// A file name as a link takes it.
fn coded(file: &str) -> String {
    let mut out = String::new();
    for byte in file.bytes() {
        if byte.is_ascii_alphanumeric() || b"-_./".contains(&byte) {
            out.push(char::from(byte));
        } else {
            use std::fmt::Write as _;
            write!(out, "%{byte:02X}").expect("writing to a string cannot fail");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::Facts;

    fn part(text: &str, files: &[&str]) -> Part {
        let facts = Facts::default();
        let files: Vec<_> = files
            .iter()
            .map(|f| ((*f).to_owned(), Vec::new()))
            .collect();
        Part {
            name: "run",
            manifest: Manifest::new(&facts, None, &files),
            texts: [("summary.txt".to_owned(), text.to_owned())].into(),
        }
    }

    #[test]
    fn names_and_texts_are_escaped_and_every_file_is_linked() {
        let page = page_of(&[part(
            "<b>One</b>\n  line.\nTwo.\n\nMore.",
            &[
                "summary.txt",
                "map.png",
                "map.svg",
                "map.txt",
                "<i> \"#?.csv",
            ],
        )]);
        assert!(page.contains(MARK));
        assert!(
            page.contains("<p><strong>&lt;b&gt;One&lt;/b&gt; line.</strong></p><p><strong>Two."),
            "{page}"
        );
        assert!(!page.contains("<b>One") && !page.contains("More.") && !page.contains("<i>"));
        for link in [
            "run/summary.txt",
            "run/map.png",
            "run/map.svg",
            "run/map.txt",
            "run/%3Ci%3E%20%22%23%3F.csv",
            "run/manifest.json",
        ] {
            assert!(page.contains(&format!("href=\"{link}\"")), "{link}");
        }
        assert!(page.contains("<img src=\"run/map.png\" alt=\"map\""));
    }

    /// The words of a slide begin with a title that tells what they are: no text for a picture.
    #[test]
    fn the_title_over_the_words_of_a_slide_is_not_its_text() {
        let told = format!("{}\n\nDots of two\nplans.\n\nMore.", say!("slide.alt"));
        assert_eq!(first_lines(&told).as_deref(), Some("Dots of two plans."));
        assert_eq!(first_lines("\nA map.\n\nMore.").as_deref(), Some("A map."));
        assert_eq!(first_lines("\n\n"), None);
    }
}
