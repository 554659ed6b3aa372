//! The files and the terminal text of a comparison.

use crate::catalogue::{flag_of, nothing_known, says_of};
use crate::count::outcome::Standing;
use crate::report::compare_data::{self, per_10_saved};
use crate::report::compare_why as why;
use crate::report::figure_files;
use crate::report::lines::Lines;
use crate::report::provenance::{self, Facts};
use crate::report::text::eaten;
use crate::report::words::{
    became, behind, found, give_or_take, quoted, simulated, still_open, theirs, yours,
};
use crate::say::{counted, say, voice};
use crate::scenario::{Plan, Scenario};
use crate::stats::components::Components;
use crate::stats::paired::{Class, Told};
use crate::stats::words::{PAIRS_FOR_A_WORD, listed, tenths, thousands};
use crate::study::compare::{CompareOutcome, PlanCompared};
use crate::study::spread::{PlanSpread, pairing_ceiling};
use std::fmt::Write as _;
use why::points;

/// All files of a comparison with their names, in a fixed order; the manifest comes last.
pub fn files(
    scenario: &Scenario,
    outcome: &CompareOutcome,
    facts: &Facts,
) -> Vec<(String, Vec<u8>)> {
    let mut files = figure_files(|| crate::figure::of_compare(scenario, outcome));
    let names = super::picture_names(&files);
    let text = text(scenario, outcome, &names);
    files.insert(0, ("compare.txt".into(), text.into_bytes()));
    files.push((
        "compare.json".into(),
        compare_data::json(scenario, outcome).into_bytes(),
    ));
    files.push((
        "compare.csv".into(),
        compare_data::csv(scenario, outcome).into_bytes(),
    ));
    let against = outcome.plans.first().map_or("", |p| &p.name);
    let manifest = provenance::of_run(scenario, &outcome.run, facts, &files);
    files.push(manifest.with("against", against).file());
    files
}

/// The text, lines of at most 80 columns: sentence, table, pictures, reasons, cautions, repeat line, and the numbers behind
/// it.
pub fn text(scenario: &Scenario, outcome: &CompareOutcome, pictures: &[String]) -> String {
    let mut out = Lines::default();
    if let Some(warning) = crate::report::words::invented(scenario) {
        out.say(warning);
    }
    bottom_line(&mut out, scenario, outcome);
    table(&mut out, scenario, outcome);
    if !pictures.is_empty() {
        out.gap();
        out.say(&crate::report::words::pictures(pictures));
    }
    sentences(&mut out, scenario, outcome);
    reasons(&mut out, scenario, outcome);
    over_the_fence(&mut out, scenario, outcome);
    seasons(&mut out, scenario, outcome);
    costs(&mut out, scenario, outcome);
    if let Some(parts) = &outcome.spread {
        spread(&mut out, parts);
    }
    out.cautions(scenario, &scenario.warnings);
    out.say(&simulated(outcome.run.summers, scenario.settings.tie_band));
    out.say_all(give_or_take(&outcome.run));
    out.say(&crate::report::words::repeat(provenance::Manifest::NAME));
    out.details();
    out.say_all(behind(scenario, &outcome.run));
    out.gap();
    pairing(&mut out, scenario, outcome);
    out.text()
}

/// Plans by what their counts say: less damage, more damage, no change, either way.
fn sorted(outcome: &CompareOutcome) -> [Vec<&PlanCompared>; 4] {
    let mut classes: [Vec<&PlanCompared>; 4] = Default::default();
    for plan in outcome.plans.iter().skip(1) {
        let class = match plan.finding.class() {
            Class::Less => 0,
            Class::More => 1,
            Class::NoChange => 2,
            Class::EitherWay => 3,
        };
        classes[class].push(plan);
    }
    classes
}

fn bottom_line(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let first = outcome.plans.first().map_or("", |p| p.name.as_str());
    let preview = outcome.run.standing() == Standing::Preview;
    let heads = if (outcome.run.summers as usize) < PAIRS_FOR_A_WORD {
        [
            "compare.so-far.less",
            "compare.so-far.more",
            "compare.so-far.same",
            "compare.so-far.either",
        ]
    } else {
        [
            "compare.less",
            "compare.more",
            "compare.same",
            "compare.either",
        ]
    };
    let key = if preview {
        counted("compare.against.preview", u64::from(outcome.run.summers))
    } else {
        "compare.against".to_owned()
    };
    let summers = thousands(f64::from(outcome.run.summers));
    out.say(&say!(&key, named = quoted(first), summers));
    out.say_all(theirs(scenario));
    for (head, plans) in heads.into_iter().zip(sorted(outcome)) {
        // Where fewer than half of the summers lead, the head says so.
        let some = format!("{head}.some");
        let few = |p: &&PlanCompared| {
            let count = &p.finding.count;
            voice().has(&some) && 2 * count.leading() < count.told().of
        };
        let (few, most): (Vec<_>, Vec<_>) = plans.into_iter().partition(few);
        for (head, plans) in [(head, most), (&some, few)] {
            let names: Vec<String> = plans.iter().map(|p| quoted(&p.name)).collect();
            if !names.is_empty() {
                out.say(&say!(head, plans = listed(&names)));
            }
        }
    }
    if let Some(open) = still_open(&outcome.run) {
        out.say(&open);
    }
    out.say(voice().get("caution.forecast"));
}

