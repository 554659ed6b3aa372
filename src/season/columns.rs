//! Which column is which: names that stations, services and notebooks use, with the unit that stands in the name.

use crate::season::temperature::Scale;

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
        match self {
            TemperatureUnit::F => "degrees F",
            TemperatureUnit::C => "degrees C",
            TemperatureUnit::TenthsC => "tenths of a degree C",
        }
    }

    /// Scale and divisor.
    pub fn scale(self) -> (Scale, f64) {
        match self {
            TemperatureUnit::F => (Scale::F, 1.0),
            TemperatureUnit::C => (Scale::C, 1.0),
            TemperatureUnit::TenthsC => (Scale::C, 10.0),
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
        match self {
            SpeedUnit::Mph => "miles per hour",
            SpeedUnit::Knots => "knots",
            SpeedUnit::Kmh => "kilometres per hour",
            SpeedUnit::Ms => "metres per second",
        }
    }
}

/// A column name taken apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name {
    /// Letters and digits only, lower case, without fillers and units.
    pub core: String,
    /// True when the name speaks of temperature.
    pub temperature: bool,
    /// Unit of temperature in the name.
    pub unit: Option<TemperatureUnit>,
    /// Unit of speed in the name.
    pub speed: Option<SpeedUnit>,
}

/// Takes a column name apart: `Max Temp (degF)` has the core `max` and the unit F.
pub fn take_apart(name: &str) -> Name {
    let lower = name
        .to_lowercase()
        .replace('\u{b0}', " ")
        .replace("m/s", "ms")
        .replace("km/h", "kmh");
    let mut result = Name {
        core: String::new(),
        temperature: false,
        unit: None,
        speed: None,
    };
    let mut tenths = false;
    for token in lower
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|t| !t.is_empty())
    {
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
    result
}

const HIGHEST: [&str; 12] = [
    "max",
    "maximum",
    "tmax",
    "high",
    "hi",
    "highest",
    "tx",
    "maxt",
    "maxtemp",
    "tempmax",
    "maxtemperature",
    "maxair",
];
const LOWEST: [&str; 12] = [
    "min",
    "minimum",
    "tmin",
    "low",
    "lo",
    "lowest",
    "tn",
    "mint",
    "mintemp",
    "tempmin",
    "mintemperature",
    "minair",
];
const DAY: [&str; 6] = [
    "date",
    "day",
    "time",
    "datetime",
    "observationdate",
    "dateobserved",
];
const HOUR_TIME: [&str; 8] = [
    "time",
    "datetime",
    "valid",
    "timestamp",
    "date",
    "validtime",
    "localtime",
    "dateandtime",
];
const TEMPERATURE: [&str; 6] = ["tmp", "t", "drybulb", "t2m", "tair", "airt"];
const DIRECTION: [&str; 10] = [
    "winddirfrom",
    "winddir",
    "winddirection",
    "drct",
    "wdir",
    "dirfrom",
    "winddirectionfrom",
    "wd",
    "direction",
    "winddirectionfromnorth",
];
const SPEED: [&str; 6] = ["wind", "windspeed", "speed", "wspd", "ws", "windspd"];

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
    /// Identifier of a station.
    Station,
}

/// The unit that glued short names such as `tmaxf` or `sknt` carry.
fn glued(name: &Name) -> (String, Option<TemperatureUnit>, Option<SpeedUnit>) {
    let core = name.core.as_str();
    match core {
        "tmaxf" | "tminf" | "maxf" | "minf" | "tmpf" | "tempf" => (
            core[..core.len() - 1].to_string(),
            Some(TemperatureUnit::F),
            None,
        ),
        "tmaxc" | "tminc" | "maxc" | "minc" | "tmpc" | "tempc" => (
            core[..core.len() - 1].to_string(),
            Some(TemperatureUnit::C),
            None,
        ),
        "sknt" => ("windspeed".into(), None, Some(SpeedUnit::Knots)),
        _ => (core.to_string(), name.unit, name.speed),
    }
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
        let (core, unit, speed) = glued(&apart);
        let is_in = |list: &[&str]| list.contains(&core.as_str());
        let fits = match holds {
            Holds::Highest => is_in(&HIGHEST),
            Holds::Lowest => is_in(&LOWEST),
            Holds::Day => is_in(&DAY),
            Holds::HourTime => is_in(&HOUR_TIME),
            Holds::Temperature => {
                is_in(&TEMPERATURE) || core == "temp" || (apart.temperature && core.is_empty())
            }
            Holds::WindDirection => is_in(&DIRECTION),
            Holds::WindSpeed => is_in(&SPEED),
            Holds::Station => matches!(core.as_str(), "station" | "stationid" | "id"),
        };
        fits.then(|| Found {
            index,
            name: name.clone(),
            unit,
            speed,
        })
    })
}
