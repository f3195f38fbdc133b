//! Units: another way of writing the same numbers, round figures for a metric job, and nothing of the one system in the other.

use crate::common::{demo, drainwright, told};
use crate::hand::{ask, on_desk};
use app::command::Command;
use app::desk::Desk;
use app::view::{Selection, Stage};
use app::wish::Wish;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use job::handing::{self, PaperWish};
use job::{Session, Worked};
use measure::Units;
use plan::{Criteria, LIMITS, ObjectId, Plan, Signature};

fn demos() -> [Plan; 3] {
    [job::demo::first_plan(), job::demo::second_plan(), job::demo::ten_mistakes()].map(Result::unwrap)
}

fn switch(harness: &mut Harness<'_, Desk>) {
    ask(harness, Wish::Run(Command::Units));
}

fn metric(plan: Plan) -> Session {
    let mut plan = plan;
    plan.title.units = Units::Metric;
    job::files::demo_session(Ok(plan)).unwrap()
}

/// There and back, the plan is the same to the byte: in feet, in survey feet, in metres.
#[test]
fn switching_there_and_back_changes_nothing() {
    for plan in demos() {
        for units in [Units::Feet, Units::SurveyFeet, Units::Metric] {
            let mut plan = plan.clone();
            plan.title.units = units;
            let mut harness = on_desk(job::files::demo_session(Ok(plan)).unwrap(), 1280.0, 860.0);
            let text = |harness: &Harness<'_, Desk>| exchange::plan_text(harness.state().session.plan()).unwrap();
            let before = text(&harness);
            switch(&mut harness);
            let mut between = harness.state().session.plan().clone();
            between.title.units = units;
            assert_eq!(exchange::plan_text(&between).unwrap(), before, "only the way of writing");
            switch(&mut harness);
            if units.is_metric() {
                assert_eq!(text(&harness), before);
            } else {
                assert_eq!(harness.state().session.plan().title.units, units);
                assert_eq!(text(&harness), before);
            }
        }
    }
}

/// A figure in either system, as a number of SI; `None` for words without a unit.
fn read(text: &str) -> Option<f64> {
    let (number, unit) = text.trim().split_once(' ')?;
    let size = match unit {
        "ft" => measure::FOOT_M,
        "ft/s" => measure::FOOT_M,
        "in/day" => measure::INCH_PER_DAY_MS,
        "ac" => measure::SQUARE_M_PER_ACRE,
        "m" | "m/s" => 1.0,
        "mm/day" => 1e-3 / measure::DAY_S,
        "ha" => measure::SQUARE_M_PER_HECTARE,
        "%" => 0.01,
        _ => return None,
    };
    Some(number.parse::<f64>().ok()? * size)
}

/// Every limit of either system, written in either: what is told is the value to a part in two thousand, and reads back as it.
#[test]
fn every_limit_tells_its_value_in_either_system() {
    for starts in [Units::Feet, Units::Metric] {
        let criteria = Criteria::of(starts);
        for limit in LIMITS {
            let value = (limit.value)(&criteria);
            for units in [Units::Feet, Units::Metric] {
                let words = limit.words(value, units);
                let close = |told: f64| (told - value).abs() <= 1e-3 * value.abs();
                assert!(read(&words).is_none_or(close), "{}: {words} for {value}", limit.name);
                let back = exchange::limit_value(limit, &words, units);
                assert!(back.is_some_and(close), "{}: {words} reads {back:?} for {value}", limit.name);
            }
        }
    }
}

/// All texts a reader of the screen would hear, fields with what stands in them.
fn seen(harness: &Harness<'_, Desk>) -> Vec<String> {
    let nodes = harness.query_all_by(|_| true);
    let texts = nodes.flat_map(|node| {
        let node = node.accesskit_node();
        [node.label(), node.value(), node.description(), node.placeholder().map(str::to_string)]
    });
    texts.flatten().collect()
}

/// What in a text belongs to feet, inches and acres alone.
fn foreign(text: &str) -> Option<String> {
    // What the law says in feet stands in the cautions with its metres; the switch names both.
    let own = text.replace("5 ft (1.5 m)", "").replace("Feet or met", "");
    let lower = own.to_lowercase();
    let words: Vec<&str> =
        lower.split_whitespace().map(|word| word.trim_matches(|c: char| ",.;:()…“”\"".contains(c))).collect();
    let is_figure =
        |word: &str| word.starts_with(|c: char| c.is_ascii_digit()) && !word.ends_with(char::is_alphabetic);
    let alone = [
        "ft", "ft/s", "ft/day", "in/day", "in/hr", "inch", "inches", "feet", "ac", "acre", "acres", "yd³", "cfs",
        "gpm",
    ];
    let found = words.iter().position(|word| alone.contains(word));
    let inches = words
        .windows(3)
        .position(|three| is_figure(three[0]) && three[1] == "in" && !["all", "the"].contains(&three[2]));
    let last = words.windows(2).last().filter(|pair| is_figure(pair[0]) && pair[1] == "in").map(|_| 0);
    found.or(inches).or(last).map(|_| text.to_string())
}

/// A page without its scripts and marks.
fn read_by_people(text: &str) -> String {
    let parts = text.split("<script").enumerate();
    let seen =
        parts.map(|(i, part)| if i == 0 { part } else { part.split_once("</script>").map_or("", |(_, seen)| seen) });
    seen.collect::<String>().replace(['<', '>'], " ")
}

fn assert_metric<'a>(place: &str, texts: impl IntoIterator<Item = &'a str>) {
    let found: Vec<String> = texts.into_iter().filter_map(foreign).collect();
    assert!(found.is_empty(), "{place}: {found:#?}");
}

