//! Random findings go through what a class plays and what a room is asked: the moving picture of one summer with its still,
//! the game on paper, and the poll. Each sentence, number and word of a script is judged against what was recorded, thrown
//! or counted.

use crate::findings::{NAMES, flat, pick};
use crate::fixture::Stream;
use crate::product_findings::{Facts, Faults, Reader, count};
use lurefield::catalogue::Guild;
use lurefield::control::Action;
use lurefield::count::one_summer::{Happening, OneSummer, Track, Twice, What};
use lurefield::figure::sheet::day;
use lurefield::report::products::game;
use lurefield::report::products::show::{Counts, Show};
use lurefield::say::Strings;
use lurefield::scenario::{Plan, Scenario};
use lurefield::stats::paired::Class;
use std::cmp::Ordering;

/// Whether the asker picks or washes insects off under a plan.
fn takes(plan: &Plan) -> bool {
    let kind = |action: &Action| matches!(action, Action::Hands(_) | Action::Water(_));
    plan.methods.iter().any(|m| kind(&m.action))
}

/// A way through the yard with what may happen on it; one in eight is longer than the show has time for.
fn track(luck: &mut Stream, may: &[What]) -> Track {
    let long = luck.next() < 0.125;
    let mut t_s = 10.0 * (luck.next() * 3000.0).round();
    let mut track = Track::default();
    let mut piece = Vec::new();
    for _ in 0..if long {
        60
    } else {
        1 + (luck.next() * 8.0) as usize
    } {
        piece.push([t_s, (80.0 * luck.next()).round() / 10.0, 3.0]);
        if luck.next() < 0.6 {
            let what = pick(luck, may);
            track.events.push(Happening { t_s, what });
            if matches!(what, What::Caught | What::Taken | What::Left | What::Gone) {
                break;
            }
        }
        t_s += if long { 90.0 } else { 5.0 };
    }
    track.pieces.push(piece);
    track
}

/// Some days of a summer under the first plan and another one.
pub(crate) fn one_summer(scenario: &Scenario, with: usize, luck: &mut Stream) -> OneSummer {
    let plain = [
        What::Landed,
        What::Landed,
        What::LeftPlant,
        What::Left,
        What::Gone,
    ];
    let mut may = plain.to_vec();
    let plan = &scenario.plans[with];
    if !plan.traps.is_empty() {
        may.extend([What::Smelled, What::Smelled, What::GaveUp, What::Caught]);
    }
    if takes(plan) {
        may.push(What::Taken);
    }
    let n = pick(luck, &[0, 1, 2, 9]);
    let insects = (0..n).map(|id| Twice {
        id,
        without: track(luck, &plain),
        with: (luck.next() < 0.7).then(|| track(luck, &may)),
    });
    let insects: Vec<Twice> = insects.collect();
    OneSummer {
        format: 1,
        scenario: scenario.name.clone(),
        seed: scenario.settings.seed,
        summer: 0,
        day: pick(luck, &[0, 0, 9]),
        days: pick(luck, &[1, 2, 5]),
        day_s: 32_400.0,
        without: NAMES[0].into(),
        with: NAMES[with].into(),
        came: insects.len() + pick(luck, &[0, 0, 30]),
        view_m: [0.0, 0.0, 9.0, 9.0],
        insects,
    }
}

/// The data that the script of a page reads.
fn data_of(raw: &str) -> Option<serde_json::Value> {
    let (_, data) = raw.split_once("<script type=\"application/json\" id=\"data\">")?;
    serde_json::from_str(data.split_once("</script>")?.0).ok()
}

/// What the catalogue calls a happening.
fn named(what: What) -> String {
    let name = serde_json::to_value(what).unwrap();
    ["summer.", name.as_str().unwrap()].concat()
}

