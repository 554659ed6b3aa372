//! What the gardener does: a panel for each habit, a bar for each value, with change, word and minutes beside it.

use crate::figure::canvas::{
    Anchor, Canvas, HEADING, MARGIN, Pen, SMALL, TEXT, WIDTH, Words, picture,
};
use crate::figure::palette::INK;
use crate::figure::{Figure, Table, damage_words, round_up};
use crate::scenario::Scenario;
use crate::stats::words::thousands;
use crate::study::vary::habit_words::{column, sentence, title, word};
use crate::study::vary::{Habit, Study};
use plotters::style::RGBColor;

const BAR: RGBColor = RGBColor(0x70, 0x70, 0x70);
/// Left end of the bars and the longest bar, half pixels.
const BARS: (f64, f64) = (MARGIN + 400.0, 640.0);
/// Right ends of the columns of numbers, and the left end of the word.
const CHANGE: f64 = MARGIN + 1330.0;
const WORD: f64 = MARGIN + 1390.0;
const EACH: f64 = 78.0;

/// The picture; `None` when no habit was moved.
pub fn draw(scenario: &Scenario, study: &Study) -> Option<Figure> {
    if study.habits.is_empty() {
        return None;
    }
    let damage = damage_words(scenario);
    let title = format!("What you do, and what it changes: {damage} out of 100");
    let words = words(scenario, study, &title);
    Some(picture(words, |canvas| {
        let about = format!(
            "One thing is moved at a time, on the same {} simulated summers; any one summer may differ. The line is {damage} when \
             nothing is done. A star marks your plan as you wrote it.",
            thousands(f64::from(study.habit_summers))
        );
        let mut y = canvas.head(&title, &about) + 20.0;
        let most = study.habits.iter().flat_map(|h| &h.rows);
        let most = most.fold(1.0, |m: f64, r| m.max(r.damage).max(r.without));
        let end = round_up(most).min(100.0);
        for habit in &study.habits {
            y = panel(canvas, y, scenario, habit, end);
        }
        y
    }))
}

fn words(scenario: &Scenario, study: &Study, title_of_all: &str) -> Words {
    let mut table = Table::with_header(&[
        "what",
        "plan",
        "value",
        "damage_of_100",
        "damage_when_nothing_is_done",
        "change",
        "word",
        "minutes",
    ]);
    for habit in &study.habits {
        for row in &habit.rows {
            let mut cells = vec![
                title(scenario, habit.what),
                scenario.plans[habit.plan].name.clone(),
                row.words.clone(),
            ];
            cells.extend([row.damage, row.without].map(|v| format!("{v:.1}")));
            cells.push(format!("{:+.1}", row.change));
            cells.push(word(row).into());
            cells.push(thousands(row.minutes[1]));
            table.rows.push(cells);
        }
    }
    let numbers = |h: &Habit| {
        let rows: Vec<String> = h
            .rows
            .iter()
            .map(|r| format!("{} {:.1}", r.words, r.damage))
            .collect();
        format!("{}: {}.", title(scenario, h.what), rows.join("; "))
    };
    let all = |f: &dyn Fn(&Habit) -> String| {
        let said: Vec<String> = study.habits.iter().map(f).collect();
        said.join(" ")
    };
    Words {
        name: "what-you-do".into(),
        title: title_of_all.to_owned(),
        alt: format!(
            "Bars of {} out of 100 at several values of each thing that the gardener does, to show what is worth the time.",
            damage_words(scenario)
        ),
        levels: [
            "Each group of bars moves one thing. A long bar is more damage. The line is the damage when nothing is done.".into(),
            all(&numbers),
            all(&|h| sentence(scenario, h, study.plan)),
        ],
        table,
    }
}

fn panel(canvas: &Canvas<'_>, top: f64, scenario: &Scenario, habit: &Habit, end: f64) -> f64 {
    let x = |value: f64| BARS.0 + BARS.1 * (value / end).clamp(0.0, 1.0);
    let right = WIDTH - MARGIN;
    let heading = title(scenario, habit.what);
    canvas.text((MARGIN, top + 20.0), &heading, Pen::new(HEADING).bold());
    let plan = format!("\"{}\"", scenario.plans[habit.plan].name);
    let under = canvas.paragraph(
        MARGIN,
        top + 72.0,
        right - MARGIN,
        &format!("{plan}. {}", sentence(scenario, habit, habit.plan)),
        Pen::new(SMALL),
    );
    let mut y = under + 26.0;
    canvas.text((MARGIN, y), column(habit.what), Pen::new(SMALL));
    canvas.text((BARS.0, y), "out of 100", Pen::new(SMALL));
    let end_pen = Pen::new(SMALL).anchored(Anchor::End);
    canvas.text((CHANGE, y), "change", end_pen);
    canvas.text((WORD, y), "against doing nothing", Pen::new(SMALL));
    canvas.text((right, y), "minutes", end_pen);
    y += 34.0;
    for (i, row) in habit.rows.iter().enumerate() {
        let middle = y + 0.5 * EACH;
        let star = if habit.as_written && i == habit.usual {
            " *"
        } else {
            ""
        };
        let name = format!("{}{star}", row.words);
        canvas.text((MARGIN, middle), &name, Pen::new(TEXT).bold());
        let (bar, line) = (x(row.damage).max(BARS.0 + 3.0), x(row.without));
        canvas.boxed((BARS.0, y + 12.0, bar, y + EACH - 12.0), BAR);
        // Each yard of its own has its own line.
        canvas.line(&[(line, y), (line, y + EACH)], 5, INK);
        // The number stands clear of the line.
        let clear = (bar - 8.0..bar + 120.0).contains(&line);
        let beside = if clear { line.max(bar) } else { bar };
        let number = format!("{:.1}", row.damage);
        canvas.text((beside + 18.0, middle), &number, Pen::new(TEXT).bold());
        let right_pen = Pen::new(TEXT).anchored(Anchor::End);
        canvas.text((CHANGE, middle), &format!("{:+.1}", row.change), right_pen);
        canvas.text((WORD, middle), word(row), Pen::new(TEXT));
        canvas.text((right, middle), &thousands(row.minutes[1]), right_pen);
        y += EACH;
    }
    y + 70.0
}
