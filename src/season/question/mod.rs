//! The question of a season, and the way from it to the answer.

mod flying;
mod settle;

use crate::catalogue::season::{BloomEntry, EventKind, EventTable, SeasonPest};
use crate::catalogue::{self, Grade};
use crate::say::say;
use crate::season::biofix::BiofixRule;
use crate::season::calendar::{self, Bloom, Ingredients};
use crate::season::counts::Counts;
use crate::season::degree_day::{Cutoff, Method};
use crate::season::events::{self, Anchor, Event};
use crate::season::finding::{
    Finding, FlightReading, ForecastNote, InputFile, Parts, PestNames, Thresholds,
};
use crate::season::flight::{Bound, Flight};
use crate::season::forecast::{Outlook, Status};
use crate::season::reading::{self, ReadingOptions};
use crate::season::series::{self, Filled};
use crate::season::upkeep::{self, DailyMeans, Upkeep};
use crate::season::wind_rose::WindRose;
use crate::weather::InputError;
use crate::weather::daily::{DayTemps, Record};
use crate::weather::day::{in_year, plus, words};
use crate::weather::temperature::{DegreeDays, Scale, Temperature};
use flying::{flight_span, settle_flight, window, with_span};
use jiff::civil::Date;
use settle::{find_biofix, last_day, missed_before, settle_rule, settle_start};
use std::collections::BTreeMap;

/// What the user changed about the pest's rule. Thresholds are on `scale`, or on the pest's own when that is absent.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RuleChange {
    /// Method.
    pub method: Option<Method>,
    /// Lower threshold.
    pub lower: Option<f64>,
    /// Upper threshold.
    pub upper: Option<f64>,
    /// Cutoff.
    pub cutoff: Option<Cutoff>,
    /// Scale of thresholds and degree-days.
    pub scale: Option<Scale>,
}

/// First day of a count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    /// A full date.
    On(Date),
    /// Month and day in the season's year.
    MonthDay(i8, i8),
}

/// Everything asked.
#[derive(Clone, Debug)]
pub struct Question {
    /// The pest.
    pub pest: SeasonPest,
    /// The weather of the season, and perhaps of years before.
    pub record: Record,
    /// Wind from the same hourly file.
    pub wind: Option<WindRose>,
    /// Weather of other years.
    pub others: Vec<Record>,
    /// Trap counts.
    pub counts: Option<Counts>,
    /// How the biofix is set.
    pub biofix: BiofixRule,
    /// Event table, when one is asked for.
    pub table: Option<String>,
    /// Changes of method and thresholds.
    pub rule: RuleChange,
    /// First day of the count, when one is asked for.
    pub start: Option<Start>,
    /// Last day of data to be used.
    pub until: Option<Date>,
    /// The season's year; the year of the last day otherwise.
    pub year: Option<i16>,
    /// The crop's bloom, moved to the season's year.
    pub bloom: Option<BloomChoice>,
    /// First day and length of the window to weigh; the busiest stretch otherwise.
    pub window: (Option<Date>, Option<u32>),
    /// Events of the user's own.
    pub own_events: Vec<(String, f64)>,
    /// Overrides for the counts.
    pub reading: ReadingOptions,
    /// The files read.
    pub inputs: Vec<InputFile>,
}

/// The crop: from the catalogue, or with the user's own days.
#[derive(Clone, Debug)]
pub enum BloomChoice {
    /// The catalogue's range.
    Catalogue(BloomEntry),
    /// First and last flower as the user saw them or expects them.
    Own(BloomEntry, Date, Date),
}

