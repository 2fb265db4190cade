//! Stations with an offered load: which queues are stable and how long a frame waits. The rounds of contention are those of the saturated model.

use units::{BitsPerSecond, Seconds};

use super::fixed_point::{Kind, length_count, solve};
use super::{
    Channel, ContentionError, KINDS_MAX, STATIONS_MAX, Station, beacon_share, burst, check_channel, check_station,
    held, kind, times,
};

/// A station and what it is given to send.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// How it contends and sends.
    pub station: Station,
    /// Payload offered to it, spread evenly over its exchanges' turns.
    pub offered: BitsPerSecond,
}

/// What becomes of a station's load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadedShare {
    /// Payload delivered: the offer if the queue is stable, else what the channel leaves.
    pub throughput: BitsPerSecond,
    /// Share of time that its queue is not empty; 1 if the queue grows without end.
    pub utilisation: f64,
    /// True if the queue is stable.
    pub stable: bool,
    /// Mean time from the head of the queue to delivery.
    pub service: Seconds,
    /// Mean time from arrival to delivery, for Poisson arrivals and a service that varies as an exponential does (Pollaczek-Khinchine with `E[S²] = 2 E[S]²`; an
    /// estimate). Infinite if not stable.
    pub delay: Seconds,
}

/// Most kinds of loaded stations: each needs a fixed point of its own in every step.
const LOADED_KINDS_MAX: usize = 16;
/// Steps at most.
const STEPS: u32 = 60;

/// How stations with offered loads share a channel.
///
/// # Model
/// For each kind, one station is taken as always loaded, among as many contenders of the others, on average, as it takes for these to deliver what they are
/// offered, or all of them where that is not enough. The time between its successes is its service time S; with accesses arriving at rate λ its queue is
/// stable if `λ S < 1`. Aggregates and bursts are taken as full, and an arrival at an idle channel as one that backs off: both make light loads look heavier
/// than they are, and neither moves the point where a queue grows without end.
///
/// # Errors
/// As [`super::saturated`]; also for an offer that is not a number of 0 or more, a station without payload, and for more than 16 kinds of stations.
/// [`ContentionError::Unsettled`] if numbers of contenders do not settle in 60 steps.
pub fn loaded(channel: &Channel, loads: &[Load]) -> Result<Vec<LoadedShare>, ContentionError> {
    check_channel(channel)?;
    if loads.is_empty() {
        return Err(ContentionError::NoStations);
    }
    if loads.len() > STATIONS_MAX {
        return Err(ContentionError::TooMany { count: loads.len(), what: "stations", most: STATIONS_MAX });
    }
    let sifs = channel.sifs.0;
    let mut members: Vec<(&Load, Vec<usize>)> = Vec::new();
    for (i, load) in loads.iter().enumerate() {
        check_station(i, &load.station)?;
        if !(load.offered.0.is_finite() && load.offered.0 >= 0.0) {
            let must = "a number, zero or more";
            return Err(ContentionError::Station {
                station: i,
                what: "offered load [bit/s]",
                value: load.offered.0,
                must,
            });
        }
        if bits(&load.station, sifs) <= 0.0 {
            return Err(ContentionError::Station { station: i, what: "payload [bit]", value: 0.0, must: "above zero" });
        }
        if let Some((_, indices)) = members.iter_mut().find(|(l, _)| *l == load) {
            indices.push(i);
        } else {
            members.push((load, vec![i]));
        }
        if members.len() > LOADED_KINDS_MAX {
            let what = "kinds of loaded stations or more";
            return Err(ContentionError::TooMany { count: members.len(), what, most: LOADED_KINDS_MAX });
        }
    }
    let kinds: Vec<Kind> = members.iter().map(|(l, indices)| kind(channel, &l.station, indices.len() as f64)).collect();
    let lengths = length_count(&kinds);
    if lengths > KINDS_MAX {
        return Err(ContentionError::TooMany { count: lengths, what: "different frame lengths", most: KINDS_MAX });
    }
    let stations: Vec<&Station> = members.iter().map(|(l, _)| &l.station).collect();
    let arrivals: Vec<f64> = members.iter().map(|(l, _)| l.offered.0 / bits(&l.station, sifs)).collect();
    let mut service = vec![0.0; members.len()];
    for (k, mean) in service.iter_mut().enumerate() {
        *mean = service_time(channel, k, &kinds, &stations, &arrivals)?;
    }
    let mut shares = vec![None; loads.len()];
    for (((load, indices), rate), mean) in members.iter().zip(&arrivals).zip(&service) {
        let product = rate * mean;
        // Service times are known to a thousandth, so that a queue closer to 1 is not known to be stable.
        let stable = product < 1.0 - 1e-3;
        let share = LoadedShare {
            throughput: if stable { load.offered } else { BitsPerSecond(bits(&load.station, sifs) / mean) },
            utilisation: if stable { product } else { 1.0 },
            stable,
            service: Seconds(*mean),
            delay: Seconds(if stable { mean + rate * mean * mean / (1.0 - product) } else { f64::INFINITY }),
        };
        for i in indices {
            shares[*i] = Some(share);
        }
    }
    Ok(shares.into_iter().flatten().collect())
}

