//! Beyond the data: other years stand in, gaps are filled and said, ranges come from years and from the sums.

use jiff::civil::Date;
use lurefield::catalogue::season::SEATTLE;
use lurefield::season::degree_day::{Cutoff, Method, Rule};
use lurefield::season::forecast::{Outlook, Status};
use lurefield::season::series::{as_in_year, contiguous};
use lurefield::weather::daily::{ReadOptions, Record, read_daily};
use lurefield::weather::day::{days_between, in_year, plus};
use lurefield::weather::{DegreeDays, Temperature};

fn seattle() -> Record {
    read_daily("seattle", SEATTLE.as_bytes(), &ReadOptions::default()).unwrap()
}

fn moth() -> Rule {
    let f = Temperature::from_f;
    Rule::new(Method::Sine, f(50.0), Some(f(88.0)), Cutoff::Horizontal).unwrap()
}

/// 2013 up to the end of May, then as in the years given.
fn outlook(years: &[i16]) -> Outlook {
    let record = seattle();
    let last = Date::constant(2013, 5, 31);
    let observed = contiguous(&record, Date::constant(2013, 1, 1), last, &[])
        .unwrap()
        .days;
    let end = Date::constant(2013, 12, 31);
    let futures: Vec<_> = years
        .iter()
        .map(|y| (*y, as_in_year(&record, *y, last, end).unwrap()))
        .collect();
    Outlook::build(&moth(), &observed, &futures)
}

#[test]
fn a_forecast_with_the_true_year_gives_the_true_day() {
    // weather-checks.json, seattle-2013: 1000 passed on 7 July. The outlook is fed the same year's later weather.
    let at = DegreeDays::from_f(1000.0);
    let when = outlook(&[2013]).when(at, at, at);
    assert_eq!(
        (when.status, when.date),
        (Status::Forecast, Some(Date::constant(2013, 7, 7)))
    );
}

#[test]
fn ranges_hold_every_year_and_the_range_of_the_sum() {
    let all = outlook(&[2012, 2013, 2014]);
    let at = DegreeDays::from_f(1000.0);
    let (low, high) = (DegreeDays::from_f(900.0), DegreeDays::from_f(1100.0));
    let when = all.when(at, low, high);
    for year in [2012, 2013, 2014] {
        let alone = outlook(&[year]).when(at, at, at).date.unwrap();
        assert!(
            when.earliest.unwrap() <= alone && alone <= when.latest.unwrap(),
            "{year}"
        );
    }
    let narrow = all.when(at, at, at);
    assert!(when.earliest <= narrow.earliest && narrow.latest <= when.latest);
    assert_eq!(narrow.years_reached, 3);
}

#[test]
fn an_event_in_the_data_stays_whatever_the_years_bring() {
    // 250 passed on 8 May 2013 (weather-checks.json).
    let at = DegreeDays::from_f(250.0);
    for years in [&[2012][..], &[2014], &[2012, 2014], &[]] {
        let when = outlook(years).when(at, at, at);
        assert_eq!(
            (when.status, when.date),
            (Status::Passed, Some(Date::constant(2013, 5, 8)))
        );
        assert_eq!((when.earliest, when.latest), (when.date, when.date));
    }
}

#[test]
fn a_sum_out_of_reach_has_no_date() {
    let at = DegreeDays::from_f(9000.0);
    let when = outlook(&[2012, 2014]).when(at, at, at);
    assert_eq!(
        (when.status, when.date, when.latest, when.years_reached),
        (Status::NotReached, None, None, 0)
    );
    let alone = outlook(&[]).when(
        DegreeDays::from_f(1000.0),
        DegreeDays::from_f(900.0),
        DegreeDays::from_f(1100.0),
    );
    assert_eq!(alone.status, Status::NotReached);
}

/// A record of Seattle 2013 without some days.
fn with_gap(first: Date, days: i64) -> Record {
    let mut record = seattle();
    record
        .days
        .retain(|d| d.date.year() == 2013 && !(0..days).contains(&days_between(first, d.date)));
    record
}

