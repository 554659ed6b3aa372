//! What a season found, as data: every number with its method, its source and its range. Text, pictures, tables, calendar file
//! and JSON take it from here.

use crate::catalogue::Grade;
use crate::catalogue::season::{EventKind, SeasonPest};
use crate::season::biofix::Biofix;
use crate::season::calendar::{Bloom, Entry};
use crate::season::degree_day::Rule;
use crate::season::events::Event;
use crate::season::flight::Flight;
use crate::season::forecast::{Outlook, Status};
use crate::season::reading::CountsReading;
use crate::season::upkeep::Upkeep;
use crate::season::wind_rose::WindRose;
use crate::weather::daily::Understood;
use crate::weather::temperature::Scale;
use serde::Serialize;
use std::collections::BTreeMap;

/// The pest, by its names.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PestNames {
    /// Identifier.
    pub id: String,
    /// Common name.
    pub name: String,
    /// Scientific name.
    pub scientific: String,
    /// What its trap is for.
    pub trap_role: String,
}

/// Thresholds in both scales.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Thresholds {
    /// Lower, degrees F.
    pub lower_f: f64,
    /// Lower, degrees C.
    pub lower_c: f64,
    /// Upper, degrees F; absent without an upper threshold.
    pub upper_f: Option<f64>,
    /// Upper, degrees C.
    pub upper_c: Option<f64>,
    /// What happens above the upper threshold.
    pub cutoff: &'static str,
    /// Where method and thresholds come from.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// A file that was read.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InputFile {
    /// What it was read as.
    pub role: String,
    /// Name as given.
    pub file: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
}

/// How the days beyond the data were filled.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ForecastNote {
    /// Years whose weather was used.
    pub years: Vec<i16>,
    /// In words.
    pub how: String,
}

/// One generation of the flight.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlightNote {
    /// Generation.
    pub generation: u32,
    /// Degree-days when 1 in 100 have emerged, on the answer's count.
    pub start: f64,
    /// Degree-days when half have emerged.
    pub middle: f64,
    /// Size relative to the first.
    pub size: f64,
    /// Source of the start.
    pub start_source: String,
    /// Source of the middle.
    pub middle_source: String,
    /// Weaker trust of the two.
    pub grade: Grade,
}

/// The flight of adults.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlightReading {
    /// Generations.
    pub generations: Vec<FlightNote>,
    /// Mean life of an adult, days.
    pub adult_life_d: f64,
    /// Shape, in words.
    pub shape: String,
    /// First day with 1 in 20 of the peak number: earliest, likely, latest.
    pub first: Option<[String; 3]>,
    /// What those first and last days mean beside the dates of the events.
    pub meaning: &'static str,
    /// Day of the peak.
    pub peak: Option<String>,
    /// Last day with 1 in 20 of the peak number: earliest, likely, latest.
    pub last: Option<[String; 3]>,
}

/// Weights for the window of a scenario.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WindowWeights {
    /// First day.
    pub first_day: String,
    /// Days.
    pub days: u32,
    /// One weight a day; mean 1.
    pub weights: Vec<f64>,
}

/// What the season of a pest is in one yard's weather.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Version of this format.
    pub format: u32,
    /// Program version.
    pub lurefield: &'static str,
    /// The pest.
    pub pest: PestNames,
    /// Method, thresholds and cutoff in one line.
    pub method: String,
    /// Name of the method.
    pub method_name: &'static str,
    /// The publication that the method comes from.
    pub method_source: &'static str,
    /// The thresholds.
    pub thresholds: Thresholds,
    /// `F` or `C`: unit of every degree-day below.
    pub unit: Scale,
    /// First day of the count.
    pub start: String,
    /// Why the count starts there.
    pub start_reason: String,
    /// The biofix, if one is set.
    pub biofix: Option<Biofix>,
    /// Last day with data.
    pub last_day: String,
    /// Degree-days from the start to the last day with data, both included.
    pub cumulative: f64,
    /// The same at the end of each month with data.
    pub cumulative_at_month_end: BTreeMap<String, f64>,
    /// Days counted.
    pub days_counted: usize,
    /// The event table.
    pub table: Option<String>,
    /// The events.
    pub events: Vec<Event>,
    /// How days beyond the data were filled.
    pub forecast: Option<ForecastNote>,
    /// The flight.
    pub flight: Option<FlightReading>,
    /// Weights for a scenario's window.
    pub window: Option<WindowWeights>,
    /// The crop's bloom.
    pub bloom: Option<Bloom>,
    /// What to do when.
    pub calendar: Vec<Entry>,
    /// The counts.
    pub counts: CountsReading,
    /// Lures, emptying, visits.
    pub upkeep: Upkeep,
    /// Wind.
    pub wind_rose: Option<WindRose>,
    /// What was made of the weather.
    pub weather: Understood,
    /// Missing days and what was done.
    pub missing_days: Vec<String>,
    /// Doubts, each with its remedy.
    pub warnings: Vec<String>,
    /// Notes on the pest.
    pub notes: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// Weakest trust among the numbers behind the dates.
    pub weakest_grade: Grade,
    /// The files that were read.
    pub inputs: Vec<InputFile>,
    /// Parts for tables and figures, not written to JSON.
    #[serde(skip)]
    pub parts: Parts,
}

