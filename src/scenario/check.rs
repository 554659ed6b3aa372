//! From the text of a scenario file to a [`Scenario`]: collects every fault, then answers.

use super::biology::KeptSets;
use super::error::{Fault, fault};
use super::file::{self, File, Length, Position};
use super::notes::Notes;
use super::place::{Places, member};
use super::{
    Plot, Scenario, Shape, Spot, Structure, StructureKind, Zone, around, change, crops, doubts,
    plans, structure, weather, wind,
};
use crate::catalogue::words::{self, Kind};
use crate::catalogue::{self, Guild, Pest};
use crate::geometry::Rect;
use crate::say::{counted, say};
use crate::units::shortened;
use std::collections::BTreeSet;

/// Longest side of a yard, meters; beyond it a yard is a field.
pub const LONGEST_YARD_M: f64 = 500.0;
/// Largest scenario file, bytes.
pub const LARGEST_FILE: usize = 2_000_000;
/// Most insects on the plants at one look.
pub const MOST_ON_PLANTS: f64 = 100_000.0;

/// Reads a scenario.
///
/// `text` is the file, `file_name` its name for messages, and `load` reads a wind or season file named in the scenario (given as written
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
    let (mut notes, mut places) = (Notes::default(), Places::default());
    let file = parse(text, &mut places, &mut notes);
    match file.and_then(|file| build(&file, file_name, load, &mut notes)) {
        Some(mut scenario) if notes.faults.is_empty() => {
            notes.warn_of_bare_lengths();
            scenario.defaults = notes.defaults;
            scenario.warnings = notes.warnings;
            let doubts = doubts::doubts(&scenario);
            scenario.warnings.extend(doubts);
            Ok(scenario)
        }
        _ => Err(notes.finish(file_name, |path| places.line_of(path))),
    }
}

/// The JSON Schema of the scenario file, from the types that read it.
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(File).to_value()
}

/// What messages about a scenario file propose to write, in English: the words of the file's own description.
pub fn schema_texts() -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    structure::proposals(&schema(), &mut all);
    all
}

/// Text to file types; structural faults are noted.
fn parse(text: &str, places: &mut Places, notes: &mut Notes) -> Option<File> {
    let (n, limit) = (text.len(), LARGEST_FILE);
    if n > limit {
        fault!(notes, "", "fault.file.long", n, limit);
        return None;
    }
    let value: serde_json::Value = match serde_json::from_str(text) {
        Ok(value) => value,
        Err(error) => {
            let (what, fix) = syntax(text, &error);
            notes.add_at_line(error.line().max(1), "", what, fix);
            return None;
        }
    };
    *places = Places::of(text);
    for (path, line) in &places.duplicates {
        let key = path.rsplit('.').next().unwrap_or(path);
        let what = say!("fault.key-twice", name = shortened(key));
        notes.add_at_line(*line, path, what, say!("fault.keep-one"));
    }
    structure::walk(&value, &schema(), notes);
    if !notes.faults.is_empty() {
        return None;
    }
    let fault = |error: serde_path_to_error::Error<serde_json::Error>| {
        let (path, what) = (error.path().to_string(), error.inner().to_string());
        notes.add(path, what, say!("fault.see-schema"));
    };
    serde_path_to_error::deserialize(value).map_err(fault).ok()
}

/// A syntax error in words: what it is, and how to mend it.
fn syntax(text: &str, error: &serde_json::Error) -> (String, String) {
    let said = error.to_string();
    let line = text.lines().nth(error.line().saturating_sub(1));
    let line = line.unwrap_or_default();
    let no_number = ["NaN", "Infinity", "nan", "inf"];
    let key = if text.trim().is_empty() {
        "fault.json.empty"
    } else if said.contains("recursion limit") {
        "fault.json.deep"
    } else if no_number.iter().any(|word| line.contains(word)) {
        "fault.json.no-number"
    } else if said.contains("number out of range") {
        "fault.json.large"
    } else if said.contains("trailing comma") {
        "fault.json.comma"
    } else {
        "fault.json"
    };
    (say!(key, said), say!(&format!("{key}.fix")))
}

