//! What a powered device gets at the end of a real cable.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Watts;

/// Over how many pairs a device is fed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Pairs {
    /// Out on one pair and back on another.
    Two,
    /// Out on two pairs and back on two.
    Four,
}

impl Pairs {
    /// How many pairs carry current.
    #[must_use]
    pub const fn count(self) -> u32 {
        match self {
            Pairs::Two => 2,
            Pairs::Four => 4,
        }
    }
}

/// What the standard promises a device of a class.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClassLimits {
    /// Over how many pairs.
    pub pairs: Pairs,
    /// Lowest voltage at the port that gives power [V].
    pub least_port_volts: f64,
    /// Lowest voltage at which the device works [V].
    pub least_device_volts: f64,
    /// Highest resistance of the cable, out and back over all pairs that carry current [Ω].
    pub most_ohm: f64,
}

/// Highest voltage at a port that gives power [V] (IEEE 802.3-2022 clauses 33 and 145).
pub const MOST_PORT_VOLTS: f64 = 57.0;

/// What the standard promises a device of a class; nothing above class 8.
///
/// A class 4 part may be fed over four pairs as well; two are the worse case and are taken.
///
/// # References
/// IEEE 802.3-2022 clauses 33 and 145: types 1 to 4. The highest loop resistances, 20 Ω and 12.5 Ω for each set of two pairs, are
/// from memory; with them the device's power gives back the published port powers of all eight classes.
#[must_use]
pub const fn class_limits(class: u8) -> Option<ClassLimits> {
    let (pairs, least_port_volts, least_device_volts, most_ohm) = match class {
        0..=3 => (Pairs::Two, 44.0, 37.0, 20.0),
        4 => (Pairs::Two, 50.0, 42.5, 12.5),
        5 | 6 => (Pairs::Four, 50.0, 42.5, 6.25),
        7 | 8 => (Pairs::Four, 52.0, 41.1, 6.25),
        _ => return None,
    };
    Some(ClassLimits { pairs, least_port_volts, least_device_volts, most_ohm })
}

/// Resistance that the current meets, from the loop resistance of one pair.
///
/// A pair carries current in one direction with both its conductors side by side: half of the pair's loop for out and back over two
/// pairs, a quarter over four. Pairs are taken to share evenly; the standard lets them differ by a few percent.
///
/// # Units
/// Ω.
#[must_use]
pub fn powered_ohm(pair_loop_ohm: f64, pairs: Pairs) -> f64 {
    pair_loop_ohm / f64::from(pairs.count())
}

/// Where a feed settles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FeedPoint {
    /// Voltage at the device [V].
    pub device_volts: f64,
    /// Current, all pairs together [A].
    pub amps: f64,
    /// Power that the port gives.
    pub at_port: Watts,
    /// Power that the cable turns into heat.
    pub in_cable: Watts,
}

/// Why there is no feed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoFeed {
    /// A number is negative, not finite, or the voltage is zero.
    #[error("voltage, power or resistance is not a usable number")]
    NotUsable,
    /// The cable is too long for the load: it can pass on no more than `most`.
    #[error("the cable is too long for the load: it passes on {most:.1} at most")]
    TooLong {
        /// Most that arrives at the far end, at half of the port's voltage.
        most: Watts,
    },
}

/// Where a feed settles when a device takes constant power over a cable.
///
/// # Model
/// The device holds its power, as its converter does: it takes more current at less voltage. `V = (U + √(U² − 4 R P)) / 2` with the
/// port's voltage U, the cable's resistance R and the device's power P. The higher root is the one that is stable. With
/// `4 R P > U²` there is none.
///
/// # Units
/// V, W, Ω.
///
/// # Errors
/// [`NoFeed`] where nothing settles or a number cannot be used.
///
/// # Example
/// ```
/// use cabling::poe::feed;
/// use units::Watts;
/// // Class 4 at its worst: 25.5 W over 12.5 Ω from 50 V are 30 W at the port.
/// let worst = feed(50.0, Watts(25.5), 12.5).unwrap();
/// assert!((worst.at_port.value() - 30.0).abs() < 1e-9 && (worst.device_volts - 42.5).abs() < 1e-9);
/// assert!(feed(50.0, Watts(25.5), 25.0).is_err());
/// ```
///
/// # References
/// Ohm's law; IEEE 802.3-2022 clauses 33 and 145 for its inputs.
pub fn feed(port_volts: f64, device: Watts, ohm: f64) -> Result<FeedPoint, NoFeed> {
    let power = device.value();
    let usable = |x: f64| x.is_finite() && x >= 0.0;
    if !(usable(port_volts) && port_volts > 0.0 && usable(power) && usable(ohm)) {
        return Err(NoFeed::NotUsable);
    }
    let under_root = port_volts * port_volts - 4.0 * ohm * power;
    if under_root < 0.0 {
        return Err(NoFeed::TooLong { most: Watts(port_volts * port_volts / (4.0 * ohm)) });
    }
    let device_volts = f64::midpoint(port_volts, under_root.sqrt());
    let amps = power / device_volts;
    Ok(FeedPoint { device_volts, amps, at_port: Watts(port_volts * amps), in_cable: Watts(amps * amps * ohm) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn supply_gives_what_device_and_cable_take() {
        for (volts, watts, ohm) in [(44.0, 12.95, 20.0), (57.0, 71.3, 6.25), (50.0, 0.0, 12.5), (52.0, 30.0, 0.0)] {
            let point = feed(volts, Watts(watts), ohm).unwrap();
            assert!((point.at_port.value() - watts - point.in_cable.value()).abs() < 1e-9);
            assert!((volts - point.device_volts - point.amps * ohm).abs() < 1e-9);
            assert!(point.device_volts >= volts / 2.0);
        }
    }

    #[test]
    fn too_long_says_what_would_arrive() {
        let most = 50.0 * 50.0 / (4.0 * 30.0);
        assert_eq!(feed(50.0, Watts(25.5), 30.0), Err(NoFeed::TooLong { most: Watts(most) }));
        assert!(feed(50.0, Watts(most * 0.999_999), 30.0).is_ok());
    }

    #[test]
    fn bad_numbers_are_refused() {
        for (volts, watts, ohm) in
            [(f64::NAN, 1.0, 1.0), (0.0, 1.0, 1.0), (50.0, -1.0, 1.0), (50.0, 1.0, f64::INFINITY), (-5.0, 1.0, 1.0)]
        {
            assert_eq!(feed(volts, Watts(watts), ohm), Err(NoFeed::NotUsable));
        }
        assert!(class_limits(9).is_none());
    }
}
