//! The answer as text for a terminal of 80 columns: bottom line first, then dates, things to do, counts. The technical lines
//! (formulas, cutoffs, citations) are texts of their own: [`season_details`] and [`counts_details`].

mod counting;
mod page;

use crate::catalogue::Grade;
use crate::catalogue::season::SeasonPest;
use crate::say::{counted, say, voice};
use crate::season::calendar::Action;
use crate::season::finding::Finding;
use crate::season::forecast::Status;
use crate::season::question::cautions;
use crate::season::reading::CountsReading;
use crate::stats::words::thousands;
use crate::units::M_PER_S_PER_MPH;
use crate::weather::DegreeDays;
use crate::weather::day;
use counting::counts;
use jiff::civil::Date;
use page::{Page, number, sentence};

/// The file of the technical lines.
pub(super) const DETAILS: &str = "details.txt";

/// The whole answer, without its technical lines.
pub(super) fn season(season: &Finding) -> String {
    let mut page = Page::default();
    page.heading(&say!(
        "dates.heading",
        name = season.pest.name,
        scientific = season.pest.scientific,
        year = season.parts.outlook.start.year()
    ));
    page.add("", &bottom_line(season));
    page.add("", &say!("dates.promise"));
    if season.parts.pest.trap_draws_damage {
        page.add(
            "",
            &say!("dates.trap", caution = season.parts.pest.trap_caution),
        );
    }
    degree_days(&mut page, season);
    events(&mut page, season);
    flight(&mut page, season);
    to_do(&mut page, season);
    if counted_anything(&season.counts) {
        counts(&mut page, &season.counts, &season.parts.pest);
    }
    upkeep(&mut page, season);
    wind(&mut page, season);
    understood(&mut page, season);
    list(&mut page, "list.doubts", &season.warnings);
    list(&mut page, "list.notes", &season.notes);
    list(&mut page, "list.cautions", &season.cautions);
    hidden(&mut page, &sources_title(season));
    page.whole()
}

/// The heading of the technical lines, with the weakest grade of the answer.
fn sources_title(season: &Finding) -> String {
    say!("sources.title", grade = grade_words(season.weakest_grade))
}

/// The technical lines of the whole answer: method, cutoff, what each number rests on.
pub(super) fn season_details(season: &Finding) -> String {
    let mut page = Page::default();
    page.heading(&sources_title(season));
    page.add(
        "  ",
        &say!(
            "detail.dates.method",
            method = season.method,
            source = season.method_source
        ),
    );
    sources(&mut page, season);
    if counted_anything(&season.counts) {
        counting::details(&mut page, &season.counts);
    }
    page.add("  ", &say!("sources.each"));
    page.whole()
}

/// Whether there is a notebook or a count of marked ones to speak of.
fn counted_anything(reading: &CountsReading) -> bool {
    reading.understood.is_some() || reading.recapture.is_some()
}

/// Where the technical lines stand.
fn hidden(page: &mut Page, title: &str) {
    page.heading(title);
    page.add("  ", &say!("sources.hidden", file = DETAILS));
}

/// What counts alone say.
pub(super) fn counts_alone(pest: &SeasonPest, reading: &CountsReading) -> String {
    let mut page = Page::default();
    page.heading(&say!(
        "tally.alone",
        name = pest.name,
        scientific = pest.scientific
    ));
    counts(&mut page, reading, pest);
    list(&mut page, "list.notes", &pest.notes);
    list(&mut page, "list.cautions", &cautions());
    hidden(&mut page, voice().get("sources.hidden.title"));
    page.whole()
}

/// The technical lines of counts alone.
pub(super) fn counts_details(reading: &CountsReading) -> String {
    let mut page = Page::default();
    page.heading(voice().get("sources.hidden.title"));
    counting::details(&mut page, reading);
    page.whole()
}

/// One or two words for a grade.
fn grade_words(grade: Grade) -> &'static str {
    voice().get(match grade {
        Grade::Exact => "grade.exact",
        Grade::Published => "grade.published",
        Grade::Secondary => "grade.secondary",
        Grade::Memory => "grade.memory",
        Grade::Assumed => "grade.assumed",
    })
}

/// `8 May`.
fn short(date: Date) -> String {
    day::words_short(date)
}

fn iso_short(text: &str) -> String {
    day::read_iso(text).map_or_else(|_| text.to_string(), short)
}

/// `5 May to 14 May`.
fn range(from: Option<Date>, to: Option<Date>) -> String {
    match (from, to) {
        (Some(a), Some(b)) if a == b => short(a),
        (Some(a), Some(b)) => say!("dates.range", begin = short(a), end = short(b)),
        (Some(a), None) => say!("dates.open", begin = short(a)),
        _ => String::new(),
    }
}

