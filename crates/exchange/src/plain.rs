//! A plan whose names and words can be shown anywhere.

use measure::{is_hidden, plain};
use plan::Plan;
use serde_json::Value;

use crate::FileError;

/// Members that name files of the system, which must be found again as they are.
const FILES: [&str; 1] = ["file"];

/// The plan with what is hidden in its texts shown: names with escapes for a terminal or turned writing are none that a
/// person meant. Names of files stay.
pub fn plain_plan(plan: Plan) -> Result<Plan, FileError> {
    let wrong =
        |error: serde_json::Error| FileError::malformed("the plan", error.to_string(), "texts that can be shown");
    let mut value = serde_json::to_value(&plan).map_err(wrong)?;
    if !make_plain(&mut value) {
        return Ok(plan);
    }
    serde_json::from_value(value).map_err(wrong)
}

/// Shows what is hidden in every text; whether there was any.
pub(crate) fn make_plain(value: &mut Value) -> bool {
    match value {
        Value::String(text) if text.chars().any(is_hidden) => {
            *text = plain(text).into_owned();
            true
        }
        Value::Array(items) => items.iter_mut().fold(false, |any, item| make_plain(item) | any),
        Value::Object(members) => {
            let hidden: Vec<String> = members.keys().filter(|key| key.chars().any(is_hidden)).cloned().collect();
            for key in &hidden {
                let member = members.remove(key).unwrap_or_default();
                members.insert(plain(key).into_owned(), member);
            }
            let inside = members.iter_mut().filter(|(key, _)| !FILES.contains(&key.as_str()));
            inside.fold(!hidden.is_empty(), |any, (_, member)| make_plain(member) | any)
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use measure::{LengthUnit, Point, Units};
    use plan::{BatchFacts, GroundRef, Line, LineKind};

    use super::*;

    #[test]
    fn names_are_shown_and_files_found_again() {
        let mut plan = Plan::new("North\u{1b}]0;x\u{7}", Units::Metric);
        let points = vec![Point::new(0.0, 0.0), Point::new(10.0, 0.0)];
        let (id, edit) = plan::add_line(&plan, Line::new("L1\n\u{202e}", LineKind::Main, points));
        plan.apply(&edit).unwrap();
        plan.survey.batches.insert("a\u{1b}".into(), BatchFacts::default());
        plan.ground = Some(GroundRef {
            file: "a\u{1b}.tif".into(),
            crs: "local".into(),
            horizontal_unit: LengthUnit::Metre,
            vertical_unit: LengthUnit::Metre,
            datum: "BM\t1".into(),
            columns: None,
            level_attribute: None,
            part: None,
            brought_from: None,
        });
        let shown = plain_plan(plan).unwrap();
        assert_eq!(shown.title.name, "North\\u{1b}]0;x\\u{7}");
        assert_eq!(shown.lines[&id].name, "L1 \\u{202e}");
        assert!(shown.survey.batches.contains_key("a\\u{1b}"));
        let ground = shown.ground.as_ref().unwrap();
        assert_eq!((ground.file.as_str(), ground.datum.as_str()), ("a\u{1b}.tif", "BM 1"));
        assert_eq!(plain_plan(shown.clone()).unwrap(), shown);
    }
}
