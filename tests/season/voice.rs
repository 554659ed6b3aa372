//! What a season says to people: one line on covers at bloom, dates that agree, degree-days that look like nothing else,
//! traps with their warning, thresholds with their origin, wild readings by their line.

use crate::command::{answered, folder, line as run, season as run_words, stderr, stdout};
use crate::data;
use jiff::civil::Date;
use lurefield::catalogue::season::{SEASONS, SEATTLE, bloom, season};
use lurefield::season::biofix::BiofixRule;
use lurefield::season::calendar::{Action, Entry};
use lurefield::season::degree_day::Method;
use lurefield::season::hourly::{HourlyOptions, read_hourly};
use lurefield::season::question::{BloomChoice, Question, answer};
use lurefield::weather::daily::{ReadOptions, read_daily};
use lurefield::weather::{DegreeDays, Scale};
use std::path::Path;

fn question(pest: &str) -> Question {
    Question {
        until: Some(Date::constant(2014, 6, 1)),
        ..crate::question(pest)
    }
}

/// One text in one line.
fn unfolded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// All that a season writes, by file; the terminal's text is `terminal`.
fn written(args: &str) -> Vec<(String, String)> {
    let dir = folder();
    let output = run(dir.path(), &format!("{args} --out o"));
    assert!(output.status.success(), "{}", stderr(&output));
    let mut all = vec![("terminal".to_string(), stdout(&output))];
    for entry in std::fs::read_dir(dir.path().join("o/season")).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().to_string_lossy().into_owned();
        let wanted = |e: &std::ffi::OsStr| e != "png" && name != "manifest.json";
        if entry.path().extension().is_some_and(wanted) {
            all.push((name, std::fs::read_to_string(entry.path()).unwrap()));
        }
    }
    all
}

fn file<'a>(all: &'a [(String, String)], name: &str) -> &'a str {
    &all.iter().find(|(n, _)| n == name).unwrap().1
}

const MOTH: &str = "--pest codling-moth --data seattle --until 2014-06-01 --crop apple";

const BEETLE: &str = "--pest japanese-beetle --data seattle --until 2014-06-01 --crop raspberry";

#[test]
fn one_line_speaks_of_covers_at_bloom() {
    let own =
        |crop: &str, first: Date, last: Date| BloomChoice::Own(bloom()[crop].clone(), first, last);
    let catalogue = |crop: &str| BloomChoice::Catalogue(bloom()[crop].clone());
    let day = |month: i8, of_month: i8| Date::constant(2014, month, of_month);
    let cases = [
        ("codling-moth", catalogue("apple")),
        ("codling-moth", catalogue("raspberry")),
        ("japanese-beetle", catalogue("raspberry")),
        ("squash-vine-borer", catalogue("squash")),
        ("codling-moth", own("apple", day(4, 20), day(5, 12))),
        ("codling-moth", own("apple", day(6, 10), day(6, 25))),
        ("codling-moth", own("apple", day(4, 30), day(4, 30))),
    ];
    for (pest, choice) in cases {
        let season = answer(&Question {
            bloom: Some(choice),
            ..question(pest)
        })
        .unwrap();
        let [first, _, _, last] = season.bloom.as_ref().unwrap().days;
        let covers: Vec<&Entry> = season
            .calendar
            .iter()
            .filter(|e| [Action::Cover, Action::Uncover].contains(&e.action))
            .collect();
        let at_bloom: Vec<&&Entry> = covers
            .iter()
            .filter(|e| e.from <= last && e.to >= first)
            .collect();
        assert_eq!(at_bloom.len(), 1, "{pest} {first}: {at_bloom:#?}");
        assert!(at_bloom[0].what.contains("flower"), "{}", at_bloom[0].what);
        assert!(
            at_bloom[0].reason.contains("needs bees"),
            "{}",
            at_bloom[0].reason
        );
        for entry in covers {
            let best = entry.date;
            let by_the_flowers = entry.what.contains("only if no flower is open");
            assert!(
                entry.action != Action::Cover || by_the_flowers || best < first || best > last,
                "{pest}: {entry:?}"
            );
        }
    }
}

