//! From arguments and files to a question.

use super::Args;
use crate::catalogue::season::{self, BloomEntry, SeasonPest};
use crate::catalogue::unmodelled;
use crate::catalogue::words::{self, Kind};
use crate::cli::CliError;
use crate::say::say;
use crate::season::biofix::BiofixRule;
use crate::season::counts::{self, CountBasis, Counts, CountsOptions};
use crate::season::degree_day::{Cutoff, Method};
use crate::season::events::{by_name, unknown};
use crate::season::finding::InputFile;
use crate::season::hourly::{self, HourlyOptions};
use crate::season::question::{BloomChoice, Question, RuleChange, Start};
use crate::season::reading::{self, CountsReading, ReadingOptions};
use crate::season::wind_rose::{WindFilter, WindRose};
use crate::weather::columns::TemperatureUnit;
use crate::weather::daily::{self as weather, ReadOptions, Record};
use crate::weather::day;
use crate::weather::{InputError, Scale};
use jiff::civil::Date;
use sha2::{Digest, Sha256};
use std::fmt::Write;
use std::fs::File;
use std::io::{BufReader, ErrorKind, Read};
use std::path::Path;

fn bad(fault: &InputError) -> CliError {
    CliError::BadInput(fault.to_string())
}

fn bad_text(what: impl Into<String>) -> CliError {
    CliError::BadInput(what.into())
}

/// The pest asked for.
pub(super) fn pest(args: &Args) -> Result<SeasonPest, CliError> {
    let names: Vec<&str> = season::SEASONS.iter().map(|(id, _)| *id).collect();
    let Some(name) = &args.pest else {
        return Err(bad_text(say!("ask.no-pest", known = names.join(", "))));
    };
    // Everyday words for pests with numbers, and for those with dates only.
    let said = name;
    let same = |id: &&&str| words::plain(id) == words::plain(said);
    let known = names.iter().find(same).copied();
    let word = || words::find(Kind::Pest, said).or_else(|| unmodelled::id(said));
    let name = known.or_else(word).unwrap_or(said);
    if let Some(found) = season::season(name) {
        if name == "custom" && args.lower.is_none() && has_weather(args) {
            return Err(bad_text(say!("ask.no-lower")));
        }
        return Ok(found);
    }
    if crate::catalogue::pest(name).is_some() || unmodelled::id(name).is_some() {
        return Err(bad_text(say!(
            "ask.no-table",
            name = said,
            known = names.join(", ")
        )));
    }
    Err(bad_text(unknown("kind.pest", said, &names)))
}

fn has_weather(args: &Args) -> bool {
    args.daily.is_some() || args.hourly.is_some() || args.data.is_some()
}

/// Everything asked, with all files read.
pub(super) fn question(args: &Args, pest: SeasonPest) -> Result<Question, CliError> {
    let mut inputs = Vec::new();
    let (mut record, wind) = weather(args, &mut inputs)?;
    // Only the name: where a file lies on somebody's disk does not belong in a result.
    record.understood.file = name_of(&record.understood.file);
    let options = read_options(args)?;
    let mut others = Vec::new();
    for path in &args.normal {
        let mut other = with_file(path, "input.years", &mut inputs, |name, source| {
            weather::read_daily(name, source, &options)
        })?;
        other.understood.file = name_of(&other.understood.file);
        others.push(other);
    }
    let bloom = bloom(args)?;
    Ok(Question {
        record,
        wind,
        others,
        counts: counts_file(args, &mut inputs)?,
        biofix: biofix(args)?,
        table: args.table.clone(),
        rule: rule(args)?,
        start: args.start.as_deref().map(start).transpose()?,
        until: args
            .until
            .as_deref()
            .map(|text| date("--until", text))
            .transpose()?,
        year: args.year,
        bloom,
        window: (
            args.window_start
                .as_deref()
                .map(|text| date("--window-start", text))
                .transpose()?,
            args.window_days,
        ),
        own_events: own_events(args)?,
        reading: reading_options(args)?,
        inputs,
        pest,
    })
}

/// Counts without weather.
pub(super) fn counts_alone(
    args: &Args,
    pest: &SeasonPest,
) -> Result<(CountsReading, Vec<InputFile>), CliError> {
    let mut inputs = Vec::new();
    let counts = counts_file(args, &mut inputs)?;
    Ok((
        reading::read(counts.as_ref(), &pest.counts, &reading_options(args)?),
        inputs,
    ))
}

fn counts_file(args: &Args, inputs: &mut Vec<InputFile>) -> Result<Option<Counts>, CliError> {
    let Some(path) = &args.counts else {
        return Ok(None);
    };
    let kinds = [
        ("since-last-check", CountBasis::SinceLastCheck),
        ("total", CountBasis::Total),
    ];
    let basis = by_name(&kinds, "kind.counts", &args.counts_are).map_err(|f| bad(&f))?;
    let options = CountsOptions {
        basis,
        species: args.species.clone(),
    };
    let mut counts = with_file(path, "input.counts", inputs, |name, source| {
        counts::read(name, source, &options)
    })?;
    counts.understood.file = name_of(&counts.understood.file);
    Ok(Some(counts))
}

