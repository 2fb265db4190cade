//! The busy hour over evenings, against cases worked by hand.

mod common;

use common::{Home, activity, alone, close, figure, id, mbps, mode, rules};
use household::ActivityKind as Kind;
use radio_profile::Band;
use traffic::hour::Carrier;
use traffic::{Resource, UplinkKind};
use units::Seconds;

const AP: (&str, Band, f64, f64) = ("ap", Band::Ghz5, 5210.0, 80.0);

fn home() -> Home {
    Home::new().radio(AP.0, AP.1, AP.2, AP.3)
}

/// One stream of 25 Mbit/s, always on, alone: its airtime is what its frames take, and more than the share of its rate in that of the link, for short
/// bursts. The line's 500 Mbit/s is used to 5 %.
#[test]
fn one_device() {
    let best = mode(80.0, 2, 9);
    let outcome = home().device("tv", 1).does(Kind::Video, 25.0, 0.0, 1.0).air("ap", Band::Ghz5, best).run();
    let hour = &outcome.hour;
    let channel = &hour.channels[0];
    let least = 25e6 / alone(&best, Band::Ghz5);
    assert!(channel.own.median > 0.8 * least && channel.own.median < 2.0 * least, "{} {least}", channel.own.median);
    assert_eq!((channel.own.median, channel.collided.median, channel.overloaded), (channel.own.poor, 0.0, 0.0));
    assert_eq!((channel.devices, hour.hour, hour.evenings), (1, None, 400));
    let line = hour.line.as_ref().unwrap();
    close(line.down.poor, 0.05, 1e-12);
    assert_eq!((line.suffices.down, line.suffices.up), (Some(mbps(40.0)), Some(mbps(1.0))));
    let watch = activity(&outcome, 1);
    close(watch.down.unwrap().poor, 25e6, 1.0);
    assert_eq!((watch.met, watch.runs, watch.up, watch.rating), (Some(1.0), 1.0, None, None));
    // The line alone has 4 ms; the channel adds little.
    let delay = watch.delay.unwrap().poor;
    assert!(delay > 4e-3 && delay < 8e-3, "{delay}");
    assert_eq!(rules(&outcome), Vec::<&str>::new());
    assert_eq!(outcome.loads.len(), 2);
    let headroom = figure(&outcome, "headroom", "d1").value.unwrap();
    close(headroom, (0.5 / channel.busy.poor).min(0.8 / 0.05).min(1.0 / least), 0.02 * headroom);
}

/// Two greedy transfers by cable share the line by halves; one of them behind a slow cable leaves the rest to the other.
#[test]
fn a_line_shared_by_two_transfers() {
    let two = |second: f64| {
        let home = Home::new().line(100.0, 40.0).device("a", 1).does(Kind::Download, 10.0, 0.0, 1.0).wire(1000.0, &[]);
        let outcome = home.device("b", 1).does(Kind::Download, 10.0, 0.0, 1.0).wire(second, &[]).run();
        (activity(&outcome, 1).down.unwrap().poor / 1e6, activity(&outcome, 2).down.unwrap().poor / 1e6, outcome)
    };
    let (a, b, outcome) = two(1000.0);
    close(a, 50.0, 1e-6);
    close(b, 50.0, 1e-6);
    // Loads are of what is needed: 20 of 100 Mbit/s.
    close(outcome.hour.line.as_ref().unwrap().down.poor, 0.2, 1e-12);
    let (a, b, _) = two(20.0);
    close(a, 80.0, 1e-6);
    close(b, 20.0, 1e-6);
}

/// A backup fills the way out; its answers do not fill the way in.
#[test]
fn a_transfer_is_greedy_one_way() {
    let home = Home::new().line(100.0, 40.0).device("nas", 1).does(Kind::Upload, 0.5, 5.0, 1.0).wire(1000.0, &[]);
    let outcome = home.run();
    let backup = activity(&outcome, 1);
    close(backup.up.unwrap().poor, 40e6, 1.0);
    close(backup.down.unwrap().poor, 0.5e6, 1e-3);
    close(outcome.hour.line.unwrap().wait_plain_down.poor, 0.0, 1e-4);
}

