//! The paragraph for the help desk: about 120 words of plain text to paste into a reply.

use crate::report::cautions;
use crate::report::products::results::Count;
use crate::report::products::story::{Story, filled};
use crate::report::products::{Files, clean};

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
    // Where one side is empty the verdict has said both counts.
    let open = |c: &&Count| !c.told.never_other_way();
    if let Some(count) = story.plan().count.as_ref().filter(open) {
        all.push(filled(s, "help.split", count.told, &[]));
    }
    all.extend(story.distance());
    all.extend(story.damage());
    all.extend(story.why().into_iter().take(1));
    all.extend(story.instead());
    all.push(s.fill("help.sure", &[("level", story.level().word())]));
    // The reply is about one plan and may name another, so its cautions are about these.
    let scenario = &story.yard.scenario;
    let name = |i: usize| story.yard.plans[i].name.as_str();
    let named = [Some(story.headline), story.better().map(|b| b.0)].map(|i| i.map(name));
    let about = scenario.plans.iter();
    let about = about.filter(|p| named.contains(&Some(p.name.as_str())));
    all.extend(cautions::of_plans(s, scenario, about));
    all.extend(s.mark().map(str::to_owned));
    clean(&all.join(" ")) + "\n"
}
