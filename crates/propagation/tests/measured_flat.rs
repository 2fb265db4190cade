//! A furnished flat whose signal strengths were measured: predicted blind, then scored.
//!
//! # What was decided before any measured value was read
//! Known: the inner faces of the walls (`layout.csv`), the anchors' places (`anchors.csv`), the places of the test path
//! (columns x and y of `test_robot_df.csv`), that it is a furnished flat in a block in Central Europe at 2.4 GHz, and how
//! three simpler models fare by the same protocol (free space 5.39 dB, 4.3 dB a wall 4.55 dB, a fit 4.13 dB). Nothing was fitted.
//!
//! - **Walls.** Two faces make a wall, its thickness is their distance: partitions of 0.10, 0.11, 0.11 and 0.12 m, and 0.17
//!   and 0.19 m round the bathroom. Plastered masonry, as usual in blocks of flats there: brick between 10 mm of gypsum
//!   plaster, the brick as thick as is left; round the bathroom 8 mm of tile in 4 mm of mortar on its side. The thickness
//!   would also admit plasterboard on steel studs or aerated blocks, which lose less, and dense concrete blocks, which lose
//!   more; brick stands in the middle, and it is a row of ITU-R P.2040-4.
//! - **Pier.** The closed box at the hall, 0.44 × 0.33 m, is a column of concrete from floor to ceiling.
//! - **Doors.** The gaps with two jambs (0.79 and 0.82 m) are doorways 2.05 m high, open: a robot drove through, and an open
//!   leaf cannot be seen in the layout. The wide gaps (1.10, 1.18 and 2.28 m) are open up to the ceiling.
//! - **Outer walls.** One face is seen. One-brick wall, plastered (`brick-solid-215`), without windows, since none is
//!   known. The same towards the neighbours and the recess at the lower right. There the inner face jumps by 5 cm; one plane
//!   through the middle is taken.
//! - **Floors.** Reinforced concrete with a floating screed (`concrete-slab-200-screed`) below and above. Ceiling at
//!   2.70 m: the highest anchor is at 2.62 m, and 2.70 m is the next usual height.
//! - **Furniture.** None; where it stands is not known.
//! - **Radio.** Tag at 1.3 m, vertical and isotropic since its orientation is not known; anchors take in both polarisations
//!   (the mean of two perpendicular antennas). 2402, 2426 and 2480 MHz, 2 MHz wide, the mean of their powers.
//! - **Paths.** Up to three reflections, and diffraction.
//! - **Score.** Cells of 0.5 m with at least five received rows; measured value the mean of the decibels, prediction the mean
//!   of the decibels over the same rows; one offset for all, the mean difference; root mean square over all cells and anchors.
//!
//! The choices above and the prediction (`predicted.csv`) were committed first; then it was scored once: 4.15 dB. What
//! other choices would have given is in the crate's README, and changes nothing here.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use std::collections::BTreeMap;
use std::sync::LazyLock;

use building::{Block, Deck, Panel, Resolved, ResolvedAssembly, ResolvedFraming, ResolvedLayer, library};
use common::{cut, deck, id, panel, rectangle};
use propagation::{Carrier, PathConfig, Scene};
use rayon::prelude::*;
use units::{Hertz, Point3};

const CEILING: f64 = 2.70;
const DOOR_HEAD: f64 = 2.05;
const TAG_HEIGHT: f64 = 1.3;

/// The rows of a table of numbers with a heading.
fn table(text: &str) -> Vec<Vec<f64>> {
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    rows.records().map(|r| r.unwrap().iter().map(|cell| cell.parse().unwrap()).collect()).collect()
}

fn anchors() -> Vec<Point3> {
    let rows = table(include_str!("data/measured-flat/anchors.csv"));
    rows.iter().map(|r| Point3::new(r[1], r[2], r[3])).collect()
}

/// A row of the test path: where the tag was, and what each anchor received \[dBm\].
struct Row {
    tag: Point3,
    received: Vec<Option<f64>>,
}

