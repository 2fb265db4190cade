//! Where paths can go on after a mirror, by geometry alone: mirrors that the search between two points need not try.
//!
//! Seen from the last image a path comes through the window that the last mirror's surfaces leave of what came before. This is a
//! bound and never too narrow: whether there is a path is found by following it back, in [`search`](crate::search).

use crate::surface::{Plane, Vector};

/// Smallest width added to windows and planes on each side \[m\]; the rest grows with the coordinates. Points of reflection are
/// some 1e-7 of it beside where they should be, so that rounding loses no path.
const MARGIN: f64 = 1e-4;
const MARGIN_SHARE: f64 = 1e-6;

type InPlan = [f64; 2];

/// A half of the plan: where `normal · p + offset` is not below zero.
#[derive(Clone, Copy, Debug)]
struct Side {
    normal: InPlan,
    offset: f64,
}

/// All paths that have met the mirrors so far, as rays from the last image.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Beam {
    image: Vector,
    /// Behind the last upright mirror, and within the edges of its window.
    sides: [Side; 3],
    /// Least and greatest rise over the distance in plan.
    slopes: [f64; 2],
    margin: f64,
}

impl Beam {
    /// Everything that leaves a place; `largest` is the largest coordinate of the scene \[m\].
    pub(crate) fn from(place: Vector, largest: f64) -> Self {
        Self::all(place, MARGIN + MARGIN_SHARE * largest)
    }

    fn all(image: Vector, margin: f64) -> Self {
        let side = Side { normal: [0.0, 0.0], offset: f64::INFINITY };
        Self { image, sides: [side; 3], slopes: [f64::NEG_INFINITY, f64::INFINITY], margin }
    }

    /// What goes on after a reflection in a plane, `image` being the next one; none if nothing gets to it.
    ///
    /// All comparisons are such that a number that is none leaves the beam as it is.
    pub(crate) fn reflected(&self, plane: &Plane, image: Vector) -> Option<Self> {
        let next = if plane.is_level() { self.at_level(plane, image) } else { self.at_upright(plane, image) }?;
        // So near to the mirror a point of reflection can be anywhere within rounding.
        if plane.distance(self.image).abs() < self.margin { Some(Self::all(image, self.margin)) } else { Some(next) }
    }

    fn at_level(&self, plane: &Plane, image: Vector) -> Option<Self> {
        let corners = plane.corners();
        let is_beside = |side: &Side| corners.iter().all(|&c| side.of([c[0], c[1]]) < 0.0);
        if self.sides.iter().any(is_beside) {
            return None;
        }
        let farthest = corners.iter().map(|&c| self.run([c[0], c[1]])).fold(0.0, f64::max);
        let height = plane.offset * plane.normal[2];
        let [low, high] = self.rises([height, height], [0.0, farthest])?;
        // Up is down in the mirror.
        Some(Self { image, slopes: [-high, -low], ..*self })
    }

    fn at_upright(&self, plane: &Plane, image: Vector) -> Option<Self> {
        let [nx, ny, _] = plane.normal;
        let tangent = [-ny, nx];
        let mut window = [f64::INFINITY, f64::NEG_INFINITY];
        let mut slopes = window;
        let mut is_met = false;
        // Foot and head of one end, then of the other.
        for surface in plane.corners().chunks_exact(4) {
            let &[a, top, b, _] = surface else { continue };
            let Some((p, q)) = self.clip([a[0], a[1]], [b[0], b[1]]) else { continue };
            let Some(rises) = self.rises([a[2], top[2]], self.runs(p, q)) else { continue };
            for along in [p, q].map(|p| p[0] * tangent[0] + p[1] * tangent[1]) {
                window = [window[0].min(along), window[1].max(along)];
            }
            slopes = [slopes[0].min(rises[0]), slopes[1].max(rises[1])];
            is_met = true;
        }
        if !is_met {
            return None;
        }
        let turn = if plane.distance(image) < 0.0 { 1.0 } else { -1.0 };
        let behind = Side { normal: [turn * nx, turn * ny], offset: self.margin - turn * plane.offset };
        let edge = |along: f64, inwards: f64| {
            let end: InPlan = std::array::from_fn(|i| plane.normal[i] * plane.offset + tangent[i] * along);
            let (x, y) = (end[0] - image[0], end[1] - image[1]);
            let length = x.hypot(y);
            let across = [-y / length, x / length];
            let turn = if (across[0] * tangent[0] + across[1] * tangent[1]) * inwards < 0.0 { -1.0 } else { 1.0 };
            let normal = across.map(|x| turn * x);
            Side { normal, offset: self.margin - normal[0] * image[0] - normal[1] * image[1] }
        };
        let sides = [behind, edge(window[0] - self.margin, 1.0), edge(window[1] + self.margin, -1.0)];
        Some(Self { image, sides, slopes, margin: self.margin })
    }

