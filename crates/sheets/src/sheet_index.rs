//! The index of a set of sheets: which are on which pages.

use crate::page::{Item, Page, Part};

/// Sheets of one kind that follow each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Entry {
    /// What they are called.
    pub title: String,
    /// Their first and last page, from 1.
    pub pages: (usize, usize),
}

/// The sheets of a set in order; those whose titles begin with the same word, as cut sheets do, in one row.
pub(crate) fn index(titles: &[String]) -> Vec<Entry> {
    let mut entries: Vec<Entry> = Vec::new();
    for (i, title) in titles.iter().enumerate() {
        match entries.last_mut().filter(|last| first_word(&last.title) == first_word(title)) {
            Some(last) => {
                last.pages.1 = i + 1;
                last.title = shared(&last.title, title);
            }
            None => entries.push(Entry { title: title.clone(), pages: (i + 1, i + 1) }),
        }
    }
    entries
}

impl Entry {
    /// "12", "12 to 40".
    pub fn pages_words(&self) -> String {
        match self.pages {
            (first, last) if first == last => first.to_string(),
            (first, last) => format!("{first} to {last}"),
        }
    }
}

/// The title of a page: its heading of the first level.
pub(crate) fn title_of(page: &Page) -> String {
    let heading = page.items.iter().find_map(|item| match item {
        Item::Part(Part::Heading(1), inner) => inner.iter().find_map(|item| match item {
            Item::Text(text) => Some(text.text.clone()),
            _ => None,
        }),
        _ => None,
    });
    heading.unwrap_or_default()
}

fn first_word(title: &str) -> &str {
    title.split_whitespace().next().unwrap_or("").trim_end_matches(',')
}

/// The words that two titles begin with.
fn shared(one: &str, other: &str) -> String {
    let words = one.split_whitespace().zip(other.split_whitespace());
    let alike = words.take_while(|(a, b)| a.trim_end_matches(',') == b.trim_end_matches(',')).map(|(a, _)| a);
    alike.collect::<Vec<_>>().join(" ").trim_end_matches(',').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_of_one_kind_are_one_row() {
        let titles = ["Before digging", "Plan", "Plan, part 1 of 2", "Cut sheet M1", "Cut sheet L1", "Findings"];
        let rows: Vec<(String, String)> =
            index(&titles.map(String::from)).iter().map(|entry| (entry.title.clone(), entry.pages_words())).collect();
        let row = |title: &str, pages: &str| (title.to_string(), pages.to_string());
        assert_eq!(
            rows,
            [row("Before digging", "1"), row("Plan", "2 to 3"), row("Cut sheet", "4 to 5"), row("Findings", "6")]
        );
    }
}
