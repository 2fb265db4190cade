//! Materials that homes are built of and ITU-R P.2040 has no row for, each with its own source.
//!
//! Four kinds, so that little rests on memory:
//! - porous or denser forms of a P.2040 material, by refractive mixing with air over density ([`mixed`]);
//! - a published permittivity and loss tangent, held constant over the bands of homes ([`flat`]); a loss tangent that
//!   does not change with frequency is a conductivity that rises with its first power, `σ = 2π ε₀ a tanδ f`;
//! - sheets ([`sheet`]), from a resistivity and a thickness or from a published transmission;
//! - meshes of wire ([`mesh`]), by their pitch and the radius of a wire.

use findings::{Id, Source, SourceKind};

use super::p2040;
use crate::material::{Electrical, Material};

/// `2π ε₀` for a frequency in GHz [S/m], from ε₀ = 8.8541878e-12 F/m (CODATA).
const TWO_PI_EPS0_GHZ: f64 = 0.055_632_503;

/// Half of the impedance of free space [Ω]: a sheet of `R` in air passes the amplitude `1 / (1 + HALF_Z0 / R)`.
const HALF_Z0: f64 = 188.365;

/// Range over which constants that were not measured over a range are held constant here [GHz].
const HOME_BANDS_GHZ: (f64, f64) = (1.0, 10.0);

fn publication(cite: &str) -> Source {
    Source::new(SourceKind::Publication, cite)
}

fn flat(id: &str, name: &str, permittivity: f64, loss_tangent: f64, source: Source) -> Material {
    let c = TWO_PI_EPS0_GHZ * permittivity * loss_tangent;
    law(id, name, (permittivity, c, 1.0), source)
}

/// A material from its permittivity, conductivity at 1 GHz [S/m] and the conductivity's exponent.
fn law(id: &str, name: &str, (a, c, d): (f64, f64, f64), source: Source) -> Material {
    Material {
        id: Id::from_label(id),
        name: name.to_owned(),
        electrical: Electrical::Dielectric { a, b: 0.0, c, d, min_ghz: HOME_BANDS_GHZ.0, max_ghz: HOME_BANDS_GHZ.1 },
        source,
    }
}

fn sheet(id: &str, name: &str, ohm_per_square: f64, source: Source) -> Material {
    Material { id: Id::from_label(id), name: name.to_owned(), electrical: Electrical::Sheet { ohm_per_square }, source }
}

/// A lighter or denser form of a P.2040 material.
///
/// Refractive mixing: the index is the mean by volume of the solid's and the air's, `n = v n₀ + 1 − v`, and the loss per
/// metre scales with `v` (Birchak et al., Proc. IEEE 62 (1974) 93–98). `v` is the ratio of densities [kg/m³]; above one
/// the same law extrapolates to a denser form. Densities are generic figures. Holds while pores are far smaller than the
/// wavelength in the material.
fn mixed(id: &str, name: &str, of: &str, density: f64, of_density: f64) -> Material {
    let source = Source::model(format!(
        "refractive mixing (Birchak et al., Proc. IEEE 62, 1974) of ITU-R P.2040-4 Table 3 {of}, {density} over \
         {of_density} kg/m³ (generic densities)"
    ));
    let v = density / of_density;
    let solid = p2040::p2040_4().into_iter().find(|m| m.id.as_str() == of).map(|m| m.electrical);
    let (a, c, d) = match solid {
        Some(Electrical::Dielectric { a, c, d, .. }) => {
            let n0 = a.sqrt();
            let n = v * n0 + 1.0 - v;
            (n * n, c * v * n / n0, d)
        }
        _ => (1.0, 0.0, 0.0),
    };
    law(id, name, (a, c, d), source)
}

/// Plastic foam: refractive mixing of a solid plastic with air.
fn foam(id: &str, name: &str, solid: (f64, f64), density: f64, solid_density: f64, of: &str) -> Material {
    let v = density / solid_density;
    let n0 = solid.0.sqrt();
    let n = v * n0 + 1.0 - v;
    let loss = solid.0 * solid.1 * v * n / n0;
    let source = Source::model(format!(
        "refractive mixing (Birchak et al., Proc. IEEE 62, 1974) of {of} (permittivity {}, loss tangent {}), {density} \
         over {solid_density} kg/m³ (generic densities)",
        solid.0, solid.1
    ));
    law(id, name, (n * n, TWO_PI_EPS0_GHZ * loss, 1.0), source.from_memory())
}

