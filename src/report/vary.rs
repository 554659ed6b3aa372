//! Files and terminal text of `lurefield vary`.

use crate::report::cautions;
use crate::report::csv::write;
use crate::report::figure_files;
use crate::report::lines::Lines;
use crate::report::words::{after_plus_minus, with_error};
use crate::say::{counted, say, voice};
use crate::scenario::Scenario;
use crate::stats::paired::MeanChange;
use crate::stats::words::thousands;
use crate::study::vary::habit_words::meaning;
use crate::study::vary::{Flip, Point, Study, with_unit};
use serde::Serialize;

/// Fewest summers at each value for a sentence without "preview".
pub const SUMMERS_FOR_A_FLIP: u32 = 40;

/// What flips the verdict, or may.
pub fn flip_sentence(scenario: &Scenario, study: &Study) -> String {
    let told = |flip: &Flip, [above, below]: [&str; 2]| {
        let unknown = &study.sweeps[flip.sweep].unknown;
        say!(
            if flip.above { above } else { below },
            unknown_name = unknown.name,
            unknown_at = with_unit(flip.at, &unknown.unit),
            then_means = meaning(scenario, flip.to)
        )
    };
    let sure: Vec<&Flip> = study.flips.iter().filter(|f| f.sure).collect();
    match (sure.first(), study.flips.first()) {
        (Some(first), _) => {
            let mut all = vec![told(first, ["vary.flips.above", "vary.flips.below"])];
            let more = sure.len() as u64 - 1;
            if more > 0 {
                all.push(say!(&counted("vary.flips.more", more), n = more));
            }
            all.join(" ")
        }
        (None, Some(flip)) => told(flip, ["vary.may-flip.above", "vary.may-flip.below"]),
        (None, None) => say!("vary.none-flips"),
    }
}

/// A row of a table: text in a column of 45, then the rest. Longer text is cut.
fn row(out: &mut Lines, name: &str, rest: &str) {
    let shown: String = name.chars().take(44).collect();
    out.0
        .push(format!("  {shown:<45}{rest}").trim_end().to_owned());
}

/// The text for people, then the numbers behind it; at most 80 columns wide.
///
/// Shape: `pictures` are file names inside the output folder.
pub fn text(scenario: &Scenario, study: &Study, pictures: &[String]) -> String {
    let mut out = Lines::default();
    let guild = scenario.pest.guild;
    let usual = &study.usual;
    out.say(&flip_sentence(scenario, study));
    let then_means = meaning(scenario, study.verdict);
    let now = say!(
        "vary.now",
        plan = scenario.plans[study.plan].name,
        then_means
    );
    let average = say!(
        "vary.now.average",
        summers = thousands(f64::from(usual.summers)),
        noun = guild.damage_noun(),
        verb = guild.damage_verb(),
        figures = with_error(
            usual.without.mean,
            usual.with.mean,
            &usual.change,
            usual.summers
        )
    );
    out.say(&[now, average].join(" "));
    out.say(after_plus_minus(usual.summers));
    if study.summers < SUMMERS_FOR_A_FLIP {
        let key = counted("vary.preview", u64::from(study.summers));
        out.say(&say!(&key, n = study.summers, enough = SUMMERS_FOR_A_FLIP));
    }
    sweeps(&mut out, scenario, study);
    others(&mut out, study);
    crate::report::habits::say(&mut out, scenario, study);
    methods(&mut out, study);
    if !pictures.is_empty() {
        out.gap();
        out.say(&say!("vary.pictures", names = pictures.join(", ")));
    }
    out.gap();
    out.say_all(cautions::told(scenario));
    out.say(voice().get("vary.mostly-assumed"));
    out.details();
    let settling = &study.settling;
    let last = settling.steps.last();
    out.say(&say!(
        "detail.vary.settling",
        spread = format!("{:.1}", settling.spread),
        summers = last.map_or(0, |s| s.summers),
        error = format!("{:.1}", last.map_or(0.0, |s| 2.0 * s.mean.error)),
        enough = thousands(f64::from(settling.recommended))
    ));
    out.text()
}

