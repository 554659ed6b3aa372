//! Twenty dots a plan: damage, and its difference from the first plan on the same summers.

use crate::count::outcome::RunOutcome;
use crate::figure::canvas::{SMALL, TEXT, Words, picture};
use crate::figure::chart::{DotRow, Dots, cells};
use crate::figure::{Figure, damage_words, joined, palette, targets, whole};
use crate::say::say;
use crate::scenario::Scenario;
use crate::stats::paired::{self, Class, MOST_DOTS, PairedCount};
use crate::stats::quantile::{dots, median};
use crate::stats::words::thousands;

const RADII: ([f64; 5], f64) = ([20.0; 5], f64::INFINITY);

/// Damage of the asker's plants: twenty possible summers a plan, a line at the middle of the first plan.
pub fn damage(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let state = damage_words(scenario);
    let row = |plan: &crate::count::outcome::PlanOutcome| {
        let values = dots(&plan.damage_by_summer);
        let middle = whole(median(&plan.damage_by_summer));
        let (low, high) = (whole(values[1]), whole(values[18]));
        DotRow {
            name: plan.name.clone(),
            notes: vec![
                say!("figure.dots.middle", middle),
                say!("figure.dots.range", low, high),
            ],
            dots: values.to_vec(),
        }
    };
    let rows: Vec<DotRow> = outcome.plans.iter().map(row).collect();
    let first = outcome.plans.first();
    let first = first.map(|p| (p.name.as_str(), median(&p.damage_by_summer)));
    let gaps = [
        ("state", state.as_str()),
        ("targets", targets(scenario)),
        ("summers", &thousands(f64::from(outcome.summers))),
    ];
    let meta = Words::of(
        "twenty-summers",
        &gaps,
        [numbers(&rows), pattern(&rows, first)],
        cells(&rows, 4),
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
    let series = outcome.plans.iter().map(|p| p.damage_by_summer.as_slice());
    let series: Vec<&[f64]> = series.collect();
    let band = scenario.settings.tie_band;
    let counts = paired::against_first(&series, band);
    let pairs = thousands(counts.first()?.pairs as f64);
    let row = |(i, count): (usize, &PairedCount)| {
        let ([more, same, less], of) = count.told();
        DotRow {
            name: outcome.plans[i + 1].name.clone(),
            notes: vec![
                say!("figure.dots.more", more, of),
                say!("figure.dots.same", same, of),
                say!("figure.dots.less", less, of),
            ],
            dots: count.dots.to_vec(),
        }
    };
    let rows: Vec<DotRow> = counts.iter().enumerate().map(row).collect();
    let told = |(row, count): (&DotRow, &PairedCount)| {
        let plan = &row.name;
        let most = count.leading() >= MOST_DOTS;
        let none = count.more == 0 || count.less == 0;
        match (count.class(), most, none) {
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
    let told = joined(rows.iter().zip(&counts).map(told));
    let gaps = [
        ("state", state.as_str()),
        ("other", &first.name),
        ("pairs", &pairs),
    ];
    let meta = Words::of(
        "change-in-twenty-summers",
        &gaps,
        [numbers(&rows), told],
        cells(&rows, 4),
    );
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
        say!("figure.dots.right-of", plan = r.name, n, other)
    };
    match rows.len() {
        1 => say!("figure.dots.half", other),
        _ => joined(rows.iter().skip(1).map(told)),
    }
}