/// Every material beside those of P.2040.
pub(super) fn beside_p2040() -> Vec<Material> {
    let mut all = insulation();
    all.extend(masonry());
    all.extend(linings());
    all.extend(sheets());
    all
}

fn insulation() -> Vec<Material> {
    let polystyrene = (2.55, 0.0003);
    let polyurethane = (3.2, 0.02);
    vec![
        // Glass and stone wool are glass fibres in air.
        mixed("mineral-wool", "Mineral wool, light (30 kg/m³)", "glass", 30.0, 2500.0),
        mixed("mineral-wool-rigid", "Mineral wool, rigid (120 kg/m³)", "glass", 120.0, 2500.0),
        mixed("cellulose-insulation", "Loose cellulose insulation (55 kg/m³)", "wood", 55.0, 500.0),
        mixed("wood-fibre-board", "Wood fibre insulating board (180 kg/m³)", "wood", 180.0, 500.0),
        foam("eps", "Expanded polystyrene (20 kg/m³)", polystyrene, 20.0, 1050.0, "polystyrene"),
        foam("xps", "Extruded polystyrene (35 kg/m³)", polystyrene, 35.0, 1050.0, "polystyrene"),
        foam("pur-foam", "Rigid polyurethane foam (35 kg/m³)", polyurethane, 35.0, 1200.0, "polyurethane"),
        foam("pur-spray-foam", "Open-cell spray foam (10 kg/m³)", polyurethane, 10.0, 1200.0, "polyurethane"),
    ]
}

fn masonry() -> Vec<Material> {
    vec![
        mixed("mortar", "Mortar and grout (1800 kg/m³)", "concrete", 1800.0, 2300.0),
        mixed("cement-render", "Cement or lime-cement render (1700 kg/m³)", "concrete", 1700.0, 2300.0),
        mixed("screed", "Screed (2000 kg/m³)", "concrete", 2000.0, 2300.0),
        mixed("concrete-block", "Dense concrete block, solid (2000 kg/m³)", "concrete", 2000.0, 2300.0),
        mixed("concrete-block-light", "Lightweight aggregate block (1400 kg/m³)", "concrete", 1400.0, 2300.0),
        mixed("aerated-concrete", "Aerated concrete (600 kg/m³)", "concrete", 600.0, 2300.0),
        mixed("hollow-clay-block", "Hollow clay block as a mixture (850 kg/m³)", "brick", 850.0, 1800.0),
        mixed("fibre-cement", "Fibre-cement board (1400 kg/m³)", "concrete", 1400.0, 2300.0),
        flat(
            "ceramic-tile",
            "Ceramic tile",
            5.5,
            0.012,
            publication("A. von Hippel, Dielectric Materials and Applications (1954), porcelains at 3 to 10 GHz")
                .from_memory(),
        ),
        flat(
            "granite",
            "Granite",
            5.5,
            0.015,
            publication("E. Parkhomenko, Electrical Properties of Rocks (1967)").from_memory(),
        ),
        flat(
            "sandstone",
            "Sandstone, dry",
            4.5,
            0.02,
            publication("E. Parkhomenko, Electrical Properties of Rocks (1967)").from_memory(),
        ),
        flat(
            "limestone",
            "Limestone, dry",
            7.0,
            0.01,
            publication("E. Parkhomenko, Electrical Properties of Rocks (1967)").from_memory(),
        ),
        flat(
            "slate",
            "Slate",
            6.5,
            0.03,
            publication("E. Parkhomenko, Electrical Properties of Rocks (1967)").from_memory(),
        ),
        soil(),
    ]
}