#[test]
fn a_cover_that_the_table_leaves_open_is_not_advised_and_an_unnamed_crop_has_its_condition() {
    use lurefield::catalogue::{crop, evidence, pest};
    let covers = evidence::tables().cover;
    let mut open = 0;
    for (id, _) in SEASONS {
        let of = |bloom| {
            let asked = Question {
                biofix: BiofixRule::On(Date::constant(2014, 5, 5)),
                bloom,
                ..question(id)
            };
            let season = answer(&asked).unwrap();
            let cover = [Action::Cover, Action::Uncover];
            let entries = season.calendar.iter();
            let entries = entries.filter(|e| cover.contains(&e.action)).cloned();
            (entries.collect::<Vec<Entry>>(), season.notes)
        };
        let (unnamed, _) = of(None);
        for entry in unnamed.iter().filter(|e| e.action == Action::Cover) {
            assert!(
                entry.what.contains("no cover at bloom if it needs bees"),
                "{id}: {}",
                entry.what
            );
        }
        for (name, entry) in bloom() {
            let known = pest(id).zip(crop(&name));
            let left_open = covers.iter().any(|row| {
                let same = |(pest, crop): &(
                    lurefield::catalogue::Pest,
                    lurefield::catalogue::CropKind,
                )| {
                    row.pest.eq_ignore_ascii_case(&pest.name)
                        && row.crop.eq_ignore_ascii_case(&crop.plural)
                };
                row.cover == "no" && known.as_ref().is_some_and(same)
            });
            let (told, notes) = of(Some(BloomChoice::Catalogue(entry)));
            let noted = notes.iter().any(|n| n.contains("no advice to cover"));
            assert_eq!(noted, left_open, "{id} on {name}");
            assert_eq!(
                told.is_empty(),
                left_open || unnamed.is_empty(),
                "{id} on {name}"
            );
            open += usize::from(left_open && !unnamed.is_empty());
        }
    }
    assert!(open >= 1, "roses and the Japanese beetle");
}

#[test]
fn the_first_adults_and_the_flight_are_told_apart() {
    let season = answer(&question("codling-moth")).unwrap();
    let first = season.first_adults().unwrap();
    let flight = season.flight.as_ref().unwrap();
    let from: Date = flight.first.as_ref().unwrap()[1].parse().unwrap();
    assert!(first < from, "{first} {from}");
    assert!(flight.meaning.contains("1 in 20"));
    assert!(season.peak_differs());
    let all = written(MOTH);
    let text = unfolded(file(&all, "terminal"));
    assert!(
        text.contains("The very first moths come before, near 29 Apr."),
        "{text}"
    );
    assert!(text.contains("From 7 May to 22 Oct, at least 5 for each 100 of that day are about."));
    assert!(text.contains("come from its sums. The busiest day comes from our own curve"));
    assert!(!text.contains("Adults fly from"));
    assert!(file(&all, "flight.svg").contains("near 29 Apr"));
}

#[test]
fn degree_days_never_look_like_temperatures() {
    assert_eq!(
        DegreeDays::from_f(491.0).words(Scale::F),
        "491 degree-days F (273 degree-days C)"
    );
    assert_eq!(
        DegreeDays::from_c(250.0).words(Scale::C),
        "250 degree-days C (450 degree-days F)"
    );
    let all = written(MOTH);
    let text = unfolded(file(&all, "terminal"));
    assert!(
        text.contains("491 degree-days F (273 degree-days C) from 1 Jan"),
        "{text}"
    );
    assert!(text.contains("At 425 degree-days F since 1 Jan."));
    assert!(
        file(&all, "season.ics")
            .replace("\r\n ", "")
            .contains("at 425 degree-days F since 1 Jan")
    );
    assert!(
        file(&all, "degree-days.csv")
            .starts_with("date,degree_days_f_of_the_day,degree_days_f_so_far,method\r\n")
    );
    assert!(
        file(&all, "events.csv")
            .lines()
            .nth(1)
            .unwrap()
            .contains(",degree-days F,")
    );
    // A sum of three figures or more before a bare letter would read as heat.
    for (name, words) in &all {
        let words: Vec<&str> = words.split_whitespace().collect();
        for pair in words.windows(2) {
            let sum = pair[0]
                .trim_start_matches('(')
                .parse::<f64>()
                .unwrap_or(0.0);
            let letter = pair[1].trim_matches([')', '(', ',', '.']);
            assert!(
                sum < 150.0 || !["F", "C"].contains(&letter),
                "{name}: {} {}",
                pair[0],
                pair[1]
            );
        }
    }
}

