//! Random findings: whatever a run or a comparison brings, its text says what its numbers bear and nothing else.
//!
//! The findings are invented. The text is read back as a person would: its sentences against its own counts, its words of
//! change against the numbers printed beside them, its advice against its own table.

use crate::fixture::{self, Stream};
use lurefield::catalogue::{Guild, method};
use lurefield::control::{Action, Effort, Method, cover::Cover, hands::Hands};
use lurefield::count::outcome::{AnswerAccount, MatingAccount, RunOutcome};
use lurefield::report::{compare, text, words};
use lurefield::scenario::{Plan, Scenario};
use lurefield::stats::covariate::Adjusted;
use lurefield::stats::paired;
use lurefield::stats::words::settled_word;
use lurefield::study::compare::{CompareOutcome, PlanCompared};
use lurefield::study::finding::Finding;

/// Findings that are tried.
const TRIES: u64 = 600;
pub(crate) const NAMES: [&str; 6] = ["bare", "near", "corner", "dusk", "netted", "both"];
const SUMMERS: [u32; 11] = [1, 2, 3, 5, 13, 19, 20, 21, 60, 100, 240];

pub(crate) fn pick<T: Copy>(luck: &mut Stream, of: &[T]) -> T {
    of[(luck.next() * of.len() as f64) as usize]
}

fn whole(luck: &mut Stream, below: u64) -> u64 {
    // None at all is as likely as any other kind of number.
    match pick(luck, &[0, 1, 2]) {
        0 => 0,
        1 => (luck.next() * 4.0) as u64,
        _ => (luck.next() * below as f64) as u64,
    }
}

/// A yard of two to six plans, of any kind of pest; the plan that the others are set against may do something too.
fn yard(luck: &mut Stream) -> Scenario {
    let mut scenario = fixture::scenario();
    let guilds = [
        Guild::Chewer,
        Guild::Piercer,
        Guild::EggLayer,
        Guild::Visitor,
    ];
    scenario.pest.guild = pick(luck, &guilds);
    scenario.settings.tie_band = pick(luck, &[0.0, 0.5, 1.0, 3.0]);
    let (bare, trapped) = (scenario.plans[0].clone(), scenario.plans[1].clone());
    let n = 2 + (luck.next() * 5.0) as usize;
    let idle = usize::from(luck.next() < 0.6);
    scenario.plans = (0..n)
        .map(|i| {
            let hangs = i >= idle && luck.next() < 0.6;
            let mut plan = if hangs { &trapped } else { &bare }.clone();
            plan.name = NAMES[i].into();
            let actions = [
                ("hand-removal", hands()),
                ("row-cover", Action::Cover(cover())),
            ];
            for (id, action) in actions {
                if i >= idle && luck.next() < 0.4 {
                    plan.methods.push(Method {
                        kind: method(id).unwrap(),
                        crops: vec![0],
                        action,
                    });
                }
            }
            plan
        })
        .collect();
    scenario
}

fn hands() -> Action {
    Action::Hands(Hands {
        hours: vec![19.0],
        days_a_week: 7,
    })
}

fn cover() -> Cover {
    Cover {
        mesh_mm: 4.0,
        from_day: 0,
        to_day: 28,
        open: None,
    }
}

/// Damage of each summer under a plan, from that under the first plan: nothing, a shift, luck, a rare bad summer, a factor.
fn damages(luck: &mut Stream, first: &[f64]) -> Vec<f64> {
    let kind = (luck.next() * 8.0) as u32;
    let size = 12.0 * (luck.next() - 0.5);
    let share = luck.next();
    first
        .iter()
        .map(|before| {
            let chance = luck.next();
            let after = match kind {
                0 => *before,
                2 => before + 3.0 * size * (chance - 0.5),
                3 | 7 if chance < 0.02 => before - 12.0 * size,
                1 | 3 => before + size,
                4 if chance < share => before + size,
                4 => before - size,
                5 => before * 2.0 * share,
                _ if chance < share => before + size,
                _ => *before,
            };
            after.clamp(0.0, 100.0)
        })
        .collect()
}

