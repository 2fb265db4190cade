//! A full home against independent methods: sampled states, and a graph library's dominators.

mod home;

use std::collections::BTreeSet;

use findings::{Id, Source};
use home::{Home, design, device, full, id};
use household::{DeviceKind, Household};
use network::FeedSource;
use network::KnownFailure;
use petgraph::algo::dominators::simple_fast;
use petgraph::graph::DiGraph;
use proptest::prelude::*;
use resilience::{ComponentKind, Interval, ServiceKind, ServiceRow};
use units::Seconds;

/// SplitMix64, for seeded states.
struct Random(u64);

impl Random {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Everything fails so often that sampling sees it.
fn shaky() -> Home {
    let mut home = full();
    let names = ["ont", "router", "switch", "ap-1", "ap-2", "ups", "shed", "line-1"];
    home.design.upkeep.failures = names
        .iter()
        .enumerate()
        .map(|(i, name)| KnownFailure {
            id: id(name),
            failure: equipment::Failure {
                mtbf: Seconds(100.0),
                mttr: Seconds(5.0 + 2.0 * i as f64),
                factor: 1.5,
                source: Source::generic(),
            },
        })
        .collect();
    home.site.mains.saidi = Some(Seconds(0.05 * 365.0 * 86_400.0));
    home.site.mains.saifi = Some(200.0);
    home
}

/// Is a part up, by the design alone: itself, its feed, and some way to the line?
struct World<'a> {
    home: &'a Home,
    down: BTreeSet<&'a str>,
    /// How long the mains have been out [s]; not at all if nothing.
    out_for: Option<f64>,
    /// How long the battery carries [s].
    carries: f64,
    laptop_carries: f64,
}

impl World<'_> {
    fn mains(&self) -> bool {
        self.out_for.is_none()
    }

    fn fed(&self, part: &Id) -> bool {
        match self.home.design.feeds.iter().find(|f| &f.part == part).map(|f| &f.source) {
            None | Some(FeedSource::Mains { .. }) => self.mains(),
            Some(FeedSource::Poe { part }) => !self.down.contains(part.as_str()) && self.fed(part),
            Some(FeedSource::Battery { part: ups }) => {
                self.mains()
                    || (!self.down.contains(ups.as_str()) && self.out_for.is_none_or(|out| out <= self.carries))
            }
        }
    }

    fn joined(&self, part: &Id) -> bool {
        if self.down.contains(part.as_str()) || !self.fed(part) {
            return false;
        }
        match self.home.design.links.iter().find(|l| &l.to == part) {
            Some(link) => self.joined(&link.from),
            None => !self.down.contains("line-1"),
        }
    }

    fn device(&self, device: &str) -> bool {
        match self.home.design.links.iter().find(|l| l.to.as_str() == device) {
            Some(link) => self.joined(&link.from),
            None => ["ap-1", "ap-2"].iter().any(|ap| self.joined(&id(ap))),
        }
    }
}

#[test]
fn a_full_home_is_as_sampled() {
    let home = shaky();
    let staying = home.staying();
    let ups = &staying.batteries[0];
    let carries = ups.runtime.expect("known").0;
    let share = 0.05;
    let mean = share * 365.0 * 86_400.0 / 200.0;
    let mut random = Random(7);
    let services: [(&str, ServiceKind, &str); 6] = [
        ("laptop", ServiceKind::Connection, "laptop"),
        ("camera", ServiceKind::Connection, "camera"),
        ("tv", ServiceKind::Connection, "tv"),
        ("work", ServiceKind::Activity, "laptop"),
        ("desk", ServiceKind::Activity, "desktop"),
        ("watch", ServiceKind::Activity, "tv"),
    ];
    const STATES: usize = 60_000;
    let mut up = [0usize; 6];
    for _ in 0..STATES {
        let mut down = BTreeSet::new();
        for (i, known) in home.design.upkeep.failures.iter().enumerate() {
            let mttr = 5.0 + 2.0 * i as f64;
            if random.unit() < mttr / (100.0 + mttr) {
                down.insert(known.id.as_str());
            }
        }
        // The age of an outage that is met at a random moment is exponential with the same mean.
        let out_for = (random.unit() < share).then(|| -mean * (1.0 - random.unit()).ln());
        let world = World { home: &home, down, out_for, carries, laptop_carries: 50.0 / 15.0 * 3600.0 };
        for (count, (_, kind, device)) in up.iter_mut().zip(services) {
            let powered = match (kind, device) {
                (ServiceKind::Activity, "laptop") => world.out_for.is_none_or(|out| out <= world.laptop_carries),
                (ServiceKind::Activity, _) => world.mains(),
                _ => true,
            };
            *count += usize::from(powered && world.device(device));
        }
    }
    for (count, (name, kind, _)) in up.into_iter().zip(services) {
        let row = staying.services.iter().find(|s| s.id == id(name) && s.kind == kind).expect("the service");
        let exact = row.availability.expect("known").value;
        let sampled = count as f64 / STATES as f64;
        let error = (exact * (1.0 - exact) / STATES as f64).sqrt();
        assert!((sampled - exact).abs() < 4.0 * error, "{name}: {exact} exact, {sampled} sampled, ±{error}");
    }
}

