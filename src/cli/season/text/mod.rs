//! The answer as text for a terminal of 80 columns: bottom line first, then dates, things to do, counts, and where it all comes from.

mod counting;
mod page;

use crate::catalogue::season::SeasonPest;
use crate::season::DegreeDays;
use crate::season::answer::Season;
use crate::season::day;
use crate::season::forecast::Status;
use crate::season::question::cautions;
use crate::season::reading::{CountsReading, grade_word};
use crate::stats::words::thousands;
use crate::units::M_PER_S_PER_MPH;
use counting::counts;
use jiff::civil::Date;
use page::{Page, capital, number, sentence};

/// The whole answer.
pub(super) fn season(season: &Season) -> String {
    let mut page = Page::default();
    page.heading(&format!(
        "{} ({}), {}",
        season.pest.name,
        season.pest.scientific,
        year(season)
    ));
    page.add("", &bottom_line(season));
    page.add("", "A forecast, not a promise. Use your local threshold.");
    if season.parts.pest.trap_draws_damage {
        page.add(
            "",
            &format!(
                "Before you hang a trap: {}.",
                season.parts.pest.trap_caution
            ),
        );
    }
    degree_days(&mut page, season);
    events(&mut page, season);
    flight(&mut page, season);
    to_do(&mut page, season);
    if season.counts.understood.is_some() || season.counts.recapture.is_some() {
        counts(&mut page, &season.counts, &season.parts.pest);
    }
    upkeep(&mut page, season);
    wind(&mut page, season);
    understood(&mut page, season);
    list(&mut page, "Doubts, and what helps", &season.warnings);
    list(&mut page, "Good to know", &season.notes);
    sources(&mut page, season);
    list(&mut page, "Cautions", &season.cautions);
    page.text
}

/// What counts alone say.
pub(super) fn counts_alone(pest: &SeasonPest, reading: &CountsReading) -> String {
    let mut page = Page::default();
    page.heading(&format!(
        "{} ({}): what the counts mean",
        pest.name, pest.scientific
    ));
    counts(&mut page, reading, pest);
    list(&mut page, "Good to know", &pest.notes);
    list(&mut page, "Cautions", &cautions());
    page.text
}

fn year(season: &Season) -> i16 {
    season.parts.outlook.start.year()
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
        (Some(a), Some(b)) => format!("{} to {}", short(a), short(b)),
        (Some(a), None) => format!("{} or later", short(a)),
        _ => String::new(),
    }
}

fn bottom_line(season: &Season) -> String {
    let mut lines = Vec::new();
    let next = season.events.iter().find(|e| e.status == Status::Forecast);
    let last = season
        .events
        .iter()
        .rev()
        .find(|e| e.status == Status::Passed);
    if let Some((event, [Some(date), ..])) = last.map(|e| (e, e.days)) {
        lines.push(format!("Reached: {} on {}.", event.name, short(date)));
    }
    if let Some((event, [Some(date), from, to])) = next.map(|e| (e, e.days)) {
        lines.push(format!(
            "Next: {} near {} ({}).",
            event.name,
            short(date),
            range(from, to)
        ));
    } else if let Some(event) = season
        .events
        .iter()
        .find(|e| e.status == Status::NotReached)
    {
        lines.push(format!(
            "Not reached by {}: {} ({:.0} of {:.0} {}).",
            iso_short(&season.last_day),
            event.name,
            season.cumulative,
            event.degree_days,
            season.unit.degree_days()
        ));
    }
    if lines.is_empty() {
        lines.push("No event date can be given yet. The reasons stand below.".into());
    }
    lines.join(" ")
}

fn degree_days(page: &mut Page, season: &Season) {
    page.heading("Degree-days so far");
    page.add(
        "  ",
        &format!(
            "{} from {} to {}, both days counted.",
            DegreeDays::from_scale(season.cumulative, season.unit).words(season.unit),
            iso_short(&season.start),
            iso_short(&season.last_day)
        ),
    );
    page.add(
        "  Method: ",
        &format!("{}. Source: {}.", season.method, season.method_source),
    );
    page.add(
        "  Start: ",
        &format!("{} ({}).", iso_short(&season.start), season.start_reason),
    );
    if let Some(biofix) = &season.biofix
        && biofix.date != season.start
    {
        page.add(
            "  ",
            &format!(
                "By {}, the flight began near {}. This table does not count from there.",
                biofix.rule.split(" (").next().unwrap_or(""),
                iso_short(&biofix.date)
            ),
        );
    } else if let Some(biofix) = &season.biofix {
        if biofix.earliest != biofix.date {
            page.add(
                "  ",
                &format!(
                    "The biofix may have been as early as {}.",
                    iso_short(&biofix.earliest)
                ),
            );
        }
        for note in &biofix.notes {
            page.add("  ", &sentence(note));
        }
    }
    if let Some(forecast) = &season.forecast {
        page.add("  Beyond the data: ", &sentence(&forecast.how));
    }
}

