//! A design with one part thought elsewhere, for looking at a place before anything is stored.

use assessment::Home;
use building::ResolvedRoom;
use findings::Id;
use network::{Design, PlacedPart};
use units::Point2;

use crate::problem::{self, Problem};

/// A part, and where on its storey it is to be thought.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    part: Id,
    to: Point2,
}

impl Move {
    /// The move that a query asks for, if any.
    ///
    /// # Errors
    /// A sentence if something of it is missing or no number.
    pub fn asked(part: Option<&Id>, x: Option<f64>, y: Option<f64>) -> Result<Option<Self>, Problem> {
        let field = match (part, x, y) {
            (None, None, None) => return Ok(None),
            (Some(part), Some(x), Some(y)) => {
                let to = Point2::new(x, y);
                if to.is_finite() {
                    return Ok(Some(Self { part: part.clone(), to }));
                }
                let message = "to_x and to_y must be finite numbers, in metres";
                return Err(Problem::of_field(
                    problem::UNREADABLE,
                    if x.is_finite() { "to_y" } else { "to_x" },
                    message,
                ));
            }
            (None, _, _) => "move",
            (_, None, _) => "to_x",
            (_, _, None) => "to_y",
        };
        let message = "move, to_x and to_y go together: which part, and where it is to be";
        Err(Problem::of_field(problem::UNREADABLE, field, message))
    }

    /// The design with the part there, at the height above its floor that it has.
    ///
    /// # Errors
    /// A sentence if the design has no such part, or the place is in none of its storey's rooms.
    pub fn of(&self, design: &Design, home: &Home) -> Result<Design, Problem> {
        let parts: Vec<&str> = design.parts.iter().map(|p| p.id.as_str()).collect();
        let Some(idx) = parts.iter().position(|id| *id == self.part.as_str()) else {
            let message = format!("the design has no part `{}`; its parts are {}", self.part, parts.join(", "));
            return Err(Problem::of_field(problem::MISSING, "move", message));
        };
        let mut design = design.clone();
        let part = &mut design.parts[idx];
        if part.at.plan() == self.to {
            return Ok(design);
        }
        let room = self.room(part, home)?;
        part.room = room.id.clone();
        part.at = self.to.at_height(part.at.z);
        Ok(design)
    }

    /// The room that the place is in.
    fn room<'a>(&self, part: &PlacedPart, home: &'a Home) -> Result<&'a ResolvedRoom, Problem> {
        let (rooms, storeys) = (&home.resolved.rooms, &home.resolved.storeys);
        let of_room = rooms.iter().find(|r| r.id == part.room).map(|r| r.storey);
        let by_height = || storeys.iter().rposition(|s| s.floor_z <= part.at.z).unwrap_or(0);
        let storey = of_room.unwrap_or_else(by_height);
        rooms.iter().find(|r| r.storey == storey && r.contains(self.to)).ok_or_else(|| {
            let name = storeys.get(storey).map_or("its storey", |s| s.name.as_str());
            let message = format!(
                "({:.2} m, {:.2} m) is in none of the rooms of {name}: it is in a wall or outside the building; name a \
                 place in a room",
                self.to.x, self.to.y
            );
            Problem::of_field(problem::REFUSED, "to_x", message)
        })
    }
}
