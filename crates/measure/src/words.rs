//! Small matters of writing: capitals, and lists in a sentence.

/// Words with a capital at their head.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Words within a sentence: their first letter small.
pub fn uncapped(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// A list in a sentence: "L1", "L1 and L2", "L1, L2 and M1".
pub fn listed(words: &[impl AsRef<str>]) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match words.split_last() {
        Some((last, others)) if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        _ => words.concat(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_of_words_are_large_or_small() {
        assert_eq!((capital("raise it"), uncapped("Raise it")), ("Raise it".into(), "raise it".into()));
        assert_eq!((capital("él cava"), capital(""), uncapped("")), ("Él cava".into(), String::new(), String::new()));
    }

    #[test]
    fn the_last_of_a_list_comes_after_and() {
        assert_eq!(listed(&["L1"; 0]), "");
        assert_eq!([listed(&["L1"]), listed(&["L1", "L2"])], ["L1", "L1 and L2"]);
        assert_eq!(listed(&["L1".to_string(), "L2".into(), "M1".into()]), "L1, L2 and M1");
    }
}
