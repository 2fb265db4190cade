//! Coverage: the share of the served floor where both directions of a link meet the room's target.
//!
//! One definition everywhere: a cell is covered if the probability that both directions meet the target of its room is
//! at least [`reliability::COVERED`].

use building::RoomUse;
use findings::{Figure, Finding, Id, Rule, Severity, Source};
use propagation::Grid;
use propagation::reliability::{self, AreaCell, AreaConfig, AreaShare, Shadowing, Share, Solver};
use radio_profile::Band;
use units::{BitsPerSecond, Hertz, Metres, Point2, Point3};

use crate::gains;
use crate::home::{Home, NotComputable};

/// Share of a room that must be covered (common practice, no source: 95 % of the area).
const COVERED_SHARE: f64 = 0.95;

/// A room is not covered enough.
pub const ROOM_BELOW_TARGET: Rule = Rule {
    id: "coverage.room-below-target",
    severity: Severity::Fails,
    summary: "less than 95 % of a served room's floor is covered",
    limit: "95 % of the room's floor, each point with a probability of 95 %",
    cite: Source::common_practice,
};

/// Rules of coverage.
pub const RULES: &[Rule] = &[ROOM_BELOW_TARGET];

/// A room with a target.
#[derive(Clone, Debug)]
pub struct Served {
    /// Index of the room.
    pub room: usize,
    /// Whether it is a place outdoors.
    pub is_outdoors: bool,
    /// Rate towards the device.
    pub down: BitsPerSecond,
    /// Rate from the device.
    pub up: BitsPerSecond,
    /// Range of its cells in [`Field::cells`].
    pub cells: std::ops::Range<usize>,
}

/// The served floor as cells, room by room.
#[derive(Clone, Debug)]
pub struct Field {
    /// Side of a cell [m].
    pub cell: f64,
    /// Rooms with a target, in the building's order.
    pub served: Vec<Served>,
    /// For each cell: its grid and its place in the grid.
    pub cells: Vec<(usize, usize)>,
    /// The grids, one for each storey and height of devices.
    pub grids: Vec<Grid>,
}

impl Field {
    /// The served floor of a home in cells of a side [m].
    ///
    /// # Errors
    /// [`NotComputable`] if no room is served, or if the cells would be too many.
    pub fn new(home: &Home, cell: f64) -> Result<Self, NotComputable> {
        let mut field = Self { cell, served: Vec::new(), cells: Vec::new(), grids: Vec::new() };
        let mut grid_of: Vec<(usize, u64, usize)> = Vec::new();
        for (room_idx, room) in home.resolved.rooms.iter().enumerate() {
            let is_outdoors = room.usage == RoomUse::Outdoor;
            let Some(target) = home.household.counted_target(&room.id, is_outdoors) else { continue };
            let key = (room.storey, target.height.0.to_bits());
            let grid_idx = match grid_of.iter().find(|g| (g.0, g.1) == key) {
                Some(found) => found.2,
                None => {
                    let grid = Grid::over(&home.resolved, room.storey, Metres(cell), target.height)
                        .map_err(|e| NotComputable::because(e.to_string()))?;
                    field.grids.push(grid);
                    grid_of.push((key.0, key.1, field.grids.len() - 1));
                    field.grids.len() - 1
                }
            };
            let grid = &field.grids[grid_idx];
            let first = field.cells.len();
            for row in 0..grid.rows() {
                for column in 0..grid.columns() {
                    let centre = grid.centre(row, column);
                    if room.contains(centre.plan()) && home.is_free(centre) {
                        field.cells.push((grid_idx, row * grid.columns() + column));
                    }
                }
            }
            field.served.push(Served {
                room: room_idx,
                is_outdoors,
                down: target.down,
                up: target.up,
                cells: first..field.cells.len(),
            });
        }
        if field.cells.is_empty() {
            return Err(NotComputable::because(
                "no room has a target, so there is nothing to cover: add `household.targets` with rates above zero",
            ));
        }
        Ok(field)
    }

    /// Cells that the coverage figure counts, or those outdoors, which have a figure of their own; where nothing is served
    /// indoors, the figure counts all.
    fn counted(&self, is_outdoors: bool) -> impl Iterator<Item = usize> + '_ {
        let any_indoors = self.served.iter().any(|s| !s.is_outdoors && !s.cells.is_empty());
        let counts = move |s: &&Served| s.is_outdoors == is_outdoors || (!is_outdoors && !any_indoors);
        self.served.iter().filter(counts).flat_map(|s| s.cells.clone())
    }

    /// Centre of a cell.
    fn place(&self, cell: usize) -> Point3 {
        let (grid, at) = self.cells[cell];
        let grid = &self.grids[grid];
        grid.centre(at / grid.columns(), at % grid.columns())
    }
}

