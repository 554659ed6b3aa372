//! The files and the terminal text of a comparison.

use crate::control::Action;
use crate::report::compare_data::{self, per_10_saved, word};
use crate::report::provenance::{self, Facts};
use crate::report::words::{cautions, fold, grade_in_words, how_sure, verdict, weakest_grade};
use crate::scenario::Scenario;
use crate::stats::spread::of_100;
use crate::stats::words::{PAIRS_FOR_A_VERDICT, change_in_words, thousands};
use crate::tally::compare::{CompareOutcome, PlanCompared};
use std::fmt::Write as _;

/// All files of a comparison with their names, in a fixed order; the manifest comes last.
///
/// # Panics
/// Never: our own manifest reads.
pub fn files(
    scenario: &Scenario,
    outcome: &CompareOutcome,
    facts: &Facts,
) -> Vec<(String, Vec<u8>)> {
    let command = format!(
        "lurefield check output/{}/compare-manifest.json --repeat",
        scenario.name
    );
    let mut files = pictures(scenario, outcome);
    let names = super::picture_names(&files);
    let text = text(scenario, outcome, &names, &command);
    files.insert(0, ("compare.txt".into(), text.into_bytes()));
    files.push((
        "compare.json".into(),
        compare_data::json(scenario, outcome).into_bytes(),
    ));
    files.push((
        "compare.csv".into(),
        compare_data::csv(scenario, outcome).into_bytes(),
    ));
    let plain = provenance::manifest(scenario, &outcome.run, facts, &files);
    let mut manifest: serde_json::Value =
        serde_json::from_str(&plain).expect("our own manifest reads");
    manifest["against"] = outcome.plans.first().map_or("", |p| &p.name).into();
    manifest["summers_asked"] = outcome.asked.into();
    manifest["repeat"] = command.into();
    let manifest = super::json::pretty(&manifest);
    files.push(("compare-manifest.json".into(), manifest.into_bytes()));
    files
}

#[cfg(feature = "pictures")]
fn pictures(scenario: &Scenario, outcome: &CompareOutcome) -> Vec<(String, Vec<u8>)> {
    let mut files = Vec::new();
    for figure in crate::figure::of_compare(scenario, outcome) {
        files.push((format!("{}.png", figure.name), crate::figure::png(&figure)));
        files.push((
            format!("{}.txt", figure.name),
            figure.alternative().into_bytes(),
        ));
        files.push((format!("{}.svg", figure.name), figure.svg.into_bytes()));
    }
    files
}

#[cfg(not(feature = "pictures"))]
fn pictures(_: &Scenario, _: &CompareOutcome) -> Vec<(String, Vec<u8>)> {
    Vec::new()
}

struct Lines(Vec<String>);

impl Lines {
    fn say(&mut self, text: &str) {
        self.0.extend(fold(text, 2));
    }

    fn gap(&mut self) {
        if self.0.last().is_some_and(|l| !l.is_empty()) {
            self.0.push(String::new());
        }
    }
}

/// The text, lines of at most 80 columns: sentence, table, pictures, reasons, cautions, details, repeat line.
pub fn text(
    scenario: &Scenario,
    outcome: &CompareOutcome,
    pictures: &[String],
    command: &str,
) -> String {
    let mut out = Lines(Vec::new());
    bottom_line(&mut out, outcome);
    table(&mut out, scenario, outcome);
    if !pictures.is_empty() {
        out.gap();
        let list = pictures.join(", ");
        out.say(&format!("Pictures in output/{}: {list}.", scenario.name));
    }
    sentences(&mut out, scenario, outcome);
    reasons(&mut out, scenario, outcome);
    over_the_fence(&mut out, scenario, outcome);
    mating(&mut out, outcome);
    seasons(&mut out, scenario, outcome);
    costs(&mut out, scenario, outcome);
    out.gap();
    for caution in cautions(scenario) {
        out.say(&caution);
    }
    details(&mut out, scenario, outcome);
    out.say(&format!("Repeat: {command}"));
    out.0.join("\n") + "\n"
}

fn quoted(name: &str) -> String {
    format!("\"{name}\"")
}

fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Plans by verdict: clearly better, clearly worse, no change, too close to call.
pub fn sorted(outcome: &CompareOutcome) -> [Vec<String>; 4] {
    let mut classes: [Vec<String>; 4] = Default::default();
    for plan in outcome.plans.iter().skip(1) {
        let class = match (plan.settled.word, plan.settled.way) {
            (Some(_), "less") => 0,
            (Some(_), "more") => 1,
            (Some(_), _) => 2,
            (None, _) => 3,
        };
        classes[class].push(quoted(&plan.name));
    }
    classes
}

