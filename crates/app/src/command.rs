//! Every command and every tool as data: label, tooltip, shortcut, what it asks a path for and when it can be used. Menus,
//! the list that is searched, tool list, help and keyboard read these two tables.

use egui::{Key, KeyboardShortcut, Modifiers};
use plan::{LandmarkKind, LineKind, OldTile, WatercourseKind};

use crate::purpose::Purpose;
use crate::view::{DrawnAs, Selection, Stage, View};
use job::Session;

/// Everything that can be commanded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Command {
    /// Start an empty plan.
    New,
    /// Open a plan file.
    Open,
    /// Save the plan.
    Save,
    /// Save under another name.
    SaveAs,
    /// Read a ground file.
    OpenGround,
    /// Lay an air photo or map image under the plan.
    OpenBackdrop,
    /// Add levels or lidar beside the ground.
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
    /// Look whether the photos of the record are there, as they were.
    LookAtPhotos,
    /// Bring in what a field page handed back.
    BringField,
    /// Read a local rule set.
    ReadRules,
    /// Change the job's limits.
    Limits,
    /// Look at the sheets before they are printed.
    Preview,
    /// Write the sheets as PDF.
    WriteSheets,
    /// Write the folder to hand over.
    HandOver,
    /// Write the dossier.
    WriteDossier,
    /// Write lessons.
    WriteLesson,
    /// Work out how sure the plan is.
    HowSure,
    /// Write the survey crew's page.
    WriteCrew,
    /// Open the first demo field.
    FirstDemo,
    /// Open the second demo field.
    SecondDemo,
    /// Open the plan with ten mistakes.
    TenMistakes,
    /// Take the last edit back.
    Undo,
    /// Do it again.
    Redo,
    /// Choose all lines.
    SelectAll,
    /// Remove what is chosen.
    Delete,
    /// Turn the chosen line round.
    Reverse,
    /// Look for first layouts by computation.
    Propose,
    /// Show the list of lines, or the profile again.
    LineList,
    /// Go to the next finding of the punch list as it is shown.
    NextFinding,
    /// Go to the finding before.
    FindingBefore,
    /// Show the whole field.
    Fit,
    /// Show what is chosen.
    FitSelection,
    /// Look nearer.
    ZoomIn,
    /// Look from farther.
    ZoomOut,
    /// All larger, for a projector or a truck cab.
    Large,
    /// Light or dark.
    Theme,
    /// Feet or metres.
    Units,
    /// The next step of the lesson.
    NextStep,
    /// A step of the lesson back.
    StepBack,
    /// Large type in the lesson.
    LargeType,
    /// Let it rain on the map, or hold the rain.
    PlayRain,
    /// Move the clock of the rain a step on.
    StepRain,
    /// Find a command by a word.
    Find,
    /// How it works.
    Help,
}

/// The menu a command stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Menu {
    /// Files.
    Plan,
    /// Edits.
    Edit,
    /// What is shown.
    View,
    /// Help.
    Help,
}

/// One row of the table.
pub struct Entry {
    /// The command.
    pub command: Command,
    /// Where it stands.
    pub menu: Menu,
    /// What the menu says.
    pub label: &'static str,
    /// What the tooltip says.
    pub tip: &'static str,
    /// Its keys.
    pub keys: &'static [KeyboardShortcut],
}

const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

const fn key(modifiers: Modifiers, key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(modifiers, key)
}

const fn entry(
    command: Command,
    menu: Menu,
    label: &'static str,
    tip: &'static str,
    keys: &'static [KeyboardShortcut],
) -> Entry {
    Entry { command, menu, label, tip, keys }
}

