//! The mark of a translation: on every product in a translated language, and on none in the first one. Tables and JSON are
//! for other programs and have none; the pictures of a page and of a slide are those of the SVG files beside them.

use super::trust::evidence_in_spanish;
use super::{lurefield, told, yard_with};
use lurefield::say::Strings;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Every command that writes for people, quick.
const COMMANDS: &[&str] = &[
    "run yard.json --summers 20 --out out",
    "compare yard.json --summers 20 --out out",
    "place yard.json --summers 2 --sites 4 --out out",
    "vary yard.json --summers 2 --settle 8 --habit-summers 2 --out out",
    "season yard.json --summers 2 --out out",
    "season --pest japanese-beetle --data seattle --until 2014-06-01 --out out",
    "season --pest codling-moth --counts counts.csv --out counts",
    "report --from out",
    "calibrate brown-marmorated-stink-bug --draws 60 --out calibration",
    "describe --out model",
    "check yard.json",
];

fn files(at: &Path, inside: &str, all: &mut BTreeMap<String, Vec<u8>>) {
    for entry in fs::read_dir(at).unwrap() {
        let path = entry.unwrap().path();
        let name = format!("{inside}/{}", path.file_name().unwrap().to_string_lossy());
        if path.is_dir() {
            files(&path, &name, all);
        } else {
            all.insert(name, fs::read(path).unwrap());
        }
    }
}

/// Everything that is written and printed in a language, by name.
fn written(language: &str) -> BTreeMap<String, Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    let quick = r#""window": { "days": 2 }, "surroundings": { "pressure": { "on_plants_a_day": [0.2, 0.4] } }"#;
    let yard = yard_with("extra", quick).replace(
        "[{ \"name\": \"a\"",
        "[{ \"name\": \"nothing\" }, { \"name\": \"a\"",
    );
    fs::write(folder.path().join("yard.json"), yard).unwrap();
    let counts = "date,count\n2014-05-01,0\n2014-05-08,4\n2014-05-15,9\n";
    fs::write(folder.path().join("counts.csv"), counts).unwrap();
    let mut all = BTreeMap::new();
    for command in COMMANDS {
        let output = lurefield()
            .current_dir(folder.path())
            .args(command.split(' '))
            .args(["--language", language])
            .output()
            .unwrap();
        let (out, err, code) = told(&output);
        let no_set_fits = command.starts_with("calibrate") && code == 1;
        assert!(code == 0 || no_set_fits, "{command}: {err}");
        // A command that only wrote files says where they are.
        if !command.starts_with("report") && !command.starts_with("describe") {
            all.insert(format!("printed by {command}.txt"), out.into_bytes());
        }
    }
    files(folder.path(), "", &mut all);
    // It takes minutes, and its texts hold nothing of their own that could bring a mark into the first language.
    if language == "es" {
        files(evidence_in_spanish().0, "", &mut all);
    }
    all
}

/// Lines of words at the foot of a GIF: runs of rows with something dark in them, from the bottom up to a gap as high as
/// two lines.
fn lines_at_the_foot(bytes: &[u8]) -> usize {
    let mut options = gif::DecodeOptions::new();
    options.set_color_output(gif::ColorOutput::RGBA);
    let mut decoder = options.read_info(bytes).unwrap();
    let frame = decoder.read_next_frame().unwrap().unwrap();
    let width = usize::from(frame.width);
    let rows: Vec<bool> = frame
        .buffer
        .chunks(4 * width)
        .map(|row| row.chunks(4).any(|p| p[0] < 0x60))
        .collect();
    // A slide of 1350 is 945 rows high; its foot takes the last 100.
    let foot = &rows[rows.len() - rows.len() * 100 / 1350..];
    foot.windows(2).filter(|w| w[0] && !w[1]).count()
}

#[test]
fn the_mark_stands_on_every_product_of_a_translation_and_on_none_of_the_first_language() {
    let spanish = Strings::of("es").unwrap();
    let mark = spanish.mark().unwrap();
    assert_eq!(Strings::of("en").unwrap().mark(), None);
    for (language, wanted) in [("en", false), ("es", true)] {
        let all = written(language);
        let mut kinds = BTreeMap::<String, usize>::new();
        for (name, bytes) in &all {
            let kind = name.rsplit('.').next().unwrap().to_owned();
            let held = match kind.as_str() {
                "gif" => match lines_at_the_foot(bytes) {
                    1 => false,
                    2 => true,
                    n => panic!("{name}: {n} lines at the foot"),
                },
                "txt" | "html" | "svg" | "md" | "ics" => {
                    let text = String::from_utf8(bytes.clone()).unwrap();
                    // A calendar file folds its lines and puts a stroke before a semicolon.
                    text.replace("\r\n ", "").replace("\\;", ";").contains(mark)
                }
                _ => continue,
            };
            assert_eq!(held, wanted, "{language}: {name}");
            *kinds.entry(kind).or_default() += 1;
        }
        for (kind, least) in [
            ("gif", 1),
            ("txt", 30),
            ("html", 14),
            ("svg", 20),
            ("md", 1),
            ("ics", 1),
        ] {
            let n = kinds.get(kind).copied().unwrap_or(0);
            assert!(n >= least, "{language}: {n} files of {kind}");
        }
    }
}
