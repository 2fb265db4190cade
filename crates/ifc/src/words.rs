//! Word rules: what a name in the model stands for. Every use of a rule is a guess and is reported with the rule.

use building::RoomUse;

/// What a layer's name stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Stuff {
    /// A solid layer of a library material.
    Solid(&'static str),
    /// A cavity filled with a material, with members.
    Framing {
        /// Material between the members.
        fill: &'static str,
        /// Material of the members.
        member: &'static str,
        /// Width of a member's face [m].
        width: f64,
    },
}

/// Centre-to-centre spacing of studs, joists and furring [m]: 16 inches, common practice in North America; 400 mm and
/// 600 mm are usual in Europe. Common practice, no source.
pub(crate) const MEMBER_SPACING: f64 = 0.406;
/// Face of a wooden stud or joist [m]: nominal 2-inch lumber is 38 mm. Common practice, no source.
const WOOD_FACE: f64 = 0.038;
/// Flange of a light steel stud [m]: 1 5/8 inches, 41 mm. Common practice, no source.
const STEEL_FACE: f64 = 0.041;
/// Solid wood of this thickness or more in a floor or roof is its joists [m]: solid decks of a house are thinner.
/// Common practice, no source.
const JOIST_DEPTH: f64 = 0.14;
/// Wood of this thickness or more in a wall is its studs [m], unless it is named as solid. Common practice, no source.
const STUD_DEPTH: f64 = 0.06;

/// Words that make a wooden layer solid whatever its thickness.
const SOLID_WOOD: &[&str] = &[
    "clt",
    "cross lam",
    "cross-lam",
    "crosslam",
    "glulam",
    "solid",
    "massiv",
    "log ",
    "plywood",
    "osb",
    "mdf",
    "chipboard",
];

/// Solid materials by word; the first row that matches wins. Words are whole beginnings: `tile` matches `tiles` and
/// `ceramic tile`, not `textile`.
const SOLIDS: &[(&str, &[&str])] = &[
    (
        "mineral-wool",
        &[
            "semi-rigid",
            "semi rigid",
            "mineral wool",
            "rock wool",
            "stone wool",
            "glass wool",
            "fiberglass",
            "fibreglass",
            "batt",
            "cellulose",
        ],
    ),
    ("pur-foam", &["polyurethane", "polyisocyanurate", "pir", "pur"]),
    ("eps", &["eps", "expanded polystyrene"]),
    ("xps", &["rigid", "polystyrene", "xps", "foam"]),
    ("mineral-wool", &["insulation", "wool", "thermal barrier", "dämmung", "isolation"]),
    ("rubber-membrane", &["epdm", "rubber", "tpo", "pvc membrane"]),
    (
        "bitumen",
        &[
            "bitumen",
            "bituminous",
            "roofing",
            "asphalt",
            "felt",
            "barrier",
            "vapour",
            "vapor",
            "damp",
            "membrane",
            "waterproof",
        ],
    ),
    ("aerated-concrete", &["aac", "aerated", "autoclaved"]),
    ("concrete-block", &["block", "blockwork", "cmu"]),
    ("brick", &["brick", "brickwork", "clay"]),
    ("screed", &["screed"]),
    ("cement-render", &["render", "stucco"]),
    ("fibre-cement", &["fibre cement", "fiber cement", "fibre-cement"]),
    ("mortar", &["mortar", "grout", "cement"]),
    ("concrete", &["concrete", "beton", "cast in", "precast"]),
    ("soil", &["grass", "soil", "earth", "sod", "turf", "substrate", "planting", "gravel", "ballast"]),
    ("plasterboard", &["plasterboard", "gypsum", "drywall", "gwb", "gips", "wallboard"]),
    ("gypsum-plaster", &["plaster"]),
    ("ceramic-tile", &["tile", "ceramic", "porcelain", "terracotta", "terrazzo"]),
    ("granite", &["granite"]),
    ("slate", &["slate"]),
    ("limestone", &["limestone", "stone"]),
    ("marble", &["marble"]),
    ("osb", &["osb", "oriented strand"]),
    ("plywood", &["plywood", "sheathing", "multiplex"]),
    ("fibreboard", &["mdf", "fibreboard", "fiberboard"]),
    ("chipboard", &["chipboard", "particle"]),
    ("vinyl-tile", &["vinyl", "linoleum", "pvc"]),
    ("carpet-tile", &["carpet"]),
    ("glass", &["glass", "glazing"]),
    (
        "wood",
        &[
            "wood", "timber", "lumber", "parquet", "oak", "pine", "spruce", "larch", "cedar", "laminate", "flooring",
            "holz", "siding", "clt", "glulam",
        ],
    ),
    ("metal", &["metal", "steel", "aluminium", "aluminum", "copper", "zinc", "iron", "lead"]),
    ("air", &["air", "cavity", "void", "gap"]),
];

