//! A scenario from a few answers that a gardener can give.

use super::check::LONGEST_YARD_M;
use super::error::{nearest, no_such, told};
use crate::catalogue::words::{self, Kind};
use crate::catalogue::{self, CropKind, Guild, Mover, Pest};
use crate::say::{say, translated};
use crate::units::{feet, shortened};
use serde_json::{Value, json};

/// Most plants that are asked for in one row.
pub const MOST_PLANTS: u32 = 500;
/// From the fence to a row along it, meters: 3 ft (assumed: a step, so that one gets round it).
pub(super) const STEP_M: f64 = 0.9144;

/// Answers that make a scenario.
#[derive(Clone, Debug)]
pub struct Answers {
    /// Name of the pest in the catalogue.
    pub pest: String,
    /// Name of the plants in the catalogue.
    pub crop: String,
    /// Yard from west to east, meters.
    pub width_m: f64,
    /// Yard from south to north, meters.
    pub depth_m: f64,
    /// Plants, in one row.
    pub plants: u32,
    /// The side of the yard that they stand along: `north`, `east`, `south` or `west`.
    pub side: String,
    /// From the row to the trap, meters.
    pub trap_distance_m: f64,
    /// The side that the wind comes from, or `unknown`, or `still`.
    pub wind: String,
    /// `light`, `usual` or `heavy`.
    pub pressure: String,
}

/// An answer that makes no scenario.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    /// Which answer, as the command line names it.
    pub answer: &'static str,
    /// What is wrong and how to mend it.
    pub why: String,
}

impl Refused {
    /// An answer, and what is wrong with it.
    pub fn new(answer: &'static str, why: String) -> Refused {
        Refused { answer, why }
    }

    /// A name that is not known, with the nearest that is.
    pub fn unknown(answer: &'static str, name: &str, known: &[&str]) -> Refused {
        let what = say!("fault.unknown.name", name = shortened(name));
        let list = say!("fault.known", list = known.join(", "));
        Refused::new(answer, told(&what, nearest(name, known).as_deref(), &list))
    }
}

fn whole_feet(metres: f64) -> String {
    format!("{:.0}", feet(metres))
}

