//! `Carrier` against the event-driven simulator with queues: generated mixes at loads from a tenth to one and a half times what the channel carries.

#![expect(clippy::print_stdout, reason = "prints the table of errors with --nocapture")]

mod common;

use common::mixes::{Mix, he, model, ofdm, rts, simulated, single, vht};
use common::queues::{Arrivals, Setting, simulate};
use units::Seconds;
use wlan::contention::{Access, Burst, Carried, Carrier, Channel, Medium};

/// A generator by hand, so that the mixes stay the same: x → 69069 x + 1 (G. Marsaglia).
struct Choice(u32);

impl Choice {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(69_069).wrapping_add(1);
        ((u64::from(self.0) * most as u64) >> 32) as usize
    }
}

struct Case {
    name: String,
    mix: Mix,
    taken: f64,
}

fn cases() -> Vec<Case> {
    let mut choice = Choice(12_345);
    let loads = [0.1, 0.3, 0.5, 0.7, 0.8, 0.9, 1.1, 1.5];
    let kinds = [
        "single frames, DCF",
        "aggregates with RTS",
        "aggregates",
        "access point and devices",
        "aggregates and single frames",
        "access point, mostly",
    ];
    let mut cases = Vec::new();
    for (k, kind) in kinds.into_iter().enumerate() {
        for load in loads {
            let senders = 1 + choice.below(8);
            let rate = |choice: &mut Choice| [6.0, 18.0, 24.0, 54.0][choice.below(4)];
            let mut mix: Mix = (0..senders)
                .map(|i| match k {
                    0 => (Access::DCF_OFDM, vec![(ofdm(rate(&mut choice)), 1.0)]),
                    2 => (Access::BEST_EFFORT, vec![(vht(choice.below(9) as u8), 1.0)]),
                    4 if i % 2 == 0 => (Access::BEST_EFFORT, vec![(single(he(choice.below(10) as u8)), 1.0)]),
                    _ => (Access::BEST_EFFORT, vec![(rts(he(choice.below(10) as u8)), 1.0)]),
                })
                .collect();
            if k == 3 || k == 5 {
                let own =
                    (0..2 + choice.below(6)).map(|_| (rts(he(choice.below(10) as u8)), if k == 5 { 8.0 } else { 2.0 }));
                mix.push((Access::BEST_EFFORT, own.collect()));
            }
            // Unequal shares of a load that is told in time of full bursts.
            let mut asked = 0.0;
            for (_, own) in &mut mix {
                for (frame, mbps) in own {
                    *mbps *= 0.3 + 0.1 * choice.below(15) as f64;
                    asked += *mbps / Burst::of(frame).unwrap().most().mbps();
                }
            }
            let taken = [0.0, 0.0, 0.0, 0.25][choice.below(4)];
            // Rough capacity: what backoff and collisions leave.
            let carries = if k == 0 {
                0.75
            } else if k == 2 {
                0.85
            } else {
                0.95
            } - taken;
            for (_, own) in &mut mix {
                own.iter_mut().for_each(|(_, mbps)| *mbps *= load * carries / asked);
            }
            cases.push(Case { name: format!("{kind}, {} senders, load {load}, taken {taken}", mix.len()), mix, taken });
        }
    }
    cases
}

/// Sorted absolute errors as median, the one that nine in ten do not pass, and largest.
fn spread(mut errors: Vec<f64>) -> (f64, f64, f64) {
    errors.iter_mut().for_each(|e| *e = e.abs());
    errors.sort_by(f64::total_cmp);
    let at = |share: f64| errors[((errors.len() - 1) as f64 * share).round() as usize];
    (at(0.5), at(0.9), at(1.0))
}

