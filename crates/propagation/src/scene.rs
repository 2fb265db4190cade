//! A home made ready for path gain: geometry, and transmission tables for a set of carriers.

use std::sync::{Arc, OnceLock};

use building::{Electrical, Material, Resolved, ResolvedAssembly};
use findings::Id;
use num_complex::Complex64;
use rayon::prelude::*;
use units::Db;

use crate::check::check;
use crate::edge::{self, Edge, Matrix};
use crate::error::PropagationError;
use crate::geometry::{Geometry, Hit, Met};
use crate::reflected::{self, Column};
use crate::slab::{self, FREE_SPACE_IMPEDANCE, Medium, SPEED_OF_LIGHT};
use crate::surface::Surfaces;
use crate::table::{self, LANES, Lanes, Table};
use crate::wall::{Answer, Carrier, MAX_CROSSING_LOSS_DB, Tolerance, Wall, electrical_medium};

/// A home, ready to be asked for path gains at a set of carriers.
///
/// # Model
/// Straight ray; free space times the mean transmission of everything crossed, at the true angle of incidence in
/// space. The field leaves the transmitter polarised along theta (vertical) and is split into TE and TM at every
/// crossing; its coherency (both powers and how far they stay in step) is followed, so that any order and tilt of
/// walls is right on average.
///
/// [`Scene::path`] and [`Scene::maps`] know this direct path alone; [`Scene::paths`](Scene::paths) and
/// [`Scene::maps_with`](Scene::maps_with) add reflections.
#[derive(Clone, Debug)]
pub struct Scene {
    pub(crate) carriers: Vec<Carrier>,
    pub(crate) geometry: Geometry,
    pub(crate) names: Names,
    /// What each assembly does to a field.
    pub(crate) stuff: Vec<Arc<Stuff>>,
    pub(crate) tolerance: Tolerance,
    /// `[block][carrier group]`.
    blocks: Vec<Vec<Body>>,
    /// `[block][carrier]`.
    media: Vec<Vec<Medium>>,
    groups: usize,
    surfaces: OnceLock<Surfaces>,
    edges: OnceLock<Vec<Edge>>,
    /// `[block][carrier]`: what their faces reflect, for maps with reflections.
    faces: OnceLock<Arc<Vec<Vec<Column>>>>,
}

/// An assembly at all carriers. Two scenes share it where they have the same assembly.
#[derive(Debug)]
pub(crate) struct Stuff {
    assembly: ResolvedAssembly,
    /// `[carrier]`.
    walls: Vec<Wall>,
    /// What passes and what is thrown back to either side, in the order of [`ANSWERS`](crate::wall::ANSWERS).
    pub tables: [Table; 3],
    columns: OnceLock<Vec<[Column; 3]>>,
}

/// Ids for explaining a path.
#[derive(Clone, Debug, Default)]
pub(crate) struct Names {
    pub panels: Vec<(Id, Vec<Id>)>,
    pub decks: Vec<Id>,
    pub blocks: Vec<(Id, Id)>,
    pub assemblies: Vec<Id>,
}

/// Power transmission through a block: `surface · exp(−decay · length)`.
#[derive(Clone, Copy, Debug)]
struct Body {
    surface: Lanes,
    decay: Lanes,
}

impl Stuff {
    fn new(assembly: &ResolvedAssembly, carriers: &[Carrier], tolerance: Tolerance) -> Result<Self, PropagationError> {
        let walls: Result<Vec<Wall>, _> =
            carriers.iter().map(|&carrier| Wall::new(assembly, carrier, tolerance)).collect();
        let walls = walls?;
        let tables = table::tables(&walls);
        Ok(Self { assembly: assembly.clone(), walls, tables, columns: OnceLock::new() })
    }

