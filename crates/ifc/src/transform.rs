//! Rigid and scaled placements in space.

/// A point or vector.
pub(crate) type Vec3 = [f64; 3];

/// Affine map: three axis columns and an origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Transform {
    pub x: Vec3,
    pub y: Vec3,
    pub z: Vec3,
    pub origin: Vec3,
}

impl Transform {
    pub const IDENTITY: Self = Self { x: [1., 0., 0.], y: [0., 1., 0.], z: [0., 0., 1.], origin: [0.; 3] };

    /// From an origin, the z axis and an approximate x axis (ISO 10303-42 axis2_placement_3d).
    pub fn from_axes(origin: Vec3, z: Option<Vec3>, x: Option<Vec3>) -> Self {
        let z = z.and_then(unit).unwrap_or([0., 0., 1.]);
        let wanted = x.unwrap_or([1., 0., 0.]);
        let flat = |v: Vec3| unit(sub(v, scale(z, dot(v, z))));
        // A reference direction along z leaves x free: the standard then takes another coordinate axis.
        let x = flat(wanted).or_else(|| flat([1., 0., 0.])).or_else(|| flat([0., 1., 0.])).unwrap_or([1., 0., 0.]);
        Self { x, y: cross(z, x), z, origin }
    }

    /// Point through the map.
    pub fn point(&self, p: Vec3) -> Vec3 {
        add(self.origin, self.vector(p))
    }

    /// Direction through the map.
    pub fn vector(&self, v: Vec3) -> Vec3 {
        add(add(scale(self.x, v[0]), scale(self.y, v[1])), scale(self.z, v[2]))
    }

    /// This map after another: `self.after(inner).point(p) == self.point(inner.point(p))`.
    pub fn after(&self, inner: &Self) -> Self {
        Self {
            x: self.vector(inner.x),
            y: self.vector(inner.y),
            z: self.vector(inner.z),
            origin: self.point(inner.origin),
        }
    }

    /// The inverse; none if the map is singular.
    pub fn inverse(&self) -> Option<Self> {
        let det = dot(self.x, cross(self.y, self.z));
        if !det.is_finite() || det.abs() < 1e-12 {
            return None;
        }
        let rows = [cross(self.y, self.z), cross(self.z, self.x), cross(self.x, self.y)].map(|r| scale(r, 1.0 / det));
        let column = |i: usize| [rows[0][i], rows[1][i], rows[2][i]];
        let mut inverse = Self { x: column(0), y: column(1), z: column(2), origin: [0.; 3] };
        inverse.origin = scale(inverse.vector(self.origin), -1.0);
        Some(inverse)
    }
}

pub(crate) fn add(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

pub(crate) fn sub(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(crate) fn scale(a: Vec3, k: f64) -> Vec3 {
    a.map(|c| c * k)
}

pub(crate) fn dot(a: Vec3, b: Vec3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(crate) fn cross(a: Vec3, b: Vec3) -> Vec3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// Unit vector along another; none for zero or non-finite vectors.
pub(crate) fn unit(v: Vec3) -> Option<Vec3> {
    let length = dot(v, v).sqrt();
    (length.is_finite() && length > 1e-12).then(|| scale(v, 1.0 / length))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inverse_undoes_the_map() {
        let t = Transform::from_axes([1., 2., 3.], Some([0.2, 0.1, 1.]), Some([1., 1., 0.]));
        let p = t.inverse().unwrap().point(t.point([4., 5., 6.]));
        for (a, b) in p.iter().zip([4., 5., 6.]) {
            assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn reference_direction_along_z_falls_back() {
        let t = Transform::from_axes([0.; 3], Some([1., 0., 0.]), Some([1., 0., 0.]));
        assert_eq!(t.x, [0., 1., 0.]);
        assert_eq!(t.y, [0., 0., 1.]);
    }
}
