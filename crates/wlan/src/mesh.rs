//! Mesh backhaul: what a device gets at each node of a tree of radio or wired hops, and how long its frames take. Who hears whom is an input.

use std::collections::BTreeMap;

use findings::{Finding, Id, Rule, Severity, Source, SourceKind};
use units::{BitsPerSecond, Seconds};

use crate::contention::{Access, Burst, Carried, Carrier, Channel, ContentionError, Flow, Medium, Sender};

/// One radio link: how each way takes the air, and on which channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RadioLink {
    /// Channel: links with the same number share time if they hear each other. A hop on the channel of the devices is a shared one, any other dedicated.
    pub channel: u32,
    /// Away from the router; absent if nothing arrives.
    pub down: Option<Burst>,
    /// Towards the router; absent if nothing arrives.
    pub up: Option<Burst>,
}

/// What joins a node to its parent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hop {
    /// A radio link.
    Radio(RadioLink),
    /// A cable of a rate, each way at once.
    Wire(BitsPerSecond),
}

/// A node that serves devices.
#[derive(Clone, Debug, PartialEq)]
pub struct MeshNode {
    /// Its id.
    pub id: Id,
    /// The next node towards the router, and what joins them. Absent for the router itself.
    pub parent: Option<(Id, Hop)>,
    /// The link of the device that is asked for.
    pub device: RadioLink,
}

/// Which links on one channel hear each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hearing {
    /// All: one house.
    All,
    /// Links of one path between whose nearest ends there are at most so many hops; 0: those that share a node. Others send at once.
    Within(u32),
}

/// What a mesh is asked under.
#[derive(Clone, Debug, PartialEq)]
pub struct MeshConfig {
    /// Times of the channels.
    pub channel: Channel,
    /// How all contend.
    pub access: Access,
    /// Who hears whom.
    pub hearing: Hearing,
    /// What a device asks for each way at once when delays under load are reckoned.
    pub offered: BitsPerSecond,
    /// Share of time that neighbours hold, on every channel.
    pub taken: f64,
}

/// One way between the router and a device.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Payload rate of the device alone, all links on the way taking turns where they hear each other.
    pub rate: BitsPerSecond,
    /// The nodes whose links share the time that sets the rate: one link if it is a slow one alone. A node stands for the link to its parent, the
    /// last one also for that to the device.
    pub limited_by: Vec<Id>,
    /// Transmissions on one channel that share that time.
    pub transmissions: u32,
    /// Mean time of a single frame when all is idle.
    pub idle: Seconds,
    /// Mean time under the configured offer, both ways at once; infinite if a link cannot carry it.
    pub loaded: Seconds,
}

/// What a device gets at a node.
#[derive(Clone, Debug, PartialEq)]
pub struct NodeEnd {
    /// The node.
    pub id: Id,
    /// Hops to the router.
    pub hops: u32,
    /// Towards the device.
    pub down: Way,
    /// From the device.
    pub up: Way,
}

/// What a mesh comes to. A node that is not in `ends` has a finding.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeshOutcome {
    /// By node, in the order given.
    pub ends: Vec<NodeEnd>,
    /// Circles, orphans and dead hops.
    pub findings: Vec<Finding>,
}

/// Why a mesh cannot be reckoned at all.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MeshError {
    /// A number of channel, access or burst that cannot be.
    #[error(transparent)]
    Contention(#[from] ContentionError),
    /// More nodes than a home has.
    #[error("{0} mesh nodes; at most 256")]
    TooMany(usize),
    /// An offer that cannot be.
    #[error("an offer of {0} bit/s; give a number of 0 or more")]
    Offer(f64),
}

/// Most nodes.
const NODES_MAX: usize = 256;

/// A node's hops lead in a circle.
pub const MESH_CIRCULAR: Rule = Rule {
    id: "wlan.mesh-circular",
    severity: Severity::Fails,
    summary: "A mesh node's hops lead back to itself and never reach the router",
    limit: "every node leads to the router",
    cite: Source::common_practice,
};

/// A node's parent is not there.
pub const MESH_ORPHAN: Rule = Rule {
    id: "wlan.mesh-orphan",
    severity: Severity::Fails,
    summary: "A mesh node is joined to a node that is not there, or its id is used twice",
    limit: "every node leads to the router",
    cite: Source::common_practice,
};

/// A hop carries nothing.
pub const MESH_DEAD_HOP: Rule = Rule {
    id: "wlan.mesh-dead-hop",
    severity: Severity::Fails,
    summary: "A mesh node depends on a hop that carries nothing",
    limit: "a rate above 0 both ways",
    cite: || Source::new(SourceKind::Model, "rate of the hop alone on its channel"),
};

/// The rules of meshes.
pub const MESH_RULES: &[Rule] = &[MESH_CIRCULAR, MESH_ORPHAN, MESH_DEAD_HOP];

/// A link of a path, router first.
#[derive(Clone, Copy)]
struct Leg<'a> {
    node: &'a Id,
    hop: Hop,
}

