//! What was understood, in words that fit 80 columns.

use super::{Crop, Owner, Plan, Scenario, Shape, Trap, Wind};
use crate::geometry::Point;
use crate::units::feet_and_metres;

/// Columns of the text.
const WIDTH: usize = 80;

/// What was understood of a scenario: yard, plants, pest, wind, plans, every default with its source, doubts, and what is not
/// modelled. Lines fit 80 columns.
pub fn describe(scenario: &Scenario) -> String {
    let mut page = Page::default();
    page.line(0, &scenario.title);
    if !scenario.note.is_empty() {
        page.line(0, &scenario.note);
    }
    ground(scenario, &mut page);
    insects(scenario, &mut page);
    page.heading("PLANS");
    for plan in &scenario.plans {
        one_plan(scenario, plan, &mut page);
    }
    defaults(scenario, &mut page);
    if !scenario.warnings.is_empty() {
        page.heading("WARNINGS");
        for warning in &scenario.warnings {
            page.item(warning);
        }
    }
    limits(&mut page);
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

    /// Wraps at spaces; a word longer than a line is cut.
    fn wrapped(&mut self, first: &str, rest: &str, text: &str) {
        let mut line = first.to_string();
        let mut empty = true;
        for word in text.split_whitespace().flat_map(pieces) {
            if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.text.push_str(line.trim_end());
                self.text.push('\n');
                line = rest.to_string();
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.push_str(&word);
            empty = false;
        }
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }
}

fn pieces(word: &str) -> Vec<String> {
    let letters: Vec<char> = word.chars().collect();
    letters
        .chunks(WIDTH - 8)
        .map(|chunk| chunk.iter().collect())
        .collect()
}

fn ground(scenario: &Scenario, page: &mut Page) {
    page.heading("YARD");
    let yard = &scenario.yard;
    page.item(&format!(
        "{} west to east, {} south to north",
        feet_and_metres(yard.width()),
        feet_and_metres(yard.height())
    ));
    for crop in &scenario.crops {
        page.item(&crop_words(scenario, crop));
    }
    for structure in &scenario.structures {
        page.item(&format!(
            "{}: {}",
            structure.name,
            shape_words(&structure.shape)
        ));
    }
    for zone in &scenario.no_hang {
        page.item(&format!(
            "no trap in \"{}\": {}",
            zone.name,
            shape_words(&zone.shape)
        ));
    }
    for plot in &scenario.plots {
        page.item(&format!(
            "neighbour \"{}\": {}",
            plot.name,
            shape_words(&Shape::Rect(plot.area))
        ));
    }
}

fn crop_words(scenario: &Scenario, crop: &Crop) -> String {
    let plants = if crop.count == 1 {
        "1 plant".to_string()
    } else {
        format!("{} plants", crop.count)
    };
    let owner = match crop.owner {
        Owner::Mine => "yours".to_string(),
        Owner::Neighbour(i) => format!("of \"{}\"", scenario.plots[i].name),
    };
    let worth = if crop.worth == 1.0 {
        String::new()
    } else {
        format!(", each worth {}", crop.worth)
    };
    let bees = if crop.kind.needs_bees {
        "; needs bees at bloom"
    } else {
        ""
    };
    let worth = if crop.trap_crop {
        "; a trap crop, only in plans that name it".to_string()
    } else {
        worth
    };
    format!(
        "{}: {plants} ({}), {owner}{worth}{bees}",
        crop.name, crop.kind.name
    )
}

fn shape_words(shape: &Shape) -> String {
    match shape {
        Shape::Rect(r) => format!(
            "{} by {}, south-west corner {}",
            feet_and_metres(r.width()),
            feet_and_metres(r.height()),
            place_words(Point::new(r.x0, r.y0))
        ),
        Shape::Disc { at, radius_m } => {
            format!("{} round {}", feet_and_metres(*radius_m), place_words(*at))
        }
    }
}

fn place_words(p: Point) -> String {
    let axis = |v: f64, plus: &str, minus: &str| match v {
        v if v.abs() < 0.005 => format!("0 ft {plus}"),
        v if v < 0.0 => format!("{} {minus}", feet_and_metres(-v)),
        v => format!("{} {plus}", feet_and_metres(v)),
    };
    format!(
        "{}, {}",
        axis(p.x, "east", "west"),
        axis(p.y, "north", "south")
    )
}

