//! Random findings go through what a class plays and what a room is asked: the moving picture of one summer with its still,
//! the game on paper, and the poll. Each sentence, number and word of a script is judged against what was recorded, thrown
//! or counted. Nothing is named that the yard does not hold.

use crate::findings::{NAMES, flat, pick};
use crate::fixture::Stream;
use crate::product_findings::{
    Facts, Faults, Reader, Texts, count, counts as counts_of, dice, facts, faults_of, results,
    texts,
};
use crate::products::{is, request};
use lurefield::catalogue::{CROPS, Guild, crop};
use lurefield::control::Action;
use lurefield::count::one_summer::{Happening, OneSummer, Track, Twice, What};
use lurefield::figure::sheet::day;
use lurefield::report::products::Request;
use lurefield::report::products::game::Expected;
use lurefield::report::products::results::Results;
use lurefield::report::products::show::{Counts, Show};
use lurefield::report::products::story::rounded;
use lurefield::say::{LANGUAGES, Strings, data};
use lurefield::scenario::{Owner, Plan, Scenario};
use lurefield::stats::paired::Class;
use std::cmp::Ordering;

/// Length of a day that is lived, seconds.
const DAY_S: f64 = 32_400.0;

/// Whether the asker picks or washes insects off under a plan.
fn takes(plan: &Plan) -> bool {
    let kind = |action: &Action| matches!(action, Action::Hands(_) | Action::Water(_));
    plan.methods.iter().any(|m| kind(&m.action))
}

