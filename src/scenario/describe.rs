//! What was understood, in words that fit 80 columns.

use super::{Crop, Owner, Plan, Scenario, Shape, Trap, Wind};
use crate::catalogue::Mover;
use crate::geometry::Point;
use crate::say::{counted, say, translated, voice};
use crate::units::{as_written, feet_and_metres};

/// Columns of the text.
const WIDTH: usize = 80;

/// What was understood of a scenario: yard, plants, pest, wind, plans, every default with its source, doubts, and what is not
/// modeled. Lines fit 80 columns.
pub fn describe(scenario: &Scenario) -> String {
    let mut page = Page::default();
    page.line(0, &scenario.title);
    if !scenario.note.is_empty() {
        page.line(0, &scenario.note);
    }
    ground(scenario, &mut page);
    insects(scenario, &mut page);
    page.heading(&say!("yard.head.plans"));
    for plan in &scenario.plans {
        one_plan(scenario, plan, &mut page);
    }
    defaults(scenario, &mut page);
    if !scenario.warnings.is_empty() {
        page.heading(&say!("yard.head.warnings"));
        for warning in &scenario.warnings {
            page.item(warning);
        }
    }
    limits(&mut page);
    if let Some(mark) = voice().mark() {
        page.item(mark);
    }
    page.text
}

#[derive(Default)]
struct Page {
    text: String,
}

impl Page {
    fn heading(&mut self, text: &str) {
        self.text.push('\n');
        self.line(0, text);
    }

    fn item(&mut self, text: &str) {
        self.wrapped("- ", "  ", text);
    }

    fn line(&mut self, indent: usize, text: &str) {
        let margin = " ".repeat(indent);
        self.wrapped(&margin, &margin, text);
    }

    fn wrapped(&mut self, first: &str, rest: &str, text: &str) {
        let options = textwrap::Options::new(WIDTH)
            .initial_indent(first)
            .subsequent_indent(rest)
            .word_splitter(textwrap::WordSplitter::NoHyphenation);
        let words: Vec<&str> = text.split_whitespace().collect();
        self.text += &textwrap::fill(&words.join(" "), options);
        self.text.push('\n');
    }
}

fn ground(scenario: &Scenario, page: &mut Page) {
    page.heading(&say!("yard.head.yard"));
    let yard = &scenario.yard;
    let [width, depth] = [yard.width(), yard.height()].map(feet_and_metres);
    let (key, side) = (
        scenario.sided("detail.yard.size"),
        super::wind::side_of(scenario.up_bearing_rad),
    );
    page.item(&say!(&key, width, depth, side));
    for crop in &scenario.crops {
        page.item(&crop_words(scenario, crop));
    }
    for structure in &scenario.structures {
        let shape = shape_words(scenario, &structure.shape);
        page.item(&say!("yard.structure", name = structure.name, shape));
    }
    for zone in &scenario.no_hang {
        let shape = shape_words(scenario, &zone.shape);
        page.item(&say!("yard.no-hang", name = zone.name, shape));
    }
    for plot in &scenario.plots {
        let shape = shape_words(scenario, &Shape::Rect(plot.area));
        page.item(&say!("yard.plot", name = plot.name, shape));
    }
}

fn crop_words(scenario: &Scenario, crop: &Crop) -> String {
    let (n, name, plant) = (crop.count, &crop.name, &crop.kind.name);
    let guild = scenario.pest.guild;
    let mut text = match crop.owner {
        Owner::Mine => {
            let key = guild.about(&counted("yard.crop", n as u64));
            say!(&key, n, name, plant)
        }
        Owner::Neighbour(i) => {
            let key = guild.about(&counted("yard.crop.theirs", n as u64));
            say!(&key, n, name, plant, other = scenario.plots[i].name)
        }
    };
    if crop.trap_crop {
        text.push_str(&say!("yard.crop.trap"));
    } else if crop.worth != 1.0 {
        text.push_str(&say!("yard.crop.worth", n = crop.worth));
    }
    if crop.kind.needs_bees {
        text.push_str(&say!("yard.crop.bees"));
    }
    text
}

