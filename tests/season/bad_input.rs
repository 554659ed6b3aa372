//! Wrong input ends with exit code 2, and says where, what and how to mend it.

use crate::command::{folder, season, stderr};
use std::io::Write;

/// Runs with one daily file of this text; returns the message.
fn refused(text: &str, more: &[&str]) -> String {
    let dir = folder();
    std::fs::write(dir.path().join("w.csv"), text).unwrap();
    let output = season(
        dir.path(),
        &[&["--pest", "codling-moth", "--daily", "w.csv"], more].concat(),
    );
    let message = stderr(&output);
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(output.stdout.is_empty());
    assert!(!message.contains("panicked"), "{message}");
    message
}

fn says(message: &str, parts: &[&str]) {
    for part in parts {
        assert!(message.contains(part), "`{part}` is missing in: {message}");
    }
}

const HEAD: &str = "date,tmin_f,tmax_f\n";

#[test]
fn empty_files_and_bare_headers_are_refused() {
    says(&refused("", &[]), &["w.csv", "empty"]);
    says(&refused("\n\n# only a note\n", &[]), &["empty"]);
    says(&refused(HEAD, &[]), &["no rows of data"]);
    says(&refused(",,\n", &[]), &["line 1", "no column for"]);
}

#[test]
fn unknown_columns_are_named() {
    says(
        &refused("when,hot,cold\n2014-01-01,50,40\n", &[]),
        &["line 1", "`when`, `hot`, `cold`", "tmax_f"],
    );
}

#[test]
fn dates_twice_or_out_of_order_are_refused_with_their_lines() {
    let twice = format!("{HEAD}2014-01-01,30,40\n2014-01-02,30,40\n2014-01-02,31,41\n");
    says(&refused(&twice, &[]), &["line 4", "twice", "line 3"]);
    let unsorted = format!("{HEAD}2014-01-02,30,40\n2014-01-01,30,40\n");
    says(&refused(&unsorted, &[]), &["line 3", "sort"]);
}

#[test]
fn lines_are_counted_past_comments_blanks_and_line_ends() {
    let text = "# my station\r\n\r\ndate,tmin_f,tmax_f\r\n2014-01-01,30,40\r\n\r\n# a note\r\n2014-01-02,30,x\r\n";
    says(&refused(text, &[]), &["line 7", "`x` is no number"]);
}

#[test]
fn days_that_do_not_exist_are_refused() {
    says(
        &refused(&format!("{HEAD}2013-02-29,30,40\n"), &[]),
        &["line 2", "29 February in 2013"],
    );
    says(
        &refused(&format!("{HEAD}2013-04-31,30,40\n"), &[]),
        &["line 2", "day 31 of month 4"],
    );
    says(
        &refused(&format!("{HEAD}soon,30,40\n"), &[]),
        &["line 2", "2014-05-08"],
    );
}

#[test]
fn dates_that_can_be_read_two_ways_are_refused() {
    says(
        &refused(&format!("{HEAD}1/2/2014,30,40\n2/2/2014,30,40\n"), &[]),
        &["month/day or day/month"],
    );
    says(
        &refused(&format!("{HEAD}1/13/2014,30,40\n14/1/2014,30,40\n"), &[]),
        &["line 3", "line 2"],
    );
}

#[test]
fn a_maximum_below_its_minimum_is_refused() {
    says(
        &refused(&format!("{HEAD}2014-01-01,45,40\n"), &[]),
        &["line 2", "maximum 40 is below the minimum 45"],
    );
}

#[test]
fn impossible_temperatures_are_refused() {
    says(
        &refused(&format!("{HEAD}2014-01-01,30,171\n"), &[]),
        &["line 2", "171", "impossible"],
    );
    says(
        &refused("date,tmin_c,tmax_c\n2014-07-01,60,86\n", &[]),
        &["line 2", "impossible"],
    );
    says(
        &refused(&format!("{HEAD}2014-01-01,30,inf\n"), &[]),
        &["line 2", "no number"],
    );
}

#[test]
fn a_change_of_unit_within_the_file_is_refused() {
    let mut text = String::from("date,tmin_f,tmax_f\n");
    for day in 1..=31 {
        text.push_str(&format!(
            "2014-05-{day:02},{},{}\n",
            50 + day % 5,
            70 + day % 7
        ));
    }
    for day in 1..=30 {
        text.push_str(&format!(
            "2014-06-{day:02},{},{}\n",
            12 + day % 3,
            24 + day % 4
        ));
    }
    says(
        &refused(&text, &["--start", "05-01"]),
        &["line 33", "unit changed", "--accept-jumps"],
    );
    says(
        &refused("date,tmin_f,tmax_c\n2014-05-01,50,20\n", &[]),
        &["line 1", "bring both into one unit"],
    );
}

