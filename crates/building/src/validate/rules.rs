//! The rules of this crate.

use findings::{Rule, Severity, Source};

fn practice() -> Source {
    Source::common_practice()
}

fn program() -> Source {
    Source::model("limit of this program")
}

const fn rule(
    id: &'static str,
    severity: Severity,
    summary: &'static str,
    limit: &'static str,
    cite: fn() -> Source,
) -> Rule {
    Rule { id, severity, summary, limit, cite }
}

use Severity::{Fails, Note, Risk};

/// Every rule that [`validate`](crate::validate) checks.
pub const RULES: &[Rule] = &[
    rule(
        "building.too-large",
        Fails,
        "The building has more elements or points than can be computed on.",
        "20 000 elements, 1 000 points in an outline, 50 000 points in all, 20 walls touching each and 5 000, 2 000 pairs of walls running in each other, 200 000 pairs of rooms beside each other",
        program,
    ),
    rule("building.not-finite", Fails, "A number is infinite or not a number.", "every number finite", program),
    rule(
        "building.absurd-size",
        Fails,
        "A length, height, thickness or place is outside anything a home has.",
        "coordinates within 10 km; walls 1 mm to 500 m long; heights 1 mm to 100 m; layers 0.01 mm to 5 m; openings from 1 mm",
        program,
    ),
    rule(
        "building.zero-thickness",
        Fails,
        "An assembly or one of its layers has no thickness.",
        "0.01 mm, except sheets such as foil",
        program,
    ),
    rule(
        "building.material-constants",
        Fails,
        "A material's constants cannot be those of a passive material.",
        "permittivity at least 1, conductivity and sheet resistance not negative, an ascending frequency range",
        program,
    ),
    rule(
        "building.framing",
        Fails,
        "Members of a framing layer are as wide as their spacing, or have no width.",
        "width below spacing",
        program,
    ),
    rule(
        "building.duplicate-id",
        Fails,
        "Two elements of one list have the same id.",
        "ids unique in their list",
        program,
    ),
    rule(
        "building.unknown-reference",
        Fails,
        "An element names another that does not exist.",
        "every named id exists",
        program,
    ),
    rule("building.no-storeys", Fails, "The building has no storeys.", "at least one storey", program),
    rule("building.no-walls", Fails, "The building has no walls.", "at least one wall", program),
    rule("building.no-rooms", Fails, "No rooms are given and the walls enclose none.", "at least one room", program),
    rule(
        "building.storeys-overlap",
        Fails,
        "A storey's ceiling is above the floor of the storey over it.",
        "no overlap over 1 mm",
        program,
    ),
    rule("building.stair", Fails, "A stair starts and ends on the same storey.", "two storeys", program),
    rule("building.opening-beyond-wall", Fails, "An opening reaches beyond an end of its wall.", "10 mm", program),
    rule(
        "building.opening-too-high",
        Fails,
        "An opening reaches above the head or below the foot of its wall.",
        "10 mm",
        program,
    ),
    rule("building.openings-overlap", Fails, "Two openings of a wall overlap.", "1 mm", program),
    rule(
        "building.opening-unfilled",
        Fails,
        "A door or window has no assembly.",
        "every door and window has one",
        program,
    ),
    rule("building.gap-filled", Note, "A gap names an assembly, which is not used.", "gaps have none", program),
    rule(
        "building.outline-degenerate",
        Fails,
        "An outline has fewer than three corners or hardly any area.",
        "3 corners, 1 cm²",
        program,
    ),
    rule(
        "building.outline-crosses-itself",
        Fails,
        "An outline crosses, touches or folds back on itself.",
        "no crossing",
        program,
    ),
    rule(
        "building.room-point-outside",
        Fails,
        "A room's point lies outside its own outline.",
        "the point is inside",
        program,
    ),
    rule(
        "building.room-not-enclosed",
        Fails,
        "A room has no outline and the walls do not enclose its point.",
        "walls closed within 50 mm",
        program,
    ),
    rule(
        "building.rooms-share-space",
        Fails,
        "Two rooms without outlines lie in one space between walls.",
        "one room a space",
        program,
    ),
    rule(
        "building.wall-gap",
        Risk,
        "A wall's end nearly meets another wall.",
        "gaps of 50 mm are closed; 300 mm are reported",
        practice,
    ),
    rule("building.walls-overlap", Risk, "Two walls run in each other.", "50 mm of length", practice),
    rule("building.rooms-overlap", Risk, "Two rooms' outlines overlap.", "1 % of the smaller and 0.1 m²", practice),
    rule("building.hole-outside", Risk, "A slab's hole reaches outside the slab.", "holes inside", practice),
    rule(
        "building.storeys-apart",
        Risk,
        "There is a wide gap between a storey's ceiling and the floor above.",
        "1 m",
        practice,
    ),
    rule(
        "building.storeys-not-stacked",
        Risk,
        "Much of a storey lies outside the storey below it.",
        "half of its area",
        practice,
    ),
    rule("building.area-differs", Risk, "A room's area differs from the stated one.", "1 %", practice),
    rule(
        "building.storey-without-room",
        Risk,
        "A storey that people live on has no room.",
        "one room a storey",
        practice,
    ),
    rule("building.outlet-outside", Risk, "A mains outlet is in no room.", "300 mm from a room", practice),
    rule("building.no-demarcation", Note, "It is not said where the line enters.", "one demarcation point", practice),
];

/// A rule of this crate. The name must stand in [`RULES`]: a test looks for every name in this crate's source.
pub(crate) fn get(id: &str) -> &'static Rule {
    static MISSING: Rule = rule("building.rule", Fails, "A rule is missing from the list.", "", program);
    RULES.iter().find(|r| r.id == id).unwrap_or(&MISSING)
}

#[cfg(test)]
mod tests {
    use super::RULES;

    /// Every name of a rule in the source is on the list, and every rule on the list is used.
    #[test]
    fn the_names_in_the_source_are_the_names_on_the_list() {
        let source = [
            include_str!("mod.rs"),
            include_str!("numbers.rs"),
            include_str!("outlines.rs"),
            include_str!("references.rs"),
            include_str!("storeys.rs"),
            include_str!("walls.rs"),
            include_str!("../resolve/rooms.rs"),
        ]
        .concat();
        let mut used: Vec<&str> =
            source.split('"').filter(|t| t.starts_with("building.") && !t.contains(' ')).collect();
        used.sort_unstable();
        used.dedup();
        let mut listed: Vec<&str> = RULES.iter().map(|r| r.id).collect();
        listed.sort_unstable();
        assert_eq!(used, listed);
    }
}
