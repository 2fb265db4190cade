//! How the packets of a stream take the air: size, mode, and how many come together. Who sends when is not here.

use std::collections::BTreeMap;

use household::ActivityKind;
use radio_profile::{Band, Generation};
use wlan::contention::{Burst, Channel, Frame, Phy, Protection};

use crate::evening::{AirLink, HourInput};
use crate::evening_network::Way;
use crate::hour::Cause;

/// Rate of RTS where there is one [Mbit/s]: the highest mandatory one of OFDM (IEEE 802.11-2020, 17.2.3.4).
const RTS_MBPS: f64 = 24.0;
/// Arbitration slots and mean backoff slots of best effort (IEEE 802.11-2020, Table 9-155).
pub(crate) const WAITING_SLOTS: f64 = 3.0 + 7.5;

/// Payload of a packet [octets]: calls with pictures 1,200 (what fits any way, from memory), with sound 160 and 12 of RTP (20 ms of G.711), messages of
/// things 100 (common practice, no source), else full packets.
const fn payload(kind: ActivityKind) -> u32 {
    match kind {
        ActivityKind::VideoCall => 1200,
        ActivityKind::VoiceCall => 172,
        ActivityKind::Telemetry => 100,
        _ => 1472,
    }
}

pub(crate) const fn minds_waiting(kind: ActivityKind) -> bool {
    matches!(kind, ActivityKind::VideoCall | ActivityKind::VoiceCall | ActivityKind::Game | ActivityKind::Telemetry)
}

/// Octets that a sender of files hands over at once (segmentation offload, common practice), and pictures a second of a camera (common practice).
const HANDED_OVER: f64 = 65_536.0;
const PICTURES: f64 = 25.0;

/// How packets of a stream come to a sender.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Arrival {
    pub kind: ActivityKind,
    pub way: Way,
    pub cause: Cause,
    /// Rate of one device [bit/s].
    pub rate: f64,
    /// Rate at which a train of packets comes in [bit/s].
    pub train: f64,
}

impl Arrival {
    /// Packets that are on hand together.
    ///
    /// Calls, games and messages are paced: one. Pages, streams and files come in trains at the rate of the line: while one aggregate waits and is sent,
    /// the next gathers, so that its length `n` settles at `λ (o + n t)`. What a device sends itself it has at hand in whole.
    fn bunch(&self, burst: &Burst, waiting: f64) -> f64 {
        if minds_waiting(self.kind) {
            return 1.0;
        }
        if self.cause == Cause::Recording {
            return self.rate / PICTURES / burst.mpdu_bits;
        }
        if self.way == Way::Up {
            return 8.0 * HANDED_OVER / burst.mpdu_bits;
        }
        let packets = self.train / burst.mpdu_bits;
        let left = 1.0 - packets * burst.per_mpdu.0;
        if left > 0.0 { packets * (burst.overhead.0 + waiting) / left } else { f64::INFINITY }
    }

    /// The same frames, for packets that come in bunches: a bunch stands for a packet, and the longest burst stays as it is.
    fn bunched(&self, burst: Burst, waiting: f64) -> Burst {
        let most = f64::from(burst.most_mpdus);
        let bunch = self.bunch(&burst, waiting);
        let bunches = (most / bunch.clamp(1.0, most)).round().max(1.0);
        let each = most / bunches;
        let per_mpdu = units::Seconds(burst.per_mpdu.0 * each);
        Burst { per_mpdu, mpdu_bits: burst.mpdu_bits * each, most_mpdus: bunches as u32, ..burst }
    }
}

pub(crate) fn sound_rate(rate: f64) -> bool {
    rate.is_finite() && rate > 0.0
}

/// The mode of a generation and width whose rate alone on the channel is nearest.
fn mode_near(generation: Generation, band: Band, width: f64, rate: f64) -> Option<wlan::Mode> {
    let generation = if band == Band::Ghz2 && generation == Generation::Ac { Generation::N } else { generation };
    let widest = wlan::widest_mhz(generation, band)?;
    let width = units::Hertz::from_mhz(width.min(f64::from(widest)));
    let mut best: Option<(f64, wlan::Mode)> = None;
    for streams in 1..=4 {
        for mcs in 0..=wlan::highest_mcs(generation) {
            let mode = wlan::Mode { generation, width, streams, mcs, gi: wlan::GuardInterval::Ns800 };
            let Ok(alone) = wlan::goodput(&mode, band, &wlan::MacConfig::default()) else { continue };
            let off = (alone.0 * wlan::delivered_share() / rate).ln().abs();
            if best.as_ref().is_none_or(|b| off < b.0) {
                best = Some((off, mode));
            }
        }
    }
    best.map(|b| b.1)
}

/// How frames are sent, with what was looked up before.
pub(crate) struct Modes<'a, 'b> {
    input: &'b HourInput<'a>,
    links: BTreeMap<&'a str, &'a AirLink>,
    near: BTreeMap<(usize, u64), Option<wlan::Mode>>,
}

impl<'a, 'b> Modes<'a, 'b> {
    pub fn new(input: &'b HourInput<'a>) -> Self {
        let mut links = BTreeMap::new();
        for link in input.links {
            links.entry(link.rate.to.as_str()).or_insert(link);
        }
        Self { input, links, near: BTreeMap::new() }
    }

    /// Frames of a device's link; nothing if nothing arrives.
    pub fn burst(&mut self, device: &str, radio: usize, rate: f64, arrival: &Arrival) -> Option<Burst> {
        let mode = self.links.get(device).and_then(|l| if arrival.way == Way::Down { l.down } else { l.up });
        if !sound_rate(rate) {
            return None;
        }
        match mode {
            Some(mode) => self.frame(radio, mode, arrival),
            None => self.near(radio, rate, arrival),
        }
    }

    pub fn near(&mut self, radio: usize, rate: f64, arrival: &Arrival) -> Option<Burst> {
        let setting = self.input.radios.get(radio)?;
        let generation = self.input.own.get(radio).map_or(Generation::Ax, |o| o.generation);
        let found = self.near.entry((radio, rate.to_bits()));
        let mode = *found.or_insert_with(|| mode_near(generation, setting.band, setting.width.mhz(), rate));
        self.frame(radio, mode?, arrival)
    }

    fn frame(&self, radio: usize, mode: wlan::Mode, arrival: &Arrival) -> Option<Burst> {
        let band = self.input.radios.get(radio)?.band;
        let mut frame = Frame::new(Phy::High(mode), band).encrypted();
        frame.payload = payload(arrival.kind);
        if self.input.rts {
            frame.protection = Protection::RtsCts { mbps: RTS_MBPS };
        }
        let burst = Burst::of(&frame).ok()?;
        // What is lost is sent again.
        let burst = Burst { mpdu_bits: burst.mpdu_bits * wlan::delivered_share(), ..burst };
        let channel = channel_of(band);
        Some(arrival.bunched(burst, channel.sifs.0 + WAITING_SLOTS * channel.slot.0))
    }
}

pub(crate) const fn channel_of(band: Band) -> Channel {
    match band {
        Band::Ghz2 => Channel::erp(),
        Band::Ghz5 | Band::Ghz6 => Channel::ofdm(),
    }
}
