//! Representation items as solids that can be cut by upright lines and seen from above [m].
//!
//! Long because one shape language, one file: every solid and surface form that gives a footprint stands beside the others.

use crate::ImportError;
use crate::entity::Entity;
use crate::geometry::Geometry;
use crate::plan::{Area, P2, difference, inside, union};
use crate::profile::{Loops, clean};
use crate::transform::{Transform, Vec3, add, cross, scale, sub, unit};

/// A solid in world coordinates.
#[derive(Clone, Debug)]
pub(crate) enum Shape {
    /// A profile moved along a vector: the map takes (u, v) of the profile to the base and w = 1 to the far end.
    Prism { loops: Loops, map: Transform },
    /// Faces, each with its outer loop and its holes.
    Mesh(Vec<Vec<Vec<Vec3>>>),
    /// The side of a plane that `normal` points away from; within a profile along the map's z, if bounded.
    Half { origin: Vec3, normal: Vec3, bound: Option<(Loops, Transform)> },
    /// The first without the second.
    Difference(Box<Shape>, Box<Shape>),
    /// The common part.
    Intersection(Box<Shape>, Box<Shape>),
    /// All of them.
    Union(Vec<Shape>),
}

/// Pieces of an upright line, rising and disjoint [m].
pub(crate) type Spans = Vec<(f64, f64)>;

impl Shape {
    /// The pieces of the upright line at a point in plan that lie inside the solid.
    pub fn spans(&self, p: P2) -> Spans {
        match self {
            Self::Prism { loops, map } => prism_spans(loops, map, p, (0., 1.)),
            Self::Mesh(faces) => mesh_spans(faces, p),
            Self::Half { origin, normal, bound } => {
                let level = normal[0] * (p[0] - origin[0]) + normal[1] * (p[1] - origin[1]);
                let half = if normal[2].abs() < 1e-9 {
                    if level <= 0. { (f64::NEG_INFINITY, f64::INFINITY) } else { return Vec::new() }
                } else {
                    let z = origin[2] - level / normal[2];
                    if normal[2] > 0. { (f64::NEG_INFINITY, z) } else { (z, f64::INFINITY) }
                };
                match bound {
                    None => vec![half],
                    Some((loops, map)) => {
                        intersect(&prism_spans(loops, map, p, (f64::NEG_INFINITY, f64::INFINITY)), &[half])
                    }
                }
            }
            Self::Difference(a, b) => subtract(&a.spans(p), &b.spans(p)),
            Self::Intersection(a, b) => intersect(&a.spans(p), &b.spans(p)),
            Self::Union(parts) => merge(parts.iter().flat_map(|s| s.spans(p)).collect()),
        }
    }

    /// Corners of the solid before anything is cut from it.
    pub fn corners(&self) -> Vec<Vec3> {
        match self {
            Self::Prism { loops, map } => {
                let ends = loops.iter().flatten();
                ends.flat_map(|q| [map.point([q[0], q[1], 0.]), map.point([q[0], q[1], 1.])]).collect()
            }
            Self::Mesh(faces) => faces.iter().flatten().flatten().copied().collect(),
            Self::Half { .. } => Vec::new(),
            Self::Difference(a, _) | Self::Intersection(a, _) => a.corners(),
            Self::Union(parts) => parts.iter().flat_map(Self::corners).collect(),
        }
    }

    /// Least and greatest corner; none for an empty solid.
    pub fn bounds(&self) -> Option<(Vec3, Vec3)> {
        let mut corners = self.corners().into_iter();
        let first = corners.next()?;
        Some(corners.fold((first, first), |(mut l, mut h), p| {
            for i in 0..3 {
                l[i] = l[i].min(p[i]);
                h[i] = h[i].max(p[i]);
            }
            (l, h)
        }))
    }

