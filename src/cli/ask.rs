//! `lurefield ask`: from a few answers in plain words to the help-desk paragraph, its picture and the yard file.

use super::error::CliError;
use super::work::{Enough, Options};
use super::{files, print, report, run};
use crate::catalogue::unmodelled;
use crate::catalogue::words::{self, Kind};
use crate::report::words::grade_in_words;
use crate::say::say;
use crate::scenario::answers::Refused;
use crate::scenario::asked::{Asked, Composed};
use std::io::{BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

/// Summers that fit into some ten seconds in most yards; more are a matter of `lurefield run`.
const USUAL_SUMMERS: u32 = 100;
/// Segments of flight that fit into some seven seconds on two cores; a yard of more gets fewer summers, but twenty.
const USUAL_WORK: u64 = 100_000_000;

/// Arguments of `ask`.
#[derive(Debug, Default, clap::Args)]
pub struct Args {
    /// The pest, for example "japanese beetle"
    #[arg(long, value_name = "WORDS")]
    pest: Option<String>,
    /// Plants that matter, how many and where, for example "8 roses along the north fence"; may be given again
    #[arg(long, value_name = "WORDS")]
    plants: Vec<String>,
    /// Size of the yard, west to east by south to north, for example "60 by 40 ft"
    #[arg(long = "yard", value_name = "SIZE")]
    size: Option<String>,
    /// Where a trap would hang, for example "30 ft from the roses"; again for another plan, with ";" for two traps in one
    #[arg(long, value_name = "WORDS")]
    trap: Vec<String>,
    /// What else you would do, for example "pick by hand at dusk" or "net"; may be given again
    #[arg(long = "do", value_name = "WORDS")]
    method: Vec<String>,
    /// What stands in the yard, for example "house 30 by 24 ft in the south-west corner"; may be given again
    #[arg(long, value_name = "WORDS")]
    has: Vec<String>,
    /// The side that most of the pest comes from
    #[arg(long, value_name = "SIDE")]
    from: Option<String>,
    /// The side the wind usually comes from, or unknown, or still
    #[arg(long, value_name = "SIDE")]
    wind: Option<String>,
    /// How many of the pest: light, usual or heavy
    #[arg(long, value_name = "WORD")]
    pressure: Option<String>,
    /// Go on with plants that the pest hardly eats
    #[arg(long)]
    anyway: bool,
    /// Ask for what is missing, even where no terminal is
    #[arg(long)]
    questions: bool,
    /// Write the yard file and stop
    #[arg(long)]
    only_write: bool,
    /// File for the yard [default: named after plants and pest]
    #[arg(long, value_name = "FILE")]
    file: Option<PathBuf>,
    /// Folder for the results [default: output/SCENARIO]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Number of summers, instead of as many as the answer needs, up to 100
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    summers: Option<u32>,
    /// Threads to use; 0 for one a core. Results are the same for any number
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = clap::value_parser!(u16).range(0..=1024))]
    threads: u16,
}

/// Answers a question about a yard: writes the yard file and the results, and prints the paragraph.
///
/// # Errors
/// An answer that makes no yard, a file or folder that cannot be written, a stopped run.
pub fn run(args: &Args) -> Result<(), CliError> {
    let asks =
        args.questions || (std::io::stdin().is_terminal() && std::io::stderr().is_terminal());
    let mut asked = Asked {
        pest: args.pest.clone().unwrap_or_default(),
        plants: args.plants.clone(),
        yard: args.size.clone(),
        has: args.has.clone(),
        traps: args.trap.clone(),
        methods: args.method.clone(),
        from: args.from.clone(),
        wind: args.wind.clone(),
        pressure: args.pressure.clone(),
        anyway: args.anyway,
    };
    if let Some(note) = unmodelled::find(&asked.pest) {
        return print(&note.tells(grade_in_words(note.grade)));
    }
    let nothing = asked.pest.is_empty() || asked.plants.is_empty();
    let composed = if asks && nothing {
        match interview(&mut asked)? {
            Answer::Yard(composed) => composed,
            Answer::Note(words) => return print(&words),
        }
    } else {
        missing(&asked)?;
        asked.compose().map_err(refused)?
    };
    let file = write(args.file.as_deref(), &composed)?;
    let shown = file.display().to_string();
    let mut told = Vec::new();
    if !composed.notes.is_empty() {
        told.push(say!("ask.first"));
        told.extend(composed.notes.iter().map(|note| format!("- {note}")));
        told.push(String::new());
    }
    if args.only_write {
        told.push(say!("ask.file", file = shown));
        return print(&told.join("\n"));
    }
    // What was taken is told at once; the answer follows.
    print(&told.join("\n"))?;
    let options = Options {
        file: file.clone(),
        summers: args.summers,
        threads: args.threads,
        out: args.out.clone(),
        silent: true,
        ..Options::default()
    };
    let run = run::Args {
        options,
        enough: Enough::up_to(USUAL_SUMMERS, USUAL_WORK),
    };
    let (folder, settled) = run::answer(&run)?;
    report::help_desk(&folder)?;
    let text = folder.join("report").join("help-desk.txt");
    let paragraph = files::read_text(&text).map_err(CliError::Failed)?;
    let picture = folder.join("run").join("change-in-twenty-summers.png");
    let page = folder.join("index.html");
    let mut end = vec![paragraph.trim_end().to_owned(), String::new()];
    end.extend(each_plan(&folder));
    if let Some(n) = settled {
        end.push(say!("ask.unsettled", n, file = shown));
    }
    end.push(say!("ask.picture", file = picture.display()));
    end.push(say!("ask.page", file = page.display()));
    end.push(say!("ask.file", file = shown));
    print(&end.join("\n"))
}

