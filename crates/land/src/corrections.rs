//! The survey as it is after the plan's corrections.

use plan::{Remedy, ShotName, SurveyBook};
use terrain::{Batch, FieldBook, SurveyShot};

/// Applies what is said of batches and every correction, in the order of the log. Corrections of what is not there do
/// nothing: the file may have changed since.
pub fn corrected(survey: &FieldBook, book: &SurveyBook) -> FieldBook {
    let mut survey = survey.clone();
    for batch in &mut survey.batches {
        let Some(facts) = book.batches.get(&batch.name) else { continue };
        batch.date = facts.date.clone().or(batch.date.take());
        if !facts.datum.is_empty() {
            batch.datum.clone_from(&facts.datum);
        }
    }
    for correction in &book.corrections {
        apply(&mut survey, &correction.what);
    }
    survey
}

/// By how much the lidar is moved up in all, metres.
pub fn lidar_shift_m(book: &SurveyBook) -> f64 {
    let shift = |remedy: &Remedy| if let Remedy::ShiftLidar { by_m } = remedy { *by_m } else { 0.0 };
    book.corrections.iter().map(|correction| shift(&correction.what)).sum()
}

fn apply(survey: &mut FieldBook, remedy: &Remedy) {
    match remedy {
        Remedy::Convert { batch, read, written } => {
            let factor = written.metres() / read.metres();
            each_of(survey, batch, |shot| shot.shot.level_m *= factor);
            batch_called(survey, batch).into_iter().for_each(|batch| batch.unit = *written);
        }
        Remedy::Shift { batch, by_m } => each_of(survey, batch, |shot| shot.shot.level_m += by_m),
        Remedy::Datum { batch, datum } => {
            batch_called(survey, batch).into_iter().for_each(|batch| batch.datum.clone_from(datum));
        }
        Remedy::Raise { shot, by_m } => {
            each_of(survey, &shot.batch, |other| {
                if other.name == shot.shot {
                    other.shot.level_m += by_m;
                }
            });
        }
        Remedy::LeaveOut { shot } => leave_out(survey, &shot.batch, |other| other.name == shot.shot),
        Remedy::LeaveOutBatch { batch } => leave_out(survey, batch, |_| true),
        Remedy::ShiftLidar { .. } | Remedy::Keep { .. } => {}
    }
}

fn batch_called<'a>(survey: &'a mut FieldBook, name: &str) -> Option<&'a mut Batch> {
    survey.batches.iter_mut().find(|batch| batch.name == name)
}

fn each_of(survey: &mut FieldBook, batch: &str, change: impl Fn(&mut SurveyShot)) {
    let FieldBook { batches, shots } = survey;
    shots.iter_mut().filter(|shot| batches[shot.batch].name == batch).for_each(change);
}

fn leave_out(survey: &mut FieldBook, batch: &str, gone: impl Fn(&SurveyShot) -> bool) {
    let FieldBook { batches, shots } = survey;
    shots.retain(|shot| batches[shot.batch].name != batch || !gone(shot));
}

/// A shot by its batch and name, as corrections name it.
pub fn shot_name(survey: &FieldBook, index: usize) -> ShotName {
    let shot = &survey.shots[index];
    ShotName { batch: survey.batches[shot.batch].name.clone(), shot: shot.name.clone() }
}

#[cfg(test)]
mod tests {
    use measure::{FOOT_M, LengthUnit, Point, Units};
    use plan::{BatchFacts, Plan, Signature};
    use terrain::Shot;

    use super::*;

    fn survey() -> FieldBook {
        let mut survey = FieldBook::default();
        for (name, levels) in [("level", [100.0, 101.0]), ("phone", [30.6, 30.5])] {
            let batch = Batch {
                name: name.into(),
                file: "a.csv".into(),
                unit: LengthUnit::Foot,
                datum: String::new(),
                date: None,
            };
            let shots = levels.iter().enumerate().map(|(i, level)| SurveyShot {
                name: (i + 1).to_string(),
                code: String::new(),
                batch: 0,
                row: i + 1,
                shot: Shot { at: Point::new(i as f64, 0.0), level_m: level * FOOT_M },
            });
            survey.add(batch, shots.collect::<Vec<_>>());
        }
        survey
    }

    fn levels(survey: &FieldBook) -> Vec<f64> {
        survey.shots.iter().map(|shot| (shot.shot.level_m / FOOT_M * 1e4).round() / 1e4).collect()
    }

    /// 30.6 read as feet was 30.6 m: 100.3937 ft. Then everything is shifted and one shot goes.
    #[test]
    fn corrections_in_the_order_of_the_log() {
        let plan = Plan::new("Tarrow End", Units::Feet);
        let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: "checked".into() };
        let name = |batch: &str, shot: &str| ShotName { batch: batch.into(), shot: shot.into() };
        let phone = "phone".to_string();
        let remedies = vec![
            Remedy::Convert { batch: phone.clone(), read: LengthUnit::Foot, written: LengthUnit::Metre },
            Remedy::Shift { batch: phone.clone(), by_m: -0.31 * FOOT_M },
            Remedy::Raise { shot: name("level", "2"), by_m: 10.0 * FOOT_M },
            Remedy::LeaveOut { shot: name("phone", "2") },
            Remedy::Shift { batch: "nobody".into(), by_m: 5.0 },
            Remedy::ShiftLidar { by_m: 0.2 },
            Remedy::Datum { batch: phone.clone(), datum: "local".into() },
        ];
        let mut plan = plan.with(&plan::correct(&plan, remedies, &signed));
        let facts = BatchFacts { datum: "sea level".into(), date: Some("2031-03-30".into()) };
        plan.survey.batches = [("level".to_string(), facts)].into();
        let after = corrected(&survey(), &plan.survey);
        assert_eq!(levels(&after), [100.0, 111.0, 100.0837]);
        assert_eq!((after.batches[0].datum.as_str(), after.batches[1].datum.as_str()), ("sea level", "local"));
        assert_eq!(after.batches[0].date.as_deref(), Some("2031-03-30"));
        assert_eq!((after.batches[1].unit, lidar_shift_m(&plan.survey)), (LengthUnit::Metre, 0.2));
        assert_eq!(shot_name(&after, 2), name("phone", "1"));
        assert_eq!(corrected(&survey(), &SurveyBook::default()), survey());
    }
}
