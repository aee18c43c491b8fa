//! The `lope` program: tunes read, checked, mended and tidied, in a terminal and in an editor.

mod cli;
mod config;
mod examine;
mod files;
mod lsp;
mod make;
mod report;
mod view;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