#[test]
fn a_unit_that_cannot_be_told_is_asked_for() {
    let text = "date,tmin,tmax\n2014-01-01,30,40\n2014-01-02,31,41\n";
    says(&refused(text, &[]), &["--unit"]);
    says(
        &refused(
            "date,tmin_tenths_c,tmax_tenths_c\n2014-01-01,30,40\n",
            &["--unit", "f"],
        ),
        &["--unit says"],
    );
}

#[test]
fn gaps_too_long_to_fill_are_refused() {
    let text = format!("{HEAD}2014-01-01,30,40\n2014-01-02,30,40\n2014-01-20,30,40\n");
    says(
        &refused(&text, &[]),
        &["no data from 2014-01-03 to 2014-01-19", "--normal"],
    );
    says(
        &refused(&format!("{HEAD}2014-03-01,30,40\n"), &[]),
        &["no day before 2014-03-01", "--start"],
    );
}

#[test]
fn a_line_without_end_is_refused_without_loading_it() {
    let dir = folder();
    let path = dir.path().join("w.csv");
    let mut file = std::fs::File::create(&path).unwrap();
    file.write_all(b"date,tmin_f,tmax_f\n2014-01-01,30,40\n")
        .unwrap();
    // A hole of 5 GB: the file system stores nothing, a reader sees zero bytes without a line end.
    file.set_len(5 << 30).unwrap();
    let output = season(dir.path(), &["--pest", "codling-moth", "--daily", "w.csv"]);
    assert_eq!(output.status.code(), Some(2));
    says(&stderr(&output), &["line 3", "longer than 65536"]);
}

#[test]
fn an_open_quote_is_refused_on_its_line() {
    says(
        &refused(
            &format!("{HEAD}2014-01-01,30,\"40\n2014-01-02,30,40\n"),
            &[],
        ),
        &["line 2", "quote"],
    );
}

#[test]
fn files_that_are_no_tables_are_refused() {
    says(&refused("\u{0}\u{1}\u{2}PNG\n", &[]), &["no text file"]);
    let dir = folder();
    let output = season(
        dir.path(),
        &["--pest", "codling-moth", "--daily", "nowhere.csv"],
    );
    assert_eq!(output.status.code(), Some(2));
    says(&stderr(&output), &["nowhere.csv", "no such file"]);
    let output = season(dir.path(), &["--pest", "codling-moth", "--daily", "."]);
    assert_eq!(output.status.code(), Some(2));
    says(&stderr(&output), &["folder"]);
}

