//! Random seasons: whatever is asked of a season, its text, pictures, tables and calendar file say the same dates, advise no
//! trap without its warning, and say one thing about covers at bloom, in every language.
//!
//! The program itself is asked; what it writes is read back through the catalogue of sentences.

use crate::command::{folder, season as run, stderr, stdout};
use crate::markup::plain;
use lurefield::catalogue::season::{SEASONS, bloom, season};
use lurefield::say::{LANGUAGES, Strings, data, fill};
use std::collections::BTreeMap;

/// Questions that are asked, each in every language.
const TRIES: u64 = 40;

/// A repeatable stream of numbers in \[0, 1).
struct Luck(u64);

impl Luck {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn whole(&mut self, from: u64, to: u64) -> u64 {
        from + (self.next() * (to - from + 1) as f64) as u64
    }

    fn day(&mut self, months: [u64; 2]) -> String {
        format!(
            "2014-{:02}-{:02}",
            self.whole(months[0], months[1]),
            self.whole(1, 28)
        )
    }
}

/// The words of a command, and the notebook that it reads.
fn asked(luck: &mut Luck) -> (Vec<String>, String) {
    let (pest, _) = SEASONS[luck.whole(0, SEASONS.len() as u64 - 1) as usize];
    let mut words: Vec<String> = ["--pest", pest, "--data", "seattle", "--out", "o"]
        .map(String::from)
        .to_vec();
    let mut add = |option: &str, value: String| words.extend([option.to_owned(), value]);
    add("--until", luck.day([3, 11]));
    let crops: Vec<String> = bloom().keys().cloned().collect();
    if luck.next() < 0.7 {
        add(
            "--crop",
            crops[luck.whole(0, crops.len() as u64 - 1) as usize].clone(),
        );
        if luck.next() < 0.4 {
            let month = luck.whole(4, 8);
            let first = luck.whole(1, 15);
            let last = luck.whole(first, 28);
            add(
                "--bloom",
                format!("2014-{month:02}-{first:02}..2014-{month:02}-{last:02}"),
            );
        }
    }
    if luck.next() < 0.4 {
        add("--biofix", luck.day([4, 6]));
    }
    let tables = season(pest).unwrap().tables;
    if luck.next() < 0.3 && !tables.is_empty() {
        let table = luck.whole(0, tables.len() as u64 - 1) as usize;
        add("--table", tables[table].id.clone());
    }
    if luck.next() < 0.3 {
        add("--scale", ["f", "c"][luck.whole(0, 1) as usize].into());
    }
    if luck.next() < 0.3 {
        add("--window-days", luck.whole(1, 30).to_string());
    }
    let mut notebook = String::from("trap_id,date_set,date_checked,count\n");
    if luck.next() < 0.6 {
        add("--counts", "n.csv".into());
        let step = luck.whole(1, 9);
        for i in 0..luck.whole(1, 12) {
            let day = 1 + i * step;
            let set = if i == 0 { "2014-04-20" } else { "" };
            let count = luck.whole(0, 3) * luck.whole(0, 9);
            notebook += &format!(
                "old,{set},2014-{:02}-{:02},{count}\n",
                5 + (day - 1) / 28,
                1 + (day - 1) % 28
            );
        }
    }
    (words, notebook)
}

/// What a season wrote: texts by file, each on one line; the terminal's text is `terminal`.
struct Written<'a> {
    s: &'a Strings,
    code: &'a str,
    all: BTreeMap<String, String>,
    season: serde_json::Value,
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words of a drawing.
fn drawn(svg: &str) -> String {
    let parts = svg.split("<text").skip(1);
    let words = parts.filter_map(|p| p.split_once('>')?.1.split_once('<'));
    let words: Vec<String> = words.map(|(w, _)| w.trim().to_owned()).collect();
    plain(words.join(" "))
}

/// A calendar file without its folds and escapes.
fn unfolded(ics: &str) -> String {
    ics.replace("\r\n ", "")
        .replace("\\,", ",")
        .replace("\\;", ";")
        .replace("\\n", " ")
        .replace("\\\\", "\\")
}

