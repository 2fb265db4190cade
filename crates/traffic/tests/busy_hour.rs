//! The busy hour through the public door, against figures worked by hand.

use findings::Id;
use household::{Activity, ActivityKind, Attachment, Device, DeviceKind, Household};
use network::RadioSetting;
use network::results::LinkRate;
use radio_profile::Band;
use site::{Neighbour, Site};
use traffic::{Input, Outcome, Resource, Uplink, UplinkKind, WiredLink, evaluate};
use units::{BitsPerSecond, Dbm, Hertz};

fn id(text: &str) -> Id {
    text.parse().unwrap()
}

fn mbps(value: f64) -> BitsPerSecond {
    BitsPerSecond::from_mbps(value)
}

/// A home in a few lines: devices and activities by `device rate-down rate-up share`.
struct Home {
    household: Household,
    site: Site,
    links: Vec<LinkRate>,
    wired: Vec<WiredLink>,
    radios: Vec<RadioSetting>,
    uplinks: Vec<Uplink>,
}

impl Home {
    fn new() -> Self {
        let site = Site::default_for("DE", "2026-11-25".parse().unwrap());
        let household = Household::default();
        Self { household, site, links: vec![], wired: vec![], radios: vec![], uplinks: vec![] }
    }

    fn radio(mut self, part: &str, band: Band, centre: f64, width: f64) -> Self {
        let (centre, width) = (Hertz::from_mhz(centre), Hertz::from_mhz(width));
        self.radios.push(RadioSetting { part: id(part), band, centre, width, eirp: Dbm(20.0) });
        self
    }

    fn device(mut self, name: &str, count: u32, kind: ActivityKind, down: f64, up: f64, share: f64) -> Self {
        self.household.devices.push(Device {
            id: id(name),
            kind: DeviceKind::Laptop,
            count,
            owner: None,
            room: id("r1"),
            at: None,
            height: None,
            attachment: Attachment::Either,
            radio: None,
            must_stay_up: false,
            has_battery: false,
            recording: None,
        });
        self.household.activities.push(Activity {
            id: id(&format!("{name}-does")),
            kind,
            device: id(name),
            down: mbps(down),
            up: mbps(up),
            busy_share: share,
            person: None,
            hours: None,
            greedy: None,
            max_delay: None,
            max_loss: None,
            local: false,
            must_stay_up: false,
        });
        self
    }

    fn air(mut self, device: &str, part: &str, band: Band, down: f64, up: f64) -> Self {
        let (level_down, level_up) = (Dbm(-50.0), Dbm(-60.0));
        let (to, from, down, up) = (id(device), id(part), mbps(down), mbps(up));
        self.links.push(LinkRate { to, from, band, level_down, level_up, down, up });
        self
    }

    fn wire(mut self, device: &str, rate: f64, via: &[&str]) -> Self {
        self.wired.push(WiredLink { device: id(device), rate: mbps(rate), via: via.iter().map(|v| id(v)).collect() });
        self
    }

    fn uplink(mut self, part: &str, parent: &str, kind: UplinkKind) -> Self {
        self.uplinks.push(Uplink { part: id(part), parent: id(parent), kind });
        self
    }

    fn run(&self) -> Outcome {
        evaluate(&Input {
            subject: &id("d1"),
            household: &self.household,
            site: &self.site,
            links: &self.links,
            wired: &self.wired,
            radios: &self.radios,
            uplinks: &self.uplinks,
        })
    }
}

fn demand(outcome: &Outcome, resource: &Resource) -> traffic::Sum {
    outcome.loads.iter().find(|l| l.resource == *resource).unwrap_or_else(|| panic!("{resource:?}")).demand
}

fn channel(part: &str, band: Band) -> Resource {
    Resource::Channel { part: id(part), band }
}

fn rules(outcome: &Outcome) -> Vec<&str> {
    outcome.findings.iter().map(|f| f.rule.as_str()).collect()
}

const ULTRA_HD: (ActivityKind, f64, f64) = (ActivityKind::Video, 25.0, 0.0);

