//! A scenario from what a gardener says: plants, things in the yard, traps and methods, each in a phrase of their own.

use super::answers::{Refused, STEP_M, alternatives, cover_mesh_mm};
use super::check::LONGEST_YARD_M;
use super::error::{no_such, told};
use super::phrase::{self, Named, Phrase, Spot, Way};
use super::wind::SIDES;
use crate::catalogue::words::{self, Kind};
use crate::catalogue::{self, CropKind, Guild, Pest};
use crate::geometry::{Point, Rect};
use crate::say::{say, translated};
use crate::units::{feet, feet_and_metres, shortened};
use serde_json::{Value, json};

/// Yard where none is told, meters: 60 by 40 ft (assumed).
const USUAL_YARD_M: [f64; 2] = [60.0 * 0.3048, 40.0 * 0.3048];
/// Plants of a row where their number is not told (assumed).
const USUAL_PLANTS: u32 = 6;
/// A trap that hangs in a corner stands so far from both fences, one at a fence so far from it, meters (assumed).
const IN_CORNER_M: f64 = 0.5;
/// Radius of a tree that is no crop where its size is not told: 6 ft (assumed).
const TREE_M: f64 = 6.0 * 0.3048;
/// Most plants of one phrase.
const MOST_PLANTS: u32 = 5000;

/// What was said, each in the asker's words.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// The pest.
    pub pest: String,
    /// Plants, a planting each.
    pub plants: Vec<String>,
    /// Size of the yard.
    pub yard: Option<String>,
    /// House, shed and the like.
    pub has: Vec<String>,
    /// Traps, a plan each; traps of one plan stand between semicolons.
    pub traps: Vec<String>,
    /// Methods, a plan each.
    pub methods: Vec<String>,
    /// The side that most of the pest comes from.
    pub from: Option<String>,
    /// The side that the wind comes from, `unknown` or `still`.
    pub wind: Option<String>,
    /// How many of the pest.
    pub pressure: Option<String>,
    /// Go on with plants that the pest hardly eats.
    pub anyway: bool,
}

/// A scenario, and what was taken for it that nobody said.
#[derive(Clone, Debug)]
pub struct Composed {
    /// The scenario as text.
    pub text: String,
    /// A short name: plants and pest.
    pub name: String,
    /// What was read as what, and what was taken.
    pub notes: Vec<String>,
}

/// Something that stands in the yard.
struct Standing {
    named: Named,
    name: String,
    area: Rect,
}

/// What is placed along one axis: its low end.
#[derive(Clone, Copy)]
enum Along {
    Center,
    Low(f64),
    High(f64),
    At(f64),
}

impl Along {
    fn of(way: i8, from_m: f64) -> Along {
        if way < 0 {
            Along::Low(from_m)
        } else {
            Along::High(from_m)
        }
    }

    fn low(self, all_m: f64, extent_m: f64) -> f64 {
        match self {
            Along::Center => 0.5 * (all_m - extent_m),
            Along::High(m) => all_m - extent_m - m,
            Along::Low(m) | Along::At(m) => m,
        }
    }
}

fn refused(answer: &'static str) -> impl Fn(String) -> Refused {
    move |why| Refused::new(answer, why)
}

impl Asked {
    /// The scenario of what was said.
    ///
    /// # Errors
    /// The first answer that cannot be read, or does not fit the others.
    pub fn compose(&self) -> Result<Composed, Refused> {
        let mut notes = Vec::new();
        let pest = pest(&self.pest)?;
        let plain = words::plain(&self.pest);
        let own = [&pest.id, &pest.name, &pest.plural, &pest.scientific];
        if !own.into_iter().any(|name| words::plain(name) == plain) {
            notes.push(say!(
                "ask.taken.pest",
                text = shortened(&self.pest),
                name = pest.plural
            ));
        }
        let yard = self.size(&mut notes)?;
        let mut yard = Yard {
            size: yard,
            standing: Vec::new(),
            notes,
        };
        let structures = self.structures(&mut yard)?;
        let (crops, kinds) = self.crops(&pest, &mut yard)?;
        let Some(first) = kinds.first() else {
            return Err(Refused::new("plants", say!("fault.ask.no-plants")));
        };
        let mut plans = vec![json!({ "name": say!("yard.plan.none"), "traps": [] })];
        let (traps, spots) = self.traps(&pest, &mut yard)?;
        plans.extend(traps);
        plans.extend(self.does(&pest, &mut yard.notes)?);
        let done = |plan: &Value| plan["methods"][0]["method"].clone();
        let said: Vec<Value> = plans.iter().map(done).collect();
        plans.extend(
            alternatives(&pest, first)
                .into_iter()
                .filter(|plan| !said.contains(&done(plan))),
        );
        let plural = translated(&first.plural);
        let mut value = json!({
            "format": 1,
            "title": say!("yard.new.title", plants = plural),
            "note": say!("yard.new.note"),
            "yard": { "width": upper(yard.size[0]), "depth": upper(yard.size[1]) },
            "crops": crops,
            "pest": pest.id,
            "plans": plans,
        });
        if !structures.is_empty() {
            value["structures"] = structures.into();
        }
        if !spots.is_empty() {
            value["spots"] = spots.into();
        }
        value["surroundings"] = self.surroundings()?;
        match self.wind()? {
            Some(wind) => value["wind"] = wind,
            None => value["note"] = say!("yard.new.note.wind").into(),
        }
        let slug = |text: &str| words::plain(text).replace(' ', "-");
        Ok(Composed {
            name: format!("{}-{}", slug(&first.plural), pest.id),
            text: format!("{value:#}\n"),
            notes: yard.notes,
        })
    }