    /// The solid as seen from above.
    pub fn footprint(&self) -> Vec<Area> {
        match self {
            Self::Prism { loops, map } if is_upright(map) => {
                let to_plan = |l: &Vec<P2>| {
                    clean(
                        l.iter()
                            .map(|q| {
                                let p = map.point([q[0], q[1], 0.]);
                                [p[0], p[1]]
                            })
                            .collect(),
                    )
                };
                let mut all = loops.iter().map(to_plan);
                let Some(outer) = all.next() else { return Vec::new() };
                vec![Area { outer, holes: all.collect() }]
            }
            Self::Prism { loops, map } => Self::Mesh(prism_faces(loops, map)).footprint(),
            Self::Mesh(faces) => {
                let flat: Vec<Area> = faces
                    .iter()
                    .filter(|f| f.first().is_some_and(|o| normal_of(o).is_some_and(|n| n[2].abs() > 1e-3)))
                    .map(|f| {
                        let mut all = f.iter().map(|l| clean(l.iter().map(|p| [p[0], p[1]]).collect()));
                        Area { outer: all.next().unwrap_or_default(), holes: all.collect() }
                    })
                    .collect();
                union(&flat)
            }
            Self::Half { .. } => Vec::new(),
            Self::Difference(a, b) => {
                let (mut areas, Some((low, high))) = (a.footprint(), a.bounds()) else { return a.footprint() };
                // Only what goes right through changes the view from above.
                for cut in b.footprint() {
                    let p = cut.inner_point();
                    let through = b.spans(p).iter().any(|s| s.0 <= low[2] + 1e-3 && s.1 >= high[2] - 1e-3);
                    if through {
                        areas = areas.iter().flat_map(|a| difference(a, &cut)).collect();
                    }
                }
                areas
            }
            Self::Intersection(a, _) => a.footprint(),
            Self::Union(parts) => union(&parts.iter().flat_map(Self::footprint).collect::<Vec<_>>()),
        }
    }

    /// The solid through a map.
    fn placed(self, t: &Transform) -> Self {
        match self {
            Self::Prism { loops, map } => Self::Prism { loops, map: t.after(&map) },
            Self::Mesh(faces) => Self::Mesh(
                faces
                    .into_iter()
                    .map(|f| f.into_iter().map(|l| l.iter().map(|p| t.point(*p)).collect()).collect())
                    .collect(),
            ),
            Self::Half { origin, normal, bound } => Self::Half {
                origin: t.point(origin),
                normal: unit(t.vector(normal)).unwrap_or(normal),
                bound: bound.map(|(l, m)| (l, t.after(&m))),
            },
            Self::Difference(a, b) => Self::Difference(Box::new(a.placed(t)), Box::new(b.placed(t))),
            Self::Intersection(a, b) => Self::Intersection(Box::new(a.placed(t)), Box::new(b.placed(t))),
            Self::Union(parts) => Self::Union(parts.into_iter().map(|s| s.placed(t)).collect()),
        }
    }
}

fn is_upright(map: &Transform) -> bool {
    map.z[0].abs() < 1e-6 && map.z[1].abs() < 1e-6 && map.x[2].abs() < 1e-6 && map.y[2].abs() < 1e-6
}

/// Where an upright line lies inside a moved profile, between two values of w.
fn prism_spans(loops: &Loops, map: &Transform, p: P2, w: (f64, f64)) -> Spans {
    let Some(inverse) = map.inverse() else { return Vec::new() };
    // The line is q(z) = base + z · along in the profile's coordinates.
    let (base, along) = (inverse.point([p[0], p[1], 0.]), inverse.vector([0., 0., 1.]));
    let mut range = (f64::NEG_INFINITY, f64::INFINITY);
    if along[2].abs() > 1e-12 {
        let (a, b) = ((w.0 - base[2]) / along[2], (w.1 - base[2]) / along[2]);
        range = (a.min(b), a.max(b));
    } else if base[2] < w.0 || base[2] > w.1 {
        return Vec::new();
    }
    if along[0].hypot(along[1]) < 1e-9 {
        let hits = loops.iter().filter(|l| inside(l, [base[0], base[1]])).count();
        return if hits % 2 == 1 { vec![range] } else { Vec::new() };
    }
    let mut zs = Vec::new();
    for l in loops {
        for i in 0..l.len() {
            let (a, b) = (l[i], l[(i + 1) % l.len()]);
            let side = |q: P2| (q[0] - base[0]) * along[1] - (q[1] - base[1]) * along[0];
            let (sa, sb) = (side(a), side(b));
            if (sa > 0.) != (sb > 0.) {
                let t = sa / (sa - sb);
                let q = [a[0] + t * (b[0] - a[0]) - base[0], a[1] + t * (b[1] - a[1]) - base[1]];
                zs.push((q[0] * along[0] + q[1] * along[1]) / (along[0] * along[0] + along[1] * along[1]));
            }
        }
    }
    zs.sort_by(f64::total_cmp);
    let pairs: Spans = zs.chunks_exact(2).map(|c| (c[0], c[1])).collect();
    intersect(&pairs, &[range])
}

