//! What people type about a new home, read the same from flags and from questions.
//!
//! Each reader changes the answers or says what is accepted; whether the home can be drawn is not known here.

use building::parametric::{Attached, Construction};
use job::fresh::NewHome;
use site::LineKind;
use units::SquareMetres;

/// What is wrong with a text, with what is accepted.
pub type Misread = String;

/// A word for each construction.
pub const CONSTRUCTIONS: [(&str, Construction); 4] = [
    ("timber-frame", Construction::TimberFrame),
    ("masonry-cavity", Construction::MasonryCavity),
    ("masonry-solid", Construction::MasonrySolid),
    ("concrete", Construction::Concrete),
];

/// A word for each way of being joined.
pub const ATTACHED: [(&str, Attached); 4] = [
    ("detached", Attached::Detached),
    ("semi-detached", Attached::SemiDetached),
    ("terraced", Attached::Terraced),
    ("flat", Attached::Flat),
];

/// A word for each kind of line.
pub const LINES: [(&str, LineKind); 6] = [
    ("fibre", LineKind::Fibre),
    ("coax", LineKind::Coax),
    ("dsl", LineKind::Dsl),
    ("fixed-wireless", LineKind::FixedWireless),
    ("satellite", LineKind::Satellite),
    ("mobile", LineKind::Mobile),
];

/// What was typed, short enough to show.
fn shown(text: &str) -> String {
    text.trim().chars().take(40).collect()
}

/// A word of a list, or the beginning of just one, or its number in the list from 1.
pub fn word<T: Copy>(text: &str, words: &[(&str, T)]) -> Result<T, Misread> {
    let wanted = text.trim().to_lowercase().replace([' ', '_'], "-");
    let names = || words.iter().map(|w| w.0).collect::<Vec<_>>().join(", ");
    if let Some(found) = words.iter().find(|w| w.0 == wanted) {
        return Ok(found.1);
    }
    if let Some(found) = wanted.parse::<usize>().ok().and_then(|n| words.get(n.checked_sub(1)?)) {
        return Ok(found.1);
    }
    let mut starting = words.iter().filter(|w| !wanted.is_empty() && w.0.starts_with(&wanted));
    match (starting.next(), starting.next()) {
        (Some(found), None) => Ok(found.1),
        _ => Err(format!("`{}` is none of {}", shown(text), names())),
    }
}

