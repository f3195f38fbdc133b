//! Matter that runs from page to page: headings, paragraphs and tables.

use crate::ink::Ink;
use crate::labels::Rect;
use crate::page::{Align, Item, Page, Part, Stroke};
use crate::picture::Picture;

/// Who makes the pages that matter runs over.
pub(crate) trait Pages {
    /// A page with head and foot, and the rectangle left for its matter.
    fn page(&self, size_mm: (f64, f64), sheet: &str) -> (Page, Rect);
    /// How wide text is.
    fn ink(&self) -> &Ink;
}

/// Pages being filled from the top.
pub(crate) struct Flow<'b> {
    making: &'b dyn Pages,
    size_mm: (f64, f64),
    sheet: String,
    done: Vec<Page>,
    page: Page,
    matter: (f64, f64, f64, f64),
    y_mm: f64,
    /// How much larger the hand is than on letter and A4.
    larger: f64,
    /// The parts that run on, the outermost first: each with how many things were on the page when it began.
    open: Vec<(usize, Part)>,
}

/// Room for a heading with the head of a table and its first row, of three lines, millimetres.
const HEADED: f64 = 30.0;

/// Width that matter is made for, millimetres, and how much larger the hand gets where there is more: a large sheet hangs on
/// a wall or lies on a bonnet and is read from farther off (judgement).
const USUAL_WIDTH: f64 = 192.0;
const MOST_LARGER: f64 = 1.3;
/// Rows from which on a table of few words stands twice side by side.
const MANY_ROWS: usize = 24;

/// Share of the width that a photo has, and its height at most, millimetres: two to a page that lies.
const PICTURE_SHARE: f64 = 0.6;
const PICTURE_MM: f64 = 72.0;

/// The cells of a row, line by line.
type Broken = Vec<Vec<String>>;

/// Height of a line by its type, millimetres for a point.
const LINE_BY_PT: f64 = 0.46;

fn row_mm(cells: &Broken, size_pt: f64) -> f64 {
    cells.iter().map(Vec::len).max().unwrap_or(1).max(1) as f64 * size_pt * LINE_BY_PT + 1.6
}

/// Room between the heads of a table and its rule, millimetres.
const UNDER_HEADS: f64 = 1.2;

/// Height of the heads of a table with their rule, millimetres.
fn heads_mm(heads: &Broken, size_pt: f64) -> f64 {
    let lines = heads.iter().map(Vec::len).max().unwrap_or(1).max(1);
    size_pt * (0.55 + LINE_BY_PT * (lines - 1) as f64) + UNDER_HEADS
}

/// A column of a table: its head, its share of the width, and how its figures hang.
pub(crate) type Column<'c> = (&'c str, f64, Align);

/// Columns whose heads are said in the language of the pages.
pub(crate) fn columns<const N: usize>(heads: &[String; N], shares: [(f64, Align); N]) -> [Column<'_>; N] {
    std::array::from_fn(|i| (heads[i].as_str(), shares[i].0, shares[i].1))
}

impl<'b> Flow<'b> {
    pub fn new(making: &'b dyn Pages, size_mm: (f64, f64), sheet: &str) -> Self {
        let (page, matter) = making.page(size_mm, sheet);
        Self {
            making,
            size_mm,
            sheet: sheet.into(),
            done: Vec::new(),
            page,
            matter,
            y_mm: matter.1,
            larger: (matter.2 / USUAL_WIDTH).clamp(1.0, MOST_LARGER),
            open: Vec::new(),
        }
    }

    /// The pages.
    pub fn finish(mut self) -> Vec<Page> {
        self.done.push(self.page);
        self.done
    }

    /// Makes sure of so much room; true where a new page was begun for it.
    fn room(&mut self, height_mm: f64) -> bool {
        if self.y_mm + height_mm <= self.matter.1 + self.matter.3 {
            return false;
        }
        let (page, matter) = self.making.page(self.size_mm, &self.sheet);
        // A part that runs on ends with the page and begins anew on the next.
        self.open.iter().rev().for_each(|(first, part)| self.page.part_since(*first, part.clone()));
        self.open.iter_mut().for_each(|(first, _)| *first = page.items.len());
        self.done.push(std::mem::replace(&mut self.page, page));
        (self.matter, self.y_mm) = (matter, matter.1);
        true
    }

