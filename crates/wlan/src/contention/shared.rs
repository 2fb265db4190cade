//! Stations that all hear each other: kinds out, the fixed point asked, shares back. How a round goes is not here.

use units::{BitsPerSecond, Seconds};

use super::fixed_point::{Kind, TOLERANCE, Times, length_count, solve_with};
use super::hearing::Hearing;
use super::round::Overlap;
use super::{
    Channel, ContentionError, KINDS_MAX, STATIONS_MAX, Shares, Station, StationShare, beacon_share, burst,
    check_channel, check_station, held, kind, times,
};

/// What survives a frame in the same slot, as means over pairs of stations of two kinds; empty if nothing ever does.
fn overlaps(members: &[(&Station, Vec<usize>)], hearing: &Hearing) -> Vec<Vec<Overlap>> {
    // Chances of a frame to arrive and of its data to go well beside the other's, as means over the exchanges.
    let chances = |i: usize, j: usize| {
        let (mut first, mut data, mut count) = (0.0, 0.0, 0.0);
        for s in hearing.survives.get(i).into_iter().flatten().filter_map(|row| row.get(j)) {
            first += s.together;
            data += s.together * s.data;
            count += 1.0;
        }
        if count > 0.0 { (first / count, data / count) } else { (0.0, 0.0) }
    };
    let between = |of: &[usize], others: &[usize]| {
        let (mut sum, mut count) = (Overlap::default(), 0.0);
        for i in of {
            for j in others.iter().filter(|j| *j != i) {
                let ((first, data), (other_first, other_data)) = (chances(*i, *j), chances(*j, *i));
                // If the other's first frame arrives as well, both go on, and the data overlaps.
                sum.one += first * (1.0 - other_first) + data * other_first;
                sum.both += data * other_data;
                count += 1.0;
            }
        }
        if count > 0.0 { Overlap { one: sum.one / count, both: sum.both / count } } else { sum }
    };
    let table: Vec<Vec<Overlap>> =
        members.iter().map(|(_, of)| members.iter().map(|(_, others)| between(of, others)).collect()).collect();
    if table.iter().flatten().any(|c| c.one > 0.0) { table } else { Vec::new() }
}

/// Stations that hear each other; `hearing` for what survives an overlap.
pub(super) fn shared(
    channel: &Channel,
    stations: &[Station],
    hearing: Option<&Hearing>,
) -> Result<Shares, ContentionError> {
    check_channel(channel)?;
    if stations.is_empty() {
        return Err(ContentionError::NoStations);
    }
    if stations.len() > STATIONS_MAX {
        return Err(ContentionError::TooMany { count: stations.len(), what: "stations", most: STATIONS_MAX });
    }
    let mut members: Vec<(&Station, Vec<usize>)> = Vec::new();
    for (i, station) in stations.iter().enumerate() {
        check_station(i, station)?;
        if let Some((_, indices)) = members.iter_mut().find(|(s, _)| *s == station) {
            indices.push(i);
        } else {
            members.push((station, vec![i]));
        }
        if members.len() > KINDS_MAX {
            let what = "kinds of stations or more";
            return Err(ContentionError::TooMany { count: members.len(), what, most: KINDS_MAX });
        }
    }
    let sifs = channel.sifs.0;
    let kinds: Vec<Kind> = members.iter().map(|(s, indices)| kind(channel, s, indices.len() as f64)).collect();
    let lengths = length_count(&kinds);
    if lengths > KINDS_MAX {
        return Err(ContentionError::TooMany { count: lengths, what: "different frame lengths", most: KINDS_MAX });
    }
    let overlaps = hearing.map(|h| overlaps(&members, h)).unwrap_or_default();
    let heard = hearing.and_then(|h| h.heard).unwrap_or(channel.heard);
    let solution = solve_with(&kinds, &Times { heard, ..times(channel) }, &overlaps);
    let beacon = beacon_share(channel);
    let beacon_air = channel.beacons.map_or(0.0, |b| b.airtime.0 / b.interval.0);
    // Mean time for each kind's successes and for all collisions, a round.
    let held: Vec<f64> = members.iter().zip(&solution.kinds).map(|((s, _), rates)| held(s, rates, sifs)).collect();
    let lost: f64 = solution.collisions.iter().map(|(length, number)| length * number).sum();
    // Of successes that overlap, the time counts once.
    let taken: f64 = held.iter().zip(&solution.kinds).map(|(h, rates)| h * rates.rounds).sum();
    let round = solution.idle + taken + lost;
    if !(round.is_finite() && round > 0.0) {
        return Err(ContentionError::Unsettled);
    }
    let scale = (1.0 - beacon) / round;
    let mut shares = vec![None; stations.len()];
    for (((s, indices), rates), held) in members.iter().zip(&solution.kinds).zip(&held) {
        let count = indices.len() as f64;
        let accesses = rates.data * scale / count;
        let turns = s.exchanges.len() as f64;
        let by_exchange: Vec<BitsPerSecond> = s
            .exchanges
            .iter()
            .map(|e| BitsPerSecond(accesses / turns * burst(&s.access, e, sifs).0 * e.payload_bits))
            .collect();
        let share = StationShare {
            throughput: BitsPerSecond(by_exchange.iter().map(|b| b.0).sum()),
            by_exchange,
            airtime: held * scale / count,
            collision_probability: if rates.attempts > 0.0 {
                (rates.failures / rates.attempts).clamp(0.0, 1.0)
            } else {
                0.0
            },
            access_delay: Seconds(if accesses > 0.0 { 1.0 / accesses } else { f64::INFINITY }),
        };
        for i in indices {
            shares[*i] = Some(share.clone());
        }
    }
    Ok(Shares {
        stations: shares.into_iter().flatten().collect(),
        busy: (1.0 - solution.idle / round) * (1.0 - beacon) + beacon_air,
        collided: lost * scale,
        iterations: solution.iterations,
        residual: solution.residual,
        converged: solution.residual <= TOLERANCE,
    })
}