fn shape_words(scenario: &Scenario, shape: &Shape) -> String {
    match shape {
        Shape::Rect(r) => {
            let [width, depth] = [r.width(), r.height()].map(feet_and_metres);
            let spot = place_words(scenario, Point::new(r.x0, r.y0));
            let key = scenario.sided("detail.yard.rectangle");
            say!(&key, width, depth, spot)
        }
        Shape::Disc { at, radius_m } => {
            let (distance, spot) = (feet_and_metres(*radius_m), place_words(scenario, *at));
            say!("detail.yard.disc", distance, spot)
        }
    }
}

fn place_words(scenario: &Scenario, p: Point) -> String {
    let axis = |v: f64, plus: &str, minus: &str| match v {
        v if v.abs() < 0.005 => say!(&scenario.sided(plus), distance = say!("unit.no-length")),
        v if v < 0.0 => say!(&scenario.sided(minus), distance = feet_and_metres(-v)),
        v => say!(&scenario.sided(plus), distance = feet_and_metres(v)),
    };
    let x = axis(p.x, "yard.east", "yard.west");
    format!("{x}, {}", axis(p.y, "yard.north", "yard.south"))
}

fn insects(scenario: &Scenario, page: &mut Page) {
    let pest = &scenario.pest;
    page.heading(&say!("yard.head.pest"));
    let (noun, verb) = (pest.guild.damage_noun(), pest.guild.damage_verb());
    let (name, latin) = (&pest.name, &pest.scientific);
    page.item(&say!("yard.pest", name, latin, noun, verb));
    let from = pest.activity.start_hour;
    let to = (from + pest.activity.hours) % 24.0;
    let (from, to) = (format!("{from:.0}"), format!("{to:.0}"));
    page.item(&say!("yard.pest.hours", from, to));
    let p = &scenario.pressure;
    page.item(&say!(
        &pest.guild.about("yard.pressure"),
        low = as_written(p.low),
        high = as_written(p.high),
        word = p.said
    ));
    let (badge, why) = (translated(&pest.badge), &pest.badge_reason);
    page.item(&say!("yard.pest.sure", badge, why));
    for source in &scenario.sources {
        let [low, high] = [source.per_day_low, source.per_day_high].map(as_written);
        let name = &source.name;
        let bed = source.bed.map(|crop| &scenario.crops[crop].name);
        page.item(&if let Some(crop) = bed {
            say!("detail.yard.source.bed", name, low, high, crop)
        } else {
            let spot = place_words(scenario, source.at);
            say!("detail.yard.source", name, low, high, spot)
        });
    }
    page.item(&if scenario.isolated {
        let distance = feet_and_metres(scenario.isolated_margin_m);
        say!("yard.isolated", distance)
    } else if pest.mover == Mover::Crawler {
        say!("yard.closed")
    } else if let Some(from) = &scenario.from_side {
        let n = format!("{:.0}", 100.0 * from.share);
        let side = super::wind::side_of(from.bearing_rad + scenario.up_bearing_rad);
        say!("yard.open.side", n, side)
    } else {
        say!("yard.open")
    });
    if scenario.seasons.count > 1 {
        let share = format!("{:.0}", 100.0 * scenario.seasons.arrivals);
        page.item(&say!("yard.seasons", n = scenario.seasons.count, share));
    }
    if scenario.chewed_leaves_call {
        page.item(&say!("yard.leaves-call"));
    }
    page.heading(&say!("yard.head.wind"));
    page.item(&match &scenario.wind {
        Wind::Still => say!("yard.wind.still"),
        Wind::Unknown => say!("yard.wind.unknown"),
        Wind::Rose {
            said, calm_share, ..
        } => {
            let n = format!("{:.0}", calm_share * 100.0);
            say!("yard.wind.rose", said, n)
        }
        Wind::Record { said, .. } => say!("yard.wind.record", said),
    });
    let (n, limit) = (scenario.window.days, scenario.settings.summers);
    let seed = scenario.settings.seed;
    page.item(&match &scenario.window.first_day {
        Some(day) => say!(&counted("yard.days.from", n.into()), n, limit, seed, day),
        None => say!(&counted("yard.days", n.into()), n, limit, seed),
    });
}

