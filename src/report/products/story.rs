//! What the products say about a yard, in sentences of the catalogue; every page takes its words and numbers from here.

use crate::catalogue::Guild;
use crate::catalogue::believe::Level;
use crate::report::products::results::{Plan, Results, Season, Yard};
use crate::report::products::unknown;
use crate::report::words::{average_apart, believe_in, believe_least, followed, instead, quoted};
use crate::say::{Strings, fill};
use crate::scenario;
use crate::stats::paired::{Class, Told};
use crate::stats::words::{Change, in_print, printed, tenths, thousands};
use crate::study::finding::Better;
use crate::units::feet_and_metres;

/// A trap as near to a plant as this hangs at it, metres (assumed: below what a distance in feet shows).
const AT_PLANTS_M: f64 = 0.05;

/// A yard with the plan that a page is about.
pub struct Story<'a> {
    /// Sentences.
    pub s: &'a Strings,
    /// The yard.
    pub yard: &'a Yard,
    /// All that was found.
    pub results: &'a Results,
    /// Index of the plan that the pages are about.
    pub headline: usize,
}

impl<'a> Story<'a> {
    /// A story about a plan, or about the first plan after the first that does anything, else the second plan, else the first.
    ///
    /// # Errors
    /// A sentence when there is no plan of that name.
    pub fn new(
        s: &'a Strings,
        results: &'a Results,
        yard: &'a Yard,
        plan: Option<&str>,
    ) -> Result<Self, String> {
        let headline = match plan {
            Some(name) => yard
                .plans
                .iter()
                .position(|p| p.name == name)
                .ok_or_else(|| unknown_plan(name, yard))?,
            None => yard
                .plans
                .iter()
                .enumerate()
                .skip(1)
                .find(|(_, p)| p.traps > 0 || !p.only_traps)
                .map_or(usize::from(yard.plans.len() > 1), |(i, _)| i),
        };
        Ok(Story {
            s,
            yard,
            results,
            headline,
        })
    }

    /// The plan that the pages are about.
    pub fn plan(&self) -> &Plan {
        &self.yard.plans[self.headline]
    }

    /// Where to type which command to make the results anew.
    pub fn repeat(&self) -> Option<[&str; 2]> {
        let repeat = self.results.repeat.as_ref()?;
        Some([self.s.get(repeat.says), &repeat.line])
    }

    /// The plan that it is set against.
    pub fn first(&self) -> &Plan {
        &self.yard.plans[0]
    }

    /// Which way it went; `None` for a single plan.
    pub fn way(&self) -> Option<Class> {
        self.plan().count.as_ref().map(|c| c.told.class())
    }

