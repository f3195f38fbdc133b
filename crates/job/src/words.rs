//! Findings in words, for window, paper and command line alike.

use checks::{Finding, Severity};

/// How many findings of each severity, in words.
pub fn counted(findings: &[Finding]) -> String {
    let open = |severity| findings.iter().filter(|f| f.severity == severity && f.left.is_none()).count();
    let (notes, left) = (open(Severity::Note), findings.iter().filter(|f| f.left.is_some()).count());
    format!(
        "{} to fix, {} to decide, {}{}",
        open(Severity::Block),
        open(Severity::Decide),
        measure::how_many(notes, "note"),
        if left == 0 { String::new() } else { format!(", {left} left as they are") }
    )
}

/// Findings about the survey: checks 99 to 108.
pub fn of_the_survey(list: &[Finding]) -> impl Iterator<Item = &Finding> {
    list.iter().filter(|finding| (99..=108).contains(&finding.check))
}

/// A file as it is named while it is worked on.
pub fn file_name(path: &std::path::Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}