/// One stream of 25 Mbit/s, always on, over a link of 250 Mbit/s: a tenth of the time; the limit is half, so five such streams fit. The line's
/// 500 Mbit/s at 80 % would fit sixteen.
#[test]
fn airtime_is_demand_over_goodput() {
    let (kind, down, up) = ULTRA_HD;
    let home = Home::new().radio("ap", Band::Ghz5, 5210.0, 80.0).device("tv", 1, kind, down, up, 1.0);
    let outcome = home.air("tv", "ap", Band::Ghz5, 250.0, 100.0).run();
    assert!((demand(&outcome, &channel("ap", Band::Ghz5)).p95 - 0.1).abs() < 1e-12);
    let headroom = &outcome.figures[0];
    assert_eq!(headroom.id, "headroom");
    assert!((headroom.value.unwrap() - 5.0).abs() < 1e-9);
    assert_eq!((headroom.low, headroom.high), (headroom.value, headroom.value));
    assert_eq!(rules(&outcome), Vec::<&str>::new());
    let line = demand(&outcome, &Resource::LineDown { line: id("line-1") });
    assert!((line.p95 - 0.05).abs() < 1e-12);
}

#[test]
fn both_directions_take_time() {
    let home =
        Home::new().radio("ap", Band::Ghz5, 5210.0, 80.0).device("pc", 1, ActivityKind::VideoCall, 6.0, 4.0, 1.0);
    let outcome = home.air("pc", "ap", Band::Ghz5, 60.0, 20.0).run();
    assert!((demand(&outcome, &channel("ap", Band::Ghz5)).p95 - (0.1 + 0.2)).abs() < 1e-12);
}

/// Binomial: of ten sources with probability 0.2, at most four run in 95 % of moments (0.9672; three: 0.8791). The slowest station sets the pace:
/// the same demand at a tenth of the rate takes ten times the time.
#[test]
fn concurrency_is_the_95th_percentile() {
    for rate in [500.0, 50.0] {
        let home =
            Home::new().radio("ap", Band::Ghz5, 5210.0, 80.0).device("tv", 10, ActivityKind::Video, 5.0, 0.0, 0.2);
        let outcome = home.air("tv", "ap", Band::Ghz5, rate, 100.0).run();
        let demand = demand(&outcome, &channel("ap", Band::Ghz5));
        assert!((demand.p95 - 4.0 * 5.0 / rate).abs() < 1e-12);
        assert!((demand.mean - 2.0 * 5.0 / rate).abs() < 1e-12 && (demand.all - 50.0 / rate).abs() < 1e-12);
    }
}

#[test]
fn own_access_points_share_time_where_their_channels_overlap() {
    let (kind, down, up) = ULTRA_HD;
    let build = |second: f64| {
        let home = Home::new().radio("a", Band::Ghz5, 5210.0, 80.0).radio("b", Band::Ghz5, second, 40.0);
        let home = home.device("one", 1, kind, down, up, 1.0).device("two", 1, kind, down, up, 1.0);
        home.air("one", "a", Band::Ghz5, 250.0, 100.0).air("two", "b", Band::Ghz5, 125.0, 100.0).run()
    };
    let (shared, apart) = (build(5190.0), build(5510.0));
    for part in ["a", "b"] {
        assert!((demand(&shared, &channel(part, Band::Ghz5)).p95 - 0.3).abs() < 1e-12);
    }
    assert!((demand(&apart, &channel("a", Band::Ghz5)).p95 - 0.1).abs() < 1e-12);
    assert!((demand(&apart, &channel("b", Band::Ghz5)).p95 - 0.2).abs() < 1e-12);
}

#[test]
fn a_shared_hop_costs_time_on_the_channel_and_a_dedicated_one_does_not() {
    let (kind, down, up) = ULTRA_HD;
    let build = |shared: bool| {
        let hop = UplinkKind::Radio { band: Band::Ghz5, down: mbps(100.0), up: mbps(100.0), shared };
        let home = Home::new().radio("root", Band::Ghz5, 5210.0, 80.0).radio("node", Band::Ghz5, 5210.0, 80.0);
        let home = home.device("tv", 1, kind, down, up, 1.0).air("tv", "node", Band::Ghz5, 250.0, 100.0);
        home.uplink("node", "root", hop).run()
    };
    let (shared, dedicated) = (build(true), build(false));
    // 25/250 to the device and 25/100 over the hop, seen by both radios.
    for part in ["root", "node"] {
        assert!((demand(&shared, &channel(part, Band::Ghz5)).p95 - 0.35).abs() < 1e-12);
        assert!((demand(&dedicated, &channel(part, Band::Ghz5)).p95 - 0.1).abs() < 1e-12);
    }
    assert!((demand(&dedicated, &Resource::RadioUplink { part: id("node") }).p95 - 0.25).abs() < 1e-12);
    assert_eq!(shared.loads.iter().filter(|l| matches!(l.resource, Resource::RadioUplink { .. })).count(), 0);
}

