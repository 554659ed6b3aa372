//! The second badge: how sure the biology behind an answer is. It belongs to the question that a plan asks, and rests on
//! the trials that asked it, on the pest and on the methods, so more summers never raise it. A field pattern that an answer
//! leans on, and that the model fails, takes one level off.

use crate::catalogue::{Grade, MethodKind, Pest, only_costs};
use crate::say::{counted, say, voice};
use serde::Serialize;

/// The three levels, least first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "UPPERCASE")]
pub enum Level {
    /// Hardly anything was measured.
    Low,
    /// Something was measured, the question itself was not asked in a trial, or only once.
    Medium,
    /// Field trials asked the question.
    High,
}

impl Level {
    /// The level in capitals, as printed.
    pub fn word(self) -> &'static str {
        voice().get(match self {
            Level::Low => "believe.level.low",
            Level::Medium => "believe.level.medium",
            Level::High => "believe.level.high",
        })
    }
}

/// How sure we are, with one reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Believe {
    /// The level.
    pub level: Level,
    /// One sentence.
    pub reason: String,
    /// Field patterns that it leans on.
    pub leans_on: Vec<&'static str>,
}

/// What a plan, or a map, asks of the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Question {
    /// No trap.
    NoTrap,
    /// One to three traps within 10 m (33 ft) of a plant, in open country.
    FewNear,
    /// Other traps in open country.
    OtherTraps,
    /// Traps against an isolated population.
    Isolated,
    /// Where in a yard a trap helps or harms.
    Map,
}

