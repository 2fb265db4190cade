//! Price lists: what is read, and how every problem is named with its line.

use equipment::{Catalog, PriceList};

const HEADER: &str = "part,price,currency,date,unit,source\n";

fn read(rows: &str) -> Result<PriceList, Vec<String>> {
    PriceList::from_csv(&format!("{HEADER}{rows}"))
        .map_err(|problems| problems.iter().map(ToString::to_string).collect())
}

/// The list is refused with these messages and no others.
fn refused(rows: &str, expected: &[&str]) {
    let found = read(rows).expect_err("refused");
    assert_eq!(found.len(), expected.len(), "{found:#?}");
    for (message, part) in found.iter().zip(expected) {
        assert!(message.contains(part), "`{message}` does not contain `{part}`");
    }
}

#[test]
fn a_list_is_read_exactly() {
    let list = read(
        "# bought last week\nswitch-5,21.90,EUR,2026-11-02,piece,shop\ncable-cat6,0.615,EUR,2026-11-01,m,\"drum, 305 m\"\n\
         labour-hour,62,EUR,2026-11-02,hour,own rate\n",
    )
    .unwrap();
    assert_eq!(list.iter().count(), 3);
    let cable = list.get(&"cable-cat6".parse().unwrap()).unwrap();
    assert_eq!(cable.price.to_string(), "0.615 EUR");
    assert_eq!(cable.source.cite, "drum, 305 m");
    assert_eq!(cable.line, 4);
    assert_eq!(list.labour_hour().unwrap().price.to_string(), "62 EUR");
    assert_eq!(list.oldest().unwrap().to_string(), "2026-11-01");
}

#[test]
fn columns_may_stand_in_any_order_and_behind_a_byte_order_mark() {
    let list =
        PriceList::from_csv("\u{feff}Unit,source,part,price,date,currency\r\npiece,shop,switch-5,1,2026-01-01,USD\r\n");
    assert_eq!(list.unwrap().currency().code(), "USD");
}

#[test]
fn headers_are_checked() {
    let message = |text: &str| PriceList::from_csv(text).unwrap_err()[0].to_string();
    assert!(message("").contains("column `part` is missing"));
    assert!(message("part,price,currency,date,unit,sauce\n").contains("column `source` is missing"));
    assert!(message("part,price,currency,date,unit,source,part\n").contains("`part` is there twice"));
    assert!(message("part,price,currency,date,unit,source,note\n").contains("unknown column `note`"));
    assert!(message(HEADER).contains("no price below the header"));
}

#[test]
fn every_problem_is_listed_with_its_line() {
    refused(
        "switch-5,-1,EUR,2026-11-02,piece,shop\nswitch-8,\"1,50\",EUR,2026-13-02,piece,shop\n\
         swi tch,1,eur,2026-11-02,box,\nswitch-5\n",
        &[
            "line 2: `price`: `-1` is negative",
            "line 3: `price`: `1,50` is not a decimal number",
            "line 3: `date`: `2026-13-02` is not a date",
            "line 4: `part`",
            "line 4: `currency`: `eur`",
            "line 4: `unit`: `box`",
            "line 4: `source`: it is empty",
            "line 5: `price`: it is empty",
            "line 5: `currency`",
            "line 5: `date`",
            "line 5: `unit`",
            "line 5: `source`",
        ],
    );
}

#[test]
fn mixed_currencies_and_doubles_are_refused() {
    refused(
        "switch-5,1,EUR,2026-11-02,piece,s\nswitch-8,1,USD,2026-11-02,piece,s\n",
        &["line 3: the price is in USD, but line 2 is in EUR"],
    );
    refused(
        "switch-5,1,EUR,2026-11-02,piece,s\nswitch-5,2,EUR,2026-11-02,piece,s\n",
        &["line 3: `switch-5` already has a price in line 2"],
    );
}

#[test]
fn prices_beyond_belief_are_refused() {
    refused("switch-5,10000000.01,EUR,2026-11-02,piece,s\n", &["is above 10000000"]);
    refused("switch-5,99999999999999999999999999999999999,EUR,2026-11-02,piece,s\n", &["is not a decimal number"]);
    refused("switch-5,0.00001,EUR,2026-11-02,piece,s\n", &["more than four digits"]);
    refused("switch-5,NaN,EUR,2026-11-02,piece,s\n", &["is not a decimal number"]);
    refused("switch-5,5,EUR,2026-11-02,hour,s\n", &["`hour` belongs to the row `labour-hour`"]);
    refused("labour-hour,5,EUR,2026-11-02,piece,s\n", &["`hour` belongs to the row `labour-hour`"]);
    refused("switch-5,1,5,EUR,2026-11-02,piece,s\n", &["7 cells instead of 6", "`currency`", "`date`", "`unit`"]);
}

#[test]
fn a_part_that_no_catalogue_knows_is_a_warning() {
    let list = read("swtich-5,1,EUR,2026-11-02,piece,s\nlabour-hour,60,EUR,2026-11-02,hour,s\n").unwrap();
    let warnings = list.unknown_parts(&Catalog::builtin());
    assert_eq!(warnings.len(), 1);
    assert_eq!(warnings[0].to_string(), "line 2: no part has the id `swtich-5`; is `switch-5` meant?");
}

#[test]
fn a_wrong_file_stops_early() {
    let rows = "x\n".repeat(50_000);
    assert!(read(&rows).unwrap_err().len() <= 110);
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { failure_persistence: None, ..Default::default() })]

    #[test]
    fn no_text_makes_the_reader_panic(text in "(part,price,currency,date,unit,source\n)?[-a-z0-9,.\"\n\u{feff}EUR #]{0,200}") {
        if let Err(problems) = PriceList::from_csv(&text) {
            proptest::prop_assert!(!problems.is_empty());
        }
    }

    #[test]
    fn what_is_read_is_what_was_written(cents in proptest::collection::vec(0_u32..1_000_000_000, 1..40)) {
        let rows: String = cents
            .iter()
            .enumerate()
            .map(|(i, c)| format!("p{i},{}.{:02},GBP,2026-11-02,piece,shop\n", c / 100, c % 100))
            .collect();
        let list = read(&rows).unwrap();
        for (i, c) in cents.iter().enumerate() {
            let price = list.get(&format!("p{i}").parse().unwrap()).unwrap();
            proptest::prop_assert_eq!(price.price.to_string(), format!("{}.{:02} GBP", c / 100, c % 100));
            proptest::prop_assert_eq!(price.line, i as u64 + 2);
        }
    }
}
