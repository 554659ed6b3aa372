//! What counts mean: rates with their limits, chance of zero, how many may be there, when a trap stops telling.

use crate::catalogue::season::{CountsEntry, SaturationEntry, ThresholdEntry};
use crate::say::say;
use crate::season::counts::{Check, Counts, CountsUnderstood, TrapLog};
use crate::stats::{binomial, poisson, recapture};
use serde::Serialize;

/// Hectares in one acre (exact international acre).
pub const HECTARES_PER_ACRE: f64 = 0.404_685_642_24;

/// One trap's counts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrapReading {
    /// Its name.
    pub trap: String,
    /// Checks.
    pub checks: usize,
    /// Checks that found none.
    pub zeros: usize,
    /// Rows on which nobody looked.
    pub not_checked: u64,
    /// Insects in all.
    pub total: u64,
    /// Exact 95 in 100 limits of the mean behind that total.
    pub total_limits: [f64; 2],
    /// Days of catching that are known.
    pub days: i64,
    /// Insects in those days.
    pub counted_in_days: u64,
    /// Insects a day; `None` without known days.
    pub per_day: Option<f64>,
    /// Exact 95 in 100 limits of that rate, if insects came one by one and independently.
    pub per_day_limits: Option<[f64; 2]>,
    /// Largest rate a day over one stretch between checks.
    pub highest_per_day: Option<f64>,
    /// Rate a day over the last stretch.
    pub last_per_day: Option<f64>,
}

/// Two traps side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// First trap.
    pub first: String,
    /// Second trap.
    pub second: String,
    /// Rates compared; `None` fields for infinite or undefined ratios.
    pub ratio: Option<f64>,
    /// Exact limits of the ratio; the upper is `None` when there is no upper limit.
    pub ratio_low: f64,
    /// Upper limit.
    pub ratio_high: Option<f64>,
    /// Share of outcomes no more likely than this, if both traps caught alike.
    pub chance_if_equal: f64,
    /// Whether luck alone explains the difference (own rule: that chance is 0.05 or more).
    pub could_be_luck: bool,
}

/// Chance of an empty trap though insects are there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ZeroChance {
    /// Insects in the trapping area.
    pub there: u64,
    /// Plain chance: each is caught or not, by itself.
    pub plain: f64,
    /// Chance when catches come clumped (negative binomial with the catalogue's k).
    pub clumped: f64,
}

/// How many must be there to be sure of at least one in the trap.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Sure {
    /// Chance of at least one.
    pub confidence: f64,
    /// Insects at the highest capture share.
    pub low: u64,
    /// At the middle share.
    pub middle: u64,
    /// At the lowest share.
    pub high: u64,
}

/// From a catch to a density.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Density {
    /// The trap.
    pub trap: String,
    /// Catch used.
    pub catch: u64,
    /// Insects a hectare at the middle share.
    pub per_ha: f64,
    /// Lowest: lower count limit at the highest share.
    pub per_ha_low: f64,
    /// Highest: upper count limit at the lowest share.
    pub per_ha_high: f64,
    /// The same for an acre.
    pub per_acre: [f64; 3],
}

/// Whether a trap has caught so much that it tells less.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SaturationReading {
    /// The rule.
    #[serde(flatten)]
    pub rule: SaturationEntry,
    /// Traps at or above its lower number in one stretch between checks, or over the season.
    pub traps_reached: Vec<String>,
}

/// Somebody's threshold beside the user's counts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ThresholdReading {
    /// The rule.
    #[serde(flatten)]
    pub rule: ThresholdEntry,
    /// Traps that reached it in as many weeks running as it asks for, where it is a number a trap and week.
    pub traps_reached: Vec<String>,
}

/// Everything that counts say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CountsReading {
    /// What was understood; absent when no notebook was given.
    pub understood: Option<CountsUnderstood>,
    /// Whom the trap catches.
    pub caught: String,
    /// Each trap.
    pub traps: Vec<TrapReading>,
    /// Pairs of traps, at most fifteen.
    pub comparisons: Vec<Comparison>,
    /// Share of those in the area that one trap takes: low, middle, high; absent when nobody has measured it.
    pub captured_share: Option<[f64; 3]>,
    /// Source of the share.
    pub captured_share_source: String,
    /// Ground one trap draws from, hectares; absent when unknown.
    pub trapping_area_ha: Option<f64>,
    /// Dispersion used for clumped catches.
    pub dispersion_k: f64,
    /// Chance of zero.
    pub zero_chance: Vec<ZeroChance>,
    /// Insects needed to be sure.
    pub to_be_sure: Vec<Sure>,
    /// Densities.
    pub density: Vec<Density>,
    /// Saturation.
    pub saturation: Vec<SaturationReading>,
    /// Example thresholds; use your own local one.
    pub threshold_examples: Vec<ThresholdReading>,
    /// Mark, release and recapture, when its three numbers were given.
    pub recapture: Option<recapture::Recapture>,
}