fn mesh_spans(faces: &[Vec<Vec<Vec3>>], p: P2) -> Spans {
    let mut zs: Vec<f64> = Vec::new();
    for face in faces {
        let Some(outer) = face.first() else { continue };
        let hits = face.iter().filter(|l| inside_3d(l, p)).count();
        if hits % 2 == 0 {
            continue;
        }
        let (Some(n), Some(o)) = (normal_of(outer), outer.first()) else { continue };
        if n[2].abs() > 1e-6 {
            zs.push(o[2] - (n[0] * (p[0] - o[0]) + n[1] * (p[1] - o[1])) / n[2]);
        }
    }
    zs.sort_by(f64::total_cmp);
    zs.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    match zs.as_slice() {
        [] | [_] => Vec::new(),
        z if z.len() % 2 == 0 => z.chunks_exact(2).map(|c| (c[0], c[1])).collect(),
        // An open shell: its outer faces are what is sure.
        [low, .., high] => vec![(*low, *high)],
    }
}

fn inside_3d(points: &[Vec3], p: P2) -> bool {
    let mut is_inside = false;
    let mut j = points.len().wrapping_sub(1);
    for i in 0..points.len() {
        let (a, b) = (points[i], points[j]);
        if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0] {
            is_inside = !is_inside;
        }
        j = i;
    }
    is_inside
}

/// Unit normal of a loop by Newell's method.
fn normal_of(points: &[Vec3]) -> Option<Vec3> {
    let o = *points.first()?;
    let mut n = [0.; 3];
    for i in 0..points.len() {
        n = add(n, cross(sub(points[i], o), sub(points[(i + 1) % points.len()], o)));
    }
    unit(n)
}

fn prism_faces(loops: &Loops, map: &Transform) -> Vec<Vec<Vec<Vec3>>> {
    let at = |w: f64| loops.iter().map(|l| l.iter().map(|q| map.point([q[0], q[1], w])).collect()).collect();
    let mut faces: Vec<Vec<Vec<Vec3>>> = vec![at(0.), at(1.)];
    for l in loops {
        for i in 0..l.len() {
            let (a, b) = (l[i], l[(i + 1) % l.len()]);
            faces.push(vec![vec![
                map.point([a[0], a[1], 0.]),
                map.point([b[0], b[1], 0.]),
                map.point([b[0], b[1], 1.]),
                map.point([a[0], a[1], 1.]),
            ]]);
        }
    }
    faces
}

fn merge(mut spans: Spans) -> Spans {
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out: Spans = Vec::new();
    for s in spans {
        match out.last_mut() {
            Some(last) if s.0 <= last.1 + 1e-6 => last.1 = last.1.max(s.1),
            _ => out.push(s),
        }
    }
    out
}

fn intersect(a: &[(f64, f64)], b: &[(f64, f64)]) -> Spans {
    let mut out = Vec::new();
    for s in a {
        for t in b {
            let both = (s.0.max(t.0), s.1.min(t.1));
            if both.0 < both.1 {
                out.push(both);
            }
        }
    }
    merge(out)
}

fn subtract(a: &[(f64, f64)], b: &[(f64, f64)]) -> Spans {
    b.iter().fold(a.to_vec(), |left, cut| {
        left.iter().flat_map(|s| [(s.0, s.1.min(cut.0)), (s.0.max(cut.1), s.1)]).filter(|s| s.1 - s.0 > 1e-9).collect()
    })
}

