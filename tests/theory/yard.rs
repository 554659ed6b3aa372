//! An invented yard in code, for checks that need a whole scenario.

#[path = "../seed.rs"]
pub(crate) mod seed;

use lurefield::catalogue;
use lurefield::geometry::{Point, Rect};
use lurefield::scenario::{
    Crop, Owner, Plan, Plant, Pressure, Role, Scenario, Settings, Trap, Wind, WindSector, Window,
};
use seed::seed;

/// Places in metres from the yard's south-west corner.
pub(crate) type Places<'a> = &'a [(f64, f64)];

/// A square yard of grape vines in Japanese beetle country, eight winds alike, two weeks, one plan a list of traps.
pub(crate) fn yard(side_m: f64, vines: Places, plans: &[(&str, Places)]) -> Scenario {
    let kind = catalogue::crop("grape").expect("the catalogue has it");
    let entry = kind.hosts["japanese-beetle"].clone();
    let host = catalogue::HostValues {
        detection: entry.detection,
        acceptance: entry.acceptance,
        units: kind.leaf_area.clone(),
    };
    let canopy_m = kind.canopy.central();
    let plants = vines.iter().map(|v| Plant {
        crop: 0,
        at: Point::new(v.0, v.1),
        canopy_m,
    });
    let mut all = vec![Plan {
        name: "no trap".into(),
        traps: Vec::new(),
        methods: Vec::new(),
        own_cost: [None; 2],
    }];
    all.extend(plans.iter().map(|(name, traps)| Plan {
        name: (*name).into(),
        traps: traps.iter().map(|t| trap(t.0, t.1)).collect(),
        methods: Vec::new(),
        own_cost: [None; 2],
    }));
    Scenario {
        name: "invented".into(),
        title: String::new(),
        note: "invented for tests".into(),
        yard: Rect::new(0.0, 0.0, side_m, side_m),
        up_bearing_rad: 0.0,
        crops: vec![Crop {
            name: "vines".into(),
            kind,
            owner: Owner::Mine,
            host,
            worth: 1.0,
            first: 0,
            count: vines.len(),
            trap_crop: false,
        }],
        plants: plants.collect(),
        structures: Vec::new(),
        spots: Vec::new(),
        no_hang: Vec::new(),
        plots: Vec::new(),
        pest: catalogue::pest("japanese-beetle").expect("the catalogue has it"),
        pressure: Pressure {
            said: "invented".into(),
            low: 1.0,
            high: 3.0,
        },
        sources: Vec::new(),
        isolated: false,
        isolated_margin_m: 60.0,
        seasons: lurefield::scenario::Seasons {
            count: 1,
            arrivals: 1.0,
        },
        kept_sets: None,
        chewed_leaves_call: false,
        from_side: None,
        weather: None,
        wind: Wind::Rose {
            said: "invented".into(),
            sectors: (0..8)
                .map(|i| WindSector {
                    from_rad: f64::from(i) * std::f64::consts::FRAC_PI_4,
                    width_rad: std::f64::consts::FRAC_PI_4,
                    share: 0.11,
                    speed_m_per_s: 2.0,
                })
                .collect(),
            calm_share: 0.12,
            persistence: [0.5, 0.8],
        },
        window: Window {
            first_day: None,
            days: 14,
            day_weights: vec![1.0; 14],
        },
        lures: vec![catalogue::lure("japanese-beetle-both").expect("the catalogue has it")],
        trap_kinds: vec![catalogue::trap("bucket").expect("the catalogue has it")],
        plans: all,
        settings: Settings {
            summers: 12,
            seed: seed(5),
            cell_m: 0.5,
            tie_band: 1.0,
            most_insects: 2_000_000,
        },
        defaults: Vec::new(),
        warnings: Vec::new(),
    }
}

/// A fresh bucket trap with the two-part lure, all summer long.
pub(crate) fn trap(x: f64, y: f64) -> Trap {
    Trap {
        name: format!("trap at {x} {y}"),
        at: Point::new(x, y),
        lure: 0,
        n_lures: 1,
        kind: 0,
        role: Role::RemovesSome,
        strength: 1.0,
        lure_age_d: 0.0,
        from_day: 0,
        to_day: 999,
        empty_every_d: None,
        neighbours: false,
        catch_radius_m: None,
    }
}
