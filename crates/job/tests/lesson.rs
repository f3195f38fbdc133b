//! Lessons as files: what they hold, and that the plan for a class has the mistakes its exercise tells.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use job::{Worked, files};
use lesson::{MISTAKES, Topic};
use measure::Units;
use plan::Plan;
use sheets::Paper;

fn demo(change: impl Fn(&mut Plan)) -> Worked {
    let session = files::demo_session(job::demo::first_plan()).unwrap();
    let mut plan = session.plan().clone();
    change(&mut plan);
    Worked::of(plan, session.land())
}

/// All ten mistakes of the plan for a class are found by the checks that the exercise names.
#[test]
fn the_plan_with_ten_mistakes_has_them_all() {
    let session = files::demo_session(job::demo::ten_mistakes()).unwrap();
    let found: Vec<u16> = session.worked().findings.iter().map(|finding| finding.check).collect();
    for (check, words) in MISTAKES {
        assert!(found.contains(&check), "{words}: rule {check} found nothing");
    }
}

/// One file: nothing is fetched, nothing but its own script and style may run, and it is the same each time.
#[test]
fn the_page_stands_alone() {
    let worked = demo(|_| {});
    let page = job::lesson::page(&worked, &Topic::READY, Units::Feet);
    for fetched in ["http:", "https:", "src=", "href=", "url(", "@import", "fetch(", "XMLHttp"] {
        assert!(!page.contains(fetched), "{fetched}");
    }
    assert!(page.contains("default-src 'none'; script-src 'sha256-") && page.contains(plan::CAUTION_SHORT));
    assert!(page.len() < 900_000, "{} bytes: too much for a phone", page.len());
    assert_eq!(page, job::lesson::page(&demo(|_| {}), &Topic::READY, Units::Feet));
}

#[test]
fn a_name_that_is_markup_stays_a_text() {
    let page = job::lesson::page(
        &demo(|plan| plan.title.name = "Hill's </script><b> \"block\"".into()),
        &[Topic::WhereWaterGoes],
        Units::Feet,
    );
    assert!(page.contains("Hill&#39;s &lt;/script&gt;&lt;b&gt; &quot;block&quot;"));
    assert_eq!(page.matches("</script>").count(), 1);
}

#[test]
fn a_metric_class_reads_metres() {
    let worked = demo(|_| {});
    let page = job::lesson::page(&worked, &Topic::READY, Units::Metric);
    let (lessons, _) = page.split_once("<h2>Cautions</h2>").unwrap();
    for sign in [" ft ", " ft.", " ft<", "cfs", " in/day", "gal"] {
        assert!(!lessons.contains(sign), "{sign}");
    }
    assert!(page.contains("8 m apart") && page.contains("L/s"));
}

#[test]
fn one_lesson_alone_and_paper() {
    let worked = demo(|_| {});
    let page = job::lesson::page(&worked, &[Topic::WhatGradeDoes], Units::Feet);
    assert!(page.contains("Lesson 3. What grade does") && !page.contains("Lesson 1."));
    let paper =
        |topics: &[Topic]| job::lesson::pdf(&worked, topics, (Units::Feet, Paper::Letter), &|_, _| true).unwrap();
    assert!(paper(&[Topic::WhatGradeDoes]).len() < paper(&Topic::READY).len());
    assert_eq!(paper(&Topic::READY), paper(&Topic::READY));
}

/// Land without ground: the lesson that needs it shows the lines alone.
#[test]
fn a_plan_without_ground_gives_a_page_all_the_same() {
    let worked = Worked::of(Plan::new("Bare", Units::Feet), &land::Land::without_ground());
    let page = job::lesson::page(&worked, &Topic::READY, Units::Feet);
    assert!(page.contains("Lesson 1. Where water goes"));
}
