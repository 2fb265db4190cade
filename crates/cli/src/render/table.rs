//! Plain tables that fit the page.

use textwrap::core::display_width;

/// On which side the cells of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A table; a cell may have several lines.
#[derive(Debug)]
pub struct Table {
    columns: Vec<(String, Align)>,
    rows: Vec<Vec<String>>,
}

/// Least columns that a column of words is narrowed to.
const LEAST_COLUMN: usize = 10;

impl Table {
    /// An empty table with its columns.
    pub fn new(columns: &[(&str, Align)]) -> Self {
        Self { columns: columns.iter().map(|(title, align)| ((*title).to_owned(), *align)).collect(), rows: Vec::new() }
    }

    /// Adds a row; missing cells are empty.
    pub fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        let mut row: Vec<String> = cells.into_iter().collect();
        row.resize(self.columns.len(), String::new());
        self.rows.push(row);
    }

    /// True if it has no rows.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Columns that it needs at least without wrapping.
    fn natural_width(&self, gap: usize) -> usize {
        self.natural().iter().sum::<usize>() + gap * self.columns.len().saturating_sub(1)
    }

    /// Columns that it needs at least, with its words wrapped.
    pub fn least_width(&self) -> usize {
        let widths = self.natural();
        let least = widths.iter().zip(&self.columns).map(|(width, (_, align))| match align {
            Align::Left => (*width).min(LEAST_COLUMN),
            Align::Right => *width,
        });
        least.sum::<usize>() + self.columns.len().saturating_sub(1)
    }

    /// The table as lines of at most `width` columns, if its numbers leave room; words wrap.
    pub fn lines(&self, width: usize) -> Vec<String> {
        let gap = if self.natural_width(2) <= width { 2 } else { 1 };
        let widths = self.fit(width, gap);
        let mut lines = Vec::new();
        let titles: Vec<String> = self.columns.iter().map(|(title, _)| title.clone()).collect();
        self.push_row(&mut lines, &titles, &widths, gap);
        let total = widths.iter().sum::<usize>() + gap * widths.len().saturating_sub(1);
        lines.push("-".repeat(total));
        for row in &self.rows {
            self.push_row(&mut lines, row, &widths, gap);
        }
        lines
    }

    fn natural(&self) -> Vec<usize> {
        let cell = |text: &String| text.lines().map(display_width).max().unwrap_or(0);
        self.columns
            .iter()
            .enumerate()
            .map(|(i, (title, _))| {
                self.rows.iter().filter_map(|row| row.get(i)).map(cell).max().unwrap_or(0).max(cell(title))
            })
            .collect()
    }

    /// Narrows the widest columns of words until the table fits.
    fn fit(&self, width: usize, gap: usize) -> Vec<usize> {
        let mut widths = self.natural();
        let available = width.saturating_sub(gap * widths.len().saturating_sub(1));
        while widths.iter().sum::<usize>() > available {
            let widest = (0..widths.len())
                .filter(|&i| self.columns[i].1 == Align::Left && widths[i] > LEAST_COLUMN)
                .max_by_key(|&i| (widths[i], usize::MAX - i));
            match widest {
                Some(i) => widths[i] -= 1,
                None => break,
            }
        }
        widths
    }

    fn push_row(&self, lines: &mut Vec<String>, row: &[String], widths: &[usize], gap: usize) {
        let cells: Vec<Vec<String>> = row
            .iter()
            .zip(widths)
            .map(|(text, width)| text.lines().flat_map(|line| wrap(line, *width)).collect::<Vec<_>>())
            .collect();
        let height = cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
        for i in 0..height {
            let mut line = String::new();
            for (column, cell) in cells.iter().enumerate() {
                if column > 0 {
                    line.push_str(&" ".repeat(gap));
                }
                let text = cell.get(i).map_or("", String::as_str);
                let space = " ".repeat(widths[column].saturating_sub(display_width(text)));
                match self.columns[column].1 {
                    Align::Left => line.extend([text, &space]),
                    Align::Right => line.extend([&space, text]),
                }
            }
            lines.push(line.trim_end().to_owned());
        }
    }
}

fn wrap(line: &str, width: usize) -> Vec<String> {
    if display_width(line) <= width {
        return vec![line.to_owned()];
    }
    textwrap::wrap(line, textwrap::Options::new(width.max(1))).into_iter().map(|l| l.into_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_right_and_intervals_below() {
        let mut table = Table::new(&[("room", Align::Left), ("%", Align::Right)]);
        table.row(["Kitchen".to_owned(), "94\n(88–97)".to_owned()]);
        table.row(["Hall".to_owned(), "100".to_owned()]);
        assert_eq!(
            table.lines(80),
            ["room           %", "----------------", "Kitchen       94", "         (88–97)", "Hall         100"]
        );
    }

    #[test]
    fn words_wrap_where_the_page_is_narrow() {
        let mut table = Table::new(&[("what", Align::Left), ("n", Align::Right)]);
        table.row(["a rather long description".to_owned(), "1".to_owned()]);
        assert!(table.lines(16).iter().all(|line| display_width(line) <= 16));
    }
}
