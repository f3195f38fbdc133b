//! Every text of the ready lessons with the answers, in feet and in metres, as a class reads them: looked through whenever
//! one changes.

use std::fmt::Write;

use lesson::{Topic, exercises, lesson};
use measure::Units;

fn texts(units: Units) -> String {
    let mut out = String::new();
    for topic in Topic::READY {
        let lesson = lesson(topic);
        let _ = writeln!(out, "# {}\n{}\n\n{}", topic.name(), lesson.explains.join("\n"), lesson.question.asks);
        for (k, answer) in lesson.question.answers.iter().enumerate() {
            let right = if k == lesson.question.right { "*" } else { " " };
            let _ = writeln!(out, "{right} {} -- {}", answer.words, answer.why);
        }
        for (k, exercise) in exercises(topic, units).iter().enumerate() {
            let _ = writeln!(out, "\n{}. {}\n   {}\n = {}", k + 1, exercise.asks, exercise.working, exercise.answer);
        }
        out.push('\n');
    }
    out
}

#[test]
fn in_feet() {
    insta::assert_snapshot!(texts(Units::Feet));
}

#[test]
fn in_metres() {
    insta::assert_snapshot!(texts(Units::Metric));
}