    /// Layers as numbers: equal ones mean equal tables at the same carriers and tolerance, to the last bit.
    pub fn content(&self) -> Vec<u64> {
        let material = |material: &Material| match material.electrical {
            Electrical::Metal => vec![0],
            Electrical::Sheet { ohm_per_square } => vec![1, ohm_per_square.to_bits()],
            Electrical::Mesh { pitch, radius } => vec![3, pitch.to_bits(), radius.to_bits()],
            Electrical::Dielectric { a, b, c, d, min_ghz, max_ghz } => {
                [2].into_iter().chain([a, b, c, d, min_ghz, max_ghz].map(f64::to_bits)).collect()
            }
        };
        let mut out = Vec::new();
        for layer in &self.assembly.layers {
            out.push(layer.thickness.to_bits());
            out.extend(material(&layer.material));
            out.push(u64::from(layer.framing.is_some()));
            if let Some(framing) = &layer.framing {
                out.extend([framing.spacing.to_bits(), framing.width.to_bits()]);
                out.extend(material(&framing.material));
            }
        }
        out
    }

    /// For each carrier the columns of the tables, for maps with reflections.
    pub fn columns(&self) -> &[[Column; 3]] {
        self.columns.get_or_init(|| {
            let of = |carrier| std::array::from_fn(|answer| Column::of(&self.tables[answer], carrier));
            (0..self.walls.len()).map(of).collect()
        })
    }

    /// Memory that its tables take \[bytes\].
    pub fn bytes(&self) -> usize {
        let columns = self.columns.get().into_iter().flatten().flatten();
        self.tables.iter().map(Table::bytes).sum::<usize>() + columns.map(Column::bytes).sum::<usize>()
    }

    pub fn table(&self, answer: Answer) -> &Table {
        &self.tables[answer as usize]
    }
}

impl Scene {
    /// Prepares a home for a set of carriers, with thicknesses averaged over [`Tolerance::default`].
    ///
    /// # Errors
    /// The first material that has no constants over a whole channel, or geometry that is not finite, or an index that
    /// points nowhere; see [`PropagationError`].
    pub fn new(home: &Resolved, carriers: &[Carrier]) -> Result<Self, PropagationError> {
        Self::with_tolerance(home, carriers, Tolerance::default())
    }

    /// As [`Scene::new`], with another thickness tolerance.
    ///
    /// # Errors
    /// As [`Scene::new`].
    pub fn with_tolerance(
        home: &Resolved,
        carriers: &[Carrier],
        tolerance: Tolerance,
    ) -> Result<Self, PropagationError> {
        Self::prepare(home, carriers, tolerance, &[])
    }

    /// The home after an edit, with the same carriers and tolerance: the same as [`Scene::with_tolerance`], but tables of
    /// assemblies that did not change are shared and not made again.
    ///
    /// # Errors
    /// As [`Scene::new`].
    pub fn after_edit(&self, home: &Resolved) -> Result<Self, PropagationError> {
        Self::prepare(home, &self.carriers, self.tolerance, &self.stuff)
    }

    fn prepare(
        home: &Resolved,
        carriers: &[Carrier],
        tolerance: Tolerance,
        known: &[Arc<Stuff>],
    ) -> Result<Self, PropagationError> {
        for (index, carrier) in carriers.iter().enumerate() {
            carrier.check(index)?;
        }
        tolerance.check()?;
        check(home)?;
        // All of them, so that it is always the first trouble that is told.
        let stuff: Vec<Result<Arc<Stuff>, _>> = home
            .assemblies
            .par_iter()
            .map(|assembly| match known.iter().find(|known| known.assembly == *assembly) {
                Some(known) => Ok(known.clone()),
                None => Stuff::new(assembly, carriers, tolerance).map(Arc::new),
            })
            .collect();
        let blocks: Result<Vec<_>, _> =
            home.blocks.iter().map(|b| bodies(&b.object, &b.electrical, carriers)).collect();
        let media: Result<Vec<_>, _> = home.blocks.iter().map(|b| media(&b.object, &b.electrical, carriers)).collect();
        Ok(Self {
            media: media?,
            stuff: stuff.into_iter().collect::<Result<_, _>>()?,
            tolerance,
            surfaces: OnceLock::new(),
            edges: OnceLock::new(),
            faces: OnceLock::new(),
            carriers: carriers.to_vec(),
            geometry: Geometry::new(home),
            names: names(home),
            blocks: blocks?,
            groups: carriers.len().div_ceil(LANES),
        })
    }

    /// The carriers, in the order of their indices.
    #[must_use]
    pub fn carriers(&self) -> &[Carrier] {
        &self.carriers
    }

