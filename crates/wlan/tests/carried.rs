//! Limits of `Carrier`: full load, one sender, no load, the border between; order, bad input, bounded work.

#![expect(clippy::print_stdout, reason = "prints the table of errors with --nocapture")]

mod common;

use common::mixes::{Mix, he, model, ofdm, rts, single, vht};
use units::{BitsPerSecond, Seconds};
use wlan::contention::{
    Access, Burst, Busy, Carried, Carrier, Channel, ContentionError, Exchange, Flow, Frame, Medium, Sender, Station,
    saturated,
};

const BEST: Access = Access::BEST_EFFORT;

fn carrier(taken: f64) -> Carrier {
    Carrier::new(&Medium { channel: Channel::ofdm(), taken }).unwrap()
}

fn carry(mix: &Mix) -> (Vec<Carried>, Busy) {
    let (senders, flows) = model(mix);
    let mut out = Vec::new();
    let busy = carrier(0.0).carry(&senders, &flows, &mut out).unwrap();
    (out, busy)
}

/// Aggregate and largest class error against the slot-by-slot model, all queues full.
fn full(name: &str, mix: &[(Access, Vec<Frame>)]) -> (f64, f64) {
    // Block ack requests are not in `Burst`.
    let exchange = |f: &Frame| Exchange { request: None, ..f.exchange().unwrap() };
    let stations: Vec<Station> =
        mix.iter().map(|(a, own)| Station { access: *a, exchanges: own.iter().map(exchange).collect() }).collect();
    let shares = saturated(&Channel::ofdm(), &stations).unwrap();
    let offered: Mix = mix.iter().map(|(a, own)| (*a, own.iter().map(|f| (f.clone(), 1e6)).collect())).collect();
    let (out, busy) = carry(&offered);
    let exact: Vec<f64> = shares.stations.iter().flat_map(|s| &s.by_exchange).map(|b| b.0).collect();
    let all = out.iter().map(|c| c.throughput.0).sum::<f64>() / shares.aggregate().0 - 1.0;
    let worst = out.iter().zip(&exact).map(|(c, e)| (c.throughput.0 / e - 1.0).abs()).fold(0.0, f64::max);
    assert!(out.iter().all(|c| c.saturated && c.delay.0.is_infinite()));
    println!(
        "{name}: aggregate {:+.2} %, largest {:.1} %, collided {:.4} ({:.4})",
        100.0 * all,
        100.0 * worst,
        busy.collided,
        shares.collided
    );
    (all, worst)
}

#[test]
fn full_queues_share_as_saturated_stations() {
    let dcf = |n: usize, mbps: f64| vec![(Access::DCF_OFDM, vec![ofdm(mbps)]); n];
    let edca = |n: usize, f: Frame| vec![(BEST, vec![f]); n];
    for (name, mix) in [
        ("one", dcf(1, 54.0)),
        ("two", dcf(2, 54.0)),
        ("ten", dcf(10, 54.0)),
        ("forty", dcf(40, 54.0)),
        ("three rates", [dcf(2, 6.0), dcf(3, 18.0), dcf(6, 54.0)].concat()),
        ("ten aggregates", edca(10, he(9))),
        ("ten with RTS", edca(10, rts(he(9)))),
        ("two generations", [edca(4, rts(he(9))), edca(4, vht(7))].concat()),
        ("aggregates and single frames", [edca(3, he(9)), edca(3, single(he(7)))].concat()),
        (
            "an access point and devices",
            [vec![(BEST, vec![rts(he(9)), rts(he(4)), rts(he(1))])], edca(3, rts(he(7)))].concat(),
        ),
        ("DCF beside EDCA", [dcf(3, 54.0), edca(3, single(he(9)))].concat()),
        ("twenty with RTS", edca(20, rts(he(5)))),
    ] {
        let (all, worst) = full(name, &mix);
        assert!(all.abs() < 0.025 && worst < 0.06, "{name}: {all} {worst}");
    }
}