    fn guild(&self) -> &'static str {
        guild_key(self.yard.scenario.pest.guild)
    }

    /// "leaves chewed" or its kin.
    pub fn state(&self) -> &str {
        self.s.get(&format!("state.{}", self.guild()))
    }

    /// "leaves" or its kin.
    pub fn noun(&self) -> &str {
        self.s.get(&format!("noun.{}", self.guild()))
    }

    /// "the trap", "the traps" or "this plan".
    pub fn it(&self, plan: &Plan) -> &str {
        self.s.get(match (plan.only_traps, plan.traps) {
            (true, 1) => "it.trap",
            (true, 2..) => "it.traps",
            _ => "it.plan",
        })
    }

    /// A text about the plan: its gaps are "the trap", "the traps" or "this plan", and "it" or "them".
    pub fn about_it(&self, key: &str) -> String {
        let plan = self.plan();
        let them = self.s.get(match (plan.only_traps, plan.traps) {
            (true, 1) => "them.trap",
            (true, 2..) => "them.traps",
            _ => "them.plan",
        });
        self.s.fill(key, &[("it", self.it(plan)), ("them", them)])
    }

    /// The bottom line, with its word in brackets where there are summers enough.
    pub fn verdict(&self) -> String {
        let said = self.verdict_on(&self.named(self.plan()));
        match &self.plan().count {
            Some(count) if count.told.mostly_same() => {
                [self.s.get("said.mostly-same"), &said].join(" ")
            }
            _ => said,
        }
    }

    /// The same in fewer words, of a plan that is called so.
    pub fn verdict_on(&self, named: &str) -> String {
        let plan = self.plan();
        let Some(count) = &plan.count else {
            let key = match self.yard.plans.len() {
                1 => "verdict.alone",
                _ => "verdict.base",
            };
            let values = [
                ("after", &number(plan.damage) as &str),
                ("noun", self.noun()),
            ];
            return self.s.fill(key, &values);
        };
        let told = count.told;
        let key = match (told.class(), told.never_other_way()) {
            (Class::More, _) if told.of == 1 => "verdict.more.one",
            (Class::Less, _) if told.of == 1 => "verdict.less.one",
            (Class::NoChange, _) if told.of == 1 => "verdict.same.one",
            (Class::More, false) => "verdict.more",
            (Class::More, true) => "verdict.more.never-less",
            (Class::Less, false) => "verdict.less",
            (Class::Less, true) => "verdict.less.never-more",
            (Class::NoChange, _) => "verdict.same",
            (Class::EitherWay, _) => "verdict.open",
        };
        self.s.fill(
            key,
            &[
                ("n", &told.leading().to_string()),
                ("of", &told.of.to_string()),
                ("it", named),
                ("state", self.state()),
            ],
        )
    }

    /// "the trap", "the traps", or the name of a plan of something else.
    fn named(&self, plan: &Plan) -> String {
        if plan.only_traps && plan.traps > 0 {
            self.it(plan).to_owned()
        } else {
            quoted(&plan.name)
        }
    }

    /// The word of the scale for the verdict, if it has one.
    pub fn word(&self) -> Option<&str> {
        let word = self.plan().count.as_ref()?.word;
        word.map(|word| word.told(self.s))
    }

    /// Whether the summers are too few for a printed verdict.
    pub fn preview(&self) -> bool {
        self.yard.preview
    }

    /// All three counts of a plan in a sentence.
    pub fn split(&self) -> Option<String> {
        let count = self.plan().count.as_ref()?;
        Some(filled(self.s, "verdict.split", count.told, &[]))
    }

    /// Damage of the first plan and of this one, with the change in words; `None` for the first, as its verdict says it.
    pub fn damage(&self) -> Option<String> {
        let (before, after) = (self.first().damage, self.plan().damage);
        if self.headline == 0 {
            return None;
        }
        let values = [
            ("state", self.state()),
            ("before", &number(before) as &str),
            ("after", &number(after)),
        ];
        let (key, ratio) = change_key(printed(before), printed(after), self.yard.tie_band);
        let theirs = self.with_theirs_alone();
        if number(before) == number(after) {
            let told = self.s.fill("damage.no-change", &values);
            return Some(followed(told, theirs.as_deref()));
        }
        let change = fill(
            self.s.get(key),
            &[("ratio", &format!("{ratio:.0}") as &str)],
        );
        let mut all = values.to_vec();
        all.push(("change", &change));
        let told = self.s.fill("damage.change", &all);
        let apart = self.average_apart().map(|key| self.s.get(key));
        Some(followed(followed(told, apart), theirs.as_deref()))
    }

    /// Damage where the neighbors' traps hang and nothing else is done, for a plan that hangs a trap beside them: whoever asks
    /// about one more trap has theirs already.
    pub fn with_theirs_alone(&self) -> Option<String> {
        let beside =
            |plan: &&scenario::Plan| plan.hangs() && plan.traps.iter().any(|t| t.neighbours);
        self.planned().filter(beside)?;
        let mut all = self.yard.scenario.plans.iter();
        let alone = all.position(|p| !p.traps.is_empty() && !p.hangs() && p.methods.is_empty())?;
        let alone = number(self.yard.plans.get(alone)?.damage);
        Some(self.s.fill("damage.theirs", &[("alone", &alone)]))
    }

    /// Key of what to add where the averages, as printed, do not go the way of the counts.
    pub fn average_apart(&self) -> Option<&'static str> {
        let [before, after] = [self.first(), self.plan()].map(|p| printed(p.damage));
        average_apart(self.way()?, before, after, self.yard.tie_band)
    }

    /// The catch of this plan, when it has a trap.
    pub fn catch(&self) -> Option<String> {
        let plan = self.plan();
        (plan.traps > 0).then(|| {
            self.s.fill(
                "damage.caught",
                &[
                    ("insects", &self.yard.scenario.pest.short),
                    ("caught", &rounded(plan.caught)),
                ],
            )
        })
    }

    /// Where 100 that came for the scent ended, as a sentence; `None` without a trap, and where only `compare` has looked.
    pub fn reason(&self, key: &str) -> Option<String> {
        let ended = self.plan().fate?;
        let [a, b, c] = ended.three().map(|n| n.to_string());
        let values = [("a", a.as_str()), ("b", &b), ("c", &c)];
        let said = self.s.fill(key, &values);
        // Who hangs none of their own must hear whose trap it is.
        let theirs = (self.plan().traps == 0).then(|| self.s.get("why.theirs"));
        Some(followed(said, theirs))
    }

    /// What that comes to, where it leans to one side.
    pub fn lean(&self) -> Option<String> {
        let ended = self.plan().fate?;
        let key = if ended.landed > 50 {
            "why.spill"
        } else if ended.lean().is_lt() {
            "why.kept"
        } else {
            return None;
        };
        Some(self.s.get(key).to_owned())
    }

    /// Whether any plan of the yard hangs a trap.
    pub fn hangs_any(&self) -> bool {
        self.yard.plans.iter().any(|p| p.traps > 0)
    }

    /// Why, and where it would be otherwise: a sentence each.
    pub fn why(&self) -> Vec<String> {
        let own = [self.reason("why.counts"), self.lean()];
        let elsewhere = self.elsewhere();
        own.into_iter().flatten().chain(elsewhere).collect()
    }

    /// What the plan does next door, and that the yard is cut off, where a trap rests on that.
    pub fn elsewhere(&self) -> Vec<String> {
        let (first, plan) = (&self.first().plots, &self.plan().plots);
        let changed = first.iter().zip(plan).filter(|((_, before), (_, after))| {
            (printed(*after) - printed(*before)).abs() > self.yard.tie_band
        });
        let next_door = changed.map(|((name, before), (_, after))| {
            let (before, after) = (number(*before), number(*after));
            let values = [
                ("name", name.as_str()),
                ("before", &before),
                ("after", &after),
            ];
            self.s.fill("why.next-door", &values)
        });
        let cut_off = self.yard.scenario.isolated && self.plan().traps > 0;
        let isolated = cut_off.then(|| self.s.get("why.isolated").to_owned());
        next_door.chain(isolated).collect()
    }

    /// The best plan of the yard without a trap; `None` where the pages are about it.
    pub fn better(&self) -> Option<Better> {
        // The first plan is set against nothing, but the others must leave less than it does.
        let way = |p: &Plan| {
            p.count
                .as_ref()
                .map_or(Class::EitherWay, |c| c.told.class())
        };
        let plans = self.yard.plans.iter();
        let found: Vec<(Class, f64)> = plans.map(|p| (way(p), p.damage)).collect();
        let scenario = &self.yard.scenario;
        // Plans of the file and of the results are the same ones, in one order.
        let best = Better::than(self.headline, scenario, &found);
        best.filter(|_| scenario.plans.len() == found.len())
    }

    /// What is usually done, if no plan does it already.
    pub fn usual(&self) -> Option<String> {
        let usual = instead(&self.yard.scenario, self.s);
        (!usual.is_empty()).then(|| self.s.fill("instead.usual", &[("usual", &usual)]))
    }

    /// The better plan with its numbers; else what is usually done, if no plan does it already.
    pub fn instead(&self) -> Option<String> {
        self.instead_best().or_else(|| self.usual())
    }

    /// The better plan with its number; with a tenth where it would look like that of the first plan.
    pub fn instead_best(&self) -> Option<String> {
        let better = self.better()?;
        let plan = &self.yard.plans[better.plan];
        let after = match number(plan.damage) {
            same if same == number(self.first().damage) => format!("{:.1}", tenths(plan.damage)),
            after => after,
        };
        let key = if better.of_all {
            "instead.best"
        } else {
            "instead.untrapped"
        };
        let values = [("plan", &plan.name as &str), ("after", &after)];
        Some(self.s.fill(key, &values))
    }

    /// The plan as the yard's file holds it; `None` where results are of another file.
    pub fn planned(&self) -> Option<&'a scenario::Plan> {
        let yard: &'a Yard = self.yard;
        yard.scenario
            .plans
            .iter()
            .find(|p| p.name == self.plan().name)
    }

    /// How far the plan's nearest trap hangs from the asker's nearest plant; `None` without a trap.
    pub fn distance(&self) -> Option<String> {
        let scenario = &self.yard.scenario;
        let mine = self.planned()?.own_traps();
        let each = mine.filter_map(|t| scenario.nearest_plant(t.at));
        let each = each.map(|(away_m, _)| away_m);
        let away = each.min_by(f64::total_cmp)?;
        let key = match self.plan().traps {
            _ if away < AT_PLANTS_M => "help.distance.none",
            1 => "help.distance",
            _ => "help.distance.many",
        };
        let values = [("distance", &feet_and_metres(away) as &str)];
        Some(self.s.fill(key, &values))
    }

    /// Up to three lines of what to do.
    pub fn do_this(&self) -> Vec<String> {
        let plan = self.plan();
        let what = if plan.traps > 0 && plan.only_traps {
            "trap"
        } else {
            "plan"
        };
        let way = match self.way() {
            Some(Class::More) => "more",
            Some(Class::Less) => "less",
            _ => "same",
        };
        let own = (self.headline > 0).then(|| self.about_it(&format!("handout.do.{what}.{way}")));
        // Where no plan hangs a trap there is no bag to speak of.
        let look = if self.hangs_any() {
            "handout.do.look"
        } else {
            "help.look"
        };
        let lines = [own, self.instead(), Some(self.s.get(look).to_owned())];
        // What works stands first; otherwise the other way to act does.
        let [own, instead, look] = lines;
        let order = if way == "less" {
            [own, instead, look]
        } else {
            [instead, own, look]
        };
        order.into_iter().flatten().collect()
    }

    /// How sure anyone can be about what the plan asks.
    pub fn sure(&self) -> &str {
        self.s.get(match self.level() {
            Level::High => "badge.HIGH",
            Level::Medium => "badge.MEDIUM",
            Level::Low => "badge.LOW",
        })
    }

    /// The same as a level.
    pub fn level(&self) -> Level {
        let scenario = &self.yard.scenario;
        let own = self.planned();
        let own = own.map_or_else(|| believe_least(scenario), |p| believe_in(scenario, p));
        own.level
    }

    /// The same with the weakest number that it rests on.
    pub fn badge(&self) -> String {
        [self.sure(), &self.weakest()].join(" ")
    }

    /// Grade of the weakest number.
    pub fn weakest(&self) -> String {
        let grade = self.s.get(grade_key(self.yard.weakest));
        self.s.fill("badge.weakest", &[("grade", grade)])
    }

    /// The season, when it is about this pest.
    pub fn season(&self) -> Option<&Season> {
        self.results
            .season
            .as_ref()
            .filter(|s| s.pest.id == self.yard.scenario.pest.id)
    }
}

