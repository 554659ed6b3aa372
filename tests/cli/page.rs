//! `page` writes one file with the yard in it, which nothing in a yard can break, and a repeat brings the same bytes.

use super::{lurefield, shipped_path, told};
use std::path::Path;

fn page_of(folder: &Path, yard: &Path) -> (String, String, i32) {
    let mut command = lurefield();
    command.current_dir(folder).arg("page").arg(yard);
    told(&command.args(["--out", "out"]).output().unwrap())
}

/// The text inside the page's place for a yard, as JSON.
fn yard_in(page: &str) -> serde_json::Value {
    let inside = page.split_once(r#"<script type="application/json" id="yard">"#);
    let (inside, _) = inside.unwrap().1.split_once("</script>").unwrap();
    serde_json::from_str(inside).unwrap()
}

#[test]
fn a_page_holds_the_yard_and_the_weather_it_names() {
    let folder = tempfile::tempdir().unwrap();
    let yard = shipped_path("newark-wind-beetles.json");
    let (out, err, code) = page_of(folder.path(), &yard);
    assert_eq!((err.as_str(), code), ("", 0));
    assert!(out.contains("newark-wind-beetles.html"), "{out}");
    let part = folder.path().join("out/page");
    let page = std::fs::read_to_string(part.join("newark-wind-beetles.html")).unwrap();
    let given = yard_in(&page);
    assert_eq!(given["name"], "newark-wind-beetles");
    assert_eq!(given["text"], std::fs::read_to_string(&yard).unwrap());
    let weather = given["inputs"]["data/newark-2013-hourly.csv"].as_str();
    assert!(weather.unwrap().lines().count() > 1000);
    let repeat = lurefield()
        .args(["check", "--repeat"])
        .arg(part.join("manifest.json"))
        .output()
        .unwrap();
    let (out, err, code) = told(&repeat);
    assert_eq!(code, 0, "{out}{err}");
}

#[test]
fn a_hostile_yard_stays_inside_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("yard.json");
    let title = "</script><script>alert(1)</script><!-- <img src=x onerror=alert(2)>";
    let text = std::fs::read_to_string(shipped_path("weak-lure.json")).unwrap();
    let mut yard: serde_json::Value = serde_json::from_str(&text).unwrap();
    yard["title"] = title.into();
    std::fs::write(&path, yard.to_string()).unwrap();
    let (_, err, code) = page_of(folder.path(), &path);
    assert_eq!((err.as_str(), code), ("", 0));
    let page = std::fs::read_to_string(folder.path().join("out/page/yard.html")).unwrap();
    let kept: serde_json::Value =
        serde_json::from_str(yard_in(&page)["text"].as_str().unwrap()).unwrap();
    assert_eq!(kept["title"], title);
    assert!(!page.contains("alert(1)</script>"));
}

#[test]
fn a_faulty_yard_makes_no_page() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("yard.json");
    std::fs::write(&path, r#"{ "format": 1, "yard": { "width": -4 } }"#).unwrap();
    let (_, err, code) = page_of(folder.path(), &path);
    assert_eq!(code, 2);
    assert!(err.contains("\"depth\" is missing"), "{err}");
    assert!(!folder.path().join("out/page").exists());
}
