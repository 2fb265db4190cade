//! Cables, hops and the line as wires that streams share. What runs over them is not here.

use crate::UplinkKind;
use crate::evening::HourInput;
use crate::evening_frames::sound_rate;
use crate::evening_network::{LineWays, Wire};
use crate::paths::Network;

/// Share of the line that a fair queue uses where the design has none yet (common practice: 0.85 to 0.95 of what is measured).
pub(crate) const FAIR_SHARE: f64 = 0.9;

/// Two for each uplink, towards the part and from it, then the line.
pub(crate) fn wires(input: &HourInput, network: &Network) -> (Vec<Wire>, Option<LineWays>) {
    let mut wires = Vec::new();
    for uplink in network.uplinks() {
        let (capacity, is_radio) = match uplink.kind {
            UplinkKind::Wired { rate } => (if sound_rate(rate.0) { rate.0 } else { 0.0 }, false),
            UplinkKind::Radio { .. } => (1.0, true),
        };
        let wire = Wire { capacity, share: 1.0, is_radio };
        wires.extend([wire.clone(), wire]);
    }
    let line = network.line().map(|line| {
        let down = wires.len();
        let (fair_share, is_fair) = match input.line_queue {
            network::LineQueue::Plain => (FAIR_SHARE, false),
            network::LineQueue::Fair { share } if share > 0.0 && share <= 1.0 => (share, true),
            network::LineQueue::Fair { .. } => (FAIR_SHARE, true),
        };
        for rate in [line.down.0, line.up.0] {
            let capacity = if sound_rate(rate) { rate } else { 0.0 };
            wires.push(Wire { capacity, share: if is_fair { fair_share } else { 1.0 }, is_radio: false });
        }
        let delays = line.delays();
        LineWays { down, idle: delays.idle.0, full: [delays.queue_down.0, delays.queue_up.0], fair_share, is_fair }
    });
    (wires, line)
}