fn build(
    file: &File,
    file_name: &str,
    load: &dyn Fn(&str) -> Result<String, String>,
    notes: &mut Notes,
) -> Option<Scenario> {
    if file.format != 1 {
        fault!(notes, "format", "fault.format", n = file.format);
    }
    if !lists_are_short(file, notes) {
        return None;
    }
    check_titles(file, notes);
    let pest = read_pest(&file.pest, notes);
    let yard = read_yard(&file.yard, notes);
    let up = file.yard.up.as_ref();
    let up_bearing_rad = up.map_or(Some(0.0), |up| notes.direction(up, "yard.up"));
    let structures = read_structures(&file.structures, notes);
    let no_hang = read_zones(&file.no_hang, notes);
    let spots = read_spots(&file.spots, yard, (&structures, &no_hang), notes);
    let plots = read_plots(&file.neighbours, yard, notes);
    let window = around::read_window(file.window.as_ref(), pest.as_ref(), load, notes);
    let settings = around::read_settings(file.settings.as_ref(), notes);
    let empty = file::Surroundings::default();
    let around = file.surroundings.as_ref().unwrap_or(&empty);
    let pressure = pest
        .as_ref()
        .and_then(|pest| around::read_pressure(around, pest, notes));
    let (isolated, isolated_margin_m) = around::read_setting(around, pest.as_ref(), notes);
    let ground = crops::Ground {
        yard,
        plots: &plots,
    };
    let planted = crops::read(file, &ground, pest.as_ref(), notes);
    let sources = planted.as_ref().map(|planted| {
        around::read_sources(&around.sources, pressure.as_ref(), &planted.crops, notes)
    });
    let crops = planted.as_ref().map_or(&[][..], |p| &p.crops[..]);
    let seasons = around::read_seasons(around, isolated, notes);
    let (window, pest) = (window.as_ref(), pest?);
    let wind = wind::read(file.wind.as_ref(), &pest, window, load, notes);
    let weather = weather::read(file.weather.as_ref(), &pest, window, load, notes);
    let things = (&structures[..], &no_hang[..]);
    let hung = plans::read(file, (&pest, window?), &ground, crops, things, notes);
    let (planted, hung) = (planted?, hung?);
    let kept_sets = (file.biology != Some(file::Biology::Ranges))
        .then(|| KeptSets::shipped(&pest, &hung.lures, &hung.trap_kinds))
        .flatten();
    if let Some(sets) = &kept_sets {
        let taken = say!("yard.default.sets", n = sets.len());
        notes.default_used("biology", taken, say!("yard.default.sets.why"));
    }
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
        spots,
        plots: plots.into_iter().flatten().collect(),
        pest,
        kept_sets,
        pressure: pressure?,
        sources: sources?,
        isolated,
        isolated_margin_m,
        seasons,
        from_side: around::read_side(around, (isolated, up_bearing_rad?), notes),
        weather,
        chewed_leaves_call: around.chewed_leaves_call,
        wind: wind?,
        window: window?.clone(),
        lures: hung.lures,
        trap_kinds: hung.trap_kinds,
        plans: hung.plans,
        settings,
        defaults: Vec::new(),
        warnings: Vec::new(),
    })
}

/// The last part of a file name.
pub fn last_part(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}