fn linings() -> Vec<Material> {
    vec![
        mixed("gypsum-plaster", "Gypsum plaster (900 kg/m³)", "plasterboard", 900.0, 700.0),
        mixed("lime-plaster", "Lime plaster (1600 kg/m³)", "concrete", 1600.0, 2300.0),
        mixed("clay-plaster", "Clay plaster (1700 kg/m³)", "brick", 1700.0, 1800.0),
        mixed("osb", "Oriented strand board (620 kg/m³)", "chipboard", 620.0, 650.0),
        mixed("fibreboard", "Medium-density fibreboard (750 kg/m³)", "chipboard", 750.0, 650.0),
        mixed("laminate-floor", "Laminate floor on high-density fibreboard (850 kg/m³)", "chipboard", 850.0, 650.0),
        flat(
            "pvc",
            "Rigid PVC",
            2.71,
            0.006,
            publication(
                "Riddle, Baker-Jarvis, Krupka, IEEE Trans. MTT 51(3), 2003, p. 727: PVC at 11 GHz, as a compilation quotes it",
            ),
        ),
        flat(
            "polyethylene",
            "Polyethylene film",
            2.37,
            0.0002,
            publication(
                "Riddle, Baker-Jarvis, Krupka, IEEE Trans. MTT 51(3), 2003, p. 727: HDPE at 11.3 GHz, as a compilation quotes it",
            ),
        ),
        flat(
            "acrylic",
            "Acrylic glass",
            2.61,
            0.01,
            publication(
                "Riddle, Baker-Jarvis, Krupka, IEEE Trans. MTT 51(3), 2003, p. 727: PMMA at 11 GHz, as a compilation quotes it",
            ),
        ),
        flat(
            "bitumen",
            "Bitumen sheet and asphalt shingle",
            2.8,
            0.02,
            publication("A. von Hippel, Dielectric Materials and Applications (1954), asphalts, with mineral filler")
                .from_memory(),
        ),
        flat(
            "rubber-membrane",
            "Rubber (EPDM) membrane",
            4.0,
            0.034,
            publication(
                "A. von Hippel, Dielectric Materials and Applications (1954), filled neoprene at 3 GHz as a compilation quotes it, taken for EPDM",
            ),
        ),
    ]
}

fn sheets() -> Vec<Material> {
    // 30 dB of transmission loss in air; the panes' own ripple is left in.
    let coated = HALF_Z0 / (10f64.powf(30.0 / 20.0) - 1.0);
    let resistivity = "CRC Handbook of Chemistry and Physics, resistivity of pure metals at 20 °C";
    vec![
        sheet(
            "low-e-coating",
            "Low-emissivity coating, soft",
            coated,
            publication(
                "Kiani et al., Transmission analysis of energy saving glass windows, IEEE AP-S 2008: about 30 dB from 0.8 to \
                 6 GHz at normal incidence, taken as one sheet in air",
            ),
        ),
        sheet("low-e-coating-hard", "Low-emissivity coating, hard (pyrolytic)", 15.0, Source::generic().from_memory()),
        // 26.5 nΩ m over 9 µm. Foil is thicker than its skin depth (1.7 µm at 2.4 GHz), so this is its least loss.
        sheet("aluminium-foil", "Aluminium foil (9 µm)", 26.5e-9 / 9e-6, publication(resistivity).from_memory()),
        sheet(
            "metallised-film",
            "Metallised film (aluminium, 30 nm)",
            26.5e-9 / 30e-9,
            publication(resistivity).from_memory(),
        ),
        sheet(
            "silvering",
            "Silvering of a mirror (silver, 70 nm)",
            15.9e-9 / 70e-9,
            publication(resistivity).from_memory(),
        ),
        mesh("metal-lath", "Expanded metal lath (10 mm mesh)", 10.0, 0.5),
        mesh("wire-mesh", "Wire mesh in render (25 mm)", 25.0, 0.5),
    ]
}

