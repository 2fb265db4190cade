//! What one channel carries of the loads offered to it, and how long frames wait: a mean-value model made for hundreds of thousands of calls a second.
//!
//! The types, their limits and the door [`Carrier::carry`]; the fixed point is in `carried_solve` and `carried_contend` over the lists of `carried_state`, the delays are in `carried_delay`.

use std::ops::Range;

use units::{BitsPerSecond, Seconds};

use super::carried_delay::delays;
use super::carried_state::{Scratch, Times};
use super::{
    Access, Channel, ContentionError, Frame, FrameError, STATIONS_MAX, beacon_share, check_access, check_channel,
};

/// How a flow's frames take the air: so much once an access, so much for each MPDU.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burst {
    /// Preamble, SIFS, acknowledgement, and RTS and CTS if there are any.
    pub overhead: Seconds,
    /// Each MPDU.
    pub per_mpdu: Seconds,
    /// Payload of an MPDU [bit].
    pub mpdu_bits: f64,
    /// MPDUs in one access at most.
    pub most_mpdus: u32,
    /// What a collision of a full burst holds the channel for: the RTS, or the data.
    pub first: Seconds,
    /// True if an RTS comes first, so that a collision is short whatever the burst.
    pub rts: bool,
}

impl Burst {
    /// The burst of a frame: exact for one MPDU and for the most, a straight line between.
    ///
    /// Between, a rounding of symbols and the longer acknowledgement of an aggregate are spread over the MPDUs: at most the length of one symbol and
    /// 8 µs off.
    ///
    /// # Errors
    /// As [`Frame::exchange`].
    ///
    /// # Example
    /// ```
    /// use radio_profile::Band;
    /// use wlan::contention::{Burst, Frame, Phy};
    /// let frame = Frame::new(Phy::Ofdm { mbps: 54.0 }, Band::Ghz5);
    /// let burst = Burst::of(&frame).unwrap();
    /// assert_eq!(burst.most_mpdus, 1);
    /// assert!((burst.length(1.0).0 - frame.exchange().unwrap().success.0).abs() < 1e-12);
    /// ```
    pub fn of(frame: &Frame) -> Result<Self, FrameError> {
        let (most, _) = frame.data()?;
        let full = frame.exchange()?;
        let single = Frame { mpdus_max: Some(1), ..frame.clone() };
        let one = single.exchange()?.success.0;
        let per_mpdu = if most > 1 { (full.success.0 - one) / f64::from(most - 1) } else { single.data()?.1.0 };
        Ok(Self {
            overhead: Seconds(one - per_mpdu),
            per_mpdu: Seconds(per_mpdu),
            mpdu_bits: full.payload_bits / f64::from(most),
            most_mpdus: most,
            first: full.first,
            rts: !matches!(frame.protection, super::Protection::None),
        })
    }

    /// Length of a burst of so many MPDUs, from its first symbol to the end of the answer.
    #[must_use]
    pub fn length(&self, mpdus: f64) -> Seconds {
        Seconds(self.overhead.0 + mpdus * self.per_mpdu.0)
    }

    /// What a burst of so many MPDUs holds the channel for if it collides.
    #[must_use]
    pub fn lost(&self, mpdus: f64) -> Seconds {
        let shorter = if self.rts { 0.0 } else { (f64::from(self.most_mpdus) - mpdus).max(0.0) * self.per_mpdu.0 };
        Seconds((self.first.0 - shorter).max(0.0))
    }

    /// Payload rate of full bursts back to back, without contention: no offer above it is carried.
    #[must_use]
    pub fn most(&self) -> BitsPerSecond {
        let most = f64::from(self.most_mpdus);
        BitsPerSecond(most * self.mpdu_bits / self.length(most).0)
    }
}

/// Frames of one kind that arrive at a sender for one receiver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// Payload that arrives, as a Poisson process of MPDUs. Zero: the flow is left out.
    pub offered: BitsPerSecond,
    /// How they take the air.
    pub burst: Burst,
}