fn bottom_line(season: &Finding) -> String {
    let mut lines = Vec::new();
    if let Some((event, [Some(date), ..])) = season.reached().map(|e| (e, e.days)) {
        lines.push(say!("dates.reached", event = event.name, day = short(date)));
    }
    if let Some((event, [Some(date), from, to])) = season.next().map(|e| (e, e.days)) {
        lines.push(say!(
            "dates.next",
            event = event.name,
            day = short(date),
            range = range(from, to)
        ));
    } else if let Some(event) = season.not_reached() {
        lines.push(say!(
            "dates.not-reached",
            day = iso_short(&season.last_day),
            event = event.name,
            sum = format_args!("{:.0}", season.cumulative),
            at = format_args!("{:.0}", event.degree_days),
            unit = season.unit.degree_days()
        ));
    }
    if lines.is_empty() {
        lines.push(say!("dates.none"));
    }
    lines.join(" ")
}

fn degree_days(page: &mut Page, season: &Finding) {
    page.heading(voice().get("dates.sum"));
    page.add(
        "  ",
        &say!(
            "dates.sum.days",
            count = DegreeDays::from_scale(season.cumulative, season.unit).words(season.unit),
            begin = iso_short(&season.start),
            end = iso_short(&season.last_day)
        ),
    );
    page.add(
        "  ",
        &say!(
            "dates.start",
            day = iso_short(&season.start),
            reason = season.start_reason
        ),
    );
    if let Some(biofix) = &season.biofix
        && biofix.date != season.start
    {
        page.add(
            "  ",
            &say!(
                "dates.biofix.other",
                rule = biofix.rule.split(" (").next().unwrap_or(""),
                day = iso_short(&biofix.date)
            ),
        );
    } else if let Some(biofix) = &season.biofix {
        if biofix.earliest != biofix.date {
            page.add(
                "  ",
                &say!("dates.biofix.earliest", day = iso_short(&biofix.earliest)),
            );
        }
        for note in &biofix.notes {
            page.add("  ", &sentence(note));
        }
    }
    if let Some(forecast) = &season.forecast {
        page.add("  ", &say!("dates.beyond", how = forecast.how));
    }
}

fn events(page: &mut Page, season: &Finding) {
    for (table, events) in season.by_table() {
        page.heading(&say!("dates.when", table));
        let chained = events.iter().any(|(_, e)| e.from_estimated_start);
        if let Some(event) = season.stand_in().filter(|_| chained) {
            page.add("  ", &say!("dates.when.on", event));
        }
        page.line(&format!(
            "  {:<7} {:<22} {:>13}  {:<9} {}",
            voice().get("dates.when.likely"),
            voice().get("dates.when.range"),
            season.unit.degree_days(),
            "",
            voice().get("dates.when.what")
        ));
        for (_, event) in events {
            let [date, from, to] = event.days;
            let status = voice().get(match event.status {
                Status::Passed => "dates.when.passed",
                Status::Forecast => "dates.when.forecast",
                Status::NotReached => "dates.when.not-yet",
            });
            let first = format!(
                "  {:<7} {:<22} {:>13.0}  {:<9} ",
                date.map_or("-".into(), short),
                range(from, to),
                event.degree_days,
                status
            );
            page.add(&first, &event.name);
        }
    }
    if !season.events.is_empty() {
        page.add("  ", &say!("dates.when.note"));
    }
}

fn flight(page: &mut Page, season: &Finding) {
    let Some(flight) = &season.flight else { return };
    let (Some(first), Some(peak), Some(last)) = (&flight.first, &flight.peak, &flight.last) else {
        return;
    };
    page.heading(voice().get("flying.title"));
    let insects = &season.parts.pest.short;
    page.add(
        "  ",
        &say!(
            "flying.most",
            insects,
            day = iso_short(peak),
            begin = iso_short(&first[1]),
            end = iso_short(&last[1])
        ),
    );
    let [begin, begin_by] = [&first[0], &first[2]].map(|day| iso_short(day));
    let [end, end_by] = [&last[0], &last[2]].map(|day| iso_short(day));
    let mut doubt = Vec::new();
    if begin != begin_by {
        doubt.push(say!("flying.may-begin", begin, begin_by));
    }
    if end != end_by {
        doubt.push(say!("flying.may-end", end, end_by));
    }
    if !doubt.is_empty() {
        page.add("  ", &doubt.join(" "));
    }
    let ends = match season.first_before_flight() {
        Some(first_of_all) => say!("flying.before", insects, day = short(first_of_all)),
        None => say!("flying.few", insects),
    };
    page.add("  ", &ends);
    if season.peak_differs() {
        page.add("  ", &say!("flying.peaks"));
    }
    if let Some(window) = &season.window {
        page.add(
            "  ",
            &say!(
                &counted("flying.window", window.days.into()),
                n = window.days,
                day = iso_short(&window.first_day)
            ),
        );
    }
}

