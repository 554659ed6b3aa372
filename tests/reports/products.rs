//! The products agree with the results to the last count, carry their cautions, keep hostile text harmless, and are the
//! same bytes when made again.

use lurefield::count::outcome::{AnswerAccount, RunOutcome};
use lurefield::count::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::report::products::results::{Folder, Results, read};
use lurefield::report::products::{Built, Made, Product, Request, build};
use lurefield::scenario::Scenario;
use lurefield::study::finding::Ended;
use lurefield::study::run;
use std::cmp::Ordering;
use std::sync::OnceLock;

/// A shipped scenario.
pub(crate) fn shipped(name: &str) -> Scenario {
    lurefield::scenario::read(&shipped_text(name), name, &|_| Err("no inputs".into())).unwrap()
}

pub(crate) fn shipped_text(name: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("scenarios")
        .join(name);
    std::fs::read_to_string(path).unwrap()
}

fn folder(files: &[(&str, String)]) -> Folder {
    Folder {
        files: files
            .iter()
            .map(|(k, v)| ((*k).to_owned(), v.clone()))
            .collect(),
        ..Folder::default()
    }
}

/// The files of a real run of a few summers, from a text of a scenario.
fn run_of(text: &str) -> Folder {
    let mut scenario =
        lurefield::scenario::read(text, "yard.json", &|_| Err(String::new())).unwrap();
    scenario.settings.summers = 20;
    let prepared = prepare::prepare(&scenario, &Unwatched).unwrap();
    let outcome = run::run(&prepared, &Unwatched).unwrap();
    folder_of(text, &scenario, &outcome)
}

/// The files of a run that has been made.
pub(crate) fn folder_of(text: &str, scenario: &Scenario, outcome: &RunOutcome) -> Folder {
    let summary = lurefield::report::json::summary(scenario, outcome);
    let mut files = vec![
        ("scenario.json", text.to_owned()),
        ("summary.json", summary),
    ];
    if let Some(one) = outcome.one_summers.first() {
        files.push(("one-summer.json", serde_json::to_string(one).unwrap()));
    }
    folder(&files)
}

fn allotment() -> &'static Folder {
    static RUN: OnceLock<Folder> = OnceLock::new();
    RUN.get_or_init(|| run_of(&shipped_text("allotment-beetles.json")))
}

pub(crate) fn request() -> Request {
    Request {
        language: "en".into(),
        date: "1 June 2026".into(),
        ..Request::default()
    }
}

pub(crate) const MADE: Made = Made {
    version: "0.0.0-test",
};

fn made(folder: &Folder, request: &Request) -> (Results, Built) {
    let results = read(folder).unwrap();
    let built = build(&results, request, &MADE).unwrap();
    (results, built)
}

fn text(built: &Built, name: &str) -> String {
    let found = built.files.iter().find(|(n, _)| n == name);
    String::from_utf8(
        found
            .unwrap_or_else(|| panic!("{name} was not made"))
            .1
            .clone(),
    )
    .unwrap()
}

/// Whether a file has an ending; our own names are lower case.
pub(crate) fn is(name: &str, ending: &str) -> bool {
    name.rsplit_once('.').is_some_and(|(_, e)| e == ending)
}

fn texts(built: &Built) -> Vec<(String, String)> {
    built
        .files
        .iter()
        .filter(|(n, _)| {
            [".html", ".svg", ".txt", ".csv"]
                .iter()
                .any(|e| n.ends_with(e))
        })
        .map(|(n, b)| (n.clone(), String::from_utf8(b.clone()).unwrap()))
        .collect()
}