/// True if a word begins in the text, at its start or after a character that is no letter.
pub(crate) fn has_word(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| !text[..at].chars().next_back().is_some_and(char::is_alphanumeric))
}

fn has_any(text: &str, words: &[&str]) -> bool {
    words.iter().any(|w| has_word(text, w))
}

/// What a layer is, from its name, its thickness [m] and whether it lies in a floor, ceiling or roof. None if no rule
/// fits.
pub(crate) fn layer(name: &str, thickness: f64, is_horizontal: bool) -> Option<Stuff> {
    let text = name.to_lowercase();
    let is_metal = has_any(&text, &["metal", "steel", "aluminium", "aluminum"]);
    let is_wood = has_any(&text, &["wood", "timber", "lumber", "softwood", "holz"]);
    let named = has_any(
        &text,
        &["stud", "joist", "furring", "framing", "frame", "batten", "rafter", "truss", "lath", "strapping"],
    );
    let depth = if is_horizontal { JOIST_DEPTH } else { STUD_DEPTH };
    let deep_wood = is_wood && thickness >= depth && !has_any(&text, SOLID_WOOD);
    if named || deep_wood {
        let is_filled = has_any(&text, &["insulation", "insulated", "insul", "wool", "batt"]);
        let (member, width) = if is_metal { ("metal", STEEL_FACE) } else { ("wood", WOOD_FACE) };
        return Some(Stuff::Framing { fill: if is_filled { "mineral-wool" } else { "air" }, member, width });
    }
    SOLIDS.iter().find(|(_, words)| has_any(&text, words)).map(|(id, _)| Stuff::Solid(id))
}

/// Materials that a wall is likely to be built of, the heaviest first.
const HEAVIEST_FIRST: &[&str] =
    &["concrete", "limestone", "granite", "concrete-block", "brick", "aerated-concrete", "wood"];

/// The heaviest of some materials; the first if no rule knows them.
pub(crate) fn heaviest(names: &[String]) -> Option<&String> {
    let rank = |name: &String| match layer(name, 0.05, false) {
        Some(Stuff::Solid(id)) => HEAVIEST_FIRST.iter().position(|h| *h == id).unwrap_or(HEAVIEST_FIRST.len()),
        _ => HEAVIEST_FIRST.len() + 1,
    };
    names.iter().min_by_key(|n| rank(n))
}

/// Thicknesses written in a name, such as `Wall-Ext_102Bwk-75Ins-100LBlk-12P`: as many numbers in a row [mm] as there
/// are materials, with the thickness as their sum within 3 mm [m].
pub(crate) fn thicknesses(name: &str, count: usize, thickness: f64) -> Option<Vec<f64>> {
    let numbers: Vec<f64> = name
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|t| t.trim_matches('.').parse::<f64>().ok())
        .map(|mm| mm / 1e3)
        .collect();
    if count < 2 {
        return None;
    }
    let found = numbers
        .windows(count)
        .find(|w| (w.iter().sum::<f64>() - thickness).abs() <= 0.003 && w.iter().all(|t| *t > 0.))?;
    let scale = thickness / found.iter().sum::<f64>();
    Some(found.iter().map(|t| t * scale).collect())
}

/// What stands in for a layer whose name fits no rule: concrete if it is thick, plasterboard if it is thin, which
/// rather overstates the loss of most of what it could be.
pub(crate) fn unknown_layer(thickness: f64) -> &'static str {
    if thickness >= 0.05 { "concrete" } else { "plasterboard" }
}