/// All commands in the order of their menus.
pub const COMMANDS: &[Entry] = &[
    entry(Command::New, Menu::Plan, "New plan", "Start with an empty plan", &[key(CTRL, Key::N)]),
    entry(Command::Open, Menu::Plan, "Open plan…", "Open a plan file", &[key(CTRL, Key::O)]),
    entry(
        Command::Save,
        Menu::Plan,
        "Save",
        "Save the plan; the former file stays as a backup",
        &[key(CTRL, Key::S)],
    ),
    entry(Command::SaveAs, Menu::Plan, "Save as…", "Save under another name", &[key(CTRL_SHIFT, Key::S)]),
    entry(
        Command::OpenGround,
        Menu::Plan,
        "Open ground…",
        "GeoTIFF, ASCII grid or survey points",
        &[key(CTRL, Key::G)],
    ),
    entry(
        Command::OpenBackdrop,
        Menu::Plan,
        "Open air photo or map image…",
        "GeoTIFF, JPEG or PNG with a world file, to lie under the plan",
        &[],
    ),
    entry(
        Command::AddLevels,
        Menu::Plan,
        "Add levels or lidar…",
        "A further table of levels, or a grid to hold them against",
        &[],
    ),
    entry(Command::ReadBoundary, Menu::Plan, "Read boundary…", "One polygon from a GeoJSON file", &[]),
    entry(Command::ReadLines, Menu::Plan, "Read lines…", "Polylines from a GeoJSON file", &[]),
    entry(
        Command::WriteGeojson,
        Menu::Plan,
        "Write GeoJSON…",
        "Lines, joints, outlets and field in degrees",
        &[key(CTRL, Key::E)],
    ),
    entry(Command::WritePicture, Menu::Plan, "Write picture…", "Map and profiles as a PNG", &[key(CTRL, Key::P)]),
    entry(
        Command::ReadMarks,
        Menu::Plan,
        "Read marks…",
        "Utilities, trees, lanes, pits from GeoJSON, KML or shapefile",
        &[],
    ),
    entry(Command::ReadHubs, Menu::Plan, "Read hub levels…", "A CSV: line,station,level,offset", &[]),
    entry(Command::ReadShots, Menu::Plan, "Read shots…", "A CSV of what was laid: line,station,level or places", &[]),
    entry(Command::AddPhoto, Menu::Plan, "Add photo…", "A photo for the record; it is kept beside the plan", &[]),
    entry(
        Command::LookAtPhotos,
        Menu::Plan,
        "Look at the photos",
        "Whether those of the record are there, as they were taken in",
        &[],
    ),
    entry(
        Command::BringField,
        Menu::Plan,
        "Bring in from the field page…",
        "Shots, finds and notes that a field page handed back",
        &[],
    ),
    entry(Command::ReadPrices, Menu::Plan, "Read price list…", "A CSV: item,size,branch,price,per,roll", &[]),
    entry(Command::WritePrices, Menu::Plan, "Write price list…", "The same CSV", &[]),
    entry(
        Command::Preview,
        Menu::Plan,
        "Print preview…",
        "The sheets page by page, as they are printed",
        &[key(CTRL_SHIFT, Key::V)],
    ),
    entry(
        Command::WriteSheets,
        Menu::Plan,
        "Write sheets…",
        "Plan sheet, profiles, cut sheets and lists as one PDF",
        &[key(CTRL_SHIFT, Key::P)],
    ),
    entry(
        Command::HandOver,
        Menu::Plan,
        "Hand over…",
        "A folder with PDF, tables, open formats and a note",
        &[key(CTRL, Key::H)],
    ),
    entry(
        Command::WriteDossier,
        Menu::Plan,
        "Dossier…",
        "A folder that tells what lies in the ground, for whoever digs there in forty years",
        &[key(CTRL_SHIFT, Key::D)],
    ),
    entry(
        Command::WriteLesson,
        Menu::Plan,
        "Write lessons…",
        "For a class: one HTML page for a phone, or a PDF with exercises and answers",
        &[],
    ),
    entry(
        Command::WriteCrew,
        Menu::Plan,
        "Print the crew page…",
        "A PDF for the survey crew: where one more shot settles most, with coordinates",
        &[],
    ),
    entry(
        Command::Limits,
        Menu::Edit,
        "Limits of the job…",
        "Every threshold of the checks, with who changed it and why",
        &[key(CTRL, Key::L)],
    ),
    entry(Command::ReadRules, Menu::Edit, "Read local rules…", "A CSV: limit,value,why", &[]),
    entry(
        Command::FirstDemo,
        Menu::Help,
        "Demo field on rolling ground",
        "A vineyard block, drained, with one mistake to find",
        &[],
    ),
    entry(
        Command::SecondDemo,
        Menu::Help,
        "Demo field on flat ground",
        "A flat field with a hump and parallel laterals",
        &[],
    ),
    entry(
        Command::TenMistakes,
        Menu::Help,
        "Ten mistakes to find",
        "A faulty plan for a class: ten things are wrong with it",
        &[],
    ),
    entry(Command::Undo, Menu::Edit, "Undo", "Undo the last edit", &[key(CTRL, Key::Z)]),
    entry(Command::Redo, Menu::Edit, "Redo", "Redo the last edit", &[key(CTRL_SHIFT, Key::Z), key(CTRL, Key::Y)]),
    entry(Command::SelectAll, Menu::Edit, "Select all lines", "Select every line", &[key(CTRL, Key::A)]),
    entry(Command::Delete, Menu::Edit, "Delete", "Delete what is selected", &[key(Modifiers::NONE, Key::Delete)]),
    entry(Command::Reverse, Menu::Edit, "Reverse line", "Turn the selected line round", &[key(CTRL, Key::R)]),
    entry(
        Command::Propose,
        Menu::Edit,
        "Propose a layout",
        "First layouts by computation, side by side: look at each on the map, take one, change it as you like",
        &[key(CTRL_SHIFT, Key::F)],
    ),
    entry(
        Command::Fit,
        Menu::View,
        "Show whole field",
        "Fit the map to the field and its lines",
        &[key(Modifiers::NONE, Key::Home)],
    ),
    entry(
        Command::FitSelection,
        Menu::View,
        "Zoom to selection",
        "Fit the map to what is chosen, or to the finding that is looked at",
        &[key(Modifiers::NONE, Key::Z)],
    ),
    entry(
        Command::LineList,
        Menu::View,
        "List of lines",
        "All lines in a table under the map: sort, find, choose several; once more the profile",
        &[key(CTRL_SHIFT, Key::L)],
    ),
    entry(
        Command::NextFinding,
        Menu::View,
        "Next finding",
        "Map, profile and card go to the next finding that the punch list shows",
        &[key(Modifiers::NONE, Key::N)],
    ),
    entry(
        Command::FindingBefore,
        Menu::View,
        "Finding before",
        "The same to the one before",
        &[key(Modifiers::SHIFT, Key::N)],
    ),
    entry(
        Command::HowSure,
        Menu::View,
        "How sure is this plan",
        "What may be broken when it is dug as staked, what it may cost, and where one more shot settles most",
        &[key(CTRL_SHIFT, Key::H)],
    ),
    entry(
        Command::ZoomIn,
        Menu::View,
        "Zoom in",
        "Look nearer at the map",
        &[key(Modifiers::NONE, Key::Plus), key(Modifiers::NONE, Key::Equals)],
    ),
    entry(
        Command::ZoomOut,
        Menu::View,
        "Zoom out",
        "Look at the map from farther",
        &[key(Modifiers::NONE, Key::Minus)],
    ),
    entry(
        Command::Large,
        Menu::View,
        "Large",
        "Type, lines and handles half as large again, for a projector or a truck cab; once more as usual",
        &[key(CTRL_SHIFT, Key::B)],
    ),
    entry(Command::Theme, Menu::View, "Light or dark", "Switch the theme", &[key(CTRL, Key::D)]),
    entry(
        Command::Units,
        Menu::View,
        "Feet or meters",
        "Change the units of all figures and fields",
        &[key(CTRL, Key::U)],
    ),
    entry(
        Command::NextStep,
        Menu::View,
        "Next step of the lesson",
        "The next day, the next grade, the next lesson",
        &[key(Modifiers::NONE, Key::PageDown)],
    ),
    entry(
        Command::StepBack,
        Menu::View,
        "Step back in the lesson",
        "A day, a grade, a lesson back",
        &[key(Modifiers::NONE, Key::PageUp)],
    ),
    entry(
        Command::LargeType,
        Menu::View,
        "Large type in the lesson",
        "Type that is read from the back row",
        &[key(CTRL, Key::T)],
    ),
    entry(
        Command::PlayRain,
        Menu::View,
        "Let it rain",
        "Rain on the map in the lesson: begin, hold, go on",
        &[key(Modifiers::NONE, Key::R)],
    ),
    entry(
        Command::StepRain,
        Menu::View,
        "Five minutes of rain",
        "Move the clock of the rain on by five minutes and hold it",
        &[key(Modifiers::NONE, Key::Period)],
    ),
    entry(
        Command::Find,
        Menu::Help,
        "Find a command…",
        "Type a word of what is to be done; Enter does the first that is found",
        &[key(CTRL, Key::K)],
    ),
    entry(
        Command::Help,
        Menu::Help,
        "How it works",
        "The job in six steps, and the keys",
        &[key(Modifiers::NONE, Key::F1)],
    ),
];

