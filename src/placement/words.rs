//! Sentences about places that pictures and reports share.

use crate::placement::finding::{Against, Best};
use crate::placement::outcome::{PlaceOutcome, SiteOutcome, Verdict, Zone};
use crate::say::{say, voice};
use crate::scenario::Scenario;
use crate::stats::paired::Told;
use crate::stats::words::{of_summers, thousands};
use crate::units::{feet, feet_and_metres};

pub use crate::say::capital;

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
    let sign = if value >= 0.05 { "+" } else { "" };
    format!("{sign}{}", number(value))
}

/// The share of summers with a catch, of 100, and the day of the first one.
fn catch(outcome: &PlaceOutcome, site: &SiteOutcome) -> (String, String) {
    let n = format!("{:.0}", 100.0 * site.catches_share);
    (n, number(outcome.base_mean + site.change_mean))
}

/// What a trap at a place does, in a line of a list.
pub fn told(outcome: &PlaceOutcome, site: &SiteOutcome) -> String {
    if outcome.verdict == Verdict::RankedForCatch {
        let (n, day) = catch(outcome, site);
        return say!("figure.place.catches", n, day);
    }
    let (points, split) = (signed(site.change_mean), split(site));
    say!("figure.place.average", points, split)
}

/// What the worst place is called: "never" is only said of places that nearly always raise it.
pub fn worst_word(outcome: &PlaceOutcome) -> &'static str {
    let zone = outcome.sites[outcome.worst].zone;
    voice().get(match (outcome.verdict, zone) {
        (Verdict::RankedForCatch, _) => "figure.place.worst.catch",
        (_, Zone::Raises) => "figure.place.worst.raises",
        (_, Zone::NoDifference) => "figure.place.worst.same",
        _ => "figure.place.worst",
    })
}

/// Shares of the zones in whole numbers that add up to 100, in the order of [`Zone::OPEN`].
pub fn zones_of_100(outcome: &PlaceOutcome) -> Vec<u64> {
    let parts = outcome.zone_shares.map(|s| (s * 1000.0).round() as u64);
    crate::stats::spread::of_100(&parts)
}

/// What a class of places is called on the map and in lists.
pub fn zone_word(zone: Zone) -> &'static str {
    voice().get(match zone {
        Zone::Lowers => "figure.place.zone.lowers",
        Zone::EitherWay => "figure.place.zone.either-way",
        Zone::NoDifference => "figure.place.zone.same",
        Zone::Raises => "figure.place.zone.raises",
        Zone::Closed => "figure.place.zone.closed",
    })
}

/// What the first of the best places is called.
pub fn best_word(outcome: &PlaceOutcome) -> &'static str {
    voice().get(match outcome.best_is() {
        Best::LeastHarmful => "figure.place.best.harms",
        Best::DoesNoHarm => "figure.place.best.harmless",
        Best::Good => "figure.place.best",
    })
}

/// What a trap lowers or raises.
pub fn what_counts(outcome: &PlaceOutcome) -> &'static str {
    voice().get(match outcome.objective {
        "tolerance" => "figure.place.counts.tolerance",
        "people" => "figure.place.counts.people",
        "catch" => "figure.place.counts.catch",
        _ => "figure.place.counts.damage",
    })
}

/// A place in feet from the south-west corner, or by its name; and how far it is from the nearest plant.
fn spot_and_near(scenario: &Scenario, site: &SiteOutcome) -> [String; 2] {
    let at = crate::geometry::Point::new(site.x_m, site.y_m);
    let near = scenario
        .nearest_plant(at)
        .map_or_else(String::new, |(away, crop)| {
            let (distance, crop) = (feet_and_metres(away), &crop.name);
            say!("figure.place.near", distance, crop)
        });
    if let Some(name) = &site.name {
        return [say!("figure.place.your-spot", name), near];
    }
    let [a, b] = [site.x_m, site.y_m].map(|m| format!("{:.0}", feet(m).abs()));
    let key = match (site.x_m < 0.0, site.y_m < 0.0) {
        (false, false) => "figure.place.east-north",
        (false, true) => "figure.place.east-south",
        (true, false) => "figure.place.west-north",
        (true, true) => "figure.place.west-south",
    };
    let spot = say!(&scenario.sided(key), a, b);
    if scenario.yard.contains(at) {
        [spot, near]
    } else {
        [say!("figure.place.outside", spot), near]
    }
}

/// A place in words: where it is, and how far from the nearest plant.
pub fn place_name(scenario: &Scenario, site: &SiteOutcome) -> String {
    spot_and_near(scenario, site).join(", ")
}

/// Counts in words.
pub fn split(site: &SiteOutcome) -> String {
    let Told {
        more,
        same,
        less,
        of,
    } = site.counts;
    say!(
        "figure.place.split",
        more = of_summers(more, of),
        same,
        less
    )
}

/// The first sentence.
pub fn headline(scenario: &Scenario, outcome: &PlaceOutcome) -> String {
    let Some(best) = outcome.best.first().map(|r| &outcome.sites[r.site]) else {
        return say!("figure.place.none");
    };
    let [spot, away] = spot_and_near(scenario, best);
    let (against, what) = (outcome.against, what_counts(outcome));
    let all = match outcome.verdict {
        Verdict::SpotBeatsNoTrap => {
            let lowers = of_summers(best.counts.less, best.counts.of);
            let end = if best.counts.never_other_way() {
                say!("figure.place.beats.never", lowers)
            } else {
                lowers
            };
            let ends = [outcome.base_mean, outcome.base_mean + best.change_mean];
            let [before, after] = ends.map(number);
            if outcome.objective == "damage" {
                let guild = scenario.pest.guild;
                let state = format!("{} {}", guild.damage_noun(), guild.damage_verb());
                say!(
                    "figure.place.beats.damage",
                    spot,
                    away,
                    state,
                    before,
                    after,
                    end
                )
            } else {
                let unit = &outcome.unit;
                say!("figure.place.beats", spot, away, unit, before, after, end)
            }
        }
        Verdict::TooCloseToCall => {
            say!(
                "figure.place.close",
                against,
                spot,
                away,
                split = split(best)
            )
        }
        Verdict::MakesNoDifference if outcome.nothing_matters() => {
            say!("figure.place.nowhere", what)
        }
        Verdict::MakesNoDifference => {
            say!(
                "figure.place.no-difference",
                n = of_summers(best.counts.same, best.counts.of),
                what,
                spot,
                away
            )
        }
        Verdict::NoSpotBeatsNoTrap => say!("figure.place.beaten", against),
        Verdict::RankedForCatch => {
            let (n, day) = catch(outcome, best);
            say!("figure.place.first-seen", spot, away, n, day)
        }
    };
    if outcome.against == Against::NoTrap {
        all
    } else {
        say!("figure.place.beside-theirs", all)
    }
}