fn reading_options(args: &Args) -> Result<ReadingOptions, CliError> {
    if args.share.is_some_and(|p| !(p > 0.0 && p < 1.0)) {
        return Err(bad_text(say!("ask.share")));
    }
    let recapture = match (args.marked, args.caught, args.recaptured) {
        (Some(m), Some(c), Some(r)) if r > m || r > c => {
            return Err(bad_text(say!("ask.recaptured")));
        }
        (Some(m), Some(c), Some(r)) => Some([m, c, r]),
        _ => None,
    };
    Ok(ReadingOptions {
        share: args.share,
        recapture,
    })
}

fn weather(
    args: &Args,
    inputs: &mut Vec<InputFile>,
) -> Result<(Record, Option<WindRose>), CliError> {
    if let Some(name) = &args.data {
        let text = by_name(season::SHIPPED_WEATHER, "kind.data", name).map_err(|f| bad(&f))?;
        let file = say!("input.shipped", name);
        let record = weather::read_daily(&file, text.as_bytes(), &ReadOptions::default())
            .map_err(|f| bad(&f))?;
        inputs.push(InputFile {
            role: say!("input.daily"),
            file,
            sha256: hex(&Sha256::digest(text.as_bytes())),
        });
        return Ok((record, None));
    }
    if let Some(path) = &args.hourly {
        let options = HourlyOptions {
            read: read_options(args)?,
            dusk_hour: args.dusk_hour,
            wind: WindFilter {
                months: span("--wind-months", &args.wind_months, 1, 12)?,
                hours: span("--wind-hours", &args.wind_hours, 0, 23)?,
                year: args.year,
            },
        };
        let record = with_file(path, "input.hourly", inputs, |name, source| {
            hourly::read_hourly(name, source, &options)
        })?;
        return Ok((record.daily, record.wind));
    }
    let path = args.daily.as_deref().unwrap_or(Path::new(""));
    let options = read_options(args)?;
    let record = with_file(path, "input.daily", inputs, |name, source| {
        weather::read_daily(name, source, &options)
    })?;
    Ok((record, None))
}

fn read_options(args: &Args) -> Result<ReadOptions, CliError> {
    Ok(ReadOptions {
        unit: unit(args)?,
        station: args.station.clone(),
        utc_offset_h: utc_offset(args)?,
        accept_jumps: args.accept_jumps,
        ..ReadOptions::default()
    })
}

fn unit(args: &Args) -> Result<Option<TemperatureUnit>, CliError> {
    args.unit
        .as_deref()
        .map(|name| by_name(&TemperatureUnit::ALL, "kind.unit", name))
        .transpose()
        .map_err(|f| bad(&f))
}

fn utc_offset(args: &Args) -> Result<Option<f64>, CliError> {
    match args.utc_offset {
        Some(hours) if !(-14.0..=14.0).contains(&hours) => Err(bad_text(say!("ask.utc"))),
        other => Ok(other),
    }
}

/// A reader that adds up a digest of what passes.
struct Digesting<R> {
    inner: R,
    digest: Sha256,
}

impl<R: Read> Read for Digesting<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let n = self.inner.read(buffer)?;
        self.digest.update(&buffer[..n]);
        Ok(n)
    }
}

/// Opens a file, reads it as a stream, and notes its digest.
fn with_file<T>(
    path: &Path,
    role: &str,
    inputs: &mut Vec<InputFile>,
    read: impl FnOnce(&str, &mut BufReader<Digesting<File>>) -> Result<T, InputError>,
) -> Result<T, CliError> {
    let file_name = path.display();
    let explain = |error: std::io::Error| {
        bad_text(match error.kind() {
            ErrorKind::NotFound => say!("ask.file-none", file = file_name),
            ErrorKind::PermissionDenied => say!("ask.file-closed", file = file_name),
            _ => say!("ask.file-fails", file = file_name, why = error),
        })
    };
    let file = File::open(path).map_err(explain)?;
    if file.metadata().map_err(explain)?.is_dir() {
        return Err(bad_text(say!("ask.file-folder", file = file_name)));
    }
    let mut source = BufReader::with_capacity(
        1 << 16,
        Digesting {
            inner: file,
            digest: Sha256::new(),
        },
    );
    let name = path.display().to_string();
    let result = read(&name, &mut source).map_err(|f| bad(&f))?;
    let digest = source.into_inner().digest.finalize();
    inputs.push(InputFile {
        role: say!(role),
        file: name_of(&name),
        sha256: hex(&digest),
    });
    Ok(result)
}