/// What is written; an error where the question makes no sense.
fn written<'a>(
    s: &'a Strings,
    code: &'a str,
    words: &[String],
    notebook: &str,
) -> Result<Written<'a>, String> {
    let dir = folder();
    std::fs::write(dir.path().join("n.csv"), notebook).unwrap();
    let mut args: Vec<&str> = words.iter().map(String::as_str).collect();
    args.extend(["--language", code]);
    let output = run(dir.path(), &args);
    if !output.status.success() {
        return Err(stderr(&output));
    }
    let mut all = BTreeMap::from([("terminal".to_owned(), flat(&stdout(&output)))]);
    let made = dir.path().join("o/season");
    for entry in std::fs::read_dir(&made).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().to_string_lossy().into_owned();
        let Ok(text) = std::fs::read_to_string(entry.path()) else {
            continue;
        };
        let text = match name.rsplit_once('.').unwrap().1 {
            "svg" => flat(&drawn(&text)),
            "ics" => unfolded(&text),
            "txt" if name != "season.txt" && name != "details.txt" => text,
            "txt" => flat(&text),
            "csv" => text,
            _ => continue,
        };
        all.insert(name, text);
    }
    let season = serde_json::from_str(&std::fs::read_to_string(made.join("season.json")).unwrap());
    Ok(Written {
        s,
        code,
        all,
        season: season.unwrap(),
    })
}

type Faults = Vec<String>;

impl Written<'_> {
    fn file(&self, name: &str) -> &str {
        self.all.get(name).map_or("", String::as_str)
    }

    /// A text of the data in the language of the answer.
    fn told(&self, text: &str) -> String {
        data(self.code)
            .get(text)
            .cloned()
            .unwrap_or_else(|| text.to_owned())
    }

    fn pest(&self) -> lurefield::catalogue::season::SeasonPest {
        season(self.season["pest"]["id"].as_str().unwrap()).unwrap()
    }

    /// `8 May`, in the language of the answer.
    fn day(&self, iso: &str) -> String {
        let mut parts = iso.split('-').skip(1).map(|p| p.parse::<usize>().unwrap());
        let (month, day) = (parts.next().unwrap(), parts.next().unwrap().to_string());
        let month = self.s.get("date.months").split(' ').nth(month - 1).unwrap();
        self.s
            .fill("date.words-short", &[("day", &day), ("month", month)])
    }

    fn entries(&self) -> impl Iterator<Item = &serde_json::Value> {
        self.season["calendar"].as_array().unwrap().iter()
    }
}

fn text<'a>(value: &'a serde_json::Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or("")
}