    fn size(&self, notes: &mut Vec<String>) -> Result<[f64; 2], Refused> {
        let fault = refused("yard");
        let Some(said) = self.yard.as_ref().filter(|said| !said.trim().is_empty()) else {
            let [text, depth] = USUAL_YARD_M.map(feet_and_metres);
            let text = say!("ask.size", width = text, depth);
            notes.push(say!("ask.taken.yard", text));
            return Ok(USUAL_YARD_M);
        };
        let mut bare = Vec::new();
        let size = phrase::size(said, &mut bare).map_err(&fault)?;
        note_bare(&bare, said, notes);
        for side in size {
            if !(1.0..=LONGEST_YARD_M).contains(&side) {
                let text = feet_and_metres(side);
                return Err(fault(say!("fault.new.length", text)));
            }
        }
        Ok(size)
    }

    fn surroundings(&self) -> Result<Value, Refused> {
        let said = self.pressure.as_deref().map_or("usual", str::trim);
        let pressure = if said.is_empty() {
            Some("usual")
        } else {
            words::find(Kind::Pressure, said)
        };
        let pressure = pressure.ok_or_else(|| {
            unknown(
                "pressure",
                Kind::Pressure,
                said,
                &["light", "usual", "heavy"],
            )
        })?;
        let mut around = json!({ "pressure": pressure });
        if let Some(said) = self
            .from
            .as_deref()
            .map(str::trim)
            .filter(|said| !is_unknown(said))
        {
            let side =
                phrase::side(said).ok_or_else(|| unknown("from", Kind::Side, said, SIDES))?;
            around["arrivals_from"] = json!({ "side": side });
        }
        Ok(around)
    }

    fn wind(&self) -> Result<Option<Value>, Refused> {
        let said = self.wind.as_deref().map(str::trim).unwrap_or_default();
        if is_unknown(said) {
            return Ok(None);
        }
        let plain = words::plain(said);
        let (mut strength, mut rest) = ("light", Vec::new());
        for word in plain.split([' ', ',']) {
            match words::find(Kind::Wind, word) {
                Some("still") => return Ok(Some(json!({ "strength": "still" }))),
                Some("unknown") => {}
                Some(said) => strength = said,
                None if words::find(Kind::Fill, word).is_some()
                    || words::find(Kind::Place, word) == Some("from") => {}
                None => rest.push(word),
            }
        }
        let side = phrase::side(&rest.join(" ")).ok_or_else(|| {
            if rest
                .iter()
                .filter(|word| phrase::side(word).is_some())
                .count()
                > 1
            {
                Refused::new("wind", say!("fault.ask.two-winds", text = shortened(said)))
            } else {
                unknown("wind", Kind::Side, said, SIDES)
            }
        })?;
        Ok(Some(json!({ "usually_from": side, "strength": strength })))
    }

    fn structures(&self, yard: &mut Yard) -> Result<Vec<Value>, Refused> {
        let fault = refused("has");
        let mut out = Vec::new();
        for said in self.has.iter().filter(|said| !said.trim().is_empty()) {
            let phrase = phrase::read(said, &[Kind::Structure]).map_err(&fault)?;
            note_bare(&phrase.bare, said, &mut yard.notes);
            let Some(named) = phrase.what.clone() else {
                return Err(fault(say!(
                    "fault.ask.no-structure",
                    text = shortened(said)
                )));
            };
            let round = named.id == "tree" || named.id == "pond";
            let size = match (phrase.size_m, phrase.length_m) {
                (Some(size), _) => size,
                (None, Some(across)) => [across; 2],
                (None, None) if round => {
                    let text = feet_and_metres(2.0 * TREE_M);
                    yard.notes
                        .push(say!("ask.taken.size", name = named.said, text));
                    [2.0 * TREE_M; 2]
                }
                (None, None) => return Err(fault(say!("fault.ask.no-size", name = named.said))),
            };
            let area = yard.put(&phrase, size, 0.0, said).map_err(&fault)?;
            let name = yard.name(&named.said);
            if phrase.spots.is_empty() {
                yard.notes.push(say!("ask.taken.middle", name));
            }
            out.push(if round && phrase.size_m.is_none() {
                json!({ "name": name, "kind": named.id, "at": [at(area.centre().x), at(area.centre().y)], "radius": at(0.5 * area.width()) })
            } else {
                json!({ "name": name, "kind": named.id, "from": [at(area.x0), at(area.y0)], "to": [at(area.x1), at(area.y1)] })
            });
            yard.standing.push(Standing { named, name, area });
        }
        Ok(out)
    }

