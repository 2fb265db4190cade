//! Wrapped text under headings.

use textwrap::Options;

/// Width of lines where the terminal's is not known.
const DEFAULT_WIDTH: usize = 80;
/// Widest line, since longer ones are hard to read.
const MOST_WIDTH: usize = 100;
/// Narrowest line that tables are made for.
const LEAST_WIDTH: usize = 60;

/// A page of text that grows from top to bottom.
#[derive(Debug)]
pub struct Page {
    text: String,
    width: usize,
}

impl Page {
    /// An empty page as wide as the terminal, within reason; 80 columns where there is none.
    pub fn new() -> Self {
        let columns =
            if std::io::IsTerminal::is_terminal(&std::io::stdout()) { textwrap::termwidth() } else { DEFAULT_WIDTH };
        Self::of_width(columns.clamp(LEAST_WIDTH, MOST_WIDTH))
    }

    /// An empty page of a width.
    pub fn of_width(width: usize) -> Self {
        Self { text: String::new(), width }
    }

    /// Columns of a line.
    pub fn width(&self) -> usize {
        self.width
    }

    /// A heading, underlined, with space above it.
    pub fn heading(&mut self, title: &str) {
        self.gap();
        let title = textwrap::fill(title, self.width);
        let longest = title.lines().map(|l| l.chars().count()).max().unwrap_or(0);
        self.line(&title);
        self.line(&"-".repeat(longest));
    }

    /// A lesser heading, with space above it.
    pub fn subheading(&mut self, title: &str) {
        self.gap();
        self.paragraph(title);
    }

    /// An empty line, unless there is one already or the page is empty.
    pub fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// Lines as they are.
    pub fn line(&mut self, line: &str) {
        for line in line.lines() {
            self.text.push_str(line.trim_end());
            self.text.push('\n');
        }
        if line.is_empty() {
            self.text.push('\n');
        }
    }

    /// A wrapped paragraph.
    pub fn paragraph(&mut self, text: &str) {
        self.hanging("", "", text);
    }

    /// A wrapped entry of a list.
    pub fn item(&mut self, text: &str) {
        self.hanging("  - ", "    ", text);
    }

    /// A wrapped paragraph whose first line starts with `first` and whose other lines start with `rest`.
    pub fn hanging(&mut self, first: &str, rest: &str, text: &str) {
        let options = Options::new(self.width).initial_indent(first).subsequent_indent(rest).break_words(false);
        let filled = textwrap::fill(text, options);
        self.line(&filled);
    }

    /// The page as text.
    pub fn finish(self) -> String {
        self.text
    }
}

impl Default for Page {
    fn default() -> Self {
        Self::new()
    }
}

/// A number of things: `1 room`, `7 rooms`.
pub fn count(number: usize, thing: &str) -> String {
    if number == 1 { format!("1 {thing}") } else { format!("{number} {}", plural(thing)) }
}

/// The text with a capital letter first.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

fn plural(thing: &str) -> String {
    match thing.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{stem}ies"),
        _ => format!("{thing}s"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_hang_and_wrap() {
        let mut page = Page::of_width(20);
        page.item("one two three four five");
        assert_eq!(page.finish(), "  - one two three\n    four five\n");
    }

    #[test]
    fn counts_agree_with_their_noun() {
        assert_eq!(count(1, "assembly"), "1 assembly");
        assert_eq!(count(2, "assembly"), "2 assemblies");
        assert_eq!(count(0, "storey"), "0 storeys");
    }
}
