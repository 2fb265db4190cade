//! The newtypes and the arithmetic that makes sense between them.
//!
//! In documents a quantity is a number in its base unit or a text with a unit. A text that is not a finite number is
//! refused here. A bare number is taken as it comes: JSON has no NaN and no infinity, but TOML has `nan` and `inf`, and
//! those do arrive; whoever owns the document refuses them with the place they stand at. Written to JSON, a number that
//! is not finite becomes `null`, which is refused on reading.

use std::borrow::Cow;
use std::fmt;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::length::{parse_area, parse_length};
use crate::parse::{ParseQuantityError, Unit, parse_with_units};
use crate::print;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $symbol:literal, $what:literal, $parse:expr) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl $name {
            /// Unit symbol of the inner number.
            pub const SYMBOL: &'static str = $symbol;

            /// The bare number in the base unit.
            #[must_use]
            pub const fn value(self) -> f64 {
                self.0
            }

            /// True if the number is neither infinite nor NaN.
            #[must_use]
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }

            /// The larger of two quantities; NaN loses.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The smaller of two quantities; NaN loses.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// Total order, for sorting: NaN last.
            #[must_use]
            pub fn total_cmp(&self, other: &Self) -> std::cmp::Ordering {
                self.0.total_cmp(&other.0)
            }
        }

        impl fmt::Display for $name {
            /// Prints the shortest number that reads back to the same value, then the unit.
            /// A precision (`{:.1}`) is honoured.
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                match f.precision() {
                    Some(p) => write!(f, "{:.p$} {}", self.0, $symbol),
                    None => write!(f, "{} {}", self.0, $symbol),
                }
            }
        }

        impl FromStr for $name {
            type Err = ParseQuantityError;
            fn from_str(text: &str) -> Result<Self, ParseQuantityError> {
                let parse: fn(&str) -> Result<f64, ParseQuantityError> = $parse;
                parse(text).map(Self)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.serialize_f64(self.0)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                struct Visitor;
                impl de::Visitor<'_> for Visitor {
                    type Value = $name;
                    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                        write!(f, "{} as a number in {} or a text with a unit", $what, $symbol)
                    }
                    fn visit_f64<E: de::Error>(self, v: f64) -> Result<$name, E> {
                        Ok($name(v))
                    }
                    fn visit_i64<E: de::Error>(self, v: i64) -> Result<$name, E> {
                        Ok($name(v as f64))
                    }
                    fn visit_u64<E: de::Error>(self, v: u64) -> Result<$name, E> {
                        Ok($name(v as f64))
                    }
                    fn visit_str<E: de::Error>(self, v: &str) -> Result<$name, E> {
                        v.parse().map_err(E::custom)
                    }
                }
                d.deserialize_any(Visitor)
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({
                    "description": concat!($what, " [", $symbol, "]"),
                    "anyOf": [{"type": "number"}, {"type": "string"}]
                })
            }
        }
    };
}

/// Quantities that add up and scale: lengths, areas, times, powers, rates.
macro_rules! additive {
    ($($name:ident),*) => {$(
        impl Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self(self.0 + o.0) } }
        impl Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self(self.0 - o.0) } }
        impl AddAssign for $name { fn add_assign(&mut self, o: Self) { self.0 += o.0; } }
        impl SubAssign for $name { fn sub_assign(&mut self, o: Self) { self.0 -= o.0; } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self(self.0 * k) } }
        impl Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self(self.0 / k) } }
        impl Div for $name { type Output = f64; fn div(self, o: Self) -> f64 { self.0 / o.0 } }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self { iter.fold(Self(0.0), |a, b| a + b) }
        }
    )*};
}

