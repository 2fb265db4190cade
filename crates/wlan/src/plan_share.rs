//! What share of a channel's time an access point gets beside its own kind and the neighbours. Which channel that is, is not decided here.

use site::{Neighbour, Site};
use units::{Db, Dbm};

use crate::Channel;

/// Level at which a station holds back for another's preamble in 20 MHz: -82 dBm (IEEE 802.11-2020, 17.3.10.6).
pub const HOLD_BACK_LEVEL: Dbm = Dbm(-82.0);

/// Share of time taken for a neighbour whose load is not known. Common practice, no source.
pub const ASSUMED_NEIGHBOUR_LOAD: f64 = 0.3;

/// Time lost to collisions among n saturated senders, each having `1/n` of the time left: `n (1 + A (n - 1) / (1 + B (n - 1)))` is how many times
/// less each carries than alone. Fitted to [`crate::contention::saturated`] for 1 to 8 stations of best effort with full aggregates, within 0.5 %
/// (`tests/plan_contention.rs` holds it to 1 %).
const COLLISION_RISE: f64 = 0.0715;
const COLLISION_BEND: f64 = 0.075;

/// Weight of a station heard at a level: 1 where one holds back for it, falling with its power below that. Unknown levels count in full.
///
/// # Model
/// Below the level both send at once, and the other's power is noise. With a wanted signal at -60 dBm, receiver noise of -95 dBm in 20 MHz and rates by
/// Shannon, such noise costs `log(1 + S/N) / log(1 + S/(N + I)) - 1`; levels spread by 6 dB about their mean (shadowing) decide who holds back.
/// The straight line in decibels is continuous and within 0.15 of that mean below -84 dBm; it is too careful near -82 dBm, by 0.31 at most (unit test).
pub(crate) fn weight(level: f64) -> f64 {
    if level.is_nan() { 1.0 } else { 10f64.powf((level - HOLD_BACK_LEVEL.0) / 10.0).min(1.0) }
}

/// Level in 20 MHz of a signal that is spread evenly over its width: what preambles are heard by, since each 20 MHz has its own.
pub(crate) fn in_20_mhz(level: Dbm, width_mhz: f64) -> Dbm {
    if width_mhz > 20.0 { level - Db::from_ratio(width_mhz / 20.0) } else { level }
}

/// Load of a neighbour, 0 to 1.
pub(crate) fn load(neighbour: &Neighbour) -> f64 {
    neighbour.load.filter(|l| l.is_finite()).map_or(ASSUMED_NEIGHBOUR_LOAD, |l| l.clamp(0.0, 1.0))
}

/// Neighbours on a channel.
pub(crate) fn neighbours_on<'a>(site: &'a Site, channel: &Channel) -> impl Iterator<Item = &'a Neighbour> {
    let (low, high) = channel.edges_mhz();
    site.neighbours.iter().filter(move |n| {
        let (centre, half) = (n.centre.mhz(), n.width.mhz() / 2.0);
        centre - half < high && low < centre + half
    })
}

/// What is on a channel besides own access points: load and weight of each neighbour, by load.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Air(Vec<(f64, f64)>);

impl Air {
    pub fn of(site: &Site, channel: &Channel) -> Self {
        let mut on_it: Vec<(f64, f64)> = neighbours_on(site, channel).map(|n| (load(n), weight(n.level.0))).collect();
        on_it.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        Self(on_it)
    }

    /// Share of time that the neighbours want, at most 1.
    pub fn wanted(&self) -> f64 {
        self.0.iter().map(|(load, weight)| load * weight).sum::<f64>().min(1.0)
    }

    /// How many times less a saturated access point carries than alone, beside own ones whose weights add up to `own`.
    ///
    /// Every sender gets what it wants, up to a share that is the same for all who want more; access points want all.
    pub fn contention(&self, own: f64) -> f64 {
        let mut met = 0.0;
        let mut open: f64 = 1.0 + own + self.0.iter().map(|(_, weight)| weight).sum::<f64>();
        for (load, weight) in &self.0 {
            if (1.0 - met) <= load * open {
                break;
            }
            met += load * weight;
            open -= weight;
        }
        let senders = open.max(1.0) / (1.0 - met);
        let others = senders - 1.0;
        senders * (1.0 + COLLISION_RISE * others / (1.0 + COLLISION_BEND * others))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn air(neighbours: &[(f64, f64)]) -> Air {
        let mut sorted = neighbours.to_vec();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        Air(sorted)
    }

    #[test]
    fn small_loads_are_met_and_large_ones_share() {
        let senders = |n: f64| n * (1.0 + COLLISION_RISE * (n - 1.0) / (1.0 + COLLISION_BEND * (n - 1.0)));
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
        close(air(&[]).contention(0.0), 1.0);
        close(air(&[]).contention(2.0), senders(3.0));
        // 0.2 is met; 0.8 is left.
        close(air(&[(0.2, 1.0)]).contention(0.0), senders(1.0 / 0.8));
        // One that wants all is one more sender.
        close(air(&[(1.0, 1.0)]).contention(0.0), senders(2.0));
        // 0.1 is met; of the 0.9 left, two that want half and an own one get 0.3 each.
        close(air(&[(0.5, 1.0), (0.1, 1.0), (0.5, 1.0)]).contention(0.0), senders(3.0 / 0.9));
        close(air(&[(0.0, 1.0)]).contention(1.0), senders(2.0));
    }

    /// The weight's derivation, integrated over the spread of levels.
    #[test]
    fn the_weight_is_near_its_derivation() {
        let linear = |db: f64| 10f64.powf(db / 10.0);
        let (signal, noise) = (linear(-60.0), linear(-95.0));
        let loss = |level: f64| {
            if level >= HOLD_BACK_LEVEL.0 {
                1.0
            } else {
                (1.0 + signal / noise).ln() / (1.0 + signal / (noise + linear(level))).ln() - 1.0
            }
        };
        for level in -110..=-60 {
            let steps = (-40..=40).map(|k| f64::from(k) / 10.0);
            let (sum, all) = steps.fold((0.0, 0.0), |(sum, all), z| {
                let density = (-z * z / 2.0).exp();
                (sum + density * loss(f64::from(level) + 6.0 * z), all + density)
            });
            let off = sum / all - weight(f64::from(level));
            let is_near = if level < -84 { off.abs() < 0.15 } else { off > -0.32 && off < 0.0 };
            assert!(is_near, "{level} dBm: {off}");
        }
        assert_eq!(weight(f64::NAN), 1.0);
        assert_eq!(weight(f64::NEG_INFINITY), 0.0);
    }
}