#[test]
fn no_trap_is_advised_without_its_warning() {
    for (id, _) in SEASONS {
        let pest = season(id).unwrap();
        assert!(!pest.trap_caution.is_empty(), "{id}");
        if pest.counts.caught == "males" {
            assert!(pest.trap_caution.contains("tells you when"), "{id}");
            assert!(pest.trap_caution.contains("does not protect"), "{id}");
        }
        let asked = Question {
            biofix: BiofixRule::On(Date::constant(2014, 5, 5)),
            ..question(id)
        };
        for entry in answer(&asked).unwrap().calendar {
            let calls = entry.action == Action::Hang
                || (entry.action == Action::ReplaceLure && pest.trap_draws_damage);
            assert!(
                !calls || entry.what.contains(&pest.trap_caution),
                "{entry:?}"
            );
        }
    }
    assert!(season("japanese-beetle").unwrap().trap_draws_damage);
    let all = written(BEETLE);
    let warning = "near plants it often raises damage";
    let text = unfolded(file(&all, "terminal"));
    assert!(text.find(warning).unwrap() < text.find("What to do").unwrap());
    let (hang, check) = (text.find(" hang ").unwrap(), text.find(" check ").unwrap());
    assert!(
        text[hang..check].contains(warning),
        "{}",
        &text[hang..check]
    );
    let calendar = file(&all, "season.ics").replace("\r\n ", "");
    let summary = calendar
        .lines()
        .find(|l| l.starts_with("SUMMARY:hang"))
        .unwrap();
    assert!(summary.contains(warning), "{summary}");
    let picture = file(&all, "calendar.svg");
    let drawn: String = picture
        .split("<text")
        .skip(1)
        .filter_map(|part| part.split_once('>')?.1.split_once('<'))
        .map(|(words, _)| format!("{} ", words.trim()))
        .collect();
    assert!(unfolded(&drawn).contains(warning), "{drawn}");
}

#[test]
fn thresholds_say_for_whom_they_were_made() {
    let dir = folder();
    std::fs::write(
        dir.path().join("n.csv"),
        "date_set,date,count\n2014-05-01,2014-05-08,4\n",
    )
    .unwrap();
    let output = run(dir.path(), "--pest codling-moth --counts n.csv");
    let text = unfolded(&stdout(&output));
    let label = "Made for orchards; in a yard use your own.";
    assert_eq!(text.matches(label).count(), 3, "{text}");
    for (id, _) in SEASONS {
        for threshold in season(id).unwrap().counts.thresholds {
            assert!(threshold.label().contains("in a yard use your own"));
            assert!(threshold.made_for.len() > 5, "{id}");
        }
    }
}

#[test]
fn the_source_of_the_method_is_named() {
    let help = unfolded(&stdout(&run(folder().path(), "--help")));
    for (name, method) in Method::ALL {
        assert!(help.contains(name));
        let author = method.source().split([' ', ',']).next().unwrap();
        assert!(author == "the" || help.contains(author), "{author}");
    }
    assert!(help.contains("first petals fall=320") && !help.contains("spray"));
    let all = written(MOTH);
    let source = "Source: Baskerville & Emin 1969, Ecology 50:514-517.";
    let details = unfolded(file(&all, "details.txt"));
    assert!(details.contains(source), "{details}");
    assert!(!unfolded(file(&all, "terminal")).contains("Baskerville"));
    let asked = unfolded(&stdout(&run(folder().path(), &format!("{MOTH} --details"))));
    assert!(asked.contains(source), "{asked}");
    assert!(asked.contains("single sine, 50-88 F (10.0-31.1 C), horizontal cutoff"));
}

#[test]
fn one_thing_is_said_of_what_it_is() {
    for (name, text) in written(MOTH) {
        assert!(!text.contains("simulation and a forecast"), "{name}");
    }
}

#[test]
fn the_calendar_marks_the_best_day_with_a_tick_and_explains_its_colors() {
    let all = written(MOTH);
    let picture = file(&all, "calendar.svg");
    assert!(!picture.contains("iamond"));
    for words in ["Thick tick: the best day", "look or pick", "best day"] {
        assert!(picture.contains(words), "{words}");
    }
}

#[test]
fn only_folders_that_exist_are_named() {
    let dir = folder();
    let output = run(dir.path(), &format!("{MOTH} --no-figures --out my/season"));
    let text = stdout(&output);
    let named = text.lines().last().unwrap().rsplit(' ').next().unwrap();
    assert_eq!(named, "my/season/index.html");
    assert!(dir.path().join(named).is_file());
    assert!(dir.path().join("my/season/season/season.json").is_file());
    assert!(!text.contains("output/"));

    let yard = format!(
        "{}/scenarios/strawberry-slugs.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let output = run_words(
        dir.path(),
        &[&yard, "--summers", "2", "--out", "my yard", "--details"],
    );
    assert!(output.status.success(), "{}", stderr(&output));
    let text = unfolded(&stdout(&output));
    assert!(!text.contains("output/"), "{text}");
    assert!(
        text.contains("Pictures in my yard/emptying: emptying-picture.png."),
        "{text}"
    );
    let repeat = text.split("Repeat: lurefield check ").nth(1).unwrap();
    let manifest = repeat.split(" --repeat").next().unwrap();
    assert!(manifest.starts_with('"'), "a path with a space is quoted");
    let manifest = manifest.trim_matches('"');
    assert!(dir.path().join(manifest).is_file(), "{manifest}");
}

