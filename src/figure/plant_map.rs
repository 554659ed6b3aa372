//! Maps of damage: one circle a plant, the mean of each plan side by side, and single summers beside the mean.

use crate::count::outcome::{PlanOutcome, RunOutcome};
use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, Words, picture, text_width};
use crate::figure::legend::{Circles, INNER, Scale, heading, heading_height};
use crate::figure::map::{self, View};
use crate::figure::palette::{INK, PAPER, Ramp, text_on};
use crate::figure::{
    Figure, Table, average_of, damage_words, headline, legend, mean_catch, round_up, whole,
};
use crate::scenario::{Owner, Plan, Scenario};
use crate::stats::words::thousands;

const GAP: f64 = 50.0;

/// Damage of each plant, mean of all summers, one panel a plan on one colour scale.
pub fn damage(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let target = scenario.pest.guild.target_noun();
    let words = damage_words(scenario);
    let largest = outcome
        .plans
        .iter()
        .flat_map(|p| &p.plant_damage)
        .fold(0.0, |a: f64, b| a.max(*b));
    let end = round_up(largest.max(5.0)).min(100.0);
    let title = format!(
        "Where {} get {}: {}",
        noun(scenario),
        verb(scenario),
        average_of(outcome)
    );
    let numbers = |p: &PlanOutcome| {
        let mut all = vec![format!("{} of 100 {words}", whole(headline(p)))];
        if !p.trap_catch.is_empty() {
            let catch = thousands(mean_catch(p));
            all.push(format!("{catch} {} caught", scenario.pest.short));
        }
        all
    };
    let meta = Words {
        name: "damage-map".into(),
        title: title.clone(),
        alt: format!(
            "Map of the yard, one panel a plan, with {words} for each {target}, to show where the plans differ."
        ),
        levels: damage_levels(scenario, outcome),
        table: damage_table(scenario, outcome),
    };
    picture(meta, |canvas| {
        let top = canvas.head(
            &title,
            &format!("Colors show the average; any one summer looks patchier. Numbers are {words} out of 100."),
        );
        let (columns, width) = map::grid(scenario, outcome.plans.len(), INNER, GAP);
        let head = outcome
            .plans
            .iter()
            .map(|p| heading_height(width, &p.name, &numbers(p)))
            .fold(0.0, f64::max);
        let mut y = top;
        let mut last = None;
        for row in outcome.plans.chunks(columns).enumerate() {
            let mut bottom = y;
            for (column, result) in row.1.iter().enumerate() {
                let index = row.0 * columns + column;
                let x = MARGIN + column as f64 * (width + GAP);
                heading(canvas, x, y, width, &result.name, &numbers(result));
                let view = View::new(scenario, x, y + head, width, 1300.0);
                let plan = scenario.plans.get(index);
                yard(canvas, &view, scenario, plan, &result.plant_damage, end);
                let crops: Vec<String> = result.crop_damage.iter().map(|d| whole(*d)).collect();
                map::labels(canvas, &view, scenario, plan, &crops);
                bottom = view.frame.3;
                last = Some(view);
            }
            y = bottom + 40.0;
        }
        let scale = Scale {
            ramp: Ramp::Damage,
            end,
            capped: false,
            title: &format!("{} out of 100, on each {target}", upper(&words)),
            low: &format!("few {words}"),
            high: &format!("many {words}"),
        };
        match last {
            Some(view) => legend::draw(canvas, y, scenario, &view, &scale, Circles::Filled) + 30.0,
            None => y,
        }
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
    map::ground(canvas, view, scenario);
    map::structures(canvas, view, scenario);
    for (plant, value) in scenario.plants.iter().zip(damage) {
        let radius = view.plant_radius(plant.canopy_m);
        let fill = if *value > 0.0 {
            Ramp::Damage.colour(value / end)
        } else {
            PAPER
        };
        canvas.disc(view.at(plant.at), radius, Some(fill), 3, INK);
        let text = format!("{value:.0}");
        // A number of two digits may be a little smaller, so that it does not go missing among those of one.
        let size = (SMALL * 1.7 * radius / text_width(&text, SMALL, false)).min(SMALL);
        if size >= 0.75 * SMALL && radius > 0.7 * SMALL {
            let pen = Pen::new(size)
                .anchored(Anchor::Middle)
                .coloured(text_on(fill));
            canvas.text(view.at(plant.at), &text, pen);
        }
    }
    if let Some(plan) = plan {
        map::traps(canvas, view, plan);
    }
}

fn damage_table(scenario: &Scenario, outcome: &RunOutcome) -> Table {
    let words = damage_words(scenario);
    let mut table = Table::with_header(&["plan", "crop", "plants"]);
    table.header.push(format!("{words} out of 100"));
    for plan in &outcome.plans {
        for (crop, damage) in scenario.crops.iter().zip(&plan.crop_damage) {
            table.rows.push(vec![
                plan.name.clone(),
                crop.name.clone(),
                crop.count.to_string(),
                whole(*damage),
            ]);
        }
    }
    table
}

fn damage_levels(scenario: &Scenario, outcome: &RunOutcome) -> [String; 3] {
    let target = scenario.pest.guild.target_noun();
    let words = damage_words(scenario);
    let mut numbers = Vec::new();
    for plan in &outcome.plans {
        let crops: Vec<String> = scenario
            .crops
            .iter()
            .zip(&plan.crop_damage)
            .map(|(c, d)| format!("{} {}", c.name, whole(*d)))
            .collect();
        numbers.push(format!(
            "{}: {} of 100 {words}. By crop: {}.",
            plan.name,
            whole(headline(plan)),
            crops.join(", ")
        ));
    }
    let mut pattern = Vec::new();
    if let Some((first, others)) = outcome.plans.split_first() {
        for plan in others {
            pattern.push(largest_change(scenario, first, plan));
        }
    }
    if pattern.is_empty() {
        pattern.push("There is one plan, so nothing is compared.".into());
    }
    [
        format!(
            "Each circle is a {target}. The darker it is, the more {words}. Triangles are traps."
        ),
        numbers.join(" "),
        pattern.join(" "),
    ]
}

/// Which crop changed most against the first plan.
fn largest_change(scenario: &Scenario, first: &PlanOutcome, plan: &PlanOutcome) -> String {
    let mut top: Option<(usize, f64)> = None;
    for (i, (before, after)) in first.crop_damage.iter().zip(&plan.crop_damage).enumerate() {
        let change = after - before;
        if top.is_none_or(|(_, t)| change.abs() > t.abs()) {
            top = Some((i, change));
        }
    }
    match top {
        Some((crop, change)) if change.abs() >= 0.5 => {
            let name = &scenario.crops[crop].name;
            let owner = if matches!(scenario.crops[crop].owner, Owner::Mine) {
                ""
            } else {
                " (next door)"
            };
            let way = if change > 0.0 { "rose" } else { "fell" };
            format!(
                "With {}, damage {way} most at {name}{owner}, by {:.0} in 100.",
                plan.name,
                change.abs()
            )
        }
        _ => format!("With {}, no crop changed by 1 in 100.", plan.name),
    }
}

/// The mean map and four single summers, one row a plan, all on one scale.
///
/// `None` when no single summers were kept.
pub fn single_summers(scenario: &Scenario, outcome: &RunOutcome) -> Option<Figure> {
    let target = scenario.pest.guild.target_noun();
    if outcome.plans.iter().all(|p| p.single_summers.is_empty()) {
        return None;
    }
    let words = damage_words(scenario);
    let singles = outcome
        .plans
        .iter()
        .flat_map(|p| &p.single_summers)
        .flat_map(|s| &s.plant_damage);
    let largest = outcome
        .plans
        .iter()
        .flat_map(|p| &p.plant_damage)
        .chain(singles)
        .fold(0.0, |a: f64, b| a.max(*b));
    let end = round_up(largest.max(5.0)).min(100.0);
    let title = format!(
        "No summer is average: four of {} simulated summers",
        thousands(f64::from(outcome.summers))
    );
    let mut table = Table::with_header(&["plan", "panel", "plant"]);
    table.header.push(format!("{words} out of 100"));
    for plan in &outcome.plans {
        for (panel, _, damage) in panels(plan) {
            for (i, value) in damage.iter().enumerate() {
                table.rows.push(vec![
                    plan.name.clone(),
                    panel.clone(),
                    (i + 1).to_string(),
                    format!("{value:.0}"),
                ]);
            }
        }
    }
    let meta = Words {
        name: "single-summers".into(),
        title: title.clone(),
        alt: format!(
            "Maps of {words}: the average beside four single summers, to show how much summers differ."
        ),
        levels: single_levels(scenario, outcome),
        table,
    };
    Some(picture(meta, |canvas| {
        let top = canvas.head(
            &title,
            &format!(
                "Each row is one plan. The first map is the average. The others are single summers, from mild to bad. \
                 The number is {words} out of 100."
            ),
        );
        let gap = 30.0;
        let columns = 1 + outcome
            .plans
            .iter()
            .map(|p| p.single_summers.len())
            .max()
            .unwrap_or(0);
        let width = (INNER - gap * (columns - 1) as f64) / columns as f64;
        let mut y = top;
        let mut last = None;
        for (index, plan) in outcome.plans.iter().enumerate() {
            y = canvas.paragraph(MARGIN, y, INNER, &plan.name, Pen::new(TEXT).bold()) + 4.0;
            let mut bottom = y;
            for (column, (panel, number, damage)) in panels(plan).into_iter().enumerate() {
                let panel = format!("{panel}: {number}");
                let x = MARGIN + column as f64 * (width + gap);
                canvas.text((x, y + 24.0), &panel, Pen::new(SMALL));
                let view = View::new(scenario, x, y + 54.0, width, 900.0);
                yard(
                    canvas,
                    &view,
                    scenario,
                    scenario.plans.get(index),
                    damage,
                    end,
                );
                bottom = bottom.max(view.frame.3);
                last = Some(view);
            }
            y = bottom + 36.0;
        }
        let scale = Scale {
            ramp: Ramp::Damage,
            end,
            capped: false,
            title: &format!("{} out of 100, on each {target}", upper(&words)),
            low: &format!("few {words}"),
            high: &format!("many {words}"),
        };
        match last {
            Some(view) => legend::draw(canvas, y, scenario, &view, &scale, Circles::Filled) + 30.0,
            None => y,
        }
    }))
}

/// The panels of a row: name, damage of the yard in words, and damage of each plant.
fn panels(plan: &PlanOutcome) -> Vec<(String, String, &[f64])> {
    let by_summer = &plan.damage_by_summer;
    let mean = by_summer.iter().sum::<f64>() / by_summer.len().max(1) as f64;
    let mut out = vec![(
        "average".to_owned(),
        whole(mean),
        plan.plant_damage.as_slice(),
    )];
    for single in &plan.single_summers {
        let damage = by_summer.get(single.summer as usize);
        out.push((
            format!("summer {}", single.summer + 1),
            damage.map_or_else(String::new, |d| whole(*d)),
            single.plant_damage.as_slice(),
        ));
    }
    out
}

fn single_levels(scenario: &Scenario, outcome: &RunOutcome) -> [String; 3] {
    let words = damage_words(scenario);
    let mut numbers = Vec::new();
    let mut pattern = Vec::new();
    for plan in &outcome.plans {
        let in_summer: Vec<String> = plan
            .single_summers
            .iter()
            .filter_map(|s| {
                let value = plan.damage_by_summer.get(s.summer as usize)?;
                Some(format!("summer {}: {}", s.summer + 1, whole(*value)))
            })
            .collect();
        numbers.push(format!(
            "{}, out of 100 {words}. {}.",
            plan.name,
            in_summer.join(", ")
        ));
        let values = || {
            plan.single_summers
                .iter()
                .filter_map(|s| plan.damage_by_summer.get(s.summer as usize))
        };
        let (low, high) = values().fold((f64::MAX, 0.0f64), |a, v| (a.0.min(*v), a.1.max(*v)));
        if low <= high {
            pattern.push(format!(
                "With {}, these summers run from {} to {}.",
                plan.name,
                whole(low),
                whole(high)
            ));
        }
    }
    [
        format!("Each row is a plan. Each map is a summer. The darker a circle, the more {words}."),
        numbers.join(" "),
        pattern.join(" "),
    ]
}

fn noun(scenario: &Scenario) -> &'static str {
    scenario.pest.guild.damage_noun()
}

fn verb(scenario: &Scenario) -> &'static str {
    scenario.pest.guild.damage_verb()
}

/// First letter in upper case.
pub(crate) fn upper(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