pub(crate) fn outcome(scenario: &mut Scenario, luck: &mut Stream) -> RunOutcome {
    let summers = pick(luck, &SUMMERS);
    // The fixture draws its rings round a trap of the second plan.
    let mut all = fixture::outcome(&fixture::scenario(), summers);
    let template = all.plans[1].clone();
    let scale = pick(luck, &[0.0, 0.2, 9.0, 40.0]);
    let first: Vec<f64> = (0..summers).map(|_| scale * luck.next()).collect();
    let band = scenario.settings.tie_band;
    all.plans = (0..scenario.plans.len())
        .map(|i| {
            let mut plan = template.clone();
            plan.name.clone_from(&scenario.plans[i].name);
            plan.damage_by_summer = if i == 0 {
                first.clone()
            } else {
                damages(luck, &first)
            };
            let change = paired::differences(&first, &plan.damage_by_summer);
            plan.damage = Adjusted::plain(&plan.damage_by_summer);
            plan.change = Adjusted::plain(&change);
            plan.word = settled_word(&paired::count(&change, band), &change, band);
            let chewed = scenario.pest.guild == Guild::Chewer;
            plan.eaten = chewed.then_some(plan.damage.mean / 20.0);
            let hangs = !scenario.plans[i].traps.is_empty();
            let n = |luck: &mut Stream| if hangs { whole(luck, 5000) } else { 0 };
            let (caught, landed) = (n(luck), n(luck));
            let (away, unfinished) = (n(luck), n(luck));
            plan.answers = AnswerAccount {
                answered: caught + landed + away + unfinished,
                caught,
                landed_on_plant: landed,
                went_away: away,
                unfinished,
            };
            plan.caught_by_summer = vec![0; summers as usize];
            plan.caught_by_summer[0] = caught;
            plan.crop_damage = scenario.crops.iter().map(|_| 40.0 * luck.next()).collect();
            plan.plot_damage = scenario.plots.iter().map(|_| Some(9.0)).collect();
            plan.insects.removed = whole(luck, 900);
            plan.insects.killed = whole(luck, 900);
            plan
        })
        .collect();
    all.most = pick(luck, &[summers, 2000]);
    all.settled = all
        .plans
        .iter()
        .all(lurefield::count::outcome::PlanOutcome::settled);
    all
}

pub(crate) fn comparison(
    scenario: &Scenario,
    run: RunOutcome,
    luck: &mut Stream,
) -> CompareOutcome {
    let n = f64::from(run.summers);
    let plans = run
        .plans
        .iter()
        .zip(Finding::all(scenario, &run))
        .map(|(plan, finding)| {
            let money = 40.0 * luck.next();
            let males = whole(luck, 500);
            PlanCompared {
                name: plan.name.clone(),
                pairing_factor: (plan.change.error > 0.0).then(|| 1e4 * luck.next()),
                pairing_limit: None,
                variance_cut: None,
                caught_mean: plan.caught_by_summer.iter().sum::<u64>() as f64 / n,
                removed_mean: plan.insects.removed as f64 / n,
                killed_mean: plan.insects.killed as f64 / n,
                effort: Effort {
                    dollars: [0.5 * money, money, 2.0 * money],
                    minutes: [money, 3.0 * money, 9.0 * money],
                },
                flags: vec!["none known".into()],
                plots: scenario
                    .plots
                    .iter()
                    .map(|_| Some((finding.count, plan.change.mean)))
                    .collect(),
                plant_classes: Vec::new(),
                mating: MatingAccount {
                    males,
                    males_caught: males.min(whole(luck, 500)),
                    ..MatingAccount::default()
                },
                finding,
            }
        })
        .collect();
    CompareOutcome {
        run,
        plans,
        pairing_overall: None,
        variance_cut_overall: None,
        spread: None,
        seasons: None,
    }
}

/// The text on one line.
pub(crate) fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(crate) fn number(text: &str) -> f64 {
    let digits = text.trim_matches(|c: char| !c.is_ascii_digit() && c != '-' && c != '+');
    digits.replace(',', "").parse().unwrap_or(f64::NAN)
}

