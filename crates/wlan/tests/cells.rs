//! Cells: overlap, own radios on one channel and power, by hand, and the remedies applied.

use findings::{Id, Severity};
use network::{Design, Family, RadioSetting};
use proptest::prelude::*;
use radio_profile::{Band, BandRadio, Generation, generic};
use units::{Db, Dbm, Hertz};
use wlan::{DeviceLink, End, Heard, LinkModel, POWER_EXCESS_MOST, cells, check_cells, check_power, power_excess};

fn id(text: &str) -> Id {
    text.parse().unwrap()
}

fn heard(ap: &str, centre: f64, level: f64) -> Heard {
    Heard { ap: id(ap), centre: Hertz::from_mhz(centre), width: Hertz::from_mhz(80.0), level: Dbm(level) }
}

fn setting(part: &str, centre: f64, eirp: f64) -> RadioSetting {
    RadioSetting {
        part: id(part),
        band: Band::Ghz5,
        centre: Hertz::from_mhz(centre),
        width: Hertz::from_mhz(80.0),
        eirp: Dbm(eirp),
    }
}

fn design(radios: Vec<RadioSetting>) -> Design {
    Design {
        id: id("d1"),
        name: "design".into(),
        family: Family::WiredBackhaul,
        parts: vec![],
        links: vec![],
        radios,
        segments: vec![],
        feeds: vec![],
        line_queue: network::LineQueue::Plain,
        upkeep: network::Upkeep::default(),
    }
}

#[test]
fn shares_by_hand() {
    let places = [
        vec![heard("ap-1", 5210.0, -50.0), heard("ap-2", 5210.0, -80.0)],
        vec![heard("ap-1", 5210.0, -60.0), heard("ap-2", 5210.0, -66.0)],
        vec![heard("ap-1", 5210.0, -85.0), heard("ap-2", 5210.0, -55.0)],
        vec![heard("ap-1", 5210.0, -75.0), heard("ap-2", 5210.0, f64::NAN)],
    ];
    let found = cells(&places, Dbm(-67.0)).unwrap();
    assert_eq!((found.places, found.covered), (4, 0.75));
    // One of three covered places; two of them hear the other at -82 dBm or more on the same channel.
    assert!((found.overlapped - 1.0 / 3.0).abs() < 1e-12);
    assert!((found.shared - 2.0 / 3.0).abs() < 1e-12 && (found.sharing_mean - 2.0 / 3.0).abs() < 1e-12);
    assert_eq!(found.without, [(id("ap-1"), 2.0 / 3.0), (id("ap-2"), 2.0 / 3.0)]);
    assert_eq!(cells(&[], Dbm(-67.0)), None);
    assert_eq!(cells(&places, Dbm(f64::NAN)), None);
    let nowhere = cells(&[vec![], vec![]], Dbm(-67.0)).unwrap();
    assert_eq!((nowhere.covered, nowhere.overlapped, nowhere.without.len()), (0.0, 0.0, 0));
    assert!(check_cells(&design(vec![]), Band::Ghz5, &nowhere).is_empty());
}

#[test]
fn an_access_point_too_many_is_switched_off() {
    let radios = vec![setting("ap-1", 5210.0, 23.0), setting("ap-2", 5210.0, 23.0)];
    let places: Vec<Vec<Heard>> = (0..20)
        .map(|i| {
            vec![heard("ap-1", 5210.0, -50.0 - f64::from(i) / 2.0), heard("ap-2", 5210.0, -70.0 + f64::from(i) / 2.0)]
        })
        .collect();
    let found = cells(&places, Dbm(-67.0)).unwrap();
    let findings = check_cells(&design(radios.clone()), Band::Ghz5, &found);
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert_eq!((findings[0].rule.as_str(), &findings[0].subjects[0]), ("wlan.access-point-not-needed", &id("ap-2")));
    let edit = &findings[0].remedies[0].edits[0];
    assert_eq!(edit.path, "designs/d1/radios");
    let left: Vec<RadioSetting> = serde_json::from_value(edit.value.clone().unwrap()).unwrap();
    assert_eq!(left, radios[..1]);
    // On channels of their own they do no harm.
    let apart: Vec<Vec<Heard>> =
        places.iter().map(|p| vec![p[0].clone(), Heard { centre: Hertz::from_mhz(5775.0), ..p[1].clone() }]).collect();
    assert!(check_cells(&design(radios.clone()), Band::Ghz5, &cells(&apart, Dbm(-67.0)).unwrap()).is_empty());
    // Nor where each is needed.
    let needed: Vec<Vec<Heard>> = (0..20)
        .map(|i| {
            let (near, far) = if i < 10 { (-50.0, -75.0) } else { (-75.0, -50.0) };
            vec![heard("ap-1", 5210.0, near), heard("ap-2", 5210.0, far)]
        })
        .collect();
    let findings = check_cells(&design(radios), Band::Ghz5, &cells(&needed, Dbm(-67.0)).unwrap());
    // But then nobody hears two.
    assert_eq!(findings.iter().map(|f| f.rule.as_str()).collect::<Vec<_>>(), ["wlan.little-overlap"]);
}