/// A metal mesh by its pitch and the radius of its wires [mm].
///
/// Its reactance, `X = Z₀ (p/λ) ln(p / 2πr)` while pitch and radius are well below the wavelength, belongs to whoever computes
/// losses. The lath's strands are flat and its openings are diamonds: a wire of a quarter of a strand's width stands for a strand
/// (N. Marcuvitz, Waveguide Handbook, 1951, from memory), a square of about the opening's size for a diamond.
fn mesh(id: &str, name: &str, pitch_mm: f64, radius_mm: f64) -> Material {
    let source = Source::model(
        "inductive grid of wires, generic pitch and wire (N. Marcuvitz, Waveguide Handbook, 1951; J. Wait, Can. J. Phys. 32, 1954)",
    );
    let electrical = Electrical::Mesh { pitch: pitch_mm / 1e3, radius: radius_mm / 1e3 };
    Material { id: Id::from_label(id), name: name.to_owned(), electrical, source: source.from_memory() }
}

/// Loam with 0.20 of its volume water, 20 °C: a power law through [`moist_soil`] at 2 and 8 GHz.
fn soil() -> Material {
    let (low, high) = (moist_soil(2.0), moist_soil(8.0));
    let sigma = |(_, loss): (f64, f64), ghz: f64| TWO_PI_EPS0_GHZ * loss * ghz;
    let d = (sigma(high, 8.0) / sigma(low, 2.0)).ln() / 4f64.ln();
    let c = sigma(low, 2.0) / 2f64.powf(d);
    let source = Source::model(
        "refractive mixing (Birchak et al., Proc. IEEE 62, 1974): 0.55 mineral (permittivity 4.7), 0.20 water, 0.25 air; \
         water by a single Debye relaxation at 20 °C (80.1, 5.2, 9.4 ps)",
    );
    law("soil", "Soil, 0.20 water by volume", ((low.0 + high.0) / 2.0, c, d), source.from_memory())
}

/// Real part and loss of the permittivity of the soil of [`soil`].
fn moist_soil(ghz: f64) -> (f64, f64) {
    let wt = std::f64::consts::TAU * ghz * 9.4e-3;
    let (real, loss) = (5.2 + 74.9 / (1.0 + wt * wt), 74.9 * wt / (1.0 + wt * wt));
    let modulus = real.hypot(loss);
    let (n_water, k_water) = (((modulus + real) / 2.0).sqrt(), ((modulus - real) / 2.0).sqrt());
    let (n, k) = (0.55 * 4.7f64.sqrt() + 0.20 * n_water + 0.25, 0.20 * k_water);
    (n * n - k * k, 2.0 * n * k)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moist_soil_agrees_with_the_topp_curve() {
        // Topp, Davis, Annan, Water Resour. Res. 16 (1980): 3.03 + 9.3 θ + 146 θ² − 76.7 θ³; valid near 1 GHz.
        let topp = 3.03 + 9.3 * 0.2 + 146.0 * 0.04 - 76.7 * 0.008;
        assert!((moist_soil(1.0).0 / topp - 1.0).abs() < 0.1, "{} against {topp}", moist_soil(1.0).0);
    }

    #[test]
    fn the_soil_law_stays_within_5_percent_of_its_model() {
        let law = soil().electrical;
        for tenths in 24..=71 {
            let ghz = f64::from(tenths) / 10.0;
            let (real, loss) = moist_soil(ghz);
            let (a, sigma) = law.permittivity(units::Hertz::from_ghz(ghz)).unwrap();
            assert!(
                (a / real - 1.0).abs() < 0.05 && (sigma / (TWO_PI_EPS0_GHZ * loss * ghz) - 1.0).abs() < 0.05,
                "{ghz}"
            );
        }
    }

    #[test]
    fn a_coated_pane_passes_a_thousandth_of_the_power() {
        let Electrical::Sheet { ohm_per_square } = sheets()[0].electrical else { panic!("a sheet") };
        let loss = 20.0 * (1.0 + HALF_Z0 / ohm_per_square).log10();
        assert!((loss - 30.0).abs() < 1e-9 && (ohm_per_square - 6.15).abs() < 0.01, "{ohm_per_square}");
    }

    #[test]
    fn mixing_at_full_density_gives_the_solid_back() {
        let same = mixed("x", "x", "concrete", 2300.0, 2300.0).electrical;
        let Electrical::Dielectric { a, c, d, .. } = same else { panic!("a dielectric") };
        assert!((a - 5.24).abs() < 1e-12 && (c - 0.0462).abs() < 1e-12 && d == 0.7822);
    }
}