/// What stands between two texts, the first time; what comes after in the second place.
fn between<'a>(text: &'a str, start: &str, end: &str) -> Option<(&'a str, &'a str)> {
    text.split_once(start)?.1.split_once(end)
}

/// What the text says of a plan: the way ("more", "fewer", "no", "either"), so many of so many, and the split.
struct Said {
    way: &'static str,
    n_of: [usize; 2],
    split: [usize; 4],
    /// Whether its first sentence names the plan that it is set against.
    against: bool,
    rest: String,
}

fn said(text: &str, name: &str) -> Option<Said> {
    let ways = [
        (format!("\"{name}\" meant more "), "more"),
        (format!("\"{name}\" led to fewer "), "fewer"),
        (format!("\"{name}\" made no change"), "no"),
        (format!("way: \"{name}\""), "either"),
    ];
    let mut found = ways.iter().filter(|(words, _)| text.contains(words));
    let (words, way) = found.next()?;
    if found.next().is_some() {
        return None;
    }
    let (before, after) = text.split_once(words)?;
    let count = |t: &str| number(t) as usize;
    let n_of = before.rsplit_once("In ").map_or([0; 2], |(_, told)| {
        match told.strip_suffix(" summers, ") {
            Some(told) => told
                .split_once(" of ")
                .map_or([0; 2], |(n, of)| [count(n), count(of)]),
            None if told == "the one summer tried, " => [1, 1],
            None => [0; 2],
        }
    });
    let mine = after.split(" summers, ").next()?;
    let split = match between(mine, "More in ", ".") {
        Some((told, _)) if n_of != [1, 1] => {
            let parts: Vec<usize> = told
                .split([','])
                .flat_map(|p| p.split(" of "))
                .map(count)
                .collect();
            parts.try_into().ok()?
        }
        _ if n_of == [1, 1] => match *way {
            "more" => [1, 1, 0, 0],
            "fewer" => [0, 1, 0, 1],
            _ => [0, 1, 1, 0],
        },
        _ => return None,
    };
    let first = mine.split('.').next()?;
    let named = ["than", "against"].map(|word| format!(" {word} \"{}\"", NAMES[0]));
    Some(Said {
        way,
        n_of,
        split,
        against: named.iter().any(|words| first.contains(words)),
        rest: mine.to_owned(),
    })
}

/// Faults of what is said of one plan, of so many summers made, set against a plan that does something or not; `of_pairs`
/// are its counts of all of them.
fn faults_of_verdict(
    said: &Said,
    (made, against): (usize, bool),
    of_pairs: [usize; 3],
) -> Vec<String> {
    let [more, of, same, less] = said.split;
    let mut faults = Vec::new();
    let mut must = |holds: bool, what: &str| {
        if !holds {
            faults.push(what.to_owned());
        }
    };
    must(more + same + less == of, "the split does not add up");
    must(of == made.min(20), "a count that was not made");
    must(
        said.against == against,
        "what it is set against is named, or not, in the wrong place",
    );
    let lead = match said.way {
        "more" => more,
        "fewer" => less,
        "no" => same,
        _ => 0,
    };
    if said.way == "either" {
        must(more > 0 && less > 0, "either way with a side of none");
    } else {
        must(said.n_of == [lead, of], "the headline is not its count");
        let (side, other) = if said.way == "fewer" {
            (less, more)
        } else {
            (more, less)
        };
        must(
            said.way == "no" || side > other,
            "the other side is greater",
        );
    }
    if said.rest.contains("It never went the other way.") {
        let [up, _, down] = of_pairs;
        must(up.min(down) == 0, "a summer went the other way");
    }
    if said.rest.contains("It hardly ever went the other way.") {
        let [up, _, down] = of_pairs;
        must(up.min(down) > 0, "no summer went the other way");
    }
    if said.rest.contains("[almost always]") {
        must(lead >= 19, "almost always");
    }
    if said.rest.contains("[usually]") {
        must(lead >= 15, "usually");
    }
    faults
}

