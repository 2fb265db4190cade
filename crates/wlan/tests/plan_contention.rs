//! The plan's objective against what contention computes: own access points on one channel share its time.

#![expect(clippy::print_stdout, reason = "prints the figures with --nocapture")]

mod plan_homes;

use std::collections::BTreeMap;

use plan_homes::{ap, gains, inputs, random, set, site};
use radio_profile::{Band, Generation};
use units::{BitsPerSecond, Db, Hertz, Seconds};
use wlan::contention::{Access, Burst, Carrier, Channel, Flow, Frame, Medium, Phy, Sender, Station, saturated};
use wlan::{GuardInterval, Mode, plan_objective};

fn frame(mhz: f64, streams: u8, mcs: u8) -> Frame {
    let mode = Mode { generation: Generation::Ax, width: Hertz::from_mhz(mhz), streams, mcs, gi: GuardInterval::Ns800 };
    Frame::new(Phy::High(mode), Band::Ghz5)
}

fn stations(num: usize, mhz: f64, streams: u8, mcs: u8) -> Vec<Station> {
    vec![Station { access: Access::BEST_EFFORT, exchanges: vec![frame(mhz, streams, mcs).exchange().unwrap()] }; num]
}

/// What sharing costs in the objective, read from it: two plans of n access points that hear each other fully.
fn objective_cost(num: usize) -> f64 {
    let mut radio = ap();
    radio.bands.truncate(1);
    let aps = inputs(&radio, num);
    let settings: Vec<_> = (0..num).map(|n| set(n, Band::Ghz2, 2437.0, 20.0, 23.0)).collect();
    let near = |_: usize, _: usize, _: Band| Db(-60.0);
    let far = |_: usize, _: usize, _: Band| Db(-250.0);
    let of = |coupling: &dyn Fn(usize, usize, Band) -> Db| {
        plan_objective(&settings, &aps, &[], coupling, (&site("US"), Band::Ghz2), None).unwrap()
    };
    ((of(&far) - of(&near)) / num as f64).exp()
}

/// The source of the two constants of the sharing cost: full aggregates at several rates.
#[test]
fn sharing_costs_what_saturated_contention_says() {
    for (mhz, streams, mcs) in [(80.0, 2, 11), (80.0, 2, 7), (20.0, 2, 2)] {
        let alone = saturated(&Channel::ofdm(), &stations(1, mhz, streams, mcs)).unwrap().stations[0].throughput;
        for num in 2..=8 {
            let each = saturated(&Channel::ofdm(), &stations(num, mhz, streams, mcs)).unwrap().stations[0].throughput;
            let off = objective_cost(num) / (alone / each) - 1.0;
            assert!(off.abs() < 0.01, "{mhz} MHz, MCS {mcs}, {num} stations: {off:+.4}");
        }
    }
}

