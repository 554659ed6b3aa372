//! Sentences about places that pictures and reports share.

use crate::placement::outcome::{PlaceOutcome, SiteOutcome, Verdict};
use crate::scenario::Scenario;
use crate::units::{feet, feet_and_metres};

/// Stands under every map.
pub const UNDER_MAP: &str = "A simulation, not a forecast for your yard. \
    Check with your local extension office: dates, thresholds and laws differ.";

/// A number of 100 with one decimal where it is small.
pub fn number(value: f64) -> String {
    if value.abs() < 9.95 {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    }
}

/// A place in feet from the south-west corner, or by its name.
pub fn place_name(scenario: &Scenario, site: &SiteOutcome) -> String {
    let at = crate::geometry::Point::new(site.x_m, site.y_m);
    let (away, plant) = crate::placement::site::nearest_plant(scenario, at);
    let crop = scenario
        .plants
        .get(plant)
        .map_or("plants", |p| scenario.crops[p.crop].name.as_str());
    let near = format!("{} from the nearest {crop}", feet_and_metres(away));
    match &site.name {
        Some(name) => format!("\"{name}\", {near}"),
        None => format!(
            "{:.0} ft east and {:.0} ft north of the south-west corner, {near}",
            feet(site.x_m),
            feet(site.y_m)
        ),
    }
}

/// Counts of 20 in words.
pub fn split(site: &SiteOutcome) -> String {
    format!(
        "more in {} of 20 summers, no change in {}, less in {}",
        site.more, site.same, site.less
    )
}

/// The first sentence.
pub fn headline(scenario: &Scenario, outcome: &PlaceOutcome) -> String {
    let Some(best) = outcome.best.first().map(|r| &outcome.sites[r.site]) else {
        return "No site was tried.".into();
    };
    let place = place_name(scenario, best);
    let guild = scenario.pest.guild;
    let what = match outcome.objective {
        "damage" => format!("{} {}", guild.damage_verb(), guild.damage_noun()),
        _ => outcome.unit.clone(),
    };
    let without = outcome.base_mean;
    let with = without + best.change_mean;
    let from_to = match outcome.objective {
        "damage" => format!("{what} from {} to {} in 100", number(without), number(with)),
        _ => format!("{what} from {} to {}", number(without), number(with)),
    };
    match outcome.verdict {
        Verdict::SpotBeatsNoTrap => format!(
            "Best spot: {place}; it lowers {from_to} in {} of 20 summers.",
            best.less
        ),
        Verdict::TooCloseToCall => format!(
            "No spot in this yard clearly beats {}. The best one: {place}. {}.",
            outcome.against,
            capital(&split(best))
        ),
        Verdict::NoSpotBeatsNoTrap => format!("No spot in this yard beats {}.", outcome.against),
        Verdict::RankedForCatch => format!(
            "Best spot to see them first: {place}. It catches at least one in {:.0} of 100 summers, first on day {} on average.",
            100.0 * best.catches_share,
            number(with)
        ),
    }
}

/// The text with a capital letter first.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}
