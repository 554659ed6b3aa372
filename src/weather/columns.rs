//! Which column is which: names that stations, services and notebooks use, with the unit that stands in the name.

use crate::say::{say, voice};
use crate::weather::day::shorten;
use crate::weather::temperature::{Scale, Temperature};

/// Highest air temperature believed, degrees C. Above it the unit or the value is wrong. (The limit is 60 C by our own
/// rule; the record is near 57 C, from memory.)
pub const HOTTEST_C: f64 = 60.0;
/// Lowest air temperature believed, degrees C (own rule; no garden record comes near it).
pub const COLDEST_C: f64 = -70.0;

/// A unit of temperature as a file writes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TemperatureUnit {
    /// Degrees Fahrenheit.
    F,
    /// Degrees Celsius.
    C,
    /// Tenths of a degree Celsius, as raw station networks write.
    TenthsC,
}

impl TemperatureUnit {
    /// Names used in commands.
    pub const ALL: [(&'static str, TemperatureUnit); 3] = [
        ("f", TemperatureUnit::F),
        ("c", TemperatureUnit::C),
        ("tenths-c", TemperatureUnit::TenthsC),
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        voice().get(match self {
            TemperatureUnit::F => "unit.f",
            TemperatureUnit::C => "unit.c",
            TemperatureUnit::TenthsC => "unit.tenths-c",
        })
    }

    /// The temperature of a number in this unit.
    pub fn read(self, value: f64) -> Temperature {
        let (scale, divisor) = match self {
            TemperatureUnit::F => (Scale::F, 1.0),
            TemperatureUnit::C => (Scale::C, 1.0),
            TemperatureUnit::TenthsC => (Scale::C, 10.0),
        };
        Temperature::from_scale(value / divisor, scale)
    }

    /// The temperature of the air of a number in this unit.
    ///
    /// # Errors
    /// When no air is so cold or hot.
    pub fn read_air(self, value: f64) -> Result<Temperature, String> {
        let t = self.read(value);
        if (COLDEST_C..=HOTTEST_C).contains(&t.c()) {
            return Ok(t);
        }
        let (f, c) = (format!("{:.0}", t.f()), format!("{:.0}", t.c()));
        Err(say!("table.impossible", value, unit = self.words(), f, c))
    }

    /// The unit that the user says, or that the name of a column says, with how it is known; `None` when neither does.
    ///
    /// # Errors
    /// When they contradict each other.
    pub fn settle(
        said: Option<Self>,
        named: Option<Self>,
    ) -> Result<Option<(Self, String)>, String> {
        match (said, named) {
            (Some(said), Some(named)) if named != said && named != TemperatureUnit::C => {
                let (said, named) = (said.words(), named.words());
                Err(say!("unit.flag", named, said))
            }
            (Some(said), _) => Ok(Some((said, say!("unit.said", unit = said.words())))),
            (None, Some(named)) => Ok(Some((named, say!("unit.named", unit = named.words())))),
            (None, None) => Ok(None),
        }
    }
}

/// A unit of wind speed as a file writes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpeedUnit {
    /// Miles per hour.
    Mph,
    /// Knots.
    Knots,
    /// Kilometres per hour.
    Kmh,
    /// Metres per second.
    Ms,
}

impl SpeedUnit {
    /// Metres per second in one of these.
    pub fn m_per_s(self) -> f64 {
        match self {
            SpeedUnit::Mph => crate::units::M_PER_S_PER_MPH,
            SpeedUnit::Knots => 1852.0 / 3600.0,
            SpeedUnit::Kmh => 1.0 / 3.6,
            SpeedUnit::Ms => 1.0,
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        voice().get(match self {
            SpeedUnit::Mph => "unit.mph",
            SpeedUnit::Knots => "unit.knots",
            SpeedUnit::Kmh => "unit.kmh",
            SpeedUnit::Ms => "unit.ms",
        })
    }
}

/// A column name taken apart.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Name {
    /// Letters and digits only, lower case, without fillers and units.
    core: String,
    /// Whether the name speaks of temperature.
    temperature: bool,
    /// Whether it speaks of the sun.
    sun: bool,
    unit: Option<TemperatureUnit>,
    speed: Option<SpeedUnit>,
}

/// Takes a column name apart: `Max Temp (degF)` has the core `max` and the unit F.
fn take_apart(name: &str) -> Name {
    let lower = name
        .to_lowercase()
        .replace('\u{b0}', " ")
        .replace("m/s", "ms")
        .replace("km/h", "kmh");
    let mut result = Name::default();
    let mut tenths = false;
    let tokens = lower.split(|c: char| !c.is_ascii_alphanumeric());
    for token in tokens.filter(|t| !t.is_empty()) {
        result.sun |= is_in("sun|solar|radiation", token);
        match token {
            "f" | "degf" | "fahrenheit" => result.unit = Some(TemperatureUnit::F),
            "c" | "degc" | "celsius" | "centigrade" => result.unit = Some(TemperatureUnit::C),
            "tenths" | "tenth" => tenths = true,
            "mph" => result.speed = Some(SpeedUnit::Mph),
            "kt" | "kts" | "kn" | "knots" => result.speed = Some(SpeedUnit::Knots),
            "kmh" | "kph" => result.speed = Some(SpeedUnit::Kmh),
            "ms" | "mps" => result.speed = Some(SpeedUnit::Ms),
            "temp" | "temperature" | "temps" | "airtemp" => result.temperature = true,
            "deg" | "degrees" | "degree" | "air" | "daily" | "of" | "2m" | "10m" | "the" => {}
            _ => result.core.push_str(token),
        }
    }
    if tenths {
        result.unit = Some(TemperatureUnit::TenthsC);
    }
    // Units that are glued to short names, such as `tmaxf` or `sknt`, or written with more than one word.
    let core = result.core.as_str();
    let before = |end: &str| core.strip_suffix(end).map(str::to_owned);
    let short = |name: &String| is_in("tmax|tmin|max|min|tmp|temp", name);
    if let Some(short) = before("f").filter(short) {
        (result.core, result.unit) = (short, Some(TemperatureUnit::F));
    } else if let Some(short) = before("c").filter(short) {
        (result.core, result.unit) = (short, Some(TemperatureUnit::C));
    } else if core == "sknt" {
        (result.core, result.speed) = ("speed".into(), Some(SpeedUnit::Knots));
    } else if let Some(wind) = before("mpers").or_else(|| before("ms")) {
        (result.core, result.speed) = (wind, Some(SpeedUnit::Ms));
    }
    result
}