/// Widths: plan, damage, change, more, same, less, taken, minutes, dollars, flag; 80 in all.
fn table(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    const NAME: usize = 27;
    let guild = scenario.pest.guild;
    let flags = flags(outcome);
    out.gap();
    let mut columns = voice().get("compare.columns").split('/');
    let mut column = || columns.next().unwrap_or_default();
    let mut head = format!("{:NAME$}", column());
    for width in [7, 7, 6, 5, 5, 7, 6, 5, 5] {
        let _ = write!(head, "{:>width$}", column());
    }
    out.0.push(head);
    for (i, plan) in outcome.plans.iter().enumerate() {
        let Told {
            more, same, less, ..
        } = plan.finding.count.told();
        let first = i == 0;
        let change = if first {
            "-".to_string()
        } else {
            points(plan.finding.change.mean)
        };
        let told = |n: usize| if first { "-".into() } else { n.to_string() };
        let taken = plan.caught_mean + plan.removed_mean + plan.killed_mean;
        let letters: String = plan
            .flags
            .iter()
            .filter_map(|f| letter(&flags, f))
            .collect();
        let letters = if letters.is_empty() {
            "-".into()
        } else {
            letters
        };
        let mut names = crate::report::words::fold_to(&plan.name, NAME - 1);
        let name = names.remove(0);
        out.0.push(format!(
            "{name:NAME$}{:>7.1}{change:>7}{:>6}{:>5}{:>5}{:>7}{:>6.0}{:>5.0}{letters:>5}",
            tenths(plan.finding.after()),
            told(more),
            told(same),
            told(less),
            thousands(taken),
            plan.effort.minutes[1],
            plan.effort.dollars[1],
        ));
        for rest in names {
            out.0.push(format!("  {rest}"));
        }
    }
    out.say(&say!(
        "compare.legend",
        noun = guild.damage_noun(),
        verb = guild.damage_verb(),
        yours = yours(scenario),
        of = outcome
            .plans
            .last()
            .map_or(0, |p| p.finding.count.told().of),
        insects = scenario.pest.short,
        days = scenario.window.days
    ));
    for (i, flag) in flags.iter().enumerate() {
        let mark = char::from(b'a' + i as u8);
        let reason = flag_reason(scenario, flag);
        out.say(&say!("compare.flag", mark, flag, reason));
    }
}

fn letter(flags: &[String], flag: &str) -> Option<char> {
    let at = flags.iter().position(|f| f == flag)?;
    Some(char::from(b'a' + at as u8))
}

/// Flags that say something, in the order of the plans.
fn flags(outcome: &CompareOutcome) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for flag in outcome.plans.iter().flat_map(|p| &p.flags) {
        if flag != nothing_known() && !all.contains(flag) {
            all.push(flag.clone());
        }
    }
    all
}

fn flag_reason(scenario: &Scenario, flag: &str) -> String {
    let methods = scenario.plans.iter().flat_map(|p| &p.methods);
    let found = methods
        .filter(|m| m.flag() == flag)
        .map(|m| m.kind.flag_reason.clone())
        .next();
    let mut reasons: Vec<String> = found.into_iter().collect();
    for trap in scenario.plans.iter().flat_map(Plan::own_traps) {
        let (kind, lure) = (&scenario.trap_kinds[trap.kind], &scenario.lures[trap.lure]);
        let says = says_of(kind, lure);
        if flag_of(kind, lure) == flag && !reasons.contains(&says) {
            reasons.push(says);
        }
    }
    reasons.join(" ")
}

fn sentences(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.gap();
    for plan in outcome.plans.iter().skip(1) {
        let between = became(&plan.finding, outcome.run.summers);
        let named = quoted(&plan.name);
        out.say(&found(scenario, &named, &plan.finding, Some(between)));
    }
    if let Some(line) = eaten(&outcome.run) {
        out.say(&line);
    }
}

fn reasons(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.gap();
    out.say(voice().get("compare.why"));
    for line in why::reasons(scenario, outcome) {
        out.say(&line);
    }
    let males = why::males(scenario, outcome);
    if !males.is_empty() {
        out.gap();
    }
    for line in males {
        out.say(&line);
    }
    if let Some(line) = why::instead(scenario, outcome) {
        out.gap();
        out.say(&line);
    }
}

fn over_the_fence(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let plots = why::plots_that_grow(scenario);
    let lines = match plots[..] {
        [] => return,
        [one] => why::next_door(scenario, outcome, one),
        _ => {
            out.gap();
            out.0.extend(why::street(scenario, outcome));
            why::street_words(scenario, outcome)
        }
    };
    if plots.len() == 1 {
        out.gap();
    }
    for line in lines {
        out.say(&line);
    }
}

