//! What a plan does to the plants of one summer: plain data that the engine reads.

/// What a visit does to an insect that sits on a plant it covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Deed {
    /// Takes it away.
    Remove,
    /// Drives it off; a share of those dies.
    DriveOff {
        /// Share of the driven that dies.
        killed: f64,
    },
}

/// A visit to some plants at a time of day.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    /// Movement time, seconds; a visit outside the movement hours stands at the end of the day's movement time.
    pub t_s: f64,
    /// Time after the end of the day's movement hours, seconds; `None` for a visit within them.
    pub gap_s: Option<f64>,
    /// What it does.
    pub deed: Deed,
    /// Share of the insects sitting there that it finds.
    pub share: f64,
    /// Keys its draws: the same visit shares luck between plans. Below 2^24.
    pub tag: u32,
    /// Whether it comes to each plant.
    pub to: Vec<bool>,
}

/// What a plan does to each plant on each day. An idle care changes nothing, to the bit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Care {
    days: usize,
    /// Factor on the chance of landing, plant by plant and day by day; empty when nothing changes it.
    acceptance: Vec<f64>,
    /// Chance that an insect about to leave cannot get out, plant by plant and day by day; empty without covers.
    hold: Vec<f64>,
    /// Visits in the order of time.
    visits: Vec<Visit>,
    /// Share of the fruit bagged and share of injuries that pass a bag, plant by plant; empty without bags.
    bagged: Vec<(f64, f64)>,
    /// Chance that an insect that leaves a plant heads for the crop, plant by plant; empty without trap crops.
    preference: Vec<(f64, f64)>,
}

impl Care {
    /// Nothing is done.
    pub fn none(days: u32) -> Care {
        Care {
            days: days as usize,
            ..Care::default()
        }
    }

    /// Whether no insect can meet a difference (bags differ only in what an insect's stay does).
    #[inline]
    pub fn is_idle(&self) -> bool {
        self.acceptance.is_empty() && self.visits.is_empty()
    }

    /// Factor on the chance of landing.
    #[inline]
    pub fn acceptance(&self, plant: usize, day: u32) -> f64 {
        let factor = self.acceptance.get(plant * self.days + day as usize);
        factor.copied().unwrap_or(1.0)
    }

    /// Chance that an insect about to leave a plant cannot get out.
    #[inline]
    pub fn hold(&self, plant: usize, day: u32) -> f64 {
        let chance = self.hold.get(plant * self.days + day as usize);
        chance.copied().unwrap_or(0.0)
    }

    /// The visits after one time and up to another, in order.
    pub fn visits(&self, after_s: f64, up_to_s: f64) -> &[Visit] {
        let first = self.visits.partition_point(|v| v.t_s <= after_s);
        let last = self.visits.partition_point(|v| v.t_s <= up_to_s);
        &self.visits[first..last.max(first)]
    }

    /// Whether anything here acts on an insect that sits on a plant or is about to land on it.
    pub fn acts_on(&self, plant: usize) -> bool {
        let days = plant * self.days..(plant + 1) * self.days;
        let factors = self.acceptance.get(days);
        factors.is_some_and(|f| f.iter().any(|f| *f != 1.0))
            || self.visits.iter().any(|v| v.to.get(plant) == Some(&true))
    }

    /// First day on which an insect may meet a difference between this care and another; `None` when it never does.
    ///
    /// Bags change what a stay does to the fruit, and no insect. `day_of` tells the day of a visit's time; one after the
    /// hours of movement stands at the very end of its day.
    pub fn first_difference(&self, other: &Care, day_of: impl Fn(f64) -> u32) -> Option<u32> {
        let plants = self.acceptance.len().max(other.acceptance.len()) / self.days.max(1);
        let differs =
            |day: &u32| (0..plants).any(|p| self.acceptance(p, *day) != other.acceptance(p, *day));
        let covered = (0..self.days as u32).find(differs);
        let visits = self.visits.iter().filter(|v| !other.visits.contains(v));
        let visited = visits.map(|v| day_of(v.t_s));
        covered.into_iter().chain(visited.min()).min()
    }

    /// Share of the fruit bagged and share of injuries that pass a bag.
    pub fn bagged(&self, plant: usize) -> (f64, f64) {
        self.bagged.get(plant).copied().unwrap_or((0.0, 1.0))
    }

    /// Multiplies the chance of landing on a plant on a day.
    pub fn scale_acceptance(&mut self, n_plants: usize, plant: usize, day: u32, factor: f64) {
        if self.acceptance.is_empty() {
            self.acceptance = vec![1.0; n_plants * self.days];
        }
        self.acceptance[plant * self.days + day as usize] *= factor;
    }

    /// Plants a plant on all days: takes back that it is absent.
    pub fn plant(&mut self, plant: usize) {
        let days = plant * self.days..(plant + 1) * self.days;
        if let Some(factors) = self.acceptance.get_mut(days) {
            factors.fill(1.0);
        }
    }

    /// Holds insects on a plant on a day.
    pub fn hold_back(&mut self, n_plants: usize, plant: usize, day: u32, chance: f64) {
        if self.hold.is_empty() {
            self.hold = vec![0.0; n_plants * self.days];
        }
        let slot = &mut self.hold[plant * self.days + day as usize];
        *slot = 1.0 - (1.0 - *slot) * (1.0 - chance);
    }

    /// Adds a visit.
    pub fn add_visit(&mut self, visit: Visit) {
        let key = |v: &Visit| (v.t_s, v.gap_s.unwrap_or(-1.0), f64::from(v.tag));
        let new = key(&visit);
        let place = self.visits.partition_point(|v| key(v) <= new);
        self.visits.insert(place, visit);
    }

    /// Moves every visit to another time; the order stays.
    pub fn move_visits(&mut self, to: impl Fn(f64) -> f64) {
        for visit in &mut self.visits {
            visit.t_s = to(visit.t_s);
        }
    }

    /// Chance that an insect that leaves this plant heads for the crop.
    #[inline]
    pub fn preference(&self, plant: usize) -> (f64, f64) {
        self.preference.get(plant).copied().unwrap_or_default()
    }

    /// An insect that leaves this plant heads with this chance for a crop that it sees within so many metres.
    pub fn prefer_crop(&mut self, n_plants: usize, plant: usize, (chance, sees_m): (f64, f64)) {
        if self.preference.is_empty() {
            self.preference = vec![(0.0, 0.0); n_plants];
        }
        self.preference[plant] = (chance, sees_m);
    }

    /// Bags a share of the fruit of a plant.
    pub fn bag(&mut self, n_plants: usize, plant: usize, share: f64, passes: f64) {
        if self.bagged.is_empty() {
            self.bagged = vec![(0.0, 1.0); n_plants];
        }
        self.bagged[plant] = (share, passes);
    }
}
