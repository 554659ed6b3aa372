//! Damage against how often the traps are emptied, with catch, full days and minutes beside each bar.

use crate::figure::canvas::{Anchor, MARGIN, Pen, SMALL, TEXT, Words, picture};
use crate::figure::legend::INNER;
use crate::figure::palette::INK;
use crate::figure::{Figure, Table, damage_words, round_up, whole};
use crate::scenario::Scenario;
use crate::stats::words::thousands;
use crate::study::upkeep::{Row, Upkeep};
use plotters::style::RGBColor;

const BAR: RGBColor = RGBColor(0x70, 0x70, 0x70);
/// Left end of the bars and the longest bar, half pixels.
const BARS: (f64, f64) = (MARGIN + 420.0, 760.0);
/// Right ends of the columns of numbers.
const COLUMNS: [f64; 3] = [MARGIN + 1560.0, MARGIN + 1900.0, MARGIN + INNER];
const EACH: f64 = 92.0;

/// The picture.
pub fn emptying(scenario: &Scenario, upkeep: &Upkeep) -> Figure {
    let words = damage_words(scenario);
    let title = format!("How often to empty the trap: {words} out of 100");
    let header = [
        "emptied".to_owned(),
        format!("{words} out of 100"),
        format!("{} caught", scenario.pest.short),
        "days full".to_owned(),
        "minutes".to_owned(),
    ];
    let cells = |row: &Row| {
        [
            row.interval.clone(),
            whole(row.damage_mean),
            thousands(row.caught_mean),
            format!("{:.1} of {}", row.full_days_mean, upkeep.days),
            thousands(row.effort.minutes[1]),
        ]
    };
    let mut table = Table {
        header: header.to_vec(),
        rows: vec![vec![
            upkeep.without.clone(),
            whole(upkeep.damage_without),
            "0".into(),
            String::new(),
            "0".into(),
        ]],
    };
    table
        .rows
        .extend(upkeep.rows.iter().map(|r| cells(r).to_vec()));
    let meta = Words {
        name: "emptying-picture".into(),
        title: title.clone(),
        alt: format!(
            "Bars of {words} out of 100 for each interval between emptying the trap, to show how much a visit is worth."
        ),
        levels: levels(upkeep),
        table,
    };
    picture(meta, |canvas| {
        let explain = format!(
            "\"{}\", average of {} simulated summers of {} days; any one summer may differ. The line is {} with \"{}\".",
            upkeep.plan,
            thousands(f64::from(upkeep.summers)),
            upkeep.days,
            words,
            upkeep.without
        );
        let top = canvas.head(&title, &explain);
        let most = upkeep.rows.iter().map(|r| r.damage_mean);
        let end = round_up(most.fold(upkeep.damage_without.max(1.0), f64::max)).min(100.0);
        let x = |value: f64| BARS.0 + BARS.1 * (value / end).clamp(0.0, 1.0);
        let mut y = top + 30.0;
        canvas.text((MARGIN, y), "emptied", Pen::new(SMALL));
        canvas.text((BARS.0, y), &header[1], Pen::new(SMALL));
        for (right, head) in COLUMNS.iter().zip(&header[2..]) {
            canvas.text((*right, y), head, Pen::new(SMALL).anchored(Anchor::End));
        }
        y += 40.0;
        let first = y;
        let line = x(upkeep.damage_without);
        for row in &upkeep.rows {
            let middle = y + 0.5 * EACH;
            let [name, damage, rest @ ..] = cells(row);
            canvas.text((MARGIN, middle), &name, Pen::new(TEXT).bold());
            let right = x(row.damage_mean).max(BARS.0 + 3.0);
            canvas.boxed((BARS.0, y + 14.0, right, y + EACH - 14.0), BAR);
            // The number stands clear of the line.
            let beside = if (right..right + 110.0).contains(&line) {
                line
            } else {
                right
            };
            canvas.text((beside + 18.0, middle), &damage, Pen::new(TEXT).bold());
            for (right, cell) in COLUMNS.iter().zip(&rest) {
                canvas.text((*right, middle), cell, Pen::new(TEXT).anchored(Anchor::End));
            }
            y += EACH;
        }
        canvas.line(&[(line, first - 8.0), (line, y + 8.0)], 5, INK);
        let label = format!("{}: {}", upkeep.without, whole(upkeep.damage_without));
        canvas.text((line + 12.0, y + 34.0), &label, Pen::new(SMALL));
        y + 80.0
    })
}

fn levels(upkeep: &Upkeep) -> [String; 3] {
    let numbers: Vec<String> = upkeep
        .rows
        .iter()
        .map(|r| {
            format!(
                "Emptied {}: {} in 100, {} caught, full on {:.1} of {} days.",
                r.interval.clone(),
                whole(r.damage_mean),
                thousands(r.caught_mean),
                r.full_days_mean,
                upkeep.days
            )
        })
        .collect();
    let pattern = match (upkeep.rows.first(), upkeep.rows.last()) {
        (Some(first), Some(last)) => format!(
            "From daily emptying to none the damage goes from {} to {} in 100; with \"{}\" it is {}.",
            whole(first.damage_mean),
            whole(last.damage_mean),
            upkeep.without,
            whole(upkeep.damage_without)
        ),
        _ => String::new(),
    };
    [
        "Each bar is an interval between two visits. A long bar is more damage.".into(),
        numbers.join(" "),
        pattern,
    ]
}
