//! The lists that [`super::Carrier`] works on, kept from call to call. The fixed point over them is in `carried_solve`.

use super::carried::Flow;
use super::{Access, Countdown};

/// Backoff stages that are followed; the chance to fail more often is nothing unless thousands contend.
pub(super) const STAGES: usize = 16;
/// What all senders share [s].
#[derive(Clone, Copy, Debug)]
pub(super) struct Times {
    pub slot: f64,
    pub sifs: f64,
    /// From the end of an unanswered frame until its sender gives up.
    pub timeout: f64,
    /// What EIFS is longer than the ordinary waiting time.
    pub eifs_extra: f64,
    /// Share of bystanders that wait EIFS.
    pub heard: f64,
    /// Share of time of neighbours and beacons.
    pub taken: f64,
    /// Mean length of their busy periods.
    pub period: f64,
}

/// Senders with the same access parameters.
#[derive(Clone, Debug)]
pub(super) struct Class {
    access: Access,
    /// Mean backoff of each stage [slots].
    pub backoff: [f64; STAGES + 1],
    pub stages: usize,
    /// From the end of a busy period to the first slot boundary that it may use [s].
    pub start: f64,
    /// Senders of it that are active.
    pub active: usize,
    /// Boundaries that it must let pass after a busy period, since others may start earlier.
    pub zone: f64,
    /// What its odds are worth, averaged over all boundaries.
    pub worth: f64,
    /// Chance that none of its senders starts at a boundary that it may use, and boundaries of that kind.
    pub quiet: f64,
    pub boundaries: f64,
    /// Mean odds of its senders when loaded.
    pub weight: f64,
    /// Sum of its senders' odds at a boundary that it may use.
    pub odds: f64,
    /// Idle boundaries that it may use, and their share of those that it may use.
    pub idle: f64,
    pub quiet_share: f64,
    /// Slots of a backoff that pass with its waiting time.
    pub counted: f64,
    /// Time that others go before a frame of it while senders come and go [s].
    pub meet: f64,
}

/// A sender with something to send.
#[derive(Clone, Debug)]
pub(super) struct Active {
    pub class: usize,
    pub first: usize,
    pub end: usize,
    /// Odds to start at a boundary while loaded, averaged over all boundaries.
    pub ready: f64,
    /// Odds at a boundary that it may use, over all time.
    pub raw: f64,
    /// The same over all time.
    pub odds: f64,
    /// Share of time in which it has something to send or sends.
    pub busy: f64,
    /// Chance that it waits when a transmission of another ends that others wait for.
    pub there: f64,
    /// What its odds gain since stations do not all meet after a collision.
    pub gain: f64,
    /// A turn [s].
    pub cycle: f64,
    /// MPDUs a second that arrive, and accesses.
    pub arrivals: f64,
    pub rate: f64,
    /// Mean and mean square of an access and the waiting time after it [s], [s²].
    pub hold: f64,
    pub hold2: f64,
    /// Mean length of a collision [s].
    pub lost: f64,
    /// Chance that an attempt fails; slots counted if the first succeeds, and if the second does, as parts of the mean.
    pub fails: f64,
    pub first_slots: f64,
    pub second_slots: f64,
    /// Collisions for each success while loaded.
    pub collisions: f64,
    /// Time that it takes of the channel whatever the others do, as a share; and time for each of its starts [s].
    pub fixed: f64,
    pub shared: f64,
    /// Wait of a frame that finds the sender idle, mean [s] and mean square [s²], and the chance that it waits at all.
    pub setup: f64,
    pub setup2: f64,
    pub met: f64,
    /// Time of a round of the loaded flows [s].
    pub round: f64,
}

