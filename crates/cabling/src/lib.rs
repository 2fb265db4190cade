//! What the wires of a design must bear: lengths and loss, ports and topology, panels, and power over data cables.
//!
//! - [`evaluate`]: the one door; gives a [`WireSheet`] and findings. [`check`]: findings alone, without routes
//! - [`conductor`]: gauges and resistance; [`channel`]: loss, delay, cords; [`rate`]: what a category carries how far
//! - [`poe`]: what a fed device gets, how warm bundles get, what starts when
//! - [`ports_in_use`], [`switch_depth`], [`poe_load`]: single answers that other engines ask for
//! - [`panel`]: heat and height of panels; [`fibre_instead`]: glass in place of copper, as edits
//! - [`take_off`](mod@take_off): what is bought for a design, and the spools that cables are cut from
//! - [`labour`](mod@labour): what has to be done, how long it takes, and who does it in how many days
//! - [`Prepared`], [`route`]: routes of a design's cables, with holes and lengths; [`pathways`]: the search, free of buildings
//!
//! Lengths come from routes; without them they are unknown, and so is what follows from them.

mod bundles;
mod cables;
pub mod channel;
mod check_cables;
mod check_ports;
pub mod conductor;
mod evaluate;
mod fibre;
pub mod labour;
mod loops;
pub mod panel;
pub mod poe;
mod port_sheet;
mod ports;
pub mod rate;
pub mod routes;
pub mod rules;
pub mod sheet;
mod supplies;
pub mod take_off;
pub mod terms;
mod view;

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;

use equipment::Part;
use findings::Id;

pub use bundles::most_fill;
pub use evaluate::{BadTerms, Outcome, check, evaluate};
pub use fibre::fibre_instead;
pub use poe::{PoeLoad, poe_load};
pub use ports::{PortUse, ports_in_use, switch_depth};
pub use routes::{
    END_OUTSIDE, END_WITHOUT_PLACE, MANY_JOISTS, Memory, PERMANENT_LINK_TOO_LONG, Prepared, RouteInput, RouteTerms,
    Routing, UNREACHABLE, WetRooms, pathways, route,
};

pub use rules::RULES;
pub use sheet::WireSheet;
pub use supplies::POE_USABLE_SHARE;
pub use terms::Terms;
pub use view::Input;

/// Looks up a part by its id.
pub type Parts<'a> = dyn Fn(&Id) -> Option<&'a Part> + 'a;
