//! Waypoints and routes for a hand-held receiver: GPX 1.1.

use measure::Units;

use crate::FileError;
use crate::geojson_out::degrees;
use crate::stakes::{Stakes, element};

impl Stakes {
    /// Stakes, findings and benchmarks as waypoints, lines as routes: degrees, and elevations in metres.
    pub fn gpx(&self) -> Result<String, FileError> {
        let (crs, units) = (&self.crs, Units::of(self.reference.up));
        let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        text.push_str(
            "<gpx version=\"1.1\" creator=\"Drainwright\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n<metadata>",
        );
        text.push_str(&element("name", &self.job));
        let carries = "Elevations (ele) are inverts and levels of benchmarks in meters, as this format has them; what a point \
                       says of itself is in the units of the plan.";
        let desc = format!("{} {carries}", self.head_in_degrees());
        text.push_str(&element("desc", &desc));
        text.push_str("</metadata>\n");
        for point in &self.points {
            let [lon, lat] = degrees(crs, point.at)?;
            text.push_str(&format!("<wpt lat=\"{lat}\" lon=\"{lon}\">"));
            // The height of a waypoint is the invert: what the crew looks for lies there.
            text.push_str(&format!("<ele>{}</ele>", measure::fixed(point.invert_m, 4)));
            text.push_str(&element("name", &point.name()));
            text.push_str(&element("desc", &self.described(point)));
            text.push_str("</wpt>\n");
        }
        for notice in &self.notices {
            // A receiver shows places: both ends of a stretch.
            let ends =
                notice.course.first().into_iter().chain(notice.course.last().filter(|_| notice.course.len() > 1));
            for at in ends {
                let [lon, lat] = degrees(crs, *at)?;
                text.push_str(&format!("<wpt lat=\"{lat}\" lon=\"{lon}\">"));
                text.push_str(&element("name", &notice.name()));
                text.push_str(&element("desc", &notice.described()));
                text.push_str("</wpt>\n");
            }
        }
        for mark in &self.benchmarks {
            let [lon, lat] = degrees(crs, mark.at)?;
            let ele = measure::fixed(mark.level_m, 4);
            text.push_str(&format!("<wpt lat=\"{lat}\" lon=\"{lon}\"><ele>{ele}</ele>"));
            text.push_str(&element("name", &mark.name));
            text.push_str(&element("desc", &self.benchmark_words(mark)));
            text.push_str("</wpt>\n");
        }
        for line in &self.lines {
            text.push_str("<rte>");
            text.push_str(&element("name", &line.name));
            text.push_str(&element("desc", &format!("{}, {}", line.kind, line.size_words(units))));
            for (at, level_m) in &line.points {
                let [lon, lat] = degrees(crs, *at)?;
                let height = level_m.map(|m| format!("<ele>{}</ele>", measure::fixed(m, 4))).unwrap_or_default();
                text.push_str(&format!("<rtept lat=\"{lat}\" lon=\"{lon}\">{height}</rtept>"));
            }
            text.push_str("</rte>\n");
        }
        text.push_str("</gpx>\n");
        Ok(text)
    }
}
