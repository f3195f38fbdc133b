//! The dossier: what lies in the ground, for whoever digs there when nobody is left who saw it. Pages like the sheets', but a
//! record and nothing to dig by.

use measure::Point;
use plan::{Evidence, LineKind, OldTile};
use record::{Care, Corner, Entry, Place};

use crate::book::{Book, Making, Work};
use crate::flow::{Column, Flow};
use crate::page::{Align, Item, Page, dot};
use crate::picture::Picture;

/// What stands on every page and in every note of a dossier.
pub const NOT_TO_DIG_BY: &str = "A record of what was planned, laid and found, not sheets to dig by: have every buried line \
located first, and dig the pipe free by hand";

/// A photo of the record.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoRow {
    /// Its file in the dossier.
    pub file: String,
    /// Whether it is there as it was taken: "as it was taken", "MISSING", "ALTERED since".
    pub state: String,
    /// Where it was taken and which way it looks, in words.
    pub place: String,
    /// Day and time.
    pub at: String,
    /// What it shows.
    pub caption: String,
    /// The photo itself, where it can be put on paper.
    pub picture: Option<Picture>,
}

/// What a dossier tells beside the plan.
pub struct Dossier<'a> {
    /// Every place of the lines, with longitude and latitude where the plane has a name.
    pub places: &'a [(Place, Option<(f64, f64)>)],
    /// Corners of the field, with longitude and latitude.
    pub corners: &'a [(Corner, Option<(f64, f64)>)],
    /// The record as one list.
    pub entries: &'a [Entry],
    /// The yearly care list.
    pub care: &'a [Care],
    /// Photos.
    pub photos: &'a [PhotoRow],
    /// What longitudes and latitudes are, in words.
    pub degrees: &'a str,
    /// Every other file of the folder, with what it is for.
    pub files: &'a [(String, String)],
}

/// Type of the tables, points.
const TABLE_PT: f64 = 7.5;

/// Every page of a dossier.
pub fn dossier(work: &Work, told: &Dossier) -> Book {
    let making = Making::new(work);
    let mut pages = making.about(told);
    let corners: Vec<Corner> = told.corners.iter().map(|(corner, _)| *corner).collect();
    pages.push(making.plan_sheet_with(|making, map| making.lettered(map, &corners)));
    pages.extend(making.profiles());
    pages.extend(making.all_places(told));
    pages.extend(making.record(told));
    pages.extend(making.care(told));
    pages.extend(making.trellis());
    pages.extend(making.cautions(Flow::new(&making, work.paper.standing_mm(), "Cautions")));
    making.bound(pages)
}

