//! Rectangles on the frame of a plan, in whole centimetres, so that edges that meet are equal.
//!
//! A frame has an axis `u` along the spine and an axis `v` across it; lines are the centre lines of walls.

/// A rectangle between centre lines [cm].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rect {
    pub u0: i32,
    pub u1: i32,
    pub v0: i32,
    pub v1: i32,
}

/// A piece of an edge that two rectangles share [cm].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Shared {
    /// True if the edge runs along `u`, at a `v`.
    pub along_u: bool,
    pub at: i32,
    pub lo: i32,
    pub hi: i32,
}

impl Rect {
    pub(super) const fn new(u0: i32, u1: i32, v0: i32, v1: i32) -> Self {
        Self { u0, u1, v0, v1 }
    }

    /// Area between centre lines [m²].
    pub(super) fn gross(self) -> f64 {
        f64::from(self.u1 - self.u0) * f64::from(self.v1 - self.v0) * 1e-4
    }

    pub(super) fn shared(self, o: Rect) -> Option<Shared> {
        let (ulo, uhi) = (self.u0.max(o.u0), self.u1.min(o.u1));
        let (vlo, vhi) = (self.v0.max(o.v0), self.v1.min(o.v1));
        if uhi > ulo && (self.v1 == o.v0 || self.v0 == o.v1) {
            let at = if self.v1 == o.v0 { self.v1 } else { self.v0 };
            return Some(Shared { along_u: true, at, lo: ulo, hi: uhi });
        }
        if vhi > vlo && (self.u1 == o.u0 || self.u0 == o.u1) {
            let at = if self.u1 == o.u0 { self.u1 } else { self.u0 };
            return Some(Shared { along_u: false, at, lo: vlo, hi: vhi });
        }
        None
    }

    /// Common area between centre lines [m²].
    pub(super) fn overlap(self, o: Rect) -> f64 {
        let u = (self.u1.min(o.u1) - self.u0.max(o.u0)).max(0);
        let v = (self.v1.min(o.v1) - self.v0.max(o.v0)).max(0);
        f64::from(u) * f64::from(v) * 1e-4
    }
}

/// Metres to centimetres.
pub(super) fn cm(metres: f64) -> i32 {
    (metres * 100.0).round() as i32
}

/// Centimetres to metres.
pub(super) fn metres(cm: i32) -> f64 {
    f64::from(cm) / 100.0
}
