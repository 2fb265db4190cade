//! Which of the sixteen 802.15.4 channels of 2.4 GHz suits a home's Wi-Fi, and whether moving there is worth joining every device anew.

use findings::{Finding, Id, Rule, Severity, Source};
use units::{Db, Dbm, Hertz};

use crate::coexistence::{LowPowerError, WifiUse, delivery};
use crate::low_power::{LowPowerChannel, LowPowerRadio, ieee802154_channels};

const RADIO: LowPowerRadio = LowPowerRadio::Ieee802154;
/// First-try success closer than this is equal.
const EQUAL: f64 = 1e-6;

/// Another channel would serve small things better.
pub const THING_CHANNEL: Rule = Rule {
    id: "wlan.thing-channel",
    severity: Severity::Risk,
    summary: "A network of small things loses messages to Wi-Fi, and another channel is worth joining every device anew",
    limit: "messages of the best channel delivered at the first try",
    cite: Source::common_practice,
};

/// A network of small things.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThingNetwork {
    /// Level at which its frames arrive, on the weakest link that matters.
    pub level: Dbm,
    /// Sensitivity of its receivers.
    pub sensitivity: Dbm,
    /// Octets of a frame, 1 to 127.
    pub octets: u8,
    /// The channel that it is on, 11 to 26, if there is a network already.
    pub current: Option<u8>,
    /// Devices to join again if the channel changes.
    pub devices: u32,
    /// Time to join one again [min].
    pub minutes_per_device: f64,
    /// Messages of a device each day.
    pub messages_per_day: f64,
    /// Time that a lost message costs somebody [min].
    pub minutes_per_loss: f64,
    /// A move must have paid for itself in this time [d].
    pub payback_days: f64,
    /// Power that devices give up on channel 26, next to the edge of the band.
    pub edge_loss: Db,
}

impl ThingNetwork {
    /// A network with usual values: [`LowPowerRadio::usual_sensitivity`]; 50 octets; 5 minutes to join a device; 100 messages a day; a lost one costs a minute; a move must pay within a
    /// year; 5 dB less on channel 26. Common practice, no source.
    #[must_use]
    pub const fn new(level: Dbm, devices: u32, current: Option<u8>) -> Self {
        Self {
            level,
            sensitivity: RADIO.usual_sensitivity(),
            octets: 50,
            current,
            devices,
            minutes_per_device: 5.0,
            messages_per_day: 100.0,
            minutes_per_loss: 1.0,
            payback_days: 365.0,
            edge_loss: Db(5.0),
        }
    }
}

/// What is to be expected on a channel.
#[derive(Clone, Debug, PartialEq)]
pub struct ThingChannel {
    /// Its number, 11 to 26.
    pub number: u8,
    /// Its centre.
    pub centre: Hertz,
    /// Chance that a message gets onto the air at all.
    pub access: f64,
    /// Chance that a message goes through at the first transmission.
    pub first_try: f64,
    /// Chance that it goes through at all.
    pub delivered: f64,
    /// Strongest Wi-Fi within its 2 MHz, if there is any.
    pub strongest: Option<Dbm>,
    /// Wi-Fi sources whose channel covers some of it, by place in the list.
    pub covered_by: Vec<usize>,
}

/// The channels in order, and whether to move.
#[derive(Clone, Debug, PartialEq)]
pub struct ThingAdvice {
    /// All sixteen, best first.
    pub ranked: Vec<ThingChannel>,
    /// Time to join every device again [min].
    pub move_minutes: f64,
    /// Messages lost each day as it is, if there is a current channel.
    pub lost_now: Option<f64>,
    /// Messages lost each day on the best channel.
    pub lost_best: f64,
    /// Days until the move has saved its own time; infinite if it saves none.
    pub payback_days: Option<f64>,
    /// True if moving is worth it; nothing if there is no current channel.
    pub is_worth_moving: Option<bool>,
    /// The advice in one sentence.
    pub why: String,
}

