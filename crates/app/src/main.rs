//! Starts Drainwright: a command without a window, or the window.

use std::process::ExitCode;

use app::cli::{self, Arguments};
use clap::Parser;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    match &arguments.command {
        Some(verb) => cli::run(verb),
        None => cli::demo_without_window("no display was found"),
    }
}
