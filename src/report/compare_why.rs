//! Why the plans of a comparison come out as they do: traps, methods, males, neighbours, and what to do instead.

use crate::catalogue::Guild;
use crate::control::Action;
use crate::count::outcome::AnswerAccount;
use crate::report::words::{best_plan, fold_to, instead as instead_of_traps};
use crate::say::voice;
use crate::scenario::{Owner, Plan, Role, Scenario};
use crate::stats::paired::Class;
use crate::stats::spread::of_100;
use crate::stats::words::{listed, thousands};
use crate::study::compare::{CompareOutcome, PlanCompared};
use std::fmt::Write as _;

/// A plan's name in quotes.
pub(super) fn quoted(name: &str) -> String {
    format!("\"{name}\"")
}

/// A change with its sign, one decimal; never "-0.0".
pub(super) fn points(change: f64) -> String {
    if change.abs() < 0.05 {
        "0.0".into()
    } else {
        format!("{change:+.1}")
    }
}

/// Whether a plan has a live trap whose lure calls males only.
fn males_only(scenario: &Scenario, plan: &Plan) -> bool {
    plan.traps
        .iter()
        .any(|t| t.strength > 0.0 && scenario.lures[t.lure].values.female_response.highest() <= 0.0)
}

/// One line for each plan that does something.
pub(super) fn reasons(scenario: &Scenario, outcome: &CompareOutcome) -> Vec<String> {
    let short = &scenario.pest.short;
    let plans = scenario
        .plans
        .iter()
        .zip(&outcome.plans)
        .zip(&outcome.run.plans);
    let mut lines = Vec::new();
    for ((plan, compared), raw) in plans {
        if plan.traps.is_empty() && plan.methods.is_empty() {
            continue;
        }
        let mut text = format!("- {}:", quoted(&plan.name));
        for method in &plan.methods {
            let _ = write!(text, " {}", of_method(scenario, method));
        }
        if compared.removed_mean > 0.0 {
            let _ = write!(
                text,
                " About {} {short} were picked or cleared a summer.",
                thousands(compared.removed_mean.max(1.0))
            );
        }
        if !plan.traps.is_empty() {
            text.push_str(&of_traps(
                scenario,
                plan,
                (compared, outcome.run.summers),
                &raw.answers,
            ));
        }
        lines.push(text);
    }
    lines
}

fn of_traps(
    scenario: &Scenario,
    plan: &Plan,
    (plan_is, summers): (&PlanCompared, u32),
    a: &AnswerAccount,
) -> String {
    let short = &scenario.pest.short;
    let mut text = String::new();
    if plan.traps.iter().all(|t| t.role == Role::TellsYou) {
        let _ = write!(
            text,
            " Such a trap tells you when {short} fly. It is not meant to stop them."
        );
    }
    if a.answered == 0 {
        let _ = write!(text, " No {short} answered the lure.");
        return text;
    }
    if scenario.pest.guild == Guild::EggLayer && males_only(scenario, plan) {
        let m = &plan_is.mating;
        let _ = write!(
            text,
            " The lure calls males, and males lay no eggs. The traps took {}.",
            share(m.males_caught, m.males, "males")
        );
        return text;
    }
    let parts = of_100(&[a.caught, a.landed_on_plant, a.went_away + a.unfinished]);
    let on = if scenario.pest.guild == Guild::Visitor {
        "at the table"
    } else {
        "on a plant"
    };
    let each_summer = a.answered as f64 / f64::from(summers.max(1));
    let _ = write!(
        text,
        " {} answered a lure about {} times a summer.",
        crate::say::capital(short),
        thousands(each_summer.max(1.0))
    );
    let _ = write!(
        text,
        " Of 100 answers to a lure {} ended in a trap, {} {on}, {} elsewhere.",
        parts[0], parts[1], parts[2]
    );
    // The account bears a comparison of where they ended, and nothing else.
    if parts[1] > parts[0] {
        let _ = write!(text, " More came down {on} than into a trap.");
    } else if parts[0] > parts[1] {
        let _ = write!(text, " More ended in a trap than {on}.");
    }
    text
}

