//! Doors, windows and gaps, placed along their walls.

use building::OpeningKind;

use crate::ImportError;
use crate::entity::Entity;
use crate::geometry::Geometry;
use crate::plan::P2;
use crate::report::Collector;
use crate::transform::Vec3;
use crate::walls::Piece;

/// An opening in a wall piece.
#[derive(Clone, Debug)]
pub(crate) struct Hole {
    pub global_id: String,
    pub kind: OpeningKind,
    /// Index of the wall piece.
    pub piece: usize,
    /// From the piece's start to both jambs [m].
    pub s0: f64,
    pub s1: f64,
    /// Lower and upper edge [m].
    pub z0: f64,
    pub z1: f64,
    /// Names of what fills it, lower case.
    pub words: String,
}

const DOORS: &[&str] = &["IFCDOOR", "IFCDOORSTANDARDCASE"];
const WINDOWS: &[&str] = &["IFCWINDOW", "IFCWINDOWSTANDARDCASE"];
/// Share of a wall's thickness that an opening must go through to be one.
const THROUGH: f64 = 0.8;

impl<'m> Geometry<'m> {
    /// Every opening in a wall, in file order of the walls.
    pub fn holes(&self, pieces: &[Piece], report: &mut Collector) -> Result<Vec<Hole>, ImportError> {
        let mut holes = Vec::new();
        let mut hosts: Vec<u32> = pieces.iter().map(|p| p.entity).collect();
        hosts.dedup();
        for host in hosts {
            let own: Vec<usize> = (0..pieces.len()).filter(|i| pieces[*i].entity == host).collect();
            for opening in self.model.voids.get(&host).into_iter().flatten() {
                let opening = self.model.entity(*opening);
                let filler = self.model.filler.get(&opening.index).map(|f| self.model.entity(*f));
                let corners = match self.body(opening)? {
                    Some(body) => body.corners(),
                    None => match filler {
                        Some(f) => self.body(f)?.map(|b| b.corners()).unwrap_or_default(),
                        None => Vec::new(),
                    },
                };
                self.place(opening, filler, &corners, &own, pieces, &mut holes, report);
            }
        }
        let filled: std::collections::BTreeSet<u32> = self.model.filler.values().copied().collect();
        for e in self.model.all(&[DOORS, WINDOWS].concat()).into_iter().filter(|e| !filled.contains(&e.index)) {
            self.place_alone(e, pieces, &mut holes, report)?;
        }
        Ok(holes)
    }

    #[expect(clippy::too_many_arguments, reason = "one place joins the opening, its filler, its host and the results")]
    fn place(
        &self,
        opening: Entity<'m>,
        filler: Option<Entity<'m>>,
        corners: &[Vec3],
        own: &[usize],
        pieces: &[Piece],
        holes: &mut Vec<Hole>,
        report: &mut Collector,
    ) {
        let named = filler.unwrap_or(opening);
        let kind = match filler {
            Some(f) if f.is(DOORS) => OpeningKind::Door,
            Some(f) if f.is(WINDOWS) => OpeningKind::Window,
            Some(_) => {
                report.left_out("openings", "what fills them is neither door nor window", named.global_id());
                return;
            }
            None => OpeningKind::Gap,
        };
        // The piece that holds most of it.
        let spot = |i: usize| {
            let mut low = [f64::INFINITY; 2];
            let mut high = [f64::NEG_INFINITY; 2];
            for c in corners {
                let q = pieces[i].coordinates([c[0], c[1]]);
                for k in 0..2 {
                    low[k] = low[k].min(q[k]);
                    high[k] = high[k].max(q[k]);
                }
            }
            (low, high)
        };
        let overlap = |i: usize| {
            let (low, high) = spot(i);
            let across = high[1].min(pieces[i].thickness / 2.) - low[1].max(-pieces[i].thickness / 2.);
            if across <= 0. { 0. } else { high[0].min(pieces[i].length()) - low[0].max(0.) }
        };
        let best = own.iter().copied().max_by(|a, b| overlap(*a).total_cmp(&overlap(*b)));
        let Some(i) = best.filter(|i| overlap(*i) > 0.05) else {
            report.left_out("openings", "they have no shape within their wall", named.global_id());
            return;
        };
        let (low, high) = spot(i);
        let piece = &pieces[i];
        let half = piece.thickness / 2.;
        let depth = high[1].min(half) - low[1].max(-half);
        if filler.is_none() && depth < THROUGH * piece.thickness {
            report.left_out("openings", "they are recesses that do not go through the wall", named.global_id());
            return;
        }
        let z = corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, c| (m.0.min(c[2]), m.1.max(c[2])));
        let (z0, z1) = (z.0.max(piece.z0), z.1.min(piece.z1));
        let (s0, s1) = (low[0].max(0.), high[0].min(piece.length()));
        if z1 - z0 < 0.05 {
            report.left_out("openings", "they lie above or below their wall", named.global_id());
            return;
        }
        holes.push(Hole {
            global_id: named.global_id(),
            kind,
            piece: i,
            s0,
            s1,
            z0,
            z1,
            words: self.model.words(named),
        });
        report.understood(
            match kind {
                OpeningKind::Door => "doors",
                OpeningKind::Window => "windows",
                OpeningKind::Gap => "gaps",
            },
            named.global_id(),
        );
    }

    /// A door or window without an opening: in the wall whose line runs through it.
    fn place_alone(
        &self,
        e: Entity<'m>,
        pieces: &[Piece],
        holes: &mut Vec<Hole>,
        report: &mut Collector,
    ) -> Result<(), ImportError> {
        let corners = self.body(e)?.map(|b| b.corners()).unwrap_or_default();
        let count = corners.len() as f64;
        let sum = corners.iter().fold([0.; 3], |s, c| crate::transform::add(s, *c));
        let centre: P2 = [sum[0] / count, sum[1] / count];
        let z = corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, c| (m.0.min(c[2]), m.1.max(c[2])));
        let host = (0..pieces.len())
            .filter(|i| {
                let p = &pieces[*i];
                let q = p.coordinates(centre);
                q[0] > 0. && q[0] < p.length() && q[1].abs() < p.thickness / 2. + 0.1 && z.0 < p.z1 && z.1 > p.z0
            })
            .min_by(|a, b| pieces[*a].coordinates(centre)[1].abs().total_cmp(&pieces[*b].coordinates(centre)[1].abs()));
        match host {
            Some(i) => {
                report.guessed(
                    "doors and windows without an opening",
                    "they are put into the wall whose centre line is nearest",
                    e.global_id(),
                );
                self.place(e, Some(e), &corners, &[i], pieces, holes, report);
            }
            None => report.left_out("doors and windows", "no wall lies around them", e.global_id()),
        }
        Ok(())
    }
}
