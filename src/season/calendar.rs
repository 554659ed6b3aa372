//! What to do when, each with its reason: hang, check, replace the lure, cover, uncover for bees, pick, take down.

use crate::catalogue::Grade;
use crate::catalogue::season::{BloomEntry, EventKind, SeasonPest};
use crate::say::{counted, say, voice};
use crate::season::events::Event;
use crate::season::upkeep::Upkeep;
use crate::weather::day::{days_between, plus, words_short};
use crate::weather::temperature::Scale;
use jiff::civil::Date;
use serde::{Serialize, Serializer};

/// Days before the first insects at which a trap should hang (common practice, no source).
pub const HANG_AHEAD_D: i64 = 7;

/// A fresh lure does not pay when the trap comes down within so many days (own rule).
pub const WORTH_A_LURE_D: i64 = 14;

/// A kind of thing to do; in the order of their names in files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Action {
    /// Look into the trap.
    Check,
    /// Put a cover on.
    Cover,
    /// Empty the trap.
    Empty,
    /// Hang the trap.
    Hang,
    /// Look for an event.
    Look,
    /// Pick by hand.
    Pick,
    /// Put in a fresh lure.
    ReplaceLure,
    /// Take the trap down.
    TakeDown,
    /// Take a cover off, or leave it off.
    Uncover,
}

impl Action {
    /// Its name in files, and the key of its words.
    const fn names(self) -> [&'static str; 2] {
        match self {
            Action::Check => ["check", "todo.action.check"],
            Action::Cover => ["cover", "todo.action.cover"],
            Action::Empty => ["empty", "todo.action.empty"],
            Action::Hang => ["hang", "todo.action.hang"],
            Action::Look => ["look", "todo.action.look"],
            Action::Pick => ["pick", "todo.action.pick"],
            Action::ReplaceLure => ["replace lure", "todo.action.replace-lure"],
            Action::TakeDown => ["take down", "todo.action.take-down"],
            Action::Uncover => ["uncover", "todo.action.uncover"],
        }
    }

    /// Its name in files.
    pub const fn name(self) -> &'static str {
        self.names()[0]
    }

    /// One or two words in the language that is spoken.
    pub fn words(self) -> &'static str {
        voice().get(self.names()[1])
    }
}

impl Serialize for Action {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.name())
    }
}

fn iso<S: Serializer>(day: &impl std::fmt::Display, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(day)
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entry {
    /// What kind of thing.
    pub action: Action,
    /// What exactly.
    pub what: String,
    /// Best day.
    #[serde(serialize_with = "iso")]
    pub date: Date,
    /// First day of the stretch or of the doubt.
    #[serde(serialize_with = "iso")]
    pub from: Date,
    /// Last day.
    #[serde(serialize_with = "iso")]
    pub to: Date,
    /// Why.
    pub reason: String,
    /// Where the rule comes from.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

impl Entry {
    /// The best day; `None` for what is done on many days.
    pub fn best(&self) -> Option<Date> {
        (!matches!(self.action, Action::Check | Action::Empty)).then_some(self.date)
    }
}

/// Adults present: from the first notable number to the last, with ranges over the years.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlightSpan {
    /// First day with 1 in 20 of the peak number: earliest, likely, latest.
    pub first: [Date; 3],
    /// First and last day with half of the peak number, likely.
    pub busy: [Date; 2],
    /// Day of the peak, likely.
    pub peak: Date,
    /// Last day with 1 in 20 of the peak number: earliest, likely, latest.
    pub last: [Date; 3],
}

/// When the crop blooms.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bloom {
    /// The crop.
    pub crop: String,
    /// First open flower: earliest and latest.
    pub first: [String; 2],
    /// Last open flower: earliest and latest.
    pub last: [String; 2],
    /// Whether fruit depends on insects.
    pub needs_bees: bool,
    /// Whether nobody covers it against this pest.
    pub left_open: bool,
    /// Where the dates come from.
    pub source: String,
    /// Trust.
    pub grade: Grade,
    /// For arithmetic: first earliest, first latest, last earliest, last latest.
    #[serde(skip)]
    pub days: [Date; 4],
}