/// The series behind the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Parts {
    /// The rule.
    pub rule: Rule,
    /// Degree-days day by day.
    pub outlook: Outlook,
    /// The flight, if known.
    pub flight: Option<Flight>,
    /// Adults present on each day of the outlook.
    pub presence: Vec<f64>,
    /// The counts as read.
    pub counts: Option<crate::season::counts::Counts>,
    /// The catalogue entry.
    pub pest: SeasonPest,
}

impl Finding {
    /// The events by the table that names them, each with its place among all of them; the tables in the order of their first.
    pub fn by_table(&self) -> Vec<(&str, Vec<(usize, &Event)>)> {
        let mut tables: Vec<(&str, Vec<(usize, &Event)>)> = Vec::new();
        for (i, event) in self.events.iter().enumerate() {
            match tables.iter_mut().find(|(table, _)| *table == event.table) {
                Some((_, events)) => events.push((i, event)),
                None => tables.push((&event.table, vec![(i, event)])),
            }
        }
        tables
    }

    /// The event whose likely day is taken for the biofix of another table.
    pub fn stand_in(&self) -> Option<&str> {
        let tables = self.parts.pest.tables.iter();
        let mut own = tables.filter(|t| Some(&t.title) == self.table.as_ref());
        own.find_map(|t| t.stands_for_biofix.as_deref())
    }

    /// The last event that is past.
    pub fn reached(&self) -> Option<&Event> {
        let mut latest = self.events.iter().rev();
        latest.find(|e| e.status == Status::Passed)
    }

    /// The event that comes next.
    pub fn next(&self) -> Option<&Event> {
        self.events.iter().find(|e| e.status == Status::Forecast)
    }

    /// The first event that no day reaches yet.
    pub fn not_reached(&self) -> Option<&Event> {
        let mut events = self.events.iter();
        events.find(|e| e.status == Status::NotReached)
    }

    /// Likely day of the first adults by the event table.
    pub fn first_adults(&self) -> Option<jiff::civil::Date> {
        self.events
            .iter()
            .find(|e| e.kind == EventKind::FirstAdults)
            .and_then(|e| e.days[0])
    }

    /// The same where it lies before the days on which many fly.
    pub fn first_before_flight(&self) -> Option<jiff::civil::Date> {
        let flight = self.flight.as_ref()?.first.as_ref()?;
        self.first_adults()
            .filter(|first| first.to_string() < flight[1])
    }

    /// Whether the table has a day for the most adults that is not the curve's busiest day.
    pub fn peak_differs(&self) -> bool {
        let busiest = self.flight.as_ref().and_then(|f| f.peak.as_deref());
        busiest.is_some_and(|busiest| {
            let mut peaks = self.events.iter().filter(|e| e.kind == EventKind::Peak);
            peaks.any(|e| e.date.as_deref().is_some_and(|date| date != busiest))
        })
    }

    /// The answer as JSON, fields in their order, numbers rounded to six decimals, with a line end.
    ///
    /// # Panics
    /// Never: the fields are plain strings and numbers.
    pub fn to_json(&self) -> String {
        let mut out = Vec::new();
        let mut serializer = serde_json::Serializer::with_formatter(&mut out, Rounded::default());
        self.serialize(&mut serializer)
            .expect("plain structs of strings and numbers always serialize");
        out.push(b'\n');
        String::from_utf8(out).expect("JSON is UTF-8")
    }

    /// `date,degree_days_f_of_the_day,degree_days_f_so_far,method` (or `_c_`): one row for each day with data.
    pub fn degree_day_csv(&self) -> String {
        let outlook = &self.parts.outlook;
        let tag = self.parts.rule.tag(self.unit);
        let unit = self.unit.letter().to_lowercase();
        let mut text = String::from("date");
        put(
            &mut text,
            format_args!(",degree_days_{unit}_of_the_day,degree_days_{unit}_so_far,method\r\n"),
        );
        for (i, daily) in outlook.daily.iter().enumerate() {
            let (day, sum) = (daily.on(self.unit), outlook.typical[i].on(self.unit));
            put(
                &mut text,
                format_args!("{},{day:.6},{sum:.6},{tag}\r\n", outlook.date(i)),
            );
        }
        text
    }