impl Command {
    /// What it asks a path for, if that is all it does at first.
    pub const fn asks_path(self) -> Option<Purpose> {
        match self {
            Self::SaveAs => Some(Purpose::SavePlan),
            Self::OpenGround => Some(Purpose::OpenGround),
            Self::OpenBackdrop => Some(Purpose::OpenBackdrop),
            Self::AddLevels => Some(Purpose::AddLevels),
            Self::ReadBoundary => Some(Purpose::ReadBoundary),
            Self::ReadLines => Some(Purpose::ReadLines),
            Self::WritePicture => Some(Purpose::WritePicture),
            Self::ReadMarks => Some(Purpose::ReadMarks),
            Self::ReadPrices => Some(Purpose::ReadPrices),
            Self::WritePrices => Some(Purpose::WritePrices),
            Self::ReadHubs => Some(Purpose::ReadHubs),
            Self::ReadShots => Some(Purpose::ReadShots),
            Self::AddPhoto => Some(Purpose::AddPhoto),
            Self::BringField => Some(Purpose::BringField),
            Self::WriteLesson => Some(Purpose::WriteLesson),
            Self::WriteCrew => Some(Purpose::WriteCrew),
            _ => None,
        }
    }

    /// True when the command can be used now.
    pub fn is_enabled(self, session: &Session, view: &View) -> bool {
        match self {
            Self::Undo => session.history().undo_label().is_some(),
            Self::Redo => session.history().redo_label().is_some(),
            Self::Delete => view.selection != Selection::Nothing,
            Self::Reverse => view.selection.line().is_some(),
            Self::FitSelection => view.selection != Selection::Nothing || view.finding.is_some(),
            Self::NextFinding | Self::FindingBefore => !session.worked().findings.is_empty(),
            Self::AddLevels | Self::WriteGeojson | Self::ReadLines | Self::ReadBoundary | Self::ReadMarks => {
                session.ground().is_some()
            }
            Self::NextStep => view.stage == Stage::Lesson && view.lesson.goes_on(),
            Self::StepBack => view.stage == Stage::Lesson && view.lesson.goes_back(),
            Self::LargeType => view.stage == Stage::Lesson,
            Self::PlayRain | Self::StepRain => view.stage == Stage::Lesson && session.ground().is_some(),
            Self::HowSure | Self::WriteCrew => {
                session.ground().is_some() && !session.is_on_former_ground() && !session.plan().lines.is_empty()
            }
            Self::AddPhoto => session.path().is_some(),
            Self::LookAtPhotos => session.path().is_some() && !session.plan().record.photos.is_empty(),
            Self::Preview | Self::WriteSheets | Self::HandOver | Self::WriteDossier | Self::ReadShots => {
                !session.plan().lines.is_empty()
            }
            _ => true,
        }
    }
}

