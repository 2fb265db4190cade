//! The radio that a device brings.

use radio_profile::{RadioProfile, generic};

use crate::{Attachment, Device, DeviceKind};

/// The radio of a device: its own, else the generic one of its kind; none if it joins by cable only or through the
/// hub of a network of things.
#[must_use]
pub fn device_radio(device: &Device) -> Option<RadioProfile> {
    if matches!(device.attachment, Attachment::Wired | Attachment::ThingNetwork) {
        return None;
    }
    device.radio.clone().or_else(|| generic_radio(device.kind))
}

/// The generic radio of a kind of device.
fn generic_radio(kind: DeviceKind) -> Option<RadioProfile> {
    Some(match kind {
        DeviceKind::Phone => generic::phone(),
        DeviceKind::Tablet => generic::tablet(),
        DeviceKind::Laptop | DeviceKind::Desktop => generic::laptop(),
        DeviceKind::Television => generic::television(),
        DeviceKind::Console => generic::console(),
        DeviceKind::Camera | DeviceKind::Doorbell => generic::camera(),
        DeviceKind::Speaker
        | DeviceKind::Thing
        | DeviceKind::Printer
        | DeviceKind::Storage
        | DeviceKind::Alarm
        | DeviceKind::Other => generic::thing(),
    })
}
