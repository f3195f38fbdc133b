//! What the program remembers from one start to the next: recent plans, theme, units, the window's place, sizes of the panels.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use exchange::FileError;
use serde::{Deserialize, Serialize};

/// Plans that are remembered (own choice: what a menu shows at a glance).
const MOST_RECENT: usize = 10;

/// Where a window stood and how large it was, points.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WindowPlace {
    /// From the left edge of the screen.
    pub left: f32,
    /// From its top.
    pub top: f32,
    /// Width.
    pub width: f32,
    /// Height.
    pub height: f32,
}

/// Sizes of the panels round the map, as a person left them; points.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct PanelSizes {
    /// Width of the card.
    pub card: Option<f32>,
    /// Width of the card of the lessons.
    pub lesson: Option<f32>,
    /// Height of the profile.
    pub profile: Option<f32>,
}

/// What is remembered. None of it changes a plan.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Plan files that were open, the last one first.
    pub recent: Vec<PathBuf>,
    /// True where the last plan is opened at the start.
    pub open_last: bool,
    /// Dark theme.
    pub dark: bool,
    /// True where a new plan is metric.
    pub metric: bool,
    /// How much larger than usual all type is; `None` as usual.
    pub zoom: Option<f32>,
    /// What of the map was switched on or off, by its name.
    pub layers: BTreeMap<String, bool>,
    /// Where the legend was put, as shares of the map's width and height.
    pub legend: Option<(f32, f32)>,
    /// The window.
    pub window: Option<WindowPlace>,
    /// The panels.
    pub panels: PanelSizes,
}

impl Settings {
    /// Reads them; what cannot be read is forgotten, for nothing hangs on it.
    pub fn read(path: &Path) -> Self {
        let text = exchange::read_bytes(path).ok();
        text.and_then(|text| serde_json::from_slice(&text).ok()).unwrap_or_default()
    }

    /// Writes them.
    pub fn write(&self, path: &Path) -> Result<(), FileError> {
        if let Some(folder) = path.parent() {
            // A folder that cannot be made shows when the file is written.
            let _ = std::fs::create_dir_all(folder);
        }
        let text = serde_json::to_vec_pretty(self).unwrap_or_default();
        exchange::replace_file(path, &text, false)
    }

    /// Notes that a plan was opened or saved.
    pub fn opened(&mut self, path: &Path) {
        self.recent.retain(|other| other != path);
        self.recent.insert(0, path.to_path_buf());
        self.recent.truncate(MOST_RECENT);
    }
}

/// Where they are kept on this machine.
pub fn place() -> Option<PathBuf> {
    let dirs = directories::ProjectDirs::from("", "", "drainwright")?;
    Some(dirs.config_dir().join("settings.json"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn they_come_back_and_damage_is_forgotten() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("deep/settings.json");
        let window = Some(WindowPlace { left: 3.0, top: 4.0, width: 1400.0, height: 900.0 });
        let panels = PanelSizes { card: Some(420.0), ..PanelSizes::default() };
        let mut settings = Settings { dark: true, metric: true, window, panels, ..Settings::default() };
        for i in 0..12 {
            settings.opened(Path::new(&format!("/fields/{i}.drain")));
        }
        settings.opened(Path::new("/fields/5.drain"));
        assert_eq!(settings.recent.len(), MOST_RECENT);
        assert_eq!(settings.recent[0], Path::new("/fields/5.drain"));
        settings.write(&path).expect("written");
        assert_eq!(Settings::read(&path), settings);
        std::fs::write(&path, "{\"dark\": \"ye").expect("damaged");
        assert_eq!(Settings::read(&path), Settings::default());
        assert_eq!(Settings::read(&folder.path().join("none")), Settings::default());
    }
}
