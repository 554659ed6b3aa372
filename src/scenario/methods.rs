//! The methods of a plan: which fields belong to which method, and their limits.

use super::file::{self, Override};
use super::notes::Notes;
use super::place::member;
use super::{Crop, Owner, Window, change};
use crate::catalogue::{self, Guild, MethodKind, ParameterInfo, Pest};
use crate::control::bags::Bags;
use crate::control::cover::Cover;
use crate::control::hands::Hands;
use crate::control::repellent::Repellent;
use crate::control::trap_crop::TrapCrop;
use crate::control::water::Water;
use crate::control::{Action, Method, times};
use std::collections::BTreeMap;

/// Most methods in a plan.
const MOST_METHODS: usize = 20;
/// Methods a plan may name.
const NAMES: [&str; 6] = [
    "row-cover",
    "fruit-bags",
    "hand-removal",
    "repellent",
    "water-spray",
    "trap-crop",
];

/// Reads the methods of one plan.
pub(crate) fn read(
    list: &[file::Method],
    (pest, window, crops): (&Pest, &Window, &[Crop]),
    (plan, path): (&str, &str),
    notes: &mut Notes,
) -> Vec<Method> {
    if list.len() > MOST_METHODS {
        notes.faults.add(
            path,
            format!("{} methods", list.len()),
            format!("write at most {MOST_METHODS}"),
        );
        return Vec::new();
    }
    let mut out = Vec::new();
    for (i, written) in list.iter().enumerate() {
        let path = format!("{path}[{i}]");
        let mut reader = Reader {
            written,
            plan,
            pest,
            window,
            crops,
            path,
            notes,
        };
        out.extend(reader.method());
    }
    out
}

/// Leak of a net closed tightly all round, and of one with gaps: the ends of what trials found (see the catalogue).
const TIGHT: [f64; 2] = [0.005, 0.03];
const GAPPY: [f64; 2] = [0.1, 0.27];

struct Reader<'a, 'n> {
    written: &'a file::Method,
    plan: &'a str,
    pest: &'a Pest,
    window: &'a Window,
    crops: &'a [Crop],
    path: String,
    notes: &'n mut Notes,
}

impl Reader<'_, '_> {
    fn fault(&mut self, key: &str, what: impl Into<String>, fix: impl Into<String>) {
        self.notes
            .faults
            .add(member(&self.path, key), what.into(), fix.into());
    }

    fn method(&mut self) -> Option<Method> {
        let id = self.written.method.trim();
        let found = NAMES.contains(&id).then(|| catalogue::method(id)).flatten();
        let Some(mut kind) = found else {
            self.notes
                .faults
                .unknown(member(&self.path, "method"), "method", id, &NAMES);
            return None;
        };
        self.change(&mut kind);
        self.close_edges(&mut kind);
        let before = self.notes.faults.len();
        let action = match id {
            "row-cover" => self.cover(),
            "fruit-bags" => Some(self.bags()),
            "hand-removal" => Some(self.hands()),
            "repellent" => self.repellent(),
            "water-spray" => Some(self.water()),
            _ => self.trap_crop(),
        };
        let crops = self.crops(id == "trap-crop");
        if self.notes.faults.len() > before {
            return None;
        }
        let method = Method {
            kind,
            crops: crops?,
            action: action?,
        };
        self.tell_defaults(&method);
        Some(method)
    }

    /// Each number of a method that comes from the catalogue is told once a file.
    fn tell_defaults(&mut self, method: &Method) {
        let taken = format!("numbers of \"{}\" from the catalogue", method.kind.id);
        if self.notes.defaults.iter().any(|d| d.taken == taken) {
            return;
        }
        let source = "each with its range and source; cost and minutes are assumed";
        self.notes.default_used(self.path.clone(), taken, source);
    }

    /// The leak of a net whose edges are closed tightly or leave gaps; a leak that is given wins.
    fn close_edges(&self, kind: &mut MethodKind) {
        let range = match self.written.edges {
            Some(file::Edges::Tight) => TIGHT,
            Some(file::Edges::Gappy) => GAPPY,
            Some(file::Edges::Usual) | None => return,
        };
        if let Some(leak) = kind.values.get_mut("leak")
            && !self.written.values.contains_key("leak")
        {
            (leak.value, leak.range) = ((range[0] * range[1]).sqrt(), Some(range));
        }
    }