    fn crops(&self, pest: &Pest, yard: &mut Yard) -> Result<(Vec<Value>, Vec<CropKind>), Refused> {
        let fault = refused("plants");
        let mut read = Vec::new();
        for said in self.plants.iter().filter(|said| !said.trim().is_empty()) {
            let phrase = phrase::read(said, &[Kind::Crop]).map_err(&fault)?;
            note_bare(&phrase.bare, said, &mut yard.notes);
            let Some(named) = phrase.what.clone() else {
                return Err(fault(say!("fault.ask.no-plant", text = shortened(said))));
            };
            let kind = catalogue::crop(named.id)
                .ok_or_else(|| fault(say!("fault.ask.no-plant", text = shortened(said))))?;
            yard.notes.extend(self.eats(pest, &kind)?);
            read.push((said, phrase, named, kind));
        }
        // Plants of which nobody said where go along a side that is free, one after the other.
        let mut free: Vec<Way> = [[0, 1], [0, -1], [1, 0], [-1, 0]].into();
        let sides = |phrase: &Phrase| match phrase.spots[..] {
            [Spot::Side(way, None)] => Some(way),
            _ => None,
        };
        free.retain(|way| {
            read.iter()
                .all(|(_, phrase, ..)| sides(phrase) != Some(*way))
        });
        let mut unsaid = free.into_iter().cycle();
        for (_, phrase, named, _) in &mut read {
            if phrase.spots.is_empty()
                && let Some(way) = unsaid.next()
            {
                phrase.spots.push(Spot::Side(way, None));
                let side = say!(&format!("place.side.{}", name_of(way)));
                yard.notes
                    .push(say!("ask.taken.side", name = named.said, side));
            }
        }
        let mut out = Vec::new();
        let mut laid: Vec<(usize, Laid)> = Vec::new();
        for (i, (said, phrase, named, kind)) in read.iter().enumerate() {
            let laid_out = lay_out(phrase, named, kind, yard, said).map_err(&fault)?;
            laid.push((i, laid_out));
        }
        for (i, one) in &laid {
            let (said, phrase, named, kind) = &read[*i];
            // Those along one side stand end to end.
            let beside: Vec<&(usize, Laid)> = match sides(phrase) {
                Some(way) => laid
                    .iter()
                    .filter(|(j, _)| sides(&read[*j].1) == Some(way))
                    .collect(),
                None => Vec::new(),
            };
            let area = if beside.len() > 1 {
                yard.beside(&beside, *i, sides(phrase).unwrap_or_default(), said)
            } else {
                yard.put(phrase, one.size, one.spare_m, said)
            };
            let area = area.map_err(&fault)?;
            let plural = one.count != Some([1, 1]);
            let name = yard.name(translated(if plural { &kind.plural } else { &kind.name }));
            let mut crop = json!({ "name": name, "kind": kind.id });
            let (from, to) = ([at(area.x0), at(area.y0)], [at(area.x1), at(area.y1)]);
            match one.count {
                Some([1, 1]) => crop["single"] = json!(from),
                Some([n, 1] | [1, n]) => {
                    crop["row"] = json!({ "from": from, "to": to, "count": n });
                }
                Some(both) => crop["block"] = json!({ "from": from, "to": to, "count": both }),
                None => crop["block"] = json!({ "from": from, "to": to }),
            }
            if let (Some(apart), None) = (phrase.apart_m, one.count) {
                crop["block"]["spacing"] = at(apart).into();
            }
            out.push(crop);
            yard.standing.push(Standing {
                named: named.clone(),
                name,
                area,
            });
        }
        Ok((out, read.into_iter().map(|(.., kind)| kind).collect()))
    }

    /// Asks back where the pest hardly comes to the plants, or takes fruit that they do not bear.
    fn eats(&self, pest: &Pest, kind: &CropKind) -> Result<Option<String>, Refused> {
        let (plants, insects) = (translated(&kind.plural), &pest.plural);
        if pest.guild != Guild::Chewer && kind.fruit.is_none() {
            return Err(Refused::new(
                "plants",
                say!("fault.ask.no-fruit", plants, insects),
            ));
        }
        if kind.feeds(&pest.id) {
            return Ok(None);
        }
        if !self.anyway {
            let why = say!("fault.ask.seldom", plants, insects);
            return Err(Refused::new("plants", why));
        }
        Ok(Some(say!("ask.taken.anyway", plants, insects)))
    }

    fn traps(&self, pest: &Pest, yard: &mut Yard) -> Result<(Vec<Value>, Vec<Value>), Refused> {
        let fault = refused("trap");
        let (mut plans, mut spots): (Vec<Value>, Vec<Value>) = (Vec::new(), Vec::new());
        let said: Vec<String> = self
            .traps
            .iter()
            .filter(|said| !said.trim().is_empty())
            .cloned()
            .collect();
        let first = yard.standing.iter().find(|s| s.named.kind == Kind::Crop);
        let first = first.map(|s| (s.named.clone(), s.name.clone()));
        if said.is_empty()
            && let Some((named, name)) = first
        {
            let spot = Spot::Off(named, Some(10.0 * 0.3048), None);
            let at = yard.point(&[spot], "").map_err(&fault)?;
            let name = say!("ask.usual-trap", name);
            yard.notes.push(say!("ask.taken.trap", name));
            let plan = say!("ask.plan.trap", name);
            plans.push(json!({ "name": plan, "traps": [trap(pest, &name, at)] }));
            return Ok((plans, spots));
        }
        for said in &said {
            let mut traps = Vec::new();
            for one in said.split(';').filter(|one| !one.trim().is_empty()) {
                let phrase = phrase::read(one, &[]).map_err(&fault)?;
                if phrase.none {
                    continue;
                }
                note_bare(&phrase.bare, one, &mut yard.notes);
                let only = phrase.count.is_none_or(|n| n == 1);
                if !only || phrase.size_m.is_some() || phrase.length_m.is_some() {
                    return Err(fault(say!("fault.ask.one-trap", text = shortened(one))));
                }
                let at = yard.point(&phrase.spots, one).map_err(&fault)?;
                let name: String = one.trim().chars().take(70).collect();
                if !spots.iter().any(|spot| spot["name"] == name) {
                    spots.push(json!({ "name": name, "at": place(at) }));
                }
                let mut trap = trap(pest, &name, at);
                if let Some(kind) = phrase.trap {
                    trap["kind"] = kind.into();
                }
                traps.push(trap);
            }
            if !traps.is_empty() {
                let name: String = said.trim().chars().take(70).collect();
                plans.push(json!({ "name": say!("ask.plan.trap", name), "traps": traps }));
            }
        }
        Ok((plans, spots))
    }