fn rows() -> Vec<Row> {
    let mut rows = csv::Reader::from_reader(include_str!("data/measured-flat/test_robot_df.csv").as_bytes());
    let row = |r: csv::StringRecord| Row {
        tag: Point3::new(r[2].parse().unwrap(), r[4].parse().unwrap(), TAG_HEIGHT),
        received: (5..11).map(|i| r[i].parse().ok()).collect(),
    };
    rows.records().map(|r| row(r.unwrap())).collect()
}

fn solid(material: &str, mm: f64) -> ResolvedLayer {
    ResolvedLayer { material: library::material(material).unwrap().clone(), thickness: mm / 1000.0, framing: None }
}

/// An assembly of the built-in library.
fn built_in(name: &str) -> ResolvedAssembly {
    let assembly = library::assembly(name).unwrap();
    let layers = assembly.layers.iter().map(|l| {
        let framing = l.framing.as_ref().map(|f| ResolvedFraming {
            material: library::material(f.material.as_str()).unwrap().clone(),
            spacing: f.spacing.0,
            width: f.width.0,
        });
        ResolvedLayer { framing, ..solid(l.material.as_str(), l.thickness.0 * 1000.0) }
    });
    ResolvedAssembly { id: assembly.id.clone(), name: assembly.name.clone(), layers: layers.collect() }
}

/// Masonry between plaster, and tiled on its right side if it stands by the bathroom.
fn plastered(core: &str, mm: f64, is_tiled: bool) -> ResolvedAssembly {
    let mut layers = vec![solid("gypsum-plaster", 10.0)];
    if is_tiled {
        layers.extend([solid(core, mm - 22.0), solid("mortar", 4.0), solid("ceramic-tile", 8.0)]);
    } else {
        layers.extend([solid(core, mm - 20.0), solid("gypsum-plaster", 10.0)]);
    }
    common::assembly(&format!("{core}-{mm}"), layers)
}

/// The flat, with an inner wall's assembly by its thickness \[mm\] and whether it is tiled, and the outer walls'.
fn flat(inner: impl Fn(f64, bool) -> ResolvedAssembly, outer: ResolvedAssembly) -> Resolved {
    let mut slab = built_in("concrete-slab-200-screed");
    // The library's reinforcement as it was when the prediction was written down: bars one way only. With bars both ways, as it has
    // them since, the score is 4.17 instead of 4.15 dB.
    slab.layers.iter_mut().filter_map(|l| l.framing.as_mut()).for_each(|bars| bars.width = 0.010);
    let thickness = |assembly: &ResolvedAssembly| assembly.layers.iter().map(|l| l.thickness).sum::<f64>();
    let (o, depth) = (thickness(&outer) / 2.0, thickness(&slab));
    let mut home = Resolved::default();
    let mut wall = |name: &str, a: [f64; 2], b: [f64; 2], assembly: ResolvedAssembly| -> Panel {
        home.assemblies.push(assembly);
        panel(name, a, b, (0.0, CEILING), home.assemblies.len() - 1)
    };
    // Clockwise, so that their first layer is outside.
    let corners = [
        ("right-lower", [6.245 + o, 4.19 - o], [6.245 + o, -o]),
        ("lower", [6.245 + o, -o], [-o, -o]),
        ("left", [-o, -o], [-o, 7.1 + o]),
        ("upper", [-o, 7.1 + o], [9.07 + o, 7.1 + o]),
        ("right-upper", [9.07 + o, 7.1 + o], [9.07 + o, 4.19 - o]),
        ("recess", [9.07 + o, 4.19 - o], [6.32, 4.19 - o]),
    ];
    let mut panels: Vec<Panel> = corners.iter().map(|(name, a, b)| wall(name, *a, *b, outer.clone())).collect();
    panels.extend([
        wall("bedroom-lower", [-o, 2.125], [2.64, 2.125], inner(110.0, false)),
        wall("bedroom-right", [2.64, 2.125], [2.64, 7.1 + o], inner(120.0, false)),
        wall("hall-stub", [1.985, -o], [1.985, 0.64], inner(110.0, false)),
        wall("bath-left", [3.965, -o], [3.965, 2.025], inner(170.0, true)),
        wall("bath-upper", [3.965, 2.025], [6.245 + o, 2.025], inner(190.0, true)),
        wall("alcove-stub", [6.32, 4.19 - o], [6.32, 4.82], inner(100.0, false)),
    ]);
    panels[6].cuts.push(cut("bedroom-door", (0.73 + o, 1.52 + o), (0.0, DOOR_HEAD), None));
    panels[9].cuts.push(cut("bath-door", (0.60 + o, 1.42 + o), (0.0, DOOR_HEAD), None));
    home.panels = panels;
    home.assemblies.push(slab);
    let at = home.assemblies.len() - 1;
    for (name, top) in [("floor", 0.0), ("ceiling", CEILING + depth)] {
        let outline = rectangle(-1.0, -1.0, 10.1, 8.1);
        home.decks.push(Deck { z_top: top, z_bottom: top - depth, ..deck(name, outline, top, at) });
    }
    let electrical = library::material("concrete").unwrap().electrical;
    let outline = rectangle(1.61, 1.74, 2.05, 2.07);
    home.blocks.push(Block { object: id("pier"), outline, z0: 0.0, z1: CEILING, electrical });
    home
}

