//! The paragraph for the help desk: about 120 words of plain text to paste into a reply.

use crate::report::cautions;
use crate::report::products::results::Count;
use crate::report::products::story::Story;
use crate::report::products::{Files, clean};
use crate::stats::paired::never_other_way;
use crate::stats::quantile::DOTS;

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
    let open = |c: &&Count| !never_other_way([c.more, c.same, c.less], DOTS);
    if let Some(count) = story.plan().count.as_ref().filter(open) {
        let values = [count.more, count.same, count.less].map(|n| n.to_string());
        let [more, same, less] = &values;
        let values = [("more", more as &str), ("same", same), ("less", less)];
        all.push(s.fill("help.split", &values));
    }
    all.extend(story.distance());
    all.push(story.damage());
    all.extend(story.why().into_iter().take(1));
    all.extend(story.instead());
    all.push(s.fill("help.sure", &[("level", story.level().word())]));
    // The reply is about one plan and may name another, so its cautions are about these.
    let scenario = &story.yard.scenario;
    let name = |i: usize| story.yard.plans[i].name.as_str();
    let named = [Some(story.headline), story.better()].map(|i| i.map(name));
    let about = scenario.plans.iter();
    let about = about.filter(|p| named.contains(&Some(p.name.as_str())));
    all.extend(cautions::of_plans(s, scenario, about));
    all.extend(s.mark().map(str::to_owned));
    clean(&all.join(" ")) + "\n"
}
