//! What an antenna sends into a direction, and how it is mounted.
//!
//! Patterns are of the far field, alone in free space; what a wall right behind an antenna does to it is not here.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use units::Point3;

/// Power gain of a half-wave dipole over isotropic, broadside: 2.15 dB. C. A. Balanis, "Antenna Theory" (from memory).
const DIPOLE_GAIN: f64 = 1.643;

/// Length of the patch between its radiating edges, in wavelengths: half a wavelength in a substrate of permittivity 2.2.
/// Generic figure.
const PATCH_LENGTH: f64 = 0.33;
/// Width of the patch, in wavelengths. Generic figure.
const PATCH_WIDTH: f64 = 0.40;
/// Power gain of the patch over its own mean, on its axis: 7.0 dBi; found by integration in the tests.
const PATCH_GAIN: f64 = 5.0515;
/// What a patch sends behind its ground plane, below what it sends forward \[dB\]: a small ground plane lets the field
/// round its edges. Generic figure.
const PATCH_BACK_DB: f64 = 20.0;

/// Farthest apart that a pattern's angles may be \[°\].
pub const LARGEST_STEP_DEG: f64 = 30.0;

/// Most rows of a pattern file.
pub const MAX_PATTERN_ROWS: usize = 1_000_000;

/// An antenna in its own axes: z up, x forward.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum Antenna {
    /// Gain one everywhere, field along theta (vertical).
    #[default]
    Isotropic,
    /// A half-wave dipole along z: `1.643 · (cos(½π cosθ)/sinθ)²`, field along theta.
    HalfWaveDipole,
    /// A microstrip patch that looks along −z, as under a ceiling, field along x on its axis: two slots by the cavity
    /// model (Balanis, section 14.2.2, from memory), half a wavelength in the substrate; behind it 20 dB less.
    CeilingPatch,
    /// A measured pattern, field along theta.
    Pattern(Pattern),
}

/// How an antenna is held: turned about its own y axis first, then about the vertical.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Mounted {
    /// The antenna.
    pub antenna: Antenna,
    /// Where its forward direction points in plan, anticlockwise from x \[°\].
    pub azimuth_deg: f64,
    /// How far its forward direction is tilted below the horizon \[°\].
    pub downtilt_deg: f64,
}

/// A place with an antenna.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Where it is.
    pub at: Point3,
    /// What is there.
    pub mounted: Mounted,
}

impl From<Point3> for Site {
    /// A vertically polarised isotropic antenna.
    fn from(at: Point3) -> Self {
        Self { at, mounted: Mounted::default() }
    }
}

impl Site {
    /// True if it is somewhere and its antenna, if it matters, looks somewhere.
    pub(crate) fn is_finite(&self) -> bool {
        self.at.is_finite() && self.mounted.is_finite()
    }
}

impl Mounted {
    fn is_finite(&self) -> bool {
        self.antenna == Antenna::Isotropic || (self.azimuth_deg.is_finite() && self.downtilt_deg.is_finite())
    }

    /// Amplitude along theta and phi into a direction (any length), over an isotropic antenna; the sum of the squares is
    /// the power gain. Zero length counts as forward; an antenna with an aim that is no number sends nothing.
    #[must_use]
    pub fn amplitude(&self, direction: [f64; 3]) -> [f64; 2] {
        if self.antenna == Antenna::Isotropic {
            return [1.0, 0.0];
        }
        if !self.is_finite() {
            return [0.0, 0.0];
        }
        let norm = direction.iter().map(|x| x * x).sum::<f64>().sqrt();
        let k = if norm > 0.0 { direction.map(|x| x / norm) } else { [1.0, 0.0, 0.0] };
        let (sin_a, cos_a) = self.azimuth_deg.to_radians().sin_cos();
        let (sin_t, cos_t) = self.downtilt_deg.to_radians().sin_cos();
        // World to antenna: back about the vertical, then back about y.
        let inward = |v: [f64; 3]| {
            let (x, y) = (cos_a * v[0] + sin_a * v[1], cos_a * v[1] - sin_a * v[0]);
            [cos_t * x - sin_t * v[2], y, sin_t * x + cos_t * v[2]]
        };
        let own = inward(k);
        let [own_theta, own_phi] = self.antenna.amplitude(own);
        let (theta, phi) = basis(own);
        let field: [f64; 3] = std::array::from_fn(|i| own_theta * theta[i] + own_phi * phi[i]);
        let (theta, phi) = basis(k);
        [inward(theta), inward(phi)].map(|axis| axis.iter().zip(field).map(|(a, f)| a * f).sum())
    }

    /// Power gain into a direction.
    #[must_use]
    pub fn gain(&self, direction: [f64; 3]) -> f64 {
        self.amplitude(direction).iter().map(|a| a * a).sum()
    }
}

/// Unit vectors along theta and phi.
fn basis(k: [f64; 3]) -> ([f64; 3], [f64; 3]) {
    let plan = k[0].hypot(k[1]);
    let (c, s) = if plan > 0.0 { (k[0] / plan, k[1] / plan) } else { (1.0, 0.0) };
    ([k[2] * c, k[2] * s, -plan], [-s, c, 0.0])
}

