//! Every command as data: label, tooltip, shortcut and when it can be used. Menus and keyboard read this one table.

use egui::{Key, KeyboardShortcut, Modifiers};

use crate::view::{Selection, View};
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
    /// Read a local rule set.
    ReadRules,
    /// Change the job's limits.
    Limits,
    /// Write the sheets as PDF.
    WriteSheets,
    /// Write the folder to hand over.
    HandOver,
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
    /// Show the whole field.
    Fit,
    /// Light or dark.
    Theme,
    /// Feet or metres.
    Units,
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
    entry(Command::ReadPrices, Menu::Plan, "Read price list…", "A CSV: item,size,branch,price,per,roll", &[]),
    entry(Command::WritePrices, Menu::Plan, "Write price list…", "The same CSV", &[]),
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
    entry(Command::Undo, Menu::Edit, "Undo", "Take the last edit back", &[key(CTRL, Key::Z)]),
    entry(Command::Redo, Menu::Edit, "Redo", "Do it again", &[key(CTRL_SHIFT, Key::Z), key(CTRL, Key::Y)]),
    entry(Command::SelectAll, Menu::Edit, "Select all lines", "Choose every line", &[key(CTRL, Key::A)]),
    entry(Command::Delete, Menu::Edit, "Delete", "Remove what is chosen", &[key(Modifiers::NONE, Key::Delete)]),
    entry(Command::Reverse, Menu::Edit, "Reverse line", "Turn the chosen line round", &[key(CTRL, Key::R)]),
    entry(
        Command::Fit,
        Menu::View,
        "Show whole field",
        "Fit the map to the field and its lines",
        &[key(Modifiers::NONE, Key::Home)],
    ),
    entry(Command::Theme, Menu::View, "Light or dark", "Change the paper", &[key(CTRL, Key::D)]),
    entry(Command::Units, Menu::View, "Feet or metres", "Change all figures and fields", &[key(CTRL, Key::U)]),
    entry(
        Command::Help,
        Menu::Help,
        "How it works",
        "The job in six steps, and the keys",
        &[key(Modifiers::NONE, Key::F1)],
    ),
];

impl Command {
    /// True when the command can be used now.
    pub fn is_enabled(self, session: &Session, view: &View) -> bool {
        match self {
            Self::Undo => session.history().undo_label().is_some(),
            Self::Redo => session.history().redo_label().is_some(),
            Self::Delete => view.selection != Selection::Nothing,
            Self::Reverse => view.selection.line().is_some(),
            Self::AddLevels | Self::WriteGeojson | Self::ReadLines | Self::ReadBoundary | Self::ReadMarks => {
                session.ground().is_some()
            }
            Self::WriteSheets | Self::HandOver => !session.plan().lines.is_empty(),
            _ => true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_key() {
        let keys: Vec<_> = COMMANDS.iter().flat_map(|entry| entry.keys).collect();
        for (i, a) in keys.iter().enumerate() {
            assert!(!keys[i + 1..].contains(a), "{a:?} stands twice");
        }
    }

    #[test]
    fn every_command_has_words() {
        for entry in COMMANDS {
            assert!(!entry.label.is_empty() && !entry.tip.is_empty());
        }
    }
}