/// Faults of "a -> b in 100, words".
fn faults_of_change(before: f64, after: f64, change: &str, band: f64) -> Option<String> {
    let same = change == "about the same";
    let less = ["less", "left", "only"].iter().any(|w| change.contains(w))
        && !change.contains("as much")
        || change == "about half";
    let more = ["more", "as much", "from next"]
        .iter()
        .any(|w| change.contains(w));
    let off = (after - before).abs();
    let holds = match (same, less, more) {
        (true, ..) => off <= band.max(0.05) + 1e-9 || off <= 0.051 * before,
        (_, true, false) => after < before && off > band,
        (_, false, true) => after > before && off > band,
        _ => false,
    };
    (!holds).then(|| format!("{before} -> {after} is not \"{change}\""))
}

/// All changes that are told, in order: a line each in a table, or in sentences.
fn changes(text: &str) -> Vec<(f64, f64, String)> {
    let lines = text
        .lines()
        .filter(|l| l.starts_with("      ") && l.contains(" -> "));
    let mut told: Vec<String> = lines.map(str::to_owned).collect();
    if told.is_empty() {
        let flat = flat(text);
        let parts: Vec<&str> = flat.split(" -> ").collect();
        told.extend(parts.windows(2).map(|w| {
            let before = w[0].rsplit(' ').next().unwrap();
            format!("{before} -> {}", w[1])
        }));
    }
    let read = |line: &String| {
        let (before, after) = line.split_once(" -> ")?;
        let (after, words) = after.split_once(" in 100, ")?;
        let words = words.split('.').next()?;
        Some((number(before), number(after), words.to_owned()))
    };
    told.iter().filter_map(read).collect()
}

/// Faults of the advice: `after` are the damages as printed, `says_less` the plans that are said to mean less damage.
fn faults_of_advice(
    scenario: &Scenario,
    text: &str,
    after: &[f64],
    says_less: &[bool],
) -> Vec<String> {
    let mut faults = Vec::new();
    let plain = |i: usize| scenario.plans[i].traps.iter().all(|t| t.neighbours);
    for (head, of_all) in [
        ("Better here: \"", true),
        ("Better without a trap: \"", false),
    ] {
        let Some((name, rest)) = between(text, head, "\". It leaves ") else {
            continue;
        };
        let leaves = number(rest.split(" of 100").next().unwrap());
        let best = scenario.plans.iter().position(|p| p.name == name).unwrap();
        if best == 0 || !plain(best) || !says_less[best] {
            faults.push(format!("{name} is no better plan"));
        }
        if (leaves - after[best]).abs() > 1e-9 || leaves >= after[0] {
            faults.push(format!("{name} leaves {leaves}, not {}", after[best]));
        }
        let rivals = (1..after.len()).filter(|i| of_all || (plain(*i) && says_less[*i]));
        for rival in rivals.filter(|i| after[*i] < leaves) {
            faults.push(format!("{} does better than {name}", NAMES[rival]));
        }
        if !of_all && !(1..after.len()).any(|i| after[i] < leaves) && after[0] >= leaves {
            faults.push("no plan with a trap does better".into());
        }
    }
    let named = |id: &str| {
        let mut all = scenario.plans.iter().flat_map(|p| &p.methods);
        all.any(|m| m.kind.id == id)
    };
    if let Some((advice, _)) = between(text, "Instead: ", ".") {
        if advice.contains("by hand") && named("hand-removal") {
            faults.push("advises the picking that a plan does".into());
        }
        if (advice.contains("mesh") || advice.contains("cover the bed")) && named("row-cover") {
            faults.push("advises the net that a plan has".into());
        }
    }
    faults
}

fn acts(plan: &Plan) -> bool {
    !plan.traps.is_empty() || !plan.methods.is_empty()
}

fn counts_of(scenario: &Scenario, outcome: &RunOutcome, plan: usize) -> [usize; 3] {
    Finding::all(scenario, outcome)[plan].count.of_pairs
}

