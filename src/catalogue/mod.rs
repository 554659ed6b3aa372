//! Compiled-in data: pests, crops, lures and traps, in generic names, each number with range, source and grade.
//!
//! One JSON file an organism, crop, lure or trap. To add one: write the file and its line in the lists below.

pub mod believe;
pub mod calibration;
pub mod costs;
pub mod ensemble;
pub mod evidence;
pub mod parameter;
pub mod patterns;
pub mod season;
pub mod sourced;
mod told;
pub mod unmodelled;
pub mod words;

use crate::say::{say, voice};
pub use costs::{ByCatch, LureCosts, TrapCosts, flag_of, nothing_known, says_of};
pub use parameter::{
    HostDraw, HostValues, LureDraw, LureValues, METHOD_NUMBERS, ParameterInfo, PestDraw,
    PestValues, TrapDraw, TrapValues,
};
use serde::{Deserialize, Serialize};
pub use sourced::{Grade, Sourced, Spread};
use std::collections::BTreeMap;
pub(crate) use told::spoken;
pub use told::texts;

/// What the pest does to the plant, and so which damage relation holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Guild {
    /// Eats leaves: share eaten = 1 − exp(−a·H/A).
    Chewer,
    /// Pierces fruit: injuries per fruit are Poisson.
    Piercer,
    /// Lays eggs in fruit: only mated females count.
    EggLayer,
    /// Visits people at their food: meals with at least one visit are spoiled.
    Visitor,
}

impl Guild {
    /// What damage is counted in, "out of 100".
    pub fn damage_noun(self) -> &'static str {
        voice().get(match self {
            Guild::Chewer => "guild.noun.leaves",
            Guild::Piercer | Guild::EggLayer => "guild.noun.fruit",
            Guild::Visitor => "guild.noun.meals",
        })
    }

    /// The key for this kind of damage: `key@people` where people at their food are the matter and there is such a text.
    pub fn about(self, key: &str) -> String {
        let people = format!("{key}@people");
        if self == Guild::Visitor && voice().has(&people) {
            people
        } else {
            key.to_owned()
        }
    }

    /// What the insects come to, one of it: "plant", or "table" where people eat.
    pub fn target_noun(self) -> &'static str {
        voice().get(match self {
            Guild::Visitor => "guild.target.table",
            _ => "guild.target.plant",
        })
    }

    /// The participle that goes with [`Self::damage_noun`].
    pub fn damage_verb(self) -> &'static str {
        voice().get(match self {
            Guild::Chewer => "guild.verb.chewed",
            Guild::Piercer => "guild.verb.stung",
            Guild::EggLayer => "guild.verb.infested",
            Guild::Visitor => "guild.verb.spoiled",
        })
    }
}

/// How a pest gets about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Mover {
    /// Flies: arrives through the open boundary, leaves across it.
    Flyer,
    /// Crawls about a home shelter; the yard has its own stock.
    Crawler,
}

/// Daily hours of movement.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Activity {
    /// Local hour at which movement starts, 0-24.
    pub start_hour: f64,
    /// Hours of movement a day, 1-24; may run past midnight.
    pub hours: f64,
}

/// Limits of the weather in which a pest moves.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fit {
    /// Least temperature of the air, degrees Celsius.
    pub coldest_c: Option<f64>,
    /// Greatest temperature of the air, degrees Celsius.
    pub warmest_c: Option<f64>,
    /// Strongest wind, meters per second.
    pub most_wind_m_per_s: Option<f64>,
    /// Least radiation of the sun, watts a square meter.
    pub least_sun_w_per_m2: Option<f64>,
    /// Citation.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

impl Fit {
    /// The limits in words.
    pub fn words(&self) -> String {
        let degrees = |c: f64| {
            let f = format!("{:.0}", crate::units::fahrenheit(c));
            say!("unit.degrees", f, c = format!("{c:.0}"))
        };
        let coldest = |c| say!("fit.coldest", degrees = degrees(c));
        let warmest = |c| say!("fit.warmest", degrees = degrees(c));
        let wind = |v: f64| {
            let mph = format!("{:.0}", v / crate::units::M_PER_S_PER_MPH);
            say!("fit.wind", mph, mps = format!("{v:.1}"))
        };
        let sun = |w: f64| say!("fit.sun", w = format!("{w:.0}"));
        let words = [
            self.coldest_c.map(coldest),
            self.warmest_c.map(warmest),
            self.most_wind_m_per_s.map(wind),
            self.least_sun_w_per_m2.map(sun),
        ];
        let words: Vec<String> = words.into_iter().flatten().collect();
        words.join(", ")
    }
}