/// What moves on a page, as its script counts it: landings, answers, catches and those taken, on each side.
fn moving(data: &serde_json::Value) -> [Counts; 2] {
    [0, 1].map(|side| {
        let insects = data["show"]["insects"].as_array().unwrap().iter();
        let events = insects.flat_map(|i| i["sides"][side]["events"].as_array().unwrap());
        let events: Vec<&str> = events.map(|e| e[1].as_str().unwrap()).collect();
        let n = |what: &str| events.iter().filter(|e| **e == what).count();
        Counts {
            landed: n("landed"),
            smelled: n("smelled"),
            caught: n("caught"),
            taken: n("taken"),
        }
    })
}

/// What was recorded of insects whose ways are short enough to be shown whole; `None` where one is not.
fn recorded(one: &OneSummer) -> Option<[Counts; 2]> {
    let short = |t: &Track| t.pieces.iter().map(Vec::len).sum::<usize>() < 20;
    if !one
        .insects
        .iter()
        .all(|i| short(&i.without) && short(i.with()))
    {
        return None;
    }
    let on = |of: fn(&Twice) -> &Track| {
        let events: Vec<What> = one
            .insects
            .iter()
            .flat_map(|i| &of(i).events)
            .map(|e| e.what)
            .collect();
        let n = |what: What| events.iter().filter(|e| **e == what).count();
        Counts {
            landed: n(What::Landed),
            smelled: n(What::Smelled),
            caught: n(What::Caught),
            taken: n(What::Taken),
        }
    };
    Some([on(|i| &i.without), on(Twice::with)])
}

/// 12. The moving picture and its still tell what was recorded: counts, claim, days, and words of the script.
pub(crate) fn summer(r: &Reader, f: &Facts, raw: &str, name: &str) -> Faults {
    let mut faults = Faults::new();
    let of_summer = name == "one-summer.html" || name.contains("slide-one-summer");
    for (key, holds) in [
        ("teacher.bring.3", f.one.is_some()),
        ("teacher.bring.3.none", f.one.is_none()),
    ] {
        if r.says(key) && !holds {
            faults.push(format!("summer: {key}, recorded: {}", f.one.is_some()));
        }
    }
    let Some(one) = f.one.filter(|_| of_summer) else {
        if of_summer {
            faults.push("summer: told, and none was recorded".into());
        }
        return faults;
    };
    let views = day::stage(f.scenario, 100.0, 900.0).views;
    let show = Show::new(one, &views, usize::MAX);
    let counts = [0, 1].map(|side| show.counts(side));
    if recorded(one).is_some_and(|recorded| recorded != counts) {
        faults.push(format!(
            "summer: {counts:?} shown, {:?} recorded",
            recorded(one)
        ));
    }
    let [without, with] = counts;
    let plan = f
        .scenario
        .plans
        .iter()
        .find(|p| p.name == one.with)
        .unwrap();
    let trapped = !plan.traps.is_empty();
    for gaps in r.gaps("summer.level2") {
        if gaps["it"] != f.it() {
            faults.push(format!("summer: {gaps:?}, not \"{}\"", f.it()));
        }
    }
    let told = [
        ("summer.level2", "meals_without", without.landed, true),
        ("summer.level2", "meals_with", with.landed, true),
        ("summer.level2.scent", "smelled", with.smelled, trapped),
        ("summer.level2.scent", "caught", with.caught, trapped),
        ("summer.level2.taken", "taken", with.taken, takes(plan)),
        ("summer.kept", "came", one.came, true),
        ("summer.kept", "shown", one.insects.len(), true),
    ];
    for (key, gap, n, holds) in told {
        for gaps in r.gaps(key) {
            if !holds || count(&gaps, gap) != n {
                faults.push(format!("summer: {key} {gaps:?}, not {n}"));
            }
        }
    }
    for gaps in r.gaps("summer.kept") {
        let days = match one.days {
            1 => r.s.get("summer.days.1").to_owned(),
            n => r.s.fill("summer.days", &[("days", &n.to_string())]),
        };
        if gaps["days"] != days {
            faults.push(format!("summer: {gaps:?}, not {days}"));
        }
    }
    let order = with.landed.cmp(&without.landed);
    for (key, of) in [
        ("slide.summer.claim", Ordering::Greater),
        ("slide.summer.claim.less", Ordering::Less),
        ("slide.summer.claim.same", Ordering::Equal),
    ] {
        if r.says(key) && order != of {
            faults.push(format!(
                "summer: {key} with {} and {}",
                without.landed, with.landed
            ));
        }
    }
    // The first days of the summer are those from its first day on.
    let typical = r.s.get("summer.typical");
    let first = ["first days", "primeros días"]
        .iter()
        .any(|w| typical.contains(w));
    if r.says("summer.typical") && first && (one.day > 0 || one.days == 1) {
        faults.push(format!("summer: {typical} from day {} on", one.day + 1));
    }
    if name != "one-summer.html" {
        return faults;
    }
    let rows = [
        ("smelled", without.smelled, with.smelled, trapped),
        ("meals", without.landed, with.landed, true),
        ("caught", without.caught, with.caught, trapped),
        ("taken", without.taken, with.taken, takes(plan)),
    ];
    for (kind, before, after, holds) in rows {
        let row = format!(
            "{} {before} {after}",
            r.s.get(&format!("summer.count.{kind}"))
        );
        if holds != r.text.contains(&row) {
            faults.push(format!("summer: {row} in the table: {}", !holds));
        }
    }
    let Some(data) = data_of(raw) else {
        return vec!["summer: no data for the script".into()];
    };
    if moving(&data) != counts {
        faults.push(format!(
            "summer: {:?} move, {counts:?} are told",
            moving(&data)
        ));
    }
    if data["first_day"] != one.day + 1 || data["days"] != one.days {
        faults.push(format!(
            "summer: the clock begins on day {}",
            data["first_day"]
        ));
    }
    let all = [
        What::Smelled,
        What::Landed,
        What::LeftPlant,
        What::GaveUp,
        What::Caught,
        What::Left,
        What::Taken,
        What::Gone,
    ];
    for key in all.map(named) {
        if data["words"][&key] != r.s.get(&key) {
            faults.push(format!(
                "summer: the script says {} for {key}",
                data["words"][&key]
            ));
        }
    }
    for (key, word) in data["words"].as_object().unwrap() {
        faults.extend(refuted(f, key, word.as_str().unwrap()));
    }
    faults
}

