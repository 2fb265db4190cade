//! Which Ethernet rate a channel carries, by category and length.

use equipment::Category;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Metres};

/// An Ethernet over twisted pairs, slowest first (IEEE 802.3-2022).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub enum Ethernet {
    /// 10 Mbit/s (clause 14).
    #[serde(rename = "10BASE-T")]
    Base10,
    /// 100 Mbit/s (clause 25).
    #[serde(rename = "100BASE-TX")]
    Base100,
    /// 1 Gbit/s (clause 40).
    #[serde(rename = "1000BASE-T")]
    Base1000,
    /// 2.5 Gbit/s (clause 126).
    #[serde(rename = "2.5GBASE-T")]
    Base2500,
    /// 5 Gbit/s (clause 126).
    #[serde(rename = "5GBASE-T")]
    Base5000,
    /// 10 Gbit/s (clause 55).
    #[serde(rename = "10GBASE-T")]
    Base10000,
    /// 25 Gbit/s (clause 113).
    #[serde(rename = "25GBASE-T")]
    Base25000,
}

impl Ethernet {
    /// All, slowest first.
    pub const ALL: [Ethernet; 7] = [
        Ethernet::Base10,
        Ethernet::Base100,
        Ethernet::Base1000,
        Ethernet::Base2500,
        Ethernet::Base5000,
        Ethernet::Base10000,
        Ethernet::Base25000,
    ];

    /// What it carries each way.
    #[must_use]
    pub const fn rate(self) -> BitsPerSecond {
        BitsPerSecond(match self {
            Ethernet::Base10 => 10e6,
            Ethernet::Base100 => 100e6,
            Ethernet::Base1000 => 1e9,
            Ethernet::Base2500 => 2.5e9,
            Ethernet::Base5000 => 5e9,
            Ethernet::Base10000 => 10e9,
            Ethernet::Base25000 => 25e9,
        })
    }

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Ethernet::Base10 => "10BASE-T",
            Ethernet::Base100 => "100BASE-TX",
            Ethernet::Base1000 => "1000BASE-T",
            Ethernet::Base2500 => "2.5GBASE-T",
            Ethernet::Base5000 => "5GBASE-T",
            Ethernet::Base10000 => "10GBASE-T",
            Ethernet::Base25000 => "25GBASE-T",
        }
    }

    /// The slowest that carries a rate; nothing for rates above all, not above zero or NaN.
    #[must_use]
    pub fn for_rate(rate: BitsPerSecond) -> Option<Self> {
        (rate.value() > 0.0).then(|| Self::ALL.into_iter().find(|e| e.rate() >= rate)).flatten()
    }
}

/// How far a rate is carried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The longest channel on which it is sure.
    pub sure: Metres,
    /// The longest channel on which it may work, where few powered or fast cables run beside it.
    pub may: Metres,
}

/// How far a category carries a rate; nothing if it does not at all.
///
/// # Model
/// A table, as the standards have one: the limit is crosstalk from cable to cable, which is not computed. Where neighbours in
/// the bundle matter, `sure` is the length in the worst bundle and `may` the length in a quiet one.
///
/// # References
/// IEEE 802.3-2022 (lengths of each clause); TIA TSB-155-A and ISO/IEC TR 24750 (10GBASE-T on category 6: 55 m, 37 m beside
/// many others); TIA TSB-5021 (2.5 and 5 Gbit/s on 5e and 6). 24 AWG and thicker; from memory but for the lengths of
/// 1000BASE-T, 2.5GBASE-T and 10GBASE-T.
#[must_use]
pub fn reach(category: Category, ethernet: Ethernet) -> Option<Reach> {
    let even = |length| Some(Reach { sure: Metres(length), may: Metres(length) });
    if category == Category::Cat8 {
        // Category 8 is like 6A where only 500 MHz are used.
        return if ethernet == Ethernet::Base25000 { even(30.0) } else { even(100.0) };
    }
    match (ethernet, category) {
        (Ethernet::Base25000, _) | (Ethernet::Base10000, Category::Cat5e) => None,
        (Ethernet::Base10000, Category::Cat6) => Some(Reach { sure: Metres(37.0), may: Metres(55.0) }),
        // TSB-5021: 5GBASE-T on 5e is at risk beside others; no length is safe from memory, so that only a short one is said.
        (Ethernet::Base5000, Category::Cat5e) => Some(Reach { sure: Metres(30.0), may: Metres(100.0) }),
        _ => even(100.0),
    }
}

/// The fastest Ethernet that a channel carries, surely and at best.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fastest {
    /// In any bundle.
    pub sure: Option<Ethernet>,
    /// In a quiet bundle.
    pub may: Option<Ethernet>,
}

/// The fastest Ethernet that a channel of a length carries.
///
/// # Units
/// m; lengths that are negative or not finite carry nothing.
///
/// # Example
/// ```
/// use cabling::rate::{Ethernet, fastest};
/// use equipment::Category;
/// use units::Metres;
/// assert_eq!(fastest(Category::Cat6, Metres(37.0)).sure, Some(Ethernet::Base10000));
/// assert_eq!(fastest(Category::Cat6, Metres(50.0)).sure, Some(Ethernet::Base5000));
/// assert_eq!(fastest(Category::Cat6, Metres(50.0)).may, Some(Ethernet::Base10000));
/// assert_eq!(fastest(Category::Cat6a, Metres(101.0)).sure, None);
/// ```
#[must_use]
pub fn fastest(category: Category, length: Metres) -> Fastest {
    let best = |pick: fn(Reach) -> Metres| {
        let fits = |e: &Ethernet| {
            reach(category, *e).is_some_and(|r| length.value() >= 0.0 && length.value() <= pick(r).value() + 1e-9)
        };
        Ethernet::ALL.into_iter().rev().find(fits)
    };
    Fastest { sure: best(|r| r.sure), may: best(|r| r.may) }
}
