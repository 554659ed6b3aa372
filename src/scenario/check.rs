//! From the text of a scenario file to a [`Scenario`]: collects every fault, then answers.

use super::error::{Fault, Faults};
use super::file::{self, Direction, File, Length, Position};
use super::place::{Places, member};
use super::{
    DefaultUsed, Plot, Pressure, Scenario, Settings, Shape, Source, Structure, StructureKind,
    Window, Zone, change, crops, plans, structure, wind,
};
use crate::catalogue::{self, Guild, Pest};
use crate::geometry::{Point, Rect};
use crate::units::{RADIANS_PER_DEGREE, feet_and_metres, shortened};
use std::collections::BTreeSet;

/// Longest side of a yard, metres; beyond it a yard is a field.
pub const LONGEST_YARD_M: f64 = 500.0;
/// Largest scenario file, bytes.
pub const LARGEST_FILE: usize = 2_000_000;
/// Most insects on the plants at one look.
pub const MOST_ON_PLANTS: f64 = 100_000.0;

/// Everything noted while a file is read.
#[derive(Default)]
pub(crate) struct Notes {
    pub(crate) faults: Faults,
    pub(crate) defaults: Vec<DefaultUsed>,
    pub(crate) warnings: Vec<String>,
}

impl Notes {
    /// Notes a default that stands in for something the file does not say.
    pub(crate) fn default_used(
        &mut self,
        path: impl Into<String>,
        taken: impl Into<String>,
        source: impl Into<String>,
    ) {
        self.defaults.push(DefaultUsed {
            path: path.into(),
            taken: taken.into(),
            source: source.into(),
        });
    }

    /// A length between two limits, metres.
    pub(crate) fn length(
        &mut self,
        written: &Length,
        path: &str,
        least_m: f64,
        most_m: f64,
    ) -> Option<f64> {
        match written.inside() {
            Err(what) => self
                .faults
                .add(path, what, "write the number, a space and the unit"),
            Ok(m) if !m.is_finite() => {
                self.faults
                    .add(path, "not a number", "write a length such as \"30 ft\"")
            }
            Ok(m) if m < least_m || m > most_m => {
                let what = if m <= 0.0 && least_m >= 0.0 {
                    format!("{} must be above 0", feet_and_metres(m))
                } else {
                    format!("{} is out of bounds", feet_and_metres(m))
                };
                let fix = format!(
                    "write {} to {}",
                    feet_and_metres(least_m),
                    feet_and_metres(most_m)
                );
                self.faults.add(path, what, fix);
            }
            Ok(m) => return Some(m),
        }
        None
    }

    /// A point, metres from the south-west corner.
    pub(crate) fn position(&mut self, written: &Position, path: &str) -> Option<Point> {
        let x = self.length(&written.0[0], &format!("{path}[0]"), -5000.0, 5000.0);
        let y = self.length(&written.0[1], &format!("{path}[1]"), -5000.0, 5000.0);
        Some(Point::new(x?, y?))
    }

    /// A rectangle from two opposite corners in any order; it must have an area.
    pub(crate) fn rect(&mut self, from: &Position, to: &Position, path: &str) -> Option<Rect> {
        let a = self.position(from, &member(path, "from"));
        let b = self.position(to, &member(path, "to"));
        let (a, b) = (a?, b?);
        let rect = Rect::new(a.x.min(b.x), a.y.min(b.y), a.x.max(b.x), a.y.max(b.y));
        if rect.width() < 0.01 || rect.height() < 0.01 {
            self.faults.add(
                path,
                "the rectangle has no area",
                "give two opposite corners",
            );
            return None;
        }
        Some(rect)
    }