/// Answers.
///
/// # Errors
/// Faults of the question: a start after the data, missing days that cannot be filled, a rule that makes no sense, an unknown
/// table.
pub fn answer(question: &Question) -> Result<Finding, InputError> {
    let mut warnings = Vec::new();
    let record = &question.record;
    let last_day = last_day(question)?;
    let year = last_day.year();
    let biofix = find_biofix(question, year, last_day, &mut warnings)?;
    let table = events::choose(&question.pest, question.table.as_deref(), biofix.is_some())?;
    let (rule, scale, rule_source, rule_grade) = settle_rule(question, table, &mut warnings)?;
    let (start, start_reason) =
        settle_start(question, table, biofix.as_ref(), year, &mut warnings)?;
    if start > last_day {
        return Err(InputError::file(
            &record.understood.file,
            say!("ask.start-late", date = start, date_end = last_day),
        ));
    }
    let others: Vec<&Record> = if question.others.is_empty() {
        vec![record]
    } else {
        question.others.iter().collect()
    };
    let filled = series::contiguous(
        record,
        start,
        last_day,
        &question.others.iter().collect::<Vec<_>>(),
    )?;
    let futures = futures(&others, year, last_day, question.others.is_empty());
    let outlook = Outlook::build(&rule, &filled.days, &futures);
    let earlier = biofix
        .as_ref()
        .and_then(|b| missed_before(record, &rule, b, start));
    let mut events = all_events(question, table, &outlook, scale, earlier)?;
    for (name, at) in &question.own_events {
        events.push(events::named(name, *at, &outlook, scale));
    }
    // A table may say when to hang a trap; its warning goes with it wherever the event is named.
    for event in events.iter_mut().filter(|e| e.kind == EventKind::Hang) {
        let caution = &question.pest.trap_caution;
        event.name = say!("event.hang", event = event.name, caution);
    }
    explain_events(question, table, &events, &futures, &mut warnings);

    let (flight, flight_note) = settle_flight(question, table, scale, &mut warnings);
    let presence = flight
        .as_ref()
        .map_or_else(Vec::new, |f| f.presence(&outlook.typical));
    let extremes = question
        .pest
        .flights
        .as_ref()
        .zip(flight.as_ref())
        .map(|(known, f)| {
            [Bound::Low, Bound::High].map(|bound| Flight::from_catalogue(known, f.shift, bound))
        });
    let span = extremes.and_then(|extremes| flight_span(&extremes, &outlook, &presence));
    if flight.is_some() && span.is_none() {
        warnings.push(say!("doubt.flight-long"));
    }
    let bloom = question
        .bloom
        .as_ref()
        .map(|choice| bloom_in(choice, year, &question.pest));
    let means = daily_means(&filled, &futures);
    let counts = reading::read(
        question.counts.as_ref(),
        &question.pest.counts,
        &question.reading,
    );
    let rates: Vec<f64> = counts
        .traps
        .iter()
        .filter_map(|t| t.highest_per_day)
        .collect();
    let trap_span = calendar::trap_span(&events, span);
    let upkeep: Upkeep = upkeep::plan(&question.pest.upkeep, &means, trap_span, &rates);
    let calendar = calendar::build(&Ingredients {
        pest: &question.pest,
        events: &events,
        span,
        bloom: bloom.as_ref(),
        upkeep: &upkeep,
        biofix_open: biofix.is_none(),
        scale,
    });
    let window = window(question, flight.as_ref(), &outlook, &presence)?;
    for other in &question.others {
        let wild = other.understood.wild.iter();
        warnings.extend(wild.map(|note| format!("{}: {note}", other.understood.file)));
    }
    let notes = notes(&question.pest, bloom.as_ref());
    let weakest_grade = weakest(&events, rule_grade, flight_note.as_ref());
    Ok(Finding {
        format: 1,
        lurefield: env!("CARGO_PKG_VERSION"),
        pest: PestNames {
            id: question.pest.id.clone(),
            name: question.pest.name.clone(),
            scientific: question.pest.scientific.clone(),
            trap_role: question.pest.trap_role.clone(),
        },
        method: rule.words(),
        method_name: rule.method().name(),
        method_source: rule.method().source(),
        thresholds: Thresholds {
            lower_f: rule.lower().f(),
            lower_c: rule.lower().c(),
            upper_f: rule.upper().map(Temperature::f),
            upper_c: rule.upper().map(Temperature::c),
            cutoff: rule.cutoff().name(),
            source: rule_source,
            grade: rule_grade,
        },
        unit: scale,
        start: start.to_string(),
        start_reason,
        biofix,
        last_day: last_day.to_string(),
        cumulative: outlook.cumulative().on(scale),
        cumulative_at_month_end: month_ends(&outlook, scale),
        days_counted: outlook.observed,
        table: table.map(|t| t.title.clone()),
        events,
        forecast: forecast_note(&outlook, last_day, question.others.is_empty()),
        flight: flight_note.map(|note| with_span(note, span)),
        window,
        bloom,
        calendar,
        counts,
        upkeep,
        wind_rose: question.wind.clone(),
        weather: record.understood.clone(),
        missing_days: filled.notes,
        warnings,
        notes,
        cautions: cautions(),
        weakest_grade,
        inputs: question.inputs.clone(),
        parts: Parts {
            rule,
            outlook,
            flight,
            presence,
            counts: question.counts.clone(),
            pest: question.pest.clone(),
        },
    })
}