    fn does(&self, pest: &Pest, notes: &mut Vec<String>) -> Result<Vec<Value>, Refused> {
        let said = self.methods.iter().filter(|said| !said.trim().is_empty());
        let read = said.map(|said| {
            let method = method(said, pest, notes)?;
            let name: String = said.trim().chars().take(70).collect();
            Ok(json!({ "name": name, "methods": [method] }))
        });
        read.collect()
    }
}

/// The pest that a word names.
///
/// # Errors
/// An unknown word, with the nearest that is known.
pub fn pest(said: &str) -> Result<Pest, Refused> {
    let found = words::find(Kind::Pest, said).and_then(catalogue::pest);
    found.ok_or_else(|| Refused::new("pest", no_such(Kind::Pest, said)))
}

/// A word that is not known, with the nearest that is.
fn unknown(answer: &'static str, kind: Kind, said: &str, known: &[&str]) -> Refused {
    let what = say!("fault.unknown.name", name = shortened(said));
    let list = say!("fault.known", list = known.join(", "));
    let near = words::near(kind, said);
    Refused::new(answer, told(&what, near.as_deref(), &list))
}

fn is_unknown(said: &str) -> bool {
    said.is_empty() || words::find(Kind::Wind, said) == Some("unknown")
}

fn note_bare(bare: &[String], said: &str, notes: &mut Vec<String>) {
    if let Some(n) = bare.first() {
        notes.push(say!("ask.taken.feet", text = shortened(said), n));
    }
}

/// A place, cut down to hundredths of a foot, so that nothing is pushed over a fence.
fn at(m: f64) -> String {
    format!("{} ft", (feet(m) * 100.0 + 1e-6).floor() / 100.0)
}

/// A length, taken up to hundredths of a foot.
fn upper(m: f64) -> String {
    format!("{} ft", (feet(m) * 100.0 - 1e-6).ceil() / 100.0)
}

fn place(p: Point) -> Value {
    json!([at(p.x), at(p.y)])
}

fn trap(pest: &Pest, name: &str, at: Point) -> Value {
    json!({ "name": name, "at": place(at), "kind": catalogue::usual_trap(&pest.id), "lure": catalogue::usual_lure(&pest.id) })
}

fn name_of([x, y]: Way) -> &'static str {
    match (x, y) {
        (0, 1) => "north",
        (0, _) => "south",
        (1, _) => "east",
        _ => "west",
    }
}

/// The size of a planting, how many plants a row and how many rows, and how far leaves reach beyond the stems.
struct Laid {
    size: [f64; 2],
    /// `None` for a bed that is filled at the usual distance.
    count: Option<[u32; 2]>,
    spare_m: f64,
}

fn lay_out(
    phrase: &Phrase,
    named: &Named,
    kind: &CropKind,
    yard: &mut Yard,
    said: &str,
) -> Result<Laid, String> {
    let apart_m = phrase.apart_m.unwrap_or(kind.spacing.central());
    let spare_m = kind.canopy.central();
    // A row runs along the fence that it stands by.
    let upright = matches!(phrase.spots.first(), Some(Spot::Side([_, 0], _)));
    let turn = |[a, b]: [f64; 2]| if upright { [b, a] } else { [a, b] };
    if phrase.count == Some(0) || phrase.rows == Some(0) {
        return Err(say!("fault.phrase.number", text = shortened(said)));
    }
    if let Some(size) = phrase.size_m {
        // The longer side of a bed runs along the fence.
        let [long, short] = if size[0] < size[1] {
            [size[1], size[0]]
        } else {
            size
        };
        let by_fence = matches!(phrase.spots.first(), Some(Spot::Side(..)));
        let size = if by_fence { turn([long, short]) } else { size };
        let count = phrase.count.map(|n| {
            // So many plants, spread over the bed as evenly as whole rows allow.
            let across = (f64::from(n) * size[0] / size[1])
                .sqrt()
                .round()
                .clamp(1.0, f64::from(n));
            [
                across as u32,
                (f64::from(n) / across).round().max(1.0) as u32,
            ]
        });
        if let (Some([nx, ny]), Some(n)) = (count, phrase.count)
            && nx * ny != n
        {
            yard.notes
                .push(say!("ask.taken.rows", name = named.said, n = nx * ny));
        }
        return Ok(Laid {
            size,
            count,
            spare_m: 0.0,
        });
    }
    let fits = phrase
        .length_m
        .map(|m| (m / apart_m).round().min(1e6) as u32 + 1);
    let said_one = !words::plain(&named.said).ends_with('s');
    let count = phrase.count.or(fits).unwrap_or_else(|| {
        if said_one {
            return 1;
        }
        let n = USUAL_PLANTS * phrase.rows.unwrap_or(1).min(MOST_PLANTS);
        yard.notes
            .push(say!("ask.taken.plants", name = named.said, n));
        USUAL_PLANTS
    });
    let rows = phrase.rows.unwrap_or(1);
    if count.saturating_mul(rows) > MOST_PLANTS {
        let (text, n) = (shortened(said), MOST_PLANTS);
        return Err(say!("fault.ask.many", text, n));
    }
    let steps = |n: u32| f64::from(n - 1);
    let row_m = match phrase.length_m {
        Some(m) => m,
        None => steps(count) * apart_m,
    };
    if rows > 1 {
        // A block keeps half a distance round its plants.
        let size = turn([f64::from(count) * apart_m, f64::from(rows) * apart_m]);
        let count = if upright {
            [rows, count]
        } else {
            [count, rows]
        };
        return Ok(Laid {
            size,
            count: Some(count),
            spare_m: 0.0,
        });
    }
    let row_m = if count == 1 { 0.0 } else { row_m };
    let count = if upright { [1, count] } else { [count, 1] };
    Ok(Laid {
        size: turn([row_m, 0.0]),
        count: Some(count),
        spare_m,
    })
}

