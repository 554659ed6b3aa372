//! The model description: prose kept beside this file, numbers printed from the catalogue.

use crate::catalogue::{
    self, CROPS, Grade, LURES, LureValues, PESTS, ParameterInfo, PestValues, Sourced, Spread,
    TRAPS, TrapValues,
};
use crate::report::evidence::{escape, page};
use crate::say::{say, voice};
use std::fmt::Write as _;

/// The prose, with a line where the numbers go.
pub const PROSE: &str = include_str!("model.md");
const FITS: &str = "a string grows";

fn grade(grade: Grade) -> &'static str {
    voice().get(match grade {
        Grade::Exact => "detail.model.grade.exact",
        Grade::Published => "detail.model.grade.published",
        Grade::Secondary => "detail.model.grade.secondary",
        Grade::Memory => "detail.model.grade.memory",
        Grade::Assumed => "detail.model.grade.assumed",
    })
}

/// One row: key, meaning, unit, default, range, distribution, source, grade.
fn row(out: &mut String, key: &str, meaning: &str, s: &Sourced) {
    let drawn = voice().get(match (s.range, s.spread) {
        (None, _) => "detail.model.fixed",
        (_, Spread::Uniform) => "detail.model.uniform",
        (_, Spread::Log) => "detail.model.log",
    });
    let range = s.range.map_or_else(
        || drawn.to_owned(),
        |[low, high]| say!("detail.band.between", low, high),
    );
    // A bar inside a cell would open another.
    let cell = |text: &str| text.replace('|', "/").replace('\n', " ");
    writeln!(
        out,
        "| `{key}` | {} | {} | {} | {range} | {drawn} | {} | {} |",
        cell(meaning),
        cell(&s.unit),
        s.value,
        cell(&s.source),
        grade(s.grade)
    )
    .expect(FITS);
}

fn head(out: &mut String, title: &str) {
    let columns = [
        "detail.model.column.key",
        "detail.model.column.meaning",
        "detail.model.column.unit",
        "detail.model.column.default",
        "detail.model.column.range",
        "detail.model.column.drawn",
        "detail.model.column.source",
        "detail.model.column.grade",
    ]
    .map(|key| voice().get(key));
    writeln!(
        out,
        "### {title}\n\n| {} |\n|{}",
        columns.join(" | "),
        "---|".repeat(8)
    )
    .expect(FITS);
}

fn rows<'a>(out: &mut String, table: &[ParameterInfo], get: impl Fn(&str) -> Option<&'a Sourced>) {
    for info in table {
        if let Some(s) = get(info.key) {
            row(out, info.key, info.meaning(), s);
        }
    }
    out.push('\n');
}

/// Every number of the catalogue that a run can draw, as Markdown tables.
pub fn parameters() -> String {
    let mut out = String::new();
    for pest in PESTS.iter().filter_map(|(id, _)| catalogue::pest(id)) {
        head(&mut out, &say!("detail.model.pest", name = pest.name));
        for (word, s) in &pest.pressure {
            let meaning = say!("detail.model.pressure", insects = pest.short, word);
            row(&mut out, &format!("pressure.{word}"), &meaning, s);
        }
        rows(&mut out, PestValues::TABLE, |k| pest.values.get(k));
    }
    for lure in LURES.iter().filter_map(|(id, _)| catalogue::lure(id)) {
        head(
            &mut out,
            &say!("detail.model.lure", name = lure.name, id = lure.id),
        );
        rows(&mut out, LureValues::TABLE, |k| lure.values.get(k));
    }
    for trap in TRAPS.iter().filter_map(|(id, _)| catalogue::trap(id)) {
        head(&mut out, &say!("detail.model.trap", name = trap.name));
        rows(&mut out, TrapValues::TABLE, |k| trap.values.get(k));
    }
    for crop in CROPS.iter().filter_map(|(id, _)| catalogue::crop(id)) {
        head(&mut out, &say!("detail.model.crop", name = crop.name));
        row(
            &mut out,
            "canopy",
            voice().get("detail.model.plant.canopy"),
            &crop.canopy,
        );
        row(
            &mut out,
            "spacing",
            voice().get("detail.model.plant.spacing"),
            &crop.spacing,
        );
        row(
            &mut out,
            "leaf_area",
            voice().get("detail.model.plant.leaf-area"),
            &crop.leaf_area,
        );
        if let Some(fruit) = &crop.fruit {
            row(
                &mut out,
                "fruit",
                voice().get("detail.model.plant.fruit"),
                fruit,
            );
        }
        for (pest, host) in &crop.hosts {
            let noticed = voice().get("detail.model.plant.detection");
            row(
                &mut out,
                &format!("{pest}.detection"),
                noticed,
                &host.detection,
            );
            let landing = voice().get("detail.model.plant.acceptance");
            row(
                &mut out,
                &format!("{pest}.acceptance"),
                landing,
                &host.acceptance,
            );
        }
        out.push('\n');
    }
    out
}

