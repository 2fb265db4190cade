//! Validation, defaults and countries through the public door.

use site::{Neighbour, Site, nearest_country, validate};
use units::{BitsPerSecond, Dbm, Hertz};

fn site() -> Site {
    Site::default_for("DE", "2026-11-25".parse().unwrap())
}

fn rules(site: &Site) -> Vec<String> {
    validate(site).into_iter().map(|f| f.rule).collect()
}

#[test]
fn the_default_is_sound_in_every_country() {
    for (code, _) in site::country_names() {
        assert_eq!(rules(&Site::default_for(code, "2026-11-25".parse().unwrap())), Vec::<String>::new(), "{code}");
    }
    assert_eq!(site::country_names().len(), 249, "ISO 3166-1 has 249 officially assigned codes");
}

#[test]
fn an_unknown_country_names_the_nearest() {
    let cases = [("UK", "GB"), ("de", "DE"), ("Germny", "DE"), ("USA", "US"), ("Franse", "FR"), ("DEU", "DE")];
    for (written, code) in cases {
        assert_eq!(nearest_country(written), Some(code), "{written}");
        let finding = &validate(&Site { country: written.into(), ..site() })[0];
        assert_eq!(finding.rule, "site.unknown-country");
        assert!(finding.message.contains(&format!("`{code}`")), "{}", finding.message);
        assert_eq!(finding.remedies[0].edits[0].path, "site/country");
    }
    assert_eq!(nearest_country("xqzzqxxyqz"), None);
    assert_eq!(nearest_country(""), None);
}

#[test]
fn every_impossible_number_is_listed() {
    let mut site = site();
    site.lines[0].down = BitsPerSecond(-1.0);
    site.lines[0].up = BitsPerSecond(f64::NAN);
    site.lines[0].ipv6_prefix_length = Some(129);
    site.mains.saifi = Some(f64::INFINITY);
    let neighbour = Neighbour {
        id: "n1".parse().unwrap(),
        centre: Hertz::from_mhz(900.0),
        width: Hertz(0.0),
        level: Dbm(f64::NAN),
        load: Some(1.5),
    };
    site.neighbours = vec![neighbour.clone(), neighbour];
    let found = rules(&site);
    assert_eq!(found.iter().filter(|r| *r == "site.impossible-value").count(), 4 + 8, "{found:?}");
    assert_eq!(found.iter().filter(|r| *r == "site.duplicate-id").count(), 1);
}

#[test]
fn no_line_is_noted() {
    assert_eq!(rules(&Site { lines: vec![], ..site() }), ["site.no-line"]);
}

/// EIA: CAIDI = SAIDI / SAIFI (480.5 min / 1.398 = 343.7 min in New England, 2023); here 5.6 h / 1.4 = 4 h.
#[test]
fn mains_of_the_united_states_lie_in_their_range() {
    let mains = site::default_mains("US");
    let range = site::mains_range("US").unwrap();
    let saidi = mains.saidi.unwrap();
    assert!(range.saidi.0 < saidi && saidi < range.saidi.1);
    assert!((saidi.0 / 3600.0 / mains.saifi.unwrap() - 4.0).abs() < 1e-9);
    assert!(site::default_mains("BR").saidi.is_none() && site::mains_range("BR").is_none());
}