/// Invented counts as `compare` writes them, for the plans of the allotment; 18 of 20 marks above the band.
fn compare_json(way: [usize; 3], word: &str) -> String {
    let dots: Vec<f64> = (0..20)
        .map(|i| {
            if i < way[2] {
                -3.0 - f64::from(20 - i as u8) / 10.0
            } else if i < way[2] + way[1] {
                0.1
            } else {
                2.0 + i as f64
            }
        })
        .collect();
    serde_json::json!({
        "format": 1, "scenario": "allotment-beetles", "seed": 1, "summers": 1000, "tie_band": 1.0,
        "plans": [
            { "name": "no trap", "against": "no trap", "more": 0, "same": 20, "less": 0, "word": "almost always no change",
              "difference_mean": 0.0, "damage_mean": 12.3, "caught_mean": 0.0, "minutes": 0.0, "dollars": 0.0 },
            { "name": "trap by the raspberries", "against": "no trap", "more": way[0], "same": way[1], "less": way[2],
              "word": word, "difference_mean": 6.1, "difference_dots": dots, "damage_mean": 18.4, "caught_mean": 2431.6,
              "minutes": 95.0, "dollars": 19.0, "flags": ["some bees"] },
        ],
    })
    .to_string()
}

fn compared(way: [usize; 3], word: &str) -> Folder {
    folder(&[
        ("scenario.json", shipped_text("allotment-beetles.json")),
        ("compare.json", compare_json(way, word)),
    ])
}

/// All slides of a run and of a comparison, as name and drawing.
pub(crate) fn slides() -> Vec<(String, String)> {
    let compared = compared([17, 2, 1], "usually more");
    let both = [allotment(), &compared].map(|folder| texts(&made(folder, &request()).1));
    let all = both.into_iter().flatten();
    all.filter(|(name, _)| name.starts_with("slides/") && is(name, "svg"))
        .collect()
}

#[test]
fn every_product_tells_the_counts_of_compare() {
    for (way, word, verdict) in [
        (
            [17, 2, 1],
            "usually more",
            "In 17 of 20 simulated summers, the trap meant more leaves chewed.",
        ),
        (
            [1, 2, 17],
            "usually less",
            "In 17 of 20 simulated summers, the trap cut the share of leaves chewed.",
        ),
        (
            [0, 20, 0],
            "almost always no change",
            "In 20 of 20 simulated summers, the trap did no harm and no good.",
        ),
        (
            [9, 6, 5],
            "could go either way",
            "It could go either way with the trap.",
        ),
        // Never less: that is an answer, though more in hardly half.
        (
            [9, 11, 0],
            "sometimes more",
            "In 9 of 20 simulated summers, the trap meant more leaves chewed. In none of the 20 were there fewer.",
        ),
        // 15 of 20, but no word was settled: the counts stand alone.
        (
            [15, 3, 2],
            "more",
            "In 15 of 20 simulated summers, the trap meant more leaves chewed.",
        ),
    ] {
        let (_, built) = made(&compared(way, word), &request());
        let handout = text(&built, "handout.html");
        assert!(handout.contains(verdict), "{way:?}");
        let [more, same, less] = way;
        let row = format!(
            "<td class=\"n\">{more}</td><td class=\"n\">{same}</td><td class=\"n\">{less}</td>"
        );
        assert!(handout.contains(&row), "{way:?}");
        assert!(handout.contains("<td class=\"n\">2,432</td>"));
        assert!(handout.contains("<td class=\"n\">95</td><td class=\"n\">19</td>"));
        let split =
            format!("More damage in {more} of 20, less in {less}, and no change in {same}.");
        assert!(handout.contains(&split));
        let help = text(&built, "help-desk.txt").replace('\n', " ");
        assert!(help.contains(verdict));
        let all = format!("(More in {more}, no change in {same}, less in {less}.)");
        assert!(
            help.contains(&all) || verdict.contains("In none of the 20"),
            "{help}"
        );
        assert!(help.contains(
            "Leaves chewed went from 12 to 18 in 100. That is about half as much again."
        ));
        let slide = text(&built, "slides/slide-verdict.txt");
        assert!(slide.contains(&format!(
            "more in {more} of 20, no change in {same}, less in {less}."
        )));
        let marks: Vec<f64> = slide
            .lines()
            .filter_map(|l| {
                l.strip_prefix("trap by the raspberries\t")?
                    .split('\t')
                    .nth(1)?
                    .parse()
                    .ok()
            })
            .collect();
        assert_eq!(marks.iter().filter(|m| **m > 1.0).count(), more);
        assert_eq!(marks.iter().filter(|m| **m < -1.0).count(), less);
        let teacher = text(&built, "class/teacher-page.html");
        assert!(teacher.contains(&format!(
            "The cards hold {more} with more harm, {same} with no change and {less} with less."
        )));
        let student = text(&built, "class/student-sheet.html");
        assert_eq!(student.matches("(more harm)").count(), more);
        assert_eq!(student.matches("(less harm)").count(), less);
    }
}