    /// `event,degree_days,unit,date,earliest,latest,status,source,grade,table`: one row an event; empty where not reached.
    ///
    /// # Panics
    /// Never: rows are written to memory.
    pub fn event_csv(&self) -> String {
        const HEADER: [&str; 10] = [
            "event",
            "degree_days",
            "unit",
            "date",
            "earliest",
            "latest",
            "status",
            "source",
            "grade",
            "table",
        ];
        let mut writer = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(Vec::new());
        let rows = self.events.iter().map(|event| {
            let text = |d: &Option<String>| d.clone().unwrap_or_default();
            let status = serde_json::to_string(&event.status).unwrap_or_default();
            [
                event.name.clone(),
                format!("{:.3}", event.degree_days),
                self.unit.degree_days().into(),
                text(&event.date),
                text(&event.earliest),
                text(&event.latest),
                status.trim_matches('"').into(),
                event.source.clone(),
                crate::season::reading::grade_word(event.grade).into(),
                event.table.clone(),
            ]
        });
        for row in std::iter::once(HEADER.map(String::from)).chain(rows) {
            writer
                .write_record(&row)
                .expect("writing to memory cannot fail and every row has as many cells");
        }
        let bytes = writer.into_inner().expect("memory needs no flush");
        String::from_utf8_lossy(&bytes).into_owned()
    }

    /// `date,present,status`: adults about, as a share of the highest day, over data and outlook; `None` without a flight.
    pub fn flight_csv(&self) -> Option<String> {
        let top = self.parts.presence.iter().copied().fold(0.0, f64::max);
        if top <= 0.0 {
            return None;
        }
        let mut text = String::from("date,present_share_of_peak,status\r\n");
        for (i, present) in self.parts.presence.iter().enumerate() {
            let status = if i < self.parts.outlook.observed {
                "data"
            } else {
                "outlook"
            };
            put(
                &mut text,
                format_args!(
                    "{},{:.6},{status}\r\n",
                    self.parts.outlook.date(i),
                    present / top
                ),
            );
        }
        Some(text)
    }

    /// `sector,centre_deg_from,hours,share,mean_speed_mph`, calm and variable hours last; `None` without wind.
    pub fn wind_csv(&self) -> Option<String> {
        let rose = self.wind_rose.as_ref()?;
        let mph = |speed: Option<f64>| {
            speed.map_or(String::new(), |v| {
                format!("{:.6}", v / crate::units::M_PER_S_PER_MPH)
            })
        };
        let mut text = String::from("sector,centre_deg_from,hours,share,mean_speed_mph\r\n");
        for s in &rose.sectors {
            let speed = mph(s.mean_speed_m_per_s);
            put(
                &mut text,
                format_args!(
                    "{},{},{},{:.6},{speed}\r\n",
                    s.name, s.centre_deg, s.hours, s.share
                ),
            );
        }
        put(
            &mut text,
            format_args!("calm,,{},{:.6},0\r\n", rose.calm, rose.calm_share),
        );
        let variable = mph(rose.variable_mean_speed_m_per_s);
        put(
            &mut text,
            format_args!(
                "variable,,{},{:.6},{variable}\r\n",
                rose.variable, rose.variable_share
            ),
        );
        Some(text)
    }
}

/// Adds a formatted text.
fn put(text: &mut String, words: std::fmt::Arguments<'_>) {
    use std::fmt::Write;
    // Writing to a string cannot fail.
    let _ = text.write_fmt(words);
}

/// Pretty JSON whose numbers are rounded to six decimals, so that the last bits of a library function cannot show.
#[derive(Default)]
struct Rounded {
    pretty: serde_json::ser::PrettyFormatter<'static>,
}

macro_rules! passed_on {
    ($($name:ident($($arg:ident: $kind:ty),*);)+) => {
        $(fn $name<W: ?Sized + std::io::Write>(&mut self, writer: &mut W $(, $arg: $kind)*) -> std::io::Result<()> {
            self.pretty.$name(writer $(, $arg)*)
        })+
    };
}

impl serde_json::ser::Formatter for Rounded {
    fn write_f64<W: ?Sized + std::io::Write>(
        &mut self,
        writer: &mut W,
        value: f64,
    ) -> std::io::Result<()> {
        let rounded = (value * 1e6).round() / 1e6;
        // A negative zero would read as a sign.
        self.pretty.write_f64(writer, rounded + 0.0)
    }

    passed_on! {
        begin_array();
        end_array();
        begin_array_value(first: bool);
        end_array_value();
        begin_object();
        end_object();
        begin_object_key(first: bool);
        begin_object_value();
        end_object_value();
    }
}
