//! The job reader on any text: it must answer, never panic, and what it reads it must write and read back.

#![no_main]

use job::{Encoding, parse, print, validate};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    for encoding in [Encoding::Toml, Encoding::Json] {
        match parse(text, encoding) {
            Ok(job) => {
                // Findings are allowed; panics, hangs and endless memory are not.
                let _ = validate(&job);
                for other in [Encoding::Toml, Encoding::Json] {
                    // Only numbers that are not finite cannot be written.
                    if let Ok(printed) = print(&job, other) {
                        let again = parse(&printed, other);
                        assert!(again.as_ref() == Ok(&job), "{other:?}: {again:?}\n{printed}");
                    }
                }
            }
            Err(error) => {
                assert!(!error.problem.is_empty());
                if let (Some(line), Some(column)) = (error.line, error.column) {
                    let longest = text.split('\n').nth(line - 1).map_or(0, |line| line.chars().count());
                    assert!(line >= 1 && column >= 1 && column <= longest + 1, "{error}");
                }
            }
        }
    }
});