/// Ranks the 802.15.4 channels 11 to 26 of 2.4 GHz for a home's Wi-Fi.
///
/// # Model
/// What becomes of a message on each channel is [`delivery`]'s answer; on channel 26 the level is less by what devices give up there. Ranked by the
/// chance of the first try, then channels that share no spectrum with Wi-Fi, then 26 last, then the lower channel. Moving costs the time to join each
/// device again; it saves the messages that are no longer lost.
///
/// # Units
/// Levels [dBm], shares 0 to 1, times as named.
///
/// # Errors
/// [`LowPowerError`] for a value that cannot be.
///
/// # Example
/// ```
/// use units::{Dbm, Hertz};
/// use wlan::{ThingNetwork, WifiUse, thing_channels};
/// let (centre, width) = (Hertz::from_mhz(2437.0), Hertz::from_mhz(20.0));
/// let wifi = WifiUse { centre, width, level: Dbm(-45.0), airtime: 0.3, burst: WifiUse::BURST };
/// let advice = thing_channels(&[wifi], &ThingNetwork::new(Dbm(-75.0), 20, Some(18))).unwrap();
/// assert!(advice.is_worth_moving == Some(true) && advice.ranked[15].covered_by == [0]);
/// ```
pub fn thing_channels(wifi: &[WifiUse], network: &ThingNetwork) -> Result<ThingAdvice, LowPowerError> {
    check(network)?;
    let mut ranked = Vec::new();
    for channel in ieee802154_channels() {
        ranked.push(outlook(wifi, network, &channel)?);
    }
    let lost = |c: &ThingChannel| f64::from(network.devices) * network.messages_per_day * (1.0 - c.delivered);
    let now = network.current.and_then(|number| ranked.iter().find(|c| c.number == number).cloned());
    // Rounded so that the order is a total one.
    let first = |c: &ThingChannel| (c.first_try / EQUAL).round();
    ranked.sort_by(|a, b| {
        first(b)
            .total_cmp(&first(a))
            .then((!a.covered_by.is_empty()).cmp(&!b.covered_by.is_empty()))
            .then((a.number == 26).cmp(&(b.number == 26)))
            .then(a.number.cmp(&b.number))
    });
    let Some(best) = ranked.first() else { return Err(LowPowerError::BadValue("no channels".into())) };
    let move_minutes = f64::from(network.devices) * network.minutes_per_device;
    let (lost_now, lost_best) = (now.as_ref().map(lost), lost(best));
    let payback_days = lost_now.map(|lost_now| {
        let saved = (lost_now - lost_best) * network.minutes_per_loss;
        if saved > 0.0 { move_minutes / saved } else { f64::INFINITY }
    });
    let is_other = network.current != Some(best.number);
    let is_worth_moving = payback_days.map(|days| is_other && days <= network.payback_days);
    let why = match (&now, lost_now, payback_days) {
        (Some(now), Some(lost_now), Some(days)) if is_other => {
            let pays = if days.is_finite() { format!("pays after {days:.1} days") } else { "saves nothing".to_owned() };
            format!(
                "channel {} loses {lost_now:.2} messages a day, channel {} {lost_best:.2}; joining {} devices again takes {move_minutes:.0} min and {pays}",
                now.number, best.number, network.devices
            )
        }
        (Some(now), ..) => format!("channel {} is the best for this Wi-Fi already", now.number),
        _ => {
            format!("channel {}: {:.1} % of messages go through at the first try", best.number, best.first_try * 100.0)
        }
    };
    Ok(ThingAdvice { ranked, move_minutes, lost_now, lost_best, payback_days, is_worth_moving, why })
}

/// A finding if moving the network of a hub to the best channel is worth it.
///
/// `advice` as of [`thing_channels`] for `network`.
#[must_use]
pub fn check_thing_channel(hub: &Id, network: &ThingNetwork, advice: &ThingAdvice) -> Option<Finding> {
    if advice.is_worth_moving != Some(true) {
        return None;
    }
    let best = advice.ranked.first()?;
    let now = advice.ranked.iter().find(|c| Some(c.number) == network.current)?;
    let (measured, limit) = (now.first_try * 100.0, best.first_try * 100.0);
    let message = format!(
        "`{hub}` on channel {} delivers {measured:.1} % of its messages at the first try; channel {} would deliver {limit:.1} %",
        now.number, best.number
    );
    let mut text = format!(
        "move to channel {}: joining {} devices anew takes {:.0} min",
        best.number, network.devices, advice.move_minutes
    );
    if let Some(days) = advice.payback_days {
        text.push_str(&format!(", which pays after {days:.1} days"));
    }
    let finding = Finding::of(&THING_CHANNEL, vec![hub.clone()], message).against(measured, limit, "%");
    Some(finding.remedy(text, vec![]))
}

fn check(network: &ThingNetwork) -> Result<(), LowPowerError> {
    let fail = |what: &str, value: f64, must: &str| {
        Err(LowPowerError::BadValue(format!("{what} is {value}; it must be {must}")))
    };
    if !network.level.is_finite() {
        return fail("level of the things [dBm]", network.level.0, "a number");
    }
    if network.octets == 0 {
        return fail("octets of a frame", 0.0, "1 to 127");
    }
    if let Some(current) = network.current.filter(|c| !(11..=26).contains(c)) {
        return fail("current channel", f64::from(current), "11 to 26");
    }
    let amounts = [
        ("minutes to join a device", network.minutes_per_device),
        ("messages a day", network.messages_per_day),
        ("minutes for a lost message", network.minutes_per_loss),
        ("days to pay back", network.payback_days),
        ("loss on channel 26 [dB]", network.edge_loss.0),
    ];
    for (what, value) in amounts {
        if !(value.is_finite() && value >= 0.0) {
            return fail(what, value, "zero or more");
        }
    }
    Ok(())
}

fn outlook(wifi: &[WifiUse], network: &ThingNetwork, channel: &LowPowerChannel) -> Result<ThingChannel, LowPowerError> {
    let level = network.level - if channel.number == 26 { network.edge_loss } else { Db(0.0) };
    let outcome = delivery(RADIO, channel, level, network.sensitivity, wifi, u32::from(network.octets))?;
    let levels = wifi.iter().map(|w| w.level_in(channel.centre(), RADIO.width()));
    let covers = wifi.iter().enumerate().filter(|(_, w)| channel.overlaps(w.centre, w.width));
    Ok(ThingChannel {
        number: channel.number,
        centre: channel.centre(),
        access: outcome.access,
        first_try: outcome.access * outcome.per_try,
        delivered: outcome.delivered,
        strongest: levels.filter(|l| l.is_finite()).reduce(Dbm::max),
        covered_by: covers.map(|(idx, _)| idx).collect(),
    })
}
