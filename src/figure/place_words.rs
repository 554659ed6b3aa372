//! Sentences about places that pictures and reports share.

use crate::placement::finding::Against;
use crate::placement::outcome::{PlaceOutcome, SiteOutcome, Verdict, Zone};
use crate::scenario::Scenario;
use crate::stats::paired::never_other_way;
use crate::stats::quantile::DOTS;
use crate::stats::words::thousands;
use crate::units::{feet, feet_and_metres};

/// A number with one decimal where it is small and a comma where it is large.
pub fn number(value: f64) -> String {
    if value.abs() < 0.05 {
        "0.0".into()
    } else if value.abs() < 9.95 {
        format!("{value:.1}")
    } else if value.abs() < 999.5 {
        format!("{value:.0}")
    } else {
        let sign = if value < 0.0 { "-" } else { "" };
        format!("{sign}{}", thousands(value.abs()))
    }
}

/// A change with its sign.
pub fn signed(value: f64) -> String {
    let sign = if value > -0.05 { "+" } else { "" };
    format!("{sign}{}", number(value))
}

/// What a trap at a place does, in a line of a list.
pub fn told(outcome: &PlaceOutcome, site: &SiteOutcome) -> String {
    if outcome.verdict == Verdict::RankedForCatch {
        return format!(
            "catches at least one in {:.0} of 100 summers, first on day {} on average",
            100.0 * site.catches_share,
            number(outcome.base_mean + site.change_mean)
        );
    }
    format!("{} on average; {}", signed(site.change_mean), split(site))
}

/// What the worst place is called: "never" is only said of places that nearly always raise it.
pub fn worst_word(outcome: &PlaceOutcome) -> &'static str {
    let worst = &outcome.sites[outcome.worst];
    if outcome.verdict == Verdict::RankedForCatch {
        "Sees them last"
    } else if worst.zone == Zone::Raises {
        "Never here"
    } else if worst.zone == Zone::NoDifference {
        "Where it does least good"
    } else {
        "The least good place tried"
    }
}

/// Shares of the zones in whole numbers that add up to 100, in the order of [`Zone::OPEN`].
pub fn zones_of_100(outcome: &PlaceOutcome) -> Vec<u64> {
    let parts = outcome.zone_shares.map(|s| (s * 1000.0).round() as u64);
    crate::stats::spread::of_100(&parts)
}

/// What a class of places is called on the map and in lists.
pub fn zone_word(zone: Zone) -> &'static str {
    match zone {
        Zone::Lowers => "hang here",
        Zone::EitherWay => "could go either way",
        Zone::NoDifference => "makes no difference",
        Zone::Raises => "never here",
        Zone::Closed => "closed",
    }
}

/// Whether the trap makes no difference at any place tried.
pub fn nothing_matters(outcome: &PlaceOutcome) -> bool {
    outcome.sites.iter().all(|s| s.zone == Zone::NoDifference)
}

/// What the first of the best places is called.
pub fn best_word(outcome: &PlaceOutcome) -> &'static str {
    let harms = outcome
        .best
        .first()
        .is_some_and(|best| outcome.sites[best.site].more > 0);
    match outcome.verdict {
        Verdict::NoSpotBeatsNoTrap => "Least harmful",
        Verdict::MakesNoDifference if harms => "Least harmful",
        Verdict::MakesNoDifference if !nothing_matters(outcome) => "Does no harm",
        _ => "Best",
    }
}

/// What a trap lowers or raises.
pub fn what_counts(outcome: &PlaceOutcome) -> &'static str {
    match outcome.objective {
        "tolerance" => "the number of bad summers",
        "people" => "the number of passes",
        "catch" => "the wait for the first catch",
        _ => "damage",
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
    if let Some(name) = &site.name {
        return format!("your spot \"{name}\", {near}");
    }
    let along = |m: f64, plus: &str, minus: &str| {
        let side = if m < 0.0 { minus } else { plus };
        format!("{:.0} ft {side}", feet(m).abs())
    };
    let outside = if scenario.yard.contains(at) {
        ""
    } else {
        "outside the yard, "
    };
    format!(
        "{outside}{} and {} of the south-west corner, {near}",
        along(site.x_m, "east", "west"),
        along(site.y_m, "north", "south")
    )
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
    let first = if outcome.against == Against::NoTrap {
        ""
    } else {
        "With the neighbor's trap already hanging: "
    };
    let all = match outcome.verdict {
        Verdict::SpotBeatsNoTrap => format!(
            "Best spot: {place}; it lowers {from_to} in {} of 20 summers{}.",
            best.less,
            if never_other_way([best.more, best.same, best.less], DOTS) {
                ", and raises it in none"
            } else {
                ""
            }
        ),
        Verdict::TooCloseToCall => format!(
            "No spot in this yard clearly beats {}. The best one: {place}. {}.",
            outcome.against,
            capital(&split(best))
        ),
        Verdict::MakesNoDifference if nothing_matters(outcome) => format!(
            "Wherever it hangs in this yard, the trap makes no difference to {}.",
            what_counts(outcome)
        ),
        Verdict::MakesNoDifference => format!(
            "At its best spot the trap makes no difference in {} of 20 summers: {place}. Elsewhere it can raise {}.",
            best.same,
            what_counts(outcome)
        ),
        Verdict::NoSpotBeatsNoTrap => format!("No spot in this yard beats {}.", outcome.against),
        Verdict::RankedForCatch => format!(
            "Best spot to see them first: {place}. It catches at least one in {:.0} of 100 summers, first on day {} on average.",
            100.0 * best.catches_share,
            number(with)
        ),
    };
    format!("{first}{all}")
}

/// The text with a capital letter first.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}
