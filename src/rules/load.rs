//! Rule files to a rule base: the shipped ones from the binary, a shop's own from a folder.

use super::decode::{self, File, Topic};
use super::lint::Places;
use super::model::{Quantity, RuleBase};
use crate::document::{Code, Diagnostic, Diagnostics, Node, SourceId, Sources, Span, read};
use include_dir::{Dir, include_dir};
use std::borrow::Cow;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

static SHIPPED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/rules");

/// The shipped files as trees, read when the program was built (build.rs).
static SHIPPED_TREES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/rules.bin"));

/// How deep folders may lie below the rule folder; a link back to itself ends here.
const DEEPEST: usize = 4;

/// A rule base with the texts it came from and everything that is wrong with it.
#[derive(Debug)]
pub struct Loaded {
    /// The rules; whole only when `problems` holds no error.
    pub rules: RuleBase,
    /// The texts, for showing places.
    pub sources: Sources,
    /// What is wrong.
    pub problems: Diagnostics,
    /// Where each record stands.
    pub places: Places,
}

/// Why rule files could not be read at all.
#[derive(Debug, thiserror::Error)]
pub enum LoadError {
    /// A folder or file that cannot be opened.
    #[error("cannot read {}: {source}", path.display())]
    Unreadable {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// A folder with nothing in it to read.
    #[error("{} holds no rule file; a rule folder has files such as causes/flask-heat.yaml", path.display())]
    Empty {
        /// Which.
        path: PathBuf,
    },
}

/// The rules built into the program.
pub fn shipped(quantities: &[Quantity]) -> Loaded {
    let mut files = Vec::new();
    collect_shipped(&SHIPPED, &mut files);
    files.sort();
    let mut trees: HashMap<String, Option<Node>> =
        postcard::from_bytes::<Vec<_>>(SHIPPED_TREES).unwrap_or_default().into_iter().collect();
    let texts = files
        .into_iter()
        .map(|(name, bytes)| {
            let tree = trees.remove(&name).flatten();
            Text { name, bytes: Cow::Borrowed(bytes), tree }
        })
        .collect();
    assemble("rules/", texts, quantities)
}

/// A rule file before it is taken apart.
struct Text {
    name: String,
    bytes: Cow<'static, [u8]>,
    /// Already read, when it was shipped.
    tree: Option<Node>,
}

fn collect_shipped(dir: &'static Dir<'static>, files: &mut Vec<(String, &'static [u8])>) {
    for file in dir.files() {
        let name = file.path().to_string_lossy().replace('\\', "/");
        if is_yaml(&name) {
            files.push((name, file.contents()));
        }
    }
    for sub in dir.dirs() {
        collect_shipped(sub, files);
    }
}

/// The rules of a folder, in place of the shipped ones.
///
/// # Errors
/// [`LoadError`] when the folder cannot be read or holds no rule file. What is wrong *in* the files is in
/// [`Loaded::problems`].
pub fn folder(root: &Path, quantities: &[Quantity]) -> Result<Loaded, LoadError> {
    let mut texts = Vec::new();
    collect_folder(root, String::new(), 0, &mut texts)?;
    if texts.is_empty() {
        return Err(LoadError::Empty { path: root.to_path_buf() });
    }
    texts.sort();
    let prefix = format!("{}/", root.display().to_string().trim_end_matches('/'));
    Ok(from_texts(&prefix, texts, quantities))
}

fn collect_folder(
    dir: &Path,
    prefix: String,
    depth: usize,
    texts: &mut Vec<(String, Vec<u8>)>,
) -> Result<(), LoadError> {
    let unreadable = |path: &Path| {
        let path = path.to_path_buf();
        move |source| LoadError::Unreadable { path, source }
    };
    for entry in std::fs::read_dir(dir).map_err(unreadable(dir))? {
        let path = entry.map_err(unreadable(dir))?.path();
        let name = format!("{prefix}{}", path.file_name().unwrap_or_default().to_string_lossy());
        if path.is_dir() {
            if depth < DEEPEST {
                collect_folder(&path, format!("{name}/"), depth + 1, texts)?;
            }
        } else if is_yaml(&name) {
            texts.push((name, std::fs::read(&path).map_err(unreadable(&path))?));
        }
    }
    Ok(())
}

fn is_yaml(name: &str) -> bool {
    let path = Path::new(name);
    path.extension().is_some_and(|e| e == "yaml" || e == "yml")
        && !path.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'))
}

/// Rules from texts in memory; `prefix` stands before the names in messages.
pub fn from_texts(prefix: &str, texts: Vec<(String, Vec<u8>)>, quantities: &[Quantity]) -> Loaded {
    let texts =
        texts.into_iter().map(|(name, bytes)| Text { name, bytes: Cow::Owned(bytes), tree: None }).collect();
    assemble(prefix, texts, quantities)
}

fn assemble(prefix: &str, texts: Vec<Text>, quantities: &[Quantity]) -> Loaded {
    let mut sources = Sources::default();
    let mut problems = Diagnostics::default();
    let mut wanted: Vec<Wanted> = Vec::new();
    let mut lost: Vec<Topic> = Vec::new();
    for Text { name, bytes, tree } in texts {
        let shown = format!("{prefix}{name}");
        let text = match utf8(bytes) {
            Ok(text) => text,
            Err((at, text)) => {
                let source = sources.add(shown, text);
                let span = Span { source, range: at..at + 1 };
                problems.push(
                    Diagnostic::error(Code::Unreadable, span, "not UTF-8 text")
                        .label("this byte")
                        .help("save the file as UTF-8"),
                );
                lost.extend(Topic::of(&name));
                continue;
            }
        };
        let topic = Topic::of(&name);
        let source = sources.add(shown, text);
        match topic {
            Some(topic) => wanted.push(Wanted { path: name, topic, source, tree }),
            None => problems.push(
                Diagnostic::error(
                    Code::BadChoice,
                    Span { source, range: 0..0 },
                    "the file's name says nothing of what it holds",
                )
                .help(format!("the file or its folder is one of: {}", Topic::names())),
            ),
        }
    }
    let unread: Vec<SourceId> = wanted.iter().filter(|w| w.tree.is_none()).map(|w| w.source).collect();
    let mut trees = read_all(&sources, &unread).into_iter();
    let mut files = Vec::new();
    for Wanted { path, topic, source, tree } in wanted {
        match tree.map_or_else(|| trees.next(), |tree| Some(Ok(tree))) {
            Some(Ok(tree)) => files.push(File { path, topic, source, tree }),
            Some(Err(problem)) => {
                problems.push(*problem);
                lost.push(topic);
            }
            None => {}
        }
    }
    let (rules, found, places) = decode::decode(&files, &lost, quantities);
    problems.append(found);
    problems.sort();
    Loaded { rules, sources, problems, places }
}

/// A file whose kind is known.
struct Wanted {
    path: String,
    topic: Topic,
    source: SourceId,
    tree: Option<Node>,
}

/// Text, or the offset of the first wrong byte with what can be shown of it.
fn utf8(bytes: Cow<'static, [u8]>) -> Result<Cow<'static, str>, (usize, String)> {
    let lossy = |error: std::str::Utf8Error, bytes: &[u8]| {
        (error.valid_up_to(), String::from_utf8_lossy(bytes).into_owned())
    };
    match bytes {
        Cow::Borrowed(bytes) => std::str::from_utf8(bytes).map(Cow::Borrowed).map_err(|e| lossy(e, bytes)),
        Cow::Owned(bytes) => {
            String::from_utf8(bytes).map(Cow::Owned).map_err(|e| lossy(e.utf8_error(), e.as_bytes()))
        }
    }
}

/// Reads files side by side: parsing is nearly all of the time that a shop's own rules take.
fn read_all(sources: &Sources, wanted: &[SourceId]) -> Vec<Result<Node, Box<Diagnostic>>> {
    let workers = std::thread::available_parallelism().map_or(1, usize::from).clamp(1, 4).min(wanted.len());
    let next = AtomicUsize::new(0);
    // The longest first, so that no worker is left with a long one at the end.
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by_key(|i| std::cmp::Reverse(sources.text(wanted[*i]).len()));
    let (order, next) = (&order, &next);
    let work = move || {
        let mut mine = Vec::new();
        while let Some(&i) = order.get(next.fetch_add(1, Ordering::Relaxed)) {
            mine.push((i, read(wanted[i], sources.text(wanted[i]))));
        }
        mine
    };
    let mut done: Vec<(usize, _)> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..workers).map(|_| scope.spawn(work)).collect();
        handles.into_iter().flat_map(|h| h.join().unwrap_or_default()).collect()
    });
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, r)| r).collect()
}
