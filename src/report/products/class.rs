//! The class pack: prediction sheet, student sheet, teacher page with answer key, and the game on paper.

use crate::count::one_summer::What;
use crate::figure::sheet::{Caption, board};
use crate::report::cautions::stings;
use crate::report::products::game::{self, Expected, Rules};
use crate::report::products::page::{Head, caution_list, clean, figure, footer, page};
use crate::report::products::results::Count;
use crate::report::products::story::{Story, filled};
use crate::report::products::{Files, Made, Request};
use crate::report::products::{pictures, summer};
use crate::say::{Strings, fill};
use crate::stats::paired::Class;
use crate::stats::words::printed;
use maud::{Markup, html};
use statrs::distribution::{Binomial, DiscreteCDF};

/// Draws of a group.
const DRAWS: u64 = 10;
/// Groups of a class.
const GROUPS: u64 = 8;
/// Games played to say what to expect.
const GAMES: u32 = 4000;
/// Order of the twenty cards, so that neighboring numbers do not tell a story: card i holds dot 7·i mod 20.
const STEP: usize = 7;

pub(super) fn files(story: &Story, request: &Request, made: &Made) -> Result<Files, String> {
    if !story.plan().only_traps || story.plan().traps == 0 {
        let values = [("name", story.plan().name.as_str())];
        return Err(story.s.fill("class.missing.trap", &values));
    }
    let Some((count, dots)) = story
        .plan()
        .count
        .as_ref()
        .and_then(|c| c.dots.as_ref().map(|d| (c, d)))
    else {
        return Err(story.s.get("class.missing.dots").into());
    };
    let game = paper_game(story);
    let mut files = vec![
        ("class/prediction-sheet.html".to_owned(), prediction(story)),
        ("class/student-sheet.html".to_owned(), student(story, dots)),
        (
            "class/teacher-page.html".to_owned(),
            teacher(story, request, made, count, game.as_ref()),
        ),
    ];
    if let Some((rules, _)) = &game {
        files.push(("class/trap-game.html".into(), game_sheet(story, *rules)));
    }
    Ok(files
        .into_iter()
        .map(|(name, text)| (name, text.into_bytes()))
        .collect())
}

/// The game, where a run has counted its odds, and most summers and most throws of its dice lead to more harm.
fn paper_game(story: &Story) -> Option<(Rules, Expected)> {
    let plan = story.plan();
    let told = plan.count.as_ref()?.told;
    let rules = game::rules(&story.yard.scenario, &plan.fate?)?;
    let expected = game::expected(rules, GAMES, 1);
    let leads = told.class() == Class::More && told.mostly_one_way() && expected.more > 50.0;
    leads.then_some((rules, expected))
}

/// What stands at the foot of every sheet for pupils.
fn student_foot(story: &Story) -> Markup {
    let s = story.s;
    html! {
        p { (s.get("student.paper")) @if stings(&story.yard.scenario) { " " (s.get("student.sting")) } }
        p { strong { (s.get("student.forecast")) } " " (s.get("student.local")) " " (s.get("caution.home")) }
    }
}

fn student_page(story: &Story, kind: &str, title: &str, body: &Markup) -> String {
    let s = story.s;
    let head = Head { title, kind };
    let name = html! { div.line { span { (s.get("student.name")) ":" } span.edit contenteditable="true" role="textbox" tabindex="0" aria-label=(s.get("student.name")) {} } };
    page(
        s,
        &head,
        &html! { (name) (body) },
        &student_foot(story),
        None,
    )
}

fn tick(text: &str) -> Markup {
    html! { li { span.tick aria-hidden="true" {} (text) } }
}

fn write_lines(n: usize) -> Markup {
    html! { @for _ in 0..n { div.write {} } }
}

fn prediction(story: &Story) -> String {
    let s = story.s;
    let body = html! {
        p { (s.get("student.story")) " " (s.get("student.ask")) }
        h2 { (s.get("student.guess")) }
        ul.checks {
            (tick(s.get("student.guess.more")))
            (tick(s.get("student.guess.same")))
            (tick(s.get("student.guess.less")))
        }
        @if let Some(fig) = pictures::yard(story, "yard", 900.0) {
            p { (s.get("student.map")) }
            (figure(s, &fig, s.get("figure.yard.title"), s.get("figure.yard.explain")))
        }
        p { (s.get("student.because")) }
        (write_lines(3))
        p { strong { (s.get("student.lock")) } }
    };
    student_page(
        story,
        s.get("student.prediction"),
        s.get("student.title"),
        &body,
    )
}

