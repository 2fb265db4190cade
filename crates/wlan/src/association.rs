//! Which access point and band a device joins, when it moves on, and how likely it is to stay on a worse one. Rates and airtime are not here.

use findings::{Finding, Id, Rule, Severity, Source};
use radio_profile::Band;
use units::{Db, Dbm};

use crate::beacons::BasicRate;

/// Chance above which a device is said to stay on a worse access point. Common practice, no source.
pub const STUCK_MOST: f64 = 0.5;
/// By how much the other must be worse for it to matter: one step or two of the rate. Common practice, no source.
const MATTERS: Db = Db(6.0);

/// A device that does not come over.
pub const MAY_STICK: Rule = Rule {
    id: "wlan.may-stick",
    severity: Severity::Note,
    summary: "A device that comes from another access point likely stays on that one, though a better one is near",
    limit: "50 % likely",
    cite: Source::common_practice,
};

/// A radio that a device could join, at the place where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The access point.
    pub ap: Id,
    /// The band.
    pub band: Band,
    /// Local-mean level at the device.
    pub level: Dbm,
    /// The least basic rate of the access point, if it is set: who does not hear frames at this rate cannot join.
    pub basic_rate: Option<BasicRate>,
}

impl Candidate {
    /// Whether a device can join: the level is a number and meets both the least level and the sensitivity of the basic rate.
    #[must_use]
    pub fn can_join(&self, habits: &Habits) -> bool {
        self.level.is_finite() && self.level.0 >= self.least_level(habits).0
    }

    fn least_level(&self, habits: &Habits) -> Dbm {
        self.basic_rate.map_or(habits.least_level, |rate| habits.least_level.max(rate.sensitivity()))
    }
}

/// How a device chooses.
#[derive(Clone, Debug, PartialEq)]
pub struct Habits {
    /// Bonus of a band over 2.4 GHz, in the order of [`Band::ALL`], that its level gets where it is at least `good_level`.
    pub band_bonus: [Db; 3],
    /// Level from which a higher band is preferred.
    pub good_level: Dbm,
    /// Level above which a device does not look for another access point.
    pub roam_below: Dbm,
    /// By how much another must be better before a device goes there.
    pub better_by: Db,
    /// Level below which a device does not join at all.
    pub least_level: Dbm,
}

impl Default for Habits {
    /// 5 and 6 GHz preferred from -70 dBm by 15 dB (the higher bands lose about 7 and 9 dB more over the same way, and are faster at an equal level);
    /// roams below -70 dBm to one that is 8 dB better; joins from -82 dBm. Common practice: published settings of client software look below
    /// -65 to -75 dBm and want 6 to 12 dB; devices do not say what they do.
    fn default() -> Self {
        Self {
            band_bonus: [Db(0.0), Db(15.0), Db(15.0)],
            good_level: Dbm(-70.0),
            roam_below: Dbm(-70.0),
            better_by: Db(8.0),
            least_level: Dbm(-82.0),
        }
    }
}

impl Habits {
    /// What a device compares: the level, with the band's bonus where the level is good.
    #[must_use]
    pub fn score(&self, band: Band, level: Dbm) -> Dbm {
        let bonus = self.band_bonus.get(band.index()).copied().unwrap_or(Db(0.0));
        if level.0 >= self.good_level.0 { level + bonus } else { level }
    }
}

/// What a device joins.
#[derive(Clone, Debug, PartialEq)]
pub struct Association {
    /// Where it is, or goes.
    pub ap: Id,
    /// In which band.
    pub band: Band,
    /// At which level.
    pub level: Dbm,
    /// The best access point other than that, and its band.
    pub next: Option<(Id, Band)>,
    /// By how much its score is above that of the next access point; negative where it stays on a worse one.
    pub margin: Option<Db>,
    /// True if it stays on an access point though another has a better score.
    pub is_stuck: bool,
    /// Chance that a device that comes from another access point stays on a worse one: from where it was, or else from the next; 0 with one access
    /// point. See [`stuck_chance`].
    pub stuck: f64,
}