fn to_do(page: &mut Page, season: &Finding) {
    if season.calendar.is_empty() {
        return;
    }
    page.heading(voice().get("todo.title"));
    for entry in &season.calendar {
        let days = range(Some(entry.from), Some(entry.to));
        page.add(
            &format!("  {days:<17} {:<13} ", entry.action.words()),
            &format!("{}.", entry.what),
        );
        let best = entry.best().filter(|_| entry.from < entry.to);
        let best = best.map(|day| say!("todo.best", day = short(day)) + " ");
        let best = best.unwrap_or_default();
        page.add(
            &" ".repeat(34),
            &format!("{best}{}", sentence(&entry.reason)),
        );
    }
    if let Some(bloom) = &season.bloom {
        let key = if bloom.needs_bees {
            "todo.bloom.bees"
        } else {
            "todo.bloom.alone"
        };
        page.add(
            "  ",
            &say!(
                key,
                crop = bloom.crop,
                begin = iso_short(&bloom.first[0]),
                begin_by = iso_short(&bloom.first[1]),
                end = iso_short(&bloom.last[0]),
                end_by = iso_short(&bloom.last[1])
            ),
        );
    }
}

fn upkeep(page: &mut Page, season: &Finding) {
    let upkeep = &season.upkeep;
    page.heading(voice().get("tend.title"));
    let [low, _, high] = upkeep.lure_life_d;
    page.add(
        "  ",
        &say!(
            "tend.lure",
            low = format_args!("{low:.0}"),
            high = format_args!("{high:.0}")
        ),
    );
    if upkeep.visits > 0 {
        page.add(
            "  ",
            &say!(
                &counted("tend.visits", upkeep.visits.into()),
                n = upkeep.visits,
                low = format_args!("{:.0}", upkeep.minutes[0]),
                high = format_args!("{:.0}", upkeep.minutes[2])
            ),
        );
    }
    if let Some(capacity) = upkeep.capacity {
        page.add("  ", &say!("tend.full", n = thousands(capacity)));
        for row in &upkeep.fill {
            let full = if row.days_to_full >= 100.0 {
                say!("tend.over-100")
            } else {
                number(row.days_to_full)
            };
            let key = counted("tend.fills", u64::from(full == "1"));
            let rate = format!("{:>6}", thousands(row.per_day));
            page.line(&format!("    {}", say!(&key, rate, full)));
        }
    }
}

fn wind(page: &mut Page, season: &Finding) {
    let Some(rose) = &season.wind_rose else {
        return;
    };
    if rose.valid == 0 {
        return;
    }
    page.heading(voice().get("breeze.title"));
    let mut order: Vec<_> = rose.sectors.iter().collect();
    order.sort_by_key(|s| std::cmp::Reverse(s.hours));
    let top: Vec<String> = order
        .iter()
        .take(3)
        .map(|s| format!("{} {:.0}", s.name, 100.0 * s.share))
        .collect();
    page.add("  ", &say!("breeze.from", sides = top.join(", ")));
    page.add(
        "  ",
        &say!(
            "breeze.calm",
            calm = format_args!("{:.0}", 100.0 * rose.calm_share),
            unsteady = format_args!("{:.0}", 100.0 * rose.variable_share),
            mph = format_args!("{:.0}", rose.mean_speed_m_per_s / M_PER_S_PER_MPH),
            mps = format_args!("{:.1}", rose.mean_speed_m_per_s)
        ),
    );
    page.add("  ", &say!("breeze.open"));
}

fn understood(page: &mut Page, season: &Finding) {
    let weather = &season.weather;
    page.heading(voice().get("was-read.title"));
    page.add(
        "  ",
        &say!(
            "was-read.rows",
            file = weather.file,
            rows = weather.rows,
            n = weather.days,
            date = weather.first_day,
            date_end = weather.last_day
        ),
    );
    page.add(
        "  ",
        &say!(
            "was-read.unit",
            unit = weather.unit,
            columns = weather.columns.join("; ")
        ),
    );
    let notes = weather.wild.iter().chain(&weather.notes);
    for note in notes.chain(&season.missing_days) {
        page.add("  - ", &sentence(note));
    }
}

fn sources(page: &mut Page, season: &Finding) {
    let mut seen: Vec<String> = Vec::new();
    let mut all = vec![say!(
        "detail.sources.thresholds",
        source = season.thresholds.source,
        grade = grade_words(season.thresholds.grade)
    )];
    all.extend(season.events.iter().map(|e| {
        let grade = grade_words(e.grade);
        say!("detail.sources.dates", source = e.source, grade)
    }));
    if let Some(flight) = &season.flight {
        all.extend(flight.generations.iter().flat_map(|g| {
            [&g.start_source, &g.middle_source].map(|source| say!("detail.sources.flight", source))
        }));
    }
    all.extend(
        season
            .calendar
            .iter()
            .filter(|e| e.action != Action::Look)
            .map(|e| {
                let (action, grade) = (e.action.words(), grade_words(e.grade));
                say!("detail.sources.action", action, source = e.source, grade)
            }),
    );
    for source in all {
        if !seen.contains(&source) {
            page.add("  - ", &source);
            seen.push(source);
        }
    }
}

fn list(page: &mut Page, title: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    page.heading(voice().get(title));
    for item in items {
        page.add("  - ", &sentence(item));
    }
}
