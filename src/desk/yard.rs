//! A scenario as a page draws it, in feet; and its story from results that the page holds.

use super::ready::READY_INPUTS;
use crate::control::Effort;
use crate::geometry::{Point, Rect};
use crate::report::products::results::{self, Folder, Repeat};
use crate::report::products::{Made, Product, Request, build};
use crate::report::{cautions, words};
use crate::say::{LANGUAGES, say, voice};
use crate::scenario::answers::Answers;
use crate::scenario::{self, Fault, Owner, Plan, Scenario, Shape, Wind, last_part};
use crate::study::compare::effort;
use crate::study::vary::plain_name;
use crate::units::METRES_PER_FOOT;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

#[derive(Deserialize)]
pub(super) struct Read {
    text: String,
    #[serde(default = "usual_name")]
    name: String,
    #[serde(default)]
    inputs: BTreeMap<String, String>,
    pub(super) language: Option<String>,
}

#[derive(Deserialize)]
pub(super) struct Compose {
    pest: String,
    crop: String,
    width_ft: f64,
    depth_ft: f64,
    plants: u32,
    #[serde(default = "usual_side")]
    side: String,
    trap_ft: f64,
    wind: String,
    pressure: String,
    pub(super) language: Option<String>,
}

#[derive(Deserialize)]
pub(super) struct Story {
    text: String,
    #[serde(default = "usual_name")]
    name: String,
    #[serde(default)]
    inputs: BTreeMap<String, String>,
    /// Files of results by name: summary.json, compare.json, placement.json.
    files: BTreeMap<String, String>,
    /// The plan that it is about.
    plan: Option<String>,
    /// Products by name; else the paragraph for the help desk.
    #[serde(default)]
    products: Vec<String>,
    pub(super) language: Option<String>,
}

/// The side that plants stand along where it is not said.
fn usual_side() -> String {
    "north".into()
}

/// Name of a yard that has none yet.
pub(super) fn usual_name() -> String {
    "yard.json".into()
}

/// Reads a scenario; weather files come from the page, or are shipped.
pub(super) fn scenario(
    text: &str,
    name: &str,
    inputs: &BTreeMap<String, String>,
) -> Result<Scenario, Vec<Fault>> {
    let load = |wanted: &str| {
        let given = inputs.get(wanted).or_else(|| inputs.get(last_part(wanted)));
        let shipped = || READY_INPUTS.iter().find(|(known, _)| *known == wanted);
        let found = given.map(String::as_str).or_else(|| Some(shipped()?.1));
        found
            .map(str::to_owned)
            .ok_or_else(|| say!("desk.no-input"))
    };
    scenario::read(text, name, &load)
}

impl Compose {
    pub(super) fn text(self) -> Result<String, String> {
        let answers = Answers {
            pest: self.pest,
            crop: self.crop,
            width_m: self.width_ft * METRES_PER_FOOT,
            depth_m: self.depth_ft * METRES_PER_FOOT,
            plants: self.plants,
            side: self.side,
            trap_distance_m: self.trap_ft * METRES_PER_FOOT,
            wind: self.wind,
            pressure: self.pressure,
        };
        answers.compose().map_err(|refused| refused.why)
    }
}

impl Read {
    pub(super) fn answer(&self) -> Value {
        match scenario(&self.text, &self.name, &self.inputs) {
            Ok(scenario) => {
                let doubts = scenario.warnings.iter().map(|says| json!({ "say": says }));
                let doubts: Vec<Value> = doubts.collect();
                json!({ "faults": [], "doubts": doubts, "yard": drawn(&scenario) })
            }
            Err(faults) => {
                let fault = |f: &Fault| json!({ "place": f.path, "line": f.line, "say": f.says(), "whole": f.to_string() });
                let faults: Vec<Value> = faults.iter().map(fault).collect();
                json!({ "faults": faults, "doubts": [], "yard": null })
            }
        }
    }
}

