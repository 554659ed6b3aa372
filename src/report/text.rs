//! Terminal text of a run: sentence, damage with the catch beside it, pictures, reason, what else, caution, details.

use crate::count::outcome::{PlanOutcome, RunOutcome, Standing};
use crate::report::lines::Lines;
use crate::report::words::{
    COLUMNS, about, became, behind, fold_in, fold_to, found, give_or_take, instead, invented,
    quoted, repeat, simulated, still_open, theirs,
};
use crate::say::{counted, say, voice};
use crate::scenario::Scenario;
use crate::stats::paired::Class;
use crate::stats::spread::mean;
use crate::stats::words::{in_print, tenths, thousands};
use crate::study::finding::{Better, Finding};

/// The text, lines of at most 80 columns: what people read, ending with the repeat line, and the numbers behind it.
///
/// Shape: `pictures` are file names inside the output folder, may be empty.
pub fn run(scenario: &Scenario, outcome: &RunOutcome, pictures: &[String]) -> String {
    let mut out = Lines::default();
    let findings = Finding::all(scenario, outcome);
    if let Some(warning) = invented(scenario) {
        out.say(warning);
    }
    sentences(&mut out, scenario, outcome, &findings);
    damage(&mut out, scenario, outcome, &findings);
    if !pictures.is_empty() {
        out.gap();
        out.say(&super::words::pictures(pictures));
    }
    answers(&mut out, scenario, &findings);
    if let Some(failing) = failing_trap(scenario, &findings) {
        better(&mut out, scenario, &findings, failing);
    }
    out.cautions(scenario, scenario.warnings.iter().chain(&outcome.warnings));
    out.say(&simulated(outcome.summers, scenario.settings.tie_band));
    out.say_all(give_or_take(outcome));
    out.say(&repeat("manifest.json"));
    out.details();
    out.say_all(behind(scenario, outcome));
    out.text()
}

/// The first plan that hangs a trap of the asker's in vain.
pub(super) fn failing_trap<'a>(
    scenario: &Scenario,
    findings: impl IntoIterator<Item = &'a Finding>,
) -> Option<&'a Finding> {
    let mut others = scenario.plans.iter().zip(findings).skip(1);
    let failing = others.find(|(plan, finding)| plan.hangs() && finding.class() != Class::Less);
    failing.map(|(_, finding)| finding)
}

/// The best plan without a trap, and what is usually done besides.
fn better(out: &mut Lines, scenario: &Scenario, findings: &[Finding], failing: &Finding) {
    let usual = instead(scenario, voice());
    let guild = scenario.pest.guild;
    match failing.better {
        Some(Better { plan, of_all }) => out.say(&say!(
            if of_all {
                "better.here"
            } else {
                "better.untrapped"
            },
            named = quoted(&scenario.plans[plan].name),
            after = format!("{:.1}", tenths(findings[plan].after())),
            noun = guild.damage_noun(),
            verb = guild.damage_verb()
        )),
        None if usual.is_empty() => {}
        None => out.say(&say!("better.usual", usual)),
    }
}

/// The leaf area eaten under each plan; `None` where fruit is counted.
pub(super) fn eaten(outcome: &RunOutcome) -> Option<String> {
    let each: Option<Vec<String>> = outcome
        .plans
        .iter()
        .map(|plan| Some(format!("{:.1} ({})", plan.eaten?, plan.name)))
        .collect();
    Some(say!("said.eaten", each = each?.join(", ")))
}

/// What each plan changes on the neighbors' plants, beyond what counts as no change.
fn next_door(scenario: &Scenario, outcome: &RunOutcome) -> Vec<String> {
    let Some((first, others)) = outcome.plans.split_first() else {
        return Vec::new();
    };
    let band = scenario.settings.tie_band;
    let of_plan = |plan: &PlanOutcome| -> Vec<String> {
        let both = first.plot_damage.iter().zip(&plan.plot_damage);
        let told = scenario.plots.iter().zip(both).filter_map(|(plot, both)| {
            let (before, after) = (tenths((*both.0)?), tenths((*both.1)?));
            let [was, is] = [before, after].map(|v| format!("{v:.1}"));
            let (named, plan) = (quoted(&plot.name), quoted(&plan.name));
            let said = || say!("run.next-door", named, before = was, after = is, plan);
            ((after - before).abs() > band).then(said)
        });
        told.collect()
    };
    others.iter().flat_map(of_plan).collect()
}

