//! What holds of evenings whatever the home: order, seeds, bad input.

mod common;

use common::{Home, activity, figure, id, mbps, mode, rules};
use findings::{Cancelled, Progress};
use household::ActivityKind as Kind;
use proptest::prelude::*;
use radio_profile::Band;
use traffic::{HourOutcome, UplinkKind};

/// Five devices over two access points and the line.
fn home(rates: &[f64; 5], share: f64) -> Home {
    let kinds = [Kind::Video, Kind::VideoCall, Kind::Download, Kind::Game, Kind::Upload];
    let mut home =
        Home::new().line(100.0, 30.0).radio("a", Band::Ghz5, 5210.0, 80.0).radio("b", Band::Ghz2, 2437.0, 20.0);
    home.evenings = 40;
    for (n, (kind, rate)) in kinds.into_iter().zip(rates).enumerate() {
        home = home.device(&format!("d{n}"), 1).does(kind, *rate, rate / 4.0, share);
        home = if n % 2 == 0 {
            home.air("a", Band::Ghz5, mode(80.0, 2, 7))
        } else {
            home.air("b", Band::Ghz2, mode(20.0, 2, 5))
        };
    }
    home
}

fn headroom(outcome: &HourOutcome) -> f64 {
    figure(outcome, "headroom", "d1").value.unwrap_or(f64::INFINITY)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// More of one activity never lowers a load, never raises headroom.
    #[test]
    fn more_demand_never_helps(rates in prop::array::uniform5(0.1f64..12.0), n in 0usize..5, more in 1.0f64..3.0, share in 0.1f64..1.0) {
        let less = home(&rates, share).run();
        let mut rates = rates;
        rates[n] *= more;
        let outcome = home(&rates, share).run();
        prop_assert!(headroom(&outcome) <= headroom(&less) * (1.0 + 1e-6));
        for (a, b) in less.loads.iter().zip(&outcome.loads) {
            prop_assert_eq!(&a.resource, &b.resource);
            prop_assert!(b.demand.p95 >= a.demand.p95 * (1.0 - 1e-3) - 1e-6, "{:?} {:?}", a, b);
        }
        prop_assert!(outcome.hour.line.unwrap().suffices.down >= less.hour.line.unwrap().suffices.down);
    }

    /// A faster line never worsens what anything gets.
    #[test]
    fn a_better_line_never_hurts(rates in prop::array::uniform5(0.1f64..12.0), more in 1.0f64..4.0, share in 0.1f64..1.0) {
        let (slow, fast) = (home(&rates, share), home(&rates, share).line(100.0 * more, 30.0 * more));
        let (slow, fast) = (slow.run(), fast.run());
        prop_assert!(headroom(&fast) >= headroom(&slow) * (1.0 - 1e-9));
        for (a, b) in slow.hour.activities.iter().zip(&fast.hour.activities) {
            // More of the line for transfers can leave less of a channel to others, not less than they need.
            prop_assert!(b.met >= a.met.map(|m| m - 0.1), "{:?} {:?}", a, b);
        }
    }
}

#[test]
fn the_seed_decides_and_nothing_else() {
    let home = home(&[25.0, 6.0, 10.0, 4.0, 5.0], 0.3);
    let first = home.run();
    assert_eq!(home.run(), first);
    let mut other = home.clone();
    other.seed = 2;
    assert_ne!(other.run(), first);
    // Threads decide nothing.
    for threads in [1, 3] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        assert_eq!(pool.install(|| home.run()), first);
    }
}

/// Other seeds, other evenings, about the same hour.
#[test]
fn seeds_agree() {
    let run = |seed: u64| {
        let mut home = home(&[25.0, 6.0, 10.0, 4.0, 5.0], 0.3);
        (home.seed, home.evenings) = (seed, 1000);
        let line = home.run().hour.line.unwrap();
        (line.down.median, line.down.poor)
    };
    let (a, b) = (run(1), run(99));
    assert!((a.0 / b.0 - 1.0).abs() < 0.08 && (a.1 / b.1 - 1.0).abs() < 0.08, "{a:?} {b:?}");
}

struct Stop;

