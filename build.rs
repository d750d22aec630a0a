//! Reads the shipped rule files once, when the program is built: parsing YAML would be nearly all of its start-up.
//!
//! What is embedded is the tree of nodes with their places, not the checked rules, so that a shop's own folder and
//! the shipped rules go through the same code from there on. A file that is not YAML is left to be reported at run
//! time, with its place.

#[allow(dead_code, unreachable_pub, missing_docs)]
#[path = "src/document/diagnostic.rs"]
mod diagnostic;
#[allow(dead_code, unreachable_pub, missing_docs)]
#[path = "src/document/source.rs"]
mod source;
#[allow(dead_code, unreachable_pub, missing_docs)]
#[path = "src/document/yaml.rs"]
mod yaml;

use source::Sources;
use std::error::Error;
use std::path::Path;
use yaml::{Node, read};

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-changed=rules");
    println!("cargo::rerun-if-changed=src/document");
    println!("cargo::rerun-if-changed=build.rs");
    let mut trees: Vec<(String, Option<Node>)> = Vec::new();
    collect(Path::new("rules"), "", &mut trees)?;
    let out = std::env::var("OUT_DIR")?;
    std::fs::write(Path::new(&out).join("rules.bin"), postcard::to_stdvec(&trees)?)?;
    Ok(())
}

fn collect(dir: &Path, prefix: &str, trees: &mut Vec<(String, Option<Node>)>) -> Result<(), Box<dyn Error>> {
    for entry in std::fs::read_dir(dir)? {
        let path = entry?.path();
        let name = format!("{prefix}{}", path.file_name().unwrap_or_default().to_string_lossy());
        if path.is_dir() {
            collect(&path, &format!("{name}/"), trees)?;
        } else if name.ends_with(".yaml") {
            let text = std::fs::read_to_string(&path).unwrap_or_default();
            let source = Sources::default().add(name.clone(), text.clone());
            trees.push((name, read(source, &text).ok()));
        }
    }
    Ok(())
}
