//! Mesh backhaul: the trade's shares where they hold, spatial reuse, delays, and bad trees.

mod common;

use common::mixes::{he, rts};
use findings::Id;
use units::BitsPerSecond;
use wlan::contention::{Access, Burst, Channel};
use wlan::mesh::{Hearing, Hop, MeshConfig, MeshNode, NodeEnd, RadioLink, mesh};

fn link(channel: u32, mcs: u8) -> RadioLink {
    let burst = Some(Burst::of(&rts(he(mcs))).unwrap());
    RadioLink { channel, down: burst, up: burst }
}

fn id(label: &str) -> Id {
    Id::from_label(label)
}

fn node(label: &str, parent: Option<(&str, Hop)>) -> MeshNode {
    MeshNode { id: id(label), parent: parent.map(|(p, hop)| (id(p), hop)), device: link(0, 7) }
}

fn config(hearing: Hearing) -> MeshConfig {
    let offered = BitsPerSecond::from_mbps(5.0);
    MeshConfig { channel: Channel::ofdm(), access: Access::BEST_EFFORT, hearing, offered, taken: 0.0 }
}

/// A chain of nodes with one kind of hop, the router first.
fn chain(hops: usize, hop: Hop) -> Vec<MeshNode> {
    let names: Vec<String> = (0..=hops).map(|i| format!("n{i}")).collect();
    (0..=hops).map(|i| node(&names[i], (i > 0).then(|| (names[i - 1].as_str(), hop)))).collect()
}

fn ends(nodes: &[MeshNode], config: &MeshConfig) -> Vec<NodeEnd> {
    let outcome = mesh(nodes, config).unwrap();
    assert!(outcome.findings.is_empty(), "{:?}", outcome.findings);
    outcome.ends
}

fn shares(nodes: &[MeshNode], hearing: Hearing) -> Vec<f64> {
    let ends = ends(nodes, &config(hearing));
    ends.iter().map(|e| e.down.rate.0 / ends[0].down.rate.0).collect()
}

fn close(got: &[f64], wanted: &[f64]) {
    assert_eq!(got.len(), wanted.len());
    assert!(got.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-9), "{got:?} {wanted:?}");
}

/// Equal links in one range: one transmission more for each hop.
#[test]
fn shared_hops_in_one_range_give_a_half_a_third_a_quarter() {
    close(&shares(&chain(3, Hop::Radio(link(0, 7))), Hearing::All), &[1.0, 1.0 / 2.0, 1.0 / 3.0, 1.0 / 4.0]);
}

/// A quarter after two hops: if the first hop takes as long as the two transmissions after it.
#[test]
fn a_quarter_after_two_hops_takes_a_hop_of_half_the_rate() {
    let mut nodes = chain(2, Hop::Radio(link(0, 7)));
    let full = Burst::of(&rts(he(7))).unwrap();
    // The time of a full burst doubled, waiting time and all: SIFS, 3 + 7.5 slots.
    let wait = 16e-6 + 10.5 * 9e-6;
    let slow = Some(Burst {
        overhead: units::Seconds(full.overhead.0 + full.length(f64::from(full.most_mpdus)).0 + wait),
        ..full
    });
    nodes[2].parent = Some((id("n1"), Hop::Radio(RadioLink { channel: 0, down: slow, up: slow })));
    close(&shares(&nodes, Hearing::All), &[1.0, 0.5, 0.25]);
}

#[test]
fn dedicated_hops_give_the_least_of_all() {
    // Each on a channel of its own and faster than the device's link.
    let mut nodes = chain(2, Hop::Radio(link(1, 11)));
    nodes[2].parent = Some((id("n1"), Hop::Radio(link(2, 9))));
    close(&shares(&nodes, Hearing::All), &[1.0, 1.0, 1.0]);
    // Both on one other channel: they halve, but that is still not less than half of the faster rate.
    let both = ends(&chain(2, Hop::Radio(link(1, 7))), &config(Hearing::All));
    assert!((both[2].down.rate.0 / both[0].down.rate.0 - 0.5).abs() < 1e-9);
    assert_eq!(both[2].down.limited_by, [id("n1"), id("n2")]);
    assert_eq!((both[1].down.transmissions, both[2].down.transmissions), (1, 2));
    // A slow dedicated hop sets the rate alone.
    let slow = ends(&chain(1, Hop::Radio(link(1, 1))), &config(Hearing::All));
    let alone = ends(&[MeshNode { device: link(0, 1), ..node("n0", None) }], &config(Hearing::All));
    assert!((slow[1].down.rate.0 / alone[0].down.rate.0 - 1.0).abs() < 1e-9);
    let wire = ends(&chain(1, Hop::Wire(BitsPerSecond::from_mbps(100.0))), &config(Hearing::All));
    assert!((wire[1].up.rate.mbps() - 100.0).abs() < 1e-9);
    assert_eq!(wire[1].down.limited_by, [id("n1")]);
}

