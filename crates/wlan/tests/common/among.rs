//! An event-driven simulator of stations that hear each other only in part, as second method: each station has its own view of the channel. Seeded; all
//! stations always have something to send.
//!
//! It shares with the engine only the input types. Every overlap is drawn by itself, and backoffs, windows and queues are followed one by one.

use wlan::contention::{Channel, Countdown, Hearing, Sense, Station};

use super::simulator::{Count, Random};

/// Two transmissions that begin within this time cannot have heard each other [s].
const SAME: f64 = 0.1e-6;

/// A transmission under way.
#[derive(Clone, Debug)]
struct Sending {
    begin: f64,
    /// End of the first frame, then of the whole exchange.
    end: f64,
    rest: bool,
    /// When the answer began.
    answered: f64,
    /// When the first of the frames that spoil it began.
    hit: Option<f64>,
    /// Who knows of it and holds back.
    noticed: Vec<bool>,
    /// Who of them can tell from its end that nothing follows.
    alone: Vec<bool>,
    delivered: f64,
}

struct Node<'a> {
    station: &'a Station,
    backoff: u32,
    stage: u32,
    /// When its countdown starts, if it knows of nobody on the air.
    start: f64,
    /// Transmissions of others that it holds back for.
    busy: u32,
    request: bool,
    turn: usize,
    sending: Option<Sending>,
    last_end: f64,
    count: Count,
}

impl Node<'_> {
    fn window(&self) -> u32 {
        let least = u64::from(self.station.access.cw_min) + 1;
        ((least << self.stage.min(16)) - 1).min(u64::from(self.station.access.cw_max)) as u32
    }

    fn next(&self, slot: f64) -> f64 {
        match &self.sending {
            Some(s) => s.end,
            None if self.busy == 0 => self.start + f64::from(self.backoff) * slot,
            None => f64::INFINITY,
        }
    }

    /// Stops the countdown for a transmission that begins now.
    fn freeze(&mut self, now: f64, slot: f64) {
        if self.busy == 0 && self.start <= now + 0.05e-6 {
            let idle = ((now - self.start + 0.05e-6) / slot) as u32;
            let counted = idle + u32::from(self.station.access.countdown == Countdown::Edca);
            self.backoff -= counted.min(self.backoff);
        }
        self.busy += 1;
    }
}

/// Runs for a time [s].
pub fn simulate_among(channel: &Channel, stations: &[Station], hearing: &Hearing, seed: u64, time: f64) -> Vec<Count> {
    let mut random = Random::new(seed);
    let (slot, sifs) = (channel.slot.0, channel.sifs.0);
    let aifs = |s: &Station| sifs + f64::from(s.access.aifsn) * slot;
    let mut nodes: Vec<Node> = stations
        .iter()
        .map(|station| Node {
            station,
            backoff: 0,
            stage: 0,
            start: aifs(station),
            busy: 0,
            request: false,
            turn: 0,
            sending: None,
            last_end: 0.0,
            count: Count::default(),
        })
        .collect();
    for node in &mut nodes {
        node.backoff = random.up_to(node.window());
    }
    let n = nodes.len();
    let mut now = 0.0;
    while now < time {
        let next = (0..n).min_by(|a, b| nodes[*a].next(slot).total_cmp(&nodes[*b].next(slot))).unwrap();
        now = nodes[next].next(slot);
        if nodes[next].sending.is_some() {
            finish(&mut nodes, next, now, channel, hearing, &mut random);
        } else {
            let starters: Vec<usize> =
                (0..n).filter(|i| nodes[*i].sending.is_none() && nodes[*i].next(slot) <= now + SAME).collect();
            begin(&mut nodes, &starters, now, slot, hearing, &mut random);
        }
    }
    nodes
        .into_iter()
        .map(|mut node| {
            node.count.delivered_bits /= now;
            node.count
        })
        .collect()
}

fn begin(nodes: &mut [Node], starters: &[usize], now: f64, slot: f64, hearing: &Hearing, random: &mut Random) {
    let n = nodes.len();
    for &s in starters {
        let turn = nodes[s].turn;
        let mut hit = false;
        for o in (0..n).filter(|o| *o != s) {
            let survival = hearing.survives[s][turn][o];
            if starters.contains(&o) {
                hit |= random.unit() >= survival.together;
            } else if let Some(other) = nodes[o].sending.clone() {
                // A receiver that was with this sender's last frame when the other began has not followed the other.
                let followed = other.begin >= nodes[s].last_end;
                hit |= random.unit() >= if followed { survival.earlier } else { survival.later };
                let back = hearing.survives[o][nodes[o].turn][s];
                let spoils = random.unit() >= if other.rest { back.data } else { back.later };
                if let Some(other) = nodes[o].sending.as_mut().filter(|o| spoils && o.hit.is_none()) {
                    other.hit = Some(now);
                }
            }
        }
        let node = &mut nodes[s];
        node.count.attempts += 1;
        let e = node.station.exchanges[node.turn];
        let first = match (node.request, e.request) {
            (true, Some(r)) => r.first.0,
            _ => e.first.0,
        };
        node.sending = Some(Sending {
            begin: now,
            end: now + first,
            rest: false,
            answered: f64::INFINITY,
            hit: hit.then_some(now),
            noticed: vec![false; n],
            alone: vec![false; n],
            delivered: 0.0,
        });
    }
    for &s in starters {
        for i in 0..n {
            if starters.contains(&i) || nodes[i].sending.is_some() {
                continue;
            }
            // A preamble is found only by who is not following another frame.
            let aware = match hearing.senses[i][s] {
                Sense::Energy => true,
                Sense::Preamble => {
                    nodes[i].busy == 0 || starters.iter().any(|o| *o != s && hearing.senses[i][*o].holds_back())
                }
                Sense::Nothing | Sense::Secondary => false,
            };
            if aware {
                let alone = nodes[i].busy == 0;
                nodes[i].freeze(now, slot);
                let sending = nodes[s].sending.as_mut().unwrap();
                (sending.noticed[i], sending.alone[i]) = (true, alone);
            }
        }
    }
}