/// The yard while it is filled.
struct Yard {
    size: [f64; 2],
    standing: Vec<Standing>,
    notes: Vec<String>,
}

impl Yard {
    /// A name that nothing has yet.
    fn name(&self, wanted: &str) -> String {
        let taken = |name: &str| {
            self.standing
                .iter()
                .any(|s| s.name.eq_ignore_ascii_case(name))
        };
        let numbered = (2..).map(|n| format!("{wanted} {n}"));
        let mut names = std::iter::once(wanted.to_owned()).chain(numbered);
        names.find(|name| !taken(name)).unwrap_or_default()
    }

    fn find(&self, named: &Named) -> Result<&Standing, String> {
        let same = |s: &&Standing| s.named.kind == named.kind && s.named.id == named.id;
        let found = self.standing.iter().find(same);
        found.ok_or_else(|| {
            let names: Vec<&str> = self.standing.iter().map(|s| s.name.as_str()).collect();
            say!(
                "fault.ask.not-there",
                name = named.said,
                list = names.join(", ")
            )
        })
    }

    /// From a fence to what stands by it: a step, or as far as its leaves reach, but never beyond a quarter of the yard.
    fn step(&self, axis: usize, spare_m: f64) -> f64 {
        spare_m.max(STEP_M).min(0.25 * self.size[axis])
    }

    /// Where something of a size stands.
    fn put(
        &self,
        phrase: &Phrase,
        size: [f64; 2],
        spare_m: f64,
        said: &str,
    ) -> Result<Rect, String> {
        let mut along = [None, None];
        let fault = || say!("fault.phrase.where", text = shortened(said));
        for spot in &phrase.spots {
            let two = match spot {
                Spot::Side(way, m) => {
                    let axis = usize::from(way[0] == 0);
                    let mut two = [None, None];
                    two[axis] = Some(Along::of(
                        way[axis],
                        m.unwrap_or_else(|| self.step(axis, spare_m)),
                    ));
                    two
                }
                Spot::Corner(way, m) => [0, 1].map(|axis| {
                    let from_m = m.map_or_else(
                        || self.step(axis, spare_m),
                        |m| m * std::f64::consts::FRAC_1_SQRT_2,
                    );
                    Some(Along::of(way[axis], from_m))
                }),
                Spot::FromCorner(way, m) => [0, 1].map(|axis| Some(Along::of(way[axis], m[axis]))),
                Spot::Middle => [Some(Along::Center); 2],
                Spot::Off(named, m, side) => {
                    let thing = self.find(named)?;
                    let way = side.unwrap_or_else(|| self.roomiest(thing)[0]);
                    let m = m.unwrap_or(STEP_M + spare_m);
                    let (low, high) = (
                        [thing.area.x0, thing.area.y0],
                        [thing.area.x1, thing.area.y1],
                    );
                    [0, 1].map(|axis| {
                        Some(Along::At(match way[axis] {
                            1 => high[axis] + m,
                            -1 => low[axis] - m - size[axis],
                            _ => (0.5 * (low[axis] + high[axis] - size[axis]))
                                .clamp(0.0, (self.size[axis] - size[axis]).max(0.0)),
                        }))
                    })
                }
                Spot::Between(one, two) => {
                    let (one, two) = (self.find(one)?.area.centre(), self.find(two)?.area.centre());
                    let middle = [0.5 * (one.x + two.x), 0.5 * (one.y + two.y)];
                    [0, 1].map(|axis| Some(Along::At(middle[axis] - 0.5 * size[axis])))
                }
                Spot::Among(_) => return Err(fault()),
            };
            for axis in [0, 1] {
                if two[axis].is_some() && along[axis].is_some() {
                    return Err(fault());
                }
                along[axis] = along[axis].or(two[axis]);
            }
        }
        let low = [0, 1].map(|axis| {
            along[axis]
                .unwrap_or(Along::Center)
                .low(self.size[axis], size[axis])
        });
        self.inside(low, size, said)
    }

    /// The rectangle, if it lies in the yard.
    fn inside(&self, low: [f64; 2], size: [f64; 2], said: &str) -> Result<Rect, String> {
        for axis in [0, 1] {
            if low[axis] < -1e-9 || low[axis] + size[axis] > self.size[axis] + 1e-9 {
                let [width, depth] = self.size.map(feet_and_metres);
                let text = shortened(said);
                return Err(say!("fault.ask.outside", text, width, depth));
            }
        }
        Ok(Rect::new(
            low[0],
            low[1],
            low[0] + size[0],
            low[1] + size[1],
        ))
    }

    /// One of several plantings that stand along a side, end to end.
    fn beside(
        &self,
        all: &[&(usize, Laid)],
        which: usize,
        way: Way,
        said: &str,
    ) -> Result<Rect, String> {
        let axis = usize::from(way[0] == 0);
        let other = 1 - axis;
        let gap = |a: &Laid, b: &Laid| a.spare_m + b.spare_m + STEP_M;
        let lengths = all.iter().map(|(_, laid)| laid.size[other]);
        let gaps = all.windows(2).map(|w| gap(&w[0].1, &w[1].1));
        let whole: f64 = lengths.chain(gaps).sum();
        let mut from = 0.5 * (self.size[other] - whole);
        let mut before: Option<&Laid> = None;
        for (i, laid) in all.iter().map(|one| (one.0, &one.1)) {
            from += before.map_or(0.0, |before| gap(before, laid));
            if i == which {
                let step = Along::of(way[axis], self.step(axis, laid.spare_m));
                let mut low = [0.0; 2];
                low[axis] = step.low(self.size[axis], laid.size[axis]);
                low[other] = from;
                return self.inside(low, laid.size, said);
            }
            from += laid.size[other];
            before = Some(laid);
        }
        Err(say!("fault.phrase.where", text = shortened(said)))
    }