/// The word that a value has in a list.
pub fn word_of<T: PartialEq>(value: &T, words: &[(&'static str, T)]) -> &'static str {
    words.iter().find(|w| &w.1 == value).map_or("", |w| w.0)
}

/// Yes or no.
pub fn yes(text: &str) -> Result<bool, Misread> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" => Ok(true),
        "no" | "n" | "false" => Ok(false),
        _ => Err(format!("`{}` is neither `yes` nor `no`", shown(text))),
    }
}

/// A whole number, 0 or more.
pub fn whole(text: &str) -> Result<u32, Misread> {
    text.trim().parse().map_err(|_| format!("`{}` is not a whole number of 0 or more, such as 2", shown(text)))
}

/// A floor area in square metres or square feet.
pub fn area(text: &str) -> Result<f64, Misread> {
    text.parse::<SquareMetres>()
        .map(|a| a.0)
        .map_err(|_| format!("`{}` is not an area; write for example `95`, `95 m²` or `1000 ft²`", shown(text)))
}

/// A country by its code or its English name.
pub fn country(text: &str) -> Result<String, Misread> {
    let code = text.trim().to_uppercase();
    if site::country_name(&code).is_some() {
        return Ok(code);
    }
    let hint = match site::nearest_country(text) {
        // A name written in full is as good as its code.
        Some(code) if site::country_name(code).is_some_and(|n| n.eq_ignore_ascii_case(text.trim())) => {
            return Ok(code.to_owned());
        }
        Some(code) => format!("did you mean `{code}` ({})?", site::country_name(code).unwrap_or(code)),
        None => "give two letters, such as US, GB, DE or JP".to_owned(),
    };
    Err(format!("`{}` is no country code of ISO 3166-1; {hint}", shown(text)))
}

/// Storeys with what lies under and over them: `2`, `1 with basement`, `3, no attic`.
pub fn storeys(text: &str, home: &mut NewHome) -> Result<(), Misread> {
    let accepted = "write for example `2`, `2 with attic`, `1 with basement`, `2 without attic`";
    let lower = text.trim().to_lowercase();
    let number = lower.split(|c: char| !c.is_ascii_digit() && c != '-' && c != '.').next().unwrap_or_default();
    let count =
        whole(number).map_err(|_| format!("`{}` does not start with a number of storeys; {accepted}", shown(text)))?;
    let mut negated = false;
    let (mut basement, mut attic) = (false, None);
    for token in lower[number.len()..].split(|c: char| !c.is_alphanumeric()).filter(|t| !t.is_empty()) {
        match token {
            "with" | "and" => negated = false,
            "no" | "without" => negated = true,
            "storey" | "storeys" | "story" | "stories" | "floor" | "floors" | "a" | "an" | "or" => {}
            "basement" => basement = !negated,
            "attic" => attic = Some(!negated),
            _ => return Err(format!("`{}` is not understood: `{token}`; {accepted}", shown(text))),
        }
    }
    home.storeys = count;
    home.basement = basement;
    home.attic = attic.unwrap_or(false);
    Ok(())
}

/// Rooms wanted: `3 bedrooms, 2 bathrooms, 1 office, utility, open kitchen`; what is not named is not wanted,
/// but for one bathroom.
pub fn rooms(text: &str, home: &mut NewHome) -> Result<(), Misread> {
    let accepted = "write for example `3 bedrooms, 2 bathrooms, 1 office, utility, open kitchen`";
    let mut rooms = home.rooms;
    (rooms.bedrooms, rooms.bathrooms, rooms.offices, rooms.utility, rooms.open_kitchen) = (0, 1, 0, false, false);
    let lower = text.to_lowercase().replace(" and ", ",");
    for part in lower.split(',').map(str::trim).filter(|p| !p.is_empty()) {
        let (number, what) = match part.split_once(' ') {
            Some((number, what)) if number.starts_with(|c: char| c.is_ascii_digit() || c == '-') => {
                (whole(number).map_err(|e| format!("{e}; {accepted}"))?, what.trim())
            }
            _ => (1, part),
        };
        match what {
            w if w.starts_with("bed") || w.starts_with("sleep") => rooms.bedrooms = number,
            w if w.starts_with("bath") || w.starts_with("shower") => rooms.bathrooms = number,
            w if w.starts_with("office") || w.starts_with("study") => rooms.offices = number,
            w if w.starts_with("util") || w.starts_with("laundry") => rooms.utility = number > 0,
            w if w.starts_with("open") => rooms.open_kitchen = true,
            // Every home has these.
            w if w.starts_with("living") || w.starts_with("kitchen") || w.starts_with("hall") => {}
            _ => return Err(format!("`{}` is not understood; {accepted}", shown(part))),
        }
    }
    home.rooms = rooms;
    Ok(())
}

/// People, and whether cables may be drilled: `4`, `2, no drilling`.
pub fn people(text: &str, home: &mut NewHome) -> Result<(), Misread> {
    let lower = text.trim().to_lowercase();
    let number = lower.split(|c: char| !c.is_ascii_digit() && c != '-' && c != '.').next().unwrap_or_default();
    let count = whole(number).map_err(|_| {
        format!("`{}` does not start with a number of people; write for example `4` or `2, no drilling`", shown(text))
    })?;
    let rest = lower[number.len()..].trim_matches(|c: char| !c.is_alphanumeric());
    home.may_drill = match rest {
        "" | "people" | "person" => true,
        r if r.contains("no drill") || r.contains("not drill") || r.contains("without drill") || r == "no" => false,
        r if r.contains("drill") || r == "yes" => true,
        _ => {
            return Err(format!(
                "`{}` is not understood; write for example `4, drilling allowed` or `2, no drilling`",
                shown(text)
            ));
        }
    };
    home.people = count;
    Ok(())
}

/// A line: `fibre 500/100`, in Mbit/s down and up; the rates may be left out.
pub fn line(text: &str, home: &mut NewHome) -> Result<(), Misread> {
    let names = LINES.iter().map(|w| w.0).collect::<Vec<_>>().join(", ");
    let accepted = format!("write its kind ({names}) and its rates in Mbit/s, such as `fibre 500/100`");
    let trimmed = text.trim();
    let at = trimmed.find(|c: char| c.is_ascii_digit()).unwrap_or(trimmed.len());
    let (kind, rates) = trimmed.split_at(at);
    let kind =
        word(kind.trim_end_matches(|c: char| !c.is_alphanumeric()), &LINES).map_err(|e| format!("{e}; {accepted}"))?;
    let rates = rates.to_lowercase();
    let rates = rates.trim_end_matches("mbit/s").trim_end_matches("mbps").trim();
    if !rates.is_empty() {
        let rate = |text: &str| text.trim().parse::<f64>().ok().filter(|r| r.is_finite() && *r > 0.0);
        let (Some(down), Some(up)) = rates.split_once('/').map_or((None, None), |(d, u)| (rate(d), rate(u))) else {
            return Err(format!("`{}` has no rates down and up; {accepted}", shown(text)));
        };
        (home.line.down_bps, home.line.up_bps) = (down * 1e6, up * 1e6);
    }
    home.line.kind = kind;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn storeys_rooms_and_people_are_read_from_a_phrase() {
        let mut home = NewHome::default();
        storeys("2 with basement and attic", &mut home).unwrap();
        assert_eq!((home.storeys, home.basement, home.attic), (2, true, true));
        storeys("1, no attic", &mut home).unwrap();
        assert_eq!((home.storeys, home.basement, home.attic), (1, false, false));
        rooms("3 bedrooms, 2 bathrooms and an open kitchen".replace("an ", "").as_str(), &mut home).unwrap();
        assert_eq!((home.rooms.bedrooms, home.rooms.bathrooms, home.rooms.open_kitchen), (3, 2, true));
        people("2, no drilling", &mut home).unwrap();
        assert_eq!((home.people, home.may_drill), (2, false));
        line("dsl 50/10", &mut home).unwrap();
        assert_eq!((home.line.kind, home.line.down_bps, home.line.up_bps), (LineKind::Dsl, 50e6, 10e6));
        line("satellite", &mut home).unwrap();
        assert_eq!(home.line.kind, LineKind::Satellite);
    }

    #[test]
    fn areas_are_read_in_both_systems() {
        for (text, m2) in
            [("95", 95.0), ("95 m2", 95.0), ("95 m²", 95.0), ("1000 ft2", 92.90304), ("1000 sq ft", 92.90304)]
        {
            assert!((area(text).unwrap() - m2).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn what_is_not_understood_is_told_what_is_accepted() {
        let mut home = NewHome::default();
        assert!(area("big").unwrap_err().contains("95 m²"));
        assert!(word("stone", &CONSTRUCTIONS).unwrap_err().contains("masonry-solid"));
        assert!(word("masonry", &CONSTRUCTIONS).unwrap_err().contains("masonry-cavity"));
        assert!(storeys("two", &mut home).unwrap_err().contains("2 with attic"));
        assert!(storeys("-1", &mut home).is_err());
        assert!(storeys("2 with tower", &mut home).unwrap_err().contains("tower"));
        assert!(rooms("3 ballrooms", &mut home).unwrap_err().contains("3 bedrooms"));
        assert!(people("many", &mut home).unwrap_err().contains("no drilling"));
        assert!(line("string 1/1", &mut home).unwrap_err().contains("fibre"));
        assert!(line("fibre fast", &mut home).is_err());
        assert!(country("Atlantis-by-the-sea").is_err());
        assert_eq!(country("gb").unwrap(), "GB");
        assert_eq!(country("Germany").unwrap(), "DE");
        assert!(yes("perhaps").is_err());
    }
}
