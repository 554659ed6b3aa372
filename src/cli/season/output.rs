//! Writing the answer: terminal, files, pictures.

use super::kept::MadeFrom;
use super::{Args, text};
use crate::catalogue::season::SeasonPest;
use crate::cli::folder::publish;
use crate::cli::work::told;
use crate::cli::{CliError, print};
use crate::say::voice;
use crate::season::finding::{Finding, InputFile};
use crate::season::ical;
use crate::season::question::cautions;
use crate::season::reading::CountsReading;
use serde::Serialize;
use std::path::PathBuf;

/// Writes and prints a season.
pub(super) fn season(args: &Args, season: &Finding, made_from: MadeFrom) -> Result<(), CliError> {
    let json = season.to_json();
    if !args.json || args.out.is_some() {
        let folder = args
            .out
            .clone()
            .unwrap_or_else(|| PathBuf::from(format!("output/season-{}", season.pest.id)));
        let terminal = text::season(season);
        let details = text::season_details(season);
        let last_day = season.parts.outlook.last_day();
        let mut all: Vec<(String, Vec<u8>)> = vec![
            ("season.json".into(), json.clone().into_bytes()),
            ("season.txt".into(), terminal.clone().into_bytes()),
            (text::DETAILS.into(), details.clone().into_bytes()),
            (
                "degree-days.csv".into(),
                season.degree_day_csv().into_bytes(),
            ),
            ("events.csv".into(), season.event_csv().into_bytes()),
            (
                "season.ics".into(),
                ical::write(
                    &season.calendar,
                    &season.pest.id,
                    &season.pest.name,
                    last_day,
                    voice().get("caution.local"),
                )
                .into_bytes(),
            ),
        ];
        all.extend(
            season
                .flight_csv()
                .map(|table| ("flight.csv".to_string(), table.into_bytes())),
        );
        all.extend(
            season
                .wind_csv()
                .map(|table| ("wind-rose.csv".to_string(), table.into_bytes())),
        );
        if !args.no_figures {
            let draw = || crate::figure::season::of_season(season);
            all.extend(crate::report::figure_files(draw));
        }
        publish(&folder, "season", &made_from.with(all))?;
        if !args.json && !args.quiet {
            let details = args.details.then_some(details);
            print(&told(terminal, details, &folder))?;
        }
    }
    if args.json { print(&json) } else { Ok(()) }
}

/// The answer when only counts were given.
#[derive(Serialize)]
struct CountsAnswer<'a> {
    format: u32,
    lurefield: &'static str,
    pest: &'a str,
    counts: &'a CountsReading,
    notes: &'a [String],
    cautions: Vec<String>,
    inputs: Vec<InputFile>,
}

/// Writes and prints what counts alone say.
pub(super) fn counts_alone(
    args: &Args,
    pest: &SeasonPest,
    reading: &CountsReading,
    inputs: Vec<InputFile>,
    made_from: MadeFrom,
) -> Result<(), CliError> {
    let answer = CountsAnswer {
        format: 1,
        lurefield: env!("CARGO_PKG_VERSION"),
        pest: &pest.id,
        counts: reading,
        notes: &pest.notes,
        cautions: cautions(),
        inputs,
    };
    let json =
        serde_json::to_string_pretty(&answer).map_err(|e| CliError::Failed(e.to_string()))?;
    let mut terminal = text::counts_alone(pest, reading);
    if !args.json || args.out.is_some() {
        let folder = args
            .out
            .clone()
            .unwrap_or_else(|| PathBuf::from(format!("output/season-{}", pest.id)));
        let details = text::counts_details(reading);
        let all = vec![
            ("counts.json".to_string(), format!("{json}\n").into_bytes()),
            ("counts.txt".to_string(), terminal.clone().into_bytes()),
            (text::DETAILS.to_string(), details.clone().into_bytes()),
        ];
        publish(&folder, "counts", &made_from.with(all))?;
        terminal = told(terminal, args.details.then_some(details), &folder);
    }
    match (args.json, args.quiet) {
        (true, _) => print(&json),
        (false, false) => print(&terminal),
        (false, true) => Ok(()),
    }
}
