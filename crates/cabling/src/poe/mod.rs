//! Power over data cables: what a feed delivers, what a supply must bear, how warm cables get and what starts when.

pub mod bundle;
mod feed;
mod load;
mod start;

pub use feed::{ClassLimits, FeedPoint, NoFeed, Pairs, class_limits, feed, powered_ohm};
pub(crate) use load::load_of;
pub use load::{Fed, PoeLoad, poe_load};
pub use start::{StartOrder, StartStep, Starter, inrush, start_order};