/// Other access categories are rougher: the memory of a short window is not in the odds.
#[test]
fn other_categories_are_shared_roughly() {
    let of = |n: usize, access: Access| vec![(access, vec![single(he(9))]); n];
    let plain = Access { txop_limit: Seconds(0.0), ..Access::VOICE };
    for (name, mix, most) in [
        ("best effort and background", [of(3, BEST), of(3, Access::BACKGROUND)].concat(), 0.12),
        ("video bursts and best effort", [of(2, Access::VIDEO), of(4, BEST)].concat(), 0.25),
        ("voice and best effort", [of(2, plain), of(4, BEST)].concat(), 0.60),
    ] {
        let (all, worst) = full(name, &mix);
        assert!(all.abs() < 0.06 && worst < most, "{name}: {all} {worst}");
    }
}

/// Pollaczek and Khinchine by hand: a frame of 292 µs, then DIFS 34 µs and 0 to 15 slots of 9 µs before the next.
#[test]
fn one_sender_is_an_m_g_1_queue() {
    for mbps in [0.001, 5.0, 15.0, 25.0, 29.0] {
        let (out, _) = carry(&vec![(Access::DCF_OFDM, vec![(ofdm(54.0), mbps)])]);
        let rate = mbps * 1e6 / 11_776.0;
        let mean = 292e-6 + 34e-6 + 7.5 * 9e-6;
        // The variance of a whole number from 0 to 15 is 255/12.
        let second = mean * mean + 81e-12 * 255.0 / 12.0;
        let delay = 292e-6 + rate * second / (2.0 * (1.0 - rate * mean));
        let error = out[0].delay.0 / delay - 1.0;
        println!("{mbps} Mbit/s: {:.6} ms, {:+.3} %", out[0].delay.0 * 1e3, 100.0 * error);
        assert!(error.abs() < 1e-6, "{mbps}: {error}");
        assert!((out[0].airtime - rate * 292e-6).abs() < 1e-12);
        assert!((out[0].throughput.mbps() - mbps).abs() < 1e-9);
    }
    // 11,776 bit every 393.5 µs are 29.93 Mbit/s.
    let (out, _) = carry(&vec![(Access::DCF_OFDM, vec![(ofdm(54.0), 100.0)])]);
    assert!(out[0].saturated && (out[0].throughput.mbps() - 11_776.0 / 393.5).abs() < 1e-3);
}

#[test]
fn without_load_there_is_no_wait() {
    let mix: Mix = vec![(BEST, vec![(he(9), 1e-6), (he(2), 1e-6)]), (BEST, vec![(ofdm(24.0), 1e-6)])];
    let (out, busy) = carry(&mix);
    let (_, flows) = model(&mix);
    for (c, f) in out.iter().zip(&flows) {
        assert!((c.delay.0 / f.burst.length(1.0).0 - 1.0).abs() < 1e-3, "{c:?}");
        assert!((c.mpdus - 1.0).abs() < 1e-3);
    }
    assert!(busy.idle > 0.999_999);
    let (senders, mut flows) = model(&mix);
    flows.iter_mut().for_each(|f| f.offered = BitsPerSecond(0.0));
    let mut out = Vec::new();
    let busy = carrier(0.2).carry(&senders, &flows, &mut out).unwrap();
    assert!(out.iter().all(|c| *c == Carried::default()));
    assert_eq!((busy.own, busy.collided, busy.taken), (0.0, 0.0, 0.2));
}

