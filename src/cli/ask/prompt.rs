//! Where the caster's lines come from: a terminal with completion and history, or a file or pipe. Only this file knows
//! the line editor.

use crate::cli::failure::Failure;
use crate::cli::output::Out;
use crate::document::visible;
use rustyline::completion::{Completer, FilenameCompleter, Pair};
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::history::FileHistory;
use rustyline::{CompletionType, Config, Context, Editor, Helper, Validator};
use std::borrow::Cow;
use std::collections::VecDeque;
use std::fs::File;
use std::io::{BufRead, BufReader, IsTerminal as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// What the caster did.
pub(super) enum Input {
    /// Typed a line.
    Line(String),
    /// Pressed Ctrl-C.
    Interrupt,
    /// Pressed Ctrl-D, or the file is at its end.
    End,
}

/// What may be typed now.
#[derive(Debug, Clone, Default)]
pub(super) struct Expected {
    /// Answers and commands, whole.
    pub(super) lines: Vec<String>,
    /// What may follow `show` and `ask`.
    pub(super) ids: Vec<String>,
    /// The kind of question, for its own history.
    pub(super) kind: &'static str,
}

/// The source of lines.
pub(super) enum Prompt {
    Terminal(Box<Terminal>),
    Plain(Box<dyn BufRead>),
}

/// A terminal with its line editor.
pub(super) struct Terminal {
    editor: Editor<Help, FileHistory>,
    histories: Option<PathBuf>,
    interrupts: Interrupts,
    /// Further lines of what was pasted in one piece: an answer each, for the prompts to come.
    ahead: VecDeque<String>,
    /// What the next prompt begins with.
    begun: String,
}

/// Ctrl-C while no line is being read: the line editor sees only those at its prompt. The first is kept for the next
/// prompt; one more before that prompt ends the program at once.
pub(super) struct Interrupts(Arc<AtomicBool>);

impl Interrupts {
    fn listen() -> std::io::Result<Self> {
        let pressed = Arc::new(AtomicBool::new(false));
        let signal = signal_hook::consts::SIGINT;
        // In this order: what is pressed first must not end the program itself.
        signal_hook::flag::register_conditional_shutdown(signal, 0, Arc::clone(&pressed))?;
        signal_hook::flag::register(signal, Arc::clone(&pressed))?;
        Ok(Self(pressed))
    }

    /// Whether one came since the last prompt.
    fn take(&self) -> bool {
        self.0.swap(false, Ordering::SeqCst)
    }
}

/// Lines longer than this are cut: no answer is.
const LONGEST: usize = 4096;

impl Prompt {
    /// Lines from a file, or from the standard input, which may be a terminal.
    pub(super) fn open(answers: Option<&Path>, histories: Option<PathBuf>) -> Result<Self, Failure> {
        if let Some(path) = answers.filter(|p| p.as_os_str() != "-") {
            let file = File::open(path).map_err(|source| Failure::File {
                path: path.display().to_string(),
                doing: "read",
                source,
            })?;
            return Ok(Self::Plain(Box::new(BufReader::new(file))));
        }
        let terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
        if answers.is_some() || !terminal {
            return Ok(Self::Plain(Box::new(BufReader::new(std::io::stdin()))));
        }
        let config = Config::builder().completion_type(CompletionType::List).auto_add_history(false).build();
        let mut editor = Editor::with_config(config).map_err(|e| broken(&e))?;
        editor.set_helper(Some(Help::default()));
        let interrupts = Interrupts::listen().map_err(Failure::Output)?;
        let (ahead, begun) = (VecDeque::new(), String::new());
        Ok(Self::Terminal(Box::new(Terminal { editor, histories, interrupts, ahead, begun })))
    }

    /// The next line.
    pub(super) fn read(&mut self, lead: &str, expected: Expected) -> Result<Input, Failure> {
        match self {
            Self::Plain(lines) => {
                let mut bytes = Vec::new();
                let count = lines.read_until(b'\n', &mut bytes)?;
                let text = cut(String::from_utf8_lossy(&bytes).trim_end_matches(['\n', '\r']));
                show(lead, &text)?;
                Ok(if count == 0 { Input::End } else { Input::Line(text) })
            }
            Self::Terminal(terminal) => terminal.read(lead, expected),
        }
    }
}

impl Terminal {
    fn read(&mut self, lead: &str, expected: Expected) -> Result<Input, Failure> {
        if self.interrupts.take() {
            // What waits is not sent any more, nor is it lost.
            self.begun = self.ahead.drain(..).collect::<Vec<_>>().join("\n");
            return Ok(Input::Interrupt);
        }
        let history = self.histories.as_ref().map(|folder| folder.join(format!("history-{}", expected.kind)));
        let _ = self.editor.clear_history();
        if let Some(history) = &history {
            // A history that cannot be read is no reason not to ask.
            let _ = self.editor.load_history(history);
        }
        if let Some(help) = self.editor.helper_mut() {
            help.expected = expected;
        }
        let line = match self.ahead.pop_front() {
            Some(line) => {
                show(lead, &line)?;
                line
            }
            None => match self.editor.readline_with_initial(lead, (&std::mem::take(&mut self.begun), "")) {
                Ok(typed) => {
                    let mut lines = typed.lines().map(cut);
                    let first = lines.next().unwrap_or_default();
                    self.ahead.extend(lines);
                    first
                }
                Err(ReadlineError::Interrupted) => return Ok(Input::Interrupt),
                Err(ReadlineError::Eof) => return Ok(Input::End),
                Err(error) => return Err(broken(&error)),
            },
        };
        if !line.trim().is_empty() {
            let _ = self.editor.add_history_entry(line.as_str());
            if let Some(history) = &history {
                let _ = self.editor.append_history(history);
            }
        }
        Ok(Input::Line(line))
    }
}

/// A line as far as it is read.
fn cut(line: &str) -> String {
    line.chars().take(LONGEST).collect()
}

/// Prints a line that no terminal has shown at its prompt, so that the transcript is the same.
fn show(lead: &str, line: &str) -> Result<(), Failure> {
    let mut page = Out::new();
    page.line(format!("{lead}{}", visible(line)).trim_end());
    page.finish()
}

fn broken(error: &ReadlineError) -> Failure {
    Failure::usage(format!("the terminal cannot be read: {error}"))
        .with_help("put the answers in a file, one a line, and use `--answers FILE`")
}

/// Completion and hints.
#[derive(Helper, Validator, Default)]
pub(super) struct Help {
    expected: Expected,
    files: FilenameCompleter,
}

impl Help {
    fn matching(&self, line: &str) -> Vec<String> {
        let lower = line.to_lowercase();
        let after = |word: &str| lower.strip_prefix(word).map(|rest| (word.to_owned(), rest.to_owned()));
        if let Some((word, rest)) = after("show ").or_else(|| after("ask ")) {
            let ids = self.expected.ids.iter().filter(|id| id.starts_with(rest.trim_start()));
            return ids.map(|id| format!("{word}{id}")).collect();
        }
        // Of several answers with commas only the last one is being typed.
        let (before, last) =
            lower.rsplit_once(',').map_or(("", lower.as_str()), |(b, l)| (b, l.trim_start()));
        let lead = if before.is_empty() {
            String::new()
        } else {
            format!("{}, ", &line[..before.len().min(line.len())])
        };
        let whole = |l: &&String| l.to_lowercase().starts_with(last);
        self.expected.lines.iter().filter(whole).map(|l| format!("{lead}{l}")).collect()
    }
}

impl Completer for Help {
    type Candidate = Pair;
    fn complete(&self, line: &str, pos: usize, ctx: &Context<'_>) -> rustyline::Result<(usize, Vec<Pair>)> {
        let lower = line.to_lowercase();
        if ["save ", "next ", "report "].iter().any(|word| lower.starts_with(word)) {
            return self.files.complete(line, pos, ctx);
        }
        let typed = line.get(..pos).unwrap_or(line);
        let found = self.matching(typed);
        Ok((0, found.into_iter().map(|l| Pair { display: l.clone(), replacement: l }).collect()))
    }
}

impl Hinter for Help {
    type Hint = String;
    /// The rest of the line when only one thing can be meant.
    fn hint(&self, line: &str, pos: usize, _: &Context<'_>) -> Option<String> {
        if pos < line.len() || line.trim().is_empty() {
            return None;
        }
        let found = self.matching(line);
        let [only] = found.as_slice() else { return None };
        only.get(line.len()..).filter(|rest| !rest.is_empty()).map(str::to_owned)
    }
}

impl Highlighter for Help {
    fn highlight_hint<'h>(&self, hint: &'h str) -> Cow<'h, str> {
        Cow::Owned(crate::cli::style::paint(anstyle::Style::new().dimmed(), hint))
    }
}
