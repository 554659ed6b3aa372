//! The flight in an answer: its generations, its ends with their doubt, and the window's weights.

use super::{Question, stand_in};
use crate::catalogue::season::EventTable;
use crate::say::{say, voice};
use crate::season::calendar::FlightSpan;
use crate::season::finding::{FlightNote, FlightReading, WindowWeights};
use crate::season::flight::{self, Bound, Flight};
use crate::season::forecast::Outlook;
use crate::weather::InputError;
use crate::weather::temperature::{DegreeDays, Scale};

pub(super) fn settle_flight(
    question: &Question,
    table: Option<&EventTable>,
    scale: Scale,
    warnings: &mut Vec<String>,
) -> (Option<Flight>, Option<FlightReading>) {
    let Some(flights) = &question.pest.flights else {
        warnings.push(say!("doubt.flight-unknown"));
        return (None, None);
    };
    let shift = match table {
        Some(t) if t.id == flights.table => Some(DegreeDays::ZERO),
        Some(t) => stand_in(t).ok().flatten(),
        None => None,
    };
    let Some(shift) = shift else {
        warnings.push(say!("doubt.flight-from", from = question.pest.biofix.words));
        return (None, None);
    };
    let flight = Flight::from_catalogue(flights, shift, Bound::Likely);
    let generations = flight
        .generations
        .iter()
        .zip(&flights.generations)
        .map(|(g, entry)| FlightNote {
            generation: g.number,
            start: g.start.on(scale),
            middle: g.middle.on(scale),
            size: g.size,
            start_source: entry.start.source.clone(),
            middle_source: entry.middle.source.clone(),
            grade: entry.start.grade.max(entry.middle.grade),
        })
        .collect();
    let reading = FlightReading {
        generations,
        adult_life_d: flight.adult_life_d,
        shape: say!("detail.flying.shape"),
        first: None,
        meaning: voice().get("flying.meaning"),
        peak: None,
        last: None,
    };
    (Some(flight), Some(reading))
}

pub(super) fn with_span(mut note: FlightReading, span: Option<FlightSpan>) -> FlightReading {
    if let Some(span) = span {
        note.first = Some(span.first.map(|d| d.to_string()));
        note.peak = Some(span.peak.to_string());
        note.last = Some(span.last.map(|d| d.to_string()));
    }
    note
}

/// First and last notable day of the flight, with ranges over all years and over the range of its degree-days; `None` when
/// the flight is not over by the end.
pub(super) fn flight_span(
    extremes: &[Flight; 2],
    outlook: &Outlook,
    presence: &[f64],
) -> Option<FlightSpan> {
    const NOTABLE: f64 = 0.05;
    let over = |presence: &[f64]| -> Option<(usize, usize, usize)> {
        let (first, peak, last) = flight::span(presence, NOTABLE)?;
        (last + 1 < presence.len()).then_some((first, peak, last))
    };
    let (first, peak, last) = over(presence)?;
    let mut firsts = vec![first];
    let mut lasts = vec![last];
    let paths = outlook
        .paths
        .iter()
        .map(|(_, sums)| sums)
        .chain(std::iter::once(&outlook.typical));
    for (sums, flight) in paths.flat_map(|sums| extremes.iter().map(move |flight| (sums, flight))) {
        if let Some((f, _, l)) = over(&flight.presence(sums)) {
            firsts.push(f);
            lasts.push(l);
        }
    }
    let range = |days: &[usize], likely: usize| {
        let low = days.iter().min().copied().unwrap_or(likely);
        let high = days.iter().max().copied().unwrap_or(likely);
        [outlook.date(low), outlook.date(likely), outlook.date(high)]
    };
    let (busy_first, _, busy_last) = flight::span(presence, 0.5)?;
    Some(FlightSpan {
        first: range(&firsts, first),
        busy: [outlook.date(busy_first), outlook.date(busy_last)],
        peak: outlook.date(peak),
        last: range(&lasts, last),
    })
}

pub(super) fn window(
    question: &Question,
    flight: Option<&Flight>,
    outlook: &Outlook,
    presence: &[f64],
) -> Result<Option<WindowWeights>, InputError> {
    let Some(flight) = flight else {
        return Ok(None);
    };
    let (asked_day, asked_days) = question.window;
    let usual = crate::catalogue::pest(&question.pest.id).map_or(21, |p| p.window_days);
    let days = asked_days.unwrap_or(usual).max(1);
    let first_day = match asked_day {
        Some(day) => day,
        None => match busiest(presence, days as usize) {
            Some(first) => outlook.date(first),
            None => return Ok(None),
        },
    };
    let weights = match flight::day_weights(flight, outlook, first_day, days) {
        Ok(weights) => weights,
        Err(fault) if asked_day.is_some() => return Err(fault),
        Err(_) => return Ok(None),
    };
    Ok(Some(WindowWeights {
        first_day: first_day.to_string(),
        days,
        weights,
    }))
}

/// First day of the stretch with the most adults.
pub(super) fn busiest(presence: &[f64], days: usize) -> Option<usize> {
    let sums = presence.windows(days).map(|w| w.iter().sum::<f64>());
    sums.enumerate()
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        .filter(|(_, sum)| *sum > 1e-9)
        .map(|(i, _)| i)
}
