//! What the answer hangs on: swings, screening, variance shares, and how the average settles.

use crate::figure::canvas::{
    Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, WIDTH, Words, picture, shorten,
};
use crate::figure::palette::{INK, Mark, PAPER, QUIET, plan as plan_colour};
use crate::figure::{Figure, Table, round_up, tick_text};
use crate::scenario::Scenario;
use crate::study::vary::{Screened, Shared, Study, Sweep, with_unit};
use plotters::style::{Color, RGBColor};

/// Unknowns drawn as bars; the table holds all of them.
const BARS: usize = 12;
/// Light lines that only guide the eye.
pub(super) const GRID: RGBColor = RGBColor(0xD9, 0xD9, 0xD9);

/// All pictures of a study, in a fixed order.
pub fn all(scenario: &Scenario, study: &Study) -> Vec<Figure> {
    let mut figures = vec![swings(scenario, study), settling(scenario, study)];
    figures.extend(crate::figure::habits::draw(scenario, study));
    figures.extend(
        study
            .screened
            .as_ref()
            .map(|s| screening(scenario, study, s)),
    );
    figures.extend(study.shared.as_ref().map(|s| shares(scenario, study, s)));
    figures
}

/// A straight scale with round ticks.
struct Scale {
    low: f64,
    high: f64,
    step: f64,
    from: f64,
    to: f64,
}

impl Scale {
    fn new(low: f64, high: f64, from: f64, to: f64) -> Scale {
        let step = round_up(((high - low) / 5.0).max(1e-3));
        Scale {
            low: (low / step).floor() * step,
            high: ((high / step).ceil() * step).max((low / step).floor() * step + step),
            step,
            from,
            to,
        }
    }

    fn at(&self, value: f64) -> f64 {
        self.from + (self.to - self.from) * (value - self.low) / (self.high - self.low)
    }

    fn ticks(&self) -> Vec<f64> {
        let n = ((self.high - self.low) / self.step).round() as usize;
        (0..=n).map(|i| self.low + i as f64 * self.step).collect()
    }

    /// Ticks below, lines from `top` to `bottom`.
    fn along(&self, canvas: &Canvas<'_>, top: f64, bottom: f64) {
        for tick in self.ticks() {
            let x = self.at(tick);
            canvas.line(&[(x, top), (x, bottom)], 2, GRID);
            let pen = Pen::new(SMALL).anchored(Anchor::Middle);
            canvas.text((x, bottom + 34.0), &tick_text(tidy(tick)), pen);
        }
        canvas.line(&[(self.from, bottom), (self.to, bottom)], 3, INK);
    }

    /// Ticks at the left, lines from `left` to `right`.
    fn upward(&self, canvas: &Canvas<'_>, left: f64, right: f64) {
        for tick in self.ticks() {
            let y = self.at(tick);
            canvas.line(&[(left, y), (right, y)], 2, GRID);
            let pen = Pen::new(SMALL).anchored(Anchor::End);
            canvas.text((left - 16.0, y), &tick_text(tidy(tick)), pen);
        }
        canvas.line(&[(left, self.from), (left, self.to)], 3, INK);
    }
}

/// Removes the last bits that adding steps leaves behind.
fn tidy(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    if rounded == 0.0 { 0.0 } else { rounded }
}

fn plan_name<'a>(scenario: &'a Scenario, study: &Study) -> &'a str {
    &scenario.plans[study.plan].name
}

fn damage(scenario: &Scenario) -> String {
    let guild = scenario.pest.guild;
    format!("{} {} of 100", guild.damage_noun(), guild.damage_verb())
}

