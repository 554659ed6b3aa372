//! What the simulating commands share: their options, progress, a clean stop, and the output folder.

use super::error::CliError;
use super::{files, print};
use crate::count::prepare::Refusal;
use crate::engine::ensemble::{Watch, with_threads};
use crate::engine::random::STREAM_SCHEME;
use crate::report::Facts;
use crate::report::provenance::sha256;
use crate::report::words::{at_folder, fold, pictures, without_details};
use crate::say::{counted, say};
use crate::scenario::{self, Scenario, last_part};
use crate::study::settle::Take;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::cell::RefCell;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

/// Options of every command that simulates.
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a flag of the command line"
)]
#[derive(Debug, Default, clap::Args)]
pub struct Options {
    /// Scenario file
    pub file: PathBuf,
    /// Number of summers, instead of as many as the answer needs
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub summers: Option<u32>,
    /// Seed, instead of the scenario's
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
    /// Threads to use; 0 for one a core. Results are the same for any number
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = clap::value_parser!(u16).range(0..=1024))]
    pub threads: u16,
    /// Folder for the results [default: output/SCENARIO]
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// No progress and no text, only files
    #[arg(long, short)]
    pub quiet: bool,
    /// Print the result as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// Print the technical lines as well; the files hold them anyway
    #[arg(long)]
    pub details: bool,
    /// Progress, but no text: another command tells what came out.
    #[arg(skip)]
    pub silent: bool,
}

/// A scenario read for work, with what the manifest must say about it.
pub struct Job {
    /// The scenario, with the command's summers and seed.
    pub scenario: Scenario,
    /// Its text as read.
    pub text: String,
    /// Files it names, as read.
    pub inputs: Vec<(String, String)>,
    /// What the caller knows about a run.
    pub facts: Facts,
    /// The folder of results.
    pub folder: PathBuf,
    /// The part of it that the command owns.
    pub part: &'static str,
    /// Most summers that the scenario allows.
    pub most: u32,
}

/// Where a result folder keeps the scenario it was made from; the name of the file is the scenario's name.
pub fn kept_scenario(name: &str) -> String {
    format!("inputs/{name}.json")
}

impl Job {
    /// Puts copies of the scenario and of the files it names before the files of a result.
    pub fn with_inputs(self, results: Vec<(String, Vec<u8>)>) -> Vec<(String, Vec<u8>)> {
        let mut all = vec![(kept_scenario(&self.scenario.name), self.text.into_bytes())];
        for (name, text) in self.inputs {
            all.push((format!("inputs/{}", last_part(&name)), text.into_bytes()));
        }
        all.extend(results);
        all
    }

    /// Makes the files of a result on the asked number of threads, writes them with the inputs, and prints the text, or
    /// with `--json` the JSON, of those names. `technical` follows the text where details are asked for and may be empty.
    ///
    /// # Errors
    /// A folder that cannot be written.
    pub fn finish(
        self,
        options: &Options,
        make: impl FnOnce(&Job) -> Vec<(String, Vec<u8>)> + Send,
        [text, json]: [&str; 2],
        technical: impl FnOnce(&[(String, Vec<u8>)]) -> String,
    ) -> Result<(), CliError> {
        let written = with_threads(usize::from(options.threads), || make(&self))
            .map_err(|why| no_threads(options.threads, &why))?;
        let file = |name: &str| {
            let found = written.iter().find(|(n, _)| n == name);
            String::from_utf8_lossy(found.map_or(&[], |(_, bytes)| bytes)).into_owned()
        };
        let (folder, part) = (self.folder.clone(), self.part);
        let shown = if options.json {
            file(json)
        } else {
            let mut people = file(text);
            if !options.details {
                people = without_details(&people);
            }
            let technical = options.details.then(|| technical(&written));
            let told = told(people, technical, &folder);
            at_folder(&told, &folder.join(part).display().to_string())
        };
        super::folder::publish(&folder, part, &self.with_inputs(written))?;
        if (options.quiet || options.silent) && !options.json {
            return Ok(());
        }
        print(&shown)
    }
}

fn no_threads(threads: u16, why: &str) -> CliError {
    CliError::Failed(say!("stop.threads", threads, why))
}