/// The whole description as Markdown.
pub fn markdown(version: &str) -> String {
    let text = PROSE.replace("{{parameters}}", parameters().trim_end());
    let version = say!("detail.model.version", version);
    let version = std::iter::once(version.as_str()).chain(voice().mark());
    let version = version.collect::<Vec<_>>().join("\n\n");
    text.replacen('\n', &format!("\n\n{version}\n"), 1)
}

/// Code spans of a line, escaped.
fn inline(text: &str) -> String {
    let parts: Vec<String> = text
        .split('`')
        .enumerate()
        .map(|(i, part)| {
            if i % 2 == 1 {
                format!("<code>{}</code>", escape(part))
            } else {
                escape(part)
            }
        })
        .collect();
    parts.concat()
}

/// What a line of our Markdown belongs to.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Block {
    Text,
    List,
    Table,
}

fn close(out: &mut String, block: &mut Block) {
    match block {
        Block::Text => {}
        Block::List => out.push_str("</ul>\n"),
        Block::Table => out.push_str("</tbody></table></div>\n"),
    }
    *block = Block::Text;
}

fn cells(line: &str) -> Vec<&str> {
    line.trim_matches('|').split('|').map(str::trim).collect()
}

/// The description as one page. Reads the Markdown that [`markdown`] writes: headings, paragraphs, lists, tables, code.
pub fn html(version: &str) -> String {
    let mut out = String::new();
    let mut block = Block::Text;
    let mut heading = String::new();
    for line in markdown(version).lines() {
        let level = line.chars().take_while(|c| *c == '#').count();
        if let Some(item) = line.strip_prefix("- ") {
            if block != Block::List {
                close(&mut out, &mut block);
                out.push_str("<ul>\n");
                block = Block::List;
            }
            writeln!(out, "<li>{}</li>", inline(item)).expect(FITS);
        } else if line.starts_with("|---") {
            // The line under the head of a table holds nothing.
        } else if line.starts_with('|') {
            if block == Block::Table {
                let all: Vec<String> = cells(line)
                    .iter()
                    .map(|c| format!("<td>{}</td>", inline(c)))
                    .collect();
                writeln!(out, "<tr>{}</tr>", all.concat()).expect(FITS);
            } else {
                close(&mut out, &mut block);
                let all: Vec<String> = cells(line)
                    .iter()
                    .map(|c| format!("<th scope=\"col\">{}</th>", inline(c)))
                    .collect();
                writeln!(
                    out,
                    "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{}\"><table><caption>{}</caption>\
                     <thead><tr>{}</tr></thead><tbody>",
                    escape(&heading),
                    escape(&heading),
                    all.concat()
                )
                .expect(FITS);
                block = Block::Table;
            }
        } else {
            close(&mut out, &mut block);
            if level > 0 {
                line[level..].trim().clone_into(&mut heading);
                writeln!(out, "<h{level}>{}</h{level}>", inline(&heading)).expect(FITS);
            } else if !line.trim().is_empty() {
                writeln!(out, "<p>{}</p>", inline(line)).expect(FITS);
            }
        }
    }
    close(&mut out, &mut block);
    page(voice().get("detail.model.title"), &out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_of_every_file_is_a_row_with_source_and_grade() {
        let text = parameters();
        let pests = PESTS.len() * PestValues::TABLE.len();
        let traps = TRAPS.len() * TrapValues::TABLE.len();
        let lures = LURES.len() * LureValues::TABLE.len();
        let rows: Vec<&str> = text.lines().filter(|l| l.starts_with("| `")).collect();
        assert!(rows.len() > pests + traps + lures);
        assert!(
            rows.iter()
                .all(|r| cells(r).len() == 8 && cells(r).iter().all(|c| !c.is_empty()))
        );
        let reach = catalogue::lure("japanese-beetle-both")
            .expect("in the catalogue")
            .values
            .reach;
        let after = text
            .split("japanese-beetle-both")
            .nth(1)
            .expect("has its table");
        let row = after
            .lines()
            .find(|l| l.starts_with("| `reach`"))
            .expect("has a reach");
        assert_eq!(cells(row)[3], reach.value.to_string());
    }

    #[test]
    fn the_page_closes_what_it_opens() {
        let page = html("0");
        for tag in ["ul", "table", "tbody", "div", "tr", "p", "h2", "code"] {
            let opened = page.matches(&format!("<{tag}>")).count()
                + page.matches(&format!("<{tag} ")).count();
            assert_eq!(opened, page.matches(&format!("</{tag}>")).count(), "{tag}");
        }
        assert!(!page.contains("{{"));
    }
}
