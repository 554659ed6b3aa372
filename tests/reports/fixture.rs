//! An invented yard and an invented outcome. No number here is a result; only their agreement with what is drawn is tested.

use lurefield::catalogue::{
    Activity, CropKind, Grade, Guild, HostEntry, HostValues, LureCosts, LureKind, LureValues,
    Mover, Pest, PestValues, Sourced, Spread, TrapCosts, TrapKind, TrapValues,
};
use lurefield::count::outcome::{
    AnswerAccount, GridMap, InsectAccount, PlanOutcome, Ring, RunOutcome, SingleSummer,
};
use lurefield::geometry::{Point, Rect};
use lurefield::scenario::{
    Crop, DefaultUsed, Owner, Plan, Plant, Plot, Pressure, Role, Scenario, Settings, Shape,
    Structure, StructureKind, Trap, Wind, WindSector, Window, Zone,
};
use lurefield::stats::covariate::Adjusted;
use lurefield::stats::paired;
use lurefield::stats::words::settled_word;
use std::collections::BTreeMap;

/// A repeatable stream of numbers in \[0, 1) for the invented outcome.
pub(crate) struct Stream(pub(crate) u64);

impl Stream {
    pub(crate) fn new(seed: u64) -> Stream {
        Stream(seed)
    }

    pub(crate) fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn sourced(value: f64) -> Sourced {
    Sourced {
        value,
        unit: "1".into(),
        range: Some([0.5 * value, 2.0 * value]),
        spread: Spread::Uniform,
        source: "invented for a test".into(),
        grade: Grade::Assumed,
    }
}

fn values(keys: &[&str]) -> serde_json::Value {
    keys.iter()
        .map(|k| ((*k).to_owned(), serde_json::to_value(sourced(1.0)).unwrap()))
        .collect::<serde_json::Map<_, _>>()
        .into()
}

fn keys(table: &'static [lurefield::catalogue::ParameterInfo]) -> Vec<&'static str> {
    table.iter().map(|p| p.key).collect()
}

fn crop(name: &str, owner: Owner, worth: f64, first: usize, count: usize) -> Crop {
    let entry = HostEntry {
        detection: sourced(0.3),
        acceptance: sourced(0.6),
    };
    Crop {
        name: name.into(),
        kind: CropKind {
            id: "invented-crop".into(),
            name: name.into(),
            plural: name.into(),
            canopy: sourced(0.5),
            spacing: sourced(0.6),
            needs_bees: name.contains("asp"),
            tree: false,
            leaf_area: sourced(1.2),
            fruit: None,
            hosts: BTreeMap::from([("other".into(), entry)]),
        },
        owner,
        host: serde_json::from_value::<HostValues>(values(&keys(HostValues::TABLE))).unwrap(),
        worth,
        first,
        count,
        trap_crop: false,
    }
}

fn trap(name: &str, x_ft: f64, y_ft: f64) -> Trap {
    Trap {
        name: name.into(),
        at: Point::new(x_ft * 0.3048, y_ft * 0.3048),
        lure: 0,
        n_lures: 1,
        kind: 0,
        role: Role::RemovesSome,
        strength: 1.0,
        lure_age_d: 0.0,
        from_day: 0,
        to_day: 28,
        empty_every_d: Some(7),
        neighbours: false,
        catch_radius_m: None,
    }
}

pub(crate) fn scenario() -> Scenario {
    let ft = 0.3048;
    let rect = |x0: f64, y0: f64, x1: f64, y1: f64| Rect::new(x0 * ft, y0 * ft, x1 * ft, y1 * ft);
    let mut plants = Vec::new();
    let mut row = |crop: usize, n: usize, x: f64, y: f64, dx: f64, dy: f64, canopy_ft: f64| {
        let first = plants.len();
        for i in 0..n {
            let at = Point::new((x + dx * i as f64) * ft, (y + dy * i as f64) * ft);
            plants.push(Plant {
                crop,
                at,
                canopy_m: canopy_ft * ft,
            });
        }
        (first, n)
    };
    let roses = row(0, 6, 12.0, 44.0, 4.0, 0.0, 1.6);
    let raspberries = row(1, 14, 58.0, 10.0, 0.0, 2.5, 1.2);
    let beans = row(2, 8, 30.0, 24.0, 1.5, 0.0, 0.6);
    let grapes = row(3, 5, 88.0, 16.0, 0.0, 6.0, 2.2);
    let crops = vec![
        crop("Roses", Owner::Mine, 3.0, roses.0, roses.1),
        crop(
            "Raspberries",
            Owner::Mine,
            1.0,
            raspberries.0,
            raspberries.1,
        ),
        crop("Pole beans", Owner::Mine, 1.0, beans.0, beans.1),
        crop("Grapes", Owner::Neighbour(0), 1.0, grapes.0, grapes.1),
    ];
    Scenario {
        name: "invented-yard".into(),
        title: "An invented yard".into(),
        note: "invented for a test".into(),
        yard: rect(0.0, 0.0, 75.0, 60.0),
        up_bearing_rad: 0.0,
        crops,
        plants,
        structures: vec![
            Structure {
                name: "House".into(),
                kind: StructureKind::House,
                shape: Shape::Rect(rect(4.0, 4.0, 26.0, 18.0)),
            },
            Structure {
                name: "Maple".into(),
                kind: StructureKind::Tree,
                shape: Shape::Disc {
                    at: Point::new(66.0 * ft, 52.0 * ft),
                    radius_m: 5.0 * ft,
                },
            },
        ],
        spots: Vec::new(),
        no_hang: vec![Zone {
            name: "Play area".into(),
            shape: Shape::Rect(rect(30.0, 2.0, 50.0, 14.0)),
        }],
        plots: vec![Plot {
            name: "Next door".into(),
            area: rect(77.0, 0.0, 105.0, 60.0),
        }],
        pest: Pest {
            id: "invented-beetle".into(),
            name: "Japanese beetle".into(),
            plural: "Japanese beetles".into(),
            short: "beetles".into(),
            scientific: "Popillia japonica".into(),
            guild: Guild::Chewer,
            mover: Mover::Flyer,
            activity: Activity {
                start_hour: 9.0,
                hours: 9.0,
            },
            activity_source: "invented for a test".into(),
            fit: None,
            window_days: 28,
            pressure: BTreeMap::new(),
            values: serde_json::from_value::<PestValues>(values(&keys(PestValues::TABLE))).unwrap(),
            badge: "HIGH".into(),
            badge_reason: "field trials asked this question".into(),
            notes: vec![],
        },
        pressure: Pressure {
            said: "many".into(),
            low: 20.0,
            high: 80.0,
        },
        sources: vec![],
        isolated: false,
        isolated_margin_m: 30.0,
        seasons: lurefield::scenario::Seasons {
            count: 1,
            arrivals: 0.0,
        },
        kept_sets: None,
        chewed_leaves_call: false,
        from_side: None,
        weather: None,
        wind: Wind::Rose {
            said: "usually from the west".into(),
            sectors: vec![
                WindSector {
                    from_rad: 1.5 * std::f64::consts::PI,
                    width_rad: 0.785,
                    share: 0.6,
                    speed_m_per_s: 2.0,
                },
                WindSector {
                    from_rad: 0.0,
                    width_rad: 0.785,
                    share: 0.2,
                    speed_m_per_s: 2.0,
                },
            ],
            calm_share: 0.2,
            persistence: [0.5, 0.9],
        },
        window: Window {
            first_day: None,
            days: 28,
            day_weights: vec![1.0; 28],
        },
        lures: vec![LureKind {
            id: "invented-lure".into(),
            name: "floral lure".into(),
            class: "floral".into(),
            pest: "japanese-beetle".into(),
            values: serde_json::from_value::<LureValues>(values(&keys(LureValues::TABLE))).unwrap(),
            bait: false,
            costs: serde_json::from_value::<LureCosts>(values(&keys(LureCosts::TABLE))).unwrap(),
            notes: vec![],
        }],
        trap_kinds: vec![TrapKind {
            id: "invented-trap".into(),
            name: "bucket trap".into(),
            values: serde_json::from_value::<TrapValues>(values(&keys(TrapValues::TABLE))).unwrap(),
            open: false,
            costs: serde_json::from_value::<TrapCosts>(values(&keys(TrapCosts::TABLE))).unwrap(),
            by_catch: vec![],
            notes: vec![],
        }],
        plans: vec![
            Plan {
                name: "No trap".into(),
                traps: vec![],
                methods: vec![],
                own_cost: [None; 2],
            },
            Plan {
                name: "Trap 10 ft from the roses".into(),
                traps: vec![trap("Trap", 26.0, 34.0)],
                methods: vec![],
                own_cost: [None; 2],
            },
            Plan {
                name: "Trap at the far fence".into(),
                traps: vec![trap("Trap", 72.0, 3.0)],
                methods: vec![],
                own_cost: [None; 2],
            },
        ],
        settings: Settings {
            summers: 1000,
            seed: 7,
            cell_m: 0.25,
            tie_band: 1.0,
            most_insects: 1_000_000,
        },
        defaults: vec![DefaultUsed {
            path: "window.days".into(),
            taken: "28 days".into(),
            source: "assumed".into(),
        }],
        warnings: vec!["the wind is a guess; add wind records".into()],
    }
}

fn grid(scenario: &Scenario, heat: impl Fn(Point) -> f64) -> GridMap {
    let cell_m = scenario.settings.cell_m;
    let columns = (scenario.yard.width() / cell_m).ceil() as usize;
    let rows = (scenario.yard.height() / cell_m).ceil() as usize;
    let values = (0..columns * rows)
        .map(|i| {
            heat(Point::new(
                ((i % columns) as f64 + 0.5) * cell_m,
                ((i / columns) as f64 + 0.5) * cell_m,
            ))
        })
        .collect();
    GridMap {
        cell_m,
        columns,
        rows,
        values,
    }
}

/// Plan by plan: how much each plant suffers near a trap, with luck from summer to summer.
pub(crate) fn outcome(scenario: &Scenario, summers: u32) -> RunOutcome {
    let mut luck = Stream(11);
    let weather: Vec<f64> = (0..summers).map(|_| luck.next() + luck.next()).collect();
    let mut without: Vec<f64> = Vec::new();
    let plans: Vec<PlanOutcome> = scenario
        .plans
        .iter()
        .enumerate()
        .map(|(index, plan)| {
            let near = |p: Point| {
                plan.traps
                    .iter()
                    .map(|t| 14.0 / (1.0 + 0.08 * p.distance_squared(t.at)))
                    .sum::<f64>()
            };
            let damage = |p: &Plant, k: f64| (8.0 + 4.0 * p.crop as f64 + near(p.at)) * k;
            let plant_damage: Vec<f64> = scenario.plants.iter().map(|p| damage(p, 1.0)).collect();
            let mean = |c: &Crop| {
                plant_damage[c.first..c.first + c.count].iter().sum::<f64>() / c.count as f64
            };
            let crop_damage: Vec<f64> = scenario.crops.iter().map(mean).collect();
            let shift = [0.0, 4.0, 0.4][index.min(2)];
            let damage_by_summer: Vec<f64> = weather
                .iter()
                .map(|w| {
                    12.0 * w + (shift + 3.0 * (luck.next() - 0.5)) * f64::from(u8::from(index > 0))
                })
                .map(|v| v.clamp(0.0, 100.0))
                .collect();
            if index == 0 {
                without.clone_from(&damage_by_summer);
            }
            let change = paired::differences(&without, &damage_by_summer);
            let band = scenario.settings.tie_band;
            let caught: Vec<u64> = weather
                .iter()
                .map(|w| {
                    if plan.traps.is_empty() {
                        0
                    } else {
                        (2400.0 * w) as u64
                    }
                })
                .collect();
            let total: u64 = caught.iter().sum();
            let ring = |from_m: f64, to_m: f64| {
                let centre = scenario.plans[index.max(1)].traps[0].at;
                let inside: Vec<usize> = (0..scenario.plants.len())
                    .filter(|i| (from_m..to_m).contains(&scenario.plants[*i].at.distance(centre)))
                    .collect();
                let over = |f: &dyn Fn(&Plant) -> f64| {
                    (!inside.is_empty()).then(|| {
                        inside.iter().map(|i| f(&scenario.plants[*i])).sum::<f64>()
                            / inside.len() as f64
                    })
                };
                Ring {
                    from_m,
                    to_m,
                    n_plants: inside.len(),
                    damage: over(&|p| damage(p, 1.0)),
                    damage_without: over(&|p| 8.0 + 4.0 * p.crop as f64),
                }
            };
            let singles = [0u32, 1, 2, 3].map(|i| SingleSummer {
                summer: i * summers / 5,
                plant_damage: scenario
                    .plants
                    .iter()
                    .map(|p| damage(p, 0.4 + 0.4 * f64::from(i)).min(100.0))
                    .collect(),
            });
            PlanOutcome {
                name: plan.name.clone(),
                eaten: Some(Adjusted::plain(&damage_by_summer).mean / 20.0),
                damage: Adjusted::plain(&damage_by_summer),
                change: Adjusted::plain(&change),
                word: settled_word(&paired::count(&change, band), &change, band),
                damage_by_summer,
                plant_feeding_h: plant_damage.iter().map(|d| 3.0 * d).collect(),
                plant_damage,
                crop_damage,
                plot_damage: scenario.plots.iter().map(|_| Some(9.0)).collect(),
                caught_by_summer: caught,
                trap_catch: plan.traps.iter().map(|_| 2400.0).collect(),
                female_share_of_catch: (!plan.traps.is_empty()).then_some(0.6),
                insects: InsectAccount {
                    initial: 10,
                    entered: 3 * total + 90,
                    caught: total,
                    killed: 0,
                    removed: 0,
                    died: 40,
                    left: 2 * total + 40,
                    alive: 20,
                },
                answers: AnswerAccount {
                    answered: total / 43 * 100,
                    caught: total / 43 * 43,
                    landed_on_plant: total / 43 * 40,
                    went_away: total / 43 * 16,
                    unfinished: total / 43,
                },
                visits: grid(scenario, |p| {
                    3.0 + near(p) * 6.0 + 2.0 * libm::sin(p.x) * libm::sin(p.y)
                }),
                feeding: grid(scenario, |p| {
                    scenario
                        .plants
                        .iter()
                        .filter(|q| q.at.distance(p) <= q.canopy_m)
                        .map(|q| 4.0 + near(q.at))
                        .sum()
                }),
                rings: [0.0, 3.048, 6.096, 9.144, 15.24]
                    .windows(2)
                    .map(|w| ring(w[0], w[1]))
                    .collect(),
                single_summers: singles.to_vec(),
            }
        })
        .collect();
    RunOutcome {
        seed: 7,
        summers,
        most: 2000,
        settled: plans.iter().all(PlanOutcome::settled),
        plans,
        segments_per_summer: 1e5,
        one_summers: Vec::new(),
        warnings: vec!["few answers reached the far trap; run more summers".into()],
    }
}
