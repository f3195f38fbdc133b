//! Layers and line types of the drawing. Colors are of the color index (ACI) and have a contrast of at least 3.6 to 1 to white
//! and to black (WCAG 2.1, 1.4.11 asks for 3 to 1), so that they read on paper and on a dark screen; 7 turns with the ground.

/// A layer: its name, its color and its line type.
pub(crate) struct Layer {
    pub name: &'static str,
    pub color: &'static str,
    pub line_type: &'static str,
}

const fn layer(name: &'static str, color: &'static str, line_type: &'static str) -> Layer {
    Layer { name, color, line_type }
}

pub(crate) const BOUNDARY: &str = "BOUNDARY";
pub(crate) const OUTLETS: &str = "OUTLETS";
pub(crate) const OLD_TILE: &str = "OLD_TILE";
pub(crate) const JOINTS: &str = "JOINTS";
pub(crate) const STRUCTURES: &str = "STRUCTURES";
pub(crate) const STAKES: &str = "STAKES";
pub(crate) const LEVELS: &str = "LEVELS";
pub(crate) const REMARKS: &str = "REMARKS";
pub(crate) const LINE_NAMES: &str = "LINE_NAMES";
pub(crate) const BENCHMARKS: &str = "BENCHMARKS";
pub(crate) const UTILITIES: &str = "UTILITIES";
pub(crate) const PITS: &str = "PITS";
pub(crate) const MARKS: &str = "MARKS";
pub(crate) const WATERCOURSES: &str = "WATERCOURSES";
pub(crate) const CONTOURS: &str = "CONTOURS";
pub(crate) const INDEX_CONTOURS: &str = "INDEX_CONTOURS";
pub(crate) const DO_NOT_DIG: &str = "DO_NOT_DIG";
pub(crate) const OPEN_FINDINGS: &str = "OPEN_FINDINGS";
pub(crate) const NOTES: &str = "NOTES";

/// Every layer.
pub(crate) const LAYERS: [Layer; 22] = [
    layer(BOUNDARY, "193", "DIVIDE"),
    layer("MAIN", "150", "CONTINUOUS"),
    layer("SUBMAIN", "142", "CONTINUOUS"),
    layer("LATERAL", "134", "CONTINUOUS"),
    layer(OLD_TILE, "42", "DASHED"),
    layer(OUTLETS, "150", "CONTINUOUS"),
    layer(JOINTS, "200", "CONTINUOUS"),
    layer(STRUCTURES, "200", "CONTINUOUS"),
    layer(STAKES, "7", "CONTINUOUS"),
    layer(LEVELS, "7", "CONTINUOUS"),
    layer(REMARKS, "8", "CONTINUOUS"),
    layer(LINE_NAMES, "7", "CONTINUOUS"),
    layer(BENCHMARKS, "213", "CONTINUOUS"),
    layer(UTILITIES, "1", "DASHDOT"),
    layer(PITS, "32", "CONTINUOUS"),
    layer(MARKS, "54", "CONTINUOUS"),
    layer(WATERCOURSES, "163", "CONTINUOUS"),
    layer(CONTOURS, "252", "CONTINUOUS"),
    layer(INDEX_CONTOURS, "8", "CONTINUOUS"),
    layer(DO_NOT_DIG, "1", "CONTINUOUS"),
    layer(OPEN_FINDINGS, "230", "CONTINUOUS"),
    layer(NOTES, "7", "CONTINUOUS"),
];

/// Line types: name, what it looks like, and lengths of dash (above 0), gap (below 0) and dot (0), metres.
pub(crate) const LINE_TYPES: [(&str, &str, &[f64]); 4] = [
    ("CONTINUOUS", "Solid line", &[]),
    ("DASHED", "_ _ _ _ _", &[3.0, -1.5]),
    ("DASHDOT", "_ . _ . _", &[3.0, -1.0, 0.0, -1.0]),
    ("DIVIDE", "_ . . _ . .", &[4.0, -1.0, 0.0, -1.0, 0.0, -1.0]),
];