/// Bars: how far the answer moves over each range.
fn swings(scenario: &Scenario, study: &Study) -> Figure {
    let title = format!("What moves the answer: {}", plan_name(scenario, study));
    let shown: Vec<&Sweep> = study.sweeps.iter().take(BARS).collect();
    let mut table = Table::with_header(&[
        "unknown",
        "value",
        "unit",
        "change_of_100",
        "standard_error",
    ]);
    for s in &study.sweeps {
        for l in &s.levels {
            table.rows.push(vec![
                s.unknown.name.clone(),
                format!("{:.5}", l.value),
                s.unknown.unit.clone(),
                format!("{:.3}", l.point.change),
                format!("{:.3}", l.point.error),
            ]);
        }
    }
    let numbers: Vec<String> = shown
        .iter()
        .take(5)
        .map(|s| {
            let (low, high) = ends(s);
            format!("{}: from {low:+.1} to {high:+.1}.", s.unknown.name)
        })
        .collect();
    let top = shown.first().map_or("none", |s| s.unknown.name.as_str());
    let words = Words {
        name: "what-moves-the-answer".into(),
        title: title.clone(),
        alt: format!(
            "Bar chart of the change in {} against no trap, as each unknown number runs over its range, to show which unknowns matter.",
            damage(scenario)
        ),
        levels: [
            "Each bar spans the average change in damage as one number runs from the low to the high end of its range. A ring \
             marks the low end, a full dot the high end."
                .into(),
            numbers.join(" "),
            format!("The answer moves most with: {top}."),
        ],
        table,
    };
    picture(words, |canvas| {
        let about = format!(
            "Change in {} against no trap, average of {} simulated summers. Ring: the low end of the range. Dot: the high end. \
             Right of 0 is more damage.",
            damage(scenario),
            study.summers
        );
        let top = canvas.head(&title, &about) + 10.0;
        let (left, row) = (WIDTH * 0.49, 84.0);
        let bottom = top + row * shown.len() as f64 + 10.0;
        let (low, high) = shown
            .iter()
            .map(|s| ends(s))
            .fold((0.0_f64, 0.0_f64), |(a, b), (c, d)| (a.min(c), b.max(d)));
        let scale = Scale::new(low, high, left, WIDTH - MARGIN - 30.0);
        scale.along(canvas, top, bottom);
        canvas.line(&[(scale.at(0.0), top), (scale.at(0.0), bottom)], 5, INK);
        let base = scale.at(study.base.change);
        canvas.dashed((base, top), (base, bottom), 4, QUIET);
        for (i, sweep) in shown.iter().enumerate() {
            let y = top + row * (i as f64 + 0.5);
            bar(canvas, sweep, &scale, y, left);
        }
        canvas.paragraph(
            MARGIN,
            bottom + 70.0,
            WIDTH - 2.0 * MARGIN,
            "Dashed line: the average when every unknown is drawn anew each summer. Solid line at 0: no change.",
            Pen::new(SMALL),
        ) + 30.0
    })
}

fn ends(sweep: &Sweep) -> (f64, f64) {
    sweep
        .levels
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), l| {
            (a.min(l.point.change), b.max(l.point.change))
        })
}

fn bar(canvas: &Canvas<'_>, sweep: &Sweep, scale: &Scale, y: f64, left: f64) {
    let unknown = &sweep.unknown;
    let pen = Pen::new(TEXT).anchored(Anchor::End);
    let name = shorten(&unknown.name, TEXT, false, left - MARGIN - 30.0);
    canvas.text((left - 24.0, y - 18.0), &name, pen);
    let range = format!(
        "{} to {}",
        with_unit(unknown.low, &unknown.unit),
        with_unit(unknown.high, &unknown.unit)
    );
    let quiet = Pen::new(SMALL).anchored(Anchor::End).coloured(QUIET);
    canvas.text((left - 24.0, y + 24.0), &range, quiet);
    let (blue, _) = plan_colour(1);
    let (low, high) = ends(sweep);
    canvas.fill_rect(
        scale.at(low),
        y - 14.0,
        scale.at(high),
        y + 14.0,
        blue.mix(0.45),
    );
    if let (Some(first), Some(last)) = (sweep.levels.first(), sweep.levels.last()) {
        canvas.disc((scale.at(last.point.change), y), 15.0, Some(blue), 0, blue);
        canvas.disc(
            (scale.at(first.point.change), y),
            15.0,
            Some(PAPER),
            5,
            blue,
        );
    }
}

