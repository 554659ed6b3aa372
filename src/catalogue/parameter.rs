//! The one table of parameters: every unknown of the biology, its symbol, unit and meaning.
//!
//! The engine reads the drawn values (`PestDraw`, `LureDraw`, `TrapDraw`, `HostDraw`), files hold the sourced ones
//! (`PestValues`, ...), and documents are printed from [`PestValues::TABLE`] and its kin, so they cannot drift apart.

use super::sourced::Sourced;
use crate::say::translated;
use serde::Serialize;

/// One line of the parameter table.
#[derive(Clone, Copy, Debug)]
pub struct ParameterInfo {
    /// Name in the catalogue files.
    pub key: &'static str,
    /// Unit used inside.
    pub unit: &'static str,
    /// What it means, in English.
    pub meaning: &'static str,
}

impl ParameterInfo {
    /// What it means, in the language that is spoken.
    pub fn meaning(&self) -> &'static str {
        translated(self.meaning)
    }
}

/// Numbers with their sources, by name.
macro_rules! sourced {
    ($(#[$doc:meta])* $values:ident { $($key:ident: $unit:literal, $meaning:literal;)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $values { $(#[doc = $meaning] pub $key: Sourced,)+ }

        impl $values {
            /// Names, inside units and meanings, in the fixed order of the draws.
            pub const TABLE: &'static [ParameterInfo] =
                &[$(ParameterInfo { key: stringify!($key), unit: $unit, meaning: $meaning },)+];

            /// The entry of one name.
            pub fn get(&self, key: &str) -> Option<&Sourced> {
                match key { $(stringify!($key) => Some(&self.$key),)+ _ => None }
            }

            /// The entry of one name, to change it.
            pub fn get_mut(&mut self, key: &str) -> Option<&mut Sourced> {
                match key { $(stringify!($key) => Some(&mut self.$key),)+ _ => None }
            }
        }
    };
}
pub(crate) use sourced;

macro_rules! parameter_table {
    ($(#[$doc:meta])* $values:ident, $(#[$draw_doc:meta])* $draw:ident { $($key:ident: $unit:literal, $meaning:literal;)+ }) => {
        sourced! { $(#[$doc])* $values { $($key: $unit, $meaning;)+ } }

        $(#[$draw_doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Serialize)]
        pub struct $draw { $(#[doc = $meaning] pub $key: f64,)+ }

        impl $values {
            /// One draw: `u(i)` is the quantile of parameter number `i` of [`Self::TABLE`].
            pub fn draw(&self, mut u: impl FnMut(usize) -> f64) -> $draw {
                let mut i = 0;
                $(let $key = self.$key.at(u(i)); i += 1;)+
                let _ = i;
                $draw { $($key,)+ }
            }

            /// Every central value.
            pub fn central(&self) -> $draw {
                $draw { $($key: self.$key.central(),)+ }
            }
        }
    };
}

parameter_table! {
    /// Biology of a pest as the files hold it.
    PestValues,
    /// One summer's biology of a pest, in inside units.
    PestDraw {
        speed: "m/s", "speed while flying or crawling";
        segment_mean: "m", "mean length of a straight segment of the correlated random walk";
        turn_sd: "rad", "standard deviation of the turning angle between segments";
        bout_mean: "s", "mean length of a bout of movement";
        rest_mean: "s", "mean rest on background vegetation between bouts";
        long_share: "share", "share of bouts that are long flights";
        long_mean: "s", "mean length of a long flight";
        daily_survival: "share", "share that lives through a day";
        residence_mean: "s", "mean stay on an accepted plant";
        late_feeding: "s", "time a sitting insect goes on feeding after the day's movement hours";
        damage_rate: "per insect-hour", "leaf area eaten (m2), injuries, or eggs that become injured fruit, for each hour on the plant";
        visible: "count", "leaf area that shows damage for each part of it eaten (1 for fruit, which is counted)";
        female_share: "share", "share of females";
        mated_on_arrival: "share", "share of the females arriving from outside that are mated";
        matings: "count", "matings a female would get without trapping (E)";
        refractory: "s", "time for which an insect that was missed ignores the same lure";
        approach_segment: "m", "mean segment on the way to a lure";
        approach_turn_sd: "rad", "scatter of headings round the direction of the lure on the way";
        approach_loss: "1/s", "rate at which an insect on the way loses the odor";
        spillover: "m", "spillover length: insects on the way to a trap and searching round it land on plants they meet with a hazard that falls as exp(-r/length) with the distance from the lure";
        arousal: "count", "factor on the acceptance of a plant met so";
        nearby_rest: "s", "mean pause of an insect that landed by the trap";
        search_mean: "s", "mean length of the area-restricted search of an insect the trap did not keep";
        search_segment: "m", "mean segment of the area-restricted search";
        search_turn_sd: "rad", "standard deviation of the turning angle in the area-restricted search";
        homing: "share", "chance that a crawler goes back to its own shelter at the end of the day";
        body_width: "mm", "least width of the adult body, which decides what a mesh stops";
    }
}

parameter_table! {
    /// A lure as the files hold it.
    LureValues,
    /// One summer's lure, in inside units.
    LureDraw {
        reach: "m", "reach of the lure: radius of its active space";
        near_share: "share", "how far the lure works from any side in wind, as a share of the reach";
        fall: "count", "exponent of the fall of the hazard with distance: 1 - (distance/reach)^fall";
        strength_exponent: "count", "several lures in one trap multiply the reach by their number to this power";
        response: "1/s", "hazard of responding right at the lure";
        female_response: "share", "response of females relative to the more responsive sex";
        male_response: "share", "response of males relative to the more responsive sex";
        life: "d", "days until half of the lure's response is gone";
    }
}

parameter_table! {
    /// A trap as the files hold it.
    TrapValues,
    /// One summer's trap, in inside units.
    TrapDraw {
        capture: "share", "share of the insects reaching the trap that it keeps";
        land: "share", "share that lands on or by the trap and sits there for a while";
        late_capture: "share", "share of those that it keeps after all when they have sat";
        touch: "m", "distance from its middle at which an insect touches it";
        capacity: "count", "insects that fill the trap";
    }
}

parameter_table! {
    /// A crop as a host of one pest, as the files hold it.
    HostValues,
    /// One summer's crop, in inside units.
    HostDraw {
        detection: "m", "distance beyond the edge of the canopy at which a passing insect notices the plant";
        acceptance: "share", "chance that an insect that notices the plant lands on it, once for each approach";
        units: "m2 or count", "leaf area (m2) or number of fruit of one plant";
    }
}

macro_rules! method_numbers {
    ($($key:literal: $unit:literal, $meaning:literal;)+) => {
        /// Every number a method may have: name, inside unit, meaning.
        pub const METHOD_NUMBERS: &[ParameterInfo] =
            &[$(ParameterInfo { key: $key, unit: $unit, meaning: $meaning },)+];
    };
}

method_numbers! {
    "leak": "share", "share of insects that gets in although the mesh is fine enough";
    "passes": "share", "share of injuries that pass a bag";
    "found": "share", "share of the insects sitting there that one visit finds";
    "keeps_off": "share", "share of landings that a fresh spray keeps off";
    "driven_off": "share", "share of the insects sitting there that a spray drives off";
    "lasts": "d", "days for which a spray works";
    "dislodged": "share", "share of the insects sitting there that water washes off";
    "killed": "share", "share of the washed off that die";
    "prefer_crop": "share", "share of the insects leaving a trap crop that head for the crop";
    "sees_crop_m": "m", "distance within which an insect leaving a trap crop heads for the crop";
    "cleared": "share", "share of the insects on a trap crop that one clearing takes";
    "dollars_per_m2": "1", "dollars for a square meter of cover";
    "setup_min_per_m2": "1", "minutes to spread and fix a square meter of cover";
    "check_min_a_week": "1", "minutes a week to check a cover";
    "seconds_per_cluster": "1", "seconds to bag a cluster";
    "fruit_per_cluster": "1", "fruit in a cluster after thinning";
    "dollars_per_bag": "1", "dollars for a bag";
    "minutes_a_visit": "1", "minutes for a visit, whatever is planted";
    "minutes_per_plant": "1", "minutes for a plant";
    "dollars_a_season": "1", "dollars for the whole window";
    "dollars_per_plant": "1", "dollars for a plant";
    "minutes_to_plant": "1", "minutes to plant one plant";
    "minutes_per_clearing": "1", "minutes to clear one plant once";
}
