//! Waiting in textbook queues. Nothing here knows packets or lines; see [`crate::line`] for those.
//!
//! - [`mm1`], [`mg1_wait`], [`md1_wait`]: one server
//! - [`priority_wait`]: one server, the urgent first
//! - [`erlang_b`], [`erlang_c`]: several servers, without and with a queue

/// What an M/M/1 queue settles to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mm1 {
    /// Share of time that the server works.
    pub utilisation: f64,
    /// Customers in the system on average, the one in service with them.
    pub in_system: f64,
    /// Customers waiting on average.
    pub in_queue: f64,
    /// Mean time in the system [s].
    pub time: f64,
    /// Mean time waiting [s].
    pub wait: f64,
    /// Probability that nobody is there.
    pub empty: f64,
}

fn is_rate(value: f64) -> bool {
    value.is_finite() && value >= 0.0
}

/// Poisson arrivals, exponential service, one server, no limit of the queue.
///
/// # Units
/// Arrivals and services a second.
///
/// # Validity
/// Nothing unless both are numbers, arrivals 0 or more and fewer than services.
///
/// # Example
/// ```
/// let queue = traffic::queue::mm1(8.0, 10.0).unwrap();
/// assert!((queue.time - 0.5).abs() < 1e-12);
/// ```
///
/// # References
/// L. Kleinrock, "Queueing Systems", volume 1, 1975, section 3.2.
#[must_use]
pub fn mm1(arrivals: f64, services: f64) -> Option<Mm1> {
    if !is_rate(arrivals) || !is_rate(services) || arrivals >= services {
        return None;
    }
    let utilisation = arrivals / services;
    let time = 1.0 / (services - arrivals);
    Some(Mm1 {
        utilisation,
        in_system: arrivals * time,
        in_queue: arrivals * utilisation * time,
        time,
        wait: utilisation * time,
        empty: 1.0 - utilisation,
    })
}

/// Mean wait before service with Poisson arrivals and any service time, one server [s].
///
/// # Model
/// Pollaczek and Khinchine: `λ E[S²] / (2 (1 - ρ))` with `E[S²] = E[S]² (1 + c²)`.
///
/// # Units
/// Arrivals a second, mean service time in seconds, `c²` the squared coefficient of variation of the service time.
///
/// # Validity
/// Nothing unless all are numbers of 0 or more and the server keeps up.
///
/// # References
/// L. Kleinrock, "Queueing Systems", volume 1, 1975, equation 5.63.
#[must_use]
pub fn mg1_wait(arrivals: f64, service: f64, variation: f64) -> Option<f64> {
    let utilisation = arrivals * service;
    if !is_rate(arrivals) || !is_rate(service) || !is_rate(variation) || utilisation >= 1.0 {
        return None;
    }
    Some(utilisation * service * (1.0 + variation) / (2.0 * (1.0 - utilisation)))
}

/// As [`mg1_wait`] with a service time that is always the same [s].
#[must_use]
pub fn md1_wait(arrivals: f64, service: f64) -> Option<f64> {
    mg1_wait(arrivals, service, 0.0)
}

/// Mean wait of the urgent where they go first but never interrupt [s].
///
/// # Model
/// `R / (1 - ρ₁)`: the residual time `R` of what is in service on arrival, and the urgent that came before. The others do not matter beyond `R`.
///
/// # Units
/// Residual in seconds; `urgent` the share of time that serving the urgent takes.
///
/// # Validity
/// Nothing unless both are numbers of 0 or more and `urgent` is below 1.
///
/// # References
/// A. Cobham, "Priority assignment in waiting line problems", Operations Research 2(1), 1954.
#[must_use]
pub fn priority_wait(residual: f64, urgent: f64) -> Option<f64> {
    (is_rate(residual) && is_rate(urgent) && urgent < 1.0).then(|| residual / (1.0 - urgent))
}

/// Most servers that are reckoned with; the recursion is as long.
const SERVERS_MAX: u32 = 1_000_000;

