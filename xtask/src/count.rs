//! Counting what cargo's tests report.

/// Passed, failed and skipped tests.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Tests that passed.
    pub passed: u64,
    /// Tests that failed.
    pub failed: u64,
    /// Tests marked to be ignored.
    pub skipped: u64,
}

impl Count {
    /// Adds another count.
    pub fn add(&mut self, other: Count) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.skipped += other.skipped;
    }

    /// Adds one check.
    pub fn add_check(&mut self, has_passed: bool) {
        if has_passed {
            self.passed += 1;
        } else {
            self.failed += 1;
        }
    }

    /// The closing line.
    pub fn closing_line(self) -> String {
        format!("{} passed, {} failed, {} skipped", self.passed, self.failed, self.skipped)
    }
}

/// Reads `test result: ok. 3 passed; 0 failed; 1 ignored; …`; `None` for any other line.
pub fn result_line(line: &str) -> Option<Count> {
    let (_, counts) = line.trim().strip_prefix("test result: ")?.split_once(". ")?;
    let number = |word: &str| -> Option<u64> {
        counts.split(';').find_map(|part| part.trim().strip_suffix(word)?.trim_end().parse().ok())
    };
    Some(Count { passed: number("passed")?, failed: number("failed")?, skipped: number("ignored")? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_lines_of_libtest() {
        let line = "test result: ok. 12 passed; 0 failed; 2 ignored; 0 measured; 1 filtered out; finished in 0.03s";
        assert_eq!(result_line(line), Some(Count { passed: 12, failed: 0, skipped: 2 }));
        let line = "test result: FAILED. 1 passed; 3 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.00s";
        assert_eq!(result_line(line), Some(Count { passed: 1, failed: 3, skipped: 0 }));
    }

    #[test]
    fn other_lines_are_none() {
        for line in ["", "test a ... ok", "running 3 tests", "test result: ok", "test result: ok. many passed"] {
            assert_eq!(result_line(line), None, "{line}");
        }
    }

    #[test]
    fn the_closing_line_is_the_agreed_one() {
        let mut count = Count::default();
        count.add(Count { passed: 4, failed: 0, skipped: 1 });
        count.add_check(true);
        count.add_check(false);
        assert_eq!(count.closing_line(), "5 passed, 1 failed, 1 skipped");
    }
}
