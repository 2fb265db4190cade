//! One channel with ten active senders: the mean-value model, a thousand evenings' worth of it, and `saturated` for a question that both answer.
//!
//! The goal is 5 µs a call with ten active senders: 1,000 evenings × 10 moments × 4 channels are then 200 ms of one core.

#![expect(clippy::print_stdout, reason = "a bench reports on the terminal")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::time::Instant;

use common::mixes::{Mix, he, model, rts};
use units::BitsPerSecond;
use wlan::contention::{Access, Carrier, Channel, Medium, Station, saturated};

const GOAL_SECONDS: f64 = 5e-6;
const CALLS: usize = 3_000;

/// An access point with five flows and nine devices with one, each at its own rate and load, of which `scale` is offered.
fn evening(scale: f64) -> Mix {
    let best = Access::BEST_EFFORT;
    let down = [25.0, 8.0, 5.0, 25.0, 2.0];
    let up = [3.0, 0.2, 4.0, 0.5, 0.1, 2.0, 1.0, 0.3, 5.0];
    let mcs = [9, 4, 7, 2, 11, 5, 8, 3, 6];
    let mut mix: Mix = vec![(best, down.iter().zip(mcs).map(|(d, m)| (rts(he(m)), d * scale)).collect())];
    mix.extend(up.iter().zip(mcs).map(|(u, m)| (best, vec![(rts(he(m)), u * scale)])));
    mix
}

fn carrier(taken: f64) -> Carrier {
    Carrier::new(&Medium { channel: Channel::ofdm(), taken }).unwrap()
}

#[divan::bench(args = [0.1, 1.0, 3.0, 10.0])]
fn ten_senders(bencher: divan::Bencher, scale: f64) {
    let (senders, flows) = model(&evening(scale));
    let (mut carrier, mut out) = (carrier(0.1), Vec::new());
    bencher.bench_local(|| carrier.carry(&senders, &flows, &mut out));
}

/// Time of this thread on its processor [s], where the system tells it; else by the clock.
fn now(start: Instant) -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let spent = text.and_then(|t| t.split_whitespace().next()?.parse::<f64>().ok());
    spent.map_or_else(|| start.elapsed().as_secs_f64(), |nanoseconds| nanoseconds * 1e-9)
}

/// Median and least over runs of the processor time of one call [s].
fn each(run: &mut dyn FnMut(usize)) -> (f64, f64) {
    let clock = Instant::now();
    let mut times: Vec<f64> = (0..21)
        .map(|_| {
            let start = now(clock);
            (0..CALLS).for_each(&mut *run);
            (now(clock) - start) / CALLS as f64
        })
        .collect();
    times.sort_by(f64::total_cmp);
    (times[10], times[0])
}

fn evenings() {
    // Loads of an evening scatter widely: a tenth of the above to three times as much.
    let cases: Vec<_> = (0..30).map(|i| model(&evening(0.1 * 30.0_f64.powf(f64::from(i) / 29.0)))).collect();
    let (mut carrier, mut out) = (carrier(0.1), Vec::new());
    let mut rounds = 0;
    let (seconds, least) = each(&mut |i| {
        let (senders, flows) = &cases[i % cases.len()];
        let _ = divan::black_box(carrier.carry(senders, flows, &mut out));
        rounds += carrier.rounds() as usize;
    });
    println!(
        "ten senders, 14 flows, loads from light to full: {:.2} µs a call, least {:.2} µs, {:.0} thousand calls a second, {:.1} rounds a call",
        seconds * 1e6,
        least * 1e6,
        1e-3 / seconds,
        rounds as f64 / (21 * CALLS) as f64
    );
    for (name, mix) in [("light", evening(0.3)), ("busy", evening(2.0)), ("full", evening(10.0))] {
        let (senders, flows) = model(&mix);
        let (seconds, least) = each(&mut |_| {
            let _ = divan::black_box(carrier.carry(&senders, &flows, &mut out));
        });
        println!("    {name}: {:.2} µs, least {:.2} µs, {} rounds", seconds * 1e6, least * 1e6, carrier.rounds());
    }
    // As most moments are: an access point with two flows, three devices.
    let few: Mix = evening(1.0).into_iter().take(4).map(|(a, f)| (a, f.into_iter().take(2).collect())).collect();
    let (senders, flows) = model(&few);
    let (seconds4, _) = each(&mut |_| {
        let _ = divan::black_box(carrier.carry(&senders, &flows, &mut out));
    });
    println!("    four senders, five flows: {:.2} µs, {} rounds", seconds4 * 1e6, carrier.rounds());
    println!(
        "BENCH carried ours={:.2} us limit={} us ratio={:.2}",
        seconds * 1e6,
        GOAL_SECONDS * 1e6,
        seconds / GOAL_SECONDS
    );
}

/// Ten devices that always have something to send.
fn full() {
    let mix: Mix = (0..10).map(|i| (Access::BEST_EFFORT, vec![(rts(he(2 + i % 5)), 1e4)])).collect();
    let (senders, flows) = model(&mix);
    let stations: Vec<Station> = mix
        .iter()
        .map(|(access, own)| Station {
            access: *access,
            exchanges: own.iter().map(|(f, _)| f.exchange().unwrap()).collect(),
        })
        .collect();
    let (mut carrier, mut out) = (carrier(0.0), Vec::new());
    let (ours, _) = each(&mut |_| {
        let _ = divan::black_box(carrier.carry(&senders, &flows, &mut out));
    });
    let start = Instant::now();
    let shares = saturated(&Channel::ofdm(), &stations).unwrap();
    let slow = start.elapsed().as_secs_f64();
    let sum = BitsPerSecond(out.iter().map(|c| c.throughput.0).sum());
    println!(
        "always loaded, ten senders of five rates: {:.2} Mbit/s in {:.1} µs; `saturated` {:.2} Mbit/s in {:.1} ms; they differ by {:+.2} %",
        sum.mbps(),
        ours * 1e6,
        shares.aggregate().mbps(),
        slow * 1e3,
        100.0 * (sum.0 / shares.aggregate().0 - 1.0)
    );
    println!("BENCH carried-saturated ours={:.1} us peer={:.0} us ratio={:.5}", ours * 1e6, slow * 1e6, ours / slow);
}

fn main() {
    divan::main();
    evenings();
    full();
}