    /// Sides of a thing, that with most room to the fence first.
    fn roomiest(&self, thing: &Standing) -> [Way; 4] {
        let room = |way: &Way| match way {
            [1, _] => self.size[0] - thing.area.x1,
            [-1, _] => thing.area.x0,
            [_, 1] => self.size[1] - thing.area.y1,
            _ => thing.area.y0,
        };
        let mut ways: [Way; 4] = [[0, -1], [0, 1], [1, 0], [-1, 0]];
        ways.sort_by(|a, b| room(b).total_cmp(&room(a)));
        ways
    }

    /// The building that a point lies in.
    fn built(&self, p: Point) -> Option<&Standing> {
        let built = self
            .standing
            .iter()
            .filter(|s| s.named.kind == Kind::Structure);
        built
            .into_iter()
            .find(|s| s.named.id != "tree" && s.area.contains(p))
    }

    /// Where a trap hangs.
    fn point(&mut self, spots: &[Spot], said: &str) -> Result<Point, String> {
        let at = self.spot(spots, said)?;
        match self.built(at) {
            Some(s) => Err(say!(
                "fault.ask.inside",
                text = shortened(said),
                name = s.name
            )),
            None => Ok(at),
        }
    }

    fn spot(&mut self, spots: &[Spot], said: &str) -> Result<Point, String> {
        if let [Spot::Off(named, m, side)] = spots {
            let thing = self.find(named)?;
            let m = m.unwrap_or(STEP_M);
            let (area, name) = (thing.area, thing.name.clone());
            let off = |way: Way| {
                let reach = |w: i8, low: f64, high: f64| match w {
                    1 => high + m,
                    -1 => low - m,
                    _ => 0.5 * (low + high),
                };
                Point::new(
                    reach(way[0], area.x0, area.x1),
                    reach(way[1], area.y0, area.y1),
                )
            };
            if let Some(way) = side {
                return self.within(off(*way), said);
            }
            // The side with most room where it can hang.
            let ways = self.roomiest(thing);
            let fits = |way: &&Way| {
                self.within(off(**way), said).is_ok() && self.built(off(**way)).is_none()
            };
            let way = *ways.iter().find(fits).unwrap_or(&ways[0]);
            if !said.is_empty() {
                let side = say!(&format!("place.side.{}", name_of(way)));
                self.notes
                    .push(say!("ask.taken.way", text = said.trim(), name, side));
            }
            return self.within(off(way), said);
        }
        if let [Spot::Among(named)] = spots {
            let area = self.find(named)?.area;
            return Ok(area.centre());
        }
        let phrase = Phrase {
            spots: spots.iter().map(closer).collect(),
            ..Phrase::default()
        };
        if spots.is_empty() {
            return Err(say!("fault.ask.no-spot", text = shortened(said)));
        }
        let area = self.put(&phrase, [0.0; 2], 0.0, said)?;
        Ok(Point::new(area.x0, area.y0))
    }

    fn within(&self, p: Point, said: &str) -> Result<Point, String> {
        self.inside([p.x, p.y], [0.0; 2], said).map(|_| p)
    }
}

/// A trap hangs nearer to a fence than a plant stands.
fn closer(spot: &Spot) -> Spot {
    match spot {
        Spot::Side(way, None) => Spot::Side(*way, Some(IN_CORNER_M)),
        Spot::Corner(way, None) => Spot::FromCorner(*way, [IN_CORNER_M; 2]),
        spot => spot.clone(),
    }
}

