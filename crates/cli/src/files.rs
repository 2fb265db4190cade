//! Everything that touches a disk or standard input.

use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use job::Encoding;

/// Largest job document that is read. A large house is under 2 MB.
pub const MOST_JOB_BYTES: u64 = 64 << 20;
/// Largest file of answers that is read: eight answers are under 1 kB.
pub const MOST_ANSWER_BYTES: u64 = 1 << 20;
/// Largest model that is read. An IFC model of a house is under 30 MB; memory is several times the file's size.
pub const MOST_MODEL_BYTES: u64 = 256 << 20;

/// Text of a job document with its encoding and the name to show.
pub struct JobText {
    /// The text.
    pub text: String,
    /// How it is written.
    pub encoding: Encoding,
    /// Name of the file, for messages.
    pub name: String,
}

/// Reads a job document; `-` is standard input.
pub fn read_job(path: &Path) -> Result<JobText> {
    if path == Path::new("-") {
        let bytes = read_limited(io::stdin().lock(), MOST_JOB_BYTES).context("cannot read standard input")?;
        let text = utf8(bytes, "standard input")?;
        // JSON documents are objects, and no TOML document starts with a brace.
        let encoding = if text.trim_start().starts_with('{') { Encoding::Json } else { Encoding::Toml };
        return Ok(JobText { text, encoding, name: "standard input".to_owned() });
    }
    let encoding = encoding_of(path)?;
    let name = path.display().to_string();
    let text = utf8(read_file(path, MOST_JOB_BYTES)?, &name)?;
    Ok(JobText { text, encoding, name })
}

/// Reads answers as text, with the name to show; `-` is standard input.
pub fn read_json(path: &Path) -> Result<(String, String)> {
    let (bytes, name) = if path == Path::new("-") {
        let name = "standard input".to_owned();
        (read_limited(io::stdin().lock(), MOST_ANSWER_BYTES).context("cannot read standard input")?, name)
    } else {
        (read_file(path, MOST_ANSWER_BYTES)?, path.display().to_string())
    };
    Ok((utf8(bytes, &name)?, name))
}

/// Reads a model.
pub fn read_model(path: &Path) -> Result<Vec<u8>> {
    if path == Path::new("-") {
        return read_limited(io::stdin().lock(), MOST_MODEL_BYTES).context("cannot read standard input");
    }
    match extension(path).as_deref() {
        Some("ifc") => read_file(path, MOST_MODEL_BYTES),
        Some("ifczip" | "ifcxml") => bail!(
            "{}: only the plain text form of IFC is read (.ifc, ISO 10303-21); export the model as .ifc",
            path.display()
        ),
        _ => bail!("{}: not a model that can be read; models are .ifc files (IFC2x3 or IFC4)", path.display()),
    }
}

/// The encoding that a job file's name asks for.
pub fn encoding_of(path: &Path) -> Result<Encoding> {
    match extension(path).as_deref() {
        Some("toml") => Ok(Encoding::Toml),
        Some("json") => Ok(Encoding::Json),
        Some("ifc") => bail!(
            "{}: this is a model, not a job; make a job of it with `wallplate import {} -o job.toml`",
            path.display(),
            path.display()
        ),
        _ => bail!("{}: a job's name must end in .toml or .json, so that it is known how to read it", path.display()),
    }
}

/// Refuses a file that is there already, or a folder that is not, before any work is done for it.
pub fn expect_writable(path: &Path, force: bool) -> Result<()> {
    if path.is_dir() {
        bail!("{}: this is a folder; name a file in it", path.display());
    }
    if path.exists() && !force {
        bail!("{}: this file exists; choose another name, or write over it with --force", path.display());
    }
    let folder = folder_of(path);
    if !folder.is_dir() {
        bail!("{}: the folder {} does not exist; make it first", path.display(), folder.display());
    }
    Ok(())
}

/// Writes a file whole or not at all: to a new file beside it, which then takes its name.
pub fn write_whole(path: &Path, text: &str, force: bool) -> Result<()> {
    expect_writable(path, force)?;
    let folder = folder_of(path);
    let name = path.file_name().map(OsStr::to_string_lossy).unwrap_or_default();
    let part = folder.join(format!(".{name}.{}.part", std::process::id()));
    let written = write_and_flush(&part, text.as_bytes()).and_then(|()| {
        // Without --force the name is taken only if it is still free.
        if force { fs::rename(&part, path) } else { fs::hard_link(&part, path).and_then(|()| fs::remove_file(&part)) }
    });
    let written = match written {
        // Some file systems have no hard links.
        Err(error) if !force && error.kind() != io::ErrorKind::AlreadyExists && part.exists() && !path.exists() => {
            fs::rename(&part, path)
        }
        other => other,
    };
    if let Err(error) = written {
        // The message about the first failure matters more than one about tidying up.
        let _ = fs::remove_file(&part);
        return Err(anyhow!(error)).with_context(|| format!("{}: cannot write", path.display()));
    }
    Ok(())
}

fn write_and_flush(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

fn extension(path: &Path) -> Option<String> {
    path.extension().and_then(OsStr::to_str).map(str::to_ascii_lowercase)
}

fn read_file(path: &Path, most: u64) -> Result<Vec<u8>> {
    if path.is_dir() {
        bail!("{}: this is a folder; name a file in it", path.display());
    }
    let file = File::open(path).with_context(|| format!("{}: cannot open", path.display()))?;
    read_limited(file, most).with_context(|| format!("{}: cannot read", path.display()))
}

fn read_limited(source: impl Read, most: u64) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    source.take(most + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most {
        bail!("it is larger than the limit of {} MB; split it, or leave out what is not the home", most >> 20);
    }
    Ok(bytes)
}

fn utf8(bytes: Vec<u8>, name: &str) -> Result<String> {
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1;
        anyhow!("{name}: not UTF-8 text from byte offset {at} (line {line}); save it as UTF-8")
    })?;
    Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_that_is_not_utf8_is_refused_with_its_place() {
        let error = utf8(b"a = 1\nb = \xff".to_vec(), "x.toml").unwrap_err().to_string();
        assert!(error.contains("byte offset 10 (line 2)"), "{error}");
    }

    #[test]
    fn too_large_a_source_is_refused_at_the_limit() {
        assert!(read_limited(&[0_u8; 8][..], 8).is_ok());
        assert!(read_limited(&[0_u8; 9][..], 8).is_err());
    }
}
