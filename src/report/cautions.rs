//! Cautions: what a plan holds decides which of them stand on every text, page and slide about it.
//!
//! To add one: its line in [`Content`], when it is there in [`contents`], and its sentences in `say/en/pages.json`.

use crate::catalogue::{Guild, SAFE_HOLE_MM};
use crate::control::Action;
use crate::geometry::Point;
use crate::say::{Strings, voice};
use crate::scenario::{Owner, Plan, Scenario, StructureKind, Trap};
use crate::stats::words::listed;
use std::collections::BTreeSet;

/// A trap as near to a tree as this hangs in it, metres.
const IN_TREE_M: f64 = 1.0;
/// Words in the name of a pest that stings.
const STINGING: [&str; 4] = ["wasp", "hornet", "yellowjacket", "yellow jacket"];
/// Said always, first of all.
const ALWAYS: [&str; 3] = ["caution.forecast", "caution.local", "caution.home"];

/// What needs a caution, in the order in which the cautions are said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Content {
    /// The pest stings.
    Sting,
    /// A trap for a pest that stings.
    StingTrap,
    /// A trap with its lure.
    Trap,
    /// An open cup of bait.
    OpenCup,
    /// A spray.
    Spray,
    /// Hosing with water.
    Water,
    /// A net or row cover.
    Net,
    /// A net or row cover on plants that need bees.
    Bees,
    /// Bags on the fruit.
    Bags,
    /// Work in a tree.
    Ladder,
    /// Picking by hand.
    Hands,
}

impl Content {
    /// All, in order.
    pub const ALL: [Content; 11] = [
        Content::Sting,
        Content::StingTrap,
        Content::Trap,
        Content::OpenCup,
        Content::Spray,
        Content::Water,
        Content::Net,
        Content::Bees,
        Content::Bags,
        Content::Ladder,
        Content::Hands,
    ];

    /// Keys of its sentences.
    pub fn keys(self) -> &'static [&'static str] {
        match self {
            Content::Sting => &[
                "caution.sting",
                "caution.sting.allergy",
                "caution.sting.nest",
            ],
            Content::StingTrap => &["caution.sting.where", "caution.sting.when"],
            Content::Trap => &["caution.trap", "caution.moved"],
            Content::OpenCup => &["caution.cup"],
            Content::Spray => &["caution.spray", "caution.spray.licensed"],
            Content::Water => &["caution.water"],
            Content::Net => &["caution.mesh"],
            Content::Bees => &["caution.bees"],
            Content::Bags => &["caution.bags"],
            Content::Ladder => &["caution.ladder"],
            Content::Hands => &["caution.hands"],
        }
    }

    /// Key of its shortest sentence, for a text of few words.
    pub fn short(self) -> &'static str {
        match self {
            Content::Sting => "caution.short.sting",
            Content::StingTrap => "caution.short.sting-trap",
            // One label for all that is bought.
            Content::Trap | Content::Spray => "caution.short.label",
            Content::OpenCup => "caution.short.cup",
            Content::Water => "caution.short.water",
            Content::Net => "caution.short.mesh",
            Content::Bees => "caution.short.bees",
            Content::Bags => "caution.short.bags",
            Content::Ladder => "caution.short.ladder",
            Content::Hands => "caution.short.hands",
        }
    }
}

/// Whether the pest of a scenario stings.
pub fn stings(scenario: &Scenario) -> bool {
    let name = scenario.pest.name.to_lowercase();
    scenario.pest.guild == Guild::Visitor || STINGING.iter().any(|word| name.contains(word))
}

/// What some plans hold that needs a caution; a neighbour's trap is not the asker's to care for.
pub fn contents<'a>(
    scenario: &Scenario,
    plans: impl IntoIterator<Item = &'a Plan>,
) -> BTreeSet<Content> {
    let mut all = BTreeSet::new();
    if stings(scenario) {
        all.insert(Content::Sting);
    }
    for plan in plans {
        for trap in plan.own_traps() {
            all.extend(of_trap(scenario, trap));
        }
        for method in &plan.methods {
            let on = |what: fn(&crate::scenario::Crop) -> bool| {
                method.crops.iter().any(|c| what(&scenario.crops[*c]))
            };
            all.extend(match &method.action {
                Action::Cover(_) => vec![Content::Net],
                Action::Bags(_) => vec![Content::Bags],
                Action::Hands(_) => vec![Content::Hands],
                Action::Repellent(_) => vec![Content::Spray],
                Action::Water(_) => vec![Content::Water],
                // Clearing is picking.
                Action::TrapCrop(crop) if crop.clear_every_d.is_some() => vec![Content::Hands],
                Action::TrapCrop(_) => vec![],
            });
            if matches!(method.action, Action::Cover(_)) && on(|c| c.kind.needs_bees) {
                all.insert(Content::Bees);
            }
            // A hose reaches up from the ground.
            if !matches!(method.action, Action::Water(_)) && on(|c| c.kind.tree) {
                all.insert(Content::Ladder);
            }
        }
    }
    all
}