/// Faults that both texts may have.
fn faults_of_text(scenario: &Scenario, run: &RunOutcome, text: &str) -> Vec<String> {
    let made = run.summers as usize;
    let told = flat(text);
    // The sentences of a comparison come after its table and what its columns mean.
    let sentences = told
        .split_once("unless you set them.")
        .map_or(&told[..], |(_, s)| s);
    let mut faults = Vec::new();
    let after: Vec<f64> = run
        .plans
        .iter()
        .map(|p| (10.0 * p.damage.mean).round() / 10.0)
        .collect();
    let mut says_less = vec![false];
    let changes = changes(text);
    if changes.len() != run.plans.len() - 1 {
        faults.push(format!("{} changes", changes.len()));
        return faults;
    }
    for (i, plan) in run.plans.iter().enumerate().skip(1) {
        let Some(said) = said(sentences, &plan.name) else {
            faults.push(format!("{}: nothing, or two things, said", plan.name));
            says_less.push(false);
            continue;
        };
        says_less.push(said.way == "fewer");
        let against = acts(&scenario.plans[0]);
        let own = faults_of_verdict(&said, (made, against), counts_of(scenario, run, i));
        faults.extend(own.into_iter().map(|f| format!("{}: {f}", plan.name)));
        let (before, now, words) = &changes[i - 1];
        let close = (before - after[0]).abs() < 1e-9 && (now - after[i]).abs() < 1e-9;
        if !close {
            faults.push(format!("{}: {before} -> {now}", plan.name));
        }
        faults.extend(faults_of_change(
            *before,
            *now,
            words,
            scenario.settings.tie_band,
        ));
        // A headline that the averages beside it deny says so.
        let denied = said.way == "fewer" && now > before || said.way == "more" && now < before;
        if denied != (said.rest.contains("Its average went") && said.way != "no") {
            faults.push(format!("{}: the average goes the other way", plan.name));
        }
    }
    if made < 20 && (told.contains("of 20") || told.contains("shown as 20")) {
        faults.push("twenty summers were not run".into());
    }
    if made > 1 && told.contains("one summer tried") {
        faults.push("more than one summer was run".into());
    }
    faults.extend(faults_of_advice(scenario, &told, &after, &says_less));
    faults
}

/// Faults of the account of where answers ended, as either text tells it.
fn faults_of_account(
    text: &str,
    [start, in_trap, elsewhere]: [&str; 3],
    tells: [&str; 2],
) -> Vec<String> {
    let mut faults = Vec::new();
    for part in text.split(start).skip(1) {
        let mine = part.split("- \"").next().unwrap();
        let Some((a, rest)) = mine.split_once(in_trap) else {
            continue;
        };
        let a = number(a.rsplit([' ']).next().unwrap());
        let b = number(rest.split(' ').next().unwrap());
        let c = number(
            rest.split(", ")
                .nth(1)
                .unwrap()
                .split(elsewhere)
                .next()
                .unwrap(),
        );
        let d = between(mine, "And ", " did none").map_or(0.0, |(d, _)| number(d));
        if (a + b + c + d - 100.0).abs() > 0.5 {
            faults.push(format!("{a} + {b} + {c} + {d} of 100"));
        }
        let [more_plants, more_trap] = tells.map(|t| !t.is_empty() && mine.contains(t));
        if more_plants != (b > a) || (!tells[1].is_empty() && more_trap != (a > b)) {
            faults.push(format!("{a} in the trap, {b} not: {mine}"));
        }
    }
    faults
}

fn faults_of_run(scenario: &Scenario, outcome: &RunOutcome) -> (String, Vec<String>) {
    let text = words::without_details(&text::run(scenario, outcome, &[]));
    let mut faults = faults_of_text(scenario, outcome, &text);
    let told = flat(&text);
    if let Some((_, why)) = told.split_once("answered the lure: ") {
        faults.extend(faults_of_account(
            why,
            ["- \"", " ended in a trap, ", " went away"],
            ["More landed on", ""],
        ));
    }
    (text, faults)
}

