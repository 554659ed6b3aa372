//! Damage against how often the traps are emptied, with catch, full days and minutes beside each bar.

use crate::figure::canvas::{MARGIN, Pen, Words, picture};
use crate::figure::chart::{BAR, Scale, bar};
use crate::figure::legend::INNER;
use crate::figure::palette::INK;
use crate::figure::{Figure, damage_words, joined, whole};
use crate::say::say;
use crate::scenario::Scenario;
use crate::stats::words::thousands;
use crate::study::upkeep::{Row, Upkeep};

/// Left and right end of the bars, half pixels.
const BARS: (f64, f64) = (MARGIN + 420.0, MARGIN + 1180.0);
/// Right ends of the columns of numbers.
const COLUMNS: [f64; 3] = [MARGIN + 1560.0, MARGIN + 1900.0, MARGIN + INNER];
const EACH: f64 = 92.0;

/// The picture.
pub fn emptying(scenario: &Scenario, upkeep: &Upkeep) -> Figure {
    let state = damage_words(scenario);
    let days = upkeep.days.to_string();
    let cells = |row: &Row| {
        let full = format!("{:.1}", row.full_days_mean);
        [
            row.interval.clone(),
            whole(row.damage_mean),
            thousands(row.caught_mean),
            say!("figure.emptying-picture.full", full, days),
            thousands(row.effort.minutes[1]),
        ]
    };
    let without = whole(upkeep.damage_without);
    let first = [&upkeep.without, &without, "0", "", "0"];
    let mut rows = vec![first.map(str::to_owned).to_vec()];
    rows.extend(upkeep.rows.iter().map(|r| cells(r).to_vec()));
    let summers = thousands(f64::from(upkeep.summers));
    let gaps = [
        ("state", state.as_str()),
        ("insects", &scenario.pest.short),
        ("plan", &upkeep.plan),
        ("other", &upkeep.without),
        ("summers", &summers),
    ];
    let told = [numbers(upkeep), pattern(upkeep)];
    let meta = Words::of("emptying-picture", &gaps, told, rows);
    let header = meta.table.header.clone();
    picture(meta, |canvas, top| {
        let most = upkeep.rows.iter().map(|r| r.damage_mean);
        let most = most.fold(upkeep.damage_without.max(1.0), f64::max);
        let scale = Scale::up_to(most.min(100.0), BARS);
        let mut y = top + 30.0;
        canvas.text((MARGIN, y), &header[0], Pen::SMALL);
        canvas.text((BARS.0, y), &header[1], Pen::SMALL);
        for (right, head) in COLUMNS.iter().zip(&header[2..]) {
            canvas.text((*right, y), head, Pen::SMALL.end());
        }
        y += 40.0;
        let (first, line) = (y, scale.at(upkeep.damage_without));
        for row in &upkeep.rows {
            let middle = y + 0.5 * EACH;
            let [name, damage, rest @ ..] = cells(row);
            canvas.text((MARGIN, middle), &name, Pen::TEXT.bold());
            let value = (row.damage_mean, damage.as_str());
            let edges = (y + 14.0, y + EACH - 14.0);
            bar(canvas, &scale, value, edges, BAR, Some(line));
            for (right, cell) in COLUMNS.iter().zip(&rest) {
                canvas.text((*right, middle), cell, Pen::TEXT.end());
            }
            y += EACH;
        }
        canvas.line(&[(line, first - 8.0), (line, y + 8.0)], 5, INK);
        let label = format!("{}: {without}", upkeep.without);
        canvas.text((line + 12.0, y + 34.0), &label, Pen::SMALL);
        y + 80.0
    })
}

fn numbers(upkeep: &Upkeep) -> String {
    let told = |r: &Row| {
        let (after, caught) = (whole(r.damage_mean), thousands(r.caught_mean));
        let (interval, full) = (&r.interval, format!("{:.1}", r.full_days_mean));
        let (key, days) = ("figure.emptying-picture.row", upkeep.days);
        say!(key, interval, after, caught, full, days)
    };
    joined(upkeep.rows.iter().map(told))
}

fn pattern(upkeep: &Upkeep) -> String {
    let ends = upkeep.rows.first().zip(upkeep.rows.last());
    ends.map_or_else(String::new, |(first, last)| {
        let (before, after) = (whole(first.damage_mean), whole(last.damage_mean));
        let (other, n) = (&upkeep.without, whole(upkeep.damage_without));
        say!("figure.emptying-picture.pattern", before, after, other, n)
    })
}
