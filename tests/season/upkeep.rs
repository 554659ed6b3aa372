//! Lures age with heat; traps fill; visits take minutes. And the pictures hold what they say.

use jiff::civil::Date;
use lurefield::catalogue::season::season;
use lurefield::season::biofix::BiofixRule;
use lurefield::season::calendar::Action;
use lurefield::season::question::{BloomChoice, Question, answer};
use lurefield::season::upkeep::{DailyMeans, fill_table, plan, replace_by};
use lurefield::weather::day::{days_between, plus};

const FIRST: Date = Date::constant(2014, 5, 1);

fn means(c: f64) -> DailyMeans {
    DailyMeans {
        first: FIRST,
        means_c: vec![c; 400],
    }
}

#[test]
fn a_lure_lasts_its_life_at_the_reference_and_half_as_long_ten_degrees_warmer() {
    let days = |c: f64| days_between(FIRST, replace_by(&means(c), FIRST, 30.0, 2.0, 20.0));
    assert_eq!((days(20.0), days(30.0), days(10.0)), (30, 15, 60));
    // Beyond the record it ages at the reference speed, and a frozen lure does not loop for ever.
    let short = DailyMeans {
        first: FIRST,
        means_c: vec![],
    };
    assert_eq!(
        days_between(FIRST, replace_by(&short, FIRST, 30.0, 2.0, 20.0)),
        30
    );
    assert_eq!(
        days_between(
            FIRST,
            replace_by(
                &DailyMeans {
                    first: FIRST,
                    means_c: vec![-300.0; 9999]
                },
                FIRST,
                30.0,
                2.0,
                20.0
            )
        ),
        730
    );
}

#[test]
fn a_bucket_fills_in_two_days_at_the_highest_rate() {
    // Althoff & Rice 2022: 3,500 beetles, in as little as 2 days, so about 1,750 a day.
    let table = fill_table(3500.0, &[875.0]);
    let days = |rate: f64| {
        table
            .iter()
            .find(|r| r.per_day == rate)
            .unwrap()
            .days_to_full
    };
    assert_eq!((days(1750.0), days(875.0), days(100.0)), (2.0, 4.0, 35.0));
    assert!(
        table
            .windows(2)
            .all(|pair| pair[0].days_to_full >= pair[1].days_to_full)
    );
    assert_eq!(table.last().unwrap().full_days_a_week, 5.0);
}

#[test]
fn visits_and_minutes_follow_the_span() {
    let entry = season("japanese-beetle").unwrap().upkeep;
    let upkeep = plan(&entry, &means(20.0), Some((FIRST, plus(FIRST, 70))), &[]);
    assert_eq!(upkeep.visits, 10);
    assert_eq!(upkeep.minutes, [20.0, 50.0, 100.0]);
    assert_eq!(
        upkeep.lures.len(),
        3,
        "31.5 days of life: hung on day 0, 32 and 64"
    );
    assert!(
        upkeep
            .lures
            .iter()
            .all(|l| l.days[1] <= l.days[0] && l.days[0] <= l.days[2])
    );
}

fn question() -> Question {
    Question {
        biofix: BiofixRule::On(Date::constant(2014, 5, 5)),
        ..crate::question("codling-moth")
    }
}

/// The question with an apple that blooms on these days.
fn with_bloom(first: Date, last: Date) -> Question {
    let entry = lurefield::catalogue::season::bloom()["apple"].clone();
    Question {
        bloom: Some(BloomChoice::Own(entry, first, last)),
        ..question()
    }
}

#[test]
fn no_cover_stands_over_a_crop_that_needs_bees_in_bloom() {
    let windows = [
        (Date::constant(2014, 4, 10), Date::constant(2014, 4, 25)),
        (Date::constant(2014, 5, 1), Date::constant(2014, 5, 20)),
        (Date::constant(2014, 6, 10), Date::constant(2014, 6, 25)),
        (Date::constant(2014, 12, 20), Date::constant(2014, 12, 28)),
    ];
    for (first, last) in windows {
        let season = answer(&with_bloom(first, last)).unwrap();
        let covers: Vec<_> = season
            .calendar
            .iter()
            .filter(|e| e.action == Action::Cover)
            .collect();
        assert!(!covers.is_empty(), "{first}");
        for cover in covers {
            let put_on = cover.date;
            assert!(
                put_on < first || put_on > last,
                "covered on {put_on} in bloom {first} to {last}"
            );
        }
        let under_bloom = season
            .calendar
            .iter()
            .any(|e| e.action == Action::Cover && e.from < first)
            && first <= season.calendar.iter().map(|e| e.to).max().unwrap();
        let uncovered = season
            .calendar
            .iter()
            .any(|e| e.action == Action::Uncover && e.from <= first);
        assert!(
            !under_bloom || uncovered,
            "a cover before {first} must come off at bloom"
        );
    }
}