    fn begin(&mut self, part: Part) {
        self.open.push((self.page.items.len(), part));
    }

    fn end(&mut self) {
        if let Some((first, part)) = self.open.pop() {
            self.page.part_since(first, part);
        }
    }

    pub fn gap(&mut self, height_mm: f64) {
        self.y_mm += height_mm;
    }

    /// A heading, with room for what it stands over.
    pub fn heading(&mut self, text: &str) {
        self.room(HEADED * self.larger);
        self.y_mm += 7.0 * self.larger;
        self.begin(Part::Heading(2));
        self.page.text((self.matter.0, self.y_mm), 12.0 * self.larger, true, Align::Left, text);
        self.end();
        self.y_mm += 2.5;
    }

    /// A heading white on black, over the whole width.
    pub fn banner(&mut self, text: &str) {
        self.room(HEADED * self.larger);
        self.y_mm += 3.0;
        self.begin(Part::Heading(2));
        self.page.rect((self.matter.0, self.y_mm, self.matter.2, 9.0), None, Some(0));
        self.page.white((self.matter.0 + 3.0, self.y_mm + 6.6), 16.0, text);
        self.end();
        self.y_mm += 10.5;
    }

    pub fn paragraph(&mut self, text: &str, size_pt: f64, bold: bool) {
        let size_pt = size_pt * self.larger;
        let line_mm = size_pt * LINE_BY_PT;
        self.begin(Part::Paragraph);
        for line in self.making.ink().wrap(text, size_pt, bold, self.matter.2) {
            self.room(line_mm);
            self.y_mm += line_mm;
            self.page.text((self.matter.0, self.y_mm), size_pt, bold, Align::Left, line);
        }
        self.end();
        self.y_mm += 1.2;
    }

    /// A drawing over the whole width, so high, drawn by who knows its rectangle; told in words to who does not see it.
    pub fn drawing(&mut self, height_mm: f64, words: &str, draw: impl FnOnce(&mut Page, Rect)) {
        self.room(height_mm + 2.0);
        self.begin(Part::Figure(words.into()));
        draw(&mut self.page, (self.matter.0, self.y_mm, self.matter.2, height_mm));
        self.end();
        self.y_mm += height_mm + 2.0;
    }

    /// A photo with words beside it.
    pub fn picture(&mut self, picture: &Picture, words: &[String]) {
        const SIZE_PT: f64 = 9.5;
        let line_mm = SIZE_PT * LINE_BY_PT;
        let (width_mm, height_mm) = picture.fitted(self.matter.2 * PICTURE_SHARE, PICTURE_MM);
        self.room(height_mm + 4.0);
        self.begin(Part::Figure(words.join(". ")));
        self.page.items.push(Item::Picture((self.matter.0, self.y_mm, width_mm, height_mm), picture.clone()));
        self.end();
        let left_mm = self.matter.0 + width_mm + 4.0;
        let (ink, beside_mm) = (self.making.ink(), self.matter.2 - width_mm - 4.0);
        let broken = words.iter().flat_map(|words| ink.wrap(words, SIZE_PT, false, beside_mm));
        let rows = (height_mm / line_mm) as usize;
        let mut y_mm = self.y_mm;
        self.begin(Part::Paragraph);
        for line in broken.take(rows) {
            y_mm += line_mm;
            self.page.text((left_mm, y_mm), SIZE_PT, false, Align::Left, line);
        }
        self.end();
        self.y_mm += height_mm + 4.0;
    }

    /// A table of few words: where it is long, twice side by side, from left to right and down.
    pub fn table_two_up(&mut self, columns: &[Column], rows: &[Vec<String>], size_pt: f64) {
        if rows.len() < MANY_ROWS {
            return self.table(columns, rows, size_pt);
        }
        let half = columns.iter().map(|(head, share, align)| (*head, share / 2.0, *align));
        let doubled: Vec<Column> = half.clone().chain(half).collect();
        let pair = |pair: &[Vec<String>]| {
            let mut cells = pair.concat();
            cells.resize(doubled.len(), String::new());
            cells
        };
        self.table(&doubled, &rows.chunks(2).map(pair).collect::<Vec<_>>(), size_pt);
    }

