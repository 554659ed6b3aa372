//! The poll before and after: a form to print or fill in, an empty table of counts, and the result page from such a table.
//!
//! Counts of answers only: no names, no matching of people.

use crate::report::csv::harmless;
use crate::report::products::page::{Head, caution_list, clean, footer_lines, page};
use crate::report::products::story::Story;
use crate::report::products::{Files, Request};
use crate::say::Strings;
use crate::scenario::Owner;
use crate::stats::paired::Class;
use maud::{Markup, html};

/// Most sheets that a cell may count; a larger number is a slip.
const MOST_SHEETS: u64 = 100_000;
/// Sheets below which shares swing widely.
const FEW: u64 = 20;

/// Questions with the keys of their answers.
const ITEMS: [(&str, &[&str]); 4] = [
    (
        "poll.q1",
        &[
            "poll.agree.1",
            "poll.agree.2",
            "poll.agree.3",
            "poll.agree.4",
            "poll.agree.5",
        ],
    ),
    (
        "poll.q2",
        &[
            "poll.agree.1",
            "poll.agree.2",
            "poll.agree.3",
            "poll.agree.4",
            "poll.agree.5",
        ],
    ),
    (
        "poll.q3",
        &["poll.sure.1", "poll.sure.2", "poll.sure.3", "poll.sure.4"],
    ),
    (
        "poll.q4",
        &[
            "poll.do.trap",
            "poll.do.pick",
            "poll.do.cover",
            "poll.do.look",
            "poll.do.nothing",
        ],
    ),
];

/// Counts of one answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Cell {
    before: u64,
    after: u64,
}

pub(super) fn files(
    s: &Strings,
    request: &Request,
    story: Option<&Story>,
) -> Result<Files, String> {
    let mut files = vec![
        ("poll.html".to_owned(), form(s, request, story).into_bytes()),
        ("poll-counts.csv".to_owned(), empty(s).into_bytes()),
    ];
    if let Some(text) = &request.poll {
        let counts = read(s, text)?;
        files.push((
            "poll-result.html".into(),
            result(s, request, story, &counts).into_bytes(),
        ));
        files.push((
            "poll-result.csv".into(),
            result_csv(s, story, &counts).into_bytes(),
        ));
    }
    Ok(files)
}

/// A question about the asker's plants: by name where they are of one kind or two.
fn question(s: &Strings, story: Option<&Story>, key: &str) -> String {
    let crops = story.map_or(&[][..], |story| &story.yard.scenario.crops);
    let mine = crops.iter().filter(|c| c.owner == Owner::Mine);
    // Beside those of a kind, plants of no kind have no name.
    let named = mine.clone().all(|c| c.kind.id != "other");
    let mut kinds: Vec<&str> = mine.map(|c| c.kind.plural.as_str()).collect();
    kinds.dedup();
    let plants = match kinds[..] {
        [one] => one.to_owned(),
        [one, other] if named => s.fill("list.and", &[("most", one), ("last", other)]),
        _ => s.get("poll.plants").to_owned(),
    };
    s.fill(key, &[("plants", &plants)])
}

/// Whether the trap of this yard lowers damage; `None` where its results do not settle that.
fn lowers(story: Option<&Story>) -> Option<bool> {
    let plan = |story: &&Story| story.plan().only_traps && story.plan().traps > 0;
    match story.filter(plan).filter(|s| !s.preview())?.way()? {
        Class::Less => Some(true),
        Class::More | Class::NoChange => Some(false),
        Class::EitherWay => None,
    }
}

fn form(s: &Strings, request: &Request, story: Option<&Story>) -> String {
    let head = Head {
        title: s.get("poll.title"),
        kind: s.get("poll.kind"),
    };
    let choice = |name: &str, key: &str| {
        html! { label.pick { input type="radio" name=(name) value=(key); span { (s.get(key)) } } }
    };
    let body = html! {
        p { (s.get("poll.line")) }
        form {
            fieldset {
                legend { (s.get("poll.when")) }
                @for key in ["poll.before", "poll.after"] { (choice("when", key)) }
            }
            @for (i, (asked, answers)) in ITEMS.iter().enumerate() {
                fieldset {
                    legend { (i + 1) ". " (question(s, story, asked)) }
                    @for key in *answers { (choice(asked, key)) }
                }
            }
        }
        p.no-print { (s.get("poll.tally")) }
        (caution_list(s, story))
    };
    page(s, &head, &body, &footer_lines(s, request), None)
}

