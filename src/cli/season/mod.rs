//! `lurefield season`: when it happens, what to do, and what trap counts mean.

mod input;
mod kept;
mod output;
mod text;
mod yard;

use super::CliError;
use crate::season::question;
use clap::ArgMatches;
use std::path::PathBuf;

/// Say when: degree-days, dates with ranges, a calendar, and what trap counts mean
#[derive(Debug, Default, clap::Args)]
#[command(
    after_help = crate::say::voice().get("caution.local")
)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a switch on the command line"
)]
pub struct Args {
    /// A yard file: show how often to empty the traps of one of its plans, and nothing else
    #[arg(value_name = "YARD", conflicts_with_all = ["pest", "daily", "hourly", "data", "counts", "marked"])]
    pub yard: Option<PathBuf>,
    /// Plan whose traps are emptied [default: the first plan with a trap]
    #[arg(long, value_name = "NAME", requires = "yard")]
    pub plan: Option<String>,
    /// Number of summers, instead of the yard's [default: 200]
    #[arg(long, value_name = "N", requires = "yard", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub summers: Option<u32>,
    /// Seed, instead of the yard's
    #[arg(long, value_name = "N", requires = "yard")]
    pub seed: Option<u64>,
    /// Threads to use; 0 for one a core
    #[arg(long, value_name = "N", default_value_t = 0, requires = "yard", value_parser = clap::value_parser!(u16).range(0..=1024))]
    pub threads: u16,
    /// The pest, for example codling-moth; `custom` for your own with --lower
    #[arg(long, value_name = "NAME")]
    pub pest: Option<String>,
    /// Daily weather: a table with date, highest and lowest temperature
    #[arg(long, value_name = "FILE")]
    pub daily: Option<PathBuf>,
    /// Hourly weather: a table with time and temperature, and wind if you like
    #[arg(long, value_name = "FILE", conflicts_with = "daily")]
    pub hourly: Option<PathBuf>,
    /// Weather that comes with the program: seattle
    #[arg(long, value_name = "NAME", conflicts_with_all = ["daily", "hourly"])]
    pub data: Option<String>,
    /// Daily weather of other years, to look beyond the last day; may be given more than once
    #[arg(long, value_name = "FILE")]
    pub normal: Vec<PathBuf>,
    /// Trap counts: a table with date and count; blank is not checked, 0 is checked and none
    #[arg(long, value_name = "FILE")]
    pub counts: Option<PathBuf>,
    /// Start of the count: a date, or first-catch, three-days, two-visits, none
    #[arg(long, value_name = "DATE|RULE")]
    pub biofix: Option<String>,
    /// Event table, where a pest has more than one
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,
    /// average or substitution (McMaster & Wilhelm 1997), four-case (Irish weather service), triangle (Lindsey & Newman
    /// 1956), sine (Baskerville & Emin 1969), double-triangle (Sevacherian et al. 1977) or double-sine (Allen 1976)
    #[arg(long, value_name = "NAME")]
    pub method: Option<String>,
    /// Lower threshold, on the scale of --scale
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub lower: Option<f64>,
    /// Upper threshold, on the scale of --scale
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub upper: Option<f64>,
    /// none, horizontal, intermediate or vertical
    #[arg(long, value_name = "NAME")]
    pub cutoff: Option<String>,
    /// Scale of thresholds and degree-days: f or c; the pest's own otherwise
    #[arg(long, value_name = "f|c")]
    pub scale: Option<String>,
    /// First day of the count: 2014-03-01, or 03-01 for the season's year
    #[arg(long, value_name = "DATE")]
    pub start: Option<String>,
    /// Use the data up to this day only
    #[arg(long, value_name = "DATE")]
    pub until: Option<String>,
    /// Season's year; the year of the last day otherwise
    #[arg(long, value_name = "YEAR")]
    pub year: Option<i16>,
    /// Crop, for its bloom and its cover
    #[arg(long, value_name = "NAME")]
    pub crop: Option<String>,
    /// Your own first and last day of bloom, with --crop: 2014-04-28..2014-05-12
    #[arg(long, value_name = "FIRST..LAST", requires = "crop")]
    pub bloom: Option<String>,
    /// First day of the window for day weights; the busiest days otherwise
    #[arg(long, value_name = "DATE")]
    pub window_start: Option<String>,
    /// Days in that window
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=366))]
    pub window_days: Option<u32>,
    /// An event of your own: 'first petals fall=320'; may be given more than once
    #[arg(long, value_name = "NAME=DEGREE-DAYS")]
    pub event: Vec<String>,
    /// Unit of the temperatures in the files: f, c or tenths-c
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<String>,
    /// Station to use, when a daily file holds several
    #[arg(long, value_name = "ID")]
    pub station: Option<String>,
    /// A jump that looks like a change of unit is real
    #[arg(long)]
    pub accept_jumps: bool,
    /// Hours between UTC and your clock, for hourly times marked UTC
    #[arg(long, value_name = "HOURS", allow_negative_numbers = true)]
    pub utc_offset: Option<f64>,
    /// Hour of the day taken as dusk, for biofix rules that ask for it
    #[arg(long, value_name = "0-23", default_value_t = 20, value_parser = clap::value_parser!(u8).range(0..=23))]
    pub dusk_hour: u8,
    /// Months of the wind rose
    #[arg(long, value_name = "FIRST-LAST", default_value = "6-8")]
    pub wind_months: String,
    /// Hours of the wind rose
    #[arg(long, value_name = "FIRST-LAST", default_value = "9-18")]
    pub wind_hours: String,
    /// Share of the insects around that one trap catches, 0 to 1, if you know it
    #[arg(long, value_name = "SHARE")]
    pub share: Option<f64>,
    /// Insects marked and let go
    #[arg(long, value_name = "N", requires_all = ["caught", "recaptured"])]
    pub marked: Option<u64>,
    /// Insects caught afterwards
    #[arg(long, value_name = "N", requires = "marked")]
    pub caught: Option<u64>,
    /// Marked ones among those caught
    #[arg(long, value_name = "N", requires = "marked")]
    pub recaptured: Option<u64>,
    /// What the counts are: since-last-check or total
    #[arg(long, value_name = "KIND", default_value = "since-last-check")]
    pub counts_are: String,
    /// Species to read, when the notebook holds several
    #[arg(long, value_name = "NAME")]
    pub species: Option<String>,
    /// Print season.json to standard output and nothing else; no files unless --out is given
    #[arg(long)]
    pub json: bool,
    /// Print the technical lines as well; the files hold them anyway
    #[arg(long)]
    pub details: bool,
    /// Folder to write to; output/season-PEST otherwise
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// Write files, print nothing
    #[arg(long, short)]
    pub quiet: bool,
    /// Leave the pictures out
    #[arg(long)]
    pub no_figures: bool,
}

/// Runs the command.
///
/// # Errors
/// [`CliError::BadInput`] for anything wrong with arguments or files, [`CliError::Failed`] when writing fails.
pub fn run(args: &Args, typed: &ArgMatches) -> Result<(), CliError> {
    if let Some(file) = &args.yard {
        return yard::run(args, file);
    }
    let pest = input::pest(args)?;
    if args.daily.is_none() && args.hourly.is_none() && args.data.is_none() {
        if args.counts.is_none() && args.marked.is_none() {
            return Err(CliError::BadInput(crate::say::say!("ask.no-weather")));
        }
        let (reading, inputs) = input::counts_alone(args, &pest)?;
        let made_from = kept::MadeFrom::read(args, typed, &inputs)?;
        return output::counts_alone(args, &pest, &reading, inputs, made_from);
    }
    let question = input::question(args, pest)?;
    let season =
        question::answer(&question).map_err(|fault| CliError::BadInput(fault.to_string()))?;
    let made_from = kept::MadeFrom::read(args, typed, &season.inputs)?;
    output::season(args, &season, made_from)
}
