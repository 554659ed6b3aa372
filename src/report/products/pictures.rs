//! The pictures of the products: plans to rows, words from the catalogue, numbers from the results.

use crate::figure::Figure;
use crate::figure::sheet::change::AxisWords;
use crate::figure::sheet::{Caption, Look, change, damage, fate, yard};
use crate::report::products::handout::MOST_ROWS;
use crate::report::products::results::{Plan, Sweep};
use crate::report::products::story::{Story, filled, number};
use crate::report::words::followed;
use crate::stats::paired::Class;
use crate::stats::words::{printed, thousands};
use crate::units::feet_and_metres;
use std::cmp::Ordering;

/// A sentence that names the plans but the first that a picture or table leaves out, and where they are; `None` where it
/// shows all.
pub(super) fn left_out(story: &Story, drawn: &[&Plan]) -> Option<String> {
    let s = story.s;
    let others = story.yard.plans.iter().skip(1);
    let others = others.filter(|p| !drawn.iter().any(|d| std::ptr::eq(*d, *p)));
    let names: Vec<String> = others.map(|p| format!("\"{}\"", p.name)).collect();
    (!names.is_empty()).then(|| s.fill("figure.left-out", &[("list", &names.join(", ") as &str)]))
}

impl Story<'_> {
    /// Plans but the first, the headline and the better plan before the others, at most so many.
    pub fn shown(&self, most: usize) -> Vec<&Plan> {
        let others = self.yard.plans.iter().enumerate().skip(1);
        let mut order: Vec<(usize, &Plan)> = others.collect();
        let better = self.better().map(|b| b.plan);
        order.sort_by_key(|(i, _)| (*i != self.headline, Some(*i) != better, *i));
        order.truncate(most);
        order.into_iter().map(|(_, p)| p).collect()
    }
}

/// Title of the picture of changes.
pub(super) fn change_title(story: &Story) -> String {
    story
        .s
        .fill("figure.change.title", &[("state", story.state())])
}

/// The picture of twenty changes; `None` when the results hold no dots.
pub(super) fn change(story: &Story, name: &str, look: &Look) -> Option<Figure> {
    let s = story.s;
    let row = |plan: &Plan| {
        let count = plan.count.as_ref()?;
        Some(change::Row {
            name: plan.name.clone(),
            notes: vec![filled(s, "figure.counts", count.told, &[])],
            dots: count.dots.clone()?,
        })
    };
    let page = *look == Look::Page;
    // A slide makes one claim, so it shows one plan.
    let most = if page { MOST_ROWS - 1 } else { 1 };
    let shown = story.shown(most).into_iter();
    let (mut plans, mut rows): (Vec<&Plan>, Vec<change::Row>) =
        shown.filter_map(|p| Some((p, row(p)?))).unzip();
    if rows.is_empty() {
        return None;
    }
    let fitting = change::fitting(&rows, story.yard.tie_band, look);
    plans.truncate(fitting);
    rows.truncate(fitting);
    let left_out = left_out(story, &plans).filter(|_| page);
    let counted = plans.iter().filter_map(|p| Some((p, p.count.as_ref()?)));
    let numbers: Vec<String> = counted
        .clone()
        .map(|(plan, count)| {
            let plan = [("plan", plan.name.as_str())];
            filled(s, "figure.change.level2", count.told, &plan)
        })
        .collect();
    let pattern: Vec<String> = counted
        .map(|(plan, count)| {
            let told = count.told;
            let few = !told.mostly_one_way();
            let key = match told.class() {
                Class::More if few => "figure.change.pattern.more.some",
                Class::More => "figure.change.pattern.more",
                Class::Less if few => "figure.change.pattern.less.some",
                Class::Less => "figure.change.pattern.less",
                Class::NoChange => "figure.change.pattern.same",
                Class::EitherWay => "figure.change.pattern.open",
            };
            s.fill(key, &[("plan", &plan.name as &str)])
        })
        .collect();
    let caption = Caption {
        name: name.into(),
        title: change_title(story),
        alt: s.fill("figure.change.alt", &[("state", story.state())]),
        levels: [
            followed(s.get("figure.change.level1").into(), left_out.as_deref()),
            numbers.join(" "),
            pattern.join(" "),
        ],
        header: ["figure.plan", "figure.mark", "figure.value"]
            .map(|k| s.get(k).to_owned())
            .to_vec(),
    };
    let words = AxisWords {
        zero: s.get("figure.change.zero").into(),
        left: s.get("figure.change.left").into(),
        right: s.get("figure.change.right").into(),
        left_out,
    };
    Some(change::change(
        caption,
        &rows,
        story.yard.tie_band,
        &words,
        look,
    ))
}

/// Damage as bars, catch as a number beside it; the first plan and as many others as fit.
pub(super) fn damage_and_catch(story: &Story, name: &str, look: &Look) -> Figure {
    let s = story.s;
    let (all, most) = (story.yard.plans.len(), damage::most_rows(look));
    // Of more plans, the last row tells which are left out.
    let others = story.shown(if all > most { most - 2 } else { most - 1 });
    let left_out = left_out(story, &others);
    let plans = std::iter::once(story.first()).chain(others);
    let rows: Vec<damage::Row> = plans
        .map(|p| damage::Row {
            name: p.name.clone(),
            damage: p.damage,
            damage_text: number(p.damage),
            caught_text: thousands(p.caught),
        })
        .collect();
    let title = s.fill("figure.damage.title", &[("state", story.state())]);
    bars(story, name, (title, left_out), &rows, look)
}