    fn change(&mut self, kind: &mut MethodKind) {
        let table: Vec<ParameterInfo> = KEYS
            .iter()
            .filter(|info| kind.values.contains_key(info.key))
            .copied()
            .collect();
        let written: &BTreeMap<String, Override> = &self.written.values;
        for (key, one) in written {
            let slot = kind.values.get_mut(key);
            let path = member(&self.path, "values");
            change::apply((key, one), &table, &path, &mut self.notes.faults, slot);
        }
    }

    /// Fields that mean nothing for this method would be lost in silence.
    fn only(&mut self, allowed: &[&str]) {
        let w = self.written;
        let given = [
            ("mesh_mm", w.mesh_mm.is_some()),
            ("from_day", w.from_day.is_some()),
            ("to_day", w.to_day.is_some()),
            ("open_days", w.open_days.is_some()),
            ("edges", w.edges.is_some()),
            ("share", w.share.is_some()),
            ("times", w.times.is_some()),
            ("days_a_week", w.days_a_week.is_some()),
            ("every", w.every.is_some()),
        ];
        for (key, given) in given {
            if given && !allowed.contains(&key) {
                let what = format!("\"{}\" takes no \"{key}\"", w.method.trim());
                self.fault(
                    key,
                    what,
                    format!("remove it; it takes {}", allowed.join(", ")),
                );
            }
        }
    }

    /// Crops by name; all of the asker's when none is named.
    fn crops(&mut self, trap_crop: bool) -> Option<Vec<usize>> {
        let crops = self.crops;
        let fits = |c: &Crop| c.owner == Owner::Mine && (!trap_crop || c.trap_crop);
        let Some(names) = &self.written.crops else {
            let all: Vec<usize> = (0..crops.len())
                .filter(|i| fits(&crops[*i]) && crops[*i].trap_crop == trap_crop)
                .collect();
            if all.is_empty() {
                let fix = if trap_crop {
                    "add a crop with \"trap_crop\": true"
                } else {
                    "add a crop of your own"
                };
                self.fault("crops", "there is no crop for it", fix);
                return None;
            }
            return Some(all);
        };
        let mut out = Vec::new();
        for (i, name) in names.iter().enumerate() {
            let key = format!("crops[{i}]");
            match crops.iter().position(|c| c.name.trim() == name.trim()) {
                None => {
                    let known: Vec<&str> = crops.iter().map(|c| c.name.as_str()).collect();
                    self.notes
                        .faults
                        .unknown(member(&self.path, &key), "crop", name, &known);
                }
                Some(at) if crops[at].owner != Owner::Mine => {
                    self.fault(
                        &key,
                        format!("\"{name}\" is your neighbour's"),
                        "name a crop of yours",
                    );
                }
                Some(at) if trap_crop && !crops[at].trap_crop => {
                    let what = format!("\"{name}\" is no trap crop");
                    self.fault(&key, what, "write \"trap_crop\": true in that crop");
                }
                Some(at) if out.contains(&at) => {
                    self.fault(&key, format!("\"{name}\" is named twice"), "name it once");
                }
                Some(at) => out.push(at),
            }
        }
        if names.is_empty() {
            self.fault(
                "crops",
                "no crop is named",
                "name a crop, or leave it out for all of yours",
            );
        }
        Some(out)
    }

    /// First day and the day after the last, counted from 0.
    fn days(&mut self) -> Option<(u32, u32)> {
        let all = self.window.days;
        let from = self.written.from_day.unwrap_or(1);
        let to = self.written.to_day.unwrap_or(all);
        if from < 1 || from > all {
            self.fault(
                "from_day",
                format!("day {from} of {all}"),
                format!("write 1 to {all}"),
            );
            return None;
        }
        if to < from || to > all {
            let what = if to < from {
                format!("it ends on day {to}, before it starts on day {from}")
            } else {
                format!("day {to} of {all}")
            };
            self.fault("to_day", what, format!("write {from} to {all}"));
            return None;
        }
        Some((from - 1, to))
    }