impl Story {
    /// The pages and texts that tell results, and why others cannot be made.
    pub(super) fn answer(self) -> Result<Value, String> {
        let mut files = self.files;
        files.insert("scenario.json".into(), self.text);
        let inputs = self.inputs.into_iter();
        files.extend(inputs.map(|(name, text)| (format!("inputs/{}", last_part(&name)), text)));
        let shipped = READY_INPUTS.iter();
        for (name, text) in shipped {
            let name = format!("inputs/{}", last_part(name));
            files.entry(name).or_insert_with(|| (*text).to_owned());
        }
        let name = last_part(&self.name).to_owned();
        let folder = Folder {
            files,
            places: BTreeMap::from([("scenario.json".into(), self.name)]),
            repeat: None,
        };
        let mut results = results::read(&folder).map_err(|why| why.to_string())?;
        let language = voice().get("language").to_owned();
        results.repeat = results.yard.as_ref().map(|yard| Repeat {
            says: "footer.repeat.yard",
            line: run_line(&name, yard.summers, &language),
        });
        let mut products = Vec::new();
        for product in &self.products {
            products.push(Product::named(product)?);
        }
        if products.is_empty() {
            products.push(Product::HelpDesk);
        }
        let request = Request {
            products,
            language,
            plan: self.plan,
            ..Request::default()
        };
        let made = Made {
            version: env!("CARGO_PKG_VERSION"),
        };
        let built = build(&results, &request, &made)?;
        let wanted: BTreeSet<&String> = built.made.iter().flat_map(|(_, names)| names).collect();
        let files = built.files.iter().filter(|(name, _)| wanted.contains(name));
        let files = files.map(|(name, bytes)| (name, String::from_utf8_lossy(bytes)));
        let missing = built.missing.iter().map(|(p, why)| (p.name(), why));
        Ok(json!({
            "files": files.collect::<BTreeMap<_, _>>(),
            "missing": missing.collect::<BTreeMap<_, _>>(),
            "doubts": built.doubts,
            "repeat": results.repeat.as_ref().map(|repeat| &repeat.line),
        }))
    }
}

/// The command that makes the results of a page anew.
fn run_line(name: &str, summers: u32, language: &str) -> String {
    let quote = if name.contains(' ') { "\"" } else { "" };
    let file = [quote, name, quote].concat();
    let summers = summers.to_string();
    let mut line = vec!["lurefield", "run", &file, "--summers", &summers];
    if language != LANGUAGES[0].0 {
        line.extend(["--language", language]);
    }
    line.join(" ")
}

fn ft(metres: f64) -> f64 {
    metres / METRES_PER_FOOT
}

fn at(p: Point) -> Value {
    json!({ "x": ft(p.x), "y": ft(p.y) })
}

fn rect(r: &Rect) -> Value {
    json!({ "x0": ft(r.x0), "y0": ft(r.y0), "x1": ft(r.x1), "y1": ft(r.y1) })
}

fn shape(shape: &Shape) -> Value {
    match shape {
        Shape::Rect(r) => json!({ "rect": rect(r) }),
        Shape::Disc { at, radius_m } => {
            json!({ "disc": { "x": ft(at.x), "y": ft(at.y), "radius": ft(*radius_m) } })
        }
    }
}

fn all<T>(of: &[T], each: impl Fn(&T) -> Value) -> Vec<Value> {
    of.iter().map(each).collect()
}

