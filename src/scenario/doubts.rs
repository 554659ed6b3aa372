//! What may be a slip of the pen and may be meant: things that stand on plants, traps among leaves or inside a thing.

use super::{Scenario, Structure, StructureKind, Trap};
use crate::say::{counted, say};
use std::collections::BTreeSet;

/// Notes on a scenario that is right as far as it can be told.
pub(crate) fn doubts(scenario: &Scenario) -> Vec<String> {
    let mut all = Vec::new();
    for thing in scenario.structures.iter().filter(|s| is_solid(s)) {
        for crop in &scenario.crops {
            let plants = scenario.plants[crop.first..crop.first + crop.count].iter();
            let n = plants.filter(|p| thing.shape.contains(p.at)).count();
            if n > 0 {
                let key = counted("yard.warn.on-plants", n as u64);
                all.push(say!(&key, name = thing.name, n, crop = crop.name));
            }
        }
    }
    let mut traps = BTreeSet::new();
    for trap in scenario.plans.iter().flat_map(|p| &p.traps) {
        traps.extend(of_trap(scenario, trap));
    }
    all.extend(traps);
    all
}

/// Whether no plant can stand where the thing stands; one without a kind is taken as such.
fn is_solid(thing: &Structure) -> bool {
    use StructureKind::{House, Other, Pond, Shed};
    matches!(thing.kind, House | Shed | Pond | Other)
}

/// A trap among leaves, unless they are those of a tree, or inside a thing.
fn of_trap(scenario: &Scenario, trap: &Trap) -> Vec<String> {
    let name = &trap.name;
    let leaves = scenario.plants.iter().find(|p| {
        let tree = scenario.crops[p.crop].kind.tree;
        !tree && p.at.distance(trap.at) < p.canopy_m
    });
    let leaves = leaves.map(|p| {
        let crop = &scenario.crops[p.crop].name;
        say!("yard.warn.trap-in-plant", name, crop)
    });
    let things = scenario.structures.iter().filter(|s| is_solid(s));
    let inside = things.filter(|s| s.shape.contains(trap.at));
    let inside = inside.map(|s| say!("yard.warn.trap-in-thing", name, other = s.name));
    leaves.into_iter().chain(inside).collect()
}