/// A row of two numbers, or of the words above them.
fn pair(out: &mut Lines, name: &str, [first, second]: [&str; 2]) {
    row(out, name, &format!("{first:>7}    {second:>8}"));
}

/// The numbers that move the answer most.
fn sweeps(out: &mut Lines, scenario: &Scenario, study: &Study) {
    let head = |key: &str| voice().get(key);
    out.gap();
    out.say(head("vary.moves-most"));
    let ends = ["vary.table.low", "vary.table.high"].map(head);
    pair(out, head("vary.table.number"), ends);
    for sweep in study.sweeps.iter().take(10) {
        if let (Some(first), Some(last)) = (sweep.levels.first(), sweep.levels.last()) {
            let [low, high] = [first, last].map(|l| format!("{:+.1}", l.point.mean.change));
            pair(out, &sweep.unknown.name, [&low, &high]);
        }
    }
    let band = scenario.settings.tie_band;
    let still = study.sweeps.iter().filter(|s| s.swing < band).count();
    let key = if band <= 1.0 {
        "vary.still.one"
    } else {
        "vary.still"
    };
    out.say(&say!(key, still, of = study.sweeps.len(), points = band));
}

/// Other winds and other growths.
fn others(out: &mut Lines, study: &Study) {
    let head = |key: &str| voice().get(key);
    if !study.winds.is_empty() {
        out.gap();
        out.say(head("vary.winds"));
        for under in &study.winds {
            let MeanChange { change, error } = under.point.mean;
            let rest = format!("{change:>+7.1} ± {:.1}", 2.0 * error);
            row(out, &under.name, &rest);
        }
    }
    if let Some(first) = study.growths.first() {
        out.gap();
        out.say(&say!("vary.growths", n = first.seasons));
        let ends = ["vary.table.without", "vary.table.with"].map(head);
        pair(out, head("vary.table.growth"), ends);
        for under in &study.growths {
            let times = say!("vary.growth.times", factor = format!("{:.1}", under.growth));
            let [without, with] = [under.without, under.with].map(|v| format!("{v:.0}"));
            pair(out, &times, [&without, &with]);
        }
    }
}

/// What screening and shares were asked for.
fn methods(out: &mut Lines, study: &Study) {
    let name = |sweep: usize| study.sweeps[sweep].unknown.name.as_str();
    let number = voice().get("detail.vary.number");
    if let Some(screened) = &study.screened {
        out.gap();
        out.say(voice().get("detail.vary.screening"));
        let columns = |[a, b, c]: [&str; 3]| format!("{a:>5} {b:>7} {c:>7}");
        row(out, number, &columns(["mu", "mu*", "sigma"]));
        for s in screened {
            let mu = format!("{:+.1}", s.mu);
            let [star, sigma] = [s.mu_star, s.sigma].map(|v| format!("{v:.1}"));
            row(out, name(s.sweep), &columns([&mu, &star, &sigma]));
        }
    }
    if let Some(shared) = &study.shared {
        out.gap();
        out.say(voice().get("detail.vary.shares"));
        let columns = |alone: &str, all: &str| format!("{alone:<16}{all}");
        let heads = ["detail.vary.alone", "detail.vary.in-all"].map(|key| voice().get(key));
        row(out, number, &columns(heads[0], heads[1]));
        for s in shared {
            let show = |v: &[f64; 3]| {
                let [middle, low, high] = v.map(|v| format!("{:.0}", 100.0 * v));
                say!("detail.vary.share", middle, low, high)
            };
            row(
                out,
                name(s.sweep),
                &columns(&show(&s.first), &show(&s.total)),
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
    let header = [
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
    ];
    let mut rows = vec![header.map(String::from).to_vec()];
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
            let Point {
                without,
                with,
                mean,
            } = l.point;
            let MeanChange { change, error } = mean;
            row.extend(
                [l.quantile, l.value, without, with, change, error].map(|v| format!("{v:.6}")),
            );
            rows.push(row);
        }
    }
    write(rows)
}

/// All files of a study with their names inside the output folder.
pub fn files(scenario: &Scenario, study: &Study) -> Vec<(String, Vec<u8>)> {
    let mut files = figure_files(|| crate::figure::vary::all(scenario, study));
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
