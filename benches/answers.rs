//! Whole commands of this build beside those of version 0.3.1, turn and turn about.
//!
//! `cargo bench --bench answers`. The older program is taken from the path in `LUREFIELD_OLD`; without it the commit is
//! unpacked to `target/old` and built there once. Both sides run on two threads. Each figure is the least of two repeats
//! (`run` goes once through the ten yards), by the clock and in processor time, which other work on the machine moves less.
//! The older program takes 1,000 summers for `run` and `compare`, as its shipped yards said.
//! `LUREFIELD_BENCH_SUMMERS=N` gives every command N summers, for a quick look; the targets are meant for the summers that a
//! command takes by itself. A part is chosen by its name: `cargo bench --bench answers -- place`.

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench prints and reads the clock"
)]

use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::{Unwatched, with_threads};
use lurefield::study::compare::{How, compare};
use lurefield::study::settle::Take;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Version 0.3.1.
const OLD_COMMIT: &str = "da84af3";
const REPEATS: usize = 2;
const THREADS: usize = 2;
/// Summers behind the first counts that a reader is shown (`TOLD_SOON` in `study/run.rs`).
const FIRST_LOOK: u32 = 10;

/// Targets: how many times less processor time than 0.3.1, and seconds by the clock on two idle cores.
const COMPARE_TIMES: f64 = 4.0;
const PLACE_TIMES: f64 = 6.0;
const PLACE_S: f64 = 5.0;
const RUN_TIMES: f64 = 4.0;
const FIRST_COUNTS_S: f64 = 1.0;
/// Memory, millions of bytes.
const MEMORY_MB: f64 = 150.0;
const MB_PER_MIB: f64 = 1.048_576;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");
const NEW: &str = env!("CARGO_BIN_EXE_lurefield");
const ALLOTMENT: &str = "allotment-beetles.json";

/// What a command took.
#[derive(Clone, Copy)]
struct Cost {
    clock_s: f64,
    processor_s: f64,
    peak_mib: f64,
}

impl Cost {
    const NONE: Cost = Cost {
        clock_s: f64::INFINITY,
        processor_s: f64::INFINITY,
        peak_mib: 0.0,
    };

    /// Least times, most memory.
    fn and(self, other: Cost) -> Cost {
        Cost {
            clock_s: self.clock_s.min(other.clock_s),
            processor_s: self.processor_s.min(other.processor_s),
            peak_mib: self.peak_mib.max(other.peak_mib),
        }
    }
}

/// Processor seconds of all commands that have ended, to a hundredth.
fn processor_s_of_children() -> f64 {
    let stat = fs::read_to_string("/proc/self/stat").expect("this bench needs /proc");
    let after = stat.rsplit(')').next().unwrap_or_default();
    let ticks = after.split_whitespace().skip(13).take(2);
    ticks.filter_map(|t| t.parse::<f64>().ok()).sum::<f64>() / 100.0
}

/// Peak memory of a running process, KiB.
fn peak_kib(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// Runs a command to its end. Memory is looked at a hundred times a second, so a peak in the last hundredth is missed.
fn cost(program: &Path, words: &[String]) -> Cost {
    let before_s = processor_s_of_children();
    let begun = Instant::now();
    let mut child = Command::new(program)
        .args(words)
        .stdout(Stdio::null())
        .spawn()
        .expect("the program starts");
    let (process, over, peak) = (child.id(), AtomicBool::new(false), AtomicU64::new(0));
    let (status, clock_s) = std::thread::scope(|scope| {
        scope.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                if let Some(kib) = peak_kib(process) {
                    peak.fetch_max(kib, Ordering::Relaxed);
                }
                std::thread::sleep(Duration::from_millis(10));
            }
        });
        let status = child.wait().expect("it ends");
        over.store(true, Ordering::Relaxed);
        (status, begun.elapsed().as_secs_f64())
    });
    assert!(
        status.success(),
        "{} {words:?}: {status}",
        program.display()
    );
    Cost {
        clock_s,
        processor_s: processor_s_of_children() - before_s,
        peak_mib: peak.into_inner() as f64 / 1024.0,
    }
}

/// Both programs, and where their files go.
struct Sides {
    programs: [PathBuf; 2],
    folder: PathBuf,
    summers: Option<String>,
}