/// A method of a plan from words such as "pick by hand at dusk, 3 days a week".
fn method(said: &str, pest: &Pest, notes: &mut Vec<String>) -> Result<Value, Refused> {
    let fault = |key: &str| Refused::new("do", say!(key, text = shortened(said)));
    let plain = words::plain(said).replace([',', ';', '(', ')'], " ");
    let all: Vec<&str> = plain.split_whitespace().collect();
    let (mut id, mut times, mut i) = (None, Vec::new(), 0);
    let (mut mesh_mm, mut every, mut days_a_week) = (None, None, None);
    let number = |word: &str| {
        let spelt = words::find(Kind::Number, word).map(str::to_owned);
        spelt.unwrap_or_else(|| word.to_owned()).parse::<f64>().ok()
    };
    while i < all.len() {
        let name = (1..=4.min(all.len() - i)).rev().find_map(|n| {
            let text = all[i..i + n].join(" ");
            words::find(Kind::Method, &text).map(|id| (id, n))
        });
        let hour = (1..=3.min(all.len() - i)).rev().find_map(|n| {
            let text = all[i..i + n].join(" ");
            words::find(Kind::Hour, &text).map(|hour| (hour, n))
        });
        let next = all.get(i + 1).copied().unwrap_or_default();
        if let Some((found, n)) = name {
            if id.is_some_and(|id| id != found) {
                return Err(fault("fault.ask.one-method"));
            }
            id = Some(found);
            i += n;
        } else if let Some((hour, n)) = hour {
            times.push(hour.to_owned());
            i += n;
        } else if let Some(time) = clock(all[i], next) {
            times.push(time.0);
            i += time.1;
        } else if let Some((n, used, unit)) = often(&all[i..], number) {
            match (unit, n) {
                ("week", 1..=7) => days_a_week = Some(f64::from(n)),
                ("day", 1) => {}
                ("day", 2) => times.extend(["8:00", "19:00"].map(str::to_owned)),
                ("day", 3) => times.extend(["8:00", "14:00", "19:00"].map(str::to_owned)),
                ("other", _) => every = Some(2.0),
                _ => return Err(fault("fault.ask.method-number")),
            }
            i += used;
        } else if let Some(n) = all[i]
            .strip_suffix("mm")
            .and_then(|n| n.parse::<f64>().ok())
        {
            mesh_mm = Some(n);
            i += 1;
        } else if let Some(n) = number(all[i]) {
            match next {
                "mm" | "millimeter" | "millimeters" => mesh_mm = Some(n),
                "day" | "days" | "dias" if all[..i].last() == Some(&"every") => every = Some(n),
                "day" | "days" | "dias" => days_a_week = Some(n),
                _ => return Err(fault("fault.ask.method-number")),
            }
            i += 2;
        } else if words::find(Kind::Fill, all[i]).is_some()
            || words::find(Kind::Place, all[i]).is_some()
            || words::find(Kind::Often, all[i]).is_some()
            || words::find(Kind::Crop, all[i]).is_some()
        {
            i += 1;
        } else {
            let near = words::near(Kind::Method, all[i]);
            let (word, text) = (shortened(all[i]), shortened(said));
            let what = say!("fault.phrase.word", word, text);
            return Err(Refused::new("do", told(&what, near.as_deref(), "")));
        }
    }
    let id = id.ok_or_else(|| Refused::new("do", no_such(Kind::Method, said)))?;
    if id == "trap-crop" {
        return Err(fault("fault.ask.trap-crop"));
    }
    let mut method = json!({ "method": id });
    if !times.is_empty() {
        method["times"] = times.into();
    }
    if let Some(n) = days_a_week {
        method["days_a_week"] = json!(n as u32);
    }
    if let Some(n) = every {
        if id != "repellent" {
            return Err(fault("fault.ask.days-a-week"));
        }
        method["every"] = json!(n as u32);
    }
    if id == "row-cover" {
        let taken = cover_mesh_mm(pest);
        if mesh_mm.is_none() {
            notes.push(say!("ask.taken.mesh", mm = taken));
        }
        method["mesh_mm"] = json!(mesh_mm.unwrap_or(taken));
    }
    Ok(method)
}

/// How often, how many words say so, and of what: "twice a week", "3 times a day", "every other day".
fn often(
    words: &[&str],
    number: impl Fn(&str) -> Option<f64>,
) -> Option<(u32, usize, &'static str)> {
    let often = |i: usize| words::find(Kind::Often, words.get(i)?);
    if often(0) == Some("every") && often(1) == Some("other") {
        return Some((2, 3.min(words.len()), "other"));
    }
    let (n, mut used) = match often(0) {
        Some("once") => (1.0, 1),
        Some("twice") => (2.0, 1),
        _ if often(1) == Some("times") => (number(words[0])?, 2),
        _ => return None,
    };
    let idle = |i: usize| {
        words
            .get(i)
            .is_some_and(|w| ["a", "per", "each", "every", "al", "por", "la"].contains(w))
    };
    while idle(used) {
        used += 1;
    }
    let unit = often(used).filter(|unit| ["week", "day"].contains(unit));
    Some((
        n as u32,
        used + usize::from(unit.is_some()),
        unit.unwrap_or("day"),
    ))
}