/// A transfer whose channel is slower than the line leaves the rest of the line to the others.
#[test]
fn what_a_channel_does_not_carry_is_free_on_the_line() {
    let slow = mode(80.0, 1, 0);
    let home =
        home().line(100.0, 40.0).device("far", 1).does(Kind::Download, 10.0, 0.0, 1.0).air("ap", Band::Ghz5, slow);
    let outcome = home.device("near", 1).does(Kind::Download, 10.0, 0.0, 1.0).wire(1000.0, &[]).run();
    let (far, near) = (activity(&outcome, 1).down.unwrap().poor, activity(&outcome, 2).down.unwrap().poor);
    let most = alone(&slow, Band::Ghz5);
    assert!(far < 1.03 * most && far > 0.9 * most, "{far} {most}");
    close(near, 100e6 - far, 1e5);
}

/// A call and an upload that fills 10 Mbit/s: a plain queue of 300 ms ruins it, a fair one does not, and the finding's edit says so.
#[test]
fn plain_and_fair_queue() {
    let build = || {
        let mut home = Home::new().line(50.0, 10.0);
        home.site.lines[0].queue = Some(Seconds(0.3));
        let home = home.device("pc", 1).does(Kind::VideoCall, 2.0, 2.0, 1.0).bears(150.0).wire(1000.0, &[]);
        home.device("nas", 1).does(Kind::Upload, 0.0, 2.0, 1.0).wire(1000.0, &[])
    };
    let (plain, fair) = (build().run(), build().fair().run());
    let of = |o: &traffic::HourOutcome| {
        let call = activity(o, 1);
        (call.delay.unwrap().poor, call.rating.unwrap().poor, call.met.unwrap())
    };
    let (delay, rating, met) = of(&plain);
    close(delay, 0.3 + 0.004, 2e-3);
    assert!(rating < 70.0, "{rating}");
    // The upload sends for a fifth of the time: no moment of eight is hit in 0.8⁸ of evenings.
    close(met, 0.8f64.powi(8), 0.06);
    assert_eq!(activity(&plain, 1).held_back_by.as_ref().unwrap().carrier, Carrier::Delay);
    let (delay, after, met) = of(&fair);
    assert!(delay < 0.01 && after > 85.0 && met == 1.0, "{delay} {after}");
    assert_eq!((rules(&plain), rules(&fair)), (vec!["traffic.upload-ruins-calls"], vec![]));
    let finding = &plain.findings[0];
    let edit = &finding.remedies[0].edits[0];
    assert_eq!(edit.path, "designs/d1/line_queue");
    assert_eq!(edit.value, Some(serde_json::json!({"kind": "fair", "share": 0.9})));
    // The figure after the remedy is that of the design with it.
    assert!(finding.remedies[0].text.contains(&format!("rated {after:.0},")), "{}", finding.remedies[0].text);
    // The transfer takes what is left.
    close(activity(&plain, 2).up.unwrap().poor, 8e6, 1e3);
    close(activity(&fair, 2).up.unwrap().poor, 7e6, 1e3);
    let (p, f) = (plain.hour.line.unwrap(), fair.hour.line.unwrap());
    close(p.wait_plain.poor, 0.3, 1e-9);
    assert!(f.wait_fair.poor < 3e-3 && (p.wait_fair.poor / f.wait_fair.poor - 1.0).abs() < 0.2);
}

/// Without a transfer nothing is ruined, whatever the queue.
#[test]
fn a_call_alone() {
    let outcome = Home::new().line(50.0, 10.0).device("pc", 1).does(Kind::VideoCall, 2.0, 2.0, 0.5).bears(150.0);
    let outcome = outcome.wire(1000.0, &[]).run();
    assert_eq!((rules(&outcome), activity(&outcome, 1).met), (vec![], Some(1.0)));
    assert!(activity(&outcome, 1).rating.unwrap().poor > 88.0);
    close(activity(&outcome, 1).runs, 0.75, 0.2);
}

/// One person at two screens never loads the line twice; two people do.
#[test]
fn a_person_does_one_thing_at_a_time() {
    let build = |second: &str| {
        let home = Home::new().device("a", 1).does(Kind::Video, 25.0, 0.0, 0.5).by("p1").wire(1000.0, &[]);
        home.device("b", 1).does(Kind::Game, 25.0, 0.0, 0.5).by(second).wire(1000.0, &[])
    };
    let load = |home: Home| home.run().hour.line.unwrap().down;
    let (one, two) = (load(build("p1")), load(build("p2")));
    close(one.poor, 0.05, 1e-12);
    close(two.poor, 0.1, 1e-12);
    // More than all of the time is scaled and said.
    let mut over = build("p1");
    over.household.activities[0].busy_share = 1.0;
    let outcome = over.run();
    assert_eq!(rules(&outcome), ["traffic.person-overbooked"]);
    assert_eq!(outcome.findings[0].measured.as_ref().unwrap().value, 1.5);
    close(outcome.hour.line.unwrap().down.median, 0.05, 1e-12);
}