fn events(page: &mut Page, season: &Season) {
    if season.events.is_empty() {
        return;
    }
    page.heading(&format!(
        "When ({})",
        season
            .table
            .clone()
            .unwrap_or_else(|| "your own events".into())
    ));
    page.line(&format!(
        "  {:<7} {:<22} {:>13}  {:<9} {}",
        "likely",
        "range",
        season.unit.degree_days(),
        "",
        "what"
    ));
    for event in &season.events {
        let [date, from, to] = event.days;
        let status = match event.status {
            Status::Passed => "passed",
            Status::Forecast => "forecast",
            Status::NotReached => "not yet",
        };
        let first = format!(
            "  {:<7} {:<22} {:>13.0}  {:<9} ",
            date.map_or("-".into(), short),
            range(from, to),
            event.degree_days,
            status
        );
        page.add(&first, &event.name);
    }
    page.add("  ", "Degree-days count from the start. Ranges join the doubt in the number with the spread of the years.");
}

fn flight(page: &mut Page, season: &Season) {
    let Some(flight) = &season.flight else { return };
    let (Some(first), Some(peak), Some(last)) = (&flight.first, &flight.peak, &flight.last) else {
        return;
    };
    page.heading("Flight");
    let short = &season.parts.pest.short;
    page.add(
        "  ",
        &format!(
            "Most {short} are about near {}. From {} to {}, at least 5 for each 100 of that day are about.",
            iso_short(peak),
            iso_short(&first[1]),
            iso_short(&last[1])
        ),
    );
    page.add(
        "  ",
        &format!(
            "That time may begin between {} and {}, and end between {} and {}.",
            iso_short(&first[0]),
            iso_short(&first[2]),
            iso_short(&last[0]),
            iso_short(&last[2])
        ),
    );
    let before = season
        .first_adults()
        .filter(|first_of_all| day::read_iso(&first[1]).is_ok_and(|from| *first_of_all < from));
    let ends = match before {
        Some(first_of_all) => format!(
            "The very first {short} come before, near {}. A few fly after the end.",
            self::short(first_of_all)
        ),
        None => format!("A few {short} may fly before and after."),
    };
    page.add("  ", &ends);
    if season.peak_differs() {
        page.add(
            "  ",
            "The table's days for the most come from its sums. The busiest day comes from our own curve, so it may differ.",
        );
    }
    if let Some(window) = &season.window {
        page.add(
            "  ",
            &format!(
                "Busiest {} days: from {}. Their day weights are in season.json.",
                window.days,
                iso_short(&window.first_day)
            ),
        );
    }
}

fn to_do(page: &mut Page, season: &Season) {
    if season.calendar.is_empty() {
        return;
    }
    page.heading("What to do");
    for entry in &season.calendar {
        let days = range(Some(entry.from_day), Some(entry.to_day));
        page.add(
            &format!("  {days:<17} {:<13} ", entry.action),
            &format!("{}.", entry.what),
        );
        let best = if entry.from_day == entry.to_day
            || ["check", "empty"].contains(&entry.action.as_str())
        {
            String::new()
        } else {
            format!("Best: {}. ", iso_short(&entry.date))
        };
        page.add(
            &" ".repeat(34),
            &format!("{best}{}", sentence(&entry.reason)),
        );
    }
    if let Some(bloom) = &season.bloom {
        page.add(
            "  ",
            &format!(
                "Bloom of {}: first flower {} to {}, last {} to {}. {}",
                bloom.crop,
                iso_short(&bloom.first[0]),
                iso_short(&bloom.first[1]),
                iso_short(&bloom.last[0]),
                iso_short(&bloom.last[1]),
                if bloom.needs_bees {
                    "It needs bees."
                } else {
                    "It does not need bees to set fruit."
                }
            ),
        );
    }
}