/// The cautions that stand on every answer.
pub fn cautions() -> Vec<String> {
    vec![
        say!("caution.outlook"),
        say!("caution.local"),
        say!("caution.thresholds"),
        say!("caution.label"),
        say!("caution.covers"),
    ]
}

/// The weather of other years from the day after the data to the end of the year.
fn futures(
    others: &[&Record],
    year: i16,
    last_day: Date,
    own_file: bool,
) -> Vec<(i16, Vec<DayTemps>)> {
    let end = Date::new(year, 12, 31).unwrap_or(last_day);
    if last_day >= end {
        return Vec::new();
    }
    let mut found: BTreeMap<i16, Vec<DayTemps>> = BTreeMap::new();
    for record in others {
        for other in series::years(record) {
            // The season's own year must not forecast itself.
            if (own_file && other == year) || found.contains_key(&other) {
                continue;
            }
            if let Some(days) = series::as_in_year(record, other, last_day, end) {
                found.insert(other, days);
            }
        }
    }
    found.into_iter().collect()
}

fn forecast_note(outlook: &Outlook, last_day: Date, own_file: bool) -> Option<ForecastNote> {
    let years: Vec<i16> = outlook.paths.iter().map(|(y, _)| *y).collect();
    let (first, last) = (years.first()?, years.last()?);
    let (date, n) = (words(last_day), years.len());
    let how = match (first == last, own_file) {
        (true, true) => say!("outlook.one.own", date, year = first),
        (true, false) => say!("outlook.one.given", date, year = first),
        (false, true) => say!("outlook.many.own", date, n, year = first, until = last),
        (false, false) => say!("outlook.many.given", date, n, year = first, until = last),
    };
    Some(ForecastNote { years, how })
}

/// Events of the chosen table, and of the biofix table when the chosen one holds a stand-in for the biofix.
fn all_events(
    question: &Question,
    table: Option<&EventTable>,
    outlook: &Outlook,
    scale: Scale,
    earlier: Option<(Date, DegreeDays)>,
) -> Result<Vec<Event>, InputError> {
    let Some(table) = table else {
        return Ok(Vec::new());
    };
    let start = Anchor {
        earlier,
        ..Anchor::PLAIN
    };
    let mut all = events::of_table(table, outlook, start, scale)?;
    if let Some(shift) = stand_in(table)? {
        let anchor = Anchor {
            shift,
            estimated: true,
            earlier: None,
        };
        for other in question
            .pest
            .tables
            .iter()
            .filter(|t| t.start.is_none() && t.unit == table.unit)
        {
            let chained = events::of_table(other, outlook, anchor, scale)?;
            // The stand-in itself is already there.
            all.extend(
                chained
                    .into_iter()
                    .filter(|e| e.degree_days > shift.on(scale) + 1e-9),
            );
        }
        all.sort_by(|a, b| a.degree_days.total_cmp(&b.degree_days));
    }
    Ok(all)
}

