//! Starts Drainwright: a command without a window, or the window.

use std::process::ExitCode;

use app::cli::{self, Arguments};
use app::window;
use clap::Parser;
use job::{chosen, files, salvage};

fn main() -> ExitCode {
    let report = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if !design::is_caught(panic) {
            report(panic);
        }
    }));
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(told) => return cli::told_by_parser(&told),
    };
    if let Some(folder) = files::data_folder() {
        chosen::keep_in(&folder);
    }
    match &arguments.command {
        Some(verb) => cli::run(verb),
        None if has_display() => open_window(&arguments),
        None => cli::demo_without_window("no display was found"),
    }
}

/// True where a window can be hoped for: outside unix always, there when a display is named.
fn has_display() -> bool {
    let named = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || named("DISPLAY") || named("WAYLAND_DISPLAY")
}

fn open_window(arguments: &Arguments) -> ExitCode {
    if let Some(path) = arguments.plan.as_ref().filter(|path| !path.exists()) {
        return cli::fail(&format!("{}: there is no such file{}", path.display(), salvage::advice(path)));
    }
    // A missing system library shows as a panic inside the window library; the person still gets an answer.
    let opened = std::panic::catch_unwind(|| window::run(arguments.plan.as_deref()));
    match opened {
        Ok(Ok(())) => ExitCode::SUCCESS,
        Ok(Err(error)) if arguments.plan.is_some() => cli::fail(&error),
        Ok(Err(error)) => cli::demo_without_window(&format!("no window could be opened ({error})")),
        Err(_) => cli::demo_without_window("no window could be opened (see the README for the packages it needs)"),
    }
}
