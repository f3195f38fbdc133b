//! What crews read, in English and in Spanish: the same figures at the same places, nothing over another or off the page.

use crate::common::{demo, drainwright, told};
use crate::hand::{ask, on_desk, push};
use crate::leaving::{corners, each_field, overlaps, texts};
use app::command::Command;
use app::panels::dialog::Dialog;
use app::purpose::Purpose;
use app::view::Stage;
use app::wish::Wish;
use egui_kittest::kittest::Queryable;
use job::handing::{self, PaperWish};
use job::{Progress, Worked, ground};
use measure::Units;
use sheets::{Book, Ink, Item, LEAST_PT, Page, Paper, Part, Tongue, Work};

/// The groups of digits of a text in their order.
fn figures(text: &str) -> Vec<&str> {
    text.split(|c: char| !c.is_ascii_digit()).filter(|part| !part.is_empty()).collect()
}

/// The texts of every row of every table of a page.
fn rows(items: &[Item]) -> Vec<String> {
    let row = |item: &Item| match item {
        Item::Part(Part::Row, inner) => {
            vec![texts(inner).iter().map(|text| text.text.as_str()).collect::<Vec<_>>().join(" ")]
        }
        Item::Part(_, inner) | Item::Within(_, inner) => rows(inner),
        _ => Vec::new(),
    };
    items.iter().flat_map(row).collect()
}

/// Pages of cut sheets.
fn cut_sheets(book: &Book, tongue: Tongue) -> Vec<&Page> {
    let title = tongue.text("cut-sheets", &[]);
    let of_lines = |page: &&Page| !page.lines.is_empty() && page.texts().contains(&title.as_str());
    book.pages.iter().filter(of_lines).collect()
}

fn looks_right(ink: &Ink, page: &Page) {
    let found = overlaps(ink, page);
    assert!(found.is_empty(), "{found:?}");
    for text in texts(&page.items) {
        assert!(text.size_pt >= LEAST_PT || text.text.is_empty(), "{} pt: {}", text.size_pt, text.text);
        let inside = |(x, y): (f64, f64)| (0.0..=page.width_mm).contains(&x) && (0.0..=page.height_mm).contains(&y);
        assert!(corners(ink, text).into_iter().all(inside), "off the page: {}", text.text);
    }
}

/// Every demo field, in feet and metres, as it is on the small papers and crowded on the large ones.
#[test]
fn spanish_sheets_hold_the_figures_of_the_english_ones() {
    let ink = Ink::default();
    each_field(|plans, land, papers| {
        for (plan, paper) in plans.into_iter().zip(papers) {
            both_tell_the_same(&ink, &Worked::of(plan, land), paper);
        }
    });
}

fn both_tell_the_same(ink: &Ink, worked: &Worked, paper: Paper) {
    let reference = exchange::reference(&worked.plan);
    let [english, spanish] = Tongue::ALL.map(|tongue| {
        let (findings, set_ups, all_the_same) = (&worked.findings[..], &[][..], None);
        let (plan, design, reference, contours) = (&worked.plan, &worked.design, &reference, &[][..]);
        sheets::book(&Work { plan, design, findings, contours, paper, reference, set_ups, all_the_same, tongue })
    });
    assert_eq!(english.edition, spanish.edition);
    let own = spanish.pages.iter().filter(|page| page.tongue == Tongue::Spanish);
    own.for_each(|page| looks_right(ink, page));
    let [in_english, in_spanish] = [cut_sheets(&english, Tongue::English), cut_sheets(&spanish, Tongue::Spanish)];
    assert!(!in_english.is_empty() && in_spanish.iter().all(|page| page.tongue == Tongue::Spanish));
    // Longer words may take a line more and so a page more: row by row all figures are the same.
    let [told, said] = [&in_english, &in_spanish]
        .map(|pages| -> Vec<String> { pages.iter().flat_map(|page| rows(&page.items)).collect() });
    assert_eq!(told.len(), said.len());
    told.iter().zip(&said).for_each(|(one, other)| assert_eq!(figures(one), figures(other), "{one}\n{other}"));
    assert!(
        in_spanish.len() <= in_english.len() + 1 + in_english.len() / 8,
        "{} {}",
        in_spanish.len(),
        in_english.len()
    );
}

