//! The lessons as HTML: read as texts, pictures and tables without script, stepped through with it.

use lesson::{Drying, Exercise, Lesson, Pipe, ROOTS_M, Topic, grade_words, land_words, roots_words, wet_words};
use measure::Units;

use super::boards::{Show, settings, shows};
use super::{LessonWork, number, svg};
use crate::html::{element, escaped, table};

/// Everything between the head of the page and its script.
pub fn body(work: &LessonWork) -> String {
    let lessons: String = work.topics.iter().map(|topic| section(work, *topic)).collect();
    format!(
        "<header><h1>Why low ground gets a pipe</h1><p>Lessons for a class. Fields and soils in them are invented.</p></header>\n\
         <main>\n{lessons}<h2>Cautions</h2>\n{}</main>\n{}\n",
        element("p", plan::CAUTION),
        element("footer", plan::CAUTION_SHORT)
    )
}

fn section(work: &LessonWork, topic: Topic) -> String {
    let lesson = lesson::lesson(topic);
    let title = format!("Lesson {}. {}", number(topic), topic.name());
    let shows = shows(work, topic);
    let explains: String = lesson.explains.iter().map(|sentence| element("p", sentence)).collect();
    format!(
        "<section class=\"lesson\" id=\"lesson-{}\">\n{}{explains}{}{}{}{}{}</section>\n",
        number(topic),
        element("h2", &title),
        pictures(&shows),
        element("p class=\"soft\"", topic.caution()),
        figures(topic, work.units),
        question(&lesson),
        exercises(&lesson::exercises(topic, work.units))
    )
}

/// The shows of a lesson; what is chosen and stepped is put beside them by the script.
fn pictures(shows: &[Show]) -> String {
    let one = |(k, show): (usize, &Show)| {
        let says = |step: usize| {
            let of = show.frames.iter().find(|frame| frame.seen == super::boards::Seen::At(step));
            of.map_or("", |frame| frame.says.as_str())
        };
        let said: String = (0..=show.steps())
            .map(|step| {
                let still = if step == show.still { " class=\"still\"" } else { "" };
                element(&format!("p data-at=\"{step}\"{still}"), says(step))
            })
            .collect();
        // Without script the first stands for all; the table tells the others.
        let first = if k == 0 { " first" } else { "" };
        format!(
            "<figure class=\"show{first}\" data-steps=\"{}\" data-name=\"{}\">\n{}<figcaption>{said}</figcaption></figure>\n",
            show.steps(),
            escaped(&show.name),
            svg::show(show)
        )
    };
    let all: String = shows.iter().enumerate().map(one).collect();
    format!("<div class=\"shows\">\n{all}</div>\n")
}

/// What the pictures show, as a table.
fn figures(topic: Topic, units: Units) -> String {
    match topic {
        Topic::UnderTheGround => dried(units),
        Topic::WhatGradeDoes => graded(units),
        Topic::WhereWaterGoes | Topic::GuessFirst => String::new(),
    }
}

/// How every setting dries: depth of the water midway, days wet.
fn dried(units: Units) -> String {
    let row = |setting| {
        let drying = Drying::of(setting);
        let deep = [1, 2, 4, 6].map(|step| units.number(drying.midway_m(step), 2));
        let mut cells = vec![setting.texture.word().to_string(), lesson::length_words(setting.spacing_m, units)];
        cells.extend(deep);
        cells.extend([wet_words(drying.wet_undrained), wet_words(drying.wet)]);
        cells
    };
    let rows: Vec<Vec<String>> = settings(units).into_iter().map(row).collect();
    let heads = ["Soil", "Pipes apart", "Day 0", "Day 1", "Day 3", "Day 5", "Wet without pipe", "Wet with pipe"];
    let words = format!(
        "Depth of the water midway, {}, and days that it stands in the root zone, {} deep. Ranges: one soil pit says no more than that.",
        units.sign(),
        roots_words(ROOTS_M, units)
    );
    format!("{}{}", element("p", &words), table(&heads, &rows))
}

/// One pipe at five grades.
fn graded(units: Units) -> String {
    let row = |at: &lesson::AtGrade| {
        let silt = if at.clears_silt { "carried out" } else { "settles" };
        let told = [units.flow(at.flow_m3s), units.velocity(at.velocity_ms), land_words(at.land_m2, units)];
        [vec![grade_words(at.grade)], told.to_vec(), vec![silt.into()]].concat()
    };
    let rows: Vec<Vec<String>> = Pipe::usual(units).at_grades().iter().map(row).collect();
    table(&["Grade", "Flow", "Speed", "Drains", "Silt"], &rows)
}

/// The question; a pupil without script opens what is right.
fn question(lesson: &Lesson) -> String {
    let question = &lesson.question;
    let answer = |(k, answer): (usize, &lesson::Answer)| {
        let right = if k == question.right { " data-right" } else { "" };
        format!(
            "<li{right}><span>{}</span><span class=\"why\">{}</span></li>\n",
            escaped(answer.words),
            escaped(answer.why)
        )
    };
    let answers: String = question.answers.iter().enumerate().map(answer).collect();
    format!("<h3>Question</h3>\n{}<ul class=\"answers\">\n{answers}</ul>\n", element("p", question.asks))
}

fn exercises(exercises: &[Exercise]) -> String {
    let one = |exercise: &Exercise| {
        format!(
            "<li>{}<details><summary>Answer</summary>{}{}</details></li>\n",
            element("p", &exercise.asks),
            element("p class=\"soft\"", &exercise.working),
            element("p class=\"comes\"", &exercise.answer)
        )
    };
    let all: String = exercises.iter().map(one).collect();
    format!("<h3>Exercises</h3>\n<ol>\n{all}</ol>\n")
}
