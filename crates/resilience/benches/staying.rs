//! A home with more than 80 components and 40 services: the full analysis, and one thing switched off.
//!
//! The goals are 50 ms and 5 ms. `cargo bench -p resilience` prints this machine's times and the ratios to the goals.

use std::time::Instant;

use equipment::{Catalog, Part};
use findings::Id;
use household::{Activity, ActivityKind, Attachment, Device, DeviceKind, Household};
use network::{Design, Family, Feed, FeedSource, LineQueue, Link, Medium, Mounting, PlacedPart};
use resilience::{Change, ChangeKind, Facts, Input, Model, Off, OutletCircuit, Scope, SharedWay};
use site::{Line, LineKind, Site};
use units::{BitsPerSecond, Date, Point3, Seconds};

const GOAL_ANALYSIS: f64 = 0.05;
const GOAL_WHAT_IF: f64 = 0.005;

struct Home {
    design: Design,
    household: Household,
    site: Site,
    serving: Vec<(Id, Vec<Id>)>,
    facts: Facts,
    catalog: Catalog,
}

fn id(text: impl AsRef<str>) -> Id {
    Id::from_label(text.as_ref())
}

fn home() -> Option<Home> {
    let date: Date = "2026-11-25".parse().ok()?;
    let mut design = Design {
        id: id("d"),
        name: "bench".into(),
        family: Family::PoeCeiling,
        parts: vec![],
        links: vec![],
        radios: vec![],
        segments: vec![],
        feeds: vec![],
        line_queue: LineQueue::Plain,
        upkeep: network::Upkeep::default(),
    };
    let mut place = |name: &str, part: &str| {
        design.parts.push(PlacedPart {
            id: id(name),
            part: id(part),
            room: id("hall"),
            at: Point3::new(0.0, 0.0, 1.0),
            mounting: Mounting::Shelf,
            aim: None,
            kept: false,
        });
    };
    for (name, part) in
        [("ont", "ont-1g"), ("modem", "modem-cable"), ("router", "router-ax"), ("core", "switch-16-poe")]
    {
        place(name, part);
    }
    for (name, part) in [("ups-1", "battery-ac-900va"), ("ups-2", "battery-ac-900va"), ("ups-3", "battery-ac-400va")] {
        place(name, part);
    }
    let mut links: Vec<(String, String)> =
        vec![("ont".into(), "router".into()), ("modem".into(), "router".into()), ("router".into(), "core".into())];
    let mut feeds: Vec<(String, FeedSource)> = vec![];
    let on = |ups: &str| FeedSource::Battery { part: id(ups) };
    for (part, ups) in [("ont", "ups-1"), ("modem", "ups-3"), ("router", "ups-1"), ("core", "ups-2")] {
        feeds.push((part.into(), on(ups)));
    }
    for i in 0..6 {
        place(&format!("switch-{i}"), "switch-8");
        // Two ways to each: from the core and from the switch before it.
        links.push(("core".into(), format!("switch-{i}")));
        if i > 0 {
            links.push((format!("switch-{}", i - 1), format!("switch-{i}")));
        }
        feeds.push((format!("switch-{i}"), FeedSource::Mains { outlet: Some(id(format!("outlet-{i}"))) }));
    }
    for i in 0..12 {
        place(&format!("ap-{i}"), "ap-ax-2x2-ceiling");
        links.push(("core".into(), format!("ap-{i}")));
        feeds.push((format!("ap-{i}"), FeedSource::Poe { part: id("core") }));
    }
    let mut household = Household::default();
    let mut serving = vec![];
    for i in 0..26 {
        let wired = i % 2 == 0;
        household.devices.push(Device {
            id: id(format!("device-{i}")),
            kind: if wired { DeviceKind::Desktop } else { DeviceKind::Laptop },
            count: 1,
            owner: None,
            room: id("hall"),
            at: None,
            height: None,
            attachment: Attachment::Either,
            radio: None,
            must_stay_up: i < 4,
            has_battery: !wired,
            power: None,
            recording: None,
        });
        if wired {
            links.push((format!("switch-{}", i % 6), format!("device-{i}")));
        } else {
            serving.push((id(format!("device-{i}")), (0..3).map(|k| id(format!("ap-{}", (i + k) % 12))).collect()));
        }
    }
    for i in 0..14 {
        household.activities.push(Activity {
            id: id(format!("activity-{i}")),
            kind: ActivityKind::RemoteWork,
            device: id(format!("device-{i}")),
            down: BitsPerSecond(1e6),
            up: BitsPerSecond(1e6),
            busy_share: 0.5,
            person: None,
            hours: None,
            greedy: None,
            max_delay: None,
            max_loss: None,
            local: i % 5 == 4,
            must_stay_up: false,
        });
    }
    design.links = links
        .into_iter()
        .enumerate()
        .map(|(i, (from, to))| Link { id: id(format!("l{i}")), from: id(from), to: id(to), medium: Medium::Cord })
        .collect();
    design.feeds = feeds.into_iter().map(|(part, source)| Feed { part: id(part), source }).collect();
    let mut site = Site::default_for("US", date);
    let second = Line { id: id("line-2"), kind: LineKind::Coax, ..site.lines.first()?.clone() };
    site.lines.push(second);
    let facts = Facts {
        circuits: (0..6)
            .map(|i| OutletCircuit { outlet: id(format!("outlet-{i}")), circuit: id(format!("circuit-{}", i / 2)) })
            .collect(),
        shared_ways: (0..16)
            .map(|i| SharedWay {
                id: id(format!("duct-{i}")),
                links: vec![id(format!("l{}", 2 * i)), id(format!("l{}", 2 * i + 1))],
                lines: vec![],
            })
            .collect(),
        ..Facts::default()
    };
    Some(Home { design, household, site, serving, facts, catalog: Catalog::builtin() })
}