fn of_method(scenario: &Scenario, method: &crate::control::Method) -> String {
    let crops: Vec<String> = method
        .crops
        .iter()
        .map(|c| scenario.crops[*c].name.clone())
        .collect();
    let mut text = format!("{} ({}).", method.describe(), listed(&crops));
    match &method.action {
        Action::Cover(cover) => {
            let leak = method
                .kind
                .values
                .get("leak")
                .map_or(0.0, crate::catalogue::Sourced::central);
            let body = &scenario.pest.values.body_width;
            let [low, high] = body.range.unwrap_or([body.value; 2]);
            let short = &scenario.pest.short;
            let _ = if cover.mesh_mm > high {
                write!(
                    text,
                    " All {short} are narrower than the holes, so it stops none."
                )
            } else if cover.mesh_mm > low {
                write!(
                    text,
                    " Some {short} are narrower than the holes: it may stop few."
                )
            } else {
                write!(
                    text,
                    " About {:.0} of 100 that try get in by gaps.",
                    100.0 * leak
                )
            };
            let inside = |b: usize| method.crops.contains(&b);
            if scenario.sources.iter().any(|s| s.bed.is_some_and(inside)) {
                text.push_str(
                    " Those that come out of this bed are locked in: change the bed next year.",
                );
            }
            if cover.from_day > 0 {
                text.push_str(" What came before it went on stays inside.");
            }
        }
        Action::Repellent(_) => text.push_str(" No trial stands behind it: a guess."),
        Action::TrapCrop(crop) if crop.clear_every_d.is_none() => {
            text.push_str(" Nobody clears it, so it feeds the pest.");
        }
        _ => {}
    }
    text
}

fn share(part: u64, whole: u64, of: &str) -> String {
    if whole == 0 || part == 0 {
        format!("none of the {of}")
    } else {
        let of_100 = 100.0 * part as f64 / whole as f64;
        if of_100 < 1.0 {
            format!("fewer than 1 of 100 {of}")
        } else {
            format!("about {of_100:.0} of 100 {of}")
        }
    }
}

/// Why a trap full of males need not save fruit; empty when no plan traps males only.
pub(super) fn males(scenario: &Scenario, outcome: &CompareOutcome) -> Vec<String> {
    let n = f64::from(outcome.run.summers);
    let trapping: Vec<(&Plan, &PlanCompared)> = scenario
        .plans
        .iter()
        .zip(&outcome.plans)
        .filter(|(plan, compared)| compared.mating.males > 0 && males_only(scenario, plan))
        .collect();
    if trapping.is_empty() {
        return Vec::new();
    }
    let mut lines = vec!["Why a trap full of males need not save fruit:".to_owned()];
    let mated = |p: &PlanCompared| {
        let m = &p.mating;
        if m.local_females == 0 {
            None
        } else {
            Some(format!(
                "{:.0}",
                100.0 * m.local_mated as f64 / m.local_females as f64
            ))
        }
    };
    let before = outcome.plans.first().and_then(mated);
    for (plan, compared) in trapping {
        let m = &compared.mating;
        let mut text = format!(
            "- {}: the traps took {}.",
            quoted(&plan.name),
            share(m.males_caught, m.males, "males")
        );
        match (mated(compared), &before) {
            (Some(now), Some(before)) => {
                let _ = write!(
                    text,
                    " Of 100 females that grew up here {now} mated; {before} in {}.",
                    quoted(&outcome.plans[0].name)
                );
            }
            _ => text.push_str(" No females grew up here."),
        }
        if m.outside_mated > 0 {
            let _ = write!(
                text,
                " And {} mated females came in from outside, which no such trap stops.",
                thousands((m.outside_mated as f64 / n).max(1.0))
            );
        } else {
            text.push_str(" No mated females came in from outside.");
        }
        lines.push(text);
    }
    let matings = scenario.pest.values.matings.central();
    let half = 1.0 - std::f64::consts::LN_2 / matings;
    if half > 0.0 {
        lines.push(format!(
            "Each male left can mate many females. Half of the females here would stay unmated only if traps took about {:.0} of 100 males.",
            100.0 * half
        ));
    }
    lines
}

