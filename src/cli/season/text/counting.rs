//! What counts say, in sentences.

use super::iso_short;
use super::page::{Page, number, sentence};
use crate::catalogue::season::SeasonPest;
use crate::say::{counted, say, voice};
use crate::season::reading::{Comparison, CountsReading};
use crate::stats::normal::Z_975;
use crate::stats::words::thousands;

pub(super) fn counts(page: &mut Page, reading: &CountsReading, pest: &SeasonPest) {
    if let Some(understood) = &reading.understood {
        page.heading(voice().get("tally.title"));
        page.add(
            "  ",
            &say!(
                &counted("tally.rows", understood.rows),
                n = understood.rows,
                begin = iso_short(&understood.first_day),
                end = iso_short(&understood.last_day),
                hits = understood.with_catch,
                zeros = understood.zeros,
                blanks = understood.blanks
            ),
        );
        for note in &understood.notes {
            page.add("  ", &sentence(note));
        }
    }
    for trap in &reading.traps {
        page.add(
            "  ",
            &say!(
                &counted("tally.trap", trap.checks as u64),
                trap = trap.trap,
                caught = thousands(trap.total as f64),
                n = trap.checks
            ),
        );
        if let (Some(rate), Some(limits)) = (trap.per_day, trap.per_day_limits) {
            page.add(
                "    ",
                &say!(
                    &counted("tally.rate", trap.days.unsigned_abs()),
                    rate = number(7.0 * rate),
                    n = trap.days,
                    low = number(7.0 * limits[0]),
                    high = number(7.0 * limits[1])
                ),
            );
        }
    }
    for pair in &reading.comparisons {
        page.add("  ", &comparison(pair));
    }
    meaning(page, reading, pest);
    if let Some(found) = &reading.recapture {
        page.heading(voice().get("tally.marked"));
        page.add(
            "  ",
            &say!(
                "tally.marked.about",
                n = format_args!("{:.0}", found.chapman),
                error = format_args!("{:.0}", Z_975 * found.chapman_se)
            ),
        );
        page.add("  ", &say!("tally.marked.holds"));
    }
}

/// The technical lines: names of formulas, whose share and whose thresholds.
pub(super) fn details(page: &mut Page, reading: &CountsReading) {
    if reading.captured_share.is_some() {
        let source = &reading.captured_share_source;
        page.add("  - ", &say!("detail.sources.share", source));
    }
    for threshold in &reading.threshold_examples {
        let rule = &threshold.rule;
        page.add(
            "  - ",
            &say!(
                "detail.tally.threshold",
                rule = rule.words,
                label = rule.label(),
                source = rule.source
            ),
        );
    }
    if let Some(found) = &reading.recapture {
        let n = format!("{:.0}", found.chapman);
        page.add("  - ", &say!("detail.tally.chapman", n));
        if let Some(simple) = found.lincoln_petersen {
            let n = format!("{simple:.0}");
            page.add("  - ", &say!("detail.tally.simple", n));
        }
    }
}

fn comparison(pair: &Comparison) -> String {
    let key = match (pair.could_be_luck, pair.ratio, pair.ratio_high) {
        (true, Some(_), Some(_)) => "tally.pair.luck",
        (true, Some(_), None) => "tally.pair.luck.open",
        (true, None, _) => "tally.pair.luck.many",
        (false, Some(_), Some(_)) => "tally.pair.more",
        (false, Some(_), None) => "tally.pair.more.open",
        (false, None, _) => "tally.pair.more.many",
    };
    say!(
        key,
        trap = pair.first,
        other = pair.second,
        ratio = number(pair.ratio.unwrap_or_default()),
        low = number(pair.ratio_low),
        high = number(pair.ratio_high.unwrap_or_default())
    )
}

fn meaning(page: &mut Page, reading: &CountsReading, pest: &SeasonPest) {
    page.heading(voice().get("tally.meaning"));
    match reading.captured_share {
        None => {
            page.add("  ", &say!("tally.share.none"));
            page.add("  ", &say!("tally.share.none.so"));
        }
        Some([low, middle, high]) => {
            let per_100 = |p: f64| number(100.0 * p);
            let insects = &reading.caught;
            let share = if low < high {
                say!(
                    "tally.share.range",
                    low = per_100(low),
                    high = per_100(high),
                    insects
                )
            } else {
                say!("tally.share", middle = per_100(middle), insects)
            };
            page.add("  ", &share);
            page.add("  ", &say!("tally.zero"));
            for row in reading
                .zero_chance
                .iter()
                .filter(|row| [1, 10, 50, 200].contains(&row.there))
            {
                let of_20 = |p: f64| format!("{:>2}", format!("{:.0}", 20.0 * p));
                page.line(&format!(
                    "    {}",
                    say!(
                        "tally.zero.row",
                        there = format_args!("{:>4}", row.there),
                        plain = of_20(row.plain),
                        clumped = of_20(row.clumped)
                    )
                ));
            }
            if let Some(sure) = reading.to_be_sure.last() {
                page.add("  ", &say!("tally.sure", low = sure.low, high = sure.high));
            }
        }
    }
    for density in &reading.density {
        let [low, middle, high] = density.per_acre;
        page.add(
            "  ",
            &say!(
                "tally.density",
                trap = density.trap,
                caught = density.catch,
                acre = number(middle),
                insects = reading.caught,
                hectare = number(density.per_ha)
            ),
        );
        page.add(
            "    ",
            &say!(
                "tally.density.range",
                low = number(low),
                high = number(high)
            ),
        );
    }
    for rule in &reading.saturation {
        let [from, to] = rule.rule.insects;
        let (insects, what) = (&pest.short, &rule.rule.what);
        let says = if from < to {
            say!(
                "tally.fills.range",
                low = thousands(from),
                high = thousands(to),
                insects,
                what
            )
        } else {
            say!("tally.fills", n = thousands(from), insects, what)
        };
        page.add("  ", &says);
        if !rule.traps_reached.is_empty() {
            page.add(
                "    ",
                &say!("tally.fills.reached", traps = rule.traps_reached.join(", ")),
            );
        }
    }
    if !reading.threshold_examples.is_empty() {
        page.add("  ", &say!("tally.thresholds"));
        for threshold in &reading.threshold_examples {
            let rule = &threshold.rule;
            page.add(
                "    - ",
                &say!("tally.threshold", rule = rule.words, label = rule.label()),
            );
            if !threshold.traps_reached.is_empty() {
                let (traps, n) = (threshold.traps_reached.join(", "), rule.weeks_running);
                let key = counted("tally.threshold.reached", n as u64);
                page.add("      ", &say!(&key, n, traps));
            }
        }
    }
}
