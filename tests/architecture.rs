//! The house rules, read from the source: who may import whom, who may touch the outside world, and that the map in
//! DEVELOPERS.md names every folder.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that fails should panic"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Each layer and the layers of ours that it may import, and does.
const LAYERS: &[(&str, &str)] = &[
    ("units", "say"),
    ("geometry", ""),
    ("stats", "say"),
    ("say", ""),
    ("catalogue", "units say"),
    ("weather", "units stats say"),
    ("control", "units catalogue say"),
    ("scenario", "units geometry catalogue control say weather"),
    ("engine", "units geometry catalogue control scenario"),
    (
        "count",
        "units geometry catalogue control scenario engine stats say",
    ),
    (
        "study",
        "units geometry catalogue control scenario engine count stats say",
    ),
    ("season", "units catalogue scenario stats say weather"),
    (
        "placement",
        "units geometry scenario engine count stats say",
    ),
    (
        "figure",
        "units geometry catalogue scenario count study stats season placement say weather",
    ),
    (
        "report",
        "units geometry catalogue control scenario count study stats placement figure say",
    ),
    (
        "desk",
        "units geometry catalogue control scenario engine count study placement report say",
    ),
    ("page", "desk"),
];

/// Whole sentences still outside the catalogue (`src/say`), with the reason.
const SENTENCES: &[(&str, &str)] = &[
    (
        "catalogue/costs.rs",
        "the table of costs is data, and is translated as such",
    ),
    (
        "catalogue/parameter.rs",
        "the table of numbers is data, and is translated as such",
    ),
    (
        "cli/calibrate.rs",
        "an example of a file, and the name of a compiled-in one",
    ),
    ("cli/evidence.rs", "the name of a compiled-in file"),
    ("cli/page.rs", "markup: where the page keeps a yard"),
    ("engine/ground.rs", "names of random streams"),
    ("engine/known.rs", "names of random streams"),
    ("engine/random.rs", "the generator's name in manifests"),
    (
        "figure/raster.rs",
        "what a failed drawing says to a programmer",
    ),
    (
        "figure/canvas.rs",
        "the language of drawings, and what a failed one says to a programmer",
    ),
    (
        "report/compare_data.rs",
        "names of quantities for other programs",
    ),
    ("report/csv.rs", "names of quantities for other programs"),
    ("report/evidence.rs", "markup of a page"),
    ("report/model.rs", "markup of a page and of a table"),
    ("report/place.rs", "names of quantities in placement.csv"),
    (
        "report/products/overview.rs",
        "what the page may load, for browsers",
    ),
    (
        "report/products/page.rs",
        "what a page may load, for browsers",
    ),
    (
        "scenario/check.rs",
        "words of the JSON reader that are looked for in what it says",
    ),
    ("study/calibrate.rs", "names of layouts in calibration.json"),
    (
        "study/field_runs.rs",
        "the name of a random stream, and a layout as a scenario writes it",
    ),
    ("study/layout.rs", "layouts as a scenario writes them"),
    ("study/pattern_runs.rs", "layouts as a scenario writes them"),
    ("study/patterns.rs", "layouts as a scenario writes them"),
    ("study/vary/unknown.rs", "the name of a random stream"),
];

/// What a layer must never contain (the last column of the map in DEVELOPERS.md), as whole words of its code.
const NEVER: &[(&str, &str)] = &[
    ("units", "pest trap lure beetle file"),
    ("geometry", "pest trap lure beetle file"),
    ("stats", "pest trap lure beetle file"),
    ("say", "pest trap lure damage"),
    ("catalogue", "Ground Life Stream Rng tally"),
    ("control", "Life Ground lives"),
    ("engine", "say voice"),
    ("season", "plotters svg"),
    ("placement", "plotters svg"),
    (
        "figure",
        "each_summer run_for plan_summer Ground Life Stream",
    ),
    ("report", "run_for plan_summer Ground Life Stream"),
    ("desk", "Ground Life Stream libm sqrt quantile"),
    ("page", "Ground Scenario Shares say"),
    ("cli", "libm sqrt ln exp powf quantile"),
];

