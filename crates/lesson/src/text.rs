//! What each lesson says: three sentences, and a question with three answers.

use crate::Topic;

/// An answer that may be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Answer {
    /// What it says.
    pub words: &'static str,
    /// Why it is right, or what is wrong with it.
    pub why: &'static str,
}

/// A question with three answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Question {
    /// What is asked.
    pub asks: &'static str,
    /// What may be answered.
    pub answers: [Answer; 3],
    /// Which of them is right.
    pub right: usize,
}

/// What a lesson says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lesson {
    /// What it is about.
    pub topic: Topic,
    /// What it explains, in three sentences.
    pub explains: [&'static str; 3],
    /// What it asks.
    pub question: Question,
}

const fn answer(words: &'static str, why: &'static str) -> Answer {
    Answer { words, why }
}

/// The lesson about something.
pub const fn lesson(topic: Topic) -> Lesson {
    match topic {
        Topic::WhereWaterGoes => WHERE_WATER_GOES,
        Topic::UnderTheGround => UNDER_THE_GROUND,
        Topic::WhatGradeDoes => WHAT_GRADE_DOES,
        Topic::GuessFirst => GUESS_FIRST,
    }
}

const WHERE_WATER_GOES: Lesson = Lesson {
    topic: Topic::WhereWaterGoes,
    explains: [
        "Rain that the soil cannot take runs down the steepest way, square to the contours.",
        "Ways meet in low ground: there a swale carries the water of all the land above it.",
        "So a pipe up the swale meets much water, and a pipe on the ridge meets little.",
    ],
    question: Question {
        asks: "Contours of a swale bend. Which way do they point?",
        answers: [
            answer(
                "uphill",
                "Right: to meet the same level in low ground one must go farther up, so contours bend uphill.",
            ),
            answer("downhill", "No: contours that point downhill show a ridge, and water parts there."),
            answer(
                "they run straight",
                "No: straight contours show a plane; water runs side by side on it and gathers nowhere.",
            ),
        ],
        right: 0,
    },
};

const UNDER_THE_GROUND: Lesson = Lesson {
    topic: Topic::UnderTheGround,
    explains: [
        "Between two pipes the water table stands as an arch, lowest at the pipes and highest midway.",
        "It falls from day to day until the soil holds what it can hold against gravity: field capacity.",
        "That water no pipe takes, and it stays for the vines: drained soil is not dry soil.",
    ],
    question: Question {
        asks: "The pipes lie twice as far apart. How much longer do they take to bring the water midway down?",
        answers: [
            answer("just as long", "No: the water midway has farther to go, and the slope that drives it is less."),
            answer(
                "about twice as long",
                "No: twice the way and half the slope work together, so it is more than twice.",
            ),
            answer(
                "about four times as long",
                "Right: twice the way at half the slope. In the formulas the spacing stands squared.",
            ),
        ],
        right: 2,
    },
};

const WHAT_GRADE_DOES: Lesson = Lesson {
    topic: Topic::WhatGradeDoes,
    explains: [
        "A steeper pipe runs faster and carries more, but not in step: flow grows with the square root of the grade.",
        "Above the silt line, 1.4 ft/s or 0.43 m/s, the water carries fine sand and silt out; below it they settle.",
        "A dip stands full to the lip it must climb over, however dry the summer, and silt lies down in it.",
    ],
    question: Question {
        asks: "The grade is made four times as steep. How much more does the pipe carry?",
        answers: [
            answer("four times as much", "No: flow does not grow in step with the grade."),
            answer("twice as much", "Right: the square root of four is two."),
            answer("the same", "No: a steeper pipe does carry more."),
        ],
        right: 1,
    },
};

const GUESS_FIRST: Lesson = Lesson {
    topic: Topic::GuessFirst,
    explains: [
        "Look at the contours and say where water gathers before it is shown.",
        "Draw the ways you expect, then let it rain and see.",
        "Whoever guesses first looks closer afterwards, and remembers it longer.",
    ],
    question: Question {
        asks: "Where would you lay the first pipe?",
        answers: [
            answer("up the swale", "Right: the water of all the land above runs together there."),
            answer("along the ridge", "No: on a ridge water parts, and little is left to drain."),
            answer(
                "straight across the field",
                "No: a pipe that ignores the ground meets the water only where it crosses the low ground.",
            ),
        ],
        right: 0,
    },
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_topic_has_its_own_lesson_and_one_right_answer() {
        for topic in Topic::ALL {
            let lesson = lesson(topic);
            assert_eq!(lesson.topic, topic);
            for (k, answer) in lesson.question.answers.iter().enumerate() {
                let says_right = answer.why.starts_with("Right: ");
                assert!(says_right == (k == lesson.question.right) && says_right != answer.why.starts_with("No: "));
            }
            assert!(lesson.explains.iter().all(|sentence| sentence.ends_with('.')), "{topic:?}");
        }
    }
}
