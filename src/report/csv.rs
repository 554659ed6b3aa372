//! Tidy tables: `plan,object,quantity,value,unit`, and grids `x_m,y_m,value`.

use crate::count::outcome::{GridMap, PlanOutcome, RunOutcome};
use crate::report::json::damage_unit;
use crate::scenario::Scenario;
use crate::stats::paired::PairedCount;
use crate::stats::quantile::dots;
use crate::stats::spread::mean;
use crate::study::finding::Finding;

/// A user's text as a cell: a leading sign that a spreadsheet would run as a formula is made harmless by an apostrophe.
pub fn harmless(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

pub(crate) fn write(rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer
            .write_record(&row)
            .expect("writing to memory cannot fail and every row is as long as the header");
    }
    let bytes = writer.into_inner().expect("writing to memory cannot fail");
    String::from_utf8(bytes).expect("text in, text out")
}

/// The numbers of a run, one a row; an absent number is an empty cell.
pub fn summary(scenario: &Scenario, outcome: &RunOutcome) -> String {
    let mut rows = vec![
        ["plan", "object", "quantity", "value", "unit"]
            .map(String::from)
            .to_vec(),
    ];
    let findings = Finding::all(scenario, outcome);
    for (i, plan) in outcome.plans.iter().enumerate() {
        let finding = findings.get(i).filter(|_| i > 0);
        for (object, quantity, value, unit) in plan_rows(scenario, plan, finding) {
            let value = value.map_or_else(String::new, |v| v.to_string());
            rows.push(vec![
                harmless(&plan.name),
                harmless(&object),
                quantity,
                value,
                unit,
            ]);
        }
    }
    write(rows)
}

type Row = (String, String, Option<f64>, String);

fn plan_rows(scenario: &Scenario, plan: &PlanOutcome, finding: Option<&Finding>) -> Vec<Row> {
    let unit = damage_unit(scenario);
    let yours = crate::report::words::yours(scenario);
    let mut rows: Vec<Row> = Vec::new();
    let mut add = |object: &str, quantity: &str, value: Option<f64>, unit: &str| {
        rows.push((
            object.to_owned(),
            quantity.to_owned(),
            value,
            unit.to_owned(),
        ));
    };
    add(yours, "damage mean", Some(plan.damage.mean), &unit);
    add(
        yours,
        "damage standard error",
        Some(plan.damage.error),
        &unit,
    );
    for (i, dot) in dots(&plan.damage_by_summer).iter().enumerate() {
        add(
            yours,
            &format!("damage dot {} of 20", i + 1),
            Some(*dot),
            &unit,
        );
    }
    if let Some(Finding { count, change, .. }) = finding {
        add(yours, "change mean", Some(change.mean), &unit);
        add(yours, "change standard error", Some(change.error), &unit);
        for (i, dot) in count.dots.iter().enumerate() {
            add(
                yours,
                &format!("change dot {} of 20", i + 1),
                Some(*dot),
                &unit,
            );
        }
        for (quantity, n, of) in counted(count) {
            add(yours, quantity, Some(n), &of);
        }
    }
    for (crop, damage) in scenario.crops.iter().zip(&plan.crop_damage) {
        add(&crop.name, "damage mean", Some(*damage), &unit);
    }
    for (plot, damage) in scenario.plots.iter().zip(&plan.plot_damage) {
        add(&plot.name, "damage mean", *damage, &unit);
    }
    for ring in &plan.rings {
        let object = format!("ring {}-{} m", ring.from_m, ring.to_m);
        add(&object, "damage mean", ring.damage, &unit);
        add(
            &object,
            "damage mean, first plan",
            ring.damage_without,
            &unit,
        );
        add(&object, "plants", Some(ring.n_plants as f64), "plants");
    }
    let catches: Vec<f64> = plan.caught_by_summer.iter().map(|c| *c as f64).collect();
    add(
        "traps",
        "catch mean",
        Some(mean(&catches)),
        "insects a summer",
    );
    add(
        "traps",
        "females in the catch",
        plan.female_share_of_catch,
        "share",
    );
    let traps = scenario
        .plans
        .iter()
        .find(|p| p.name == plan.name)
        .map_or(&[][..], |p| &p.traps);
    for (trap, catch) in traps.iter().zip(&plan.trap_catch) {
        add(&trap.name, "catch mean", Some(*catch), "insects a summer");
    }
    let i = &plan.insects;
    let account = [
        ("initial", i.initial),
        ("entered", i.entered),
        ("caught", i.caught),
        ("killed", i.killed),
        ("removed", i.removed),
        ("died", i.died),
        ("left", i.left),
        ("alive", i.alive),
    ];
    for (quantity, value) in account {
        add(
            "insects",
            quantity,
            Some(value as f64),
            "insects in all summers",
        );
    }
    let a = &plan.answers;
    let account = [
        ("answered", a.answered),
        ("caught", a.caught),
        ("landed on a plant", a.landed_on_plant),
        ("went away", a.went_away),
        ("unfinished", a.unfinished),
    ];
    for (quantity, value) in account {
        add(
            "answers to lures",
            quantity,
            Some(value as f64),
            "answers in all summers",
        );
    }
    rows
}

/// A grid, cell centres in metres from the yard's south-west corner.
pub fn grid(scenario: &Scenario, grid: &GridMap) -> String {
    let mut rows = vec![["x_m", "y_m", "value"].map(String::from).to_vec()];
    for (i, value) in grid.values.iter().enumerate() {
        let centre = |n: usize| (n as f64 + 0.5) * grid.cell_m;
        let x = scenario.yard.x0 + centre(i % grid.columns);
        let y = scenario.yard.y0 + centre(i / grid.columns);
        rows.push(vec![
            format!("{x:.4}"),
            format!("{y:.4}"),
            value.to_string(),
        ]);
    }
    write(rows)
}

/// Counts as rows of a table: what is counted, how many, and out of how many.
pub fn counted(count: &PairedCount) -> [(&'static str, f64, String); 3] {
    let told = count.told();
    let row = |quantity, n: usize| (quantity, n as f64, format!("summers of {}", told.of));
    [
        row("more damage", told.more),
        row("no change", told.same),
        row("less damage", told.less),
    ]
}
