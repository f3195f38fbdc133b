//! Tables of the record for whoever digs there later: every place of the lines, every entry, the yearly care, rows and posts.

use exchange::{Crs, FileError, Stakes, csv_text};
use measure::{LengthUnit, Point};
use plan::Photo;
use record::{Care, Entry, Meeting, Place, Tie};
use serde_json::{Value, json};

use crate::Worked;
use crate::handing::table_of;
use crate::photos::PhotoState;

/// In what terms a table tells places and levels.
struct Terms<'a> {
    across: LengthUnit,
    up: LengthUnit,
    crs: &'a Crs,
}

impl<'a> Terms<'a> {
    fn of(stakes: &'a Stakes) -> Self {
        Self { across: stakes.reference.across, up: stakes.reference.up, crs: &stakes.crs }
    }

    /// Head of the cells of a place.
    fn place_head(&self) -> String {
        let across = self.across.sign();
        format!("easting_{across},northing_{across},longitude_degrees,latitude_degrees")
    }

    /// Projected and geographic, to a tenth of a millimetre; empty where there is no place or the plane has no name.
    fn place(&self, at: Option<Point>) -> [String; 4] {
        let Some(at) = at else { return Default::default() };
        let [lon, lat] = match degrees(self.crs, at) {
            Some((lon, lat)) => [lon, lat].map(|angle| measure::fixed(angle, 9)),
            None => Default::default(),
        };
        [self.across.figure(at.x, 4), self.across.figure(at.y, 4), lon, lat]
    }

    fn tie_head(&self) -> String {
        let up = self.up.sign();
        format!("corner_1,from_corner_1_{up},corner_2,from_corner_2_{up},side_of_1_to_2")
    }

    fn tie(&self, tie: Option<&Tie>) -> [String; 5] {
        let Some(tie) = tie else { return Default::default() };
        let [a, b] = tie.corners.map(|corner| corner.letter.to_string());
        let [from_a, from_b] = tie.away_m.map(|away_m| self.up.figure(away_m, 2));
        [a, from_a, b, from_b, if tie.left { "left".into() } else { "right".into() }]
    }

    fn level(&self, level_m: Option<f64>) -> String {
        level_m.map(|level_m| self.up.figure(level_m, 4)).unwrap_or_default()
    }
}

/// Longitude and latitude of a place; `None` where the plane has no name.
pub(crate) fn degrees(crs: &Crs, at: Point) -> Option<(f64, f64)> {
    crs.to_lon_lat(at).ok()
}

fn table(stakes: &Stakes, head: &str, rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut csv = table_of(stakes);
    csv.remark(plan::CAUTION);
    csv.head(head);
    rows.for_each(|cells| csv.row(&cells));
    csv.finish()
}

/// Every place of the lines, and the corners of the field from which they are found again.
pub(crate) fn places_csv(derived: &Worked, stakes: &Stakes, places: &[Place]) -> String {
    let (terms, units) = (Terms::of(stakes), derived.plan.title.units);
    let up = terms.up.sign();
    let head = format!(
        "name,station,along_{up},{},ground_{up},invert_planned_{up},invert_as_dug_{up},size,what,{}",
        terms.place_head(),
        terms.tie_head()
    );
    let row = |place: &Place| {
        let station = place.station_m.map(|m| measure::station(m, units)).unwrap_or_default();
        let size = place.size_m.map(|size_m| units.pipe(size_m)).unwrap_or_default();
        let levels = [place.ground_m, place.invert_m, place.dug_m].map(|level_m| terms.level(level_m));
        let first = vec![csv_text(&place.name), csv_text(&station), terms.level(place.station_m)];
        [first, terms.place(Some(place.at)).into(), levels.into(), vec![size, csv_text(&place.what)]]
            .concat()
            .into_iter()
            .chain(terms.tie(place.tie.as_ref()))
            .collect()
    };
    let corners = derived.plan.field.as_ref().map(|field| record::corners(&field.ring)).unwrap_or_default();
    let corner = |corner: &record::Corner| {
        let first = vec![format!("corner {}", corner.letter), String::new(), String::new()];
        let last = vec![String::new(); 4].into_iter().chain(["corner of the field".into()]).chain(terms.tie(None));
        first.into_iter().chain(terms.place(Some(corner.at))).chain(last).collect()
    };
    table(stakes, &head, places.iter().map(row).chain(corners.iter().map(corner)))
}

