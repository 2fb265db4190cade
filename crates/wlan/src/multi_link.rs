//! What a device gets that uses several bands for one association (802.11be). What each band's link carries alone is `link`'s.

use radio_profile::{Band, MultiLink};
use units::{BitsPerSecond, Seconds};

use crate::goodput::{MacConfig, acknowledgement, control_frame, sifs};
use crate::link::LinkBudget;

/// One link of an association, on a channel of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MemberLink {
    /// Its band.
    pub band: Band,
    /// Payload rate towards the device, alone on the channel.
    pub down: BitsPerSecond,
    /// Payload rate from the device.
    pub up: BitsPerSecond,
    /// Share of the time that others leave the channel free, 0 to 1.
    pub free: f64,
}

impl MemberLink {
    /// The link of a band by its budget.
    #[must_use]
    pub const fn of(band: Band, budget: &LinkBudget, free: f64) -> Self {
        Self { band, down: budget.down, up: budget.up, free }
    }
}

/// Waiting times of a device with a single radio that listens in several bands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SwitchTimes {
    /// Padding of the frame that calls it (EMLSR padding delay: 0, 32, 64, 128 or 256 µs).
    pub padding: Seconds,
    /// Time to listen in all bands again (EMLSR transition delay: 0, 16, 32, 64, 128 or 256 µs).
    pub transition: Seconds,
}

impl Default for SwitchTimes {
    /// 64 µs each: a generic figure, in the middle of what IEEE 802.11be-2024, Table 9-401i (from memory) allows.
    fn default() -> Self {
        Self { padding: Seconds(64e-6), transition: Seconds(64e-6) }
    }
}

/// What the links of an association give together.
#[derive(Clone, Debug, PartialEq)]
pub struct MultiLinkRate {
    /// How they are used: the lesser of what the two ends can.
    pub kind: MultiLink,
    /// Payload rate towards the device.
    pub down: BitsPerSecond,
    /// Payload rate from the device.
    pub up: BitsPerSecond,
    /// Bands used, the fastest towards the device first.
    pub bands: Vec<Band>,
    /// Mean share of the time that at least one of the channels is free.
    pub free: f64,
}

/// What a device gets over the links that it has with one access point; nothing if there is none that carries anything both ways.
///
/// # Model
/// - [`MultiLink::None`] at either end: the link that gives most in its worse direction, times its free share.
/// - [`MultiLink::Simultaneous`] at both ends: the sum over the links, each times its free share.
/// - else [`MultiLink::SingleRadio`]: one exchange at a time, in the fastest channel that is free just then, channels independent:
///   `Σ rate_i · free_i · Π (1 - free_j)` over the faster j. Each exchange of 5.484 ms is lengthened by the call before it (a MU-RTS of 33 octets with
///   its padding, CTS and two SIFS at 6 Mbit/s; towards the device only) and by the transition after it.
///
/// # Validity
/// Full queues in both directions in turn. Not modelled: leakage between own bands that keeps a device from sending in one while it receives in the
/// other (so that the sum is an upper bound for 5 and 6 GHz close together), reordering over links, link switches in the middle of an exchange,
/// what other stations gain from the channel that is left. Rates or shares that are not numbers, and shares outside 0 to 1, leave a link out.
///
/// # References
/// IEEE 802.11be-2024, 35.3.16 and 35.3.17.
#[must_use]
pub fn multi_link(ap: MultiLink, client: MultiLink, links: &[MemberLink], times: SwitchTimes) -> Option<MultiLinkRate> {
    let sound = |l: &&MemberLink| {
        l.down.is_finite() && l.up.is_finite() && l.down.0 > 0.0 && l.up.0 > 0.0 && (0.0..=1.0).contains(&l.free)
    };
    let mut usable: Vec<MemberLink> = links.iter().filter(sound).copied().collect();
    usable.sort_by(|a, b| b.down.total_cmp(&a.down).then(b.up.total_cmp(&a.up)).then(a.band.cmp(&b.band)));
    // One radio a band: of two links in a band the faster one counts.
    let mut taken = [false; Band::ALL.len()];
    usable.retain(|l| taken.get_mut(l.band.index()).is_some_and(|t| !std::mem::replace(t, true)));
    let kind = if usable.len() < 2 { MultiLink::None } else { ap.min(client) };
    if kind == MultiLink::None {
        let worse = |l: &MemberLink| l.down.0.min(l.up.0) * l.free;
        let best = usable.into_iter().reduce(|best, l| if worse(&l) > worse(&best) { l } else { best })?;
        return Some(MultiLinkRate {
            kind,
            down: best.down * best.free,
            up: best.up * best.free,
            bands: vec![best.band],
            free: best.free,
        });
    }
    let free = 1.0 - usable.iter().map(|l| 1.0 - l.free).product::<f64>();
    let bands = usable.iter().map(|l| l.band).collect();
    let all = |rate: &dyn Fn(&MemberLink) -> f64| match kind {
        MultiLink::Simultaneous => usable.iter().map(|l| rate(l) * l.free).sum::<f64>(),
        _ => fastest_free(&usable, rate),
    };
    let (mut down, mut up) = (all(&|l| l.down.0), all(&|l| l.up.0));
    if kind == MultiLink::SingleRadio {
        let exchange = MacConfig::default().ppdu_max.0;
        // Not a number counts as no time.
        let (padding, transition) = (times.padding.0.max(0.0), times.transition.0.max(0.0));
        let slowest = usable.iter().map(|l| l.band).max().unwrap_or(Band::Ghz5);
        let call = control_frame(MU_RTS_OCTETS, BITS_PER_SYMBOL)
            + padding
            + control_frame(acknowledgement(1), BITS_PER_SYMBOL)
            + 2.0 * sifs(slowest);
        down *= exchange / (exchange + call + transition);
        up *= exchange / (exchange + transition);
    }
    Some(MultiLinkRate { kind, down: BitsPerSecond(down), up: BitsPerSecond(up), bands, free })
}

