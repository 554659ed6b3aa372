//! What a plan holds decides which cautions stand on every product: each content against each product.

use crate::products::{MADE, folder_of, request};
use lurefield::catalogue::{self, LureCosts, TrapCosts};
use lurefield::count::outcome::RunOutcome;
use lurefield::count::prepare::{Prepared, prepare};
use lurefield::engine::ensemble::Unwatched;
use lurefield::figure::canvas::foot;
use lurefield::placement::objective::Objective;
use lurefield::placement::search::{Question, place};
use lurefield::placement::site::Limits;
use lurefield::report::cautions::Content;
use lurefield::report::products::{build, results};
use lurefield::report::{self, compare as compared, text, upkeep, vary};
use lurefield::say::Strings;
use lurefield::scenario::Scenario;
use lurefield::study::compare::{How, compare};
use lurefield::study::keep::KeepNothing;
use lurefield::study::settle::Take;
use lurefield::study::vary::{Ask, Method};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A yard of a pest on a crop, with one plan beside "nothing".
struct Yard {
    pest: &'static str,
    crop: &'static str,
    plan: &'static str,
    holds: &'static [Content],
}

const WASP: &str = r#"{ "base": "custom", "name": "wasp", "guild": "visitor" }"#;

/// Every content stands in one yard at least, and is missing in one at least.
const YARDS: &[Yard] = &[
    Yard {
        pest: r#""japanese-beetle""#,
        crop: "rose",
        plan: r#""traps": [{ "at": [2, 10] }]"#,
        holds: &[Content::Trap],
    },
    Yard {
        pest: r#""gray-field-slug""#,
        crop: "lettuce",
        plan: r#""traps": [{ "at": [6, 7] }]"#,
        holds: &[Content::Trap, Content::OpenCup],
    },
    Yard {
        pest: r#""japanese-beetle""#,
        crop: "rose",
        plan: r#""methods": [{ "method": "repellent" }]"#,
        holds: &[Content::Spray],
    },
    Yard {
        pest: r#""japanese-beetle""#,
        crop: "rose",
        plan: r#""methods": [{ "method": "water-spray" }, { "method": "hand-removal" }]"#,
        holds: &[Content::Water, Content::Hands],
    },
    Yard {
        pest: r#""japanese-beetle""#,
        crop: "grape",
        plan: r#""methods": [{ "method": "row-cover", "mesh_mm": 4 }]"#,
        holds: &[Content::Net],
    },
    Yard {
        pest: r#""spotted-wing-drosophila""#,
        crop: "raspberry",
        plan: r#""methods": [{ "method": "row-cover", "mesh_mm": 0.9 }]"#,
        holds: &[Content::Net, Content::Bees],
    },
    Yard {
        pest: r#""codling-moth""#,
        crop: "apple",
        plan: r#""methods": [{ "method": "fruit-bags" }]"#,
        holds: &[Content::Bags, Content::Ladder],
    },
    Yard {
        pest: r#""codling-moth""#,
        crop: "apple",
        plan: r#""traps": [{ "at": [6, 7] }]"#,
        holds: &[Content::Trap, Content::Ladder],
    },
    Yard {
        pest: WASP,
        crop: "patio-table",
        plan: r#""traps": [{ "at": [2, 10] }]"#,
        holds: &[Content::Sting, Content::StingTrap, Content::Trap],
    },
    Yard {
        pest: WASP,
        crop: "patio-table",
        plan: r#""traps": [{ "at": [2, 10], "kind": "cup" }]"#,
        holds: &[
            Content::Sting,
            Content::StingTrap,
            Content::Trap,
            Content::OpenCup,
        ],
    },
];

impl Yard {
    fn text(&self) -> String {
        format!(
            r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 14, "depth": 12 }}, "pest": {},
            "window": {{ "days": 2 }}, "wind": {{ "strength": "still" }},
            "surroundings": {{ "pressure": {{ "on_plants_a_day": [0.2, 0.5] }} }},
            "crops": [{{ "name": "mine", "kind": "{}", "row": {{ "from": [6, 6], "to": [8, 6], "count": 2 }} }}],
            "plans": [{{ "name": "nothing" }}, {{ "name": "plan", {} }}],
            "settings": {{ "summers": 20, "seed": 5 }} }}"#,
            self.pest, self.crop, self.plan
        )
    }

    fn scenario(&self) -> Scenario {
        lurefield::scenario::read(&self.text(), "yard.json", &|_| Err(String::new()))
            .unwrap_or_else(|faults| panic!("{}", faults[0]))
    }
}

/// The text on one line, without the marks of a page.
fn flat(text: &str) -> String {
    let text = text.replace("&apos;", "'").replace("&#39;", "'");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Texts about a yard, by name.
type Texts = BTreeMap<String, String>;

/// Everything that is written about each of the yards, made once.
fn written() -> &'static [Texts] {
    static ALL: OnceLock<Vec<Texts>> = OnceLock::new();
    ALL.get_or_init(|| YARDS.iter().map(about).collect())
}