#[test]
fn wires_and_the_line_are_reckoned_each_way() {
    let home = Home::new().device("pc", 1, ActivityKind::Upload, 10.0, 90.0, 1.0).wire("pc", 1000.0, &["switch"]);
    let outcome = home.uplink("switch", "router", UplinkKind::Wired { rate: mbps(100.0) }).run();
    let of = |r: Resource| demand(&outcome, &r).p95;
    assert!((of(Resource::CableDown { part: id("switch") }) - 0.1).abs() < 1e-12);
    assert!((of(Resource::CableUp { part: id("switch") }) - 0.9).abs() < 1e-12);
    // The line has 100 Mbit/s from the home: the same 90 %. The first of two equals is named.
    assert!((of(Resource::LineUp { line: id("line-1") }) - 0.9).abs() < 1e-12);
    assert_eq!(rules(&outcome), ["traffic.bottleneck"]);
    assert_eq!(outcome.findings[0].subjects, [id("switch")]);
    assert!((outcome.figures[0].value.unwrap() - 0.8 / 0.9).abs() < 1e-9);
}

#[test]
fn what_ends_in_the_home_does_not_load_the_line() {
    let mut home = Home::new().device("nas", 1, ActivityKind::Upload, 0.0, 90.0, 1.0).wire("nas", 1000.0, &[]);
    assert!(!home.run().loads.is_empty());
    home.household.activities[0].local = true;
    let outcome = home.run();
    assert!(outcome.loads.is_empty() && outcome.figures[0].value.is_none());
}

#[test]
fn neighbours_take_their_load_off() {
    let (kind, down, up) = ULTRA_HD;
    let mut home = Home::new().radio("ap", Band::Ghz5, 5210.0, 80.0).device("tv", 1, kind, down, up, 1.0);
    home = home.air("tv", "ap", Band::Ghz5, 250.0, 100.0);
    let mut neighbour = |name: &str, centre: f64, level: f64, load: Option<f64>| {
        let (centre, width) = (Hertz::from_mhz(centre), Hertz::from_mhz(20.0));
        home.site.neighbours.push(Neighbour {
            id: id(name),
            centre,
            width,
            level: Dbm(level),
            transmitter: None,
            load,
        });
    };
    neighbour("n1", 5180.0, -70.0, Some(0.1));
    neighbour("n2", 5180.0, -90.0, Some(0.9)); // Too weak to hold back for.
    neighbour("n3", 5260.0, -60.0, Some(0.9)); // Beside the channel.
    let outcome = home.run();
    assert!((outcome.loads[0].neighbours - 0.1).abs() < 1e-12);
    assert!((outcome.figures[0].value.unwrap() - (0.5 - 0.1) / 0.1).abs() < 1e-9);
}

#[test]
fn zero_demand_is_unknown_headroom() {
    for home in [Home::new(), Home::new().device("pc", 1, ActivityKind::Upload, 0.0, 0.0, 0.5).wire("pc", 1000.0, &[])]
    {
        let outcome = home.run();
        assert!(outcome.figures[0].value.is_none() && !outcome.figures[0].missing.is_empty());
        assert_eq!(outcome.bottleneck, None);
        assert_eq!(rules(&outcome), Vec::<&str>::new());
    }
}

