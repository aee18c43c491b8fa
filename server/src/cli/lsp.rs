use std::process::ExitCode;

use clap::Args;

/// Speak to an editor
///
/// An editor starts this and speaks the Language Server Protocol with it over standard input and output.
#[derive(Args)]
pub struct Lsp {
    /// Over standard input and output, as always: some editors say so
    #[arg(long)]
    stdio: bool,
}

impl Lsp {
    pub fn run(self) -> ExitCode {
        let Self { stdio: _ } = self;
        crate::lsp::serve()
    }
}
