//! The attribute table of a shapefile (dBASE III and its kin).

use serde_json::{Map, Number, Value};

use crate::FileError;
use crate::table::plain_text;

/// Most values that are read from a table (own choice: some hundred megabytes).
const MOST_VALUES: usize = 4_000_000;

/// One column.
struct Field {
    name: String,
    kind: u8,
    start: usize,
    length: usize,
}

/// A table of attributes: row n belongs to shape n.
pub(crate) struct Table<'b> {
    fields: Vec<Field>,
    rows: Vec<&'b [u8]>,
}

impl<'b> Table<'b> {
    /// Reads the head of a table; rows that the file is too short for are left out.
    pub fn open(bytes: &'b [u8]) -> Result<Self, FileError> {
        let short = || FileError::malformed("the .dbf file", format!("{} bytes", bytes.len()), "a dBASE table");
        let head = bytes.get(..32).ok_or_else(short)?;
        let rows = u32::from_le_bytes([head[4], head[5], head[6], head[7]]) as usize;
        let start = usize::from(u16::from_le_bytes([head[8], head[9]]));
        let width = usize::from(u16::from_le_bytes([head[10], head[11]]));
        let descriptors = bytes.get(32..start).ok_or_else(short)?;
        let fields = fields(descriptors, width)?;
        let rows: Vec<&[u8]> = bytes[start..].chunks_exact(width.max(1)).take(rows).collect();
        if rows.len() * fields.len() > MOST_VALUES {
            let found = format!("{} rows of {} attributes", rows.len(), fields.len());
            return Err(FileError::too_large(found, format!("{MOST_VALUES} values in the .dbf file")));
        }
        Ok(Self { fields, rows })
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// The attributes of a shape, counted from 0; empty ones are left out.
    pub fn row(&self, index: usize) -> Map<String, Value> {
        let row = self.rows.get(index).copied().unwrap_or_default();
        let value = |field: &Field| {
            let value = value(field.kind, row.get(field.start..field.start + field.length)?)?;
            Some((field.name.clone(), value))
        };
        self.fields.iter().filter_map(value).collect()
    }
}

/// The columns; their lengths must fill a row and no more.
fn fields(descriptors: &[u8], width: usize) -> Result<Vec<Field>, FileError> {
    let (mut fields, mut start) = (Vec::new(), 1);
    for one in descriptors.chunks_exact(32).take_while(|one| one[0] != 0x0d) {
        let length = usize::from(one[16]);
        let name = plain_text(one[..11].split(|byte| *byte == 0).next().unwrap_or_default());
        fields.push(Field { name, kind: one[11].to_ascii_uppercase(), start, length });
        start += length;
    }
    if start > width {
        let found = format!("attributes of {start} bytes in rows of {width}");
        return Err(FileError::malformed("the .dbf file", found, "rows that hold their attributes"));
    }
    Ok(fields)
}

/// A value by the kind of its column; numbers that cannot be read, dates and words stay text.
fn value(kind: u8, bytes: &[u8]) -> Option<Value> {
    let text = plain_text(bytes).trim_matches(['\0', ' ', '\t', '\r', '\n']).to_string();
    let number = || text.parse::<f64>().ok().and_then(Number::from_f64).map(Value::Number);
    match kind {
        b'N' | b'F' => number().or((!text.is_empty() && !text.starts_with('*')).then_some(Value::String(text))),
        b'I' => Some(i32::from_le_bytes(bytes.try_into().ok()?).into()),
        b'O' => Number::from_f64(f64::from_le_bytes(bytes.try_into().ok()?)).map(Value::Number),
        _ => (!text.is_empty()).then_some(Value::String(text)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(kind: u8, cells: &[&[u8]]) -> Vec<u8> {
        let length = cells[0].len() as u8;
        let mut bytes = vec![3, 124, 1, 1, cells.len() as u8, 0, 0, 0, 65, 0, length + 1, 0];
        bytes.resize(32, 0);
        let mut field = b"ELEV\0\0\0\0\0\0\0".to_vec();
        field.extend([kind, 0, 0, 0, 0, length, 2]);
        field.resize(32, 0);
        bytes.extend(field);
        bytes.push(0x0d);
        cells.iter().for_each(|cell| bytes.extend([b" ", *cell].concat()));
        bytes
    }

    #[test]
    fn numbers_words_and_missing_ones() {
        let bytes = table(b'N', &[b" 261.50", b"*******", b"       "]);
        let table = Table::open(&bytes).unwrap();
        assert_eq!((table.len(), &table.row(0)["ELEV"]), (3, &Value::from(261.5)));
        assert!(table.row(1).is_empty() && table.row(2).is_empty() && table.row(9).is_empty());
    }

    #[test]
    fn words_in_the_old_encoding() {
        let bytes = table(b'C', &[b"Gr\xe4ben "]);
        assert_eq!(Table::open(&bytes).unwrap().row(0)["ELEV"], "Gräben");
    }

    #[test]
    fn counts_of_the_head_are_not_trusted() {
        let mut bytes = table(b'C', &[b"abc"]);
        bytes[4..8].copy_from_slice(&u32::MAX.to_le_bytes());
        assert_eq!(Table::open(&bytes).unwrap().len(), 1);
        bytes[10] = 2;
        assert!(Table::open(&bytes).is_err());
        assert!(Table::open(&bytes[..20]).is_err());
    }
}
