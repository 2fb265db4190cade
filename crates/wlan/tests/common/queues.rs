//! An event-driven simulator of senders with queues, as second method beside `Carrier`: every MPDU, backoff and busy period is followed in continuous
//! time. Seeded. All senders hear each other.
//!
//! It shares with the engine only the input types; none of its turns, shares or means.

use std::collections::VecDeque;

use wlan::contention::{Access, Burst, Channel, Countdown};

/// PCG-XSH-RR 64/32 (M. E. O'Neill, HMC-CS-2014-0905).
struct Random(u64);

impl Random {
    fn new(seed: u64) -> Self {
        let mut random = Self(seed.wrapping_add(0x853c_49e6_748f_ea9b));
        random.next();
        random
    }

    fn next(&mut self) -> u32 {
        let old = self.0;
        self.0 = old.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((((old >> 18) ^ old) >> 27) as u32).rotate_right((old >> 59) as u32)
    }

    fn unit(&mut self) -> f64 {
        (f64::from(self.next()) + 0.5) / 4_294_967_296.0
    }

    fn up_to(&mut self, most: u32) -> u32 {
        ((u64::from(self.next()) * (u64::from(most) + 1)) >> 32) as u32
    }

    fn exponential(&mut self, mean: f64) -> f64 {
        -self.unit().ln() * mean
    }
}

/// How MPDUs arrive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Arrivals {
    Poisson,
    /// In spells of exponential length with pauses of exponential length between, Poisson within: mean lengths [s].
    OnOff {
        on: f64,
        off: f64,
    },
}

#[derive(Clone, Copy, Debug)]
pub struct SimFlow {
    pub burst: Burst,
    /// Mean payload rate [bit/s].
    pub offered: f64,
    pub arrivals: Arrivals,
}

#[derive(Clone, Debug)]
pub struct SimSender {
    pub access: Access,
    pub flows: Vec<SimFlow>,
}

pub struct Setting<'a> {
    pub channel: &'a Channel,
    pub senders: &'a [SimSender],
    /// Share of time of neighbours, and mean length of their busy periods (exponential).
    pub taken: f64,
    pub period: f64,
    /// MPDUs that a flow's queue holds; more are dropped.
    pub queue: usize,
    pub seed: u64,
    /// Warm-up, not counted, and run [s].
    pub warm: f64,
    pub run: f64,
}

#[derive(Clone, Debug, Default)]
pub struct FlowCount {
    /// Payload rate delivered [bit/s].
    pub delivered: f64,
    pub mean_delay: f64,
    pub p95_delay: f64,
    pub airtime: f64,
    pub bursts: u64,
    pub mpdus: u64,
    pub dropped: u64,
    /// MPDUs that wait at the end.
    pub left: usize,
}

pub struct Count {
    /// By sender, then flow.
    pub flows: Vec<Vec<FlowCount>>,
    pub collided: f64,
}

struct Queue<'a> {
    flow: &'a SimFlow,
    waiting: VecDeque<f64>,
    next: f64,
    /// End of the spell.
    until: f64,
    delays: Vec<f32>,
    count: FlowCount,
}

impl Queue<'_> {
    fn draw(&mut self, random: &mut Random) {
        let mean = self.flow.burst.mpdu_bits / self.flow.offered;
        match self.flow.arrivals {
            Arrivals::Poisson => self.next += random.exponential(mean),
            Arrivals::OnOff { on, off } => {
                let mean = mean * on / (on + off);
                let mut at = self.next + random.exponential(mean);
                while at > self.until {
                    let begin = self.until + random.exponential(off);
                    self.until = begin + random.exponential(on);
                    at = begin + random.exponential(mean);
                }
                self.next = at;
            }
        }
    }
}

struct Node<'a> {
    access: &'a Access,
    queues: Vec<Queue<'a>>,
    turn: usize,
    backoff: u32,
    stage: u32,
    start: f64,
    aifs: f64,
}

impl Node<'_> {
    fn window(&self) -> u32 {
        let least = u64::from(self.access.cw_min) + 1;
        ((least << self.stage.min(16)) - 1).min(u64::from(self.access.cw_max)) as u32
    }

    fn loaded(&self) -> bool {
        self.queues.iter().any(|q| !q.waiting.is_empty())
    }

    fn next(&self) -> f64 {
        self.queues.iter().map(|q| q.next).fold(f64::INFINITY, f64::min)
    }

    /// The flow whose turn it is: the next with something to send.
    fn serving(&self) -> usize {
        let number = self.queues.len();
        (0..number).map(|i| (self.turn + i) % number).find(|i| !self.queues[*i].waiting.is_empty()).unwrap()
    }

    fn burst(&self) -> (usize, f64) {
        let flow = self.serving();
        let queue = &self.queues[flow];
        (flow, queue.waiting.len().min(queue.flow.burst.most_mpdus as usize) as f64)
    }
}