    fn hours(&mut self, usual: &[&str], most: usize) -> Vec<f64> {
        let usual: Vec<String> = usual.iter().map(|t| (*t).to_string()).collect();
        let written = self.written.times.clone();
        let list = written.unwrap_or(usual);
        if list.is_empty() || list.len() > most {
            let what = format!("{} times of day", list.len());
            self.fault(
                "times",
                what,
                format!("write 1 to {most} times such as \"19:00\""),
            );
        }
        let mut out: Vec<f64> = Vec::new();
        for (i, text) in list.iter().enumerate() {
            let key = format!("times[{i}]");
            match times::read(text) {
                Ok(hour) if out.contains(&hour) => {
                    self.fault(
                        &key,
                        format!("\"{text}\" is written twice"),
                        "write it once",
                    );
                }
                Ok(hour) => out.push(hour),
                Err(what) => self.fault(&key, what, "write 0:00 to 23:59, for example \"19:00\""),
            }
        }
        out.sort_by(f64::total_cmp);
        out
    }

    fn days_a_week(&mut self) -> u32 {
        let days = self.written.days_a_week.unwrap_or(7);
        if !(1..=7).contains(&days) {
            self.fault("days_a_week", format!("{days} days a week"), "write 1 to 7");
        }
        days
    }

    fn every(&mut self, days: u32) -> u32 {
        if days == 0 || days > 200 {
            self.fault(
                "every",
                format!("every {days} days"),
                "write 1 or more days",
            );
        }
        days.max(1)
    }

    fn cover(&mut self) -> Option<Action> {
        self.only(&["mesh_mm", "from_day", "to_day", "open_days", "edges"]);
        let mesh_mm = self.written.mesh_mm.unwrap_or_else(|| {
            let path = member(&self.path, "mesh_mm");
            self.notes
                .default_used(path, "cloth without holes", "assumed");
            0.0
        });
        if mesh_mm < 0.0 || !mesh_mm.is_finite() {
            let fix = "write the width of a hole in millimetres, 0 for cloth";
            self.fault("mesh_mm", format!("a mesh of {mesh_mm} mm"), fix);
        } else if mesh_mm > 100.0 {
            self.fault(
                "mesh_mm",
                format!("a mesh of {mesh_mm} mm"),
                "write at most 100 mm",
            );
        } else if mesh_mm > 5.0 {
            self.notes.warnings.push(format!(
                "\"{}\": holes of {mesh_mm} mm can trap birds and snakes. Use 5 mm or less.",
                self.plan
            ));
        }
        self.mesh_words(mesh_mm);
        let (from_day, to_day) = self.days()?;
        let open = match self.written.open_days {
            None => None,
            Some([from, to]) => {
                if from < 1 || to < from || to > self.window.days {
                    let what = format!("open from day {from} to day {to}");
                    let fix = format!(
                        "write two days from 1 to {}, the first one first",
                        self.window.days
                    );
                    self.fault("open_days", what, fix);
                }
                Some((from.saturating_sub(1), to))
            }
        };
        Some(Action::Cover(Cover {
            mesh_mm,
            from_day,
            to_day,
            open,
        }))
    }

    /// Says when the mesh may not stop the pest.
    fn mesh_words(&mut self, mesh_mm: f64) {
        let body = &self.pest.values.body_width;
        let [low, high] = body.range.unwrap_or([body.value; 2]);
        if mesh_mm > high {
            self.notes.warnings.push(format!(
                "\"{}\": holes of {mesh_mm} mm let the {} through. It gets through holes wider than {low} to {high} mm.",
                self.plan, self.pest.name
            ));
        } else if mesh_mm > low {
            self.notes.warnings.push(format!(
                "\"{}\": holes of {mesh_mm} mm may let the {} through. It gets through holes wider than {low} to {high} mm.",
                self.plan, self.pest.name
            ));
        }
    }