/// Every entry of the record.
pub(crate) fn record_csv(derived: &Worked, stakes: &Stakes, entries: &[Entry]) -> String {
    let (terms, units) = (Terms::of(stakes), derived.plan.title.units);
    let head =
        format!("kind,day,by,revision,line,station,{},level_{},says,key,struck", terms.place_head(), terms.up.sign());
    let row = |entry: &Entry| {
        let (line, station) =
            entry.on.as_ref().map_or(Default::default(), |(line, m)| (line.clone(), measure::station(*m, units)));
        let struck = entry.struck.as_ref().map(|s| format!("{}, {}: {}", s.by, s.on, s.because)).unwrap_or_default();
        let taken = &entry.taken;
        let first = [entry.kind, &taken.at, &taken.by, &taken.revision, &line, &station].map(csv_text);
        let last = [terms.level(entry.level_m), csv_text(&entry.says), csv_text(&entry.key), csv_text(&struck)];
        first.into_iter().chain(terms.place(entry.at)).chain(last).collect()
    };
    table(stakes, &head, entries.iter().map(row))
}

/// The yearly care list.
pub(crate) fn care_csv(stakes: &Stakes, list: &[Care]) -> String {
    let terms = Terms::of(stakes);
    let head = format!(
        "what,station,{},level_{},{},what_to_do,source,told",
        terms.place_head(),
        terms.up.sign(),
        terms.tie_head()
    );
    let row = |care: &Care| {
        let last = [care.task, &plan::in_words(care.source), &care.told.join(" | ")].map(csv_text);
        let first = [csv_text(&care.what), csv_text(&care.station)];
        let place = first.into_iter().chain(terms.place(Some(care.at))).chain([terms.level(care.level_m)]);
        place.chain(terms.tie(care.tie.as_ref())).chain(last).collect()
    };
    table(stakes, &head, list.iter().map(row))
}

/// The photos of the record.
pub(crate) fn photos_csv(derived: &Worked, stakes: &Stakes, photos: &[(Photo, PhotoState)]) -> String {
    let terms = Terms::of(stakes);
    let head = format!("file,state,taken,{},looks_toward_degrees,caption,belongs_to,sha256", terms.place_head());
    let row = |(photo, state): &(Photo, PhotoState)| {
        let at = photo.spot.as_ref().and_then(|spot| record::place_of(&derived.plan, spot));
        let looks = photo.looks_deg.map(|deg| measure::fixed(deg, 0)).unwrap_or_default();
        let first = [photo.file.as_str(), state.words(), photo.at.as_str()].map(csv_text);
        let last = [csv_text(&photo.caption), csv_text(&photo.of), photo.sha256.clone()];
        first.into_iter().chain(terms.place(at)).chain([looks]).chain(last).collect()
    };
    table(stakes, &head, photos.iter().map(row))
}

/// The yearly care list for programs, lengths in metres.
pub fn care_json(derived: &Worked, list: &[Care]) -> Value {
    let crs = crate::ground::plane(&derived.plan);
    let care = |care: &Care| {
        json!({
            "what": care.what, "station": care.station, "easting_m": care.at.x, "northing_m": care.at.y,
            "longitude_latitude": degrees(&crs, care.at), "level_m": care.level_m,
            "tie": care.tie.as_ref().map(|tie| tie.words(derived.plan.title.units)),
            "what_to_do": care.task, "source": plan::in_words(care.source), "told": care.told,
        })
    };
    json!({ "caution": plan::CAUTION, "care": list.iter().map(care).collect::<Vec<_>>() })
}