/// The owner of a device is who uses it.
#[test]
fn an_owner_is_a_person() {
    let mut home = Home::new().device("a", 1).does(Kind::Video, 25.0, 0.0, 0.5).wire(1000.0, &[]);
    home = home.device("b", 1).does(Kind::Game, 25.0, 0.0, 0.5).wire(1000.0, &[]);
    home.household.devices.iter_mut().for_each(|d| d.owner = Some(id("p1")));
    close(home.run().hour.line.unwrap().down.poor, 0.05, 1e-12);
}

/// A backup at night does not load the evening, and the busy hour is the one with the most to do.
#[test]
fn hours() {
    let build = |rate: f64| {
        let home = Home::new().device("tv", 1).does(Kind::Video, 25.0, 0.0, 0.8).between(18.0, 23.0).wire(1000.0, &[]);
        home.device("nas", 1).does(Kind::Upload, 0.0, rate, 1.0).between(22.5, 5.0).wire(1000.0, &[]).run()
    };
    let evening = build(5.0);
    // 22:00 has the television and half an hour of backup: 20 + 2.5.
    assert_eq!(evening.hour.hour, Some(22));
    let night = build(40.0);
    // From 23:00 on: 40; of equal hours the first of the day counts.
    assert_eq!(night.hour.hour, Some(0));
    assert_eq!((activity(&night, 1).runs, activity(&night, 1).met, activity(&night, 2).runs), (0.0, None, 1.0));
}

/// Independent on-off sources at one moment: the mean over evenings of the line's load is the binomial mean; with sessions that outlast the hour, the
/// hour's 95th percentile is that of one moment: four of ten, by the binomial table for 0.2 (P(X <= 3) 0.879, P(X <= 4) 0.967).
#[test]
fn many_alike_follow_the_binomial_distribution() {
    let mut home = Home::new().device("pc", 10).does(Kind::RemoteWork, 5.0, 0.0, 0.2).wire(1000.0, &[]);
    home.evenings = 4000;
    let outcome = home.run();
    let (exact_mean, exact_p95, all) = (0.02, 0.04, 0.1);
    let load = &outcome.loads[0];
    assert_eq!(load.resource, Resource::LineDown { line: id("line-1") });
    close(load.demand.mean, exact_mean, 0.03 * exact_mean);
    close(load.demand.all, all, 1e-12);
    // The mean of eight moments that hang together spreads less than one moment, and more than eight apart.
    let variance = 0.01f64.powi(2) * 10.0 * 0.2 * 0.8;
    let e = (-450.0f64 / 3600.0).exp();
    let ties: f64 = (0..8i32).flat_map(|a| (0..8i32).map(move |b| e.powi((a - b).abs()))).sum();
    let p95 = exact_mean + 1.645 * (variance * ties / 64.0).sqrt();
    close(load.demand.p95, p95, 0.08 * p95);
    assert!(load.demand.p95 <= exact_p95);
}

#[test]
fn hops_cost_time_on_their_channel() {
    let best = mode(80.0, 2, 9);
    let build = |shared: bool| {
        let hop = UplinkKind::Radio { band: Band::Ghz5, down: mbps(300.0), up: mbps(300.0), shared };
        let home = home().radio("node", Band::Ghz5, 5210.0, 80.0).device("tv", 1).does(Kind::Video, 25.0, 0.0, 1.0);
        home.air("node", Band::Ghz5, best).uplink("node", "ap", hop).run()
    };
    let (shared, apart) = (build(true), build(false));
    let own = |o: &traffic::HourOutcome| o.hour.channels[0].own.poor;
    assert!(own(&shared) > 1.8 * own(&apart), "{} {}", own(&shared), own(&apart));
    assert_eq!(shared.hour.channels[0].shared_with, [id("node")]);
    // Of its own: 25 of 300 Mbit/s.
    close(apart.hour.uplinks[0].down.poor, 25.0 / 300.0, 1e-12);
    // The line's 4 ms, the device's channel, and 2 ms and a wait for each hop.
    assert!(activity(&apart, 1).delay.unwrap().poor > 6e-3 && activity(&shared, 1).delay.unwrap().poor > 5e-3);
    // The far access point's own channel where they do not hear each other: the hop is then on the near one's alone.
    let mut deaf = home().radio("node", Band::Ghz5, 5530.0, 80.0).device("tv", 1).does(Kind::Video, 25.0, 0.0, 1.0);
    deaf = deaf.air("node", Band::Ghz5, best);
    deaf.hears = Some(vec![]);
    assert_eq!(deaf.run().hour.channels[0].own.poor, 0.0);
}