/// The flat as it was decided.
fn decided() -> Resolved {
    flat(|mm, is_tiled| plastered("brick", mm, is_tiled), built_in("brick-solid-215"))
}

fn carriers() -> [Carrier; 3] {
    [2402.0, 2426.0, 2480.0].map(|mhz| Carrier::new(Hertz::from_mhz(mhz), Hertz::from_mhz(2.0)))
}

const ALL_PATHS: PathConfig = PathConfig { reflections: 3, diffraction: true };

/// Gains of all rows \[dB\]: `[row][anchor]`.
fn predict(home: &Resolved, config: PathConfig) -> Vec<Vec<f64>> {
    let scene = Scene::new(home, &carriers()).unwrap();
    let anchors = anchors();
    let gain = |tag: Point3, anchor: Point3| {
        let powers = (0..3).map(|carrier| scene.paths(tag, anchor, carrier, &config).gain.ratio());
        10.0 * (powers.sum::<f64>() / 3.0).log10()
    };
    rows().par_iter().map(|row| anchors.iter().map(|&anchor| gain(row.tag, anchor)).collect()).collect()
}

/// As decided, computed once for all tests.
static PREDICTED: LazyLock<Vec<Vec<f64>>> = LazyLock::new(|| predict(&decided(), ALL_PATHS));

/// What was received in a cell of 0.5 m by one anchor, less what was predicted, row by row \[dB\].
struct Cell {
    at: (i32, i32),
    anchor: usize,
    residuals: Vec<f64>,
}

impl Cell {
    fn mean(&self) -> f64 {
        mean(&self.residuals)
    }

    /// Sum of the squared distances from the mean.
    fn scatter(&self) -> f64 {
        let mean = self.mean();
        self.residuals.iter().map(|r| (r - mean).powi(2)).sum()
    }