#[test]
fn the_game_is_offered_only_where_its_dice_tell_the_truth() {
    let offers = |way, word, landed: Option<u64>| {
        let mut all = compared(way, word);
        if let Some(landed) = landed {
            let text = &allotment().files["summary.json"];
            let mut summary: serde_json::Value = serde_json::from_str(text).unwrap();
            summary["summers"] = 1000.into();
            for plan in summary["plans"].as_array_mut().unwrap() {
                let account = AnswerAccount {
                    answered: 1000,
                    caught: 200,
                    landed_on_plant: landed,
                    went_away: 800 - landed,
                    unfinished: 0,
                };
                plan["answers"] = serde_json::to_value(account).unwrap();
            }
            all.files.insert("summary.json".into(), summary.to_string());
        }
        let (_, built) = made(&all, &request());
        built.files.iter().any(|(n, _)| n == "class/trap-game.html")
    };
    let spills = Some(600);
    assert!(offers([17, 2, 1], "usually more", spills));
    assert!(!offers([17, 2, 1], "usually more", Some(50)));
    assert!(!offers([17, 2, 1], "usually more", None));
    assert!(!offers([7, 13, 0], "sometimes more", spills));
    assert!(!offers([1, 2, 17], "usually less", spills));
    assert!(!offers([9, 6, 5], "could go either way", spills));
}

#[test]
fn the_help_desk_and_the_handout_name_the_best_plan_with_its_number() {
    let (results, built) = made(allotment(), &request());
    let yard = results.yard.as_ref().unwrap();
    let bare = yard.plans.iter().filter(|p| p.traps == 0).skip(1);
    let best = bare.min_by(|a, b| a.damage.total_cmp(&b.damage)).unwrap();
    assert!(best.damage < yard.plans[0].damage);
    for file in ["help-desk.txt", "handout.html"] {
        let said = text(&built, file).replace("&quot;", "\"");
        let named = format!("Better here: \"{}\". It leaves ", best.name);
        assert!(said.contains(&named), "{file}: {said}");
    }
}

#[test]
fn made_again_it_is_the_same_bytes() {
    let (_, a) = made(allotment(), &request());
    let (_, b) = made(allotment(), &request());
    assert_eq!(a.files, b.files);
    assert!(a.missing.is_empty(), "{:?}", a.missing);
    assert_eq!(a.made.len(), Product::ALL.len());
}

#[test]
fn pages_ask_nothing_of_the_network_and_stay_small() {
    let (_, built) = made(allotment(), &request());
    for (name, text) in texts(&built) {
        let plain = text.replace("http://www.w3.org/2000/svg", "");
        for word in [
            "http://", "https://", "@import", "url(", "<link", "<img", "<iframe", "src=",
        ] {
            // The clip paths of the player point into its own page.
            let own = word == "url("
                && plain.matches("url(").count() == plain.matches("'url(#map'").count();
            assert!(own || !plain.contains(word), "{name}: {word}");
        }
        if is(&name, "html") {
            assert!(text.contains("default-src 'none'"), "{name}");
            assert!(text.contains("<html lang=\"en\">"), "{name}");
        }
    }
    let size = |name: &str| built.files.iter().find(|(n, _)| n == name).unwrap().1.len();
    assert!(size("handout.html") < 500_000);
    assert!(size("one-summer.html") < 3_000_000);
    assert!(size("one-summer.gif") < 3_000_000);
}