/// Who contends: a device with its flow, or an access point with one for each device it serves, in turn.
#[derive(Clone, Debug, PartialEq)]
pub struct Sender {
    /// How it contends.
    pub access: Access,
    /// Its flows, as places in the list of flows; no flow may have two senders.
    pub flows: Range<usize>,
}

/// A channel and what others take of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Medium {
    /// Times of the channel. Beacons given here are added to `taken`.
    pub channel: Channel,
    /// Share of time that neighbours hold.
    pub taken: f64,
}

/// What becomes of a flow.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Carried {
    /// Payload rate delivered: the offer, or less if saturated.
    pub throughput: BitsPerSecond,
    /// Mean time from arrival at the sender to the end of the access that delivers it: queue, access and transmission. Infinite if saturated, since the
    /// queue would grow without end; the limit of the queue, and so the real delay, is the caller's.
    pub delay: Seconds,
    /// What 95 % of MPDUs do not pass. Infinite if saturated.
    pub delay_p95: Seconds,
    /// Share of time in which its bursts and their answers are on the air.
    pub airtime: f64,
    /// MPDUs in a burst on average.
    pub mpdus: f64,
    /// True if more is offered than carried.
    pub saturated: bool,
}

/// How the channel's time is spent. The shares sum to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Busy {
    /// Own bursts that arrive.
    pub own: f64,
    /// Own collisions.
    pub collided: f64,
    /// Nothing on the air, waiting times included.
    pub idle: f64,
    /// Neighbours and beacons.
    pub taken: f64,
}

/// Mean length of a neighbour's busy period [s]. An aggregate of some milliseconds with its neighbours' short frames; common practice, no source.
const NEIGHBOUR_PERIOD: f64 = 2e-3;

/// The model, ready to be asked often: it keeps its lists, so that no call after the first of its size allocates.
#[derive(Clone, Debug)]
pub struct Carrier {
    times: Times,
    scratch: Scratch,
}

impl Carrier {
    /// A model of one channel.
    ///
    /// # Errors
    /// [`ContentionError::Channel`] for times out of range or a share that is not a number of 0 or more. A share of 1 or more is allowed: nothing is carried.
    pub fn new(medium: &Medium) -> Result<Self, ContentionError> {
        let channel = &medium.channel;
        check_channel(channel)?;
        if !(medium.taken.is_finite() && medium.taken >= 0.0) {
            let must = "a number, zero or more";
            return Err(ContentionError::Channel { what: "share taken", value: medium.taken, must });
        }
        let times = Times {
            slot: channel.slot.0,
            sifs: channel.sifs.0,
            timeout: channel.sifs.0 + channel.slot.0 + channel.response_start.0,
            eifs_extra: channel.sifs.0 + channel.lowest_ack.0,
            heard: channel.heard,
            taken: (medium.taken + beacon_share(channel)).min(1.0),
            period: NEIGHBOUR_PERIOD,
        };
        Ok(Self { times, scratch: Scratch::default() })
    }

    /// The same with another mean length of the neighbours' busy periods; 2 ms unless told. It moves delays, not what is carried.
    ///
    /// # Errors
    /// [`ContentionError::Channel`] unless it is 0 to 1 s.
    pub fn with_period(mut self, period: Seconds) -> Result<Self, ContentionError> {
        if !(period.0.is_finite() && (0.0..=1.0).contains(&period.0)) {
            let what = "neighbours' busy period [s]";
            return Err(ContentionError::Channel { what, value: period.0, must: "0 to 1 s" });
        }
        self.times.period = period.0;
        Ok(self)
    }

