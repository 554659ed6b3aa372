//! The pictures of the products: plans to rows, words from the catalogue, numbers from the results.

use crate::figure::Figure;
use crate::figure::sheet::change::AxisWords;
use crate::figure::sheet::{Caption, Look, change, damage, fate, yard};
use crate::report::products::results::{Count, Plan, Sweep};
use crate::report::products::story::{Story, filled, number};
use crate::stats::paired::Class;
use crate::stats::words::{printed, thousands};
use crate::units::feet_and_metres;
use std::cmp::Ordering;

/// Most plans in a picture: the one that the page is about, and the next ones.
const MOST: usize = 3;

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
    // A slide makes one claim, so it shows one plan.
    let most = if *look == Look::Page { MOST } else { 1 };
    let counted: Vec<(&Plan, &Count, &Vec<f64>)> = story
        .shown(most)
        .into_iter()
        .filter_map(|p| {
            let count = p.count.as_ref()?;
            Some((p, count, count.dots.as_ref()?))
        })
        .collect();
    if counted.is_empty() {
        return None;
    }
    let rows: Vec<change::Row> = counted
        .iter()
        .map(|(plan, count, dots)| {
            let note = |key: &str| filled(s, key, count.told, &[]);
            change::Row {
                name: plan.name.clone(),
                notes: ["figure.more", "figure.same", "figure.less"]
                    .map(note)
                    .to_vec(),
                dots: (*dots).clone(),
            }
        })
        .collect();
    let numbers: Vec<String> = counted
        .iter()
        .map(|(plan, count, _)| {
            let plan = [("plan", plan.name.as_str())];
            filled(s, "figure.change.level2", count.told, &plan)
        })
        .collect();
    let pattern: Vec<String> = counted
        .iter()
        .map(|(plan, count, _)| {
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
            s.get("figure.change.level1").into(),
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
    };
    Some(change::change(
        caption,
        &rows,
        story.yard.tie_band,
        &words,
        look,
    ))
}

/// Damage as bars, catch as a number beside it; the first plan and up to three others.
pub(super) fn damage_and_catch(story: &Story, name: &str, look: &Look) -> Figure {
    let s = story.s;
    let plans: Vec<&Plan> = std::iter::once(story.first())
        .chain(story.shown(MOST))
        .collect();
    let rows: Vec<damage::Row> = plans
        .iter()
        .map(|p| damage::Row {
            name: p.name.clone(),
            damage: p.damage,
            damage_text: number(p.damage),
            caught_text: thousands(p.caught),
        })
        .collect();
    let title = s.fill("figure.damage.title", &[("state", story.state())]);
    bars(story, name, title, &rows, look)
}

/// Bars of damage with the catch beside them.
fn bars(story: &Story, name: &str, title: String, rows: &[damage::Row], look: &Look) -> Figure {
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
            s.get("figure.damage.level1").into(),
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
    damage::damage(caption, rows, (&columns.0, &columns.1), look)
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
    bars(story, name, s.get("figure.place.title").into(), &rows, look)
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