impl Progress for Stop {
    fn step(&self, _: &str, done: u64, _: u64) -> Result<(), Cancelled> {
        if done >= 200 { Err(Cancelled) } else { Ok(()) }
    }
}

#[test]
fn it_can_be_cancelled() {
    let mut home = home(&[25.0, 6.0, 10.0, 4.0, 5.0], 0.3);
    home.evenings = 1000;
    let subject = id("d1");
    let input = traffic::HourInput {
        subject: &subject,
        household: &home.household,
        site: &home.site,
        links: &home.links,
        wired: &home.wired,
        radios: &home.radios,
        own: &home.own,
        hears: None,
        uplinks: &[],
        line_queue: network::LineQueue::Plain,
        rts: true,
        seed: 1,
        evenings: 1000,
    };
    assert_eq!(traffic::busy_hour(&input, &Stop), Err(Cancelled));
}

#[test]
fn nothing_to_do_is_unknown_headroom() {
    for home in [Home::new(), Home::new().device("pc", 1).does(Kind::Upload, 0.0, 0.0, 0.5).wire(1000.0, &[])] {
        let outcome = home.run();
        let headroom = figure(&outcome, "headroom", "d1");
        assert!(headroom.value.is_none() && !headroom.missing.is_empty());
        assert!(outcome.loads.is_empty() && outcome.hour.bottleneck.is_none() && outcome.findings.is_empty());
    }
}

#[test]
fn impossible_input_is_found_and_never_reckoned() {
    let bad = |down: f64, up: f64, share: f64| {
        let outcome = Home::new().device("pc", 1).does(Kind::Upload, down, up, share).wire(1000.0, &[]).run();
        assert!(outcome.loads.is_empty() && outcome.hour.activities.is_empty());
        assert_eq!(rules(&outcome), ["traffic.impossible-demand"], "{down} {up} {share}");
    };
    for (down, up, share) in
        [(f64::NAN, 0.0, 0.5), (0.0, -1.0, 0.5), (f64::INFINITY, 0.0, 0.5), (10.0, 0.0, f64::NAN), (10.0, 0.0, 1.1)]
    {
        bad(down, up, share);
    }
    let night = Home::new().device("pc", 1).does(Kind::Upload, 0.0, 1.0, 0.5).between(f64::NAN, 5.0).wire(1000.0, &[]);
    assert_eq!(rules(&night.run()), ["traffic.impossible-demand"]);
    let unserved = Home::new().device("pc", 1).does(Kind::Upload, 0.0, 1.0, 0.5).run();
    assert_eq!(rules(&unserved), ["traffic.device-unserved"]);
    assert_eq!((activity(&unserved, 1).met, activity(&unserved, 1).runs), (None, 0.0));
    let unset =
        Home::new().device("tv", 1).does(Kind::Video, 8.0, 0.0, 0.5).air("ap", Band::Ghz5, mode(80.0, 2, 7)).run();
    assert_eq!(rules(&unset), ["traffic.unset-radio"]);
    let camera = Home::new().device("cam", 1).records(f64::NAN, 1.0, 14.0, None, None).wire(100.0, &[]).run();
    assert_eq!((rules(&camera), camera.hour.recordings.len()), (vec!["traffic.impossible-demand"], 0));
    let lost = Home::new().device("cam", 1).records(4.0, 1.0, 14.0, Some("gone"), None).wire(100.0, &[]).run();
    assert_eq!(rules(&lost), ["traffic.impossible-demand"]);
    let storeless =
        Home::new().device("nas", 1).device("cam", 1).records(4.0, 1.0, 14.0, Some("nas"), None).wire(100.0, &[]);
    assert_eq!(rules(&storeless.run()), ["traffic.device-unserved"]);
}

