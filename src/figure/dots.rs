//! Twenty dots a plan: damage, and its difference from the first plan on the same summers.

use crate::count::outcome::RunOutcome;
use crate::figure::canvas::{SMALL, TEXT, Words, picture};
use crate::figure::chart::{DotRow, Dots, cells};
use crate::figure::{Figure, damage_words, joined, palette, targets, whole};
use crate::say::{say, voice};
use crate::scenario::Scenario;
use crate::stats::paired::{Class, Told};
use crate::stats::quantile::{DOTS, median, shown};
use crate::stats::words::thousands;
use crate::study::finding::Finding;

const RADII: ([f64; 5], f64) = ([20.0; 5], f64::INFINITY);

/// Damage of the asker's plants: twenty possible summers a plan, a line at the middle of the first plan.
pub fn damage(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let state = damage_words(scenario);
    let row = |plan: &crate::count::outcome::PlanOutcome| {
        let values = shown(&plan.damage_by_summer);
        let middle = whole(median(&plan.damage_by_summer));
        let range = match values[..] {
            [_, low, .., high, _] if values.len() == DOTS => {
                say!("figure.dots.range", low = whole(low), high = whole(high))
            }
            [low, .., high] => say!(
                "figure.dots.range.all",
                low = whole(low),
                high = whole(high)
            ),
            _ => String::new(),
        };
        DotRow {
            name: plan.name.clone(),
            notes: [say!("figure.dots.middle", middle), range]
                .into_iter()
                .filter(|note| !note.is_empty())
                .collect(),
            dots: values,
        }
    };
    let rows: Vec<DotRow> = outcome.plans.iter().map(row).collect();
    let first = outcome.plans.first();
    let first = first.map(|p| (p.name.as_str(), median(&p.damage_by_summer)));
    let gaps = [
        ("state", state.as_str()),
        ("targets", targets(scenario)),
        ("summers", &thousands(f64::from(outcome.summers))),
        ("dots", &drawn(&rows)),
        ("stand", stand("figure.dots.stand", &rows)),
    ];
    let meta = Words::of(
        "twenty-summers",
        &gaps,
        [numbers(&rows), pattern(&rows, first)],
        cells(&rows, |v| format!("{v:.4}")),
    );
    let line = first.map(|(other, value)| (value, say!("figure.dots.line", other)));
    picture(meta, |canvas, top| {
        let dots = Dots {
            rows: &rows,
            look: &palette::plan,
            least: (0.0, 5.0),
            band: None,
            line: line.as_ref().map(|(value, words)| (*value, words.as_str())),
            sizes: (TEXT, SMALL),
            radii: RADII,
            name: &say!("figure.of-100", state),
        };
        dots.draw(canvas, top) + 24.0
    })
}

/// Difference from the first plan on the same summers; `None` for a single plan.
pub fn difference(scenario: &Scenario, outcome: &RunOutcome) -> Option<Figure> {
    let state = damage_words(scenario);
    let first = outcome.plans.first()?;
    let mut findings = Finding::all(scenario, outcome);
    findings.remove(0);
    let pairs = thousands(findings.first()?.count.pairs as f64);
    let row = |(i, finding): (usize, &Finding)| {
        let Told {
            more,
            same,
            less,
            of,
        } = finding.count.told();
        DotRow {
            name: outcome.plans[i + 1].name.clone(),
            notes: vec![
                say!("figure.dots.more", more, of),
                say!("figure.dots.same", same, of),
                say!("figure.dots.less", less, of),
            ],
            dots: shown(&finding.changes),
        }
    };
    let rows: Vec<DotRow> = findings.iter().enumerate().map(row).collect();
    let told = |(row, finding): (&DotRow, &Finding)| {
        let plan = &row.name;
        let counts = finding.count.told();
        let most = counts.most(counts.leading());
        let none = counts.more == 0 || counts.less == 0;
        match (counts.class(), most, none) {
            (Class::More, true, _) => say!("figure.dots.most-more", plan),
            (Class::More, false, true) => say!("figure.dots.some-more", plan),
            (Class::More, false, false) => say!("figure.dots.some-more.few", plan),
            (Class::Less, true, _) => say!("figure.dots.most-less", plan),
            (Class::Less, false, true) => say!("figure.dots.some-less", plan),
            (Class::Less, false, false) => say!("figure.dots.some-less.few", plan),
            (Class::NoChange, ..) => say!("figure.dots.most-same", plan),
            (Class::EitherWay, ..) => say!("figure.dots.either-way", plan),
        }
    };
    let told = joined(rows.iter().zip(&findings).map(told));
    let gaps = [
        ("state", state.as_str()),
        ("other", &first.name),
        ("pairs", &pairs),
        ("dots", &drawn(&rows)),
        ("stand", stand("figure.dots.stand.pairs", &rows)),
    ];
    let meta = Words::of(
        "change-in-twenty-summers",
        &gaps,
        [numbers(&rows), told],
        cells(&rows, |v| format!("{v:.4}")),
    );
    let band = scenario.settings.tie_band;
    let reach = 2.0 * band.max(0.5);
    Some(picture(meta, |canvas, top| {
        let dots = Dots {
            rows: &rows,
            look: &|i| palette::plan(i + 1),
            least: (-reach, reach),
            band: Some(band),
            line: Some((0.0, &say!("figure.dots.no-change"))),
            sizes: (TEXT, SMALL),
            radii: RADII,
            name: &say!("figure.dots.axis", state),
        };
        dots.draw(canvas, top) + 24.0
    }))
}

/// How many dots a row has.
fn drawn(rows: &[DotRow]) -> String {
    rows.first().map_or(0, |row| row.dots.len()).to_string()
}

/// What dots stand for, unless each is a summer.
fn stand(key: &str, rows: &[DotRow]) -> &'static str {
    let whole = rows.first().is_some_and(|row| row.dots.len() == DOTS);
    if whole { voice().get(key) } else { "" }
}

fn numbers(rows: &[DotRow]) -> String {
    joined(
        rows.iter()
            .map(|r| format!("{}: {}.", r.name, r.notes.join(", "))),
    )
}

fn pattern(rows: &[DotRow], first: Option<(&str, f64)>) -> String {
    let Some((other, middle)) = first else {
        return String::new();
    };
    let told = |r: &DotRow| {
        let n = r.dots.iter().filter(|v| **v > middle).count();
        say!(
            "figure.dots.right-of",
            plan = r.name,
            n,
            of = r.dots.len(),
            other
        )
    };
    match rows.len() {
        1 => say!("figure.dots.half", other),
        _ => joined(rows.iter().skip(1).map(told)),
    }
}