/// The method of the table that does best without a trap of the asker's, or what is usually done instead; `None` when
/// every trap helps.
pub(super) fn instead(scenario: &Scenario, outcome: &CompareOutcome) -> Option<String> {
    let hangs = |p: &Plan| p.traps.iter().any(|t| !t.neighbours);
    let any_trap_fails = scenario
        .plans
        .iter()
        .zip(&outcome.plans)
        .skip(1)
        .any(|(plan, compared)| hangs(plan) && compared.count.class() != Class::Less);
    if !any_trap_fails {
        return None;
    }
    let each = outcome.plans.iter();
    let found: Vec<(Class, f64)> = each.map(|p| (p.count.class(), p.damage_mean)).collect();
    let usual = instead_of_traps(scenario, voice());
    match best_plan(scenario, &found) {
        Some(best) => {
            let compared = &outcome.plans[best];
            Some(format!(
                "Better here: {}. It leaves {:.1} of 100, for about {} minutes and ${}.",
                quoted(&compared.name),
                compared.damage_mean,
                thousands(compared.effort.minutes[1]),
                thousands(compared.effort.dollars[1])
            ))
        }
        None if usual.is_empty() => None,
        None => Some(format!("Instead: {usual}.")),
    }
}

/// One plot next door, line by line; the first line names it.
pub(super) fn next_door(scenario: &Scenario, outcome: &CompareOutcome, plot: usize) -> Vec<String> {
    let mut lines = vec![format!(
        "Next door, {}:",
        quoted(&scenario.plots[plot].name)
    )];
    for (k, (plan, raw)) in outcome.plans.iter().zip(&outcome.run.plans).enumerate() {
        let (Some((count, change)), Some(damage)) = (plan.plots[plot], raw.plot_damage[plot])
        else {
            continue;
        };
        lines.push(if k == 0 {
            format!("- {}: {damage:.1} of 100.", quoted(&plan.name))
        } else {
            let ([more, same, less], of) = count.told();
            format!(
                "- {}: {damage:.1} of 100 ({}); more {more} of {of}, no change {same}, less {less}.",
                quoted(&plan.name),
                points(change),
            )
        });
    }
    lines
}

/// Widths of the street table: name of a plan, one lot.
const NAME: usize = 24;
const LOT: usize = 8;

/// Damage of the first plan and change under every other, one column a lot; at most 80 characters a line.
///
/// Where four lots or more stand in a row, two more columns give the mean of the two ends and of those between.
pub(super) fn street(scenario: &Scenario, outcome: &CompareOutcome) -> Vec<String> {
    let first = &outcome.run.plans[0];
    let grows: Vec<usize> = (0..scenario.plots.len())
        .filter(|i| first.plot_damage[*i].is_some())
        .collect();
    let value = |k: usize, lot: Option<usize>| match lot {
        None if k == 0 => outcome.plans[0].damage_mean,
        None => outcome.plans[k].difference_mean,
        Some(i) if k == 0 => first.plot_damage[i].unwrap_or(0.0),
        Some(i) => outcome.plans[k].plots[i].map_or(0.0, |(_, change)| change),
    };
    let lots: Vec<Option<usize>> = std::iter::once(None)
        .chain(grows.into_iter().map(Some))
        .collect();
    let mut columns: Vec<(String, Vec<f64>)> = Vec::new();
    let mut legend = Vec::new();
    for lot in &lots {
        let name = lot.map_or("yours", |i| scenario.plots[i].name.as_str());
        let head = if name.chars().count() < LOT {
            name.to_owned()
        } else {
            legend.push(format!("[{}] {name}", legend.len() + 1));
            format!("[{}]", legend.len())
        };
        columns.push((
            head,
            (0..outcome.plans.len()).map(|k| value(k, *lot)).collect(),
        ));
    }
    if let Some([ends, between]) = ends_of_the_street(scenario, &lots) {
        for (head, group) in [("ends", ends), ("between", between)] {
            let mean = |k: usize| {
                let sum: f64 = group.iter().map(|at| value(k, lots[*at])).sum();
                sum / group.len() as f64
            };
            columns.push((head.into(), (0..outcome.plans.len()).map(mean).collect()));
        }
    }
    let mut lines = Vec::new();
    for block in columns.chunks((80 - NAME) / LOT) {
        let mut line = format!("{:NAME$}", "lot by lot");
        for (head, _) in block {
            let _ = write!(line, "{head:>LOT$}");
        }
        lines.push(line);
        for (k, plan) in outcome.plans.iter().enumerate() {
            let mut names = fold_to(&plan.name, NAME - 1);
            let mut line = format!("{:NAME$}", names.remove(0));
            for (_, values) in block {
                let cell = if k == 0 {
                    format!("{:.1}", values[k])
                } else {
                    points(values[k])
                };
                let _ = write!(line, "{cell:>LOT$}");
            }
            lines.push(line);
            lines.extend(names.into_iter().map(|rest| format!("  {rest}")));
        }
    }
    for line in legend {
        lines.extend(crate::report::words::fold(&line, 2));
    }
    lines
}

