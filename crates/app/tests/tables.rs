//! Every table that a person reads, of the demo fields in both units: on the screen, as CSV and on paper. Quantities as
//! printed times prices as printed are the amounts as printed; no table mixes feet and metres; no figure is "-0.00" or
//! "inf"; and no cell or head line is a formula to a spreadsheet.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::common;
use app::cli;
use job::Progress;
use job::Worked;
use job::demo;
use job::ground;
use job::handing::{self, PaperWish};
use measure::Units;
use plan::{Plan, Signature};
use sheets::{Page, Paper, Work};

/// Tables of a field: where each stands, and its lines.
type Tables = Vec<(String, Vec<String>)>;

/// Every demo field in feet, survey feet and metres.
fn fields() -> Vec<Plan> {
    let plans = [demo::first_plan(), demo::second_plan(), demo::ten_mistakes()].map(Result::unwrap);
    let units = [Units::Feet, Units::SurveyFeet, Units::Metric];
    plans.iter().flat_map(|plan| units.map(|units| in_units(plan, units))).collect()
}

fn in_units(plan: &Plan, units: Units) -> Plan {
    let mut plan = plan.clone();
    plan.title.units = units;
    // A layout put aside, so that there is something to hold beside the present one.
    plan.apply(&plan::put_aside(&plan, "as first drawn")).unwrap();
    let last = *plan.lines.keys().next_back().unwrap();
    plan.apply(&plan::remove_line(&plan, last).unwrap()).unwrap();
    plan
}

fn worked(plan: &Plan) -> Worked {
    let land = ground::open_plan(plan, None, &Progress::default()).unwrap();
    Worked::of(plan.clone(), &land)
}

/// Handed over though findings are open.
fn wish() -> PaperWish {
    let signed = Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "as found".into() };
    PaperWish { all_the_same: Some(signed), ..PaperWish::default() }
}

/// What sheets of a plan are made of, on the paper of its units.
fn work<'a>(derived: &'a Worked, reference: &'a plan::Reference) -> Work<'a> {
    Work {
        plan: &derived.plan,
        design: &derived.design,
        findings: &derived.findings,
        contours: &[],
        paper: Paper::usual(derived.plan.title.units),
        reference,
        set_ups: &[],
        all_the_same: None,
        tongue: sheets::Tongue::English,
    }
}

fn pages(derived: &Worked) -> Vec<Page> {
    sheets::book(&work(derived, &exchange::reference(&derived.plan))).pages
}

fn tables(derived: &Worked) -> Tables {
    let lines = |text: String| unmarked(&text).lines().map(str::to_string).collect::<Vec<_>>();
    let mut all: Tables =
        vec![("check".into(), cli::text_lines(derived)), ("takeoff".into(), cli::takeoff_lines(derived))];
    let folder = handing::folder(derived, None, &wish(), &|_, _| true).unwrap();
    let files = folder.into_iter().filter(|file| file.name.ends_with(".csv") && !file.name.contains("-levels"));
    all.extend(files.map(|file| (file.name, lines(String::from_utf8(file.bytes).unwrap()))));
    let at = tempfile::tempdir().unwrap();
    job::files::save(&derived.plan, &at.path().join("a.drain")).unwrap();
    all.extend(["grade", "survey", "water"].map(|verb| {
        let output = common::drainwright(at.path(), &[verb, "a.drain"]);
        (verb.to_string(), lines(common::told(&output)))
    }));
    let page = |page: &Page| page.texts().into_iter().map(str::to_string).collect::<Vec<_>>();
    all.extend(pages(derived).iter().enumerate().map(|(i, p)| (format!("page {}", i + 1), page(p))));
    all
}

/// A table without the mark at its beginning.
fn unmarked(text: &str) -> &str {
    text.strip_prefix(exchange::BYTE_ORDER_MARK).unwrap_or(text)
}

/// Plans at the edge: no ground and no price; pipe in sticks, odd names, another currency; nothing at all.
fn edges() -> Vec<Plan> {
    let first = demo::first_plan().unwrap();
    let mut bare = first.clone();
    (bare.ground, bare.survey.files, bare.price_list) = (None, Vec::new(), plan::PriceList::of(Units::Feet));
    let mut sticks = demo::second_plan().unwrap();
    sticks.title.name = "Äcker \"A\" × 6″".into();
    sticks.lines.values_mut().next().unwrap().name = "½ \"Süd\"".into();
    sticks.price_list.currency = "kr".into();
    sticks.price_list.rows.iter_mut().for_each(|row| row.pack_m = row.pack_m.map(|_| 20.0 * measure::FOOT_M));
    let plans = [bare, sticks];
    let both = [Units::Feet, Units::Metric];
    let edges = plans.iter().flat_map(|plan| both.map(|units| in_units(plan, units)));
    edges.chain(both.map(|units| Plan::new("Nothing yet", units))).collect()
}