/// What is to be done has one span of days in text, page, table and calendar file.
fn dates_agree(w: &Written) -> Faults {
    let mut faults = Faults::new();
    let mut invites = w.file("season.ics").split("BEGIN:VEVENT").skip(1);
    let mut after = w.file("terminal");
    let lines: Vec<&str> = w.file("calendar.txt").lines().collect();
    for entry in w.entries() {
        let [what, from, date, to] = ["what", "from", "date", "to"].map(|k| text(entry, k));
        let plain = |iso: &str| iso.replace('-', "");
        let invite = invites.next().unwrap_or("");
        let end: jiff::civil::Date = to.parse().unwrap();
        let end = end.tomorrow().unwrap().to_string();
        for part in [
            format!("DTSTART;VALUE=DATE:{}", plain(from)),
            format!("DTEND;VALUE=DATE:{}", plain(&end)),
            format!(": {what}"),
        ] {
            if !invite.contains(&part) {
                faults.push(format!("dates: the calendar file lacks {part} of {what}"));
            }
        }
        // What is done on many days has no best one.
        let best = w.s.fill("invite.best", &[("date", date)]);
        if invite.contains(&best) == ["check", "empty"].contains(&text(entry, "action")) {
            faults.push(format!(
                "dates: the calendar file on the best day of {what}"
            ));
        }
        let (begin, until) = (w.day(from), w.day(to));
        let span = if from == to {
            begin.clone()
        } else {
            w.s.fill("dates.range", &[("begin", &begin), ("end", &until)])
        };
        // The terminal tells them in the same order.
        match after
            .split_once(&span)
            .filter(|(_, rest)| rest.contains(what))
        {
            Some((_, rest)) => after = rest,
            None => faults.push(format!("dates: the text lacks {span} for {what}")),
        }
        let row = |l: &&&str| {
            [what, from, date, to]
                .iter()
                .all(|cell| l.split('\t').any(|c| c == *cell))
        };
        if !lines.is_empty() && !lines.iter().any(|l| row(&l)) {
            faults.push(format!("dates: the page's table lacks {what}"));
        }
        let caption = format!("{what}.");
        if !lines.is_empty()
            && !lines
                .iter()
                .any(|l| l.contains(&caption) && l.contains(&begin) && l.contains(&until))
        {
            faults.push(format!("dates: the caption lacks {what}"));
        }
    }
    for (event, row) in w.season["events"]
        .as_array()
        .unwrap()
        .iter()
        .zip(w.file("events.csv").lines().skip(1))
    {
        let days = ["date", "earliest", "latest"]
            .map(|k| text(event, k))
            .join(",");
        if !row.contains(&format!(",{days},")) {
            faults.push(format!("dates: the table of events lacks {days}"));
        }
        let date = text(event, "date");
        if !date.is_empty() && !w.file("terminal").contains(&w.day(date)) {
            faults.push(format!("dates: the text lacks the event of {date}"));
        }
    }
    faults
}

/// Where a trap is to be hung, or a lure that harms renewed, its warning stands beside it.
fn warned(w: &Written) -> Faults {
    let mut faults = Faults::new();
    let pest = w.pest();
    let caution = w.told(&pest.trap_caution);
    let mut keys = vec!["todo.hang", "todo.hang.far"];
    if pest.trap_draws_damage {
        keys.push("todo.lure.far");
        let fresh = w.s.get("todo.lure");
        if w.entries().any(|e| text(e, "what") == fresh) {
            faults.push("warned: a fresh lure without its warning".into());
        }
    }
    for (name, text) in w.all.iter().filter(|(n, _)| !n.starts_with("details")) {
        let text = flat(text);
        for key in &keys {
            let start = w.s.get(key).split('{').next().unwrap();
            let whole = fill(w.s.get(key), &[("caution", &caution)]);
            if text.matches(start).count() != text.matches(&whole).count() {
                faults.push(format!(
                    "warned: {name} says \"{start}\" without \"{caution}\""
                ));
            }
        }
    }
    let hangs = w.entries().any(|e| text(e, "action") == "hang");
    for name in ["terminal", "season.ics", "calendar.txt", "calendar.svg"] {
        let there = w
            .all
            .get(name)
            .is_none_or(|text| flat(text).contains(&caution));
        if hangs && !there {
            faults.push(format!("warned: {name} has no \"{caution}\""));
        }
    }
    faults
}

/// A sum of degree-days never stands before a bare letter.
fn no_heat(w: &Written) -> Faults {
    let mut faults = Faults::new();
    for (name, text) in &w.all {
        let words: Vec<&str> = text.split_whitespace().collect();
        for pair in words.windows(2) {
            let sum = pair[0]
                .trim_start_matches('(')
                .replace(',', "")
                .parse::<f64>()
                .unwrap_or(0.0);
            let letter = pair[1].trim_matches([')', '(', ',', '.', ';']);
            if sum >= 150.0 && ["F", "C", "°F", "°C"].contains(&letter) {
                faults.push(format!("heat: {name}: {} {}", pair[0], pair[1]));
            }
        }
    }
    faults
}