    /// Largest difference of one crossing's tabulated loss from its direct evaluation, as found while tabulating.
    #[must_use]
    pub fn table_error(&self) -> Db {
        Db(self.stuff.iter().map(|s| s.table(Answer::Through).error_db).fold(0.0, f64::max))
    }

    /// Memory that it takes besides its assemblies, of points, faces and edges \[bytes\].
    pub(crate) fn bytes(&self) -> usize {
        let geometry = &self.geometry;
        let cuts: usize = geometry.cuts.iter().map(Vec::len).sum();
        let rings = geometry.decks.iter().map(|d| d.outline.len() + d.holes.iter().map(Vec::len).sum::<usize>());
        let points = rings.chain(geometry.blocks.iter().map(|b| b.outline.len())).sum::<usize>();
        let faces = self.faces.get().into_iter().flat_map(|f| f.iter().flatten());
        // A panel has its own place, its names and its corners in a plane.
        geometry.segments.len() * 400
            + cuts * 200
            + points * 64
            + faces.map(Column::bytes).sum::<usize>()
            + self.edges.get().map_or(0, |e| e.len() * size_of::<Edge>())
    }

    pub(crate) fn groups(&self) -> usize {
        self.groups
    }

    /// What can reflect.
    pub(crate) fn surfaces(&self) -> &Surfaces {
        self.surfaces.get_or_init(|| Surfaces::new(&self.geometry))
    }

    /// What can diffract.
    pub(crate) fn edges(&self) -> &[Edge] {
        self.edges.get_or_init(|| edge::all(&self.geometry, self.surfaces(), |block| self.is_metal(block)))
    }

    /// The build-up of an assembly.
    pub(crate) fn assembly(&self, assembly: u32) -> Option<&ResolvedAssembly> {
        self.stuff.get(assembly as usize).map(|stuff| &stuff.assembly)
    }

    pub(crate) fn walls(&self, assembly: u32, carrier: usize) -> Option<&Wall> {
        self.stuff.get(assembly as usize)?.walls.get(carrier)
    }

    pub(crate) fn medium(&self, block: u32, carrier: usize) -> Option<Medium> {
        self.media.get(block as usize)?.get(carrier).copied()
    }

    /// What a block is made of as numbers: equal ones mean that it passes and reflects the same at the same carriers.
    pub(crate) fn body_content(&self, block: usize) -> Vec<u64> {
        let bodies = self.blocks.get(block).into_iter().flatten();
        let of_body = bodies.flat_map(|b| b.surface.into_iter().chain(b.decay)).map(|x| u64::from(x.to_bits()));
        let of_medium = self.media.get(block).into_iter().flatten().flat_map(|medium| match medium {
            Medium::Opaque => [0, 0, 0],
            Medium::Sheet(ohm) => [1, ohm.to_bits(), 0],
            Medium::Mesh { pitch, radius } => [3, pitch.to_bits(), radius.to_bits()],
            Medium::Bulk(epsilon) => [2, epsilon.re.to_bits(), epsilon.im.to_bits()],
        });
        of_body.chain(of_medium).collect()
    }

    /// What a block's faces reflect over the angle.
    pub(crate) fn face_column(&self, block: u32, carrier: usize) -> Option<&Column> {
        let faces = self.faces.get_or_init(|| {
            let of = |media: &Vec<Medium>| {
                let with_carriers = media.iter().zip(&self.carriers);
                with_carriers.map(|(&medium, carrier)| reflected::face_column(medium, carrier.centre.0)).collect()
            };
            Arc::new(self.media.iter().map(of).collect())
        });
        faces.get(block as usize)?.get(carrier)
    }

    /// Power transmission through a block along a way through it \[m\], at one carrier.
    pub(crate) fn through_block(&self, block: u32, carrier: usize, length: f64) -> f64 {
        let least = 10f64.powf(-MAX_CROSSING_LOSS_DB / 10.0);
        let body = self.blocks.get(block as usize).and_then(|b| b.get(carrier / LANES));
        body.map_or(1.0, |b| {
            let (surface, decay) = (b.surface[carrier % LANES], b.decay[carrier % LANES]);
            (f64::from(surface) * (-f64::from(decay) * length).exp()).max(least)
        })
    }