impl Sides {
    /// Costs of a command for the older program and this one, run in turn.
    fn race(&self, name: &str, command: &[&str], scenario: &Path, repeats: usize) -> [Cost; 2] {
        let mut costs = [Cost::NONE; 2];
        for _ in 0..repeats {
            for (side, program) in self.programs.iter().enumerate() {
                let mut words: Vec<String> = command.iter().map(ToString::to_string).collect();
                words.extend([
                    scenario.display().to_string(),
                    "--quiet".into(),
                    format!("--threads={THREADS}"),
                    format!("--out={}", self.out(side).display()),
                ]);
                let summers = match (&self.summers, side) {
                    (Some(n), _) => Some(n.as_str()),
                    // What the yards shipped with 0.3.1 asked for.
                    (None, 0) if command[0] != "place" => Some("1000"),
                    _ => None,
                };
                words.extend(summers.map(|n| format!("--summers={n}")));
                costs[side] = costs[side].and(cost(program, &words));
            }
        }
        let [old, new] = costs;
        println!(
            "{name}: 0.3.1 {:.2} s by the clock, {:.2} s of processor, {:.0} MiB; now {:.2} s, {:.2} s, {:.0} MiB",
            old.clock_s, old.processor_s, old.peak_mib, new.clock_s, new.processor_s, new.peak_mib
        );
        println!(
            "ratio {name}: {:.2} by the clock, {:.2} of processor",
            old.clock_s / new.clock_s,
            old.processor_s / new.processor_s
        );
        costs
    }

    fn out(&self, side: usize) -> PathBuf {
        self.folder.join(["old", "new"][side])
    }
}

/// The older program: given, or built from its commit.
fn old_program() -> PathBuf {
    if let Some(given) = std::env::var_os("LUREFIELD_OLD") {
        return given.into();
    }
    let home = Path::new(ROOT).join("target/old");
    let built = home.join("target/release/lurefield");
    if !built.exists() {
        println!("building version 0.3.1 in {}", home.display());
        fs::create_dir_all(&home).expect("the target folder can be written");
        let done = |command: &mut Command| {
            let status = command.current_dir(&home).status();
            assert!(status.is_ok_and(|s| s.success()), "{command:?}");
        };
        let archive = format!("--output={}", home.join("old.tar").display());
        done(Command::new("git").args(["-C", ROOT, "archive", &archive, OLD_COMMIT]));
        done(Command::new("tar").args(["-xf", "old.tar"]));
        done(
            Command::new(env!("CARGO"))
                .args(["build", "--release", "--bin", "lurefield"])
                .env_remove("CARGO_TARGET_DIR"),
        );
    }
    built
}

/// A target and whether it was met.
fn target(name: &str, got: f64, at_least: f64) {
    let word = if got >= at_least { "met" } else { "missed" };
    println!("target {name}: {got:.2}, at least {at_least}: {word}");
}

fn at_most(name: &str, got: f64, most: f64) {
    let word = if got <= most { "met" } else { "missed" };
    println!("target {name}: {got:.2}, at most {most}: {word}");
}

fn shipped(name: &str) -> PathBuf {
    Path::new(ROOT).join("scenarios").join(name)
}

/// The ten shipped yards.
fn yards() -> Vec<String> {
    let folder = fs::read_dir(Path::new(ROOT).join("scenarios")).expect("shipped");
    let mut names: Vec<String> = folder
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| {
            let stem = name.strip_suffix(".json");
            stem.is_some_and(|stem| stem != "scenario.schema")
        })
        .collect();
    names.sort();
    names
}

/// A shipped yard that 0.3.1 reads too: it knows no delta trap, so that both sides get a sticky one.
fn readable(name: &str, folder: &Path) -> PathBuf {
    let text = fs::read_to_string(shipped(name)).expect("shipped");
    if !text.contains("\"delta\"") {
        return shipped(name);
    }
    println!("{name}: sticky traps in place of delta traps");
    let path = folder.join(name);
    fs::write(&path, text.replace("\"delta\"", "\"sticky\"")).expect("the folder can be written");
    path
}

/// A yard with its first few plans only, in a file of its own.
fn first_plans(name: &str, plans: usize, folder: &Path) -> PathBuf {
    let text = fs::read_to_string(shipped(name)).expect("shipped");
    let mut yard: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
    let all = yard["plans"].as_array_mut().expect("it has plans");
    all.truncate(plans);
    let path = folder.join(name);
    fs::write(&path, yard.to_string()).expect("the folder can be written");
    path
}

/// Seconds from a scenario's text to the first counts of all plans: reading, the pilot and the first look.
fn first_counts_s(text: &str) -> f64 {
    let begun = Instant::now();
    let read = lurefield::scenario::read(text, ALLOTMENT, &|_| Err(String::new()));
    let mut scenario = read.unwrap_or_else(|_| panic!("the shipped scenario reads"));
    scenario.settings.summers = FIRST_LOOK;
    let how = How {
        take: Take::exactly(FIRST_LOOK),
        spread: false,
    };
    with_threads(THREADS, || {
        let prepared = prepare(&scenario, &Unwatched).expect("the shipped scenario runs");
        compare(&prepared, how, &Unwatched).expect("nobody stops it");
    })
    .expect("two threads start");
    begun.elapsed().as_secs_f64()
}