fn csv(rows: Vec<Vec<String>>) -> String {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    for row in rows {
        let row: Vec<String> = row.iter().map(|c| harmless(c)).collect();
        writer
            .write_record(&row)
            .expect("writing to memory cannot fail and all rows are of one length");
    }
    let bytes = writer.into_inner().expect("writing to memory cannot fail");
    String::from_utf8(bytes).expect("text in, text out")
}

fn columns(s: &Strings, keys: &[&str]) -> Vec<String> {
    keys.iter().map(|k| s.get(k).to_owned()).collect()
}

const INPUT: [&str; 4] = [
    "poll.col.item",
    "poll.col.answer",
    "poll.col.before",
    "poll.col.after",
];

/// The table to fill in; empty is not counted yet, 0 is none.
fn empty(s: &Strings) -> String {
    let mut rows = vec![columns(s, &INPUT)];
    for (i, (_, answers)) in ITEMS.iter().enumerate() {
        for key in *answers {
            rows.push(vec![
                (i + 1).to_string(),
                s.get(key).to_owned(),
                String::new(),
                String::new(),
            ]);
        }
    }
    csv(rows)
}

/// Reads the counts; an empty cell is none.
fn read(s: &Strings, text: &str) -> Result<Vec<Vec<Cell>>, String> {
    let mut counts: Vec<Vec<Cell>> = ITEMS
        .iter()
        .map(|(_, a)| vec![Cell::default(); a.len()])
        .collect();
    let mut seen = vec![Vec::new(); ITEMS.len()];
    let mut reader = ::csv::ReaderBuilder::new()
        .flexible(true)
        .trim(::csv::Trim::All)
        .from_reader(text.as_bytes());
    let header: Vec<String> = reader
        .headers()
        .map_err(|e| s.fill("poll.fault.header", &[("said", &e.to_string())]))?
        .iter()
        .map(str::to_lowercase)
        .collect();
    let wanted = columns(s, &INPUT);
    if header != wanted {
        return Err(s.fill("poll.fault.columns", &[("list", &wanted.join(","))]));
    }
    for record in reader.records() {
        let record = record.map_err(|e| s.fill("poll.fault.file", &[("said", &e.to_string())]))?;
        let line = record
            .position()
            .map_or(0, ::csv::Position::line)
            .to_string();
        let fault = |key: &str, values: &[(&str, &str)]| {
            let line: (&str, &str) = ("line", &line);
            s.fill(key, &[&[line], values].concat())
        };
        let cell = |i: usize| record.get(i).unwrap_or_default();
        if record.iter().all(str::is_empty) {
            continue;
        }
        let item = cell(0)
            .parse::<usize>()
            .ok()
            .filter(|n| (1..=ITEMS.len()).contains(n))
            .ok_or_else(|| {
                let text = crate::units::shortened(cell(0));
                let limit = ITEMS.len().to_string();
                fault("poll.fault.question", &[("text", &text), ("limit", &limit)])
            })?
            - 1;
        let answers = ITEMS[item].1;
        let place = answers
            .iter()
            .position(|k| s.get(k) == cell(1))
            .ok_or_else(|| {
                let all: Vec<&str> = answers.iter().map(|k| s.get(k)).collect();
                let text = crate::units::shortened(cell(1));
                let (n, list) = ((item + 1).to_string(), all.join(", "));
                let values = [("text", text.as_str()), ("n", &n), ("list", &list)];
                fault("poll.fault.answer", &values)
            })?;
        if seen[item].contains(&place) {
            return Err(fault("poll.fault.twice", &[]));
        }
        seen[item].push(place);
        let number = |i: usize| match cell(i) {
            "" => Ok(0),
            text => text
                .parse::<u64>()
                .ok()
                .filter(|n| *n <= MOST_SHEETS)
                .ok_or_else(|| {
                    let text = crate::units::shortened(text);
                    fault("poll.fault.count", &[("text", &text)])
                }),
        };
        counts[item][place] = Cell {
            before: number(2)?,
            after: number(3)?,
        };
    }
    if counts.iter().flatten().all(|c| c.before + c.after == 0) {
        return Err(s.get("poll.fault.empty").into());
    }
    Ok(counts)
}

/// A count of 100, rounded; `None` when there are no sheets.
fn share(n: u64, all: u64) -> Option<i64> {
    (all > 0).then(|| (100.0 * n as f64 / all as f64).round() as i64)
}