impl Antenna {
    /// No more than this is the power gain in any direction.
    #[must_use]
    pub fn most_gain(&self) -> f64 {
        match self {
            Self::Isotropic => 1.0,
            Self::HalfWaveDipole => DIPOLE_GAIN,
            Self::CeilingPatch => PATCH_GAIN,
            Self::Pattern(pattern) => pattern.gains.iter().copied().fold(0.0, f64::max),
        }
    }

    /// Along theta and phi, into a unit direction of the antenna's own axes.
    fn amplitude(&self, k: [f64; 3]) -> [f64; 2] {
        let plan = k[0].hypot(k[1]);
        match self {
            Self::Isotropic => [1.0, 0.0],
            Self::HalfWaveDipole if plan < 1e-9 => [0.0, 0.0],
            Self::HalfWaveDipole => [DIPOLE_GAIN.sqrt() * (FRAC_PI_2 * k[2]).cos() / plan, 0.0],
            Self::CeilingPatch => {
                let slots = (PI * PATCH_LENGTH * k[0]).cos();
                let width = PI * PATCH_WIDTH * k[1];
                let across = if width.abs() < 1e-9 { 1.0 } else { width.sin() / width };
                let back = if k[2] > 0.0 { 10f64.powf(-PATCH_BACK_DB / 20.0) } else { 1.0 };
                let shape = PATCH_GAIN.sqrt() * back * slots * across;
                let (c, s) = if plan > 0.0 { (k[0] / plan, k[1] / plan) } else { (1.0, 0.0) };
                // A field along x on the axis: theta keeps it, phi falls off towards the ground plane.
                [shape * c * k[2].signum(), -shape * s * k[2].abs()]
            }
            Self::Pattern(pattern) => {
                let elevation = k[2].clamp(-1.0, 1.0).asin().to_degrees();
                [pattern.gain(k[1].atan2(k[0]).rem_euclid(TAU).to_degrees(), elevation).sqrt(), 0.0]
            }
        }
    }
}

/// A measured pattern on a grid of angles over the whole sphere.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    azimuths: Vec<f64>,
    elevations: Vec<f64>,
    /// Power gain, `[elevation][azimuth]`.
    gains: Vec<f64>,
}

/// What is wrong with a pattern file.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PatternError {
    /// The first line is not the expected heading.
    #[error("the first line must be `azimuth_deg,elevation_deg,gain_dbi`, not `{found}`")]
    Heading {
        /// The line.
        found: String,
    },
    /// A row does not hold three numbers.
    #[error("line {line}: {problem}; give azimuth 0 to 360, elevation -90 to 90 and a gain in dBi from -100 to 60")]
    Row {
        /// The line, from one.
        line: usize,
        /// What is wrong.
        problem: String,
    },
    /// A direction is not given, or given twice.
    #[error(
        "azimuth {azimuth}°, elevation {elevation}° is given {count} times; every azimuth needs every elevation once"
    )]
    Gap {
        /// Azimuth \[°\].
        azimuth: f64,
        /// Elevation \[°\].
        elevation: f64,
        /// How often it is there.
        count: usize,
    },
    /// The angles leave too much of the sphere open.
    #[error("no {angle} between {from}° and {to}°; the whole sphere is needed in steps of at most {LARGEST_STEP_DEG}°")]
    Open {
        /// Which angle.
        angle: &'static str,
        /// Where the gap starts.
        from: f64,
        /// Where it ends.
        to: f64,
    },
    /// Too many rows.
    #[error("more than {MAX_PATTERN_ROWS} rows; give a coarser grid of angles")]
    Rows,
}

