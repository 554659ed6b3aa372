//! What counts say, in sentences.

use super::iso_short;
use super::page::{Page, number, sentence};
use crate::catalogue::season::SeasonPest;
use crate::season::reading::CountsReading;
use crate::stats::words::thousands;

pub(super) fn counts(page: &mut Page, reading: &CountsReading, pest: &SeasonPest) {
    if let Some(understood) = &reading.understood {
        page.heading("Your counts");
        page.add(
            "  ",
            &format!(
                "{} rows, {} to {}: {} with a catch, {} checked and none, {} not checked.",
                understood.rows,
                iso_short(&understood.first_day),
                iso_short(&understood.last_day),
                understood.with_catch,
                understood.zeros,
                understood.blanks
            ),
        );
        for note in &understood.notes {
            page.add("  ", &sentence(note));
        }
    }
    for trap in &reading.traps {
        page.add(
            "  ",
            &format!(
                "{}: {} caught in {} {}.",
                trap.trap,
                thousands(trap.total as f64),
                trap.checks,
                if trap.checks == 1 { "check" } else { "checks" }
            ),
        );
        if let (Some(rate), Some(limits)) = (trap.per_day, trap.per_day_limits) {
            page.add(
                "    ",
                &format!(
                    "That is {} a week over {} days. Luck alone allows {} to {}.",
                    number(7.0 * rate),
                    trap.days,
                    number(7.0 * limits[0]),
                    number(7.0 * limits[1])
                ),
            );
        }
    }
    for pair in &reading.comparisons {
        page.add("  ", &comparison(pair));
    }
    meaning(page, reading, pest);
    if let Some(found) = &reading.recapture {
        page.heading("Marked and caught again");
        page.add(
            "  ",
            &format!(
                "About {:.0} are there (Chapman), give or take {:.0}.",
                found.chapman,
                crate::stats::normal::Z_975 * found.chapman_se
            ),
        );
        if let Some(simple) = found.lincoln_petersen {
            page.add(
                "  ",
                &format!("The simple estimate is {simple:.0} (Lincoln and Petersen)."),
            );
        }
        page.add("  ", "It holds if marks stay on, and nobody comes or goes.");
    }
}

pub(super) fn comparison(pair: &crate::season::reading::Comparison) -> String {
    let upper = pair.ratio_high.map_or("any number".into(), number);
    let ratio = match pair.ratio {
        Some(ratio) => format!("{} times", number(ratio)),
        None => "many times".into(),
    };
    let verdict = if pair.could_be_luck {
        "Luck can explain that."
    } else {
        "Luck alone seldom does that."
    };
    format!(
        "{} caught {ratio} as much a day as {} (could be {} to {upper}). {verdict}",
        pair.first,
        pair.second,
        number(pair.ratio_low)
    )
}

pub(super) fn meaning(page: &mut Page, reading: &CountsReading, pest: &SeasonPest) {
    page.heading("What a count can tell");
    match reading.captured_share {
        None => {
            page.add(
                "  ",
                "Nobody has measured what share of these insects a trap takes.",
            );
            page.add("  ", "So a count cannot be turned into a number around you. Compare it with your own past counts.");
        }
        Some([low, middle, high]) => {
            let per_100 = |p: f64| number(100.0 * p);
            let share = if low < high {
                format!(
                    "A trap takes about {} to {} of 100 {} around it.",
                    per_100(low),
                    per_100(high),
                    reading.caught
                )
            } else {
                format!(
                    "A trap takes about {} of 100 {} around it.",
                    per_100(middle),
                    reading.caught
                )
            };
            page.add("  ", &share);
            page.add("  ", "Zero is no proof that none are there. Out of 20 summers, a trap stays empty in about:");
            for row in reading
                .zero_chance
                .iter()
                .filter(|row| [1, 10, 50, 200].contains(&row.there))
            {
                let of_20 = |p: f64| format!("{:.0}", 20.0 * p);
                page.line(&format!(
                    "    {:>4} around: {:>2} of 20 by plain luck, {:>2} of 20 if catches come in clumps",
                    row.there,
                    of_20(row.plain),
                    of_20(row.clumped)
                ));
            }
            if let Some(sure) = reading.to_be_sure.last() {
                page.add(
                    "  ",
                    &format!(
                        "To catch at least one in 19 of 20 summers, {} to {} must be around.",
                        sure.low, sure.high
                    ),
                );
            }
        }
    }
    for density in &reading.density {
        let [low, middle, high] = density.per_acre;
        page.add(
            "  ",
            &format!(
                "{}: {} caught stands for about {} {} an acre ({} a hectare).",
                density.trap,
                density.catch,
                number(middle),
                reading.caught,
                number(density.per_ha)
            ),
        );
        page.add(
            "    ",
            &format!("It could be {} to {} an acre.", number(low), number(high)),
        );
    }
    for rule in &reading.saturation {
        let [from, to] = rule.rule.insects;
        let at = if from < to {
            format!("{} to {}", thousands(from), thousands(to))
        } else {
            thousands(from)
        };
        page.add(
            "  ",
            &format!("At {at} {}: {}.", pest.short, rule.rule.what),
        );
        if !rule.traps_reached.is_empty() {
            page.add(
                "    ",
                &format!("Reached by: {}.", rule.traps_reached.join(", ")),
            );
        }
    }
    if !reading.threshold_examples.is_empty() {
        page.add(
            "  ",
            "Thresholds that others use. They are examples: use your local threshold.",
        );
        for threshold in &reading.threshold_examples {
            let rule = &threshold.rule;
            page.add(
                "    - ",
                &format!("{}. {} [{}]", rule.words, rule.label(), rule.source),
            );
            if !threshold.traps_reached.is_empty() {
                let traps = threshold.traps_reached.join(", ");
                page.add("      ", &format!("Reached in its highest week: {traps}."));
            }
        }
    }
}