/// What is said of eating and of leaves where nothing eats and no leaf is counted.
fn refuted(f: &Facts, key: &str, said: &str) -> Option<String> {
    let words: Vec<String> = said
        .split(|c: char| !c.is_alphabetic())
        .map(str::to_lowercase)
        .collect();
    let has = |of: &[&str]| of.iter().any(|w| words.iter().any(|word| word == w));
    let guild = f.scenario.pest.guild;
    let eats = has(&["eat", "eats", "ate", "eating", "come", "comió", "comiendo"]);
    let leaf = has(&["leaf", "leaves", "hoja", "hojas"]);
    let wrong = eats && guild == Guild::EggLayer || leaf && guild != Guild::Chewer;
    wrong.then(|| format!("play: {key} says \"{said}\" of {}", f.scenario.pest.name))
}

/// 13. The game on paper is thrown as its sheet says, leads the way of the model, and speaks of this yard.
pub(crate) fn paper_game(r: &Reader, f: &Facts, name: &str, made: bool) -> Faults {
    let mut faults = Faults::new();
    for key in ["student.game", "teacher.game", "summer.l", "student.step1"] {
        for (key, said) in r.s.all().filter(|(k, _)| k.starts_with(key)) {
            if r.says(key) {
                faults.extend(refuted(f, key, said));
            }
        }
    }
    let rules = game::rules(f.scenario);
    let expected = rules.map(|rules| game::expected(rules, 4000, 1));
    let leads = expected.is_some_and(|e| e.more >= 75.0) && f.class() == Some(Class::More);
    if name.starts_with("class/") && made != leads {
        faults.push(format!(
            "game: made: {made}, of {expected:?} and {:?}",
            f.class()
        ));
    }
    for (key, holds) in [
        ("student.game.need", made),
        ("teacher.bring.4", made),
        ("teacher.game.why", made),
        ("teacher.game.none", !made),
    ] {
        if r.says(key) && !holds {
            faults.push(format!("game: {key}, made: {made}"));
        }
    }
    for (key, gap, n) in [
        ("student.game.rule3", "land", rules.map(|r| r.land)),
        ("student.game.rule6", "plant", rules.map(|r| r.plant)),
    ] {
        for gaps in r.gaps(key) {
            if n.is_none_or(|n| gaps[gap] != n.to_string()) {
                faults.push(format!("game: {key} {gaps:?}, not {n:?}"));
            }
        }
    }
    if ["1 to 1,", "1 a 1,"].iter().any(|w| r.text.contains(w)) {
        faults.push("game: from 1 to 1".into());
    }
    for gaps in r.gaps("teacher.game.expect") {
        let [more, same] = [count(&gaps, "more"), count(&gaps, "same")];
        let near = |n: usize, of: f64| (n as f64 - of).abs() <= 0.5;
        let holds = expected.is_some_and(|e| near(more, e.more) && near(same, e.same));
        if !holds || more < 75 || more + same > 100 {
            faults.push(format!("game: {gaps:?} of {expected:?}"));
        }
    }
    for gaps in r.gaps("teacher.game.mean") {
        let [a, b] = ["without", "with"].map(|k| gaps[k].parse().unwrap_or(f64::NAN));
        let near = |n: f64, of: f64| (n - of).abs() <= 0.051;
        if !expected.is_some_and(|e| near(a, e.without) && near(b, e.with)) || a >= b {
            faults.push(format!("game: {gaps:?} of {expected:?}"));
        }
    }
    faults
}