/// A radio whose coverage counts: its path gains and what it needs.
pub(crate) struct Cover<'a> {
    /// Index of the access point, the same for all its bands.
    pub site: usize,
    pub band: Band,
    /// Path gains at the carrier of the band [dB], by cell.
    pub gain: &'a [f32],
    /// Least gain at that carrier by served room [dB]; infinite where the target cannot be met.
    pub needed: Vec<f64>,
}

/// Coverage in one band, or in any.
#[derive(Clone, Debug, PartialEq)]
pub struct BandCoverage {
    /// The band; none for any band.
    pub band: Option<Band>,
    /// Covered share of the served floor with its interval.
    pub share: Share,
}

/// What is covered.
#[derive(Clone, Debug, PartialEq)]
pub struct Coverage {
    /// By band that any radio works in, then in any band.
    pub bands: Vec<BandCoverage>,
    /// Covered share of the places outdoors that have a target, in any band; nothing where none has.
    pub outdoors: Option<Share>,
    /// Covered share by served room in any band, as `(index of the room, share, middle of what is not covered)`.
    pub rooms: Vec<(usize, f64, Option<Point2>)>,
    /// The share that will have service in any band, as a random number; nothing where it cannot be drawn.
    pub served: Option<AreaShare>,
    /// Served floor area [m²]; places outdoors do not count.
    pub area: f64,
}

impl Coverage {
    pub(crate) fn of(field: &Field, covers: &[Cover]) -> Self {
        let mut bands = Vec::new();
        for band in Band::ALL {
            let of_band: Vec<&Cover> = covers.iter().filter(|c| c.band == band).collect();
            if !of_band.is_empty() {
                bands.push(BandCoverage {
                    band: Some(band),
                    share: share(&links(margins(field, &of_band)), field.counted(false)),
                });
            }
        }
        let any = margins(field, &covers.iter().collect::<Vec<_>>());
        let served = served(field, &any);
        let area = field.counted(false).count() as f64 * field.cell * field.cell;
        let any = links(any);
        bands.push(BandCoverage { band: None, share: share(&any, field.counted(false)) });
        let outdoors = field.counted(true).next().map(|_| share(&any, field.counted(true)));
        let solver = Solver::new(Shadowing::default());
        let rooms = field
            .served
            .iter()
            .map(|served| {
                let cells = served.cells.clone();
                let open: Vec<Point2> = cells
                    .clone()
                    .filter(|&c| !solver.reaches(&any[c], reliability::COVERED))
                    .map(|c| field.place(c).plan())
                    .collect();
                let share = if cells.is_empty() { 1.0 } else { 1.0 - open.len() as f64 / cells.len() as f64 };
                (served.room, share, middle(&open))
            })
            .collect();
        Self { bands, outdoors, rooms, served, area }
    }

    /// The covered share in any band.
    #[must_use]
    pub fn any(&self) -> f64 {
        self.bands.last().map_or(0.0, |b| b.share.value)
    }

    pub(crate) fn figures(&self, design: &Id) -> Vec<Figure> {
        let (bias, bias_source) = reliability::common_bias();
        let [paths, walls] = gains::sources();
        let shadowing = Shadowing::default();
        let bands = self
            .bands
            .iter()
            .map(|band| (band.band.map_or("coverage".to_owned(), |b| format!("coverage.{}", b.label())), band.share));
        bands
            .chain(self.outdoors.map(|share| ("coverage.outdoors".to_owned(), share)))
            .map(|(id, share)| {
                let Share { value, low, high, confidence } = share;
                let mut figure = Figure::known(id, design.clone(), 100.0 * value, "%")
                    .between(100.0 * low, 100.0 * high, Some(confidence))
                    .input("served floor", self.area, "m²")
                    .input("shadowing", shadowing.sigma_db, "dB")
                    .input("common error of the prediction", bias.0, "dB")
                    .source(paths.clone())
                    .source(walls.clone())
                    .source(Source::standard("IEEE 802.11ax-2021, table 27-51: minimum sensitivity"));
                for source in Shadowing::sources() {
                    figure = figure.source(source);
                }
                figure.source(bias_source.clone())
            })
            .chain(self.served.map(|served| self.served_figure(design, served)))
            .collect()
    }

