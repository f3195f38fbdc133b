//! What the README says of the program is what the program says.

/// A text with every run of blanks and line ends as one blank.
fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_cautions_are_those_of_the_program_word_for_word() {
    let readme = flowing(include_str!("../../README.md"));
    assert!(readme.contains(&flowing(plan::CAUTION)), "the README lacks: {}", plan::CAUTION);
}

/// A merge that keeps both sides of a line leaves it twice.
#[test]
fn nothing_is_told_twice() {
    for text in [include_str!("../../README.md"), include_str!("../../DEVELOPERS.md")] {
        let told = text.lines().filter(|line| line.contains(char::is_alphabetic));
        let heads = told.map(|line| line.chars().take(60).collect::<String>());
        let mut heads: Vec<String> = heads.filter(|head| head.chars().count() == 60).collect();
        heads.sort();
        let twice: Vec<&[String]> = heads.windows(2).filter(|pair| pair[0] == pair[1]).collect();
        assert!(twice.is_empty(), "{twice:?}");
    }
}

#[test]
fn the_test_command_is_the_one_that_is_run() {
    let command = "cargo test --workspace";
    assert!(include_str!("../../README.md").contains(command));
    assert!(include_str!("../../.ci/run").lines().any(|line| line == command));
}