#[test]
fn cautions_stand_on_every_product() {
    // The allotment hangs traps, picks by hand, and nets raspberries.
    let general = [
        "A simulation, not a forecast for your yard.",
        "Check with your local extension office: dates, thresholds and laws differ.",
        "It is for home yards, not for farms.",
        "Trap and lure: the label is the law.",
    ];
    let of_all_plans = [
        "Nets and covers: use wildlife-safe mesh (5 mm or less)",
        "at bloom",
    ];
    let pupils = [
        "A model, not a forecast for your yard.",
        "Ask your local extension office. Dates and laws differ.",
        "It is for home yards, not for farms.",
    ];
    let (_, built) = made(allotment(), &request());
    let mut n = 0;
    for (name, text) in texts(&built) {
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let needed: &[&str] = if ["prediction-sheet", "student-sheet", "trap-game"]
            .iter()
            .any(|p| name.contains(p))
        {
            &pupils
        } else if is(&name, "html") || is(&name, "txt") {
            &general
        } else if is(&name, "svg") {
            &[lurefield::figure::canvas::foot()]
        } else {
            continue;
        };
        n += 1;
        // The help desk writes about one plan.
        let all = needed.len() == general.len() && name != "help-desk.txt";
        let more: &[&str] = if all { &of_all_plans } else { &[] };
        for caution in needed.iter().chain(more) {
            assert!(flat.contains(caution), "{name}: {caution}");
        }
    }
    assert!(n >= 15, "{n} files");
}

/// Strings that must do no harm wherever they end up.
const HOSTILE: &str = "=<script>alert(1)</script>\\\"'&\\u0007";

#[test]
fn hostile_names_stay_text() {
    let text = shipped_text("allotment-beetles.json")
        .replace(
            "Should I hang a beetle trap beside the raspberries?",
            HOSTILE,
        )
        .replace("Invented for demonstration", HOSTILE)
        .replace("\"raspberries\"", &format!("\"r{HOSTILE}\""))
        .replace("\"trap by the raspberries\"", &format!("\"p{HOSTILE}\""))
        .replace("\"no trap\"", &format!("\"{HOSTILE}\""))
        .replace("\"near trap\"", &format!("\"t{HOSTILE}\""));
    let clean = text.replace("\\u0007", "");
    // A control character may be refused when the scenario is read; without it the rest must be harmless.
    let text = match lurefield::scenario::read(&text, "yard.json", &|_| Err(String::new())) {
        Ok(_) => text,
        Err(_) => clean,
    };
    let folder = run_of(&text);
    let mut request = request();
    let raw = "=<script>alert(1)</script>\"'&";
    request.date = raw.into();
    request.author = raw.into();
    request.reviewed_by = raw.into();
    let (_, built) = made(&folder, &request);
    for (name, text) in texts(&built) {
        if is(&name, "txt") {
            continue;
        }
        assert!(!text.to_lowercase().contains("<script>alert"), "{name}");
        assert!(!text.contains('\u{7}'), "{name}");
        if is(&name, "svg") {
            resvg::usvg::Tree::from_str(&text, &resvg::usvg::Options::default()).unwrap();
        }
        if is(&name, "html") {
            // Own scripts only: the player and its data.
            let most = if name == "one-summer.html" { 2 } else { 0 };
            assert_eq!(text.matches("<script").count(), most, "{name}");
            assert_eq!(text.matches("</script").count(), most, "{name}");
        }
    }
    let handout = text_of(&built, "handout.html");
    assert!(handout.contains("=&lt;script&gt;alert(1)&lt;/script&gt;"));
}

fn text_of(built: &Built, name: &str) -> String {
    text(built, name)
}

#[test]
fn no_cell_of_a_table_file_runs_as_a_formula() {
    let (_, built) = made(allotment(), &request());
    for (name, text) in texts(&built).into_iter().filter(|(n, _)| is(n, "csv")) {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(text.as_bytes());
        for record in reader.records() {
            for cell in &record.unwrap() {
                assert!(!cell.starts_with(['=', '+', '-', '@']), "{name}: {cell}");
            }
        }
    }
}