#[test]
fn impossible_input_is_found_and_never_reckoned() {
    let bad = |down: f64, up: f64, share: f64| {
        let home = Home::new().device("pc", 1, ActivityKind::Upload, down, up, share).wire("pc", 1000.0, &[]);
        let outcome = home.run();
        assert!(outcome.loads.is_empty());
        assert_eq!(rules(&outcome), ["traffic.impossible-demand"], "{down} {up} {share}");
    };
    bad(f64::NAN, 0.0, 0.5);
    bad(0.0, -1.0, 0.5);
    bad(f64::INFINITY, 0.0, 0.5);
    bad(10.0, 0.0, f64::NAN);
    bad(10.0, 0.0, 1.1);
    let mut lost = Home::new().device("pc", 1, ActivityKind::Upload, 10.0, 0.0, 0.5).wire("pc", 1000.0, &[]);
    lost.household.activities[0].device = id("gone");
    assert_eq!(rules(&lost.run()), ["traffic.impossible-demand"]);
    let unserved = Home::new().device("pc", 1, ActivityKind::Upload, 10.0, 0.0, 0.5);
    assert_eq!(rules(&unserved.run()), ["traffic.device-unserved"]);
    let unset =
        Home::new().device("tv", 1, ActivityKind::Video, 8.0, 0.0, 0.5).air("tv", "ap", Band::Ghz5, 100.0, 50.0);
    assert_eq!(rules(&unset.run()), ["traffic.unset-radio"]);
    let below = Home::new().device("tv", 1, ActivityKind::Video, 1.0, 0.0, 0.5).wire("tv", 100.0, &[]);
    assert_eq!(rules(&below.run()), ["traffic.rate-below-guide"]);
}

#[test]
fn a_link_or_uplink_without_a_rate_leaves_no_headroom() {
    for dead in [0.0, f64::NAN] {
        let home =
            Home::new().radio("ap", Band::Ghz5, 5210.0, 80.0).device("tv", 1, ActivityKind::Video, 8.0, 0.0, 0.5);
        let outcome = home.air("tv", "ap", Band::Ghz5, dead, 50.0).run();
        assert_eq!(outcome.figures[0].value, Some(0.0));
        assert_eq!(rules(&outcome), ["traffic.activity-above-link", "traffic.bottleneck"]);
        let home = Home::new().device("tv", 1, ActivityKind::Video, 8.0, 0.0, 0.5).wire("tv", 1000.0, &["ap"]);
        let hop = UplinkKind::Radio { band: Band::Ghz5, down: BitsPerSecond(dead), up: mbps(10.0), shared: false };
        let outcome = home.uplink("ap", "router", hop).run();
        assert_eq!(outcome.figures[0].value, Some(0.0));
        assert_eq!(rules(&outcome), ["traffic.dead-uplink", "traffic.bottleneck"]);
    }
}

#[test]
fn circular_uplinks_end_with_a_finding() {
    let home = Home::new().device("tv", 1, ActivityKind::Video, 8.0, 0.0, 0.5).wire("tv", 1000.0, &["a"]);
    let wire = || UplinkKind::Wired { rate: mbps(1000.0) };
    let outcome = home.uplink("a", "b", wire()).uplink("b", "a", wire()).run();
    assert_eq!(rules(&outcome), ["traffic.circular-uplink"]);
}

/// Ten thousand devices and a count that no home has: the answer comes, and the normal distribution has the exact mean.
#[test]
fn ten_thousand_devices() {
    let mut home = Home::new().radio("ap", Band::Ghz5, 5210.0, 80.0);
    for n in 0..10_000 {
        let name = format!("d{n}");
        home =
            home.device(&name, 1, ActivityKind::Telemetry, 0.01, 0.01, 0.1).air(&name, "ap", Band::Ghz5, 100.0, 100.0);
    }
    home = home.device("many", u32::MAX, ActivityKind::Telemetry, 1e-9, 0.0, 0.1).air(
        "many",
        "ap",
        Band::Ghz5,
        100.0,
        100.0,
    );
    let outcome = home.run();
    let demand = demand(&outcome, &channel("ap", Band::Ghz5));
    let mean = 10_000.0 * 0.1 * 2e-4 + f64::from(u32::MAX) * 0.1 * 1e-11;
    assert!((demand.mean - mean).abs() < 1e-9 && demand.p95 > demand.mean);
    assert_eq!(home.run(), outcome);
}

#[test]
fn equal_input_gives_equal_output_whatever_the_size() {
    let mut home = Home::new().radio("ap", Band::Ghz5, 5210.0, 80.0);
    for n in 0..60 {
        let name = format!("d{n}");
        let rate = 1.0 + f64::from(n) * 0.37;
        home =
            home.device(&name, 1, ActivityKind::Download, rate, 0.2, 0.15).air(&name, "ap", Band::Ghz5, 300.0, 100.0);
    }
    let outcome = home.run();
    assert_eq!(home.run(), outcome);
    let load = &outcome.loads[0].demand;
    assert!(load.mean < load.p95 && load.p95 < load.all);
    let headroom = &outcome.figures[0];
    assert!(headroom.low < headroom.value && headroom.value < headroom.high);
}
