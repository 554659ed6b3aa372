//! Maps of damage: one circle a plant, the mean of each plan side by side, and single summers beside the mean.

use crate::count::outcome::{PlanOutcome, RunOutcome};
use crate::figure::canvas::{Canvas, MARGIN, Pen, SMALL, Words, picture, text_width};
use crate::figure::labels::labels;
use crate::figure::legend::{Circles, INNER, Scale};
use crate::figure::map::{self, View, overlap, square};
use crate::figure::palette::{INK, PAPER, Ramp, text_on};
use crate::figure::{Figure, damage_words, joined, legend, mean_catch, round_up, whole};
use crate::say::say;
use crate::scenario::{Crop, Owner, Plan, Scenario};
use crate::stats::words::thousands;

/// Damage of each plant, mean of all summers, one panel a plan on one colour scale.
pub fn damage(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let state = damage_words(scenario);
    let end = end(outcome.plans.iter().flat_map(|p| &p.plant_damage));
    let numbers = |p: &PlanOutcome| {
        let n = whole(p.damage.mean);
        let mut all = vec![say!("figure.damage-map.of-100", n, state)];
        // What a neighbor's trap catches is not counted here.
        let plan = scenario.plans.iter().find(|plan| plan.name == p.name);
        if plan.is_some_and(Plan::hangs) {
            let (n, insects) = (thousands(mean_catch(p)), &scenario.pest.short);
            all.push(say!("figure.damage-map.caught", n, insects));
        }
        all
    };
    let guild = scenario.pest.guild;
    let gaps = [
        ("state", state.as_str()),
        ("noun", guild.damage_noun()),
        ("done", guild.damage_verb()),
        ("target", guild.target_noun()),
        ("summers", &thousands(f64::from(outcome.summers))),
    ];
    let told = [told(scenario, outcome, &state), pattern(scenario, outcome)];
    let meta = Words::of("damage-map", &gaps, told, rows(scenario, outcome));
    picture(meta, |canvas, top| {
        let plans = outcome.plans.iter();
        let plans: Vec<_> = plans.map(|p| (p.name.as_str(), numbers(p))).collect();
        let (y, last) = map::panels(canvas, top, scenario, &plans, |view, index| {
            let result = &outcome.plans[index];
            let plan = scenario.plans.get(index);
            yard(canvas, view, scenario, plan, &result.plant_damage, end);
            let crops = scenario.crops.iter().zip(&result.crop_damage);
            let crops: Vec<String> = crops.map(|(c, d)| number(c, whole(*d))).collect();
            labels(canvas, view, scenario, plan, (&crops, &[]))
        });
        key(canvas, y, scenario, last, end)
    })
}

/// A number of a crop; none for a trap crop, whose damage is not counted.
pub(super) fn number(crop: &Crop, number: String) -> String {
    if crop.trap_crop {
        String::new()
    } else {
        number
    }
}

/// End of the scale of colours: a round number that holds all values.
fn end<'a>(values: impl Iterator<Item = &'a f64>) -> f64 {
    round_up(values.fold(5.0, |a: f64, b| a.max(*b))).min(100.0)
}

/// The legend of a map of damage.
fn key(canvas: &Canvas, y: f64, scenario: &Scenario, last: Option<View>, end: f64) -> f64 {
    let (state, target) = (damage_words(scenario), scenario.pest.guild.target_noun());
    let scale = Scale {
        ramp: Ramp::Damage,
        end,
        capped: false,
        title: &say!("figure.damage-map.scale", state, target),
        low: &say!("figure.damage-map.few"),
        high: &say!("figure.damage-map.many"),
    };
    last.map_or(y, |view| {
        legend::draw(canvas, y, scenario, &view, &scale, Circles::Filled) + 30.0
    })
}

