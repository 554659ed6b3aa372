//! Plans and their traps.

use super::crops::Ground;
use super::error::fault;
use super::file::{self, File};
use super::notes::Notes;
use super::place::member;
use super::{Crop, Owner, Plan, Role, Structure, Trap, Window, Zone, change, methods};
use crate::catalogue::words::{self, Kind};
use crate::catalogue::{
    self, LureCosts, LureKind, LureValues, Pest, TrapCosts, TrapKind, TrapValues,
};
use crate::say::say;
use crate::units::feet_and_metres;
use std::collections::BTreeSet;

/// Most plans in a file.
const MOST_PLANS: usize = 60;
/// Most traps in a plan.
const MOST_TRAPS: usize = 200;

/// Everything that hangs.
pub(crate) struct Hung {
    /// Lures used.
    pub(crate) lures: Vec<LureKind>,
    /// Kinds of trap used.
    pub(crate) trap_kinds: Vec<TrapKind>,
    /// Plans; the first has no trap.
    pub(crate) plans: Vec<Plan>,
}

struct Reader<'a> {
    file: &'a File,
    pest: &'a Pest,
    window: &'a Window,
    ground: &'a Ground<'a>,
    structures: &'a [Structure],
    no_hang: &'a [Zone],
    lures: Vec<LureKind>,
    trap_kinds: Vec<TrapKind>,
}

/// Reads the plans; adds one without traps in front when the file has none.
pub(crate) fn read(
    file: &File,
    (pest, window): (&Pest, &Window),
    ground: &Ground,
    crops: &[Crop],
    (structures, no_hang): (&[Structure], &[Zone]),
    notes: &mut Notes,
) -> Option<Hung> {
    let (n, limit) = (file.plans.len(), MOST_PLANS);
    if n > limit {
        fault!(notes, "plans", "fault.plans.many", n, limit);
        return None;
    }
    let mut reader = Reader {
        file,
        pest,
        window,
        ground,
        structures,
        no_hang,
        lures: Vec::new(),
        trap_kinds: Vec::new(),
    };
    reader.check_changes(notes);
    let theirs = reader.neighbours_traps(notes);
    let read = |plan: &file::Plan, name: String, path: &str, notes: &mut Notes| {
        let mut traps = reader.traps(&plan.traps, &member(path, "traps"), notes);
        let at = member(path, "methods");
        let methods = methods::read(&plan.methods, (pest, window, crops), (&name, &at), notes);
        if !(plan.traps.is_empty() && plan.methods.is_empty()) {
            add_theirs(&mut traps, &theirs);
        }
        Plan {
            name,
            traps,
            methods,
            own_cost: own_cost(plan, path, notes),
        }
    };
    let mut plans = notes.each(&file.plans, "plans", &[], |p| &p.name, read);
    put_no_trap_first(file, &mut plans, notes);
    // Whoever does nothing has the traps next door all the same; the first of such plans has no trap anywhere.
    let empty = |p: &&mut Plan| p.traps.is_empty() && p.methods.is_empty();
    let mut alone = false;
    for plan in plans.iter_mut().skip(1).filter(empty) {
        plan.traps.clone_from(&theirs);
        alone = true;
    }
    let name = say!("yard.plan.theirs");
    if !theirs.is_empty() && !alone && !is_taken(&name, &plans) {
        let taken = say!("yard.default.plan", name);
        notes.default_used("plans", taken, say!("yard.default.plan.theirs.why"));
        let traps = theirs;
        let plan = Plan {
            name,
            traps,
            ..Plan::default()
        };
        plans.insert(1, plan);
    }
    Some(Hung {
        lures: reader.lures,
        trap_kinds: reader.trap_kinds,
        plans,
    })
}

/// Whether a plan has this name.
fn is_taken(name: &str, plans: &[Plan]) -> bool {
    let same = |p: &Plan| p.name.trim().to_lowercase() == name.to_lowercase();
    plans.iter().any(same)
}

/// A neighbor's trap may share its name with one of the plan.
fn add_theirs(traps: &mut Vec<Trap>, theirs: &[Trap]) {
    for trap in theirs {
        let mut trap = trap.clone();
        while traps.iter().any(|t| t.name == trap.name) {
            trap.name.push('\'');
        }
        traps.push(trap);
    }
}

/// A plan is "no trap" when the file gives it none.
fn put_no_trap_first(file: &File, plans: &mut Vec<Plan>, notes: &mut Notes) {
    let nothing = |p: &file::Plan| p.traps.is_empty() && p.methods.is_empty();
    if let Some(i) = file.plans.iter().position(nothing) {
        plans[..=i].rotate_right(1);
        return;
    }
    let mut name = say!("yard.plan.none");
    while is_taken(&name, plans) {
        name = say!("yard.plan.none.again", name);
    }
    let taken = say!("yard.default.plan", name);
    notes.default_used("plans", taken, say!("yard.default.plan.why"));
    let plan = Plan {
        name,
        ..Plan::default()
    };
    plans.insert(0, plan);
}

