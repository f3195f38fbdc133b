//! One HTML file that needs no network, and the texts in it: whatever a name says, it stays a text.

use measure::plain;
use sha2::{Digest, Sha256};

use crate::tongue::Tongue;

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

/// A page in one file: its style and its script, and nothing else, may run; nothing is fetched.
pub(crate) fn document(tongue: Tongue, title: &str, (style, script): (&str, &str), body: &str) -> String {
    let policy = format!(
        "default-src 'none'; script-src '{}'; style-src '{}'; img-src data: blob:; base-uri 'none'; form-action 'none'",
        fingerprint(script),
        fingerprint(style)
    );
    let (title, tag) = (escaped(title), tongue.tag());
    format!(
        "<!doctype html>\n<html lang=\"{tag}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">\n\
         <meta name=\"referrer\" content=\"no-referrer\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n<title>{title}</title>\n\
         <style>{style}</style>\n</head>\n<body>\n{body}<script>{script}</script>\n</body>\n</html>\n"
    )
}

/// By what a browser knows a script or a style that may run (Content Security Policy, level 3, hash source): nothing else
/// does, whatever a name in the plan says.
fn fingerprint(text: &str) -> String {
    format!("sha256-{}", base64(&Sha256::digest(text.as_bytes())))
}

/// Bytes in base 64 (RFC 4648, section 4).
fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let group = |three: &[u8]| {
        let bits = three.iter().fold(0_u32, |bits, byte| bits << 8 | u32::from(*byte)) << (8 * (3 - three.len()));
        let sign = |k: usize| SIGNS[(bits >> (18 - 6 * k)) as usize & 63] as char;
        let signs = (0..=three.len()).map(sign);
        signs.chain(std::iter::repeat_n('=', 3 - three.len())).collect::<String>()
    };
    bytes.chunks(3).map(group).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The values of RFC 4648, section 10.
    #[test]
    fn base_64_is_that_of_the_standard() {
        let said = ["", "f", "fo", "foo", "foob", "fooba", "foobar"].map(|text| base64(text.as_bytes()));
        assert_eq!(said, ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"]);
    }

    #[test]
    fn a_name_stays_a_text() {
        assert_eq!(escaped("</script>\"'&\u{202e}"), "&lt;/script&gt;&quot;&#39;&amp;\\u{202e}");
        assert_eq!(in_script(r#"{"a":"</script><!--&"}"#), r#"{"a":"\u003c/script\u003e\u003c!--\u0026"}"#);
        assert_eq!(element("p class=\"x\"", "<b>"), "<p class=\"x\">&lt;b&gt;</p>");
    }
}

/// How a page looks, for tests of any page.
#[cfg(test)]
pub(crate) mod looks {
    use std::collections::BTreeMap;

    /// Relative luminance and contrast as in WCAG 2.1, section 1.4.3.
    fn contrast(one: &str, other: &str) -> f64 {
        let luminance = |hex: &str| {
            let part = |k: usize| {
                let c = f64::from(u8::from_str_radix(&hex[1 + 2 * k..3 + 2 * k], 16).unwrap_or(0)) / 255.0;
                if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * part(0) + 0.7152 * part(1) + 0.0722 * part(2)
        };
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// The colours of a block that begins with a heading.
    fn colours<'a>(style: &'a str, heading: &str) -> BTreeMap<&'a str, &'a str> {
        let block =
            style.split_once(heading).and_then(|(_, rest)| rest.split_once('}')).map_or("", |(block, _)| block);
        let pairs = block.split(';').filter_map(|pair| pair.trim().split_once(": "));
        pairs.filter(|(name, value)| name.starts_with("--") && value.starts_with('#')).collect()
    }

    /// Words stand out at least 7:1 from what they lie on, in light and dark, and colours stand in the two lists only.
    pub fn stands_out<'a>(style: &str, on: impl Iterator<Item = (&'a str, &'a [&'a str])>) {
        let light = colours(style, ":root {");
        let dark = colours(style, "@media (prefers-color-scheme: dark) {\n  :root {");
        assert!(light.len() > 7 && light.keys().eq(dark.keys()), "{light:?} {dark:?}");
        for (words, grounds) in on {
            for ground in grounds {
                for theme in [&light, &dark] {
                    let colour = |name: &str| theme[format!("--{name}").as_str()];
                    let ratio = contrast(colour(words), colour(ground));
                    assert!(ratio >= 7.0, "{words} on {ground}: {ratio:.2}");
                }
            }
        }
        let (_, rules) = style.rsplit_once("/* rules */").unwrap_or_default();
        let is_clean = !rules.is_empty() && !rules.contains("#fff") && !rules.contains("rgb");
        assert!(is_clean, "colors stand in the two lists");
    }
}