/// What a device gets at each node, alone in the home.
///
/// # Model
/// A link alone takes for each bit the time of a full burst with AIFS and the mean least backoff, over its payload. Along the way from router to device, links
/// of one channel that hear each other take turns: the end-to-end rate is one over the largest sum of these times over links of which each hears each; by
/// [`Hearing::Within`] these are runs of neighbouring links, so that an order of turns that reaches it exists (the conflicts of a path form an interval
/// graph, which is perfect). So a dedicated hop gives the least of its own and the others' rates, and `n` equal transmissions in one range give `1/n`:
/// one shared hop and the device's link 1/2, two hops and the link 1/3. The trade's 1/4 after two hops is a halving for each hop; it holds if a hop
/// further out has half the rate, or with a fourth transmission.
///
/// The delay of a hop is its transmission, and under load the wait of [`Carrier`] for its queue and for the access among all links of the way that it
/// hears, both ways; means are summed. A frame that is forwarded arrives at random like any other; time in the node's processor is not in it.
///
/// # Errors
/// [`MeshError`]: numbers that cannot be, more than 256 nodes. Bad trees are findings.
pub fn mesh(nodes: &[MeshNode], config: &MeshConfig) -> Result<MeshOutcome, MeshError> {
    if nodes.len() > NODES_MAX {
        return Err(MeshError::TooMany(nodes.len()));
    }
    if !(config.offered.0.is_finite() && config.offered.0 >= 0.0) {
        return Err(MeshError::Offer(config.offered.0));
    }
    let mut carrier = Carrier::new(&Medium { channel: config.channel.clone(), taken: config.taken })?;
    let mut outcome = MeshOutcome::default();
    let mut by_id: BTreeMap<&Id, &MeshNode> = BTreeMap::new();
    for node in nodes {
        if by_id.insert(&node.id, node).is_some() {
            let message = format!("the id `{}` is used by two mesh nodes; the later one counts", node.id);
            outcome.findings.push(Finding::of(&MESH_ORPHAN, vec![node.id.clone()], message));
        }
    }
    for (_, node) in
        nodes.iter().map(|n| (&n.id, n)).filter(|(id, n)| by_id.get(id).is_some_and(|k| std::ptr::eq(*k, *n)))
    {
        match legs(node, &by_id) {
            Ok(legs) => {
                let hops = legs.len() as u32 - 1;
                let rates = |down| rate(&legs, down, config);
                let ((down, down_by, down_n), (up, up_by, up_n)) = (rates(true), rates(false));
                let idle = |down| legs.iter().map(|l| alone(l, down)).sum::<f64>();
                let (loaded_down, loaded_up) = loaded(&legs, config, &mut carrier)?;
                let way = |rate, by: Vec<&Id>, transmissions, idle, loaded| Way {
                    rate: BitsPerSecond(rate),
                    limited_by: by.into_iter().cloned().collect(),
                    transmissions,
                    idle: Seconds(idle),
                    loaded: Seconds(loaded),
                };
                outcome.ends.push(NodeEnd {
                    id: node.id.clone(),
                    hops,
                    down: way(down, down_by, down_n, idle(true), loaded_down),
                    up: way(up, up_by, up_n, idle(false), loaded_up),
                });
            }
            Err(finding) => outcome.findings.push(*finding),
        }
    }
    Ok(outcome)
}

fn carries(hop: &Hop) -> bool {
    match hop {
        Hop::Radio(link) => link.down.is_some() && link.up.is_some(),
        Hop::Wire(rate) => rate.0.is_finite() && rate.0 > 0.0,
    }
}

/// The links from the router to a device at the node.
fn legs<'a>(node: &'a MeshNode, by_id: &BTreeMap<&'a Id, &'a MeshNode>) -> Result<Vec<Leg<'a>>, Box<Finding>> {
    let mut legs = vec![Leg { node: &node.id, hop: Hop::Radio(node.device) }];
    let mut at = node;
    while let Some((parent, hop)) = &at.parent {
        legs.push(Leg { node: &at.id, hop: *hop });
        // One more than there are nodes: some node came twice.
        if legs.len() > by_id.len() + 1 || *parent == node.id {
            let message = format!("the hops of mesh node `{}` lead in a circle through `{}`", node.id, at.id);
            let mut subjects = vec![node.id.clone(), at.id.clone()];
            subjects.dedup();
            return Err(Box::new(Finding::of(&MESH_CIRCULAR, subjects, message)));
        }
        let Some(next) = by_id.get(parent) else {
            let message = format!("mesh node `{}` depends on `{parent}`, which is not there", node.id);
            let subjects = vec![node.id.clone(), at.id.clone(), parent.clone()];
            return Err(Box::new(Finding::of(&MESH_ORPHAN, subjects, message)));
        };
        at = next;
    }
    legs.reverse();
    if let Some((i, dead)) = legs.iter().enumerate().find(|(_, l)| !carries(&l.hop)) {
        let what = if i + 1 == legs.len() { "link to the device" } else { "hop to its parent" };
        let message = format!(
            "a device at mesh node `{}` gets nothing: `{}` has a {what} that carries nothing",
            node.id, dead.node
        );
        let mut subjects = vec![node.id.clone(), dead.node.clone()];
        subjects.dedup();
        return Err(Box::new(Finding::of(&MESH_DEAD_HOP, subjects, message)));
    }
    Ok(legs)
}