/// A threshold of others says for whom it was made, and that a yard needs its own.
fn labelled(w: &Written) -> Faults {
    let mut faults = Faults::new();
    for threshold in w.pest().counts.thresholds {
        let rule = w.told(&threshold.words);
        let label = w.s.fill(
            "threshold.made-for",
            &[("farms", &w.told(&threshold.made_for))],
        );
        for name in ["terminal", "season.txt"] {
            let said = w.file(name).matches(&rule).count();
            if said != w.file(name).matches(&format!("{rule}. {label}")).count() {
                faults.push(format!("labelled: {name}: \"{rule}\" without \"{label}\""));
            }
        }
    }
    faults
}

/// One line says what to do with a cover at bloom, and it is the flowers' line.
fn one_cover_line(w: &Written) -> Faults {
    let bloom = &w.season["bloom"];
    if bloom.is_null() {
        // Whether a crop that nobody names needs bees is not known, so the line itself says what then holds.
        let any =
            w.s.fill("todo.cover.any", &[("crop", w.s.get("todo.the-crop"))]);
        let covers = w.entries().filter(|e| text(e, "action") == "cover");
        let bare = covers.map(|e| text(e, "what")).filter(|what| *what != any);
        return bare.map(|what| format!("bloom: \"{what}\"")).collect();
    }
    if !bloom["needs_bees"].as_bool().unwrap_or(false) {
        return Faults::new();
    }
    let [first, last] = ["first", "last"].map(|k| bloom[k].as_array().unwrap());
    let (first, last) = (first[0].as_str().unwrap(), last[1].as_str().unwrap());
    let at_bloom = w.entries().filter(|e| {
        let [action, from, to] = ["action", "from", "to"].map(|k| text(e, k));
        ["cover", "uncover"].contains(&action) && from <= last && to >= first
    });
    let crop = bloom["crop"].as_str().unwrap();
    let flowers =
        ["todo.cover.flowers", "todo.uncover.flowers"].map(|k| w.s.fill(k, &[("crop", crop)]));
    let lines: Vec<&str> = at_bloom.map(|e| text(e, "what")).collect();
    match lines[..] {
        [] => Faults::new(),
        [line] if flowers.iter().any(|f| f == line) => Faults::new(),
        // The flight is over before any flower opens.
        [line] if line == w.s.fill("todo.uncover", &[("crop", crop)]) => Faults::new(),
        _ => vec![format!("bloom {first} to {last}: {lines:?}")],
    }
}

/// Every event is told below the table that names it, and its source is that table's.
fn named_by_its_table(w: &Written) -> Faults {
    let mut faults = Faults::new();
    let (pest, own) = (w.pest(), w.s.get("dates.when.own"));
    let said = w.file("terminal");
    let heading = |table: &str| w.s.fill("dates.when", &[("table", table)]);
    let any = heading("");
    let events = w.season["events"].as_array().unwrap();
    for (event, row) in events.iter().zip(w.file("events.csv").lines().skip(1)) {
        let [name, table, source] = ["name", "table", "source"].map(|k| text(event, k));
        let known = pest.tables.iter().find(|t| w.told(&t.title) == table);
        let holds = known.is_some_and(|t| {
            let same = |n: &str| name.starts_with(&w.told(n));
            t.events.iter().any(|e| same(&e.name) && e.source == source)
        });
        if table != own && !holds {
            faults.push(format!("table: \"{table}\" does not name \"{name}\""));
        }
        let below = said.split_once(&flat(&heading(table)));
        let below = below.map(|(_, rest)| rest.split(&*any).next().unwrap());
        if !below.is_some_and(|rest| rest.contains(name)) {
            faults.push(format!(
                "table: the text has no \"{name}\" below \"{table}\""
            ));
        }
        if !row.trim_end_matches('"').ends_with(table) {
            faults.push(format!(
                "table: events.csv lacks \"{table}\" for \"{name}\""
            ));
        }
    }
    faults
}