    /// A direction, radians clockwise from north in \[0, 2π).
    pub(crate) fn direction(&mut self, written: &Direction, path: &str) -> Option<f64> {
        match written {
            Direction::Degrees(d) if (0.0..=360.0).contains(d) => {
                Some((d % 360.0) * RADIANS_PER_DEGREE)
            }
            Direction::Degrees(d) => {
                self.faults.add(
                    path,
                    format!("{d} degrees is no direction"),
                    "write 0 to 360, clockwise from north",
                );
                None
            }
            Direction::Word(word) => match wind::compass(word) {
                Some(sixteenths) => Some(f64::from(sixteenths) * 22.5 * RADIANS_PER_DEGREE),
                None => {
                    self.faults.unknown(path, "side", word, wind::SIDES);
                    None
                }
            },
        }
    }

    /// A name that must not be empty, too long or used before.
    pub(crate) fn name(&mut self, name: &str, path: &str, seen: &mut BTreeSet<String>) {
        if name.trim().is_empty() {
            self.faults.add(path, "the name is empty", "give it a name");
        } else if name.chars().count() > 80 || name.chars().any(char::is_control) {
            self.faults.add(
                path,
                "the name is longer than 80 characters or holds a control character",
                "shorten it",
            );
        } else if !seen.insert(name.trim().to_lowercase()) {
            self.faults.add(
                path,
                format!("the name \"{name}\" is used twice"),
                "give each its own name",
            );
        }
    }
}

/// Reads a scenario.
///
/// `text` is the file, `file_name` its name for messages, and `load` reads a wind file named in the scenario (given as written
/// there) or says why it cannot.
///
/// # Errors
/// All faults of the file at once, in the order of the file. Faults of structure (a misspelt name, a text where a number belongs)
/// hide those of meaning, because a value that does not fit cannot be judged.
pub fn read(
    text: &str,
    file_name: &str,
    load: &dyn Fn(&str) -> Result<String, String>,
) -> Result<Scenario, Vec<Fault>> {
    let text = text.trim_start_matches('\u{feff}');
    let mut notes = Notes::default();
    let (file, places) = match parse(text, &mut notes.faults) {
        Ok(parsed) => parsed,
        Err(places) => return Err(notes.faults.finish(file_name, |path| places.line_of(path))),
    };
    let scenario = build(&file, file_name, load, &mut notes);
    match scenario {
        Some(mut scenario) if notes.faults.is_empty() => {
            scenario.defaults = notes.defaults;
            scenario.warnings = notes.warnings;
            Ok(scenario)
        }
        _ => Err(notes.faults.finish(file_name, |path| places.line_of(path))),
    }
}

/// The JSON Schema of the scenario file, from the types that read it.
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(File).to_value()
}

/// Text to file types; structural faults are noted.
fn parse(text: &str, faults: &mut Faults) -> Result<(File, Places), Places> {
    if text.len() > LARGEST_FILE {
        faults.add(
            "",
            format!("the file has {} bytes", text.len()),
            format!("a scenario has at most {LARGEST_FILE} bytes"),
        );
        return Err(Places::default());
    }
    let value: serde_json::Value = match serde_json::from_str(text) {
        Ok(value) => value,
        Err(error) => {
            let (what, fix) = syntax(text, &error);
            faults.add_at_line(error.line().max(1), what, fix);
            return Err(Places::default());
        }
    };
    let places = Places::of(text);
    for (path, line) in &places.duplicates {
        let key = path.rsplit('.').next().unwrap_or(path);
        faults.add_duplicate(
            path.clone(),
            *line,
            format!("\"{}\" is written twice", shortened(key)),
        );
    }
    structure::walk(&value, &schema(), faults);
    if !faults.is_empty() {
        return Err(places);
    }
    match serde_path_to_error::deserialize::<_, File>(value) {
        Ok(file) => Ok((file, places)),
        Err(error) => {
            faults.add(
                error.path().to_string(),
                error.inner().to_string(),
                "see `lurefield schema` for what belongs here",
            );
            Err(places)
        }
    }
}

