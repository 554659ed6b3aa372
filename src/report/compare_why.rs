//! Why the plans of a comparison come out as they do: traps, methods, males, neighbours, and what to do instead.

use crate::catalogue::Guild;
use crate::control::Action;
use crate::count::outcome::MatingAccount;
use crate::report::text::failing_trap;
use crate::report::words::{about, fold_to, instead as instead_of_traps, quoted};
use crate::say::{counted, say, voice};
use crate::scenario::{Owner, Plan, Role, Scenario};
use crate::stats::paired::{Class, PairedCount, Told};
use crate::stats::words::{listed, tenths, thousands};
use crate::study::compare::{CompareOutcome, PlanCompared};
use crate::study::finding::Better;
use std::cmp::Ordering;
use std::fmt::Write as _;

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
    let mut lines = Vec::new();
    for (plan, compared) in scenario.plans.iter().zip(&outcome.plans) {
        if plan.traps.is_empty() && plan.methods.is_empty() {
            continue;
        }
        let mut said: Vec<String> = Vec::new();
        for method in &plan.methods {
            of_method(&mut said, scenario, method);
        }
        if compared.removed_mean > 0.0 {
            let count = compared.removed_mean.max(1.0);
            let key = counted("reason.picked", count.round() as u64);
            let count = thousands(count);
            said.push(say!(&key, count, insects = scenario.pest.short));
        }
        if !plan.traps.is_empty() {
            let summers = outcome.run.summers;
            of_traps(&mut said, scenario, plan, (compared, summers));
        }
        lines.push(format!("- {}: {}", quoted(&plan.name), said.join(" ")));
    }
    lines
}

fn of_traps(
    said: &mut Vec<String>,
    scenario: &Scenario,
    plan: &Plan,
    (plan_is, summers): (&PlanCompared, u32),
) {
    let insects = &scenario.pest.short;
    if plan.traps.iter().all(|t| t.role == Role::TellsYou) {
        said.push(say!("reason.tells", insects));
    }
    let Some(ended) = plan_is.finding.reason else {
        said.push(say!("reason.no-answer", insects));
        return;
    };
    if scenario.pest.guild == Guild::EggLayer && males_only(scenario, plan) {
        said.push(say!("reason.males"));
        said.push(took(&plan_is.mating));
        return;
    }
    let [kept, landed, away] = ended.three();
    let each_summer = ended.answered as f64 / f64::from(summers.max(1));
    let count = thousands(each_summer.max(1.0));
    said.push(say!("reason.answered", insects, count));
    said.push(say!(&about(scenario, "reason.ended"), kept, landed, away));
    let key = match ended.lean() {
        Ordering::Greater => "reason.more-plants",
        Ordering::Less => "reason.more-trap",
        Ordering::Equal => return,
    };
    said.push(say!(&about(scenario, key)));
}

fn of_method(said: &mut Vec<String>, scenario: &Scenario, method: &crate::control::Method) {
    let crops = method.crops.iter().map(|c| scenario.crops[*c].name.clone());
    let crops = listed(&crops.collect::<Vec<_>>());
    said.push(say!("reason.method", what = method.describe(), crops));
    match &method.action {
        Action::Cover(cover) => {
            let leak = method
                .kind
                .values
                .get("leak")
                .map_or(0.0, crate::catalogue::Sourced::central);
            let body = &scenario.pest.values.body_width;
            let [low, high] = body.range.unwrap_or([body.value; 2]);
            let insects = &scenario.pest.short;
            said.push(if cover.mesh_mm > high {
                say!("reason.cover.none", insects)
            } else if cover.mesh_mm > low {
                say!("reason.cover.few", insects)
            } else {
                say!("reason.cover.leak", n = format!("{:.0}", 100.0 * leak))
            });
            let inside = |b: usize| method.crops.contains(&b);
            if scenario.sources.iter().any(|s| s.bed.is_some_and(inside)) {
                said.push(say!("reason.cover.locked-in"));
            }
            if cover.from_day > 0 {
                said.push(say!("reason.cover.late"));
            }
        }
        Action::Repellent(_) => said.push(say!("reason.repellent")),
        Action::TrapCrop(crop) if crop.clear_every_d.is_none() => {
            said.push(say!("reason.trap-crop"));
        }
        _ => {}
    }
}

