//! Tables to look things up: mesh, trap height, crops to cover.

use crate::report::products::evidence::source;
use crate::report::products::page::{Head, caution_list, footer_lines, page};
use crate::report::products::{Files, Request};
use crate::say::Strings;
use maud::{Markup, html};

pub(super) fn files(s: &Strings, request: &Request) -> Files {
    let all = crate::catalogue::evidence::tables();
    let head = Head {
        title: s.get("tables.title"),
        kind: s.get("tables.kind"),
    };
    let mesh = all.mesh.iter().map(|r| {
        html! { th scope="row" { (r.pest) } td { (r.hole_mm) } td { (r.says) } td { (source(s, &r.source, r.grade)) } }
    });
    let height = all.height.iter().map(|r| {
        html! { th scope="row" { (r.pest) } td { (r.height) } td { (r.says) } td { (source(s, &r.source, r.grade)) } }
    });
    let cover = all.cover.iter().map(|r| {
        html! { th scope="row" { (r.crop) } td { (r.pest) } td { (r.cover) } td { (r.when) } td { (source(s, &r.source, r.grade)) } }
    });
    let body = html! {
        (one(s, "tables.mesh", &["tables.pest", "tables.mesh.hole", "tables.says", "tables.source"], mesh.collect()))
        (one(s, "tables.height", &["tables.pest", "tables.height.height", "tables.says", "tables.source"], height.collect()))
        (one(s, "tables.cover", &["tables.crop", "tables.pest", "tables.cover.cover", "tables.cover.when", "tables.source"], cover.collect()))
        p { (s.get("evidence.grades.line")) " " (s.get("evidence.grades.line2")) }
        (caution_list(s, None))
    };
    let html = page(s, &head, &body, &footer_lines(s, request), None);
    vec![("tables.html".into(), html.into_bytes())]
}

fn one(s: &Strings, key: &str, columns: &[&str], rows: Vec<Markup>) -> Markup {
    html! {
        h2 { (s.get(key)) }
        p { (s.get(&format!("{key}.line"))) }
        div.scroll tabindex="0" role="group" aria-label=(s.get(key)) {
            table {
                thead { tr { @for column in columns { th scope="col" { (s.get(column)) } } } }
                tbody { @for row in rows { tr { (row) } } }
            }
        }
    }
}