/// Answers of a poll by question: key of the answer, sheets before and after.
pub(crate) type Sheets = Vec<Vec<(String, [u64; 2])>>;

/// Keys of the answers of each question.
const ANSWERS: [(&str, usize); 4] = [("agree", 5), ("agree", 5), ("sure", 4), ("do", 5)];
const DO: [&str; 5] = ["trap", "pick", "cover", "look", "nothing"];

/// Counts that are often none, few, or all on one answer.
pub(crate) fn sheets(luck: &mut Stream) -> Sheets {
    let key = |kind: &str, i: usize| match kind {
        "do" => format!("poll.do.{}", DO[i]),
        kind => format!("poll.{kind}.{}", i + 1),
    };
    let sizes = [0, 1].map(|_| pick(luck, &[0_u64, 1, 3, 19, 40, 300]));
    let mut all: Sheets = ANSWERS
        .map(|(kind, n)| {
            let most = sizes.map(|size| if luck.next() < 0.2 { size / 10 } else { size });
            let mut left = most;
            let answer = |i: usize| {
                let mut take = |side: usize| {
                    let n = (luck.next() * luck.next() * (left[side] + 1) as f64) as u64;
                    left[side] -= n;
                    n
                };
                (key(kind, i), [take(0), take(1)])
            };
            (0..n).map(answer).collect()
        })
        .into();
    // A poll of no sheet is refused.
    all[0][0].1[0] += 1;
    all
}

/// The table of counts as somebody would fill it in.
pub(crate) fn table(s: &Strings, sheets: &Sheets) -> String {
    let columns = ["item", "answer", "before", "after"].map(|c| s.get(&format!("poll.col.{c}")));
    let row = |(i, (key, [before, after])): (usize, &(String, [u64; 2]))| {
        let answer = s.get(key);
        format!("\n{i},{answer},{before},{after}")
    };
    let numbered = sheets.iter().enumerate();
    let answers = numbered.flat_map(|(i, answers)| answers.iter().map(move |a| (i + 1, a)));
    columns.join(",") + &answers.map(row).collect::<String>() + "\n"
}