impl Bloom {
    /// A crop's window from its first and last flower, each with its earliest and latest day.
    pub fn new(entry: &BloomEntry, days: [Date; 4], left_open: bool) -> Self {
        Self {
            crop: entry.name.clone(),
            first: [days[0].to_string(), days[1].to_string()],
            last: [days[2].to_string(), days[3].to_string()],
            needs_bees: entry.needs_bees,
            left_open,
            source: entry.source.clone(),
            grade: entry.grade,
            days,
        }
    }
}

/// Everything the calendar is made from.
pub struct Ingredients<'a> {
    /// The pest.
    pub pest: &'a SeasonPest,
    /// Its events.
    pub events: &'a [Event],
    /// Its flight, if one is known.
    pub span: Option<FlightSpan>,
    /// The crop's bloom, if a crop was named.
    pub bloom: Option<&'a Bloom>,
    /// Lures and visits.
    pub upkeep: &'a Upkeep,
    /// Whether the biofix is still to be found.
    pub biofix_open: bool,
    /// Scale of the degree-days.
    pub scale: Scale,
}

/// First and last day a trap hangs: a week before the first insects until the flight ends.
pub fn trap_span(events: &[Event], span: Option<FlightSpan>) -> Option<(Date, Date)> {
    let span = span?;
    let hang = match events
        .iter()
        .find(|e| e.kind == EventKind::Hang)
        .and_then(|e| e.days[0])
    {
        Some(day) => day,
        None => plus(first_adults(events, span)[0], -HANG_AHEAD_D),
    };
    (hang < span.last[1]).then_some((hang, span.last[1]))
}

/// Earliest, likely and latest day of the first adults.
fn first_adults(events: &[Event], span: FlightSpan) -> [Date; 3] {
    let event = events.iter().find(|e| e.kind == EventKind::FirstAdults);
    match event.map(|e| e.days) {
        Some([Some(likely), earliest, latest]) => {
            [earliest.unwrap_or(likely), likely, latest.unwrap_or(likely)]
        }
        _ => span.first,
    }
}

/// The calendar, in order of day.
pub fn build(given: &Ingredients<'_>) -> Vec<Entry> {
    let mut entries = Vec::new();
    if let Some(span) = given.span {
        let first = first_adults(given.events, span);
        trap_entries(given, span, first, &mut entries);
        cover_entries(given, span, first, &mut entries);
        pick_entry(given, span, &mut entries);
    }
    watch_entries(given, &mut entries);
    entries
        .sort_by(|a, b| (a.from, a.to, a.action, &a.what).cmp(&(b.from, b.to, b.action, &b.what)));
    entries
}

fn entry(
    action: Action,
    what: String,
    [from, date, to]: [Date; 3],
    reason: String,
    source: &str,
    grade: Grade,
) -> Entry {
    Entry {
        action,
        what,
        date,
        from,
        to,
        reason,
        source: source.into(),
        grade,
    }
}

