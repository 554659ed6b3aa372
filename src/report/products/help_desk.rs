//! The paragraph for the help desk: about 120 words of plain text to paste into a reply.

use crate::report::products::Files;
use crate::report::products::page::clean;
use crate::report::products::story::Story;
use crate::report::words::fold;

pub(super) fn files(story: &Story) -> Files {
    vec![("help-desk.txt".into(), paragraph(story).into_bytes())]
}

/// Bottom line, numbers, reason, what to do instead, how sure, cautions; lines of at most 80 columns.
pub(super) fn paragraph(story: &Story) -> String {
    let s = story.s;
    let mut all = vec![story.verdict()];
    if let Some(word) = story.word() {
        all.push(format!("[{word}]"));
    }
    if story.preview() {
        all.push(s.get("verdict.preview").into());
    }
    all.extend(story.split());
    all.push(story.damage());
    all.extend(story.catch());
    all.extend(story.why());
    all.push(s.fill("help.instead", &[("instead", story.instead())]));
    all.push(s.get("caution.forecast").into());
    all.push(s.get("caution.local").into());
    all.push(s.get("caution.label").into());
    all.push(s.get("caution.mesh").into());
    all.push(s.get("caution.bees").into());
    all.push(s.get("caution.home").into());
    fold(&clean(&all.join(" ")), 0).join("\n") + "\n"
}
