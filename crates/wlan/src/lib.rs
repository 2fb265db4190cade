//! Channels, regulation, rates, sensitivities and link budgets of 802.11. It does not trace rays and knows no household.
//!
//! - [`data_rate`], [`resource_unit_rate`], [`sensitivity`], [`GuardInterval`], [`ResourceUnit`]: the standard's formula and tables
//! - [`Channel`], [`channels`], [`all_channels`], [`channel_at`]: the channels of each band
//! - [`limits`], [`Limits`], [`Role`], [`Dfs`], [`countries_with_limits`]: what a country allows, with the rule
//! - [`availability`], [`Availability`]: which channels a country has at all
//! - [`goodput`], [`exchange`], [`Mode`], [`MacConfig`]: what one station alone on a channel carries
//! - [`contention`]: how several stations share one channel
//! - [`mesh`]: radio hops between access points, end to end
//! - [`LinkModel`], [`budget`], [`required_gain`], [`End`], [`LinkBudget`]: both directions of a link, and the inverse
//! - [`channel_plan`], [`plan_channels`], [`ApInput`], [`Joined`], [`ChannelPlan`]: channels, widths and powers of a home
//! - [`check`], [`check_overlaps`], [`RULES`]: what is wrong with the radios of a design

mod availability;
mod channels;
mod check;
pub mod contention;
mod goodput;
mod link;
pub mod mesh;
mod plan;
mod plan_search;
mod rates;
mod regulation;
mod rules;

pub use availability::{Availability, DfsRegion, availability};
pub use channels::{Channel, all_channels, channel_at, channels};
pub use check::{RULES, check, check_overlaps};
pub use goodput::{Exchange, MacConfig, Mode, exchange, goodput};
pub use link::{
    Direction, End, LinkBudget, LinkError, LinkModel, RequiredGain, STANDARD_NOISE_FIGURE, Step, budget,
    delivered_share, required_gain,
};
pub use plan::{ApInput, BandOutcome, ChannelPlan, Joined, PlanError, channel_plan, plan_channels};
pub use rates::{
    GuardInterval, RateError, ResourceUnit, data_rate, highest_mcs, most_streams, resource_unit_rate, sensitivity,
    widest_mhz,
};
pub use regulation::{Dfs, Limits, RegulationError, Role, limits};
pub use rules::countries_with_limits;