/// The result of a poll, as if the few summers of the allotment had settled.
fn poll(rows: &str) -> Result<Built, String> {
    let mut results = read(allotment()).unwrap();
    results.yard.as_mut().unwrap().preview = false;
    let request = Request {
        products: vec![Product::Poll],
        poll: Some(format!("question,answer,before,after\n{rows}")),
        ..request()
    };
    build(&results, &request, &MADE)
}

#[test]
fn the_poll_computes_before_and_after() {
    let built = poll("1,strongly agree,6,1\n1,disagree,2,9\n1,strongly disagree,2,10\n2,agree,10,5\n2,disagree,0,15\n").unwrap();
    let page = text(&built, "poll-result.html");
    assert!(page.contains("Before the talk we got 10 sheets. After it we got 20."));
    // 4 of 10 before, 19 of 20 after.
    assert!(page.contains("Those who say no were 40 of 100, and now they are 95."));
    assert!(page.contains("Those who say no were 0 of 100, and now they are 75."));
    let table = text(&built, "poll-result.csv");
    let line = table
        .lines()
        .find(|l| l.contains("strongly agree,6,1"))
        .unwrap();
    assert!(line.ends_with("6,1,60,5,55 fewer of 100"), "{line}");
    assert!(page.contains("a few people can swing these shares"));
}

#[test]
fn faulty_counts_of_a_poll_are_told_with_their_line() {
    for (rows, says) in [
        ("5,agree,1,1\n", "line 2: \"5\" is no question"),
        ("1,perhaps,1,1\n", "line 2: \"perhaps\" is no answer here"),
        ("1,agree,-1,1\n", "line 2: \"-1\" is no count"),
        (
            "1,agree,1,1\n1,agree,2,2\n",
            "line 3: this answer stands twice",
        ),
        ("1,agree,,\n", "all counts are empty or 0"),
        ("1,=SUM(A1),1,1\n", "is no answer"),
        ("1,agree,9999999999,1\n", "is no count"),
    ] {
        let error = poll(rows).unwrap_err();
        assert!(error.contains(says), "{rows}: {error}");
    }
    let results = read(allotment()).unwrap();
    let request = Request {
        poll: Some("a,b\n1,2\n".into()),
        ..request()
    };
    assert!(
        build(&results, &request, &MADE)
            .unwrap_err()
            .contains("the columns must be question,answer,before,after")
    );
}

#[test]
fn a_single_plan_or_few_results_leave_out_what_they_cannot_tell() {
    let text = shipped_text("allotment-beetles.json");
    let mut value: serde_json::Value = serde_json::from_str(&text).unwrap();
    value["plans"] = serde_json::json!([{ "name": "no trap", "traps": [] }]);
    let (_, built) = made(&run_of(&value.to_string()), &request());
    let missing: Vec<&str> = built.missing.iter().map(|(p, _)| p.name()).collect();
    assert!(
        missing.contains(&"class") && missing.contains(&"animation"),
        "{missing:?}"
    );
    assert!(text_of(&built, "handout.html").contains("Add a plan to compare."));

    let season = r#"{"format":1,"pest":{"id":"codling-moth"},"flight":null}"#;
    let (_, built) = made(&folder(&[("season.json", season.into())]), &request());
    let names: Vec<&str> = built.made.iter().map(|(p, _)| p.name()).collect();
    assert_eq!(names, ["poll", "evidence", "tables"]);
    assert!(text_of(&built, "evidence.html").contains("codling moth"));
}