/// The page for the phone has one mark whatever its language, and all its figures in one order.
#[test]
fn the_field_page_tells_the_same_in_both_languages() {
    for plan in [job::demo::first_plan(), job::demo::second_plan(), job::demo::ten_mistakes()].map(Result::unwrap) {
        for units in [Units::Feet, Units::Metric] {
            let mut plan = plan.clone();
            plan.title.units = units;
            let land = ground::open_plan(&plan, None, &Progress::default()).unwrap();
            let worked = Worked::of(plan, &land);
            let page = |tongue: Tongue| handing::field_page(&worked, &PaperWish { tongue, ..PaperWish::default() });
            let [english, spanish] = Tongue::ALL.map(page);
            assert!(english.contains("<html lang=\"en\">") && spanish.contains("<html lang=\"es\">"));
            assert!(spanish.contains("Antes de excavar") && !spanish.contains("Before digging"));
            // Names on the map lie where they have room: a longer word elsewhere.
            let told = |page: &str| {
                let lines = page.lines().filter(|line| !line.starts_with("<text "));
                lines
                    .map(|line| line.replace("&#39;", "'"))
                    .flat_map(|line| figures(&line).into_iter().map(str::to_string).collect::<Vec<_>>())
                    .collect::<Vec<_>>()
            };
            let (one, other) = (told(&english), told(&spanish));
            let at = one.iter().zip(&other).position(|(a, b)| a != b);
            assert!(one == other, "{:?}", at.map(|at| (&one[at.saturating_sub(9)..at + 1], &other[at])));
        }
    }
}

/// On the Dig card and in the preview the crew's language is picked; what is looked at follows.
#[test]
fn the_language_is_picked_where_the_paper_is() {
    let mut harness = on_desk(job::files::demo_session(job::demo::first_plan()).unwrap(), 1280.0, 860.0);
    ask(&mut harness, Wish::Run(Command::Preview));
    let said = |book: &Book| book.pages.iter().flat_map(Page::texts).any(|text| text == "Hojas de corte");
    let shown = |harness: &egui_kittest::Harness<'_, app::desk::Desk>| match &harness.state().dialog {
        Some(Dialog::Preview(ask)) => said(&ask.book),
        other => panic!("{other:?}"),
    };
    assert!(!shown(&harness));
    harness.get_by_label("Español").click();
    harness.run_steps(6);
    assert!(shown(&harness) && harness.state().view.tongue == Tongue::Spanish);
}

/// The command has the choice that the window has. Tables, open files, plan and ground are the same to the byte, so whatever is
/// known by a digest is too.
#[test]
fn the_folder_for_a_spanish_crew_is_the_same_folder() {
    let folder = demo("larkmoor-bench");
    let hand_over = |language: &str| {
        let asked = ["handover", "a.drain", "-o", language, "--language", language];
        let signed = ["--all-the-same", "--by", "A. Marsh", "--because", "levels are mended"];
        let output = drainwright(folder.path(), &[&asked[..], &signed].concat());
        assert!(output.status.success(), "{}", told(&output));
        folder.path().join(language)
    };
    let [english, spanish] = ["english", "spanish"].map(hand_over);
    let mut other: Vec<String> = std::fs::read_dir(&english)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| english.join(name).is_file())
        .filter(|name| std::fs::read(english.join(name)).unwrap() != std::fs::read(spanish.join(name)).unwrap())
        .collect();
    other.sort();
    assert_eq!(other, ["READ-ME-FIRST.txt", "SHA256SUMS", "field-page.html", "sheets.pdf"]);
    let read = |name: &str| std::fs::read_to_string(spanish.join(name)).unwrap();
    assert!(read("READ-ME-FIRST.txt").contains("In Spanish, for the crew"));
    assert!(read("field-page.html").contains("Antes de excavar"));
    let refused = drainwright(folder.path(), &["sheets", "a.drain", "-o", "a.pdf", "--language", "latin"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(told(&refused).contains("expected english or spanish"), "{}", told(&refused));
}

/// On the Dig card the language is picked by its own name, and the folder that leaves is in it.
#[test]
fn the_window_hands_over_in_the_language_that_is_picked() {
    let mut harness = on_desk(job::files::demo_session(job::demo::second_plan()).unwrap(), 1280.0, 1400.0);
    let folder = tempfile::tempdir().unwrap();
    ask(&mut harness, Wish::Go(Stage::Dig));
    harness.get_by_label("Crew reads");
    push(&mut harness, "Español");
    harness.state_mut().view.all_the_same = true;
    harness.state_mut().view.signature =
        plan::Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "mended".into() };
    let path = folder.path().join("out");
    ask(&mut harness, Wish::FreePath(Purpose::HandOver, path.clone()));
    let page = std::fs::read_to_string(path.join("field-page.html")).unwrap();
    assert!(page.contains("<html lang=\"es\">"));
}