impl<'m> Geometry<'m> {
    /// The representation of a product by its identifier, such as `Body` or `Axis`.
    pub fn representation(&self, product: Entity<'m>, identifiers: &[&str]) -> Option<Entity<'m>> {
        let representations: Vec<Entity<'m>> = product.entity(6)?.entities(2).collect();
        identifiers.iter().find_map(|wanted| {
            representations.iter().copied().find(|r| r.text(1).is_some_and(|i| i.eq_ignore_ascii_case(wanted)))
        })
    }

    /// The solid of a product in the world; none if it has no body that is read.
    pub fn body(&self, product: Entity<'m>) -> Result<Option<Shape>, ImportError> {
        let at = self.model.placement(product)?;
        let Some(r) = self.representation(product, &["Body", "Facetation", "Body-Fallback", "Reference", "Box"]) else {
            return Ok(None);
        };
        let mut parts = Vec::new();
        for item in r.entities(3) {
            parts.extend(self.item(item, 0)?);
        }
        Ok(match parts.len() {
            0 => None,
            1 => parts.pop().map(|s| s.placed(&at)),
            _ => Some(Shape::Union(parts).placed(&at)),
        })
    }

    fn item(&self, item: Entity<'m>, depth: usize) -> Result<Option<Shape>, ImportError> {
        self.step(item, depth)?;
        let at = |i: usize| item.entity(i).map_or(Transform::IDENTITY, |p| self.model.axis_placement(p));
        let m = self.model.metre;
        Ok(match item.keyword() {
            "IFCEXTRUDEDAREASOLID" | "IFCEXTRUDEDAREASOLIDTAPERED" => {
                let Some(profile) = item.entity(0) else { return Ok(None) };
                let along = item.entity(2).map_or([0., 0., 1.], |d| self.model.direction(d));
                let (Some(along), Some(depth_m)) = (unit(along), item.real(3).map(|d| d * m)) else { return Ok(None) };
                let place = at(1);
                let map = Transform { z: place.vector(scale(along, depth_m)), ..place };
                let mut parts: Vec<Shape> =
                    self.profile(profile, depth + 1)?.into_iter().map(|loops| Shape::Prism { loops, map }).collect();
                if parts.len() > 1 { Some(Shape::Union(parts)) } else { parts.pop() }
            }
            "IFCBOOLEANRESULT" | "IFCBOOLEANCLIPPINGRESULT" => {
                let (Some(a), Some(b)) = (item.entity(1), item.entity(2)) else { return Ok(None) };
                let Some(a) = self.item(a, depth + 1)? else { return Ok(None) };
                let Some(b) = self.item(b, depth + 1)? else { return Ok(Some(a)) };
                Some(match item.name(0) {
                    "UNION" => Shape::Union(vec![a, b]),
                    "INTERSECTION" => Shape::Intersection(Box::new(a), Box::new(b)),
                    _ => Shape::Difference(Box::new(a), Box::new(b)),
                })
            }
            "IFCHALFSPACESOLID" | "IFCBOXEDHALFSPACE" | "IFCPOLYGONALBOUNDEDHALFSPACE" => {
                let Some(plane) = item.entity(0).filter(|s| s.is(&["IFCPLANE"])).and_then(|s| s.entity(0)) else {
                    self.unread(item);
                    return Ok(None);
                };
                let plane = self.model.axis_placement(plane);
                // AgreementFlag true: the plane's normal points away from the material.
                let normal = scale(plane.z, if item.name(1) == "F" { -1. } else { 1. });
                let mut bound = None;
                if item.is(&["IFCPOLYGONALBOUNDEDHALFSPACE"])
                    && let Some(boundary) = item.entity(3)
                {
                    let boundary = self.curve(boundary, depth + 1)?;
                    bound = boundary.map(|b| (vec![clean(b.iter().map(|p| [p[0], p[1]]).collect())], at(2)));
                }
                Some(Shape::Half { origin: plane.origin, normal, bound })
            }
            "IFCMAPPEDITEM" => {
                let (Some(source), Some(target)) = (item.entity(0), item.entity(1)) else { return Ok(None) };
                let origin = source.entity(0).map_or(Transform::IDENTITY, |p| self.model.axis_placement(p));
                let Some(mapped) = source.entity(1) else { return Ok(None) };
                let mut parts = Vec::new();
                for part in mapped.entities(3) {
                    parts.extend(self.item(part, depth + 1)?);
                }
                let map = self.model.operator(target).after(&origin);
                let shape = if parts.len() > 1 { Some(Shape::Union(parts)) } else { parts.pop() };
                shape.map(|s| s.placed(&map))
            }
            "IFCFACETEDBREP" | "IFCFACETEDBREPWITHVOIDS" | "IFCADVANCEDBREP" | "IFCADVANCEDBREPWITHVOIDS" => {
                let Some(shell) = item.entity(0) else { return Ok(None) };
                self.faces(shell)?
            }
            "IFCCLOSEDSHELL" | "IFCOPENSHELL" | "IFCCONNECTEDFACESET" => self.faces(item)?,
            "IFCFACEBASEDSURFACEMODEL" | "IFCSHELLBASEDSURFACEMODEL" => {
                let mut faces = Vec::new();
                for shell in item.entities(0) {
                    if let Some(Shape::Mesh(more)) = self.faces(shell)? {
                        faces.extend(more);
                    }
                }
                (!faces.is_empty()).then_some(Shape::Mesh(faces))
            }
            "IFCPOLYGONALFACESET" | "IFCTRIANGULATEDFACESET" | "IFCTRIANGULATEDIRREGULARNETWORK" => {
                self.face_set(item)?
            }
            "IFCBOUNDINGBOX" => {
                let corner = item.entity(0).map_or([0.; 3], |p| self.model.point(p));
                let size = |i: usize| item.real(i).map(|x| x * m);
                let (Some(x), Some(y), Some(z)) = (size(1), size(2), size(3)) else { return Ok(None) };
                let map = Transform { origin: corner, z: [0., 0., z], ..Transform::IDENTITY };
                Some(Shape::Prism { loops: vec![vec![[0., 0.], [x, 0.], [x, y], [0., y]]], map })
            }
            "IFCBLOCK" => {
                let size = |i: usize| item.real(i).map(|x| x * m);
                let (Some(x), Some(y), Some(z)) = (size(1), size(2), size(3)) else { return Ok(None) };
                let place = at(0);
                let map = Transform { z: scale(place.z, z), ..place };
                Some(Shape::Prism { loops: vec![vec![[0., 0.], [x, 0.], [x, y], [0., y]]], map })
            }
            "IFCRIGHTCIRCULARCYLINDER" => {
                let (Some(h), Some(r)) = (item.real(1).map(|x| x * m), item.real(2).map(|x| x * m)) else {
                    return Ok(None);
                };
                let place = at(0);
                let map = Transform { z: scale(place.z, h), ..place };
                let n = crate::curve::num_chords(r, std::f64::consts::TAU);
                let ring = (0..n).map(|i| {
                    let t = std::f64::consts::TAU * i as f64 / n as f64;
                    [r * t.cos(), r * t.sin()]
                });
                Some(Shape::Prism { loops: vec![ring.collect()], map })
            }
            "IFCCSGSOLID" => match item.entity(0) {
                Some(tree) => self.item(tree, depth + 1)?,
                None => None,
            },
            // Lines and symbols of the plan view.
            "IFCGEOMETRICSET" | "IFCGEOMETRICCURVESET" | "IFCANNOTATIONFILLAREA" | "IFCTEXTLITERAL" => None,
            _ => {
                self.unread(item);
                None
            }
        })
    }

    fn faces(&self, shell: Entity<'m>) -> Result<Option<Shape>, ImportError> {
        let mut faces = Vec::new();
        for face in shell.entities(0) {
            self.face()?;
            let mut loops: Vec<Vec<Vec3>> = Vec::new();
            for bound in face.entities(0) {
                let Some(l) = bound.entity(0) else { continue };
                let points: Vec<Vec3> = match l.keyword() {
                    "IFCPOLYLOOP" => l.entities(0).map(|p| self.model.point(p)).collect(),
                    // Oriented edges: their start vertices, which is exact for straight edges.
                    "IFCEDGELOOP" => l.entities(0).filter_map(|e| self.edge_start(e)).collect(),
                    _ => continue,
                };
                if points.len() >= 3 {
                    let at = if bound.is(&["IFCFACEOUTERBOUND"]) { 0 } else { loops.len() };
                    loops.insert(at, points);
                }
            }
            if !loops.is_empty() {
                faces.push(loops);
            }
        }
        Ok((!faces.is_empty()).then_some(Shape::Mesh(faces)))
    }

    fn edge_start(&self, oriented: Entity<'m>) -> Option<Vec3> {
        let edge = oriented.entity(2)?;
        let vertex = edge.entity(if oriented.name(3) == "F" { 1 } else { 0 })?;
        Some(self.model.point(vertex.entity(0)?))
    }

    fn face_set(&self, set: Entity<'m>) -> Result<Option<Shape>, ImportError> {
        let Some(list) = set.entity(0) else { return Ok(None) };
        let points: Vec<Vec3> = list.at(0).items().map(|row| self.row(row)).collect();
        let mut faces = Vec::new();
        if set.is(&["IFCPOLYGONALFACESET"]) {
            // PnIndex renumbers the points, if it is given.
            let renumber: Vec<usize> = set.at(3).items().filter_map(|v| v.index()).collect();
            let at = |i: usize| {
                let i = if renumber.is_empty() { Some(i) } else { renumber.get(i).copied() };
                i.and_then(|i| points.get(i)).copied()
            };
            for face in set.entities(2) {
                self.face()?;
                let ring =
                    |v: crate::entity::Value<'m>| -> Vec<Vec3> { v.items().filter_map(|i| at(i.index()?)).collect() };
                let mut loops = vec![ring(face.at(0))];
                loops.extend(face.at(1).items().map(ring));
                loops.retain(|l| l.len() >= 3);
                if !loops.is_empty() {
                    faces.push(loops);
                }
            }
        } else {
            let renumber: Vec<usize> = set.at(4).items().filter_map(|v| v.index()).collect();
            for triangle in set.at(3).items() {
                self.face()?;
                let corners: Vec<Vec3> = triangle
                    .items()
                    .filter_map(|i| {
                        let i = i.index()?;
                        let i = if renumber.is_empty() { i } else { *renumber.get(i)? };
                        points.get(i).copied()
                    })
                    .collect();
                if corners.len() == 3 {
                    faces.push(vec![corners]);
                }
            }
        }
        Ok((!faces.is_empty()).then_some(Shape::Mesh(faces)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cube(size: f64) -> Shape {
        let map = Transform { z: [0., 0., size], ..Transform::IDENTITY };
        Shape::Prism { loops: vec![vec![[0., 0.], [size, 0.], [size, size], [0., size]]], map }
    }

    #[test]
    fn half_space_lowers_a_cube() {
        let cut = Shape::Half { origin: [0., 0., 1.], normal: [0., 0., -1.], bound: None };
        let s = Shape::Difference(Box::new(cube(2.)), Box::new(cut));
        assert_eq!(s.spans([0.5, 0.5]), vec![(0., 1.)]);
        assert!(s.spans([3., 0.5]).is_empty());
    }

    #[test]
    fn prism_and_its_faces_agree() {
        let tilted = Transform { z: [0.3, 0.1, 2.], ..Transform::from_axes([1., 2., 3.], Some([0.1, 0.2, 1.]), None) };
        let loops = vec![vec![[0., 0.], [2., 0.], [2., 1.], [0., 1.]]];
        let (prism, mesh) =
            (Shape::Prism { loops: loops.clone(), map: tilted }, Shape::Mesh(prism_faces(&loops, &tilted)));
        for p in [[1.9, 2.6], [2.4, 2.3], [3.05, 2.9], [0.5, 0.5]] {
            let (a, b) = (prism.spans(p), mesh.spans(p));
            assert_eq!(a.len(), b.len(), "{p:?}");
            for (s, t) in a.iter().zip(&b) {
                assert!((s.0 - t.0).abs() < 1e-9 && (s.1 - t.1).abs() < 1e-9, "{s:?} {t:?}");
            }
        }
    }
}
