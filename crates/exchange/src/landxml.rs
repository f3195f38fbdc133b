//! Stakes as LandXML 1.2.

use measure::{LengthUnit, Point};

use crate::landxml_net::{coord_geom, diameter_unit};
use crate::stakes::{StakeLine, StakeNotice, Stakes, SurfaceOut, escaped};

impl Stakes {
    /// Alignments with profiles, pipes between structures with their sizes and inverts, stakes, benchmarks and marks as points,
    /// the boundary as a parcel, courses on the land as plan features, the ground as a surface of triangles. The file has one
    /// linear unit for all three axes: that of the coordinate system; what a point says of itself is in the plan's.
    pub fn landxml(&self) -> String {
        let unit = self.reference.across;
        // The schema asks for a day and a time: the beginning of the day of the plan. A plan without a day has none to tell.
        let day = self.as_of.as_deref().map(|day| format!(" date=\"{}\" time=\"00:00:00\"", escaped(day)));
        let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        text.push_str(&format!(
            "<LandXML xmlns=\"http://www.landxml.org/schema/LandXML-1.2\" version=\"1.2\"{} language=\"English\" \
             readOnly=\"false\">\n",
            day.unwrap_or_default()
        ));
        text.push_str(&units_element(unit));
        text.push_str(&self.system_element());
        let desc = escaped(&self.head_of_one_unit().join(". "));
        text.push_str(&format!("<Project name=\"{}\" desc=\"{desc}\"/>\n", escaped(&self.job)));
        text.push_str("<Application name=\"Drainwright\" version=\"1\"/>\n");
        text.push_str("<CgPoints name=\"stakes\">\n");
        for point in &self.points {
            let place = north_east(point.at, Some(point.invert_m), unit);
            let desc = escaped(&self.described(point));
            text.push_str(&format!(
                "<CgPoint name=\"{}\" desc=\"{desc}\">{place}</CgPoint>\n",
                escaped(&point.name())
            ));
        }
        text.push_str("</CgPoints>\n");
        text.push_str(&self.notices_element());
        text.push_str(&self.benchmarks_element());
        text.push_str(&self.marks_element());
        text.push_str("<Alignments>\n");
        self.lines.iter().for_each(|line| text.push_str(&alignment(line, unit)));
        text.push_str("</Alignments>\n");
        text.push_str(&self.network_element());
        text.push_str(&self.parcel_element());
        text.push_str(&self.features_element());
        text.push_str(&self.surface_element());
        text.push_str("</LandXML>\n");
        text
    }

    /// The coordinate system by name and code, and what levels count from.
    fn system_element(&self) -> String {
        let desc = format!("{}. {}", self.reference.coordinates(), self.reference.levels_of_one_unit());
        let mut text = format!("<CoordinateSystem desc=\"{}\"", escaped(&desc));
        let code = self.crs.code().map(|code| code.to_string());
        let own = (!self.crs.is_local()).then(|| self.crs.name());
        let datum = Some(self.reference.datum.clone()).filter(|_| self.reference.has_datum());
        let attributes = [
            ("epsgCode", code),
            ("horizontalDatum", self.crs.datum_name().map(str::to_string)),
            ("horizontalCoordinateSystemName", self.crs.title().map(str::to_string).or(own)),
            ("verticalDatum", datum),
        ];
        for (name, value) in attributes.into_iter().filter_map(|(name, value)| Some((name, value?))) {
            text.push_str(&format!(" {name}=\"{}\"", escaped(&value)));
        }
        text + "/>\n"
    }

    /// Findings as points at the ends of their stretches, which every reader keeps with their words.
    fn notices_element(&self) -> String {
        let ends = |notice: &StakeNotice| {
            let desc = escaped(&notice.described());
            let last = notice.course.last().filter(|_| notice.course.len() > 1);
            let words = [("from", notice.course.first()), ("to", last)].into_iter();
            let point = |(word, at): (&str, Option<&Point>)| {
                let (name, place) =
                    (format!("{} {word}", notice.name()), north_east(*at?, None, self.reference.across));
                Some(format!("<CgPoint name=\"{}\" desc=\"{desc}\">{place}</CgPoint>\n", escaped(&name)))
            };
            words.filter_map(point).collect::<String>()
        };
        let group = |(group, notices): (&str, Vec<&StakeNotice>)| {
            let points: String = notices.into_iter().map(ends).collect();
            format!("<CgPoints name=\"{}\">\n{points}</CgPoints>\n", group.to_lowercase())
        };
        self.notices_by_group().into_iter().map(group).collect()
    }