    /// Takes a field through a crossing.
    #[inline]
    pub(crate) fn pass(&self, hit: &Hit, group: usize, field: &mut Field) {
        match hit.met {
            Met::Panel(..) | Met::Deck(_) => {
                if let Some(stuff) = self.stuff.get(hit.assembly as usize) {
                    field.cross(&stuff.table(Answer::Through).at(hit.cos, group), hit.te_theta, hit.te_phi);
                }
            }
            Met::Block(index, length) => {
                if let Some(body) = self.blocks.get(index as usize).and_then(|b| b.get(group)) {
                    let least = 10f32.powf(-MAX_CROSSING_LOSS_DB as f32 / 10.0);
                    let mut share = [0.0; LANES];
                    for (l, share) in share.iter_mut().enumerate() {
                        *share = (body.surface[l] * (-body.decay[l] * length as f32).exp()).max(least);
                    }
                    field.scale(share);
                }
            }
        }
    }
}

/// Coherency of the field along theta and phi, for the carriers of a group; one at the transmitter.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Field {
    theta: Lanes,
    phi: Lanes,
    re: Lanes,
    im: Lanes,
}

impl Field {
    /// All power along theta.
    pub(crate) const VERTICAL: Self =
        Self { theta: [1.0; LANES], phi: [0.0; LANES], re: [0.0; LANES], im: [0.0; LANES] };

    /// Amplitudes along theta and phi, in step.
    pub(crate) fn of(theta: f32, phi: f32) -> Self {
        let [t, p, mixed] = [theta * theta, phi * phi, theta * phi].map(|x| [x; LANES]);
        Self { theta: t, phi: p, re: mixed, im: [0.0; LANES] }
    }

    /// Power along a real direction of theta and phi.
    pub(crate) fn along(&self, theta: f32, phi: f32) -> Lanes {
        std::array::from_fn(|l| {
            theta * theta * self.theta[l] + phi * phi * self.phi[l] + 2.0 * theta * phi * self.re[l]
        })
    }

    /// Power at a receiver that takes in both polarisations.
    #[inline]
    pub(crate) fn both(&self) -> Lanes {
        std::array::from_fn(|l| self.theta[l] + self.phi[l])
    }

    /// Power at a vertically polarised receiver.
    #[inline]
    pub(crate) fn vertical(&self) -> Lanes {
        self.theta
    }

    pub(crate) fn scale(&mut self, by: Lanes) {
        for lanes in [&mut self.theta, &mut self.phi, &mut self.re, &mut self.im] {
            for (value, factor) in lanes.iter_mut().zip(by) {
                *value *= factor;
            }
        }
    }

    /// Points theta, or phi, the other way.
    pub(crate) fn mirror(&mut self) {
        for lanes in [&mut self.re, &mut self.im] {
            for value in lanes.iter_mut() {
                *value = -*value;
            }
        }
    }

    /// Takes one carrier's field through an edge: `M J M†`.
    pub(crate) fn turn(&mut self, matrix: &Matrix, l: usize) {
        let [[a, b], [c, d]] = *matrix;
        let (theta, phi) = (f64::from(self.theta[l]), f64::from(self.phi[l]));
        let mixed = Complex64::new(f64::from(self.re[l]), f64::from(self.im[l]));
        let cross = theta * a * c.conj() + phi * b * d.conj() + a * mixed * d.conj() + b * mixed.conj() * c.conj();
        let power =
            |a: Complex64, b: Complex64| a.norm_sqr() * theta + b.norm_sqr() * phi + 2.0 * (a * mixed * b.conj()).re;
        (self.theta[l], self.phi[l]) = (power(a, b) as f32, power(c, d) as f32);
        (self.re[l], self.im[l]) = (cross.re as f32, cross.im as f32);
    }