/// A link, hop or line that carries nothing: no headroom, the need missed, nothing that is not a number.
#[test]
fn what_carries_nothing() {
    for dead in [0.0, f64::NAN, -1.0] {
        let mut home =
            Home::new().radio("ap", Band::Ghz5, 5210.0, 80.0).device("tv", 1).does(Kind::Video, 8.0, 0.0, 1.0);
        home = home.air("ap", Band::Ghz5, mode(80.0, 2, 7));
        home.links[0].rate.down = units::BitsPerSecond(dead);
        let outcome = home.run();
        assert_eq!(figure(&outcome, "headroom", "d1").value, Some(0.0));
        assert!(rules(&outcome).contains(&"traffic.activity-above-link"), "{:?}", rules(&outcome));
        assert_eq!((activity(&outcome, 1).met, activity(&outcome, 1).down.unwrap().poor), (Some(0.0), 0.0));

        let hop =
            UplinkKind::Radio { band: Band::Ghz5, down: units::BitsPerSecond(dead), up: mbps(10.0), shared: false };
        let home = Home::new().device("tv", 1).does(Kind::Video, 8.0, 0.0, 1.0).wire(1000.0, &["ap"]);
        let outcome = home.uplink("ap", "router", hop).run();
        assert_eq!(figure(&outcome, "headroom", "d1").value, Some(0.0));
        assert_eq!(rules(&outcome), ["traffic.dead-uplink", "traffic.bottleneck", "traffic.need-missed"]);

        let home = Home::new().line(dead, dead).device("pc", 1).does(Kind::VideoCall, 8.0, 2.0, 1.0).wire(1000.0, &[]);
        let outcome = home.run();
        assert_eq!(figure(&outcome, "headroom", "d1").value, Some(0.0));
        assert_eq!(activity(&outcome, 1).met, Some(0.0));
        assert!(activity(&outcome, 1).rating.unwrap().poor.is_finite());
    }
}

#[test]
fn circular_uplinks_end_with_a_finding() {
    let wire = || UplinkKind::Wired { rate: mbps(1000.0) };
    let home = Home::new().device("tv", 1).does(Kind::Video, 8.0, 0.0, 0.5).wire(1000.0, &["a"]);
    let outcome = home.uplink("a", "b", wire()).uplink("b", "a", wire()).run();
    assert_eq!(rules(&outcome), ["traffic.circular-uplink"]);
}

/// Neighbours that hold all of the time leave own stations a little, and no headroom.
#[test]
fn a_crowded_channel() {
    let mut home = Home::new().radio("ap", Band::Ghz2, 2437.0, 20.0).device("tv", 1).does(Kind::Video, 8.0, 0.0, 1.0);
    home = home.air("ap", Band::Ghz2, mode(20.0, 2, 7));
    for n in 0..4 {
        home.site.neighbours.push(site::Neighbour {
            id: id(&format!("n{n}")),
            centre: units::Hertz::from_mhz(2437.0),
            width: units::Hertz::from_mhz(20.0),
            level: units::Dbm(-60.0),
            transmitter: None,
            load: Some(0.5),
        });
    }
    home.own[0].beacons = f64::NAN;
    let outcome = home.run();
    assert_eq!(figure(&outcome, "headroom", "d1").value, Some(0.0));
    assert!((outcome.hour.channels[0].neighbours - 2.0).abs() < 1e-12);
    assert!(activity(&outcome, 1).down.unwrap().poor > 0.0);
}

/// Ten thousand devices and a count that no home has: bounded, with fewer evenings, and the mean is right.
#[test]
fn ten_thousand_devices() {
    let mut home = Home::new().line(1000.0, 1000.0).radio("ap", Band::Ghz5, 5210.0, 80.0);
    for n in 0..10_000 {
        home = home.device(&format!("d{n}"), 1).does(Kind::Browsing, 0.01, 0.01, 0.1).air(
            "ap",
            Band::Ghz5,
            mode(80.0, 2, 7),
        );
    }
    home = home.device("many", u32::MAX).does(Kind::Audio, 1e-9, 0.0, 0.1).wire(1000.0, &[]);
    home.evenings = 1000;
    let outcome = home.run();
    assert!(outcome.hour.evenings >= 20 && outcome.hour.evenings < 100, "{}", outcome.hour.evenings);
    let mean = (10_000.0 * 0.1 * 1e4 + f64::from(u32::MAX) * 0.1 * 1e-3) / 1e9;
    let found = outcome.loads.iter().find(|l| matches!(l.resource, traffic::Resource::LineDown { .. })).unwrap();
    assert!((found.demand.mean / mean - 1.0).abs() < 0.05, "{} {mean}", found.demand.mean);
}
