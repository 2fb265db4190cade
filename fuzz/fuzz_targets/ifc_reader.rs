//! The model reader on any bytes: it must answer, never panic, twice the same, and with finite numbers.

#![no_main]

use findings::NoProgress;
use ifc::{Import, ImportError, Limits, Options, read};
use libfuzzer_sys::fuzz_target;

fn import(bytes: &[u8]) -> Result<Import, ImportError> {
    let mut options = Options { dwelling: None, limits: Limits { bytes: 1 << 20, instances: 20_000 } };
    match read(bytes, Some(bytes), &options, &NoProgress) {
        Err(ImportError::ChooseDwelling(_)) => {
            options.dwelling = Some("1".to_owned());
            read(bytes, Some(bytes), &options, &NoProgress)
        }
        other => other,
    }
}

fuzz_target!(|bytes: &[u8]| {
    match import(bytes) {
        Ok(one) => {
            let home = &one.building;
            assert!(home.walls.iter().all(|w| w.from.is_finite() && w.to.is_finite() && w.base.is_finite()));
            assert!(home.walls.iter().all(|w| w.height.is_some_and(|h| h.is_finite() && h.value() > 0.)));
            assert!(home.openings.iter().all(|o| o.at.is_finite() && o.width.is_finite() && o.sill.is_finite()));
            assert!(home.rooms.iter().all(|r| r.inside.is_finite()));
            assert!(home.storeys.iter().all(|s| s.elevation.is_finite() && s.height.is_finite()));
            assert_eq!(import(bytes).map(|two| two.building), Ok(one.building));
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
});