const HIGHEST: &str =
    "max|maximum|tmax|high|hi|highest|tx|maxt|maxtemp|tempmax|maxtemperature|maxair";
const LOWEST: &str = "min|minimum|tmin|low|lo|lowest|tn|mint|mintemp|tempmin|mintemperature|minair";
const DAY: &str = "date|day|time|datetime|observationdate|dateobserved";
const TIME: &str =
    "time|datetime|valid|timestamp|date|validtime|localtime|dateandtime|obstime|timelocal";
const TEMPERATURE: &str = "tmp|t|drybulb|t2m|tair|airt|temp";
const DIRECTION: &str = concat!(
    "winddirfrom|winddir|winddirection|drct|wdir|dir|dirfrom|winddirectionfrom|wd|direction|",
    "winddirectionfromnorth"
);
const SPEED: &str = "wind|windspeed|speed|wspd|ws|windspd";

/// Whether a word is one of those of a list.
fn is_in(list: &str, word: &str) -> bool {
    list.split('|').any(|known| known == word)
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Daily maximum.
    Highest,
    /// Daily minimum.
    Lowest,
    /// Calendar day.
    Day,
    /// Time of an hourly row.
    HourTime,
    /// Hourly temperature.
    Temperature,
    /// Direction the wind comes from.
    WindDirection,
    /// Wind speed.
    WindSpeed,
    /// Radiation of the sun, watts a square metre.
    Sun,
    /// Identifier of a station.
    Station,
    /// What a row of a long table is about, such as `TMAX`.
    Element,
    /// The number of a row of a long table.
    Value,
    /// Why the publisher of a long table doubts the number.
    Doubt,
}

/// A column that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Index in the row.
    pub index: usize,
    /// Its name as written.
    pub name: String,
    /// Unit of temperature in the name.
    pub unit: Option<TemperatureUnit>,
    /// Unit of speed in the name.
    pub speed: Option<SpeedUnit>,
}

/// The first column that holds this, if any.
pub fn find(header: &[String], holds: Holds) -> Option<Found> {
    header.iter().enumerate().find_map(|(index, name)| {
        let apart = take_apart(name);
        let is_in = |list: &str| is_in(list, &apart.core);
        let fits = match holds {
            Holds::Highest => is_in(HIGHEST),
            Holds::Lowest => is_in(LOWEST),
            Holds::Day => is_in(DAY),
            Holds::HourTime => is_in(TIME),
            Holds::Temperature => {
                is_in(TEMPERATURE)
                    || (apart.temperature && (apart.core.is_empty() || is_in("outdoor|outside")))
            }
            Holds::WindDirection => is_in(DIRECTION),
            Holds::WindSpeed => is_in(SPEED) || (apart.core.is_empty() && apart.speed.is_some()),
            Holds::Sun => apart.sun,
            Holds::Station => is_in("station|stationid|stid|id"),
            Holds::Element => is_in("element|datatype"),
            Holds::Value => is_in("value|datavalue"),
            Holds::Doubt => is_in("qflag"),
        };
        fits.then(|| found(index, name))
    })
}

fn found(index: usize, name: &str) -> Found {
    let Name { unit, speed, .. } = take_apart(name);
    Found {
        index,
        name: name.to_owned(),
        unit,
        speed,
    }
}

/// The column of the name that the user gives, else the first that holds this, if any.
///
/// # Errors
/// When the name that the user gives is that of no column.
pub fn choose(
    header: &[String],
    holds: Holds,
    named: &[(Holds, String)],
) -> Result<Option<Found>, String> {
    let Some((_, name)) = named.iter().find(|(of, _)| *of == holds) else {
        return Ok(find(header, holds));
    };
    let index = header.iter().position(|column| column == name);
    let absent = || {
        say!(
            "table.no-such-column",
            name = shorten(name),
            names = list(header)
        )
    };
    Ok(Some(found(index.ok_or_else(absent)?, name)))
}

/// Column names in one list for a message.
pub fn list(header: &[String]) -> String {
    let names = header.iter().take(20);
    let names: Vec<String> = names.map(|name| format!("`{}`", shorten(name))).collect();
    names.join(", ")
}

/// The fault of a table that lacks columns: their keys, and the names that it has.
pub fn absent(keys: &[&str], header: &[String]) -> String {
    let absent: Vec<&str> = keys.iter().map(|key| voice().get(key)).collect();
    let (absent, names) = (absent.join(", "), list(header));
    say!("table.no-column", absent, names)
}
