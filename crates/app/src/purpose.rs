//! What a path is asked for: the words, endings and names that go with it.

/// What a path is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Open a plan.
    OpenPlan,
    /// Save the plan.
    SavePlan,
    /// Read ground.
    OpenGround,
    /// Lay a picture under the plan.
    OpenBackdrop,
    /// Add levels or lidar.
    AddLevels,
    /// Read a boundary.
    ReadBoundary,
    /// Read lines.
    ReadLines,
    /// Write GeoJSON.
    WriteGeojson,
    /// Write a picture.
    WritePicture,
    /// Read marks on the land.
    ReadMarks,
    /// Read a price list.
    ReadPrices,
    /// Write the price list.
    WritePrices,
    /// Read hub levels.
    ReadHubs,
    /// Read shots of what was laid.
    ReadShots,
    /// Take a photo into the record.
    AddPhoto,
    /// Bring in what a field page handed back.
    BringField,
    /// Read a local rule set.
    ReadRules,
    /// Write the sheets.
    WriteSheets,
    /// Write the folder to hand over.
    HandOver,
    /// Write the dossier.
    Dossier,
    /// Write lessons.
    WriteLesson,
    /// Write the survey crew's page.
    WriteCrew,
}

impl Purpose {
    /// What the dialog is called.
    pub const fn title(self) -> &'static str {
        match self {
            Self::OpenPlan => "Open plan",
            Self::SavePlan => "Save plan",
            Self::OpenGround => "Open ground",
            Self::OpenBackdrop => "Open air photo or map image",
            Self::AddLevels => "Add levels or lidar",
            Self::ReadBoundary => "Read boundary",
            Self::ReadLines => "Read lines",
            Self::WriteGeojson => "Write GeoJSON",
            Self::WritePicture => "Write picture",
            Self::ReadMarks => "Read marks on the land",
            Self::ReadPrices => "Read price list",
            Self::WritePrices => "Write price list",
            Self::ReadHubs => "Read hub levels",
            Self::ReadShots => "Read shots",
            Self::AddPhoto => "Add photo",
            Self::BringField => "Bring in from the field page",
            Self::ReadRules => "Read local rules",
            Self::WriteSheets => "Write sheets",
            Self::HandOver => "Hand over: choose a folder",
            Self::Dossier => "Dossier: choose a folder",
            Self::WriteCrew => "Print the crew page",
            Self::WriteLesson => "Write lessons: .html for a phone, .pdf for paper",
        }
    }

    /// Endings of such files.
    pub const fn endings(self) -> &'static [&'static str] {
        match self {
            Self::OpenPlan | Self::SavePlan => &[exchange::PLAN_EXTENSION],
            Self::OpenBackdrop => &["tif", "tiff", "jpg", "jpeg", "png"],
            Self::AddLevels => &["csv", "txt", "tif", "tiff", "asc"],
            Self::OpenGround => {
                &["tif", "tiff", "asc", "csv", "txt", "xyz", "las", "laz", "gpx", "shp", "kml", "geojson", "json"]
            }
            Self::ReadPrices | Self::WritePrices | Self::ReadHubs | Self::ReadRules => &["csv"],
            Self::ReadShots => &["csv", "txt"],
            Self::AddPhoto => &["jpg", "jpeg", "png", "heic", "tif", "webp"],
            Self::WriteSheets | Self::WriteCrew => &["pdf"],
            Self::WriteLesson => &["html", "pdf"],
            Self::HandOver | Self::Dossier => &[],
            Self::ReadBoundary | Self::ReadLines | Self::ReadMarks => &["geojson", "json", "kml", "shp"],
            Self::WriteGeojson | Self::BringField => &["geojson", "json"],
            Self::WritePicture => &["png"],
        }
    }

    /// The ending that a name without one gets.
    pub const fn ending(self) -> Option<&'static str> {
        match self {
            Self::SavePlan => Some(exchange::PLAN_EXTENSION),
            Self::WriteGeojson => Some("geojson"),
            Self::WritePicture => Some("png"),
            Self::WritePrices => Some("csv"),
            Self::WriteSheets | Self::WriteCrew => Some("pdf"),
            Self::WriteLesson => Some("html"),
            _ => None,
        }
    }

    /// True when a file will be written there.
    pub const fn writes(self) -> bool {
        matches!(
            self,
            Self::SavePlan
                | Self::WriteGeojson
                | Self::WritePicture
                | Self::WritePrices
                | Self::WriteSheets
                | Self::HandOver
                | Self::Dossier
                | Self::WriteLesson
                | Self::WriteCrew
        )
    }

    /// A name to start from, made of the plan's: "larkmoor-bench-sheets.pdf"; empty where one that is there is read.
    pub fn usual_name(self, plan: &str) -> String {
        let signs =
            plan.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect::<String>();
        let words: Vec<&str> = signs.split('-').filter(|word| !word.is_empty()).collect();
        let stem = if words.is_empty() { "field".to_string() } else { words.join("-") };
        match self {
            Self::SavePlan => format!("{stem}.{}", exchange::PLAN_EXTENSION),
            Self::WriteGeojson => format!("{stem}.geojson"),
            Self::WriteSheets => format!("{stem}-sheets.pdf"),
            Self::WriteCrew => format!("{stem}-crew.pdf"),
            Self::WritePrices => format!("{stem}-prices.csv"),
            Self::WriteLesson => "lessons.html".into(),
            Self::WritePicture => format!("{stem}.png"),
            Self::HandOver => format!("{stem}-handover"),
            Self::Dossier => format!("{stem}-dossier"),
            _ => String::new(),
        }
    }

    /// What it is called while it is written.
    pub const fn task(self) -> &'static str {
        match self {
            Self::WriteGeojson => "Writing GeoJSON",
            Self::WritePicture => "Drawing the picture",
            Self::WritePrices => "Writing prices",
            Self::HandOver => "Writing the folder",
            Self::Dossier => "Writing the dossier",
            Self::WriteLesson => "Writing lessons",
            Self::WriteCrew => "Writing the crew page",
            _ => "Writing sheets",
        }
    }
}