/// Numbers of the named columns of a CSV table, row by row.
fn columns<const N: usize>(path: &Path, names: [&str; N]) -> Vec<[f64; N]> {
    let mut table = csv::Reader::from_path(path).expect("the table can be read");
    let head = table.headers().expect("it has a head").clone();
    let at = names.map(|n| head.iter().position(|h| h == n).expect("it has the column"));
    table
        .records()
        .map(|row| {
            let row = row.expect("a whole row");
            at.map(|i| row[i].parse().expect("a number"))
        })
        .collect()
}

/// Root mean square of a map's distance from the reference, in the cell nearest to each of its places, and that of the
/// reference's own errors.
fn rms_errors(map: &Path, reference: &Path) -> (f64, f64) {
    let cells = columns(map, ["x_m", "y_m", "change"]);
    let truth = columns(reference, ["x_m", "y_m", "mean", "se"]);
    let (mut off, mut own) = (0.0, 0.0);
    for [x, y, change, se] in &truth {
        let away = |c: &&[f64; 3]| (c[0] - x) * (c[0] - x) + (c[1] - y) * (c[1] - y);
        let nearest = cells.iter().min_by(|a, b| away(a).total_cmp(&away(b)));
        let gap = nearest.expect("the map has cells")[2] - change;
        off += gap * gap;
        own += se * se;
    }
    let n = truth.len() as f64;
    ((off / n).sqrt(), (own / n).sqrt())
}

fn compare_part(sides: &Sides) {
    let four = first_plans(ALLOTMENT, 4, &sides.folder);
    let [old, new] = sides.race("compare, four plans", &["compare"], &four, REPEATS);
    target(
        "compare, processor time",
        old.processor_s / new.processor_s,
        COMPARE_TIMES,
    );
    let text = fs::read_to_string(&four).expect("just written");
    let first_s = (0..REPEATS).map(|_| first_counts_s(&text));
    let first_s = first_s.fold(f64::INFINITY, f64::min);
    println!(
        "first counts, {FIRST_LOOK} summers: {first_s:.2} s; 0.3.1 shows none before its end, {:.2} s",
        old.clock_s
    );
    at_most("first counts, seconds", first_s, FIRST_COUNTS_S);
}

fn place_part(sides: &Sides) {
    let command = ["place", "--sweep=none"];
    let [old, new] = sides.race("place", &command, &shipped(ALLOTMENT), REPEATS);
    target(
        "place, processor time",
        old.processor_s / new.processor_s,
        PLACE_TIMES,
    );
    at_most("place, seconds by the clock", new.clock_s, PLACE_S);
    let reference = Path::new(ROOT).join("tests/data/reference-grid.csv");
    if !reference.exists() {
        println!(
            "no {}: errors of the maps not measured",
            reference.display()
        );
        return;
    }
    let table = ["placement-map.csv", "place/placement-map.csv"];
    let map = |side| rms_errors(&sides.out(side).join(table[side]), &reference);
    let ((old, own), (new, _)) = (map(0), map(1));
    println!(
        "rms distance of the map from the reference: 0.3.1 {old:.3}, now {new:.3} (errors of the reference itself {own:.3})"
    );
    at_most("error of the map over that of 0.3.1", new / old, 1.0);
}

fn run_part(sides: &Sides) {
    let mut ratios = Vec::new();
    let mut peaks = [0.0_f64; 2];
    for name in yards() {
        let costs = sides.race(
            &format!("run {name}"),
            &["run"],
            &readable(&name, &sides.folder),
            1,
        );
        ratios.push(costs[0].processor_s / costs[1].processor_s);
        for (peak, cost) in peaks.iter_mut().zip(costs) {
            *peak = peak.max(cost.peak_mib);
        }
    }
    let n = ratios.len() as f64;
    let mean = ratios.iter().sum::<f64>() / n;
    let geometric = libm::exp(ratios.iter().map(|r| libm::log(*r)).sum::<f64>() / n);
    let least = ratios.iter().copied().fold(f64::INFINITY, f64::min);
    println!(
        "ratio run, {n} yards, of processor: mean {mean:.2}, geometric mean {geometric:.2}, least {least:.2}"
    );
    println!(
        "peak memory of run: 0.3.1 {:.0} MiB, now {:.0} MiB",
        peaks[0], peaks[1]
    );
    target(
        "run, geometric mean of processor time",
        geometric,
        RUN_TIMES,
    );
    at_most("peak memory of run, MB", MB_PER_MIB * peaks[1], MEMORY_MB);
}

fn main() {
    // `cargo bench` adds "--bench".
    let chosen: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| !word.starts_with('-'))
        .collect();
    let folder = tempfile::tempdir().expect("a folder for the output");
    let sides = Sides {
        programs: [old_program(), NEW.into()],
        folder: folder.path().into(),
        summers: std::env::var("LUREFIELD_BENCH_SUMMERS").ok(),
    };
    let asked = |name: &str| chosen.is_empty() || chosen.iter().any(|c| c == name);
    if asked("compare") {
        compare_part(&sides);
    }
    if asked("place") {
        place_part(&sides);
    }
    if asked("run") {
        run_part(&sides);
    }
}
