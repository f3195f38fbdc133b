//! What leaves the program: stakes for surveyors, tables, the PDF, and the folder that holds them all.

use std::collections::BTreeSet;
use std::path::Path;

use exchange::{Csv, FileError, Network, OnLand, StakeLine, StakeNotice, StakePoint, Stakes, SurfaceOut, csv_text};
use measure::Point;
use plan::{Edit, Goods, LineId, LineKind, Measure, Plan, Reference, Signature};
use sheets::{Book, Degrees, Edition, HeldBack, Listed, Paper, PdfError, Tongue, Work};
use takeoff::{Deep, SetUp};
use terrain::Ground;

use crate::{Worked, bidding, compare, files, ground, parcel};

/// Points of the ground in an exported surface, at most (own choice; a surface for looking, not for setting out).
const MOST_SURFACE: f64 = 5_000.0;

/// What is wanted of the paper.
#[derive(Debug, Clone, Default)]
pub struct PaperWish {
    /// Its size.
    pub paper: Paper,
    /// Set-ups of the laser, where one is used.
    pub set_ups: Vec<SetUp>,
    /// Who sends the sheets out though findings are to be fixed, and why.
    pub all_the_same: Option<Signature>,
    /// In what language cut sheets and field page speak.
    pub tongue: Tongue,
}

/// The sheets of a plan as PDF, and which they are. `told` hears each page and may stop.
pub fn pdf(
    derived: &Worked,
    wish: &PaperWish,
    told: &dyn Fn(usize, usize) -> bool,
) -> Result<(Vec<u8>, Edition), PdfError> {
    let book = book(derived, wish);
    let count = book.pages.len();
    Ok((sheets::pdf(&book, &|page| told(page, count))?, book.edition))
}

/// The sheets of a plan as pages: what is looked at before it is printed is what is printed.
pub fn book(derived: &Worked, wish: &PaperWish) -> Book {
    let contours = derived.land.contours(None, derived.plan.title.units.length_unit(), ground::threads());
    let reference = exchange::reference(&derived.plan);
    let contours = contours.as_ref().map_or(&[][..], |contours| &contours.lines);
    sheets::book_beside(&Work { contours, ..work(derived, wish, &reference) }, &compare::columns(derived))
}

/// What sheets and field page are made from, without contours.
pub(crate) fn work<'a>(derived: &'a Worked, wish: &'a PaperWish, reference: &'a Reference) -> Work<'a> {
    Work {
        plan: &derived.plan,
        design: &derived.design,
        findings: derived.tried(),
        contours: &[],
        paper: wish.paper,
        reference,
        set_ups: &wish.set_ups,
        all_the_same: wish.all_the_same.as_ref(),
        tongue: wish.tongue,
    }
}

/// The field page of a plan.
pub fn field_page(derived: &Worked, wish: &PaperWish) -> String {
    let reference = exchange::reference(&derived.plan);
    sheets::field_page(&work(derived, wish, &reference), degrees_near(&derived.plan))
}

/// The field page as a file of a folder.
pub(crate) fn field_page_file(derived: &Worked, wish: &PaperWish) -> Handed {
    let what = "the cut sheets for a phone in the trench, no network needed: copy it to the phone and open it there; what is \
                entered is handed back as one file";
    Handed { name: "field-page.html".into(), what, bytes: field_page(derived, wish).into() }
}

/// How places near the plan's first corner are brought to degrees; `None` where its ground names no system.
fn degrees_near(plan: &Plan) -> Option<Degrees> {
    /// Far enough that degrees tell the difference, metres.
    const STEP_M: f64 = 100.0;
    let crs = ground::plane(plan);
    let field = plan.field.iter().flat_map(|field| field.ring.iter());
    let at = *field.chain(plan.lines.values().flat_map(|line| line.points.iter())).next()?;
    let degrees = |east_m: f64, north_m: f64| crs.to_lon_lat(Point::new(at.x + east_m, at.y + north_m)).ok();
    let (here, east, north) = (degrees(0.0, 0.0)?, degrees(STEP_M, 0.0)?, degrees(0.0, STEP_M)?);
    let plane = |here: f64, east: f64, north: f64| [here, (east - here) / STEP_M, (north - here) / STEP_M];
    Some(Degrees { at, lon: plane(here.0, east.0, north.0), lat: plane(here.1, east.1, north.1) })
}