/// Words of a line, without the signs about them.
fn words(line: &str) -> Vec<&str> {
    let apart = |c: char| c.is_whitespace() || ",;:()\"·×".contains(c);
    line.split(apart).map(|word| word.trim_end_matches('.')).filter(|word| !word.is_empty()).collect()
}

fn is_number(word: &str) -> bool {
    word.trim_start_matches(['+', '-', '−', '$', '~', '≥']).starts_with(|c: char| c.is_ascii_digit())
}

/// Cautions, sources of rules and places say more than the units of the plan.
fn is_exempt(line: &str) -> bool {
    let place = ["E ", "N "].iter().any(|start| line.starts_with(start)) && line.ends_with(" m");
    place
        || line.trim_start().starts_with("rule ")
        || plan::CAUTION.contains(line.trim_start_matches("# ").trim_end_matches('.'))
        || line.contains(plan::CAUTION)
        || line == plan::CAUTION_SHORT
}

#[test]
fn no_table_mixes_units_or_prints_nothing_as_a_figure() {
    const METRIC: [&str; 9] = ["m", "mm", "cm", "m²", "m³", "m3", "ha", "L/s", "m/s"];
    const FEET: [&str; 9] = ["ft", "in", "ac", "yd³", "yd3", "cfs", "ft/s", "in/day", "us-ft"];
    for plan in fields().into_iter().chain(edges()) {
        let units = plan.title.units;
        let derived = worked(&plan);
        let foreign = if units.is_metric() { FEET } else { METRIC };
        for (table, lines) in tables(&derived) {
            for line in lines.iter().filter(|line| !is_exempt(line)) {
                let place = format!("{} in {units:?}, {table}: {line}", plan.title.name);
                let words = words(line);
                let mixed = words.windows(2).find(|pair| is_number(pair[0]) && foreign.contains(&pair[1]));
                assert_eq!(mixed, None, "{place}");
                let heads = foreign.map(|unit| format!("_{unit}"));
                let head = words.iter().find(|word| heads.iter().any(|head| word.ends_with(head)));
                let own = head.is_none_or(|head| ["easting_m", "northing_m", "mixed"].contains(head));
                assert!(own, "{place}: {head:?}");
                let odd = words.iter().find(|word| {
                    let plain =
                        word.trim_start_matches(['$', '+', '−']).trim_start_matches('-').trim_end_matches(['%', '$']);
                    let is_nothing =
                        word.starts_with('-') && plain.len() > 1 && plain.chars().all(|c| matches!(c, '0' | '.'));
                    is_nothing || matches!(plain, "inf" | "NaN" | "∞")
                });
                assert_eq!(odd, None, "{place}");
            }
        }
    }
}

/// A decimal as written: its figures and how many of them stand after the point.
fn decimal(text: &str) -> (i128, u32) {
    let plain: String = text.chars().filter(|c| c.is_ascii_digit() || matches!(c, '.' | '-')).collect();
    let places = plain.split_once('.').map_or(0, |(_, rest)| rest.len() as u32);
    (plain.replace('.', "").parse().unwrap_or_else(|_| panic!("'{text}' is no figure")), places)
}

/// Hundredths of a decimal, rounded half up, reckoned without binary fractions.
fn hundredths((figures, places): (i128, u32)) -> i128 {
    if places <= 2 {
        return figures * 10i128.pow(2 - places);
    }
    let scale = 10i128.pow(places - 2);
    (figures + scale / 2).div_euclid(scale)
}

fn cents(text: &str) -> i128 {
    hundredths(decimal(text))
}

/// The amount that two printed figures make.
fn product(quantity: &str, price: &str) -> i128 {
    let ((a, p), (b, q)) = (decimal(quantity), decimal(price));
    hundredths((a * b, p + q))
}

/// Rows of a money table: quantity, price and amount as printed.
type Money = Vec<[String; 3]>;

/// From the screen: quantity and its unit end at the 45th sign, the price and the amount follow.
fn on_screen(derived: &Worked) -> Money {
    let text = cli::takeoff_lines(derived);
    let rows = text.iter().skip(3).take_while(|line| !line.is_empty());
    let row = |line: &String| {
        let signs: Vec<char> = line.chars().collect();
        let from: String = signs[..45].iter().collect();
        let (rest, amount) = line.rsplit_once('$').unwrap();
        let price = rest.rsplit_once('$').unwrap().1;
        [from[34..].trim().to_string(), price.trim().to_string(), amount.to_string()]
    };
    rows.map(row).collect()
}