    /// What becomes of the flows, in their order, in place of what `out` held; and how the channel's time is spent.
    ///
    /// # Errors
    /// [`ContentionError::Station`] for access parameters out of range or flows that are not in the list or have two senders;
    /// [`ContentionError::Flow`] for an offer that is not a number of 0 or more, a flow without a sender, or impossible times;
    /// [`ContentionError::TooMany`] above 100,000 senders. `out` is then empty.
    pub fn carry(
        &mut self,
        senders: &[Sender],
        flows: &[Flow],
        out: &mut Vec<Carried>,
    ) -> Result<Busy, ContentionError> {
        out.clear();
        self.load(senders, flows)?;
        out.resize(flows.len(), Carried::default());
        if self.times.taken >= 1.0 {
            let infinite = Seconds(f64::INFINITY);
            for (carried, _) in out.iter_mut().zip(flows).filter(|(_, f)| f.offered.0 > 0.0) {
                *carried = Carried { delay: infinite, delay_p95: infinite, saturated: true, ..Carried::default() };
            }
            return Ok(Busy { taken: 1.0, ..Busy::default() });
        }
        self.scratch.solve(&self.times);
        delays(&self.scratch, &self.times, out);
        Ok(self.scratch.busy(&self.times))
    }

    /// Rounds that the last call took.
    #[must_use]
    pub fn rounds(&self) -> u32 {
        self.scratch.rounds
    }

    /// Checks everything and keeps what has something to send.
    fn load(&mut self, senders: &[Sender], flows: &[Flow]) -> Result<(), ContentionError> {
        if senders.len() > STATIONS_MAX {
            return Err(ContentionError::TooMany { count: senders.len(), what: "senders", most: STATIONS_MAX });
        }
        if flows.len() > STATIONS_MAX {
            return Err(ContentionError::TooMany { count: flows.len(), what: "flows", most: STATIONS_MAX });
        }
        self.scratch.clear(flows.len());
        for (s, sender) in senders.iter().enumerate() {
            let fail =
                |what, value: usize, must| ContentionError::Station { station: s, what, value: value as f64, must };
            let Some(own) = flows.get(sender.flows.clone()) else {
                return Err(fail("end of the range of flows", sender.flows.end, "a range within the list of flows"));
            };
            let class = match self.scratch.class_of(&sender.access) {
                Some(class) => class,
                None => {
                    check_access(s, &sender.access)?;
                    self.scratch.add_class(&sender.access, &self.times)
                }
            };
            for (f, flow) in sender.flows.clone().zip(own) {
                check_flow(f, flow)?;
                if !self.scratch.claim(f) {
                    return Err(fail("flow", f, "of one sender only"));
                }
                if flow.offered.0 > 0.0 {
                    self.scratch.add_flow(s, class, f, flow, &sender.access, &self.times);
                }
            }
        }
        match self.scratch.unclaimed() {
            Some(flow) => Err(ContentionError::Flow { flow, what: "sender", value: 0.0, must: "one" }),
            None => Ok(()),
        }
    }
}

fn check_flow(flow: usize, f: &Flow) -> Result<(), ContentionError> {
    let fail = |what, value, must| Err(ContentionError::Flow { flow, what, value, must });
    let b = &f.burst;
    if !(f.offered.0.is_finite() && f.offered.0 >= 0.0) {
        return fail("offered load [bit/s]", f.offered.0, "a number, zero or more");
    }
    if b.most_mpdus == 0 {
        return fail("MPDUs in a burst", 0.0, "1 or more");
    }
    // Sums that are not numbers fail the comparisons.
    if !(b.mpdu_bits >= 1.0 && b.mpdu_bits.is_finite()) {
        return fail("payload of an MPDU [bit]", b.mpdu_bits, "1 or more");
    }
    if !(b.per_mpdu.0 > 0.0 && b.overhead.0.is_finite()) {
        return fail("time for an MPDU [s]", b.per_mpdu.0, "above 0, with a finite overhead");
    }
    if !(b.length(1.0).0 >= 1e-6 && b.length(f64::from(b.most_mpdus)).0 <= 2.0) {
        return fail("length of a burst [s]", b.length(f64::from(b.most_mpdus)).0, "1 µs to 2 s");
    }
    if !(b.first.0 >= 1e-6 && b.first.0 <= 2.0) {
        return fail("length of the first frame [s]", b.first.0, "1 µs to 2 s");
    }
    Ok(())
}
