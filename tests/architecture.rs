//! The shape of the source, held by a test: who may import whom, who may read YAML, who may print.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a test ends by panicking"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// For each part of the program the parts that it may use. Imports run one way; DEVELOPERS.md draws the same picture.
const MAY_USE: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("document", &["units"]),
    ("inference", &[]),
    ("physics", &["units"]),
    ("rules", &["units", "document", "physics"]),
    ("sheet", &["units", "document", "physics", "rules"]),
    ("advice", &["units", "document", "inference", "physics", "rules", "sheet"]),
    ("interview", &["units", "document", "inference", "physics", "rules", "sheet", "advice"]),
    ("report", &["units", "document", "inference", "physics", "rules", "sheet", "advice"]),
    ("casebook", &["units", "document", "inference", "physics", "rules", "sheet", "advice", "report"]),
    (
        "cli",
        &[
            "units",
            "document",
            "inference",
            "physics",
            "rules",
            "sheet",
            "advice",
            "interview",
            "casebook",
            "report",
        ],
    ),
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file below a folder, but for the build's and the version control's own.
fn files(dir: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if name != "target" && name != ".git" {
                files(&path, found);
            }
        } else if name != ".git" {
            found.push(path);
        }
    }
}

/// The source files with the part of the program each belongs to, `main` and `lib` left out.
fn sources() -> Vec<(String, PathBuf, String)> {
    let mut paths = Vec::new();
    files(&root().join("src"), &mut paths);
    let parts = paths.into_iter().filter_map(|path| {
        let inside = path.strip_prefix(root().join("src")).unwrap().to_path_buf();
        let first = inside.components().next().unwrap().as_os_str().to_string_lossy().into_owned();
        let part = first.trim_end_matches(".rs").to_owned();
        let text = std::fs::read_to_string(&path).unwrap();
        (part != "main" && part != "lib").then_some((part, inside, text))
    });
    parts.collect()
}

/// The code of a file without its comments.
fn code(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter(|l| !l.trim_start().starts_with("//"))
}

/// The parts named after `crate::` on a line, in groups too: `use crate::{rules, units::Celsius};`.
fn named(line: &str) -> Vec<String> {
    let mut found = Vec::new();
    for piece in line.split("crate::").skip(1) {
        let word = |t: &str| t.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
        match piece.strip_prefix('{') {
            Some(group) => found.extend(group.split(',').map(|t| word(t.trim()))),
            None => found.push(word(piece)),
        }
    }
    found
}

#[test]
fn imports_run_one_way() {
    let allowed: BTreeMap<&str, BTreeSet<&str>> =
        MAY_USE.iter().map(|(part, others)| (*part, others.iter().copied().collect())).collect();
    let mut wrong = Vec::new();
    let mut edges = 0;
    for (part, path, text) in sources() {
        let Some(may) = allowed.get(part.as_str()) else {
            wrong.push(format!("src/{}: give the part `{part}` its line in MAY_USE", path.display()));
            continue;
        };
        for other in code(&text).flat_map(named).filter(|o| *o != part && allowed.contains_key(o.as_str())) {
            edges += 1;
            if !may.contains(other.as_str()) {
                wrong.push(format!("src/{}: {part} may not use {other}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(edges > 50, "only {edges} imports found: the test no longer reads the source");
}

/// The list itself has no way round: a part may use only parts that stand above it.
#[test]
fn the_allowed_directions_have_no_circle() {
    for (at, (part, others)) in MAY_USE.iter().enumerate() {
        for other in *others {
            let place = MAY_USE.iter().position(|(p, _)| p == other).unwrap();
            assert!(place < at, "{part} and {other}");
        }
    }
}

#[test]
fn one_module_knows_the_yaml_crate() {
    let mut knowing: Vec<String> = sources()
        .into_iter()
        .filter(|(_, _, text)| code(text).any(|l| l.contains("serde_yaml")))
        .map(|(_, path, _)| path.display().to_string())
        .collect();
    knowing.sort();
    assert_eq!(knowing, ["document/yaml.rs"]);
}

/// Only the command line prints, reads the environment or ends the process; the interview's prompt owns a terminal.
#[test]
fn only_the_command_line_touches_the_terminal() {
    const MARKS: &[&str] = &[
        "println!",
        "print!(",
        "eprint",
        "anstream",
        "io::stdout",
        "io::stderr",
        "env::var",
        "process::exit",
    ];
    let mut wrong = Vec::new();
    for (part, path, text) in sources() {
        if part == "cli" || path == Path::new("interview/prompt.rs") {
            continue;
        }
        for line in code(&text).filter(|l| MARKS.iter().any(|m| l.contains(m))) {
            wrong.push(format!("src/{}: {}", path.display(), line.trim()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The repository stands alone: no file of it names a folder of somebody's machine.
#[test]
fn no_file_names_a_folder_of_a_machine() {
    // Put together here, so that this file does not name them either.
    let folders = ["home", "Users", "root", "work", "tmp", "mnt", "workspace"].map(|f| format!("/{f}/"));
    let begins = |before: Option<char>| before.is_none_or(|c| c.is_whitespace() || "\"'`(=:[<,".contains(c));
    let mut all = Vec::new();
    files(root(), &mut all);
    let mut wrong = Vec::new();
    for path in all {
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        for (number, line) in text.lines().enumerate() {
            let hit = folders.iter().any(|f| {
                line.match_indices(f.as_str()).any(|(at, _)| begins(line[..at].chars().next_back()))
            });
            let drive = line.contains(":\\Users\\");
            if hit || drive {
                wrong.push(format!("{}:{}: {}", path.display(), number + 1, line.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
