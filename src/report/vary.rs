//! Files and terminal text of `lurefield vary`.

use crate::report::cautions;
use crate::report::lines::Lines;
use crate::report::words::{after_plus_minus, with_error};
use crate::scenario::Scenario;
use crate::stats::words::thousands;
use crate::study::vary::habit_words::meaning;
use crate::study::vary::{Flip, Point, Study, with_unit};
use serde::Serialize;

/// Fewest summers at each value for a sentence without "preview".
pub const SUMMERS_FOR_A_FLIP: u32 = 40;

fn flip_words(scenario: &Scenario, study: &Study, flip: &Flip) -> String {
    let unknown = &study.sweeps[flip.sweep].unknown;
    format!(
        "{} is {} about {} (then: {})",
        unknown.name,
        if flip.above { "above" } else { "below" },
        with_unit(flip.at, &unknown.unit),
        meaning(scenario, flip.to)
    )
}

/// "The verdict flips if ...", one sentence.
pub fn flip_sentence(scenario: &Scenario, study: &Study) -> String {
    let sure: Vec<&Flip> = study.flips.iter().filter(|f| f.sure).collect();
    if let Some(first) = sure.first() {
        let rest = match sure.len() {
            1 => String::new(),
            2 => " One more number can do so.".into(),
            n => format!(" {} more numbers can do so.", n - 1),
        };
        return format!(
            "The verdict flips if the {}.{rest}",
            flip_words(scenario, study, first)
        );
    }
    match study.flips.first() {
        Some(flip) => format!(
            "No single number surely flips the verdict. It may flip if the {}; more summers would tell.",
            flip_words(scenario, study, flip)
        ),
        None => "No single number flips the verdict within its range.".into(),
    }
}

/// A row of a table: text in a column of 45, then the rest. Longer text is cut.
fn row(out: &mut Lines, name: &str, rest: &str) {
    let shown: String = name.chars().take(44).collect();
    out.0
        .push(format!("  {shown:<45}{rest}").trim_end().to_owned());
}

/// The terminal text, at most 80 columns wide.
///
/// Shape: `pictures` are file names inside the output folder.
pub fn text(scenario: &Scenario, study: &Study, pictures: &[String]) -> String {
    let mut out = Lines::default();
    let guild = scenario.pest.guild;
    let plan = &scenario.plans[study.plan].name;
    let usual = &study.usual;
    out.say(&flip_sentence(scenario, study));
    out.say(&format!(
        "Now: \"{plan}\" means {}. On average of {} summers, {} {} without it and with it: {}.",
        meaning(scenario, study.verdict),
        thousands(f64::from(usual.summers)),
        guild.damage_noun(),
        guild.damage_verb(),
        with_error(
            usual.without.mean,
            usual.with.mean,
            &usual.change,
            usual.summers
        )
    ));
    out.say(after_plus_minus(usual.summers));
    if study.summers < SUMMERS_FOR_A_FLIP {
        out.say(&format!(
            "A preview: {} summers at each value. Use {SUMMERS_FOR_A_FLIP} or more for a firm answer.",
            study.summers
        ));
    }
    out.gap();
    out.say("What moves the answer most. Each number runs over its whole range; the change is in points of 100.");
    row(&mut out, "number nobody knows", "low end    high end");
    for sweep in study.sweeps.iter().take(10) {
        if let (Some(first), Some(last)) = (sweep.levels.first(), sweep.levels.last()) {
            row(
                &mut out,
                &sweep.unknown.name,
                &format!(
                    "{:>+7.1}    {:>+8.1}",
                    first.point.change, last.point.change
                ),
            );
        }
    }
    let still = study
        .sweeps
        .iter()
        .filter(|s| s.swing < scenario.settings.tie_band)
        .count();
    out.say(&format!(
        "{still} of {} numbers move the answer by less than {} point.",
        study.sweeps.len(),
        scenario.settings.tie_band
    ));
    if !study.winds.is_empty() {
        out.gap();
        out.say("The same summers under other winds:");
        for under in &study.winds {
            let Point { change, error, .. } = under.point;
            row(
                &mut out,
                &under.name,
                &format!("{change:>+7.1} ± {:.1}", 2.0 * error),
            );
        }
    }
    if !study.growths.is_empty() {
        out.gap();
        out.say(&format!(
            "Insects left after {} seasons, of 100 at the start, by how fast they grow where nothing is done:",
            study.growths[0].seasons
        ));
        row(&mut out, "growth in a season", "without     with it");
        for under in &study.growths {
            let times = format!("{:.1} times", under.growth);
            row(
                &mut out,
                &times,
                &format!("{:>7.0}    {:>8.0}", under.without, under.with),
            );
        }
    }
    crate::report::habits::say(&mut out, scenario, study);
    methods(&mut out, study);
    out.gap();
    let settling = &study.settling;
    let last = settling.steps.last();
    out.say(&format!(
        "How many summers? The change differs by about {:.1} points from summer to summer. After {} summers the average is known to \
         about {:.1} points. With {} summers that is half of what counts as a change.",
        settling.spread,
        last.map_or(0, |s| s.summers),
        last.map_or(0.0, |s| 2.0 * s.error),
        thousands(f64::from(settling.recommended))
    ));
    if !pictures.is_empty() {
        out.gap();
        out.say(&format!("Pictures: {}.", pictures.join(", ")));
    }
    out.gap();
    out.say_all(cautions::told(scenario));
    out.say(
        "The ranges are mostly assumed, so this shows what matters in the model, not in your yard.",
    );
    out.text()
}