/// Refuses what leaves the program while a finding is to be fixed, unless somebody answers for it: in the issue that is in
/// force, or with the wish.
pub fn may_leave(derived: &Worked, wish: &PaperWish) -> Result<(), HeldBack> {
    let held_back = derived.held_back();
    let answered = wish.all_the_same.is_some()
        || held_back.is_empty()
        || sheets::edition(&derived.plan, &derived.told_with(&wish.set_ups)).in_force;
    if answered { Ok(()) } else { Err(HeldBack(held_back)) }
}

/// Refuses sheets and files while ground or levels that the plan names were not read, unless somebody answers for it as
/// above, or has accepted that finding by name.
pub fn may_tell(derived: &Worked, wish: &PaperWish) -> Result<(), HeldBack> {
    match derived.findings.iter().any(|finding| finding.tells_lesser_ground() && finding.blocks()) {
        true => may_leave(derived, wish),
        false => Ok(()),
    }
}

/// Why sheets are not issued.
#[derive(Debug, thiserror::Error)]
pub enum NotIssued {
    /// A finding is to be fixed, and nobody answers for issuing all the same.
    #[error("{0}")]
    HeldBack(#[from] HeldBack),
    /// The day lies before that of the last issue.
    #[error("day of issue: found {found}, expected {expected} or later, the day of revision {letter}")]
    Earlier {
        /// The day given.
        found: String,
        /// The day of the last issue.
        expected: String,
        /// Its letter.
        letter: String,
    },
}

/// The edit that issues the sheets, held against what is open.
pub fn issue(derived: &Worked, wish: &PaperWish, signed: &Signature) -> Result<Edit, NotIssued> {
    if let Some(last) = derived.plan.revisions.last().filter(|last| last.signed.on > signed.on) {
        let (expected, letter) = (last.signed.on.clone(), last.letter.clone());
        return Err(NotIssued::Earlier { found: signed.on.clone(), expected, letter });
    }
    let told = derived.told_with(&wish.set_ups);
    let reference = exchange::reference(&derived.plan);
    let all_the_same = wish.all_the_same.is_some();
    let edit =
        sheets::issue(&derived.plan, &derived.design, derived.known(), &reference, (told, signed), all_the_same);
    Ok(edit?)
}

/// Every stretch that nobody digs, in a line each.
pub fn no_dig_lines(derived: &Worked) -> Vec<String> {
    let no_dig = listed(derived).into_iter().filter(|listed| listed.no_dig);
    let across = exchange::reference(&derived.plan).across;
    no_dig.map(|l| format!("DO NOT DIG {}: {}", l.place(&derived.plan, across), l.finding.title)).collect()
}

/// The findings as they are numbered, with what clears them where that was tried.
fn listed(derived: &Worked) -> Vec<Listed<'_>> {
    sheets::listed(&derived.plan, &derived.design, derived.known())
}

/// Findings on stretches of the lines, as files have them.
pub fn notices(derived: &Worked) -> Vec<StakeNotice> {
    let plan = &derived.plan;
    let of = |listed: &Listed| {
        let on_line = |(id, stretches): (&LineId, &Vec<(f64, f64)>)| {
            let Some(line) = plan.lines.get(id) else { return Vec::new() };
            let whole = [(0.0, line.length_m())];
            let stretches = if stretches.is_empty() { &whole[..] } else { stretches };
            let notice = |stretch: &(f64, f64)| notice(plan, listed, line, *stretch);
            stretches.iter().map(notice).collect::<Vec<_>>()
        };
        listed.on.iter().flat_map(on_line).collect::<Vec<_>>()
    };
    listed(derived).iter().flat_map(of).collect()
}

fn notice(plan: &Plan, listed: &Listed, line: &plan::Line, (from_m, to_m): (f64, f64)) -> StakeNotice {
    let [from, to] = [from_m, to_m].map(|station_m| measure::station(station_m, plan.title.units));
    StakeNotice {
        line: line.name.clone(),
        number: listed.number,
        severity: listed.severity_words().into(),
        place: if from == to { from } else { format!("{from} to {to}") },
        words: listed.what_to_do(),
        stretch_m: (from_m, to_m),
        course: measure::part_of(&line.points, from_m, to_m),
        no_dig: listed.no_dig,
    }
}

/// What stands on no line's sheet, in words.
fn whole_job(derived: &Worked) -> Vec<String> {
    let alone = listed(derived).into_iter().filter(|listed| listed.on.is_empty());
    alone.map(|l| format!("{}  {}: {}", l.number, l.severity_words(), l.what_to_do())).collect()
}