#[test]
fn the_calendar_runs_from_hanging_to_taking_down_and_gives_reasons() {
    let season = answer(&question()).unwrap();
    let day = |action: Action| {
        season
            .calendar
            .iter()
            .find(|e| e.action == action)
            .unwrap()
            .from
    };
    assert!(day(Action::Hang) < Date::constant(2014, 5, 5));
    assert!(day(Action::Hang) <= day(Action::Check) && day(Action::Check) < day(Action::TakeDown));
    assert!(
        season
            .calendar
            .iter()
            .all(|e| !e.reason.is_empty() && !e.source.is_empty())
    );
    assert!(season.calendar.iter().all(|e| e.from <= e.to));
    assert!(
        season
            .calendar
            .windows(2)
            .all(|pair| pair[0].from <= pair[1].from)
    );
    let (pick, end) = (
        season
            .calendar
            .iter()
            .find(|e| e.action == Action::Pick)
            .unwrap(),
        day(Action::TakeDown),
    );
    assert!(pick.to <= end);
}

#[test]
fn nothing_is_planned_for_a_flight_that_is_not_known() {
    let pest = season("colorado-potato-beetle").unwrap();
    let season = answer(&Question { pest, ..question() }).unwrap();
    assert!(season.flight.is_none());
    assert!(season.calendar.iter().all(|e| e.action == Action::Look));
    assert!(season.warnings.iter().any(|w| w.contains("flight")));
    assert!(season.events.iter().all(|e| e.date.is_some()));
}

#[test]
fn pictures_agree_with_the_answer() {
    let season = answer(&with_bloom(
        Date::constant(2014, 5, 1),
        Date::constant(2014, 5, 20),
    ))
    .unwrap();
    let figures = lurefield::figure::season::of_season(&season);
    let names: Vec<&str> = figures.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(names, ["degree-days", "flight", "calendar"]);
    let events = &figures[0].table.rows;
    assert_eq!(events.len(), season.events.len());
    for (row, event) in events.iter().zip(&season.events) {
        assert_eq!(
            (row[1].as_str(), row[3].as_str()),
            (event.name.as_str(), event.date.as_deref().unwrap_or(""))
        );
    }
    for (row, entry) in figures[2].table.rows.iter().zip(&season.calendar) {
        assert_eq!(
            [&row[0], &row[2], &row[4]].map(String::as_str),
            [
                entry.action.words(),
                &entry.from.to_string(),
                &entry.to.to_string()
            ]
        );
    }
    for figure in &figures {
        assert!(figure.svg.contains("role=\"img\"") && figure.svg.contains("<desc"));
        assert!(
            figure
                .table
                .rows
                .iter()
                .all(|row| row.len() == figure.table.header.len())
        );
        assert!(!figure.levels.iter().any(String::is_empty));
    }
}

#[test]
fn an_early_biofix_widens_the_dates() {
    let exact = answer(&question()).unwrap();
    let text = "date_set,date,count\n2014-04-14,2014-04-21,0\n,2014-05-05,2\n,2014-05-12,9\n";
    let counts = lurefield::season::counts::read(
        "n",
        text.as_bytes(),
        &lurefield::season::counts::CountsOptions::default(),
    )
    .unwrap();
    let weekly = answer(&Question {
        counts: Some(counts),
        biofix: BiofixRule::FromCounts,
        ..question()
    })
    .unwrap();
    assert_eq!(weekly.biofix.as_ref().unwrap().date, "2014-05-05");
    for (a, b) in exact.events.iter().zip(&weekly.events) {
        assert_eq!(a.date, b.date);
        assert!(b.days[1].unwrap() < a.days[1].unwrap(), "{}", a.name);
        assert_eq!(a.days[2], b.days[2]);
    }
}

#[test]
fn a_bloom_that_may_have_begun_gives_a_cover_with_a_condition() {
    // The catalogue's range: squash may bloom from 15 June or only from 10 July; moths come in between.
    let squash = lurefield::catalogue::season::bloom()["squash"].clone();
    let asked = Question {
        pest: season("squash-vine-borer").unwrap(),
        bloom: Some(BloomChoice::Catalogue(squash)),
        biofix: BiofixRule::None,
        ..question()
    };
    let season = answer(&asked).unwrap();
    let cover = season
        .calendar
        .iter()
        .find(|e| e.action == Action::Cover)
        .unwrap();
    assert!(
        cover.what.contains("only if no flower is open"),
        "{}",
        cover.what
    );
    // The moths are gone before the last flower, so the cover does not come back and one line says all.
    assert!(
        cover.reason.contains("comes off for good"),
        "{}",
        cover.reason
    );
    assert!(cover.to < Date::constant(2014, 7, 10));
    assert!(!season.calendar.iter().any(|e| e.action == Action::Uncover));
}