fn of_trap(scenario: &Scenario, trap: &Trap) -> Vec<Content> {
    let (kind, lure) = (&scenario.trap_kinds[trap.kind], &scenario.lures[trap.lure]);
    let mut all = vec![Content::Trap];
    if stings(scenario) {
        all.push(Content::StingTrap);
    }
    if kind.open && (lure.bait || lure.class == "food") {
        all.push(Content::OpenCup);
    }
    if in_a_tree(scenario, trap.at) {
        all.push(Content::Ladder);
    }
    all
}

fn in_a_tree(scenario: &Scenario, at: Point) -> bool {
    let trees = scenario.structures.iter();
    let mut trees = trees.filter(|s| s.kind == StructureKind::Tree);
    let plants = scenario.plants.iter();
    let mut plants = plants.filter(|p| scenario.crops[p.crop].kind.tree);
    trees.any(|s| s.shape.distance(at) <= IN_TREE_M)
        || plants.any(|p| p.at.distance(at) - p.canopy_m <= IN_TREE_M)
}

/// Covered crops of the asker's that need bees.
fn bees_on<'a>(scenario: &Scenario, plans: impl IntoIterator<Item = &'a Plan>) -> Vec<String> {
    let methods = plans.into_iter().flat_map(|p| &p.methods);
    let covers = methods.filter(|m| matches!(m.action, Action::Cover(_)));
    let crops: BTreeSet<usize> = covers.flat_map(|m| m.crops.iter().copied()).collect();
    crops
        .into_iter()
        .map(|c| &scenario.crops[c])
        .filter(|c| c.kind.needs_bees && c.owner == Owner::Mine)
        .map(|c| c.name.clone())
        .collect()
}

/// Cautions of some plans, the most important first.
pub fn of_plans<'a>(
    s: &Strings,
    scenario: &Scenario,
    plans: impl IntoIterator<Item = &'a Plan> + Clone,
) -> Vec<String> {
    let found = contents(scenario, plans.clone());
    let net = (bees_on(scenario, plans), scenario.pest.widest_hole_mm());
    said(s, &found, &net)
}

/// Crops that need bees below it, and its widest hole, mm.
type Net = (Vec<String>, f64);

fn said(s: &Strings, found: &BTreeSet<Content>, net: &Net) -> Vec<String> {
    let own = found.iter().flat_map(|content| content.keys());
    let all = ALWAYS.iter().chain(own);
    all.map(|key| sentence(s, key, net)).collect()
}

fn sentence(s: &Strings, key: &str, (crops, hole_mm): &Net) -> String {
    match key {
        "caution.bees" if !crops.is_empty() => {
            s.fill("caution.bees.of", &[("crops", &listed(crops))])
        }
        key => s.fill(key, &[("mm", &hole_mm.to_string())]),
    }
}

/// What is said always, in one text.
pub fn always(s: &Strings) -> String {
    ALWAYS.map(|key| s.get(key)).join(" ")
}

/// Cautions of what some plans hold, a list for each thing held: all its sentences, the first of them, the shortest.
pub fn by_length<'a>(
    s: &Strings,
    scenario: &Scenario,
    plans: impl IntoIterator<Item = &'a Plan> + Clone,
) -> Vec<[String; 3]> {
    let net = (
        bees_on(scenario, plans.clone()),
        scenario.pest.widest_hole_mm(),
    );
    let found = contents(scenario, plans);
    let forms = |content: Content| {
        let said = |key: &&str| sentence(s, key, &net);
        let all: Vec<String> = content.keys().iter().map(said).collect();
        let short = [&content.keys()[0], &content.short()].map(said);
        let [first, shortest] = short;
        [all.join(" "), first, shortest]
    };
    found.into_iter().map(forms).collect()
}

/// Cautions of every plan of a scenario.
pub fn of_scenario(s: &Strings, scenario: &Scenario) -> Vec<String> {
    of_plans(s, scenario, &scenario.plans)
}

/// Cautions of a page that is about no yard: those of nets, traps and sprays, whatever the pest.
pub fn general(s: &Strings) -> Vec<String> {
    let found = [
        Content::Trap,
        Content::Spray,
        Content::Net,
        Content::Bees,
        Content::Ladder,
    ];
    said(s, &BTreeSet::from(found), &(Vec::new(), SAFE_HOLE_MM))
}

/// Cautions of every plan of a scenario, for the terminal.
///
/// # Panics
/// Never: English is compiled in.
pub fn told(scenario: &Scenario) -> Vec<String> {
    of_scenario(voice(), scenario)
}