/// A pest file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pest {
    /// Identifier, the file's name.
    pub id: String,
    /// Common name, singular.
    pub name: String,
    /// Common name, plural, lower case unless a proper name.
    pub plural: String,
    /// Short plural for sentences, for example "beetles".
    pub short: String,
    /// Scientific name.
    pub scientific: String,
    /// Damage relation.
    pub guild: Guild,
    /// Flyer or crawler.
    pub mover: Mover,
    /// Hours of movement.
    pub activity: Activity,
    /// Source of the activity hours.
    pub activity_source: String,
    /// Weather in which it moves, where limits are known.
    pub fit: Option<Fit>,
    /// Length of the default window, days of peak activity.
    pub window_days: u32,
    /// Insects seen on a gardener's plants at one look, by pressure word; assumed ranges.
    pub pressure: BTreeMap<String, Sourced>,
    /// The parameters of the walk, the stay and the damage.
    pub values: PestValues,
    /// Second badge: how sure the biology is, HIGH, MEDIUM or LOW.
    pub badge: String,
    /// One reason for the badge.
    pub badge_reason: String,
    /// What is known and contested, in sentences with sources.
    pub notes: Vec<String>,
}

/// Holes of a net up to this are safe for birds and snakes, mm (common practice, no source).
pub(crate) const SAFE_HOLE_MM: f64 = 5.0;

impl Pest {
    /// Width of the narrowest of them, mm.
    pub fn narrowest_mm(&self) -> f64 {
        let body = &self.values.body_width;
        body.range.map_or(body.value, |[low, _]| low)
    }

    /// The widest hole of a net that keeps them out and is safe for wildlife, mm.
    pub fn widest_hole_mm(&self) -> f64 {
        self.narrowest_mm().min(SAFE_HOLE_MM)
    }

    /// Whether nobody covers this crop against them, as the table of covers says.
    pub fn leaves_open(&self, crop: &CropKind) -> bool {
        let same = |row: &&evidence::CoverRow| {
            row.crop.eq_ignore_ascii_case(&crop.plural) && row.pest.eq_ignore_ascii_case(&self.name)
        };
        let covers = &evidence::tables().cover;
        covers.iter().filter(same).any(|row| row.cover == "no")
    }
}

/// A crop file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CropKind {
    /// Identifier.
    pub id: String,
    /// Singular name.
    pub name: String,
    /// Plural name.
    pub plural: String,
    /// Canopy radius of one plant.
    pub canopy: Sourced,
    /// Usual distance between plants in a row.
    pub spacing: Sourced,
    /// Needs insects at bloom for its harvest.
    pub needs_bees: bool,
    /// Grows so high that its fruit is reached from a ladder.
    #[serde(default)]
    pub tree: bool,
    /// Leaf area of one plant.
    pub leaf_area: Sourced,
    /// Fruit on one plant; absent where no fruit is grown.
    pub fruit: Option<Sourced>,
    /// How each pest finds and takes the plant; `other` holds for the rest.
    pub hosts: BTreeMap<String, HostEntry>,
}

/// Where a pest lands at fewer approaches than this it hardly lives on the plant.
const SELDOM: f64 = 0.03;

impl CropKind {
    /// Whether a pest lives on it, not only strays there.
    pub fn feeds(&self, pest: &str) -> bool {
        let host = self.hosts.get(pest).or_else(|| self.hosts.get("other"));
        host.is_some_and(|host| host.acceptance.central() >= SELDOM)
    }
}

/// How one pest finds and takes a crop.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HostEntry {
    /// Distance beyond the canopy at which it is noticed.
    pub detection: Sourced,
    /// Chance of landing, once for each approach.
    pub acceptance: Sourced,
}

/// A lure file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LureKind {
    /// Identifier.
    pub id: String,
    /// Generic name.
    pub name: String,
    /// `floral`, `sex`, `both`, `aggregation` or `food`.
    pub class: String,
    /// The pest it is for.
    pub pest: String,
    /// Its numbers.
    pub values: LureValues,
    /// A bait that is filled in anew at every visit, not a lure that hangs for weeks.
    #[serde(default)]
    pub bait: bool,
    /// What it costs; never drawn.
    pub costs: LureCosts,
    /// What is known and contested.
    pub notes: Vec<String>,
}

/// A trap file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TrapKind {
    /// Identifier.
    pub id: String,
    /// Generic name.
    pub name: String,
    /// Its numbers.
    pub values: TrapValues,
    /// Open to whatever comes by, such as a cup of bait.
    #[serde(default)]
    pub open: bool,
    /// What it costs; never drawn.
    pub costs: TrapCosts,
    /// What else it takes with a lure, where somebody has counted.
    #[serde(default)]
    pub by_catch: Vec<ByCatch>,
    /// What is known and contested.
    pub notes: Vec<String>,
}

/// A control method: numbers of its effect, its cost and its effort.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MethodKind {
    /// Identifier.
    pub id: String,
    /// Generic name.
    pub name: String,
    /// Short flag about by-catch or pollination, for a table.
    pub flag: String,
    /// The flag in a sentence, with its source.
    pub flag_reason: String,
    /// Its numbers by name.
    pub values: BTreeMap<String, Sourced>,
    /// What is known and contested.
    pub notes: Vec<String>,
}

/// Whether a method's number of this name only says what the method costs, and moves no insect.
pub fn only_costs(key: &str) -> bool {
    let costs = [
        "dollars",
        "minutes",
        "seconds",
        "setup_min",
        "check_min",
        "fruit_per_cluster",
    ];
    costs.iter().any(|c| key.starts_with(c))
}