fn drawn(scenario: &Scenario) -> Value {
    let whose = |owner: Owner| match owner {
        Owner::Mine => None,
        Owner::Neighbour(k) => Some(scenario.plots[k].name.as_str()),
    };
    let plants = scenario.plants.iter();
    let plants = plants.map(|p| {
        let crop = &scenario.crops[p.crop];
        json!({
            "x": ft(p.at.x), "y": ft(p.at.y), "radius": ft(p.canopy_m),
            "crop": p.crop, "bed": crop.name, "mine": crop.owner == Owner::Mine,
        })
    });
    let pest = &scenario.pest;
    let numbers = words::numbers(scenario).into_iter();
    let numbers = numbers.map(|(path, n)| {
        let key = path.rsplit('.').next().unwrap_or(&path);
        json!({
            "path": path, "name": plain_name(key), "value": n.value, "unit": n.unit, "range": n.range,
            "grade": n.grade, "grade_says": words::grade_in_words(n.grade), "source": n.source,
        })
    });
    json!({
        "name": scenario.name,
        "title": scenario.title,
        "note": scenario.note,
        "size": { "width": ft(scenario.yard.width()), "depth": ft(scenario.yard.height()) },
        "up_bearing_deg": scenario.up_bearing_rad.to_degrees(),
        "crops": all(&scenario.crops, |c| json!({
            "name": c.name, "kind": c.kind.id, "owner": whose(c.owner), "first": c.first,
            "count": c.count, "worth": c.worth, "trap_crop": c.trap_crop,
        })),
        "plants": plants.collect::<Vec<Value>>(),
        "structures": all(&scenario.structures, |s| json!({ "name": s.name, "kind": s.kind, "shape": shape(&s.shape) })),
        "no_hang": all(&scenario.no_hang, |z| json!({ "name": z.name, "shape": shape(&z.shape) })),
        "spots": all(&scenario.spots, |s| json!({ "name": s.name, "at": at(s.at) })),
        "plots": all(&scenario.plots, |p| json!({ "name": p.name, "rect": rect(&p.area) })),
        "sources": all(&scenario.sources, |s| json!({ "name": s.name, "at": at(s.at), "radius": ft(s.radius_m) })),
        "from_side": scenario.from_side.map(|f| json!({ "bearing_deg": f.bearing_rad.to_degrees(), "share": f.share })),
        "wind": wind(&scenario.wind),
        "pest": {
            "id": pest.id, "name": pest.name, "plural": pest.plural, "short": pest.short, "guild": pest.guild,
            "noun": pest.guild.damage_noun(), "verb": pest.guild.damage_verb(), "badge": pest.badge,
            "badge_reason": pest.badge_reason,
        },
        "pressure": { "says": scenario.pressure.said, "low": scenario.pressure.low, "high": scenario.pressure.high },
        "window": { "first_day": scenario.window.first_day, "days": scenario.window.days },
        "period": words::period(voice(), scenario),
        "isolated": scenario.isolated,
        "summers": scenario.settings.summers,
        "seed": scenario.settings.seed,
        "tie_band": scenario.settings.tie_band,
        "plans": all(&scenario.plans, |p| plan(scenario, p)),
        "defaults": scenario.defaults,
        "numbers": numbers.collect::<Vec<Value>>(),
        "sure": words::how_sure(scenario),
    })
}

fn wind(wind: &Wind) -> Value {
    match wind {
        Wind::Still => json!({ "kind": "still" }),
        Wind::Unknown => json!({ "kind": "unknown" }),
        Wind::Rose {
            said,
            sectors,
            calm_share,
            ..
        } => json!({
            "kind": "rose", "says": said, "calm": calm_share,
            "sectors": all(sectors, |s| json!({
                "from_deg": s.from_rad.to_degrees(), "width_deg": s.width_rad.to_degrees(), "share": s.share,
            })),
        }),
        Wind::Record { said, .. } => json!({ "kind": "record", "says": said }),
    }
}

fn plan(scenario: &Scenario, plan: &Plan) -> Value {
    let Effort { dollars, minutes } = effort(scenario, plan);
    json!({
        "name": plan.name,
        "nothing": plan.methods.is_empty() && plan.traps.is_empty(),
        "traps": all(&plan.traps, |t| json!({
            "name": t.name, "x": ft(t.at.x), "y": ft(t.at.y),
            "lure": scenario.lures.get(t.lure).map(|l| json!({ "id": l.id, "name": l.name })),
            "trap": scenario.trap_kinds.get(t.kind).map(|k| json!({ "id": k.id, "name": k.name })),
            "role": t.role, "role_says": t.role.label(), "neighbours": t.neighbours,
        })),
        "does": all(&plan.methods, |m| json!({ "method": m.kind.id, "crops": m.crops, "says": m.describe() })),
        "dollars": dollars,
        "minutes": minutes,
        "cautions": cautions::of_plans(voice(), scenario, [plan]),
    })
}