#[test]
fn what_is_foreign_is_known() {
    let foreigners =
        ["0.75 ft", "a pipe of 4 in", "3 in pipe", "1/2 in/day", "1.4 ft/s.", "5.6 ac", "12 inches (300 mm)"];
    assert!(foreigners.iter().all(|text| foreign(text).is_some()));
    assert!(
        ["3 lines in M1", "0.75 m", "L1 in 2 places", "the foot of the slope"]
            .iter()
            .all(|text| foreign(text).is_none())
    );
}

/// The window with a metric plan: every stage, every object, the limits, the findings.
#[test]
fn nothing_in_a_metric_window_is_in_feet() {
    for plan in demos() {
        let mut harness = on_desk(metric(plan), 1280.0, 2400.0);
        for stage in Stage::ALL {
            ask(&mut harness, Wish::Go(stage));
            let texts = seen(&harness);
            assert_metric(stage.name(), texts.iter().map(String::as_str));
        }
        let plan = harness.state().session.plan().clone();
        let lines = plan.lines.keys().map(|id| ObjectId::Line(*id));
        let outlets = plan.outlets.keys().map(|id| ObjectId::Outlet(*id));
        let marks = plan.landmarks.keys().map(|id| ObjectId::Landmark(*id));
        ask(&mut harness, Wish::Go(Stage::Lines));
        for id in lines.take(3).chain(outlets).chain(marks) {
            ask(&mut harness, Wish::Select(Selection::Object(id)));
            let texts = seen(&harness);
            assert_metric(&format!("{id:?}"), texts.iter().map(String::as_str));
        }
        ask(&mut harness, Wish::Run(Command::Limits));
        let texts = seen(&harness);
        // A source is quoted in the figures it was written in.
        assert_metric("limits", texts.iter().map(String::as_str).filter(|text| !text.contains("· checks")));
        let findings = &harness.state().session.worked().findings;
        let said = findings.iter().flat_map(|f| [f.title.as_str(), &f.message, &f.advice]);
        assert_metric("findings", said);
        let places = findings.iter().flat_map(|f| f.places.iter().map(|place| place.text.as_str()));
        assert_metric("places", places);
    }
}

/// What leaves of a metric plan: the sheets, the tables and the note beside them.
#[test]
fn nothing_that_leaves_a_metric_plan_is_in_feet() {
    for plan in demos() {
        let session = metric(plan);
        let worked = Worked::of(session.plan().clone(), session.land());
        let reference = exchange::reference(&worked.plan);
        let book = sheets::book(&sheets::Work {
            plan: &worked.plan,
            design: &worked.design,
            findings: &worked.findings,
            contours: &[],
            paper: sheets::Paper::usual(Units::Metric),
            reference: &reference,
            set_ups: &[],
            all_the_same: None,
            tongue: sheets::Tongue::English,
        });
        assert_metric("sheets", book.pages.iter().flat_map(sheets::Page::texts));
        let signed = Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "to look at".into() };
        let wish = PaperWish { all_the_same: Some(signed), ..PaperWish::default() };
        for file in handing::folder(&worked, None, &wish, &|_, _| true).unwrap() {
            if [".csv", ".txt", ".html"].iter().any(|ending| file.name.ends_with(ending)) {
                let text = read_by_people(&String::from_utf8(file.bytes).unwrap());
                assert_metric(&file.name, text.lines());
            }
        }
    }
}

/// The command line on a metric plan.
#[test]
fn nothing_told_of_a_metric_plan_is_in_feet() {
    let folder = demo("larkmoor-bench");
    let file = folder.path().join("a.drain");
    let mut plan = exchange::read_plan(&file).unwrap();
    plan.title.units = Units::Metric;
    exchange::save_plan(&plan, &file).unwrap();
    for command in
        ["check a.drain", "grade a.drain", "takeoff a.drain", "survey a.drain", "spacing a.drain", "record a.drain"]
    {
        let output = drainwright(folder.path(), &command.split(' ').collect::<Vec<_>>());
        let text = told(&output);
        assert!(!text.is_empty());
        assert_metric(command, text.lines());
    }
}

/// The limits dialog: every figure stands whole in its field with its unit, in a narrow window, with large type, in either system.
#[test]
fn the_limits_stand_whole() {
    for (plan, width, zoom) in [(0, 1280.0, 1.0), (0, 700.0, 1.0), (1, 1024.0, 1.6)] {
        let session = match plan {
            0 => job::files::demo_session(job::demo::first_plan()).unwrap(),
            _ => metric(job::demo::first_plan().unwrap()),
        };
        let units = session.plan().title.units;
        let mut harness = on_desk(session, width, 700.0);
        harness.ctx.set_zoom_factor(zoom);
        harness.run_steps(3);
        ask(&mut harness, Wish::Run(Command::Limits));
        let window = harness.ctx.content_rect();
        for limit in LIMITS.iter().take(8) {
            let words = limit.words((limit.value)(&harness.state().session.plan().criteria), units);
            let fields = harness.query_all_by_role_and_label(egui::accesskit::Role::TextInput, limit.label);
            let field = fields.last().unwrap_or_else(|| panic!("{}", limit.label));
            assert_eq!(field.accesskit_node().value().as_deref(), Some(words.as_str()));
            let font = egui::TextStyle::Body.resolve(&harness.ctx.global_style());
            let wide = harness
                .ctx
                .fonts_mut(|fonts| fonts.layout_no_wrap(words.clone(), font, egui::Color32::BLACK).size().x);
            let rect = field.rect();
            assert!(rect.width() >= wide + 4.0, "{words} in {rect:?}");
            assert!(window.contains_rect(rect.shrink(0.5)), "{words}: {rect:?} in {window:?}");
        }
    }
}