fn seasons(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let Some(seasons) = &outcome.seasons else {
        return;
    };
    out.gap();
    out.say(&say!(
        "compare.seasons",
        n = seasons.seasons,
        repeats = seasons.repeats
    ));
    for plan in &seasons.plans {
        let course = plan.insects_of_100.iter().map(|v| format!("{v:.0}"));
        out.say(&say!(
            "compare.seasons.plan",
            named = quoted(&plan.name),
            course = course.collect::<Vec<_>>().join(" -> "),
            factor = format!("{:.2}", plan.factor)
        ));
    }
    out.say(&if scenario.seasons.arrivals > 0.0 {
        let n = format!("{:.0}", 100.0 * scenario.seasons.arrivals);
        say!("compare.seasons.arrive", n)
    } else {
        say!("compare.seasons.closed")
    });
}

fn costs(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let mut lines = Vec::new();
    for (plan, compared) in scenario.plans.iter().zip(&outcome.plans) {
        let effort = &compared.effort;
        let Some(dollars) = per_10_saved(scenario, compared, effort.dollars[1]) else {
            continue;
        };
        let minutes = per_10_saved(scenario, compared, effort.minutes[1]).unwrap_or(0.0);
        let own = plan.own_cost[0].is_some() || plan.own_cost[1].is_some();
        lines.push(say!(
            if own {
                "compare.cost.own"
            } else {
                "compare.cost.assumed"
            },
            named = quoted(&compared.name),
            dollars = thousands(dollars),
            minutes = thousands(minutes),
            least = thousands(effort.dollars[0]),
            dearest = thousands(effort.dollars[2]),
            low = thousands(effort.minutes[0]),
            high = thousands(effort.minutes[2])
        ));
    }
    if lines.is_empty() {
        return;
    }
    out.gap();
    out.say(&say!(
        "compare.cost",
        noun = scenario.pest.guild.damage_noun()
    ));
    out.say_all(lines);
}

/// What luck and what is unknown do, where it was asked for.
fn spread(out: &mut Lines, spread: &[PlanSpread]) {
    out.gap();
    out.say(voice().get("compare.spread"));
    let both = |key: &str, named: &str, parts: &Components| {
        let [luck, unknown] =
            [parts.within, parts.between].map(|variance| format!("{:.1}", variance.sqrt()));
        say!(key, named, luck, unknown)
    };
    for plan in spread {
        let named = quoted(&plan.name);
        let mut said = vec![both("compare.spread.damage", &named, &plan.damage)];
        let change = plan.change.iter();
        said.extend(change.map(|change| both("compare.spread.change", &named, change)));
        out.say(&said.join("; "));
    }
    out.say(voice().get("compare.spread.shrinks"));
}

/// How many times: large factors have no meaning beyond "very".
fn times(factor: f64) -> String {
    if factor >= 1000.0 {
        say!("detail.pairing.huge")
    } else {
        format!("{factor:.1}")
    }
}

/// How much the same summers for all plans are worth, for those who asked for the details.
fn pairing(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.say(voice().get("detail.technical"));
    let in_turn = scenario
        .kept_sets
        .as_ref()
        .map(crate::scenario::biology::KeptSets::len);
    if let Some(sets) = in_turn {
        out.say(&say!("detail.in-all", sets = thousands(sets as f64)));
    }
    let in_all = |factor: String, cut: Option<f64>| match cut.filter(|_| in_turn.is_some()) {
        Some(cut) => say!("detail.pairing.all", factor, cut = times(cut)),
        None => factor,
    };
    for plan in outcome.plans.iter().skip(1) {
        let factor = match (plan.pairing_factor.map(times), plan.pairing_limit) {
            (None, _) => say!("detail.pairing.none"),
            (Some(factor), Some(limit)) => {
                say!("detail.pairing.limit", factor, limit = times(limit))
            }
            (Some(factor), None) => say!("detail.pairing.times", factor),
        };
        let mean = if plan.finding.change.mean.abs() < 0.005 {
            "0.00".to_owned()
        } else {
            format!("{:+.2}", plan.finding.change.mean)
        };
        let mut said = vec![say!(
            "detail.pairing",
            named = quoted(&plan.name),
            mean,
            error = format!("{:.2}", plan.finding.change.error),
            factor = in_all(factor, plan.variance_cut)
        )];
        if !plan.finding.word.settled {
            said.push(say!("detail.milder"));
        }
        out.say(&said.join(" "));
    }
    if let Some(all) = outcome.pairing_overall {
        let factor = say!("detail.pairing.times", factor = times(all));
        let first = outcome.plans.first().map_or("", |p| p.name.as_str());
        out.say(&say!(
            "detail.pairing.plans",
            factor = in_all(factor, outcome.variance_cut_overall),
            named = quoted(first)
        ));
    }
    let spread = outcome.spread.as_deref().zip(outcome.pairing_overall);
    if let Some((spread, now)) = spread
        && let Some(ceiling) = pairing_ceiling(spread, now)
    {
        out.say(&say!(
            "detail.ceiling",
            now = times(now),
            ceiling = times(ceiling)
        ));
    }
}