/// Overrides from the user.
#[derive(Clone, Copy, Debug, Default)]
pub struct ReadingOptions {
    /// Share of those there that one trap takes.
    pub share: Option<f64>,
    /// Marked, caught, recaptured.
    pub recapture: Option<[u64; 3]>,
}

/// Reads counts.
pub fn read(
    counts: Option<&Counts>,
    entry: &CountsEntry,
    options: &ReadingOptions,
) -> CountsReading {
    let logs: &[TrapLog] = counts.map_or(&[], |c| &c.traps);
    let traps: Vec<TrapReading> = logs.iter().map(trap_reading).collect();
    let (share, share_source) = match (options.share, &entry.captured_share) {
        (Some(p), _) => (Some([p, p, p]), say!("share.given")),
        (None, Some(known)) => {
            let [low, high] = known.range.unwrap_or([known.value, known.value]);
            (
                Some([low, known.value, high]),
                format!("{} ({})", known.source, grade_word(known.grade)),
            )
        }
        (None, None) => (None, say!("share.none")),
    };
    let area = entry.trapping_area.as_ref().map(|a| a.value);
    let k = entry.dispersion.value;
    CountsReading {
        understood: counts.map(|c| c.understood.clone()),
        caught: entry.caught.clone(),
        comparisons: compare_all(&traps),
        captured_share: share,
        captured_share_source: share_source,
        trapping_area_ha: area,
        dispersion_k: k,
        zero_chance: share.map_or_else(Vec::new, |[_, p, _]| zero_chances(p, k)),
        to_be_sure: share.map_or_else(Vec::new, sure),
        density: match (share, area) {
            (Some(share), Some(area)) => traps
                .iter()
                .map(|t| density(&t.trap, t.total, share, area))
                .collect(),
            _ => Vec::new(),
        },
        saturation: entry
            .saturation
            .iter()
            .map(|rule| saturation(rule, logs))
            .collect(),
        threshold_examples: entry
            .thresholds
            .iter()
            .map(|rule| threshold(rule, logs))
            .collect(),
        recapture: options
            .recapture
            .and_then(|[m, c, r]| recapture::estimate(m, c, r)),
        traps,
    }
}

/// One word for a grade.
pub fn grade_word(grade: crate::catalogue::Grade) -> &'static str {
    use crate::catalogue::Grade;
    match grade {
        Grade::Exact => "exact",
        Grade::Published => "published",
        Grade::Secondary => "secondary",
        Grade::Memory => "from memory",
        Grade::Assumed => "assumed",
    }
}

fn trap_reading(log: &TrapLog) -> TrapReading {
    let total: u64 = log.checks.iter().map(|c| c.count).sum();
    let timed: Vec<(u64, i64)> = log
        .checks
        .iter()
        .filter_map(|c| c.days().map(|d| (c.count, d)))
        .collect();
    let days: i64 = timed.iter().map(|(_, d)| d).sum();
    let counted: u64 = timed.iter().map(|(n, _)| n).sum();
    let rate = |(n, d): (u64, i64)| n as f64 / d as f64;
    TrapReading {
        trap: log.trap.clone(),
        checks: log.checks.len(),
        zeros: log.checks.iter().filter(|c| c.count == 0).count(),
        not_checked: log.not_checked,
        total,
        total_limits: poisson::limits(total, 0.95),
        days,
        counted_in_days: counted,
        per_day: (days > 0).then(|| rate((counted, days))),
        per_day_limits: (days > 0)
            .then(|| poisson::limits(counted, 0.95).map(|limit| limit / days as f64)),
        highest_per_day: timed.iter().copied().map(rate).max_by(f64::total_cmp),
        last_per_day: timed.last().copied().map(rate),
    }
}

fn compare_all(traps: &[TrapReading]) -> Vec<Comparison> {
    let timed: Vec<&TrapReading> = traps.iter().filter(|t| t.days > 0).collect();
    let mut pairs = Vec::new();
    for (i, &a) in timed.iter().enumerate() {
        for &b in &timed[i + 1..] {
            if pairs.len() == 15 || a.counted_in_days + b.counted_in_days == 0 {
                continue;
            }
            // The one that caught more a day comes first, so that ratios read "so many times as much".
            let (a, b) = if b.per_day > a.per_day {
                (b, a)
            } else {
                (a, b)
            };
            let result = poisson::compare(
                a.counted_in_days,
                a.days as f64,
                b.counted_in_days,
                b.days as f64,
            );
            let finite = |x: f64| x.is_finite().then_some(x);
            pairs.push(Comparison {
                first: a.trap.clone(),
                second: b.trap.clone(),
                ratio: finite(result.ratio),
                ratio_low: result.ratio_limits[0],
                ratio_high: finite(result.ratio_limits[1]),
                chance_if_equal: result.chance_if_equal,
                could_be_luck: result.chance_if_equal >= 0.05,
            });
        }
    }
    pairs
}

