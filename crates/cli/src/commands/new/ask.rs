//! The eight questions, asked on a terminal.

use std::io::{self, BufRead, Write};

use building::parametric::Problem;
use job::fresh::NewHome;
use units::SquareMetres;

use super::answers::{self, Misread};
use crate::args::New;

/// A question: what is asked, its default, whether flags answer it, and how an answer is read.
struct Question {
    text: &'static str,
    default: fn(&NewHome) -> String,
    answered: fn(&New) -> bool,
    read: fn(&str, &mut NewHome) -> Result<(), Misread>,
    /// Fields of the problems that belong to it, by their beginning.
    fields: &'static [&'static str],
}

const QUESTIONS: [Question; 8] = [
    Question {
        text: "Country, two letters",
        default: |h| h.country.clone(),
        answered: |a| a.country.is_some(),
        read: |text, h| answers::country(text).map(|code| h.country = code),
        fields: &["country"],
    },
    Question {
        text: "Floor area, in m² or ft²",
        default: |h| match h.country.as_str() {
            "US" | "CA" => format!("{:.0} ft²", SquareMetres(h.floor_area_m2).square_feet()),
            _ => format!("{:.0} m²", h.floor_area_m2),
        },
        answered: |a| a.floor_area.is_some(),
        read: |text, h| {
            let area = answers::area(text)?;
            // Rooms, storeys and people follow the area until they are asked themselves.
            let usual = NewHome::usual(area, h.attached);
            (h.floor_area_m2, h.rooms, h.storeys, h.people) = (area, usual.rooms, usual.storeys, usual.people);
            Ok(())
        },
        fields: &["floor_area"],
    },
    Question {
        text: "Storeys, with or without basement and attic",
        default: |h| {
            let (basement, attic) = (h.basement, h.attic);
            let with = match (basement, attic) {
                (true, true) => " with basement and attic",
                (true, false) => " with basement",
                (false, true) => " with attic",
                (false, false) => "",
            };
            format!("{}{with}", h.storeys)
        },
        answered: |a| a.storeys.is_some(),
        read: answers::storeys,
        fields: &["storeys", "basement", "attic"],
    },
    Question {
        text: "Built of (timber-frame, masonry-cavity, masonry-solid, concrete)",
        default: |h| answers::word_of(&h.construction, &answers::CONSTRUCTIONS).to_owned(),
        answered: |a| a.construction.is_some(),
        read: |text, h| answers::word(text, &answers::CONSTRUCTIONS).map(|c| h.construction = c),
        fields: &["construction"],
    },
    Question {
        text: "Joined to what (detached, semi-detached, terraced, flat)",
        default: |h| answers::word_of(&h.attached, &answers::ATTACHED).to_owned(),
        answered: |a| a.attached.is_some(),
        read: |text, h| answers::word(text, &answers::ATTACHED).map(|c| h.attached = c),
        fields: &["attached"],
    },
    Question {
        text: "Rooms beside living room, kitchen and hall",
        default: |h| {
            let r = h.rooms;
            let mut parts = Vec::new();
            let mut some = |n: u32, one: &str| match n {
                0 => {}
                1 => parts.push(format!("1 {one}")),
                n => parts.push(format!("{n} {one}s")),
            };
            some(r.bedrooms, "bedroom");
            some(r.bathrooms, "bathroom");
            some(r.offices, "office");
            if r.utility {
                parts.push("utility".to_owned());
            }
            if r.open_kitchen {
                parts.push("open kitchen".to_owned());
            }
            parts.join(", ")
        },
        answered: |a| a.bedrooms.is_some() && a.bathrooms.is_some(),
        read: answers::rooms,
        fields: &["rooms"],
    },
    Question {
        text: "How many people, and whether cables may be drilled",
        default: |h| format!("{}, {}", h.people, if h.may_drill { "drilling allowed" } else { "no drilling" }),
        answered: |a| a.people.is_some(),
        read: answers::people,
        fields: &["people"],
    },
    Question {
        text: "The line and its rates in Mbit/s",
        default: |h| {
            let kind = answers::word_of(&h.line.kind, &answers::LINES);
            format!("{kind} {}/{}", h.line.down_bps / 1e6, h.line.up_bps / 1e6)
        },
        answered: |a| a.line.is_some(),
        read: answers::line,
        fields: &["line"],
    },
];

/// Asks what no flag answers, and asks again until it is understood. The input's end takes the defaults.
pub fn all(home: &mut NewHome, args: &New, input: &mut impl BufRead, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "Eight questions; Enter takes what stands in brackets.")?;
    for (number, question) in QUESTIONS.iter().enumerate() {
        if !(question.answered)(args) {
            one(number + 1, question, home, input, out)?;
            // Flags hold over what an answer brought with it.
            super::flags(home, args).map_err(io::Error::other)?;
        }
    }
    Ok(())
}