/// Offers raised through the border: nobody gets less for asking more, and there is no jump.
#[test]
fn the_border_of_saturation_is_crossed_without_a_jump() {
    type Raised<'a> = (&'a str, &'a dyn Fn(f64) -> Mix, f64);
    let mixes: [Raised; 4] = [
        ("all alike", &|m| vec![(BEST, vec![(ofdm(54.0), m)]); 10], 4.0),
        ("aggregates", &|m| vec![(BEST, vec![(rts(he(9)), m)]); 6], 200.0),
        (
            "one asks more",
            &|m| {
                let mut mix: Mix = vec![(BEST, vec![(rts(he(5)), 30.0)]); 4];
                mix.push((BEST, vec![(rts(he(9)), m)]));
                mix
            },
            800.0,
        ),
        (
            "one flow of an access point",
            &|m| {
                vec![
                    (BEST, vec![(rts(he(9)), m), (rts(he(4)), 40.0), (rts(he(7)), 60.0)]),
                    (BEST, vec![(rts(he(3)), 10.0)]),
                ]
            },
            900.0,
        ),
    ];
    for (name, mix, most) in mixes {
        let (mut last, mut steps) = (0.0, 0.0_f64);
        for step in 1..=200 {
            let offered = most * f64::from(step) / 200.0;
            let got = carry(&mix(offered)).0;
            let got = if name == "one asks more" { got[4] } else { got[0] };
            let got = got.throughput.mbps();
            assert!(got <= offered * (1.0 + 1e-9), "{name}: {got} of {offered}");
            // Rounds end at 1e-4.
            assert!(got > last * (1.0 - 2e-3), "{name}: {last} then {got} at {offered}");
            steps = steps.max(got - last);
            last = got;
        }
        assert!(steps < 1.02 * most / 200.0, "{name}: a step of {steps}");
    }
}

#[test]
fn order_does_not_matter_and_runs_repeat() {
    let mix: Mix = vec![
        (BEST, vec![(rts(he(9)), 60.0), (rts(he(2)), 10.0)]),
        (BEST, vec![(he(4), 5.0)]),
        (Access::VIDEO, vec![(single(he(7)), 3.0)]),
        (BEST, vec![(rts(he(6)), 300.0)]),
    ];
    let (first, busy) = carry(&mix);
    let mut turned = mix.clone();
    turned.reverse();
    let (second, _) = carry(&turned);
    for (i, k) in [(0, 3), (1, 4), (2, 2), (3, 1), (4, 0)] {
        assert!((first[i].throughput.0 / second[k].throughput.0 - 1.0).abs() < 1e-9);
        assert!(first[i].saturated == second[k].saturated);
    }
    assert_eq!(first, carry(&mix).0);
    assert!((busy.own + busy.collided + busy.idle + busy.taken - 1.0).abs() < 1e-9);
    // Lists are kept from call to call without a trace of what they held.
    let (senders, flows) = model(&mix);
    let (others, more) = model(&vec![(Access::DCF_OFDM, vec![(ofdm(6.0), 50.0)]); 30]);
    let (mut carrier, mut out) = (carrier(0.0), Vec::new());
    carrier.carry(&others, &more, &mut out).unwrap();
    carrier.carry(&senders, &flows, &mut out).unwrap();
    assert_eq!(first, out);
}

/// The slow station's cost: as many frames as the fast ones, so that all end near the slow one's rate.
#[test]
fn a_slow_station_costs_all() {
    let fast = carry(&vec![(Access::DCF_OFDM, vec![(ofdm(54.0), 1e3)]); 4]).0[0].throughput.mbps();
    let mut mix: Mix = vec![(Access::DCF_OFDM, vec![(ofdm(54.0), 1e3)]); 3];
    mix.push((Access::DCF_OFDM, vec![(ofdm(6.0), 1e3)]));
    let (out, _) = carry(&mix);
    assert!((out[0].throughput.0 / out[3].throughput.0 - 1.0).abs() < 0.05);
    assert!(out[0].throughput.mbps() < 0.45 * fast);
}