fn bottom_line(out: &mut Lines, outcome: &CompareOutcome) {
    let first = outcome.plans.first().map_or("", |p| p.name.as_str());
    let preview = (outcome.run.summers as usize) < PAIRS_FOR_A_VERDICT;
    let heads = [
        "Less damage",
        "More damage",
        "No change",
        "Too close to call",
    ];
    out.say(&format!(
        "Set against {} on the same {} simulated summers{}:",
        quoted(first),
        thousands(f64::from(outcome.run.summers)),
        if preview { " [preview]" } else { "" }
    ));
    for (head, names) in heads.iter().zip(sorted(outcome)) {
        if !names.is_empty() {
            out.say(&format!("{head}: {}.", list(&names)));
        }
    }
    if preview {
        out.say(&format!(
            "Preview: use {} summers or more for a verdict.",
            thousands(PAIRS_FOR_A_VERDICT as f64)
        ));
    }
    out.say(crate::report::words::NOT_A_FORECAST);
}

/// Widths: plan, damage, change, more, same, less, taken, minutes, dollars, flag; 80 in all.
fn table(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    const NAME: usize = 27;
    let guild = scenario.pest.guild;
    let flags = flags(outcome);
    out.gap();
    out.0.push(format!(
        "{:NAME$}{:>7}{:>7}{:>6}{:>5}{:>5}{:>7}{:>6}{:>5}{:>5}",
        "plan", "of 100", "change", "more", "same", "less", "taken", "min", "$", "flag"
    ));
    for (i, plan) in outcome.plans.iter().enumerate() {
        let (count, first) = (&plan.count, i == 0);
        let change = if first {
            "-".to_string()
        } else {
            format!("{:+.1}", plan.difference_mean)
        };
        let of_20 = |n: usize| if first { "-".into() } else { n.to_string() };
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
            plan.damage_mean,
            of_20(count.more),
            of_20(count.no_change),
            of_20(count.less),
            thousands(taken),
            plan.effort.minutes[1],
            plan.effort.dollars[1],
        ));
        for rest in names {
            out.0.push(format!("  {rest}"));
        }
    }
    out.say(&format!(
        "of 100: {} {} of 100, your plants, average summer. more, same, less: simulated summers of 20. \
         taken: {} caught, picked or killed a summer. min, $: minutes and dollars of your time and money for all {} \
         days; assumed unless you set them.",
        guild.damage_noun(),
        guild.damage_verb(),
        scenario.pest.short,
        scenario.window.days
    ));
    for (i, flag) in flags.iter().enumerate() {
        let mark = char::from(b'a' + i as u8);
        out.say(&format!(
            "Flag {mark}, {flag}: {}",
            flag_reason(scenario, flag)
        ));
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
        if flag != "none known" && !all.contains(flag) {
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
    let care = crate::catalogue::method("trap-care").filter(|k| k.flag == flag);
    found
        .or_else(|| care.map(|k| k.flag_reason))
        .unwrap_or_default()
}

fn sentences(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.gap();
    let before = outcome.plans.first().map_or(0.0, |p| p.damage_mean);
    for plan in outcome.plans.iter().skip(1) {
        let said = verdict(scenario, &quoted(&plan.name), &plan.count);
        let mut text = said.sentence;
        match plan.settled.word {
            Some(word) => {
                let _ = write!(text, " [{word}]");
            }
            None if plan
                .count
                .more
                .max(plan.count.less)
                .max(plan.count.no_change)
                >= 15 =>
            {
                text.push_str(" [too near the line for a word]");
            }
            None => {}
        }
        let _ = write!(
            text,
            " {:.0} -> {:.0} in 100, {}.",
            before,
            plan.damage_mean,
            change_in_words(before, plan.damage_mean)
        );
        if let Some(rare) = said.rare {
            let _ = write!(text, " {rare}");
        }
        out.say(&text);
    }
}

fn reasons(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let short = &scenario.pest.short;
    out.gap();
    out.say("Why:");
    for ((plan, compared), raw) in scenario
        .plans
        .iter()
        .zip(&outcome.plans)
        .zip(&outcome.run.plans)
    {
        if plan.traps.is_empty() && plan.methods.is_empty() {
            continue;
        }
        let mut text = format!("- {}: ", quoted(&plan.name));
        let done: Vec<String> = plan.methods.iter().map(|m| reason(scenario, m)).collect();
        text.push_str(&done.join(" "));
        if compared.removed_mean > 0.0 {
            let _ = write!(
                text,
                " About {} {short} were picked or cleared a summer.",
                thousands(compared.removed_mean.max(1.0))
            );
        }
        let a = &raw.answers;
        if a.answered > 0 {
            let parts = of_100(&[a.caught, a.landed_on_plant, a.went_away + a.unfinished]);
            let _ = write!(
                text,
                " Of 100 answers to a lure {} ended in a trap, {} on a plant, {} elsewhere.",
                parts[0], parts[1], parts[2]
            );
            if compared.settled.way == "no change" {
                text.push_str(" So few plants were touched that damage stayed the same.");
            } else if parts[1] > parts[0] {
                text.push_str(" More landed on plants than in a trap.");
            }
        } else if !plan.traps.is_empty() {
            let _ = write!(text, " No {short} answered the lure.");
        }
        out.say(&text);
    }
}

fn reason(scenario: &Scenario, method: &crate::control::Method) -> String {
    let crops: Vec<String> = method
        .crops
        .iter()
        .map(|c| scenario.crops[*c].name.clone())
        .collect();
    let mut text = format!("{} ({}).", method.describe(), list(&crops));
    if let Action::Cover(cover) = &method.action {
        let leak = method
            .kind
            .values
            .get("leak")
            .map_or(0.0, crate::catalogue::Sourced::central);
        let width = scenario.pest.values.body_width.central();
        let _ = if cover.mesh_mm > width {
            write!(
                text,
                " Most {} are narrower than the holes, so it stops few.",
                scenario.pest.short
            )
        } else {
            write!(
                text,
                " About {:.0} of 100 that try get in by gaps.",
                100.0 * leak
            )
        };
        let inside = scenario
            .sources
            .iter()
            .any(|s| s.bed.is_some_and(|b| method.crops.contains(&b)));
        if inside {
            text.push_str(
                " Those that come out of this bed are locked in: change the bed next year.",
            );
        }
    }
    if matches!(method.action, Action::Repellent(_)) {
        text.push_str(" No trial stands behind it: a guess.");
    }
    text
}

fn over_the_fence(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let grows = |i: usize| {
        outcome
            .plans
            .iter()
            .any(|p| p.plots.get(i).is_some_and(Option::is_some))
    };
    for (i, plot) in scenario.plots.iter().enumerate().filter(|(i, _)| grows(*i)) {
        out.gap();
        out.say(&format!("Next door, {}:", quoted(&plot.name)));
        for (k, (plan, raw)) in outcome.plans.iter().zip(&outcome.run.plans).enumerate() {
            let (Some((count, change)), Some(damage)) = (plan.plots[i], raw.plot_damage[i]) else {
                continue;
            };
            let text = if k == 0 {
                format!("- {}: {damage:.1} of 100.", quoted(&plan.name))
            } else {
                format!(
                    "- {}: {damage:.1} of 100 ({change:+.1}); more {} of 20, no change {}, less {}.",
                    quoted(&plan.name),
                    count.more,
                    count.no_change,
                    count.less
                )
            };
            out.say(&text);
        }
    }
}

fn mating(out: &mut Lines, outcome: &CompareOutcome) {
    let n = f64::from(outcome.run.summers);
    let followed: Vec<&PlanCompared> = outcome
        .plans
        .iter()
        .filter(|p| p.mating.males > 0)
        .collect();
    if followed.is_empty() {
        return;
    }
    out.gap();
    out.say("Eggs come from mated females. In an average summer:");
    for plan in followed {
        let m = &plan.mating;
        let share = |part: u64, whole: u64| {
            if whole == 0 {
                "none".to_string()
            } else {
                format!("{:.0} of 100", 100.0 * part as f64 / whole as f64)
            }
        };
        out.say(&format!(
            "- {}: traps took {} males. Of the females that grew up here {} mated. {} mated females came from outside.",
            quoted(&plan.name),
            share(m.males_caught, m.males),
            share(m.local_mated, m.local_females),
            thousands(m.outside_mated as f64 / n)
        ));
    }
    out.say(
        "Each male left can mate many females, and most females come in mated. So a trap full of males need not save fruit.",
    );
}

fn seasons(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let Some(seasons) = &outcome.seasons else {
        return;
    };
    out.gap();
    out.say(&format!(
        "{} seasons, insects at the start of each of 100 at first ({} repeats):",
        seasons.seasons, seasons.repeats
    ));
    for plan in &seasons.plans {
        let course: Vec<String> = plan
            .insects_of_100
            .iter()
            .map(|v| format!("{v:.0}"))
            .collect();
        out.say(&format!(
            "- {}: {}; about {:.2} times a year.",
            quoted(&plan.name),
            course.join(" -> "),
            plan.factor
        ));
    }
    if scenario.seasons.arrivals > 0.0 {
        out.say(&format!(
            "Before each season {:.0} of 100 come from outside.",
            100.0 * scenario.seasons.arrivals
        ));
    } else {
        out.say("No insect comes from outside; in open country this does not hold.");
    }
}

fn costs(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let noun = scenario.pest.guild.damage_noun();
    let mut lines = Vec::new();
    for (plan, compared) in scenario.plans.iter().zip(&outcome.plans) {
        let effort = &compared.effort;
        let Some(dollars) = per_10_saved(scenario, compared, effort.dollars[1]) else {
            continue;
        };
        let minutes = per_10_saved(scenario, compared, effort.minutes[1]).unwrap_or(0.0);
        let own = plan.own_cost[0].is_some() || plan.own_cost[1].is_some();
        lines.push(format!(
            "- {}: ${dollars:.0} and {minutes:.0} minutes. All: ${:.0} to ${:.0}, {:.0} to {:.0} minutes{}.",
            quoted(&compared.name),
            effort.dollars[0],
            effort.dollars[2],
            effort.minutes[0],
            effort.minutes[2],
            if own { " (partly your own numbers)" } else { " (assumed)" }
        ));
    }
    if lines.is_empty() {
        return;
    }
    out.gap();
    out.say(&format!("Cost of each 10 {noun} in 100 saved:"));
    for line in lines {
        out.say(&line);
    }
}

fn details(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.gap();
    for line in how_sure(scenario) {
        out.say(&line);
    }
    out.say(&format!(
        "The weakest number this rests on: {}.",
        grade_in_words(weakest_grade(scenario))
    ));
    let mut warnings: Vec<&String> = Vec::new();
    for warning in &scenario.warnings {
        if !warnings.contains(&warning) {
            warnings.push(warning);
        }
    }
    for warning in warnings {
        out.say(&format!("Note: {}.", warning.trim_end_matches('.')));
    }
    out.gap();
    out.say("Technical: mean change, its Monte Carlo error, and how many times pairing on the same summers cuts the variance:");
    for plan in outcome.plans.iter().skip(1) {
        let factor = plan
            .pairing_factor
            .map_or("no variance".to_string(), |f| format!("{f:.1} times"));
        out.say(&format!(
            "- {}: {:+.2}, error {:.2}, {factor}; {}{}",
            quoted(&plan.name),
            plan.difference_mean,
            plan.difference_se,
            word(plan),
            if plan.settled.settled {
                ""
            } else {
                " (near a line; the milder word)"
            }
        ));
    }
    if let Some(spread) = &outcome.spread {
        out.gap();
        out.say("Two spreads apart (standard deviation, points of 100):");
        for plan in spread {
            let both = |c: &crate::stats::components::Components| {
                format!(
                    "luck of a summer {:.1}, not knowing the insects {:.1}",
                    c.within.sqrt(),
                    c.between.sqrt()
                )
            };
            let change = plan
                .change
                .as_ref()
                .map_or(String::new(), |c| format!(". Change: {}", both(c)));
            out.say(&format!(
                "- {}: damage: {}{change}.",
                quoted(&plan.name),
                both(&plan.damage)
            ));
        }
        out.say("More summers shrink neither. Only field work would shrink the second.");
    }
    out.gap();
    let more = if outcome.run.summers > outcome.asked {
        format!(
            " ({} asked; more were taken because a word was near a line)",
            thousands(f64::from(outcome.asked))
        )
    } else {
        String::new()
    };
    out.say(&format!(
        "{} summers simulated{more}, shown as 20. Seed {}. A change up to {} in 100 counts as no change.",
        thousands(f64::from(outcome.run.summers)),
        outcome.run.seed,
        scenario.settings.tie_band
    ));
}