fn row<'a>(rows: &'a [ServiceRow], name: &str) -> &'a ServiceRow {
    rows.iter().find(|s| s.id == id(name)).expect("the service")
}

#[test]
fn importances_say_what_sparing_a_part_saves() {
    let home = shaky();
    let staying = home.staying();
    for name in ["laptop", "desk", "camera"] {
        let before = row(&staying.services, name);
        let minutes = before.minutes.expect("known").value;
        let best = &before.importances[0];
        assert!(before.importances.iter().all(|i| (0.0..=1.0).contains(&i.criticality) && i.birnbaum >= 0.0));
        // The same home in which that one never fails.
        for importance in before.importances.iter().filter(|i| i.kind == ComponentKind::Part) {
            let mut spared = shaky();
            for known in spared.design.upkeep.failures.iter_mut().filter(|f| f.id == importance.id) {
                known.failure.mttr = Seconds(0.0);
            }
            let after = row(&spared.staying().services, name).minutes.expect("known").value;
            assert!(
                ((minutes - after) / minutes - importance.criticality).abs() < 1e-9,
                "{name}, {}: {} {}",
                importance.id,
                importance.criticality,
                (minutes - after) / minutes
            );
            assert!(importance.criticality <= best.criticality);
        }
    }
}

#[test]
fn intervals_lie_within_their_bounds() {
    let staying = full().staying();
    let sound = |i: &Interval| i.least <= i.low && i.low <= i.value && i.value <= i.high && i.high <= i.most;
    for service in &staying.services {
        let (availability, minutes) = (service.availability.expect("known"), service.minutes.expect("known"));
        assert!(sound(&availability) && sound(&minutes), "{service:?}");
        assert!(minutes.high > minutes.low && minutes.digits <= 2, "rates are known to a factor of three");
        assert!(minutes.least < minutes.low && minutes.high < minutes.most);
        // Single points are the cuts of one, and every cut has its minutes.
        let singles = service.cuts.iter().filter(|c| c.members.len() == 1).count();
        assert_eq!(singles, service.single_points.len());
        assert!(service.cuts.iter().all(|c| c.minutes.is_some()));
    }
    assert!(staying.components.iter().all(|c| c.minutes.as_ref().is_none_or(sound)));
}

/// Parts in a row of links from earlier to later ones, and a device at the end.
fn meshes() -> impl Strategy<Value = Vec<Vec<usize>>> {
    // For each part after the first and for the device, the parts before it that it is joined to.
    prop::collection::vec(prop::collection::vec(0usize..8, 1..3), 2..8)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn single_points_are_dominators_where_mains_are_ignored(mesh in meshes()) {
        let name = |i: usize| format!("p{i}");
        let parts: Vec<(String, &str)> = (0..mesh.len()).map(|i| (name(i), if i == 0 { "router-ax" } else { "switch-8" })).collect();
        let mut links: Vec<(String, String)> = Vec::new();
        for (i, from) in mesh.iter().enumerate() {
            let to = if i + 1 == mesh.len() { "pc".to_owned() } else { name(i + 1) };
            for from in from {
                let link = (name(from % (i + 1)), to.clone());
                if !links.contains(&link) {
                    links.push(link);
                }
            }
        }
        let parts_text: Vec<(&str, &str)> = parts.iter().map(|(n, p)| (n.as_str(), *p)).collect();
        let links_text: Vec<(&str, &str)> = links.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        let household =
            Household { devices: vec![device("pc", DeviceKind::Desktop, true, false)], ..Household::default() };
        let home = Home::new(design(&parts_text, &links_text, vec![]), household);
        let staying = home.staying();
        let ours: BTreeSet<String> = row(&staying.services, "pc")
            .single_points
            .iter()
            .filter(|m| m.kind == ComponentKind::Part)
            .map(|m| m.id.as_str().to_owned())
            .collect();

        let mut graph = DiGraph::<String, ()>::new();
        let line = graph.add_node("line".into());
        let nodes: Vec<_> = parts.iter().map(|(n, _)| graph.add_node(n.clone())).collect();
        let pc = graph.add_node("pc".into());
        graph.add_edge(line, nodes[0], ());
        let node = |n: &str| parts.iter().position(|(p, _)| p == n).map_or(pc, |i| nodes[i]);
        for (from, to) in &links {
            graph.add_edge(node(from), node(to), ());
        }
        let dominators = simple_fast(&graph, line);
        let theirs: BTreeSet<String> = dominators
            .strict_dominators(pc)
            .expect("it is joined")
            .filter(|n| *n != line)
            .map(|n| graph[n].clone())
            .collect();
        prop_assert_eq!(ours, theirs);
    }
}
