//! Senders with flows, for the model and for the simulator at once.

use radio_profile::{Band, Generation};
use units::{BitsPerSecond, Hertz};
use wlan::contention::{Access, Burst, Flow, Frame, Phy, Protection, Sender};
use wlan::{GuardInterval, Mode};

use super::queues::{Arrivals, SimFlow, SimSender};

pub fn ofdm(mbps: f64) -> Frame {
    Frame::new(Phy::Ofdm { mbps }, Band::Ghz5)
}

/// 802.11ax, 80 MHz, two streams.
pub fn he(mcs: u8) -> Frame {
    let width = Hertz::from_mhz(80.0);
    let mode = Mode { generation: Generation::Ax, width, streams: 2, mcs, gi: GuardInterval::Ns800 };
    Frame::new(Phy::High(mode), Band::Ghz5)
}

/// 802.11ac, 80 MHz, one stream.
pub fn vht(mcs: u8) -> Frame {
    let width = Hertz::from_mhz(80.0);
    let mode = Mode { generation: Generation::Ac, width, streams: 1, mcs, gi: GuardInterval::Ns800 };
    Frame::new(Phy::High(mode), Band::Ghz5)
}

pub fn rts(frame: Frame) -> Frame {
    Frame { protection: Protection::RtsCts { mbps: 24.0 }, ..frame }
}

pub fn single(frame: Frame) -> Frame {
    Frame { mpdus_max: Some(1), ..frame }
}

/// Senders by access and (frame, offered Mbit/s).
pub type Mix = Vec<(Access, Vec<(Frame, f64)>)>;

pub fn model(mix: &Mix) -> (Vec<Sender>, Vec<Flow>) {
    let (mut senders, mut flows) = (Vec::new(), Vec::new());
    for (access, own) in mix {
        let from = flows.len();
        flows.extend(
            own.iter().map(|(frame, mbps)| Flow {
                offered: BitsPerSecond::from_mbps(*mbps),
                burst: Burst::of(frame).unwrap(),
            }),
        );
        senders.push(Sender { access: *access, flows: from..flows.len() });
    }
    (senders, flows)
}

pub fn simulated(mix: &Mix, arrivals: Arrivals) -> Vec<SimSender> {
    mix.iter()
        .map(|(access, own)| SimSender {
            access: *access,
            flows: own
                .iter()
                .map(|(frame, mbps)| SimFlow { burst: Burst::of(frame).unwrap(), offered: mbps * 1e6, arrivals })
                .collect(),
        })
        .collect()
}