#[test]
fn dates_of_a_season_stand_on_the_handout_of_the_same_pest_only() {
    let season = |pest: &str, events: &str| {
        format!(
            r#"{{"format":1,"pest":{{"id":"{pest}"}},"events":[{events}],"flight":{{"first":["June 10","June 17","June 24"],"peak":"July 8","last":["August 1","August 9","August 20"]}}}}"#
        )
    };
    let handout = |season: Option<String>| {
        let mut all = compared([17, 2, 1], "usually more");
        if let Some(season) = season {
            all.files.insert("season.json".into(), season);
        }
        let (results, built) = made(&all, &request());
        (text_of(&built, "handout.html"), results.doubts)
    };
    // The first date is the one of the first adults, not the day from which many fly.
    let hang = r#"{"kind":"hang","date":"2014-05-20"}"#;
    let first = r#"{"kind":"first-adults","date":"2014-06-12"}"#;
    let dated = "Look for them from June 12 to August 9. Most of them are out near July 8.";
    for (pest, there) in [("japanese-beetle", true), ("codling-moth", false)] {
        let (text, doubts) = handout(Some(season(pest, &format!("{hang},{first}"))));
        assert_eq!(text.contains(dated), there, "{pest}");
        assert_eq!(doubts.iter().any(|d| d.contains("another pest")), !there);
    }
    // Without that date the line says only what the flight's own days mean, and without a season nothing.
    for events in ["", r#"{"kind":"first-adults","date":null}"#] {
        let (text, _) = handout(Some(season("japanese-beetle", events)));
        assert!(!text.contains("Look for them from"));
        assert!(
            text.contains("Most of them fly from June 17 to August 9. The peak is near July 8.")
        );
    }
    let (text, _) = handout(None);
    assert!(!text.contains("Look for them from") && !text.contains("Most of them fly"));
}

#[test]
fn distances_of_a_search_become_a_slide() {
    let mut all = compared([17, 2, 1], "usually more");
    let point = |label: &str, damage: f64, less: usize| serde_json::json!({ "label": label, "at": 1.0, "damage_mean": damage, "counts": [20 - less, 0, less], "caught_mean": 1234.0 });
    let placement = |less: usize| {
        serde_json::json!({ "format": 1, "scenario": "allotment-beetles", "sweeps": [{
            "name": "distance", "damage_without": 12.0, "points": [point("10 ft (3 m)", 18.0, 0), point("100 ft (30 m)", 11.0, less)],
        }] })
        .to_string()
    };
    for (less, claim) in [(0, "At no distance here"), (16, "Far enough away")] {
        all.files.insert("placement.json".into(), placement(less));
        let (_, built) = made(&all, &request());
        let svg = text_of(&built, "slides/slide-distance.svg");
        let flat = svg.replace("</text>", " ");
        assert!(flat.contains(claim), "{claim}");
        let side = text_of(&built, "slides/slide-distance.txt");
        assert!(side.contains("10 ft (3 m)\t18\t1,234"), "{side}");
    }
}

#[test]
fn damaged_results_are_refused_with_place_and_remedy() {
    let change = |name: &str, text: &str| {
        let mut all = allotment().clone();
        all.files.insert(name.into(), text.into());
        read(&all).unwrap_err().to_string()
    };
    let whole = allotment().files["summary.json"].clone();
    for (name, text, says) in [
        ("summary.json", "{".to_owned(), "damaged"),
        (
            "summary.json",
            whole.replace("\"format\": 1", "\"format\": 2"),
            "format 2 is not known",
        ),
        (
            "summary.json",
            whole.replace("\"format\": 1,", ""),
            "there is no \"format\"",
        ),
        (
            "summary.json",
            whole.replacen("\"mean\":", "\"average\":", 1),
            "plans[0].damage: missing field `mean`",
        ),
        (
            "summary.json",
            whole.replacen("\"more_of_20\": ", "\"more_of_20\": 9", 1),
            "add up to",
        ),
        (
            "scenario.json",
            "{ \"format\": 1 }".to_owned(),
            "scenario.json",
        ),
        (
            "one-summer.json",
            "{ \"format\": 1 }".to_owned(),
            "one-summer.json: missing field",
        ),
    ] {
        let error = change(name, &text);
        assert!(error.contains(says), "{name}: {error}");
    }
    let error = read(&Folder::default()).unwrap_err().to_string();
    assert!(error.starts_with("no results of run, compare or season"));
    let mut no_yard = allotment().clone();
    no_yard.files.remove("scenario.json");
    assert!(
        read(&no_yard)
            .unwrap_err()
            .to_string()
            .contains("scenario.json: it is missing")
    );
}

