//! What is printed reads back to the same number, bit for bit.

use proptest::prelude::*;
use units::{BitsPerSecond, Date, Db, Dbm, Degrees, Hertz, Metres, Money, Seconds, SquareMetres, WattHours, Watts};

/// Any finite number, down to the smallest subnormal one.
fn finite() -> impl Strategy<Value = f64> {
    any::<u64>().prop_map(f64::from_bits).prop_filter("finite", |x| x.is_finite())
}

/// Numbers of a home's size, where texts are short and collisions with fractions are likely.
fn homely() -> impl Strategy<Value = f64> {
    prop_oneof![
        -100.0..100.0_f64,
        (-40_000_i64..40_000).prop_map(|mm| mm as f64 / 1000.0),
        (-100_000_i64..100_000).prop_map(|n| n as f64 / 64.0 * 0.0254),
    ]
}

fn metres(text: &str) -> u64 {
    text.parse::<Metres>().unwrap_or_else(|e| panic!("{e}")).value().to_bits()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn lengths(x in prop_oneof![finite(), homely()]) {
        prop_assert_eq!(metres(&Metres(x).to_string()), x.to_bits());
        prop_assert_eq!(metres(&Metres(x).to_feet_inches()), x.to_bits(), "{}", Metres(x).to_feet_inches());
    }

    #[test]
    fn homely_lengths_are_printed_in_feet_and_inches(x in homely()) {
        let text = Metres(x).to_feet_inches();
        prop_assert!(text.ends_with(['\'', '"']) && !text.contains('e'), "{}", text);
    }

    #[test]
    fn lengths_in_sixty_fourths_are_printed_as_fractions(n in 0_u32..200_000) {
        // Written with decimals, read, printed: no decimals are left.
        let text = format!("{} in", f64::from(n) / 64.0);
        let printed = text.parse::<Metres>().unwrap().to_feet_inches();
        prop_assert!(!printed.contains('.'), "{} gave {}", text, printed);
    }

    #[test]
    fn areas(x in prop_oneof![finite(), 0.0..500.0_f64]) {
        let read = |text: &str| text.parse::<SquareMetres>().unwrap().value().to_bits();
        prop_assert_eq!(read(&SquareMetres(x).to_string()), x.to_bits());
        prop_assert_eq!(read(&SquareMetres(x).to_square_feet()), x.to_bits());
    }

    #[test]
    fn whole_square_feet_stay_whole(n in 0_u32..1_000_000) {
        let text = format!("{n} sq ft");
        prop_assert_eq!(text.parse::<SquareMetres>().unwrap().to_square_feet(), text);
    }

    #[test]
    fn all_other_quantities(x in finite()) {
        macro_rules! check {
            ($($name:ident),*) => {$(
                prop_assert_eq!($name(x).to_string().parse::<$name>().unwrap().value().to_bits(), x.to_bits());
            )*};
        }
        check!(Seconds, Hertz, Watts, WattHours, BitsPerSecond, Degrees, Db, Dbm);
    }

    #[test]
    fn numbers_in_json_stay_the_same(x in finite()) {
        let text = serde_json::to_string(&Metres(x)).unwrap();
        prop_assert_eq!(serde_json::from_str::<Metres>(&text).unwrap().value().to_bits(), x.to_bits());
    }

    #[test]
    fn sums_of_money_are_exact(cents in prop::collection::vec(-1_000_000_000_i64..1_000_000_000, 1..60)) {
        // Whole cents in 128-bit integers are the outside check.
        let mut sum: Money = "0.00 EUR".parse().unwrap();
        for c in &cents {
            let sign = if *c < 0 { "-" } else { "" };
            let text = format!("{sign}{}.{:02} EUR", c.abs() / 100, c.abs() % 100);
            let money: Money = text.parse().unwrap();
            prop_assert_eq!(money.to_string().parse::<Money>().unwrap(), money);
            sum = sum.checked_add(money).unwrap();
        }
        let total: i128 = cents.iter().map(|c| i128::from(*c)).sum();
        let sign = if total < 0 { "-" } else { "" };
        prop_assert_eq!(sum.to_string(), format!("{sign}{}.{:02} EUR", total.abs() / 100, total.abs() % 100));
    }

    #[test]
    fn no_text_makes_a_parser_panic(text in prop_oneof![
        any::<String>(),
        "[-+]{0,2}[0-9., eE'\"/ftin\u{2032}\u{2033}msq²-]{0,24}",
        "[0-9]{1,4}(' ?|ft ?|\")?[0-9/ -]{0,8}(\"|in|''|m|mm|km)?",
    ]) {
        macro_rules! read {
            ($($name:ident),*) => {$(
                match text.parse::<$name>() {
                    // What is read is finite and is printed and read again.
                    Ok(value) => {
                        prop_assert!(value.is_finite());
                        prop_assert_eq!(value.to_string().parse::<$name>().unwrap(), value);
                    }
                    Err(error) => prop_assert!(error.to_string().len() < 600 && !error.reason.is_empty()),
                }
            )*};
        }
        read!(Metres, SquareMetres, Seconds, Hertz, Watts, WattHours, BitsPerSecond, Degrees, Db, Dbm);
        let _ = text.parse::<Money>();
        let _ = text.parse::<Date>();
        let _ = text.parse::<units::Currency>();
    }
}

#[test]
fn the_ends_of_the_number_range() {
    for x in [0.0, -0.0, f64::MIN_POSITIVE, 5e-324, f64::MAX, f64::MIN, f64::EPSILON, 0.0254, 0.3048, 1.0 / 3.0] {
        assert_eq!(metres(&Metres(x).to_feet_inches()), x.to_bits(), "{}", Metres(x).to_feet_inches());
        assert_eq!(metres(&Metres(x).to_string()), x.to_bits());
        let area = SquareMetres(x).to_square_feet();
        assert_eq!(area.parse::<SquareMetres>().unwrap().value().to_bits(), x.to_bits(), "{area}");
    }
    for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(Metres(x).to_feet_inches().parse::<Metres>().is_err());
        assert!(Metres(x).to_string().parse::<Metres>().is_err());
        assert!(SquareMetres(x).to_square_feet().parse::<SquareMetres>().is_err());
    }
}