/// Letters, digits and hyphens of a name, without folder and extension.
fn slug(name: &str) -> String {
    let base = last_part(name);
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

/// Longer lists are a slip, and would only cost memory.
fn lists_are_short(file: &File, notes: &mut Notes) -> bool {
    let lists = [
        ("crops", file.crops.len(), 200),
        ("structures", file.structures.len(), 500),
        ("no_hang", file.no_hang.len(), 500),
        ("neighbours", file.neighbours.len(), 50),
        ("spots", file.spots.len(), 50),
    ];
    let before = notes.faults.len();
    for (path, n, limit) in lists {
        if n > limit {
            fault!(notes, path, "fault.list.long", n, limit);
        }
    }
    let theirs = file.neighbours.iter().map(|n| n.crops.len()).max();
    if let Some(n) = theirs.filter(|n| *n > 50) {
        fault!(notes, "neighbours", "fault.list.long.theirs", n);
    }
    notes.faults.len() == before
}

fn check_titles(file: &File, notes: &mut Notes) {
    if file.title.trim().is_empty() {
        fault!(notes, "title", "fault.title.empty");
    }
    if let Some(name) = &file.name
        && !name.chars().any(|c| c.is_ascii_alphanumeric())
    {
        fault!(notes, "name", "fault.name.no-letter");
    }
}

fn read_pest(written: &file::Pest, notes: &mut Notes) -> Option<Pest> {
    let (id, path) = match written {
        file::Pest::Id(id) => (id, "pest"),
        file::Pest::Changed(changed) => (&changed.base, "pest.base"),
    };
    let Some(mut pest) = words::find(Kind::Pest, id).and_then(catalogue::pest) else {
        notes.no_such(path, "pest", Kind::Pest, id);
        return None;
    };
    if let file::Pest::Changed(changed) = written {
        change_pest(changed, &mut pest, notes);
    }
    let table = catalogue::PestValues::TABLE;
    let assumed = |s: &&catalogue::Sourced| {
        s.grade == catalogue::Grade::Assumed && s.source != change::said_here()
    };
    let numbers = table.iter().filter_map(|info| pest.values.get(info.key));
    let (n, all) = (numbers.filter(assumed).count(), table.len());
    let key = counted("yard.default.pest", n as u64);
    let taken = say!(&key, n, all, name = pest.name);
    notes.default_used("pest", taken, say!("yard.default.pest.why"));
    Some(pest)
}

fn change_pest(changed: &file::ChangedPest, pest: &mut Pest, notes: &mut Notes) {
    if let Some(name) = &changed.name {
        notes.name(name, "pest.name", &mut BTreeSet::new());
        pest.name.clone_from(name);
        pest.plural = say!("name.plural-of", name);
    }
    if let Some(guild) = changed.guild
        && guild != pest.guild
    {
        pest.guild = guild;
        // A rate for leaf area means nothing for fruit, and the reverse.
        let chewer = guild == Guild::Chewer;
        let wide = |unit: &str, range: [f64; 2]| catalogue::Sourced {
            value: (range[0] * range[1]).sqrt(),
            unit: unit.into(),
            range: Some(range),
            spread: catalogue::Spread::Log,
            source: say!("yard.default.own-pest.why"),
            grade: catalogue::Grade::Assumed,
        };
        pest.values.damage_rate = if chewer {
            wide("cm2/h", [0.01, 0.8])
        } else {
            wide("1/h", [0.01, 0.5])
        };
        pest.values.visible = wide("count", if chewer { [4.0, 25.0] } else { [1.0, 1.0] });
        notes.warnings.push(say!("yard.warn.kind-of-damage"));
    }
    if let Some(mover) = changed.mover {
        pest.mover = mover;
    }
    if let Some(start) = changed.start_hour {
        pest.activity.start_hour = start;
        if !(0.0..24.0).contains(&start) {
            fault!(notes, "pest.start_hour", "fault.hour-of-day", n = start);
        }
    }
    if let Some(hours) = changed.hours {
        pest.activity.hours = hours;
        notes.within("pest.hours", hours, 1.0..=24.0, "fault.hours-a-day");
    }
    let (table, path) = (catalogue::PestValues::TABLE, "pest.overrides");
    for (key, one) in &changed.overrides {
        change::apply((key, one), table, path, notes, pest.values.get_mut(key));
    }
}

fn read_yard(yard: &file::Yard, notes: &mut Notes) -> Option<Rect> {
    let width = notes.length(&yard.width, "yard.width", 1.0, LONGEST_YARD_M);
    let depth = notes.length(&yard.depth, "yard.depth", 1.0, LONGEST_YARD_M);
    Some(Rect::new(0.0, 0.0, width?, depth?))
}

/// The outline written as `from` and `to`, or `at` and `radius`.
fn read_shape(
    (from, to): (&Option<Position>, &Option<Position>),
    (at, radius): (&Option<Position>, &Option<Length>),
    path: &str,
    notes: &mut Notes,
) -> Option<Shape> {
    match (from, to, at, radius) {
        (Some(from), Some(to), None, None) => notes.rect(from, to, path).map(Shape::Rect),
        (None, None, Some(at), Some(radius)) => {
            let at = notes.position(at, &member(path, "at"));
            let radius_m = notes.length(radius, &member(path, "radius"), 0.01, LONGEST_YARD_M);
            let (at, radius_m) = (at?, radius_m?);
            Some(Shape::Disc { at, radius_m })
        }
        _ => {
            fault!(notes, path, "fault.outline");
            None
        }
    }
}

fn read_structures(list: &[file::Structure], notes: &mut Notes) -> Vec<Structure> {
    let read = |s: &file::Structure, name, path: &str, notes: &mut Notes| {
        let shape = read_shape((&s.from, &s.to), (&s.at, &s.radius), path, notes)?;
        let kind = s.kind.unwrap_or(StructureKind::Other);
        Some(Structure { name, kind, shape })
    };
    let all = notes.each(list, "structures", &[], |s| &s.name, read);
    all.into_iter().flatten().collect()
}

fn read_zones(list: &[file::Zone], notes: &mut Notes) -> Vec<Zone> {
    let read = |z: &file::Zone, name, path: &str, notes: &mut Notes| {
        let shape = read_shape((&z.from, &z.to), (&z.at, &z.radius), path, notes)?;
        Some(Zone { name, shape })
    };
    let all = notes.each(list, "no_hang", &[], |z| &z.name, read);
    all.into_iter().flatten().collect()
}

/// The asker's own spots; each must be a place where a trap may hang.
fn read_spots(
    list: &[file::Spot],
    yard: Option<Rect>,
    (structures, no_hang): (&[Structure], &[Zone]),
    notes: &mut Notes,
) -> Vec<Spot> {
    let read = |spot: &file::Spot, name: String, path: &str, notes: &mut Notes| {
        let path = member(path, "at");
        let at = notes.position(&spot.at, &path)?;
        if let Some(off) = yard.map(|yard| yard.distance_to(at)).filter(|d| *d > 1e-9) {
            let distance = crate::units::feet_and_metres(off);
            fault!(notes, &path, "fault.spot.outside", name, distance);
        }
        let things = structures.iter().filter(|s| s.shape.contains(at));
        let zones = no_hang.iter().filter(|z| z.shape.contains(at));
        for other in things.map(|s| &s.name).chain(zones.map(|z| &z.name)) {
            fault!(notes, &path, "fault.spot.in", name, other);
        }
        Some(Spot { name, at })
    };
    let all = notes.each(list, "spots", &[], |s| &s.name, read);
    all.into_iter().flatten().collect()
}

/// Plots in the order of the file; `None` where one is faulty, so that indices stay.
fn read_plots(
    list: &[file::Neighbour],
    yard: Option<Rect>,
    notes: &mut Notes,
) -> Vec<Option<Plot>> {
    let mut before: Vec<Plot> = Vec::new();
    let read = |n: &file::Neighbour, name: String, path: &str, notes: &mut Notes| {
        let area = notes.rect(&n.from, &n.to, path)?;
        if yard.is_some_and(|yard| yard.overlaps(&area)) {
            fault!(notes, path, "fault.plot.on-yard", name);
        }
        if yard.is_some_and(|yard| !yard.grown(LONGEST_YARD_M).overlaps(&area)) {
            fault!(notes, path, "fault.plot.far", name);
        }
        if area.width() > LONGEST_YARD_M || area.height() > LONGEST_YARD_M {
            fault!(notes, path, "fault.plot.long", name);
        }
        if let Some(other) = before.iter().find(|plot| plot.area.overlaps(&area)) {
            let other = &other.name;
            fault!(notes, path, "fault.plot.overlap", name, other);
        }
        before.push(Plot { name, area });
        before.last().cloned()
    };
    notes.each(list, "neighbours", &["me"], |n| &n.name, read)
}