/// A text about counts, with what else fills its gaps.
pub fn filled(s: &Strings, key: &str, told: Told, others: &[(&str, &str)]) -> String {
    let Told {
        more,
        same,
        less,
        of,
    } = told;
    let counts = [("more", more), ("same", same), ("less", less), ("of", of)];
    let counts = counts.map(|(gap, n)| (gap, n.to_string()));
    let counts = counts.iter().map(|(gap, n)| (*gap, n.as_str()));
    s.fill(
        key,
        &counts.chain(others.iter().copied()).collect::<Vec<_>>(),
    )
}

fn unknown_plan(name: &str, yard: &Yard) -> String {
    let all: Vec<&str> = yard.plans.iter().map(|p| p.name.as_str()).collect();
    unknown("unknown.plan", "--plan", name, &all)
}

/// Key of a guild in the catalogue of sentences.
pub fn guild_key(guild: Guild) -> &'static str {
    match guild {
        Guild::Chewer => "chewer",
        Guild::Piercer => "piercer",
        Guild::EggLayer => "egg-layer",
        Guild::Visitor => "visitor",
    }
}

/// Key of a grade in the catalogue of sentences.
pub fn grade_key(grade: crate::catalogue::Grade) -> &'static str {
    use crate::catalogue::Grade;
    match grade {
        Grade::Exact => "grade.exact",
        Grade::Published => "grade.published",
        Grade::Secondary => "grade.secondary",
        Grade::Memory => "grade.memory",
        Grade::Assumed => "grade.assumed",
    }
}