/// Which access point a device joins, or stays with; nothing if it can join none.
///
/// # Model
/// A device that is nowhere takes the best [`Habits::score`]. One that is on an access point stays while it can and its level is at least
/// `roam_below`, or no other access point's score is better by `better_by`; but it changes the band of its access point at will. Ties go to the
/// lower id, then the lower band, so that the order of candidates does not matter.
///
/// # Validity
/// Habits differ between devices and cannot be looked up; access points that steer devices are not modelled. `sigma` is the spread of each level
/// about its prediction.
#[must_use]
pub fn associate(candidates: &[Candidate], now: Option<&Id>, habits: &Habits, sigma: Db) -> Option<Association> {
    let aps = best_by_ap(candidates, habits);
    let best = aps.first()?;
    let present = now.and_then(|id| aps.iter().find(|a| &a.ap == id));
    let chosen = match present {
        None => best,
        Some(present) if present.ap == best.ap => best,
        Some(present) => {
            let moves = present.level.0 < habits.roam_below.0 && best.score - present.score >= habits.better_by;
            if moves { best } else { present }
        }
    };
    let next = aps.iter().find(|a| a.ap != chosen.ap);
    let margin = next.map(|n| chosen.score - n.score);
    let from = present.filter(|p| p.ap != best.ap).or(next);
    Some(Association {
        ap: chosen.ap.clone(),
        band: chosen.band,
        level: chosen.level,
        next: next.map(|n| (n.ap.clone(), n.band)),
        margin,
        is_stuck: chosen.ap != best.ap,
        stuck: from.map_or(0.0, |f| stuck_chance(candidates, &f.ap, habits, sigma)),
    })
}

/// An access point by its best radio.
struct Best {
    ap: Id,
    band: Band,
    level: Dbm,
    score: Dbm,
    /// Level below which a device loses it.
    least: Dbm,
}

/// The access points that can be joined, best first, each by its best radio.
fn best_by_ap(candidates: &[Candidate], habits: &Habits) -> Vec<Best> {
    let mut all: Vec<Best> = candidates
        .iter()
        .filter(|c| c.can_join(habits))
        .map(|c| Best {
            ap: c.ap.clone(),
            band: c.band,
            level: c.level,
            score: habits.score(c.band, c.level),
            least: c.least_level(habits),
        })
        .collect();
    all.sort_by(|a, b| b.score.total_cmp(&a.score).then_with(|| a.ap.cmp(&b.ap)).then_with(|| a.band.cmp(&b.band)));
    let mut best: Vec<Best> = Vec::new();
    for one in all {
        if best.iter().all(|b| b.ap != one.ap) {
            best.push(one);
        }
    }
    best
}