fn in_table(derived: &Worked) -> Money {
    let text = handing::costs_csv(derived);
    let rows = unmarked(&text).lines().filter(|line| !line.starts_with('#')).skip(1);
    let cells = rows.map(|line| line.split(',').map(str::to_string).collect::<Vec<_>>());
    cells.filter(|cells| !cells[2].is_empty()).map(|cells| [2, 5, 6].map(|i| cells[i].clone())).collect()
}

fn on_paper(derived: &Worked) -> Money {
    let pages = pages(derived);
    let cost = pages.iter().filter(|page| page.texts().contains(&"Cost, an estimate"));
    let texts: Vec<&str> = cost.flat_map(Page::texts).collect();
    let is_price = |text: &str| text.starts_with('$') && (text.contains(" / ") || text.ends_with(" each"));
    let rows = (1..texts.len() - 1).filter(|i| is_price(texts[*i]));
    rows.map(|i| [texts[i - 1], texts[i], texts[i + 1]].map(str::to_string)).collect()
}

#[test]
fn quantity_times_price_is_the_amount_as_printed() {
    for plan in fields() {
        let derived = worked(&plan);
        let (estimate, units) = (derived.estimate(), plan.title.units);
        let place = format!("{} in {units:?}", plan.title.name);
        for (table, rows) in
            [("screen", on_screen(&derived)), ("csv", in_table(&derived)), ("paper", on_paper(&derived))]
        {
            assert_eq!(rows.len(), estimate.items.len(), "{place}, {table}: {rows:?}");
            for [quantity, price, amount] in &rows {
                assert_eq!(
                    product(quantity, price),
                    cents(amount),
                    "{place}, {table}: {quantity} × {price} = {amount}"
                );
            }
            let sum: i128 = rows.iter().map(|[_, _, amount]| cents(amount)).sum();
            assert_eq!(sum, cents(&estimate.money(estimate.total())), "{place}, {table}: the sum");
        }
        let sum = cents(&estimate.money(estimate.materials)) + cents(&estimate.money(estimate.work));
        assert_eq!(sum, cents(&estimate.money(estimate.total())), "{place}");
        for takeoff::LineCost { name, parts: line, .. } in &estimate.lines {
            let parts =
                [line.pipe, line.fittings, line.machine, line.protection].map(|part| cents(&estimate.money(part)));
            assert_eq!(parts.iter().sum::<i128>(), cents(&estimate.money(line.total())), "{place}, {name}");
        }
    }
}

/// Tables and texts of what it takes and costs, by name or by the title of their page.
fn of_the_estimate(derived: &Worked) -> Tables {
    const FILES: [&str; 7] = [
        "takeoff",
        "materials-and-cost.csv",
        "cost-by-line.csv",
        "rolls.csv",
        "trench-protection.csv",
        "bid.csv",
        "prices.csv",
    ];
    const TITLES: [&str; 3] = ["Material list", "Cost, an estimate", "Bid schedule"];
    let mut all = tables(derived);
    all.retain(|(name, lines)| FILES.contains(&&**name) || lines.iter().any(|line| TITLES.contains(&&**line)));
    let reference = exchange::reference(&derived.plan);
    let bid = sheets::bid_book(&work(derived, &reference));
    let texts = bid.pages.iter().flat_map(|page| page.texts()).map(str::to_string);
    all.push(("bid on paper".into(), texts.collect()));
    all
}

/// Nobody who works in metres reads of inches, acres or yards, and the reverse; what comes in sticks is called no roll.
#[test]
fn the_estimate_speaks_of_its_own_units() {
    const METRIC: [&str; 9] =
        ["meter", "meters", "metre", "millimeter", "millimeters", "centimeters", "hectare", "hectares", "kilometers"];
    const FEET: [&str; 9] = ["inch", "inches", "foot", "feet", "acre", "acres", "yard", "yards", "mile"];
    for plan in fields().into_iter().chain(edges()) {
        let derived = worked(&plan);
        let foreign = if plan.title.units.is_metric() { FEET } else { METRIC };
        let comes_in_sticks = derived.estimate().cutting.iter().all(|cutting| cutting.pack_word() == "stick");
        for (table, lines) in of_the_estimate(&derived) {
            for line in &lines {
                let place = format!("{} in {:?}, {table}: {line}", plan.title.name, plan.title.units);
                let is_terms = ["Coordinates:", "# Coordinates:"].iter().any(|start| line.starts_with(start));
                let odd = words(line).into_iter().find(|word| foreign.contains(&word.to_lowercase().as_str()));
                assert!(odd.is_none() || is_terms || is_exempt(line), "{place}: {odd:?}");
                let names_rolls =
                    words(line).windows(2).any(|pair| is_number(pair[0]) && pair[1].starts_with("roll"));
                assert!(!(comes_in_sticks && (names_rolls || line == "Roll")), "{place}");
            }
        }
    }
}