/// Shows problems and asks the questions that they belong to once more; false if none belongs to a question.
pub fn again(
    problems: &[Problem],
    home: &mut NewHome,
    input: &mut impl BufRead,
    out: &mut impl Write,
) -> io::Result<bool> {
    for problem in problems {
        writeln!(out, "  {}: {}.\n  hint: {}", problem.path, problem.message, problem.hint)?;
    }
    let mut asked = false;
    for (number, question) in QUESTIONS.iter().enumerate() {
        if problems.iter().any(|p| question.fields.iter().any(|f| p.path.starts_with(f))) {
            if !one(number + 1, question, home, input, out)? {
                return Ok(false);
            }
            asked = true;
        }
    }
    Ok(asked)
}

/// Asks one question until its answer is understood; false at the input's end.
fn one(
    number: usize,
    question: &Question,
    home: &mut NewHome,
    input: &mut impl BufRead,
    out: &mut impl Write,
) -> io::Result<bool> {
    loop {
        write!(out, "{number}. {} [{}]: ", question.text, (question.default)(home))?;
        out.flush()?;
        let mut text = String::new();
        if input.read_line(&mut text)? == 0 {
            writeln!(out)?;
            return Ok(false);
        }
        if text.trim().is_empty() {
            return Ok(true);
        }
        match (question.read)(&text, home) {
            Ok(()) => return Ok(true),
            Err(misread) => writeln!(out, "   {misread}")?,
        }
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;
    use crate::args::{Cli, Command};

    fn args(more: &[&str]) -> New {
        let all = ["wallplate", "new", "-o", "x.toml"].iter().chain(more);
        match Cli::parse_from(all).command {
            Command::New(args) => *args,
            other => panic!("{other:?}"),
        }
    }

    fn asked(typed: &str, more: &[&str]) -> (NewHome, String) {
        let (mut home, mut out) = (NewHome::default(), Vec::new());
        let args = args(more);
        super::super::flags(&mut home, &args).unwrap();
        all(&mut home, &args, &mut typed.as_bytes(), &mut out).unwrap();
        (home, String::from_utf8(out).unwrap())
    }

    #[test]
    fn eight_answers_are_taken_in_order() {
        let typed =
            "GB\n92 m2\n2 with attic\nmasonry-cavity\nterraced\n3 bedrooms, 1 bathroom\n4, no drilling\nfibre 150/30\n";
        let (home, out) = asked(typed, &[]);
        assert_eq!(home.country, "GB");
        assert_eq!((home.floor_area_m2, home.storeys, home.attic), (92.0, 2, true));
        assert_eq!((home.rooms.bedrooms, home.people, home.may_drill), (3, 4, false));
        assert_eq!(home.line.up_bps, 30e6);
        assert!(out.contains("8. "), "{out}");
    }

    #[test]
    fn a_bad_answer_is_asked_again_with_what_is_accepted() {
        let (home, out) = asked("Nowhere at all\nFR\nhuge\n70\n", &[]);
        assert_eq!((home.country.as_str(), home.floor_area_m2), ("FR", 70.0));
        assert_eq!(out.matches("1. ").count(), 2, "{out}");
        assert!(out.contains("95 m²"), "{out}");
        // The input's end takes the defaults, which follow the area.
        assert_eq!(home.rooms.bedrooms, NewHome::usual(70.0, home.attached).rooms.bedrooms);
    }

    #[test]
    fn what_flags_answer_is_not_asked() {
        let (home, out) = asked("\n\n\n\n\n\n\n\n", &["--country", "DE", "--people", "2", "--floor-area", "60"]);
        assert_eq!((home.country.as_str(), home.people, home.floor_area_m2), ("DE", 2, 60.0));
        assert!(!out.contains("Country") && !out.contains("Floor area") && !out.contains("How many people"), "{out}");
        assert!(out.contains("Storeys"), "{out}");
    }

    #[test]
    fn a_home_that_cannot_be_drawn_is_asked_again_where_it_fails() {
        let mut home = NewHome { floor_area_m2: 40.0, ..NewHome::default() };
        let problem = Problem { path: "rooms".into(), message: "too many".into(), hint: "fewer".into() };
        let mut out = Vec::new();
        assert!(again(&[problem], &mut home, &mut "1 bedroom, 1 bathroom\n".as_bytes(), &mut out).unwrap());
        assert_eq!(home.rooms.bedrooms, 1);
    }
}
