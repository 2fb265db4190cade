//! Channels, regulation, rates, sensitivities and link budgets of 802.11. It does not trace rays and knows no household.
//!
//! - [`data_rate`], [`resource_unit_rate`], [`sensitivity`], [`GuardInterval`], [`ResourceUnit`]: the standard's formula and tables
//! - [`Channel`], [`channels`], [`all_channels`], [`channel_at`]: the channels of each band
//! - [`limits`], [`Limits`], [`Role`], [`Dfs`], [`RuleAge`], [`countries_with_limits`]: what a country allows, with the rule
//! - [`availability`], [`Availability`]: which channels a country has at all
//! - [`goodput`], [`exchange`], [`Mode`], [`MacConfig`]: what one station alone on a channel carries
//! - [`success`](success()), [`snr_for`], [`Modulation`], [`noise`], [`sinr`]: chance that a frame arrives
//! - [`LinkModel::select`], [`Selection`], [`NoiseRise`], [`implementation_loss`]: the mode that delivers most, with interference
//! - [`multi_link`](multi_link()), [`MemberLink`], [`MultiLinkRate`]: several bands for one association
//! - [`contention`]: how several stations share one channel
//! - [`mesh`]: radio hops between access points, end to end
//! - [`LinkModel`], [`budget`], [`required_gain`], [`End`], [`LinkBudget`]: both directions of a link, and the inverse
//! - [`management_load`], [`check_beacons`], [`BasicRate`], [`BeaconSource`]: airtime of beacons and searching
//! - [`associate`], [`Candidate`], [`Habits`], [`Association`], [`stuck_chance`], [`check_stuck`]: whom a device joins, and when it moves on
//! - [`LowPowerRadio`], [`LowPowerEnd`], [`delivery`], [`WifiUse`], [`hopping_delivery`]: 802.15.4 and Bluetooth LE
//! - [`cells`](cells()), [`check_cells`], [`power_excess`], [`check_power`]: overlap, own radios on one channel, power against devices
//! - [`plan_radios`], [`plan_channels`], [`channel_plan`], [`plan_objective`]: channels, widths and powers of a home
//! - [`ApInput`], [`Joined`], [`PowerChoice`], [`balanced_eirp`], [`ChannelPlan`], [`BandOutcome`]: what goes into a plan and comes out
//! - [`thing_channels`], [`ThingNetwork`], [`ThingAdvice`], [`check_thing_channel`]: the 802.15.4 channel beside a home's Wi-Fi
//! - [`fallbacks`], [`Fallback`], [`with_fallback`]: where a radio goes when radar is heard
//! - [`check`], [`check_heard`], [`check_air`], [`AirContext`], [`check_overlaps`], [`RULES`]: what is wrong with the radios of a design

mod association;
mod availability;
mod beacons;
mod cells;
mod channels;
mod check;
mod check_air;
mod coexistence;
pub mod contention;
mod goodput;
mod link;
mod low_power;
pub mod mesh;
mod multi_link;
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
mod selection;
mod success;
mod thing_channel;

pub use association::{Association, Candidate, Habits, MAY_STICK, STUCK_MOST, associate, check_stuck, stuck_chance};
pub use availability::{Availability, DfsRegion, availability};
pub use beacons::{
    BEACON_AIRTIME, BEACON_INTERVAL, BasicRate, BeaconError, BeaconSource, MANAGEMENT_LIMIT, ManagementLoad,
    NAME_OCTETS, Searching, beacon_octets, check_beacons, management_load,
};
pub use cells::{
    Cells, DeviceLink, Heard, LITTLE_OVERLAP, NOT_NEEDED, OVERLAP_LEAST, POWER_EXCESS_MOST, POWER_UNBALANCED,
    SHARED_MOST, cells, check_cells, check_power, power_excess,
};
pub use channels::{Channel, all_channels, channel_at, channels};
pub use check::{RULES, check, check_heard, check_overlaps};
pub use check_air::{AirContext, check_air};
pub use coexistence::{Delivery, LowPowerError, TRIES, WifiUse, delivery, hopping_delivery};
pub use goodput::{Exchange, MacConfig, Mode, exchange, goodput};
pub use link::{
    Direction, End, LinkBudget, LinkError, LinkModel, RequiredGain, STANDARD_NOISE_FIGURE, Step, budget,
    delivered_share, required_gain,
};
pub use low_power::{
    LowPowerChannel, LowPowerEnd, LowPowerRadio, ble_channels, ieee802154_channels, low_power_level, low_power_margin,
    low_power_required_gain, needs_relay, power_classes,
};
pub use multi_link::{MemberLink, MultiLinkRate, SwitchTimes, multi_link};
pub use plan::{
    ApInput, BandOutcome, ChannelPlan, Joined, PlanError, channel_plan, plan_channels, plan_objective, plan_radios,
};
pub use plan_fallback::{Fallback, fallbacks, with_fallback};
pub use plan_power::{PowerChoice, balanced_eirp};
pub use plan_share::{ASSUMED_NEIGHBOUR_LOAD, HOLD_BACK_LEVEL};
pub use rates::{
    GuardInterval, RateError, ResourceUnit, data_rate, highest_mcs, most_streams, resource_unit_rate, sensitivity,
    widest_mhz,
};
pub use regulation::{Dfs, Limits, RegulationError, Role, RuleAge, STALE_YEARS, limits, rule_age};
pub use rules::countries_with_limits;
pub use selection::{NoiseRise, Selection, implementation_loss};
pub use success::{CodeRate, Constellation, DsssRate, Modulation, noise, noise_rise, sinr, snr_for, success};
pub use thing_channel::{THING_CHANNEL, ThingAdvice, ThingChannel, ThingNetwork, check_thing_channel, thing_channels};