/// Best of some runs, after one that is not counted.
fn best(runs: usize, mut work: impl FnMut()) -> f64 {
    work();
    let mut best = f64::INFINITY;
    for _ in 0..runs {
        let start = Instant::now();
        work();
        best = best.min(start.elapsed().as_secs_f64());
    }
    best
}

#[expect(clippy::print_stdout, reason = "a bench says what it measured")]
fn line(name: &str, ours: f64, limit: f64) {
    println!("BENCH {name} ours={:.3} ms limit={:.0} ms ratio={:.3}", ours * 1e3, limit * 1e3, ours / limit);
}

fn main() {
    let Some(home) = home() else { return };
    let parts = |id: &Id| -> Option<&Part> { home.catalog.get(id) };
    let input = Input {
        design: &home.design,
        household: &home.household,
        site: &home.site,
        parts: &parts,
        serving: &home.serving,
    };
    let model = Model::new(input, &home.facts, Scope::All);
    let staying = model.staying();
    #[expect(clippy::print_stdout, reason = "the size that was measured")]
    {
        let cuts: usize = staying.services.iter().map(|s| s.cuts.len()).sum();
        println!("{} components, {} services, {cuts} cut sets", staying.components.len(), staying.services.len());
    }
    let analysis = best(10, || {
        divan::black_box(Model::new(input, &home.facts, Scope::All).staying());
    });
    line("staying-analysis", analysis, GOAL_ANALYSIS);
    let rows = best(10, || {
        divan::black_box(model.staying());
    });
    line("staying-rows", rows, GOAL_ANALYSIS);
    let model_only = best(10, || {
        divan::black_box(Model::new(input, &home.facts, Scope::All).worst_minutes());
    });
    line("staying-model", model_only, GOAL_ANALYSIS);
    let off = [Off::since(id("mains"), Seconds(3600.0)), Off::for_good(id("core"))];
    let what_if = best(50, || {
        divan::black_box(model.what_if(&off));
    });
    line("staying-what-if", what_if, GOAL_WHAT_IF);
    let spare = [Change {
        id: id("spare"),
        kind: ChangeKind::Spare { part: id("core"), mttr: Seconds(3600.0) },
        price: Some(1.0),
    }];
    let ranked = best(10, || {
        divan::black_box(model.rank(&spare));
    });
    line("staying-one-change", ranked, GOAL_ANALYSIS);
}
