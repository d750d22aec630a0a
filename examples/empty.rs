//! An argument parser and nothing behind it: what start-up times are measured against.

use clap::Parser;

/// Does nothing
#[derive(Debug, Parser)]
struct Arguments {
    /// Ignored
    #[arg(long)]
    format: Option<String>,
}

fn main() {
    let _ = Arguments::parse();
}
