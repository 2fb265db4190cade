//! An event-driven simulator of contention, as second method: every station's backoff, timer and queue is followed in continuous time. Seeded.
//!
//! All stations hear each other. It shares with the engine only the input types; the engine's groups, rounds and means are not in it.

use wlan::contention::{Channel, Countdown, Station};

/// SplitMix64 (public domain algorithm by S. Vigna).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn up_to(&mut self, most: u32) -> u32 {
        (self.next() % (u64::from(most) + 1)) as u32
    }

    fn exponential(&mut self, rate: f64) -> f64 {
        -(1.0 - self.unit()).ln() / rate
    }
}

/// What a simulated station did.
#[derive(Clone, Debug, Default)]
pub struct Count {
    pub delivered_bits: f64,
    pub attempts: u64,
    pub failures: u64,
    /// Sum of times from arrival to delivery, and their number (only with an offered load).
    pub sojourn: (f64, u64),
    /// Sum of times in which the queue was not empty.
    pub backlogged: f64,
}

struct Node<'a> {
    station: &'a Station,
    backoff: u32,
    stage: u32,
    /// When its countdown starts.
    start: f64,
    request: bool,
    turn: usize,
    /// Arrival times that wait; not used when saturated.
    queue: std::collections::VecDeque<f64>,
    next_arrival: f64,
    rate: Option<f64>,
    count: Count,
    busy_since: f64,
}

impl Node<'_> {
    fn window(&self) -> u32 {
        let least = u64::from(self.station.access.cw_min) + 1;
        ((least << self.stage.min(16)) - 1).min(u64::from(self.station.access.cw_max)) as u32
    }

    fn has_frame(&self) -> bool {
        self.rate.is_none() || !self.queue.is_empty()
    }

    fn first(&self) -> f64 {
        let e = &self.station.exchanges[self.turn];
        match (self.request, e.request) {
            (true, Some(r)) => r.first.0,
            _ => e.first.0,
        }
    }
}

/// Runs for a time [s]. `offered`: exchanges a second that arrive at each station as a Poisson process; absent for a saturated one.
pub fn simulate(channel: &Channel, stations: &[Station], offered: &[Option<f64>], seed: u64, time: f64) -> Vec<Count> {
    let mut random = Random(seed);
    let (slot, sifs) = (channel.slot.0, channel.sifs.0);
    let aifs = |s: &Station| sifs + f64::from(s.access.aifsn) * slot;
    let mut nodes: Vec<Node> = stations
        .iter()
        .zip(offered)
        .map(|(station, rate)| Node {
            station,
            backoff: 0,
            stage: 0,
            start: aifs(station),
            request: false,
            turn: 0,
            queue: Default::default(),
            next_arrival: f64::INFINITY,
            rate: *rate,
            count: Count::default(),
            busy_since: 0.0,
        })
        .collect();
    for node in &mut nodes {
        node.backoff = random.up_to(node.window());
        if let Some(rate) = node.rate {
            node.next_arrival = random.exponential(rate);
        }
    }
    let mut now = 0.0;
    while now < time {
        let access = nodes
            .iter()
            .filter(|n| n.has_frame())
            .map(|n| n.start + f64::from(n.backoff) * slot)
            .fold(f64::INFINITY, f64::min);
        let arrival = nodes.iter().map(|n| n.next_arrival).fold(f64::INFINITY, f64::min);
        if arrival < access {
            // The channel is idle: with its backoff done, a station sends at the next slot boundary.
            let node = nodes.iter_mut().find(|n| n.next_arrival <= arrival).unwrap();
            if node.queue.is_empty() {
                node.busy_since = arrival;
                let slots = ((arrival - node.start) / slot).ceil().max(0.0) as u32;
                node.backoff = node.backoff.max(slots);
            }
            node.queue.push_back(arrival);
            node.next_arrival += random.exponential(node.rate.unwrap());
            continue;
        }
        let sending = |n: &Node| n.has_frame() && n.start + f64::from(n.backoff) * slot <= access + 0.1e-6;
        let senders: Vec<usize> = (0..nodes.len()).filter(|i| sending(&nodes[*i])).collect();
        for (i, node) in nodes.iter_mut().enumerate() {
            if !senders.contains(&i) && node.start <= access + 0.05e-6 {
                let idle = ((access - node.start + 0.05e-6) / slot) as u32;
                let counted = idle + u32::from(node.station.access.countdown == Countdown::Edca);
                node.backoff -= counted.min(node.backoff);
            }
        }
        if let [i] = senders[..] {
            let node = &mut nodes[i];
            let e = node.station.exchanges[node.turn];
            node.count.attempts += 1;
            now = if let (true, Some(r)) = (node.request, e.request) {
                node.request = false;
                access + r.success.0
            } else {
                let one = e.success.0 + sifs;
                let number = ((node.station.access.txop_limit.0 + sifs) / one + 1e-9).floor().max(1.0);
                let end = access + number * one - sifs;
                node.count.delivered_bits += number * e.payload_bits;
                node.turn = (node.turn + 1) % node.station.exchanges.len();
                if let Some(arrived) = node.queue.pop_front() {
                    node.count.sojourn.0 += end - arrived;
                    node.count.sojourn.1 += 1;
                    if node.queue.is_empty() {
                        node.count.backlogged += end - node.busy_since;
                    }
                }
                end
            };
            node.stage = 0;
            node.backoff = random.up_to(node.window());
            for node in &mut nodes {
                node.start = now + aifs(node.station);
            }
        } else {
            let ends: Vec<f64> = senders.iter().map(|i| access + nodes[*i].first()).collect();
            now = ends.iter().copied().fold(0.0, f64::max);
            for (i, node) in nodes.iter_mut().enumerate() {
                let wait = match senders.iter().position(|s| *s == i) {
                    Some(k) => {
                        node.count.attempts += 1;
                        node.count.failures += 1;
                        node.request |= node.station.exchanges[node.turn].request.is_some();
                        node.stage = if node.stage < node.station.access.retry_limit { node.stage + 1 } else { 0 };
                        node.backoff = random.up_to(node.window());
                        ends[k] + sifs + slot + channel.response_start.0
                    }
                    None if random.unit() < channel.heard => {
                        // It follows one of the frames, chosen at random.
                        ends[random.up_to(ends.len() as u32 - 1) as usize] + sifs + channel.lowest_ack.0
                    }
                    None => now,
                };
                node.start = wait.max(now) + aifs(node.station);
            }
        }
        // Arrivals while the channel was busy: a station with its backoff done draws a new one.
        for node in &mut nodes {
            while node.next_arrival <= now {
                if node.queue.is_empty() {
                    node.busy_since = node.next_arrival;
                    if node.backoff == 0 {
                        node.backoff = random.up_to(node.window());
                    }
                }
                node.queue.push_back(node.next_arrival);
                node.next_arrival += random.exponential(node.rate.unwrap());
            }
        }
    }
    nodes
        .into_iter()
        .map(|mut n| {
            n.count.delivered_bits /= now;
            n.count.backlogged /= now;
            n.count
        })
        .collect()
}