/// Degree-days of the event that stands for the biofix.
fn stand_in(table: &EventTable) -> Result<Option<DegreeDays>, InputError> {
    let unit = events::scale(&table.unit)?;
    let name = table.stands_for_biofix.as_deref();
    Ok(table
        .events
        .iter()
        .find(|e| Some(e.name.as_str()) == name)
        .map(|e| DegreeDays::from_scale(e.at, unit)))
}

fn explain_events(
    question: &Question,
    table: Option<&EventTable>,
    events: &[Event],
    futures: &[(i16, Vec<DayTemps>)],
    warnings: &mut Vec<String>,
) {
    if table.is_none() && question.pest.tables.is_empty() && question.own_events.is_empty() {
        warnings.push(say!("doubt.no-table"));
    }
    if events.iter().any(|e| e.status == Status::NotReached) && futures.is_empty() {
        warnings.push(say!("doubt.beyond-data"));
    }
    if events.iter().any(|e| e.from_estimated_start) {
        warnings.push(say!("doubt.no-biofix", insects = question.pest.short));
    }
    if futures.len() == 1 {
        warnings.push(say!("doubt.one-year"));
    }
}

fn bloom_in(choice: &BloomChoice, year: i16, pest: &SeasonPest) -> Bloom {
    let day = |[month, of_month]: [u8; 2]| {
        Date::new(year, month.cast_signed(), of_month.cast_signed())
            .unwrap_or(Date::constant(1970, 1, 1))
    };
    let (entry, days) = match choice {
        BloomChoice::Catalogue(entry) => {
            let [first, last] = [entry.first, entry.last].map(|days| days.map(day));
            (entry.clone(), [first[0], first[1], last[0], last[1]])
        }
        BloomChoice::Own(entry, first, last) => {
            let entry = BloomEntry {
                source: say!("bloom.own"),
                grade: Grade::Published,
                ..entry.clone()
            };
            let [first, last] = [first, last].map(|day| in_year(*day, year));
            (entry, [first, first, last, last])
        }
    };
    let known = catalogue::pest(&pest.id).zip(catalogue::crop(&entry.id));
    let left_open = known.is_some_and(|(pest, crop)| pest.leaves_open(&crop));
    Bloom::new(&entry, days, left_open)
}

/// Notes on the pest, and on a crop that nobody covers.
fn notes(pest: &SeasonPest, bloom: Option<&Bloom>) -> Vec<String> {
    let open = bloom.filter(|b| b.left_open);
    let open = open.map(|b| say!("todo.left-open", crop = b.crop, insects = pest.short));
    pest.notes.iter().cloned().chain(open).collect()
}

fn daily_means(filled: &Filled, futures: &[(i16, Vec<DayTemps>)]) -> DailyMeans {
    let mut means_c: Vec<f64> = filled.days.iter().map(|d| d.mean().c()).collect();
    let n = futures.first().map_or(0, |(_, days)| days.len());
    for i in 0..n {
        let sum: f64 = futures.iter().map(|(_, days)| days[i].mean().c()).sum();
        means_c.push(sum / futures.len() as f64);
    }
    let first = filled.days.first().map_or(Date::MIN, |d| d.date);
    DailyMeans { first, means_c }
}

fn month_ends(outlook: &Outlook, scale: Scale) -> BTreeMap<String, f64> {
    let mut sums = BTreeMap::new();
    for i in 0..outlook.observed {
        let date = outlook.date(i);
        if plus(date, 1).month() != date.month() {
            sums.insert(
                format!("{:04}-{:02}", date.year(), date.month()),
                outlook.typical[i].on(scale),
            );
        }
    }
    sums
}

fn weakest(events: &[Event], rule: Grade, flight: Option<&FlightReading>) -> Grade {
    let of_events = events.iter().map(|e| e.grade).max();
    let of_flight = flight.and_then(|f| f.generations.iter().map(|g| g.grade).max());
    [Some(rule), of_events, of_flight]
        .into_iter()
        .flatten()
        .max()
        .unwrap_or(rule)
}