/// A flow with something to send.
#[derive(Clone, Debug)]
pub(super) struct Stream {
    pub place: usize,
    /// MPDUs a second.
    pub arrivals: f64,
    pub overhead: f64,
    pub per_mpdu: f64,
    pub bits: f64,
    pub most: f64,
    /// Length of a collision of a full burst, and what each MPDU less makes it shorter [s]; MPDUs of one exchange.
    first: f64,
    shorter: f64,
    whole: f64,
    /// MPDUs in a burst.
    pub mpdus: f64,
    /// MPDUs that arrive in a turn.
    pub load: f64,
    /// Chance that none arrives in a turn.
    pub none: f64,
    /// Share of time in which it has something to send or sends.
    pub busy: f64,
    /// Accesses a second.
    pub rate: f64,
    /// A turn of its own, and the turn with those of the sender's other flows [s].
    pub access: f64,
    pub cycle: f64,
    /// Wait of a frame that finds the flow idle [s], and the chance that it finds the sender at work for others.
    pub setup: f64,
    pub engaged: f64,
    pub saturated: bool,
}

impl Class {
    /// First three moments of the slots that a frame counts until it succeeds, if attempts fail with a chance.
    pub fn slots(&self, fails: f64) -> [f64; 3] {
        let (mut mean, mut second, mut third) = (0.0, 0.0, 0.0);
        let (mut sum, mut variance, mut share) = (0.0, 0.0, 1.0);
        for (stage, backoff) in self.backoff.iter().take(self.stages).enumerate() {
            // Uniform whole numbers from 0: this variance, no skew. What is left after the last stage counts with it.
            sum += backoff;
            variance += backoff * (backoff + 1.0) / 3.0;
            let ends = if stage + 1 == self.stages { share } else { share * (1.0 - fails) };
            mean += ends * sum;
            second += ends * (sum * sum + variance);
            third += ends * (sum * sum * sum + 3.0 * sum * variance);
            share *= fails;
        }
        [mean, second, third]
    }
}

impl Stream {
    /// Length of its burst if it collides [s].
    pub fn lost(&self) -> f64 {
        (self.first - self.shorter * (self.whole - self.mpdus).max(0.0)).max(0.0)
    }
}

/// Lists that live from call to call.
#[derive(Clone, Debug, Default)]
pub(super) struct Scratch {
    pub classes: Vec<Class>,
    pub senders: Vec<Active>,
    pub streams: Vec<Stream>,
    claimed: Vec<bool>,
    pub by_length: Vec<usize>,
    last_sender: Option<usize>,
    pub totals: Totals,
    pub rounds: u32,
}

/// Sums over all senders.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Totals {
    /// Waiting time after a busy period before the first boundary [s].
    pub start: f64,
    pub fixed: f64,
    pub shared: f64,
    pub odds: f64,
    /// Collisions for each idle boundary; the length of one, the waiting times after it, and both [s].
    pub collisions: f64,
    pub lost: f64,
    pub after: f64,
    pub collision: f64,
    /// Mean length of one sender's lost frame, and time of collisions for each success [s].
    pub mean_lost: f64,
    pub each: f64,
    /// Chance that none of those that wait starts at a boundary; collisions a second.
    pub together: f64,
    pub clashes: f64,
    /// Time for each idle boundary [s].
    pub boundary: f64,
    /// Share of time on the air, and half the sum of squares of that [s].
    pub held: f64,
    pub residual: f64,
    pub residual2: f64,
    /// Share of meetings at a boundary that collide.
    pub clash: f64,
    /// How much more often others wait where one does.
    pub crowd: f64,
    pub end: f64,
    /// One over the share of time that neighbours leave.
    pub by_free: f64,
    /// What neighbours and their waiting times take.
    pub taken: f64,
}

impl Scratch {
    pub fn clear(&mut self, flows: usize) {
        self.senders.clear();
        self.streams.clear();
        self.claimed.clear();
        self.claimed.resize(flows, false);
        self.last_sender = None;
        if self.classes.len() > 64 {
            self.classes.clear();
        }
        self.classes.iter_mut().for_each(|c| c.active = 0);
    }

    pub fn class_of(&self, access: &Access) -> Option<usize> {
        self.classes.iter().position(|c| c.access == *access)
    }