/// Bars of damage with the catch beside them.
fn bars(
    story: &Story,
    name: &str,
    (title, left_out): (String, Option<String>),
    rows: &[damage::Row],
    look: &Look,
) -> Figure {
    let s = story.s;
    let numbers: Vec<String> = rows
        .iter()
        .map(|r| {
            s.fill(
                "figure.damage.level2",
                &[
                    ("plan", &r.name as &str),
                    ("after", &r.damage_text),
                    ("caught", &r.caught_text),
                ],
            )
        })
        .collect();
    let caught = |r: &damage::Row| r.caught_text.replace(',', "").parse::<f64>().unwrap_or(0.0);
    let most = top(rows, |r| printed(r.damage)).map_or_else(
        || s.get("figure.damage.most.shared").to_owned(),
        |name| s.fill("figure.damage.most", &[("plan", name)]),
    );
    let catch = match top(rows, caught) {
        Some(name) => s.fill("figure.damage.catch", &[("plan", name)]),
        None if rows.iter().all(|r| caught(r) == 0.0) => s.get("figure.damage.catch.none").into(),
        None => s.get("figure.damage.catch.shared").into(),
    };
    let state = [("state", story.state())];
    let caption = Caption {
        name: name.into(),
        title,
        alt: s.fill("figure.damage.alt", &state),
        levels: [
            followed(s.get("figure.damage.level1").into(), left_out.as_deref()),
            numbers.join(" "),
            [most, catch].join(" "),
        ],
        header: [
            "figure.plan",
            "figure.damage.damage",
            "figure.damage.caught",
        ]
        .map(|k| s.get(k).to_owned())
        .to_vec(),
    };
    let columns = (
        s.fill("handout.col.damage", &state),
        s.get("handout.col.caught").to_owned(),
    );
    let columns = (columns.0.as_str(), columns.1.as_str());
    damage::damage(caption, rows, columns, left_out.as_deref(), look)
}

/// The row that alone has the most of something, if there is one.
fn top(rows: &[damage::Row], of: impl Fn(&damage::Row) -> f64) -> Option<&str> {
    let most = rows.iter().map(&of).max_by(f64::total_cmp)?;
    let mut at_top = rows.iter().filter(|r| of(r) == most);
    let first = at_top.next()?;
    at_top.next().is_none().then_some(first.name.as_str())
}

/// Most distances on a slide.
pub(super) const MOST_DISTANCES: usize = 7;

/// Damage against distance as bars, the yard without a trap first.
pub(super) fn distances(story: &Story, sweep: &Sweep, name: &str, look: &Look) -> Figure {
    let s = story.s;
    let none = damage::Row {
        name: s.get("slide.place.none").into(),
        damage: sweep.damage_without,
        damage_text: number(sweep.damage_without),
        caught_text: "0".into(),
    };
    let points = sweep.points.iter().take(MOST_DISTANCES);
    let rows: Vec<damage::Row> = std::iter::once(none)
        .chain(points.map(|p| damage::Row {
            name: p.label.clone(),
            damage: p.damage_mean,
            damage_text: number(p.damage_mean),
            caught_text: thousands(p.caught_mean),
        }))
        .collect();
    let title = s.get("figure.place.title").to_owned();
    bars(story, name, (title, None), &rows, look)
}

/// Where a hundred answers ended; `None` when the results do not tell.
pub(super) fn fate(story: &Story, name: &str, look: &Look) -> Option<Figure> {
    let s = story.s;
    let ended = story.plan().fate?;
    let parts = ended.three();
    let pattern = match ended.lean() {
        Ordering::Greater => "figure.fate.pattern.spill",
        Ordering::Less => "figure.fate.pattern.kept",
        Ordering::Equal => "figure.fate.pattern.even",
    };
    let caption = Caption {
        name: name.into(),
        title: s.get("figure.fate.title").into(),
        alt: s.get("figure.fate.alt").into(),
        levels: [
            s.get("figure.fate.level1").into(),
            s.fill(
                "figure.fate.level2",
                &[
                    ("a", &parts[0].to_string() as &str),
                    ("b", &parts[1].to_string()),
                    ("c", &parts[2].to_string()),
                ],
            ),
            s.get(pattern).into(),
        ],
        header: ["figure.fate.where", "figure.fate.count"]
            .map(|k| s.get(k).to_owned())
            .to_vec(),
    };
    let names =
        ["figure.fate.kept", "figure.fate.plant", "figure.fate.away"].map(|k| s.get(k).to_owned());
    Some(fate::fate(caption, parts, &names, look))
}

/// The yard with the plan that the page is about; `None` when the scenario does not hold that plan.
pub(super) fn yard(story: &Story, name: &str, most_height: f64) -> Option<Figure> {
    let s = story.s;
    let scenario = &story.yard.scenario;
    let plan = story.planned()?;
    let caption = Caption {
        name: name.into(),
        title: s.get("figure.yard.title").into(),
        alt: s.get("figure.yard.alt").into(),
        levels: [
            s.get("figure.yard.level1").into(),
            s.fill(
                "figure.yard.level2",
                &[
                    ("width", &feet_and_metres(scenario.yard.width()) as &str),
                    ("depth", &feet_and_metres(scenario.yard.height())),
                ],
            ),
            story.distance().unwrap_or_default(),
        ],
        header: [
            "figure.yard.thing",
            &scenario.sided("figure.yard.east"),
            &scenario.sided("figure.yard.north"),
        ]
        .map(|key| s.get(key).to_owned())
        .to_vec(),
    };
    Some(yard::yard(
        caption,
        scenario,
        plan,
        s.get("figure.yard.north-arrow"),
        &Look::Page,
        most_height,
    ))
}