quantity!(
    /// A length [m]. Reads `3.6 m`, `3,6 m`, `360 cm`, `3600 mm`, `11'10"`, `11′ 10 1/2″`, `11 ft 10 in`, `142 in`; a
    /// bare number is metres. The value read is the `f64` nearest to the exact one.
    ///
    /// # Example
    /// ```
    /// use units::Metres;
    /// let length: Metres = "11' 10 1/2\"".parse().unwrap();
    /// assert_eq!(length, Metres(3.6195)); // 142.5 in × 0.0254 m
    /// assert_eq!(length.to_string(), "3.6195 m");
    /// assert_eq!(length.to_feet_inches(), "11' 10 1/2\"");
    /// assert_eq!("3,6 m".parse::<Metres>().unwrap(), Metres(3.6));
    /// let error = "3,600 m".parse::<Metres>().unwrap_err().to_string();
    /// assert_eq!(error, "`3,600 m` is not a length: `3,600` could mean 3.600 or 3600; write one of these");
    /// ```
    Metres, "m", "length", parse_length
);
quantity!(
    /// An area [m²]. Reads `120 m2`, `120 m²`, `1200 sq ft`, `1,200 ft2`; a bare number is square metres. The value read
    /// is the `f64` nearest to the exact one.
    ///
    /// # Example
    /// ```
    /// use units::SquareMetres;
    /// let area: SquareMetres = "1200 sq ft".parse().unwrap();
    /// assert_eq!(area, SquareMetres(111.483648)); // 1200 × 0.3048²
    /// assert_eq!(area.to_square_feet(), "1200 sq ft");
    /// ```
    SquareMetres, "m²", "area", parse_area
);
quantity!(
    /// A time [s]. Reads `30 ms`, `2 s`, `5 min`, `4 h`, `1 d`; a bare number is seconds.
    Seconds, "s", "time", |t| parse_with_units(t, "time", &[
        Unit("us", 1, -6), Unit("µs", 1, -6), Unit("ms", 1, -3), Unit("s", 1, 0), Unit("min", 60, 0), Unit("h", 3600, 0), Unit("d", 86_400, 0),
    ])
);
quantity!(
    /// A frequency or bandwidth [Hz]. Reads `5.25 GHz`, `80 MHz`, `5250000000`; a bare number is hertz.
    Hertz, "Hz", "frequency", |t| parse_with_units(t, "frequency", &[
        Unit("Hz", 1, 0), Unit("kHz", 1, 3), Unit("MHz", 1, 6), Unit("GHz", 1, 9),
    ])
);
quantity!(
    /// A power [W]. Reads `12 W`, `800 mW`, `1.2 kW`; a bare number is watts.
    Watts, "W", "power", |t| parse_with_units(t, "power", &[
        Unit("W", 1, 0), Unit("mW", 1, -3), Unit("kW", 1, 3),
    ])
);
quantity!(
    /// An energy [Wh]. Reads `600 Wh`, `1.2 kWh`; a bare number is watt-hours.
    WattHours, "Wh", "energy", |t| parse_with_units(t, "energy", &[
        Unit("Wh", 1, 0), Unit("kWh", 1, 3),
    ])
);
quantity!(
    /// A data rate [bit/s]. Reads `50 Mbit/s`, `50 Mb/s`, `1 Gbit/s`, `500 kbit/s`; a bare number is bits per second.
    BitsPerSecond, "bit/s", "data rate", |t| parse_with_units(t, "data rate", &[
        Unit("bit/s", 1, 0), Unit("kbit/s", 1, 3), Unit("Mbit/s", 1, 6), Unit("Gbit/s", 1, 9),
        Unit("kb/s", 1, 3), Unit("Mb/s", 1, 6), Unit("Gb/s", 1, 9),
    ])
);
quantity!(
    /// An angle [°]; a bare number is degrees.
    Degrees, "°", "angle", |t| parse_with_units(t, "angle", &[Unit("°", 1, 0), Unit("deg", 1, 0)])
);
quantity!(
    /// A ratio of powers in decibels [dB]: a gain if positive, a loss if negative, or a loss where the name says so.
    Db, "dB", "ratio", |t| parse_with_units(t, "ratio", &[Unit("dB", 1, 0), Unit("dBi", 1, 0)])
);
quantity!(
    /// A power level [dBm]: decibels over one milliwatt. Two levels cannot be added.
    ///
    /// # Example
    /// ```
    /// use units::{Db, Dbm};
    /// assert_eq!(Dbm(20.0) + Db(3.0) - Db(60.0), Dbm(-37.0));
    /// assert_eq!(Dbm(20.0) - Dbm(-37.0), Db(57.0));
    /// ```
    /// Levels do not add up, and a loss is no level:
    /// ```compile_fail,E0308
    /// use units::Dbm;
    /// let sum = Dbm(20.0) + Dbm(3.0);
    /// ```
    /// ```compile_fail,E0308
    /// use units::{Db, Dbm};
    /// let level: Dbm = Db(3.0) + Db(3.0);
    /// ```
    Dbm, "dBm", "power level", |t| parse_with_units(t, "power level", &[Unit("dBm", 1, 0)])
);

additive!(Metres, SquareMetres, Seconds, Hertz, Watts, WattHours, BitsPerSecond, Degrees, Db);