/// The first adults and the flight are told apart: "before" only where it is before.
fn first_told(w: &Written) -> Faults {
    let mut faults = Faults::new();
    let events = w.season["events"].as_array().unwrap();
    let first = events
        .iter()
        .find(|e| e["kind"] == "first-adults")
        .map_or("", |e| text(e, "date"));
    let from = w.season["flight"]["first"][1].as_str().unwrap_or("");
    let before = !first.is_empty() && first < from;
    if !from.is_empty() && first > from {
        faults.push(format!(
            "flight: many fly from {from}, but the first on {first}"
        ));
    }
    let insects = w.told(&w.pest().short);
    let day = if first.is_empty() {
        String::new()
    } else {
        w.day(first)
    };
    let values = [("insects", insects.as_str()), ("day", &day)];
    let said = |name: &str, key: &str| w.file(name).contains(&fill(w.s.get(key), &values));
    let whole = ["first", "peak", "last"]
        .iter()
        .all(|k| !w.season["flight"][k].is_null());
    if whole && !from.is_empty() && said("terminal", "flying.before") != before {
        faults.push(format!("flight: first adults {first}, flight from {from}"));
    }
    for name in ["flight.svg", "flight.txt"] {
        if said(name, "figure.flight.first-few") && !before {
            faults.push(format!(
                "flight: {name} says that {first} hardly shows, flight from {from}"
            ));
        }
    }
    faults
}

/// No gap is left open, every number is one, one thing is not many.
fn clean(w: &Written) -> Faults {
    let mut faults = Faults::new();
    let many = [
        "days", "times", "visits", "checks", "minutes", "traps", "insects", "rows", "years",
    ];
    let muchos = [
        "días", "veces", "visitas", "minutos", "trampas", "insectos", "filas", "años",
    ];
    for (name, text) in &w.all {
        for part in text.split('{').skip(1) {
            faults.push(format!(
                "clean: {name}: {{{}",
                part.chars().take(20).collect::<String>()
            ));
        }
        let two = |l: &&str| l.trim().contains("  ");
        let ending = name.rsplit('.').next().unwrap_or_default();
        if ending == "ics" || (ending == "txt" && text.contains('\n')) {
            faults.extend(
                text.lines()
                    .find(two)
                    .map(|l| format!("clean: {name}: two spaces in {l}")),
            );
        }
        for word in text.split(|c: char| c.is_whitespace() || ",;:()".contains(c)) {
            let zero = word
                .strip_prefix('-')
                .is_some_and(|n| n.trim_end_matches('.').parse::<f64>() == Ok(0.0));
            if zero || ["NaN", "inf", "-inf"].contains(&word.trim_end_matches('.')) {
                faults.push(format!("clean: {name}: {word}"));
            }
        }
        let words: Vec<&str> = text.split_whitespace().collect();
        for pair in words.windows(2) {
            let noun = pair[1].trim_matches(['.', ',', ':', ')']);
            if pair[0] == "1" && many.iter().chain(&muchos).any(|n| *n == noun) {
                faults.push(format!("clean: {name}: 1 {noun}"));
            }
        }
        if text.contains("..") && ending != "csv" {
            faults.push(format!("clean: {name}: two stops"));
        }
    }
    faults
}

/// A named rule over all that a season wrote.
type Rule = fn(&Written) -> Faults;

const RULES: [Rule; 8] = [
    dates_agree,
    warned,
    no_heat,
    labelled,
    one_cover_line,
    named_by_its_table,
    first_told,
    clean,
];

#[test]
fn a_season_says_one_thing_everywhere_whatever_is_asked() {
    let (mut shown, mut answered) = (Vec::new(), 0);
    for seed in 0..TRIES {
        let mut luck = Luck(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5EA5_0425);
        luck.next();
        let (words, notebook) = asked(&mut luck);
        for (code, _) in LANGUAGES {
            let s = Strings::of(code).unwrap();
            let Ok(w) = written(&s, code, &words, &notebook) else {
                continue;
            };
            answered += 1;
            let faults: Vec<String> = RULES.iter().flat_map(|rule| rule(&w)).collect();
            if !faults.is_empty() {
                shown.push(format!(
                    "{} in {code}:\n  {}",
                    words.join(" "),
                    faults.join("\n  ")
                ));
            }
        }
    }
    assert!(answered >= TRIES, "{answered} answers of {}", 2 * TRIES);
    assert!(
        shown.is_empty(),
        "{} of {answered}\n{}",
        shown.len(),
        shown.join("\n")
    );
}