    /// Turns to the TE direction `(t, p)` and TM `(−p, t)`, passes the wall, and turns back.
    #[inline]
    pub(crate) fn cross(&mut self, wall: &crate::table::Entry, t: f32, p: f32) {
        let (tt, pp, tp) = (t * t, p * p, t * p);
        for l in 0..LANES {
            let (theta, phi, re, im) = (self.theta[l], self.phi[l], self.re[l], self.im[l]);
            let te = (tt * theta + pp * phi + 2.0 * tp * re) * wall.te[l];
            let tm = (pp * theta + tt * phi - 2.0 * tp * re) * wall.tm[l];
            let mixed_re = tp * (phi - theta) + (tt - pp) * re;
            let cross_re = mixed_re * wall.cross_re[l] - im * wall.cross_im[l];
            let cross_im = mixed_re * wall.cross_im[l] + im * wall.cross_re[l];
            self.theta[l] = tt * te + pp * tm - 2.0 * tp * cross_re;
            self.phi[l] = pp * te + tt * tm + 2.0 * tp * cross_re;
            self.re[l] = tp * (te - tm) + (tt - pp) * cross_re;
            self.im[l] = cross_im;
        }
    }
}

/// A block's transmission at normal incidence for each group of carriers.
///
/// Metal is opaque. A bulk takes its loss along the way through it and reflects at both faces, without interference:
/// `(1 − Γ²)² e^{−2αℓ}`. A sheet or a mesh stands on both faces.
fn bodies(object: &Id, electrical: &Electrical, carriers: &[Carrier]) -> Result<Vec<Body>, PropagationError> {
    let mut groups = Vec::with_capacity(carriers.len().div_ceil(LANES));
    for group in carriers.chunks(LANES) {
        let mut body = Body { surface: [1.0; LANES], decay: [0.0; LANES] };
        for (l, carrier) in group.iter().enumerate() {
            let material = Id::from_label(kind(electrical));
            for edge in [-0.5, 0.5] {
                electrical_medium(object, &material, electrical, carrier.centre.0 + edge * carrier.width.0)?;
            }
            match electrical_medium(object, &material, electrical, carrier.centre.0)? {
                Medium::Opaque => body.surface[l] = 0.0,
                Medium::Mesh { pitch, radius } => {
                    let reactance = slab::mesh_reactance(pitch, radius, carrier.centre.0);
                    // 1 / |1 + Z₀/2jX|² a face; none for a mesh without holes.
                    let twice = (2.0 * reactance / FREE_SPACE_IMPEDANCE).powi(2);
                    let face = twice / (twice + 1.0);
                    body.surface[l] = (face * face) as f32;
                }
                Medium::Sheet(ohm) => {
                    let face = 1.0 / (1.0 + FREE_SPACE_IMPEDANCE / (2.0 * ohm)).powi(2);
                    body.surface[l] = (face * face) as f32;
                }
                Medium::Bulk(epsilon) => {
                    let n: Complex64 = epsilon.sqrt();
                    let reflected = ((1.0 - n) / (1.0 + n)).norm_sqr();
                    body.surface[l] = ((1.0 - reflected) * (1.0 - reflected)) as f32;
                    let wave_number = std::f64::consts::TAU * carrier.centre.0 / SPEED_OF_LIGHT;
                    body.decay[l] = (2.0 * wave_number * n.im.abs()) as f32;
                }
            }
        }
        groups.push(body);
    }
    Ok(groups)
}

/// What a block is made of at each carrier's centre.
fn media(object: &Id, electrical: &Electrical, carriers: &[Carrier]) -> Result<Vec<Medium>, PropagationError> {
    let material = Id::from_label(kind(electrical));
    carriers.iter().map(|c| electrical_medium(object, &material, electrical, c.centre.0)).collect()
}

fn kind(electrical: &Electrical) -> &'static str {
    match electrical {
        Electrical::Metal => "metal",
        Electrical::Sheet { .. } => "sheet",
        Electrical::Mesh { .. } => "mesh",
        Electrical::Dielectric { .. } => "dielectric",
    }
}

fn names(home: &Resolved) -> Names {
    Names {
        panels: home
            .panels
            .iter()
            .map(|p| (p.wall.clone(), p.cuts.iter().map(|c| c.opening.clone()).collect()))
            .collect(),
        decks: home.decks.iter().map(|d| d.slab.clone()).collect(),
        blocks: home.blocks.iter().map(|b| (b.object.clone(), Id::from_label(kind(&b.electrical)))).collect(),
        assemblies: home.assemblies.iter().map(|a| a.id.clone()).collect(),
    }
}
