//! `Carrier` beside the packet simulator where stations have something to send only now and then: what arrives, and how long it waits.
//!
//! `outside/compare_contention.py` makes such runs again.

#![expect(clippy::print_stdout, reason = "prints the table with --nocapture")]

use radio_profile::{Band, Generation};
use serde_json::Value;
use units::{BitsPerSecond, Hertz, Seconds};
use wlan::contention::{Access, Burst, Carried, Carrier, Channel, Flow, Frame, Medium, Phy, Sender};
use wlan::{GuardInterval, Mode};

fn frame(case: &Value, mode: &str) -> Frame {
    let number = |prefix: &str| mode.strip_prefix(prefix).and_then(|m| m.trim_end_matches("Mbps").parse::<f64>().ok());
    let high = |generation, width, mcs| {
        let streams = case["nss"].as_u64().unwrap() as u8;
        Phy::High(Mode { generation, width: Hertz::from_mhz(width), streams, mcs, gi: GuardInterval::Ns800 })
    };
    let mut frame = if let Some(mbps) = number("OfdmRate") {
        Frame::new(Phy::Ofdm { mbps }, Band::Ghz5)
    } else if let Some(mcs) = number("HtMcs") {
        Frame::new(high(Generation::N, 20.0, mcs as u8 % 8), Band::Ghz2)
    } else {
        Frame::new(high(Generation::Ax, 80.0, number("HeMcs").unwrap() as u8), Band::Ghz5)
    };
    frame.payload = case["udp_payload_bytes"].as_u64().unwrap() as u32;
    let ampdu = case["max_ampdu_bytes"].as_u64().unwrap() as u32;
    frame.ampdu_max = (ampdu > 0).then_some(ampdu);
    // The simulator's HE training field is 8 µs whatever the guard interval.
    frame.training_field = Some(Seconds(8e-6));
    frame
}

fn carried(case: &Value) -> Vec<Carried> {
    let (channel, access) = match case["std"].as_str().unwrap() {
        "a" => (Channel::ofdm(), Access::DCF_OFDM),
        "n20" => (Channel::erp(), Access::BEST_EFFORT),
        _ => (Channel::ofdm(), Access::BEST_EFFORT),
    };
    let text = |key: &str| case[key].as_str().unwrap();
    let num = case["n_sta_per_ap"].as_u64().unwrap();
    let flows: Vec<Flow> = (0..num)
        .map(|i| {
            let is_slow = i < case["n_slow"].as_u64().unwrap();
            let (mode, offered) = if is_slow { ("slow_mode", "slow_offered_mbps") } else { ("mode", "offered_mbps") };
            let burst = Burst::of(&frame(case, text(mode))).unwrap();
            Flow { offered: BitsPerSecond::from_mbps(case[offered].as_f64().unwrap()), burst }
        })
        .collect();
    let all = flows.len();
    let senders: Vec<Sender> = if text("dir") == "dl" {
        vec![Sender { access, flows: 0..all }]
    } else {
        (0..all).map(|i| Sender { access, flows: i..i + 1 }).collect()
    };
    let mut out = Vec::new();
    Carrier::new(&Medium { channel, taken: 0.0 }).unwrap().carry(&senders, &flows, &mut out).unwrap();
    out
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, num) = values.fold((0.0, 0u32), |(sum, num), v| (sum + v, num + 1));
    sum / f64::from(num.max(1))
}

/// One run of 1 to 10 s each: about 2 % of throughput and a tenth of delay is the run's own scatter; 1 to 2 % of packets offered in the warm-up arrive late.
#[test]
fn offered_loads_arrive_and_wait_as_in_the_packet_simulator() {
    let file: Value = serde_json::from_str(include_str!("data/mac/loaded_cases.json")).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 10);
    let (mut wall, mut factors) = (0.0, Vec::new());
    for case in cases {
        let list = |key: &str| case[key].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect::<Vec<_>>();
        let ours = carried(case);
        let throughput: f64 = ours.iter().map(|c| c.throughput.mbps()).sum();
        let simulated = case["aggregate_mbps"].as_f64().unwrap();
        let delay = mean(ours.iter().map(|c| c.delay.0 * 1e3)) / mean(list("delay_mean_ms").into_iter());
        let tail = mean(ours.iter().map(|c| c.delay_p95.0 * 1e3)) / mean(list("delay_p95_ms").into_iter());
        wall += case["wall_s"].as_f64().unwrap();
        println!(
            "{} {} {} × {} Mbit/s: {throughput:.1} of {simulated:.1} Mbit/s, delay {delay:.2} and its 95 % point {tail:.2} of the simulated",
            case["mode"], case["dir"], case["n_sta_per_ap"], case["offered_mbps"]
        );
        assert!((throughput / simulated - 1.0).abs() < 0.03, "{}: {throughput} {simulated}", case["mode"]);
        assert!(!ours.iter().any(|c| c.saturated));
        factors.push(delay.max(1.0 / delay));
    }
    factors.sort_by(f64::total_cmp);
    println!("the simulator took {wall:.0} s for these; delay factors {factors:.2?}");
    assert!(factors[factors.len() / 2] < 1.6, "{factors:?}");
    assert!(factors[factors.len() - 1] < 4.0, "{factors:?}");
}