fn insects(scenario: &Scenario, page: &mut Page) {
    let pest = &scenario.pest;
    page.heading("PEST");
    page.item(&format!(
        "{} ({}); {} {}",
        pest.name,
        pest.scientific,
        pest.guild.damage_noun(),
        pest.guild.damage_verb()
    ));
    let from = pest.activity.start_hour;
    let to = (from + pest.activity.hours) % 24.0;
    page.item(&format!("moves from {from:.0} h to {to:.0} h each day"));
    let p = &scenario.pressure;
    page.item(&format!(
        "on your plants at one look, without a trap: {:.1} to {:.1} ({})",
        p.low, p.high, p.said
    ));
    page.item(&format!(
        "how sure are we about this pest? {}: {}",
        pest.badge, pest.badge_reason
    ));
    for source in &scenario.sources {
        page.item(&format!(
            "\"{}\" adds {:.1} to {:.1} a day; {}",
            source.name,
            source.per_day_low,
            source.per_day_high,
            match source.bed {
                Some(crop) => format!(
                    "out of the soil of {}, so a cover keeps them in",
                    scenario.crops[crop].name
                ),
                None => place_words(source.at),
            }
        ));
    }
    let around = if scenario.isolated {
        format!(
            "no insect arrives from outside; {} of land round the yard belongs to it",
            feet_and_metres(scenario.isolated_margin_m)
        )
    } else {
        "insects keep arriving from all sides".into()
    };
    page.item(&around);
    if scenario.seasons.count > 1 {
        page.item(&format!(
            "{} seasons, one after the other; from outside before each: {:.0} of 100 at the start",
            scenario.seasons.count,
            100.0 * scenario.seasons.arrivals
        ));
    }
    if scenario.chewed_leaves_call {
        page.item("chewed leaves call more insects the day after");
    }
    page.heading("WIND AND DAYS");
    page.item(&match &scenario.wind {
        Wind::Still => "still air, as you say: scent spreads to all sides alike".to_string(),
        Wind::Unknown => {
            "wind unknown: light wind that turns through all sides, with calm hours".to_string()
        }
        Wind::Rose {
            said, calm_share, ..
        } => format!("{said}; calm in {:.0} of 100 hours", calm_share * 100.0),
        Wind::Record { said, .. } => format!("recorded hours: {said}, drawn at random"),
    });
    let first = scenario
        .window
        .first_day
        .as_ref()
        .map_or(String::new(), |day| format!(" from {day}"));
    page.item(&format!(
        "{} days{first}; at most {} simulated summers, seed {}",
        scenario.window.days, scenario.settings.summers, scenario.settings.seed
    ));
}

fn one_plan(scenario: &Scenario, plan: &Plan, page: &mut Page) {
    if plan.traps.is_empty() && plan.methods.is_empty() {
        page.item(&format!("{}: nothing is hung", plan.name));
        return;
    }
    for method in &plan.methods {
        let crops: Vec<&str> = method
            .crops
            .iter()
            .map(|c| scenario.crops[*c].name.as_str())
            .collect();
        page.item(&format!(
            "{}: {} ({})",
            plan.name,
            method.describe(),
            crops.join(", ")
        ));
        page.line(4, &method.kind.flag_reason);
    }
    if plan.traps.is_empty() {
        return;
    }
    let n = plan.traps.len();
    page.item(&format!(
        "{}: {n} trap{}",
        plan.name,
        if n == 1 { "" } else { "s" }
    ));
    for trap in plan.traps.iter().take(6) {
        page.wrapped("  - ", "    ", &trap_words(scenario, trap));
    }
    if n > 6 {
        page.line(4, &format!("and {} more", n - 6));
    }
}

fn trap_words(scenario: &Scenario, trap: &Trap) -> String {
    let (kind, lure) = (&scenario.trap_kinds[trap.kind], &scenario.lures[trap.lure]);
    let lures = if trap.n_lures == 1 {
        String::new()
    } else {
        format!("{} of ", trap.n_lures)
    };
    let strength = if trap.strength == 1.0 {
        String::new()
    } else {
        format!(" at {} of its strength", trap.strength)
    };
    let mut more = vec![format!(
        "{} [{}]: {} with {lures}{}{strength}; {}",
        trap.name,
        trap.role.label(),
        kind.name,
        lure.name,
        place_words(trap.at)
    )];
    if trap.neighbours {
        more.push("the neighbour's".to_string());
    } else if let Some((distance_m, crop)) = nearest_plant(scenario, trap.at) {
        more.push(format!(
            "{} from the nearest of your plants ({crop})",
            feet_and_metres(distance_m)
        ));
    }
    if trap.from_day > 0 || trap.to_day < scenario.window.days {
        more.push(format!(
            "from day {} to day {}",
            trap.from_day + 1,
            trap.to_day
        ));
    }
    if let Some(radius_m) = trap.catch_radius_m {
        let words = feet_and_metres(radius_m);
        more.push(format!("catches all that pass within {words}"));
    }
    if let Some(days) = trap.empty_every_d {
        more.push(format!("emptied every {days} days"));
    }
    more.join("; ")
}

/// Distance to the nearest stem of the asker, and its crop.
fn nearest_plant(scenario: &Scenario, at: Point) -> Option<(f64, &str)> {
    let mine = scenario
        .plants
        .iter()
        .filter(|p| scenario.crops[p.crop].owner == Owner::Mine);
    mine.map(|p| (p.at.distance(at), scenario.crops[p.crop].name.as_str()))
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

fn defaults(scenario: &Scenario, page: &mut Page) {
    page.heading("DEFAULTS AND RANGES TAKEN");
    if scenario.defaults.is_empty() {
        page.item("nothing");
    }
    for default in &scenario.defaults {
        page.item(&format!(
            "{}: {} [{}]",
            default.path, default.taken, default.source
        ));
    }
}

fn limits(page: &mut Page) {
    page.heading("NOT MODELLED");
    page.item("sun or shade, trap colour, height, choice of pesticide, naming an insect");
    page.item("next year's numbers in open country, legal action thresholds");
    page.heading("MIND");
    page.item("A simulation, not a forecast for your yard.");
    page.item("Check with your local extension office: dates, thresholds and laws differ.");
    page.item("For any product, the label is the law.");
}