fn one_plan(scenario: &Scenario, plan: &Plan, page: &mut Page) {
    let name = &plan.name;
    if plan.traps.is_empty() && plan.methods.is_empty() {
        page.item(&say!("yard.plan.nothing", name));
        return;
    }
    for method in &plan.methods {
        let crops = method.crops.iter();
        let crops: Vec<&str> = crops.map(|c| scenario.crops[*c].name.as_str()).collect();
        let (what, list) = (method.describe(), crops.join(", "));
        page.item(&say!("yard.plan.method", name, what, list));
        page.line(4, &method.kind.flag_reason);
    }
    if plan.traps.is_empty() {
        return;
    }
    let n = plan.traps.len();
    page.item(&say!(&counted("yard.plan.traps", n as u64), name, n));
    for trap in plan.traps.iter().take(6) {
        page.wrapped("  - ", "    ", &trap_words(scenario, trap));
    }
    if n > 6 {
        page.line(4, &say!("yard.plan.traps.more", n = n - 6));
    }
}

fn trap_words(scenario: &Scenario, trap: &Trap) -> String {
    let (kind, lure) = (&scenario.trap_kinds[trap.kind], &scenario.lures[trap.lure]);
    let mut lure = lure.name.clone();
    if trap.n_lures != 1 {
        lure = say!("yard.trap.lures", n = trap.n_lures, lure);
    }
    if trap.strength != 1.0 {
        lure = say!("yard.trap.strength", n = trap.strength, lure);
    }
    let (name, role) = (&trap.name, trap.role.label());
    let (kind, spot) = (&kind.name, place_words(scenario, trap.at));
    let mut more = vec![say!("detail.yard.trap", name, role, kind, lure, spot)];
    if trap.neighbours {
        more.push(say!("yard.trap.theirs"));
    } else if let Some((distance_m, crop)) = scenario.nearest_plant(trap.at) {
        let (distance, crop) = (feet_and_metres(distance_m), &crop.name);
        let key = scenario.pest.guild.about("yard.trap.near");
        more.push(say!(&key, distance, crop));
    }
    if trap.from_day > 0 || trap.to_day < scenario.window.days {
        let (from, to) = (trap.from_day + 1, trap.to_day);
        more.push(say!("yard.trap.days", from, to));
    }
    if let Some(radius_m) = trap.catch_radius_m {
        let distance = feet_and_metres(radius_m);
        more.push(say!("yard.trap.catches", distance));
    }
    if let Some(days) = trap.empty_every_d {
        let key = counted("yard.trap.emptied", days.into());
        more.push(say!(&key, n = days));
    }
    more.join("; ")
}

fn defaults(scenario: &Scenario, page: &mut Page) {
    page.heading(&say!("yard.head.defaults"));
    if scenario.defaults.is_empty() {
        page.item(&say!("yard.no-defaults"));
    }
    for one in &scenario.defaults {
        page.item(&format!("{}: {} [{}]", one.path, one.taken, one.source));
    }
}

fn limits(page: &mut Page) {
    page.heading(&say!("yard.head.not-modeled"));
    page.item(&say!("yard.not-modeled.1"));
    page.item(&say!("yard.not-modeled.2"));
    page.heading(&say!("yard.head.mind"));
    for key in ["caution.forecast", "caution.local", "yard.label"] {
        page.item(&say!(key));
    }
}
