//! Of LandXML 1.2: pipes between structures, the boundary, and what else lies on the land.

use measure::{INCH_M, LengthUnit, Point, Units};
use plan::Outline;

use crate::landxml::north_east;
use crate::marks_out::mark_words;
use crate::network::{NetPipe, Node, NodeKind};
use crate::stakes::{Stakes, escaped};

/// How much of the unit of diameters one metre is, and the word for it: a file in metres tells them in millimetres, one in
/// feet in inches.
pub(crate) fn diameter_unit(unit: LengthUnit) -> (f64, &'static str) {
    match unit {
        LengthUnit::Metre => (1000.0, "millimeter"),
        LengthUnit::Foot | LengthUnit::SurveyFoot => (1.0 / INCH_M, "inch"),
    }
}

/// Straight pieces of a course.
pub(crate) fn coord_geom(course: &[Point], unit: LengthUnit) -> String {
    let mut text = String::from("<CoordGeom>\n");
    for pair in course.windows(2).filter(|pair| pair[0] != pair[1]) {
        let (start, end) = (north_east(pair[0], None, unit), north_east(pair[1], None, unit));
        text.push_str(&format!("<Line><Start>{start}</Start><End>{end}</End></Line>\n"));
    }
    text + "</CoordGeom>\n"
}

impl Stakes {
    /// The pipes: water runs from `refStart`, the upper end, to `refEnd`.
    pub(crate) fn network_element(&self) -> String {
        if self.network.pipes.is_empty() {
            return String::new();
        }
        let unit = self.reference.across;
        let nodes: String = self.network.nodes.iter().map(|node| struct_element(node, unit)).collect();
        let pipes: String = self.network.pipes.iter().map(|pipe| pipe_element(pipe, unit)).collect();
        format!(
            "<PipeNetworks><PipeNetwork name=\"{}\" pipeNetType=\"storm\" desc=\"subsurface drainage\">\n<Structs>\n{nodes}\
             </Structs>\n<Pipes>\n{pipes}</Pipes>\n</PipeNetwork></PipeNetworks>\n",
            escaped(&self.job)
        )
    }

    /// The boundary: its outer ring, and its holes as parcels of their own that are left out.
    pub(crate) fn parcel_element(&self) -> String {
        let unit = self.reference.across;
        let parcel = |(i, ring): (usize, &Vec<Point>)| {
            let closed: Vec<Point> = ring.iter().chain(ring.first()).copied().collect();
            let (name, desc) = match i {
                0 => ("field".to_string(), "boundary of the field"),
                i => (format!("hole {i}"), "left out of the field"),
            };
            format!("<Parcel name=\"{name}\" desc=\"{desc}\">\n{}</Parcel>\n", coord_geom(&closed, unit))
        };
        let parcels: String = self.land.rings.iter().enumerate().map(parcel).collect();
        if parcels.is_empty() { parcels } else { format!("<Parcels>\n{parcels}</Parcels>\n") }
    }

    /// Marks that are a place.
    pub(crate) fn marks_element(&self) -> String {
        let (unit, units) = (self.reference.across, Units::of(self.reference.up));
        let point = |mark: &plan::Landmark| {
            let Outline::At(at) = mark.outline else { return None };
            let (name, desc) = (escaped(&mark.called()), escaped(&mark_words(mark, units)));
            Some(format!("<CgPoint name=\"{name}\" desc=\"{desc}\">{}</CgPoint>\n", north_east(at, None, unit)))
        };
        let points: String = self.land.marks.iter().filter_map(point).collect();
        if points.is_empty() {
            points
        } else {
            format!("<CgPoints name=\"marks on the land\">\n{points}</CgPoints>\n")
        }
    }

    /// Marks that are a course or an area, ditches, culverts and old tile.
    pub(crate) fn features_element(&self) -> String {
        let (unit, units) = (self.reference.across, Units::of(self.reference.up));
        let feature = |name: &str, desc: &str, course: &[Point]| {
            let (name, desc) = (escaped(name), escaped(desc));
            format!("<PlanFeature name=\"{name}\" desc=\"{desc}\">\n{}</PlanFeature>\n", coord_geom(course, unit))
        };
        let marks = self.land.marks.iter().filter(|mark| mark.outline.points().len() > 1);
        let marks = marks.map(|mark| feature(&mark.called(), &mark_words(mark, units), &mark.outline.path()));
        let ditches = self.land.watercourses.iter();
        let ditches = ditches.map(|ditch| feature(&ditch.name, ditch.kind.word(), &ditch.points));
        let old = self.lines.iter().filter(|line| line.kind == "old tile");
        let old = old.map(|line| {
            let course: Vec<Point> = line.points.iter().map(|(at, _)| *at).collect();
            feature(&line.name, &format!("old tile, {}", line.size_words(units)), &course)
        });
        let features: String = marks.chain(ditches).chain(old).collect();
        if features.is_empty() {
            return features;
        }
        format!("<PlanFeatures name=\"on the land\">\n{features}</PlanFeatures>\n")
    }
}

fn struct_element(node: &Node, unit: LengthUnit) -> String {
    let what = match node.kind {
        NodeKind::Outlet => "<OutletStruct/>",
        NodeKind::Inlet => "<InletStruct/>",
        NodeKind::Connection => "<Connection/>",
    };
    let invert = |(level_m, comes_in, pipe): &(f64, bool, String)| {
        let way = if *comes_in { "in" } else { "out" };
        let level = unit.figure(*level_m, 4);
        format!("<Invert elev=\"{level}\" flowDir=\"{way}\" refPipe=\"{}\"/>\n", escaped(pipe))
    };
    let inverts: String = node.inverts.iter().map(invert).collect();
    let (name, center) = (escaped(&node.name), north_east(node.at, None, unit));
    format!("<Struct name=\"{name}\">{what}\n<Center>{center}</Center>\n{inverts}</Struct>\n")
}

fn pipe_element(pipe: &NetPipe, unit: LengthUnit) -> String {
    let NetPipe { name, upper, lower, length_m, words, size_m } = pipe;
    let [name, upper, lower, words] = [name, upper, lower, words].map(|text| escaped(text));
    let length = unit.figure(*length_m, 4);
    let diameter = measure::trimmed(size_m * diameter_unit(unit).0, 0, 4);
    format!(
        "<Pipe name=\"{name}\" refStart=\"{upper}\" refEnd=\"{lower}\" length=\"{length}\" desc=\"{words}\">\
         <CircPipe diameter=\"{diameter}\"/></Pipe>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_in_the_unit_of_the_file() {
        assert_eq!(diameter_unit(LengthUnit::Metre), (1000.0, "millimeter"));
        let pipe = NetPipe {
            name: "M1 0+00 to 1+50".into(),
            upper: "M1 1+50".into(),
            lower: "O\"1".into(),
            size_m: 6.0 * INCH_M,
            length_m: 45.72,
            words: "main, perforated".into(),
        };
        let text = pipe_element(&pipe, LengthUnit::Foot);
        assert!(
            text.contains("refEnd=\"O&quot;1\" length=\"150.0000\"") && text.contains("diameter=\"6\""),
            "{text}"
        );
    }
}
