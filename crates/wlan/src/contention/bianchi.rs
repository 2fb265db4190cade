//! The textbook model of saturated DCF, unrefined: for comparison with published tables. [`super::saturated`] is the one to use.

use super::ContentionError;

/// Input of the textbook model: `n` equal stations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bianchi {
    /// Number of stations.
    pub stations: u32,
    /// Number of values of the least contention window (CWmin + 1).
    pub window: u32,
    /// How often it doubles.
    pub doublings: u32,
}

/// The textbook model's attempt probability τ in a slot and collision probability p of an attempt.
///
/// # Model
/// `τ = 2 / (1 + W + p W Σ_{i<m} (2p)^i)` and `p = 1 - (1 - τ)^(n-1)`: no retry limit, every slot alike. The left side falls with p and the right one rises with
/// τ, so that there is one solution; found by bisection to the last bit (at most 200 steps).
///
/// # Errors
/// [`ContentionError::NoStations`]; [`ContentionError::Station`] for a window of 0 or above 32,768, or more than 16 doublings.
///
/// # Example
/// ```
/// use wlan::contention::{Bianchi, bianchi_2000};
/// let (tau, p) = bianchi_2000(&Bianchi { stations: 10, window: 32, doublings: 5 }).unwrap();
/// assert!((tau - 0.037305).abs() < 1e-6 && (p - 0.289771).abs() < 1e-6);
/// ```
///
/// # References
/// G. Bianchi, Performance analysis of the IEEE 802.11 distributed coordination function, IEEE JSAC 18(3), 2000, equations 7 and 9.
pub fn bianchi_2000(input: &Bianchi) -> Result<(f64, f64), ContentionError> {
    let refuse = |what, value, must| Err(ContentionError::Station { station: 0, what, value: f64::from(value), must });
    if input.stations == 0 {
        return Err(ContentionError::NoStations);
    }
    if input.window == 0 || input.window > 32_768 {
        return refuse("window", input.window, "1 to 32,768");
    }
    if input.doublings > 16 {
        return refuse("doublings", input.doublings, "0 to 16");
    }
    let others = f64::from(input.stations) - 1.0;
    let window = f64::from(input.window);
    let collision = |tau: f64| 1.0 - (1.0 - tau).powf(others);
    let attempt = |p: f64| {
        let sum: f64 = (0..input.doublings).map(|i| (2.0 * p).powi(i as i32)).sum();
        2.0 / (1.0 + window + p * window * sum)
    };
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if attempt(collision(middle)) > middle { low = middle } else { high = middle }
    }
    let tau = 0.5 * (low + high);
    Ok((tau, collision(tau)))
}

/// Lengths of the three kinds of slots of the textbook model, in one unit of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slots {
    /// An idle slot.
    pub idle: f64,
    /// One that holds a success, with all waiting times.
    pub success: f64,
    /// One that holds a collision, likewise.
    pub collision: f64,
}

/// Payload delivered in a unit of time: `n τ (1-τ)^(n-1) payload` over the mean length of a slot.
///
/// # Errors
/// As [`bianchi_2000`]; [`ContentionError::Channel`] for slots that are not positive and finite.
///
/// # References
/// Bianchi 2000, equation 13.
pub fn bianchi_throughput(input: &Bianchi, slots: &Slots, payload: f64) -> Result<f64, ContentionError> {
    for (what, value) in [("idle slot", slots.idle), ("success", slots.success), ("collision", slots.collision)] {
        if !(value.is_finite() && value > 0.0) {
            return Err(ContentionError::Channel { what, value, must: "positive and finite" });
        }
    }
    let (tau, _) = bianchi_2000(input)?;
    Ok(slots.throughput(input.stations, tau, payload))
}

impl Slots {
    /// The same for a given attempt probability in a slot, 0 to 1.
    #[must_use]
    pub fn throughput(&self, stations: u32, tau: f64, payload: f64) -> f64 {
        let stations = f64::from(stations);
        let silent = (1.0 - tau).powf(stations);
        let success = stations * tau * (1.0 - tau).powf(stations - 1.0);
        let collision = (1.0 - silent - success).max(0.0);
        let mean = silent * self.idle + success * self.success + collision * self.collision;
        success * payload / mean
    }
}
