//! The pictures of the products: plans to rows, words from the catalogue, numbers from the results.

use crate::figure::Figure;
use crate::figure::sheet::change::AxisWords;
use crate::figure::sheet::{Caption, Look, change, damage, fate, yard};
use crate::report::products::results::{Count, Plan, Sweep};
use crate::report::products::story::{Story, class, number};
use crate::stats::paired::{Class, MOST_DOTS};
use crate::stats::words::{listed, thousands};
use crate::units::feet_and_metres;

/// Most plans in a picture: the one that the page is about, and the next ones.
const MOST: usize = 3;

impl Story<'_> {
    /// Plans but the first, at most so many: the headline, the better plan, the others.
    pub fn shown(&self, most: usize) -> Vec<&Plan> {
        let others = self.yard.plans.iter().enumerate().skip(1);
        let mut order: Vec<(usize, &Plan)> = others.collect();
        let better = self.better().map(|(i, _)| i);
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
            let note = |key: &str, n: usize| s.fill(key, &[("n", &n.to_string() as &str)]);
            change::Row {
                name: plan.name.clone(),
                notes: vec![
                    note("figure.more", count.more),
                    note("figure.same", count.same),
                    note("figure.less", count.less),
                ],
                dots: (*dots).clone(),
            }
        })
        .collect();
    let numbers: Vec<String> = counted
        .iter()
        .map(|(plan, count, _)| {
            s.fill(
                "figure.change.level2",
                &[
                    ("plan", &plan.name as &str),
                    ("more", &count.more.to_string()),
                    ("same", &count.same.to_string()),
                    ("less", &count.less.to_string()),
                ],
            )
        })
        .collect();
    let pattern: Vec<String> = counted
        .iter()
        .map(|(plan, count, _)| {
            let few = count.more.max(count.less) < MOST_DOTS;
            let key = match class(count) {
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
    // Those that print alike are named together.
    let named = |most: Option<&damage::Row>, text: fn(&damage::Row) -> &str| {
        let alike = rows
            .iter()
            .filter(|r| most.is_some_and(|m| text(m) == text(r)));
        listed(
            &alike
                .map(|r| ["\"", &r.name, "\""].concat())
                .collect::<Vec<_>>(),
        )
    };
    let most = rows.iter().max_by(|a, b| a.damage.total_cmp(&b.damage));
    let most = named(most, |r| &r.damage_text);
    let count = |r: &damage::Row| r.caught_text.replace(',', "").parse::<f64>().unwrap_or(0.0);
    let catch = rows.iter().max_by(|a, b| count(a).total_cmp(&count(b)));
    let catch = catch.filter(|r| count(r) > 0.0);
    let pattern = match catch {
        Some(_) => "figure.damage.pattern",
        None => "figure.damage.pattern.none",
    };
    let catch = named(catch, |r| &r.caught_text);
    let state = [("state", story.state())];
    let caption = Caption {
        name: name.into(),
        title,
        alt: s.fill("figure.damage.alt", &state),
        levels: [
            s.get("figure.damage.level1").into(),
            numbers.join(" "),
            s.fill(pattern, &[("most", &most as &str), ("catch", &catch)]),
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

/// Most distances on a slide.
const MOST_DISTANCES: usize = 7;

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
    let parts = story.plan().fate?;
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
            story
                .pattern()
                .unwrap_or(s.get("figure.fate.explain"))
                .into(),
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
    let plan = scenario
        .plans
        .iter()
        .find(|p| p.name == story.plan().name)?;
    let near = plan.traps.first().and_then(|trap| {
        scenario
            .plants
            .iter()
            .filter(|p| scenario.crops[p.crop].owner == crate::scenario::Owner::Mine)
            .map(|p| p.at.distance(trap.at))
            .min_by(f64::total_cmp)
    });
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
            near.map_or_else(String::new, |m| {
                s.fill(
                    "figure.yard.level3",
                    &[("near", &feet_and_metres(m) as &str)],
                )
            }),
        ],
        header: ["figure.yard.thing", "figure.yard.east", "figure.yard.north"]
            .map(|k| s.get(k).to_owned())
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
