//! What the gardener does: a panel for each habit, a bar for each value, with change, word and minutes beside it.

use crate::figure::canvas::{Canvas, HEADING, MARGIN, Pen, WIDTH, Words, picture};
use crate::figure::chart::{BAR, Scale, bar};
use crate::figure::palette::INK;
use crate::figure::{Figure, damage_words, joined, tenth};
use crate::say::say;
use crate::scenario::Scenario;
use crate::stats::words::thousands;
use crate::study::vary::habit_words::{column, sentence, title, word};
use crate::study::vary::{Habit, Study};

/// Left and right end of the bars, half pixels.
const BARS: (f64, f64) = (MARGIN + 400.0, MARGIN + 1040.0);
/// Right end of the column of changes, and the left end of the word.
const CHANGE: f64 = MARGIN + 1330.0;
const WORD: f64 = MARGIN + 1390.0;
const EACH: f64 = 78.0;

/// The picture; `None` when no habit was moved.
pub fn draw(scenario: &Scenario, study: &Study) -> Option<Figure> {
    if study.habits.is_empty() {
        return None;
    }
    let told = |h: &Habit| {
        let rows = h.rows.iter();
        let rows = rows.map(|r| format!("{} {:.1}", r.words, r.damage));
        let rows: Vec<String> = rows.collect();
        format!("{}: {}.", title(scenario, h.what), rows.join("; "))
    };
    let all = |f: &dyn Fn(&Habit) -> String| joined(study.habits.iter().map(f));
    let gaps = [
        ("state", damage_words(scenario)),
        ("summers", thousands(f64::from(study.habit_summers))),
    ];
    let meta = Words::of(
        "what-you-do",
        &gaps.each_ref().map(|(gap, value)| (*gap, value.as_str())),
        [all(&told), all(&|h| sentence(scenario, h, study.plan))],
        rows(scenario, study),
    );
    Some(picture(meta, |canvas, top| {
        let most = study.habits.iter().flat_map(|h| &h.rows);
        let most = most.fold(1.0, |m: f64, r| m.max(r.damage).max(r.without));
        let scale = Scale::up_to(most.min(100.0), BARS);
        let mut y = top + 20.0;
        for habit in &study.habits {
            y = panel(canvas, y, scenario, habit, &scale);
        }
        y
    }))
}

fn rows(scenario: &Scenario, study: &Study) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for habit in &study.habits {
        for row in &habit.rows {
            rows.push(vec![
                title(scenario, habit.what),
                scenario.plans[habit.plan].name.clone(),
                row.words.clone(),
                format!("{:.1}", row.damage),
                format!("{:.1}", row.without),
                tenth(row.mean.change),
                word(row).into(),
                thousands(row.minutes[1]),
            ]);
        }
    }
    rows
}

fn panel(canvas: &Canvas<'_>, top: f64, scenario: &Scenario, habit: &Habit, scale: &Scale) -> f64 {
    let right = WIDTH - MARGIN;
    let heading = title(scenario, habit.what);
    canvas.text((MARGIN, top + 20.0), &heading, Pen::new(HEADING).bold());
    let plan = &scenario.plans[habit.plan].name;
    let said = format!("\"{plan}\". {}", sentence(scenario, habit, habit.plan));
    let under = canvas.paragraph(MARGIN, top + 72.0, right - MARGIN, &said, Pen::SMALL);
    let mut y = under + 26.0;
    let heads = [
        (MARGIN, column(habit.what), Pen::SMALL),
        (BARS.0, &say!("figure.what-you-do.of-100"), Pen::SMALL),
        (CHANGE, &say!("figure.what-you-do.change"), Pen::SMALL.end()),
        (WORD, &say!("figure.what-you-do.against"), Pen::SMALL),
        (right, &say!("figure.what-you-do.minutes"), Pen::SMALL.end()),
    ];
    for (x, head, pen) in heads {
        canvas.text((x, y), head, pen);
    }
    y += 34.0;
    let pen = Pen::TEXT;
    for (i, row) in habit.rows.iter().enumerate() {
        let middle = y + 0.5 * EACH;
        let usual = habit.as_written && i == habit.usual;
        let name = format!("{}{}", row.words, if usual { " *" } else { "" });
        canvas.text((MARGIN, middle), &name, pen.bold());
        // Each yard of its own has its own line.
        let line = scale.at(row.without);
        let number = format!("{:.1}", row.damage);
        let edges = (y + 12.0, y + EACH - 12.0);
        bar(canvas, scale, (row.damage, &number), edges, BAR, Some(line));
        canvas.line(&[(line, y), (line, y + EACH)], 5, INK);
        canvas.text((CHANGE, middle), &tenth(row.mean.change), pen.end());
        canvas.text((WORD, middle), word(row), pen);
        let minutes = thousands(row.minutes[1]);
        canvas.text((right, middle), &minutes, pen.end());
        y += EACH;
    }
    y + 70.0
}