/// Yard with plants filled by damage.
fn yard(
    canvas: &Canvas,
    view: &View,
    scenario: &Scenario,
    plan: Option<&Plan>,
    damage: &[f64],
    end: f64,
) {
    map::base(canvas, view, scenario);
    let traps = plan.iter().flat_map(|p| &p.traps);
    let traps = traps.map(|t| square(view.at(t.at), view.trap_size()));
    let (frames, traps) = (view.plants(scenario), traps.collect::<Vec<_>>());
    for (i, (plant, value)) in scenario.plants.iter().zip(damage).enumerate() {
        let (at, radius) = (view.at(plant.at), view.plant_radius(plant.canopy_m));
        let fill = Some(value).filter(|v| **v > 0.0);
        let fill = fill.map_or(PAPER, |v| Ramp::Damage.colour(v / end));
        canvas.disc(at, radius, Some(fill), 3, INK);
        let text = format!("{value:.0}");
        // A number of two digits may be a little smaller, so that it does not go missing among those of one.
        let size = (SMALL * 1.7 * radius / text_width(&text, SMALL, false)).min(SMALL);
        let half = 0.5 * text_width(&text, size, false);
        let (x, y, high) = (at.0, at.1, 0.4 * size);
        let about = (x - half, y - high, x + half, y + high);
        // A number that something would cover is left to the table.
        let mut others = frames[i + 1..].iter().chain(&traps);
        let clear = others.all(|o| overlap(about, *o) <= 0.0);
        // Neither has one that is not counted, nor one that would read as none.
        let counts = !scenario.crops[plant.crop].trap_crop && (*value == 0.0 || *value >= 0.5);
        if counts && size >= 0.75 * SMALL && radius > 0.7 * SMALL && clear {
            let pen = Pen::new(size).middle();
            canvas.text(at, &text, pen.coloured(text_on(fill)));
        }
    }
    if let Some(plan) = plan {
        map::traps(canvas, view, scenario, plan);
    }
}

fn rows(scenario: &Scenario, outcome: &RunOutcome) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for plan in &outcome.plans {
        let crops = scenario.crops.iter().zip(&plan.crop_damage);
        for (crop, damage) in crops.filter(|(c, _)| !c.trap_crop) {
            rows.push(vec![
                plan.name.clone(),
                crop.name.clone(),
                crop.count.to_string(),
                whole(*damage),
            ]);
        }
    }
    rows
}

/// The damage of each plan, crop by crop.
fn told(scenario: &Scenario, outcome: &RunOutcome, state: &str) -> String {
    let plan = |plan: &PlanOutcome| {
        let crops = scenario.crops.iter().zip(&plan.crop_damage);
        let crops: Vec<String> = crops
            .filter(|(c, _)| !c.trap_crop)
            .map(|(c, d)| format!("{} {}", c.name, whole(*d)))
            .collect();
        let (n, list) = (whole(plan.damage.mean), crops.join(", "));
        say!("figure.damage-map.plan", plan = plan.name, n, state, list)
    };
    joined(outcome.plans.iter().map(plan))
}

/// Which crop changed most against the first plan.
fn pattern(scenario: &Scenario, outcome: &RunOutcome) -> String {
    let Some((first, others)) = outcome.plans.split_first().filter(|(_, o)| !o.is_empty()) else {
        return say!("figure.damage-map.alone");
    };
    let largest = |plan: &PlanOutcome| {
        let pairs = first.crop_damage.iter().zip(&plan.crop_damage);
        let changes = pairs.map(|(before, after)| after - before).enumerate();
        let top = changes.reduce(|a, b| if b.1.abs() > a.1.abs() { b } else { a });
        let plan = &plan.name;
        let Some((crop, change)) = top.filter(|(_, change)| change.abs() >= 0.5) else {
            return say!("figure.damage-map.flat", plan);
        };
        let (crop, n) = (&scenario.crops[crop], format!("{:.0}", change.abs()));
        let (mine, crop) = (crop.owner == Owner::Mine, &crop.name);
        match (change > 0.0, mine) {
            (true, true) => say!("figure.damage-map.rose", plan, crop, n),
            (true, false) => say!("figure.damage-map.rose.next-door", plan, crop, n),
            (false, true) => say!("figure.damage-map.fell", plan, crop, n),
            (false, false) => say!("figure.damage-map.fell.next-door", plan, crop, n),
        }
    };
    joined(others.iter().map(largest))
}