/// Payload of one access on average.
fn bits(s: &Station, sifs: f64) -> f64 {
    s.exchanges.iter().map(|e| burst(&s.access, e, sifs).0 * e.payload_bits).sum::<f64>()
        / s.exchanges.len().max(1) as f64
}

/// Mean time between successes of one station of a kind that is always loaded, among others that deliver what they are offered if they can.
fn service_time(
    channel: &Channel,
    tagged: usize,
    kinds: &[Kind],
    stations: &[&Station],
    arrivals: &[f64],
) -> Result<f64, ContentionError> {
    let most: Vec<f64> =
        kinds.iter().enumerate().map(|(k, kind)| kind.count - f64::from(u8::from(k == tagged))).collect();
    // Contenders of each kind on average, without the one that is always loaded.
    let mut others: Vec<f64> =
        most.iter().zip(arrivals).map(|(most, rate)| if *rate > 0.0 { 0.5 * most } else { 0.0 }).collect();
    let mut last = 0.0;
    for _ in 0..STEPS {
        let all: Vec<Kind> = kinds
            .iter()
            .enumerate()
            .map(|(k, kind)| {
                let share = if most[k] > 0.0 { others[k] / most[k] } else { 0.0 };
                let own = f64::from(u8::from(k == tagged));
                let count = others[k] + own;
                let returns = if count > 0.0 { (own + others[k] * share) / count } else { 0.0 };
                Kind { count, returns, ..kind.clone() }
            })
            .collect();
        let solution = solve(&all, &times(channel));
        let lost: f64 = solution.collisions.iter().map(|(length, number)| length * number).sum();
        let busy: f64 = stations.iter().zip(&solution.kinds).map(|(s, rates)| held(s, rates, channel.sifs.0)).sum();
        let round = (solution.idle + busy + lost) / (1.0 - beacon_share(channel));
        let mut change: f64 = 0.0;
        let mut time = 0.0;
        for (k, rates) in solution.kinds.iter().enumerate() {
            // The kind's successes are shared by all of its contenders.
            let mut delivered = rates.data / round;
            if k == tagged {
                time = (1.0 + others[k]) / delivered;
                delivered *= others[k] / (1.0 + others[k]);
            }
            if others[k] > 0.0 && delivered > 0.0 {
                let wanted = most[k] * arrivals[k];
                let new = (others[k] * (wanted / delivered).clamp(0.25, 4.0).powf(0.7)).min(most[k]);
                change = change.max((new - others[k]).abs() / others[k]);
                others[k] = new;
            }
        }
        if !(time.is_finite() && time > 0.0) {
            return Err(ContentionError::Unsettled);
        }
        if change < 1e-3 && (time / last - 1.0_f64).abs() < 1e-3 {
            return Ok(time);
        }
        last = time;
    }
    Err(ContentionError::Unsettled)
}