fn burst(link: &RadioLink, down: bool) -> Option<&Burst> {
    if down { link.down.as_ref() } else { link.up.as_ref() }
}

/// Time of a single frame on an idle link [s]; none on a cable, where it is some microseconds.
fn alone(leg: &Leg, down: bool) -> f64 {
    match &leg.hop {
        Hop::Radio(link) => burst(link, down).map_or(f64::INFINITY, |b| b.length(1.0).0),
        Hop::Wire(_) => 0.0,
    }
}

/// Time for a bit of payload, the link alone, queues full [s].
fn time_for_bit(leg: &Leg, down: bool, config: &MeshConfig) -> f64 {
    match &leg.hop {
        Hop::Radio(link) => burst(link, down).map_or(f64::INFINITY, |b| {
            let (access, channel) = (&config.access, &config.channel);
            let slots = f64::from(access.aifsn) + f64::from(access.cw_min) / 2.0;
            let most = f64::from(b.most_mpdus);
            let cycle = b.length(most).0 + channel.sifs.0 + slots * channel.slot.0;
            cycle / (most * b.mpdu_bits) / (1.0 - config.taken).max(0.0)
        }),
        Hop::Wire(rate) => 1.0 / rate.0,
    }
}

/// True if two links of a path share time.
fn share(legs: &[Leg], a: usize, b: usize, hearing: Hearing) -> bool {
    let channel = |i: usize| match legs.get(i).map(|l| l.hop) {
        Some(Hop::Radio(link)) => Some(link.channel),
        _ => None,
    };
    let near = match hearing {
        Hearing::All => true,
        Hearing::Within(hops) => a.abs_diff(b) <= hops as usize + 1,
    };
    a == b || (near && channel(a).is_some() && channel(a) == channel(b))
}

/// End-to-end rate, who sets it, and how many transmissions share the time.
fn rate<'a>(legs: &[Leg<'a>], down: bool, config: &MeshConfig) -> (f64, Vec<&'a Id>, u32) {
    let times: Vec<f64> = legs.iter().map(|l| time_for_bit(l, down, config)).collect();
    let mut worst = (0.0, Vec::new());
    for first in 0..legs.len() {
        // The run of links from here that hear this one hear each other too.
        let run: Vec<usize> = (first..legs.len()).filter(|i| share(legs, first, *i, config.hearing)).collect();
        let time: f64 = run.iter().filter_map(|i| times.get(*i)).sum();
        if time > worst.0 {
            worst = (time, run);
        }
    }
    let mut by: Vec<&Id> = worst.1.iter().filter_map(|i| legs.get(*i)).map(|l| l.node).collect();
    by.dedup();
    (if worst.0 > 0.0 { 1.0 / worst.0 } else { 0.0 }, by, worst.1.len() as u32)
}

/// Mean delay of each way under the offer, both at once [s].
fn loaded(legs: &[Leg], config: &MeshConfig, carrier: &mut Carrier) -> Result<(f64, f64), ContentionError> {
    let (mut down, mut up) = (0.0, 0.0);
    let (mut senders, mut flows, mut out): (Vec<Sender>, Vec<Flow>, Vec<Carried>) = Default::default();
    // An offer of nothing is left out by the carrier; a frame now and then is what is asked for.
    let offered = BitsPerSecond(config.offered.0.max(1.0));
    for (at, leg) in legs.iter().enumerate() {
        if let Hop::Wire(rate) = leg.hop {
            if offered.0 >= rate.0 {
                (down, up) = (f64::INFINITY, f64::INFINITY);
            }
            continue;
        }
        senders.clear();
        flows.clear();
        let mut own = [None; 2];
        // A node sends down its next link and up its last one as one sender: by places on the way, the router first.
        for place in 0..=legs.len() {
            let from = flows.len();
            let mut add = |link: Option<usize>, down: bool| {
                let Some(link) = link.filter(|l| *l < legs.len() && share(legs, at, *l, config.hearing)) else {
                    return;
                };
                let Some(Hop::Radio(radio)) = legs.get(link).map(|l| l.hop) else { return };
                let Some(burst) = burst(&radio, down) else { return };
                if link == at {
                    own[usize::from(!down)] = Some(flows.len());
                }
                flows.push(Flow { offered, burst: *burst });
            };
            add(Some(place), true);
            add(place.checked_sub(1), false);
            if flows.len() > from {
                senders.push(Sender { access: config.access, flows: from..flows.len() });
            }
        }
        carrier.carry(&senders, &flows, &mut out)?;
        let delay = |i: Option<usize>| i.and_then(|i| out.get(i)).map_or(f64::INFINITY, |c| c.delay.0);
        down += delay(own[0]);
        up += delay(own[1]);
    }
    Ok((down, up))
}