fn trap_entries(
    given: &Ingredients<'_>,
    span: FlightSpan,
    first: [Date; 3],
    entries: &mut Vec<Entry>,
) {
    let Some((hang, down)) = trap_span(given.events, given.span) else {
        return;
    };
    let insects = &given.pest.short;
    let published = given.events.iter().find(|e| e.kind == EventKind::Hang);
    let practice = say!("todo.source.practice");
    let (source, grade) = published.map_or((practice.as_str(), Grade::Assumed), |e| {
        (e.source.as_str(), e.grade)
    });
    let latest = plus(first[1], -1).max(hang);
    // A trap that raises damage near plants is never advised without that word beside it.
    let draws_damage = given.pest.trap_draws_damage;
    let caution = &given.pest.trap_caution;
    let (what, reason) = if draws_damage {
        (
            say!("todo.hang.far", caution),
            say!("todo.hang.far.why", insects),
        )
    } else {
        (say!("todo.hang", caution), say!("todo.hang.why", insects))
    };
    entries.push(entry(
        Action::Hang,
        what,
        [hang, hang, latest],
        reason,
        source,
        grade,
    ));
    let every = given.upkeep.check_every_d;
    let whole = every.round();
    let (often, reason) = if given.biofix_open {
        (
            say!(&counted("todo.check.first", whole as u64), every = whole),
            say!("todo.check.first.why", insects),
        )
    } else {
        (
            say!(&counted("todo.check", whole as u64), every = whole),
            say!("todo.check.why"),
        )
    };
    entries.push(entry(
        Action::Check,
        often,
        [hang, hang, down],
        reason,
        &given.pest.upkeep.check_every.source,
        given.pest.upkeep.check_every.grade,
    ));
    if let Some(row) = given.upkeep.own_rate.filter(|row| row.days_to_full < every) {
        let days = row.days_to_full.floor().max(1.0);
        entries.push(entry(
            Action::Empty,
            say!(&counted("todo.empty", days as u64), every = days),
            [hang, hang, down],
            say!(
                "todo.empty.why",
                rate = format_args!("{:.0}", row.per_day),
                full = format_args!("{:.1}", row.days_to_full)
            ),
            given.upkeep.capacity_source.as_deref().unwrap_or(""),
            given
                .pest
                .upkeep
                .capacity
                .as_ref()
                .map_or(Grade::Assumed, |c| c.grade),
        ));
    }
    for lure in given
        .upkeep
        .lures
        .iter()
        .filter(|lure| days_between(lure.days[0], down) >= WORTH_A_LURE_D)
    {
        let [by, earliest, latest] = lure.days;
        entries.push(entry(
            Action::ReplaceLure,
            if draws_damage {
                say!("todo.lure.far", caution)
            } else {
                say!("todo.lure")
            },
            [earliest, by, latest],
            say!("todo.lure.why", day = words_short(lure.hung_day)),
            &given.upkeep.lure_source,
            given.pest.upkeep.lure_life.grade,
        ));
    }
    entries.push(entry(
        Action::TakeDown,
        say!("todo.down"),
        [span.last[0], span.last[1], span.last[2]],
        say!("todo.down.why", insects),
        voice().get("todo.source.few"),
        Grade::Assumed,
    ));
}

fn cover_entries(
    given: &Ingredients<'_>,
    span: FlightSpan,
    first: [Date; 3],
    entries: &mut Vec<Entry>,
) {
    let advice = &given.pest.cover;
    if !advice.useful || given.bloom.is_some_and(|b| b.left_open) {
        return;
    }
    let crop = given
        .bloom
        .map_or_else(|| voice().get("todo.the-crop"), |b| b.crop.as_str());
    let on = plus(first[0], -3);
    let end = span.last;
    let cover = |what: String, days: [Date; 3], reason: String| {
        entry(
            Action::Cover,
            what,
            days,
            reason,
            &advice.source,
            advice.grade,
        )
    };
    let off = |days: [Date; 3]| {
        entry(
            Action::Uncover,
            say!("todo.uncover", crop),
            days,
            say!("todo.uncover.why"),
            voice().get("todo.source.few"),
            Grade::Assumed,
        )
    };
    let closed = || {
        // Whether a crop that is not named needs bees is not known.
        let what = match given.bloom {
            Some(_) => say!("todo.cover", crop),
            None => say!("todo.cover.any", crop),
        };
        cover(
            what,
            [on, on, plus(first[1], -1).max(on)],
            advice.reason.clone(),
        )
    };
    let bees = given.bloom.filter(|b| b.needs_bees);
    let Some(bloom) = bees.filter(|b| b.days[0] <= end[2] && b.days[3] >= on) else {
        entries.push(closed());
        entries.push(off(end));
        return;
    };
    let [first_flower, latest_first, _, last_flower] = bloom.days;
    if on < first_flower {
        entries.push(cover(
            say!("todo.cover.bloom", crop),
            [on, on, plus(first[1], -1).clamp(on, plus(first_flower, -1))],
            advice.reason.clone(),
        ));
    }
    let again = plus(last_flower, 1);
    let returns = again < end[1];
    entries.push(bloom_entry(
        given,
        bloom,
        (first_flower <= on && (returns || on < latest_first)).then_some(on),
        returns.then_some(again),
    ));
    if returns {
        // What is said of the flowers holds until the last one.
        entries.push(off([end[0].max(again), end[1], end[2]]));
    }
}