/// Which sheets these are, with what they lack where they were not worked out on the ground that the plan names.
fn edition(derived: &Worked) -> String {
    let title = sheets::edition_without_rods(&derived.plan, derived.told()).title;
    let lacking = derived.findings.iter().filter(|finding| finding.tells_lesser_ground());
    std::iter::once(title).chain(lacking.map(|finding| finding.title.clone())).collect::<Vec<_>>().join("; ")
}

/// Everything that is staked, with who answers for it though something is to be fixed.
pub fn stakes_signed(derived: &Worked, signed: Option<&Signature>) -> Stakes {
    let stakes = stakes(derived);
    match signed {
        Some(Signature { by, on, because }) => Stakes {
            edition: format!("{}; handed over all the same by {by}, {on}: {because}", stakes.edition),
            ..stakes
        },
        None => stakes,
    }
}

/// Everything that is staked.
pub fn stakes(derived: &Worked) -> Stakes {
    derived.tried();
    let plan = &derived.plan;
    let listed = listed(derived);
    let sheet = |id: &LineId| sheets::cut_sheet(plan, &derived.design, &listed, *id, &[]);
    let sheets = plan.lines.keys().filter_map(sheet);
    let points = sheets.flat_map(|sheet| {
        let of_row = |row: &takeoff::Row| StakePoint {
            line: sheet.name.clone(),
            station: measure::station(row.station_m, plan.title.units),
            station_m: row.station_m,
            at: row.at,
            ground_m: row.ground_m,
            invert_m: row.invert_m,
            hub: match row.stake {
                Some(takeoff::Stake::Hub(hub)) => Some((hub.level_m, hub.left_m)),
                _ => None,
            },
            cut_m: row.cut_m,
            to_trench_bottom_m: row.to_trench_bottom_m,
            grade: row.grade,
            remark: remark(row),
            no_dig: row.no_dig || row.seen.iter().any(|seen| seen.weight == takeoff::Weight::NoDig),
            open: open_words(row, &listed),
        };
        sheet.rows.iter().map(of_row).collect::<Vec<_>>()
    });
    Stakes {
        job: plan.title.name.clone(),
        as_of: plan.title.as_of.clone(),
        edition: edition(derived),
        reference: exchange::reference(plan),
        crs: ground::plane(plan),
        lines: plan.lines.keys().filter_map(|id| stake_line(derived, *id)).collect(),
        points: points.collect(),
        notices: notices(derived),
        whole_job: whole_job(derived),
        benchmarks: plan.survey.benchmarks.clone(),
        surface: derived.land.ground.as_deref().map(|ground| surface(plan, ground)).unwrap_or_default(),
        land: on_land(derived),
        network: Network::of(plan, &derived.design),
    }
}

/// What lies on the land beside lines and stakes.
fn on_land(derived: &Worked) -> OnLand {
    let contours = derived.land.contours(None, derived.plan.title.units.length_unit(), ground::threads());
    let contours = contours.as_ref().map_or(&[][..], |contours| &contours.lines);
    OnLand::of(&derived.plan, &derived.design, contours)
}

fn remark(row: &takeoff::Row) -> String {
    let ahead = row.ahead.iter().map(|ahead| format!("AHEAD {}", ahead.words));
    row.here.iter().cloned().chain(ahead).collect::<Vec<_>>().join("; ")
}

/// What is open from a row on: number, how heavy, and what.
fn open_words(row: &takeoff::Row, listed: &[Listed]) -> String {
    let words = |seen: &takeoff::Seen| {
        let found = listed.iter().find(|listed| listed.number == seen.number)?;
        Some(format!("{} {}: {}", seen.number, found.severity_words(), found.finding.title))
    };
    let mut told: Vec<String> = row.seen.iter().filter_map(words).collect();
    // Two stretches of one finding may touch a row.
    told.dedup();
    told.join("; ")
}