/// The rows by line and those beside them add up to the estimate in the table and on paper, as printed, column by column.
#[test]
fn the_costs_by_line_add_up_as_printed() {
    for plan in fields().into_iter().chain(edges()) {
        let derived = worked(&plan);
        let place = format!("{} in {:?}", plan.title.name, plan.title.units);
        let (estimate, units) = (derived.estimate(), plan.title.units);
        let table = tables(&derived).into_iter().find(|(name, _)| name == "cost-by-line.csv").unwrap().1;
        let rows: Vec<Vec<String>> =
            table.iter().filter(|line| !line.starts_with('#')).skip(1).map(|line| cells(line)).collect();
        let (lines, rest) = rows.split_at(estimate.lines.len());
        let sum = |rows: &[Vec<String>], column: usize| -> i128 { rows.iter().map(|row| cents(&row[column])).sum() };
        for column in [2, 3, 4, 6, 7] {
            assert_eq!(sum(lines, column), cents(&rest[0][column]), "{place}, column {column}");
        }
        let (whole, before) = rest.split_last().unwrap();
        assert_eq!(sum(before, 7), cents(&whole[7]), "{place}: {rest:?}");
        let costs = handing::costs_csv(&derived);
        let total = costs.lines().find(|line| line.starts_with("total,")).unwrap().to_string();
        assert_eq!(cents(&cells(&total)[6]), cents(&whole[7]), "{place}");
        // Paper prints the very same sums.
        let texts: Vec<String> = pages(&derived).iter().flat_map(Page::texts).map(str::to_string).collect();
        for row in estimate.by_line(units) {
            let printed = row.cells(units, |value| estimate.money(value));
            assert!(texts.contains(&measure::true_minus(&printed[7])), "{place}: {printed:?}");
        }
    }
}

/// The currency is the price list's on screen, in the table and on paper, and no other.
#[test]
fn money_is_in_the_currency_of_the_price_list() {
    for (currency, wanted) in [("EUR", "EUR "), ("€", "€"), ("", "")] {
        let mut plan = demo::second_plan().unwrap();
        plan.price_list.currency = currency.into();
        let derived = worked(&plan);
        let total = derived.estimate().total();
        assert_eq!(derived.estimate().money(total), format!("{wanted}{}", measure::thousands(total, 2)));
        for (table, lines) in tables(&derived) {
            assert!(lines.iter().all(|line| !line.contains('$')), "{table}");
        }
        let text = cli::takeoff_lines(&derived);
        assert!(text.iter().any(|line| line.contains(&format!("total {wanted}{}", measure::thousands(total, 2)))));
        assert_eq!(text.contains(&"Currency: not stated".to_string()), currency.is_empty());
        let table = handing::costs_csv(&derived);
        assert!(table.lines().any(|line| line.starts_with("total,") && line.ends_with(&format!(",{currency}"))));
    }
}

/// The cells of a row, quoted ones whole.
fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut quoted) = (vec![String::new()], false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            c => cells.last_mut().unwrap().push(c),
        }
    }
    cells
}

/// A job, lines and reasons called like formulas leave every table without one: neither in a cell nor behind a separator
/// of a head line.
#[test]
fn no_table_holds_a_formula() {
    let mut plan = demo::first_plan().unwrap();
    plan.title.name = "North,=HYPERLINK(\"x\")\n;+1\t@sum".into();
    plan.price_list.source = "quote;=1+1".into();
    plan.ground.as_mut().unwrap().datum = "local,-2+3".into();
    plan.lines.values_mut().next().unwrap().name = "=1+1".into();
    plan.survey.benchmarks[0].name = "@BM".into();
    let derived = worked(&plan);
    let folder = handing::folder(&derived, None, &wish(), &|_, _| true).unwrap();
    let files = folder.iter().filter(|file| file.name.ends_with(".csv") && !file.name.contains("-levels"));
    for file in files {
        let text = unmarked(std::str::from_utf8(&file.bytes).unwrap());
        for line in text.lines() {
            // Head lines are not quoted, and may be broken at any separator.
            let cells = match line.starts_with('#') {
                true => line.split([',', ';', '\t']).map(str::to_string).collect(),
                false => cells(line),
            };
            for cell in cells.iter().map(|cell| cell.trim_start()) {
                let runs =
                    cell.starts_with(['=', '+', '@']) || (cell.starts_with('-') && cell.parse::<f64>().is_err());
                assert!(!runs, "{}: {line}", file.name);
            }
            assert!(!line.starts_with('#') || !line.contains('"'), "{}: {line}", file.name);
        }
        assert!(!text.contains("\n;"), "{}: a name broke a head line", file.name);
    }
}
