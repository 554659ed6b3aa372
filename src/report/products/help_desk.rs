//! The paragraph for the help desk: about 120 words of plain text to paste into a reply.

use crate::report::cautions;
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
    if let Some(count) = &story.plan().count {
        let values = [count.more, count.same, count.less].map(|n| n.to_string());
        let [more, same, less] = &values;
        let values = [("more", more as &str), ("same", same), ("less", less)];
        all.push(s.fill("help.split", &values));
    }
    all.push(story.damage());
    all.extend(story.catch());
    all.extend(story.why().into_iter().take(1));
    all.push(s.fill("help.instead", &[("instead", story.instead())]));
    // The reply is about one plan, so its cautions are too.
    let scenario = &story.yard.scenario;
    let name = &story.plan().name;
    let about = scenario.plans.iter().filter(|p| p.name == *name);
    all.extend(cautions::of_plans(s, scenario, about));
    fold(&clean(&all.join(" ")), 0).join("\n") + "\n"
}
