//! Mutated plans: the JSON of a sound plan changed here and there, by its structure, through every command.

use fastrand::Rng;
use serde_json::{Map, Value, json};

use crate::Tally;
use crate::bench::{Bench, how, split};

/// Every command that reads a plan.
const COMMANDS: [&str; 17] = [
    "check a.drain",
    "check a.drain --json",
    "grade a.drain",
    "grade a.drain --json -o g.drain",
    "takeoff a.drain",
    "survey a.drain",
    "water a.drain --at 50,50",
    "fix a.drain --list",
    "lines a.drain more.geojson --crs ground",
    "bring a.drain --marks marks.geojson --crs ground",
    "accept a.drain 1 --by A._Marsh --because a_trial --on 2031-04-03",
    "export a.drain --to csv --all-the-same --by A --because b --date 2031-04-03",
    "export a.drain --to landxml --all-the-same --by A --because b --date 2031-04-03",
    "export a.drain --to dxf --all-the-same --by A --because b --date 2031-04-03",
    "picture a.drain -o a.png --width 400",
    "sheets a.drain -o a.pdf --all-the-same --by A --because b --date 2031-04-03",
    "handover a.drain -o out2 --all-the-same --by A --because b --date 2031-04-03",
];

/// Commands that one plan goes through after `check`: all of them in turn over the plans.
const EACH: usize = 3;

/// So many mutated plans.
pub fn run(bench: &Bench, times: usize) -> Tally {
    let mut tally = Tally::default();
    let sound = rich(bench);
    let texts = texts_of(&sound);
    for trial in 0..times {
        let mut dice = Rng::with_seed(trial as u64);
        let mut plan = sound.clone();
        let changes: Vec<String> = (0..dice.usize(1..4)).map(|_| mutate(&mut plan, &texts, &mut dice)).collect();
        let folder = bench.folder();
        std::fs::write(folder.path().join("a.drain"), plan.to_string()).unwrap();
        tally.trials += 1;
        let others = (0..EACH).map(|k| COMMANDS[1 + (trial * EACH + k) % (COMMANDS.len() - 1)]);
        let mut is_refused = false;
        for words in std::iter::once(COMMANDS[0]).chain(others) {
            let output = bench.run(folder.path(), &split(words));
            if let Some(bad) = Bench::bad_end(&output) {
                tally.fail(format!("plan {trial} ({}), {words}: {bad}", changes.join("; ")));
            }
            if words == COMMANDS[0] {
                is_refused = output.status.code() == Some(2);
                tally.see(if is_refused { "plan is refused" } else { "plan is read" });
            }
            tally.see(format!("{} {}", words.split(" --all").next().unwrap_or(words), how(output.status)));
            // One more command is enough to see that what is refused is refused by all.
            if is_refused && words != COMMANDS[0] {
                break;
            }
        }
    }
    tally
}

/// A plan with something of everything: the small field with lines, marks, a ditch, levels locked, an acceptance, sheets issued.
fn rich(bench: &Bench) -> Value {
    let folder = bench.folder();
    for words in [
        "lines a.drain more.geojson --crs ground",
        "bring a.drain --marks marks.geojson --crs ground",
        "water a.drain --ditch 20,20_60,60",
        "survey a.drain --add first=levels.csv",
        "grade a.drain -o a.drain",
        "accept a.drain 1 --by A._Marsh --because a_trial --on 2031-04-03",
        "sheets a.drain -o a.pdf --issue --all-the-same --by A._Marsh --because first --date 2031-04-03",
    ] {
        let output = bench.run(folder.path(), &split(words));
        assert!(output.status.success(), "{words}: {}", crate::bench::told(&output));
    }
    serde_json::from_slice(&std::fs::read(folder.path().join("a.drain")).unwrap()).unwrap()
}

