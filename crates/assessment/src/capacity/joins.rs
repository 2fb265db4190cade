//! Which access point each wireless device joins, and how sure that is.

use traffic::hour::BusyHour;

use crate::capacity::data::Join;
use crate::links::Reached;

/// One row for each wireless device.
pub(crate) fn joins(reached: &[Reached], hour: &BusyHour) -> Vec<Join> {
    reached
        .iter()
        .map(|of| {
            let joined = of.joined.as_ref();
            Join {
                device: of.device.id.clone(),
                device_kind: of.device.kind,
                part: joined.map(|j| j.ap.clone()),
                band: joined.map(|j| j.band),
                level: joined.map(|j| j.level),
                next: joined.and_then(|j| j.next.as_ref()).map(|n| n.0.clone()),
                margin: joined.and_then(|j| j.margin),
                airtime: hour.devices.iter().find(|d| d.device == of.device.id).map(|d| d.airtime),
                stays: joined.filter(|j| j.next.is_some()).map(|j| j.stuck),
            }
        })
        .collect()
}