#[test]
fn pests_are_asked_for_and_near_names_offered() {
    let dir = folder();
    let cases: [(&[&str], &[&str]); 8] = [
        (&["--data", "seattle"], &["--pest", "codling-moth"]),
        (
            &["--pest", "codlin-moth", "--data", "seattle"],
            &["did you mean `codling-moth`"],
        ),
        (
            &["--pest", "gray-field-slug", "--data", "seattle"],
            &["no published table", "custom"],
        ),
        (&["--pest", "custom", "--data", "seattle"], &["--lower"]),
        (&["--pest", "codling-moth"], &["no weather"]),
        (
            &["--pest", "codling-moth", "--data", "seatle"],
            &["did you mean `seattle`"],
        ),
        (
            &[
                "--pest",
                "codling-moth",
                "--data",
                "seattle",
                "--method",
                "cosine",
            ],
            &["unknown method", "sine"],
        ),
        (
            &[
                "--pest",
                "codling-moth",
                "--data",
                "seattle",
                "--crop",
                "aple",
            ],
            &["did you mean `apple`"],
        ),
    ];
    for (args, parts) in cases {
        let output = season(dir.path(), args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        says(&stderr(&output), parts);
    }
}

#[test]
fn questions_that_make_no_sense_are_refused() {
    let dir = folder();
    let cases: [(&[&str], &str); 12] = [
        (&["--lower", "90", "--upper", "50"], "above the lower"),
        (&["--cutoff", "sideways"], "unknown cutoff"),
        (&["--start", "13-45"], "--start"),
        (&["--start", "02-30"], "no day 30"),
        (&["--biofix", "2013-05-01"], "outside the season's year"),
        (&["--biofix", "three-days"], "needs trap counts"),
        (
            &["--biofix", "2014-05-01", "--start", "2014-02-01"],
            "--start cannot be given",
        ),
        (&["--until", "2011-01-01"], "no day in the time"),
        (&["--event", "=5"], "NAME=DEGREE-DAYS"),
        (&["--share", "7"], "between 0 and 1"),
        (&["--table", "biofix"], "Give that day with --biofix"),
        (&["--window-start", "2020-01-01"], "not covered"),
    ];
    for (args, part) in cases {
        let output = season(
            dir.path(),
            &[
                &["--pest", "codling-moth", "--data", "seattle", "--json"],
                args,
            ]
            .concat(),
        );
        assert_eq!(
            output.status.code(),
            Some(2),
            "{args:?} {}",
            stderr(&output)
        );
        says(&stderr(&output), &[part]);
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn hourly_faults_are_refused() {
    let dir = folder();
    let cases = [
        ("time,temp_f\n2014-01-01T01:00Z,40\n", "--utc-offset"),
        (
            "time,temp_f\n2014-01-01T02:00,40\n2014-01-01T01:00,40\n",
            "earlier than on line 2",
        ),
        (
            "time,temp_f\n2014-01-01T02:00,40\n2014-01-01T02:00,40\n",
            "stands twice",
        ),
        ("time,temp_f\n2014-01-01T25:00,40\n", "no such hour"),
        ("time,temp_f\nnoon,40\n", "no time"),
        ("time,temp\n2014-01-01T02:00,40\n", "unit of `temp`"),
        (
            "time,temp_f,wind_speed\n2014-01-01T02:00,40,3\n",
            "unit of `wind_speed`",
        ),
        (
            "time,temp_f,wind_dir,wind_mph\n2014-01-01T02:00,40,400,3\n",
            "outside 0 to 360",
        ),
        ("time,temp_f\n2014-01-01T02:00,40\n", "no day has 18 hours"),
        ("time,temp_f\n", "no rows"),
    ];
    for (text, part) in cases {
        std::fs::write(dir.path().join("h.csv"), text).unwrap();
        let output = season(dir.path(), &["--pest", "codling-moth", "--hourly", "h.csv"]);
        assert_eq!(output.status.code(), Some(2), "{text}");
        says(&stderr(&output), &[part]);
    }
}

#[test]
fn notebook_faults_are_refused_with_their_lines() {
    let dir = folder();
    let cases = [
        ("date,count\n", "no counts"),
        ("when,how many\n2014-05-01,3\n", "`when`, `how many`"),
        (
            "date,count\n2014-05-01,-3\n",
            "line 2: the count -3 is below 0",
        ),
        (
            "date,count\n2014-05-01,2.5\n",
            "line 2: `2.5` is no whole number",
        ),
        (
            "date,count\n2014-05-01,2\n2014-05-01,3\n",
            "line 3: trap `trap` has 2014-05-01 twice",
        ),
        ("date,count\n2014-05-08,2\n2014-05-01,3\n", "line 3"),
        (
            "date,count,species\n2014-05-08,2,a\n2014-05-09,3,b\n",
            "--species",
        ),
        (
            "date_set,date_checked,count\n2014-05-08,2014-05-01,2\n",
            "set after it was checked",
        ),
    ];
    for (text, part) in cases {
        std::fs::write(dir.path().join("c.csv"), text).unwrap();
        let output = season(dir.path(), &["--pest", "codling-moth", "--counts", "c.csv"]);
        assert_eq!(output.status.code(), Some(2), "{text}");
        says(&stderr(&output), &[part]);
    }
    std::fs::write(
        dir.path().join("c.csv"),
        "date,count\n2014-05-01,9\n2014-05-08,3\n",
    )
    .unwrap();
    let output = season(
        dir.path(),
        &[
            "--pest",
            "codling-moth",
            "--counts",
            "c.csv",
            "--counts-are",
            "total",
        ],
    );
    says(&stderr(&output), &["running total falls from 9 to 3"]);
}

#[test]
fn directions_in_tens_of_degrees_are_noticed() {
    let mut text = String::from("time,temp_f,wind_dir,wind_mph\n");
    for hour in 0..24 * 30 {
        let (day, hour) = (1 + hour / 24, hour % 24);
        text.push_str(&format!(
            "2014-06-{day:02}T{hour:02}:00,70,{},5\n",
            (day * hour) % 37
        ));
    }
    let dir = folder();
    std::fs::write(dir.path().join("h.csv"), text).unwrap();
    let output = season(dir.path(), &["--pest", "codling-moth", "--hourly", "h.csv"]);
    assert_eq!(output.status.code(), Some(2));
    says(
        &stderr(&output),
        &["tens of degrees", "multiply them by 10"],
    );
}