/// The twenty cards in their fixed order: change in whole points of 100, and its class.
fn cards(dots: &[f64], band: f64) -> Vec<(usize, String, &'static str)> {
    (0..dots.len())
        .map(|i| {
            let dot = dots[(STEP * (i + 1)) % dots.len()];
            let class = |dot: f64| {
                if dot > band {
                    "student.more"
                } else if dot < -band {
                    "student.less"
                } else {
                    "student.same"
                }
            };
            // Decimals enough that a change just over the band does not read as the band itself.
            let rounded = |digits: i32| {
                let scale = libm::pow(10.0, f64::from(digits));
                // Adding 0 turns a negative zero into a plain one.
                (dot * scale).round() / scale + 0.0
            };
            let digits = (1..6).find(|digits| class(rounded(*digits)) == class(dot));
            let digits = digits.unwrap_or(6);
            let shown = rounded(digits);
            let sign = if shown > 0.0 { "+" } else { "" };
            let told = format!("{sign}{shown:.*}", digits as usize);
            (i + 1, told, class(dot))
        })
        .collect()
}

/// What a bug may do, and what shows it.
const DEEDS: [(&str, &[What]); 6] = [
    ("smelled", &[What::Smelled]),
    ("went", &[What::Smelled]),
    ("landed", &[What::Landed]),
    ("ate", &[What::Landed]),
    ("left", &[What::Left, What::LeftPlant, What::GaveUp]),
    ("caught", &[What::Caught]),
];

/// The first step: what the moving picture shows, else what the teacher tells.
fn watch(story: &Story) -> Markup {
    let s = story.s;
    let show = summer::shown(story);
    let told = match show {
        Some(_) => "student.step1.do",
        None => "student.step1.do.none",
    };
    let empty = show.as_ref().filter(|show| show.counts(1).caught == 0);
    let empty = empty.and_then(|_| summer::usual(story));
    let empty = empty.map(|usual| {
        let told = story.about_it("student.step1.empty");
        fill(&told, &[("caught", &usual as &str)])
    });
    let deeds = DEEDS.iter();
    let deeds = deeds.filter(|(_, by)| show.as_ref().is_none_or(|show| show.holds(by)));
    html! {
        h2 { (s.get("student.step1")) }
        p { (s.get(told)) @if let Some(empty) = empty { " " (empty) } " " (s.get("student.step1.table")) }
        ul.checks.two { @for (key, _) in deeds { (tick(s.get(&format!("student.step1.{key}")))) } }
    }
}

fn student(story: &Story, dots: &[f64]) -> String {
    let s = story.s;
    let cards = cards(dots, story.yard.tie_band);
    let half = cards.len() / 2;
    let way = match story.way() {
        Some(Class::More) => "more",
        Some(Class::Less) => "less",
        _ => "same",
    };
    let body = html! {
        (watch(story))
        h2 { (s.get("student.step2")) }
        @if story.preview() { p.warn { (s.get("verdict.preview")) } }
        p { (s.get("student.step2.do")) }
        div.scroll tabindex="0" role="group" aria-label=(s.get("student.step2.table")) {
            table.cards {
                caption { (s.get("student.step2.table")) }
                thead { tr { @for _ in 0..2 {
                    th scope="col" { (s.get("student.card")) }
                    th scope="col" { (s.get("student.change")) }
                } } }
                tbody { @for i in 0..half {
                    tr { @for (n, change, class) in [&cards[i], &cards[i + half]] {
                        th scope="row" { (n) }
                        td { (change) " (" (s.get(class)) ")" }
                    } }
                } }
            }
        }
        p { (s.get("student.step2.mark")) }
        div.scroll tabindex="0" role="group" aria-label=(s.get("student.step2")) {
            table {
                tbody { @for key in ["student.more", "student.same", "student.less"] {
                    tr { th scope="row" { (s.get(key)) } @for _ in 0..DRAWS { td { "\u{a0}\u{a0}\u{a0}" } } }
                } }
            }
        }
        p { (s.get("student.step2.sum")) }
        h2.break { (s.get("student.step3")) }
        p { (s.get("student.step3.do")) }
        (write_lines(1))
        p { (s.get("student.step3.pool")) }
        h2 { (s.get("student.step4")) }
        p { (s.get(&format!("student.step4.{way}"))) }
        (write_lines(2))
        p { (s.get(&format!("student.step4.{way}.change"))) }
        (write_lines(2))
        h2 { (s.get("student.step5")) }
        p { (s.get("student.step5.do")) }
        ul.checks { @for key in ["a", "b", "c"] { (tick(s.get(&format!("student.step5.{key}")))) } }
        (write_lines(2))
    };
    student_page(story, s.get("student.sheet"), s.get("student.title"), &body)
}