/// A line with its bends, and with its changes of grade between them.
fn stake_line(derived: &Worked, id: LineId) -> Option<StakeLine> {
    let (line, worked) = (derived.plan.lines.get(&id)?, derived.design.lines.get(&id)?);
    let last = worked.stations.len().saturating_sub(1);
    let breaks: BTreeSet<usize> = worked.breaks().map(|change| change.index).collect();
    // Where no level is known there is no grade either, and every station is kept.
    let is_end = |i: usize| i == 0 || worked.grade(i - 1).is_none() || worked.grade(i).is_none();
    let is_reducer = |i: usize| worked.stations[i].step_m != 0.0;
    let is_kept = |i: &usize| worked.stations[*i].mark.bend || is_end(*i) || is_reducer(*i) || breaks.contains(i);
    let kept: Vec<usize> = (0..=last).filter(is_kept).collect();
    // A profile has one level at a station: beyond a reducer the next stands a millimetre on.
    let profile = kept.iter().flat_map(|i| {
        let station = worked.stations[*i];
        let above = station.invert_above_m().filter(|_| station.step_m != 0.0);
        let above = above.map(|level_m| (station.station_m + 1e-3, level_m));
        station.invert_m.map(|level_m| (station.station_m, level_m)).into_iter().chain(above)
    });
    Some(StakeLine {
        name: line.name.clone(),
        kind: match line.kind {
            LineKind::OldTile(_) => "old tile".into(),
            kind => kind.word().into(),
        },
        sizes: worked.laid_sizes(),
        points: kept.iter().map(|i| (worked.stations[*i].at, worked.stations[*i].invert_m)).collect(),
        profile: profile.collect(),
        ground: worked.ground.drawn().concat(),
    })
}

/// The ground under the field on an even grid.
fn surface(plan: &Plan, ground: &Ground) -> SurfaceOut {
    let field = plan.field.iter().flat_map(|field| field.ring.iter());
    let lines = plan.lines.values().flat_map(|line| line.points.iter());
    let Some((low, high)) = measure::extent(field.chain(lines).copied()) else { return SurfaceOut::default() };
    let (wide_m, tall_m) = (high.x - low.x, high.y - low.y);
    let step_m = (wide_m * tall_m / MOST_SURFACE).sqrt().max(ground.grid().cell_m().0);
    let (cols, rows) = ((wide_m / step_m) as usize + 1, (tall_m / step_m) as usize + 1);
    let place = |i: usize| {
        let at = Point::new(low.x + (i % cols) as f64 * step_m, high.y - (i / cols) as f64 * step_m);
        (at, ground.elevation(at))
    };
    SurfaceOut { cols, points: (0..cols * rows).map(place).collect() }
}

/// The material and cost list as a table.
pub fn costs_csv(derived: &Worked) -> String {
    let (plan, estimate) = (&derived.plan, derived.estimate());
    let mut csv = estimate_csv(derived);
    csv.head("item,needed,bought,unit,packs,price_each,amount,currency");
    for item in &estimate.items {
        let (measure, units) = (item.goods.measure(), plan.title.units);
        // Outlet pipe is needed by its length and bought in sticks, by which the table counts.
        let needed = if item.goods == Goods::OutletStick { item.bought } else { item.needed };
        let price = item.price.map(|price| measure::fixed(measure.price(price, units), 4));
        csv.row(&[
            csv_text(&takeoff::words(item, plan)),
            measure::fixed(measure.quantity(needed, units), 3),
            measure::fixed(item.quantity(units), 3),
            plain_sign(measure.unit(units).1),
            item.packs.map(|(count, _)| count.to_string()).unwrap_or_default(),
            price.unwrap_or_default(),
            item.amount(units).map(|amount| measure::fixed(amount, 2)).unwrap_or_default(),
            csv_text(&estimate.currency),
        ]);
    }
    let sums = [
        ("material", estimate.materials),
        ("work", estimate.work),
        ("total", estimate.total()),
        ("total with contingency", estimate.with_contingency()),
    ];
    for (name, sum) in sums {
        csv.head(&format!("{name},,,,,,{},{}", measure::fixed(sum, 2), csv_text(&estimate.currency)));
    }
    let lacks = estimate.incomplete().into_iter().chain(estimate.unfathomed(plan.title.units));
    lacks.for_each(|words| csv.remark(&words));
    csv.finish()
}

/// The head of a table of the estimate.
fn estimate_csv(derived: &Worked) -> Csv {
    let (name, source) = (&derived.plan.title.name, source(&derived.estimate().source));
    Csv::with_remarks([&format!("{name}: an estimate. Prices: {source}"), plan::CAUTION])
}