fn zero_chances(share: f64, k: f64) -> Vec<ZeroChance> {
    [1, 5, 10, 20, 50, 100, 200, 500]
        .map(|there| ZeroChance {
            there,
            plain: binomial::zero_chance(there as f64, share),
            clumped: poisson::zero_chance_clumped(there as f64 * share, k),
        })
        .to_vec()
}

fn sure([low, middle, high]: [f64; 3]) -> Vec<Sure> {
    [0.8, 0.95]
        .map(|confidence| Sure {
            confidence,
            low: binomial::n_to_be_sure(high, confidence),
            middle: binomial::n_to_be_sure(middle, confidence),
            high: binomial::n_to_be_sure(low, confidence),
        })
        .to_vec()
}

/// Insects a hectare from one catch: catch / (share × area), with the range of the count's limits and of the share.
///
/// Shape: `share` is low, middle, high, all above 0.
/// # Source
/// Adams et al. 2017a, doi 10.1093/jee/tow258 (equation).
pub fn density(trap: &str, catch: u64, [low, middle, high]: [f64; 3], area_ha: f64) -> Density {
    let limits = poisson::limits(catch, 0.95);
    let per_ha = catch as f64 / (middle * area_ha);
    let per_ha_low = limits[0] / (high * area_ha);
    let per_ha_high = limits[1] / (low * area_ha);
    Density {
        trap: trap.into(),
        catch,
        per_ha,
        per_ha_low,
        per_ha_high,
        per_acre: [per_ha_low, per_ha, per_ha_high].map(|d| d * HECTARES_PER_ACRE),
    }
}

fn threshold(rule: &ThresholdEntry, logs: &[TrapLog]) -> ThresholdReading {
    let reached = |log: &&TrapLog| {
        let enough = |caught: f64| match rule.per_trap_week {
            Some(limit) if rule.exceeded => caught > limit + 1e-9,
            Some(limit) => caught >= limit - 1e-9,
            None => false,
        };
        let holds = |check: &&Check| {
            let month = check.on.month();
            rule.months.is_none_or(|[a, b]| (a..=b).contains(&month))
        };
        let checks: Vec<&Check> = log.checks.iter().filter(holds).collect();
        let mut watched = checks.chunk_by(|a, b| b.since == Some(a.on));
        watched.any(|checks| runs(checks, rule.weeks_running, enough))
    };
    ThresholdReading {
        rule: rule.clone(),
        traps_reached: logs
            .iter()
            .filter(reached)
            .map(|log| log.trap.clone())
            .collect(),
    }
}

/// Whether a trap caught enough in so many weeks running, while it was watched without a gap.
///
/// A week begins with the days of one check and takes in those of the next ones, the last in proportion; the week after begins
/// with a check of its own, so that no catch counts in two weeks. A check after two weeks or more stands for as many even weeks.
fn runs(checks: &[&Check], weeks: usize, enough: impl Fn(f64) -> bool) -> bool {
    let stretches = checks.iter().filter_map(|c| Some((c.count, c.days()?)));
    let even: Vec<(f64, f64)> = stretches
        .flat_map(|(count, days)| {
            let n = (days / 7).max(1);
            let week = (count as f64 / n as f64, days as f64 / n as f64);
            std::iter::repeat_n(week, n as usize)
        })
        .collect();
    (0..even.len()).any(|start| {
        let mut rest = even[start..].iter();
        let caught = std::iter::from_fn(|| {
            let (mut caught, mut left) = (0.0, 7.0);
            while left > 0.0 {
                let Some((count, days)) = rest.next() else {
                    break;
                };
                caught += count * (left / days).min(1.0);
                left -= days;
            }
            (left < 7.0).then_some(caught)
        });
        caught.take(weeks).filter(|week| enough(*week)).count() == weeks
    })
}

fn saturation(rule: &SaturationEntry, logs: &[TrapLog]) -> SaturationReading {
    let reached = |log: &&TrapLog| {
        let counts = log.checks.iter().map(|c| c.count);
        let most = if rule.over_season {
            counts.sum::<u64>()
        } else {
            counts.max().unwrap_or(0)
        };
        most as f64 >= rule.insects[0]
    };
    SaturationReading {
        rule: rule.clone(),
        traps_reached: logs
            .iter()
            .filter(reached)
            .map(|log| log.trap.clone())
            .collect(),
    }
}
