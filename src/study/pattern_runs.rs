//! Patterns on what happens at the trap, directions, picking, years, scatter, nets and bags.

use crate::count::prepare::{Refusal, prepare};
use crate::count::seasons::{SeasonsOutcome, seasons};
use crate::engine::ensemble::each_summer;
use crate::engine::event::{Event, Fate, Nobody, Observer};
use crate::engine::flight::{Lures, live};
use crate::engine::ground::Ground;
use crate::engine::insect::{Insect, Mode};
use crate::engine::lure::LureMemory;
use crate::geometry::Point;
use crate::scenario::{Scenario, Wind, WindSector};
use crate::stats::spread::mean;
use crate::study::layout::{Layout, Runs, minus, ratio, share_of};
use crate::study::patterns::{Values, field};

/// Tangent of 22.5 degrees: half of one of eight compass sectors.
const HALF_SECTOR: f64 = std::f64::consts::SQRT_2 - 1.0;

/// Repeats of four years for so many summers elsewhere: a whole field over years is heavy work.
pub(crate) fn repeats(summers: u32) -> u32 {
    (summers / 12).clamp(2, 40)
}

/// Counts where answers begin, in wind from the west.
struct Directions {
    trap: Point,
    straight: u64,
    all: u64,
}

impl Observer for Directions {
    fn hear(&mut self, event: &Event) {
        if let Event::Answered(_, at) = *event {
            let (dx, dy) = (at.x - self.trap.x, at.y - self.trap.y);
            self.all += 1;
            self.straight += u64::from(dx > 0.0 && dy.abs() <= HALF_SECTOR * dx);
        }
    }
}

/// Share of answers that begin straight downwind, with its error.
fn straight(mut scenario: Scenario, speed_m_per_s: f64, runs: Runs) -> Result<(f64, f64), Refusal> {
    scenario.wind = Wind::Rose {
        said: String::new(),
        sectors: vec![WindSector {
            from_rad: 1.5 * std::f64::consts::PI,
            width_rad: 0.0,
            share: 1.0,
            speed_m_per_s,
        }],
        calm_share: 0.0,
        persistence: [0.5, 0.5],
    };
    let trap = scenario.plans[1].traps[0].at;
    let begin = |_: &Ground| Directions {
        trap,
        straight: 0,
        all: 0,
    };
    share_of(&scenario, runs, begin, |seen| [seen.straight, seen.all])
}

/// Beetles of P6 in one summer, evenly from all sides.
const NEAR_TRAP: u32 = 46;

/// P6: beetles that answer have come within 2 m of a trap; where each is 30 s later.
pub(crate) fn at_the_trap(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let layout = Layout::vine(vec![("trap".into(), vec![[18.0, 12.0]], 1)]);
    let scenario = layout.scenario(runs.summers, runs.seed);
    let prepared = prepare(&scenario, runs.watch)?;
    let plan = &scenario.plans[1];
    let mut shares: [Vec<f64>; 3] = Default::default();
    let one = |summer: u32| {
        let ground = Ground::for_summer(&scenario, summer);
        let (lures, ..) = prepared.lures(&ground, plan);
        let mut seen = [0_u32; 3];
        for id in 0..NEAR_TRAP {
            let side = 2.0 * std::f64::consts::PI * f64::from(id) / f64::from(NEAR_TRAP);
            seen[near_trap(&ground, &lures, id, (libm::cos(side), libm::sin(side)))] += 1;
        }
        seen
    };
    each_summer(0..runs.summers, runs.watch, one, |_, seen| {
        for (all, n) in shares.iter_mut().zip(seen) {
            all.push(100.0 * f64::from(n) / f64::from(NEAR_TRAP));
        }
    })?;
    for (name, share) in ["p6-caught", "p6-sitting", "p6-away"]
        .into_iter()
        .zip(&shares)
    {
        values.mean(name, share);
    }
    Ok(())
}