#[test]
fn short_gaps_become_straight_lines_and_are_said() {
    let record = with_gap(Date::constant(2013, 4, 10), 3);
    let filled = contiguous(
        &record,
        Date::constant(2013, 1, 1),
        Date::constant(2013, 12, 31),
        &[],
    )
    .unwrap();
    assert_eq!(filled.days.len(), 365);
    assert_eq!(filled.filled.len(), 3);
    assert!(
        filled.notes[0].contains("2013-04-10 to 2013-04-12"),
        "{:?}",
        filled.notes
    );
    let at = |d: i8| {
        filled
            .days
            .iter()
            .find(|day| day.date == Date::constant(2013, 4, d))
            .unwrap()
            .tmax
            .c()
    };
    assert!(
        (at(11) - 0.5 * (at(9) + at(13))).abs() < 1e-12,
        "the middle of three lies halfway"
    );
}

#[test]
fn long_gaps_take_the_mean_of_other_years() {
    let record = with_gap(Date::constant(2013, 4, 10), 20);
    let (from, to) = (Date::constant(2013, 1, 1), Date::constant(2013, 12, 31));
    assert!(contiguous(&record, from, to, &[]).is_err());
    let mut others = seattle();
    others.days.retain(|d| d.date.year() != 2013);
    let filled = contiguous(&record, from, to, &[&others]).unwrap();
    let day = Date::constant(2013, 4, 20);
    let of = |record: &Record, date: Date| {
        record
            .days
            .iter()
            .find(|d| d.date == date)
            .unwrap()
            .tmin
            .c()
    };
    let want = 0.5 * (of(&others, in_year(day, 2012)) + of(&others, in_year(day, 2014)));
    let got = filled.days.iter().find(|d| d.date == day).unwrap().tmin.c();
    assert!((got - want).abs() < 1e-12);
}

#[test]
fn leap_days_do_not_shift_the_calendar() {
    let record = seattle();
    // 2012 is a leap year: its 1 March must stand for 1 March 2013, and 2014's 28 February for 29 February 2012.
    let into_common = as_in_year(
        &record,
        2012,
        Date::constant(2013, 2, 27),
        Date::constant(2013, 12, 31),
    )
    .unwrap();
    let march = record
        .days
        .iter()
        .find(|d| d.date == Date::constant(2012, 3, 1))
        .unwrap();
    assert_eq!(
        (into_common[1].date, into_common[1].tmin),
        (Date::constant(2013, 3, 1), march.tmin)
    );
    let into_leap = as_in_year(
        &record,
        2014,
        Date::constant(2012, 2, 28),
        Date::constant(2012, 12, 31),
    )
    .unwrap();
    let february = record
        .days
        .iter()
        .find(|d| d.date == Date::constant(2014, 2, 28))
        .unwrap();
    assert_eq!(
        (into_leap[0].date, into_leap[0].tmin),
        (Date::constant(2012, 2, 29), february.tmin)
    );
    assert_eq!(into_leap.last().unwrap().date, Date::constant(2012, 12, 31));
}

#[test]
fn incomplete_years_are_not_used() {
    let record = with_gap(Date::constant(2013, 8, 1), 10);
    assert!(
        as_in_year(
            &record,
            2013,
            Date::constant(2014, 5, 31),
            Date::constant(2014, 12, 31)
        )
        .is_none()
    );
    assert!(
        as_in_year(
            &record,
            2013,
            Date::constant(2014, 8, 31),
            Date::constant(2014, 12, 31)
        )
        .is_some()
    );
}

#[test]
fn days_count_across_months_and_years() {
    assert_eq!(
        days_between(Date::constant(2012, 2, 28), Date::constant(2012, 3, 1)),
        2
    );
    assert_eq!(
        plus(Date::constant(2013, 12, 31), 1),
        Date::constant(2014, 1, 1)
    );
    assert_eq!(
        plus(Date::constant(2014, 1, 1), -1),
        Date::constant(2013, 12, 31)
    );
}
