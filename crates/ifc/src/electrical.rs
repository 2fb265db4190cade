//! Outlets, the board where lines enter, and large metal things, from the electrical model or the architecture itself.

use building::OutletKind;

use crate::ImportError;
use crate::entity::Entity;
use crate::geometry::Geometry;
use crate::plan::{P2, least_rectangle};
use crate::report::Collector;
use crate::transform::Vec3;
use crate::words::{Terminal, appliance, has_word, terminal};

/// A terminal, board or metal thing in the world.
#[derive(Clone, Debug)]
pub(crate) struct Device {
    pub global_id: String,
    pub what: What,
    /// Middle in plan and height [m].
    pub at: P2,
    pub z: f64,
    /// Group that feeds it, if the model relates it to one.
    pub circuit: Option<String>,
}

/// What a device is.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum What {
    Outlet(OutletKind),
    Board,
    /// A fixed object of metal with its outline, foot and height [m].
    Metal {
        name: &'static str,
        outline: Vec<P2>,
        z0: f64,
        height: f64,
    },
}

/// Entities among which devices are looked for.
const DEVICES: &[&str] = &[
    "IFCFLOWTERMINAL",
    "IFCFLOWCONTROLLER",
    "IFCBUILDINGELEMENTPROXY",
    "IFCENERGYCONVERSIONDEVICE",
    "IFCFURNISHINGELEMENT",
    "IFCFURNITURE",
    "IFCOUTLET",
    "IFCELECTRICAPPLIANCE",
    "IFCCOMMUNICATIONSAPPLIANCE",
    "IFCAUDIOVISUALAPPLIANCE",
    "IFCELECTRICDISTRIBUTIONBOARD",
    "IFCELECTRICDISTRIBUTIONPOINT",
    "IFCDISTRIBUTIONBOARD",
    "IFCBOILER",
    "IFCTANK",
    "IFCSPACEHEATER",
    "IFCUNITARYEQUIPMENT",
    "IFCLIGHTFIXTURE",
    "IFCSWITCHINGDEVICE",
];

/// Things smaller than this in plan or height neither stop nor reflect much [m]: a few wavelengths at 2.4 GHz.
const LEAST_METAL: f64 = 0.25;

impl<'m> Geometry<'m> {
    /// Devices of a model, in file order.
    pub fn devices(&self, report: &mut Collector) -> Result<Vec<Device>, ImportError> {
        let mut devices = Vec::new();
        for e in self.model.all(DEVICES) {
            let mut words = self.model.words(e);
            if let Some(t) = self.model.type_of.get(&e.index).map(|t| self.model.entity(*t)) {
                words.push(' ');
                words.push_str(&t.name(9).to_lowercase());
            }
            words.push(' ');
            words.push_str(&e.name(8).to_lowercase());
            let terminal = terminal(&words);
            let metal = appliance(&words);
            if terminal.is_none() && metal.is_none() {
                report.left_out(
                    left_out_as(e, &words),
                    "they are no outlet and no large thing of metal",
                    e.global_id(),
                );
                continue;
            }
            let corners: Vec<Vec3> = match self.body(e)? {
                Some(body) => body.corners(),
                None => vec![self.model.placement(e)?.origin],
            };
            let flat: Vec<P2> = corners.iter().map(|c| [c[0], c[1]]).collect();
            let (low, high) = crate::plan::bounds(&flat);
            let z = corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, c| (m.0.min(c[2]), m.1.max(c[2])));
            if ![low[0], low[1], high[0], high[1], z.0, z.1].iter().all(|c| c.is_finite() && c.abs() < 1e7) {
                report.left_out("devices", "their place is no number", e.global_id());
                continue;
            }
            let what = match (terminal, metal) {
                (Some(Terminal::Mains), _) => What::Outlet(OutletKind::Mains),
                (Some(Terminal::Data), _) => What::Outlet(OutletKind::Data),
                (Some(Terminal::Coax), _) => What::Outlet(OutletKind::Coax),
                (Some(Terminal::Phone), _) => What::Outlet(OutletKind::Phone),
                (Some(Terminal::Board), _) => What::Board,
                (None, Some(name)) => {
                    let sides = self.own_rectangle(e, &flat)?.map(|r| {
                        ((r[1][0] - r[0][0]).hypot(r[1][1] - r[0][1]), (r[2][0] - r[1][0]).hypot(r[2][1] - r[1][1]), r)
                    });
                    match sides {
                        Some((long, short, r)) if long >= LEAST_METAL && short > 0.02 && z.1 - z.0 >= LEAST_METAL => {
                            What::Metal { name, outline: r.to_vec(), z0: z.0, height: z.1 - z.0 }
                        }
                        _ => {
                            report.left_out("appliances", "they are small or have no shape", e.global_id());
                            continue;
                        }
                    }
                }
                (None, None) => continue,
            };
            let circuit =
                self.model.groups.get(&e.index).into_iter().flatten().map(|g| self.model.entity(*g)).find(|g| {
                    g.is(&["IFCELECTRICALCIRCUIT", "IFCDISTRIBUTIONCIRCUIT"])
                        || (g.is(&["IFCSYSTEM", "IFCDISTRIBUTIONSYSTEM"])
                            && g.text(2).is_some_and(|n| n.to_lowercase().contains("circuit")))
                });
            devices.push(Device {
                global_id: e.global_id(),
                what,
                at: [(low[0] + high[0]) / 2., (low[1] + high[1]) / 2.],
                z: (z.0 + z.1) / 2.,
                circuit: circuit.and_then(|c| c.text(2).or_else(|| c.text(7))),
            });
        }
        Ok(devices)
    }

    /// The box around points in plan along the object's own axes, unless a turned one is much smaller.
    fn own_rectangle(&self, e: Entity<'m>, points: &[P2]) -> Result<Option<[P2; 4]>, ImportError> {
        let x = self.model.placement(e)?.x;
        let length = x[0].hypot(x[1]);
        let (Some(least), true) = (least_rectangle(points), length > 0.5) else { return Ok(least_rectangle(points)) };
        let u = [x[0] / length, x[1] / length];
        let turned: Vec<P2> = points.iter().map(|p| [p[0] * u[0] + p[1] * u[1], p[1] * u[0] - p[0] * u[1]]).collect();
        let (l, h) = crate::plan::bounds(&turned);
        let own = [[l[0], l[1]], [h[0], l[1]], [h[0], h[1]], [l[0], h[1]]]
            .map(|p| [p[0] * u[0] - p[1] * u[1], p[0] * u[1] + p[1] * u[0]]);
        let size = |r: &[P2; 4]| crate::plan::signed_area(r).abs();
        Ok(Some(if size(&own) <= OWN_AXES * size(&least) { own } else { least }))
    }
}

/// Area by which a box along an object's own axes may exceed the least box.
const OWN_AXES: f64 = 1.2;

/// A group name for things that are of no use here.
fn left_out_as(e: Entity<'_>, words: &str) -> &'static str {
    if has_word(words, "light") || has_word(words, "lamp") || e.is(&["IFCLIGHTFIXTURE"]) {
        if has_word(words, "switch") || has_word(words, "switches") { "light switches" } else { "lights" }
    } else if has_word(words, "lighting") || has_word(words, "switch") {
        "light switches"
    } else if has_word(words, "smoke") || has_word(words, "alarm") || has_word(words, "detector") {
        "alarm devices"
    } else if e.is(&["IFCFURNISHINGELEMENT", "IFCFURNITURE"]) {
        "furniture"
    } else {
        "other equipment"
    }
}