/// The costs line by line, and what the estimate holds beside the lines.
fn by_line_csv(derived: &Worked) -> String {
    let (estimate, units) = (derived.estimate(), derived.plan.title.units);
    let mut csv = estimate_csv(derived);
    let sign = units.sign();
    csv.head(&format!("line,length_{sign},pipe,fittings,machine,to_protect_{sign},protection,together,currency"));
    let length = |length_m: f64| measure::fixed(Measure::Length.quantity(length_m, units), 1);
    let money = |value: f64| measure::fixed(value, 2);
    for row in estimate.by_line(units) {
        let parts = row.parts.map_or(Default::default(), |p| {
            [
                length(p.length_m),
                money(p.pipe),
                money(p.fittings),
                money(p.machine),
                length(p.protected_m),
                money(p.protection),
            ]
        });
        let cells = [vec![csv_text(&row.name)], parts.to_vec(), vec![money(row.total), csv_text(&estimate.currency)]];
        csv.row(&cells.concat());
    }
    csv.finish()
}

fn source(source: &str) -> String {
    if source.trim().is_empty() { "not stated".into() } else { source.replace('\n', " ") }
}

/// A unit's sign in plain letters, as a table for other programs has it.
fn plain_sign(sign: &str) -> String {
    sign.replace('³', "3")
}

/// A table that says at its head which job it is of, and in what terms places and levels are.
pub(crate) fn table_of(stakes: &Stakes) -> Csv {
    Csv::with_remarks(stakes.head())
}

/// Which roll or stick goes where, as a table.
fn cutting_csv(derived: &Worked, stakes: &Stakes) -> String {
    let plan = &derived.plan;
    let units = plan.title.units;
    let sign = units.sign();
    let mut csv = table_of(stakes);
    csv.head(&format!("pipe,cut_from,number,line,starts_at,length_{sign},splice_at_start"));
    for cutting in &derived.estimate().cutting {
        let pipe = format!("{} {}", cutting.pipe.goods.word(), units.pipe(cutting.pipe.size_m));
        for cut in &cutting.plan.cuts {
            let piece = &cutting.pipe.pieces[cut.piece];
            let line = plan.lines.get(&piece.line).map_or("", |line| line.name.as_str());
            let starts = measure::station(piece.from_m + cut.from_m, units);
            let splice = if cut.from_m > 0.0 { "yes" } else { "no" };
            csv.row(&[
                csv_text(&pipe),
                cutting.pack_word().into(),
                cut.roll.to_string(),
                csv_text(line),
                csv_text(&starts),
                units.number(cut.length_m, 2),
                splice.into(),
            ]);
        }
    }
    csv.finish()
}

/// The trench that must be protected, stretch by stretch, line by line and together, as a table.
fn protection_csv(derived: &Worked, stakes: &Stakes) -> String {
    let (plan, units) = (&derived.plan, derived.plan.title.units);
    let sign = units.sign();
    let limit = units.depth(plan.criteria.protected_trench_m);
    let mut csv = table_of(stakes);
    csv.remark(&format!("Trench {limit} or deeper: nobody enters unless it is sloped, shored or boxed"));
    csv.head(&format!("line,from,to,length_{sign},deepest_{sign}"));
    let row = |name: &str, from: &str, to: &str, length_m: f64, deepest: &str| {
        [csv_text(name), csv_text(from), csv_text(to), units.number(length_m, 2), deepest.to_string()]
    };
    // Sums are of what is printed.
    let printed_m = |length_m: f64| {
        let unit_m = units.length_unit().metres();
        measure::round_half_up(length_m / unit_m, 2) * unit_m
    };
    let mut total_m = 0.0;
    for line in derived.estimate().lines.iter().filter(|line| line.parts.protected_m > 0.0) {
        let Some(worked) = derived.design.lines.get(&line.id) else { continue };
        let mut line_m = 0.0;
        for part in Deep::of(worked, &plan.criteria).protected {
            line_m += printed_m(part.length_m());
            let [from, to] = [part.from_m, part.to_m].map(|station_m| measure::station(station_m, units));
            csv.row(&row(&line.name, &from, &to, part.length_m(), &units.number(part.worst, 2)));
        }
        csv.row(&row(&line.name, "all of it", "", line_m, ""));
        total_m += line_m;
    }
    csv.row(&row("together", "", "", total_m, ""));
    csv.finish()
}