/// Low and high counts between which nine of ten samples of `n` draws lie, and the middle one.
pub(super) fn spread(n: u64, share: f64) -> (u64, u64, u64) {
    let Ok(binomial) = Binomial::new(share.clamp(0.0, 1.0), n) else {
        return (0, 0, 0);
    };
    let quantile = |p: f64| (0..=n).find(|k| binomial.cdf(*k) >= p).unwrap_or(n);
    (quantile(0.05), quantile(0.95), quantile(0.5))
}

fn teacher(
    story: &Story,
    request: &Request,
    made: &Made,
    count: &Count,
    game: Option<&(Rules, Expected)>,
) -> String {
    let s = story.s;
    let way = story.way().unwrap_or(Class::EitherWay);
    // The most frequent class is the one that pupils will talk about.
    let (class, n) = [
        ("teacher.class.more", count.told.more),
        ("teacher.class.same", count.told.same),
        ("teacher.class.less", count.told.less),
    ]
    .into_iter()
    .max_by_key(|(_, n)| *n)
    .unwrap_or(("teacher.class.same", 0));
    let share = n as f64 / count.told.of as f64;
    let all = all_alike(story, count);
    let said = |key: &str, draws: u64| {
        let (low, high, middle) = spread(draws, share);
        s.fill(
            key,
            &[
                ("low", &low.to_string() as &str),
                ("high", &high.to_string()),
                ("middle", &middle.to_string()),
                ("class", s.get(class)),
            ],
        )
    };
    let of = count.told.of as f64;
    let counts = count.told.all();
    let alike: f64 = counts
        .iter()
        .map(|n| {
            let p = *n as f64 / of;
            (0..GROUPS).fold(1.0, |all, _| all * p)
        })
        .sum();
    let head = Head {
        title: s.get("teacher.title"),
        kind: s.get("product.class"),
    };
    let shown = summer::shown(story).is_some();
    let body = html! {
        p { (s.get("teacher.line")) " " (s.get("teacher.standards")) }
        h2 { (s.get("teacher.result")) }
        p.lead { (clean(&story.verdict())) }
        @if story.preview() { p.warn { (s.get("verdict.preview")) } }
        p { @if let Some(line) = story.damage() { (line) } @if let Some(catch) = story.catch() { " " (clean(&catch)) } }
        p { strong { (s.get("caution.forecast")) } }
        h2 { (s.get("teacher.bring")) }
        ul {
            @for key in ["1", "2"] { li { (s.get(&format!("teacher.bring.{key}"))) } }
            li { (s.get(if shown { "teacher.bring.3" } else { "teacher.bring.3.none" })) }
            @if game.is_some() { li { (s.get("teacher.bring.4")) } }
        }
        (timing(s, shown))
        h2 { (s.get("teacher.expect")) }
        ul {
            li { (filled(s, "teacher.expect.line", count.told, &[])) }
            @if let Some(all) = &all { li { (all) } } @else {
                li { (said("teacher.expect.group", DRAWS)) }
                li { (said("teacher.expect.class", DRAWS * GROUPS)) }
                li { (s.fill("teacher.expect.agree", &[("agree", &format!("{:.0}", 100.0 * alike) as &str)])) }
            }
        }
        (wrong_ideas(story, way, all.is_none()))
        (key(story, way, count, all.as_deref()))
        h2 { (s.get("teacher.game")) }
        @match game {
            Some((_, expected)) => {
                p { @if let Some(why) = story.reason("teacher.game.why") { (why) } " " (s.get("teacher.game.board")) }
                p { (s.fill("teacher.game.expect", &[
                    ("more", &format!("{:.0}", expected.more) as &str), ("same", &format!("{:.0}", expected.same)),
                ])) }
                p { (s.fill("teacher.game.mean", &[
                    ("without", &format!("{:.1}", expected.without) as &str), ("with", &format!("{:.1}", expected.with)),
                ])) }
            }
            None => p { (s.get("teacher.game.none")) },
        }
        p { strong { (s.get("caution.paper")) } }
        (caution_list(s, Some(story)))
    };
    page(s, &head, &body, &footer(story, request, made), None)
}