/// A way through the yard with what may happen on it; one in eight is longer than the show has time for, and one in eight
/// ends with the last day.
fn track(luck: &mut Stream, may: &[What], days: u32) -> Track {
    let long = luck.next() < 0.125;
    // The longest way takes less than 6000 s.
    let latest = f64::from(days) * DAY_S - 6000.0;
    let mut t_s = 10.0 * (luck.next() * latest / 10.0).round();
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
    if luck.next() < 0.125
        && let Some(last) = track.events.last_mut()
    {
        last.t_s = f64::from(days) * DAY_S - pick(luck, &[0.0, 60.0]);
    }
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
    let (n, days) = (pick(luck, &[0, 1, 2, 9]), pick(luck, &[1, 2, 5]));
    let insects = (0..n).map(|id| Twice {
        id,
        without: track(luck, &plain, days),
        with: (luck.next() < 0.7).then(|| track(luck, &may, days)),
    });
    let insects: Vec<Twice> = insects.collect();
    OneSummer {
        format: 1,
        scenario: scenario.name.clone(),
        seed: scenario.settings.seed,
        summer: 0,
        day: pick(luck, &[0, 0, 9]),
        days,
        day_s: DAY_S,
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

/// Whether a way is short enough to be shown whole.
fn short(track: &Track) -> bool {
    track.pieces.iter().map(Vec::len).sum::<usize>() < 20
}

/// What was recorded of insects whose ways are shown whole; `None` where one is not.
fn recorded(one: &OneSummer) -> Option<[Counts; 2]> {
    let mut all = one.insects.iter();
    if !all.all(|i| short(&i.without) && short(i.with())) {
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

/// Day of the summer and hour of the day of a moment, from 1, as a clock with this first day, number of days and length of
/// a day in hours tells them; the end of the last day belongs to it.
fn clock((first, days, length): (u64, u64, f64), hours: f64) -> (u64, u64) {
    let day = ((hours / length) as u64).min(days.saturating_sub(1));
    let hour = (hours - day as f64 * length).min(length - 0.01);
    (first + day, hour as u64 + 1)
}

/// The clock of the script tells the day and the hour of each happening that was recorded.
fn clock_faults(one: &OneSummer, data: &serde_json::Value) -> Faults {
    let [first, days] = ["first_day", "days"].map(|key| data[key].as_u64().unwrap_or(0));
    let script = (first, days, data["day_hours"].as_f64().unwrap_or(0.0));
    let own = (
        u64::from(one.day) + 1,
        u64::from(one.days),
        one.day_s / 3600.0,
    );
    let mut faults = Faults::new();
    let shown = data["show"]["insects"].as_array().unwrap();
    for (insect, shown) in one.insects.iter().zip(shown) {
        for (side, track) in [&insect.without, insect.with()].into_iter().enumerate() {
            let events = shown["sides"][side]["events"].as_array().unwrap();
            for (event, told) in track.events.iter().zip(events).filter(|_| short(track)) {
                let is = clock(own, event.t_s / 3600.0);
                let said = clock(script, told[2].as_f64().unwrap());
                if said != is {
                    faults.push(format!("summer: the clock says {said:?}, not {is:?}"));
                }
            }
        }
    }
    faults
}

/// What the show of a summer holds.
fn happens(one: &OneSummer) -> Vec<What> {
    let views = day::stage(
        &crate::products::shipped("allotment-beetles.json"),
        100.0,
        900.0,
    )
    .views;
    let show = Show::new(one, &views, usize::MAX);
    let parts = show.insects.iter().flat_map(|i| &i.sides);
    parts.flat_map(|p| &p.events).map(|e| e.1).collect()
}

/// The catch of a usual summer, where it is one or more.
fn usual(f: &Facts) -> Option<String> {
    let plan = f.plan();
    (plan.traps > 0 && plan.caught >= 0.5).then(|| rounded(plan.caught))
}

/// Pupils tick what the picture shows; with no picture, what a bug may do.
fn ticks(r: &Reader, f: &Facts, raw: &str) -> Faults {
    let shown = f.one.map(happens);
    let may = |any: &[What]| {
        let holds = |all: &Vec<What>| all.iter().any(|what| any.contains(what));
        shown.as_ref().is_none_or(holds)
    };
    let mut faults = Faults::new();
    for (key, any) in [
        ("smelled", &[What::Smelled][..]),
        ("went", &[What::Smelled]),
        ("landed", &[What::Landed]),
        ("ate", &[What::Landed]),
        ("left", &[What::Left, What::LeftPlant, What::GaveUp]),
        ("caught", &[What::Caught]),
    ] {
        let tick = format!("</span>{}</li>", r.s.get(&format!("student.step1.{key}")));
        if raw.contains(&tick) != may(any) {
            faults.push(format!("summer: to tick {key}: {}", raw.contains(&tick)));
        }
    }
    let empty = shown.is_some_and(|all| !all.contains(&What::Caught));
    let told = r.gaps("student.step1.empty");
    let holds = told.iter().map(|g| g["caught"].clone()).next();
    if holds != usual(f).filter(|_| empty) {
        faults.push(format!("summer: the catch of a usual summer {holds:?}"));
    }
    faults
}

/// Beside the catch of some days stands that of a usual summer, and that none was caught where none was.
fn beside_catch(r: &Reader, f: &Facts, caught: usize) -> Option<String> {
    let usual = usual(f);
    let [some, none] = ["summer.usual", "summer.usual.none"].map(|key| {
        let told = r.gaps(key);
        told.first().map(|gaps| gaps["caught"].clone())
    });
    let wanted = match caught {
        0 => [None, usual],
        _ => [usual, None],
    };
    let said = [some, none];
    (said != wanted).then(|| format!("summer: {said:?}, not {wanted:?} with {caught} caught"))
}

/// Key of what differs between the two yards of a picture.
fn line(f: &Facts, plan: &Plan) -> &'static str {
    let next_door = |plan: &Plan| plan.traps.iter().any(|t| t.neighbours);
    let own = plan.traps.iter().any(|t| !t.neighbours) || !plan.methods.is_empty();
    match (next_door(plan) == next_door(&f.scenario.plans[0]), own) {
        (true, _) => "summer.line",
        (false, true) => "summer.line.both",
        (false, false) => "summer.line.theirs",
    }
}

/// 12. The moving picture and its still tell what was recorded: counts, claim, days, and words of the script.
pub(crate) fn summer(r: &Reader, f: &Facts, raw: &str, name: &str) -> Faults {
    let mut faults = Faults::new();
    let of_summer = name.contains("one-summer");
    for (key, holds) in [
        ("teacher.bring.3", f.one.is_some()),
        ("teacher.bring.3.none", f.one.is_none()),
        ("teacher.time.run.do", f.one.is_some()),
        ("teacher.time.run.none.do", f.one.is_none()),
        ("student.step1.do", f.one.is_some()),
        ("student.step1.do.none", f.one.is_none()),
    ] {
        if r.says(key) && !holds {
            faults.push(format!("summer: {key}, recorded: {}", f.one.is_some()));
        }
    }
    if name == "class/student-sheet.html" {
        faults.extend(ticks(r, f, raw));
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
        ("summer.kept.one", "came", one.came, true),
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
    for gaps in r.gaps("slide.summer.claim") {
        if [count(&gaps, "before"), count(&gaps, "after")] != [without.landed, with.landed] {
            faults.push(format!("summer: {gaps:?} of {counts:?}"));
        }
    }
    let drawn = is(name, "svg");
    faults.extend(beside_catch(r, f, with.caught).filter(|_| !drawn));
    let line = line(f, plan);
    for key in ["summer.line", "summer.line.theirs", "summer.line.both"] {
        if !drawn && r.says(key) != (key == line) {
            faults.push(format!("summer: {key} told: {}, not {line}", r.says(key)));
        }
    }
    if name != "one-summer.html" {
        return faults;
    }
    let days = [one.day + 1, one.day + one.days].map(|day| day.to_string());
    let told = ["summer.typical", "summer.typical.one"].map(|key| r.gaps(key));
    let holds = match (&told[0][..], &told[1][..]) {
        ([all], []) => one.days > 1 && [&all["from"], &all["to"]] == days.each_ref(),
        ([], [day]) => one.days == 1 && day["from"] == days[0],
        _ => false,
    };
    if !holds {
        faults.push(format!("summer: the days {told:?}, not {days:?}"));
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
    faults.extend(clock_faults(one, &data));
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
    for word in data["words"].as_object().unwrap().values() {
        let said = word.as_str().unwrap();
        faults.extend(refuted(f, said).map(|fault| format!("summer: {fault}")));
    }
    faults
}

/// Words on their own, in small letters, with a space round each.
fn spaced(text: &str) -> String {
    let words = text.split(|c: char| !c.is_alphanumeric());
    let words: Vec<String> = words
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect();
    format!(" {} ", words.join(" "))
}

pub(crate) fn has(text: &str, words: &[&str]) -> bool {
    let text = spaced(text);
    words.iter().any(|word| text.contains(&spaced(word)))
}

/// What is said of eating and of leaves where nothing eats and no leaf is counted.
fn refuted(f: &Facts, said: &str) -> Option<String> {
    let (eats, leaf): (&[&str], &[&str]) = match f.s.get("language") {
        "es" => (
            &["come", "comen", "comió", "comiendo", "comida", "comidas"],
            &["hoja", "hojas"],
        ),
        _ => (
            &["eat", "eats", "ate", "eating", "meal", "meals"],
            &["leaf", "leaves"],
        ),
    };
    // What leaves something out is no leaf, and a sheet of paper is an "hoja" too.
    let mut text = spaced(said);
    for paper in ["leaves out", "hoja de", "hoja del", "esta hoja"] {
        text = text.replace(&spaced(paper), " ");
    }
    let guild = f.scenario.pest.guild;
    let wrong =
        has(&text, eats) && guild == Guild::EggLayer || has(&text, leaf) && guild != Guild::Chewer;
    wrong.then(|| format!("\"{said}\" of {}", f.scenario.pest.name))
}

/// Pages that a class plays or a room is asked with.
fn played(name: &str) -> bool {
    name.contains("one-summer") || name.starts_with("poll") || name == "class/trap-game.html"
}

/// 15. No plant and no kind of trap is named that the yard does not hold, and no harm that its pest does not do.
pub(crate) fn own(lines: &str, f: &Facts, name: &str) -> Faults {
    let mut faults = Faults::new();
    let sheets = ["class/student-sheet.html", "class/prediction-sheet.html"];
    if played(name) || sheets.contains(&name) {
        let said = lines.lines().filter_map(|line| refuted(f, line.trim()));
        faults.extend(said.map(|fault| format!("own: {fault}")));
    }
    if !played(name) {
        return faults;
    }
    let text = flat(lines);
    let spanish = data("es");
    let grown: Vec<&str> = f.scenario.crops.iter().map(|c| &*c.kind.id).collect();
    for kind in CROPS.iter().filter_map(|(id, _)| crop(id)) {
        if kind.id == "other" || grown.contains(&&*kind.id) {
            continue;
        }
        for name in [kind.name, kind.plural] {
            for name in [spanish.get(&name), Some(&name)].into_iter().flatten() {
                let many = ["", "s", "es"].map(|end| [name, end].concat());
                if has(&text, &many.each_ref().map(|n| &**n)) {
                    faults.push(format!("own: {name}, which do not grow here"));
                }
            }
        }
    }
    let traps = f.scenario.plans.iter().flat_map(|p| &p.traps);
    let hung: Vec<&str> = traps.map(|t| &*f.scenario.trap_kinds[t.kind].id).collect();
    for (kinds, words) in [
        (&["bucket"][..], &["bag", "bags", "bolsa", "bolsas"][..]),
        (&["bucket"], &["bucket", "cubo", "balde"]),
        (&["funnel"], &["funnel", "cone", "embudo", "cono"]),
        (&["delta"], &["delta"]),
        (&["cup"], &["cup", "vaso"]),
        (&["sticky", "delta"], &["sticky", "pegajosa", "pegajoso"]),
    ] {
        if has(&text, words) && !kinds.iter().any(|kind| hung.contains(kind)) {
            faults.push(format!("own: {}, which do not hang here", words[0]));
        }
    }
    faults
}

/// So many numbers of two rolls after those before, as a sheet says them.
fn odds(s: &Strings, before: u32, n: u32) -> String {
    let mut rolls = (1..=6).flat_map(|a| (1..=6).map(move |b| format!("{a}{b}")));
    let low = rolls.nth(before as usize).unwrap();
    match n {
        1 => low,
        n => {
            let high = rolls.nth(n as usize - 2).unwrap();
            s.fill("student.game.odds", &[("low", &low), ("high", &high)])
        }
    }
}

/// 13. The game on paper is thrown as its sheet says, and leads the way of the model.
pub(crate) fn paper_game(r: &Reader, f: &Facts, name: &str, made: bool) -> Faults {
    let mut faults = Faults::new();
    let rules = f.game.map(|game| game.0);
    let expected = f.game.map(|game| game.1);
    let told = f.plan().count.as_ref().map(|count| count.told);
    let most = told.is_some_and(|told| 4 * told.more >= 3 * told.of);
    let leads = expected.is_some_and(|e| e.more > 50.0) && f.class() == Some(Class::More) && most;
    if name.starts_with("class/") && made != leads {
        faults.push(format!(
            "game: made: {made}, of {expected:?} and {:?}",
            f.class()
        ));
    }
    for (key, holds) in [
        ("student.game.need", made),
        ("teacher.bring.4", made),
        ("teacher.game.board", made),
        ("teacher.game.none", !made),
    ] {
        if r.says(key) && !holds {
            faults.push(format!("game: {key}, made: {made}"));
        }
    }
    for (key, gap, n) in [
        ("student.game.rule3", "land", rules.map(|r| (0, r.land))),
        ("student.game.rule6", "plant", rules.map(|r| (0, r.plant))),
        (
            "student.game.rule6b",
            "caught",
            rules.map(|r| (r.plant, r.caught)),
        ),
    ] {
        for gaps in r.gaps(key) {
            let odds = n.map(|(before, n)| odds(r.s, before, n));
            if odds.as_ref() != Some(&gaps[gap]) {
                faults.push(format!("game: {key} {gaps:?}, not {odds:?}"));
            }
        }
    }
    for gaps in r.gaps("teacher.game.expect") {
        let [more, same] = [count(&gaps, "more"), count(&gaps, "same")];
        let near = |n: usize, of: f64| (n as f64 - of).abs() <= 0.5;
        let holds = expected.is_some_and(|e| near(more, e.more) && near(same, e.same));
        if !holds || more < 50 || more + same > 100 {
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

/// The key of an answer of a kind.
fn answer(kind: &str, i: usize) -> String {
    match kind {
        "do" => format!("poll.do.{}", DO[i]),
        kind => format!("poll.{kind}.{}", i + 1),
    }
}

/// Counts that are often none, few, or all on one answer.
pub(crate) fn sheets(luck: &mut Stream) -> Sheets {
    let sizes = [0, 1].map(|_| pick(luck, &[0_u64, 1, 3, 19, 40, 300]));
    let mut all: Sheets = ANSWERS
        .map(|(kind, n)| {
            let most = sizes.map(|size| if luck.next() < 0.2 { size / 10 } else { size });
            let mut left = most;
            let counted = |i: usize| {
                let mut take = |side: usize| {
                    let n = (luck.next() * luck.next() * (left[side] + 1) as f64) as u64;
                    left[side] -= n;
                    n
                };
                (answer(kind, i), [take(0), take(1)])
            };
            (0..n).map(counted).collect()
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

/// The first question, about the plants of the asker: their name where it is one or two, and each has one.
fn asked(f: &Facts) -> String {
    let mine = f.scenario.crops.iter().filter(|c| c.owner == Owner::Mine);
    let named = mine.clone().all(|c| c.kind.id != "other");
    let mut kinds: Vec<&str> = mine.map(|c| &*c.kind.plural).collect();
    kinds.dedup();
    let plants = match kinds[..] {
        [one] => one.to_owned(),
        [one, other] if named => f.s.fill("list.and", &[("most", one), ("last", other)]),
        _ => f.s.get("poll.plants").to_owned(),
    };
    f.s.fill("poll.q1", &[("plants", &plants)])
}

/// 14. A poll asks about the plants of this yard. Its result holds the sheets counted, the share that agrees with the summers, and
///     a warning where sheets are few.
pub(crate) fn poll(r: &Reader, f: &Facts, name: &str) -> Faults {
    let mut faults = Faults::new();
    if name.starts_with("poll") && !r.text.contains(&asked(f)) {
        faults.push(format!("poll: \"{}\" is not asked", asked(f)));
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
    // A trap that lowers damage is answered by those who agree, one that does not by those who disagree.
    let alone = f.plan().only_traps && f.plan().traps > 0 && !f.yard.preview;
    let class = f.class().filter(|_| alone);
    let no = matches!(class, Some(Class::More | Class::NoChange));
    let yes = class == Some(Class::Less);
    let mut none = 0;
    for (key, answers, holds) in [
        ("poll.right.1", &f.sheets[0], no),
        ("poll.right.1.yes", &f.sheets[0], yes),
        ("poll.right.2", &f.sheets[1], true),
    ] {
        let said = if key.ends_with("yes") { 3..5 } else { 0..2 };
        let of = [0, 1].map(|side| share(sum(&answers[said.clone()], side), sum(answers, side)));
        none += usize::from(holds && of.contains(&None));
        let told = r.gaps(key);
        if told.is_empty() != (!holds || of.contains(&None)) {
            faults.push(format!("poll: {key} told: {told:?} of {of:?}, {class:?}"));
        }
        for gaps in told {
            let said = [count(&gaps, "before"), count(&gaps, "after")];
            if said.map(|n| Some(n as u64)) != of {
                faults.push(format!("poll: {key} {gaps:?}, not {of:?}"));
            }
        }
    }
    if r.says("poll.right.1.open") == (yes || no) {
        faults.push(format!("poll: a clear answer with {class:?}"));
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
            let question = match i {
                0 => asked(f),
                _ => r.s.get(&format!("poll.q{}", i + 1)).to_owned(),
            };
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
    let mut each = f.sheets.iter().flat_map(|a| [sum(a, 0), sum(a, 1)]);
    let few = each.any(|n| (1..20).contains(&n));
    if few != r.says("poll.small") {
        faults.push(format!("poll: few sheets: {few}, and what is said of it"));
    }
    faults
}

/// A page, the rule that must find it, a text of the page, and what takes its place.
type Spoil = (&'static str, &'static str, String, String);

/// One change of a page for each thing that a rule of what is played or asked must find.
fn spoils(s: &Strings, f: &Facts) -> Vec<Spoil> {
    let one = f.one.unwrap();
    let views = day::stage(f.scenario, 100.0, 900.0).views;
    let show = Show::new(one, &views, usize::MAX);
    let [without, with] = [0, 1].map(|side| show.counts(side));
    let (rules, expected) = f.game.unwrap();
    let number = |n: usize| n.to_string();
    let filled = |key: &str, gaps: &[(&str, String)]| {
        let gaps: Vec<(&str, &str)> = gaps.iter().map(|(k, v)| (*k, v.as_str())).collect();
        s.fill(key, &gaps)
    };
    let still = |landed: usize| {
        let gaps = [
            ("it", f.it().to_owned()),
            ("them", s.get("them.trap").to_owned()),
            ("meals_without", number(without.landed)),
            ("meals_with", number(landed)),
        ];
        filled("summer.level2", &gaps)
    };
    let scent = |caught: usize| {
        let gaps = [
            ("smelled", number(with.smelled)),
            ("caught", number(caught)),
        ];
        filled("summer.level2.scent", &gaps)
    };
    let typical = |first: u32| {
        let key = match one.days {
            1 => "summer.typical.one",
            _ => "summer.typical",
        };
        let last = one.day + one.days;
        filled(
            key,
            &[("from", first.to_string()), ("to", last.to_string())],
        )
    };
    let kept = |came: usize| {
        let all = filled("summer.kept", &[("came", number(came))]);
        all[..all.find('{').unwrap()].to_owned()
    };
    let rule3 = |n: u32| filled("student.game.rule3", &[("land", odds(s, 0, n))]);
    let rule6 = |n: u32| filled("student.game.rule6", &[("plant", odds(s, 0, n))]);
    let rule6b = |n: u32| {
        let caught = odds(s, rules.plant, n);
        filled("student.game.rule6b", &[("caught", caught)])
    };
    let tie = |more: f64| {
        let gaps = [
            ("more", format!("{more:.0}")),
            ("same", format!("{:.0}", expected.same)),
        ];
        filled("teacher.game.expect", &gaps)
    };
    let mean = |with: f64| {
        let gaps = [
            ("without", format!("{:.1}", expected.without)),
            ("with", format!("{with:.1}")),
        ];
        filled("teacher.game.mean", &gaps)
    };
    let sum = |i: usize, side: usize| f.sheets[i].iter().map(|a| a.1[side]).sum::<u64>();
    let most = |side: usize| (0..4).map(|i| sum(i, side)).max().unwrap();
    let sheets = |before: u64| {
        let gaps = [
            ("before", before.to_string()),
            ("after", most(1).to_string()),
        ];
        filled("poll.result.line", &gaps)
    };
    let key = |key: &str| {
        let text = s.get(key);
        text[..text.find('{').unwrap_or(text.len())].to_owned()
    };
    let said = |key: &str| s.get(key).to_owned();
    let (still_page, page) = ("slides/slide-one-summer.txt", "one-summer.html");
    let (sheet, teacher) = ("class/trap-game.html", "class/teacher-page.html");
    let (form, result) = ("poll.html", "poll-result.html");
    let plan = f.scenario.plans.iter().find(|p| p.name == one.with);
    let plan = plan.unwrap();
    let claim = |before: usize| {
        let (start, _) = s.get("slide.summer.claim").split_once("{before}").unwrap();
        format!("{start}{before} ")
    };
    let usual_catch = f.plan().caught.round() as usize;
    let beside = |n: usize| {
        let key = match with.caught {
            0 => "summer.usual.none",
            _ => "summer.usual",
        };
        filled(key, &[("caught", rounded(n as f64))])
    };
    let tick = |key: &str| format!("</span>{}</li>", said(&format!("student.step1.{key}")));
    vec![
        (
            still_page,
            "summer",
            still(with.landed),
            still(with.landed + 1),
        ),
        (
            still_page,
            "summer",
            scent(with.caught),
            scent(with.caught + 1),
        ),
        (
            "slides/slide-one-summer.svg",
            "summer",
            claim(without.landed),
            claim(without.landed + 1),
        ),
        (
            page,
            "summer",
            said(line(f, plan)),
            said("summer.line.theirs"),
        ),
        (page, "summer", beside(usual_catch), beside(usual_catch + 1)),
        (
            "class/student-sheet.html",
            "summer",
            tick("landed"),
            String::new(),
        ),
        (
            "class/student-sheet.html",
            "summer",
            said("student.step1.do"),
            said("student.step1.do.none"),
        ),
        (
            teacher,
            "summer",
            said("teacher.time.run.do"),
            said("teacher.time.run.none.do"),
        ),
        (page, "summer", typical(one.day + 1), typical(one.day + 2)),
        (page, "summer", kept(one.came), kept(one.came + 1)),
        (
            page,
            "summer",
            format!("\"first_day\":{}", one.day + 1),
            format!("\"first_day\":{}", one.day + 2),
        ),
        (page, "summer", "\"landed\"".into(), "\"left\"".into()),
        (
            page,
            "summer",
            "\"day_hours\":9.0".into(),
            "\"day_hours\":0.5".into(),
        ),
        (page, "summer", said("summer.gave-up"), said("summer.gone")),
        (
            page,
            "summer",
            format!("{}</th>", said("summer.count.meals")),
            format!("{}</th>", said("summer.count.taken")),
        ),
        (
            page,
            "own",
            said("summer.keys"),
            "Near the blueberries.".into(),
        ),
        (page, "own", said("summer.keys"), "A full funnel.".into()),
        (sheet, "game", rule3(rules.land), rule3(rules.land + 1)),
        (sheet, "game", rule6(rules.plant), rule6(rules.plant - 1)),
        (
            sheet,
            "game",
            rule6b(rules.caught),
            rule6b(rules.caught + 1),
        ),
        (
            teacher,
            "game",
            tie(expected.more),
            tie(expected.more - 2.0),
        ),
        (
            teacher,
            "game",
            mean(expected.with),
            mean(expected.with - 0.2),
        ),
        (
            teacher,
            "game",
            said("teacher.game.board"),
            said("teacher.game.none"),
        ),
        (form, "poll", asked(f), said("poll.q2")),
        (form, "own", said("poll.line"), "Near my roses.".into()),
        (result, "poll", sheets(most(0)), sheets(most(0) + 1)),
        (result, "poll", key("poll.right.1"), key("poll.right.1.yes")),
        (result, "poll", key("poll.right.2"), key("poll.right.1")),
        (
            result,
            "poll",
            key("poll.right.1"),
            [s.get("poll.right.1.open"), &key("poll.right.1")].join(" "),
        ),
        (result, "poll", said("poll.small"), String::new()),
        (
            result,
            "poll",
            format!("{}</td>", said("poll.change.same")),
            "1</td>".into(),
        ),
    ]
}

/// A finding of the allotment whose trap leads to more damage: its summer is recorded, and its game is made.
fn led_astray(s: &Strings, sheets: &Sheets) -> (Scenario, Results) {
    for seed in 0..6000 {
        let mut luck = Stream(seed);
        luck.next();
        let (mut scenario, mut results) = results(&mut luck);
        let rose = scenario.crops.iter().any(|c| c.kind.id == "rose");
        if scenario.pest.guild != Guild::Chewer || rose {
            continue;
        }
        dice(&mut scenario, &mut results, (0.3, Some(60)));
        for plan in &mut results.yard.as_mut().unwrap().plans {
            plan.caught = if plan.traps > 0 { 38.0 } else { 0.0 };
        }
        let f = facts(s, &scenario, &results, (None, sheets));
        let [more, ..] = counts_of(f.plan()).unwrap_or_default();
        let fits = f.class() == Some(Class::More)
            && more >= 15
            && f.game
                .is_some_and(|(rules, e)| e.more > 55.0 && rules.caught > 1)
            && (f.plan().traps, f.plan().only_traps, f.yard.preview) == (1, true, false)
            && f.one
                .and_then(recorded)
                .is_some_and(|[_, with]| with.landed > 0);
        if fits {
            return (scenario, results);
        }
    }
    panic!("no such finding");
}

/// Each rule finds what it is there to find: a page with another number or word, in each language.
#[test]
fn a_play_page_that_says_too_much_is_found() {
    // 30 sheets before and 19 after, of which 10 and 9 disagree with both sentences.
    let sheets: Sheets = ANSWERS
        .map(|(kind, n)| {
            let counts = [[4, 3], [6, 6], [0, 0], [20, 10], [0, 0]];
            (0..n).map(|i| (answer(kind, i), counts[i])).collect()
        })
        .into();
    let english = Strings::of("en").unwrap();
    let (scenario, results) = led_astray(&english, &sheets);
    for (code, _) in LANGUAGES {
        let s = Strings::of(code).unwrap();
        let f = facts(&s, &scenario, &results, (None, &sheets));
        let request = Request {
            language: (*code).into(),
            poll: Some(table(&s, &sheets)),
            ..request()
        };
        let (all, files) = texts(&s, &results, &request);
        assert_eq!(faults_of(&f, &all, &files), Faults::new());
        for (page, rule, from, to) in spoils(&s, &f) {
            assert!(all[page].contains(&from), "{page} does not say {from}");
            let mut spoiled: Texts = all.clone();
            spoiled.insert(page.into(), all[page].replacen(&from, &to, 1));
            let faults = faults_of(&f, &spoiled, &files);
            let start = format!("{page}: {rule}: ");
            assert!(
                faults.iter().any(|fault| fault.starts_with(&start)),
                "{page}: {to:?} for {from:?} is not found: {faults:?}"
            );
        }
        // Dice that do not lead the way of the summers.
        let mut open = facts(&s, &scenario, &results, (None, &sheets));
        open.game = f
            .game
            .map(|(rules, e)| (rules, Expected { more: 49.0, ..e }));
        let faults = faults_of(&open, &all, &files);
        let start = "class/trap-game.html: game: made";
        assert!(faults.iter().any(|fault| fault.starts_with(start)));
    }
}

/// Leaves are spoken of where leaves are chewed, and eating wherever something eats.
#[test]
fn harm_that_the_pest_does_not_do_is_found() {
    for (code, ate, leaf) in [
        ("en", "It landed and ate.", "One leaf lost."),
        ("es", "Se posó y comió.", "Una hoja perdida."),
    ] {
        let s = Strings::of(code).unwrap();
        let sheets = Sheets::new();
        let mut luck = Stream(1);
        let (mut scenario, results) = results(&mut luck);
        for (guild, wrong) in [
            (Guild::Chewer, [false, false]),
            (Guild::Piercer, [false, true]),
            (Guild::Visitor, [false, true]),
            (Guild::EggLayer, [true, true]),
        ] {
            scenario.pest.guild = guild;
            let f = facts(&s, &scenario, &results, (None, &sheets));
            let found = [ate, leaf].map(|said| !own(said, &f, "one-summer.html").is_empty());
            assert_eq!(found, wrong, "{code}, {guild:?}");
        }
    }
}