/// The punch list as a table, what was accepted by name too.
fn findings_csv(derived: &Worked, stakes: &Stakes) -> String {
    let plan = &derived.plan;
    let across = stakes.reference.across;
    let mut csv = table_of(stakes);
    csv.head(&format!(
        "number,severity,do_not_dig,check,short_name,line,station,place,easting_{0},northing_{0},finding,accepted_by,accepted_on,\
         accepted_because",
        across.sign()
    ));
    for listed in listed(derived) {
        let finding = listed.finding;
        let line = finding.line.and_then(|id| plan.lines.get(&id)).map_or("", |line| line.name.as_str());
        let station = finding.from_m.map(|m| measure::station(m, plan.title.units)).unwrap_or_default();
        let accepted = finding.accepted.as_ref().map(|acceptance| acceptance.signed.clone()).unwrap_or_default();
        csv.row(&[
            listed.number.to_string(),
            finding.severity.word().to_string(),
            if listed.no_dig { "yes".into() } else { "no".into() },
            finding.check.to_string(),
            finding.slug.to_string(),
            csv_text(line),
            csv_text(&station),
            csv_text(&listed.named_place(plan).unwrap_or_default()),
            across.figure(finding.at.x, 2),
            across.figure(finding.at.y, 2),
            csv_text(&finding.text()),
            csv_text(&accepted.by),
            csv_text(&accepted.on),
            csv_text(&accepted.because),
        ]);
    }
    csv.finish()
}

