//! Conductors: gauge, area and direct-current resistance with temperature.

use equipment::Conductor;
use units::Metres;

/// Resistivity of annealed copper at 20 °C [Ω·m]: 100 % of the International Annealed Copper Standard (IEC 60028).
pub const COPPER_RESISTIVITY: f64 = 1.7241e-8;

/// Rise of copper's resistance with temperature, of its value at 20 °C [1/K] (IEC 60028).
pub const COPPER_PER_KELVIN: f64 = 0.00393;

/// Resistance of copper-clad aluminium over copper of the same diameter, low and high: 15 % and 10 % of copper by volume
/// (classes 15A and 10A of ASTM B566, 26.76 and 27.43 nΩ·m, from memory; the trade says 55 to 60 % more).
pub const CLAD_OVER_COPPER: [f64; 2] = [1.552, 1.591];

/// Resistance of a stranded conductor over a solid one of the same gauge: its wires are longer than the cable (generic
/// figure: 2 % of lay; strands of 24 AWG then have about the nominal area).
pub const STRANDED_OVER_SOLID: f64 = 1.02;

/// Lowest temperature for which the linear law is used [°C].
const COLDEST: f64 = -60.0;
/// Highest temperature for which the linear law is used [°C]: the highest rating of common data cable is 75 °C.
const HOTTEST: f64 = 120.0;

/// Diameter of a solid conductor of a gauge.
///
/// # Model
/// `0.127 mm · 92^((36 − n) / 39)`, the exact definition of American Wire Gauge.
///
/// # Units
/// Gauge in AWG numbers, result in m.
///
/// # Validity
/// 0 to 40 AWG; nothing outside.
///
/// # Example
/// ```
/// let thick = cabling::conductor::diameter(24).unwrap();
/// assert!((thick.value() - 0.5106e-3).abs() < 1e-7);
/// assert!(cabling::conductor::diameter(60).is_none());
/// ```
///
/// # References
/// ASTM B258.
#[must_use]
pub fn diameter(gauge_awg: u8) -> Option<Metres> {
    (gauge_awg <= 40).then(|| Metres(0.127e-3 * 92_f64.powf((36.0 - f64::from(gauge_awg)) / 39.0)))
}

/// Area of a solid conductor of a gauge [m²]; nothing outside 0 to 40 AWG (ASTM B258).
#[must_use]
pub fn area(gauge_awg: u8) -> Option<f64> {
    diameter(gauge_awg).map(|d| std::f64::consts::FRAC_PI_4 * d.value() * d.value())
}

/// What a conductor is, as far as its resistance goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wire {
    /// Gauge [AWG].
    pub gauge_awg: u8,
    /// What it is made of.
    pub conductor: Conductor,
    /// True if it is made of several wires.
    pub stranded: bool,
}

impl Wire {
    /// Solid copper of a gauge.
    #[must_use]
    pub const fn copper(gauge_awg: u8) -> Self {
        Self { gauge_awg, conductor: Conductor::Copper, stranded: false }
    }
}

/// Resistance of a conductor to direct current, low and high, per metre.
///
/// # Model
/// `ρ20 (1 + 0.00393 (T − 20 °C)) / area`; more for copper-clad aluminium and for strands. Both ends are equal for
/// copper. Aluminium rises with temperature by 0.0040/K; copper's figure is taken for clad conductors as well, an error
/// below 0.3 % at 60 °C.
///
/// # Units
/// Temperature in °C, result in Ω/m.
///
/// # Validity
/// 0 to 40 AWG and −60 to 120 °C; nothing outside or for NaN.
///
/// # References
/// IEC 60028 (resistivity and its rise), ASTM B258 (gauge), ASTM B566 (clad conductors, from memory).
#[must_use]
pub fn resistance_per_metre(wire: Wire, celsius: f64) -> Option<[f64; 2]> {
    if !(COLDEST..=HOTTEST).contains(&celsius) {
        return None;
    }
    let area = area(wire.gauge_awg)?;
    let copper = COPPER_RESISTIVITY * (1.0 + COPPER_PER_KELVIN * (celsius - 20.0)) / area;
    let lay = if wire.stranded { STRANDED_OVER_SOLID } else { 1.0 };
    Some(match wire.conductor {
        Conductor::Copper => [copper * lay; 2],
        Conductor::CopperCladAluminium => CLAD_OVER_COPPER.map(|more| copper * lay * more),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clad_aluminium_has_55_to_60_percent_more() {
        let clad = Wire { conductor: Conductor::CopperCladAluminium, ..Wire::copper(24) };
        let [copper, _] = resistance_per_metre(Wire::copper(24), 20.0).unwrap();
        let [low, high] = resistance_per_metre(clad, 20.0).unwrap();
        assert!(low / copper >= 1.55 && high / copper <= 1.60 && low < high);
    }

    #[test]
    fn what_cannot_be_computed_is_nothing() {
        assert_eq!(diameter(41), None);
        assert_eq!(area(255), None);
        for celsius in [f64::NAN, -61.0, 121.0, f64::INFINITY] {
            assert_eq!(resistance_per_metre(Wire::copper(24), celsius), None);
        }
        assert!(resistance_per_metre(Wire::copper(24), -60.0).is_some());
        assert!(resistance_per_metre(Wire::copper(0), 120.0).is_some());
    }
}
