//! The shell of every page, and the parts that pages share. One file, no network: the page's own policy forbids it.

use crate::figure::{Figure, Table};
use crate::report::cautions;
pub use crate::report::products::clean;
use crate::report::products::story::Story;
use crate::report::products::{Made, Request};
use crate::report::words::invented;
use crate::say::Strings;
use crate::stats::quantile::DOTS;
use crate::stats::words::thousands;
use maud::{DOCTYPE, Markup, PreEscaped, html};

const CSS: &str = include_str!("page.css");

/// What a page is called.
pub struct Head<'a> {
    /// Title.
    pub title: &'a str,
    /// What kind of page it is, above the title.
    pub kind: &'a str,
}

/// A whole page. `script` is code of our own, never a user's text.
pub fn page(
    s: &Strings,
    head: &Head,
    body: &Markup,
    footer: &Markup,
    script: Option<&str>,
) -> String {
    let policy = if script.is_some() {
        "img-src data:; script-src 'unsafe-inline'"
    } else {
        "img-src data:"
    };
    shell(s, head, body, footer, policy, script)
}

/// The shell of a page, whose `policy` adds to what every page allows itself.
pub(super) fn shell(
    s: &Strings,
    head: &Head,
    body: &Markup,
    footer: &Markup,
    policy: &str,
    script: Option<&str>,
) -> String {
    let policy = format!("default-src 'none'; style-src 'unsafe-inline'; {policy}");
    html! {
        (DOCTYPE)
        html lang=(s.get("language")) {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (clean(head.title)) " - " (head.kind) }
                style { (PreEscaped(CSS)) }
            }
            body {
                a.skip href="#text" { (s.get("skip")) }
                header {
                    p.kind { (head.kind) }
                    h1 { (clean(head.title)) }
                }
                main id="text" {
                    @if body.0.contains("class=\"scroll\"") { p.narrow { (s.get("narrow")) } }
                    (body)
                }
                footer {
                    (footer)
                    @if let Some(mark) = s.mark() { p { (mark) } }
                }
                @if let Some(script) = script { script { (PreEscaped(script)) } }
            }
        }
    }
    .into_string()
        + "\n"
}

/// Text that may stand in a script element as JSON: nothing in it can end the element.
pub fn safe_json(json: &str) -> String {
    json.replace('<', "\\u003c")
        .replace('>', "\\u003e")
        .replace('&', "\\u0026")
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029")
}

/// A picture with caption, its text at three levels and its table.
pub fn figure(s: &Strings, figure: &Figure, title: &str, explain: &str) -> Markup {
    html! {
        figure {
            figcaption { (clean(title)) span { (explain) } }
            div.scroll tabindex="0" role="group" aria-label=(clean(title)) { (PreEscaped(&figure.svg)) }
            details {
                summary { (s.get("figure.table")) }
                @for level in &figure.levels { p { (clean(level)) } }
                (table(&figure.table, None))
            }
        }
    }
}

/// A table; cells that hold numbers stand at the right.
pub fn table(table: &Table, caption: Option<&str>) -> Markup {
    let number = |c: &str| {
        c.chars().any(|c| c.is_ascii_digit())
            && c.chars().all(|c| c.is_ascii_digit() || ".,-+".contains(c))
    };
    html! {
        div.scroll tabindex="0" role="group" aria-label=(caption.map_or_else(|| table.header.join(", "), clean)) {
            table {
                @if let Some(caption) = caption { caption { (clean(caption)) } }
                thead { tr { @for h in &table.header { th scope="col" { (clean(h)) } } } }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (i, cell) in row.iter().enumerate() {
                                @if i == 0 { th scope="row" { (clean(cell)) } }
                                @else if number(cell) { td.n { (cell) } }
                                @else { td { (clean(cell)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The cautions of a product: those of the plans of its yard, or the general ones where there is none.
pub fn cautions(s: &Strings, story: Option<&Story>) -> Vec<String> {
    let mut all = story.map_or_else(
        || cautions::general(s),
        |story| cautions::of_scenario(s, &story.yard.scenario),
    );
    all.push(s.get("caution.names").to_owned());
    all
}

/// The cautions as a list.
pub fn caution_list(s: &Strings, story: Option<&Story>) -> Markup {
    html! {
        section {
            h2 { (s.get("caution.title")) }
            ul { @for line in cautions(s, story) { li { (clean(&line)) } } }
        }
    }
}

/// A line of the footer that the user fills in before printing.
fn edit(s: &Strings, label: &str, value: &str) -> Markup {
    html! {
        div.line {
            span { (label) ":" }
            span.edit contenteditable="true" role="textbox" tabindex="0" aria-label=(label) data-blank=(s.get("footer.blank")) { (clean(value)) }
        }
    }
}

/// Date, author, reviewer, contact, equal access, other formats: typed by the user, never taken from a clock.
pub fn footer_lines(s: &Strings, request: &Request) -> Markup {
    html! {
        p.no-print { (s.get("footer.hint")) }
        (edit(s, s.get("footer.date"), &request.date))
        (edit(s, s.get("footer.author"), &request.author))
        (edit(s, s.get("footer.reviewed"), &request.reviewed_by))
        (edit(s, s.get("footer.contact"), ""))
        (edit(s, s.get("footer.equal"), ""))
        (edit(s, s.get("footer.formats"), ""))
    }
}

/// Where the page comes from, and how to make it again.
pub fn provenance(story: &Story, made: &Made) -> Markup {
    let s = story.s;
    let band = story.yard.tie_band;
    let made_of = match story.yard.summers as usize {
        1 => "footer.made.one",
        DOTS.. => "footer.made",
        _ => "footer.made.few",
    };
    html! {
        p {
            (s.fill(made_of, &[
                ("version", made.version),
                ("summers", &thousands(f64::from(story.yard.summers))),
                ("seed", &story.yard.seed.to_string()),
            ]))
            @if band > 0.0 { " " (s.fill("footer.band", &[("band", &band.to_string())])) }
        }
        @if let Some([says, line]) = story.repeat() { p { (says) " " span.repeat { (clean(line)) } } }
    }
}

/// The usual footer of a page about a yard.
pub fn footer(story: &Story, request: &Request, made: &Made) -> Markup {
    html! { (footer_lines(story.s, request)) (provenance(story, made)) }
}

/// The verdict, its word, its counts, and the caution that stands beside every verdict.
pub fn verdict(story: &Story) -> Markup {
    let s = story.s;
    html! {
        p.lead {
            (clean(&story.verdict()))
            @if let Some(word) = story.word() { " " span.word { "[" (word) "]" } }
        }
        @if let Some(doubt) = invented(&story.yard.scenario) { p.warn { (doubt) } }
        @if story.preview() { p.warn { (s.get("verdict.preview")) } }
        @if let Some(split) = story.split() { p { (split) } }
        p { strong { (s.get("caution.forecast")) } }
    }
}
