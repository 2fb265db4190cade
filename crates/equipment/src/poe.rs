//! Power classes of IEEE 802.3: what a port gives and what a part may take. Cable losses are not computed here.

use units::Watts;

/// Power of a class: first at the powered part (PD), then at the port that gives it (PSE).
///
/// Class 0 is the unclassified part, which is served like class 3.
///
/// # Units
/// Both in W. The difference is what the longest permitted cable may lose.
///
/// # Validity
/// Classes 0 to 8; none for other numbers.
///
/// # Example
/// ```
/// let (part, port) = equipment::poe_class_watts(4).unwrap();
/// assert_eq!((part.value(), port.value()), (25.5, 30.0));
/// assert!(equipment::poe_class_watts(9).is_none());
/// ```
///
/// # References
/// IEEE 802.3-2022, clause 33 (classes 0 to 4) and clause 145 (classes 1 to 8).
#[must_use]
pub fn poe_class_watts(class: u8) -> Option<(Watts, Watts)> {
    let (part, port) = match class {
        0 | 3 => (12.95, 15.4),
        1 => (3.84, 4.0),
        2 => (6.49, 7.0),
        4 => (25.5, 30.0),
        5 => (40.0, 45.0),
        6 => (51.0, 60.0),
        7 => (62.0, 75.0),
        8 => (71.3, 90.0),
        _ => return None,
    };
    Some((Watts(part), Watts(port)))
}