/// Where rows, posts, anchors and rippers meet a pipe; `None` without rows that do.
pub(crate) fn trellis_csv(derived: &Worked, stakes: &Stakes) -> Option<String> {
    let (plan, terms) = (&derived.plan, Terms::of(stakes));
    let meetings = record::meetings(plan, &derived.design);
    let up = terms.up.sign();
    let head = format!(
        "block,row,from_along_row_{up},to_along_row_{up},how,line,station,{},top_of_pipe_down_{up},post_down_{up},\
         anchor_down_{up},ripped_down_{up},clear_asked_{up},too_near",
        terms.place_head()
    );
    let clear_m = plan.criteria.post_below_m;
    let row = |meeting: &Meeting| {
        let reach = &meeting.reach;
        let name = plan.lines.get(&meeting.line).map_or("", |line| line.name.as_str());
        let first = vec![
            csv_text(&meeting.block),
            meeting.row.to_string(),
            terms.up.figure(meeting.along_m.0, 2),
            terms.up.figure(meeting.along_m.1, 2),
            meeting.meets.words().into(),
            csv_text(name),
            csv_text(&measure::station(meeting.station_m, plan.title.units)),
        ];
        let depths = [meeting.top_m, reach.post_m, reach.anchor_m, reach.rip_m, Some(clear_m)];
        let depths = depths.map(|depth_m| depth_m.map(|m| terms.up.figure(m, 2)).unwrap_or_default());
        let near = match meeting.top_m {
            None => "level of the pipe not known".into(),
            Some(_) => meeting.reached_by(clear_m).join(" and "),
        };
        first.into_iter().chain(terms.place(Some(meeting.at))).chain(depths).chain([near]).collect()
    };
    (!meetings.is_empty()).then(|| table(stakes, &head, meetings.iter().map(row)))
}

/// Places, corners and entries as features in degrees (RFC 7946), levels and lengths in metres.
pub(crate) fn record_geojson(
    derived: &Worked,
    stakes: &Stakes,
    (places, entries): (&[Place], &[Entry]),
) -> Result<String, FileError> {
    let crs = &stakes.crs;
    let units = derived.plan.title.units;
    let feature = |at: Point, properties: Value| {
        let (lon, lat) = degrees(crs, at)?;
        let at = [lon, lat].map(|angle| (angle * 1e9).round() / 1e9);
        Some(
            json!({ "type": "Feature", "geometry": { "type": "Point", "coordinates": at }, "properties": properties }),
        )
    };
    let of_place = |place: &Place| {
        let tie = place.tie.as_ref().map(|tie| tie.words(units));
        let told = json!({
            "what": place.what, "name": place.name, "station": place.station_m.map(|m| measure::station(m, units)),
            "station_m": place.station_m, "ground_m": place.ground_m, "invert_planned_m": place.invert_m,
            "invert_as_dug_m": place.dug_m, "size_m": place.size_m, "tie": tie,
        });
        feature(place.at, told)
    };
    let of_entry = |entry: &Entry| {
        let told = json!({
            "what": entry.kind, "day": entry.taken.at, "by": entry.taken.by, "revision": entry.taken.revision,
            "level_m": entry.level_m, "says": entry.says, "key": entry.key, "struck": entry.struck.is_some(),
        });
        feature(entry.at?, told)
    };
    let features: Vec<Value> =
        places.iter().filter_map(of_place).chain(entries.iter().filter_map(of_entry)).collect();
    let whole = json!({
        "type": "FeatureCollection", "name": stakes.job, "caution": plan::CAUTION, "positions": crs.degrees_words(),
        "levels": stakes.reference.levels(), "features": features,
    });
    let text = serde_json::to_string_pretty(&whole);
    text.map(|text| text + "\n").map_err(|error| FileError::Malformed {
        place: "the record".into(),
        found: error.to_string(),
        expected: "numbers that JSON can hold".into(),
    })
}