/// 14. The result of a poll holds the sheets counted, shares of them, and a warning where they are few.
pub(crate) fn poll(r: &Reader, f: &Facts, name: &str) -> Faults {
    let mut faults = Faults::new();
    let roses = f.scenario.crops.iter().any(|c| c.kind.id == "rose");
    for key in ["poll.q1", "poll.right.1"] {
        let said = r.s.get(key);
        let of_roses = ["rose", "rosal"].iter().any(|w| said.contains(w));
        if r.says(key) && of_roses && !roses {
            faults.push(format!("poll: {key} speaks of roses that do not grow here"));
        }
    }
    if name != "poll-result.html" {
        return faults;
    }
    let sum = |answers: &[(String, [u64; 2])], side: usize| -> u64 {
        answers.iter().map(|(_, n)| n[side]).sum()
    };
    let share = |n: u64, of: u64| (of > 0).then(|| (100.0 * n as f64 / of as f64).round() as u64);
    let most = [0, 1].map(|side| f.sheets.iter().map(|a| sum(a, side)).max().unwrap_or(0));
    for gaps in r.gaps("poll.result.line") {
        if [count(&gaps, "before"), count(&gaps, "after")] != most.map(|n| n as usize) {
            faults.push(format!("poll: {gaps:?}, not {most:?}"));
        }
    }
    let mut none = 0;
    for (key, answers) in ["poll.right.1", "poll.right.2"].into_iter().zip(f.sheets) {
        let of = [0, 1].map(|side| share(sum(&answers[..2], side), sum(answers, side)));
        none += usize::from(of.contains(&None));
        let told = r.gaps(key);
        if told.is_empty() != of.contains(&None) {
            faults.push(format!("poll: {key} told: {told:?} of {of:?}"));
        }
        for gaps in told {
            let said = [count(&gaps, "before"), count(&gaps, "after")];
            if said.map(|n| Some(n as u64)) != of {
                faults.push(format!("poll: {key} {gaps:?}, not {of:?}"));
            }
            let some = ["Some ", "Algunos "]
                .iter()
                .any(|w| r.s.get(key).starts_with(w));
            if some && of == [Some(0); 2] {
                faults.push(format!("poll: {key} of none"));
            }
        }
    }
    if r.gaps("poll.right.none").len() != none {
        faults.push(format!("poll: too few sheets for {none}"));
    }
    // Every row of the table is its counts, its shares, and their difference.
    for (i, answers) in f.sheets.iter().enumerate() {
        let all = [0, 1].map(|side| sum(answers, side));
        for (key, n) in answers {
            let of = [share(n[0], all[0]), share(n[1], all[1])];
            let change = match of {
                [Some(a), Some(b)] => {
                    let key = match b.cmp(&a) {
                        Ordering::Greater => "poll.change.up",
                        Ordering::Less => "poll.change.down",
                        Ordering::Equal => "poll.change.same",
                    };
                    r.s.fill(key, &[("n", &b.abs_diff(a).to_string())])
                }
                _ => String::new(),
            };
            let shares = of.map(|n| n.map_or_else(String::new, |n| n.to_string()));
            let question = r.s.get(&format!("poll.q{}", i + 1));
            let (answer, [a, b]) = (r.s.get(key), n);
            let row = format!(
                "{question} {answer} {a} {b} {} {} {change}",
                shares[0], shares[1]
            );
            if !r.text.contains(&flat(&row)) {
                faults.push(format!("poll: no row {row}"));
            }
        }
    }
    let each = f.sheets.iter().flat_map(|a| [sum(a, 0), sum(a, 1)]);
    let few = each.filter(|n| (1..20).contains(n)).count() > 0;
    if few && !r.says("poll.small") {
        faults.push("poll: shares of few sheets without a warning".into());
    }
    faults
}
