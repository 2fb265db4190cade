//! Versions of the format: which are read, and how an older document becomes a present one.

use serde_json::Value;

use crate::FORMAT;

/// One step from a version to a later one, on the document as plain values.
pub(crate) struct Migration {
    /// The version it reads.
    pub from: &'static str,
    /// The version it writes.
    pub to: &'static str,
    /// Changes everything but `format`.
    pub step: fn(&mut Value) -> Result<(), String>,
}

/// Steps of the released versions. There is one version yet, so there is no step.
pub(crate) const MIGRATIONS: &[Migration] = &[];

/// Name of the format without its version.
const NAME: &str = "wallplate/";

/// What a document's `format` says.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Version {
    /// The one that this program writes.
    Present,
    /// One that some steps lead from.
    Older,
}

/// Judges the format that a document names.
///
/// # Errors
/// A sentence, if the document cannot be read.
pub(crate) fn judge(format: &str, migrations: &[Migration]) -> Result<Version, String> {
    if format == FORMAT {
        return Ok(Version::Present);
    }
    let number = |text: &str| {
        let digits = text.strip_prefix(NAME)?;
        (!digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit()))
            .then(|| digits.parse::<u64>().unwrap_or(u64::MAX))
    };
    let (Some(theirs), Some(ours)) = (number(format), number(FORMAT)) else {
        let shown: String = format.chars().take(60).collect();
        return Err(format!("`{shown}` is not a format of this program; write `{FORMAT}`"));
    };
    if theirs > ours {
        return Err(format!(
            "this job is written in `{format}`, which is newer than `{FORMAT}`, the newest that this program reads; \
             use a newer version of the program"
        ));
    }
    if migrations.iter().any(|m| m.from == format) {
        return Ok(Version::Older);
    }
    Err(format!("`{format}` is older than any format that this program can bring up to `{FORMAT}`"))
}

/// Brings a document up to the present format.
///
/// # Errors
/// A sentence, if a step is missing or fails.
pub(crate) fn migrate(document: &mut Value, migrations: &[Migration]) -> Result<(), String> {
    // Each step is used at most once, so that a wrong table cannot make this run on.
    for _ in 0..=migrations.len() {
        let format = document.get("format").and_then(Value::as_str).unwrap_or_default().to_owned();
        if format == FORMAT {
            return Ok(());
        }
        let Some(migration) = migrations.iter().find(|m| m.from == format) else {
            return Err(format!("no step leads from `{format}` to `{FORMAT}`"));
        };
        (migration.step)(document).map_err(|e| format!("from `{}` to `{}`: {e}", migration.from, migration.to))?;
        if let Value::Object(map) = document {
            map.insert("format".to_owned(), Value::from(migration.to));
        }
    }
    Err(format!("the steps do not lead to `{FORMAT}`"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// A made-up older version, in which a job's name was called its title.
    const STEPS: &[Migration] = &[Migration {
        from: "wallplate/0",
        to: FORMAT,
        step: |document| {
            let map = document.as_object_mut().ok_or("not a table")?;
            let title = map.remove("title").ok_or("`title` is missing")?;
            map.insert("name".into(), title);
            Ok(())
        },
    }];

    #[test]
    fn an_older_document_is_brought_up() {
        assert_eq!(judge("wallplate/0", STEPS), Ok(Version::Older));
        let mut document = json!({"format": "wallplate/0", "title": "Cottage"});
        migrate(&mut document, STEPS).unwrap();
        assert_eq!(document, json!({"format": "wallplate/1", "name": "Cottage"}));
    }

    #[test]
    fn a_failing_step_says_which() {
        let error = migrate(&mut json!({"format": "wallplate/0"}), STEPS).unwrap_err();
        assert_eq!(error, "from `wallplate/0` to `wallplate/1`: `title` is missing");
    }

    #[test]
    fn steps_in_a_circle_end() {
        let circle = &[Migration { from: "wallplate/0", to: "wallplate/0", step: |_| Ok(()) }];
        assert!(migrate(&mut json!({"format": "wallplate/0"}), circle).is_err());
    }

    #[test]
    fn versions_are_judged() {
        assert_eq!(judge("wallplate/1", MIGRATIONS), Ok(Version::Present));
        assert!(judge("wallplate/2", MIGRATIONS).unwrap_err().contains("`wallplate/2`"));
        assert!(judge("wallplate/99999999999999999999999", MIGRATIONS).unwrap_err().contains("newer"));
        assert!(judge("wallplate/0", MIGRATIONS).unwrap_err().contains("older"));
        for strange in ["", "wallplate", "wallplate/", "wallplate/x", "wallplate/-1", "other/1"] {
            assert!(judge(strange, MIGRATIONS).unwrap_err().contains("write `wallplate/1`"), "{strange}");
        }
    }
}