pub fn simulate(setting: &Setting) -> Count {
    let mut random = Random::new(setting.seed);
    let (slot, sifs) = (setting.channel.slot.0, setting.channel.sifs.0);
    let timeout = sifs + slot + setting.channel.response_start.0;
    let eifs = sifs + setting.channel.lowest_ack.0;
    let mut nodes: Vec<Node> = setting
        .senders
        .iter()
        .map(|s| Node {
            access: &s.access,
            queues: s
                .flows
                .iter()
                .map(|flow| Queue {
                    flow,
                    waiting: VecDeque::new(),
                    next: 0.0,
                    until: 0.0,
                    delays: Vec::new(),
                    count: FlowCount::default(),
                })
                .collect(),
            turn: 0,
            backoff: 0,
            stage: 0,
            start: sifs + f64::from(s.access.aifsn) * slot,
            aifs: sifs + f64::from(s.access.aifsn) * slot,
        })
        .collect();
    for node in &mut nodes {
        node.backoff = random.up_to(node.window());
        node.queues.iter_mut().for_each(|q| q.draw(&mut random));
    }
    let gap = setting.period / setting.taken;
    let mut neighbour = if setting.taken > 0.0 { random.exponential(gap) } else { f64::INFINITY };
    let end = setting.warm + setting.run;
    let (mut now, mut collided) = (0.0, 0.0);
    while now < end {
        let due = |n: &Node| n.start + f64::from(n.backoff) * slot;
        let access = nodes.iter().filter(|n| n.loaded()).map(due).fold(f64::INFINITY, f64::min);
        let arrival = nodes.iter().map(Node::next).fold(f64::INFINITY, f64::min);
        if arrival < access.min(neighbour) {
            // The channel is idle: with its backoff done, a sender starts at the next slot boundary.
            let node = nodes.iter_mut().find(|n| n.next() <= arrival).unwrap();
            if !node.loaded() {
                let slots = ((arrival - node.start) / slot).ceil().max(0.0) as u32;
                node.backoff = node.backoff.max(slots);
            }
            let queue = node.queues.iter_mut().find(|q| q.next <= arrival).unwrap();
            queue.waiting.push_back(arrival);
            queue.draw(&mut random);
            now = arrival;
            continue;
        }
        let begin = access.min(neighbour.max(now));
        let counted = |node: &mut Node| {
            if node.start <= begin + 0.05e-6 {
                let idle = ((begin - node.start + 0.05e-6) / slot) as u32;
                let counted = idle + u32::from(node.access.countdown == Countdown::Edca);
                node.backoff -= counted.min(node.backoff);
            }
        };
        if neighbour <= access {
            nodes.iter_mut().for_each(counted);
            // All that came meanwhile are served in one go.
            now = begin;
            while neighbour <= now {
                now = now.max(neighbour) + random.exponential(setting.period);
                neighbour += random.exponential(gap);
            }
            nodes.iter_mut().for_each(|n| n.start = now + n.aifs);
        } else {
            let senders: Vec<usize> =
                (0..nodes.len()).filter(|i| nodes[*i].loaded() && due(&nodes[*i]) <= access + 0.1e-6).collect();
            for (i, node) in nodes.iter_mut().enumerate() {
                if !senders.contains(&i) {
                    counted(node);
                }
            }
            if let [i] = senders[..] {
                let node = &mut nodes[i];
                let (flow, number) = node.burst();
                let queue = &mut node.queues[flow];
                let length = queue.flow.burst.length(number).0;
                now = access + length;
                for _ in 0..number as usize {
                    let arrived = queue.waiting.pop_front().unwrap();
                    if arrived > setting.warm {
                        queue.delays.push((now - arrived) as f32);
                    }
                }
                if now > setting.warm {
                    queue.count.mpdus += number as u64;
                    queue.count.bursts += 1;
                    queue.count.airtime += length;
                }
                node.turn = (flow + 1) % node.queues.len();
                node.stage = 0;
                node.backoff = random.up_to(node.window());
                nodes.iter_mut().for_each(|n| n.start = now + n.aifs);
            } else {
                let ends: Vec<f64> = senders
                    .iter()
                    .map(|i| {
                        let (flow, number) = nodes[*i].burst();
                        access + nodes[*i].queues[flow].flow.burst.lost(number).0
                    })
                    .collect();
                now = ends.iter().copied().fold(0.0, f64::max);
                if now > setting.warm {
                    collided += now - access;
                }
                for (i, node) in nodes.iter_mut().enumerate() {
                    let wait = match senders.iter().position(|s| *s == i) {
                        Some(k) => {
                            node.stage = if node.stage < node.access.retry_limit { node.stage + 1 } else { 0 };
                            node.backoff = random.up_to(node.window());
                            ends[k] + timeout
                        }
                        None if random.unit() < setting.channel.heard => {
                            ends[random.up_to(ends.len() as u32 - 1) as usize] + eifs
                        }
                        None => now,
                    };
                    node.start = wait.max(now) + node.aifs;
                }
            }
        }
        // Arrivals while the channel was busy: a sender with its backoff done draws a new one.
        for node in &mut nodes {
            let mut loaded = node.loaded();
            let window = node.window();
            for queue in &mut node.queues {
                while queue.next <= now {
                    if !loaded {
                        loaded = true;
                        if node.backoff == 0 {
                            node.backoff = random.up_to(window);
                        }
                    }
                    if queue.waiting.len() < setting.queue {
                        queue.waiting.push_back(queue.next);
                    } else {
                        queue.count.dropped += 1;
                    }
                    queue.draw(&mut random);
                }
            }
        }
    }
    let run = now - setting.warm;
    let finish = |mut q: Queue| {
        q.count.delivered = q.count.mpdus as f64 * q.flow.burst.mpdu_bits / run;
        q.count.airtime /= run;
        q.count.left = q.waiting.len();
        if !q.delays.is_empty() {
            q.count.mean_delay = q.delays.iter().map(|d| f64::from(*d)).sum::<f64>() / q.delays.len() as f64;
            let at = q.delays.len() * 95 / 100;
            q.count.p95_delay = f64::from(*q.delays.select_nth_unstable_by(at, f32::total_cmp).1);
        }
        q.count
    };
    Count {
        flows: nodes.into_iter().map(|n| n.queues.into_iter().map(finish).collect()).collect(),
        collided: collided / run,
    }
}
