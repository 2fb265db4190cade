//! Stations that do not all hear each other: taken apart where they do not meet, and each part solved.

use units::{BitsPerSecond, Seconds};

use super::hearing::{Hearing, Sense, Survival};
use super::partial::{self, Member};
use super::{
    Channel, ContentionError, Exchange, Shares, Station, StationShare, beacon_share, burst, check_channel,
    check_station, shared,
};

/// Most stations of a part that does not hear all of itself.
const PART_MAX: usize = 256;

/// True if the two stations hold each other back, or one can spoil what the other sends.
fn meet(hearing: &Hearing, i: usize, j: usize) -> bool {
    let one_way = |a: usize, b: usize| {
        let aware = hearing.senses.get(a).and_then(|r| r.get(b)).is_some_and(|s| s.holds_back());
        let answered = hearing.answers.get(a).and_then(|r| r.get(b)).is_some_and(|e| e.iter().any(|s| s.holds_back()));
        let spoils = hearing.survives.get(a).is_some_and(|e| {
            e.iter()
                .filter_map(|r| r.get(b))
                .any(|s| s.later < 1.0 || s.earlier < 1.0 || s.data < 1.0 || s.together < 1.0)
        });
        aware || answered || spoils
    };
    one_way(i, j) || one_way(j, i)
}

/// Stations that meet, directly or through others.
fn parts(hearing: &Hearing, count: usize) -> Vec<Vec<usize>> {
    let mut of = vec![usize::MAX; count];
    let mut all: Vec<Vec<usize>> = Vec::new();
    for start in 0..count {
        if of[start] != usize::MAX {
            continue;
        }
        let mut part = vec![start];
        of[start] = all.len();
        let mut next = 0;
        while let Some(&i) = part.get(next) {
            next += 1;
            for (j, place) in of.iter_mut().enumerate() {
                if *place == usize::MAX && meet(hearing, i, j) {
                    *place = all.len();
                    part.push(j);
                }
            }
        }
        part.sort_unstable();
        all.push(part);
    }
    all
}

/// The hearing of some of the stations.
fn restricted(hearing: &Hearing, part: &[usize]) -> Hearing {
    let sense = |i: usize, j: usize| hearing.senses.get(i).and_then(|r| r.get(j)).copied().unwrap_or(Sense::Nothing);
    let answers = |i: usize, j: usize| hearing.answers.get(i).and_then(|r| r.get(j)).cloned().unwrap_or_default();
    let row = |row: &Vec<Survival>| part.iter().map(|j| row.get(*j).copied().unwrap_or(Survival::LOST)).collect();
    Hearing {
        senses: part.iter().map(|i| part.iter().map(|j| sense(*i, *j)).collect()).collect(),
        answers: part.iter().map(|i| part.iter().map(|j| answers(*i, *j)).collect()).collect(),
        survives: part.iter().filter_map(|i| hearing.survives.get(*i)).map(|e| e.iter().map(row).collect()).collect(),
        heard: hearing.heard,
    }
}

pub(super) fn in_parts(channel: &Channel, stations: &[Station], hearing: &Hearing) -> Result<Shares, ContentionError> {
    check_channel(channel)?;
    for (i, station) in stations.iter().enumerate() {
        check_station(i, station)?;
    }
    let mut shares = vec![None; stations.len()];
    let mut whole =
        Shares { stations: Vec::new(), busy: 0.0, collided: 0.0, iterations: 0, residual: 0.0, converged: true };
    for part in parts(hearing, stations.len()) {
        let own: Vec<Station> = part.iter().filter_map(|i| stations.get(*i)).cloned().collect();
        let heard = restricted(hearing, &part);
        let answer =
            if heard.is_complete() { shared(channel, &own, Some(&heard))? } else { hidden(channel, &own, &heard)? };
        whole.busy = whole.busy.max(answer.busy);
        whole.collided = whole.collided.max(answer.collided);
        whole.iterations = whole.iterations.max(answer.iterations);
        whole.residual = whole.residual.max(answer.residual);
        whole.converged &= answer.converged;
        for (i, share) in part.iter().zip(answer.stations) {
            shares[*i] = Some(share);
        }
    }
    whole.stations = shares.into_iter().flatten().collect();
    Ok(whole)
}

/// From the beginning of the first frame until something of it has arrived: of an aggregate, its first frame, taken as 1,472 octets of payload (a usual packet).
fn unit(exchange: &Exchange) -> f64 {
    match exchange.request {
        Some(_) => exchange.first.0 / (exchange.payload_bits / 11_776.0).floor().max(1.0),
        None => exchange.first.0,
    }
}