/// Lives 30 s of a beetle on its way, 2 m from the only trap: caught (0), sitting there (1) or away (2).
fn near_trap(ground: &Ground, lures: &Lures, id: u32, (ux, uy): (f64, f64)) -> usize {
    let trap = lures.sites[0].at;
    let noon_s = 0.5 * ground.clock.day_s;
    let at = Point::new(trap.x + 2.0 * ux, trap.y + 2.0 * uy);
    let mut insect = Insect::new(ground, id, noon_s, at, (-ux, -uy), true);
    insect.answering = 0;
    // So close the scent is not lost any more.
    insect.mode = Mode::Approach {
        lure: 0,
        lose_s: f64::INFINITY,
    };
    let until_s = noon_s + 30.0;
    live(
        ground,
        lures,
        &mut insect,
        &mut [LureMemory::NEW],
        until_s,
        &mut Nobody,
    );
    match insect.mode {
        Mode::Over(Fate::Caught(_)) => 0,
        Mode::Pause { .. } => 1,
        _ => 2,
    }
}

/// P7: answers to one trap in steady wind from the west, light and stronger.
pub(crate) fn upwind(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let layout = Layout::vine(vec![("trap".into(), vec![[18.0, 12.0]], 1)]);
    let (light, e) = straight(layout.scenario(runs.summers, runs.seed), 1.0, runs)?;
    let (strong, f) = straight(layout.scenario(runs.summers, runs.seed), 2.5, runs)?;
    values.ratio("p7-upwind-share", (100.0 * light, 100.0 * e));
    let error = 100.0 * (e * e + f * f).sqrt();
    values.ratio(
        "p7-stronger-less-lighter",
        (100.0 * (strong - light), error),
    );
    Ok(())
}