/// The last part of a path.
fn name_of(path: &str) -> String {
    Path::new(path)
        .file_name()
        .map_or_else(|| path.to_string(), |n| n.to_string_lossy().into_owned())
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

fn date(flag: &str, text: &str) -> Result<Date, CliError> {
    day::read_iso(text).map_err(|what| bad_text(format!("{flag}: {what}")))
}

fn biofix(args: &Args) -> Result<BiofixRule, CliError> {
    let Some(text) = &args.biofix else {
        return Ok(BiofixRule::FromCounts);
    };
    if text.starts_with(|c: char| c.is_ascii_digit()) {
        return date("--biofix", text).map(BiofixRule::On);
    }
    by_name(&BiofixRule::NAMES, "kind.biofix", text).map_err(|f| bad(&f))
}

fn start(text: &str) -> Result<Start, CliError> {
    if let Some((month, day)) = text
        .split_once('-')
        .filter(|(month, day)| month.len() <= 2 && day.len() <= 2)
    {
        return match (month.parse::<i8>(), day.parse::<i8>()) {
            (Ok(m @ 1..=12), Ok(d @ 1..=31)) => Ok(Start::MonthDay(m, d)),
            _ => Err(bad_text(say!("ask.month-day", text))),
        };
    }
    date("--start", text).map(Start::On)
}

fn rule(args: &Args) -> Result<RuleChange, CliError> {
    for value in [args.lower, args.upper].into_iter().flatten() {
        if !value.is_finite() || value.abs() > 200.0 {
            return Err(bad_text(say!("ask.thresholds")));
        }
    }
    let scales = [("f", Scale::F), ("c", Scale::C)];
    let scale = args
        .scale
        .as_deref()
        .map(|name| by_name(&scales, "kind.scale", name))
        .transpose()
        .map_err(|f| bad(&f))?;
    let method = args
        .method
        .as_deref()
        .map(|name| by_name(&Method::ALL, "kind.method", name))
        .transpose()
        .map_err(|f| bad(&f))?;
    let cutoff = args
        .cutoff
        .as_deref()
        .map(|name| by_name(&Cutoff::ALL, "kind.cutoff", name))
        .transpose()
        .map_err(|f| bad(&f))?;
    Ok(RuleChange {
        method,
        lower: args.lower,
        upper: args.upper,
        cutoff,
        scale,
    })
}

fn bloom(args: &Args) -> Result<Option<BloomChoice>, CliError> {
    let Some(name) = &args.crop else {
        return Ok(None);
    };
    let known = season::bloom();
    let word = words::find(Kind::Crop, name).filter(|_| !known.contains_key(name));
    let name = word.unwrap_or(name);
    let Some(entry) = known.get(name).cloned() else {
        if let (Some(crop), Some(_)) = (crate::catalogue::crop(name), &args.bloom) {
            return own_bloom(
                args,
                BloomEntry {
                    id: crop.id.clone(),
                    name: crop.name.clone(),
                    first: [[1, 1], [1, 1]],
                    last: [[1, 1], [1, 1]],
                    needs_bees: crop.needs_bees,
                    source: say!("bloom.own"),
                    grade: crate::catalogue::Grade::Assumed,
                },
            );
        }
        let names: Vec<&str> = known.keys().map(String::as_str).collect();
        return Err(bad_text(unknown("kind.crop", name, &names)));
    };
    if args.bloom.is_some() {
        own_bloom(args, entry)
    } else {
        Ok(Some(BloomChoice::Catalogue(entry)))
    }
}

fn own_bloom(args: &Args, entry: BloomEntry) -> Result<Option<BloomChoice>, CliError> {
    let text = args.bloom.as_deref().unwrap_or("");
    let Some((first, last)) = text.split_once("..") else {
        return Err(bad_text(say!("ask.bloom")));
    };
    let (first, last) = (date("--bloom", first)?, date("--bloom", last)?);
    if last < first {
        return Err(bad_text(say!("ask.bloom-order")));
    }
    Ok(Some(BloomChoice::Own(entry, first, last)))
}

fn own_events(args: &Args) -> Result<Vec<(String, f64)>, CliError> {
    args.event
        .iter()
        .map(|text| {
            let parts = text
                .rsplit_once('=')
                .and_then(|(name, at)| at.trim().parse::<f64>().ok().map(|at| (name.trim(), at)));
            match parts {
                Some((name, at))
                    if name.starts_with(char::is_alphanumeric)
                        && name.len() <= 60
                        && (0.0..=100_000.0).contains(&at) =>
                {
                    Ok((day::shorten(name), at))
                }
                _ => Err(bad_text(say!("ask.event", text = day::shorten(text)))),
            }
        })
        .collect()
}

/// Reads `6-8` or `7`.
fn span(flag: &str, text: &str, least: u8, most: u8) -> Result<[u8; 2], CliError> {
    let (first, last) = text.split_once('-').unwrap_or((text, text));
    match (first.trim().parse::<u8>(), last.trim().parse::<u8>()) {
        (Ok(a), Ok(b)) if (least..=most).contains(&a) && (least..=most).contains(&b) => Ok([a, b]),
        _ => Err(bad_text(say!("ask.range", flag, text, least, top = most))),
    }
}
