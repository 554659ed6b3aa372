//! The methods of a plan: which fields belong to which method, and their limits.

use super::error::fault;
use super::file;
use super::notes::Notes;
use super::place::member;
use super::{Crop, Owner, Window, change};
use crate::catalogue::METHOD_NUMBERS as KEYS;
use crate::catalogue::words::{self, Kind};
use crate::catalogue::{self, Guild, MethodKind, ParameterInfo, Pest};
use crate::control::bags::Bags;
use crate::control::cover::Cover;
use crate::control::hands::Hands;
use crate::control::repellent::Repellent;
use crate::control::trap_crop::TrapCrop;
use crate::control::water::Water;
use crate::control::{Action, Method, times};
use crate::say::say;

/// Most methods in a plan.
const MOST_METHODS: usize = 20;
/// Reads the methods of one plan.
pub(crate) fn read(
    list: &[file::Method],
    (pest, window, crops): (&Pest, &Window, &[Crop]),
    (plan, path): (&str, &str),
    notes: &mut Notes,
) -> Vec<Method> {
    let (n, limit) = (list.len(), MOST_METHODS);
    if n > limit {
        fault!(notes, path, "fault.methods.many", n, limit);
        return Vec::new();
    }
    let read = |(i, written)| {
        let mut reader = Reader {
            written,
            plan,
            pest,
            window,
            crops,
            path: format!("{path}[{i}]"),
            notes,
        };
        reader.method()
    };
    list.iter().enumerate().filter_map(read).collect()
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
    fn at(&self, key: &str) -> String {
        member(&self.path, key)
    }

    /// A number of this method between two limits.
    fn within<T: PartialOrd + std::fmt::Display + Copy>(
        &mut self,
        key: &str,
        n: T,
        limits: std::ops::RangeInclusive<T>,
        text: &str,
    ) -> bool {
        let at = self.at(key);
        self.notes.within(at, n, limits, text)
    }

    fn method(&mut self) -> Option<Method> {
        let said = self.written.method.trim();
        let id = words::find(Kind::Method, said).unwrap_or(said);
        let Some(mut kind) = catalogue::method(id) else {
            let at = self.at("method");
            self.notes.no_such(at, "method", Kind::Method, said);
            return None;
        };
        self.change(&mut kind);
        self.close_edges(&mut kind);
        let before = self.notes.faults.len();
        let action = match id {
            "row-cover" => self.cover(),
            "fruit-bags" => Some(self.bags()),
            "hand-removal" => {
                let (hours, days_a_week) = self.visits("19:00");
                Some(Action::Hands(Hands { hours, days_a_week }))
            }
            "repellent" => self.repellent(),
            "water-spray" => {
                let (hours, days_a_week) = self.visits("8:00");
                Some(Action::Water(Water { hours, days_a_week }))
            }
            _ => self.trap_crop(),
        };
        let crops = self.crops(id == "trap-crop");
        if self.notes.faults.len() > before {
            return None;
        }
        let method = Method {
            kind,
            crops,
            action: action?,
        };
        self.tell_defaults(&method);
        Some(method)
    }

    /// Each number of a method that comes from the catalogue is told once a file.
    fn tell_defaults(&mut self, method: &Method) {
        let taken = say!("yard.default.method", name = method.kind.id);
        if self.notes.defaults.iter().any(|d| d.taken == taken) {
            return;
        }
        let why = say!("yard.default.method.why");
        self.notes.default_used(self.path.clone(), taken, why);
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
        let has = |info: &&ParameterInfo| kind.values.contains_key(info.key);
        let table: Vec<ParameterInfo> = KEYS.iter().filter(has).copied().collect();
        for (key, one) in &self.written.values {
            let slot = kind.values.get_mut(key);
            change::apply((key, one), &table, &self.at("values"), self.notes, slot);
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
                let (method, list) = (w.method.trim(), allowed.join(", "));
                let at = self.at(key);
                fault!(self.notes, at, "fault.method.takes-no", method, key, list);
            }
        }
    }

    /// Crops by name; all of the asker's when none is named.
    fn crops(&mut self, trap_crop: bool) -> Vec<usize> {
        let crops = self.crops;
        let fits = |c: &Crop| c.owner == Owner::Mine && (!trap_crop || c.trap_crop);
        let Some(names) = &self.written.crops else {
            let fits = |i: &usize| fits(&crops[*i]) && crops[*i].trap_crop == trap_crop;
            let all: Vec<usize> = (0..crops.len()).filter(fits).collect();
            if all.is_empty() {
                let fix = say!(if trap_crop {
                    "fault.method.no-crop.fix.trap-crop"
                } else {
                    "fault.method.no-crop.fix"
                });
                let at = self.at("crops");
                self.notes.add(at, say!("fault.method.no-crop"), fix);
            }
            return all;
        };
        let mut out = Vec::new();
        for (i, name) in names.iter().enumerate() {
            let path = self.at(&format!("crops[{i}]"));
            let Some(at) = crops.iter().position(|c| c.name.trim() == name.trim()) else {
                let known: Vec<&str> = crops.iter().map(|c| c.name.as_str()).collect();
                self.notes.unknown(path, "crop", name, &known);
                continue;
            };
            if crops[at].owner != Owner::Mine {
                fault!(self.notes, path, "fault.method.theirs", name);
            } else if trap_crop && !crops[at].trap_crop {
                fault!(self.notes, path, "fault.method.no-trap-crop", name);
            } else if out.contains(&at) {
                fault!(self.notes, path, "fault.method.crop-twice", name);
            }
            out.push(at);
        }
        if names.is_empty() {
            fault!(self.notes, self.at("crops"), "fault.method.no-name");
        }
        out
    }

    /// First day and the day after the last, counted from 0.
    fn days(&mut self) -> Option<(u32, u32)> {
        let all = self.window.days;
        let from = self.written.from_day.unwrap_or(1);
        let to = self.written.to_day.unwrap_or(all);
        let key = if to < from {
            "fault.day.backward"
        } else {
            "fault.day"
        };
        let inside = self.within("from_day", from, 1..=all, "fault.day");
        (inside && self.within("to_day", to, from..=all, key)).then(|| (from - 1, to))
    }

    fn hours(&mut self, usual: &[&str], most: usize) -> Vec<f64> {
        let usual = || usual.iter().map(|t| (*t).to_string()).collect();
        let list: Vec<String> = self.written.times.clone().unwrap_or_else(usual);
        let (n, limit) = (list.len(), most);
        if n == 0 || n > limit {
            fault!(self.notes, self.at("times"), "fault.times", n, limit);
        }
        let mut out: Vec<f64> = Vec::new();
        for (i, text) in list.iter().enumerate() {
            let at = self.at(&format!("times[{i}]"));
            match times::read(text) {
                Ok(hour) if out.contains(&hour) => {
                    fault!(self.notes, at, "fault.time-twice", text);
                }
                Ok(hour) => out.push(hour),
                Err(what) => self.notes.add(at, what, say!("fault.time.fix")),
            }
        }
        out.sort_by(f64::total_cmp);
        out
    }

    fn every(&mut self, days: u32) -> u32 {
        self.within("every", days, 1..=200, "fault.every");
        days.max(1)
    }

    fn cover(&mut self) -> Option<Action> {
        self.only(&["mesh_mm", "from_day", "to_day", "open_days", "edges"]);
        let mesh_mm = self.written.mesh_mm.unwrap_or_else(|| {
            let path = self.at("mesh_mm");
            self.notes.assumed(path, say!("yard.default.cloth"));
            0.0
        });
        let (n, at) = (mesh_mm, self.at("mesh_mm"));
        if n < 0.0 || !n.is_finite() {
            fault!(self.notes, at, "fault.mesh", n);
        } else if n > 100.0 {
            fault!(self.notes, at, "fault.mesh.wide", n);
        } else if n > 5.0 {
            let told = say!("yard.warn.mesh.wildlife", name = self.plan, mm = n);
            self.notes.warnings.push(told);
        }
        self.mesh_words(mesh_mm);
        let (from_day, to_day) = self.days()?;
        let limit = self.window.days;
        if let Some([from, to]) = self.written.open_days
            && (from < 1 || to < from || to > limit)
        {
            let at = self.at("open_days");
            fault!(self.notes, at, "fault.open-days", from, to, limit);
        }
        let open = self.written.open_days;
        Some(Action::Cover(Cover {
            mesh_mm,
            from_day,
            to_day,
            open: open.map(|[from, to]| (from.saturating_sub(1), to)),
        }))
    }

    /// Says when the mesh may not stop the pest.
    fn mesh_words(&mut self, mesh_mm: f64) {
        let body = &self.pest.values.body_width;
        let [low, high] = body.range.unwrap_or([body.value; 2]);
        let key = if mesh_mm > high {
            "yard.warn.mesh"
        } else {
            "yard.warn.mesh.may"
        };
        if mesh_mm > low {
            let (plan, pest) = (self.plan, &self.pest.name);
            let text = say!(
                key,
                name = plan,
                mm = mesh_mm,
                insect = pest,
                least_mm = low,
                most_mm = high
            );
            self.notes.warnings.push(text);
        }
    }

    fn bags(&mut self) -> Action {
        self.only(&["share"]);
        let share = self.written.share.unwrap_or(1.0);
        self.within("share", share, 0.0..=1.0, "fault.bag-share");
        if matches!(self.pest.guild, Guild::Chewer | Guild::Visitor) {
            let name = self.pest.name.clone();
            fault!(self.notes, self.at("method"), "fault.bags", name);
        }
        Action::Bags(Bags { share })
    }

    /// Times of day, and on how many days of the week.
    fn visits(&mut self, usual: &str) -> (Vec<f64>, u32) {
        self.only(&["times", "days_a_week"]);
        let days_a_week = self.written.days_a_week.unwrap_or(7);
        let hours = self.hours(&[usual], 12);
        self.within("days_a_week", days_a_week, 1..=7, "fault.days-a-week");
        (hours, days_a_week)
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
