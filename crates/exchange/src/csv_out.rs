//! Tables as they leave: commas between the fields, points for the decimals, and the mark by which a spreadsheet knows UTF-8,
//! so that ×, ″ and umlauts stay whole. Every table of the program is put together here.

/// The byte-order mark (Unicode 15.0, section 23.8): without it spreadsheets take UTF-8 for the letters of the machine.
pub const BYTE_ORDER_MARK: char = '\u{feff}';

/// Signs with which a formula of a spreadsheet begins, full-width ones too.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// A table in the making: remarks, the names of its columns, rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Csv {
    text: String,
}

impl Csv {
    /// A table with remarks at its head.
    pub fn with_remarks(remarks: impl IntoIterator<Item = impl AsRef<str>>) -> Self {
        let mut csv = Self { text: BYTE_ORDER_MARK.into() };
        remarks.into_iter().for_each(|remark| csv.remark(remark.as_ref()));
        csv
    }

    /// A line of remark.
    pub fn remark(&mut self, text: &str) {
        self.text.push_str(&csv_remark(text));
    }

    /// The names of the columns, as they are.
    pub fn head(&mut self, names: &str) {
        self.text.push_str(names);
        self.text.push('\n');
    }

    /// A row of cells: figures as they are, texts made fit by [`csv_text`].
    pub fn row(&mut self, cells: &[String]) {
        self.head(&cells.join(","));
    }

    /// The whole table.
    pub fn finish(self) -> String {
        self.text
    }
}

fn runs(text: &str) -> bool {
    text.trim_start().starts_with(FORMULA) || text.starts_with(['\t', '\r'])
}

/// Text that a spreadsheet would run is made plain by an apostrophe before it; commas and quotes are quoted.
pub fn csv_text(text: &str) -> String {
    let text = measure::plain(text);
    let plain = if runs(&text) { format!("'{text}") } else { text.to_string() };
    if plain.contains([',', '"', '\n', '\r']) { format!("\"{}\"", plain.replace('"', "\"\"")) } else { plain }
}

/// A line of remark at the head of a table. It begins with # and is not quoted, so that readers skip it; a spreadsheet that
/// breaks it at a comma, semicolon or tab finds no formula, and no quotation mark that would swallow the lines below.
fn csv_remark(text: &str) -> String {
    let text = measure::plain_lines(text).replace('\n', " ").replace('"', "'");
    let parts = text.split_inclusive([',', ';', '\t']);
    let plain = |part: &str| match runs(part) {
        true => {
            let blanks = part.len() - part.trim_start().len();
            format!("{}'{}", &part[..blanks], &part[blanks..])
        }
        false => part.to_string(),
    };
    format!("# {}\n", parts.map(plain).collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_that_a_spreadsheet_would_run_is_made_plain() {
        assert_eq!(csv_text("=HYPERLINK(\"x\")"), "\"'=HYPERLINK(\"\"x\"\")\"");
        assert_eq!(csv_text("+1"), "'+1");
        assert_eq!(csv_text("@cmd"), "'@cmd");
        assert_eq!(csv_text("1+50"), "1+50");
        assert_eq!(csv_text("a, b"), "\"a, b\"");
        assert_eq!(csv_text(" =1+1"), "' =1+1");
        assert_eq!(csv_text("＝1"), "'＝1");
    }

    /// A job called so would be a formula in the second cell of a head line.
    #[test]
    fn head_lines_hold_no_formula_either() {
        let line = csv_remark("North,=HYPERLINK(\"x\"),\n+1; -2\t@a, plain - text");
        assert_eq!(line, "# North,'=HYPERLINK('x'), '+1; '-2\t'@a, plain - text\n");
        assert_eq!(line.matches('\n').count(), 1);
    }

    /// The mark stands first and once, and our own readers pass over it.
    #[test]
    fn a_table_begins_with_its_mark() {
        let mut csv = Csv::with_remarks(["prices"]);
        csv.head("item,price");
        csv.row(&["tee".into(), "3".into()]);
        let text = csv.finish();
        assert_eq!(text.as_bytes()[..5], *b"\xef\xbb\xbf# ");
        assert_eq!(text.matches(BYTE_ORDER_MARK).count(), 1);
        let read = crate::read_price_rows(text.as_bytes(), measure::Units::Feet).unwrap();
        assert_eq!(read.rows.len(), 1);
    }
}