/// The one line on covers at bloom. With a day on which covering would begin in the time of bloom, the flowers decide;
/// else the cover is off in that time. `again` is the day from which no flower can be open, if a cover still pays then.
fn bloom_entry(
    given: &Ingredients<'_>,
    bloom: &Bloom,
    begins: Option<Date>,
    again: Option<Date>,
) -> Entry {
    let advice = &given.pest.cover;
    let crop = &bloom.crop;
    let [first_flower, latest_first, _, last_flower] = bloom.days;
    let [begin, end] = [first_flower, last_flower].map(words_short);
    let reason = &advice.reason;
    let source = say!(
        "todo.source.bloom",
        source = advice.source,
        bloom = bloom.source
    );
    let grade = advice.grade.max(bloom.grade);
    let only_without_flowers = say!("todo.cover.flowers", crop);
    match (begins, again) {
        // Bloom ends while the flight goes on: by the last flower at the latest the cover may lie.
        (Some(on), Some(again)) => entry(
            Action::Cover,
            only_without_flowers,
            [on, again, again],
            say!(
                "todo.cover.flowers.again",
                reason,
                crop,
                begin,
                end,
                day = words_short(again)
            ),
            &source,
            grade,
        ),
        // The flight is over before bloom ends: the cover pays up to the first flower alone.
        (Some(on), None) => entry(
            Action::Cover,
            only_without_flowers,
            [on, on, plus(latest_first, -1)],
            say!("todo.cover.flowers.once", reason, crop, begin, end),
            &source,
            grade,
        ),
        (None, again) => {
            let key = if again.is_some() {
                "todo.uncover.flowers.again"
            } else {
                "todo.uncover.flowers.why"
            };
            entry(
                Action::Uncover,
                say!("todo.uncover.flowers", crop),
                [first_flower, latest_first, last_flower],
                say!(key, crop, begin, end),
                &source,
                grade,
            )
        }
    }
}

fn pick_entry(given: &Ingredients<'_>, span: FlightSpan, entries: &mut Vec<Entry>) {
    let advice = &given.pest.pick;
    if advice.useful {
        entries.push(entry(
            Action::Pick,
            say!("todo.pick"),
            [span.busy[0], span.peak, span.busy[1]],
            advice.reason.clone(),
            &advice.source,
            advice.grade,
        ));
    }
}

/// Events at which looking pays: hatching eggs and new generations.
fn watch_entries(given: &Ingredients<'_>, entries: &mut Vec<Entry>) {
    for event in given
        .events
        .iter()
        .filter(|e| matches!(e.kind, EventKind::Hatch | EventKind::NextGeneration))
    {
        let [Some(likely), earliest, latest] = event.days else {
            continue;
        };
        let days = [earliest.unwrap_or(likely), likely, latest.unwrap_or(likely)];
        entries.push(entry(
            Action::Look,
            say!("todo.look", event = event.name),
            days,
            say!(
                "todo.look.why",
                sum = format_args!("{:.0}", event.degree_days),
                unit = given.scale.degree_days(),
                day = words_short(event.counted_from_day),
                table = event.table
            ),
            &event.source,
            event.grade,
        ));
    }
}
