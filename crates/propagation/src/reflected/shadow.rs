//! Which part of a row of receivers lies behind a wall, seen from an image.

use super::chain::{Plan, cross, minus};
use super::lanes::Step;

/// Where rows of receivers are: `x = first + u·step`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rows {
    pub first: f64,
    pub step: f64,
}

/// A limit on `u`, linear in the row's `y`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limit {
    at: f64,
    per_y: f64,
    kind: Kind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    From,
    UpTo,
    /// No limit on `u`; the value must not be negative.
    Everywhere,
}

/// Part of a row: `low ≤ u < high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub low: f64,
    pub high: f64,
}

impl Stretch {
    pub(super) const ALL: Self = Self { low: f64::NEG_INFINITY, high: f64::INFINITY };
    const NONE: Self = Self { low: f64::INFINITY, high: f64::NEG_INFINITY };

    pub(super) fn and(self, other: Self) -> Self {
        Self { low: self.low.max(other.low), high: self.high.min(other.high) }
    }

    /// Whole numbers in it, held to `0..count`.
    #[inline]
    pub(super) fn samples(self, count: u32) -> (u32, u32) {
        // Rounded up by hand: older processors have no instruction for it. A cast makes zero of NaN.
        let at = |u: f64| {
            let held = u.max(0.0).min(f64::from(count));
            let whole = held as u32;
            whole + u32::from(f64::from(whole) < held)
        };
        (at(self.low), at(self.high))
    }
}

impl Limit {
    #[inline]
    fn hold(&self, y: f64, stretch: &mut Stretch) {
        let value = self.at + self.per_y * y;
        match self.kind {
            Kind::From => stretch.low = stretch.low.max(value),
            Kind::UpTo => stretch.high = stretch.high.min(value),
            Kind::Everywhere if value < 0.0 => *stretch = Stretch::NONE,
            Kind::Everywhere => {}
        }
    }
}

/// `constant + per_u·u + per_y·y`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Linear {
    pub constant: f64,
    pub per_u: f64,
    pub per_y: f64,
}

impl Linear {
    #[inline]
    pub(super) fn at(&self, u: f64, y: f64) -> f64 {
        self.constant + self.per_u * u + self.per_y * y
    }

    /// On one line: its value at the line's point 0, and from point to point.
    #[inline]
    pub(super) fn on_line(&self, y: f64) -> [f32; 2] {
        [(self.constant + self.per_y * y) as f32, self.per_u as f32]
    }

    /// Where it is at least, or at most, a value.
    pub(super) fn stretch(&self, y: f64, value: f64, at_least: bool) -> Stretch {
        let rest = value - self.constant - self.per_y * y;
        let is_there = if at_least { rest <= 0.0 } else { rest >= 0.0 };
        if self.per_u == 0.0 {
            return if is_there { Stretch::ALL } else { Stretch::NONE };
        }
        let u = rest / self.per_u;
        if (self.per_u > 0.0) == at_least {
            Stretch { low: u, high: f64::INFINITY }
        } else {
            Stretch { low: f64::NEG_INFINITY, high: u }
        }
    }
}

/// What lies behind a wall, seen from an image.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shadow {
    pub limits: [Limit; 3],
    /// One over the place of the wall on the way, 1 at the receiver.
    pub inverse: Linear,
    pub sheet: u32,
    /// Which scenes it is in.
    pub marks: u8,
    /// What it does and the direction of its normal, a number in [`Chain::normals`].
    pub step: Step,
}

impl Shadow {
    /// Limits and inverse place of the shadow of a wall.
    pub(super) fn of(image: Plan, [p, q]: [Plan; 2], rows: Rows) -> Option<([Limit; 3], Linear)> {
        let (p, q) = (minus(p, image), minus(q, image));
        let d = cross(p, q);
        if d == 0.0 || !d.is_finite() {
            return None;
        }
        let Rows { first, step } = rows;
        let x = first - image[0];
        // c − I = s·p + t·q; behind the wall s ≥ 0, t ≥ 0, s + t ≥ 1.
        let s = Linear { constant: (x * q[1] + image[1] * q[0]) / d, per_u: step * q[1] / d, per_y: -q[0] / d };
        let t = Linear { constant: -(image[1] * p[0] + x * p[1]) / d, per_u: -step * p[1] / d, per_y: p[0] / d };
        let sum = Linear { constant: s.constant + t.constant, per_u: s.per_u + t.per_u, per_y: s.per_y + t.per_y };
        // Through an end of a wall: from the end alone, so that walls that share it agree to the last bit.
        let through = |end: Plan, of: Linear| {
            if end[1] == 0.0 {
                return Limit { at: of.constant, per_y: of.per_y, kind: Kind::Everywhere };
            }
            let slope = end[0] / end[1];
            let kind = if of.per_u > 0.0 { Kind::From } else { Kind::UpTo };
            Limit { at: -(x + image[1] * slope) / step, per_y: slope / step, kind }
        };
        let behind = if sum.per_u == 0.0 {
            Limit { at: sum.constant - 1.0, per_y: sum.per_y, kind: Kind::Everywhere }
        } else {
            let kind = if sum.per_u > 0.0 { Kind::From } else { Kind::UpTo };
            Limit { at: (1.0 - sum.constant) / sum.per_u, per_y: -sum.per_y / sum.per_u, kind }
        };
        Some(([through(q, s), through(p, t), behind], sum))
    }

    /// The part of a row in the shadow.
    #[inline]
    pub(super) fn stretch(&self, y: f64) -> Stretch {
        let mut out = Stretch::ALL;
        for limit in &self.limits {
            limit.hold(y, &mut out);
        }
        out
    }
}