/// A time of day and how many words it takes: "19:00", "6:30 pm", "7 pm", "7pm".
fn clock(word: &str, next: &str) -> Option<(String, usize)> {
    if let Some((hour, minute)) = word.split_once(':') {
        let (hour, minute): (u32, u32) = (hour.parse().ok()?, minute.parse().ok()?);
        if ["pm", "p.m."].contains(&next) && hour < 12 {
            return Some((format!("{}:{minute:02}", hour + 12), 2));
        }
        if ["am", "a.m."].contains(&next) && hour < 13 {
            return Some((format!("{}:{minute:02}", hour % 12), 2));
        }
        return (hour < 24 && minute < 60).then(|| (format!("{hour}:{minute:02}"), 1));
    }
    let digits = word.trim_end_matches(char::is_alphabetic);
    let hour: u32 = digits.parse().ok().filter(|h| (1..=12).contains(h))?;
    let (half, used) = match &word[digits.len()..] {
        "" => (next, 2),
        half => (half, 1),
    };
    let hour = match half {
        "am" | "a.m." => hour % 12,
        "pm" | "p.m." => hour % 12 + 12,
        _ => return None,
    };
    Some((format!("{hour}:00"), used))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{Scenario, read};

    fn asked(plants: &[&str], traps: &[&str]) -> Asked {
        let all = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
        Asked {
            pest: "japanese beetle".into(),
            plants: all(plants),
            yard: Some("60 by 40 ft".into()),
            traps: all(traps),
            ..Asked::default()
        }
    }

    fn yard(asked: &Asked) -> Scenario {
        let composed = asked.compose().unwrap_or_else(|why| panic!("{why:?}"));
        let read = read(&composed.text, "y.json", &|_| Err(String::new()));
        read.unwrap_or_else(|faults| panic!("{faults:?}\n{}", composed.text))
    }

    fn ft(p: Point) -> [f64; 2] {
        [feet(p.x), feet(p.y)].map(|v| (v * 10.0).round() / 10.0)
    }

    #[test]
    fn the_question_of_the_readme_becomes_its_yard() {
        let mut asked = asked(
            &[
                "8 roses along the north fence",
                "green beans, bed 10 by 4 ft, 10 ft from the south fence",
            ],
            &["30 ft from the roses"],
        );
        asked.from = Some("south".into());
        asked.wind = Some("southwest".into());
        let yard = yard(&asked);
        assert_eq!(yard.crops[0].count, 8);
        assert!(
            yard.plants[..8]
                .iter()
                .all(|p| (feet(p.at.y) - 37.0).abs() < 0.05)
        );
        let beans = &yard.plants[8..];
        assert!(beans.iter().all(|p| (10.0..=14.0).contains(&feet(p.at.y))));
        assert_eq!(ft(yard.plans[1].traps[0].at), [30.0, 7.0]);
        let from = yard.from_side.map(|f| f.bearing_rad.to_degrees().round());
        assert_eq!(from, Some(180.0));
    }

    #[test]
    fn distances_and_corners_are_where_they_were_said_to_be() {
        let plants = ["8 roses along the north fence"];
        for (said, at) in [
            ("10 ft south of the roses", [30.0, 27.0]),
            (
                "20 ft east and 5 ft north of the south-west corner",
                [20.0, 5.0],
            ),
            (
                "10 ft from the south fence and 20 ft from the east fence",
                [40.0, 10.0],
            ),
            ("in the middle", [30.0, 20.0]),
            ("in the south-west corner", [1.6, 1.6]),
        ] {
            let yard = yard(&asked(&plants, &[said]));
            assert_eq!(ft(yard.plans[1].traps[0].at), at, "{said}");
            assert_eq!(yard.spots[0].name, said);
        }
    }

    #[test]
    fn several_plantings_share_a_side_and_none_stands_on_another() {
        let yard = yard(&asked(
            &[
                "4 roses along the north fence",
                "4 raspberries along the north fence",
                "grapes",
            ],
            &[],
        ));
        assert_eq!(yard.crops.len(), 3);
        let [a, b] = [0, 4].map(|first| &yard.plants[first..first + 4]);
        assert!(a.iter().all(|p| b.iter().all(|q| p.at.x < q.at.x)));
    }

    #[test]
    fn what_was_not_said_is_told() {
        let mut one = asked(&["roses"], &[]);
        one.yard = None;
        let composed = one.compose().unwrap_or_else(|why| panic!("{why:?}"));
        for part in [
            "60 ft (18.3 m) by 40 ft",
            "6 are taken",
            "north fence",
            "10 ft from roses",
        ] {
            assert!(
                composed.notes.iter().any(|note| note.contains(part)),
                "{part}: {:?}",
                composed.notes
            );
        }
        assert!(
            asked(
                &["8 roses along the north fence"],
                &["10 ft south of the roses"]
            )
            .compose()
            .is_ok_and(|c| c.notes.is_empty())
        );
    }

    #[test]
    fn answers_that_cannot_be_are_asked_back() {
        let fault = |asked: Asked| asked.compose().map(|c| c.text).unwrap_err();
        assert_eq!(
            fault(asked(&["30 lettuces along the north fence"], &[])).answer,
            "plants"
        );
        let anyway = Asked {
            anyway: true,
            ..asked(&["30 lettuces along the north fence"], &[])
        };
        assert!(anyway.compose().is_ok());
        assert_eq!(
            fault(asked(
                &["8 roses along the north fence"],
                &["200 ft from the roses"]
            ))
            .answer,
            "trap"
        );
        assert_eq!(
            fault(asked(
                &["8 roses along the north fence"],
                &["10 ft from the pears"]
            ))
            .answer,
            "trap"
        );
        assert_eq!(
            fault(asked(&["1000000 roses along the north fence"], &[])).answer,
            "plants"
        );
        assert_eq!(
            fault(asked(&["90 roses along the north fence"], &[])).answer,
            "plants"
        );
        let two = Asked {
            wind: Some("north south".into()),
            ..asked(&["8 roses"], &[])
        };
        assert_eq!(fault(two).answer, "wind");
        let tiny = Asked {
            yard: Some("0 by 40 ft".into()),
            ..asked(&["8 roses"], &[])
        };
        assert_eq!(fault(tiny).answer, "yard");
        let moth = Asked {
            pest: "codling moth".into(),
            ..asked(&["lettuces"], &[])
        };
        assert!(fault(moth).why.contains("fruit"));
    }

    #[test]
    fn methods_are_read_with_their_times_and_meshes() {
        let pest = pest("japanese beetle").unwrap_or_else(|why| panic!("{why:?}"));
        let read = |said: &str| {
            method(said, &pest, &mut Vec::new()).unwrap_or_else(|why| panic!("{said}: {why:?}"))
        };
        assert_eq!(read("pick by hand at dusk")["times"], json!(["19:00"]));
        assert_eq!(
            read("hand-picking twice a day, 3 days a week")["days_a_week"],
            3
        );
        assert_eq!(read("pick at 7 pm")["times"], json!(["19:00"]));
        assert_eq!(read("a net with 2 mm mesh")["mesh_mm"], 2.0);
        assert_eq!(read("repellent every 7 days")["every"], 7);
        assert_eq!(
            read("pick twice a week at 6:30 pm"),
            json!({ "method": "hand-removal", "times": ["18:30"], "days_a_week": 2 })
        );
        assert_eq!(
            read("pick 3 times a day")["times"],
            json!(["8:00", "14:00", "19:00"])
        );
        assert_eq!(
            read("recoger a mano al anochecer")["times"],
            json!(["19:00"])
        );
        for said in ["net and bags", "pray", "pick 3 9", "pick every other day"] {
            assert!(method(said, &pest, &mut Vec::new()).is_err(), "{said}");
        }
    }
}