/// A syntax error in words.
fn syntax(text: &str, error: &serde_json::Error) -> (String, &'static str) {
    let said = error.to_string();
    let line = text
        .lines()
        .nth(error.line().saturating_sub(1))
        .unwrap_or_default();
    if text.trim().is_empty() {
        ("the file is empty".into(), "start from `lurefield new`")
    } else if said.contains("recursion limit") {
        (
            "brackets are nested too deeply".into(),
            "a scenario needs fewer than ten levels",
        )
    } else if ["NaN", "Infinity", "nan", "inf"]
        .iter()
        .any(|word| line.contains(word))
    {
        (
            "this line holds a number that is none (NaN or Infinity)".into(),
            "write a plain number",
        )
    } else if said.contains("number out of range") {
        (
            "this line holds a number that is too large".into(),
            "write a smaller number",
        )
    } else if said.contains("trailing comma") {
        (
            "there is a comma with nothing after it".into(),
            "remove the comma before the closing bracket",
        )
    } else {
        (
            format!("this is not JSON: {said}"),
            "check commas, quotes and brackets near this line",
        )
    }
}

fn build(
    file: &File,
    file_name: &str,
    load: &dyn Fn(&str) -> Result<String, String>,
    notes: &mut Notes,
) -> Option<Scenario> {
    if file.format != 1 {
        notes.faults.add(
            "format",
            format!("format {} is unknown", file.format),
            "this version reads format 1",
        );
    }
    check_titles(file, notes);
    let pest = read_pest(&file.pest, notes);
    let yard = read_yard(&file.yard, notes);
    let up_bearing_rad = file
        .yard
        .up
        .as_ref()
        .map_or(Some(0.0), |up| notes.direction(up, "yard.up"));
    let structures = read_structures(&file.structures, notes);
    let no_hang = read_zones(&file.no_hang, notes);
    let plots = read_plots(&file.neighbours, yard, notes);
    let window = read_window(file.window.as_ref(), pest.as_ref(), notes);
    let settings = read_settings(file.settings.as_ref(), notes);
    let pressure = pest
        .as_ref()
        .and_then(|pest| read_pressure(file.surroundings.as_ref(), pest, notes));
    let sources = read_sources(file.surroundings.as_ref(), pressure.as_ref(), notes);
    let (isolated, isolated_margin_m) = read_setting(file.surroundings.as_ref(), notes);
    let ground = crops::Ground {
        yard,
        plots: &plots,
    };
    let planted = crops::read(file, &ground, pest.as_ref(), notes);
    let (wind, pest) = match pest {
        Some(pest) => (
            wind::read(file.wind.as_ref(), &pest, window.as_ref(), load, notes),
            Some(pest),
        ),
        None => (None, None),
    };
    let hung = match (&pest, &window) {
        (Some(pest), Some(window)) => {
            plans::read(file, pest, window, &ground, (&structures, &no_hang), notes)
        }
        _ => None,
    };
    let (planted, hung) = (planted?, hung?);
    Some(Scenario {
        name: slug(file.name.as_deref().unwrap_or(file_name)),
        title: file.title.clone(),
        note: file.note.clone().unwrap_or_default(),
        yard: yard?,
        up_bearing_rad: up_bearing_rad?,
        crops: planted.crops,
        plants: planted.plants,
        structures,
        no_hang,
        plots: plots.into_iter().flatten().collect(),
        pest: pest?,
        pressure: pressure?,
        sources,
        isolated,
        isolated_margin_m,
        wind: wind?,
        window: window?,
        lures: hung.lures,
        trap_kinds: hung.trap_kinds,
        plans: hung.plans,
        settings,
        defaults: Vec::new(),
        warnings: Vec::new(),
    })
}