/// A sentence where all cards are of one class: then nothing varies.
fn all_alike(story: &Story, count: &Count) -> Option<String> {
    let s = story.s;
    let told = count.told;
    let class = [
        ("teacher.class.more", told.more),
        ("teacher.class.same", told.same),
        ("teacher.class.less", told.less),
    ];
    let (class, _) = class.into_iter().find(|(_, n)| *n == told.of)?;
    Some(filled(s, "teacher.all", told, &[("class", s.get(class))]))
}

fn timing(s: &Strings, shown: bool) -> Markup {
    let run = if shown { "run" } else { "run.none" };
    let steps = [
        ("5", "settle"),
        ("5", "predict"),
        ("10", "run"),
        ("10", "compare"),
        ("10", "explain"),
        ("5", "limits"),
    ];
    html! {
        h2 { (s.get("teacher.time")) }
        div.scroll tabindex="0" role="group" aria-label=(s.get("teacher.time")) {
            table {
                thead { tr { @for key in ["what", "minutes", "do"] { th scope="col" { (s.get(&format!("teacher.time.{key}"))) } } } }
                tbody { @for (minutes, key) in steps {
                    tr {
                        th scope="row" { (s.get(&format!("teacher.time.{key}"))) }
                        td.n { (minutes) }
                        td { (s.get(&format!("teacher.time.{}.do", if key == "run" { run } else { key }))) }
                    }
                } }
            }
        }
    }
}

/// Ideas that this yard refutes.
fn wrong_ideas(story: &Story, way: Class, varies: bool) -> Markup {
    let s = story.s;
    let helps = way == Class::Less;
    let ideas = [
        ("bag", !helps && summer::usual(story).is_some()),
        ("near", !helps),
        ("all", helps && printed(story.plan().damage) > 0.0),
        ("one", varies),
        ("mine", true),
    ];
    html! {
        h2 { (s.get("teacher.wrong")) }
        div.scroll tabindex="0" role="group" aria-label=(s.get("teacher.wrong")) {
            table {
                thead { tr { th scope="col" { (s.get("teacher.wrong.idea")) } th scope="col" { (s.get("teacher.wrong.ask")) } } }
                tbody { @for (key, _) in ideas.iter().filter(|(_, refuted)| *refuted) {
                    tr {
                        th scope="row" { (s.get(&format!("teacher.wrong.{key}"))) }
                        td { (s.get(&format!("teacher.wrong.{key}.ask"))) }
                    }
                } }
            }
        }
    }
}

/// The box of the prediction sheet that fits the most summers, if there is one.
fn right_box(s: &Strings, count: &Count) -> String {
    let told = count.told;
    let boxes = [
        ("student.guess.more", told.more),
        ("student.guess.same", told.same),
        ("student.guess.less", told.less),
    ];
    let most = told.more.max(told.same).max(told.less);
    let mut right = boxes.iter().filter(|(_, n)| *n == most);
    match (right.next(), right.next()) {
        (Some((key, _)), None) => s.fill("teacher.key.1.box", &[("box", s.get(key))]),
        _ => s.get("teacher.key.1.none").to_owned(),
    }
}

fn key(story: &Story, way: Class, count: &Count, all: Option<&str>) -> Markup {
    let s = story.s;
    // Where those that came for the scent ended is counted; why more or less was eaten is not.
    let mut why = story.why();
    why.push(s.get("teacher.key.4.open").into());
    if way != Class::Less {
        why.extend(story.instead_best());
    }
    let crops = &story.plan().crops;
    let most = crops.iter().map(|c| c.1).max_by(f64::total_cmp);
    let mut at_top = crops
        .iter()
        .filter(|c| most.is_some_and(|m| m > 0.0 && printed(c.1) == printed(m)));
    let worst = at_top
        .next()
        .filter(|_| at_top.next().is_none())
        .map(|(name, _)| name);
    html! {
        section.box {
            h2 { (s.get("teacher.key")) }
            h3 { (s.get("teacher.key.1")) }
            p { (right_box(s, count)) @if let Some(split) = story.split() { " " (split) } }
            @if let Some(crop) = worst {
                h3 { (s.get("teacher.key.map")) }
                p { (clean(&s.fill("teacher.key.map.do", &[("crop", crop as &str)]))) }
            }
            h3 { (s.get("teacher.key.2")) }
            p { (s.get("teacher.key.2.do")) }
            h3 { (s.get("teacher.key.3")) }
            p { (all.unwrap_or(s.get("teacher.key.3.do"))) }
            h3 { (s.get("teacher.key.3b")) }
            p { (all.unwrap_or(s.get("teacher.key.3b.do"))) }
            h3 { (s.get("teacher.key.4")) }
            p { (clean(&why.join(" "))) }
            h3 { (s.get("teacher.key.5")) }
            p { (s.get("teacher.key.5.do")) }
        }
    }
}

