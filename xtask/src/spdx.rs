//! Licence expressions as packages declare them (SPDX 2.1 annex D, plus the older `/` for `OR`), and whether a list of
//! allowed licences satisfies one.

use std::collections::BTreeSet;

/// Whether the expression can be met with allowed licences alone.
///
/// # Errors
/// Says what is wrong with an expression that cannot be read.
pub fn is_satisfied(expression: &str, allowed: &BTreeSet<String>) -> Result<bool, String> {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut reader = Reader { words: &words, allowed };
    let is_met = reader.alternatives()?;
    match reader.words.first() {
        None => Ok(is_met),
        Some(word) => Err(format!("`{expression}`: unexpected `{word}`")),
    }
}

struct Reader<'a> {
    words: &'a [&'a str],
    allowed: &'a BTreeSet<String>,
}

impl Reader<'_> {
    /// `a OR b OR …`: one is enough. `AND` binds more tightly.
    fn alternatives(&mut self) -> Result<bool, String> {
        let mut is_met = self.all()?;
        while self.take("OR") {
            // Not `||`: the right side must be read in any case.
            is_met |= self.all()?;
        }
        Ok(is_met)
    }

    fn all(&mut self) -> Result<bool, String> {
        let mut is_met = self.one()?;
        while self.take("AND") {
            is_met &= self.one()?;
        }
        Ok(is_met)
    }

    fn one(&mut self) -> Result<bool, String> {
        if self.take("(") {
            let is_met = self.alternatives()?;
            return if self.take(")") { Ok(is_met) } else { Err("a parenthesis is not closed".to_owned()) };
        }
        let licence = match self.words.split_first() {
            Some((word, rest)) if !["OR", "AND", "WITH", "(", ")"].contains(word) => {
                self.words = rest;
                *word
            }
            Some((word, _)) => return Err(format!("a licence is missing before `{word}`")),
            None => return Err("a licence is missing at the end".to_owned()),
        };
        if self.take("WITH") {
            let Some((exception, rest)) = self.words.split_first() else {
                return Err("an exception is missing after `WITH`".to_owned());
            };
            self.words = rest;
            // An exception only adds permissions, so the licence alone is enough.
            let whole = format!("{licence} WITH {exception}");
            return Ok(self.allowed.contains(&whole) || self.allowed.contains(licence));
        }
        Ok(self.allowed.contains(licence))
    }

    fn take(&mut self, word: &str) -> bool {
        match self.words.split_first() {
            Some((first, rest)) if *first == word => {
                self.words = rest;
                true
            }
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn satisfied(expression: &str) -> Result<bool, String> {
        let allowed = ["MIT", "Apache-2.0", "Unicode-3.0"].map(str::to_owned).into_iter().collect();
        is_satisfied(expression, &allowed)
    }

    #[test]
    fn alternatives_need_one_and_conjunctions_need_all() {
        assert_eq!(satisfied("MIT"), Ok(true));
        assert_eq!(satisfied("GPL-3.0-only"), Ok(false));
        assert_eq!(satisfied("GPL-3.0-only OR MIT"), Ok(true));
        assert_eq!(satisfied("MIT AND GPL-3.0-only"), Ok(false));
        assert_eq!(satisfied("(MIT OR Apache-2.0) AND Unicode-3.0"), Ok(true));
        assert_eq!(satisfied("(GPL-2.0-only OR AGPL-3.0-only) AND MIT"), Ok(false));
    }

    #[test]
    fn and_binds_more_tightly_than_or() {
        assert_eq!(satisfied("MIT OR GPL-2.0-only AND AGPL-3.0-only"), Ok(true));
        assert_eq!(satisfied("GPL-2.0-only AND MIT OR AGPL-3.0-only"), Ok(false));
    }

    #[test]
    fn the_old_slash_and_exceptions_are_read() {
        assert_eq!(satisfied("MIT/Apache-2.0"), Ok(true));
        assert_eq!(satisfied("GPL-2.0/MIT"), Ok(true));
        assert_eq!(satisfied("Apache-2.0 WITH LLVM-exception"), Ok(true));
        assert_eq!(satisfied("GPL-3.0-only WITH GCC-exception-3.1"), Ok(false));
    }

    #[test]
    fn what_cannot_be_read_is_an_error() {
        for expression in ["", "MIT OR", "(MIT", "MIT)", "AND MIT", "MIT Apache-2.0", "MIT WITH", "()"] {
            assert!(satisfied(expression).is_err(), "{expression}");
        }
    }
}