fn upkeep(page: &mut Page, season: &Season) {
    let upkeep = &season.upkeep;
    page.heading("Upkeep");
    let [low, _, high] = upkeep.lure_life_d;
    page.add(
        "  ",
        &format!("A lure lasts about {low:.0} to {high:.0} mild days. Heat shortens that."),
    );
    if upkeep.visits > 0 {
        page.add(
            "  ",
            &format!(
                "One trap asks for {} visits, about {:.0} to {:.0} minutes in all.",
                upkeep.visits, upkeep.minutes[0], upkeep.minutes[2]
            ),
        );
    }
    if let Some(capacity) = upkeep.capacity {
        page.add(
            "  ",
            &format!("The trap is full at about {} insects:", thousands(capacity)),
        );
        for row in &upkeep.fill {
            let days = if row.days_to_full >= 100.0 {
                "over 100".into()
            } else {
                number(row.days_to_full)
            };
            page.line(&format!(
                "    at {:>6} a day it is full in {days} days",
                thousands(row.per_day)
            ));
        }
    }
}

fn wind(page: &mut Page, season: &Season) {
    let Some(rose) = &season.wind_rose else {
        return;
    };
    if rose.valid == 0 {
        return;
    }
    page.heading("Wind");
    let mut order: Vec<_> = rose.sectors.iter().collect();
    order.sort_by_key(|s| std::cmp::Reverse(s.hours));
    let top: Vec<String> = order
        .iter()
        .take(3)
        .map(|s| format!("{} {:.0}", s.name, 100.0 * s.share))
        .collect();
    page.add(
        "  ",
        &format!("It comes most from (hours of 100): {}.", top.join(", ")),
    );
    page.add(
        "  ",
        &format!(
            "Calm: {:.0} of 100 hours. No steady side: {:.0}. Mean speed {:.0} mph ({:.1} m/s).",
            100.0 * rose.calm_share,
            100.0 * rose.variable_share,
            rose.mean_speed_m_per_s / M_PER_S_PER_MPH,
            rose.mean_speed_m_per_s
        ),
    );
    page.add(
        "  ",
        "Stations stand in the open, 33 ft (10 m) up. Your yard has less wind.",
    );
}

fn understood(page: &mut Page, season: &Season) {
    let weather = &season.weather;
    page.heading("What was read");
    page.add(
        "  ",
        &format!(
            "{}: {} rows, {} days, {} to {}.",
            weather.file, weather.rows, weather.days, weather.first_day, weather.last_day
        ),
    );
    page.add(
        "  ",
        &format!(
            "Unit: {}. {}.",
            weather.unit,
            capital(&weather.columns.join("; "))
        ),
    );
    let notes = weather.wild.iter().chain(&weather.notes);
    for note in notes.chain(&season.missing_days) {
        page.add("  - ", &sentence(note));
    }
}

fn sources(page: &mut Page, season: &Season) {
    page.heading(&format!(
        "Sources (weakest: {})",
        grade_word(season.weakest_grade)
    ));
    let mut seen: Vec<String> = Vec::new();
    let mut all = vec![
        format!("method: {}", season.method_source),
        format!(
            "thresholds: {} ({})",
            season.thresholds.source,
            grade_word(season.thresholds.grade)
        ),
    ];
    all.extend(
        season
            .events
            .iter()
            .map(|e| format!("dates: {} ({})", e.source, grade_word(e.grade))),
    );
    if let Some(flight) = &season.flight {
        all.extend(flight.generations.iter().flat_map(|g| {
            [
                format!("flight: {}", g.start_source),
                format!("flight: {}", g.middle_source),
            ]
        }));
    }
    all.extend(
        season
            .calendar
            .iter()
            .filter(|e| e.action != "look")
            .map(|e| format!("{}: {} ({})", e.action, e.source, grade_word(e.grade))),
    );
    if season.counts.captured_share.is_some() {
        all.push(format!(
            "share caught: {}",
            season.counts.captured_share_source
        ));
    }
    for source in all {
        if !seen.contains(&source) {
            page.add("  - ", &source);
            seen.push(source);
        }
    }
    page.add("  ", "Every number stands with its source in season.json.");
}

fn list(page: &mut Page, title: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    page.heading(title);
    for item in items {
        page.add("  - ", &sentence(item));
    }
}
