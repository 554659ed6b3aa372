//! Bare arenas, single walkers and bounds shared by the checks.

use crate::yard::seed::seed;
use lurefield::catalogue;
use lurefield::engine::clock::Clock;
use lurefield::engine::event::{Fate, Nobody};
use lurefield::engine::flight::{Lures, live};
use lurefield::engine::ground::{Arena, Ground, LOOKUP_CELL_M, Outline, Wall};
use lurefield::engine::insect::{Insect, Mode};
use lurefield::engine::lookup::PlantLookup;
use lurefield::engine::lure::{Attraction, LureMemory, LureSite};
use lurefield::engine::random::Tables;
use lurefield::engine::walk::{StepLaw, TurnLaw, Walk};
use lurefield::engine::wind::WindTable;
use lurefield::geometry::Point;

/// Every statistical bound is this many standard errors of the test's own estimate.
pub(crate) const FOUR_SE: f64 = 4.0;

/// Fails unless `got` lies within four standard errors, plus a stated allowance, of `want`.
#[track_caller]
pub(crate) fn within_four_se(what: &str, got: f64, want: f64, se: f64, allowance: f64) {
    assert!(se > 0.0, "{what}: no spread, so nothing was tested");
    assert!(
        (got - want).abs() <= FOUR_SE * se + allowance,
        "{what}: got {got}, wanted {want}, standard error {se}, allowance {allowance}"
    );
}

/// Mean and its standard error.
pub(crate) fn mean_and_se(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    (mean, (squares / (n - 1.0) / n).sqrt())
}

/// A share and its standard error.
pub(crate) fn share_and_se(hits: u32, n: u32) -> (f64, f64) {
    let p = f64::from(hits) / f64::from(n);
    (p, (p * (1.0 - p) / f64::from(n)).sqrt())
}

/// A correlated random walk of fixed steps and normal turns.
pub(crate) fn fixed(step_m: f64, turn_sd_rad: f64) -> Walk {
    Walk {
        step: StepLaw::Fixed(step_m),
        turn: TurnLaw::WrappedNormal(turn_sd_rad),
    }
}

/// Fixed steps in directions that owe nothing to one another.
pub(crate) fn isotropic(step_m: f64) -> Walk {
    Walk {
        step: StepLaw::Fixed(step_m),
        turn: TurnLaw::Uniform(std::f64::consts::PI),
    }
}

/// An arena without plants in which insects neither rest nor die.
pub(crate) fn bare(
    outline: Outline,
    wall: Wall,
    walk: Walk,
    speed_m_per_s: f64,
    end_s: f64,
) -> Ground {
    let mut pest = catalogue::pest("japanese-beetle")
        .expect("the catalogue has it")
        .values
        .central();
    pest.speed = speed_m_per_s;
    pest.long_share = 0.0;
    let clock = Clock::new(1, end_s / 3600.0, 0.0);
    Ground {
        seed: seed(20_240_611),
        summer: 0,
        arena: Arena {
            outline,
            wall,
            core: None,
        },
        walk,
        search: walk,
        pest,
        plants: Vec::new(),
        units: Vec::new(),
        lookup: PlantLookup::new(&[], LOOKUP_CELL_M),
        wind: WindTable::still(1, clock.hours_per_day()),
        clock,
        lures: Vec::new(),
        traps: Vec::new(),
        seen_on_plants: 0.0,
        source_per_day: Vec::new(),
        crawls: false,
        care: lurefield::control::care::Care::none(1),
        chewed_call: 1.0,
        crop_of: Vec::new(),
        crop: Vec::new(),
        growth: 1.0,
        day_air: 8.0..18.0,
        held: Vec::new(),
        biology: 0,
        mated_by_day: vec![1.0],
        death_per_s: 0.0,
        tables: Tables::get(),
    }
}

/// A trap that keeps all that touch its disc.
pub(crate) fn disc(x: f64, y: f64, radius_m: f64) -> LureSite {
    LureSite {
        at: Point::new(x, y),
        tag: 0,
        attraction: Attraction::Encounter {
            radius_m,
            calls: [true; 2],
        },
        strength_by_day: vec![1.0],
        strength_most: 1.0,
        capture: 1.0,
        land: 0.0,
        late_capture: 0.0,
        touch_m: 0.3,
        spill_m: 1.0,
        near_plants: Vec::new(),
        full: false,
    }
}

/// A trap with a plume in still air and one hazard for both sexes, the same up to the reach.
pub(crate) fn plume(x: f64, y: f64, reach_m: f64, near_m: f64, per_s: f64) -> LureSite {
    LureSite {
        attraction: Attraction::Plume {
            reach_m,
            near_m,
            fall: 1e9,
            female_per_s: per_s,
            male_per_s: per_s,
        },
        ..disc(x, y, 0.0)
    }
}

/// An insect that flies until something stops it.
pub(crate) fn flyer(ground: &Ground, id: u32, at: Point, heading: (f64, f64)) -> Insect {
    let mut insect = Insect::new(ground, id, 0.0, at, heading, false);
    insect.fly(f64::INFINITY);
    insect
}

/// How and when a flyer's life ends by the end of the window.
pub(crate) fn outcome(ground: &Ground, lures: &Lures, mut insect: Insect) -> (Option<Fate>, f64) {
    let mut memory = vec![LureMemory::NEW; lures.sites.len()];
    let end_s = ground.clock.end_s();
    live(ground, lures, &mut insect, &mut memory, end_s, &mut Nobody);
    match insect.mode {
        Mode::Over(fate) => (Some(fate), insect.t_s),
        _ => (None, insect.t_s),
    }
}

/// Distance by which an absorbing edge seems to lie farther back for a walk of fixed, isotropic steps, per unit step.
///
/// Classical theory of random walks (Spitzer 1957, formula from memory): −(1/π)∫₀^∞ ln[2(1−φ(k))/(σ²k²)]/k² dk with
/// φ = J0 and σ² = 1/2. Agrees with a separate simulation of the same walk: radius 1 and step 0.25 behave like radius 0.919.
pub(crate) fn edge_shift_per_step() -> f64 {
    let f = |k: f64| libm::log((1.0 - libm::j0(k)) * 4.0 / (k * k)) / (k * k);
    let (low, high, n) = (1e-2, 400.0, 400_000);
    let h = (high - low) / f64::from(n);
    let mut sum = f(low) + f(high);
    for i in 1..n {
        sum += f(low + f64::from(i) * h) * if i % 2 == 1 { 4.0 } else { 2.0 };
    }
    // Below `low` the integrand is −1/16; beyond `high` the Bessel function has died away.
    let tail = (libm::log(4.0) - 2.0 * libm::log(high) - 2.0) / high;
    -(sum * h / 3.0 - low / 16.0 + tail) / std::f64::consts::PI
}
