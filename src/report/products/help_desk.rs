//! The paragraph for the help desk: about 120 words of plain text to paste into a reply.

use crate::report::products::Files;
use crate::report::products::page::clean;
use crate::report::products::story::Story;

pub(super) fn files(story: &Story) -> Files {
    vec![("help-desk.txt".into(), paragraph(story).into_bytes())]
}

/// Bottom line, numbers, distance, reason, the best plan, how sure, cautions; one line, so that a mail program folds it.
pub(super) fn paragraph(story: &Story) -> String {
    let s = story.s;
    let mut all = vec![story.verdict()];
    if let Some(word) = story.word() {
        all.push(format!("[{word}]"));
    }
    if story.preview() {
        all.push(s.get("verdict.preview").into());
    }
    if let Some(count) = &story.plan().count {
        let values = [count.more, count.same, count.less].map(|n| n.to_string());
        let [more, same, less] = &values;
        let values = [("more", more as &str), ("same", same), ("less", less)];
        all.push(s.fill("help.split", &values));
    }
    all.extend(story.distance());
    all.push(story.damage());
    all.extend(story.why().into_iter().take(1));
    all.extend(story.instead());
    all.push(s.fill(
        "help.sure",
        &[("level", story.sure().trim_end_matches('.'))],
    ));
    all.push(s.get("caution.forecast").into());
    all.push(s.get("caution.local").into());
    all.push(s.get("caution.home").into());
    all.push(s.get("help.label").into());
    all.push(s.get("help.net").into());
    clean(&all.join(" ")) + "\n"
}