#[test]
fn generated_mixes() {
    let channel = Channel::ofdm();
    let (mut all, mut each, mut means, mut tails) = (vec![], vec![], vec![], vec![]);
    let (mut light_means, mut light_tails) = (vec![], vec![]);
    for (seed, case) in (1..).zip(cases()) {
        let (senders, flows) = model(&case.mix);
        let mut carrier = Carrier::new(&Medium { channel: channel.clone(), taken: case.taken }).unwrap();
        let mut out: Vec<Carried> = Vec::new();
        carrier.carry(&senders, &flows, &mut out).unwrap();
        let sims = simulated(&case.mix, Arrivals::Poisson);
        let setting = Setting {
            channel: &channel,
            senders: &sims,
            taken: case.taken,
            period: 2e-3,
            queue: 4_000,
            seed,
            warm: 4.0,
            run: 16.0,
        };
        let count = simulate(&setting);
        let counts: Vec<_> = count.flows.iter().flatten().collect();
        let sum: f64 = counts.iter().map(|c| c.delivered).sum();
        let error = out.iter().map(|c| c.throughput.0).sum::<f64>() / sum - 1.0;
        println!("{}: {:+.1} % of {:.1} Mbit/s, {} rounds", case.name, 100.0 * error, sum * 1e-6, carrier.rounds());
        all.push(error);
        let light = !case.name.contains("load 0.9") && !out.iter().any(|c| c.saturated);
        for (i, ((c, s), flow)) in out.iter().zip(&counts).zip(&flows).enumerate() {
            each.push(c.throughput.0 / s.delivered - 1.0);
            // Queues that overflow have no delay of their own.
            let stable = !c.saturated && s.dropped == 0 && s.delivered > 0.97 * flow.offered.0;
            let (mean, tail) = (c.delay.0 / s.mean_delay - 1.0, c.delay_p95.0 / s.p95_delay - 1.0);
            println!(
                "    {i}: {:.2} of {:.2} Mbit/s {:+.1} %; mean {:.3} ms {:+.0} %, 95 % {:.3} ms {:+.0} %, {:.2} MPDUs ({:.2}){}",
                s.delivered * 1e-6,
                flow.offered.mbps(),
                100.0 * (c.throughput.0 / s.delivered - 1.0),
                s.mean_delay * 1e3,
                100.0 * mean,
                s.p95_delay * 1e3,
                100.0 * tail,
                s.mpdus as f64 / s.bursts as f64,
                c.mpdus,
                if c.saturated { " saturated" } else { "" }
            );
            if stable {
                // As a ratio, so that half and twice count the same.
                means.push((1.0 + mean).ln());
                tails.push((1.0 + tail).ln());
                if light {
                    light_means.push((1.0 + mean).ln());
                    light_tails.push((1.0 + tail).ln());
                }
            }
        }
    }
    let show = |name: &str, (median, most, worst): (f64, f64, f64)| {
        println!(
            "{name}: median {:.1} %, nine in ten {:.1} %, worst {:.1} %",
            100.0 * median,
            100.0 * most,
            100.0 * worst
        );
    };
    let factor = |(a, b, c): (f64, f64, f64)| (a.exp() - 1.0, b.exp() - 1.0, c.exp() - 1.0);
    let (all, each) = (spread(all), spread(each));
    let (means, tails) = (factor(spread(means)), factor(spread(tails)));
    let (light_means, light_tails) = (factor(spread(light_means)), factor(spread(light_tails)));
    show("aggregate throughput", all);
    show("throughput of each flow", each);
    show("mean delay, by a factor", means);
    show("95 % delay, by a factor", tails);
    show("mean delay up to a load of 0.8", light_means);
    show("95 % delay up to a load of 0.8", light_tails);
    assert!(all.0 < 0.01 && all.2 < 0.1, "{all:?}");
    assert!(each.0 < 0.02 && each.1 < 0.1, "{each:?}");
    assert!(means.0 < 0.25 && light_means.0 < 0.2, "{means:?} {light_means:?}");
    assert!(tails.0 < 0.4 && light_tails.0 < 0.4, "{tails:?} {light_tails:?}");
}

