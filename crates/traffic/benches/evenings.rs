//! A thousand evenings of a home with 60 devices and 4 access points with two bands each.
//!
//! The goal is 200 ms on two cores. `cargo bench -p traffic` prints this machine's time and the ratio to the goal.

use std::time::Instant;

use findings::{Id, NoProgress};
use household::{Activity, ActivityKind, Attachment, Device, DeviceKind, Household, Recording};
use network::results::LinkRate;
use network::{LineQueue, RadioSetting};
use radio_profile::{Band, Generation};
use site::Site;
use traffic::{AirLink, HourInput, OwnRadio, Uplink, UplinkKind, WiredLink, busy_hour};
use units::{BitsPerSecond, Date, Dbm, Hertz, Seconds};
use wlan::{GuardInterval, MacConfig, Mode};

const GOAL_SECONDS: f64 = 0.2;

struct Home {
    household: Household,
    site: Site,
    links: Vec<AirLink>,
    wired: Vec<WiredLink>,
    radios: Vec<RadioSetting>,
    own: Vec<OwnRadio>,
    uplinks: Vec<Uplink>,
}

fn id(text: &str) -> Id {
    Id::from_label(text)
}

fn mbps(rate: f64) -> BitsPerSecond {
    BitsPerSecond::from_mbps(rate)
}

/// What the devices are: kind, activity, rates, share, and how many.
const DEVICES: [(DeviceKind, ActivityKind, f64, f64, f64, usize); 11] = [
    (DeviceKind::Phone, ActivityKind::Browsing, 1.0, 0.5, 0.3, 8),
    (DeviceKind::Laptop, ActivityKind::VideoCall, 6.0, 4.0, 0.25, 5),
    (DeviceKind::Television, ActivityKind::Video, 25.0, 0.5, 0.5, 4),
    (DeviceKind::Tablet, ActivityKind::Video, 8.0, 0.5, 0.35, 4),
    (DeviceKind::Console, ActivityKind::Game, 4.0, 0.5, 0.3, 3),
    (DeviceKind::Desktop, ActivityKind::RemoteWork, 25.0, 5.0, 0.3, 3),
    (DeviceKind::Desktop, ActivityKind::Download, 10.0, 0.5, 0.1, 2),
    (DeviceKind::Phone, ActivityKind::Upload, 0.5, 5.0, 0.1, 3),
    (DeviceKind::Speaker, ActivityKind::Audio, 0.5, 0.5, 0.3, 6),
    (DeviceKind::Camera, ActivityKind::Telemetry, 0.0, 0.0, 0.0, 6),
    (DeviceKind::Thing, ActivityKind::Telemetry, 0.05, 0.05, 1.0, 16),
];

fn home() -> Option<Home> {
    let date: Date = "2026-11-25".parse().ok()?;
    let mut home = Home {
        household: Household::default(),
        site: Site::default_for("DE", date),
        links: vec![],
        wired: vec![],
        radios: vec![],
        own: vec![],
        uplinks: vec![],
    };
    let narrow = [2412.0, 2437.0, 2462.0, 2412.0];
    let wide = [5210.0, 5290.0, 5530.0, 5610.0];
    for ap in 0..4 {
        for (band, centre, width) in [(Band::Ghz2, narrow[ap], 20.0), (Band::Ghz5, wide[ap], 80.0)] {
            let (centre, width) = (Hertz::from_mhz(centre), Hertz::from_mhz(width));
            home.radios.push(RadioSetting { part: id(&format!("ap-{ap}")), band, centre, width, eirp: Dbm(20.0) });
            home.own.push(OwnRadio { generation: Generation::Ax, beacons: 0.01 });
        }
        let kind = match ap {
            0 => continue,
            3 => UplinkKind::Radio { band: Band::Ghz5, down: mbps(400.0), up: mbps(300.0), shared: true },
            _ => UplinkKind::Wired { rate: mbps(1000.0) },
        };
        home.uplinks.push(Uplink { part: id(&format!("ap-{ap}")), parent: id("ap-0"), kind });
    }
    let mut number = 0;
    for (kind, activity, down, up, share, count) in DEVICES {
        for _ in 0..count {
            device(&mut home, number, kind, (activity, down, up, share))?;
            number += 1;
        }
    }
    Some(home)
}