/// How many of the males the traps took.
fn took(mating: &MatingAccount) -> String {
    let of_100 = 100.0 * mating.males_caught as f64 / (mating.males as f64).max(1.0);
    match of_100 {
        0.0 => say!("reason.took.none"),
        few if few < 1.0 => say!("reason.took.few"),
        n => say!("reason.took", n = format!("{n:.0}")),
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
    let mut lines = vec![say!("males.title")];
    let mated = |p: &PlanCompared| {
        let m = &p.mating;
        let of_100 = 100.0 * m.local_mated as f64 / m.local_females as f64;
        (m.local_females > 0).then(|| format!("{of_100:.0}"))
    };
    let before = outcome.plans.first().and_then(mated);
    for (plan, compared) in trapping {
        let m = &compared.mating;
        let mut said = vec![took(m)];
        said.push(match (mated(compared), &before) {
            (Some(now), Some(before)) => {
                let named = quoted(&outcome.plans[0].name);
                say!("males.mated", now, before, named)
            }
            _ => say!("males.no-females"),
        });
        said.push(if m.outside_mated > 0 {
            let count = thousands((m.outside_mated as f64 / n).max(1.0));
            say!("males.outside", count)
        } else {
            say!("males.outside.none")
        });
        lines.push(format!("- {}: {}", quoted(&plan.name), said.join(" ")));
    }
    let matings = scenario.pest.values.matings.central();
    let half = 1.0 - std::f64::consts::LN_2 / matings;
    if half > 0.0 {
        lines.push(say!("males.half", n = format!("{:.0}", 100.0 * half)));
    }
    lines
}

/// The method of the table that does best without a trap of the asker's, or what is usually done instead; `None` when
/// every trap helps.
pub(super) fn instead(scenario: &Scenario, outcome: &CompareOutcome) -> Option<String> {
    let failing = failing_trap(scenario, outcome.plans.iter().map(|p| &p.finding))?;
    let usual = instead_of_traps(scenario, voice());
    match failing.better {
        Some(Better { plan, of_all }) => {
            let compared = &outcome.plans[plan];
            Some(say!(
                if of_all {
                    "better.here.cost"
                } else {
                    "better.untrapped.cost"
                },
                named = quoted(&compared.name),
                after = format!("{:.1}", tenths(compared.finding.after())),
                minutes = thousands(compared.effort.minutes[1]),
                dollars = thousands(compared.effort.dollars[1])
            ))
        }
        None if usual.is_empty() => None,
        None => Some(say!("better.usual", usual)),
    }
}

/// One plot next door, line by line; the first line names it.
pub(super) fn next_door(scenario: &Scenario, outcome: &CompareOutcome, plot: usize) -> Vec<String> {
    let mut lines = vec![say!(
        "fence.next-door",
        named = quoted(&scenario.plots[plot].name)
    )];
    for (k, (plan, raw)) in outcome.plans.iter().zip(&outcome.run.plans).enumerate() {
        let (Some((count, change)), Some(damage)) = (plan.plots[plot], raw.plot_damage[plot])
        else {
            continue;
        };
        let (named, number) = (quoted(&plan.name), format!("{damage:.1}"));
        lines.push(if k == 0 {
            say!("fence.first", named, number)
        } else {
            let Told {
                more,
                same,
                less,
                of,
            } = count.told();
            let points = points(change);
            say!("fence.plan", named, number, points, more, same, less, of)
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
        None if k == 0 => outcome.plans[0].finding.after(),
        None => outcome.plans[k].finding.change.mean,
        Some(i) if k == 0 => first.plot_damage[i].unwrap_or(0.0),
        Some(i) => outcome.plans[k].plots[i].map_or(0.0, |(_, change)| change),
    };
    let lots: Vec<Option<usize>> = std::iter::once(None)
        .chain(grows.into_iter().map(Some))
        .collect();
    let mut columns: Vec<(String, Vec<f64>)> = Vec::new();
    let mut legend = Vec::new();
    for lot in &lots {
        let name = lot.map_or(voice().get("street.yours"), |i| {
            scenario.plots[i].name.as_str()
        });
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
        let heads = [voice().get("street.ends"), voice().get("street.between")];
        for (head, group) in heads.into_iter().zip([ends, between]) {
            let mean = |k: usize| {
                let sum: f64 = group.iter().map(|at| value(k, lots[*at])).sum();
                sum / group.len() as f64
            };
            columns.push((head.into(), (0..outcome.plans.len()).map(mean).collect()));
        }
    }
    let mut lines = Vec::new();
    for block in columns.chunks((80 - NAME) / LOT) {
        let mut line = format!("{:NAME$}", voice().get("street.title"));
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
    let guild = scenario.pest.guild;
    let (noun, verb) = (guild.damage_noun(), guild.damage_verb());
    let mut lines = vec![say!("street.rows", noun, verb)];
    for plan in outcome.plans.iter().skip(1) {
        let mut more = Vec::new();
        let mut less = Vec::new();
        let mut add = |lot: &str, count: &PairedCount| {
            let told = say!("street.lot", lot, n = count.leading(), of = count.told().of);
            match count.class() {
                Class::More => more.push(told),
                Class::Less => less.push(told),
                Class::NoChange | Class::EitherWay => {}
            }
        };
        add(voice().get("street.your-lot"), &plan.finding.count);
        for (plot, change) in scenario.plots.iter().zip(&plan.plots) {
            if let Some((count, _)) = change {
                add(&plot.name, count);
            }
        }
        let mut said = Vec::new();
        if !more.is_empty() {
            said.push(say!("street.more", lots = listed(&more)));
        }
        if !less.is_empty() {
            said.push(say!("street.less", lots = listed(&less)));
        }
        if said.is_empty() {
            said.push(say!("street.neither"));
        }
        lines.push(format!("- {}: {}", quoted(&plan.name), said.join(" ")));
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