fn about(yard: &Yard) -> Texts {
    let scenario = yard.scenario();
    let prepared = prepare(&scenario, &Unwatched).unwrap();
    let outcome = lurefield::study::run::run(&prepared, &Unwatched).unwrap();
    let mut all = BTreeMap::from([("run".to_owned(), text::run(&scenario, &outcome, &[]))]);
    let how = How {
        take: Take::exactly(3),
        spread: false,
    };
    let compared = compare(&prepared, how, &Unwatched).unwrap();
    let told = compared::text(&scenario, &compared, &[]);
    all.insert("compare".into(), told);
    let ask = Ask {
        plan: 1,
        method: Method::OneAtATime,
        summers: 1,
        settle: Take::exactly(2),
        habit_summers: 0,
    };
    let study =
        lurefield::study::vary::study(&prepared, ask, &Unwatched, &mut KeepNothing).unwrap();
    all.insert("vary".into(), vary::text(&scenario, &study, &[]));
    if !scenario.plans[1].traps.is_empty() {
        about_traps(&scenario, &prepared, &mut all);
    }
    products(yard, &scenario, &outcome, &mut all);
    all.into_iter().map(|(k, v)| (k, flat(&v))).collect()
}

fn about_traps(scenario: &Scenario, prepared: &Prepared, all: &mut Texts) {
    let question = Question {
        objective: Objective::Damage,
        limits: Limits {
            sites: Some(4),
            ..Limits::default()
        },
        apart_m: 3.0,
        sweeps: vec![],
        neighbors_traps: false,
        all_summers: true,
    };
    let placed = place(scenario, &question, &Unwatched, &|_| false).unwrap();
    all.insert("place".into(), report::place::text(scenario, &placed));
    let visits = lurefield::study::upkeep::study(prepared, 1, &Unwatched).unwrap();
    all.insert("season of a yard".into(), upkeep::text(scenario, &visits));
}

fn products(yard: &Yard, scenario: &Scenario, outcome: &RunOutcome, all: &mut Texts) {
    let folder = folder_of(&yard.text(), scenario, outcome);
    let results = results::read(&folder).unwrap();
    let built = build(&results, &request(), &MADE).unwrap();
    for (name, bytes) in built.files {
        let ends = |e: &str| name.ends_with(e);
        if ends(".html") || ends(".txt") || ends(".svg") {
            all.insert(name, String::from_utf8(bytes).unwrap());
        }
    }
}

fn is_for_pupils(name: &str) -> bool {
    ["prediction-sheet", "student-sheet", "trap-game"]
        .iter()
        .any(|p| name.contains(p))
}

#[test]
fn every_product_holds_the_cautions_of_what_its_plan_holds_and_no_others() {
    let s = Strings::of("en").unwrap();
    let always = ["caution.forecast", "caution.local", "caution.home"];
    let mut seen = BTreeMap::<Content, [usize; 2]>::new();
    for (yard, all) in YARDS.iter().zip(written()) {
        assert!(all.len() >= 10, "{}: {:?}", yard.plan, all.keys());
        for content in Content::ALL {
            seen.entry(content).or_default()[usize::from(yard.holds.contains(&content))] += 1;
        }
        for (name, text) in all {
            let whole = std::path::Path::new(name).extension();
            if whole.is_some_and(|e| e == "svg") {
                assert!(text.contains(foot()), "{name} of {}", yard.plan);
                continue;
            }
            if is_for_pupils(name) {
                pupils(&s, yard, name, text);
                continue;
            }
            for key in always {
                assert!(text.contains(s.get(key)), "{name} of {}: {key}", yard.plan);
            }
            // The tables to look things up are about nets, traps and ladders, whatever the plan.
            let of_no_plan = name == "tables.html";
            for content in Content::ALL {
                // A reply of few words has a shorter sentence where there is no room.
                if name == "help-desk.txt" {
                    let held = crate::help_desk::cautions(&s, text, content);
                    assert_eq!(held, yard.holds.contains(&content), "{text}");
                    continue;
                }
                for key in content.keys() {
                    let wanted = yard.holds.contains(&content);
                    // Where the crops are named, the sentence ends with them; the mesh has the pest's number.
                    let sentence = s.get(key).split('{').next().unwrap_or_default();
                    let sentence = sentence.trim_end_matches('.');
                    if !of_no_plan {
                        let held = text.contains(sentence);
                        assert_eq!(held, wanted, "{name} of {}: {key}", yard.plan);
                    }
                }
            }
        }
    }
    for (content, [without, with]) in seen {
        assert!(without > 0 && with > 0, "{content:?} is told from nothing");
    }
}

