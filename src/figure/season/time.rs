//! An axis of days.

use crate::figure::canvas::{Canvas, Pen};
use crate::figure::chart::GRID;
use crate::figure::palette::{INK, QUIET};
use crate::weather::day::{days_between, month_name, plus};
use jiff::civil::Date;

/// Days along a width.
#[derive(Clone, Copy, Debug)]
pub(super) struct Days {
    pub(super) first: Date,
    pub(super) last: Date,
    pub(super) left: f64,
    pub(super) right: f64,
}

impl Days {
    /// Place of a day; days outside stick to the ends.
    pub(super) fn x(&self, date: Date) -> f64 {
        let all = days_between(self.first, self.last).max(1) as f64;
        let share = days_between(self.first, date) as f64 / all;
        self.left + (self.right - self.left) * share.clamp(0.0, 1.0)
    }

    /// Whether a day lies on the axis.
    pub(super) fn holds(&self, date: Date) -> bool {
        self.first <= date && date <= self.last
    }

    /// Month lines from `top` to `bottom` with names below.
    pub(super) fn draw(&self, canvas: &Canvas<'_>, top: f64, bottom: f64) {
        canvas.line(&[(self.left, bottom), (self.right, bottom)], 3, INK);
        let mut month = self.first.first_of_month();
        while month <= self.last {
            let next = plus(month.last_of_month(), 1);
            if self.holds(month) {
                let x = self.x(month);
                canvas.line(&[(x, top), (x, bottom)], 2, GRID);
                canvas.line(&[(x, bottom), (x, bottom + 14.0)], 3, INK);
            }
            let (a, b) = (self.x(month.max(self.first)), self.x(next.min(self.last)));
            // A month that is cut short has no room for its name.
            if b - a > 80.0 {
                let (at, name) = ((0.5 * (a + b), bottom + 40.0), month_name(month.month()));
                canvas.text(at, name, Pen::SMALL.middle());
            }
            month = next;
        }
    }

    /// A dashed line at the last day of data, with its words.
    pub(super) fn end_of_data(&self, canvas: &Canvas<'_>, date: Date, top: f64, bottom: f64) {
        if !self.holds(date) || date == self.last {
            return;
        }
        let x = self.x(date);
        canvas.dashed((x, top), (x, bottom), 3, QUIET);
        let (pen, words) = (
            Pen::SMALL.coloured(QUIET),
            crate::say::say!("figure.season.data-end"),
        );
        let (x, pen) = if x > self.right - 400.0 {
            (x - 12.0, pen.end())
        } else {
            (x + 12.0, pen)
        };
        canvas.text((x, top + 76.0), &words, pen);
    }
}
