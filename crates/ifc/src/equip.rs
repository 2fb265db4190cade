//! Outlets, fixed metal and the demarcation point of the chosen dwelling.

use building::{Circuit, Demarcation, FixedObject, Opening, OpeningKind, Outlet, OutletKind, WallKind};
use findings::Id;
use units::{Metres, Point2};

use crate::build::{Builder, id, tidy};
use crate::electrical::{Device, What};
use crate::report::Collector;
use crate::storeys::{level_at, unique};

/// Outlets this far outside a room's outline still belong to it: they sit on its walls [m].
const OUTLET_REACH: f64 = 0.3;
/// A terminal board outside the dwelling is taken for its demarcation point within this distance [m].
const BOARD_REACH: f64 = 10.0;

impl Builder<'_> {
    /// Takes the devices that belong to the dwelling, and places its demarcation point.
    pub fn devices(&mut self, devices: &[Device], report: &mut Collector) {
        let mut boards: Vec<(f64, &Device)> = Vec::new();
        for d in devices {
            let near = self.view.nearest(d.at, d.z);
            let is_here = self.is_whole || near.is_some_and(|(r, s)| r <= OUTLET_REACH && self.has_space(s));
            let level = near.filter(|n| n.0 <= OUTLET_REACH).map_or_else(
                || level_at(d.z, &self.home.levels),
                |n| level_at(d.z, &self.home.levels).max(self.home.spaces[n.1].level),
            );
            let (storey, floor) = self.storey(level, d.z);
            match &d.what {
                What::Board => {
                    let own = (0..self.home.spaces.len())
                        .filter(|i| self.has_space(*i))
                        .map(|i| {
                            let s = &self.home.spaces[i];
                            let rise = (s.z0 - d.z).max(d.z - s.z1).max(0.);
                            s.area.distance(d.at).hypot(rise)
                        })
                        .fold(if self.is_whole { 0. } else { f64::INFINITY }, f64::min);
                    boards.push((own, d));
                }
                What::Outlet(kind) if is_here => {
                    let n = self.building.outlets.len() + 1;
                    let outlet_id = format!("o{n}");
                    let name = match kind {
                        OutletKind::Mains => "mains outlets",
                        OutletKind::Data => "data outlets",
                        OutletKind::Coax => "coaxial outlets",
                        OutletKind::Phone => "telephone outlets",
                    };
                    report.understood(name, outlet_id.clone());
                    let circuit = d.circuit.as_ref().map(|c| self.circuit(c));
                    self.building.outlets.push(Outlet {
                        id: id(&outlet_id),
                        kind: *kind,
                        storey,
                        at: self.shift.plan(d.at),
                        height: Metres(tidy(d.z - floor)),
                        circuit,
                        model_id: Some(d.global_id.clone()),
                    });
                }
                What::Metal { name, outline, z0, height } if is_here => {
                    let object_id = unique(Id::from_label(name).as_str(), |i| {
                        self.building.fixed_objects.iter().any(|o| o.id.as_str() == i)
                    });
                    report.guessed(
                        "fixed things of metal",
                        "by their names; an upright metal box around their shape",
                        object_id.clone(),
                    );
                    self.building.fixed_objects.push(FixedObject {
                        id: id(&object_id),
                        name: (*name).to_owned(),
                        storey,
                        outline: outline.iter().map(|p| self.shift.plan(*p)).collect(),
                        base: Metres(tidy(z0 - floor)),
                        height: Metres(tidy(*height)),
                        material: Id::from_label("metal"),
                        model_id: Some(d.global_id.clone()),
                    });
                    if *name == "panelboard" && d.circuit.is_none() {
                        report.left_out(
                            "circuits",
                            "the model relates no outlet to this panelboard",
                            d.global_id.clone(),
                        );
                    }
                }
                What::Outlet(_) => report.left_out(
                    "outlets",
                    "they are more than 0.3 m from every room of the dwelling, or nearer to another's",
                    d.global_id.clone(),
                ),
                What::Metal { .. } => {
                    report.left_out(
                        "fixed things of metal",
                        "they stand in no room of the dwelling",
                        d.global_id.clone(),
                    );
                }
            }
        }
        self.demarcation(boards, report);
    }

    fn circuit(&mut self, name: &str) -> Id {
        let wanted = Id::from_label(name);
        if !self.building.circuits.iter().any(|c| c.id == wanted) {
            self.building.circuits.push(Circuit { id: wanted.clone(), name: name.to_owned() });
        }
        wanted
    }

    fn demarcation(&mut self, mut boards: Vec<(f64, &Device)>, report: &mut Collector) {
        boards.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (distance, d) in &boards {
            if *distance <= BOARD_REACH && self.building.demarcation.is_none() {
                let (storey, floor) = self.storey(level_at(d.z, &self.home.levels), d.z);
                self.building.demarcation = Some(Demarcation {
                    storey,
                    at: self.shift.plan(d.at),
                    height: Metres(tidy(d.z - floor)),
                    model_id: Some(d.global_id.clone()),
                });
                if *distance > OUTLET_REACH {
                    report.guessed(
                        "demarcation point",
                        &format!(
                            "the telephone terminal board is outside the dwelling, {distance:.1} m from its nearest room; boards within {BOARD_REACH} m serve it"
                        ),
                        d.global_id.clone(),
                    );
                } else {
                    report.understood("demarcation point: the telephone terminal board", d.global_id.clone());
                }
            } else {
                report.left_out(
                    "terminal boards",
                    "another is nearer, or they are too far from the dwelling",
                    d.global_id.clone(),
                );
            }
        }
        if self.building.demarcation.is_none() {
            self.guess_demarcation(report);
        }
    }

    /// Beside the lowest outer door, where lines usually enter.
    fn guess_demarcation(&mut self, report: &mut Collector) {
        let outer = |o: &&Opening| {
            o.kind == OpeningKind::Door
                && self.building.walls.iter().any(|w| w.id == o.wall && w.kind == WallKind::Outer)
        };
        let height =
            |storey: &Id| self.building.storeys.iter().find(|s| s.id == *storey).map_or(0., |s| s.elevation.value());
        let door = self.building.openings.iter().filter(outer).min_by(|a, b| {
            let z = |o: &Opening| self.building.walls.iter().find(|w| w.id == o.wall).map_or(0., |w| height(&w.storey));
            z(a).total_cmp(&z(b))
        });
        let Some((door, wall)) = door.and_then(|d| Some((d, self.building.walls.iter().find(|w| w.id == d.wall)?)))
        else {
            report.left_out("demarcation point", "the models show no terminal board and no outer door", "demarcation");
            return;
        };
        let length = wall.from.distance(wall.to).max(1e-9);
        // A hand's breadth beyond the jamb, on the side with more wall.
        let after = door.at.value() + door.width.value() + 0.3;
        let s = if after < length { after } else { (door.at.value() - 0.3).max(0.) };
        let at = Point2::new(
            wall.from.x + (wall.to.x - wall.from.x) * s / length,
            wall.from.y + (wall.to.y - wall.from.y) * s / length,
        );
        report.guessed(
            "demarcation point",
            "the models show no terminal board: beside the lowest outer door, 1.2 m above the floor (common practice, no source)",
            door.id.as_str(),
        );
        self.building.demarcation =
            Some(Demarcation { storey: wall.storey.clone(), at, height: Metres(1.2), model_id: None });
    }
}