/// What a terminal shows of a result: its text, its technical lines where they are asked for, and where to see it all.
pub fn told(mut text: String, technical: Option<String>, folder: &Path) -> String {
    for more in technical.into_iter().filter(|t| !t.is_empty()) {
        text.push('\n');
        text.push_str(&more);
    }
    if !text.ends_with('\n') {
        text.push('\n');
    }
    let page = folder.join("index.html");
    text + &say!("result.page", page = page.display())
}

/// The line that names the pictures of a result.
pub fn picture_list(written: &[(String, Vec<u8>)]) -> String {
    let names = crate::report::picture_names(written);
    fold(&pictures(&names), 2).join("\n") + "\n"
}

/// Facts of this version of the program and its one generator.
pub fn facts(
    scenario_sha256: String,
    inputs: Vec<(String, String)>,
    command: Vec<String>,
) -> Facts {
    Facts {
        version: env!("CARGO_PKG_VERSION").into(),
        scenario_sha256,
        inputs,
        generator: "Philox 4x32-10".into(),
        stream_scheme: STREAM_SCHEME.into(),
        command,
    }
}

impl Options {
    /// Reads and checks the scenario and makes sure that results can be written, before any work is done. `command` is
    /// the command's name; it adds its own options to the manifest's list. `part` is
    /// the part of the folder of results that the command owns.
    ///
    /// # Errors
    /// All faults of the scenario; a folder that cannot be written.
    pub fn job(&self, command: &str, part: &'static str) -> Result<Job, CliError> {
        let text = files::read_text(&self.file).map_err(CliError::BadInput)?;
        let beside = self
            .file
            .parent()
            .map(Path::to_path_buf)
            .unwrap_or_default();
        let inputs = RefCell::new(Vec::new());
        let load = |name: &str| {
            // The copy of a scenario in a result folder finds its inputs there.
            let kept = beside.join(last_part(name));
            let named = beside.join(name);
            let content = files::read_text(if !named.exists() && kept.exists() {
                &kept
            } else {
                &named
            })?;
            inputs
                .borrow_mut()
                .push((name.to_string(), content.clone()));
            Ok(content)
        };
        let mut scenario = scenario::read(&text, &self.file.display().to_string(), &load)
            .map_err(CliError::Faults)?;
        let most = scenario.settings.summers;
        if let Some(summers) = self.summers {
            scenario.settings.summers = summers;
        }
        if let Some(seed) = self.seed {
            scenario.settings.seed = seed;
        }
        let inputs = inputs.into_inner();
        let hashes = inputs
            .iter()
            .map(|(name, content)| (name.clone(), sha256(content.as_bytes())))
            .collect();
        let words = [
            command,
            "--summers",
            &scenario.settings.summers.to_string(),
            "--seed",
            &scenario.settings.seed.to_string(),
        ];
        let facts = facts(
            sha256(text.as_bytes()),
            hashes,
            words.map(String::from).to_vec(),
        );
        let folder = self
            .out
            .clone()
            .unwrap_or_else(|| Path::new("output").join(&scenario.name));
        super::folder::ready(&folder, part)?;
        Ok(Job {
            scenario,
            text,
            inputs,
            facts,
            folder,
            part,
            most,
        })
    }

    /// Runs `work` on the asked number of threads with progress on a terminal and a clean stop on Ctrl-C.
    ///
    /// # Errors
    /// [`CliError::BadInput`] for a refused scenario, [`CliError::Failed`] when stopped.
    pub fn watched<T: Send>(
        &self,
        summers: u32,
        work: impl FnOnce(&Progress) -> Result<T, Refusal> + Send,
    ) -> Result<T, CliError> {
        let progress = Progress::new(u64::from(summers), !self.quiet);
        let result = with_threads(usize::from(self.threads), || work(&progress))
            .map_err(|why| no_threads(self.threads, &why))?;
        progress.bar.finish_and_clear();
        result.map_err(|refusal| match refusal {
            Refusal::Stopped => CliError::Failed(refusal.to_string()),
            _ => CliError::BadInput(format!("{}: {refusal}", self.file.display())),
        })
    }
}

impl Options {
    /// As [`Options::watched`] for work that is kept in pieces: `None` when it was stopped.
    ///
    /// # Errors
    /// [`CliError::BadInput`] for a refused scenario.
    pub fn kept<T: Send>(
        &self,
        summers: u32,
        work: impl FnOnce(&Progress) -> Result<T, Refusal> + Send,
    ) -> Result<Option<T>, CliError> {
        self.watched(summers, |progress| match work(progress) {
            Err(Refusal::Stopped) => Ok(None),
            other => other.map(Some),
        })
    }
}