impl Answers {
    /// The scenario of the answers, as text: a row along a side, the trap before its middle, one in the far corner, and
    /// what else could be done.
    ///
    /// # Errors
    /// A name that is not in the catalogue, or plants and a trap that do not fit into the yard.
    pub fn compose(&self) -> Result<String, Refused> {
        let no_such = |answer, kind, said| Refused::new(answer, no_such(kind, said));
        let pest = words::find(Kind::Pest, &self.pest).and_then(catalogue::pest);
        let pest = pest.ok_or_else(|| no_such("pest", Kind::Pest, &self.pest))?;
        let kind = words::find(Kind::Crop, &self.crop).and_then(catalogue::crop);
        let kind = kind.ok_or_else(|| no_such("crop", Kind::Crop, &self.crop))?;
        let words = ["light", "usual", "heavy"];
        if !words.contains(&self.pressure.as_str()) {
            return Err(Refused::unknown("pressure", &self.pressure, &words));
        }
        let sides = ["north", "east", "south", "west"];
        let side = self.side.to_ascii_lowercase();
        if !sides.contains(&side.as_str()) {
            return Err(Refused::unknown("side", &self.side, &sides));
        }
        for (answer, length_m) in [
            ("width", self.width_m),
            ("depth", self.depth_m),
            ("trap-distance", self.trap_distance_m),
        ] {
            if !(length_m > 0.0 && length_m <= LONGEST_YARD_M) {
                let text = format!("{} ft", whole_feet(length_m));
                return Err(Refused::new(answer, say!("fault.new.length", text)));
            }
        }
        if !(1..=MOST_PLANTS).contains(&self.plants) {
            let text = self.plants;
            return Err(Refused::new("plants", say!("fault.new.plants", text)));
        }
        // Along the row, and across from the side opposite to it.
        let upright = side == "east" || side == "west";
        let (along_m, across_m) = if upright {
            (self.depth_m, self.width_m)
        } else {
            (self.width_m, self.depth_m)
        };
        let row_m = f64::from(self.plants - 1) * kind.spacing.central();
        if row_m > along_m {
            let (ft, yard_ft) = (whole_feet(row_m), whole_feet(along_m));
            return Err(Refused::new(
                "plants",
                say!("fault.new.row", n = self.plants, ft, yard_ft),
            ));
        }
        // Along the fence, a step away or as far as the plants reach.
        let row_at_m = across_m - kind.canopy.central().max(STEP_M).min(0.25 * across_m);
        if self.trap_distance_m > row_at_m {
            let (ft, yard_ft) = (whole_feet(self.trap_distance_m), whole_feet(across_m));
            return Err(Refused::new(
                "trap-distance",
                say!("fault.new.trap-distance", ft, yard_ft),
            ));
        }
        // Rounding must not push anything over the fence: places are cut down to hundredths of a foot, walls taken up.
        let ft = |m: f64| format!("{} ft", (feet(m) * 100.0 + 1e-9).floor() / 100.0);
        let wall = |m: f64| format!("{} ft", (feet(m) * 100.0 - 1e-9).ceil() / 100.0);
        let middle = 0.5 * along_m;
        // So far along the row and so far from the other side, as a place of the yard.
        let at = |along: f64, across: f64| match side.as_str() {
            "north" => [ft(along), ft(across)],
            "south" => [ft(along), ft(across_m - across)],
            "east" => [ft(across), ft(along)],
            _ => [ft(across_m - across), ft(along)],
        };
        let trap = |name: &str, along: f64, across: f64| json!({ "name": name, "at": at(along, across), "kind": catalogue::usual_trap(&pest.id), "lure": catalogue::usual_lure(&pest.id) });
        let corner = if self.width_m > 1.5 && self.depth_m > 1.5 {
            0.5
        } else {
            0.0
        };
        let mut plans = vec![
            json!({ "name": say!("yard.plan.none"), "traps": [] }),
            json!({ "name": say!("yard.new.plan.row"), "traps": [trap(&say!("yard.new.trap.near"), middle, row_at_m - self.trap_distance_m)] }),
            json!({ "name": say!("yard.new.plan.corner"), "traps": [trap(&say!("yard.new.trap.corner"), corner, corner)] }),
        ];
        plans.extend(alternatives(&pest, &kind));
        let plural = translated(&kind.plural);
        let mut crop = json!({ "name": plural, "kind": kind.id });
        if self.plants == 1 {
            crop["single"] = json!(at(middle, row_at_m));
        } else {
            let end = |way: f64| at(middle + way * 0.5 * row_m, row_at_m);
            crop["row"] = json!({ "from": end(-1.0), "to": end(1.0), "count": self.plants });
        }
        let mut value = json!({
            "format": 1,
            "title": say!("yard.new.title", plants = plural),
            "note": say!("yard.new.note"),
            "yard": { "width": wall(self.width_m), "depth": wall(self.depth_m) },
            "crops": [crop],
            "surroundings": { "pressure": self.pressure },
            "pest": pest.id,
            "plans": plans
        });
        match self.wind.to_ascii_lowercase().as_str() {
            "unknown" => {
                value["note"] = say!("yard.new.note.wind").into();
            }
            "still" => value["wind"] = json!({ "strength": "still" }),
            _ => value["wind"] = json!({ "usually_from": self.wind, "strength": "light" }),
        }
        Ok(format!("{value:#}\n"))
    }
}

/// What could be done instead of a trap: a "no" needs an alternative in the same table.
pub(super) fn alternatives(pest: &Pest, crop: &CropKind) -> Vec<Value> {
    let mut plans = Vec::new();
    let sits = matches!(pest.guild, Guild::Chewer | Guild::Piercer);
    if sits {
        let (name, time) = if pest.mover == Mover::Crawler {
            ("yard.new.plan.dark", "22:00")
        } else {
            ("yard.new.plan.dusk", "19:00")
        };
        plans.push(json!({ "name": say!(name), "methods": [{ "method": "hand-removal", "times": [time] }] }));
    }
    if pest.guild != Guild::Visitor && pest.mover == Mover::Flyer && !pest.leaves_open(crop) {
        plans.push(json!({
            "name": say!("yard.new.plan.net"),
            "methods": [{ "method": "row-cover", "mesh_mm": cover_mesh_mm(pest) }]
        }));
    }
    plans
}

/// A hole narrower than the narrowest of them, in tenths of a millimeter, and safe for wildlife.
pub(super) fn cover_mesh_mm(pest: &Pest) -> f64 {
    ((10.0 * pest.narrowest_mm()).ceil() - 1.0).clamp(1.0, 50.0) / 10.0
}