    /// Width of the matter for type as it is named, before the paper makes it larger, millimetres.
    pub fn width_mm(&self) -> f64 {
        self.matter.2 / self.larger
    }

    /// A table with its head on every page; a cell that is too long is broken. No page has one row of many alone.
    pub fn table(&mut self, columns: &[Column], rows: &[Vec<String>], size_pt: f64) {
        let size_pt = size_pt * self.larger;
        let whole = self.matter.2;
        let broken = |row: &Vec<String>| -> Broken {
            let cells = row.iter().zip(columns);
            cells
                .map(|(cell, (_, share, _))| self.making.ink().wrap(cell, size_pt, false, whole * share - 2.0))
                .collect()
        };
        let broken: Vec<Broken> = rows.iter().map(broken).collect();
        let head = |(head, share, _): &Column| self.making.ink().wrap(head, size_pt, true, whole * share - 2.0);
        let heads: Broken = columns.iter().map(head).collect();
        let high_mm = |k: usize| broken.get(k).map_or(0.0, |cells| row_mm(cells, size_pt));
        self.begin(Part::Table);
        for (k, cells) in broken.iter().enumerate() {
            // The head stands over its first rows, at the top and on every page.
            let head_mm = if k == 0 { heads_mm(&heads, size_pt) } else { 0.0 };
            let with_mm = if k == 0 || k + 2 == broken.len() { high_mm(k + 1) } else { 0.0 };
            if self.room(head_mm + high_mm(k) + with_mm) || k == 0 {
                self.table_head(columns, &heads, size_pt);
            }
            self.row(columns, cells, size_pt);
        }
        self.end();
        self.y_mm += 2.0;
    }

    fn row(&mut self, columns: &[Column], cells: &Broken, size_pt: f64) {
        let whole = self.matter.2;
        self.begin(Part::Row);
        let mut left_mm = self.matter.0;
        for ((_, share, align), cell) in columns.iter().zip(cells) {
            let x_mm = hang(left_mm, whole * share, *align);
            self.begin(Part::Cell);
            for (k, line) in cell.iter().enumerate() {
                let y_mm = self.y_mm + size_pt * LINE_BY_PT * (k + 1) as f64;
                self.page.text((x_mm, y_mm), size_pt, false, *align, line.clone());
            }
            self.end();
            left_mm += whole * share;
        }
        self.end();
        self.y_mm += row_mm(cells, size_pt);
        let line = [(self.matter.0, self.y_mm), (self.matter.0 + whole, self.y_mm)];
        // Black and wide enough for a bad copy: a bidder writes on it.
        self.page.line(&line, Stroke::black(0.2));
    }

    fn table_head(&mut self, columns: &[Column], heads: &Broken, size_pt: f64) {
        self.y_mm += heads_mm(heads, size_pt) - UNDER_HEADS;
        self.begin(Part::Heads);
        for (i, ((_, share, align), lines)) in columns.iter().zip(heads).enumerate() {
            let left_mm = self.matter.0 + columns[..i].iter().map(|(_, share, _)| share).sum::<f64>() * self.matter.2;
            let x_mm = hang(left_mm, self.matter.2 * share, *align);
            self.begin(Part::Cell);
            for (k, line) in lines.iter().rev().enumerate() {
                let y_mm = self.y_mm - size_pt * LINE_BY_PT * k as f64;
                self.page.text((x_mm, y_mm), size_pt, true, *align, line.clone());
            }
            self.end();
        }
        self.end();
        self.y_mm += UNDER_HEADS;
        let line = [(self.matter.0, self.y_mm), (self.matter.0 + self.matter.2, self.y_mm)];
        self.page.line(&line, Stroke::black(0.35));
    }
}

fn hang(left_mm: f64, width_mm: f64, align: Align) -> f64 {
    match align {
        Align::Left => left_mm,
        Align::Middle => left_mm + width_mm / 2.0,
        Align::Right => left_mm + width_mm - 2.0,
    }
}
