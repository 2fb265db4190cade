//! Every built-in assembly over the Wi-Fi bands: it can be computed, and trade expectations hold as order.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

use building::{Assembly, ResolvedAssembly, ResolvedFraming, ResolvedLayer, library};
use propagation::wall::Wall;
use propagation::{Carrier, Tolerance};
use units::{Hertz, Metres};

fn resolved(assembly: &Assembly) -> ResolvedAssembly {
    let material = |id: &findings::Id| library::material(id.as_str()).unwrap().clone();
    let layers = assembly
        .layers
        .iter()
        .map(|l| ResolvedLayer {
            material: material(&l.material),
            thickness: l.thickness.0,
            framing: l.framing.as_ref().map(|f| ResolvedFraming {
                material: material(&f.material),
                spacing: f.spacing.0,
                width: f.width.0,
            }),
        })
        .collect();
    ResolvedAssembly { id: assembly.id.clone(), name: assembly.name.clone(), layers }
}

fn carriers() -> [Carrier; 3] {
    [(2437.0, 20.0), (5250.0, 80.0), (7025.0, 160.0)]
        .map(|(centre, width)| Carrier::new(Hertz::from_mhz(centre), Hertz::from_mhz(width)))
}

#[test]
fn every_assembly_can_be_computed() {
    for assembly in library::assemblies() {
        let resolved = resolved(assembly);
        let losses = carriers().map(|carrier| {
            let wall = Wall::new(&resolved, carrier, Tolerance::default()).unwrap();
            for cos in [1.0, 0.7, 0.2, 0.0] {
                let r = wall.at(cos);
                assert!(r.te > 0.0 && r.te <= 1.0 && r.tm > 0.0 && r.tm <= 1.0 + 1e-12, "{}: {r:?}", assembly.id);
                assert!(r.cross.norm() <= (r.te * r.tm).sqrt() + 1e-12, "{}: {r:?}", assembly.id);
            }
            -10.0 * wall.at(1.0).te.log10()
        });
        let [a, b, c] = losses;
        println!("{:40} {:5.0} mm {a:6.2} {b:6.2} {c:6.2} dB", assembly.id.as_str(), Metres::mm(assembly.thickness()));
    }
}