/// Four vines, picked once or three times a day.
pub(crate) fn picked_vines() -> Layout {
    let mut layout = Layout::vine(Vec::new());
    layout.crops =
        r#"[{"name":"vines","kind":"grape","row":{"from":[9,12],"to":[15,12],"count":4}}]"#.into();
    layout.pressure = r#"{"pressure":{"on_plants_a_day":[4,12]}}"#.into();
    layout.methods = vec![
        ("19:00", r#"{"method":"hand-removal","times":["19:00"]}"#),
        (
            "three times",
            r#"{"method":"hand-removal","times":["8:00","14:00","19:00"]}"#,
        ),
    ];
    layout
}

/// P9: four vines, picked once or three times a day.
pub(crate) fn picking(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let all = picked_vines().run(runs)?;
    let gain = |plan: usize| minus(&all[0].damage, &all[plan].damage);
    values.mean("p9-evening-change", &minus(&all[1].damage, &all[0].damage));
    values.ratio("p9-evening-share", ratio(&gain(1), &gain(2)));
    Ok(())
}

/// P11, third part: the isolated field over four years.
pub(crate) fn years(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let layout = field(
        r#"{"pressure":{"on_plants_a_day":[10,40]},"setting":"isolated","margin":"100 ft","seasons":4}"#,
    );
    values.plain("p11-yearly-factor", yearly(&layout, runs)?[1]);
    Ok(())
}

/// Mean factor of each plan from one year to the next.
pub(crate) fn yearly(layout: &Layout, runs: Runs) -> Result<Vec<f64>, Refusal> {
    let scenario = layout.scenario(repeats(runs.summers), runs.seed);
    let prepared = prepare(&scenario, runs.watch)?;
    let found = seasons(&prepared, prepared.scenario.settings.summers, runs.watch)?;
    let factors = |s: SeasonsOutcome| s.plans.iter().map(|p| p.factor).collect();
    Ok(found.map_or_else(|| vec![f64::NAN; scenario.plans.len()], factors))
}

/// One trap in a closed square of 2.6 ha.
pub(crate) fn one_trap_of_moths() -> Layout {
    let mut layout = Layout::vine(vec![("trap".into(), vec![[24.0, 20.0]], 1)]);
    layout.yard_m = [40.0, 40.0];
    layout.crops = r#"[{"name":"apple","kind":"apple","single":[20,20]}]"#.into();
    layout.pest = "codling-moth";
    layout.lure = "codling-moth-sex";
    layout.kind = "delta";
    layout.pressure =
        r#"{"pressure":{"on_plants_a_day":[0.1,0.1]},"setting":"isolated","margin":60}"#.into();
    layout
}

/// P14: one trap in a closed square; the same moths, other luck.
pub(crate) fn scatter(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let layout = one_trap_of_moths();
    let scenario = layout.scenario(runs.summers, runs.seed);
    let counts = catches(&scenario, runs.summers, runs)?;
    let m = mean(&counts);
    let squares: Vec<f64> = counts.iter().map(|c| (c - m) * (c - m)).collect();
    let k = counts.len() as f64;
    let index = squares.iter().sum::<f64>() / (k - 1.0) / m.max(1e-9);
    // The error of a variance from so many counts, near enough normal.
    values.ratio("p14-spread", (index, index * (2.0 / (k - 1.0)).sqrt()));
    Ok(())
}

/// Catch of the second plan in so many repeats: the same biology, other luck.
pub(crate) fn catches(scenario: &Scenario, repeats: u32, runs: Runs) -> Result<Vec<f64>, Refusal> {
    let prepared = prepare(scenario, runs.watch)?;
    let plans = std::slice::from_ref(&scenario.plans[1]);
    let one = |luck: u32| {
        let ground = Ground::for_draws(scenario, 0, luck);
        let found = crate::count::plans::summer(&prepared, &ground, plans, None);
        found[0].tally.caught_total() as f64
    };
    let mut counts = Vec::new();
    each_summer(0..repeats, runs.watch, one, |_, caught| counts.push(caught))?;
    Ok(counts)
}

/// Fewer infested fruit than under the first plan, of 100, with the error.
fn fewer(bare: &[f64], covered: &[f64]) -> (f64, f64) {
    let (r, e) = ratio(covered, bare);
    (100.0 * (1.0 - r), 100.0 * e)
}

/// P15: strawberries under nets of two hole sizes, and one put on late.
pub(crate) fn nets(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let mut layout = Layout::vine(Vec::new());
    layout.yard_m = [12.0, 9.0];
    layout.crops = r#"[{"name":"strawberries","kind":"strawberry","block":{"from":[4,3],"to":[8,6],"count":[6,4]}}]"#.into();
    layout.pest = "spotted-wing-drosophila";
    layout.pressure = r#"{"pressure":"usual"}"#.into();
    layout.methods = vec![
        ("1.2 mm", r#"{"method":"row-cover","mesh_mm":1.2}"#),
        ("1.7 mm", r#"{"method":"row-cover","mesh_mm":1.7}"#),
        (
            "1.2 mm, late",
            r#"{"method":"row-cover","mesh_mm":1.2,"from_day":10}"#,
        ),
    ];
    let all = layout.run(runs)?;
    values.ratio("p15-fine", fewer(&all[0].damage, &all[1].damage));
    values.ratio("p15-coarse", fewer(&all[0].damage, &all[2].damage));
    let gain = |plan: usize| minus(&all[0].damage, &all[plan].damage);
    values.ratio("p15-late", ratio(&gain(3), &gain(1)));
    Ok(())
}

/// P16: apples, all of them bagged.
pub(crate) fn bags(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let mut layout = Layout::vine(Vec::new());
    layout.crops = r#"[{"name":"apple","kind":"apple","single":[12,12]}]"#.into();
    layout.pest = "codling-moth";
    layout.pressure = r#"{"pressure":"usual"}"#.into();
    layout.methods = vec![("bags", r#"{"method":"fruit-bags","share":1}"#)];
    let all = layout.run(runs)?;
    values.ratio(
        "p16-bagged-over-bare",
        ratio(&all[1].damage, &all[0].damage),
    );
    Ok(())
}