#[test]
fn results_of_other_summers_are_not_mixed() {
    let mut all = allotment().clone();
    all.files.insert(
        "compare.json".into(),
        compare_json([17, 2, 1], "usually more"),
    );
    let (results, built) = made(&all, &request());
    assert!(
        results.doubts.iter().any(|d| d.contains("other summers")),
        "{:?}",
        results.doubts
    );
    assert!(text_of(&built, "handout.html").contains("In 17 of 20"));
}

#[test]
fn a_preview_says_so_on_every_page_with_a_verdict() {
    let (_, built) = made(allotment(), &request());
    for name in ["handout.html", "index.html", "help-desk.txt"] {
        let flat = text_of(&built, name)
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(flat.contains("This is a preview."), "{name}");
        assert!(
            !flat.contains("[usually]"),
            "{name}: no word from 12 summers"
        );
    }
}

#[test]
fn evidence_shows_both_sides_with_tests_sources_and_grades() {
    for (pest, _) in lurefield::catalogue::evidence::EVIDENCE {
        let notes = lurefield::catalogue::evidence::evidence(pest).unwrap();
        assert_eq!(notes.pest, *pest);
        assert!(lurefield::catalogue::pest(pest).is_some());
        assert!(!notes.questions.is_empty() && !notes.not_known.is_empty());
        for question in &notes.questions {
            assert!(question.sides.len() >= 2, "{pest}: {}", question.question);
            for finding in question.sides.iter().flat_map(|s| &s.findings) {
                assert!(
                    !finding.source.is_empty()
                        && !finding.test.is_empty()
                        && !finding.says.is_empty()
                );
                let unsourced = finding.source.contains("no source");
                let assumed = finding.grade == lurefield::catalogue::Grade::Assumed;
                assert_eq!(unsourced, assumed, "{pest}: {}", finding.says);
            }
        }
    }
    let tables = lurefield::catalogue::evidence::tables();
    assert!(tables.mesh.len() > 5 && tables.height.len() > 3 && tables.cover.len() > 8);
}

#[test]
fn every_shipped_pest_but_the_custom_one_has_evidence() {
    for (pest, _) in lurefield::catalogue::PESTS {
        let there = lurefield::catalogue::evidence::evidence(pest).is_some();
        assert_eq!(there, *pest != "custom", "{pest}");
    }
}

/// The text of a run tells four parts, pages three: the parts they share are the same numbers.
#[test]
fn where_a_hundred_answers_ended_is_told_alike_everywhere() {
    let mut account = AnswerAccount {
        answered: 1000,
        caught: 424,
        landed_on_plant: 4,
        went_away: 565,
        unfinished: 7,
    };
    // By the largest remainders: of three parts it would be 43, 0 and 57.
    let ended = Ended::of(&account).unwrap();
    let four = [ended.kept, ended.landed, ended.away, ended.open];
    assert_eq!((four, ended.lean()), ([42, 0, 57, 1], Ordering::Less));
    let mut all = allotment().clone();
    let mut summary: serde_json::Value = serde_json::from_str(&all.files["summary.json"]).unwrap();
    for plan in summary["plans"].as_array_mut().unwrap() {
        if plan["answers"]["answered"] != 0 {
            plan["answers"] = serde_json::to_value(account).unwrap();
        }
    }
    all.files.insert("summary.json".into(), summary.to_string());
    let results = read(&all).unwrap();
    let plans = &results.yard.as_ref().unwrap().plans;
    let fates: Vec<[u64; 3]> = plans.iter().filter_map(|p| Some(p.fate?.three())).collect();
    assert!(!fates.is_empty());
    assert!(fates.iter().all(|fate| *fate == [42, 0, 58]), "{fates:?}");
    account.unfinished = 0;
    account.answered = 993;
    let three = Ended::of(&account).unwrap().three();
    assert_eq!(three.iter().sum::<u64>(), 100);
    assert_eq!(Ended::of(&AnswerAccount::default()), None);
}