/// The shipped daily record with one cell changed: its text, and the line changed.
fn seattle_with(date: &str, change: impl Fn(f64) -> f64) -> (String, usize) {
    let line = SEATTLE
        .lines()
        .position(|l| l.starts_with(date))
        .unwrap_or_else(|| panic!("{date}"));
    let text = SEATTLE
        .lines()
        .enumerate()
        .map(|(i, row)| {
            let mut cells: Vec<String> = row.split(',').map(String::from).collect();
            if i == line {
                cells[1] = change(cells[1].parse().unwrap()).to_string();
            }
            format!("{}\n", cells.join(","))
        })
        .collect();
    (text, line + 1)
}

#[test]
fn a_slipped_sign_is_named_with_its_line_and_used_as_it_stands() {
    for date in ["2012-05-20", "2013-07-14", "2014-05-14", "2014-09-02"] {
        let (text, line) = seattle_with(date, |v| -v);
        let record = read_daily("d", text.as_bytes(), &ReadOptions::default()).unwrap();
        let wild = &record.understood.wild;
        assert!(
            wild[0].starts_with(&format!("line {line}: the minimum -")),
            "{date}: {wild:?}"
        );
        assert!(wild[0].contains("sign may have slipped"), "{wild:?}");
        assert!(wild.iter().any(|n| n.contains("assumed")));
        let day = record.days[line - 2];
        assert!(day.tmin.c() < 0.0, "left to the user: {day:?}");
    }
    let (text, _) = seattle_with("2014-05-14", |v| -v);
    let dir = folder();
    std::fs::write(dir.path().join("d.csv"), text).unwrap();
    let args = "--pest codling-moth --daily d.csv --no-figures";
    let words = unfolded(&stdout(&run(dir.path(), args)));
    assert!(
        words.contains("looks wild. Its neighbors are near"),
        "{words}"
    );
}

#[test]
fn a_wild_reading_of_another_year_is_named_among_the_doubts() {
    let (text, line) = seattle_with("2013-07-14", |v| -v);
    let dir = folder();
    std::fs::create_dir(dir.path().join("old")).unwrap();
    std::fs::write(dir.path().join("old/years.csv"), text).unwrap();
    let answer = answered(&run(
        dir.path(),
        &format!("{MOTH} --normal old/years.csv --json"),
    ));
    let start = format!("years.csv: line {line}: the minimum -");
    let doubts = answer["warnings"].as_array().unwrap();
    assert!(
        doubts
            .iter()
            .any(|d| d.as_str().unwrap().starts_with(&start)),
        "{doubts:?}"
    );
}

#[test]
fn most_slipped_signs_of_mild_nights_are_found() {
    let (mut found, mut all) = (0, 0);
    for row in SEATTLE.lines().skip(1).step_by(7) {
        let cells: Vec<&str> = row.split(',').collect();
        if cells[1].parse::<f64>().unwrap() < 7.0 {
            continue;
        }
        let (text, line) = seattle_with(cells[0], |v| -v);
        let record = read_daily("d", text.as_bytes(), &ReadOptions::default()).unwrap();
        all += 1;
        let start = format!("line {line}:");
        found += usize::from(record.understood.wild.iter().any(|n| n.starts_with(&start)));
    }
    assert!(all > 60 && 20 * found >= 19 * all, "{found} of {all}");
}

#[test]
fn one_wild_hour_is_named_with_its_line() {
    let path = data("newark-2013-hourly.csv");
    let clean = std::fs::read_to_string(path).unwrap();
    let header: Vec<&str> = clean.lines().next().unwrap().split(',').collect();
    let column = header.iter().position(|h| *h == "temp_f").unwrap();
    for (line, off) in [
        (3000_usize, 44.0),
        (4321, -44.0),
        (200, 44.0),
        (4500, -44.0),
    ] {
        let text: String = clean
            .lines()
            .enumerate()
            .map(|(i, row)| {
                let mut cells: Vec<String> = row.split(',').map(String::from).collect();
                if i + 1 == line {
                    cells[column] = format!("{}", cells[column].parse::<f64>().unwrap() + off);
                }
                format!("{}\n", cells.join(","))
            })
            .collect();
        let read = read_hourly("h", text.as_bytes(), &HourlyOptions::default()).unwrap();
        let wild = read.daily.understood.wild;
        assert!(
            wild[0].starts_with(&format!("line {line}: the reading ")),
            "{wild:?}"
        );
        assert_eq!(wild.iter().filter(|n| n.starts_with("line ")).count(), 1);
    }
}

