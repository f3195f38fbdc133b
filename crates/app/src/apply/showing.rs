//! Shows a folder in whatever program of the system opens folders.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use egui::Context;

use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};

/// How often, and how long apart, a program is looked after: one that has not failed within two seconds answers.
const LOOKS: (u32, Duration) = (40, Duration::from_millis(50));

/// Opens a folder beside the window; where no program answers, says so.
pub fn open_folder(desk: &mut Desk, folder: PathBuf, ctx: &Context) {
    let opener = desk.habits.opener.clone();
    let task = Task::on(Kind::Show, "Opening the folder", &folder);
    desk.begin(task, ctx, move |_| {
        show(&folder, opener.as_deref())?;
        Ok(then(move |desk, _, _| desk.told = Some(format!("Opened: {}", folder.display()))))
    });
}

fn show(folder: &Path, opener: Option<&Path>) -> Result<(), String> {
    if !folder.is_dir() {
        return Err(format!("{} is not there any more.", folder.display()));
    }
    let programs = match opener {
        Some(program) => {
            let mut command = Command::new(program);
            command.arg(folder);
            vec![command]
        }
        None => open::commands(folder),
    };
    match programs.into_iter().any(answers) {
        true => Ok(()),
        false => Err(format!("No program of this machine opened the folder. It is {}", folder.display())),
    }
}

/// True once a program ended well, or goes on.
fn answers(mut command: Command) -> bool {
    let quiet = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let Ok(mut child) = quiet.spawn() else { return false };
    for _ in 0..LOOKS.0 {
        match child.try_wait() {
            Ok(None) => std::thread::sleep(LOOKS.1),
            Ok(Some(status)) => return status.success(),
            Err(_) => return false,
        }
    }
    // It is waited for, so that nothing of it is left once it ends.
    std::thread::spawn(move || child.wait());
    true
}
