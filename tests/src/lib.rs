//! Tests of the house as a whole: layers, sizes, whole fields as text, figures of outside libraries.

use std::fs;
use std::path::{Path, PathBuf};

/// The root of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The source files of a crate, in order of path.
pub fn sources(crate_name: &str) -> Vec<PathBuf> {
    let mut files = Vec::new();
    gather(&root().join("crates").join(crate_name).join("src"), &mut files);
    files.sort();
    files
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    let entries = fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    for path in entries.flatten().map(|entry| entry.path()) {
        if path.is_dir() {
            gather(&path, files);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            files.push(path);
        }
    }
}

/// The rows of the table under a heading of DEVELOPERS.md, each cell without its blanks.
pub fn table_of(heading: &str) -> Vec<Vec<String>> {
    let path = root().join("DEVELOPERS.md");
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let under = text.lines().skip_while(|line| *line != heading).skip(1).take_while(|line| !line.starts_with("## "));
    let rows = under.filter(|line| line.starts_with("| ") && line.contains('`'));
    let cells = |row: &str| row.trim_matches('|').split('|').map(|cell| cell.trim().to_string()).collect();
    rows.map(cells).collect()
}

/// The program in a source text: comments and the insides of literals blanked, items under `#[cfg(test)]` left out.
pub fn code_only(text: &str) -> String {
    let mut code = blanked(text);
    while let Some(start) = code.find("#[cfg(test)]") {
        code.replace_range(start..item_end(&code, start), "");
    }
    code
}

/// Where the item that begins at byte `start` ends: past its closing brace, or past its semicolon where it has no body.
pub fn item_end(code: &str, start: usize) -> usize {
    let (mut braces, mut others) = (0, 0);
    for (i, sign) in code.bytes().enumerate().skip(start) {
        match sign {
            b'(' | b'[' => others += 1,
            b')' | b']' => others -= 1,
            b'{' => braces += 1,
            b'}' => braces -= 1,
            _ => {}
        }
        if braces == 0 && others == 0 && matches!(sign, b'}' | b';') {
            return i + 1;
        }
    }
    code.len()
}

/// The text with everything but line ends blanked in comments, strings and characters.
fn blanked(text: &str) -> String {
    let mut code = String::new();
    let mut rest = text;
    while let Some(sign) = rest.chars().next() {
        let within_word = code.ends_with(|c: char| c.is_alphanumeric() || c == '_');
        let length = literal_length(rest, within_word);
        if length > 0 {
            code.extend(rest[..length].chars().map(|c| if c == '\n' { '\n' } else { ' ' }));
        } else {
            code.push(sign);
        }
        rest = &rest[length.max(sign.len_utf8())..];
    }
    code
}

/// Bytes of the comment, string or character that `rest` begins with; 0 where it begins with code.
fn literal_length(rest: &str, within_word: bool) -> usize {
    let until = |from: usize, end: &str| rest[from..].find(end).map_or(rest.len(), |at| from + at + end.len());
    if rest.starts_with("//") {
        return rest.find('\n').unwrap_or(rest.len());
    }
    if rest.starts_with("/*") {
        return until(2, "*/");
    }
    if rest.starts_with('"') {
        return quoted(rest, '"');
    }
    if let Some(inside) = rest.strip_prefix('\'') {
        // Anything else that begins so is a lifetime.
        let is_sign = inside.starts_with('\\') || inside.chars().nth(1) == Some('\'');
        return if is_sign { quoted(rest, '\'') } else { 0 };
    }
    let fences = rest.strip_prefix('r').map_or(0, |raw| raw.len() - raw.trim_start_matches('#').len());
    let is_raw = !within_word && rest.starts_with('r') && rest[1 + fences..].starts_with('"');
    if is_raw { until(2 + fences, &format!("\"{}", "#".repeat(fences))) } else { 0 }
}

/// Bytes of a literal between two `mark`s, skipping what a backslash guards.
fn quoted(rest: &str, mark: char) -> usize {
    let mut guarded = false;
    for (i, sign) in rest.char_indices().skip(1) {
        if sign == mark && !guarded {
            return i + sign.len_utf8();
        }
        guarded = sign == '\\' && !guarded;
    }
    rest.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn literals_and_comments_are_blanked_and_lines_kept() {
        let text = "a('{', \"}\\\"{\", r#\"}\"{\"#, 'x: &'a T) // {\n/* { \n */ for_r(\"\") }";
        let code = blanked(text);
        assert_eq!(code.chars().filter(|c| "{}".contains(*c)).collect::<String>(), "}");
        assert_eq!(code.lines().count(), 3);
        assert!(code.contains("'x: &'a T"));
    }

    #[test]
    fn test_items_go_and_what_follows_them_stays() {
        let text = "mod a;\n#[cfg(test)]\nmod b;\nfn c() {}\n#[cfg(test)]\nmod tests { fn d() { e() } }\nfn f() {}\n";
        let code = code_only(text);
        assert!(code.contains("fn c") && code.contains("fn f"), "{code}");
        assert!(!code.contains("mod b") && !code.contains("fn d"), "{code}");
    }
}
