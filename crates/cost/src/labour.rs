//! How long the work takes, as a distribution rather than a point.
//!
//! # Model
//! A line of work (all repetitions of one task under one kind of access) takes a lognormal time: in one home, a task
//! that goes badly once goes badly each time, so repetitions are not independent; lines are. Getting cables in takes
//! longer by a factor that is itself uncertain and common to all lines under the same access. The sum's first two
//! moments are exact and are matched to one lognormal distribution (Fenton and Wilkinson's method, L. F. Fenton, "The
//! sum of log-normal probability distributions in scatter transmission systems", IRE Trans. Commun. Syst., 1960). Home
//! and crew slow or speed the whole job by one more lognormal factor with median 1: without it, the total of many
//! independent lines would be far more certain than jobs are.

use network::results::LabourLine;
use units::Seconds;

use crate::terms::Access;

/// Quantile of the standard normal distribution at 80 %.
const Z80: f64 = 0.841_621_233_572_914_2;
/// Quantile of the standard normal distribution at 90 %.
const Z90: f64 = 1.281_551_565_544_600_4;
/// P80 over P50 of one line of work (common practice, no source: 1.3 to 1.6).
const LINE_P80_OVER_P50: f64 = 1.5;
/// P80 over P50 of what all lines of a job share (common practice, no source: with the lines' own spread, totals of
/// whole jobs then come out at 1.3 to 1.6, which is what is usual).
const JOB_P80_OVER_P50: f64 = 1.3;

/// A kind of work.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Task {
    /// What is done.
    pub name: &'static str,
    /// Median time of one [min], in open walls (common practice, no source).
    pub minutes: f64,
    /// True if it takes longer where cables are hard to get in.
    pub by_access: bool,
}

const fn task(name: &'static str, minutes: f64, by_access: bool) -> Task {
    Task { name, minutes, by_access }
}

pub(crate) const PULL_SET_UP: Task = task("Prepare a cable run", 12.0, true);
pub(crate) const PULL_METRE: Task = task("Pull cable, by the metre", 0.6, true);
pub(crate) const WALL_HOLE: Task = task("Make a hole through a wall", 5.0, true);
pub(crate) const FLOOR_HOLE: Task = task("Make a hole through a floor", 10.0, true);
pub(crate) const SEAL: Task = task("Seal a hole against fire", 8.0, false);
pub(crate) const OUTLET: Task = task("Fit and terminate an outlet", 20.0, false);
pub(crate) const PANEL_END: Task = task("Terminate a cable at the patch panel", 7.0, false);
pub(crate) const TEST: Task = task("Test and label a cable", 6.0, false);
pub(crate) const FIT_PANEL: Task = task("Fit a panel", 60.0, false);
pub(crate) const MOUNT: Task = task("Mount a part on a ceiling or wall", 20.0, false);
pub(crate) const PLACE: Task = task("Place and connect a part", 10.0, false);
pub(crate) const SET_UP_ROUTER: Task = task("Set up a router or gateway", 45.0, false);
pub(crate) const SET_UP_RADIO: Task = task("Set up an access point", 12.0, false);
pub(crate) const SET_UP_SWITCH: Task = task("Set up a managed switch", 15.0, false);
pub(crate) const SET_UP_SEGMENT: Task = task("Set up a segment and its rules", 15.0, false);
pub(crate) const WALK_ROOM: Task = task("Walk test of a room", 4.0, false);
pub(crate) const HAND_OVER: Task = task("Hand over and explain", 30.0, false);
pub(crate) const VISIT: Task = task("Travel, protect, clean up", 60.0, false);

/// Some work: a task, how many times, under which access.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Work {
    /// What is done.
    pub task: Task,
    /// How many times.
    pub quantity: f64,
    /// Under which access, if the task depends on it.
    pub access: Option<Access>,
}

/// Collects work; equal tasks under equal access become one line.
#[derive(Debug, Default)]
pub(crate) struct WorkList {
    lines: Vec<Work>,
}