/// Two access points on one channel share its time if they hear each other.
#[test]
fn hearing_decides_who_shares() {
    let best = mode(80.0, 2, 9);
    let build = |hears: Vec<(usize, usize)>| {
        let home = home().radio("b", Band::Ghz5, 5210.0, 80.0).device("one", 1).does(Kind::Video, 25.0, 0.0, 1.0);
        let home = home.air("ap", Band::Ghz5, best).device("two", 1).does(Kind::Video, 25.0, 0.0, 1.0);
        let mut home = home.air("b", Band::Ghz5, best);
        home.hears = Some(hears);
        home.run().hour.channels[1].busy.poor
    };
    let (apart, together) = (build(vec![]), build(vec![(1, 0)]));
    assert!(together > 1.7 * apart, "{together} {apart}");
}

#[test]
fn cameras() {
    let build = |store: Option<&str>, octets: Option<f64>| {
        let home = Home::new().line(100.0, 20.0).device("nas", 1).wire(1000.0, &["switch"]);
        let home = home.device("cam", 3).records(4.0, 1.0, 14.0, store, octets).wire(100.0, &["switch"]);
        let mut home = home.uplink("switch", "router", UplinkKind::Wired { rate: mbps(1000.0) });
        home.household.devices[0].kind = household::DeviceKind::Storage;
        home.run()
    };
    // Over the line: 12 of 20 Mbit/s.
    let over = build(None, None);
    close(over.hour.line.as_ref().unwrap().up.poor, 0.6, 1e-12);
    assert_eq!(rules(&over), ["traffic.camera-uplink"]);
    close(over.findings[0].measured.as_ref().unwrap().value, 60.0, 1e-9);
    let edit = &over.findings[0].remedies[0].edits[0];
    assert_eq!(
        (edit.path.as_str(), edit.value.as_ref().unwrap().as_str()),
        ("household/devices/cam/recording/store", Some("nas"))
    );
    // In the home, behind one switch: neither the line nor the switch's uplink. 3 · 43.2 GB a day, 14 days, 15 % more over 90 %.
    let home = build(Some("nas"), Some(2e12));
    assert_eq!(home.loads, vec![]);
    let recording = &home.hour.recordings[0];
    close(recording.octets_a_day, 129.6e9, 1.0);
    close(recording.needed_octets, 129.6e9 * 14.0 * 1.15 / 0.9, 1e3);
    close(recording.keeps.unwrap().0 / 86_400.0, 2e12 * 0.9 / 1.15 / 129.6e9, 1e-9);
    assert_eq!(rules(&home), ["traffic.camera-retention"]);
    close(figure(&home, "recording.days", "cam").value.unwrap(), 12.077, 0.001);
    assert_eq!(rules(&build(Some("nas"), Some(3e12))), Vec::<&str>::new());
    assert!(figure(&build(Some("nas"), None), "recording.days", "cam").value.is_none());
}

/// 40 Mbit/s of needs on a line of 30: found, with the least usual service.
#[test]
fn a_service_too_small() {
    let home = Home::new().line(30.0, 10.0).device("tv", 1).does(Kind::Video, 40.0, 0.0, 1.0).wire(1000.0, &[]);
    let outcome = home.run();
    assert_eq!(rules(&outcome), ["traffic.bottleneck", "traffic.service-too-small", "traffic.need-missed"]);
    let line = outcome.hour.line.as_ref().unwrap();
    assert_eq!(line.suffices.down, Some(mbps(50.0)));
    close(figure(&outcome, "headroom", "d1").value.unwrap(), 0.8 * 30.0 / 40.0, 1e-9);
    let watch = activity(&outcome, 1);
    close(watch.down.unwrap().poor, 30e6, 1.0);
    assert_eq!((watch.met, watch.held_back_by.as_ref().unwrap().carrier), (Some(0.0), Carrier::LineDown));
    // And that service is enough.
    let mut better = home.clone().line(50.0, 10.0);
    assert_eq!(rules(&better.run()), Vec::<&str>::new());
    better.queue = network::LineQueue::Fair { share: 0.5 };
    assert_eq!(better.run().hour.line.unwrap().suffices.down, Some(mbps(100.0)));
}