/// The average against the number of summers.
fn settling(scenario: &Scenario, study: &Study) -> Figure {
    let title = format!("How the average settles: {}", plan_name(scenario, study));
    let steps = &study.settling.steps;
    let mut table = Table::with_header(&["summers", "average_change_of_100", "standard_error"]);
    for s in steps {
        table.rows.push(vec![
            s.summers.to_string(),
            format!("{:.3}", s.change),
            format!("{:.3}", s.error),
        ]);
    }
    let last = steps.last();
    let words = Words {
        name: "how-the-average-settles".into(),
        title: title.clone(),
        alt: format!(
            "Dots with bars: average change in {} after 10, 20, 50 and more summers, to show how many summers are enough.",
            damage(scenario)
        ),
        levels: [
            "Each dot is the average over so many summers. Its bar is two standard errors to each side.".into(),
            last.map_or_else(String::new, |s| {
                format!(
                    "After {} summers the average is {:+.1}, give or take {:.1}.",
                    s.summers,
                    s.change,
                    2.0 * s.error
                )
            }),
            format!(
                "For this yard {} summers settle the average to half a tie band.",
                study.settling.recommended
            ),
        ],
        table,
    };
    picture(words, |canvas| {
        let about = format!(
            "Average change in {} against no trap. The bars show what chance can do. They shrink as summers are added.",
            damage(scenario)
        );
        let top = canvas.head(&title, &about) + 10.0;
        let bottom = top + 620.0;
        let (left, right) = (MARGIN + 150.0, WIDTH - MARGIN);
        let (low, high) = steps.iter().fold((0.0_f64, 0.0_f64), |(a, b), s| {
            (
                a.min(s.change - 2.0 * s.error),
                b.max(s.change + 2.0 * s.error),
            )
        });
        let scale = Scale::new(low, high, bottom, top);
        scale.upward(canvas, left, right);
        canvas.line(&[(left, scale.at(0.0)), (right, scale.at(0.0))], 4, INK);
        let (blue, _) = plan_colour(1);
        for (i, s) in steps.iter().enumerate() {
            let x = left + (right - left) * (i as f64 + 0.5) / steps.len() as f64;
            let (a, b) = (s.change - 2.0 * s.error, s.change + 2.0 * s.error);
            canvas.line(&[(x, scale.at(a)), (x, scale.at(b))], 8, blue);
            canvas.disc((x, scale.at(s.change)), 16.0, Some(blue), 0, blue);
            let pen = Pen::new(TEXT).anchored(Anchor::Middle);
            canvas.text((x, bottom + 40.0), &s.summers.to_string(), pen);
        }
        let pen = Pen::new(SMALL).anchored(Anchor::Middle);
        canvas.text(
            (f64::midpoint(left, right), bottom + 96.0),
            "summers simulated",
            pen,
        );
        bottom + 140.0
    })
}

/// Scatter of elementary effects.
fn screening(scenario: &Scenario, study: &Study, screened: &[Screened]) -> Figure {
    let title = format!(
        "Screening many unknowns at once: {}",
        plan_name(scenario, study)
    );
    let name = |s: &Screened| study.sweeps[s.sweep].unknown.name.clone();
    let mut table = Table::with_header(&[
        "number",
        "unknown",
        "mu",
        "mu_star",
        "mu_star_standard_error",
        "sigma",
    ]);
    for (i, s) in screened.iter().enumerate() {
        let mut row = vec![(i + 1).to_string(), name(s)];
        row.extend([s.mu, s.mu_star, s.mu_star_error, s.sigma].map(|v| format!("{v:.3}")));
        table.rows.push(row);
    }
    let listed: Vec<String> = screened
        .iter()
        .enumerate()
        .map(|(i, s)| format!("{} {} ({:.1})", i + 1, name(s), s.mu_star))
        .collect();
    let words = Words {
        name: "screening".into(),
        title: title.clone(),
        alt: "Scatter of the mean size of each unknown's effect against how much that effect varies (Morris), to show which \
              unknowns can be left aside."
            .into(),
        levels: [
            "Right: a large effect on the change in damage. Up: an effect that depends on the other unknowns.".into(),
            format!("Mean size of effect, largest first: {}.", listed.join("; ")),
            format!("The largest effect: {}.", screened.first().map_or_else(String::new, &name)),
        ],
        table,
    };
    picture(words, |canvas| {
        let top = canvas.head(
            &title,
            "All numbers are moved, one step at a time, from many starting points. Right: a larger effect on the answer. Up: the \
             effect depends more on the other numbers.",
        ) + 10.0;
        let bottom = top + 860.0;
        let (left, right) = (MARGIN + 150.0, WIDTH - MARGIN - 40.0);
        let widest = |f: fn(&Screened) -> f64| screened.iter().map(f).fold(0.1, f64::max);
        let x = Scale::new(0.0, 1.05 * widest(|s| s.mu_star), left, right);
        let y = Scale::new(0.0, 1.05 * widest(|s| s.sigma), bottom, top);
        x.along(canvas, top, bottom);
        y.upward(canvas, left, right);
        let (blue, _) = plan_colour(1);
        let mut placed: Vec<(f64, f64)> = Vec::new();
        for (i, s) in screened.iter().enumerate() {
            let at = (x.at(s.mu_star), y.at(s.sigma));
            canvas.mark(at, 15.0, Mark::Circle, blue);
            // Numbers that would lie on one another are left to the list below.
            let clear = |p: &(f64, f64)| (p.0 - at.0).abs() > 54.0 || (p.1 - at.1).abs() > 40.0;
            if placed.iter().all(clear) {
                canvas.text(
                    (at.0 + 22.0, at.1 - 18.0),
                    &(i + 1).to_string(),
                    Pen::new(SMALL).bold(),
                );
                placed.push(at);
            }
        }
        let axis = "Right: mean size of the effect (mu*). Up: how much it varies (sigma). Both in points of 100.";
        let below = canvas.paragraph(
            MARGIN,
            bottom + 64.0,
            WIDTH - 2.0 * MARGIN,
            axis,
            Pen::new(SMALL),
        );
        canvas.paragraph(
            MARGIN,
            below + 14.0,
            WIDTH - 2.0 * MARGIN,
            &format!("By size of effect: {}.", listed.join("; ")),
            Pen::new(SMALL),
        ) + 30.0
    })
}