fn members(channel: &Channel, stations: &[Station]) -> Vec<Member> {
    let sifs = channel.sifs.0;
    stations
        .iter()
        .enumerate()
        .map(|(index, s)| {
            let count = s.exchanges.len().max(1) as f64;
            let first = s.exchanges.iter().map(|e| e.first.0).sum::<f64>() / count;
            let whole = s.exchanges.iter().map(|e| burst(&s.access, e, sifs).1).sum::<f64>() / count;
            Member {
                index,
                aifs: sifs + f64::from(s.access.aifsn) * channel.slot.0,
                windows: s.access.windows(),
                first,
                unit: s.exchanges.iter().map(unit).sum::<f64>() / count,
                rest: (whole - first).max(0.0),
                timeout: sifs + channel.slot.0 + channel.response_start.0,
            }
        })
        .collect()
}

/// True if two stations hear each other, and nothing of one arrives beside the other.
fn exclusive(hearing: &Hearing, i: usize, j: usize) -> bool {
    let hears = |a: usize, b: usize| hearing.senses.get(a).and_then(|r| r.get(b)).is_some_and(|s| s.holds_back());
    let lost = |a: usize, b: usize| {
        let rows = hearing.survives.get(a).into_iter().flatten();
        rows.filter_map(|r| r.get(b)).all(|s| s.together <= 0.0)
    };
    hears(i, j) && hears(j, i) && lost(i, j) && lost(j, i)
}

/// A part that does not hear all of itself.
fn hidden(channel: &Channel, stations: &[Station], hearing: &Hearing) -> Result<Shares, ContentionError> {
    if stations.len() > PART_MAX {
        let what = "stations that do not all hear each other";
        return Err(ContentionError::TooMany { count: stations.len(), what, most: PART_MAX });
    }
    let (slot, sifs) = (channel.slot.0, channel.sifs.0);
    let members = members(channel, stations);
    let many = || ContentionError::TooMany {
        count: stations.len(),
        what: "stations of which too many can be on the air at once",
        most: partial::SETS_MAX,
    };
    let answer = partial::settle(&members, hearing, slot).ok_or_else(many)?;
    // The same stations if they heard each other: by the rounds, and by the fixed point.
    let counts: Vec<usize> = stations.iter().map(|s| s.exchanges.len()).collect();
    let complete = Hearing { survives: hearing.survives.clone(), heard: hearing.heard, ..Hearing::complete(&counts) };
    let rounds = shared(channel, stations, Some(&complete)).ok();
    let plain = partial::settle(&members, &complete, slot).ok_or_else(many)?;
    let left = 1.0 - beacon_share(channel);
    let accesses: Vec<f64> = members
        .iter()
        .zip(&answer.members)
        .enumerate()
        .map(|(i, (member, conduct))| {
            let by_rounds = rounds.as_ref().and_then(|r| r.stations.get(i)).map(|r| 1.0 / r.access_delay.0);
            let by_point = plain.members.get(i).map(|c| c.successes * left);
            let scale = match (by_rounds, by_point) {
                (Some(a), Some(b)) if a.is_finite() && b > 0.0 => (a / b).clamp(0.5, 2.0),
                _ => 1.0,
            };
            (conduct.successes * left * scale).clamp(0.0, 1.0 / (member.first + member.rest))
        })
        .collect();
    let airtimes: Vec<f64> = members.iter().zip(&accesses).map(|(m, a)| a * (m.first + m.rest)).collect();
    let mut shares = Vec::with_capacity(stations.len());
    let mut collided = 0.0;
    for (i, ((s, member), conduct)) in stations.iter().zip(&members).zip(&answer.members).enumerate() {
        let airtime = |i: usize| airtimes.get(i).copied().unwrap_or(0.0);
        // The scale may lift two stations that hear each other above the channel's time.
        let most = (0..stations.len())
            .filter(|j| *j != i && exclusive(hearing, i, *j))
            .map(|j| airtime(i) + airtime(j))
            .fold(1.0, f64::max);
        let accesses = accesses.get(i).copied().unwrap_or(0.0) / most;
        let by_exchange: Vec<BitsPerSecond> = s
            .exchanges
            .iter()
            .zip(&conduct.shares)
            .map(|(e, (share, arrived))| {
                BitsPerSecond(accesses * share * arrived * burst(&s.access, e, sifs).0 * e.payload_bits)
            })
            .collect();
        collided += accesses * conduct.failure / (1.0 - conduct.failure) * member.first;
        shares.push(StationShare {
            throughput: BitsPerSecond(by_exchange.iter().map(|b| b.0).sum()),
            by_exchange,
            airtime: airtime(i) / most,
            collision_probability: conduct.failure,
            access_delay: Seconds(if accesses > 0.0 { 1.0 / accesses } else { f64::INFINITY }),
        });
    }
    Ok(Shares {
        stations: shares,
        busy: (1.0 - answer.idle).clamp(0.0, 1.0),
        collided: collided.min(1.0),
        iterations: answer.iterations,
        residual: answer.residual,
        converged: answer.residual <= partial::TOLERANCE,
    })
}