/// How plainly a layer is an upper finish (positive) or an underside (negative) of a floor, ceiling or roof.
pub(crate) fn finish(name: &str) -> i32 {
    let text = name.to_lowercase();
    if has_any(
        &text,
        &[
            "grass",
            "soil",
            "sod",
            "roofing",
            "membrane",
            "tile",
            "ceramic",
            "carpet",
            "vinyl",
            "flooring",
            "parquet",
            "gravel",
            "sheathing",
            "plywood",
            "osb",
            "subfloor",
            "screed",
            "laminate",
        ],
    ) {
        1
    } else if has_any(&text, &["plasterboard", "gypsum", "drywall", "gwb", "ceiling"]) {
        -1
    } else {
        0
    }
}

const ROOM_USES: &[(RoomUse, &[&str])] = &[
    (
        RoomUse::Outdoor,
        &[
            "roof",
            "terrace",
            "balcony",
            "patio",
            "garden",
            "deck",
            "outdoor",
            "exterior",
            "porch",
            "courtyard",
            "loggia",
        ],
    ),
    (RoomUse::Garage, &["garage", "carport", "parking"]),
    (RoomUse::Stair, &["stair", "stairs", "stairwell", "staircase"]),
    (
        RoomUse::Bath,
        &[
            "bath", "bathroom", "wc", "toilet", "shower", "powder", "washroom", "ensuite", "en-suite", "lavatory",
            "restroom",
        ],
    ),
    (RoomUse::Kitchen, &["kitchen", "kitchenette", "dining", "pantry"]),
    (RoomUse::Bedroom, &["bed", "bedroom", "nursery", "sleeping", "guest"]),
    (RoomUse::Office, &["office", "study", "work", "library"]),
    (RoomUse::Living, &["living", "family", "lounge", "sitting", "great room", "media", "den", "salon", "play"]),
    (
        RoomUse::Utility,
        &[
            "utility",
            "laundry",
            "storage",
            "store",
            "closet",
            "mechanical",
            "boiler",
            "plant",
            "technical",
            "wardrobe",
            "cellar",
            "shaft",
            "duct",
            "attic",
        ],
    ),
    (
        RoomUse::Hall,
        &[
            "hall",
            "hallway",
            "foyer",
            "corridor",
            "entry",
            "entrance",
            "lobby",
            "landing",
            "vestibule",
            "passage",
            "circulation",
        ],
    ),
];

/// What a room is used for, from its name.
pub(crate) fn room_use(name: &str) -> RoomUse {
    let text = name.to_lowercase();
    ROOM_USES.iter().find(|(_, words)| has_any(&text, words)).map_or(RoomUse::Other, |r| r.0)
}

/// Large things of metal that stand in a home, by name or type.
const APPLIANCES: &[(&str, &[&str])] = &[
    ("refrigerator", &["refrigerator", "fridge", "freezer", "fridge_freezer"]),
    ("range", &["range", "cooker", "stove", "oven", "electriccooker", "hob"]),
    ("dishwasher", &["dishwasher"]),
    ("washing machine", &["washer", "washing machine", "washingmachine"]),
    ("dryer", &["dryer", "tumble", "tumbledryer"]),
    ("water heater", &["water heater", "boiler", "hot water", "waterheater"]),
    ("furnace", &["furnace", "heat pump", "air handler"]),
    ("microwave oven", &["microwave"]),
    ("panelboard", &["panelboard", "consumer unit", "distribution board", "breaker panel"]),
    ("radiator", &["radiator"]),
    ("bathtub of steel", &["steel bathtub", "steel bath"]),
    ("filing cabinet", &["filing cabinet", "metal cabinet", "gun safe", "safe"]),
];

/// The fixed metal thing that a name stands for.
pub(crate) fn appliance(words: &str) -> Option<&'static str> {
    // A hood is of thin sheet above the range, and rooftop plant stands outside.
    if has_any(words, &["hood", "cord", "switch", "receptacle"]) {
        return None;
    }
    APPLIANCES.iter().find(|(_, names)| has_any(words, names)).map(|a| a.0)
}

/// What an electrical terminal gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Terminal {
    Mains,
    Data,
    Coax,
    Phone,
    Board,
}

