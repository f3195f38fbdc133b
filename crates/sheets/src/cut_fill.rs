//! How cut sheets fill columns and pages: several short lines share one, a long one runs on, and no piece is a row alone.

/// Room between two sheets in one column, millimetres.
const BETWEEN: f64 = 5.0;
/// Least of a sheet that is begun at the foot of a column, in rows (judgement).
const WORTH_BEGINNING: usize = 4;

/// What a block of a sheet is, as far as it matters to where a sheet may be broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sort {
    /// A row.
    Row,
    /// The checks below the rows.
    Checks,
    /// The heading of the list of what is open.
    Heading,
    /// An entry of that list.
    Entry,
}

/// A sheet by its heights, millimetres.
#[derive(Debug, Clone)]
pub(crate) struct Measured {
    /// Of its head, and of the shorter head where it runs on.
    pub head_mm: (f64, f64),
    /// Of the heads of its columns, which stand over the first row of a piece.
    pub heads_mm: f64,
    /// Of its blocks, from the top.
    pub blocks: Vec<(Sort, f64)>,
}

/// A piece of a sheet in a column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Piece {
    /// Which sheet.
    pub sheet: usize,
    /// Which column of the page, from the left.
    pub column: usize,
    /// From the top of the columns down to its head, millimetres.
    pub top_mm: f64,
    /// Its first block, and the first one that it has no more.
    pub blocks: (usize, usize),
}

impl Measured {
    fn head_mm(&self, from: usize) -> f64 {
        let head_mm = if from == 0 { self.head_mm.0 } else { self.head_mm.1 };
        let is_row = self.blocks.get(from).is_some_and(|(sort, _)| *sort == Sort::Row);
        head_mm + if is_row { self.heads_mm } else { 0.0 }
    }

    fn sort(&self, at: usize) -> Option<Sort> {
        self.blocks.get(at).map(|(sort, _)| *sort)
    }

    /// True where a piece that begins at a block may end before another one: two rows at least stand together, and what
    /// follows the last rows stands with them.
    fn may_break(&self, from: usize, at: usize) -> bool {
        let before = at - from >= 2;
        match self.sort(at) {
            None => true,
            Some(Sort::Row) => before && self.sort(at + 1) == Some(Sort::Row),
            Some(Sort::Checks) => false,
            Some(Sort::Heading) => self.sort(at + 1).is_some() && self.sort(at + 2).is_some(),
            Some(Sort::Entry) => self.sort(at - 1) == Some(Sort::Entry) && self.sort(at + 1).is_some(),
        }
    }

    /// The first block that a piece of so much room has no more; `None` where it cannot be broken so that it fits.
    fn fits(&self, from: usize, room_mm: f64) -> Option<usize> {
        let mut left_mm = room_mm;
        let fitting = self.blocks[from..].iter().take_while(|(_, high_mm)| {
            left_mm -= high_mm;
            left_mm >= 0.0
        });
        let most = from + fitting.count();
        (from + 1..=most).rev().find(|at| self.may_break(from, *at))
    }
}

/// Pages of pieces: sheets in their order, down the columns, from one column and page to the next.
pub(crate) fn fill(sheets: &[Measured], columns: usize, high_mm: f64) -> Vec<Vec<Piece>> {
    let mut filling = Filling { pages: Vec::new(), column: columns, used_mm: 0.0, columns, high_mm };
    sheets.iter().enumerate().for_each(|(i, sheet)| filling.add(i, sheet));
    filling.pages
}

struct Filling {
    pages: Vec<Vec<Piece>>,
    column: usize,
    used_mm: f64,
    columns: usize,
    high_mm: f64,
}