impl Pattern {
    /// Reads a pattern: a heading `azimuth_deg,elevation_deg,gain_dbi` and one row a direction.
    ///
    /// Every azimuth must have every elevation exactly once; azimuths go round and elevations from −90 to 90 in steps of
    /// at most [`LARGEST_STEP_DEG`]. An azimuth of 360 is that of 0 and may be left out.
    ///
    /// # Errors
    /// The first thing that is wrong, with its line or direction; nothing is made up for a gap.
    ///
    /// # Example
    /// ```
    /// use propagation::antenna::{Pattern, PatternError};
    /// let gap = "azimuth_deg,elevation_deg,gain_dbi\n0,-90,2\n0,90,2\n";
    /// assert!(matches!(Pattern::from_csv(gap), Err(PatternError::Open { .. })));
    /// ```
    pub fn from_csv(text: &str) -> Result<Self, PatternError> {
        let mut reader = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
        let heading = reader.headers().map(|h| h.iter().collect::<Vec<_>>().join(",")).unwrap_or_default();
        if heading != "azimuth_deg,elevation_deg,gain_dbi" {
            return Err(PatternError::Heading { found: heading.chars().take(80).collect() });
        }
        let mut rows: Vec<[f64; 3]> = Vec::new();
        for (index, record) in reader.records().enumerate() {
            let line = index + 2;
            if rows.len() >= MAX_PATTERN_ROWS {
                return Err(PatternError::Rows);
            }
            let row = |problem: String| PatternError::Row { line, problem };
            let record = record.map_err(|e| row(e.to_string()))?;
            let mut numbers = [0.0; 3];
            if record.len() != numbers.len() {
                return Err(row(format!("{} values", record.len())));
            }
            let ranges = [(0.0, 360.0), (-90.0, 90.0), (-100.0, 60.0)];
            for ((number, text), (low, high)) in numbers.iter_mut().zip(record.iter()).zip(ranges) {
                *number = text.parse().map_err(|_| row(format!("`{text}` is not a number")))?;
                if !(*number >= low && *number <= high) {
                    return Err(row(format!("{text} is out of range")));
                }
            }
            rows.push(numbers);
        }
        let angles = |which: usize| {
            let mut out: Vec<f64> = rows.iter().map(|r| r[which]).collect();
            out.sort_by(f64::total_cmp);
            out.dedup();
            out
        };
        let (mut azimuths, elevations) = (angles(0), angles(1));
        open("elevation", &elevations, -90.0, 90.0)?;
        let last = azimuths.first().map_or(360.0, |first| first + 360.0);
        open("azimuth", &azimuths, azimuths.first().copied().unwrap_or(0.0), last)?;
        // Each row's place in the table, in order: a table is made only once every place is known to be taken once, since
        // scattered directions would make it as large as the square of their number.
        let mut places: Vec<(usize, f64)> = rows
            .iter()
            .map(|[azimuth, elevation, gain]| {
                let column = azimuths.partition_point(|a| a < azimuth);
                let row = elevations.partition_point(|e| e < elevation);
                (row * azimuths.len() + column, 10f64.powf(gain / 10.0))
            })
            .collect();
        places.sort_by_key(|&(at, _)| at);
        let mut next = 0;
        for same in places.chunk_by(|a, b| a.0 == b.0) {
            let (at, count) = (same.first().map_or(next, |p| p.0), same.len());
            if at != next || count != 1 {
                return Err(gap(&azimuths, &elevations, next, if at == next { count } else { 0 }));
            }
            next += 1;
        }
        if next < azimuths.len() * elevations.len() {
            return Err(gap(&azimuths, &elevations, next, 0));
        }
        let mut gains: Vec<f64> = places.into_iter().map(|(_, gain)| gain).collect();
        // Both 0 and 360: the last column is the first.
        if azimuths.first() == Some(&0.0) && azimuths.last() == Some(&360.0) {
            let count = azimuths.len();
            gains = gains.chunks(count).flat_map(|row| row[..count - 1].to_vec()).collect();
            azimuths.pop();
        }
        Ok(Self { azimuths, elevations, gains })
    }

    /// Power gain into a direction, linear in power between the given ones.
    #[must_use]
    pub fn gain(&self, azimuth_deg: f64, elevation_deg: f64) -> f64 {
        let count = self.azimuths.len();
        let after = self.azimuths.partition_point(|&a| a <= azimuth_deg);
        let (left, right) = ((after + count - 1) % count.max(1), after % count.max(1));
        let from = self.azimuths.get(left).copied().unwrap_or(0.0);
        let width = (self.azimuths.get(right).copied().unwrap_or(0.0) - from).rem_euclid(360.0);
        let along = if width > 0.0 { (azimuth_deg - from).rem_euclid(360.0) / width } else { 0.0 };
        let above = self.elevations.partition_point(|&e| e <= elevation_deg).clamp(1, self.elevations.len().max(2) - 1);
        let (low, high) = (self.elevations.get(above - 1).copied(), self.elevations.get(above).copied());
        let (low, high) = (low.unwrap_or(-90.0), high.unwrap_or(90.0));
        let up = ((elevation_deg - low) / (high - low)).clamp(0.0, 1.0);
        let at = |row: usize, column: usize| self.gains.get(row * count + column).copied().unwrap_or(0.0);
        let on = |row: usize| at(row, left) + along * (at(row, right) - at(row, left));
        on(above - 1) + up * (on(above) - on(above - 1))
    }
}

/// The direction at a place of the table, given so many times.
fn gap(azimuths: &[f64], elevations: &[f64], at: usize, count: usize) -> PatternError {
    let of = |angles: &[f64], index: usize| angles.get(index).copied().unwrap_or(f64::NAN);
    let columns = azimuths.len().max(1);
    PatternError::Gap { azimuth: of(azimuths, at % columns), elevation: of(elevations, at / columns), count }
}

fn open(angle: &'static str, angles: &[f64], from: f64, to: f64) -> Result<(), PatternError> {
    let mut last = from;
    for &next in angles.iter().chain([&to]) {
        let is_edge = next == from && angle == "elevation" && angles.first() != Some(&from);
        if next - last > LARGEST_STEP_DEG || is_edge {
            return Err(PatternError::Open { angle, from: last, to: next });
        }
        last = next;
    }
    if angle == "elevation" && (angles.first() != Some(&from) || angles.last() != Some(&to)) {
        return Err(PatternError::Open { angle, from, to });
    }
    Ok(())
}
