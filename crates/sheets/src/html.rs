//! Texts of a plan as HTML and inside a script: whatever a name says, it stays a text.

use measure::plain;

/// A text as it stands between tags or in an attribute in double quotes.
pub fn escaped(text: &str) -> String {
    let sign = |c: char| match c {
        '&' => "&amp;".into(),
        '<' => "&lt;".into(),
        '>' => "&gt;".into(),
        '"' => "&quot;".into(),
        '\'' => "&#39;".into(),
        c => c.to_string(),
    };
    plain(text).chars().map(sign).collect()
}

/// JSON as it stands in a script element: without a sign that could end it or begin another (HTML, section 4.12.1.3).
pub fn in_script(json: &str) -> String {
    json.replace('<', "\\u003c").replace('>', "\\u003e").replace('&', "\\u0026")
}

/// An element with a text.
pub fn element(tag: &str, text: &str) -> String {
    let name = tag.split(' ').next().unwrap_or_default();
    format!("<{tag}>{}</{name}>", escaped(text))
}

/// A table under its heads; cells are texts.
pub fn table(heads: &[&str], rows: &[Vec<String>]) -> String {
    let cells = |tag: &str, row: &[String]| row.iter().map(|cell| element(tag, cell)).collect::<String>();
    let heads: Vec<String> = heads.iter().map(|head| (*head).to_string()).collect();
    let rows: String = rows.iter().map(|row| format!("<tr>{}</tr>\n", cells("td", row))).collect();
    format!(
        "<div class=\"wide\"><table><thead><tr>{}</tr></thead>\n<tbody>{rows}</tbody></table></div>\n",
        cells("th", &heads)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_stays_a_text() {
        assert_eq!(escaped("</script>\"'&\u{202e}"), "&lt;/script&gt;&quot;&#39;&amp;\\u{202e}");
        assert_eq!(in_script(r#"{"a":"</script><!--&"}"#), r#"{"a":"\u003c/script\u003e\u003c!--\u0026"}"#);
        assert_eq!(element("p class=\"x\"", "<b>"), "<p class=\"x\">&lt;b&gt;</p>");
    }
}