fn faults_of_comparison(scenario: &Scenario, outcome: &CompareOutcome) -> (String, Vec<String>) {
    let all = compare::text(scenario, outcome, &[]);
    let text = words::without_details(&all);
    let told = flat(&text);
    let mut faults = faults_of_text(scenario, &outcome.run, &text);
    faults.extend(faults_of_account(
        &told,
        ["Of 100 times, ", " led to a trap, ", " to none"],
        ["More came down", "More ended in a trap"],
    ));
    // The groups above the table say what its rows say.
    let (head, below) = text.split_once("plan  ").unwrap();
    let head = flat(head);
    let row = |name: &str| -> Vec<f64> {
        let line = below.lines().find(|l| l.starts_with(&format!("{name} ")));
        let cells = line.unwrap().split_whitespace().skip(1);
        cells.map(number).collect()
    };
    let base = row(NAMES[0])[0];
    for plan in outcome.plans.iter().skip(1) {
        let cells = row(&plan.name);
        let [more, same, less] = [cells[2], cells[3], cells[4]];
        let made = f64::from(outcome.run.summers.min(20));
        if (more + same + less - made).abs() > 0.5 {
            faults.push(format!("{}: {more} + {same} + {less}", plan.name));
        }
        if (base + cells[1] - cells[0]).abs() > 0.151 {
            faults.push(format!("{}: {base} {} {}", plan.name, cells[1], cells[0]));
        }
        let groups: Vec<&str> = [
            "ess damage: ",
            "ore damage: ",
            "ess damage in some summers: ",
            "ore damage in some summers: ",
            "o change: ",
            "either way: ",
            "either way so far: ",
        ]
        .into_iter()
        .filter(|g| {
            between(&head, g, ".")
                .is_some_and(|(names, _)| names.contains(&format!("\"{}\"", plan.name)))
        })
        .collect();
        let holds = match groups[..] {
            ["ess damage: "] => less > more && 2.0 * less >= made,
            ["ore damage: "] => more > less && 2.0 * more >= made,
            ["ess damage in some summers: "] => less > more && 2.0 * less < made,
            ["ore damage in some summers: "] => more > less && 2.0 * more < made,
            ["o change: "] => same >= more.max(less),
            [_] => more > 0.0 && less > 0.0,
            _ => false,
        };
        if !holds {
            faults.push(format!(
                "{}: {groups:?} with {more} {same} {less}",
                plan.name
            ));
        }
    }
    (text, faults)
}

#[test]
fn a_text_says_what_its_numbers_bear_whatever_they_are() {
    let mut shown = Vec::new();
    for seed in 0..TRIES {
        let mut luck = Stream(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66);
        luck.next();
        let mut scenario = yard(&mut luck);
        let outcome = outcome(&mut scenario, &mut luck);
        let compared = comparison(&scenario, outcome.clone(), &mut luck);
        for (text, faults) in [
            faults_of_run(&scenario, &outcome),
            faults_of_comparison(&scenario, &compared),
        ] {
            if !faults.is_empty() {
                shown.push(format!("finding {seed}: {}\n{text}", faults.join("; ")));
            }
        }
    }
    assert!(
        shown.is_empty(),
        "{} texts of {}\n{}",
        shown.len(),
        2 * TRIES,
        shown[..shown.len().min(4)].join("\n")
    );
}