fn methods(out: &mut Lines, study: &Study) {
    let name = |sweep: usize| study.sweeps[sweep].unknown.name.as_str();
    if let Some(screened) = &study.screened {
        out.gap();
        out.say("Screening (Morris): all these numbers moved, from many starting points, in points of 100.");
        row(out, "number", "   mu     mu*   sigma");
        for s in screened {
            row(
                out,
                name(s.sweep),
                &format!("{:>+5.1} {:>7.1} {:>7.1}", s.mu, s.mu_star, s.sigma),
            );
        }
    }
    if let Some(shared) = &study.shared {
        out.gap();
        out.say("Shares of the spread (Sobol), of 100, with the range that chance allows.");
        row(out, "number", "alone           in all");
        for s in shared {
            let show = |v: &[f64; 3]| {
                format!(
                    "{:.0} ({:.0} to {:.0})",
                    100.0 * v[0],
                    100.0 * v[1],
                    100.0 * v[2]
                )
            };
            row(
                out,
                name(s.sweep),
                &format!("{:<16}{}", show(&s.first), show(&s.total)),
            );
        }
    }
}

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    scenario: &'a str,
    plan: &'a str,
    against: &'a str,
    seed: u64,
    tie_band: f64,
    sentence: String,
    habit_sentences: Vec<String>,
    #[serde(flatten)]
    study: &'a Study,
}

/// `vary.json`.
pub fn json(scenario: &Scenario, study: &Study) -> String {
    crate::report::json::pretty(&Document {
        format: 1,
        scenario: &scenario.name,
        plan: &scenario.plans[study.plan].name,
        against: &scenario.plans[0].name,
        seed: scenario.settings.seed,
        tie_band: scenario.settings.tie_band,
        sentence: flip_sentence(scenario, study),
        habit_sentences: crate::report::habits::sentences(scenario, study),
        study,
    })
}

/// `vary.csv`: one row for each value of each unknown.
pub fn csv(study: &Study) -> String {
    rows(study)
}

fn rows(study: &Study) -> String {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    let whole = "writing to memory cannot fail";
    writer
        .write_record([
            "whose",
            "unknown",
            "name",
            "unit",
            "grade",
            "quantile",
            "value",
            "damage_without",
            "damage_with",
            "change",
            "standard_error",
        ])
        .expect(whole);
    for sweep in &study.sweeps {
        let u = &sweep.unknown;
        let grade = format!("{:?}", u.grade).to_lowercase();
        for l in &sweep.levels {
            let mut row = vec![
                u.id.clone(),
                u.key.clone(),
                u.name.clone(),
                u.unit.clone(),
                grade.clone(),
            ];
            let p = &l.point;
            row.extend(
                [l.quantile, l.value, p.without, p.with, p.change, p.error]
                    .map(|v| format!("{v:.6}")),
            );
            writer.write_record(&row).expect(whole);
        }
    }
    String::from_utf8(writer.into_inner().expect(whole)).expect("text fields stay text")
}

/// All files of a study with their names inside the output folder.
pub fn files(scenario: &Scenario, study: &Study) -> Vec<(String, Vec<u8>)> {
    let mut files = pictures(scenario, study);
    let names = crate::report::picture_names(&files);
    files.insert(
        0,
        (
            "vary.txt".into(),
            text(scenario, study, &names).into_bytes(),
        ),
    );
    files.push(("vary.json".into(), json(scenario, study).into_bytes()));
    files.push(("vary.csv".into(), csv(study).into_bytes()));
    if !study.habits.is_empty() {
        let table = crate::report::habits::csv(scenario, study);
        files.push(("habits.csv".into(), table.into_bytes()));
    }
    files
}

#[cfg(feature = "pictures")]
fn pictures(scenario: &Scenario, study: &Study) -> Vec<(String, Vec<u8>)> {
    crate::report::figure_files(&crate::figure::vary::all(scenario, study))
}

#[cfg(not(feature = "pictures"))]
fn pictures(_: &Scenario, _: &Study) -> Vec<(String, Vec<u8>)> {
    Vec::new()
}