fn sources(folder: &Path, out: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    entries.sort();
    for entry in entries {
        if entry.is_dir() {
            sources(&entry, out);
        } else if entry.extension().is_some_and(|e| e == "rs") {
            out.push(entry);
        }
    }
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// All source files, in a fixed order; read once.
fn all_sources() -> &'static [PathBuf] {
    static ALL: OnceLock<Vec<PathBuf>> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut files = Vec::new();
        sources(&src(), &mut files);
        files
    })
}

/// The layer of a file: its first folder, or its own name.
fn layer(file: &Path) -> String {
    let inside = file.strip_prefix(src()).unwrap();
    let first = inside
        .components()
        .next()
        .unwrap()
        .as_os_str()
        .to_string_lossy()
        .into_owned();
    first.trim_end_matches(".rs").to_string()
}

/// Source lines without comments.
fn code(file: &Path) -> Vec<(usize, String)> {
    fs::read_to_string(file)
        .unwrap()
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim_start().starts_with("//"))
        .map(|(i, line)| (i + 1, line.to_string()))
        .collect()
}

#[test]
fn layers_import_only_what_lies_below_them() {
    let (mut faults, mut seen) = (Vec::new(), std::collections::BTreeSet::new());
    for file in all_sources() {
        let name = layer(file);
        if ["cli", "lib", "main"].contains(&name.as_str()) {
            continue;
        }
        let allowed = LAYERS
            .iter()
            .find(|(layer, _)| *layer == name)
            .unwrap_or_else(|| {
                panic!("{name}: a new layer; add it to the table here and to DEVELOPERS.md")
            });
        let allowed: Vec<&str> = allowed.1.split_whitespace().collect();
        for (number, line) in code(file) {
            for (at, _) in line.match_indices("crate::") {
                let rest = &line[at + "crate::".len()..];
                let used: String = rest
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect();
                if used != name && !allowed.contains(&used.as_str()) {
                    faults.push(format!(
                        "{}:{number}: {name} imports {used}",
                        file.display()
                    ));
                }
                seen.insert((name.clone(), used));
            }
        }
    }
    for (layer, allowed) in LAYERS {
        for used in allowed.split_whitespace() {
            if !seen.contains(&((*layer).to_owned(), used.to_owned())) {
                faults.push(format!("{layer} may import {used} and never does"));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Text in quotes that people would read: three words or more. What only a programmer meets (the text of a panic, the
/// reason of an attribute) is no sentence of the program.
fn sentences(file: &Path) -> Vec<(usize, String)> {
    let text = fs::read_to_string(file).unwrap();
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap();
    let (mut found, mut before, mut line) = (Vec::new(), String::new(), 1);
    let mut rest = text;
    while let Some(at) = rest.find(['"', '/', '\'']) {
        before.push_str(&rest[..at]);
        line += rest[..at].matches('\n').count();
        let tail = &rest[at..];
        let skip = if tail.starts_with("//") {
            tail.find('\n').unwrap_or(tail.len())
        } else if tail.starts_with("'\"'") || tail.starts_with("'\\\"'") {
            3
        } else if tail.starts_with('"') {
            let raw = before.ends_with("r#");
            let mut end = 1;
            let bytes = tail.as_bytes();
            while end < bytes.len() {
                match bytes[end] {
                    b'\\' if !raw => end += 1,
                    b'"' if !raw || tail[end + 1..].starts_with('#') => break,
                    _ => {}
                }
                end += 1;
            }
            let quoted = &tail[1..end];
            let words = quoted
                .split(|c: char| !c.is_alphabetic() && c != '\'')
                .filter(|w| w.len() > 1)
                .count();
            let context = before.trim_end();
            let programmers = [
                "expect(",
                "panic!(",
                "unreachable!(",
                "reason =",
                "expect = ",
            ]
            .iter()
            .any(|call| context.ends_with(call));
            if words >= 3 && quoted.contains(' ') && !programmers && !asserted(context) {
                found.push((line, quoted.to_owned()));
            }
            line += tail[..=end].matches('\n').count();
            end + 1
        } else {
            1
        };
        if skip > 0 && !tail.starts_with("//") {
            before.push_str(&tail[..skip.min(tail.len())]);
        }
        rest = &tail[skip..];
    }
    found
}

/// Whether what comes next is inside an assertion, whose text only a programmer meets.
fn asserted(before: &str) -> bool {
    let start = before.rfind(';').map_or(0, |at| at + 1);
    before[start..].contains("assert!(") || before[start..].contains("assert_eq!(")
}

#[test]
fn no_sentence_stands_outside_the_catalogue() {
    let mut faults = Vec::new();
    for file in all_sources() {
        let inside = file.strip_prefix(src()).unwrap().display().to_string();
        let known = SENTENCES.iter().find(|(path, _)| inside == *path);
        if layer(file) == "say" {
            continue;
        }
        let found = sentences(file);
        match known {
            None => faults.extend(
                found
                    .into_iter()
                    .map(|(line, text)| format!("{inside}:{line}: {text}")),
            ),
            Some(_) if found.is_empty() => {
                faults.push(format!("{inside} needs no exception any more"));
            }
            Some(_) => {}
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Names that are the same in every language.
const NAMES: [&str; 3] = ["lurefield", "English", "Español"];

/// Words that stand between the tags of a component, or in an attribute that is read aloud, instead of coming from the
/// catalogue.
fn literals(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices('>') {
        if text[..at].ends_with('=') {
            continue;
        }
        let rest = &text[at + 1..];
        let run = &rest[..rest.find(['<', '{']).unwrap_or(0)];
        let plain = |c: char| c.is_alphabetic() || c.is_whitespace() || ".,:!?'’–-".contains(c);
        let word = run
            .split(|c: char| !c.is_alphabetic())
            .any(|w| w.chars().count() > 1);
        if word && run.chars().all(plain) && !NAMES.contains(&run.trim()) {
            found.push(run.trim().to_owned());
        }
    }
    for attribute in ["aria-label", "label", "placeholder", "title", "alt", "none"] {
        let literal = format!(" {attribute}=\"");
        found.extend(text.match_indices(&literal).map(|_| literal.clone()));
    }
    let quoted = text.split('`').skip(1).step_by(2);
    found.extend(quoted.filter(|q| said(q)).map(str::to_owned));
    found
}

/// Three words in a row that are no code.
fn said(text: &str) -> bool {
    let words: Vec<&str> = text.split(' ').collect();
    let word = |w: &&str| w.len() > 1 && w.chars().all(|c| c.is_alphabetic() || ",.'".contains(c));
    words.windows(3).any(|three| three.iter().all(word))
}

/// The sources of the page.
fn page_sources() -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut folders = vec![src().join("page/web")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "ts" || e == "tsx") {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

/// A source of the page without the lines that are comments.
fn page_code(file: &Path) -> String {
    let comment = |line: &&str| {
        ["//", "*", "/*"]
            .iter()
            .any(|c| line.trim_start().starts_with(c))
    };
    let text = fs::read_to_string(file).unwrap();
    let lines: Vec<&str> = text.lines().filter(|line| !comment(line)).collect();
    lines.join("\n")
}

#[test]
fn the_page_writes_no_sentence_of_its_own() {
    let mut faults = Vec::new();
    for file in page_sources() {
        let text = page_code(&file);
        let quotes = text.split('"').skip(1).step_by(2).filter(|q| said(q));
        faults.extend(quotes.map(|q| format!("{}: {q}", file.display())));
        let literals = literals(&text);
        faults.extend(literals.iter().map(|l| format!("{}: {l}", file.display())));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    // What the test looks for is found where it stands.
    for wrong in [
        "<p>Hello there</p>",
        "<b>{n}</b><i>summers {x}</i>",
        "<input label=\"Name\" />",
        "say(`one two three`)",
    ] {
        assert!(!literals(wrong).is_empty(), "{wrong}");
    }
}

#[test]
fn every_text_that_the_page_names_is_there_and_each_of_its_own_is_named() {
    let room = fs::read_to_string(src().join("say/en/page.json")).unwrap();
    let keys: Vec<&str> = room
        .lines()
        .filter_map(|l| l.trim().strip_prefix('"')?.split('"').next())
        .collect();
    let shell = ["src/page/assemble.mjs"].map(|f| Path::new(env!("CARGO_MANIFEST_DIR")).join(f));
    let mut used = Vec::new();
    for file in page_sources().into_iter().chain(shell) {
        let text = page_code(&file);
        // Quotes of either kind; in a template, what stands before its first gap.
        let quoted = text
            .split(['"', '`'])
            .filter(|q| q.starts_with("page."))
            .filter(|q| !["json", "css"].contains(&q.rsplit('.').next().unwrap_or_default()));
        used.extend(quoted.map(|q| (q.to_owned(), file.clone())));
    }
    let mut faults = Vec::new();
    for (key, file) in &used {
        let (head, open) = key
            .split_once("${")
            .map_or((key.as_str(), false), |(head, _)| (head, true));
        let known = keys.iter().any(|k| {
            *k == head || k.starts_with(&format!("{head}.")) || open && k.starts_with(head)
        });
        if !known {
            faults.push(format!("{}: {key} is no text", file.display()));
        }
    }
    for key in keys {
        // What a drawing that is turned says in place of a text.
        let key = key.strip_suffix("@turned").unwrap_or(key);
        let of_count = key.strip_suffix(".one").unwrap_or(key);
        let named = used.iter().any(|(used, _)| {
            let (head, open) = used
                .split_once("${")
                .map_or((used.as_str(), false), |(head, _)| (head, true));
            head == of_count
                || open && of_count.starts_with(head)
                || key.starts_with(&format!("{head}."))
        });
        if !named {
            faults.push(format!("{key} is never used"));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn no_layer_contains_what_it_never_may() {
    let mut faults = Vec::new();
    for file in all_sources() {
        let name = layer(file);
        let Some((_, never)) = NEVER.iter().find(|(layer, _)| *layer == name) else {
            continue;
        };
        let text = fs::read_to_string(file).unwrap();
        let own = text.split("#[cfg(test)]\nmod ").next().unwrap().lines();
        for (number, line) in own.enumerate() {
            if line.trim_start().starts_with("//") {
                continue;
            }
            let words: Vec<&str> = line
                .split(|c: char| !c.is_alphanumeric() && c != '_')
                .collect();
            for word in never.split(' ') {
                if words.contains(&word) {
                    faults.push(format!("{}:{}: {word}", file.display(), number + 1));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn only_the_command_line_touches_the_outside_world() {
    let mut faults = Vec::new();
    for file in all_sources() {
        if layer(file) == "cli" {
            continue;
        }
        for (number, line) in code(file) {
            for outside in [
                "std::fs",
                "std::env",
                "std::time",
                "std::process",
                "std::net",
                "println!",
                "eprintln!",
            ] {
                if line.contains(outside) && layer(file) != "main" {
                    faults.push(format!("{}:{number}: {outside}", file.display()));
                }
            }
            let threads = line.contains("rayon::") || line.contains("std::thread");
            // Summers, and the pictures of one result; neither changes with the number of threads.
            let may = ["engine/ensemble.rs", "figure/raster.rs"];
            if threads && !may.iter().any(|name| file.ends_with(name)) {
                faults.push(format!(
                    "{}:{number}: threads outside engine/ensemble.rs and figure/raster.rs",
                    file.display()
                ));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_map_in_the_guide_names_every_folder_and_no_other() {
    let guide =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")).unwrap();
    let mut layers: Vec<String> = all_sources().iter().map(|f| layer(f)).collect();
    layers.sort();
    layers.dedup();
    for name in &layers {
        if !["lib", "main"].contains(&name.as_str()) {
            assert!(
                guide.contains(&format!("`src/{name}")),
                "DEVELOPERS.md does not map src/{name}"
            );
        }
    }
    for (at, _) in guide.match_indices("`src/") {
        let path: String = guide[at + 1..]
            .chars()
            .take_while(|c| *c != '`' && *c != '*')
            .collect();
        if path.contains('<') {
            continue;
        }
        let full = Path::new(env!("CARGO_MANIFEST_DIR")).join(path.trim_end_matches('/'));
        assert!(
            full.exists(),
            "DEVELOPERS.md maps {path}, which is not there"
        );
    }
}

#[test]
fn the_readme_commands_that_ci_runs_are_there() {
    let readme =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    assert!(
        readme
            .lines()
            .any(|l| l == "    cargo run --release -- run scenarios/allotment-beetles.json")
    );
    assert!(readme.lines().any(|l| l.starts_with("    cargo test")));
}
