//! Hostile properties: lines whose names, sizes and kinds are anything that JSON can hold, through `lines` and what follows.

use serde_json::{Value, json};

use crate::Tally;
use crate::bench::{Bench, split};
use crate::mutants::any_value;

const MEMBERS: [&str; 12] =
    ["name", "kind", "size", "joins", "pattern", "material", "condition", "note", "drop", "\u{1b}[2J", "", "id"];

/// So many sets of properties.
pub fn run(bench: &Bench, times: usize) -> Tally {
    let mut tally = Tally::default();
    let mut dice = fastrand::Rng::with_seed(17);
    for trial in 0..times {
        let folder = bench.folder();
        let at = folder.path();
        let count = dice.usize(0..6);
        let properties: serde_json::Map<String, Value> =
            (0..count).map(|_| (MEMBERS[dice.usize(0..MEMBERS.len())].to_string(), any_value(&mut dice))).collect();
        let feature = json!({
            "type": "Feature", "properties": properties,
            "geometry": { "type": "LineString", "coordinates": [[60.0, 8.0], [60.0, 90.0]] },
        });
        std::fs::write(at.join("h.geojson"), feature.to_string()).unwrap();
        tally.trials += 1;
        for words in ["lines a.drain h.geojson --crs ground", "check a.drain", "export a.drain --to dxf"] {
            let output = bench.run(at, &split(words));
            if let Some(bad) = Bench::bad_end(&output) {
                tally.fail(format!("set {trial}, {words}: {bad}\n  {feature}"));
            }
            let text = crate::bench::told(&output);
            if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\t')) && !words.starts_with("export") {
                tally.fail(format!("set {trial}, {words}: a control character is printed\n  {feature}"));
            }
            tally.see(format!(
                "{} {}",
                words.split(' ').next().unwrap_or_default(),
                crate::bench::how(output.status)
            ));
        }
    }
    tally
}