/// The user's own dollars and minutes.
fn own_cost(plan: &file::Plan, path: &str, notes: &mut Notes) -> [Option<f64>; 2] {
    let costs = [
        ("dollars", plan.dollars, "fault.own-cost.dollars"),
        ("minutes", plan.minutes, "fault.own-cost.minutes"),
    ];
    for (key, value, text) in costs {
        if let Some(value) = value {
            notes.within(member(path, key), value, 0.0..=1e6, text);
        }
    }
    [plan.dollars, plan.minutes]
}

impl Reader<'_> {
    fn neighbours_traps(&mut self, notes: &mut Notes) -> Vec<Trap> {
        let mut out = Vec::new();
        for (i, neighbour) in self.file.neighbours.iter().enumerate() {
            let (path, whose) = (format!("neighbours[{i}].trap"), &neighbour.name);
            if let Some(trap) = &neighbour.trap {
                let name = trap.name.clone();
                let name = name.unwrap_or_else(|| say!("yard.trap.of", name = whose));
                out.extend(self.trap(trap, name, Some(whose), &path, notes));
            }
        }
        out
    }

    fn traps(&mut self, list: &[file::Trap], path: &str, notes: &mut Notes) -> Vec<Trap> {
        let (n, limit) = (list.len(), MOST_TRAPS);
        if n > limit {
            fault!(notes, path, "fault.traps.many", n, limit);
            return Vec::new();
        }
        let (mut seen, mut out) = (BTreeSet::new(), Vec::new());
        for (i, trap) in list.iter().enumerate() {
            let path = format!("{path}[{i}]");
            let name = trap.name.clone();
            let name = name.unwrap_or_else(|| say!("yard.trap", n = i + 1));
            notes.name(&name, &member(&path, "name"), &mut seen);
            out.extend(self.trap(trap, name, None, &path, notes));
        }
        out
    }

    fn trap(
        &mut self,
        written: &file::Trap,
        name: String,
        whose: Option<&str>,
        path: &str,
        notes: &mut Notes,
    ) -> Option<Trap> {
        let at = |key: &str| member(path, key);
        let owner = written.owner.as_deref().or(whose);
        let owner = self.ground.owner(owner, &at("owner"), notes);
        let place = notes.position(&written.at, &at("at"));
        if let (Some(owner), Some(place)) = (owner, place) {
            self.check_place(written, owner, place, &at("at"), notes);
        }
        let lure = self.lure(written.lure.as_deref(), at("lure"), notes);
        let kind = self.kind(written.kind.as_deref(), at("kind"), notes);
        let days = self.days(written, path, notes);
        let n_lures = written.lures.unwrap_or(1);
        notes.within(at("lures"), n_lures, 1..=20, "fault.lures");
        let strength = written.strength.unwrap_or(1.0);
        notes.within(at("strength"), strength, 0.0..=10.0, "fault.strength");
        let lure_age_d = written.lure_age.unwrap_or(0.0);
        notes.within(at("lure_age"), lure_age_d, 0.0..=1000.0, "fault.lure-age");
        let radius = written.catch_radius.as_ref();
        let radius = radius.and_then(|r| notes.length(r, &at("catch_radius"), 0.01, 200.0));
        let empty_every_d = Self::emptying(written, at("empty_every"), notes);
        let (owner, lure, (from_day, to_day)) = (owner?, lure?, days?);
        Some(Trap {
            name,
            at: place?,
            lure,
            n_lures,
            kind: kind?,
            role: written.role.unwrap_or_else(|| self.usual_role(lure)),
            strength,
            lure_age_d,
            from_day,
            to_day,
            empty_every_d,
            neighbours: owner != Owner::Mine,
            catch_radius_m: radius,
        })
    }

    fn check_place(
        &self,
        written: &file::Trap,
        owner: Owner,
        at: crate::geometry::Point,
        path: &str,
        notes: &mut Notes,
    ) {
        if let Some(area) = self.ground.area(owner)
            && area.distance_to(at) > 1e-9
        {
            let key = if owner == Owner::Mine {
                "fault.trap.outside"
            } else {
                "fault.trap.outside.theirs"
            };
            let what = say!(key, distance = feet_and_metres(area.distance_to(at)));
            notes.add(path, what, self.ground.enlarge(owner, at));
        }
        if written.place_anyway {
            return;
        }
        for s in self.structures.iter().filter(|s| s.shape.contains(at)) {
            fault!(notes, path, "fault.trap.inside", name = s.name);
        }
        for z in self.no_hang.iter().filter(|z| z.shape.contains(at)) {
            fault!(notes, path, "fault.trap.no-hang", name = z.name);
        }
    }

    /// Index of a lure, added to the list at its first use.
    fn lure(&mut self, written: Option<&str>, at: String, notes: &mut Notes) -> Option<usize> {
        let said = written.unwrap_or(catalogue::usual_lure(&self.pest.id));
        let id = words::find(Kind::Lure, said).unwrap_or(said);
        if let Some(i) = self.lures.iter().position(|l| l.id == id) {
            return Some(i);
        }
        let Some(mut lure) = catalogue::lure(id) else {
            notes.no_such(at, "lure", Kind::Lure, said);
            return None;
        };
        if written.is_none() {
            notes.default_used(&at, &lure.name, say!("yard.default.lure.why"));
        }
        if lure.pest != self.pest.id && lure.pest != "custom" {
            let (lure, insect, insects) = (&lure.name, &self.pest.name, &self.pest.plural);
            let told = say!("yard.warn.lure", path = at, lure, insect, insects);
            notes.warnings.push(told);
        }
        let path = format!("lure_values.{id}");
        for (key, one) in self.file.lure_values.get(id).into_iter().flatten() {
            let (table, slot) = match lure.costs.get_mut(key) {
                None => (LureValues::TABLE, lure.values.get_mut(key)),
                cost => (LureCosts::TABLE, cost),
            };
            change::apply((key, one), table, &path, notes, slot);
        }
        self.lures.push(lure);
        Some(self.lures.len() - 1)
    }

    /// Index of a kind of trap, added to the list at its first use.
    fn kind(&mut self, written: Option<&str>, at: String, notes: &mut Notes) -> Option<usize> {
        let said = written.unwrap_or(catalogue::usual_trap(&self.pest.id));
        let id = words::find(Kind::Trap, said).unwrap_or(said);
        if let Some(i) = self.trap_kinds.iter().position(|k| k.id == id) {
            return Some(i);
        }
        let Some(mut kind) = catalogue::trap(id) else {
            notes.no_such(at, "trap", Kind::Trap, said);
            return None;
        };
        if written.is_none() {
            notes.default_used(&at, &kind.name, say!("yard.default.trap.why"));
        }
        let path = format!("trap_values.{id}");
        for (key, one) in self.file.trap_values.get(id).into_iter().flatten() {
            let (table, slot) = match kind.costs.get_mut(key) {
                None => (TrapValues::TABLE, kind.values.get_mut(key)),
                cost => (TrapCosts::TABLE, cost),
            };
            change::apply((key, one), table, &path, notes, slot);
        }
        let most = kind.values.capture.highest() + kind.values.land.highest();
        if most > 1.0 + 1e-9 {
            let n = format!("{most:.2}");
            fault!(notes, path, "fault.capture-and-land", n);
        }
        self.trap_kinds.push(kind);
        Some(self.trap_kinds.len() - 1)
    }

    /// First day and the day after the last, counted from 0.
    fn days(&self, written: &file::Trap, path: &str, notes: &mut Notes) -> Option<(u32, u32)> {
        let all = self.window.days;
        let from = written.from_day.unwrap_or(1);
        let to = written.to_day.unwrap_or(all);
        let inside = notes.within(member(path, "from_day"), from, 1..=all, "fault.day")
            && notes.within(member(path, "to_day"), to, from..=all, "fault.day");
        inside.then(|| (from - 1, to))
    }

    fn emptying(written: &file::Trap, at: String, notes: &mut Notes) -> Option<u32> {
        if written.empty_every == Some(0) {
            fault!(notes, at, "fault.emptied");
            return None;
        }
        let taken = say!("yard.default.emptied");
        if written.empty_every.is_none() && notes.defaults.iter().all(|d| d.taken != taken) {
            notes.default_said(at, "yard.default.emptied");
        }
        Some(written.empty_every.unwrap_or(7))
    }

    /// A males-only scent tells you; everything that calls both sexes takes some away.
    fn usual_role(&self, lure: usize) -> Role {
        match self.lures[lure].class.as_str() {
            "sex" => Role::TellsYou,
            _ => Role::RemovesSome,
        }
    }

    /// Changes to lures and traps that no plan uses would be lost in silence.
    fn check_changes(&self, notes: &mut Notes) {
        let traps = || {
            let own = self.file.plans.iter().flat_map(|p| &p.traps);
            own.chain(self.file.neighbours.iter().filter_map(|n| n.trap.as_ref()))
        };
        let (lure, trap) = (
            catalogue::usual_lure(&self.pest.id),
            catalogue::usual_trap(&self.pest.id),
        );
        for id in self.file.lure_values.keys() {
            let (at, known) = (
                format!("lure_values.{id}"),
                catalogue::ids(catalogue::LURES),
            );
            if !known.contains(&id.as_str()) {
                notes.unknown(at, "lure", id, &known);
            } else if !traps().any(|t| t.lure.as_deref().unwrap_or(lure) == id) {
                fault!(notes, at, "fault.unused.lure");
            }
        }
        for id in self.file.trap_values.keys() {
            let (at, known) = (
                format!("trap_values.{id}"),
                catalogue::ids(catalogue::TRAPS),
            );
            if !known.contains(&id.as_str()) {
                notes.unknown(at, "trap", id, &known);
            } else if !traps().any(|t| t.kind.as_deref().unwrap_or(trap) == id) {
                fault!(notes, at, "fault.unused.trap");
            }
        }
    }
}