/// A line for each plan, from the results.
fn each_plan(folder: &Path) -> Vec<String> {
    let text = files::read_text(&folder.join("run").join("summary.json")).unwrap_or_default();
    let found: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
    let plans = found["plans"].as_array().map_or(&[][..], Vec::as_slice);
    let mut lines = vec![say!("ask.plans")];
    for plan in plans.iter().skip(1) {
        let told = &plan["against_first"]["told"];
        let (name, of) = (plan["name"].as_str().unwrap_or_default(), &told["of"]);
        let (more, same, less) = (&told["more"], &told["same"], &told["less"]);
        lines.push(say!("ask.plans.one", name, of, more, same, less));
    }
    lines.push(String::new());
    lines
}

/// What an interview comes to.
enum Answer {
    Yard(Composed),
    /// What is known of a pest that the program has no numbers of.
    Note(String),
}

fn refused(Refused { answer, why }: Refused) -> CliError {
    CliError::BadInput(format!("--{answer}: {why}"))
}

/// Without a pest and plants there is no yard.
fn missing(asked: &Asked) -> Result<(), CliError> {
    let needed = [
        ("--pest", asked.pest.trim().is_empty()),
        ("--plants", asked.plants.is_empty()),
    ];
    let list: Vec<&str> = needed
        .iter()
        .filter(|(_, missing)| *missing)
        .map(|(flag, _)| *flag)
        .collect();
    if list.is_empty() {
        return Ok(());
    }
    Err(CliError::BadInput(say!(
        "fault.ask.missing",
        list = list.join(", ")
    )))
}

/// Asks for what is missing, one question after the other; an answer that cannot be read is asked for again.
fn interview(asked: &mut Asked) -> Result<Answer, CliError> {
    let mut given: Vec<&'static str> = Vec::new();
    let told = [
        ("pest", !asked.pest.is_empty()),
        ("yard", asked.yard.is_some()),
        ("plants", !asked.plants.is_empty()),
        ("trap", !asked.traps.is_empty()),
        ("from", asked.from.is_some()),
        ("wind", asked.wind.is_some()),
        ("pressure", asked.pressure.is_some()),
    ];
    given.extend(
        told.iter()
            .filter(|(_, told)| *told)
            .map(|(answer, _)| *answer),
    );
    for (answer, _) in told {
        if given.contains(&answer) {
            continue;
        }
        if !question(answer, asked)? {
            // The rest has an answer of its own.
            if asked.pest.is_empty() || asked.plants.is_empty() {
                return Err(stopped(asked, ""));
            }
            break;
        }
        if answer == "pest"
            && let Some(note) = unmodelled::find(&asked.pest)
        {
            return Ok(Answer::Note(note.tells(grade_in_words(note.grade))));
        }
        given.push(answer);
        // What cannot be read, or does not fit what was said before, is asked for again.
        while let Some(Refused { answer, why }) = asked
            .compose()
            .err()
            .filter(|why| given.contains(&why.answer))
        {
            note(&why)?;
            let last = asked.plants.last().cloned();
            forget(answer, asked);
            if !question(answer, asked)? {
                return Err(stopped(asked, ""));
            }
            // "Is the plant right?" - "yes".
            if answer == "plants" && asked.plants.last().is_some_and(|said| is_yes(said)) {
                asked.plants.pop();
                asked.plants.extend(last);
                asked.anyway = true;
            }
        }
    }
    asked
        .compose()
        .map(Answer::Yard)
        .map_err(|why| stopped(asked, &refused(why).to_string()))
}

