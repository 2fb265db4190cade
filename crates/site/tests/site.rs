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
        transmitter: None,
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

/// VDE FNN, press release of 15 October 2024 on the fault statistics of 2023: 13.7 min and 0.34 interruptions a customer;
/// 4.3 min of force majeure and about 5 min of planned work beside them; 11.8 min and 0.25 in 2022.
#[test]
fn mains_of_germany_are_the_published_ones() {
    let mains = site::default_mains("DE");
    assert!((mains.saidi.unwrap().0 / 60.0 - 13.7).abs() < 1e-9 && mains.saifi == Some(0.34));
    let range = site::mains_range("DE").unwrap();
    assert!((range.saidi.0.0 / 60.0 - 11.8).abs() < 1e-9);
    assert!((range.saidi.1.0 / 60.0 - (13.7 + 4.3 + 5.0)).abs() < 1e-9);
}

#[test]
fn published_mains_lie_in_their_ranges_and_say_where_they_are_from() {
    for country in ["DE", "NL", "GB", "FR", "JP", "US"] {
        let (mains, range) = (site::default_mains(country), site::mains_range(country).unwrap());
        let (saidi, saifi) = (mains.saidi.unwrap(), mains.saifi.unwrap());
        assert!(range.saidi.0 <= saidi && saidi <= range.saidi.1, "{country}");
        let (least, most) = range.saifi.unwrap();
        assert!(least <= saifi && saifi <= most, "{country}");
        assert!(!mains.source.unwrap().cite.is_empty() && !range.source.cite.is_empty(), "{country}");
    }
    // A mean for the whole Union would say nothing of one country: only the range is known.
    assert!(site::default_mains("ES").saidi.is_none() && site::mains_range("ES").is_some());
}