impl WorkList {
    /// Adds a task some number of times; nothing if that is zero.
    pub fn add(&mut self, task: Task, quantity: f64, access: Access) {
        if quantity <= 0.0 {
            return;
        }
        let access = task.by_access.then_some(access);
        match self.lines.iter_mut().find(|w| w.task.name == task.name && w.access == access) {
            Some(line) => line.quantity += quantity,
            None => self.lines.push(Work { task, quantity, access }),
        }
    }

    /// True if there is nothing to do.
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// Total hours.
    pub fn hours(&self) -> Hours {
        Hours::of(&self.lines)
    }

    /// One line each, in the order in which they were added; their times add up to the median of the total.
    pub fn lines(&self) -> Vec<LabourLine> {
        let means: Vec<f64> = self.lines.iter().map(mean_hours).collect();
        let total: f64 = means.iter().sum();
        let median = self.hours().p50;
        self.lines
            .iter()
            .zip(means)
            .map(|(work, mean)| LabourLine {
                task: match work.access {
                    Some(access) => format!("{} ({})", work.task.name, access.name()),
                    None => work.task.name.to_owned(),
                },
                quantity: work.quantity,
                time: Seconds(mean / total * median * 3600.0),
            })
            .collect()
    }
}

/// The total time of the work, in hours.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hours {
    /// One job in five takes less.
    pub p20: f64,
    /// Half of all jobs take less.
    pub p50: f64,
    /// One job in five takes more.
    pub p80: f64,
}

/// Spread of the logarithm of a line's time.
fn line_sigma() -> f64 {
    LINE_P80_OVER_P50.ln() / Z80
}

/// Spread of the logarithm of what all lines share.
fn job_sigma() -> f64 {
    JOB_P80_OVER_P50.ln() / Z80
}

/// Median and spread of the logarithm of an access factor: its usual range is read as P10 to P90.
pub(crate) fn factor(access: Access) -> (f64, f64) {
    let (low, high) = access.factor_range();
    ((low * high).sqrt(), (high / low).ln() / (2.0 * Z90))
}

/// Mean and second moment of a lognormal with a median and a spread of its logarithm.
fn moments(median: f64, sigma: f64) -> (f64, f64) {
    (median * (0.5 * sigma * sigma).exp(), median * median * (2.0 * sigma * sigma).exp())
}

/// Mean time of a line, access included [h].
fn mean_hours(work: &Work) -> f64 {
    let (mean, _) = moments(work.quantity * work.task.minutes / 60.0, line_sigma());
    work.access.map_or(mean, |access| {
        let (median, sigma) = factor(access);
        mean * moments(median, sigma).0
    })
}

