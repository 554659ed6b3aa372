//! What stands in the tables and in the notes on evidence, as lines for a terminal: no yard and no simulation.

use crate::catalogue::evidence::{evidence, tables};
use crate::catalogue::words::{Kind, find, plain};
use crate::catalogue::{self, Grade, unmodelled};
use crate::report::words::grade_in_words;
use crate::say::{say, voice};

/// What can be looked up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Topic {
    /// The widest safe hole of a net.
    Mesh,
    /// How high a trap hangs.
    Height,
    /// Which crops are worth covering, and when.
    Covers,
    /// What a row cover is and how it is used.
    RowCover,
    /// What trials say, both sides.
    Research,
    /// What the program does not model.
    NotModelled,
}

/// Names of the pest and the crop that were asked for, as words that a row of a table may hold.
struct Wanted(Option<Vec<String>>);

impl Wanted {
    fn of(said: Option<&str>, kind: Kind) -> Wanted {
        Wanted(said.map(|said| {
            let mut names = vec![plain(said)];
            let id = find(kind, said);
            if kind == Kind::Pest {
                names.extend(id.and_then(catalogue::pest).map(|p| plain(&p.name)));
                names.extend(unmodelled::find(said).map(|n| plain(&n.name)));
            } else {
                names.extend(id.and_then(catalogue::crop).map(|c| plain(&c.plural)));
            }
            // "apples" and "apple" are one.
            let stem = |name: String| name.trim_end_matches('s').trim_end_matches("ie").to_owned();
            names
                .into_iter()
                .map(stem)
                .filter(|n| n.len() > 2)
                .collect()
        }))
    }

    fn fits(&self, text: &str) -> bool {
        let text = plain(text);
        self.0
            .as_ref()
            .is_none_or(|names| names.iter().any(|name| text.contains(name)))
    }
}

fn source(source: &str, grade: Grade) -> String {
    say!("note.source", source, grade = grade_in_words(grade))
}

/// The lines of a topic, for one pest and one crop where they are named.
pub fn lookup(topic: Topic, pest: Option<&str>, crop: Option<&str>) -> String {
    let (pests, crops) = (Wanted::of(pest, Kind::Pest), Wanted::of(crop, Kind::Crop));
    let all = tables();
    let mut rows: Vec<String> = Vec::new();
    let (first, last) = match topic {
        Topic::Mesh => {
            for row in all.mesh.iter().filter(|row| pests.fits(&row.pest)) {
                let hole = &row.hole_mm;
                let (name, says) = (&row.pest, &row.says);
                // "5 or less" is a number of millimeters, "not known" none.
                let told = if hole.contains(|c: char| c.is_ascii_digit()) {
                    say!("look-up.mesh", name, hole, says)
                } else {
                    say!("look-up.height", name, height = hole, says)
                };
                rows.push(format!("{told} {}", source(&row.source, row.grade)));
            }
            (say!("look-up.mesh.first"), say!("look-up.mesh.last"))
        }
        Topic::Height => {
            for row in all.height.iter().filter(|row| pests.fits(&row.pest)) {
                let told = say!(
                    "look-up.height",
                    name = row.pest,
                    height = row.height,
                    says = row.says
                );
                rows.push(format!("{told} {}", source(&row.source, row.grade)));
            }
            (say!("look-up.height.first"), String::new())
        }
        Topic::Covers => {
            let rows_of = all
                .cover
                .iter()
                .filter(|row| pests.fits(&row.pest) && crops.fits(&row.crop));
            for row in rows_of {
                let told = say!(
                    "look-up.cover",
                    crop = row.crop,
                    name = row.pest,
                    cover = row.cover,
                    when = row.when
                );
                rows.push(format!("{told} {}", source(&row.source, row.grade)));
            }
            (say!("look-up.cover.first"), say!("look-up.mesh.last"))
        }
        Topic::RowCover => {
            let parts = ["what", "cloth", "cheesecloth", "soil", "edges", "bloom"];
            rows.extend(parts.map(|part| say!(&format!("look-up.row-cover.{part}"))));
            (say!("look-up.row-cover"), say!("look-up.mesh.last"))
        }
        Topic::Research => {
            let id = pest.and_then(|said| find(Kind::Pest, said));
            let known = id.map_or_else(|| catalogue::ids(catalogue::PESTS), |id| vec![id]);
            for one in known.into_iter().filter_map(evidence) {
                for question in &one.questions {
                    rows.push(format!("{} {}", question.question, question.answer));
                    for side in &question.sides {
                        rows.push(format!("  {}:", side.side));
                        for found in &side.findings {
                            let told = source(&found.source, found.grade);
                            rows.push(format!("    {} {} {told}", found.says, found.test));
                        }
                    }
                }
                rows.extend(
                    one.not_known
                        .iter()
                        .map(|text| say!("note.not-known", says = text)),
                );
            }
            (say!("look-up.research"), String::new())
        }
        Topic::NotModelled => {
            let parts = ["sun", "color", "height", "spray", "name", "next", "limits"];
            rows.extend(parts.map(|part| say!(&format!("evidence.not.{part}"))));
            (say!("evidence.not-modelled"), String::new())
        }
    };
    if rows.is_empty() {
        rows.push(say!("look-up.none"));
    }
    let mut lines = vec![first];
    lines.extend(rows.into_iter().map(|row| {
        if row.starts_with(' ') {
            row
        } else {
            format!("- {row}")
        }
    }));
    lines.extend(Some(last).filter(|last| !last.is_empty()));
    lines.push(voice().get("caution.local").to_owned());
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_found_by_any_word_for_its_pest_and_others_are_left_out() {
        let all = lookup(Topic::Mesh, None, None);
        let moth = lookup(Topic::Mesh, Some("codling moths"), None);
        assert!(
            moth.contains("Codling moth") && !moth.contains("Japanese beetle"),
            "{moth}"
        );
        assert!(all.contains("Codling moth") && all.contains("Japanese beetle"));
        let fly = lookup(Topic::Mesh, Some("carrot fly"), None);
        assert!(fly.contains("Carrot fly"), "{fly}");
        let none = lookup(Topic::Mesh, Some("elephant"), None);
        assert!(none.contains(&say!("look-up.none")), "{none}");
        let berries = lookup(
            Topic::Covers,
            Some("spotted wing drosophila"),
            Some("blueberry"),
        );
        assert!(
            berries.contains("Blueberries") && !berries.contains("Raspberries"),
            "{berries}"
        );
    }
}
