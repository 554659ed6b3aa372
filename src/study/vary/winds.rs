//! The answer under other winds, on the same summers: unknown, steady from one side, still.

use super::point::{Point, evaluate};
use crate::count::prepare::{Prepared, Refusal};
use crate::engine::ensemble::Watch;
use crate::say::say;
use crate::scenario::{Scenario, Wind, WindSector};
use crate::study::keep::KeepNothing;
use serde::Serialize;

/// The answer under one wind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnderWind {
    /// The wind in words.
    pub name: String,
    /// The answer.
    pub point: Point,
}

/// Light wind from the west all the time.
fn steady() -> Wind {
    Wind::Rose {
        said: String::new(),
        sectors: vec![WindSector {
            from_rad: 1.5 * std::f64::consts::PI,
            width_rad: 0.0,
            share: 1.0,
            speed_m_per_s: 1.0,
        }],
        calm_share: 0.0,
        persistence: [1.0, 1.0],
    }
}

/// The answer of a plan under each wind. Wind moves no insect without a lure, so the density stays.
pub(super) fn all(
    prepared: &Prepared,
    plan: usize,
    summers: u32,
    watch: &dyn Watch,
) -> Result<Vec<UnderWind>, Refusal> {
    let winds = [
        ("vary.wind.unknown", Wind::Unknown),
        ("vary.wind.steady", steady()),
        ("vary.wind.still", Wind::Still),
    ];
    let each = winds.into_iter().map(|(name, wind)| {
        let scenario = Scenario {
            wind,
            ..prepared.scenario.clone()
        };
        let under = Prepared {
            scenario: &scenario,
            ..prepared.clone()
        };
        let drawn = (name, &[Vec::new()][..]);
        let found = evaluate(&under, plan, drawn, summers, watch, &mut KeepNothing)?;
        Ok(UnderWind {
            name: say!(name),
            point: found[0],
        })
    });
    each.collect()
}
