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
//!
//! # Validity
//! Within 3 % of a simulation at P20, P50 and P80 for the spreads used here. Matching two moments puts the median of a
//! sum with one dominant wide line a little low; the tests hold such mixes against the simulation, too.

use equipment::Access;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::tasks::Work;

/// Quantile of the standard normal distribution at 80 %.
const Z80: f64 = 0.841_621_233_572_914_2;
/// Quantile of the standard normal distribution at 90 %.
const Z90: f64 = 1.281_551_565_544_600_4;
/// P80 over P50 of one line of work (common practice, no source: 1.3 to 1.6).
const LINE_P80_OVER_P50: f64 = 1.5;
/// P80 over P50 of what all lines of a job share (common practice, no source: with the lines' own spread, totals of
/// whole jobs then come out at 1.3 to 1.6, which is what is usual).
const JOB_P80_OVER_P50: f64 = 1.3;

/// The total time of the work, in hours of one person.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Hours {
    /// One job in five takes less [h].
    pub p20: f64,
    /// Half of all jobs take less [h].
    pub p50: f64,
    /// One job in five takes more [h].
    pub p80: f64,
}

/// The factor on the time in the open: ends of its usual range (common practice, no source; outside as in an attic).
#[must_use]
pub const fn access_factors(access: Access) -> (f64, f64) {
    match access {
        Access::OpenWalls => (1.0, 1.0),
        Access::AtticOrCrawlSpace | Access::Outside => (1.5, 2.0),
        Access::Finished => (2.0, 4.0),
        Access::Solid => (3.0, 6.0),
    }
}

/// Spread of the logarithm of a line's time.
pub(super) fn line_sigma() -> f64 {
    LINE_P80_OVER_P50.ln() / Z80
}

/// Spread of the logarithm of what all lines share.
pub(super) fn job_sigma() -> f64 {
    JOB_P80_OVER_P50.ln() / Z80
}

/// Median and spread of the logarithm of an access factor: its usual range is read as P10 to P90.
pub(super) fn factor(access: Access) -> (f64, f64) {
    let (low, high) = access_factors(access);
    ((low * high).sqrt(), (high / low).ln() / (2.0 * Z90))
}

/// Mean and second moment of a lognormal with a median and a spread of its logarithm.
fn moments(median: f64, sigma: f64) -> (f64, f64) {
    (median * (0.5 * sigma * sigma).exp(), median * median * (2.0 * sigma * sigma).exp())
}

/// Mean time of a line, access included [h].
pub(super) fn mean_hours(work: &Work) -> f64 {
    let (mean, _) = moments(work.quantity * work.task.minutes / 60.0, line_sigma());
    work.access.map_or(mean, |access| {
        let (median, sigma) = factor(access);
        mean * moments(median, sigma).0
    })
}

impl Hours {
    /// The total of lines of work.
    pub(super) fn of(lines: &[Work]) -> Self {
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
    use super::super::tasks::{self, WorkList};
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

    fn simulate(lines: &[Work]) -> [f64; 3] {
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
        [0.2, 0.5, 0.8].map(|share| totals[(share * 40_000.0) as usize])
    }

    #[test]
    fn one_line_keeps_its_own_median_and_spread() {
        let mut list = WorkList::default();
        list.add(tasks::HAND_OVER, 2.0, Access::Finished);
        let hours = Hours::of(&list.lines);
        // Worked by hand: twice 30 min is 1 h; both spreads together make P80 exp(√(ln² 1.5 + ln² 1.3)) = 1.62084 times
        // that, and P20 one over it.
        assert!((hours.p50 - 1.0).abs() < 1e-12);
        assert!((hours.p80 - 1.620_84).abs() < 1e-5);
        assert!((hours.p20 - 1.0 / 1.620_84).abs() < 1e-5);
    }

    #[test]
    fn matched_moments_agree_with_a_simulation() {
        let jobs: [&[(tasks::Task, f64, Access)]; 4] = [
            &[
                (tasks::PULL_SET_UP, 4.0, Access::Finished),
                (tasks::PULL_METRE, 80.0, Access::Finished),
                (tasks::WALL_HOLE, 6.0, Access::Finished),
                (tasks::OUTLET, 8.0, Access::Finished),
                (tasks::VISIT, 1.0, Access::OpenWalls),
                (tasks::PULL_METRE, 30.0, Access::Solid),
            ],
            // An open building: nothing but independent lines.
            &[
                (tasks::PULL_SET_UP, 24.0, Access::OpenWalls),
                (tasks::PULL_METRE, 300.0, Access::OpenWalls),
                (tasks::OUTLET, 24.0, Access::OpenWalls),
                (tasks::TEST, 24.0, Access::OpenWalls),
                (tasks::VISIT, 6.0, Access::OpenWalls),
            ],
            // One wide line that dominates.
            &[(tasks::CHASE_METRE, 40.0, Access::Solid), (tasks::OUTLET, 4.0, Access::OpenWalls)],
            &[
                (tasks::PULL_METRE, 60.0, Access::AtticOrCrawlSpace),
                (tasks::PULL_METRE, 15.0, Access::Outside),
                (tasks::PULL_METRE, 25.0, Access::Finished),
                (tasks::WALL_HOLE, 4.0, Access::Solid),
                (tasks::VISIT, 2.0, Access::OpenWalls),
            ],
        ];
        for job in jobs {
            let mut list = WorkList::default();
            for &(task, quantity, access) in job {
                list.add(task, quantity, access);
            }
            let hours = Hours::of(&list.lines);
            for (ours, simulated) in [hours.p20, hours.p50, hours.p80].into_iter().zip(simulate(&list.lines)) {
                assert!((ours / simulated - 1.0).abs() < 0.03, "{ours} h against {simulated} h: {:?}", list.lines);
            }
        }
    }

    #[test]
    fn whole_jobs_spread_as_jobs_do() {
        let mut list = WorkList::default();
        for (task, quantity) in
            [(tasks::PULL_SET_UP, 4.0), (tasks::PULL_METRE, 80.0), (tasks::WALL_HOLE, 6.0), (tasks::OUTLET, 8.0)]
        {
            list.add(task, quantity, Access::Finished);
        }
        let hours = Hours::of(&list.lines);
        // 1.3 to 1.6 (common practice).
        assert!(hours.p80 / hours.p50 > 1.3 && hours.p80 / hours.p50 < 1.6, "{hours:?}");
    }

    #[test]
    fn harder_access_takes_longer() {
        let hours = Access::ALL.map(|access| {
            let mut list = WorkList::default();
            list.add(tasks::PULL_METRE, 50.0, access);
            Hours::of(&list.lines).p50
        });
        assert!(hours.windows(2).all(|w| w[0] <= w[1]), "{hours:?}");
        assert!(hours[0] < hours[1] && hours[2] < hours[3] && hours[3] < hours[4], "{hours:?}");
    }
}