/// Bars of first-order and total shares.
fn shares(scenario: &Scenario, study: &Study, shared: &[Shared]) -> Figure {
    let title = format!("Shares of the uncertainty: {}", plan_name(scenario, study));
    let mut table = Table::with_header(&[
        "unknown",
        "first",
        "first_low",
        "first_high",
        "total",
        "total_low",
        "total_high",
    ]);
    for s in shared {
        let mut row = vec![study.sweeps[s.sweep].unknown.name.clone()];
        row.extend(s.first.iter().chain(&s.total).map(|v| format!("{v:.4}")));
        table.rows.push(row);
    }
    let listed: Vec<String> = shared
        .iter()
        .map(|s| {
            format!(
                "{}: alone {:.0} of 100, in all {:.0} of 100.",
                study.sweeps[s.sweep].unknown.name,
                100.0 * s.first[0].max(0.0),
                100.0 * s.total[0].max(0.0)
            )
        })
        .collect();
    let words = Words {
        name: "shares-of-the-uncertainty".into(),
        title: title.clone(),
        alt: "Pairs of bars: the share of the spread of the answer that each unknown explains alone and with all its \
              combinations (Sobol), to show where better knowledge would help."
            .into(),
        levels: [
            "Dark bar: the unknown alone. Light bar: with all its combinations. Black lines: what chance can do.".into(),
            listed.join(" "),
            "Knowing the first number on the list better would narrow the answer most.".into(),
        ],
        table,
    };
    picture(words, |canvas| {
        let top = canvas.head(
            &title,
            "Dark bar: what this number does alone. Light bar: what it does together with the others. Knowing the top number better \
             would narrow the answer most.",
        ) + 10.0;
        let (left, row) = (WIDTH * 0.49, 130.0);
        let bottom = top + row * shared.len() as f64 + 10.0;
        let (low, high) = shared
            .iter()
            .flat_map(|s| s.first.iter().chain(&s.total))
            .fold((0.0_f64, 0.1_f64), |(a, b), v| (a.min(*v), b.max(*v)));
        let scale = Scale::new(100.0 * low, 100.0 * high, left, WIDTH - MARGIN - 30.0);
        scale.along(canvas, top, bottom);
        canvas.line(&[(scale.at(0.0), top), (scale.at(0.0), bottom)], 4, INK);
        let (blue, _) = plan_colour(1);
        for (i, s) in shared.iter().enumerate() {
            let y = top + row * (i as f64 + 0.5);
            let pen = Pen::new(TEXT).anchored(Anchor::End);
            let name = &study.sweeps[s.sweep].unknown.name;
            let name = shorten(name, TEXT, false, left - MARGIN - 30.0);
            canvas.text((left - 24.0, y), &name, pen);
            for (share, y, strength) in [(&s.first, y - 24.0, 1.0), (&s.total, y + 24.0, 0.35)] {
                let [value, low, high] = share.map(|v| scale.at(100.0 * v));
                let zero = scale.at(0.0);
                canvas.fill_rect(
                    zero.min(value),
                    y - 18.0,
                    zero.max(value),
                    y + 18.0,
                    blue.mix(strength),
                );
                canvas.line(&[(low, y), (high, y)], 5, INK);
            }
        }
        let pen = Pen::new(SMALL).anchored(Anchor::Middle);
        let axis = "share of the spread of the answer, of 100";
        canvas.text(
            (f64::midpoint(left, WIDTH - MARGIN), bottom + 84.0),
            axis,
            pen,
        );
        bottom + 130.0
    })
}