/// A tool, by what it does on the map.
#[derive(Debug, Clone, PartialEq)]
pub enum ToolKind {
    /// Chooses and moves.
    Select,
    /// Draws the boundary.
    Boundary,
    /// Places an outlet.
    Outlet,
    /// Draws a line.
    Line(LineKind),
    /// Lays parallel laterals off a main.
    Parallel,
    /// Draws a ditch or culvert.
    Watercourse(WatercourseKind),
    /// Marks something on the land, drawn so.
    Mark(LandmarkKind, DrawnAs),
    /// Shows the ground along a line.
    Section,
    /// Measures along clicked places.
    Measure,
    /// Draws a flow path.
    FlowPath,
    /// Enters old tile that was found in the trench.
    Found,
    /// Proposes the course of old tile that shows itself at a place.
    Likely,
    /// Asks what a wet spot tells.
    WetSpot,
    /// Draws where water is thought to gather.
    Guess,
}

impl ToolKind {
    /// Its name, as the tool list says it.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Select => "Select",
            Self::Boundary => "Boundary",
            Self::Outlet => "Outlet",
            Self::Line(LineKind::Main) => "Main",
            Self::Line(LineKind::Submain) => "Submain",
            Self::Line(LineKind::Lateral) => "Lateral",
            Self::Line(LineKind::OldTile(_)) => "Old tile",
            Self::Parallel => "Lateral grid",
            Self::Watercourse(WatercourseKind::Ditch) => "Ditch",
            Self::Watercourse(WatercourseKind::Culvert) => "Culvert",
            Self::Mark(..) => "Mark",
            Self::Section => "Section",
            Self::Measure => "Measure",
            Self::FlowPath => "Flow path",
            Self::Found => "Tile found",
            Self::Likely => "Likely tile",
            Self::WetSpot => "Wet spot",
            Self::Guess => "Guess",
        }
    }
}