#[test]
fn clean_records_raise_no_false_alarm() {
    let root = env!("CARGO_MANIFEST_DIR");
    let shipped = format!("{root}/scenarios/data/newark-2013-hourly.csv");
    for path in [data("newark-2013-hourly.csv"), shipped] {
        let text = std::fs::read_to_string(Path::new(&path)).unwrap();
        let read = read_hourly("h", text.as_bytes(), &HourlyOptions::default()).unwrap();
        assert_eq!(read.daily.understood.wild, Vec::<String>::new(), "{path}");
    }
    let read = read_daily("d", SEATTLE.as_bytes(), &ReadOptions::default()).unwrap();
    assert_eq!(read.understood.wild, Vec::<String>::new());
}

#[test]
fn a_lasting_jump_is_no_wild_reading() {
    // Twenty degrees warmer from one day on, and it stays: its readings agree with each other.
    let mut text = String::from("date,tmin_c,tmax_c\n");
    for day in 0..60 {
        let date = lurefield::weather::day::plus(Date::constant(2014, 4, 1), day);
        let add = if day < 30 { 0 } else { 20 };
        text += &format!("{date},{},{}\n", 5 + day % 3 + add, 14 + day % 4 + add);
    }
    let options = ReadOptions {
        accept_jumps: true,
        ..ReadOptions::default()
    };
    let read = read_daily("d", text.as_bytes(), &options).unwrap();
    assert_eq!(read.understood.wild, Vec::<String>::new());
}

#[test]
fn technical_lines_wait_until_they_are_asked_for() {
    let dir = folder();
    std::fs::write(
        dir.path().join("n.csv"),
        "date_set,date,count\n2014-05-01,2014-05-08,4\n",
    )
    .unwrap();
    let line =
        format!("{MOTH} --no-figures --counts n.csv --marked 50 --caught 60 --recaptured 10");
    let marks = [
        "cutoff",
        "Chapman",
        "doi",
        "University",
        "(published)",
        "Petersen",
    ];
    let (plain, full) = (
        unfolded(&stdout(&run(dir.path(), &line))),
        unfolded(&stdout(&run(dir.path(), &format!("{line} --details")))),
    );
    for mark in marks {
        assert!(!plain.contains(mark), "{mark}: {plain}");
        assert!(full.contains(mark), "{mark}: {full}");
    }
    assert!(plain.contains("They stand in details.txt."));
    let alone = "--pest codling-moth --counts n.csv";
    let text = unfolded(&stdout(&run(dir.path(), alone)));
    assert!(!text.contains("University") && text.contains("They stand in details.txt."));
    let details = std::fs::read_to_string(
        dir.path()
            .join("output/season-codling-moth/counts/details.txt"),
    );
    assert!(unfolded(&details.unwrap()).contains("Washington State University"));
}

#[test]
fn an_event_that_says_to_hang_a_trap_carries_the_warning() {
    let line = "--pest greater-peachtree-borer --data seattle --until 2014-05-01";
    let all = written(line);
    let caution = season("greater-peachtree-borer").unwrap().trap_caution;
    let says = format!("hang traps ({caution})");
    for name in ["terminal", "season.txt", "season.json", "events.csv"] {
        let text = unfolded(file(&all, name));
        assert!(text.contains(&says), "{name}");
        assert_eq!(
            text.matches("hang traps").count(),
            text.matches(&says).count(),
            "{name}"
        );
    }
    assert!(file(&all, "degree-days.svg").contains("hang traps (males only"));
}

#[test]
fn a_day_without_doubt_is_no_span() {
    let text = unfolded(&stdout(&run(
        folder().path(),
        "--pest codling-moth --data seattle --biofix 2014-05-05 --no-figures",
    )));
    assert!(
        text.contains("That time may end between 4 Oct and 30 Oct."),
        "{text}"
    );
    for words in text.split("between ").skip(1) {
        let (from, rest) = words.split_once(" and ").unwrap();
        assert!(!rest.starts_with(from), "{from}");
    }
}