fn finish(nodes: &mut [Node], s: usize, now: f64, channel: &Channel, hearing: &Hearing, random: &mut Random) {
    let (slot, sifs) = (channel.slot.0, channel.sifs.0);
    let n = nodes.len();
    let turn = nodes[s].turn;
    let e = nodes[s].station.exchanges[turn];
    let request = nodes[s].request.then_some(e.request).flatten();
    let sending = nodes[s].sending.clone().unwrap();
    let delivered = match (sending.hit, e.request) {
        (None, _) => 1.0,
        (Some(at), Some(_)) if request.is_none() && !sending.rest => {
            let frames = (e.payload_bits / 11_776.0).floor().max(1.0);
            ((at - sending.begin) / e.first.0 * frames).floor() / frames
        }
        _ => 0.0,
    };
    if !sending.rest && delivered > 0.0 {
        // The answer comes: those who hear it hold back, and others that are on the air meet the data.
        let mut hit = None;
        for o in (0..n).filter(|o| *o != s && nodes[*o].sending.is_some()) {
            if random.unit() >= hearing.survives[s][turn][o].data {
                hit = Some(now);
            }
        }
        for i in (0..n).filter(|i| *i != s) {
            let idle = nodes[i].sending.is_none();
            if idle && !sending.noticed[i] && announced(hearing, i, s, turn) {
                nodes[i].freeze(now + sifs, slot);
                nodes[s].sending.as_mut().unwrap().noticed[i] = true;
            }
        }
        let one = e.success.0 + sifs;
        let number = ((nodes[s].station.access.txop_limit.0 + sifs) / one + 1e-9).floor().max(1.0);
        let sending = nodes[s].sending.as_mut().unwrap();
        (sending.rest, sending.hit, sending.delivered) = (true, hit, delivered);
        sending.answered = now + sifs;
        sending.end = sending.begin + request.map_or(number * one - sifs, |r| r.success.0);
        return;
    }
    let success = sending.rest && sending.hit.is_none();
    let others =
        (0..n).filter(|o| *o != s && nodes[*o].sending.as_ref().is_some_and(|x| x.begin >= sending.begin - SAME));
    let overlapped = others.count() > 0 || sending.hit.is_some();
    let node = &mut nodes[s];
    node.sending = None;
    node.last_end = now;
    let aifs = |node: &Node| sifs + f64::from(node.station.access.aifsn) * slot;
    if success {
        if request.is_some() {
            node.request = false;
        } else {
            let one = e.success.0 + sifs;
            let number = ((node.station.access.txop_limit.0 + sifs) / one + 1e-9).floor().max(1.0);
            node.count.delivered_bits += sending.delivered * number * e.payload_bits;
            node.turn = (node.turn + 1) % node.station.exchanges.len();
        }
        node.stage = 0;
        node.start = now + aifs(node);
    } else {
        node.count.failures += 1;
        node.request |= e.request.is_some();
        if node.stage < node.station.access.retry_limit {
            node.stage += 1;
        } else {
            // The frame is given up.
            (node.stage, node.turn) = (0, (node.turn + 1) % node.station.exchanges.len());
        }
        node.start = now + sifs + slot + channel.response_start.0 + aifs(node);
    }
    node.backoff = random.up_to(node.window());
    for i in (0..n).filter(|i| *i != s) {
        if sending.noticed[i] {
            nodes[i].busy -= 1;
            if nodes[i].busy == 0 {
                // Who made out a frame that no answer follows waits for the time of one.
                let waits = !success && sending.alone[i] && (!overlapped || random.unit() < channel.heard);
                let more = if waits { sifs + channel.lowest_ack.0 } else { 0.0 };
                nodes[i].start = (now + more + aifs(&nodes[i])).max(nodes[i].start);
            }
        }
    }
    // What is on the air now and strong enough is noticed after the own transmission.
    for o in (0..n).filter(|o| *o != s) {
        let noticed = nodes[o].sending.as_ref().is_some_and(|x| {
            let late = x.rest && now <= x.answered && announced(hearing, s, o, nodes[o].turn);
            !x.noticed[s] && (hearing.senses[s][o] == Sense::Energy || late)
        });
        if noticed {
            nodes[o].sending.as_mut().unwrap().noticed[s] = true;
            nodes[s].busy += 1;
        }
    }
}

/// True if a listener finds out what follows a first frame: by the answer, or by the data's own preamble.
fn announced(hearing: &Hearing, listener: usize, sender: usize, turn: usize) -> bool {
    hearing.answers[listener][sender][turn].holds_back() || hearing.senses[listener][sender].holds_back()
}