    fn benchmarks_element(&self) -> String {
        if self.benchmarks.is_empty() {
            return String::new();
        }
        let point = |mark: &plan::Benchmark| {
            let place = north_east(mark.at, Some(mark.level_m), self.reference.across);
            let (name, desc) = (escaped(&mark.name), escaped(&self.benchmark_words(mark)));
            format!("<CgPoint name=\"{name}\" desc=\"{desc}\">{place}</CgPoint>\n")
        };
        let points: String = self.benchmarks.iter().map(point).collect();
        format!("<CgPoints name=\"benchmarks\">\n{points}</CgPoints>\n")
    }

    fn surface_element(&self) -> String {
        let SurfaceOut { cols, points } = &self.surface;
        let known: Vec<Option<usize>> = points
            .iter()
            .scan(0, |count, (_, level_m)| {
                *count += usize::from(level_m.is_some());
                Some(level_m.map(|_| *count))
            })
            .collect();
        if *cols < 2 || known.iter().flatten().count() < 3 {
            return String::new();
        }
        let mut text = String::from("<Surfaces><Surface name=\"ground\"><Definition surfType=\"TIN\">\n<Pnts>\n");
        for ((at, level_m), id) in points.iter().zip(&known) {
            if let Some(id) = id {
                text.push_str(&format!("<P id=\"{id}\">{}</P>\n", north_east(*at, *level_m, self.reference.across)));
            }
        }
        text.push_str("</Pnts>\n<Faces>\n");
        let corner = |row: usize, col: usize| known.get(row * cols + col).copied().flatten();
        for row in 0..(points.len() / cols).saturating_sub(1) {
            for col in 0..cols - 1 {
                let (nw, ne) = (corner(row, col), corner(row, col + 1));
                let (sw, se) = (corner(row + 1, col), corner(row + 1, col + 1));
                for face in [[nw, ne, sw], [ne, se, sw]] {
                    if let [Some(a), Some(b), Some(c)] = face {
                        text.push_str(&format!("<F>{a} {b} {c}</F>\n"));
                    }
                }
            }
        }
        text.push_str("</Faces>\n</Definition></Surface></Surfaces>\n");
        text
    }
}

fn units_element(unit: LengthUnit) -> String {
    let (family, linear, area, volume, temperature, pressure) = match unit {
        LengthUnit::Metre => ("Metric", "meter", "squareMeter", "cubicMeter", "celsius", "milliBars"),
        LengthUnit::Foot => ("Imperial", "foot", "squareFoot", "cubicFeet", "fahrenheit", "inHG"),
        LengthUnit::SurveyFoot => ("Imperial", "USSurveyFoot", "squareFoot", "cubicFeet", "fahrenheit", "inHG"),
    };
    format!(
        "<Units><{family} linearUnit=\"{linear}\" areaUnit=\"{area}\" volumeUnit=\"{volume}\" \
         temperatureUnit=\"{temperature}\" pressureUnit=\"{pressure}\" diameterUnit=\"{}\" angularUnit=\"decimal degrees\" \
         directionUnit=\"decimal degrees\"/></Units>\n",
        diameter_unit(unit).1
    )
}

fn alignment(line: &StakeLine, unit: LengthUnit) -> String {
    let plane: Vec<Point> = line.points.iter().map(|(at, _)| *at).collect();
    let length = unit.figure(measure::path_length(&plane), 4);
    let name = escaped(&line.name);
    let mut text = format!(
        "<Alignment name=\"{name}\" length=\"{length}\" staStart=\"0.0\" desc=\"{}\">\n",
        escaped(&line.kind)
    );
    text.push_str(&coord_geom(&plane, unit));
    let list = |pairs: &[(f64, f64)]| {
        pairs.iter().map(|(s, z)| format!("{} {}", unit.figure(*s, 4), unit.figure(*z, 4))).collect::<Vec<_>>()
    };
    text.push_str(&format!("<Profile name=\"{name}\">\n"));
    if line.ground.len() > 1 {
        let points = list(&line.ground).join(" ");
        text.push_str(&format!("<ProfSurf name=\"ground\"><PntList2D>{points}</PntList2D></ProfSurf>\n"));
    }
    if line.profile.len() > 1 {
        text.push_str(&format!("<ProfAlign name=\"{name} invert\">\n"));
        list(&line.profile).iter().for_each(|pvi| text.push_str(&format!("<PVI>{pvi}</PVI>\n")));
        text.push_str("</ProfAlign>\n");
    }
    text.push_str("</Profile>\n</Alignment>\n");
    text
}

/// Northing, easting and level, in that order, as LandXML has them.
pub(crate) fn north_east(at: Point, level_m: Option<f64>, unit: LengthUnit) -> String {
    let level = level_m.map(|m| format!(" {}", unit.figure(m, 4))).unwrap_or_default();
    format!("{} {}{level}", unit.figure(at.y, 4), unit.figure(at.x, 4))
}