/// Bursty arrivals: what is carried stays the same, delays grow beyond the model's, which knows Poisson arrivals only.
#[test]
fn spells_of_traffic_are_carried_and_wait_longer() {
    let channel = Channel::ofdm();
    let mix: Mix = vec![(Access::DCF_OFDM, vec![(ofdm(54.0), 4.0)]); 4];
    let (senders, flows) = model(&mix);
    let mut out = Vec::new();
    let mut carrier = Carrier::new(&Medium { channel: channel.clone(), taken: 0.0 }).unwrap();
    carrier.carry(&senders, &flows, &mut out).unwrap();
    let run = |arrivals| {
        let sims = simulated(&mix, arrivals);
        let setting = Setting {
            channel: &channel,
            senders: &sims,
            taken: 0.0,
            period: 2e-3,
            queue: 40_000,
            seed: 5,
            warm: 2.0,
            run: 60.0,
        };
        let count = simulate(&setting);
        let mean =
            |f: &dyn Fn(&common::queues::FlowCount) -> f64| count.flows.iter().flatten().map(f).sum::<f64>() / 4.0;
        (mean(&|c| c.delivered), mean(&|c| c.mean_delay))
    };
    let (even, bursty) = (run(Arrivals::Poisson), run(Arrivals::OnOff { on: 0.2, off: 0.4 }));
    println!("Poisson {even:?}, spells {bursty:?}, model {:?}", out[0]);
    assert!((bursty.0 / out[0].throughput.0 - 1.0).abs() < 0.05);
    assert!(bursty.1 > even.1);
}

/// The model's neighbours take their share whatever their rhythm; longer busy periods make longer waits.
#[test]
fn neighbours_with_longer_periods_delay_more() {
    let mix: Mix = vec![(Access::BEST_EFFORT, vec![(rts(he(7)), 10.0)])];
    let (senders, flows) = model(&mix);
    let mut last = 0.0;
    for period in [0.2e-3, 1e-3, 3e-3] {
        let medium = Medium { channel: Channel::ofdm(), taken: 0.3 };
        let mut carrier = Carrier::new(&medium).unwrap().with_period(Seconds(period)).unwrap();
        let mut out = Vec::new();
        carrier.carry(&senders, &flows, &mut out).unwrap();
        assert!(out[0].delay.0 > last && !out[0].saturated);
        last = out[0].delay.0;
    }
}

/// Single frames: which queues grow without end, and what the others deliver.
#[test]
fn queues_are_told_stable_or_not() {
    let channel = Channel::ofdm();
    let load = |mbps: f64, offered: f64| (Access::DCF_OFDM, vec![(ofdm(mbps), offered)]);
    for (name, mix) in [
        ("light", vec![load(54.0, 1.0); 5]),
        ("heavy", vec![load(54.0, 5.2); 5]),
        ("too heavy", vec![load(54.0, 7.0); 5]),
        ("one too heavy", [vec![load(54.0, 2.0); 4], vec![load(54.0, 40.0)]].concat()),
        ("a slow one", [vec![load(54.0, 2.0); 4], vec![load(6.0, 1.5)]].concat()),
        ("slow and too heavy", [vec![load(54.0, 2.0); 4], vec![load(6.0, 5.0)]].concat()),
    ] {
        let (senders, flows) = model(&mix);
        let mut out = Vec::new();
        let mut carrier = Carrier::new(&Medium { channel: channel.clone(), taken: 0.0 }).unwrap();
        carrier.carry(&senders, &flows, &mut out).unwrap();
        let sims = simulated(&mix, Arrivals::Poisson);
        let setting = Setting {
            channel: &channel,
            senders: &sims,
            taken: 0.0,
            period: 2e-3,
            queue: 40_000,
            seed: 7,
            warm: 4.0,
            run: 120.0,
        };
        let count = simulate(&setting);
        for (i, (c, s)) in out.iter().zip(count.flows.iter().flatten()).enumerate() {
            let error = c.throughput.0 / s.delivered - 1.0;
            println!(
                "{name} {i}: {:.3} Mbit/s simulated, {:+.1} %, saturated {}",
                s.delivered * 1e-6,
                100.0 * error,
                c.saturated
            );
            assert_eq!(c.saturated, s.delivered < 0.97 * flows[i].offered.0, "{name} {i}");
            assert!(error.abs() < 0.05, "{name} {i}: {error}");
        }
    }
}