impl Filling {
    fn add(&mut self, number: usize, sheet: &Measured) {
        let mut from = 0;
        while from < sheet.blocks.len() {
            if from > 0 || self.pages.is_empty() {
                self.next_column();
            }
            let worth = (from + WORTH_BEGINNING).min(sheet.blocks.len());
            let fits = sheet.fits(from, self.high_mm - self.used_mm - sheet.head_mm(from));
            if self.used_mm > 0.0 && fits.is_none_or(|to| to < worth) {
                self.next_column();
            }
            from = self.put(number, sheet, from);
        }
    }

    fn next_column(&mut self) {
        self.column += 1;
        self.used_mm = 0.0;
        if self.column >= self.columns {
            self.column = 0;
            self.pages.push(Vec::new());
        }
    }

    /// Puts a piece where the column is filled to; what is higher than a whole column runs over its foot, one block of it.
    fn put(&mut self, number: usize, sheet: &Measured, from: usize) -> usize {
        let head_mm = sheet.head_mm(from);
        let to = sheet.fits(from, self.high_mm - self.used_mm - head_mm).unwrap_or(from + 1);
        let piece = Piece { sheet: number, column: self.column, top_mm: self.used_mm, blocks: (from, to) };
        self.pages.iter_mut().rev().take(1).for_each(|page| page.push(piece));
        self.used_mm += head_mm + sheet.blocks[from..to].iter().map(|(_, high_mm)| high_mm).sum::<f64>() + BETWEEN;
        to
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(rows: usize, entries: usize) -> Measured {
        let mut blocks = vec![(Sort::Row, 9.0); rows];
        blocks.extend([(Sort::Checks, 18.0), (Sort::Heading, 8.0)]);
        blocks.extend(vec![(Sort::Entry, 6.0); entries]);
        Measured { head_mm: (26.0, 8.0), heads_mm: 9.0, blocks }
    }

    /// Sheets of every length follow each other: each block stands once and in order, nothing runs over the foot of its
    /// column, pieces of a column lie below each other, and no piece has a row alone.
    #[test]
    fn sheets_of_every_length() {
        for columns in 1..=3 {
            for rows in 2..60 {
                let sheets = [sheet(rows, 3), sheet(61 - rows, 0), sheet(5, 9), sheet(rows / 2 + 2, 1)];
                let pages = fill(&sheets, columns, 150.0);
                assert!(pages.iter().all(|page| !page.is_empty()));
                for (i, sheet) in sheets.iter().enumerate() {
                    let pieces: Vec<Piece> =
                        pages.iter().flatten().filter(|piece| piece.sheet == i).copied().collect();
                    let mut next = 0;
                    for piece in &pieces {
                        let (from, to) = piece.blocks;
                        assert!(from == next && to > from && piece.column < columns);
                        next = to;
                        let high_mm: f64 = sheet.blocks[from..to].iter().map(|(_, high_mm)| high_mm).sum();
                        assert!(piece.top_mm + sheet.head_mm(from) + high_mm <= 150.0 + 1e-9, "{columns} {rows}");
                        let alone = sheet.blocks[from..to].iter().filter(|(sort, _)| *sort == Sort::Row).count() == 1;
                        assert!(!alone, "{columns} {rows}: {piece:?}");
                    }
                    assert_eq!(next, sheet.blocks.len());
                }
                for page in &pages {
                    let below = |pair: &[Piece]| {
                        pair[0].column < pair[1].column
                            || (pair[0].column == pair[1].column && pair[0].top_mm < pair[1].top_mm)
                    };
                    assert!(page.windows(2).all(below));
                }
            }
        }
    }

    /// Two hundred lines of 53 rows, 10,600 stations, in three columns take no more than the room they need and a fifth.
    #[test]
    fn short_lines_share_pages() {
        let sheets = vec![sheet(53, 0); 200];
        let pages = fill(&sheets, 3, 220.0).len() as f64;
        let needed = 200.0 * (26.0 + 9.0 + 53.0 * 9.0 + 26.0 + BETWEEN) / (3.0 * 220.0);
        assert!(pages <= needed * 1.2, "{pages} for {needed}");
    }
}