/// Chance that a device on an access point stays there though another one is better.
///
/// # Model
/// Every access point by its best radio; levels independent and normal about their predictions with deviation `sigma`. With L the level of the
/// present one and M the best other score less the present one's bonus, the device is stuck if it can hear the present one, M > L and not both
/// L < `roam_below` and M ≥ L + `better_by`: `∫ φ(L) [(1 - F(L)) - [L < roam_below] (1 - F(L + better_by))] dL` from the least level on, F the product of
/// the others' distributions, integrated to ±8 deviations. Bonuses, and which of the others can be joined, are those at the predicted levels.
///
/// # Validity
/// 0 if the device is not on one of the candidates, or with a `sigma` that is negative or not a number; with `sigma` 0 it is 0 or 1.
#[must_use]
pub fn stuck_chance(candidates: &[Candidate], on: &Id, habits: &Habits, sigma: Db) -> f64 {
    let aps = best_by_ap(candidates, habits);
    let Some(present) = aps.iter().find(|a| &a.ap == on) else { return 0.0 };
    let bonus = present.score - present.level;
    let others: Vec<f64> = aps.iter().filter(|a| &a.ap != on).map(|a| (a.score - bonus).0).collect();
    let (mean, threshold, by) = (present.level.0, habits.roam_below.0, habits.better_by.0);
    if others.is_empty() || !(sigma.0 >= 0.0 && sigma.is_finite()) || by.is_nan() || threshold.is_nan() {
        return 0.0;
    }
    if sigma.0 < 1e-6 {
        let best = others.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let is_stuck = best > mean && !(mean < threshold && best >= mean + by);
        return if is_stuck { 1.0 } else { 0.0 };
    }
    // One less the product, kept exact where it is small.
    let some_above = |x: f64| {
        let log: f64 =
            others.iter().map(|o| (-0.5 * libm::erfc((x - o) / sigma.0 / std::f64::consts::SQRT_2)).ln_1p()).sum();
        -log.exp_m1()
    };
    let density = |x: f64| {
        let z = (x - mean) / sigma.0;
        (-z * z / 2.0).exp() / (sigma.0 * (2.0 * std::f64::consts::PI).sqrt())
    };
    let high = mean + 8.0 * sigma.0;
    let low = (mean - 8.0 * sigma.0).max(present.least.0);
    let cut = threshold.clamp(low, high);
    let below = simpson(low, cut, &|x| density(x) * (some_above(x) - some_above(x + by)));
    let above = simpson(cut, high, &|x| density(x) * some_above(x));
    let chance = below + above;
    // Habits that are not numbers give none.
    if chance.is_nan() { 0.0 } else { chance.clamp(0.0, 1.0) }
}

/// A finding if a device that comes from the next access point likely stays there, at least 6 dB worse, with what a minimum rate would do about it.
#[must_use]
pub fn check_stuck(device: &Id, candidates: &[Candidate], habits: &Habits, sigma: Db) -> Option<Finding> {
    let joined = associate(candidates, None, habits, sigma)?;
    let ((next, _), margin) = joined.next.as_ref().zip(joined.margin)?;
    if joined.stuck <= STUCK_MOST || margin.0 < MATTERS.0 || margin.0.is_nan() {
        return None;
    }
    let message = format!(
        "`{device}`, when it comes from `{next}`, stays there with {:.0} % though `{}` is {:.0} dB better",
        joined.stuck * 100.0,
        joined.ap,
        margin.0
    );
    let subjects = vec![device.clone(), next.clone(), joined.ap.clone()];
    let mut finding = Finding::of(&MAY_STICK, subjects, message).against(joined.stuck * 100.0, STUCK_MOST * 100.0, "%");
    for mbps in [12.0, 24.0] {
        let with_rate = |c: &Candidate| {
            let rate = BasicRate::new(mbps, c.band).ok()?;
            // One that is set higher already stays.
            let rate = c.basic_rate.filter(|set| *set > rate).unwrap_or(rate);
            Some(Candidate { basic_rate: Some(rate), ..c.clone() })
        };
        let limited: Vec<Candidate> = candidates.iter().filter_map(with_rate).collect();
        let left = stuck_chance(&limited, next, habits, sigma);
        let stays = associate(&limited, None, habits, sigma).is_some_and(|a| a.ap == joined.ap);
        if stays && left < joined.stuck - 0.05 {
            let text = format!("set the lowest basic rate to {mbps} Mbit/s: {:.0} % then", left * 100.0);
            finding = finding.remedy(text, vec![]);
        }
    }
    Some(finding.remedy("lower the access points' power, so that their cells end sooner", vec![]))
}

/// Simpson's rule with 256 steps.
fn simpson(low: f64, high: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    let num = 256;
    let step = (high - low) / f64::from(num);
    let inner: f64 = (1..num).map(|i| f(low + f64::from(i) * step) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
    (f(low) + inner + f(high)) * step / 3.0
}