/// The mean map and four single summers, one row a plan, all on one scale.
///
/// `None` when no single summers were kept.
pub fn single_summers(scenario: &Scenario, outcome: &RunOutcome) -> Option<Figure> {
    if outcome.plans.iter().all(|p| p.single_summers.is_empty()) {
        return None;
    }
    let state = damage_words(scenario);
    let singles = outcome.plans.iter().flat_map(|p| &p.single_summers);
    let singles = singles.flat_map(|s| &s.plant_damage);
    let means = outcome.plans.iter().flat_map(|p| &p.plant_damage);
    let end = end(means.chain(singles));
    let mut rows = Vec::new();
    for plan in &outcome.plans {
        for (panel, _, damage) in panels(plan) {
            for (i, value) in damage.iter().enumerate() {
                let (number, value) = ((i + 1).to_string(), format!("{value:.0}"));
                rows.push(vec![plan.name.clone(), panel.clone(), number, value]);
            }
        }
    }
    let gaps = [
        ("state", state.as_str()),
        ("summers", &thousands(f64::from(outcome.summers))),
    ];
    let meta = Words::of("single-summers", &gaps, single_words(outcome, &state), rows);
    Some(picture(meta, |canvas, top| {
        let gap = 30.0;
        let columns = outcome.plans.iter().map(|p| p.single_summers.len() + 1);
        let columns = columns.max().unwrap_or(1);
        let width = (INNER - gap * (columns - 1) as f64) / columns as f64;
        let (mut y, mut last) = (top, None);
        for (index, plan) in outcome.plans.iter().enumerate() {
            y = canvas.paragraph(MARGIN, y, INNER, &plan.name, Pen::TEXT.bold()) + 4.0;
            let mut bottom = y;
            for (column, (panel, number, damage)) in panels(plan).into_iter().enumerate() {
                let x = MARGIN + column as f64 * (width + gap);
                let heading = format!("{panel}: {number}");
                canvas.text((x, y + 24.0), &heading, Pen::SMALL);
                let view = View::new(scenario, x, y + 54.0, width, 900.0);
                let plan = scenario.plans.get(index);
                yard(canvas, &view, scenario, plan, damage, end);
                bottom = bottom.max(view.frame.3);
                last = Some(view);
            }
            y = bottom + 36.0;
        }
        key(canvas, y, scenario, last, end)
    }))
}

/// The panels of a row: name, damage of the yard in words, and damage of each plant.
fn panels(plan: &PlanOutcome) -> Vec<(String, String, &[f64])> {
    let by_summer = &plan.damage_by_summer;
    let average = say!("figure.single-summers.average");
    let mut out = vec![(
        average,
        whole(plan.damage.mean),
        plan.plant_damage.as_slice(),
    )];
    for single in &plan.single_summers {
        let damage = by_summer.get(single.summer as usize);
        out.push((
            say!("figure.single-summers.summer", n = single.summer + 1),
            damage.map_or_else(String::new, |d| whole(*d)),
            single.plant_damage.as_slice(),
        ));
    }
    out
}

fn single_words(outcome: &RunOutcome, state: &str) -> [String; 2] {
    let (mut numbers, mut pattern) = (Vec::new(), Vec::new());
    for result in &outcome.plans {
        let plan = &result.name;
        let singles = result.single_summers.iter();
        let singles = singles.filter_map(|s| {
            let value = *result.damage_by_summer.get(s.summer as usize)?;
            Some((s.summer + 1, value))
        });
        let singles: Vec<(u32, f64)> = singles.collect();
        let list = singles.iter().map(|(n, value)| {
            let summer = say!("figure.single-summers.summer", n);
            format!("{summer}: {}", whole(*value))
        });
        let list = list.collect::<Vec<_>>().join(", ");
        numbers.push(say!("figure.single-summers.plan", plan, state, list));
        let ends = |(low, high): (f64, f64), v: &(u32, f64)| (low.min(v.1), high.max(v.1));
        let (low, high) = singles.iter().fold((f64::MAX, 0.0f64), ends);
        if low <= high {
            let (low, high) = (whole(low), whole(high));
            pattern.push(say!("figure.single-summers.run", plan, low, high));
        }
    }
    [numbers.join(" "), pattern.join(" ")]
}