/// Homes of 2 to 4 access points that hear each other or do not at all: plans at random, ordered by the objective as by the product of what contention
/// gives each. Rates grow with the width as the model says; only plans whose order is clear by more than 2 % of throughput are compared.
#[test]
fn better_plans_carry_more() {
    let radio = ap();
    let mut state = 11;
    let (mut compared, mut agreed) = (0, 0);
    let mut known: BTreeMap<Vec<u32>, Vec<f64>> = BTreeMap::new();
    for seed in 0..3_u64 {
        let num = 2 + (seed % 3) as usize;
        let aps = inputs(&radio, num);
        // Levels well above -82 dBm or well below.
        let gain = gains(seed, num);
        let clear = move |i: usize, j: usize, _: Band| if gain[i][j] > -85.0 { Db(-70.0) } else { Db(-160.0) };
        let air = site("DE");
        let channels = [(5210.0, 80.0), (5190.0, 40.0), (5230.0, 40.0), (5180.0, 20.0), (5240.0, 20.0)];
        let mut plans: Vec<(f64, f64)> = Vec::new();
        for _ in 0..14 {
            let picks: Vec<(f64, f64)> = (0..num).map(|_| channels[(5.0 * random(&mut state)) as usize]).collect();
            let settings: Vec<_> =
                picks.iter().enumerate().map(|(n, (c, w))| set(n, Band::Ghz5, *c, *w, 23.0)).collect();
            let value = plan_objective(&settings, &aps, &[], &clear, (&air, Band::Ghz5), None).unwrap();
            // Each access point among those that it hears: its own throughput there.
            let mut carried = 0.0;
            for i in 0..num {
                let hears = |j: &usize| {
                    let ((a, b), (c, d)) = (picks[i], picks[*j]);
                    *j != i && (a - c).abs() < (b + d) / 2.0 && clear(i, *j, Band::Ghz5).0 > -100.0
                };
                let mut widths: Vec<u32> = (0..num).filter(hears).map(|j| picks[j].1 as u32).collect();
                let own = picks[i].1 as u32;
                widths.push(own);
                widths.sort_unstable();
                let place = widths.iter().position(|w| *w == own).unwrap();
                let each = known.entry(widths).or_insert_with_key(|widths| {
                    let on_it: Vec<Station> = widths.iter().flat_map(|w| stations(1, f64::from(*w), 2, 9)).collect();
                    let shares = saturated(&Channel::ofdm(), &on_it).unwrap();
                    shares.stations.iter().map(|s| s.throughput.mbps().ln()).collect()
                });
                carried += each[place];
            }
            plans.push((value, carried));
        }
        for (k, a) in plans.iter().enumerate() {
            for b in &plans[k + 1..] {
                if (a.1 - b.1).abs() > 0.02 * num as f64 {
                    compared += 1;
                    agreed += usize::from((a.0 - b.0) * (a.1 - b.1) > 0.0);
                }
            }
        }
    }
    println!("{agreed} of {compared} pairs of plans in the same order");
    // Wide and narrow senders on one channel take turns of different lengths, which the objective does not know.
    assert!(compared > 150, "{compared}");
    assert!(agreed as f64 > 0.95 * compared as f64, "{agreed} of {compared}");
}

/// Neighbours that want less than their share leave the rest: against stations with such offers.
#[test]
fn neighbours_take_what_they_want_up_to_an_equal_share() {
    // Full aggregates, which the cost of sharing is fitted to: one comes as a whole.
    let parts = Burst::of(&frame(20.0, 2, 7)).unwrap();
    let most = f64::from(parts.most_mpdus);
    let burst =
        Burst { per_mpdu: Seconds(most * parts.per_mpdu.0), mpdu_bits: most * parts.mpdu_bits, most_mpdus: 1, ..parts };
    let mut carrier = Carrier::new(&Medium { channel: Channel::ofdm(), taken: 0.0 }).unwrap();
    let mut first = |offers: &[f64]| {
        let flows: Vec<Flow> = offers.iter().map(|o| Flow { offered: BitsPerSecond(*o), burst }).collect();
        let senders: Vec<Sender> =
            (0..flows.len()).map(|n| Sender { access: Access::BEST_EFFORT, flows: n..n + 1 }).collect();
        let mut out = Vec::new();
        carrier.carry(&senders, &flows, &mut out).unwrap();
        out[0].throughput.0
    };
    let alone = first(&[1e12]);
    let mut radio = ap();
    radio.bands.truncate(1);
    for loads in [vec![0.2], vec![0.6]] {
        let mut air = site("US");
        for (n, load) in loads.iter().enumerate() {
            air.neighbours.push(plan_homes::neighbour(n, 2437.0, 20.0, -60.0, Some(*load)));
        }
        let settings = [set(0, Band::Ghz2, 2437.0, 20.0, 23.0)];
        let value = plan_objective(&settings, &inputs(&radio, 1), &[], &|_, _, _| Db(0.0), (&air, Band::Ghz2), None);
        let left = value.unwrap().exp() / 20.0;
        let mut offers = vec![1e12];
        offers.extend(loads.iter().map(|l| alone * l));
        let share = first(&offers) / alone;
        println!("{loads:?}: {left:.3} against {share:.3}");
        assert!((left - share).abs() < 0.06, "{loads:?}: {left:.3} against {share:.3}");
    }
}