fn ap_radio() -> BandRadio {
    BandRadio {
        band: Band::Ghz5,
        streams: 2,
        max_width: Hertz::from_mhz(80.0),
        tx_power: Dbm(27.0),
        antenna_gain: Db(3.0),
        noise_figure: Db(7.0),
    }
}

fn thing_link(setting: &RadioSetting) -> LinkModel {
    let thing = generic::client(generic::ClientClass::Thing, Generation::Ax);
    let radio = ap_radio();
    let ap = End { generation: Generation::Ax, radio: &radio };
    let client = End { generation: thing.generation, radio: thing.band(Band::Ghz5).unwrap() };
    LinkModel::new("US", ap, client, setting).unwrap()
}

#[test]
fn a_loud_radio_is_matched_to_its_weakest_device() {
    let loud = design(vec![setting("ap-1", 5775.0, 30.0), setting("ap-2", 5775.0, 10.0)]);
    let link = thing_link(&loud.radios[0]);
    // By hand: the thing radiates 11 - 3 dBm and is received with 3 dBi, 7 dB and two chains; the access point 30 dBm, received with -3 dBi and 8 dB by one.
    let excess = power_excess(&link).unwrap();
    assert!((excess.0 - ((30.0 - 3.0 - 8.0) - (8.0 + 3.0 - 7.0 + 3.0103))).abs() < 1e-3, "{excess:?}");
    let (device, ap) = (id("lock"), id("ap-1"));
    let links = [DeviceLink { device: &device, ap: &ap, band: Band::Ghz5, link: &link }];
    let findings = check_power(&loud, &links);
    assert_eq!(findings.len(), 1);
    assert_eq!((findings[0].rule.as_str(), findings[0].severity), ("wlan.power-unbalanced", Severity::Risk));
    // The remedy applied: the figure after is the limit, and the finding is gone.
    let value = findings[0].remedies[0].edits[0].value.clone().unwrap();
    let after = design(serde_json::from_value(value).unwrap());
    let link = thing_link(&after.radios[0]);
    assert!((power_excess(&link).unwrap().0 - POWER_EXCESS_MOST.0).abs() < 1e-9);
    assert!(check_power(&after, &[DeviceLink { link: &link, ..links[0] }]).is_empty());
    assert_eq!(after.radios[1], loud.radios[1]);
    // With one access point it is a note.
    let alone = design(vec![setting("ap-1", 5775.0, 30.0)]);
    assert_eq!(
        check_power(&alone, &[DeviceLink { link: &thing_link(&alone.radios[0]), ..links[0] }])[0].severity,
        Severity::Note
    );
    assert!(check_power(&alone, &[]).is_empty());
}

proptest! {
    #[test]
    fn the_order_of_what_is_heard_does_not_matter(
        levels in prop::collection::vec(prop::collection::vec((0u8..4, -95.0..-40.0f64), 0..6), 1..12), turn in 0usize..6,
    ) {
        let places: Vec<Vec<Heard>> = levels
            .iter()
            .map(|p| p.iter().map(|(ap, level)| heard(&format!("ap-{ap}"), 5210.0 + 80.0 * f64::from(ap % 2), level.round())).collect())
            .collect();
        let first = cells(&places, Dbm(-67.0)).unwrap();
        let mut turned = places;
        for place in &mut turned {
            let by = turn % place.len().max(1);
            place.rotate_left(by);
        }
        turned.reverse();
        prop_assert_eq!(&first, &cells(&turned, Dbm(-67.0)).unwrap());
        for share in [first.covered, first.overlapped, first.shared] {
            prop_assert!((0.0..=1.0).contains(&share));
        }
    }
}