/// Probability that a call finds all servers taken and is lost.
///
/// # Units
/// Load in erlang: arrivals times mean holding time.
///
/// # Validity
/// Nothing for a load that is not a number of 0 or more, or beyond 1,000,000 servers.
///
/// # References
/// A. K. Erlang, 1917; the recursion `B(n) = a B(n-1) / (n + a B(n-1))`.
#[must_use]
pub fn erlang_b(load: f64, servers: u32) -> Option<f64> {
    if !is_rate(load) || servers > SERVERS_MAX {
        return None;
    }
    let mut lost = 1.0;
    for n in 1..=servers {
        lost = load * lost / (f64::from(n) + load * lost);
    }
    Some(lost)
}

/// Probability that a call finds all servers taken and waits.
///
/// # Validity
/// As [`erlang_b`], and nothing unless there are more servers than the load in erlang.
///
/// # References
/// `C = n B / (n - a (1 - B))`.
#[must_use]
pub fn erlang_c(load: f64, servers: u32) -> Option<f64> {
    let num = f64::from(servers);
    if !is_rate(load) || load >= num {
        return None;
    }
    let lost = erlang_b(load, servers)?;
    Some(num * lost / (num - load * (1.0 - lost)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(value: Option<f64>, expected: f64, within: f64) {
        let value = value.unwrap();
        assert!((value - expected).abs() <= within, "{value} is not {expected}");
    }

    /// Worked by the formulas with independent code; 8 and 10 a second is the textbook's usual case.
    #[test]
    fn one_server() {
        let q = mm1(8.0, 10.0).unwrap();
        for (value, expected) in [
            (q.utilisation, 0.8),
            (q.in_system, 4.0),
            (q.in_queue, 3.2),
            (q.time, 0.5),
            (q.wait, 0.4),
            (q.empty, 0.2),
            (q.in_system, 8.0 * q.time),
        ] {
            assert!((value - expected).abs() < 1e-12, "{value} is not {expected}");
        }
        let q = mm1(80.0, 100.0).unwrap();
        assert!((q.in_system - 4.0).abs() < 1e-12 && (q.time - 0.05).abs() < 1e-12);
        for (variation, wait) in [(0.0, 0.2), (1.0, 0.4), (4.0, 1.0)] {
            close(mg1_wait(8.0, 0.1, variation), wait, 1e-12);
        }
        close(md1_wait(8.0, 0.1), 0.2, 1e-12);
    }

    /// 20 Mbit/s, packets of 1,500 octets, 80 % load.
    #[test]
    fn an_uplink() {
        let services = 20e6 / 12_000.0;
        close(Some(services), 1666.67, 0.01);
        close(mm1(0.8 * services, services).map(|q| q.time), 3.0e-3, 1e-12);
        close(md1_wait(0.8 * services, 1.0 / services), 1.2e-3, 1e-12);
    }

    #[test]
    fn several_servers() {
        close(erlang_b(2.0, 5), 0.036_697, 1e-6);
        close(erlang_b(10.0, 15), 0.036_497, 1e-6);
        close(erlang_c(2.0, 3), 0.444_444, 1e-6);
        close(erlang_c(8.0, 10), 0.409_18, 1e-5);
        // One server with a queue is M/M/1: a call waits as often as the server works.
        close(erlang_c(0.8, 1), 0.8, 1e-12);
        assert_eq!((erlang_b(0.0, 0), erlang_b(0.0, 3)), (Some(1.0), Some(0.0)));
    }

    /// The urgent alone are an M/G/1 queue.
    #[test]
    fn the_urgent_first() {
        let residual = 8.0 * 0.1 * 0.1 / 2.0;
        close(priority_wait(residual, 0.8), 0.2, 1e-12);
        assert!(priority_wait(residual, 0.2).unwrap() < priority_wait(residual, 0.8).unwrap());
    }

    #[test]
    fn what_cannot_settle_has_no_answer() {
        for bad in [f64::NAN, f64::INFINITY, -1.0, 10.0, 11.0] {
            assert_eq!(mm1(bad, 10.0), None);
            assert_eq!(mg1_wait(bad, 0.1, 0.0), None);
        }
        assert_eq!(mg1_wait(1.0, 0.1, -0.5), None);
        assert_eq!((erlang_b(f64::NAN, 3), erlang_c(3.0, 3), erlang_b(1.0, u32::MAX)), (None, None, None));
        assert_eq!((priority_wait(0.1, 1.0), priority_wait(f64::NAN, 0.1)), (None, None));
    }
}