#[test]
fn bad_input_is_refused() {
    let (senders, flows) = model(&vec![(BEST, vec![(he(9), 1.0)])]);
    let mut out = Vec::new();
    let mut refuse = |senders: &[Sender], flows: &[Flow]| {
        let error = carrier(0.0).carry(senders, flows, &mut out).unwrap_err();
        assert!(out.is_empty());
        error
    };
    for offered in [f64::NAN, -1.0, f64::INFINITY] {
        let bad = Flow { offered: BitsPerSecond(offered), ..flows[0] };
        assert!(matches!(refuse(&senders, &[bad]), ContentionError::Flow { flow: 0, .. }));
    }
    let good = flows[0].burst;
    for burst in [
        Burst { most_mpdus: 0, ..good },
        Burst { mpdu_bits: 0.0, ..good },
        Burst { mpdu_bits: f64::NAN, ..good },
        Burst { per_mpdu: Seconds(f64::NAN), ..good },
        Burst { per_mpdu: Seconds(-1e-6), ..good },
        Burst { overhead: Seconds(f64::INFINITY), ..good },
        Burst { overhead: Seconds(10.0), ..good },
        Burst { first: Seconds(0.0), ..good },
        Burst { first: Seconds(f64::NAN), ..good },
    ] {
        assert!(matches!(refuse(&senders, &[Flow { burst, ..flows[0] }]), ContentionError::Flow { .. }), "{burst:?}");
    }
    assert!(matches!(refuse(&[], &flows), ContentionError::Flow { what: "sender", .. }));
    let out_of_range = Sender { access: BEST, flows: 0..2 };
    assert!(matches!(refuse(&[out_of_range], &flows), ContentionError::Station { .. }));
    #[expect(clippy::reversed_empty_ranges, reason = "what a broken caller might give")]
    let backwards = Sender { access: BEST, flows: 1..0 };
    assert!(matches!(refuse(&[backwards], &flows), ContentionError::Station { .. }));
    assert!(matches!(refuse(&[senders[0].clone(), senders[0].clone()], &flows), ContentionError::Station { .. }));
    let access = Access { cw_min: 0, ..BEST };
    assert!(matches!(refuse(&[Sender { access, flows: 0..1 }], &flows), ContentionError::Station { .. }));
    for taken in [f64::NAN, -0.1, f64::INFINITY] {
        assert!(Carrier::new(&Medium { channel: Channel::ofdm(), taken }).is_err());
    }
    assert!(carrier(0.0).with_period(Seconds(f64::NAN)).is_err());
    let busy = carrier(0.0).carry(&[], &[], &mut out).unwrap();
    assert_eq!((busy.idle, out.len()), (1.0, 0));
}

#[test]
fn nothing_is_carried_where_neighbours_take_all() {
    let (senders, flows) = model(&vec![(BEST, vec![(he(9), 1.0)])]);
    let mut out = Vec::new();
    for taken in [1.0, 7.0] {
        let busy = carrier(taken).carry(&senders, &flows, &mut out).unwrap();
        assert!(out[0].saturated && out[0].throughput.0 == 0.0 && out[0].delay.0.is_infinite());
        assert_eq!(busy.taken, 1.0);
    }
    carrier(0.999).carry(&senders, &flows, &mut out).unwrap();
    assert!(out[0].saturated && out[0].throughput.0 < 1e6);
}

/// Ten thousand senders, absurd offers: an answer, every number of it finite or said to be saturated.
#[test]
fn a_crowd_is_followed_with_bounded_work() {
    for offered in [0.001, 0.1, 1e9] {
        let mix: Mix = (0..10_000).map(|i| (BEST, vec![(rts(he((i % 10) as u8)), offered)])).collect();
        let (senders, flows) = model(&mix);
        let (mut carrier, mut out) = (carrier(0.1), Vec::new());
        let busy = carrier.carry(&senders, &flows, &mut out).unwrap();
        assert!(carrier.rounds() <= 200);
        for c in &out {
            assert!(c.throughput.0.is_finite() && c.throughput.0 >= 0.0 && c.airtime.is_finite());
            assert!(c.saturated || (c.delay.0 > 0.0 && c.delay.0.is_finite() && c.delay_p95.0.is_finite()));
        }
        assert!((busy.own + busy.collided + busy.idle + busy.taken - 1.0).abs() < 1e-6, "{busy:?}");
    }
}