/// Links of which the nearest ends are a hop apart still hear each other: never less than a third.
#[test]
fn distant_links_send_at_once() {
    let nodes = chain(6, Hop::Radio(link(0, 7)));
    let third = 1.0 / 3.0;
    close(&shares(&nodes, Hearing::Within(1)), &[1.0, 0.5, third, third, third, third, third]);
    close(&shares(&nodes, Hearing::Within(0)), &[1.0, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5]);
    close(&shares(&nodes, Hearing::Within(9)), &shares(&nodes, Hearing::All));
}

#[test]
fn delays_grow_with_hops_and_load() {
    let nodes = chain(3, Hop::Radio(link(0, 7)));
    let at = |mbps: f64| {
        let offered = BitsPerSecond::from_mbps(mbps);
        ends(&nodes, &MeshConfig { offered, ..config(Hearing::All) })
    };
    let (quiet, busy, full) = (at(0.0), at(20.0), at(200.0));
    let frame = Burst::of(&rts(he(7))).unwrap().length(1.0).0;
    for (hops, end) in quiet.iter().enumerate() {
        assert!((end.down.idle.0 / (frame * (hops + 1) as f64) - 1.0).abs() < 1e-12);
        assert!((end.down.loaded.0 / end.down.idle.0 - 1.0).abs() < 1e-3);
    }
    for pair in busy.windows(2) {
        assert!(pair[1].down.loaded.0 > pair[0].down.loaded.0 && pair[1].up.loaded.0 > pair[0].up.loaded.0);
    }
    assert!(busy[3].down.loaded.0 > 2.0 * quiet[3].down.loaded.0);
    assert!(full[3].down.loaded.0.is_infinite());
    let dedicated = ends(
        &chain(3, Hop::Radio(link(1, 7))),
        &MeshConfig { offered: BitsPerSecond::from_mbps(20.0), ..config(Hearing::All) },
    );
    assert!(dedicated[3].down.loaded.0 < busy[3].down.loaded.0);
}

#[test]
fn bad_trees_are_findings_that_name_their_nodes() {
    let hop = Hop::Radio(link(0, 7));
    let check = |nodes: &[MeshNode], rule: &str, subjects: &[&str], left: usize| {
        let outcome = mesh(nodes, &config(Hearing::All)).unwrap();
        let names =
            |f: &findings::Finding| subjects.iter().all(|s| f.subjects.contains(&id(s)) && f.message.contains(s));
        assert!(outcome.findings.iter().any(|f| f.rule == rule && names(f)), "{:?}", outcome.findings);
        assert_eq!(outcome.ends.len(), left);
    };
    check(&[node("a", Some(("a", hop)))], "wlan.mesh-circular", &["a"], 0);
    check(
        &[node("a", Some(("b", hop))), node("b", Some(("a", hop))), node("r", None)],
        "wlan.mesh-circular",
        &["a", "b"],
        1,
    );
    // One that leads into a circle without being part of it.
    check(
        &[node("a", Some(("b", hop))), node("b", Some(("a", hop))), node("c", Some(("a", hop)))],
        "wlan.mesh-circular",
        &["a", "b"],
        0,
    );
    check(&[node("r", None), node("a", Some(("lost", hop)))], "wlan.mesh-orphan", &["a", "lost"], 1);
    check(&[node("r", None), node("r", None)], "wlan.mesh-orphan", &["r"], 1);
    let dead = Hop::Radio(RadioLink { up: None, ..link(0, 7) });
    check(
        &[node("r", None), node("a", Some(("r", dead))), node("b", Some(("a", hop)))],
        "wlan.mesh-dead-hop",
        &["a", "b"],
        1,
    );
    for rate in [0.0, f64::NAN, -1.0] {
        check(
            &[node("r", None), node("a", Some(("r", Hop::Wire(BitsPerSecond(rate)))))],
            "wlan.mesh-dead-hop",
            &["a"],
            1,
        );
    }
    assert!(mesh(&chain(300, hop), &config(Hearing::All)).is_err());
    assert!(mesh(&chain(1, hop), &MeshConfig { offered: BitsPerSecond(f64::NAN), ..config(Hearing::All) }).is_err());
    assert!(mesh(&chain(1, hop), &MeshConfig { taken: f64::NAN, ..config(Hearing::All) }).is_err());
    assert!(mesh(&[], &config(Hearing::All)).unwrap().ends.is_empty());
    // Neighbours that take all: nothing is carried, nothing panics.
    let none = ends(&chain(1, hop), &MeshConfig { taken: 1.0, ..config(Hearing::All) });
    assert_eq!(none[1].down.rate.0, 0.0);
    assert_eq!(ends(&chain(200, hop), &config(Hearing::Within(2))).len(), 201);
}