    pub fn add_class(&mut self, access: &Access, times: &Times) -> usize {
        let dcf = access.countdown == Countdown::Dcf;
        let mut backoff = [0.0; STAGES + 1];
        let least = f64::from(access.cw_min) + 1.0;
        let most = f64::from(access.cw_max) + 1.0;
        for (stage, mean) in (0..).zip(&mut backoff) {
            *mean = ((least * 2.0_f64.powi(stage)).min(most) - 1.0) / 2.0;
        }
        // DCF counts at the end of each idle slot, so that its first boundary is one slot later and that slot is part of the count.
        let start = times.sifs + (f64::from(access.aifsn) + if dcf { 1.0 } else { 0.0 }) * times.slot;
        self.classes.push(Class {
            access: *access,
            backoff,
            stages: (access.retry_limit as usize).min(STAGES) + 1,
            start,
            active: 0,
            zone: 0.0,
            worth: 1.0,
            quiet: 1.0,
            boundaries: 1.0,
            weight: 0.0,
            odds: 0.0,
            idle: 0.0,
            quiet_share: 1.0,
            counted: if dcf { 1.0 } else { 0.0 },
            meet: 0.0,
        });
        self.classes.len() - 1
    }

    /// True if the flow had no sender so far.
    pub fn claim(&mut self, flow: usize) -> bool {
        self.claimed.get_mut(flow).is_some_and(|c| !std::mem::replace(c, true))
    }

    pub fn unclaimed(&self) -> Option<usize> {
        self.claimed.iter().position(|c| !c)
    }

    pub fn add_flow(&mut self, sender: usize, class: usize, place: usize, flow: &Flow, access: &Access, times: &Times) {
        let b = &flow.burst;
        let mut most = f64::from(b.most_mpdus);
        let (mut overhead, mut per_mpdu) = (b.overhead.0, b.per_mpdu.0);
        // Several exchanges in one access, drawn as one burst: exact for one MPDU and for the most.
        let full = b.length(most).0 + times.sifs;
        let number = ((access.txop_limit.0 + times.sifs) / full + 1e-9).floor();
        if number >= 2.0 {
            let one = overhead + per_mpdu;
            let all = most * number;
            per_mpdu = (number * full - times.sifs - one) / (all - 1.0);
            overhead = one - per_mpdu;
            most = all;
        }
        let stream = self.streams.len();
        self.streams.push(Stream {
            place,
            arrivals: flow.offered.0 / b.mpdu_bits,
            overhead,
            per_mpdu,
            bits: b.mpdu_bits,
            most,
            first: b.first.0,
            shorter: if b.rts { 0.0 } else { b.per_mpdu.0 },
            whole: f64::from(b.most_mpdus),
            mpdus: 1.0,
            load: 0.0,
            none: 1.0,
            busy: 0.0,
            rate: 0.0,
            access: overhead + per_mpdu,
            cycle: overhead + per_mpdu,
            setup: 0.0,
            engaged: 0.0,
            saturated: false,
        });
        if self.last_sender == Some(sender) {
            if let Some(last) = self.senders.last_mut() {
                last.end = stream + 1;
                last.arrivals += flow.offered.0 / b.mpdu_bits;
            }
            return;
        }
        self.last_sender = Some(sender);
        if let Some(c) = self.classes.get_mut(class) {
            c.active += 1;
        }
        self.senders.push(Active {
            class,
            first: stream,
            end: stream + 1,
            ready: 0.1,
            raw: 0.0,
            odds: 0.0,
            busy: 0.0,
            there: 0.0,
            gain: 1.0,
            cycle: 0.0,
            arrivals: flow.offered.0 / b.mpdu_bits,
            rate: 0.0,
            hold: 0.0,
            hold2: 0.0,
            lost: 0.0,
            fails: 0.0,
            first_slots: 1.0,
            second_slots: 1.0,
            collisions: 0.0,
            fixed: 0.0,
            shared: 0.0,
            setup: 0.0,
            setup2: 0.0,
            met: 0.0,
            round: 0.0,
        });
    }
}