/// Key of the change from one number of 100 to another, and their ratio.
///
/// Shape: both as they are printed.
pub fn change_key(before: f64, after: f64, band: f64) -> (&'static str, f64) {
    let (change, ratio) = Change::of(before, after, band);
    let key = match change {
        Change::FromNothing => "change.from-nothing",
        Change::Times => "change.times",
        Change::MoreThanTwice => "change.more-than-twice",
        Change::Twice => "change.twice",
        Change::HalfAgain => "change.half-again",
        Change::ThirdMore => "change.third-more",
        Change::QuarterMore => "change.quarter-more",
        Change::LittleMore => "change.little-more",
        Change::Same => "change.same",
        Change::LittleLess => "change.little-less",
        Change::FifthLess => "change.fifth-less",
        Change::QuarterLess => "change.quarter-less",
        Change::ThirdLess => "change.third-less",
        Change::Half => "change.half",
        Change::LessThanHalf => "change.less-than-half",
        Change::ThirdOrLess => "change.third-or-less",
        Change::SmallPart => "change.small-part",
    };
    (key, ratio)
}

/// A number of 100 as it is printed.
pub fn number(value: f64) -> String {
    in_print(value)
}

/// A count in running text: whole below 1,000, hundreds below 10,000, thousands above.
pub fn rounded(value: f64) -> String {
    let step = if value < 1000.0 {
        1.0
    } else if value < 10_000.0 {
        100.0
    } else {
        1000.0
    };
    thousands((value / step).round() * step)
}
