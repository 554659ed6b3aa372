//! What a yard may hold, by id, with names for people: straight from the catalogue.

use super::ready::READY;
use crate::catalogue::{self, CROPS, LURES, METHODS, PESTS, TRAPS, ids, usual_lure, usual_trap};
use crate::say::translated;
use crate::units::METRES_PER_FOOT;
use serde_json::{Value, json};

pub(super) fn all() -> Value {
    json!({
        "pests": list(PESTS, catalogue::pest, |p| json!({
            "id": p.id, "name": p.name, "plural": p.plural, "short": p.short, "guild": p.guild, "mover": p.mover,
            "pressures": p.pressure.keys().collect::<Vec<_>>(),
            "usual_lure": usual_lure(&p.id), "usual_trap": usual_trap(&p.id), "badge": p.badge,
        })),
        "crops": list(CROPS, catalogue::crop, |c| json!({
            "id": c.id, "name": c.name, "plural": c.plural, "tree": c.tree,
            "spacing": c.spacing.central() / METRES_PER_FOOT, "radius": c.canopy.central() / METRES_PER_FOOT,
            "pests": c.hosts.keys().filter(|pest| c.feeds(pest)).collect::<Vec<_>>(),
        })),
        "lures": list(LURES, catalogue::lure, |l| json!({ "id": l.id, "name": l.name, "pest": l.pest, "bait": l.bait })),
        "traps": list(TRAPS, catalogue::trap, |t| json!({ "id": t.id, "name": t.name })),
        "methods": list(METHODS, catalogue::method, |m| json!({ "id": m.id, "name": m.name, "flag": m.flag })),
        "yards": READY.iter().map(|(name, text)| ready(name, text)).collect::<Vec<Value>>(),
    })
}

fn list<T>(
    of: &[(&'static str, &'static str)],
    read: impl Fn(&str) -> Option<T>,
    each: impl Fn(&T) -> Value,
) -> Vec<Value> {
    let read = ids(of).into_iter().filter_map(read);
    read.map(|kind| each(&kind)).collect()
}

fn ready(name: &str, text: &str) -> Value {
    let value: Value = serde_json::from_str(text).unwrap_or_default();
    let title = translated(value["title"].as_str().unwrap_or_default());
    json!({ "name": name, "title": title, "text": text })
}
