//! `lurefield evidence` and `lurefield describe` through the program.

use super::{lurefield, repeated, told};
use lurefield::say::Strings;
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

/// The report of evidence in a translated language, in the folder `a`, and what was printed. Dear to make, and most of it is
/// the same for any number of summers: so it is made once for all tests that read it, on one thread.
pub(crate) fn evidence_in_spanish() -> (&'static Path, &'static str) {
    static MADE: OnceLock<(tempfile::TempDir, String)> = OnceLock::new();
    let (folder, out) = MADE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let output = lurefield()
            .current_dir(folder.path())
            .args(["evidence", "--summers", "2", "--threads", "1"])
            .args(["--language", "es", "--json", "--out", "a"])
            .output()
            .unwrap();
        let (out, err, code) = told(&output);
        assert_eq!(code, 0, "{err}");
        (folder, out)
    });
    (folder.path(), out)
}

#[test]
fn evidence_reports_every_pattern_and_hides_no_failure() {
    let (folder, out) = evidence_in_spanish();
    let said = Strings::of("es").unwrap();
    let json: Value = serde_json::from_str(out).unwrap();
    let patterns = json["patterns"].as_array().unwrap();
    assert_eq!(patterns.len(), 32);
    assert_eq!(json["same_rules"].as_array().unwrap().len(), 12);
    let text = fs::read_to_string(folder.join("a/evidence/evidence.txt")).unwrap();
    let page = fs::read_to_string(folder.join("a/evidence/evidence.html")).unwrap();
    assert!(text.lines().all(|l| l.chars().count() <= 80));
    // The words before the band of a failure.
    let outside = said.get("detail.evidence.outside");
    let asks = outside.split("{band}").next().unwrap();
    let asks = asks.rsplit('}').next().unwrap().trim();
    assert!(asks.len() > 5, "{outside}");
    for p in patterns {
        let (id, status) = (p["id"].as_str().unwrap(), p["status"].as_str().unwrap());
        assert!(
            ["pass", "fail", "not run"].contains(&status),
            "{id}: {status}"
        );
        assert!(p["tuned"].is_boolean() && p["band"].is_string() && p["simulated"].is_string());
        let told = said.get(&format!(
            "detail.evidence.status.{}",
            status.replace(' ', "-")
        ));
        assert!(
            text.contains(&format!("\n{id} {} ", told.to_uppercase())),
            "{id}"
        );
        assert!(page.contains(&format!("<th scope=\"row\">{id} ")), "{id}");
        assert_eq!(status == "fail", p["diagnosis"].is_string(), "{id}");
        if status == "fail" {
            assert!(p["diagnosis"].as_str().unwrap().contains(asks), "{id}");
        }
        let measured = p["measured"].as_array().unwrap();
        assert_eq!(status == "not run", measured.is_empty(), "{id}");
        assert!(measured.iter().all(|m| m["value"].is_f64()), "{id}");
    }
    assert!(page.contains("<html lang=\"es\">") && page.contains("role=\"img\""));
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for caution in ["caution.forecast", "caution.local"] {
        let caution = said.get(caution);
        assert!(flat(&text).contains(caution), "missing: {caution}");
    }
    assert!(folder.join("a/evidence/same-rules.png").exists());
    // Once more by its manifest, on all threads.
    let manifest = folder.join("a/evidence/manifest.json");
    let (again, err, code) = repeated(folder, "a/evidence/manifest.json");
    assert_eq!(code, 0, "{err}");
    assert!(again.starts_with("Same: all"), "{again}");
    let facts: Value = serde_json::from_slice(&fs::read(&manifest).unwrap()).unwrap();
    let count = |key: &str| facts[key].as_array().unwrap().len();
    let files = fs::read_dir(folder.join("a/evidence")).unwrap().count();
    assert_eq!(
        count("outputs"),
        files - 1,
        "every file but the manifest itself"
    );
    assert!(count("inputs") >= 5, "bands, rules and fitted sets");
    let asked = facts["command"].to_string();
    assert!(
        asked.contains("--seed") && !asked.contains("--threads"),
        "{asked}"
    );

    // The trial at the trap is run, and the grubs are not.
    let of = |id: usize| &json["patterns"][id - 1];
    let shares = of(6)["measured"].as_array().unwrap();
    let sum: f64 = shares.iter().map(|m| m["value"].as_f64().unwrap()).sum();
    assert_eq!(shares.len(), 3);
    assert!((sum - 100.0).abs() < 1e-9, "every beetle ends somewhere");
    assert_eq!(
        (&of(4)["status"], &of(6)["use"]),
        (&"not run".into(), &"fed in".into())
    );
    assert!(
        json["honesty"]
            .as_str()
            .unwrap()
            .contains("P6 was left out at first")
    );
}

#[test]
fn evidence_refuses_one_summer_and_a_file_in_place_of_its_folder() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("taken"), "mine").unwrap();
    for (args, code, said) in [
        (["--summers", "1"], 2, "1 is not in 2..=100000"),
        (
            ["--out", "taken"],
            1,
            "a file stands where a folder is needed",
        ),
    ] {
        let output = lurefield()
            .current_dir(folder.path())
            .arg("evidence")
            .args(args)
            .output()
            .unwrap();
        let (out, err, found) = told(&output);
        assert_eq!((out.as_str(), found), ("", code), "{err}");
        assert!(err.contains(said), "{err}");
    }
}

#[test]
fn describe_names_every_element_and_only_tests_that_exist() {
    let folder = tempfile::tempdir().unwrap();
    let output = lurefield()
        .current_dir(folder.path())
        .arg("describe")
        .output()
        .unwrap();
    let (out, err, code) = told(&output);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("model.html"));
    let text = fs::read_to_string(folder.path().join("output/model/describe/model.md")).unwrap();
    for n in 1..=7 {
        assert!(text.contains(&format!("\n## ODD {n}. ")), "ODD {n}");
    }
    for n in 1..=8 {
        assert!(text.contains(&format!("\n### {n}. ")), "TRACE {n}");
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut named = 0;
    for code in text
        .split('`')
        .skip(1)
        .step_by(2)
        .filter(|c| c.starts_with("tests/"))
    {
        assert!(root.join(code).is_file(), "{code} is named and not there");
        named += 1;
    }
    assert!(named > 10);
    let page = fs::read_to_string(folder.path().join("output/model/describe/model.html")).unwrap();
    assert!(page.matches("<table>").count() > 10 && page.contains("<html lang=\"en\">"));
    let cite = fs::read_to_string(root.join("CITATION.cff")).unwrap();
    assert!(cite.contains(concat!("version: ", env!("CARGO_PKG_VERSION"))));
}