/// What is said against a plan that does something is tried in every form, and but for the plan that it names it is what is
/// said against doing nothing.
#[test]
fn a_plan_is_set_against_another_in_the_words_for_doing_nothing() {
    let mut forms = std::collections::BTreeSet::new();
    for seed in 0..TRIES {
        let mut luck = Stream(seed);
        luck.next();
        let mut scenario = yard(&mut luck);
        let outcome = outcome(&mut scenario, &mut luck);
        let mut other = scenario.clone();
        scenario.plans[0] = fixture::scenario().plans[0].clone();
        other.plans[0] = fixture::scenario().plans[1].clone();
        other.plans[0].name = NAMES[0].into();
        for (plan, finding) in other.plans[1..].iter().zip(&Finding::all(&other, &outcome)) {
            let verdict = |scenario| words::verdict(scenario, &words::quoted(&plan.name), finding);
            let (bare, named) = (verdict(&scenario), verdict(&other));
            let told = &named.sentence;
            let against = format!("\"{}\"", NAMES[0]);
            assert!(!bare.sentence.contains(&against), "{}", bare.sentence);
            let without = [" than ", ", set against ", " against "]
                .into_iter()
                .fold(told.clone(), |text, word| {
                    text.replace(&format!("{word}{against}"), "")
                });
            assert_eq!(without, bare.sentence);
            assert_eq!((named.word, named.rare), (bare.word, bare.rare));
            let said = said(told, &plan.name).unwrap();
            let faults = faults_of_verdict(
                &said,
                (outcome.summers as usize, true),
                finding.count.of_pairs,
            );
            assert!(faults.is_empty(), "{told}: {}", faults.join("; "));
            let also = ["It never went", "It hardly ever", "In the one summer"];
            let also = also.into_iter().filter(|words| told.contains(words));
            forms.extend(std::iter::once(said.way).chain(also));
        }
    }
    assert_eq!(forms.len(), 7, "{forms:?}");
}

/// The reader above finds what it is there to find.
#[test]
fn a_text_that_says_too_much_is_found() {
    let judged = |text: &str, made: (usize, bool), pairs: [usize; 3]| {
        faults_of_verdict(&said(text, "near").unwrap(), made, pairs).join("; ")
    };
    let verdict = |text: &str, made: usize, pairs| judged(text, (made, false), pairs);
    let more = "In 11 of 20 summers, \"near\" meant more chewed leaves. It never went the other way. \
                More in 11 of 20, no change in 9, less in 0.";
    assert_eq!(verdict(more, 100, [55, 45, 0]), "");
    assert_eq!(
        verdict(more, 100, [55, 44, 1]),
        "a summer went the other way"
    );
    assert_eq!(verdict(more, 7, [4, 3, 0]), "a count that was not made");
    let hardly = more.replace("It never", "It hardly ever");
    assert_eq!(
        verdict(&hardly, 100, [55, 45, 0]),
        "no summer went the other way"
    );
    let named = more.replace("leaves.", "leaves than \"bare\".");
    assert_eq!(judged(&named, (100, true), [55, 45, 0]), "");
    assert!(judged(more, (100, true), [55, 45, 0]).contains("set against"));
    assert!(verdict(&named, 100, [55, 45, 0]).contains("set against"));
    let wrong = more.replace("meant more", "led to fewer");
    assert!(verdict(&wrong, 20, [11, 9, 0]).contains("the headline is not its count"));
    let open = "Could go either way: \"near\", chewed leaves. More in 5 of 20, no change in 15, less in 0.";
    assert_eq!(
        verdict(open, 20, [5, 15, 0]),
        "either way with a side of none"
    );
    assert!(faults_of_change(9.5, 9.5, "a little less", 0.0).is_some());
    assert!(faults_of_change(9.5, 4.7, "about half", 1.0).is_none());
    assert!(faults_of_change(9.5, 4.7, "about twice as much", 1.0).is_some());
    assert!(faults_of_change(1.0, 4.0, "about the same", 1.0).is_some());
    let account = "- \"near\": 40 ended in a trap, 43 on a plant, 17 went away. ";
    let read = |text: &str| {
        faults_of_account(
            text,
            ["- \"", " ended in a trap, ", " went away"],
            ["More landed on", ""],
        )
    };
    assert!(!read(account).is_empty());
    assert!(read(&format!("{account}More landed on plants than in the trap.")).is_empty());
    let scenario = fixture::scenario();
    let text = "Better here: \"No trap\". It leaves 9.0 of 100 leaves chewed.";
    assert!(!faults_of_advice(&scenario, text, &[9.0, 8.0, 7.0], &[false; 3]).is_empty());
}