/// What the street table says, in words.
pub(super) fn street_words(scenario: &Scenario, outcome: &CompareOutcome) -> Vec<String> {
    let noun = format!(
        "{} {}",
        scenario.pest.guild.damage_noun(),
        scenario.pest.guild.damage_verb()
    );
    let mut lines = vec![format!(
        "The first row is {noun} of 100. The rows below are the change from it, on the same summers."
    )];
    for plan in outcome.plans.iter().skip(1) {
        let mut more = Vec::new();
        let mut less = Vec::new();
        let mut add = |name: &str, count: &crate::stats::paired::PairedCount| {
            let told = format!("{name} ({} of {})", count.leading(), count.told().1);
            match count.class() {
                Class::More => more.push(told),
                Class::Less => less.push(told),
                Class::NoChange | Class::EitherWay => {}
            }
        };
        add("your lot", &plan.count);
        for (plot, change) in scenario.plots.iter().zip(&plan.plots) {
            if let Some((count, _)) = change {
                add(&plot.name, count);
            }
        }
        let mut text = format!("- {}:", quoted(&plan.name));
        if !more.is_empty() {
            let _ = write!(text, " more damage in {}.", listed(&more));
        }
        if !less.is_empty() {
            let _ = write!(text, " less damage in {}.", listed(&less));
        }
        if more.is_empty() && less.is_empty() {
            text.push_str(" no lot clearly changes to one side.");
        }
        lines.push(text);
    }
    lines
}

/// Places in `lots` of the two ends of a street and of those between; `None` for fewer than four lots in a row.
fn ends_of_the_street(scenario: &Scenario, lots: &[Option<usize>]) -> Option<[Vec<usize>; 2]> {
    if lots.len() < 4 {
        return None;
    }
    let middle = |lot: &Option<usize>| {
        let area = lot.map_or(&scenario.yard, |i| &scenario.plots[i].area);
        (
            f64::midpoint(area.x0, area.x1),
            f64::midpoint(area.y0, area.y1),
        )
    };
    let spread = |of: &dyn Fn((f64, f64)) -> f64| {
        let all = lots.iter().map(|lot| of(middle(lot)));
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
            (a.min(v), b.max(v))
        });
        high - low
    };
    let (wide, deep) = (spread(&|m| m.0), spread(&|m| m.1));
    let along: &dyn Fn((f64, f64)) -> f64 = if wide >= deep { &|m| m.0 } else { &|m| m.1 };
    // Lots in two rows have no plain ends.
    if wide.min(deep) > 0.25 * wide.max(deep) {
        return None;
    }
    let mut order: Vec<usize> = (0..lots.len()).collect();
    order.sort_by(|a, b| along(middle(&lots[*a])).total_cmp(&along(middle(&lots[*b]))));
    let last = order.len() - 1;
    Some([vec![order[0], order[last]], order[1..last].to_vec()])
}

/// Whether a neighbour grows anything, so that there is something to tell.
pub(super) fn plots_that_grow(scenario: &Scenario) -> Vec<usize> {
    (0..scenario.plots.len())
        .filter(|i| {
            scenario
                .crops
                .iter()
                .any(|c| c.owner == Owner::Neighbour(*i))
        })
        .collect()
}