/// An outlet or the board where the lines enter, from its names.
pub(crate) fn terminal(words: &str) -> Option<Terminal> {
    let board = has_any(words, &["board", "demarcation", "entry point", "network interface", "terminal board"]);
    if board
        && has_any(words, &["telephone", "telecom", "communication", "data", "phone", "fibre", "fiber", "demarcation"])
    {
        return Some(Terminal::Board);
    }
    if has_any(words, &["data outlet", "data point", "data socket", "network outlet", "rj45", "ethernet", "dataoutlet"])
    {
        return Some(Terminal::Data);
    }
    if has_any(words, &["coax", "television", "tv outlet", "tv socket", "cable tv", "antenna", "audiovisualoutlet"]) {
        return Some(Terminal::Coax);
    }
    let outlet = has_any(words, &["outlet", "socket", "jack", "point", "communicationsoutlet", "telephoneoutlet"]);
    if outlet && has_any(words, &["telephone", "phone", "communicationsoutlet", "telephoneoutlet"]) {
        return Some(Terminal::Phone);
    }
    if has_any(words, &["receptacle", "socket", "power outlet", "poweroutlet", "outlet"]) {
        return Some(Terminal::Mains);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn layers_by_name() {
        let check =
            |name: &str, t: f64, flat: bool, wanted: Stuff| assert_eq!(layer(name, t, flat), Some(wanted), "{name}");
        let steel = Stuff::Framing { fill: "air", member: "metal", width: STEEL_FACE };
        let wood = Stuff::Framing { fill: "air", member: "wood", width: WOOD_FACE };
        check("Metal - Stud Layer", 0.092, false, steel);
        check("Wood - Dimensional Lumber", 0.286, true, wood);
        check("Wood - Dimensional Lumber", 0.02, true, Stuff::Solid("wood"));
        check("CLT - Wood", 0.2, true, Stuff::Solid("wood"));
        check("Insulation / Thermal Barriers - Semi-rigid insulation", 0.003, true, Stuff::Solid("mineral-wool"));
        check("Insulation / Thermal Barriers - Rigid insulation", 0.05, false, Stuff::Solid("xps"));
        check("Masonry - Concrete Block", 0.193, false, Stuff::Solid("concrete-block"));
        check("Masonry - Brick", 0.092, false, Stuff::Solid("brick"));
        check("Misc. Air Layers - Air Space", 0.025, false, Stuff::Solid("air"));
        check("Roofing - EPDM Membrane", 0.006, true, Stuff::Solid("rubber-membrane"));
        check("Roofing - Barrier", 0.006, true, Stuff::Solid("bitumen"));
        check("Masonry - Grout", 0.003, true, Stuff::Solid("mortar"));
        check("Concrete, Sand/Cement Screed", 0.065, true, Stuff::Solid("screed"));
        check("Site - Grass", 0.064, true, Stuff::Solid("soil"));
        assert_eq!(layer("Default", 0.1, false), None);
        assert_eq!(layer("Textile", 0.01, false), None);
    }

    #[test]
    fn thicknesses_in_names() {
        let found = thicknesses("Basic Wall:Wall-Ext_102Bwk-75Ins-100LBlk-12P:285330", 4, 0.29).unwrap();
        assert_eq!(found.len(), 4);
        assert!((found[0] - 0.102).abs() < 0.001 && (found[3] - 0.012).abs() < 0.001);
        assert_eq!(thicknesses("Basic Wall:290mm", 4, 0.29), None);
        let names = ["Plaster", "Brick, Common", "Rigid insulation"].map(str::to_owned);
        assert_eq!(heaviest(&names).unwrap(), "Brick, Common");
    }

    #[test]
    fn rooms_and_terminals() {
        assert_eq!(room_use("Bedroom 2"), RoomUse::Bedroom);
        assert_eq!(room_use("Foyer"), RoomUse::Hall);
        assert_eq!(room_use("Room"), RoomUse::Other);
        assert_eq!(terminal("m_telephone terminal board:ttb 300x300"), Some(Terminal::Board));
        assert_eq!(terminal("m_telephone outlet:telophone outlet"), Some(Terminal::Phone));
        assert_eq!(terminal("m_duplex receptacle"), Some(Terminal::Mains));
        assert_eq!(terminal("m_lighting switches:single pole"), None);
        assert_eq!(appliance("m_range:760 x 650mm"), Some("range"));
        assert_eq!(appliance("m_refrigerator:850 x 760mm"), Some("refrigerator"));
        assert_eq!(appliance("m_sofa:1830mm"), None);
    }
}
