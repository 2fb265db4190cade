//! The queue before a line: what a packet waits in a plain one and in a fair one that controls delay. How much is sent is not here.
//!
//! - [`plain_wait`], [`sparse_wait`], [`bulk_wait`]: the three waits
//! - [`plain_loss`]: packets that a full plain queue drops

use crate::queue::{mg1_wait, priority_wait};

/// Length of a full packet on the line [bit]: 1,500 octets, the MTU of Ethernet.
pub const PACKET_BITS: f64 = 12_000.0;
/// What a flow sends in its turn [bit]: 1,514 octets (RFC 8290, section 5.2.1).
pub const QUANTUM_BITS: f64 = 12_112.0;
/// Standing delay that is borne (RFC 8289, section 4.2; RFC 8290, section 5.2.3) [s].
pub const TARGET: f64 = 0.005;
/// Time after which a queue that never falls below the target is shortened (RFC 8289, section 4.3) [s].
pub const INTERVAL: f64 = 0.1;
/// Squared coefficient of variation of the packets' lengths. Packets are short or full: with four of ten of 64 octets it is 0.6; 1 is on the safe side.
const LENGTH_VARIATION: f64 = 1.0;

/// Mean wait in a first-in, first-out queue [s].
///
/// # Model
/// Poisson arrivals of packets of 1,500 octets on average: Pollaczek and Khinchine below saturation, never above what the full queue holds. A flow that
/// takes what it can get brings `used` to 1 and keeps the queue full.
///
/// # Units
/// `rate` in bit/s, `used` the share of it that is sent, `full` in seconds. A rate of 0 waits `full`.
#[must_use]
pub fn plain_wait(rate: f64, used: f64, full: f64) -> f64 {
    let service = PACKET_BITS / rate;
    // Saturation, and whatever is not a number, fills the queue.
    mg1_wait(used.max(0.0) / service, service, LENGTH_VARIATION).map_or(full, |wait| wait.min(full))
}

/// Mean wait of a packet whose flow sends less than its share, in a queue that gives each flow its turn [s].
///
/// # Model
/// RFC 8290: a flow that has nothing waiting is new, and new flows go first. So a packet waits for the rest of the packet on the line, and for the packets
/// of other sparse flows that came before: a queue with priority. It never waits longer than one packet and one quantum of each of the others.
///
/// # Units
/// `rate` in bit/s, `used` the share that all flows send, `sparse` the share that sparse ones send, `others` other sparse flows.
#[must_use]
pub fn sparse_wait(rate: f64, used: f64, sparse: f64, others: f64) -> f64 {
    let packet = PACKET_BITS / rate;
    let longest = packet + others.max(0.0) * QUANTUM_BITS / rate;
    let residual = used.clamp(0.0, 1.0) * packet / 2.0;
    priority_wait(residual, sparse.clamp(0.0, 1.0)).map_or(longest, |wait| wait.min(longest))
}

/// Mean wait of a packet of a flow that sends all that it can, in a queue that gives each flow its turn and controls delay [s].
///
/// # Model
/// Its own queue is held at [`TARGET`], and before each packet the other `others` flows may have their turn. Below saturation the wait is that of the plain
/// queue where this is less.
#[must_use]
pub fn bulk_wait(rate: f64, used: f64, others: f64) -> f64 {
    plain_wait(rate, used, TARGET + others.max(0.0) * QUANTUM_BITS / rate)
}

/// Share of packets that a plain queue drops while transfers keep it full.
///
/// # Model
/// A transfer of rate `B` over a way of round-trip time `RTT` loses `p = 1.5 (MSS / (RTT · B))²`; a first-in, first-out queue drops of all flows alike.
///
/// # Units
/// `each` the rate of one transfer [bit/s], `round_trip` in seconds, the full queue with it. 1 for what is not above 0.
///
/// # References
/// M. Mathis, J. Semke, J. Mahdavi, T. Ott, "The macroscopic behavior of the TCP congestion avoidance algorithm", ACM CCR 27(3), 1997.
#[must_use]
pub fn plain_loss(each: f64, round_trip: f64) -> f64 {
    let in_flight = each * round_trip / PACKET_BITS;
    if in_flight > 0.0 { (1.5 / (in_flight * in_flight)).min(1.0) } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 20 Mbit/s at 80 %: M/M/1 waits 0.8 · 3.0 ms. Full: what the queue holds.
    #[test]
    fn a_plain_queue() {
        assert!((plain_wait(20e6, 0.8, 0.25) - 2.4e-3).abs() < 1e-12);
        assert_eq!((plain_wait(20e6, 1.0, 0.25), plain_wait(20e6, 1.7, 0.25)), (0.25, 0.25));
        assert_eq!((plain_wait(0.0, 0.0, 0.25), plain_wait(f64::NAN, 0.5, 0.25)), (0.25, 0.25));
        let waits: Vec<f64> = (0..=1100).map(|i| plain_wait(20e6, f64::from(i) / 1000.0, 0.25)).collect();
        assert!(waits.windows(2).all(|w| w[0] <= w[1]) && waits[0] == 0.0);
    }

    /// 10 Mbit/s filled by transfers: half a packet of 1.2 ms on the line; 5 % of the others' calls before.
    #[test]
    fn a_fair_queue() {
        assert!((sparse_wait(10e6, 1.0, 0.05, 1.0) - 0.6e-3 / 0.95).abs() < 1e-12);
        assert!((sparse_wait(10e6, 1.0, 0.99, 2.0) - (1.2e-3 + 2.0 * 1.2112e-3)).abs() < 1e-12);
        assert!((bulk_wait(10e6, 1.0, 3.0) - (0.005 + 3.0 * 1.2112e-3)).abs() < 1e-12);
        assert!(bulk_wait(10e6, 0.1, 3.0) < 0.2e-3);
        assert!(sparse_wait(10e6, 1.0, 0.05, 1.0) < plain_wait(10e6, 1.0, 0.25) / 100.0);
    }

    /// 5 Mbit/s and 300 ms: 125 packets under way, one of 10,417 lost.
    #[test]
    fn a_full_queue_drops_few() {
        assert!((plain_loss(5e6, 0.3) - 1.5 / (125.0 * 125.0)).abs() < 1e-12);
        assert_eq!((plain_loss(0.0, 0.3), plain_loss(f64::NAN, 0.3)), (1.0, 1.0));
    }
}