impl Hours {
    /// The total of lines of work.
    pub(crate) fn of(lines: &[Work]) -> Self {
        let (mut mean, mut variance) = (0.0, 0.0);
        let groups = std::iter::once(None).chain(Access::ALL.into_iter().map(Some));
        for access in groups {
            let (mut sum, mut spread) = (0.0, 0.0);
            for work in lines.iter().filter(|w| w.access == access) {
                let (first, second) = moments(work.quantity * work.task.minutes / 60.0, line_sigma());
                sum += first;
                spread += second - first * first;
            }
            let (median, sigma) = access.map_or((1.0, 0.0), factor);
            let (first, second) = moments(median, sigma);
            // The factor is independent of the lines: E[F²A²] = E[F²] E[A²].
            mean += first * sum;
            variance += second * (spread + sum * sum) - (first * sum) * (first * sum);
        }
        if mean <= 0.0 {
            return Self::default();
        }
        let lines = (1.0 + variance.max(0.0) / (mean * mean)).ln().sqrt();
        let p50 = mean * (-0.5 * lines * lines).exp();
        let sigma = lines.hypot(job_sigma());
        Self { p20: p50 * (-Z80 * sigma).exp(), p50, p80: p50 * (Z80 * sigma).exp() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Uniform numbers in (0, 1] by the multiplicative congruential generator of Park and Miller (1988), and normal ones
    /// from them by Box and Muller: a second, independent way to the same quantiles.
    struct Random(u64);

    impl Random {
        fn uniform(&mut self) -> f64 {
            self.0 = self.0 * 48_271 % 2_147_483_647;
            self.0 as f64 / 2_147_483_647.0
        }
        fn normal(&mut self) -> f64 {
            let (u, v) = (self.uniform(), self.uniform());
            (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
        }
    }

    fn simulate(lines: &[Work], share: f64) -> f64 {
        let mut random = Random(20_261_125);
        let mut totals: Vec<f64> = (0..40_000)
            .map(|_| {
                let factors = Access::ALL.map(|a| {
                    let (median, sigma) = factor(a);
                    median * (sigma * random.normal()).exp()
                });
                let job = (job_sigma() * random.normal()).exp();
                let sum: f64 = lines
                    .iter()
                    .map(|w| {
                        let f = w.access.map_or(1.0, |a| factors[a as usize]);
                        f * w.quantity * w.task.minutes / 60.0 * (line_sigma() * random.normal()).exp()
                    })
                    .sum();
                job * sum
            })
            .collect();
        totals.sort_by(f64::total_cmp);
        totals[(share * 40_000.0) as usize]
    }

    #[test]
    fn one_line_keeps_its_own_median_and_spread() {
        let mut list = WorkList::default();
        list.add(HAND_OVER, 2.0, Access::Finished);
        let hours = list.hours();
        // Worked by hand: twice 30 min is 1 h; both spreads together make P80 exp(√(ln² 1.5 + ln² 1.3)) = 1.62084 times
        // that, and P20 one over it.
        assert!((hours.p50 - 1.0).abs() < 1e-12);
        assert!((hours.p80 - 1.620_84).abs() < 1e-5);
        assert!((hours.p20 - 1.0 / 1.620_84).abs() < 1e-5);
    }

    #[test]
    fn matched_moments_agree_with_a_simulation() {
        let mut list = WorkList::default();
        for (task, quantity) in [(PULL_SET_UP, 4.0), (PULL_METRE, 80.0), (WALL_HOLE, 6.0), (OUTLET, 8.0), (VISIT, 1.0)]
        {
            list.add(task, quantity, Access::Finished);
        }
        list.add(PULL_METRE, 30.0, Access::Solid);
        let hours = list.hours();
        // Whole jobs come out at 1.3 to 1.6 (common practice).
        assert!(hours.p80 / hours.p50 > 1.3 && hours.p80 / hours.p50 < 1.6, "{hours:?}");
        for (ours, share) in [(hours.p20, 0.2), (hours.p50, 0.5), (hours.p80, 0.8)] {
            let simulated = simulate(&list.lines, share);
            // Fenton and Wilkinson's method is good to a few per cent at these spreads.
            assert!((ours / simulated - 1.0).abs() < 0.03, "{ours} h against {simulated} h at {share}");
        }
    }

    #[test]
    fn lines_add_up_to_the_median() {
        let mut list = WorkList::default();
        list.add(OUTLET, 3.0, Access::Finished);
        list.add(PULL_METRE, 50.0, Access::Solid);
        list.add(PULL_METRE, 10.0, Access::Solid);
        let lines = list.lines();
        assert_eq!(lines.len(), 2);
        assert_eq!(lines[1].quantity, 60.0);
        let sum: f64 = lines.iter().map(|l| l.time.value()).sum();
        assert!((sum / 3600.0 - list.hours().p50).abs() < 1e-12);
        assert_eq!(WorkList::default().hours(), Hours::default());
    }

    #[test]
    fn harder_access_takes_longer() {
        let hours = Access::ALL.map(|access| {
            let mut list = WorkList::default();
            list.add(PULL_METRE, 50.0, access);
            list.hours().p50
        });
        assert!(hours.windows(2).all(|w| w[0] < w[1]), "{hours:?}");
    }
}
