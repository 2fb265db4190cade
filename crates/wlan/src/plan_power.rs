//! How much power an access point can use: what balances its weakest client's way back. Not what coverage asks for.

use radio_profile::{Band, BandRadio, RadioProfile};
use units::{Db, Dbm, Hertz};

use crate::{Limits, most_streams};

/// How powers are chosen.
pub struct PowerChoice<'a> {
    /// The weakest client that the powers are matched to, for example [`radio_profile::generic::phone`].
    pub client: &'a RadioProfile,
    /// How much stronger the way to the client may be than its way back.
    pub allowance: Db,
    /// Least radiated power that an access point, by its place in the list, needs in a band for what it must cover, if that is known.
    pub least: &'a dyn Fn(usize, Band) -> Option<Dbm>,
}

impl PowerChoice<'_> {
    /// Usual allowance: more is asked for from the network than is sent to it. Common practice, no source.
    pub const ALLOWANCE: Db = Db(3.0);
}

/// Steps of power, and the lowest that is considered where coverage does not say. Typical of access points (generic figure).
pub(crate) const STEP: Db = Db(3.0);
pub(crate) const LOWEST_EIRP: Dbm = Dbm(5.0);

/// Radiated power of an access point at which both ways of a link have the same margin, plus an allowance for the way down.
///
/// # Model
/// Both ends use the same mode in 20 MHz with one stream; the path gain is the same both ways. The client radiates what its radio and `client_limits`
/// allow. Margins differ by radiated power, the receiver's antenna gain, its noise figure and `10 lg` of its chains, as in [`crate::LinkModel`].
///
/// # Units
/// Radiated over isotropic [dBm].
#[must_use]
pub fn balanced_eirp(
    ap: (&RadioProfile, &BandRadio),
    client: (&RadioProfile, &BandRadio),
    client_limits: &Limits,
    allowance: Db,
) -> Dbm {
    let most = most_streams(ap.0.generation.min(client.0.generation));
    let chains = |radio: &BandRadio| Db::from_ratio(f64::from(radio.streams.min(most).max(1)));
    let sent = client_limits.clip(client.1.tx_power, client.1.antenna_gain, Hertz::from_mhz(20.0));
    let up = sent + ap.1.antenna_gain + chains(ap.1) - ap.1.noise_figure;
    let down_less_power = client.1.antenna_gain + chains(client.1) - client.1.noise_figure;
    up - down_less_power + allowance
}
