//! What people write into the log: who they are and what they did.

use crate::StoreError;

/// Longest `who`, `label` or `name`, in characters.
pub const MAX_TEXT: usize = 200;

/// Most edits that are made at once; an edit works on the whole document, so that this bounds the time of one request.
pub const MAX_EDITS: usize = 1000;

/// Takes a text of one line, without the spaces around it.
///
/// # Errors
/// [`StoreError::Invalid`] if it is too long or has a character that is not for reading: such a text could break a line,
/// or turn round what stands beside it.
pub(crate) fn line(field: &'static str, text: &str) -> Result<String, StoreError> {
    let text = text.trim_matches(' ');
    let invalid = |problem: String| StoreError::Invalid { field, problem };
    let num_characters = text.chars().count();
    if num_characters > MAX_TEXT {
        return Err(invalid(format!("has {num_characters} characters; {MAX_TEXT} are the most that is kept")));
    }
    match text.chars().find(|c| is_unprintable(*c)) {
        Some(c) => Err(invalid(format!("has the control character U+{:04X}; leave it out", u32::from(c)))),
        None => Ok(text.to_owned()),
    }
}

/// Like [`line`], of a text that must say something.
///
/// # Errors
/// As [`line`], and if nothing is left.
pub(crate) fn filled_line(field: &'static str, text: &str) -> Result<String, StoreError> {
    let text = line(field, text)?;
    if text.trim().is_empty() {
        return Err(StoreError::Invalid { field, problem: "is empty; say it in a few words".to_owned() });
    }
    Ok(text)
}

/// The label of a copy of a job, whose name may be any text.
pub(crate) fn label_of_copy(name: &str) -> String {
    let readable: String = name.chars().filter(|c| !is_unprintable(*c)).take(MAX_TEXT - 20).collect();
    format!("Copy of {}", if readable.trim().is_empty() { "a job" } else { readable.trim() })
}

/// Control characters, line and paragraph separators, and marks that change the direction of the text around them
/// (Unicode Standard Annex 9, table 4).
fn is_unprintable(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_one_readable_line() {
        assert_eq!(line("who", "  adult 1 ").unwrap(), "adult 1");
        assert_eq!(line("who", "").unwrap(), "");
        assert_eq!(line("who", "エンジニア é 👷").unwrap(), "エンジニア é 👷");
        assert_eq!(line("who", &"é".repeat(MAX_TEXT)).unwrap().chars().count(), MAX_TEXT);
        assert!(line("who", &"é".repeat(MAX_TEXT + 1)).unwrap_err().to_string().contains("201 characters"));
        for bad in ["a\nb", "a\0", "\u{1b}[31m", "a\u{85}b", "a\u{202e}b", "a\u{2028}b", "\t"] {
            assert!(
                line("who", bad).unwrap_err().to_string().starts_with("who: has the control character U+"),
                "{bad:?}"
            );
        }
    }

    #[test]
    fn a_label_says_something() {
        assert!(filled_line("label", "   ").unwrap_err().to_string().contains("label: is empty"));
        assert!(filled_line("label", "\u{3000}").is_err());
        assert_eq!(filled_line("label", "Move wall").unwrap(), "Move wall");
    }
}