    /// The part of a straight piece that is within the beam in plan.
    fn clip(&self, mut p: InPlan, mut q: InPlan) -> Option<(InPlan, InPlan)> {
        for side in &self.sides {
            let (at_p, at_q) = (side.of(p), side.of(q));
            if at_p < 0.0 && at_q < 0.0 {
                return None;
            }
            let between = || std::array::from_fn(|i| p[i] + (q[i] - p[i]) * (at_p / (at_p - at_q)));
            if at_p < 0.0 {
                p = between();
            } else if at_q < 0.0 {
                q = between();
            }
        }
        Some((p, q))
    }

    /// Distance in plan from the image.
    fn run(&self, p: InPlan) -> f64 {
        (p[0] - self.image[0]).hypot(p[1] - self.image[1])
    }

    /// Least and greatest distance in plan of a straight piece.
    fn runs(&self, p: InPlan, q: InPlan) -> [f64; 2] {
        let (x, y) = (q[0] - p[0], q[1] - p[1]);
        let along = ((self.image[0] - p[0]) * x + (self.image[1] - p[1]) * y) / (x * x + y * y);
        let share = along.clamp(0.0, 1.0);
        let nearest = if share.is_finite() { self.run([p[0] + share * x, p[1] + share * y]) } else { 0.0 };
        [nearest, self.run(p).max(self.run(q))]
    }

    /// Slopes of the beam that meet heights from one to another at distances from one to another; none if no slope does.
    fn rises(&self, heights: [f64; 2], runs: [f64; 2]) -> Option<[f64; 2]> {
        let (near, far) = ((runs[0] - self.margin).max(0.0), runs[1] + self.margin);
        let low = heights[0] - self.margin - self.image[2];
        let high = heights[1] + self.margin - self.image[2];
        let low = if low < 0.0 { low / near } else { low / far };
        let high = if high > 0.0 { high / near } else { high / far };
        let (low, high) = (low.max(self.slopes[0]), high.min(self.slopes[1]));
        if low > high { None } else { Some([low, high]) }
    }
}

impl Side {
    fn of(&self, p: InPlan) -> f64 {
        self.normal[0] * p[0] + self.normal[1] * p[1] + self.offset
    }
}

#[cfg(test)]
mod tests {
    use building::{Block, Deck, Electrical, Panel, Resolved, ResolvedAssembly, ResolvedLayer, SlabKind, WallKind};
    use findings::Id;
    use proptest::prelude::*;
    use units::{Hertz, Point2, Point3};

    use crate::antenna::Mounted;
    use crate::paths::RayPath;
    use crate::search::Search;
    use crate::wall::Carrier;
    use crate::{Scene, Tolerance};

    fn panel(a: Point2, b: Point2, (z0, z1): (f64, f64)) -> Panel {
        let (wall, kind) = (Id::from_label("w"), WallKind::Inside);
        Panel { wall, storey: 0, kind, a, b, z0, z1, thickness: 0.1, assembly: 0, cuts: Vec::new() }
    }