    fn count(&self) -> f64 {
        self.residuals.len() as f64
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Cells and anchors with at least five received rows.
fn cells(predicted: &[Vec<f64>]) -> Vec<Cell> {
    let mut found: BTreeMap<((i32, i32), usize), Vec<f64>> = BTreeMap::new();
    for (row, predicted) in rows().iter().zip(predicted) {
        let at = ((row.tag.x / 0.5).floor() as i32, (row.tag.y / 0.5).floor() as i32);
        for (anchor, received) in row.received.iter().enumerate() {
            if let Some(received) = received {
                found.entry((at, anchor)).or_default().push(received - predicted[anchor]);
            }
        }
    }
    let cells = found.into_iter().map(|((at, anchor), residuals)| Cell { at, anchor, residuals });
    cells.filter(|c| c.residuals.len() >= 5).collect()
}

/// Root mean square over all cells and anchors after one common offset.
fn score(predicted: &[Vec<f64>]) -> f64 {
    let means: Vec<f64> = cells(predicted).iter().map(Cell::mean).collect();
    let offset = mean(&means);
    mean(&means.iter().map(|m| (m - offset).powi(2)).collect::<Vec<f64>>()).sqrt()
}

/// Free space less a loss for each wall that the straight line in plan crosses (two faces make one).
fn walls_counted(loss: f64) -> Vec<Vec<f64>> {
    let faces = table(include_str!("data/measured-flat/layout.csv"));
    let side = |o: &[f64], u: &[f64], v: &[f64]| (u[0] - o[0]) * (v[1] - o[1]) - (u[1] - o[1]) * (v[0] - o[0]) > 0.0;
    let gain = |tag: Point3, anchor: Point3| {
        let (p, q) = ([tag.x, tag.y], [anchor.x, anchor.y]);
        let is_crossed = |f: &&[Vec<f64>]| {
            side(&p, &q, &f[0]) != side(&p, &q, &f[1]) && side(&f[0], &f[1], &p) != side(&f[0], &f[1], &q)
        };
        let walls = faces.windows(2).filter(is_crossed).count() as f64 / 2.0;
        -20.0 * tag.distance(anchor).log10() - loss * walls
    };
    rows().iter().map(|row| anchors().iter().map(|&anchor| gain(row.tag, anchor)).collect()).collect()
}

/// The protocol gives the simple models' figures as they were stated before.
#[test]
fn simple_models_score_as_stated() {
    for (loss, expected) in [(0.0, 5.39), (4.3, 4.55)] {
        let found = score(&walls_counted(loss));
        println!("{loss} dB a wall: {found:.2} dB");
        assert!((found - expected).abs() < 0.05, "{loss}: {found}");
    }
    assert_eq!(cells(&walls_counted(0.0)).len(), 252);
}

/// The blind figure: 4.15 dB when it was scored.
#[test]
fn blind_score() {
    let found = score(&PREDICTED);
    println!("blind: {found:.2} dB");
    assert!((found - 4.15).abs() < 0.1, "{found}");
}

/// The prediction is the one that was written down before scoring; how far the engine has moved since.
#[test]
fn the_prediction_is_the_recorded_one() {
    let then = table(include_str!("data/measured-flat/predicted.csv"));
    assert_eq!(then.len(), PREDICTED.len());
    let pairs = PREDICTED.iter().flatten().zip(then.iter().flatten());
    let squares: Vec<f64> = pairs.map(|(a, b)| (a - b).powi(2)).collect();
    let rms = mean(&squares).sqrt();
    println!("against the recorded prediction {rms:.3} dB RMS");
    assert!(rms < 0.3, "{rms}");
}

/// Small-scale and model part of the residual: one-way analysis of variance with random effects.
///
/// Within cells the mean prediction's error hardly changes, so that the pooled variance within them is small-scale; what
/// the cells' means vary more than the rows' scatter over the number of rows explains is the model's. The means of few
/// rows that stand together share their fading, so that the model part is rather overstated.
struct Split {
    small_scale: f64,
    model: f64,
}

fn split(cells: &[Cell]) -> Split {
    let rows: f64 = cells.iter().map(Cell::count).sum();
    let within = cells.iter().map(Cell::scatter).sum::<f64>() / (rows - cells.len() as f64);
    let means: Vec<f64> = cells.iter().map(Cell::mean).collect();
    let centre = mean(&means);
    let between = means.iter().map(|m| (m - centre).powi(2)).sum::<f64>() / (means.len() as f64 - 1.0);
    let of_mean = mean(&cells.iter().map(|c| within / c.count()).collect::<Vec<f64>>());
    Split { small_scale: within.sqrt(), model: (between - of_mean).sqrt() }
}

#[test]
fn residual_splits_into_fading_and_shadowing() {
    let Split { small_scale, model } = split(&cells(&PREDICTED));
    println!("small-scale {small_scale:.2} dB, model {model:.2} dB");
    assert!((small_scale - 4.6).abs() < 0.15, "{small_scale}");
    assert!((model - 3.9).abs() < 0.2, "{model}");
}

/// The split finds what was put in: the same rows with drawn cell errors of 4 dB and row errors of 5 dB.
#[test]
fn split_finds_drawn_parts() {
    let mut random = common::Seeded(5);
    let (mut small_scale, mut model) = (0.0, 0.0);
    for _ in 0..50 {
        let mut drawn = cells(&walls_counted(0.0));
        for cell in &mut drawn {
            let own = 4.0 * random.normal();
            cell.residuals.iter_mut().for_each(|r| *r = own + 5.0 * random.normal());
        }
        let found = split(&drawn);
        small_scale += found.small_scale / 50.0;
        model += found.model / 50.0;
    }
    assert!((small_scale - 5.0).abs() < 0.05 && (model - 4.0).abs() < 0.1, "{small_scale} {model}");
}

/// What the model's errors have in common: along the way for one anchor, and between anchors at one place.
#[test]
fn errors_of_the_model_hang_together() {
    let cells = cells(&PREDICTED);
    let variance = split(&cells).model.powi(2);
    let offset = mean(&cells.iter().map(Cell::mean).collect::<Vec<f64>>());
    let error: Vec<f64> = cells.iter().map(|c| c.mean() - offset).collect();
    let mut lags = [(0.0, 0.0, 0.0); 12];
    let (mut anchors, mut anchors_count) = (0.0, 0.0);
    for (i, a) in cells.iter().enumerate() {
        for (k, b) in cells.iter().enumerate().take(i) {
            if a.at == b.at {
                anchors += error[i] * error[k];
                anchors_count += 1.0;
            }
            if a.anchor == b.anchor {
                let distance = 0.5 * f64::from(a.at.0 - b.at.0).hypot(f64::from(a.at.1 - b.at.1));
                if let Some(lag) = lags.get_mut((distance / 0.5).round() as usize) {
                    *lag = (lag.0 + error[i] * error[k], lag.1 + distance, lag.2 + 1.0);
                }
            }
        }
    }
    let between = anchors / anchors_count / variance;
    println!("between anchors at one place {between:.2}");
    let points: Vec<(f64, f64, f64)> =
        lags.iter().filter(|l| l.2 > 0.0).map(|l| (l.1 / l.2, l.0 / l.2 / variance, l.2)).collect();
    for (distance, correlation, pairs) in &points {
        println!("{distance:.2} m: {correlation:+.2} ({pairs} pairs)");
    }
    // The exponential whose squared distance from the points, weighted by pairs, is least.
    let misfit =
        |length: f64| -> f64 { points.iter().map(|(d, c, pairs)| pairs * (c - (-d / length).exp()).powi(2)).sum() };
    let best = (1..=200).map(|i| f64::from(i) * 0.05).min_by(|a, b| misfit(*a).total_cmp(&misfit(*b))).unwrap();
    println!("decorrelation distance {best:.2} m");
    assert!(between.abs() < 0.15, "{between}");
    assert!((0.9..=1.7).contains(&best), "{best}");
    // Far from 6 m: half a metre on, a third of the error is new.
    assert!(points.iter().all(|(d, c, _)| *d < 5.0 || c.abs() < 0.2));
}

/// What other choices would have given; not blind, changes nothing.
#[test]
#[ignore = "a table for the README, half a minute in release"]
fn other_choices() {
    let outer = || built_in("brick-solid-215");
    let masonry = |core: &'static str| move |mm: f64, is_tiled: bool| plastered(core, mm, is_tiled);
    let steel = |_: f64, _: bool| built_in("stud-partition-metal-64");
    let configs = [(0, false), (1, false), (2, false), (3, false), (0, true), (1, true)];
    for (reflections, diffraction) in configs {
        let found = score(&predict(&decided(), PathConfig { reflections, diffraction }));
        println!("brick, {reflections} reflections, diffraction {diffraction}: {found:.2} dB");
    }
    for core in ["aerated-concrete", "hollow-clay-block", "concrete-block", "concrete"] {
        println!("{core}: {:.2} dB", score(&predict(&flat(masonry(core), outer()), ALL_PATHS)));
    }
    println!("steel studs: {:.2} dB", score(&predict(&flat(steel, outer()), ALL_PATHS)));
    let concrete = flat(masonry("brick"), built_in("concrete-insulated-180"));
    println!("outer walls of concrete: {:.2} dB", score(&predict(&concrete, ALL_PATHS)));
}
