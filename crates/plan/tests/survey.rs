//! The survey book: corrections are signed, applied as one undo step, and read as a log.
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use measure::{FOOT_M, LengthUnit, Point, Units};
use plan::{Benchmark, History, LevelLoop, Plan, Remedy, ShotName, Signature, SurveyBook};

fn signature() -> Signature {
    Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: "levels checked on BM1".into() }
}

fn phone() -> Remedy {
    Remedy::Convert { batch: "phone".into(), read: LengthUnit::Foot, written: LengthUnit::Metre }
}

#[test]
fn corrections_make_the_log_and_undo_takes_them_back() {
    let plan = Plan::new("Tarrow End", Units::Feet);
    let mut history = History::new(plan.clone());
    let shift = Remedy::Shift { batch: "level".into(), by_m: -0.31 * FOOT_M };
    history.apply(&plan::correct(history.plan(), vec![phone()], &signature())).unwrap();
    history.apply(&plan::correct(history.plan(), vec![shift], &signature())).unwrap();
    let log: Vec<String> = history.plan().survey.corrections.iter().map(|c| c.words(Units::Feet)).collect();
    assert_eq!(
        log,
        [
            "2031-04-02  R. Wren: Read batch phone as meters, because levels checked on BM1",
            "2031-04-02  R. Wren: Shift batch level by −0.31 ft, because levels checked on BM1",
        ]
    );
    assert_eq!(history.undo().unwrap(), "Shift batch level by −0.31 ft");
    assert_eq!(history.plan().survey.corrections.len(), 1);
    history.undo();
    assert_eq!(history.plan(), &plan);
}

#[test]
fn nobody_corrects_without_a_name_a_day_and_a_reason() {
    let plan = Plan::new("Tarrow End", Units::Feet);
    let left_out = Remedy::LeaveOut { shot: ShotName { batch: "level".into(), shot: "17".into() } };
    for blank in [
        Signature { by: " ".into(), ..signature() },
        Signature { because: String::new(), ..signature() },
        Signature { on: "2 April".into(), ..signature() },
    ] {
        assert!(plan.clone().apply(&plan::correct(&plan, vec![left_out.clone()], &blank)).is_err());
    }
    let offered =
        plan::correct(&plan, vec![left_out], &Signature { because: "rod slip".into(), ..Signature::default() });
    assert!(plan::wants_signature(&offered) && plan.clone().apply(&offered).is_err());
    let signed = plan::sign(&offered, &Signature { because: String::new(), ..signature() });
    assert!(!plan::wants_signature(&signed));
    let mut after = plan.clone();
    after.apply(&signed).unwrap();
    assert_eq!(
        after.survey.corrections[0].words(Units::Feet),
        "2031-04-02  R. Wren: Leave out 17 of batch level, because rod slip"
    );
}

#[test]
fn senseless_books_are_refused() {
    let at = Point::new(0.0, 0.0);
    let mark = |level_m| Benchmark { name: "BM1".into(), at, level_m, datum: String::new() };
    let run = |length_m| LevelLoop { name: "A".into(), known_m: 1.0, carried_m: 1.0, length_m };
    let books = [
        SurveyBook { benchmarks: vec![mark(f64::NAN)], ..SurveyBook::default() },
        SurveyBook { loops: vec![run(-1.0)], ..SurveyBook::default() },
        SurveyBook { earthwork: Some("yesterday".into()), ..SurveyBook::default() },
    ];
    for book in books {
        let mut plan = Plan::new("Tarrow End", Units::Feet);
        assert!(plan.apply(&plan::set_survey("Change the survey", book)).is_err());
        assert!(plan.survey.is_empty());
    }
}