    fn of_brick() -> Resolved {
        let material = building::library::material("brick").unwrap().clone();
        let layers = vec![ResolvedLayer { material, thickness: 0.1, framing: None }];
        let assemblies = vec![ResolvedAssembly { id: Id::from_label("brick"), name: "brick".into(), layers }];
        Resolved { assemblies, ..Resolved::default() }
    }

    fn prepared(home: &Resolved) -> Scene {
        Scene::with_tolerance(home, &[Carrier::new(Hertz::from_ghz(5.25), Hertz(0.0))], Tolerance::EXACT).unwrap()
    }

    /// All paths as [`Scene::paths`] finds them, and with every mirror tried.
    fn both(scene: &Scene, from: Point3, to: Point3, order: usize) -> [(Vec<RayPath>, [u64; 3]); 2] {
        let ends = Mounted::default();
        [true, false].map(|is_cut| {
            let mut search = Search::new(scene, [&ends, &ends], (from, to), (0, scene.carriers()[0]), order);
            if is_cut {
                search.all(false);
            } else {
                search.path();
                search.reflect(None);
            }
            let sums = [search.sums.both, search.sums.vertical, search.sums.field.re].map(f64::to_bits);
            (search.paths, sums)
        })
    }

    /// Walls, slabs and objects of any kind, half of the coordinates on a lattice, so that planes, ends and places coincide; places
    /// on walls, at ends, next to planes, or anywhere.
    fn drawn(numbers: &[f64], far: f64) -> (Resolved, Vec<Point3>) {
        let mut home = of_brick();
        let mut places = Vec::new();
        for n in numbers.chunks_exact(10) {
            let x: Vec<f64> = n.iter().map(|x| if x.fract().abs() < 0.5 { x.round() } else { *x } * far).collect();
            let (a, b) = (Point2::new(x[0], x[1]), Point2::new(x[2], x[3]));
            let z = (x[4].min(x[5]) * 0.5, x[4].max(x[5]) * 0.5);
            let corners = [a, b, Point2::new(x[6], x[7])];
            match n[8].abs() as usize {
                0 | 1 => home.panels.push(panel(a, Point2::new(b.x, a.y), z)),
                2 | 3 => home.panels.push(panel(a, Point2::new(a.x, b.y), z)),
                4 | 5 => home.panels.push(panel(a, b, z)),
                6 => home.decks.push(Deck {
                    slab: Id::from_label("d"),
                    storey: 0,
                    kind: SlabKind::Floor,
                    outline: corners.to_vec(),
                    holes: Vec::new(),
                    z_top: z.0,
                    z_bottom: z.0,
                    assembly: 0,
                }),
                _ => home.blocks.push(Block {
                    object: Id::from_label("b"),
                    outline: corners.to_vec(),
                    z0: z.0,
                    z1: z.1,
                    electrical: Electrical::Metal,
                }),
            }
            // Beside the wall's plane by nothing, by rounding, by the margin, or farther.
            let beside = [0.0, 1e-12, 1e-7, 1e-4, 0.3, 2.0][(n[9].abs() * 100.0) as usize % 6] * far;
            let middle = Point2::new(0.5 * (a.x + b.x) + beside, 0.5 * (a.y + b.y) - beside);
            places.extend([middle.at_height(0.5 * (z.0 + z.1) + beside), corners[2].at_height(z.0), a.at_height(x[9])]);
        }
        home.panels.retain(|p| p.a != p.b);
        (home, places)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn no_path_is_lost(
            numbers in proptest::collection::vec(-8.0f64..8.0, 20..120),
            far in prop::sample::select(vec![1.0, 1.0, 1.0, 0.01, 1000.0]),
        ) {
            let (home, places) = drawn(&numbers, far);
            let scene = prepared(&home);
            for (&from, &to) in places.iter().zip(places.iter().skip(1)).take(6) {
                let [(cut, sums), (all, plain)] = both(&scene, from, to, 3);
                prop_assert_eq!(cut.len(), all.len());
                prop_assert!(cut == all && sums == plain);
            }
        }
    }
}