impl Making<'_> {
    /// The first page: what this is, in what terms, whose names, how a place is found again, what each file is for.
    fn about(&self, told: &Dossier) -> Vec<Page> {
        let mut flow = Flow::new(self, self.work.paper.standing_mm(), "What lies here");
        flow.paragraph(&format!("{}.", NOT_TO_DIG_BY), 11.0, true);
        flow.paragraph(&self.summary(), 10.0, false);
        flow.heading("Names and days");
        self.names().iter().for_each(|words| flow.paragraph(words, 9.5, false));
        flow.heading("Levels and coordinates");
        flow.paragraph(
            &format!("{}. {}.", self.work.reference.coordinates(), self.work.reference.levels()),
            9.5,
            false,
        );
        if !told.degrees.is_empty() {
            flow.paragraph(&format!("{}.", told.degrees), 9.5, false);
        }
        self.benchmarks(&mut flow);
        self.corner_table(&mut flow, told);
        self.open_here(&mut flow);
        flow.heading("What each file of this folder is for");
        let rows: Vec<Vec<String>> = told.files.iter().map(|(name, what)| vec![name.clone(), what.clone()]).collect();
        flow.table(&[("File", 0.35, Align::Left), ("What it is for", 0.65, Align::Left)], &rows, 8.5);
        flow.finish()
    }

    fn summary(&self) -> String {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let (old, new): (Vec<&plan::Line>, Vec<&plan::Line>) =
            plan.lines.values().partition(|line| line.kind.is_old());
        let length_m: f64 = new.iter().map(|line| line.length_m()).sum();
        let field = plan.field.as_ref().map(|field| format!("; the field is {}", units.area(field.area_m2())));
        format!(
            "{}: {} of new pipe, {} together, {} of old tile, {}{}. Water runs in each line from its upper end to station 0+00, \
             its lower end.",
            plan.title.name,
            measure::how_many(new.len(), "line"),
            units.length(length_m),
            measure::how_many(old.len(), "line"),
            measure::how_many(plan.outlets.len(), "outlet"),
            field.unwrap_or_default()
        )
    }

    /// Who issued, finished and signed, and when.
    fn names(&self) -> Vec<String> {
        let plan = self.work.plan;
        let day = |day: &Option<String>| day.clone().unwrap_or("not stated".into());
        let mut words =
            vec![format!("As of {}. Digging finished: {}.", day(&plan.title.as_of), day(&plan.record.finished))];
        words.extend(plan.revisions.iter().map(|revision| {
            let signed = &revision.signed;
            format!(
                "Sheets, revision {}: issued by {}, {}: {}.",
                revision.letter, signed.by, signed.on, signed.because
            )
        }));
        words.push(match &plan.record.signed {
            Some(signed) => format!("Record signed by {}, {}: {}.", signed.by, signed.on, signed.because),
            None => "The record is not signed.".into(),
        });
        words.extend(plan.record.broken_link().map(|k| {
            format!("ENTRY {} OF THE LOG IS NOT WHAT WAS SIGNED: do not rely on what came after it.", k + 1)
        }));
        words
    }

    fn benchmarks(&self, flow: &mut Flow) {
        let (across, up) = (self.work.reference.across, self.work.reference.up);
        let row = |mark: &plan::Benchmark| {
            let datum = if mark.datum.is_empty() { &self.work.reference.datum } else { &mark.datum };
            let place = [mark.at.x, mark.at.y].map(|m| across.figure(m, 2));
            let [easting, northing] = place;
            vec![
                mark.name.clone(),
                format!("{} {}", up.figure(mark.level_m, 3), up.sign()),
                datum.clone(),
                easting,
                northing,
            ]
        };
        let rows: Vec<Vec<String>> = self.work.plan.survey.benchmarks.iter().map(row).collect();
        if rows.is_empty() {
            flow.paragraph(
                "No benchmark was entered: levels can only be had again from a pipe that is found.",
                9.5,
                true,
            );
            return;
        }
        let columns = [
            ("Benchmark", 0.36, Align::Left),
            ("Level", 0.16, Align::Right),
            ("Counts from", 0.20, Align::Left),
            ("Easting", 0.14, Align::Right),
            ("Northing", 0.14, Align::Right),
        ];
        flow.table(&columns, &rows, 8.5);
    }

    /// The corners from which places are taped, and how that is done.
    fn corner_table(&self, flow: &mut Flow, told: &Dossier) {
        flow.heading("How a place is found again with a tape");
        if told.corners.len() < 2 {
            flow.paragraph("No field is drawn: places are told by coordinates alone.", 9.5, false);
            return;
        }
        flow.paragraph(
            "Each place is told as so far from two corners of the field, lettered on the map. Hold one tape at each corner, \
             level, and bring the two lengths together, on the side that is told: left and right are those of who stands at \
             the first corner and looks at the second.",
            9.5,
            false,
        );
        let row = |(corner, degrees): &(Corner, Option<(f64, f64)>)| {
            let [easting, northing] = self.coordinates(corner.at);
            vec![format!("Corner {}", corner.letter), easting, northing, in_degrees(*degrees)]
        };
        let columns = [
            ("", 0.2, Align::Left),
            ("Easting", 0.2, Align::Right),
            ("Northing", 0.2, Align::Right),
            ("Latitude, longitude", 0.4, Align::Right),
        ];
        flow.table(&columns, &told.corners.iter().map(row).collect::<Vec<_>>(), 8.5);
    }

    fn coordinates(&self, at: Point) -> [String; 2] {
        [at.x, at.y].map(|m| self.work.reference.across.figure(m, 2))
    }

    /// What was open when the dossier was written.
    fn open_here(&self, flow: &mut Flow) {
        let open: Vec<_> = self.listed.iter().filter(|listed| listed.holds_back() || listed.no_dig).collect();
        if open.is_empty() {
            return;
        }
        flow.heading("Still open when this was written");
        let across = self.work.reference.across;
        for listed in open {
            let (how, place) = (listed.severity_words(), listed.place(self.work.plan, across));
            flow.paragraph(&format!("{}  {how}, {place}: {}", listed.number, listed.what_to_do()), 9.0, false);
        }
    }

    /// Letters of the corners on the map.
    fn lettered(&self, map: &crate::plan_sheet::Map, corners: &[Corner]) -> Vec<Item> {
        let sign = |corner: &Corner| {
            let (x, y) = map.place(corner.at);
            let letter = crate::page::text_item((x, y + 1.2), 8.0, true, Align::Middle, corner.letter.to_string());
            [dot((x, y), 2.2, 255), letter]
        };
        corners.iter().flat_map(sign).collect()
    }

    /// Every place, line by line.
    fn all_places(&self, told: &Dossier) -> Vec<Page> {
        let units = self.work.plan.title.units;
        let mut flow = Flow::new(self, self.work.paper.lying_mm(), "Every place");
        let up = self.work.reference.up;
        let level = |level_m: Option<f64>| level_m.map_or("–".into(), |level_m| up.figure(level_m, 2));
        let row = |(place, degrees): &(Place, Option<(f64, f64)>)| {
            let [easting, northing] = self.coordinates(place.at);
            vec![
                place.station_m.map(|m| self.station(m)).unwrap_or_default(),
                place.what.clone(),
                place.size_m.map(|size_m| units.pipe(size_m)).unwrap_or_default(),
                level(place.ground_m),
                level(place.invert_m),
                level(place.dug_m),
                easting,
                northing,
                in_degrees(*degrees),
                place.tie.as_ref().map(|tie| tie.words(units)).unwrap_or_default(),
            ]
        };
        let columns: [Column; 10] = [
            ("Station", 0.06, Align::Left),
            ("What is there", 0.18, Align::Left),
            ("Size", 0.05, Align::Right),
            ("Ground", 0.065, Align::Right),
            ("Invert, plan", 0.075, Align::Right),
            ("As dug", 0.065, Align::Right),
            ("Easting", 0.085, Align::Right),
            ("Northing", 0.09, Align::Right),
            ("Latitude, longitude", 0.13, Align::Right),
            ("From two corners", 0.20, Align::Left),
        ];
        for of_line in told.places.chunk_by(|a, b| a.0.line == b.0.line && a.0.name == b.0.name) {
            flow.heading(&self.line_words(&of_line[0].0));
            flow.table(&columns, &of_line.iter().map(row).collect::<Vec<_>>(), TABLE_PT);
        }
        flow.finish()
    }

    /// What a line is, with how sure it is where it is old tile.
    fn line_words(&self, place: &Place) -> String {
        let line = place.line.and_then(|id| self.work.plan.lines.get(&id));
        match line.map(|line| (line, line.kind)) {
            Some((line, LineKind::OldTile(old))) => {
                format!("{}, old tile, {}", line.name, old_words(&old, self.work.plan))
            }
            Some((line, kind)) => {
                format!("{}, {}, {}", line.name, kind.word(), self.work.plan.title.units.length(line.length_m()))
            }
            None => format!("Outlet {}", place.name),
        }
    }

    /// Found tile, shots, notes and the log, and the photos.
    fn record(&self, told: &Dossier) -> Vec<Page> {
        let mut flow = Flow::new(self, self.work.paper.lying_mm(), "The record");
        flow.heading("What was shot, found and noted");
        if told.entries.is_empty() {
            flow.paragraph(
                "Nothing was entered: the lines are told as they were planned, not as they were dug.",
                9.5,
                true,
            );
        }
        let columns: [Column; 8] = [
            ("Day", 0.11, Align::Left),
            ("By", 0.10, Align::Left),
            ("", 0.07, Align::Left),
            ("Line", 0.09, Align::Left),
            ("Level", 0.07, Align::Right),
            ("Easting", 0.09, Align::Right),
            ("Northing", 0.10, Align::Right),
            ("What it says", 0.37, Align::Left),
        ];
        flow.table(&columns, &told.entries.iter().map(|entry| self.entry_row(entry)).collect::<Vec<_>>(), TABLE_PT);
        self.log(&mut flow);
        self.photos(&mut flow, told.photos);
        flow.finish()
    }

    fn entry_row(&self, entry: &Entry) -> Vec<String> {
        let [easting, northing] = entry.at.map(|at| self.coordinates(at)).unwrap_or_default();
        let on = entry.on.as_ref().map(|(line, m)| format!("{line} {}", self.station(*m)));
        let struck = entry.struck.as_ref().map(|s| format!(" STRUCK by {}, {}: {}", s.by, s.on, s.because));
        let revision = &entry.taken.revision;
        let sheets = if revision.is_empty() { String::new() } else { format!(" (sheets {revision})") };
        vec![
            entry.taken.at.replace('T', " "),
            entry.taken.by.clone(),
            entry.kind.into(),
            on.unwrap_or_default(),
            entry.level_m.map(|m| self.work.reference.up.figure(m, 2)).unwrap_or_default(),
            easting,
            northing,
            format!("{}{sheets}{}", entry.says, struck.unwrap_or_default()),
        ]
    }

    /// What was added after the record was signed.
    fn log(&self, flow: &mut Flow) {
        let log = &self.work.plan.record.log;
        if log.is_empty() {
            return;
        }
        flow.heading("Added since the record was signed, each entry chained to the one before it");
        let row = |entry: &plan::LogEntry| {
            let signed = &entry.signed;
            let chain: String = entry.chain.chars().take(16).collect();
            vec![signed.on.clone(), signed.by.clone(), entry.says.clone(), signed.because.clone(), chain]
        };
        let columns = [
            ("Day", 0.12, Align::Left),
            ("By", 0.15, Align::Left),
            ("What", 0.30, Align::Left),
            ("Why", 0.28, Align::Left),
            ("Chain begins", 0.15, Align::Left),
        ];
        flow.table(&columns, &log.iter().map(row).collect::<Vec<_>>(), TABLE_PT);
    }

    fn photos(&self, flow: &mut Flow, photos: &[PhotoRow]) {
        flow.heading("Photos");
        if photos.is_empty() {
            flow.paragraph("None were entered.", 9.5, false);
            return;
        }
        let row = |photo: &PhotoRow| {
            let taken = photo.at.replace('T', " ");
            vec![photo.file.clone(), photo.state.clone(), taken, photo.place.clone(), photo.caption.clone()]
        };
        let columns = [
            ("File", 0.24, Align::Left),
            ("", 0.14, Align::Left),
            ("Taken", 0.12, Align::Left),
            ("Where", 0.24, Align::Left),
            ("What it shows", 0.26, Align::Left),
        ];
        flow.table(&columns, &photos.iter().map(row).collect::<Vec<_>>(), TABLE_PT);
        if photos.iter().any(|photo| photo.picture.is_none()) {
            let words = "Photos that are not shown here are missing, of a form that paper does not take, or too large for it: \
                         those that are there lie in the folder.";
            flow.paragraph(words, 9.5, false);
        }
        for photo in photos {
            let words = row(photo).into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>();
            photo.picture.iter().for_each(|picture| flow.picture(picture, &words));
        }
    }

    /// The yearly care list.
    fn care(&self, told: &Dossier) -> Vec<Page> {
        let units = self.work.plan.title.units;
        let mut flow = Flow::new(self, self.work.paper.lying_mm(), "Yearly care");
        flow.paragraph(
            "Walk the list once a year at high flow and after storms; note what was seen and done, with day and name.",
            9.5,
            false,
        );
        let row = |care: &Care| {
            let [easting, northing] = self.coordinates(care.at);
            let place = match care.station.is_empty() {
                true => care.what.clone(),
                false => format!("{} ({})", care.what, care.station),
            };
            let tie = care.tie.as_ref().map(|tie| tie.words(units)).unwrap_or_default();
            let task = format!("{} ({})", care.task, plan::in_words(care.source));
            vec!["☐".into(), place, easting, northing, tie, task, care.told.join("\u{2003}·\u{2003}")]
        };
        let columns: [Column; 7] = [
            ("", 0.03, Align::Left),
            ("What", 0.15, Align::Left),
            ("Easting", 0.09, Align::Right),
            ("Northing", 0.10, Align::Right),
            ("From two corners", 0.18, Align::Left),
            ("What to do", 0.23, Align::Left),
            ("What was seen, latest first", 0.22, Align::Left),
        ];
        flow.table(&columns, &told.care.iter().map(row).collect::<Vec<_>>(), TABLE_PT);
        let sources: String = told.care.iter().map(|care| care.source).collect();
        plan::written_out(&sources).lines().for_each(|line| flow.paragraph(line, 7.5, false));
        flow.finish()
    }
}

/// Latitude and longitude to 0.1 m.
fn in_degrees(degrees: Option<(f64, f64)>) -> String {
    degrees.map(|(lon, lat)| format!("{lat:.6}, {lon:.6}")).unwrap_or_default()
}

/// How sure an old line is, by what, and in what state it is.
fn old_words(old: &OldTile, plan: &plan::Plan) -> String {
    let sure = match old.evidence {
        Evidence::Suspected => "suspected",
        Evidence::Seen => "seen",
        Evidence::Proved => "proved",
    };
    let clues: Vec<&str> = old.clues.words().collect();
    let by = if clues.is_empty() { String::new() } else { format!(" by {}", clues.join(", ")) };
    let aside = old.aside_m.map(|aside_m| format!(", within {} to each side", plan.title.units.length(aside_m)));
    let trusted = old.confidence.map(|confidence| match confidence {
        plan::Confidence::Low => ", may be there",
        plan::Confidence::Fair => ", is probably there",
        plan::Confidence::High => ", is there",
    });
    let decided = old.decision.map(|decision| format!(", decided: {}", decision.word()));
    format!("{sure}{by}{}{}{}", aside.unwrap_or_default(), trusted.unwrap_or_default(), decided.unwrap_or_default())
}