/// Letters, digits and hyphens of a name, without folder and extension.
fn slug(name: &str) -> String {
    let base = name.rsplit(['/', '\\']).next().unwrap_or(name);
    let base = base.strip_suffix(".json").unwrap_or(base);
    let mut out = String::new();
    for c in base.chars() {
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.ends_with('-') && !out.is_empty() {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    if out.is_empty() {
        "scenario".into()
    } else {
        out.chars().take(80).collect()
    }
}

fn check_titles(file: &File, notes: &mut Notes) {
    if file.title.trim().is_empty() {
        notes.faults.add(
            "title",
            "the title is empty",
            "say in a few words what is asked",
        );
    }
    if let Some(name) = &file.name
        && !name.chars().any(|c| c.is_ascii_alphanumeric())
    {
        notes.faults.add(
            "name",
            "the name has no letter or digit",
            "use letters, digits and hyphens",
        );
    }
}

fn read_pest(written: &file::Pest, notes: &mut Notes) -> Option<Pest> {
    let (id, path) = match written {
        file::Pest::Id(id) => (id, "pest"),
        file::Pest::Changed(changed) => (&changed.base, "pest.base"),
    };
    let Some(mut pest) = catalogue::pest(id) else {
        notes
            .faults
            .unknown(path, "pest", id, &catalogue::ids(catalogue::PESTS));
        return None;
    };
    if let file::Pest::Changed(changed) = written {
        change_pest(changed, &mut pest, notes);
    }
    let unchanged = catalogue::PestValues::TABLE
        .iter()
        .filter_map(|info| pest.values.get(info.key));
    let assumed = unchanged
        .filter(|s| s.grade == catalogue::Grade::Assumed && s.source != "set in the scenario")
        .count();
    notes.default_used(
        "pest",
        format!(
            "{} of {} numbers of the {} are drawn from assumed ranges",
            assumed,
            catalogue::PestValues::TABLE.len(),
            pest.name
        ),
        "catalogue; each number names its reason",
    );
    Some(pest)
}

fn change_pest(changed: &file::ChangedPest, pest: &mut Pest, notes: &mut Notes) {
    if let Some(name) = &changed.name {
        notes.name(name, "pest.name", &mut BTreeSet::new());
        pest.name.clone_from(name);
        pest.plural = format!("{name}s");
    }
    if let Some(guild) = changed.guild
        && guild != pest.guild
    {
        pest.guild = guild;
        // A rate for leaf area means nothing for fruit, and the reverse.
        let (unit, range): (&str, [f64; 2]) = if guild == Guild::Chewer {
            ("cm2/h", [0.1, 3.0])
        } else {
            ("1/h", [0.01, 0.5])
        };
        pest.values.damage_rate = catalogue::Sourced {
            value: (range[0] * range[1]).sqrt(),
            unit: unit.into(),
            range: Some(range),
            spread: catalogue::Spread::Log,
            source: "wide range for a pest of your own".into(),
            grade: catalogue::Grade::Assumed,
        };
        notes.warnings.push(
            "The kind of damage was changed, so its rate is a wide guess unless you set it.".into(),
        );
    }
    if let Some(mover) = changed.mover {
        pest.mover = mover;
    }
    if let Some(start) = changed.start_hour {
        if (0.0..24.0).contains(&start) {
            pest.activity.start_hour = start;
        } else {
            notes.faults.add(
                "pest.start_hour",
                format!("{start} is no hour of the day"),
                "write 0 to 23",
            );
        }
    }
    if let Some(hours) = changed.hours {
        if (1.0..=24.0).contains(&hours) {
            pest.activity.hours = hours;
        } else {
            notes.faults.add(
                "pest.hours",
                format!("{hours} hours a day"),
                "write 1 to 24",
            );
        }
    }
    let values = &mut pest.values;
    for (key, one) in &changed.overrides {
        let entry = values.get_mut(key);
        change::apply(
            (key, one),
            catalogue::PestValues::TABLE,
            "pest.overrides",
            &mut notes.faults,
            entry,
        );
    }
}

fn read_yard(yard: &file::Yard, notes: &mut Notes) -> Option<Rect> {
    let width = notes.length(&yard.width, "yard.width", 1.0, LONGEST_YARD_M);
    let depth = notes.length(&yard.depth, "yard.depth", 1.0, LONGEST_YARD_M);
    Some(Rect::new(0.0, 0.0, width?, depth?))
}

/// The outline written as `from` and `to`, or `at` and `radius`.
fn read_shape(
    (from, to): (Option<&Position>, Option<&Position>),
    (at, radius): (Option<&Position>, Option<&Length>),
    path: &str,
    notes: &mut Notes,
) -> Option<Shape> {
    match (from, to, at, radius) {
        (Some(from), Some(to), None, None) => notes.rect(from, to, path).map(Shape::Rect),
        (None, None, Some(at), Some(radius)) => {
            let at = notes.position(at, &member(path, "at"));
            let radius_m = notes.length(radius, &member(path, "radius"), 0.01, LONGEST_YARD_M);
            Some(Shape::Disc {
                at: at?,
                radius_m: radius_m?,
            })
        }
        _ => {
            notes.faults.add(
                path,
                "the outline is not clear",
                "give \"from\" and \"to\" for a rectangle, or \"at\" and \"radius\" for a disc",
            );
            None
        }
    }
}

fn read_structures(list: &[file::Structure], notes: &mut Notes) -> Vec<Structure> {
    let mut seen = BTreeSet::new();
    let mut out = Vec::new();
    for (i, s) in list.iter().enumerate() {
        let path = format!("structures[{i}]");
        notes.name(&s.name, &member(&path, "name"), &mut seen);
        let shape = read_shape(
            (s.from.as_ref(), s.to.as_ref()),
            (s.at.as_ref(), s.radius.as_ref()),
            &path,
            notes,
        );
        if let Some(shape) = shape {
            out.push(Structure {
                name: s.name.clone(),
                kind: s.kind.unwrap_or(StructureKind::Other),
                shape,
            });
        }
    }
    out
}

fn read_zones(list: &[file::Zone], notes: &mut Notes) -> Vec<Zone> {
    let mut seen = BTreeSet::new();
    let mut out = Vec::new();
    for (i, z) in list.iter().enumerate() {
        let path = format!("no_hang[{i}]");
        notes.name(&z.name, &member(&path, "name"), &mut seen);
        let shape = read_shape(
            (z.from.as_ref(), z.to.as_ref()),
            (z.at.as_ref(), z.radius.as_ref()),
            &path,
            notes,
        );
        if let Some(shape) = shape {
            out.push(Zone {
                name: z.name.clone(),
                shape,
            });
        }
    }
    out
}

/// Plots in the order of the file; `None` where one is faulty, so that indices stay.
fn read_plots(
    list: &[file::Neighbour],
    yard: Option<Rect>,
    notes: &mut Notes,
) -> Vec<Option<Plot>> {
    let mut seen = BTreeSet::from(["me".to_string()]);
    let mut out: Vec<Option<Plot>> = Vec::new();
    for (i, n) in list.iter().enumerate() {
        let path = format!("neighbours[{i}]");
        notes.name(&n.name, &member(&path, "name"), &mut seen);
        let area = notes.rect(&n.from, &n.to, &path);
        if let Some(area) = area {
            if yard.is_some_and(|yard| yard.overlaps(&area)) {
                notes.faults.add(
                    &path,
                    format!("the plot of \"{}\" lies on your yard", n.name),
                    "move it outside the yard",
                );
            }
            if yard.is_some_and(|yard| !yard.grown(LONGEST_YARD_M).overlaps(&area)) {
                notes.faults.add(
                    &path,
                    format!("the plot of \"{}\" is too far away to matter", n.name),
                    "move it within 500 m of the yard",
                );
            }
            if area.width() > LONGEST_YARD_M || area.height() > LONGEST_YARD_M {
                notes.faults.add(
                    &path,
                    format!("the plot of \"{}\" is over 500 m long", n.name),
                    "make it smaller",
                );
            }
            if let Some(other) = out.iter().flatten().find(|plot| plot.area.overlaps(&area)) {
                notes.faults.add(
                    &path,
                    format!("the plots of \"{}\" and \"{}\" overlap", other.name, n.name),
                    "move one of them",
                );
            }
        }
        out.push(area.map(|area| Plot {
            name: n.name.clone(),
            area,
        }));
    }
    out
}

fn read_window(
    written: Option<&file::Window>,
    pest: Option<&Pest>,
    notes: &mut Notes,
) -> Option<Window> {
    let usual = pest.map_or(21, |pest| pest.window_days);
    let empty = file::Window::default();
    let written = written.unwrap_or(&empty);
    let days = written
        .days
        .or_else(|| written.day_weights.as_ref().map(|w| w.len() as u32));
    if days.is_none() {
        notes.default_used(
            "window.days",
            format!("{usual} days of peak activity"),
            "assumed",
        );
    }
    let days = days.unwrap_or(usual);
    if !(1..=200).contains(&days) {
        notes
            .faults
            .add("window.days", format!("{days} days"), "write 1 to 200");
        return None;
    }
    if let Some(day) = &written.first_day
        && day.parse::<jiff::civil::Date>().is_err()
    {
        notes.faults.add(
            "window.first_day",
            format!("\"{}\" is no date", shortened(day)),
            "write year-month-day, for example \"2026-06-25\"",
        );
    }
    let day_weights = match &written.day_weights {
        None => vec![1.0; days as usize],
        Some(weights) => {
            let sum: f64 = weights.iter().sum();
            if weights.len() != days as usize {
                notes.faults.add(
                    "window.day_weights",
                    format!("{} weights for {days} days", weights.len()),
                    "write one number a day",
                );
                return None;
            }
            if weights.iter().any(|w| *w < 0.0) || !sum.is_finite() || sum <= 0.0 {
                notes.faults.add(
                    "window.day_weights",
                    "weights must not be negative, and not all 0",
                    "write relative numbers such as 0.5, 1, 2",
                );
                return None;
            }
            weights
                .iter()
                .map(|w| w * weights.len() as f64 / sum)
                .collect()
        }
    };
    Some(Window {
        first_day: written.first_day.clone(),
        days,
        day_weights,
    })
}

fn read_settings(written: Option<&file::Settings>, notes: &mut Notes) -> Settings {
    let empty = file::Settings::default();
    let written = written.unwrap_or(&empty);
    if written.summers.is_none() {
        notes.default_used(
            "settings.summers",
            "400 simulated summers, a preview",
            "a printed verdict needs 1,000",
        );
    }
    if written.seed.is_none() {
        notes.default_used("settings.seed", "seed 1", "any number serves");
    }
    let summers = written.summers.unwrap_or(400);
    if !(1..=1_000_000).contains(&summers) {
        notes.faults.add(
            "settings.summers",
            format!("{summers} summers"),
            "write 1 to 1000000; 1000 serve for a printed verdict",
        );
    }
    let cell_m = written
        .cell
        .as_ref()
        .map_or(Some(0.5), |cell| {
            notes.length(cell, "settings.cell", 0.05, 10.0)
        })
        .unwrap_or(0.5);
    let tie_band = written.tie_band.unwrap_or(1.0);
    if !(0.0..=50.0).contains(&tie_band) {
        notes.faults.add(
            "settings.tie_band",
            format!("a band of {tie_band} points"),
            "write 0 to 50 points of 100",
        );
    }
    let most_insects = written.most_insects.unwrap_or(2_000_000);
    if most_insects == 0 {
        notes.faults.add(
            "settings.most_insects",
            "no insect would be allowed",
            "leave it out, or write 1 or more",
        );
    }
    Settings {
        summers,
        seed: written.seed.unwrap_or(1),
        cell_m,
        tie_band,
        most_insects,
    }
}

fn read_pressure(
    around: Option<&file::Surroundings>,
    pest: &Pest,
    notes: &mut Notes,
) -> Option<Pressure> {
    let path = "surroundings.pressure";
    let word = match around.and_then(|a| a.pressure.as_ref()) {
        Some(file::Pressure::Counted(counted)) => {
            return read_counted(
                &counted.on_plants_a_day,
                &member(path, "on_plants_a_day"),
                notes,
            );
        }
        Some(file::Pressure::Word(word)) => *word,
        None => file::PressureWord::Usual,
    };
    let word = match word {
        file::PressureWord::Light => "light",
        file::PressureWord::Usual => "usual",
        file::PressureWord::Heavy => "heavy",
    };
    let entry = pest
        .pressure
        .get(word)
        .expect("every pest file has the three words; tested");
    let [low, high] = entry.range.unwrap_or([entry.value; 2]);
    notes.default_used(
        path,
        format!(
            "{word}: {low} to {high} {} on your plants at one look",
            pest.short
        ),
        format!("assumed; {}", entry.source),
    );
    Some(Pressure {
        said: word.into(),
        low,
        high,
    })
}

fn read_counted(count: &file::Count, path: &str, notes: &mut Notes) -> Option<Pressure> {
    let (low, high, said) = match count {
        file::Count::One(n) => {
            notes.default_used(
                path,
                format!("{n}, taken as {:.1} to {:.1}", n * 0.7, n * 1.4),
                "assumed: one look is a rough count",
            );
            (n * 0.7, n * 1.4, format!("about {n} at one look"))
        }
        file::Count::Range([low, high]) => (*low, *high, format!("{low} to {high} at one look")),
    };
    if !(low > 0.0 && high >= low) {
        notes.faults.add(
            path,
            format!("{low} to {high} insects"),
            "write a number above 0, the lower end first",
        );
    } else if high > MOST_ON_PLANTS {
        notes.faults.add(
            path,
            format!("{high:.0} insects on the plants at one look"),
            format!("write at most {MOST_ON_PLANTS:.0}"),
        );
    } else {
        return Some(Pressure { said, low, high });
    }
    None
}

fn read_sources(
    around: Option<&file::Surroundings>,
    pressure: Option<&Pressure>,
    notes: &mut Notes,
) -> Vec<Source> {
    let mut seen = BTreeSet::new();
    let mut out = Vec::new();
    for (i, source) in around.map_or(&[][..], |a| &a.sources).iter().enumerate() {
        let path = format!("surroundings.sources[{i}]");
        notes.name(&source.name, &member(&path, "name"), &mut seen);
        let at = notes.position(&source.at, &member(&path, "at"));
        let radius_path = member(&path, "radius");
        let radius_m = source.radius.as_ref().map_or(Some(3.048), |r| {
            notes.length(r, &radius_path, 0.1, LONGEST_YARD_M)
        });
        let per_day = match (&source.a_day, pressure) {
            (Some(file::Count::One(n)), _) => [*n, *n],
            (Some(file::Count::Range(range)), _) => *range,
            (None, Some(p)) => {
                let taken = [0.1 * p.low, 0.5 * p.high];
                notes.default_used(
                    member(&path, "a_day"),
                    format!(
                        "{:.1} to {:.1} insects a day from \"{}\"",
                        taken[0], taken[1], source.name
                    ),
                    "assumed: a tenth to a half of what sits on your plants",
                );
                taken
            }
            (None, None) => continue,
        };
        if !(per_day[0] >= 0.0 && per_day[1] >= per_day[0] && per_day[1] <= MOST_ON_PLANTS) {
            notes.faults.add(
                member(&path, "a_day"),
                format!("{} to {} insects a day", per_day[0], per_day[1]),
                "write 0 to 100000, the lower end first",
            );
        } else if let (Some(at), Some(radius_m)) = (at, radius_m) {
            out.push(Source {
                name: source.name.clone(),
                at,
                radius_m,
                per_day_low: per_day[0],
                per_day_high: per_day[1],
            });
        }
    }
    out
}

fn read_setting(around: Option<&file::Surroundings>, notes: &mut Notes) -> (bool, f64) {
    let isolated = around.and_then(|a| a.setting) == Some(file::Setting::Isolated);
    if around.and_then(|a| a.setting).is_none() {
        notes.default_used(
            "surroundings.setting",
            "open: insects keep arriving from all sides",
            "assumed",
        );
    }
    let margin = around.and_then(|a| a.margin.as_ref());
    if margin.is_none() && isolated {
        notes.default_used(
            "surroundings.margin",
            "100 ft (30 m) of land round the yard share the population",
            "assumed",
        );
    }
    let margin_m = margin
        .and_then(|m| notes.length(m, "surroundings.margin", 0.0, LONGEST_YARD_M))
        .unwrap_or(30.0);
    (isolated, margin_m)
}