/// Changes one place of the plan in the file and says what was done: most often to another value of the same kind, so that
/// most plans are read.
fn mutate(file: &mut Value, texts: &[String], dice: &mut Rng) -> String {
    let plan = &mut file["plan"];
    let mut places = Vec::new();
    gather(plan, String::new(), &mut places);
    let place = places[dice.usize(0..places.len())].clone();
    let Some(value) = plan.pointer_mut(&place) else { return String::new() };
    let done = match (&mut *value, dice.u8(0..12)) {
        (Value::Object(members), 0..=10) if !members.is_empty() => in_object(members, dice),
        (Value::Array(members), 0..=10) if !members.is_empty() => in_array(members, dice),
        (Value::Number(number), 0..=10) => {
            let was = number.as_f64().unwrap_or(0.0);
            let factors = [0.5, 0.9, 0.999, 1.001, 1.1, 2.0, 0.3048, 3.2808, 10.0, -1.0, 0.0, 1e-9, 1e3, 1e6, 1e12];
            // The mild ones more often.
            let factor = factors[dice.usize(0..factors.len()).min(dice.usize(0..factors.len()))];
            *value = if number.is_f64() { json!(was * factor) } else { json!((was * factor).round() as i64) };
            format!("times {factor}")
        }
        (Value::String(text), 0..=7) => {
            text.clone_from(&texts[dice.usize(0..texts.len())]);
            format!("{text} instead")
        }
        (Value::Bool(is), 0..=10) => {
            *is = !*is;
            "the other way".into()
        }
        _ => {
            *value = any_value(dice);
            "another value".into()
        }
    };
    format!("{place}: {done}")
}

fn in_object(members: &mut Map<String, Value>, dice: &mut Rng) -> String {
    let names: Vec<String> = members.keys().cloned().collect();
    let name = names[dice.usize(0..names.len())].clone();
    match dice.u8(0..4) {
        0 => {
            members.remove(&name);
            format!("without {name}")
        }
        1 => {
            let value = members.remove(&name).unwrap_or_default();
            members.insert(format!("{name}x"), value);
            format!("{name} misspelt")
        }
        2 => {
            let value = members.get(&name).cloned().unwrap_or_default();
            let other =
                if name.parse::<u32>().is_ok() { dice.u32(0..2_000_000_000).to_string() } else { "more".into() };
            members.insert(other.clone(), value);
            format!("{name} again as {other}")
        }
        _ => {
            let other = names[dice.usize(0..names.len())].clone();
            let (a, b) = (members[&name].clone(), members[&other].clone());
            members.insert(name.clone(), b);
            members.insert(other.clone(), a);
            format!("{name} and {other} exchanged")
        }
    }
}

fn in_array(members: &mut Vec<Value>, dice: &mut Rng) -> String {
    let i = dice.usize(0..members.len());
    match dice.u8(0..4) {
        0 => drop(members.remove(i)),
        1 => {
            let again = members[i].clone();
            let times = [1, 2, 300][dice.usize(0..3)];
            members.extend(std::iter::repeat_n(again, times));
        }
        2 => members.reverse(),
        _ => members.clear(),
    }
    format!("member {i} of the list")
}

/// Every text of a plan: names, days, words that choose.
fn texts_of(value: &Value) -> Vec<String> {
    match value {
        Value::Object(members) => members.values().flat_map(texts_of).collect(),
        Value::Array(members) => members.iter().flat_map(texts_of).collect(),
        Value::String(text) => vec![text.clone()],
        _ => Vec::new(),
    }
}

/// Every place of a value, as pointers.
fn gather(value: &Value, at: String, places: &mut Vec<String>) {
    let mut into = |name: &str, value: &Value| {
        gather(value, format!("{at}/{}", name.replace('~', "~0").replace('/', "~1")), places);
    };
    match value {
        Value::Object(members) => members.iter().for_each(|(name, value)| into(name, value)),
        Value::Array(members) => members.iter().enumerate().for_each(|(i, value)| into(&i.to_string(), value)),
        _ => {}
    }
    places.push(at);
}

/// Anything that JSON can hold, the odd things first.
pub fn any_value(dice: &mut Rng) -> Value {
    let numbers = [0.0, -0.0, -1.0, 1e-320, 1e308, -1e308, 1e18, 0.5, 42.0, 65_536.0, 4_294_967_296.0];
    let texts = [
        "",
        " ",
        "\u{1b}[31mred\u{7}",
        "a\rb",
        "a\nb",
        "=1+1",
        "\u{202e}abc",
        "\u{0}",
        "L1",
        "nothing",
        "../../x",
        "/dev/zero",
        "Č — ≥ 漢",
        "2031-02-30",
        "NaN",
        "1e999",
        "\u{feff}x",
    ];
    match dice.u8(0..10) {
        0 => Value::Null,
        1 => json!(dice.bool()),
        2..=4 => json!(numbers[dice.usize(0..numbers.len())]),
        5..=7 => json!(texts[dice.usize(0..texts.len())]),
        8 => json!([]),
        _ => match dice.u8(0..3) {
            0 => json!({}),
            1 => json!("x".repeat(20_000)),
            _ => json!([[[1, 2], [3]], { "a": "b" }]),
        },
    }
}