fn device(home: &mut Home, n: usize, kind: DeviceKind, does: (ActivityKind, f64, f64, f64)) -> Option<()> {
    let name = id(&format!("d{n}"));
    let is_camera = kind == DeviceKind::Camera;
    let recording = Recording { rate: mbps(2.0), share: 0.2, keep: Seconds(1e6), store: None, capacity_octets: None };
    home.household.devices.push(Device {
        id: name.clone(),
        kind,
        count: 1,
        owner: (n < 13).then(|| id(&format!("p{}", n % 5))),
        room: id("r"),
        at: None,
        height: None,
        attachment: Attachment::Either,
        radio: None,
        must_stay_up: false,
        has_battery: false,
        power: None,
        recording: is_camera.then_some(recording),
    });
    let (activity, down, up, busy_share) = does;
    if !is_camera {
        home.household.activities.push(Activity {
            id: id(&format!("a{n}")),
            kind: activity,
            device: name.clone(),
            down: mbps(down),
            up: mbps(up),
            busy_share,
            person: None,
            hours: None,
            greedy: None,
            max_delay: None,
            max_loss: None,
            local: false,
            must_stay_up: false,
        });
    }
    if n % 10 == 9 {
        home.wired.push(WiredLink { device: name, rate: mbps(1000.0), via: vec![] });
        return Some(());
    }
    let slow = matches!(kind, DeviceKind::Thing | DeviceKind::Camera | DeviceKind::Speaker);
    let (band, width) = if slow { (Band::Ghz2, 20.0) } else { (Band::Ghz5, 80.0) };
    let mcs = u8::try_from(3 + n % 6).ok()?;
    let (generation, gi) = (Generation::Ax, GuardInterval::Ns800);
    let mode = Mode { generation, width: Hertz::from_mhz(width), streams: if slow { 1 } else { 2 }, mcs, gi };
    let rate = wlan::goodput(&mode, band, &MacConfig::default()).ok()?;
    let from = id(&format!("ap-{}", n % 4));
    let rate = LinkRate { to: name, from, band, level_down: Dbm(-50.0), level_up: Dbm(-55.0), down: rate, up: rate };
    home.links.push(AirLink { rate, down: Some(mode), up: Some(mode) });
    Some(())
}

fn run(home: &Home, evenings: u32) -> f64 {
    let subject = id("design");
    let outcome = busy_hour(
        &HourInput {
            subject: &subject,
            household: &home.household,
            site: &home.site,
            links: &home.links,
            wired: &home.wired,
            radios: &home.radios,
            own: &home.own,
            hears: None,
            uplinks: &home.uplinks,
            line_queue: LineQueue::Plain,
            rts: false,
            seed: 1,
            evenings,
        },
        &NoProgress,
    );
    outcome.ok().and_then(|o| o.figures.first().and_then(|f| f.value)).unwrap_or(0.0)
}

#[divan::bench(args = [100, 1000], sample_count = 10)]
fn evenings(bencher: divan::Bencher, evenings: u32) {
    let Some(home) = home() else { return };
    bencher.bench(|| run(&home, evenings));
}

#[expect(clippy::print_stdout, reason = "a bench reports on the terminal")]
fn ratio() {
    let Some(home) = home() else { return };
    let mut times: Vec<f64> = (0..11)
        .map(|_| {
            let start = Instant::now();
            let _ = divan::black_box(run(&home, traffic::EVENINGS));
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    let seconds = times[5];
    println!(
        "busy hour: {} devices, 4 access points, {} evenings in {:.0} ms on {} threads ({:.0} at least); goal 200 ms",
        home.household.devices.len(),
        traffic::EVENINGS,
        seconds * 1e3,
        rayon::current_num_threads(),
        times[0] * 1e3
    );
    println!(
        "BENCH busy-hour ours={:.0} ms limit={:.0} ms ratio={:.2}",
        seconds * 1e3,
        GOAL_SECONDS * 1e3,
        seconds / GOAL_SECONDS
    );
}

fn main() {
    divan::main();
    ratio();
}