    fn bags(&mut self) -> Action {
        self.only(&["share"]);
        let share = self.written.share.unwrap_or(1.0);
        if !(0.0..=1.0).contains(&share) {
            self.fault(
                "share",
                format!("a share of {share}"),
                "write 0 to 1; 0.5 is half of the fruit",
            );
        }
        if matches!(self.pest.guild, Guild::Chewer | Guild::Visitor) {
            let what = format!(
                "bags protect fruit, and the {} does not harm fruit",
                self.pest.name
            );
            self.fault("method", what, "use a row cover, or leave it out");
        }
        Action::Bags(Bags { share })
    }

    fn hands(&mut self) -> Action {
        self.only(&["times", "days_a_week"]);
        Action::Hands(Hands {
            hours: self.hours(&["19:00"], 12),
            days_a_week: self.days_a_week(),
        })
    }

    fn water(&mut self) -> Action {
        self.only(&["times", "days_a_week"]);
        Action::Water(Water {
            hours: self.hours(&["8:00"], 12),
            days_a_week: self.days_a_week(),
        })
    }

    fn repellent(&mut self) -> Option<Action> {
        self.only(&["times", "from_day", "every"]);
        let (from_day, _) = self.days()?;
        let every_d = self.every(self.written.every.unwrap_or(3));
        let hour = self.hours(&["8:00"], 1).first().copied()?;
        Some(Action::Repellent(Repellent {
            hour,
            from_day,
            every_d,
        }))
    }

    fn trap_crop(&mut self) -> Option<Action> {
        self.only(&["times", "every"]);
        let clear_every_d = self.written.every.map(|every| self.every(every));
        let hour = self.hours(&["19:00"], 1).first().copied()?;
        Some(Action::TrapCrop(TrapCrop {
            clear_every_d,
            hour,
        }))
    }
}

macro_rules! keys {
    ($($key:literal: $unit:literal, $meaning:literal;)+) => {
        /// Every number a method may have: name, inside unit, meaning.
        pub(crate) const KEYS: &[ParameterInfo] =
            &[$(ParameterInfo { key: $key, unit: $unit, meaning: $meaning },)+];
    };
}

keys! {
    "leak": "share", "share of insects that gets in although the mesh is fine enough";
    "passes": "share", "share of injuries that pass a bag";
    "found": "share", "share of the insects sitting there that one visit finds";
    "keeps_off": "share", "share of landings that a fresh spray keeps off";
    "driven_off": "share", "share of the insects sitting there that a spray drives off";
    "lasts": "d", "days for which a spray works";
    "dislodged": "share", "share of the insects sitting there that water washes off";
    "killed": "share", "share of the washed off that die";
    "prefer_crop": "share", "share of the insects leaving a trap crop that head for the crop";
    "sees_crop_m": "m", "distance within which an insect leaving a trap crop heads for the crop";
    "cleared": "share", "share of the insects on a trap crop that one clearing takes";
    "dollars_per_m2": "1", "dollars for a square metre of cover";
    "setup_min_per_m2": "1", "minutes to spread and fix a square metre of cover";
    "check_min_a_week": "1", "minutes a week to check a cover";
    "seconds_per_cluster": "1", "seconds to bag a cluster";
    "fruit_per_cluster": "1", "fruit in a cluster after thinning";
    "dollars_per_bag": "1", "dollars for a bag";
    "minutes_a_visit": "1", "minutes for a visit, whatever is planted";
    "minutes_per_plant": "1", "minutes for a plant";
    "dollars_a_season": "1", "dollars for the whole window";
    "dollars_per_plant": "1", "dollars for a plant";
    "minutes_to_plant": "1", "minutes to plant one plant";
    "minutes_per_clearing": "1", "minutes to clear one plant once";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_of_every_method_is_known_and_sourced() {
        for (id, _) in catalogue::METHODS {
            let kind = catalogue::method(id).expect("tested here");
            assert_eq!(kind.id, *id);
            for (key, number) in &kind.values {
                assert_eq!(number.fault(), None, "{id}.{key}");
                assert!(KEYS.iter().any(|k| k.key == key), "{id}.{key} is unknown");
            }
        }
    }
}
