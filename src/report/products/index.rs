//! The overview: every product with its files, and what could not be made.

use crate::report::products::page::{Head, caution_list, clean, footer, page, verdict};
use crate::report::products::story::Story;
use crate::report::products::{Built, Made, Request};
use maud::html;

pub(super) fn page_of(story: &Story, request: &Request, made: &Made, built: &Built) -> String {
    let s = story.s;
    let title = s.fill(
        "index.title",
        &[("title", &story.yard.scenario.title as &str)],
    );
    let head = Head {
        title: &title,
        kind: s.get("index.kind"),
    };
    let name = |p: crate::report::products::Product| s.get(&format!("product.{}", p.name()));
    let body = html! {
        (verdict(story))
        p { (s.get("index.line")) }
        div.scroll tabindex="0" role="group" aria-label=(s.get("index.kind")) {
            table {
                thead { tr { th scope="col" { (s.get("index.product")) } th scope="col" { (s.get("index.files")) } } }
                tbody { @for (product, files) in &built.made {
                    tr {
                        th scope="row" { (name(*product)) }
                        td { ul { @for file in files { li { a href=(file) { (file) } } } } }
                    }
                } }
            }
        }
        @if !built.missing.is_empty() {
            h2 { (s.get("index.missing")) }
            ul { @for (product, why) in &built.missing { li { (name(*product)) ": " (clean(why)) } } }
        }
        (caution_list(s, Some(story)))
    };
    page(s, &head, &body, &footer(story, request, made), None)
}