impl Add<Db> for Dbm {
    type Output = Dbm;
    fn add(self, gain: Db) -> Dbm {
        Dbm(self.0 + gain.0)
    }
}

impl Sub<Db> for Dbm {
    type Output = Dbm;
    fn sub(self, loss: Db) -> Dbm {
        Dbm(self.0 - loss.0)
    }
}

impl Sub for Dbm {
    type Output = Db;
    fn sub(self, other: Dbm) -> Db {
        Db(self.0 - other.0)
    }
}

impl Mul for Metres {
    type Output = SquareMetres;
    fn mul(self, other: Metres) -> SquareMetres {
        SquareMetres(self.0 * other.0)
    }
}

impl Metres {
    /// From millimetres.
    #[must_use]
    pub fn from_mm(mm: f64) -> Self {
        Self(mm / 1000.0)
    }

    /// From feet (international foot, 0.3048 m exactly).
    #[must_use]
    pub fn from_feet(feet: f64) -> Self {
        Self(feet * 0.3048)
    }

    /// In feet and inches, such that reading the text gives the same length bit for bit. Sixty-fourths of an inch are
    /// written as fractions where they are exact, other lengths with as few decimals as are needed. A length that is not
    /// finite is printed in metres, and no parser reads it.
    #[must_use]
    pub fn to_feet_inches(self) -> String {
        print::feet_inches(self.0, |text| reads_back(parse_length(text), self.0)).unwrap_or_else(|| self.to_string())
    }

    /// In feet and inches to the nearest sixteenth of an inch, for people to read.
    ///
    /// # Example
    /// ```
    /// assert_eq!(units::Metres(3.6).to_feet_inches_nearest(), "11' 9 3/4\"");
    /// ```
    #[must_use]
    pub fn to_feet_inches_nearest(self) -> String {
        print::feet_inches_nearest(self.0).unwrap_or_else(|| self.to_string())
    }

    /// In millimetres.
    #[must_use]
    pub fn mm(self) -> f64 {
        self.0 * 1000.0
    }

    /// In feet.
    #[must_use]
    pub fn feet(self) -> f64 {
        self.0 / 0.3048
    }
}

/// True if a text was read as the same number, bit for bit.
fn reads_back(read: Result<f64, ParseQuantityError>, value: f64) -> bool {
    read.is_ok_and(|number| number.to_bits() == value.to_bits())
}

impl SquareMetres {
    /// In square feet, such that reading the text gives the same area bit for bit, with as few digits as that takes. An
    /// area that is not finite is printed in square metres, and no parser reads it.
    #[must_use]
    pub fn to_square_feet(self) -> String {
        print::square_feet(self.0, |text| reads_back(parse_area(text), self.0)).unwrap_or_else(|| self.to_string())
    }

    /// In square feet.
    #[must_use]
    pub fn square_feet(self) -> f64 {
        self.0 / 0.092_903_04
    }
}

impl Hertz {
    /// From megahertz.
    #[must_use]
    pub const fn from_mhz(mhz: f64) -> Self {
        Self(mhz * 1e6)
    }

    /// From gigahertz.
    #[must_use]
    pub const fn from_ghz(ghz: f64) -> Self {
        Self(ghz * 1e9)
    }

    /// In megahertz.
    #[must_use]
    pub fn mhz(self) -> f64 {
        self.0 / 1e6
    }

    /// In gigahertz.
    #[must_use]
    pub fn ghz(self) -> f64 {
        self.0 / 1e9
    }
}

impl BitsPerSecond {
    /// From megabits per second.
    #[must_use]
    pub const fn from_mbps(mbps: f64) -> Self {
        Self(mbps * 1e6)
    }

    /// In megabits per second.
    #[must_use]
    pub fn mbps(self) -> f64 {
        self.0 / 1e6
    }
}

impl Db {
    /// From a ratio of powers.
    #[must_use]
    pub fn from_ratio(ratio: f64) -> Self {
        Self(10.0 * ratio.log10())
    }

    /// As a ratio of powers.
    #[must_use]
    pub fn ratio(self) -> f64 {
        10f64.powf(self.0 / 10.0)
    }
}

impl Dbm {
    /// From a power.
    #[must_use]
    pub fn from_watts(power: Watts) -> Self {
        Self(10.0 * (power.0 * 1000.0).log10())
    }

    /// As a power.
    #[must_use]
    pub fn watts(self) -> Watts {
        Watts(10f64.powf(self.0 / 10.0) / 1000.0)
    }
}
