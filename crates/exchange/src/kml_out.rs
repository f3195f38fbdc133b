//! Lines, stakes and marks for a globe viewer: KML (OGC 12-007r2).

use measure::{Point, Units};
use plan::Outline;

use crate::geojson_out::degrees;
use crate::marks_out::mark_words;
use crate::stakes::{Stakes, element};
use crate::{Crs, FileError};

impl Stakes {
    /// Placemarks in degrees, without heights; sizes and levels in the plan's units.
    pub fn kml(&self) -> Result<String, FileError> {
        let (crs, units) = (&self.crs, Units::of(self.reference.up));
        let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        text.push_str("<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document>\n");
        text.push_str(&element("name", &self.job));
        let carries = "No heights: everything lies on the ground, and levels stand in the descriptions.";
        text.push_str(&element("description", &format!("{} {carries}", self.head_in_degrees())));
        text.push_str("<Folder><name>Lines</name>\n");
        for line in &self.lines {
            let course: Vec<Point> = line.points.iter().map(|(at, _)| *at).collect();
            text.push_str("<Placemark>");
            text.push_str(&element("name", &line.name));
            text.push_str(&element("description", &format!("{}, {}", line.kind, line.size_words(units))));
            text.push_str(&placed(&course, crs)?);
            text.push_str("</Placemark>\n");
        }
        text.push_str("</Folder>\n<Folder><name>Stakes</name>\n");
        for point in &self.points {
            let [lon, lat] = degrees(crs, point.at)?;
            text.push_str("<Placemark>");
            text.push_str(&element("name", &point.name()));
            text.push_str(&element("description", &self.described(point)));
            text.push_str(&format!("<Point><coordinates>{lon},{lat}</coordinates></Point></Placemark>\n"));
        }
        text.push_str("</Folder>\n");
        for (group, of_group) in self.notices_by_group() {
            text.push_str(&format!("<Folder><name>{group}</name>\n"));
            for notice in of_group {
                text.push_str("<Placemark>");
                text.push_str(&element("name", &notice.name()));
                text.push_str(&element("description", &notice.described()));
                text.push_str(&placed(&notice.course, crs)?);
                text.push_str("</Placemark>\n");
            }
            text.push_str("</Folder>\n");
        }
        self.kml_marks(&mut text)?;
        text.push_str("<Folder><name>Benchmarks</name>\n");
        for mark in &self.benchmarks {
            let [lon, lat] = degrees(crs, mark.at)?;
            text.push_str("<Placemark>");
            text.push_str(&element("name", &mark.name));
            text.push_str(&element("description", &self.benchmark_words(mark)));
            text.push_str(&format!("<Point><coordinates>{lon},{lat}</coordinates></Point></Placemark>\n"));
        }
        text.push_str("</Folder>\n</Document>\n</kml>\n");
        Ok(text)
    }

    /// The marks on the land, where there are any.
    fn kml_marks(&self, text: &mut String) -> Result<(), FileError> {
        if self.land.marks.is_empty() {
            return Ok(());
        }
        let units = Units::of(self.reference.up);
        text.push_str("<Folder><name>Marks on the land</name>\n");
        for mark in &self.land.marks {
            text.push_str("<Placemark>");
            text.push_str(&element("name", &mark.called()));
            text.push_str(&element("description", &mark_words(mark, units)));
            text.push_str(&outlined(&mark.outline, &self.crs)?);
            text.push_str("</Placemark>\n");
        }
        text.push_str("</Folder>\n");
        Ok(())
    }
}

/// The geometry of a mark.
fn outlined(outline: &Outline, crs: &Crs) -> Result<String, FileError> {
    let Outline::Around(_) = outline else { return placed(outline.points(), crs) };
    let ring = places(&outline.path(), crs)?.join(" ");
    Ok(format!(
        "<Polygon><outerBoundaryIs><LinearRing><coordinates>{ring}</coordinates></LinearRing></outerBoundaryIs></Polygon>"
    ))
}

fn places(course: &[Point], crs: &Crs) -> Result<Vec<String>, FileError> {
    course.iter().map(|at| degrees(crs, *at).map(|[lon, lat]| format!("{lon},{lat}"))).collect()
}

/// The geometry of a placemark: a course, or one place.
fn placed(course: &[Point], crs: &Crs) -> Result<String, FileError> {
    Ok(match places(course, crs)?.as_slice() {
        [only] => format!("<Point><coordinates>{only}</coordinates></Point>"),
        places => {
            let places = places.join(" ");
            format!("<LineString><tessellate>1</tessellate><coordinates>{places}</coordinates></LineString>")
        }
    })
}