fn pupils(s: &Strings, yard: &Yard, name: &str, text: &str) {
    for key in ["student.forecast", "student.local", "student.paper"] {
        assert!(text.contains(s.get(key)), "{name} of {}: {key}", yard.plan);
    }
    let stings = yard.holds.contains(&Content::Sting);
    assert_eq!(text.contains(s.get("student.sting")), stings, "{name}");
}

#[test]
fn the_teacher_is_told_that_it_is_all_on_paper() {
    let all = &written()[0];
    let s = Strings::of("en").unwrap();
    assert!(all["class/teacher-page.html"].contains(s.get("caution.paper")));
    assert!(!all["handout.html"].contains(s.get("caution.paper")));
}

#[test]
fn the_foot_of_slides_is_that_of_all_pictures() {
    assert_eq!(Strings::of("en").unwrap().get("slide.foot"), foot());
}

#[test]
fn crops_under_a_net_are_named_where_they_need_bees() {
    let all = &written()[5];
    let named = "Bees: take covers off at bloom, or move the pollen by hand: mine.";
    assert!(all["run"].contains(named), "{}", all["run"]);
}

/// What two plans cost in dollars: low end, middle, high end.
fn dollars(scenario: &Scenario, plan: usize) -> [f64; 3] {
    lurefield::study::compare::effort(scenario, &scenario.plans[plan]).dollars
}

fn near(found: [f64; 3], wanted: [f64; 3]) {
    for (a, b) in found.iter().zip(wanted) {
        assert!((a - b).abs() < 1e-9, "{found:?} instead of {wanted:?}");
    }
}

#[test]
fn four_cups_cost_what_cups_and_beer_cost() {
    let scenario = crate::products::shipped("strawberry-slugs.json");
    let cup = catalogue::trap("cup").unwrap().costs.dollars_per_trap;
    let beer = catalogue::lure("slug-beer").unwrap().costs;
    let beer = beer.dollars_per_lure;
    let ends = |n: &catalogue::Sourced| {
        let [low, high] = n.range.unwrap();
        [low, n.value, high]
    };
    // Filled anew every second day of 21: 11 fills for each cup.
    let each: Vec<f64> = (ends(&cup).iter().zip(ends(&beer)))
        .map(|(cup, fill)| 4.0 * (cup + 11.0 * fill))
        .collect();
    near(dollars(&scenario, 2), each.clone().try_into().unwrap());
    assert!(each[1] < 25.0, "a few cups of beer, not {}", each[1]);
}

#[test]
fn prices_of_traps_and_lures_can_be_set_and_a_plan_of_ones_own_wins() {
    let text = |more: &str, own: &str| {
        format!(
            r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 14, "depth": 12 }}, "pest": "japanese-beetle",
            "window": {{ "days": 7 }}, {more}
            "crops": [{{ "name": "mine", "kind": "rose", "single": [6, 6] }}],
            "plans": [{{ "name": "nothing" }}, {{ "name": "plan", {own} "traps": [{{ "at": [2, 10], "lures": 2 }}] }}] }}"#
        )
    };
    let read = |text: &str| {
        lurefield::scenario::read(text, "yard.json", &|_| Err(String::new()))
            .map_err(|f| f[0].to_string())
    };
    let usual = read(&text("", "")).unwrap();
    near(dollars(&usual, 1), [12.0, 26.0, 55.0]);
    let set = r#""trap_values": { "bucket": { "dollars_per_trap": 20 } },
        "lure_values": { "japanese-beetle-both": { "dollars_per_lure": [1, 3] } },"#;
    near(
        dollars(&read(&text(set, "")).unwrap(), 1),
        [22.0, 24.0, 26.0],
    );
    near(
        dollars(&read(&text(set, r#""dollars": 9,"#)).unwrap(), 1),
        [9.0; 3],
    );
    let wrong = r#""trap_values": { "bucket": { "dollars_per_trap": -1 } },"#;
    let fault = read(&text(wrong, "")).unwrap_err();
    assert!(
        fault.contains("trap_values.bucket.dollars_per_trap"),
        "{fault}"
    );
    assert_eq!(TrapCosts::TABLE.len() + LureCosts::TABLE.len(), 4);
}

#[test]
fn a_count_of_bees_stands_only_where_its_trap_and_lure_hang() {
    let bees = "856 bumble bees";
    for (yard, all) in YARDS.iter().zip(written()) {
        let told = &all["compare"];
        let hangs = yard.pest.contains("beetle") && yard.plan.contains("traps");
        assert_eq!(told.contains(bees), hangs, "{}: {told}", yard.plan);
        let other = yard.plan.contains("traps") && !hangs;
        assert_eq!(told.contains("Nobody has counted"), other, "{}", yard.plan);
    }
}