    /// What share will have service, and what share at least with the stated confidence.
    fn served_figure(&self, design: &Id, served: AreaShare) -> Figure {
        let config = AreaConfig::default();
        let [paths, walls] = gains::sources();
        let [shadowing, correlation] = Shadowing::sources();
        Figure::known("served.area", design.clone(), 100.0 * served.expected, "%")
            // Where little is ever missed, the mean lies below what is sure.
            .between(100.0 * served.at_least.min(served.expected), 100.0, Some(served.confidence))
            .input("served floor", self.area, "m²")
            .input("standard deviation of the share", 100.0 * served.deviation, "%")
            .input("shadowing", config.shadowing.sigma_db, "dB")
            .input("distance over which it decorrelates", config.decorrelation.0, "m")
            .input("common error of the prediction", config.common_db, "dB")
            .source(Source::model(
                "mean share of the served floor whose links hold; at least the lower share with the confidence",
            ))
            .source(paths)
            .source(walls)
            .source(shadowing)
            .source(correlation)
            .source(AreaConfig::decorrelation_source())
            .source(reliability::common_bias().1)
    }

    pub(crate) fn findings(&self, home: &Home) -> Vec<Finding> {
        self.rooms
            .iter()
            .filter(|(_, share, _)| *share < COVERED_SHARE)
            .map(|&(room, share, open)| {
                let room = &home.resolved.rooms[room];
                // Downwards, so that 94.9 % does not read as the 95 % that it misses.
                let message = format!(
                    "{} ({}): {:.0} % of its floor is covered; {:.1} m² are not",
                    room.name,
                    room.id,
                    (100.0 * share).floor(),
                    room.area * (1.0 - share)
                );
                let finding = Finding::of(&ROOM_BELOW_TARGET, vec![room.id.clone()], message)
                    .against(100.0 * share, 100.0 * COVERED_SHARE, "%")
                    .remedy("place an access point in or nearer to the room, or lower its target", Vec::new());
                match open {
                    Some(at) => finding.at(home.resolved.storeys[room.storey].id.clone(), at),
                    None => finding,
                }
            })
            .collect()
    }
}

/// Gain by which free space at `channel` differs from free space at `carrier` [dB]: walls are taken at the carrier.
pub(crate) fn frequency_shift(carrier: Hertz, channel: Hertz) -> f64 {
    20.0 * (carrier.0 / channel.0).log10()
}

/// Margins of the access points at each cell [dB], by their index; −∞ where one has no link.
///
/// The bands of one access point stand behind the same walls, so their shadowing is one and the best of them counts;
/// that of two access points is correlated.
fn margins(field: &Field, covers: &[&Cover]) -> Vec<Vec<f64>> {
    let num_sites = covers.iter().map(|c| c.site + 1).max().unwrap_or(0);
    let mut margins = Vec::with_capacity(field.cells.len());
    for (served_idx, served) in field.served.iter().enumerate() {
        for cell in served.cells.clone() {
            let mut best = vec![f64::NEG_INFINITY; num_sites];
            for cover in covers {
                let margin = f64::from(cover.gain[cell]) - cover.needed[served_idx];
                best[cover.site] = best[cover.site].max(margin);
            }
            margins.push(best);
        }
    }
    margins
}

/// Only the links that there are.
fn links(mut margins: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    margins.iter_mut().for_each(|of_cell| of_cell.retain(|m| *m > f64::NEG_INFINITY));
    margins
}

/// The share that will have service in any band, with its spread.
fn served(field: &Field, margins: &[Vec<f64>]) -> Option<AreaShare> {
    let area = field.cell * field.cell;
    let of = |cell: usize| AreaCell { at: field.place(cell), area, margins_db: &margins[cell] };
    let cells: Vec<AreaCell> = field.counted(false).map(of).collect();
    reliability::area_share(&cells, &AreaConfig::default()).ok()
}

/// All cells have the same area, so that their number will do.
fn share(margins: &[Vec<f64>], cells: impl Iterator<Item = usize>) -> Share {
    let nothing = Share { value: 0.0, low: 0.0, high: 0.0, confidence: reliability::SHARE_CONFIDENCE };
    reliability::covered_share(cells.map(|c| (1.0, margins[c].as_slice())), Shadowing::default()).unwrap_or(nothing)
}

fn middle(points: &[Point2]) -> Option<Point2> {
    let num = points.len() as f64;
    (num > 0.0).then(|| {
        Point2::new(points.iter().map(|p| p.x).sum::<f64>() / num, points.iter().map(|p| p.y).sum::<f64>() / num)
    })
}
