//! Two hands and more on one plan: commands that change it at once. What a command says is done is in the plan afterwards.

use std::path::Path;
use std::process::Output;

use serde_json::Value;

use crate::Tally;
use crate::bench::{Bench, how, split, told};

/// How many at once.
const AT_ONCE: usize = 8;

/// So many times eight `lines` at once, and as often two commands of different kinds.
pub fn run(bench: &Bench, times: usize) -> Tally {
    let mut tally = Tally::default();
    for _ in 0..times {
        eight_lines(bench, &mut tally);
        a_mixture(bench, &mut tally);
    }
    tally
}

/// Runs commands at once; the ends in their order.
fn at_once(bench: &Bench, at: &Path, commands: &[Vec<String>]) -> Vec<Output> {
    let children: Vec<_> = commands.iter().map(|words| bench.command(at, words).spawn().unwrap()).collect();
    children.into_iter().map(|child| child.wait_with_output().unwrap()).collect()
}

fn plan_of(at: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(at.join("a.drain")).unwrap_or_default()).unwrap_or_default()
}

fn eight_lines(bench: &Bench, tally: &mut Tally) {
    let folder = bench.folder();
    let at = folder.path();
    let commands: Vec<Vec<String>> = (0..AT_ONCE)
        .map(|i| {
            let x = 20 + 10 * i;
            let line = format!(
                r#"{{"type":"Feature","properties":{{"name":"N{i}","kind":"lateral"}},"geometry":{{"type":"LineString","coordinates":[[{x},30],[{x},90]]}}}}"#
            );
            std::fs::write(at.join(format!("n{i}.geojson")), line).unwrap();
            split(&format!("lines a.drain n{i}.geojson --crs ground"))
        })
        .collect();
    let ends = at_once(bench, at, &commands);
    tally.trials += 1;
    let plan = plan_of(at);
    let names: Vec<&str> = plan["plan"]["lines"]
        .as_object()
        .into_iter()
        .flat_map(|lines| lines.values())
        .filter_map(|line| line["name"].as_str())
        .collect();
    for (i, end) in ends.iter().enumerate() {
        Bench::bad_end(end).into_iter().for_each(|bad| tally.fail(format!("eight lines: {bad}")));
        let (is_there, is_said) = (names.contains(&format!("N{i}").as_str()), end.status.success());
        if is_there != is_said {
            tally.fail(format!("eight lines: N{i} {} and {}: {}", there(is_there), how(end.status), told(end)));
        }
        tally.see(if is_said { "line is in the plan" } else { "line is refused" });
    }
}

fn there(is_there: bool) -> &'static str {
    if is_there { "is in the plan" } else { "is not in the plan" }
}

/// A line, a mark, a ditch and an acceptance at once: each that says it is done is in the plan.
fn a_mixture(bench: &Bench, tally: &mut Tally) {
    let folder = bench.folder();
    let at = folder.path();
    let words = [
        ("lines a.drain more.geojson --crs ground", "lines"),
        ("bring a.drain --marks marks.geojson --crs ground", "landmarks"),
        ("water a.drain --ditch 20,20_60,60", "watercourses"),
        ("accept a.drain 1 --by A._Marsh --because a_trial --on 2031-04-03", "waivers"),
    ];
    let count = |member: &str| match &plan_of(at)["plan"][member] {
        Value::Object(members) => members.len(),
        Value::Array(members) => members.len(),
        _ => 0,
    };
    let before = words.map(|(_, member)| count(member));
    let ends = at_once(bench, at, &words.map(|(words, _)| split(words)));
    tally.trials += 1;
    for (((_, member), end), before) in words.iter().zip(&ends).zip(before) {
        Bench::bad_end(end).into_iter().for_each(|bad| tally.fail(format!("a mixture: {bad}")));
        let came = count(member) - before;
        if (came == 1) != end.status.success() {
            tally.fail(format!("a mixture: {came} came to {member}, {}: {}", how(end.status), told(end)));
        }
        tally.see(format!("{member}: {}", how(end.status)));
    }
}
