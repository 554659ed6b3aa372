//! Plans and their traps.

use super::crops::Ground;
use super::error::fault;
use super::file::{self, File, TrapRole};
use super::notes::Notes;
use super::place::member;
use super::{Crop, Owner, Plan, Role, Structure, Trap, Window, Zone, change, methods};
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
    if file.plans.len() > MOST_PLANS {
        fault!(
            notes.faults,
            "plans",
            "fault.plans.many",
            n = file.plans.len(),
            limit = MOST_PLANS
        );
        return None;
    }
    let (lures, trap_kinds) = (Vec::new(), Vec::new());
    let mut reader = Reader {
        file,
        pest,
        window,
        ground,
        structures,
        no_hang,
        lures,
        trap_kinds,
    };
    reader.check_changes(notes);
    let theirs = reader.neighbours_traps(notes);
    let mut seen = BTreeSet::new();
    let mut plans = Vec::new();
    for (i, plan) in file.plans.iter().enumerate() {
        let path = format!("plans[{i}]");
        notes.name(&plan.name, &member(&path, "name"), &mut seen);
        let mut traps = reader.traps(&plan.traps, &member(&path, "traps"), notes);
        let methods = methods::read(
            &plan.methods,
            (pest, window, crops),
            (&plan.name, &member(&path, "methods")),
            notes,
        );
        if !(plan.traps.is_empty() && plan.methods.is_empty()) {
            add_theirs(&mut traps, &theirs);
        }
        plans.push(Plan {
            name: plan.name.clone(),
            traps,
            methods,
            own_cost: own_cost(plan, &path, notes),
        });
    }
    put_no_trap_first(file, &mut plans, &mut seen, notes);
    if !theirs.is_empty() && seen.insert(say!("yard.plan.theirs")) {
        let name = say!("yard.plan.theirs");
        notes.default_used(
            "plans",
            say!("yard.default.plan", name),
            say!("yard.default.plan.theirs.why"),
        );
        plans.insert(
            1,
            Plan {
                name,
                traps: theirs,
                methods: Vec::new(),
                own_cost: [None; 2],
            },
        );
    }
    Some(Hung {
        lures: reader.lures,
        trap_kinds: reader.trap_kinds,
        plans,
    })
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
fn put_no_trap_first(
    file: &File,
    plans: &mut Vec<Plan>,
    seen: &mut BTreeSet<String>,
    notes: &mut Notes,
) {
    let nothing = |p: &file::Plan| p.traps.is_empty() && p.methods.is_empty();
    if let Some(i) = file.plans.iter().position(nothing) {
        let plan = plans.remove(i);
        plans.insert(0, plan);
        return;
    }
    let mut name = say!("yard.plan.none");
    while !seen.insert(name.clone()) {
        name = say!("yard.plan.none.again", name);
    }
    notes.default_used(
        "plans",
        say!("yard.default.plan", name),
        say!("yard.default.plan.why"),
    );
    plans.insert(
        0,
        Plan {
            name,
            traps: Vec::new(),
            methods: Vec::new(),
            own_cost: [None; 2],
        },
    );
}

/// The user's own dollars and minutes.
fn own_cost(plan: &file::Plan, path: &str, notes: &mut Notes) -> [Option<f64>; 2] {
    let costs = [
        ("dollars", plan.dollars, "fault.own-cost.dollars"),
        ("minutes", plan.minutes, "fault.own-cost.minutes"),
    ];
    for (key, value, text) in costs {
        if let Some(value) = value {
            let faults = &mut notes.faults;
            faults.within(member(path, key), value, 0.0..=1e6, text);
        }
    }
    [plan.dollars, plan.minutes]
}

