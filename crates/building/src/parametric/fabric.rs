//! What a home is built of: assemblies of the library that are used together.

use findings::Id;

use super::Construction;
use super::random::Random;
use crate::library;

/// Assemblies that belong to one way of building.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fabric {
    pub outer: &'static str,
    pub party: &'static str,
    pub inside: &'static str,
    /// Partition that carries pipes.
    pub wet: &'static str,
    pub ground_floor: &'static str,
    /// Floor between storeys of the home.
    pub floor: &'static str,
    /// Floor of a bathroom's storey is not told apart; this is between the home and a neighbour above or below.
    pub party_floor: &'static str,
    /// Ceiling where nobody lives above.
    pub attic_ceiling: &'static str,
    /// Pitched roof over an attic.
    pub attic_roof: &'static str,
    /// Roof right over the top storey.
    pub roof: &'static str,
    pub window: &'static str,
    pub patio: &'static str,
    pub door: &'static str,
    pub front_door: &'static str,
    /// Floor to ceiling [m].
    pub height: (f64, f64),
    /// True if cables can run between joists.
    pub joists: bool,
}

/// Walls of a basement.
pub(super) const BASEMENT: &str = "basement-concrete-200";

const TIMBER: Fabric = Fabric {
    outer: "stud-outer-vinyl-siding",
    party: "party-wall-double-stud",
    inside: "stud-partition-wood-89",
    wet: "stud-partition-wood-140",
    ground_floor: "ground-slab-insulated",
    floor: "joist-floor-hardwood",
    party_floor: "joist-floor-carpet",
    attic_ceiling: "ceiling-under-attic",
    attic_roof: "roof-pitched-shingles",
    roof: "roof-flat-membrane",
    window: "window-double-low-e",
    patio: "door-patio-low-e",
    door: "door-hollow-core",
    front_door: "door-steel-insulated",
    height: (2.4, 2.6),
    joists: true,
};

const CAVITY: Fabric = Fabric {
    outer: "brick-cavity-insulated",
    party: "party-wall-block-cavity",
    inside: "stud-partition-wood-63-eu",
    wet: "stud-partition-wood-63-eu",
    floor: "joist-floor-chipboard",
    party_floor: "beam-and-block-floor",
    attic_roof: "roof-pitched-tiles-insulated",
    front_door: "door-solid-timber",
    height: (2.35, 2.45),
    ..TIMBER
};

const SOLID: Fabric = Fabric {
    outer: "brick-solid-215",
    party: "brick-solid-215",
    inside: "brick-partition-102",
    wet: "brick-partition-102",
    floor: "joist-floor-plaster-ceiling",
    party_floor: "joist-floor-pugged",
    attic_roof: "roof-pitched-tiles-insulated",
    window: "window-double",
    patio: "door-patio-double",
    door: "door-solid-timber",
    front_door: "door-solid-timber",
    height: (2.5, 2.85),
    ..TIMBER
};

const CONCRETE: Fabric = Fabric {
    outer: "concrete-insulated-180",
    party: "party-wall-concrete-200",
    inside: "stud-partition-metal-75-double-board",
    wet: "stud-partition-metal-75-double-board",
    floor: "concrete-slab-200-screed",
    party_floor: "concrete-slab-200-screed",
    attic_roof: "roof-pitched-tiles-insulated",
    roof: "roof-flat-concrete",
    window: "window-triple-low-e",
    door: "door-solid-core",
    front_door: "door-solid-timber",
    height: (2.45, 2.6),
    joists: false,
    ..TIMBER
};

impl Fabric {
    /// A fabric of a construction; which one, the seed decides.
    pub(super) fn of(construction: Construction, random: &mut Random) -> Self {
        let choose = |random: &mut Random, of: &[Fabric]| of[random.below(of.len())];
        match construction {
            Construction::TimberFrame => {
                let wood = Fabric { outer: "stud-outer-wood-siding", floor: "joist-floor-carpet", ..TIMBER };
                let board =
                    Fabric { outer: "stud-outer-fibre-cement", inside: "stud-partition-wood-89-insulated", ..TIMBER };
                let brick = Fabric { outer: "stud-outer-brick-veneer", ..TIMBER };
                let europe = Fabric {
                    outer: "timber-frame-outer-eu",
                    inside: "stud-partition-wood-63-eu",
                    wet: "stud-partition-wood-63-eu",
                    floor: "joist-floor-chipboard",
                    attic_roof: "roof-pitched-tiles-insulated",
                    window: "window-triple-low-e",
                    front_door: "door-solid-timber",
                    ..TIMBER
                };
                choose(random, &[TIMBER, wood, board, brick, europe])
            }
            Construction::MasonryCavity => {
                let block = Fabric {
                    outer: "brick-cavity-foil-board",
                    inside: "aerated-block-partition-100",
                    wet: "aerated-block-partition-100",
                    ..CAVITY
                };
                let empty = Fabric {
                    outer: "brick-cavity-empty",
                    inside: "concrete-block-partition-100",
                    wet: "concrete-block-partition-100",
                    window: "window-double",
                    patio: "door-patio-double",
                    ..CAVITY
                };
                choose(random, &[CAVITY, block, empty])
            }
            Construction::MasonrySolid => {
                let lath =
                    Fabric { inside: "plaster-wood-lath-partition", wet: "plaster-wood-lath-partition", ..SOLID };
                let clay = Fabric {
                    outer: "hollow-clay-insulated-240",
                    inside: "hollow-clay-partition-115",
                    wet: "hollow-clay-partition-115",
                    floor: "hollow-core-slab-200",
                    party_floor: "hollow-core-slab-200",
                    window: "window-triple-low-e",
                    patio: "door-patio-low-e",
                    joists: false,
                    ..SOLID
                };
                let aerated = Fabric {
                    outer: "aerated-block-outer-365",
                    inside: "aerated-block-partition-100",
                    wet: "aerated-block-partition-100",
                    window: "window-double-low-e",
                    floor: "joist-floor-pugged",
                    ..SOLID
                };
                choose(random, &[SOLID, lath, clay, aerated])
            }
            Construction::Concrete => {
                let sandwich = Fabric {
                    outer: "concrete-sandwich",
                    inside: "stud-partition-metal-64",
                    wet: "stud-partition-metal-64",
                    floor: "hollow-core-slab-200",
                    party_floor: "hollow-core-slab-200",
                    window: "window-double-low-e",
                    ..CONCRETE
                };
                choose(random, &[CONCRETE, sandwich])
            }
        }
    }
}

/// An assembly's thickness [m].
pub(super) fn thickness(assembly: &str) -> f64 {
    library::assembly(assembly).map_or(0.2, |a| a.thickness().0)
}

pub(super) fn id(assembly: &str) -> Id {
    Id::from_label(assembly)
}