fn forget(answer: &str, asked: &mut Asked) {
    match answer {
        "pest" => asked.pest = String::new(),
        // The one before was told to be right.
        "plants" => drop(asked.plants.pop()),
        "yard" => asked.yard = None,
        "trap" => asked.traps.clear(),
        "from" => asked.from = None,
        "wind" => asked.wind = None,
        "pressure" => asked.pressure = None,
        _ => {}
    }
}

/// Puts one question and keeps its answer. Plants are asked for until an empty line.
/// Whether there was an answer.
fn question(answer: &'static str, asked: &mut Asked) -> Result<bool, CliError> {
    let Some(said) = line(&say!(&format!("ask.{answer}")))? else {
        return Ok(false);
    };
    match answer {
        "pest" => asked.pest = said,
        "plants" => {
            let mut said = said;
            while !(said.is_empty() || is_no(&said)) {
                asked.plants.push(said);
                // A wrong one is told at once.
                let mut alone = asked.clone();
                alone.traps = Vec::new();
                if alone.compose().is_err() {
                    break;
                }
                said = line(&say!("ask.plants.more"))?.unwrap_or_default();
            }
        }
        "yard" => asked.yard = Some(said),
        "trap" => asked
            .traps
            .extend(Some(said).filter(|said| !said.is_empty())),
        "from" => asked.from = Some(said),
        "wind" => asked.wind = Some(said),
        _ => asked.pressure = Some(said),
    }
    Ok(true)
}

fn note(text: &str) -> Result<(), CliError> {
    let mut out = std::io::stderr().lock();
    writeln!(out, "{text}").map_err(|error| CliError::Failed(say!("fault.new.cannot-ask", error)))
}

fn is_yes(said: &str) -> bool {
    said.eq_ignore_ascii_case("y") || words::find(Kind::Place, said) == Some("yes")
}

fn is_no(said: &str) -> bool {
    words::find(Kind::Place, said) == Some("none")
}

/// One line of the input; none when it has ended.
fn line(question: &str) -> Result<Option<String>, CliError> {
    let failed = |error: std::io::Error| CliError::Failed(say!("fault.new.cannot-ask", error));
    let mut out = std::io::stderr().lock();
    write!(out, "{question} ")
        .and_then(|()| out.flush())
        .map_err(failed)?;
    let mut line = String::new();
    let read = std::io::stdin()
        .lock()
        .read_line(&mut line)
        .map_err(failed)?;
    Ok((read > 0).then(|| line.trim().to_owned()))
}

/// Nothing that was typed is lost.
fn stopped(asked: &Asked, why: &str) -> CliError {
    let said = say!("fault.ask.stopped", line = command(asked));
    CliError::BadInput(format!("{why}\n{said}").trim().to_owned())
}

/// The command that says what was answered.
fn command(asked: &Asked) -> String {
    let mut words = vec!["lurefield ask".to_owned()];
    let quoted = |text: &str| format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""));
    let mut say = |flag: &str, value: &str| {
        if !value.trim().is_empty() {
            words.push(format!("--{flag} {}", quoted(value)));
        }
    };
    say("pest", &asked.pest);
    asked.plants.iter().for_each(|said| say("plants", said));
    asked.traps.iter().for_each(|said| say("trap", said));
    asked.methods.iter().for_each(|said| say("do", said));
    asked.has.iter().for_each(|said| say("has", said));
    let rest = [
        ("yard", &asked.yard),
        ("from", &asked.from),
        ("wind", &asked.wind),
        ("pressure", &asked.pressure),
    ];
    for (flag, said) in rest {
        say(flag, said.as_deref().unwrap_or_default());
    }
    words.join(" ")
}

/// Writes the yard file. A file of that name with other content stays; the new one is numbered.
fn write(wanted: Option<&Path>, composed: &Composed) -> Result<PathBuf, CliError> {
    let text = &composed.text;
    let base = wanted.map_or_else(
        || PathBuf::from(format!("{}.json", composed.name)),
        Path::to_path_buf,
    );
    let shown = base.display().to_string();
    crate::scenario::read(text, &shown, &|_| Err(say!("fault.new.names-no-file")))
        .map_err(CliError::Faults)?;
    let numbered = (2..).map(|n| {
        base.with_file_name(format!(
            "{}-{n}.json",
            base.file_stem().unwrap_or_default().to_string_lossy()
        ))
    });
    for path in std::iter::once(base.clone()).chain(numbered) {
        match files::read_text(&path) {
            Ok(known) if known == *text => return Ok(path),
            Ok(_) => {}
            Err(_) if path.exists() => {}
            Err(_) => {
                files::write_atomic(&path, text.as_bytes(), false)?;
                return Ok(path);
            }
        }
    }
    Ok(base)
}