impl Reader<'_> {
    fn neighbours_traps(&mut self, notes: &mut Notes) -> Vec<Trap> {
        let file = self.file;
        let mut out = Vec::new();
        for (i, neighbour) in file.neighbours.iter().enumerate() {
            let Some(trap) = &neighbour.trap else {
                continue;
            };
            let path = format!("neighbours[{i}].trap");
            let name = trap
                .name
                .clone()
                .unwrap_or_else(|| say!("yard.trap.of", name = neighbour.name));
            out.extend(self.trap(trap, name, Some(&neighbour.name), &path, notes));
        }
        out
    }

    fn traps(&mut self, list: &[file::Trap], path: &str, notes: &mut Notes) -> Vec<Trap> {
        if list.len() > MOST_TRAPS {
            fault!(
                notes.faults,
                path,
                "fault.traps.many",
                n = list.len(),
                limit = MOST_TRAPS
            );
            return Vec::new();
        }
        let mut seen = BTreeSet::new();
        let mut out = Vec::new();
        for (i, trap) in list.iter().enumerate() {
            let path = format!("{path}[{i}]");
            let name = trap
                .name
                .clone()
                .unwrap_or_else(|| say!("yard.trap", n = i + 1));
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
        let owner = self.ground.owner(
            written.owner.as_deref().or(whose),
            &member(path, "owner"),
            notes,
        );
        let at = notes.position(&written.at, &member(path, "at"));
        if let (Some(owner), Some(at)) = (owner, at) {
            self.check_place(written, owner, at, &member(path, "at"), notes);
        }
        let lure = self.lure(written.lure.as_deref(), path, notes);
        let kind = self.kind(written.kind.as_deref(), path, notes);
        let days = self.days(written, path, notes);
        let n_lures = written.lures.unwrap_or(1);
        notes
            .faults
            .within(member(path, "lures"), n_lures, 1..=20, "fault.lures");
        let strength = written.strength.unwrap_or(1.0);
        notes.faults.within(
            member(path, "strength"),
            strength,
            0.0..=10.0,
            "fault.strength",
        );
        let lure_age_d = written.lure_age.unwrap_or(0.0);
        notes.faults.within(
            member(path, "lure_age"),
            lure_age_d,
            0.0..=1000.0,
            "fault.lure-age",
        );
        let catch_radius_m = written
            .catch_radius
            .as_ref()
            .and_then(|r| notes.length(r, &member(path, "catch_radius"), 0.01, 200.0));
        let empty_every_d = Self::emptying(written, path, notes);
        let (owner, lure, (from_day, to_day)) = (owner?, lure?, days?);
        let role = written.role.map_or_else(|| self.usual_role(lure), role);
        Some(Trap {
            name,
            at: at?,
            lure,
            n_lures,
            kind: kind?,
            role,
            strength,
            lure_age_d,
            from_day,
            to_day,
            empty_every_d,
            neighbours: owner != Owner::Mine,
            catch_radius_m,
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
            notes.faults.add(path, what, self.ground.enlarge(owner, at));
        }
        if written.place_anyway {
            return;
        }
        for s in self.structures.iter().filter(|s| s.shape.contains(at)) {
            fault!(notes.faults, path, "fault.trap.inside", name = s.name);
        }
        for z in self.no_hang.iter().filter(|z| z.shape.contains(at)) {
            fault!(notes.faults, path, "fault.trap.no-hang", name = z.name);
        }
    }

    /// Index of a lure, added to the list at its first use.
    fn lure(&mut self, written: Option<&str>, path: &str, notes: &mut Notes) -> Option<usize> {
        let usual = catalogue::usual_lure(&self.pest.id);
        let id = written.unwrap_or(usual);
        let at = member(path, "lure");
        if let Some(i) = self.lures.iter().position(|l| l.id == id) {
            return Some(i);
        }
        let Some(mut lure) = catalogue::lure(id) else {
            notes
                .faults
                .unknown(at, "lure", id, &catalogue::ids(catalogue::LURES));
            return None;
        };
        if written.is_none() {
            notes.default_used(&at, lure.name.clone(), say!("yard.default.lure.why"));
        }
        if lure.pest != self.pest.id && lure.pest != "custom" {
            notes.warnings.push(say!(
                "yard.warn.lure",
                path = at,
                lure = lure.name,
                insect = self.pest.name,
                insects = self.pest.plural
            ));
        }
        for (key, one) in self.file.lure_values.get(id).into_iter().flatten() {
            let (table, slot) = if LureCosts::has(key) {
                (LureCosts::TABLE, lure.costs.get_mut(key))
            } else {
                (LureValues::TABLE, lure.values.get_mut(key))
            };
            let path = format!("lure_values.{id}");
            change::apply((key, one), table, &path, &mut notes.faults, slot);
        }
        self.lures.push(lure);
        Some(self.lures.len() - 1)
    }

    /// Index of a kind of trap, added to the list at its first use.
    fn kind(&mut self, written: Option<&str>, path: &str, notes: &mut Notes) -> Option<usize> {
        let id = written.unwrap_or(catalogue::usual_trap(&self.pest.id));
        let at = member(path, "kind");
        if let Some(i) = self.trap_kinds.iter().position(|k| k.id == id) {
            return Some(i);
        }
        let Some(mut kind) = catalogue::trap(id) else {
            notes
                .faults
                .unknown(at, "trap", id, &catalogue::ids(catalogue::TRAPS));
            return None;
        };
        if written.is_none() {
            notes.default_used(&at, kind.name.clone(), say!("yard.default.trap.why"));
        }
        for (key, one) in self.file.trap_values.get(id).into_iter().flatten() {
            let (table, slot) = if TrapCosts::has(key) {
                (TrapCosts::TABLE, kind.costs.get_mut(key))
            } else {
                (TrapValues::TABLE, kind.values.get_mut(key))
            };
            let path = format!("trap_values.{id}");
            change::apply((key, one), table, &path, &mut notes.faults, slot);
        }
        let most = kind.values.capture.highest() + kind.values.land.highest();
        if most > 1.0 + 1e-9 {
            let n = format!("{most:.2}");
            fault!(
                notes.faults,
                format!("trap_values.{id}"),
                "fault.capture-and-land",
                n
            );
        }
        self.trap_kinds.push(kind);
        Some(self.trap_kinds.len() - 1)
    }

    /// First day and the day after the last, counted from 0.
    fn days(&self, written: &file::Trap, path: &str, notes: &mut Notes) -> Option<(u32, u32)> {
        let all = self.window.days;
        let from = written.from_day.unwrap_or(1);
        let to = written.to_day.unwrap_or(all);
        let faults = &mut notes.faults;
        let inside = faults.within(member(path, "from_day"), from, 1..=all, "fault.day")
            && faults.within(member(path, "to_day"), to, from..=all, "fault.day");
        inside.then(|| (from - 1, to))
    }

    fn emptying(written: &file::Trap, path: &str, notes: &mut Notes) -> Option<u32> {
        match written.empty_every {
            Some(0) => {
                fault!(notes.faults, member(path, "empty_every"), "fault.emptied");
                None
            }
            Some(days) => Some(days),
            None => {
                let taken = say!("yard.default.emptied");
                let known = notes.defaults.iter().any(|d| d.taken == taken);
                if !known {
                    notes.default_used(
                        member(path, "empty_every"),
                        taken,
                        say!("yard.default.emptied.why"),
                    );
                }
                Some(7)
            }
        }
    }

    /// A males-only scent tells you; everything that calls both sexes takes some away.
    fn usual_role(&self, lure: usize) -> Role {
        let values = &self.lures[lure];
        if values.class == "sex" {
            Role::TellsYou
        } else {
            Role::RemovesSome
        }
    }

    /// Changes to lures and traps that no plan uses would be lost in silence.
    fn check_changes(&self, notes: &mut Notes) {
        let traps = || {
            let own = self.file.plans.iter().flat_map(|p| &p.traps);
            own.chain(self.file.neighbours.iter().filter_map(|n| n.trap.as_ref()))
        };
        for id in self.file.lure_values.keys() {
            let used = traps().any(|t| {
                t.lure
                    .as_deref()
                    .unwrap_or(catalogue::usual_lure(&self.pest.id))
                    == id
            });
            if catalogue::lure(id).is_none() {
                notes.faults.unknown(
                    format!("lure_values.{id}"),
                    "lure",
                    id,
                    &catalogue::ids(catalogue::LURES),
                );
            } else if !used {
                fault!(
                    notes.faults,
                    format!("lure_values.{id}"),
                    "fault.unused.lure"
                );
            }
        }
        for id in self.file.trap_values.keys() {
            let used = traps().any(|t| {
                t.kind
                    .as_deref()
                    .unwrap_or(catalogue::usual_trap(&self.pest.id))
                    == id
            });
            if catalogue::trap(id).is_none() {
                notes.faults.unknown(
                    format!("trap_values.{id}"),
                    "trap",
                    id,
                    &catalogue::ids(catalogue::TRAPS),
                );
            } else if !used {
                fault!(
                    notes.faults,
                    format!("trap_values.{id}"),
                    "fault.unused.trap"
                );
            }
        }
    }
}

fn role(written: TrapRole) -> Role {
    match written {
        TrapRole::TellsYou => Role::TellsYou,
        TrapRole::RemovesSome => Role::RemovesSome,
        TrapRole::PeopleArea => Role::PeopleArea,
    }
}