macro_rules! files {
    ($folder:literal: $($id:literal),+ $(,)?) => {
        &[$(($id, include_str!(concat!($folder, "/", $id, ".json"))),)+]
    };
}
pub(crate) use files;

/// Pest files, by identifier.
pub const PESTS: &[(&str, &str)] = files!("pest":
    "japanese-beetle",
    "brown-marmorated-stink-bug",
    "codling-moth",
    "spotted-wing-drosophila",
    "gray-field-slug",
    "custom",
);

/// Crop files, by identifier.
pub const CROPS: &[(&str, &str)] = files!("crop":
    "raspberry",
    "pole-bean",
    "rose",
    "grape",
    "pear",
    "apple",
    "strawberry",
    "tomato",
    "blueberry",
    "lettuce",
    "bush-bean",
    "pea",
    "cabbage",
    "broccoli",
    "cauliflower",
    "kale",
    "brussels-sprout",
    "radish",
    "turnip",
    "carrot",
    "parsnip",
    "beet",
    "chard",
    "spinach",
    "onion",
    "leek",
    "garlic",
    "potato",
    "sweet-potato",
    "asparagus",
    "rhubarb",
    "sweet-corn",
    "pepper",
    "eggplant",
    "okra",
    "cucumber",
    "summer-squash",
    "winter-squash",
    "pumpkin",
    "melon",
    "watermelon",
    "basil",
    "parsley",
    "peach",
    "plum",
    "cherry",
    "apricot",
    "quince",
    "fig",
    "crabapple",
    "walnut",
    "blackberry",
    "currant",
    "gooseberry",
    "hibiscus",
    "rose-of-sharon",
    "dahlia",
    "zinnia",
    "marigold",
    "sunflower",
    "hosta",
    "linden",
    "virginia-creeper",
    "patio-table",
    "other",
);

/// Lure files, by identifier.
pub const LURES: &[(&str, &str)] = files!("lure":
    "japanese-beetle-floral",
    "japanese-beetle-sex",
    "japanese-beetle-both",
    "stink-bug-aggregation",
    "codling-moth-sex",
    "drosophila-vinegar",
    "slug-beer",
    "custom",
);

/// Trap files, by identifier.
pub const TRAPS: &[(&str, &str)] = files!("trap":
    "bucket",
    "sticky",
    "delta",
    "funnel",
    "cup",
);

/// Method files, by identifier.
pub const METHODS: &[(&str, &str)] = files!("method":
    "row-cover",
    "fruit-bags",
    "hand-removal",
    "repellent",
    "water-spray",
    "trap-crop",
);

/// A compiled-in file.
pub(crate) fn read<T: serde::de::DeserializeOwned>(text: &str) -> T {
    serde_json::from_str(text).expect("compiled-in files are tested to read")
}

/// The text of a file in a list.
pub(crate) fn file(list: &[(&str, &'static str)], id: &str) -> Option<&'static str> {
    let (_, text) = list.iter().find(|(known, _)| *known == id)?;
    Some(text)
}

/// The pest of one identifier; `None` for an unknown one.
pub fn pest(id: &str) -> Option<Pest> {
    Some(spoken(file(PESTS, id)?, told::PEST))
}

/// The crop of one identifier; `None` for an unknown one.
pub fn crop(id: &str) -> Option<CropKind> {
    Some(spoken(file(CROPS, id)?, told::CROP))
}

/// The lure of one identifier; `None` for an unknown one.
pub fn lure(id: &str) -> Option<LureKind> {
    Some(spoken(file(LURES, id)?, told::LURE))
}

/// The trap of one identifier; `None` for an unknown one.
pub fn trap(id: &str) -> Option<TrapKind> {
    Some(spoken(file(TRAPS, id)?, told::TRAP))
}

/// The method of one identifier; `None` for an unknown one.
pub fn method(id: &str) -> Option<MethodKind> {
    Some(spoken(file(METHODS, id)?, told::METHOD))
}

/// The known identifiers of a list, in order.
pub fn ids(list: &[(&'static str, &'static str)]) -> Vec<&'static str> {
    list.iter().map(|(id, _)| *id).collect()
}

/// Identifier of the lure a gardener would buy for a pest; `custom` where there is none.
pub fn usual_lure(pest: &str) -> &'static str {
    match pest {
        "japanese-beetle" => "japanese-beetle-both",
        "brown-marmorated-stink-bug" => "stink-bug-aggregation",
        "codling-moth" => "codling-moth-sex",
        "spotted-wing-drosophila" => "drosophila-vinegar",
        "gray-field-slug" => "slug-beer",
        _ => "custom",
    }
}

/// Identifier of the kind of trap that goes with a pest.
pub fn usual_trap(pest: &str) -> &'static str {
    match pest {
        "brown-marmorated-stink-bug" | "spotted-wing-drosophila" => "funnel",
        "codling-moth" => "delta",
        "gray-field-slug" => "cup",
        _ => "bucket",
    }
}