/// Trigger frame of type MU-RTS for one station: header 16, common field 8, one user's field 5, FCS 4 (IEEE 802.11ax-2021, 9.3.1.22).
const MU_RTS_OCTETS: u32 = 33;
/// Data bits of a 4 µs symbol at 6 Mbit/s (IEEE 802.11-2020, Table 17-4).
const BITS_PER_SYMBOL: f64 = 24.0;

/// Mean rate of the fastest link whose channel is free, times the chance that one is.
fn fastest_free(links: &[MemberLink], rate: &dyn Fn(&MemberLink) -> f64) -> f64 {
    let mut order: Vec<&MemberLink> = links.iter().collect();
    order.sort_by(|a, b| rate(b).total_cmp(&rate(a)));
    let mut none_faster = 1.0;
    let mut sum = 0.0;
    for link in order {
        sum += none_faster * link.free * rate(link);
        none_faster *= 1.0 - link.free;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    fn link(band: Band, down: f64, free: f64) -> MemberLink {
        MemberLink { band, down: BitsPerSecond::from_mbps(down), up: BitsPerSecond::from_mbps(down / 2.0), free }
    }

    const SINGLE: MultiLink = MultiLink::SingleRadio;
    const BOTH: MultiLink = MultiLink::Simultaneous;
    const NO_WAIT: SwitchTimes = SwitchTimes { padding: Seconds(0.0), transition: Seconds(0.0) };

    #[test]
    fn two_radios_add_up_and_one_radio_takes_what_is_free() {
        let links = [link(Band::Ghz5, 800.0, 0.5), link(Band::Ghz6, 1000.0, 0.6)];
        let both = multi_link(BOTH, BOTH, &links, NO_WAIT).unwrap();
        assert!((both.down.mbps() - (400.0 + 600.0)).abs() < 1e-9);
        assert_eq!(both.bands, [Band::Ghz6, Band::Ghz5]);
        assert!((both.free - 0.8).abs() < 1e-12);
        // 0.6 of the time 1000, and 0.4 · 0.5 of it 800.
        let single = multi_link(BOTH, SINGLE, &links, NO_WAIT).unwrap();
        // The call: MU-RTS 68 µs, CTS 44 µs, two SIFS of 16 µs.
        assert!((single.down.mbps() - 760.0 * 5484.0 / (5484.0 + 144.0)).abs() < 1e-6, "{single:?}");
        assert!((single.up.mbps() - 380.0).abs() < 1e-9);
        let none = multi_link(BOTH, MultiLink::None, &links, NO_WAIT).unwrap();
        assert_eq!((none.down.mbps(), none.bands), (600.0, vec![Band::Ghz6]));
    }

    #[test]
    fn links_that_carry_nothing_are_left_out_and_order_does_not_matter() {
        let bad = [link(Band::Ghz2, f64::NAN, 1.0), link(Band::Ghz5, 100.0, f64::NAN), link(Band::Ghz6, 0.0, 1.0)];
        assert_eq!(multi_link(BOTH, BOTH, &bad, NO_WAIT), None);
        assert_eq!(multi_link(BOTH, BOTH, &[], NO_WAIT), None);
        let good = [link(Band::Ghz2, 90.0, 0.3), link(Band::Ghz5, 800.0, 0.5), link(Band::Ghz6, 1000.0, 0.6)];
        let with_bad = [bad[1], good[2], good[0], bad[0], good[1]];
        for kind in [MultiLink::None, SINGLE, BOTH] {
            let times = SwitchTimes::default();
            assert_eq!(multi_link(kind, BOTH, &good, times), multi_link(kind, BOTH, &with_bad, times));
        }
        // One usable link is no multi-link.
        assert_eq!(multi_link(BOTH, SINGLE, &good[..1], NO_WAIT).unwrap().kind, MultiLink::None);
    }
}