/// A station at the lowest rate holds the channel for most of the time.
#[test]
fn a_slow_station() {
    let home = home().device("far", 1).does(Kind::Video, 8.0, 0.0, 1.0).air("ap", Band::Ghz5, mode(80.0, 1, 0));
    let home = home.device("near", 1).does(Kind::Video, 25.0, 0.0, 1.0).air("ap", Band::Ghz5, mode(80.0, 2, 9));
    let outcome = home.run();
    assert_eq!(rules(&outcome), ["traffic.slow-station"]);
    let finding = &outcome.findings[0];
    assert_eq!(finding.subjects[0], id("far"));
    assert!(finding.measured.as_ref().unwrap().value > 10.0);
}

/// Needs beyond what a channel carries are missed, and the channel is named.
#[test]
fn a_channel_that_is_full() {
    let slow = mode(20.0, 1, 2);
    let mut home = Home::new().radio("ap", Band::Ghz2, 2437.0, 20.0);
    for name in ["a", "b", "c"] {
        home = home.device(name, 1).does(Kind::Video, 8.0, 0.0, 1.0).air("ap", Band::Ghz2, slow);
    }
    let outcome = home.run();
    assert!(figure(&outcome, "headroom", "d1").value.unwrap() < 1.0);
    let bottleneck = outcome.hour.bottleneck.as_ref().unwrap();
    assert_eq!((bottleneck.carrier, &bottleneck.subject), (Carrier::Channel, &id("ap")));
    assert_eq!(outcome.hour.channels[0].overloaded, 1.0);
    let watch = activity(&outcome, 1);
    assert_eq!((watch.met, watch.held_back_by.as_ref().unwrap().carrier), (Some(0.0), Carrier::Channel));
    assert_eq!(rules(&outcome).iter().filter(|r| **r == "traffic.need-missed").count(), 3);
}

/// Small things talk through their hub.
#[test]
fn things_go_by_their_hub() {
    let mut home =
        Home::new().device("hub", 1).wire(100.0, &[]).device("locks", 4).does(Kind::Telemetry, 0.05, 0.05, 1.0);
    home.household.devices[1].attachment = household::Attachment::ThingNetwork;
    assert_eq!((rules(&home.run()), home.run().loads.len()), (vec![], 0));
    home.household.thing_networks.push(household::ThingNetwork {
        id: id("mesh"),
        radio: household::ThingRadio::Ieee802154,
        hub: id("hub"),
        channel: Some(25),
        devices: vec![id("locks")],
    });
    let line = home.run().hour.line.unwrap();
    close(line.up.poor, 0.2 / 100.0, 1e-12);
}

/// Beacons take time from the limit like neighbours: they count in what is full first, in the figure and in the room to grow.
#[test]
fn beacons_count_in_what_is_full() {
    let build = |beacons: f64| {
        let mut home = home().radio("ap", Band::Ghz5, 5210.0, 80.0).device("tv", 1).does(Kind::Video, 25.0, 0.0, 1.0);
        home = home.air("ap", Band::Ghz5, mode(80.0, 2, 5));
        home.own[0].beacons = beacons;
        home.run()
    };
    let (without, with) = (build(0.0), build(0.1));
    let full = |o: &traffic::HourOutcome| o.hour.bottleneck.clone().unwrap().load;
    close(full(&with) - full(&without), 0.1, 0.01);
    let airtime = |o: &traffic::HourOutcome| o.figures.iter().find(|f| f.id == "airtime.5").unwrap().value.unwrap();
    close(airtime(&with), full(&with), 1e-12);
    let headroom = |o: &traffic::HourOutcome| o.figures.iter().find(|f| f.id == "headroom").unwrap().value.unwrap();
    assert!(headroom(&with) < headroom(&without));
}

/// What devices take adds up to what is on the channel beside its collisions, whatever way it goes.
#[test]
fn airtime_of_devices_adds_up() {
    let best = mode(80.0, 2, 7);
    let mut home = home().radio("ap", Band::Ghz5, 5210.0, 80.0);
    for (name, down, up) in [("tv", 25.0, 0.5), ("pc", 6.0, 4.0), ("cam", 0.0, 8.0)] {
        home = home.device(name, 1).does(Kind::Video, down, up, 1.0).air("ap", Band::Ghz5, best);
    }
    let hour = home.run().hour;
    let own = hour.channels[0].own.median;
    let sum: f64 = hour.devices.iter().map(|d| d.airtime.median).sum();
    close(sum, own, 1e-6);
    assert_eq!(hour.devices.len(), 3);
    assert!(hour.devices[0].airtime.median > hour.devices[1].airtime.median);
}