/// The rules find what they are there to find: a faultless answer, spoiled in one way after the other.
#[test]
fn a_season_that_says_two_things_is_found() {
    let words: Vec<String> = "--pest japanese-beetle --data seattle --until 2014-06-01 --crop raspberry --counts n.csv --out o"
        .split(' ')
        .map(String::from)
        .collect();
    let notebook = "date_set,date,count\n2014-05-01,2014-05-08,4\n";
    let s = Strings::of("en").unwrap();
    let whole = || written(&s, "en", &words, notebook).unwrap();
    for rule in RULES {
        assert_eq!(rule(&whole()), Faults::new());
    }
    let spoiled = |rule: Rule, name: &str, change: &dyn Fn(&str) -> String| {
        let mut w = whole();
        let text = change(w.file(name));
        w.all.insert(name.into(), text);
        assert!(!rule(&w).is_empty(), "{name}");
    };
    let caution = season("japanese-beetle").unwrap().trap_caution;
    for name in ["terminal", "season.ics", "calendar.svg", "calendar.txt"] {
        spoiled(warned, name, &|text| flat(text).replacen(&caution, "", 9));
        spoiled(no_heat, name, &|text| {
            format!("{text} At 425 F since 1 Jan.")
        });
        spoiled(clean, name, &|text| format!("{text} {{day}}"));
        spoiled(clean, name, &|text| format!("{text} in 1 days "));
        spoiled(clean, name, &|text| format!("{text} about NaN "));
    }
    spoiled(dates_agree, "season.ics", &|text| {
        text.replacen("DTSTART;VALUE=DATE:2014", "DTSTART;VALUE=DATE:2013", 1)
    });
    spoiled(dates_agree, "terminal", &|text| {
        text.replace(" to ", " until ")
    });
    spoiled(dates_agree, "calendar.txt", &|text| {
        text.replace("2014-0", "2014-1")
    });
    spoiled(dates_agree, "events.csv", &|text| {
        text.replace("2014-0", "2014-1")
    });
    let mut w = whole();
    let entries = w.season["calendar"].as_array_mut().unwrap();
    let line = entries
        .iter()
        .find(|e| text(e, "what").contains("flower"))
        .unwrap()
        .clone();
    entries.push(line);
    assert!(!one_cover_line(&w).is_empty());
    let heading = s.get("dates.when").split('{').next().unwrap();
    spoiled(named_by_its_table, "terminal", &|text| {
        text.replace(heading, "")
    });
    spoiled(named_by_its_table, "events.csv", &|text| {
        text.replace("(Wisc", "")
    });
    let mut w = whole();
    w.season["events"][0]["source"] = "another".into();
    assert!(!named_by_its_table(&w).is_empty());
    let mut w = whole();
    let entries = w.season["calendar"].as_array_mut().unwrap();
    for entry in entries {
        if entry["action"] == "cover" {
            entry["what"] = "cover the crop, edges closed".into();
        }
    }
    w.season["bloom"] = serde_json::Value::Null;
    assert!(!one_cover_line(&w).is_empty());
    let mut w = whole();
    w.season["flight"]["first"][1] = "2014-01-01".into();
    assert!(!first_told(&w).is_empty());
    let moth = [
        "--pest",
        "codling-moth",
        "--counts",
        "n.csv",
        "--data",
        "seattle",
        "--out",
        "o",
    ]
    .map(String::from);
    let mut w = written(&s, "en", &moth, notebook).unwrap();
    assert_eq!(labelled(&w), Faults::new());
    let unlabelled = w.file("terminal").replace("in a yard use your own", "");
    w.all.insert("terminal".into(), unlabelled);
    assert!(!labelled(&w).is_empty());
}