/// A file of the folder: its name, what it is for, what it holds.
pub struct Handed {
    /// Its name.
    pub name: String,
    /// What it is, for the note.
    pub what: &'static str,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// Why there is no folder.
#[derive(Debug, thiserror::Error)]
pub enum HandingError {
    /// A file could not be made or written.
    #[error("{0}")]
    File(#[from] FileError),
    /// No PDF could be made.
    #[error("{0}")]
    Pdf(#[from] PdfError),
    /// A finding is to be fixed, and nobody answers for handing over all the same.
    #[error("{0}")]
    HeldBack(#[from] HeldBack),
}

/// Every file of the folder that is handed over, the note that explains them last; refused while something is to be fixed
/// that nobody answers for. `home` is where the plan file lies, from which the paths of its ground count.
pub fn folder(
    derived: &Worked,
    home: Option<&Path>,
    wish: &PaperWish,
    told: &dyn Fn(usize, usize) -> bool,
) -> Result<Vec<Handed>, HandingError> {
    // Whatever leaves tells what clears each finding, and all of it the same.
    derived.tried();
    may_leave(derived, wish)?;
    let stakes = stakes(derived);
    let (pdf, edition) = pdf(derived, wish, told)?;
    let mut handed = vec![Handed {
        name: "sheets.pdf".into(),
        what: "what to know before digging, plan sheet, profiles, cut sheets, lists, findings, cautions: print this one",
        bytes: pdf,
    }];
    handed.push(field_page_file(derived, wish));
    handed.extend(bidding::files(derived, wish)?);
    handed.extend(open_files(derived, &stakes)?);
    handed.extend(plan_and_ground(derived.plan.clone(), home)?);
    let note = note(derived, &stakes, &handed, (&edition, wish));
    seal(&mut handed, note);
    Ok(handed)
}

/// Tables and open formats of a plan, in the folder that is handed over and in the dossier alike.
pub(crate) fn open_files(derived: &Worked, stakes: &Stakes) -> Result<Vec<Handed>, FileError> {
    let mut handed: Vec<Handed> = Vec::new();
    let mut add = |name: &str, what: &'static str, bytes: Vec<u8>| {
        handed.push(Handed { name: name.into(), what, bytes });
    };
    add(
        "stakes.csv",
        "every stake with level, cut, way down to the trench bottom, where nobody digs and what is open",
        stakes.csv().into(),
    );
    add("materials-and-cost.csv", "what to order and what it costs, an estimate", costs_csv(derived).into());
    add(
        "trench-protection.csv",
        "trench that nobody enters unprotected: every stretch, every line, all of it",
        protection_csv(derived, stakes).into(),
    );
    add(
        "cost-by-line.csv",
        "what each line costs, what the estimate holds beside the lines, and how both add up to it",
        by_line_csv(derived).into(),
    );
    add("rolls.csv", "which roll or stick is cut for which line", cutting_csv(derived, stakes).into());
    add(
        "findings.csv",
        "what the checks found, and what was accepted, by whom and why",
        findings_csv(derived, stakes).into(),
    );
    if let Some(text) = crate::tables::trellis_csv(derived, stakes) {
        add(
            "trellis.csv",
            "for the trellis crew: every place where a row, post, anchor or ripper meets a pipe",
            text.into(),
        );
    }
    add(
        "prices.csv",
        "the price list, to be changed and read in again",
        exchange::price_rows_csv(&derived.plan.price_list, derived.plan.title.units).into(),
    );
    add(
        "plan.dxf",
        "lines, stakes, boundary, outlets, joints, marks on the land and contours for drawing programs, a layer for each",
        stakes.dxf().into(),
    );
    add(
        "plan.xml",
        "alignments with profiles, pipes between structures, stakes, boundary, marks and the ground's surface (LandXML 1.2)",
        stakes.landxml().into(),
    );
    add(
        "points.csv",
        "benchmarks, outlets, joints and stakes for a data collector: number, northing, easting, level, code; no head",
        stakes.point_file().into(),
    );
    add("points.txt", "what the numbers and codes of points.csv mean", stakes.point_file_words().into());
    let crs = &stakes.crs;
    if !crs.is_local() {
        add(
            "plan.geojson",
            "lines, joints, outlets, field and marks on the land in degrees (RFC 7946), levels in meters",
            exchange::plan_geojson(&derived.plan, &derived.design, &stakes.notices, crs)?.into(),
        );
        add(
            "stakes.geojson",
            "lines, stakes and marks on the land in degrees, levels in meters",
            stakes.geojson()?.into(),
        );
        add(
            "stakes.kml",
            "lines, stakes and marks on the land for a globe viewer, in degrees, without heights",
            stakes.kml()?.into(),
        );
        add(
            "stakes.gpx",
            "waypoints and routes for a hand-held receiver, in degrees, inverts in meters",
            stakes.gpx()?.into(),
        );
    }
    Ok(handed)
}

/// The plan with the ground and levels that it names, which lie in a folder beside it.
pub(crate) fn plan_and_ground(mut plan: Plan, home: Option<&Path>) -> Result<Vec<Handed>, FileError> {
    let grounds = files::gathered(&mut plan, home);
    let what = "the plan itself, to be opened and changed";
    let own = Handed { name: parcel::PLAN.into(), what, bytes: exchange::plan_text(&plan)?.into() };
    let what = "ground or levels that the plan names, as they were supplied";
    let read = grounds.into_iter().map(|(name, bytes)| Handed { name, what, bytes });
    Ok(std::iter::once(own).chain(read).collect())
}

/// Adds the note that explains every file, and the checksums of all of them.
pub(crate) fn seal(handed: &mut Vec<Handed>, note: String) {
    handed.push(Handed { name: parcel::NOTE.into(), what: "this note", bytes: note.into() });
    let sums = parcel::sums(handed);
    handed.push(Handed { name: parcel::SUMS.into(), what: "the checksum of every other file", bytes: sums.into() });
}

/// Letters of the longest name, for a list.
pub fn widest(files: &[Handed]) -> usize {
    files.iter().map(|file| file.name.chars().count()).max().unwrap_or_default()
}

/// How anybody may see whether what they hold is what was handed over.
pub(crate) const AS_HANDED_OVER: &str = "\nIs a file as it was handed over?\n\n\
A file whose SHA-256 checksum is the one above has not been changed by a single byte since this folder was written. All of\n\
them at once: \"sha256sum -c SHA256SUMS\" in this folder. Elsewhere any program that works out SHA-256 (FIPS 180-4) does.\n\
plan.drain is plain text (JSON, all in meters) and names its ground from where it lies: keep the folder together. Who goes on\n\
working copies it first: what was changed in this folder is no longer what was handed over.\n";

/// The note that explains every file.
fn note(derived: &Worked, stakes: &Stakes, files: &[Handed], (edition, wish): (&Edition, &PaperWish)) -> String {
    let estimate = derived.estimate();
    let mut text = format!("{}\n{}\n", stakes.job, edition.title);
    text.push_str(&format!("As of {}.\n", stakes.as_of.as_deref().unwrap_or("no date")));
    text.push_str(&reference_words(stakes));
    text.push_str(&format!("Punch list: {}.\n", crate::words::counted(&derived.findings)));
    let lacks = estimate.incomplete().into_iter().chain(estimate.unfathomed(derived.plan.title.units));
    let lacks: String = lacks.map(|words| format!(" {words}.")).collect();
    text.push_str(&format!(
        "New line {}, estimate: {} (prices: {}).{lacks}\n\n",
        derived.plan.title.units.length(estimate.length_m()),
        estimate.about(estimate.total()),
        source(&estimate.source)
    ));
    edition.warning.iter().for_each(|warning| text.push_str(&format!("BEFORE DIGGING: {warning}\n\n")));
    text.push_str(&open_note(derived, wish.all_the_same.as_ref()));
    text.push_str(&tongue_words(wish.tongue));
    text.push_str(&files_words(files));
    text.push_str(AS_HANDED_OVER);
    if stakes.crs.is_local() {
        text.push_str(
            "\nThe ground names no coordinate system, so there are no files in degrees (GeoJSON, KML, GPX).\n",
        );
    }
    text.push_str(&format!("\nCautions\n\n{}\n", plan::CAUTION));
    text
}

/// What of the folder is in another language than English.
fn tongue_words(tongue: Tongue) -> String {
    match tongue {
        Tongue::English => String::new(),
        tongue => format!(
            "In {}, for the crew: what to know before digging and the cut sheets in sheets.pdf, and field-page.html. All else is \
             in English.\n\n",
            tongue.english_name()
        ),
    }
}

/// Every file with what it is for, its length and its checksum.
pub(crate) fn files_words(files: &[Handed]) -> String {
    let mut text = String::from("What each file is for\n\n");
    let wide = widest(files);
    for file in files {
        let bytes = measure::thousands(file.bytes.len() as f64, 0);
        text.push_str(&format!("  {:<wide$}  {}\n", file.name, file.what));
        text.push_str(&format!("  {:<wide$}  {bytes} bytes, SHA-256 {}\n", "", parcel::checksum(&file.bytes)));
    }
    text.push_str(&format!("  {:<wide$}  this note\n", parcel::NOTE));
    text.push_str(&format!("  {:<wide$}  the checksum of every file but itself, this note's too\n", parcel::SUMS));
    text
}

/// What is open, for the note: where nobody digs and what is to be fixed first, then all the rest.
pub(crate) fn open_note(derived: &Worked, signed: Option<&Signature>) -> String {
    let (plan, across) = (&derived.plan, exchange::reference(&derived.plan).across);
    let signed = signed.filter(|_| !derived.held_back().is_empty());
    let mut text = signed.map_or(String::new(), |signed| {
        let how = "HANDED OVER ALL THE SAME though findings are to be fixed:";
        format!("{how} {}. {}, {}.\n\n", signed.because, signed.by, signed.on)
    });
    let listed = listed(derived);
    let (no_dig, others): (Vec<&Listed>, Vec<&Listed>) = listed.iter().partition(|listed| listed.no_dig);
    let (open, accepted): (Vec<&Listed>, Vec<&Listed>) =
        others.into_iter().partition(|l| l.finding.accepted.is_none());
    for (heading, list) in [("DO NOT DIG", no_dig), ("Open findings", open), ("Accepted by name", accepted)] {
        if list.is_empty() {
            continue;
        }
        text.push_str(&format!("{heading}\n\n"));
        for l in list {
            let place = l.place(plan, across);
            text.push_str(&format!("  {:>3}  {}, {place}: {}\n", l.number, l.severity_words(), l.what_to_do()));
        }
        text.push('\n');
    }
    text
}

/// In what terms places and levels are, and the benchmarks to set out from.
pub(crate) fn reference_words(stakes: &Stakes) -> String {
    let (across, up) = (stakes.reference.across, stakes.reference.up);
    let mut text = format!("{}.\n{}.\n", stakes.reference.coordinates(), stakes.reference.levels());
    if !stakes.crs.is_local() {
        text.push_str(&format!("Files in degrees: {}.\n", stakes.crs.degrees_words()));
    }
    if across != up {
        text.push_str(&format!(
            "In plan.dxf, plan.xml and points.csv heights (z) are in {}, like the coordinates; levels in texts are in {}.\n",
            across.words(),
            up.words()
        ));
    }
    for mark in &stakes.benchmarks {
        text.push_str(&format!(
            "Benchmark {}: E {}, N {} {}, level {} {}.\n",
            mark.name,
            across.figure(mark.at.x, 3),
            across.figure(mark.at.y, 3),
            across.sign(),
            up.figure(mark.level_m, 3),
            up.sign()
        ));
    }
    text
}
