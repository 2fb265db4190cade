//! Channels, regulation, rates, sensitivities and link budgets of 802.11. It does not trace rays and knows no household.
//!
//! - [`data_rate`], [`resource_unit_rate`], [`sensitivity`], [`GuardInterval`], [`ResourceUnit`]: the standard's formula and tables
//! - [`Channel`], [`channels`], [`all_channels`], [`channel_at`]: the channels of each band
//! - [`limits`], [`Limits`], [`Role`], [`Dfs`], [`countries_with_limits`]: what a country allows, with the rule
//! - [`availability`], [`Availability`]: which channels a country has at all
//! - [`goodput`], [`exchange`], [`Mode`], [`MacConfig`]: what one station alone on a channel carries
//! - [`contention`]: how several stations share one channel
//! - [`LinkModel`], [`budget`], [`required_gain`], [`End`], [`LinkBudget`]: both directions of a link, and the inverse
//! - [`plan_radios`], [`plan_channels`], [`channel_plan`], [`plan_objective`]: channels, widths and powers of a home
//! - [`ApInput`], [`Joined`], [`PowerChoice`], [`balanced_eirp`], [`ChannelPlan`], [`BandOutcome`]: what goes into a plan and comes out
//! - [`thing_channels`], [`ThingNetwork`], [`WifiSource`], [`ThingAdvice`]: the 802.15.4 channel beside a home's Wi-Fi
//! - [`fallbacks`], [`Fallback`], [`with_fallback`]: where a radio goes when radar is heard
//! - [`check`], [`check_heard`], [`check_air`], [`AirContext`], [`check_overlaps`], [`RULES`]: what is wrong with the radios of a design

mod availability;
mod channels;
mod check;
mod check_air;
pub mod contention;
mod goodput;
mod link;
mod plan;
mod plan_block;
mod plan_choices;
mod plan_fallback;
mod plan_power;
mod plan_search;
mod plan_share;
mod rates;
mod regulation;
mod rules;
mod thing_channel;

pub use availability::{Availability, DfsRegion, availability};
pub use channels::{Channel, all_channels, channel_at, channels};
pub use check::{RULES, check, check_heard, check_overlaps};
pub use check_air::{AirContext, check_air};
pub use goodput::{Exchange, MacConfig, Mode, exchange, goodput};
pub use link::{
    Direction, End, LinkBudget, LinkError, LinkModel, RequiredGain, STANDARD_NOISE_FIGURE, Step, budget,
    delivered_share, required_gain,
};
pub use plan::{
    ApInput, BandOutcome, ChannelPlan, Joined, PlanError, channel_plan, plan_channels, plan_objective, plan_radios,
};
pub use plan_fallback::{Fallback, fallbacks, with_fallback};
pub use plan_power::{PowerChoice, balanced_eirp};
pub use plan_share::ASSUMED_NEIGHBOUR_LOAD;
pub use rates::{
    GuardInterval, RateError, ResourceUnit, data_rate, highest_mcs, most_streams, resource_unit_rate, sensitivity,
    widest_mhz,
};
pub use regulation::{Dfs, Limits, RegulationError, Role, limits};
pub use rules::countries_with_limits;
pub use thing_channel::{ThingAdvice, ThingChannel, ThingError, ThingNetwork, WifiSource, thing_channels};