/// The tools of the tool list: each with its key, which is pressed alone, and what it is for.
pub fn tools() -> [(ToolKind, Key, &'static str); 16] {
    let old_tile = LineKind::OldTile(OldTile::default());
    [
        (ToolKind::Select, Key::V, "Choose and move what is drawn"),
        (ToolKind::Boundary, Key::B, "Draw the field's boundary"),
        (ToolKind::Outlet, Key::O, "Place an outlet at a ditch or creek"),
        (ToolKind::Line(LineKind::Main), Key::M, "Draw a main from the outlet up"),
        (ToolKind::Line(LineKind::Submain), Key::S, "Draw a submain off the main"),
        (ToolKind::Line(LineKind::Lateral), Key::L, "Draw a lateral off a main, up a swale"),
        (ToolKind::Parallel, Key::G, "Lay parallel laterals off a main, at a bearing and a spacing"),
        (ToolKind::Line(old_tile), Key::T, "Draw old tile, suspected or seen"),
        (ToolKind::Watercourse(WatercourseKind::Ditch), Key::D, "Draw a ditch that the ground file does not show"),
        (ToolKind::Watercourse(WatercourseKind::Culvert), Key::C, "Draw a culvert under a bank"),
        (ToolKind::Measure, Key::E, "Measure distance, bearing, level, grade and area along clicked places"),
        (ToolKind::Section, Key::P, "See the profile of the ground along a line"),
        (ToolKind::FlowPath, Key::W, "See the way water takes from a place, and what drains to it"),
        (ToolKind::Found, Key::F, "Click where old tile was found in the trench of a planned line"),
        (ToolKind::Likely, Key::K, "Click an old outlet, a hole or a wet streak: where its line runs is proposed"),
        (ToolKind::WetSpot, Key::Q, "Ask of a wet spot which line is to blame, and where to dig first"),
    ]
}

/// Keys and buttons that are no command, with what they do.
pub const HAND_KEYS: &[(&str, &str)] = &[
    ("Enter", "ends what is drawn; where the arrow keys moved the pointer, clicks there first"),
    ("Escape", "leaves what is in hand, a field or a dialog without a trace"),
    ("Backspace", "takes the last point back"),
    ("Tab", "goes to the next button, field or thing on the map, with Shift back; Enter chooses it"),
    ("Arrow keys", "with a tool that draws move the pointer; with Select what is chosen, else the map"),
    ("Up, Down", "in a list of lines or findings: the row before, the next; with Shift all between"),
    ("Page Up, Page Down", "in the list of lines ten rows; in the print preview a page"),
    ("Home, End, W", "in the print preview: the first page, the last, as wide as there is room for"),
    ("Arrow keys, Backspace", "on the legend: move it, let it find its place again"),
    ("Shift, Alt", "with the arrow keys: far, or by a hair"),
    ("Space", "clicks where that pointer is; with Select brings it first"),
    ("Shift+Space", "takes hold of what is there: the arrow keys drag it, Space lets it go"),
    ("Alt", "held down turns snapping off"),
    ("Shift or Ctrl and a click", "chooses several lines; in the open a drag draws a box"),
    ("Ctrl++, Ctrl+-, Ctrl+0", "text larger, smaller, as usual"),
    ("Wheel", "zooms at the pointer"),
    ("Middle button, Space and drag", "moves the map"),
    ("Right button", "shows what can be done with what is there"),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Keys of commands, of tools, and those that the tool in hand hears; a letter with Ctrl is another key than the letter.
    #[test]
    fn no_two_things_share_a_key() {
        let commands = COMMANDS.iter().flat_map(|entry| entry.keys).map(|key| (key.modifiers, key.logical_key));
        let tools = tools().map(|(_, key, _)| (Modifiers::NONE, key));
        let on_map = [Key::Enter, Key::Escape, Key::Backspace, Key::Space].map(|key| (Modifiers::NONE, key));
        let panning =
            [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown].map(|key| (Modifiers::NONE, key));
        let keys: Vec<_> = commands.chain(tools).chain(on_map).chain(panning).collect();
        for (i, a) in keys.iter().enumerate() {
            assert!(!keys[i + 1..].contains(a), "{a:?} stands twice");
        }
    }

    /// Every command stands in the table once: menus and keyboard reach each, and nothing beside the table is needed.
    #[test]
    fn every_command_stands_once() {
        for (i, entry) in COMMANDS.iter().enumerate() {
            assert!(COMMANDS[i + 1..].iter().all(|other| other.command != entry.command), "{}", entry.label);
        }
    }

    #[test]
    fn every_command_has_words() {
        for entry in COMMANDS {
            assert!(!entry.label.is_empty() && !entry.tip.is_empty());
        }
    }
}
