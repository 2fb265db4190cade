//! What people write, and what is refused with which words.

use units::{BitsPerSecond, Dbm, Hertz, Metres, Money, Seconds, SquareMetres, Watts};

fn is_length(text: &str, expected: f64) {
    let read = text.parse::<Metres>().unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(read.value(), expected, "{text}");
}

fn is_no_length(text: &str, reason: &str) {
    let error = text.parse::<Metres>().expect_err(text).to_string();
    assert!(error.contains(reason), "`{error}` does not contain `{reason}`");
}

#[test]
fn feet_and_inches() {
    // 11 ft 10 in are 142 in, 3.6068 m by the definition of the inch, 0.0254 m.
    for text in [
        "11'10\"",
        "11' 10\"",
        "11'-10\"",
        "11′10″",
        "11’ 10”",
        "11' 10''",
        "11 ft 10 in",
        "11ft10in",
        "11 FT 10 IN",
        "11 feet 10 inches",
        "11 ft. 10 in.",
        "142\"",
        "142 in",
        "142″",
        "142 inches",
        "11'10",
        "11 ft 10\"",
        " 11' 10\" ",
    ] {
        is_length(text, 3.6068);
    }
    is_length("11' 10 1/2\"", 3.6195);
    is_length("11'-10-1/2\"", 3.6195);
    is_length("11' - 10 1/2 \"", 3.6195);
    is_length("11 ft 10 1/2 in", 3.6195);
    is_length("142 1/2\"", 3.6195);
    is_length("11' 10.5\"", 3.6195);
    is_length("6'", 1.8288);
    is_length("6 ft", 1.8288);
    is_length("6.5 ft", 1.9812);
    is_length("1/2\"", 0.0127);
    is_length("1/64 in", 0.000_396_875);
    is_length("5' 1/4\"", 1.53035);
    is_length("0\"", 0.0);
    is_length("-6'", -1.8288);
    is_length("-11' 10\"", -3.6068);
    is_length("\u{2212}11' 10\"", -3.6068);
    is_length("+6'", 1.8288);
    is_length("1,200'", 365.76);
}

#[test]
fn metric() {
    for text in ["3.6 m", "3.6m", "3,6 m", "360 cm", "3600 mm", "3600mm", "3.6", "3,6", "+3.6", "0.0036 km", "36e-1 m"]
    {
        is_length(text, 3.6);
    }
    is_length("1 200 m", 1200.0);
    is_length("1\u{202f}200\u{a0}m", 1200.0);
    is_length("1,200.5 m", 1200.5);
    is_length("1,200,000 mm", 1200.0);
    is_length("0,125 m", 0.125);
    is_length("-2.5", -2.5);
    // Exact decimals are rounded once: 0.07 × 100 in binary would give 7.000000000000001.
    assert_eq!("0.07 km".parse::<Metres>().unwrap(), Metres(70.0));
    assert_eq!("5.18 GHz".parse::<Hertz>().unwrap(), Hertz(5.18e9));
    assert_eq!("1.1 Mbit/s".parse::<BitsPerSecond>().unwrap(), BitsPerSecond(1.1e6));
    assert_eq!("300 ms".parse::<Seconds>().unwrap(), Seconds(0.3));
    assert_eq!("800 mW".parse::<Watts>().unwrap(), Watts(0.8));
    assert_eq!("1,200 sq ft".parse::<SquareMetres>().unwrap(), SquareMetres(111.483_648));
    assert_eq!("120 m2".parse::<SquareMetres>().unwrap(), SquareMetres(120.0));
}

#[test]
fn garbage_is_refused_in_precise_words() {
    is_no_length("", "does not start with a number");
    is_no_length("wide", "does not start with a number");
    is_no_length("nan", "does not start with a number");
    is_no_length("inf m", "does not start with a number");
    is_no_length("1e400 m", "too large");
    is_no_length("1e400 ft", "too large");
    is_no_length("1e-400 m", "too small");
    is_no_length("3.6 yards", "unknown unit `yards`; known are m, cm, mm");
    is_no_length("3,600 m", "could mean 3.600 or 3600");
    is_no_length("3,60,0 m", "`3,60,0` is not a number");
    is_no_length("1.2.3 m", "`1.2.3` is not a number");
    is_no_length("5' 14\"", "inches beside feet must be below 12");
    is_no_length("5.5' 3\"", "feet must be whole where inches follow");
    is_no_length("5' -3\"", "a sign inside");
    is_no_length("5 -1/2\"", "a sign inside");
    is_no_length("5' 3\" 4\"", "follows the inches");
    is_no_length("5 ft 3", "the mark for feet or inches is missing");
    is_no_length("1/3\"", "2, 4, 8, 16, 32 or 64");
    is_no_length("1/0\"", "2, 4, 8, 16, 32 or 64");
    is_no_length("5/4\"", "must be below 1");
    is_no_length("1.5 1/2\"", "only follow a whole number");
    is_no_length("--5'", "two signs");
    is_no_length("'", "does not start with a number");
    is_no_length("1/2", "the mark for feet or inches is missing");
    is_no_length(&"9".repeat(3000), "longer than 2000 bytes");
    assert!(is_short(&"9".repeat(3000)) && is_short(&format!("1 {}", "x".repeat(1500))));
    // A megawatt is no milliwatt, and case is forgiven elsewhere.
    assert!("1 MW".parse::<Watts>().is_err());
    assert_eq!("20 DBM".parse::<Dbm>().unwrap(), Dbm(20.0));
    assert_eq!("5 ghz".parse::<Hertz>().unwrap(), Hertz(5e9));
}

/// True if the error does not repeat the whole text.
fn is_short(text: &str) -> bool {
    text.parse::<Metres>().expect_err("refused").text.len() < 100
}

#[test]
fn money_is_held_exactly_or_refused() {
    let mut sum: Money = "0 EUR".parse().unwrap();
    for _ in 0..1000 {
        sum = sum.checked_add("0.10 EUR".parse().unwrap()).unwrap();
    }
    assert_eq!(sum.to_string(), "100.00 EUR");
    for text in ["", "5", "EUR", "5 eur", "5,00 EUR", "NaN EUR", "1e5 EUR", "0.123456789012345678901234567891 EUR"] {
        assert!(text.parse::<Money>().is_err(), "{text}");
    }
    let most: Money = "79228162514264337593543950335 EUR".parse().unwrap();
    assert!(most.checked_add(most).is_none());
}

#[test]
fn documents_hold_numbers_or_texts() {
    #[derive(serde::Deserialize, Debug)]
    struct Document {
        length: Metres,
    }
    let read = |text: &str| toml::from_str::<Document>(text).map(|d| d.length.value());
    assert_eq!(read("length = 3.6").unwrap(), 3.6);
    assert_eq!(read("length = 3").unwrap(), 3.0);
    assert_eq!(read("length = \"11' 10\\\"\"").unwrap(), 3.6068);
    assert!(read("length = \"far\"").unwrap_err().to_string().contains("`far` is not a length"));
    assert!(read("length = true").unwrap_err().to_string().contains("length as a number in m or a text with a unit"));
    // TOML has numbers that are not finite; the owner of the document refuses them (see the module's page).
    assert!(read("length = nan").unwrap().is_nan());
    assert!(serde_json::from_str::<Metres>("null").is_err());
    assert_eq!(serde_json::to_string(&Metres(f64::NAN)).unwrap(), "null");
    let schema = serde_json::to_value(schemars::schema_for!(Metres)).unwrap();
    assert_eq!(schema["anyOf"][0]["type"], "number");
    assert_eq!(schema["anyOf"][1]["type"], "string");
}