fn game_sheet(story: &Story, rules: Rules) -> String {
    let s = story.s;
    let odds = |before: u32, n: u32| {
        let [low, high] = [before + 1, before + n].map(|n| game::reading(n).to_string());
        match n {
            1 => low,
            _ => s.fill(
                "student.game.odds",
                &[("low", &low as &str), ("high", &high)],
            ),
        }
    };
    let (land, plant) = (odds(0, rules.land), odds(0, rules.plant));
    let caught = odds(rules.plant, rules.caught);
    let values = [
        ("land", land.as_str()),
        ("plant", &plant),
        ("caught", &caught),
    ];
    let caption = Caption {
        name: "board".into(),
        title: s.get("student.game.title").into(),
        alt: s.get("student.game.board.alt").into(),
        levels: [
            s.get("student.game.board").into(),
            String::new(),
            String::new(),
        ],
        header: std::iter::once("#".to_owned())
            .chain((1..=game::SIDE).map(|n| n.to_string()))
            .collect(),
    };
    let board = board::board(caption, game::SIDE, &game::board());
    let body = html! {
        p { (s.get("student.game.need")) " " (s.get("student.game.read")) }
        (figure(s, &board, s.get("student.game.title"), s.get("student.game.board")))
        ol {
            li { (s.get("student.game.rule1")) " " (s.get("student.game.rule1b")) }
            li { (s.get("student.game.rule2")) }
            li { (s.fill("student.game.rule3", &values)) }
            li { (s.get("student.game.rule4")) }
            li { (s.get("student.game.rule5")) }
            li { (s.fill("student.game.rule6", &values)) " " (s.fill("student.game.rule6b", &values)) }
            li { (s.get("student.game.rule7")) }
        }
        h2 { (s.get("student.game.score")) }
        table {
            thead { tr { td {} th scope="col" { (s.get("student.game.leaves")) } th scope="col" { (s.get("student.game.caught")) } } }
            tbody { @for key in ["student.game.no-trap", "student.game.with-trap"] {
                tr { th scope="row" { (s.get(key)) } td { "\u{a0}" } td { "\u{a0}" } }
            } }
        }
        p { (s.get("student.game.who")) }
        (write_lines(1))
    };
    student_page(
        story,
        s.get("student.sheet"),
        s.get("student.game.title"),
        &body,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_dot_stands_on_one_card() {
        let dots: Vec<f64> = (0..20).map(f64::from).collect();
        let mut seen: Vec<String> = cards(&dots, 1.0).into_iter().map(|c| c.1).collect();
        seen.sort();
        seen.dedup();
        assert_eq!(seen.len(), 20);
    }

    /// A card whose number reads as the band itself must say "no change": it stands beside "a change up to 1 counts as none".
    #[test]
    fn the_number_on_a_card_has_the_class_that_stands_beside_it() {
        let near = [0.96, 1.0, 1.004, 1.04, 1.06, 0.0, 0.2, 3.0];
        let dots: Vec<f64> = near.iter().flat_map(|d| [*d, -d]).collect();
        for (_, told, class) in cards(&dots, 1.0) {
            let read: f64 = told.parse().expect("a number");
            let wanted = match read {
                n if n > 1.0 => "student.more",
                n if n < -1.0 => "student.less",
                _ => "student.same",
            };
            assert_eq!(class, wanted, "{told}");
        }
    }

    #[test]
    fn spread_of_ten_draws_is_the_binomial_one() {
        // n 10, p 0.5: P(X <= 1) = 0.011, P(X <= 2) = 0.055, P(X <= 7) = 0.945, P(X <= 8) = 0.989 (exact sums).
        assert_eq!(spread(10, 0.5), (2, 8, 5));
        assert_eq!(spread(10, 1.0), (10, 10, 10));
        assert_eq!(spread(10, 0.0), (0, 0, 0));
    }
}