/// One line of the result: question, answer, counts, shares, change of 100.
fn lines(s: &Strings, story: Option<&Story>, counts: &[Vec<Cell>]) -> Vec<[String; 7]> {
    let mut all = Vec::new();
    for ((asked, answers), cells) in ITEMS.iter().zip(counts) {
        let before: u64 = cells.iter().map(|c| c.before).sum();
        let after: u64 = cells.iter().map(|c| c.after).sum();
        for (key, cell) in answers.iter().zip(cells) {
            let shares = (share(cell.before, before), share(cell.after, after));
            let text = |v: Option<i64>| v.map_or_else(String::new, |v| v.to_string());
            let change = match shares {
                (Some(a), Some(b)) if b > a => {
                    s.fill("poll.change.up", &[("n", &(b - a).to_string() as &str)])
                }
                (Some(a), Some(b)) if b < a => {
                    s.fill("poll.change.down", &[("n", &(a - b).to_string() as &str)])
                }
                (Some(_), Some(_)) => s.get("poll.change.same").to_owned(),
                _ => String::new(),
            };
            all.push([
                question(s, story, asked),
                s.get(key).to_owned(),
                cell.before.to_string(),
                cell.after.to_string(),
                text(shares.0),
                text(shares.1),
                change,
            ]);
        }
    }
    all
}

const OUTPUT: [&str; 7] = [
    "poll.col.item",
    "poll.col.answer",
    "poll.col.before",
    "poll.col.after",
    "poll.col.before-share",
    "poll.col.after-share",
    "poll.col.change",
];

fn result_csv(s: &Strings, story: Option<&Story>, counts: &[Vec<Cell>]) -> String {
    let mut rows = vec![columns(s, &OUTPUT)];
    rows.extend(lines(s, story, counts).into_iter().map(|l| l.to_vec()));
    csv(rows)
}

/// Sheets of one side: the most that any question counts.
fn sheets(counts: &[Vec<Cell>], side: impl Fn(&Cell) -> u64) -> u64 {
    counts
        .iter()
        .map(|cells| cells.iter().map(&side).sum())
        .max()
        .unwrap_or(0)
}

fn result(s: &Strings, request: &Request, story: Option<&Story>, counts: &[Vec<Cell>]) -> String {
    let (before, after) = (sheets(counts, |c| c.before), sheets(counts, |c| c.after));
    let head = Head {
        title: s.get("poll.result"),
        kind: s.get("poll.kind"),
    };
    // Who gave the answer that is right: one of two ways to disagree, or to agree.
    let right = |item: usize, yes: bool, key: &str| -> Markup {
        let cells = &counts[item];
        let said = if yes { &cells[3..] } else { &cells[..2] };
        let sum = |side: &dyn Fn(&Cell) -> u64| cells.iter().map(side).sum::<u64>();
        let of = |side: &dyn Fn(&Cell) -> u64| share(said.iter().map(side).sum(), sum(side));
        if let (Some(a), Some(b)) = (of(&|c| c.before), of(&|c| c.after)) {
            let (a, b) = (a.to_string(), b.to_string());
            html! { li { (s.fill(key, &[("before", &a as &str), ("after", &b)])) } }
        } else {
            html! { li { (s.get("poll.right.none")) } }
        }
    };
    let lines = lines(s, story, counts);
    let few = |cells: &Vec<Cell>| {
        let sides: [fn(&Cell) -> u64; 2] = [|c| c.before, |c| c.after];
        let sums = sides.map(|side| cells.iter().map(side).sum());
        sums.iter().any(|sum: &u64| (1..FEW).contains(sum))
    };
    let body = html! {
        p.lead { (s.fill("poll.result.line", &[("before", &before.to_string() as &str), ("after", &after.to_string())])) }
        ul {
            @match lowers(story) {
                Some(true) => (right(0, true, "poll.right.1.yes")),
                Some(false) => (right(0, false, "poll.right.1")),
                None => li { (s.get("poll.right.1.open")) },
            }
            (right(1, false, "poll.right.2"))
        }
        @if counts.iter().any(few) { p.warn { (s.get("poll.small")) } }
        p { (s.get("poll.result.nobody")) }
        div.scroll tabindex="0" role="group" aria-label=(s.get("poll.result")) {
            table {
                thead { tr { @for (i, key) in OUTPUT.iter().enumerate() {
                    th.n[(2..6).contains(&i)] scope="col" { (s.get(key)) }
                } } }
                tbody { @for line in &lines {
                    tr { @for (i, cell) in line.iter().enumerate() {
                        @if i == 1 { th scope="row" { (clean(cell)) } }
                        @else if (2..6).contains(&i) { td.n { (cell) } }
                        @else { td { (clean(cell)) } }
                    } }
                } }
            }
        }
        (caution_list(s, story))
    };
    page(s, &head, &body, &footer_lines(s, request), None)
}