/// Option of the commands that take as many summers as their answer needs.
#[derive(Debug, clap::Args)]
pub struct Enough {
    /// Most summers to take while words or averages could still change [default: the scenario's, else 2000]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    most_summers: Option<u32>,
    /// Segments of flight that the summers may take.
    #[arg(skip)]
    work: Option<u64>,
}

impl Enough {
    /// At most so many summers, and fewer where they would take more segments of flight than so many.
    pub(super) fn up_to(most: u32, work: u64) -> Enough {
        Enough {
            most_summers: Some(most),
            work: Some(work),
        }
    }

    /// How many summers a job takes.
    pub fn take(&self, options: &Options, job: &Job) -> Take {
        Take {
            exactly: options.summers,
            most: self.most_summers.unwrap_or(job.most),
            work: self.work,
        }
    }

    /// Puts the number that was taken where the scenario's stood, so that the same command brings the same bytes.
    pub fn taken(&self, job: &mut Job, summers: u32) {
        job.scenario.settings.summers = summers;
        if let Some(at) = job.facts.command.iter().position(|w| w == "--summers") {
            job.facts.command[at + 1] = summers.to_string();
        }
        if let Some(most) = self.most_summers {
            let more = ["--most-summers".to_owned(), most.to_string()];
            job.facts.command.extend(more);
        }
    }
}

/// Progress on standard error when that is a terminal, and the stop asked for by Ctrl-C.
pub struct Progress {
    bar: ProgressBar,
    plans: OnceLock<Vec<String>>,
}

static STOP: AtomicBool = AtomicBool::new(false);

impl Progress {
    fn new(summers: u64, shown: bool) -> Progress {
        // A second handler in one process is refused; the first one serves.
        let _ = ctrlc::set_handler(|| STOP.store(true, Ordering::SeqCst));
        let bar = ProgressBar::new(summers);
        if !shown || !std::io::stderr().is_terminal() {
            bar.set_draw_target(ProgressDrawTarget::hidden());
        }
        let progress = Progress {
            bar,
            plans: OnceLock::new(),
        };
        progress.shows(&say!("progress.bar"));
        progress
    }

    fn shows(&self, template: &str) {
        if let Ok(style) = ProgressStyle::with_template(template) {
            self.bar.set_style(style);
        }
    }

    /// Shows the answer so far instead of a bar, with the names of the plans. When it comes is not known beforehand.
    pub fn answering(&self, scenario: &Scenario) {
        self.shows(&say!("progress.answering"));
        let names = scenario.plans.iter().skip(1).map(|p| p.name.clone());
        // Told once for each run; the first names serve.
        let _ = self.plans.set(names.collect());
    }

    /// Shows a line above the bar, where there is one.
    pub fn say(&self, line: &str) {
        self.bar.println(line);
    }
}

impl Watch for Progress {
    fn advance(&self, summers: u32) {
        self.bar.inc(u64::from(summers));
    }

    fn so_far(&self, summers: u32, counts: &[[usize; 3]]) {
        let Some(plans) = self.plans.get() else {
            return;
        };
        self.shows("{msg}");
        self.bar.set_message(answer_so_far(summers, plans, counts));
        self.bar.tick();
    }

    fn stopped(&self) -> bool {
        STOP.load(Ordering::SeqCst)
    }
}

/// How many summers have been lived, and a line for each plan: "  trap: more in 17".
fn answer_so_far(summers: u32, plans: &[String], counts: &[[usize; 3]]) -> String {
    let plan = |(name, [more, same, less]): (&String, &[usize; 3])| {
        let most = [
            (more, "progress.more"),
            (same, "progress.same"),
            (less, "progress.less"),
        ];
        let (n, key) = most
            .into_iter()
            .max_by_key(|(n, _)| **n)
            .unwrap_or((&0, "progress.same"));
        let plan = crate::units::shortened(name);
        format!("\n  {}", say!(key, plan, n))
    };
    let each: String = plans.iter().zip(counts).map(plan).collect();
    let of = counts
        .first()
        .map_or(0, |counts| counts.iter().sum::<usize>());
    let key = counted("progress.so-far", u64::from(summers));
    say!(&key, summers, of) + &each
}
