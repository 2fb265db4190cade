//! Texts of a STEP physical file: the control directives of ISO 10303-21 section 6.4.3 to Unicode.

/// Decodes what stands between the apostrophes. Unknown directives stay as they are; impossible code points become
/// U+FFFD. Raw bytes above 127, which the standard forbids and programs write, are UTF-8 if they fit, else ISO 8859-1.
pub(crate) fn decode(bytes: &[u8]) -> String {
    if !bytes.iter().any(|b| matches!(b, b'\\' | b'\'') || !b.is_ascii()) {
        return String::from_utf8_lossy(bytes).into_owned();
    }
    let mut out = Vec::with_capacity(bytes.len());
    // Part of ISO 8859 that `\S\` refers to; `A` until `\P.\` changes it.
    let mut page = b'A';
    let mut at = 0;
    while let Some(&b) = bytes.get(at) {
        let rest = &bytes[at..];
        if b == b'\'' && rest.get(1) == Some(&b'\'') {
            out.push(b'\'');
            at += 2;
        } else if b != b'\\' {
            out.push(b);
            at += 1;
        } else if rest.starts_with(b"\\\\") {
            out.push(b'\\');
            at += 2;
        } else if rest.starts_with(b"\\S\\") && rest.len() > 3 {
            push(&mut out, page_char(page, rest[3]));
            at += 4;
        } else if rest.len() > 3 && rest[1] == b'P' && rest[3] == b'\\' {
            page = rest[2];
            at += 4;
        } else if rest.starts_with(b"\\X\\") && hex(rest.get(3..5)).is_some() {
            push(&mut out, hex(rest.get(3..5)).and_then(char::from_u32));
            at += 5;
        } else if rest.starts_with(b"\\X2\\") || rest.starts_with(b"\\X4\\") {
            let digits = if rest[2] == b'2' { 4 } else { 8 };
            let mut n = 4;
            let mut units = Vec::new();
            while let Some(code) = hex(rest.get(n..n + digits)) {
                units.push(code);
                n += digits;
            }
            if digits == 4 {
                let halves = units.iter().map(|u| *u as u16);
                char::decode_utf16(halves).for_each(|c| push(&mut out, c.ok()));
            } else {
                units.iter().for_each(|u| push(&mut out, char::from_u32(*u)));
            }
            at += n + if rest.get(n..n + 4) == Some(b"\\X0\\") { 4 } else { 0 };
        } else {
            out.push(b'\\');
            at += 1;
        }
    }
    String::from_utf8(out).unwrap_or_else(|e| e.into_bytes().iter().map(|b| *b as char).collect())
}

fn push(out: &mut Vec<u8>, c: Option<char>) {
    let mut buffer = [0; 4];
    out.extend_from_slice(c.unwrap_or('\u{fffd}').encode_utf8(&mut buffer).as_bytes());
}

fn hex(digits: Option<&[u8]>) -> Option<u32> {
    let digits = digits?;
    if !digits.iter().all(u8::is_ascii_hexdigit) {
        return None;
    }
    u32::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok()
}

/// The character `byte + 128` of a part of ISO 8859: parts 1 (Latin-1) and 5 (Cyrillic), whose layout is regular; the
/// other parts are not known here.
fn page_char(page: u8, byte: u8) -> Option<char> {
    let code = u32::from(byte & 0x7f) + 0x80;
    match (page, code) {
        (_, 0xa0) | (b'A', _) => char::from_u32(code),
        (b'E', 0xad) => Some('\u{ad}'),
        (b'E', 0xf0) => Some('№'),
        (b'E', 0xfd) => Some('§'),
        (b'E', 0xa1..=0xff) => char::from_u32(code - 0xa0 + 0x400),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::decode;

    #[test]
    fn directives_of_the_standard() {
        // Worked by hand from ISO 10303-21 section 6.4.3 and the code charts of Unicode and ISO 8859.
        for (raw, text) in [
            ("plain", "plain"),
            ("it''s", "it's"),
            ("a\\\\b", "a\\b"),
            ("K\\X2\\00FC\\X0\\che", "Küche"),
            ("\\X2\\D83DDE00\\X0\\", "😀"),
            ("\\X4\\0001F600\\X0\\", "😀"),
            ("K\\S\\|che", "Küche"),
            ("K\\X\\FCche", "Küche"),
            ("\\PE\\\\S\\:", "К"),
            ("\\X2\\D83D\\X0\\", "\u{fffd}"),
            ("\\X2\\00", "\\X2\\00".trim_start_matches("\\X2\\")),
            ("end\\", "end\\"),
        ] {
            assert_eq!(decode(raw.as_bytes()), text, "{raw}");
        }
        assert_eq!(decode(b"K\xfcche"), "Küche");
        assert_eq!(decode("Küche".as_bytes()), "Küche");
    }
}