impl Question {
    /// All that ask about a trap, each with the key of its name.
    pub const OF_TRAPS: [(Question, &'static str); 4] = [
        (Question::FewNear, "believe.question.few-near"),
        (Question::OtherTraps, "believe.question.other"),
        (Question::Isolated, "believe.question.isolated"),
        (Question::Map, "believe.question.map"),
    ];
}

/// What trials say about a question: the level they allow, the key of one sentence, and the field patterns that rest on them.
type Trials = (Level, &'static str, &'static [&'static str]);

/// The trials that asked a question about a pest.
fn trials(pest: &str, question: Question) -> Option<Trials> {
    Some(match (pest, question) {
        (_, Question::NoTrap) => return None,
        (_, Question::Map) => (Level::Low, "believe.map", &[]),
        ("japanese-beetle", Question::FewNear) => (
            Level::High,
            "believe.japanese-beetle.few-near",
            &["P1b", "P3"],
        ),
        ("japanese-beetle", Question::Isolated) => {
            (Level::Medium, "believe.japanese-beetle.isolated", &["P11b"])
        }
        ("japanese-beetle", Question::OtherTraps) => {
            (Level::Low, "believe.japanese-beetle.other", &["P2b", "P10"])
        }
        ("brown-marmorated-stink-bug", Question::FewNear) => {
            (Level::Medium, "believe.stink-bug.few-near", &["P12"])
        }
        ("brown-marmorated-stink-bug", _) => (Level::Low, "believe.stink-bug.other", &["A4"]),
        ("codling-moth", _) => (Level::Medium, "believe.codling-moth", &["P13b"]),
        _ => (Level::Low, "believe.none", &[]),
    })
}

/// What trials say about a method against a pest: the level they allow, and one sentence. A trial stands behind a method
/// only where it asked about that pest: how well a net keeps off one insect says little about another.
fn method_trials(pest: &str, method: &MethodKind) -> (Level, String) {
    let (level, key) = match (pest, method.id.as_str()) {
        ("codling-moth", "row-cover") => (Level::High, "believe.method.codling-moth-net"),
        ("spotted-wing-drosophila", "row-cover") => (Level::High, "believe.method.fly-net"),
        ("codling-moth", "fruit-bags") => (Level::Medium, "believe.method.codling-moth-bags"),
        ("japanese-beetle", "hand-removal") => (Level::Medium, "believe.method.beetle-picking"),
        _ => (Level::Medium, "believe.method.none"),
    };
    (level, say!(key, method_name = method.name))
}

/// Results of the field patterns as `lurefield evidence` gave them with this version.
pub const RESULTS_TEXT: &str = include_str!("pattern-results.json");

/// Recorded results.
#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Results {
    /// Version that gave them.
    pub version: String,
    /// Summers of each layout.
    pub summers: u32,
    /// Seed.
    pub seed: u64,
    /// `pass`, `fail` or `not run`, by pattern.
    pub results: std::collections::BTreeMap<String, String>,
}

/// The recorded results.
pub fn results() -> Results {
    super::read(RESULTS_TEXT)
}

/// The weakest grade among the numbers of a method's effect; costs do not bear on damage.
fn weakest_effect(method: &MethodKind) -> Grade {
    method
        .values
        .iter()
        .filter(|(key, _)| !only_costs(key))
        .map(|(_, number)| number.grade)
        .max()
        .unwrap_or(Grade::Exact)
}

/// The badge of a question about a pest, and of the methods used against it: the pest's own, held down by what trials asked,
/// by a failing pattern, and by the weakest method. HIGH stands only where a trial asked the very thing. A method whose
/// effect was read in a source holds at HIGH, one that was read second-hand or recalled at MEDIUM, an assumed one at LOW;
/// and no method stands above the trials of it against that pest.
pub fn believe<'a>(
    pest: &Pest,
    question: Question,
    methods: impl IntoIterator<Item = &'a MethodKind>,
) -> Believe {
    let level = match pest.badge.as_str() {
        "HIGH" => Level::High,
        "MEDIUM" => Level::Medium,
        _ => Level::Low,
    };
    let mut found = Believe {
        level,
        reason: pest.badge_reason.clone(),
        leans_on: Vec::new(),
    };
    if let Some((most, reason, patterns)) = trials(&pest.id, question) {
        found.leans_on = patterns.to_vec();
        if most <= level {
            (found.level, found.reason) = (most, voice().get(reason).to_owned());
        }
        let results = results().results;
        let fails = |id: &&&str| results.get(**id).is_some_and(|result| result == "fail");
        let failing: Vec<&str> = patterns.iter().filter(fails).copied().collect();
        if !failing.is_empty() {
            found.level = if found.level == Level::High {
                Level::Medium
            } else {
                Level::Low
            };
            let key = counted("believe.falls-short", failing.len() as u64);
            let short = say!(&key, patterns = failing.join(", "));
            found.reason = [found.reason, short].join(" ");
        }
    }
    // Where no trap is asked about, what is known of the methods tells, not what is known of traps.
    let no_trap = question == Question::NoTrap;
    let mut weakest: Option<(Level, String)> = None;
    for method in methods {
        let by_numbers = match weakest_effect(method) {
            Grade::Exact | Grade::Published => None,
            Grade::Secondary | Grade::Memory => {
                Some((Level::Medium, "believe.numbers.second-hand"))
            }
            Grade::Assumed => Some((Level::Low, "believe.numbers.assumed")),
        };
        let limits = std::iter::once(method_trials(&pest.id, method))
            .chain(by_numbers.map(|(most, key)| (most, say!(key, method_name = method.name))));
        for limit in limits {
            let speaks =
                |(known, _): &(Level, String)| limit.0 < *known || (no_trap && limit.0 == *known);
            if weakest.as_ref().is_none_or(speaks) {
                weakest = Some(limit);
            }
        }
    }
    match weakest {
        Some((most, reason)) if most < found.level || (no_trap && most == found.level) => {
            (found.level, found.reason) = (most, reason);
        }
        Some((_, reason)) if no_trap => {
            found.reason = [reason, say!("believe.pest-holds")].join(" ");
        }
        None if no_trap => {
            let most = found.level.min(Level::Medium);
            (found.level, found.reason) = (most, say!("believe.nothing-done"));
        }
        _ => {}
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::{method, pest};

    #[test]
    fn the_weakest_of_pest_question_and_methods_holds() {
        let beetle = pest("japanese-beetle").expect("known");
        let slug = pest("gray-field-slug").expect("known");
        let get = |id: &str| method(id).expect("known");
        let level = |p: &Pest, question: Question, ids: &[&str]| {
            let kinds: Vec<MethodKind> = ids.iter().map(|id| get(id)).collect();
            believe(p, question, &kinds).level
        };
        assert!(level(&beetle, Question::FewNear, &[]) >= Level::Medium);
        assert_eq!(level(&beetle, Question::OtherTraps, &[]), Level::Low);
        assert!(level(&beetle, Question::Isolated, &[]) <= Level::Medium);
        assert_eq!(level(&beetle, Question::Map, &[]), Level::Low);
        assert_eq!(
            level(&beetle, Question::NoTrap, &["row-cover"]),
            Level::Medium,
            "no trial of a net against this beetle"
        );
        assert!(level(&beetle, Question::NoTrap, &[]) <= Level::Medium);
        let both = ["row-cover", "hand-removal"];
        assert_eq!(level(&beetle, Question::NoTrap, &both), Level::Low);
        assert_eq!(level(&slug, Question::FewNear, &["row-cover"]), Level::Low);
        let said = believe(&beetle, Question::NoTrap, [get("hand-removal")].iter());
        assert!(said.reason.contains("assumed"), "{}", said.reason);
        assert_eq!(said.level.word(), "LOW");
    }

    /// Where nothing hangs, nothing that is known of traps is a reason.
    #[test]
    fn without_a_trap_the_reason_is_about_what_is_done() {
        use crate::catalogue::{METHODS, PESTS, ids};
        for id in ids(PESTS) {
            let pest = pest(id).expect("in the list");
            let done = ids(METHODS)
                .into_iter()
                .map(|id| vec![method(id).expect("in the list")]);
            for methods in done.chain([vec![]]) {
                let said = believe(&pest, Question::NoTrap, &methods).reason;
                assert!(!said.contains(&pest.badge_reason), "{id}: {said}");
            }
        }
    }

    #[test]
    fn a_failing_pattern_lowers_every_answer_that_leans_on_it() {
        let results = results().results;
        for id in crate::catalogue::ids(crate::catalogue::PESTS) {
            let pest = pest(id).expect("in the list");
            for question in [
                Question::FewNear,
                Question::OtherTraps,
                Question::Isolated,
                Question::Map,
            ] {
                let said = believe(&pest, question, []);
                for pattern in &said.leans_on {
                    assert!(results.contains_key(*pattern), "{pattern}");
                }
                if said.leans_on.iter().any(|p| results[*p] == "fail") {
                    assert!(said.level < Level::High, "{id} {question:?}");
                    assert!(said.reason.contains("falls short"), "{}", said.reason);
                }
            }
        }
    }

    #[test]
    fn recorded_results_are_of_this_version_and_name_every_pattern() {
        let recorded = results();
        assert_eq!(
            recorded.version,
            env!("CARGO_PKG_VERSION"),
            "run `lurefield evidence` and record what it says"
        );
        let all = crate::catalogue::patterns::patterns().patterns;
        assert_eq!(recorded.results.len(), all.len());
        for pattern in all {
            let result = recorded.results.get(&pattern.id);
            let result = result.unwrap_or_else(|| panic!("{}", pattern.id));
            assert_eq!(
                result == "not run",
                pattern.not_run.is_some(),
                "{}",
                pattern.id
            );
        }
    }
}