fn sentences(out: &mut Lines, scenario: &Scenario, outcome: &RunOutcome, findings: &[Finding]) {
    let guild = scenario.pest.guild;
    if let [only] = &outcome.plans[..] {
        out.say(&say!(
            "said.alone",
            named = quoted(&only.name),
            number = in_print(only.damage.mean),
            noun = guild.damage_noun(),
            verb = guild.damage_verb()
        ));
        return;
    }
    let preview = outcome.standing() == Standing::Preview;
    for (plan, finding) in outcome.plans.iter().zip(findings).skip(1) {
        let preview = preview.then(|| format!("[{}]", voice().get("said.preview")));
        out.say(&found(scenario, &quoted(&plan.name), finding, preview));
    }
    let first = outcome.plans.first().map_or("", |p| p.name.as_str());
    out.say(&say!("said.against", named = quoted(first)));
    out.say_all(theirs(scenario));
    if let Some(open) = still_open(outcome) {
        out.say(&open);
    }
}

fn damage(out: &mut Lines, scenario: &Scenario, outcome: &RunOutcome, findings: &[Finding]) {
    out.gap();
    out.say(&say!(
        &counted("run.damage", u64::from(outcome.summers)),
        summers = thousands(f64::from(outcome.summers))
    ));
    let widest = outcome
        .plans
        .iter()
        .map(|p| p.name.chars().count())
        .max()
        .unwrap_or(0)
        .min(28);
    for (i, plan) in outcome.plans.iter().enumerate() {
        let row = row(scenario, plan, outcome.summers, i);
        let name = if plan.name.chars().count() > widest {
            let pieces = fold_to(&plan.name, 76);
            out.0
                .extend(pieces.iter().map(|piece| format!("  {piece}")));
            ""
        } else {
            &plan.name
        };
        out.0
            .push(["", &format!("{name:widest$}"), &row].join("  "));
        if i > 0 {
            let became = became(&findings[i], outcome.summers);
            out.0.push(format!("      {became}"));
        }
    }
    if let Some(line) = eaten(outcome) {
        out.say(&line);
    }
    out.say_all(next_door(scenario, outcome));
    // A long name of a pest may still pass the edge.
    out.0 = std::mem::take(&mut out.0)
        .into_iter()
        .flat_map(|l| {
            if l.chars().count() > COLUMNS {
                fold_in(&l)
            } else {
                vec![l]
            }
        })
        .collect();
}

/// Damage under the plan of that place, and what became of insects.
fn row(scenario: &Scenario, plan: &PlanOutcome, summers: u32, place: usize) -> String {
    let guild = scenario.pest.guild;
    let (noun, verb) = (guild.damage_noun(), guild.damage_verb());
    let number = format!("{:>7}", in_print(plan.damage.mean));
    // What a neighbor's trap catches is not counted here.
    let no_trap = !scenario.plans[place].hangs();
    let taken = taken(plan, summers, &scenario.pest.short, no_trap);
    if taken.is_empty() {
        say!("run.row", number, noun, verb)
    } else {
        say!("run.row.taken", number, noun, verb, taken)
    }
}

fn answers(out: &mut Lines, scenario: &Scenario, findings: &[Finding]) {
    let plans = scenario.plans.iter().zip(findings);
    let answered = plans.filter_map(|(plan, finding)| Some((plan, finding.reason?)));
    for (i, (plan, ended)) in answered.enumerate() {
        if i == 0 {
            out.gap();
            out.say(&say!("run.why", insects = scenario.pest.short));
        }
        let mut said = vec![say!(
            &about(scenario, "run.answers"),
            named = quoted(&plan.name),
            kept = ended.kept,
            landed = ended.landed,
            away = ended.away
        )];
        if ended.open > 0 {
            said.push(say!("run.answers.unfinished", d = ended.open));
        }
        if ended.lean().is_gt() {
            said.push(say!(&about(scenario, "run.answers.plants")));
        }
        out.say(&said.join(" "));
    }
}

/// What became of insects under a plan: "109 beetles caught, 3 picked"; empty where nothing was taken.
fn taken(plan: &PlanOutcome, summers: u32, insects: &str, no_trap: bool) -> String {
    let n = f64::from(summers.max(1));
    let (removed, killed) = (
        plan.insects.removed as f64 / n,
        plan.insects.killed as f64 / n,
    );
    let mut kinds = Vec::new();
    if !no_trap {
        kinds.push((catch(plan), ["taken.caught", "taken.caught"]));
    }
    if removed > 0.0 {
        kinds.push((removed, ["taken.picked", "taken.also-picked"]));
    }
    if killed > 0.0 {
        kinds.push((killed, ["taken.killed", "taken.also-killed"]));
    }
    let told = kinds.iter().enumerate().map(|(i, (count, [first, also]))| {
        let key = counted(if i == 0 { first } else { also }, count.round() as u64);
        let count = if *count > 0.0 && *count < 0.5 {
            say!("taken.under-one")
        } else {
            thousands(*count)
        };
        say!(&key, count, insects)
    });
    told.collect::<Vec<_>>().join(", ")
}

fn catch(plan: &PlanOutcome) -> f64 {
    let catches: Vec<f64> = plan.caught_by_summer.iter().map(|c| *c as f64).collect();
    mean(&catches)
}
