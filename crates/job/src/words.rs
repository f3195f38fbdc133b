//! Findings in words, for window, paper and command line alike.

use checks::{Finding, Severity};

/// How many findings of each severity, in words.
pub fn counted(findings: &[Finding]) -> String {
    let open = |severity| findings.iter().filter(|f| f.severity == severity && f.accepted.is_none()).count();
    let (notes, accepted) = (open(Severity::Note), findings.iter().filter(|f| f.accepted.is_some()).count());
    format!(
        "{} to fix, {} to decide, {}{}",
        open(Severity::Block),
        open(Severity::Decide),
        measure::how_many(notes, "note"),
        if accepted == 0 { String::new() } else { format!(", {accepted} accepted") }
    )
}

/// Which findings went and which came, and how many there are then, as lines of text.
pub fn came_and_went(before: &[Finding], after: &[Finding]) -> Vec<String> {
    let not_in = |list: &[Finding], finding: &Finding| list.iter().all(|other| other.key != finding.key);
    let line = |word: &str, finding: &Finding| {
        format!("  {word}: {} [{}] {}", finding.key, finding.severity.word(), finding.title)
    };
    let gone = before.iter().filter(|finding| not_in(after, finding)).map(|finding| line("gone", finding));
    let come = after.iter().filter(|finding| not_in(before, finding)).map(|finding| line("come", finding));
    gone.chain(come).chain([format!("Punch list: {}", counted(after))]).collect()
}

/// Findings about the survey: checks 99 to 108.
pub fn of_the_survey(list: &[Finding]) -> impl Iterator<Item = &Finding> {
    list.iter().filter(|finding| (99..=108).contains(&finding.check))
}

/// A file as it is named while it is worked on.
pub fn file_name(path: &std::path::Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}
