//! The packet simulator's runs, and each as input of the model.

use radio_profile::{Band, Generation};
use serde_json::Value;
use units::{Hertz, Seconds};
use wlan::contention::{Access, Channel, Frame, Phy, Protection, Station};
use wlan::{GuardInterval, Mode};

/// One run.
#[derive(Clone, Debug)]
pub struct Case {
    pub std: String,
    pub dir: String,
    pub n_sta_per_ap: usize,
    pub mode: String,
    pub slow_mode: String,
    pub n_slow: usize,
    pub nss: u8,
    pub gi_ns: u64,
    pub rts: bool,
    pub max_ampdu_bytes: u32,
    pub udp_payload_bytes: u32,
    pub aggregate_mbps: f64,
    pub per_station_mbps: Vec<f64>,
    pub beacon_us: f64,
}

impl Case {
    pub fn downlink(&self) -> bool {
        self.dir == "dl"
    }
}

pub fn cases() -> Vec<Case> {
    let file: Value = serde_json::from_str(include_str!("../data/mac/cases.json")).unwrap();
    let text = |c: &Value, key: &str| c[key].as_str().unwrap().to_owned();
    let whole = |c: &Value, key: &str| c[key].as_u64().unwrap();
    file["cases"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| Case {
            std: text(c, "std"),
            dir: text(c, "dir"),
            n_sta_per_ap: whole(c, "n_sta_per_ap") as usize,
            mode: text(c, "mode"),
            slow_mode: text(c, "slow_mode"),
            n_slow: whole(c, "n_slow") as usize,
            nss: whole(c, "nss") as u8,
            gi_ns: whole(c, "gi_ns"),
            rts: c["rts"].as_bool().unwrap(),
            max_ampdu_bytes: whole(c, "max_ampdu_bytes") as u32,
            udp_payload_bytes: whole(c, "udp_payload_bytes") as u32,
            aggregate_mbps: c["aggregate_mbps"].as_f64().unwrap(),
            per_station_mbps: c["per_station_mbps"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect(),
            // Beacons are sent at the lowest rate; their length depends on what the cell announces, so it is a parameter of the case.
            beacon_us: c["airtime"]
                .as_object()
                .unwrap()
                .iter()
                .find(|(k, _)| k.starts_with("beacon"))
                .map(|(_, v)| v["mean_us"].as_f64().unwrap())
                .unwrap(),
        })
        .collect()
}

fn frame(case: &Case, mode: &str) -> Frame {
    let number = |prefix: &str| mode.strip_prefix(prefix).and_then(|m| m.trim_end_matches("Mbps").parse::<f64>().ok());
    let high = |generation, width, mcs| {
        let gi = if case.gi_ns == 400 { GuardInterval::Ns400 } else { GuardInterval::Ns800 };
        Phy::High(Mode { generation, width: Hertz::from_mhz(width), streams: case.nss, mcs, gi })
    };
    let (phy, band, rts_mbps) = if let Some(mbps) = number("OfdmRate") {
        (Phy::Ofdm { mbps }, Band::Ghz5, 6.0)
    } else if let Some(mbps) = number("DsssRate") {
        (Phy::Dsss { mbps, short_preamble: false }, Band::Ghz2, 1.0)
    } else if let Some(mcs) = number("HtMcs") {
        // HT counts on over the streams: 8 to 15 have two.
        (high(Generation::N, 20.0, mcs as u8 % 8), Band::Ghz2, 24.0)
    } else {
        (high(Generation::Ax, 80.0, number("HeMcs").unwrap() as u8), Band::Ghz5, 24.0)
    };
    let mut frame = Frame::new(phy, band);
    frame.payload = case.udp_payload_bytes;
    if case.max_ampdu_bytes > 0 {
        frame.ampdu_max = Some(case.max_ampdu_bytes);
    }
    // The simulator's HE training field is 8 µs whatever the guard interval (`HePhy::GetLtfDuration` and its callers).
    frame.training_field = Some(Seconds(8e-6));
    if case.rts {
        // Rate of control frames in the scenario: the lowest rate for 802.11a, 24 Mbit/s for 802.11n and ax.
        frame.protection = Protection::RtsCts { mbps: rts_mbps };
    }
    frame
}

/// The model's input for a case.
pub fn setting(case: &Case) -> (Channel, Vec<Station>) {
    let (channel, access) = match case.std.as_str() {
        "a" => (Channel::ofdm(), Access::DCF_OFDM),
        "b" => (Channel::dsss(), Access::DCF_DSSS),
        "n20" => (Channel::erp(), Access::BEST_EFFORT),
        "ax80" => (Channel::ofdm(), Access::BEST_EFFORT),
        other => panic!("standard {other}"),
    };
    let channel = channel.with_beacons(Seconds(102.4e-3), Seconds(case.beacon_us * 1e-6));
    let exchange = |i: usize| {
        let mode = if i < case.n_slow { &case.slow_mode } else { &case.mode };
        frame(case, mode).exchange().unwrap()
    };
    let exchanges = (0..case.n_sta_per_ap).map(exchange);
    let stations = if case.downlink() {
        vec![Station { access, exchanges: exchanges.collect() }]
    } else {
        exchanges.map(|e| Station { access, exchanges: vec![e] }).collect()
    };
    (channel, stations)
}
