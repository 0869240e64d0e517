//! The manners of the command line: standard input, quiet, the summary, help
//! that runs.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end
#![allow(clippy::disallowed_methods)] // jobs are written to a folder of their own

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use tempfile::TempDir;

/// A short job that is worked out in no time.
const SMALL: &str = "job = \"brace\"\n[[cut]]\nname = \"beam\"\nshape = \"angle\"\nsize = \"40 x 40 x 4 mm\"\n\
                     length = \"500 mm\"\n";
/// A bin that it can be cut from.
const ENOUGH: &str = "[[offcut]]\nid = \"A-1\"\nshape = \"angle\"\nsize = \"40 x 40 x 4 mm\"\nmaterial = \"mild steel\"\nlength = \"900 mm\"\n";

fn program(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_droprack"));
    command.current_dir(folder).args(arguments).env_remove("COLUMNS");
    command
}

fn droprack(folder: &Path, arguments: &[&str]) -> Output {
    program(folder, arguments).stdin(Stdio::null()).output().unwrap()
}

/// Run with a text on standard input.
fn fed(folder: &Path, arguments: &[&str], text: &[u8]) -> Output {
    let piped = || Stdio::piped();
    let mut child = program(folder, arguments).stdin(piped()).stdout(piped()).stderr(piped()).spawn().unwrap();
    // A program that ends before it has read all is told by its exit status.
    let _ = child.stdin.take().unwrap().write_all(text);
    child.wait_with_output().unwrap()
}

fn out(o: &Output) -> String {
    String::from_utf8_lossy(&o.stdout).into_owned()
}

fn err(o: &Output) -> String {
    String::from_utf8_lossy(&o.stderr).into_owned()
}

fn folder_with(files: &[(&str, &str)]) -> TempDir {
    let place = tempfile::tempdir().unwrap();
    for (name, text) in files {
        fs::write(place.path().join(name), text).unwrap();
    }
    place
}

fn demo(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy");
    fs::read_to_string(folder.join(name)).unwrap()
}

#[test]
fn a_job_from_standard_input_is_the_job_of_the_current_folder() {
    let place = folder_with(&[("job.toml", SMALL), ("bin.toml", ENOUGH)]);
    for command in ["check", "flat", "cut"] {
        let by_name = droprack(place.path(), &[command, "job.toml"]);
        let piped = fed(place.path(), &[command, "-"], SMALL.as_bytes());
        assert_eq!(piped.status.code(), Some(0), "{command}: {}", err(&piped));
        assert_eq!(out(&piped), out(&by_name), "{command}");
    }
    assert!(out(&fed(place.path(), &["cut", "-"], SMALL.as_bytes())).contains("A-1"), "the folder's bin is used");
    let made = fed(place.path(), &["make", "-"], SMALL.as_bytes());
    assert_eq!(made.status.code(), Some(0), "{}", err(&made));
    assert!(out(&made).contains("output/standard-input"), "where the files are is told: {}", out(&made));
    assert!(place.path().join("output/standard-input/index.html").is_file());
    assert_eq!(fed(place.path(), &["make", "-", "--out", "there"], SMALL.as_bytes()).status.code(), Some(0));
    assert!(place.path().join("there/job.json").is_file());
}

#[test]
fn templates_for_standard_input_lie_in_the_current_folder() {
    let own = include_str!("../templates/spacer.toml").replace("template = \"spacer\"", "template = \"own-spacer\"");
    let place = folder_with(&[("own-spacer.toml", &own)]);
    let job = "job = \"x\"\n[[part]]\nname = \"s\"\ntemplate = \"own-spacer\"\n";
    let o = fed(place.path(), &["check", "-"], job.as_bytes());
    assert!(!err(&o).contains("there is no template"), "{}", err(&o));
    let o = fed(place.path(), &["check", "-"], own.as_bytes());
    assert!(matches!(o.status.code(), Some(0 | 1)) && out(&o).contains("own-spacer"), "{}{}", out(&o), err(&o));
}

#[test]
fn faults_of_standard_input_are_told_under_its_name() {
    let place = tempfile::tempdir().unwrap();
    let faulty = SMALL.replace("length", "lenght");
    let o = fed(place.path(), &["check", "-"], faulty.as_bytes());
    assert_eq!(o.status.code(), Some(2));
    assert!(err(&o).contains("standard input:6:1"), "{}", err(&o));
    let o = fed(place.path(), &["cut", "-", "--json"], &[0x6a, 0xff, 0xfe]);
    assert_eq!(o.status.code(), Some(2), "not UTF-8");
    assert!(err(&o).contains("cannot read standard input"), "{}", err(&o));
    let long = vec![b'#'; 4_000_001];
    let o = fed(place.path(), &["make", "-"], &long);
    assert!(o.status.code() == Some(2) && err(&o).contains("longer than"), "{}", err(&o));
    assert!(!place.path().join("output").exists());
}

#[test]
fn quiet_says_nothing_when_all_is_well_and_one_line_when_not() {
    let place = folder_with(&[("job.toml", SMALL), ("bin.toml", ENOUGH)]);
    let o = droprack(place.path(), &["make", "job.toml", "--quiet", "--out", "there"]);
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    assert!(o.stdout.is_empty() && o.stderr.is_empty(), "{}{}", out(&o), err(&o));
    assert!(place.path().join("there/index.html").is_file());
    fs::write(place.path().join("bin.toml"), "").unwrap();
    let o = droprack(place.path(), &["-q", "make", "job.toml", "--out", "there"]);
    assert_eq!(o.status.code(), Some(1));
    assert!(o.stdout.is_empty(), "{}", out(&o));
    assert_eq!(err(&o), "1 piece cannot be cut from the stock: see findings.txt and cut-plan.txt in there\n");
    let o = droprack(place.path(), &["cut", "job.toml", "-q"]);
    assert!(o.status.code() == Some(1) && out(&o).contains("NOT CUT"), "what was asked for is printed");
    assert_eq!(err(&o).lines().count(), 1, "{}", err(&o));
}

#[test]
fn quiet_keeps_notes_back_but_no_error() {
    let place = tempfile::tempdir().unwrap();
    for arguments in [
        &["new", "shed", "--part", "tank-strap", "-q"][..],
        &["printer-test", "-q"],
        &["bin", "add", "flat bar 40 x 3 mm, 872 mm", "-q"],
        &["bin", "labels", "-q"],
        &["bin", "undo", "-q"],
    ] {
        let o = droprack(place.path(), arguments);
        assert_eq!(o.status.code(), Some(0), "{arguments:?}: {}", err(&o));
        assert!(o.stderr.is_empty(), "{arguments:?}: {}", err(&o));
        let told = if arguments[1] == "add" { 1 } else { 0 };
        assert_eq!(out(&o).lines().count(), told, "{arguments:?}: {}", out(&o));
    }
    let loud = droprack(place.path(), &["check", "shed/job.toml"]);
    let quiet = droprack(place.path(), &["check", "shed/job.toml", "-q"]);
    assert!(!loud.stderr.is_empty() && loud.status.code() == quiet.status.code());
    // What is not filled in yet is an error, and stays.
    assert_eq!(err(&quiet).matches("not filled in yet").count(), err(&loud).matches("not filled in yet").count());
    let note = "job = \"x\"\n[[part]]\nname = \"s\"\ntemplate = \"tank-strap\"\nwith.section = \"obround\"\n\
                with.width = \"340 mm\"\nwith.height = \"220 mm\"\n";
    fs::write(place.path().join("job.toml"), note).unwrap();
    fs::write(place.path().join("tank-strap.toml"), include_str!("../templates/tank-strap.toml")).unwrap();
    let asked = ["flat", "job.toml"];
    assert!(err(&droprack(place.path(), &asked)).contains("not from the built-in ones"));
    assert!(!err(&droprack(place.path(), &[&asked[..], &["-q"]].concat())).contains("not from the built-in ones"));
}

#[test]
fn errors_go_to_standard_error_alone() {
    let place = folder_with(&[("bad.toml", "job = 3\n"), ("job.toml", SMALL), ("bin.toml", "offcut = 1\n")]);
    for arguments in [
        &["new", "."][..],
        &["make", "bad.toml"],
        &["make", "job.toml", "--chord", "1 kg"],
        &["check", "bad.toml"],
        &["check", "nowhere.toml"],
        &["check", "job.toml", "--bin", "none.toml"],
        &["picture", "job.toml", "x.gif"],
        &["picture", "bad.toml", "x.png"],
        &["page", "nowhere.toml"],
        &["flat", "bad.toml"],
        &["cut", "bad.toml"],
        &["compare", "nowhere.json", "job.toml"],
        &["compare", "bad.toml", "job.toml"],
        &["bin", "list"],
        &["bin", "add", "flat bar of 40"],
        &["bin", "show", "A-9"],
        &["bin", "edit", "A-9", "length"],
        &["bin", "remove", "A-9"],
        &["bin", "labels", "--file", "no/such/folder/x.pdf"],
        &["bin", "check"],
        &["bin", "book", "nowhere.toml"],
        &["bin", "undo"],
        &["bin", "history", "--most", "many"],
        &["parts", "no-such-part"],
        &["explain", "no-such-page"],
        &["printer-test", "no/such/folder/x.pdf"],
        &["schema", "shelf"],
        &["fold"],
    ] {
        let o = droprack(place.path(), arguments);
        assert_eq!(o.status.code(), Some(2), "{arguments:?}: {}", out(&o));
        assert!(o.stdout.is_empty() && !o.stderr.is_empty(), "{arguments:?}: {}", out(&o));
    }
}

#[test]
fn make_tells_what_matters_on_one_screen_and_all_files_when_asked() {
    let place = folder_with(&[("job.toml", &demo("job.toml")), ("bin.toml", &demo("bin.toml"))]);
    let o = droprack(place.path(), &["make", "job.toml", "--out", "made"]);
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    let told = out(&o);
    assert!(told.lines().count() < 20, "{told}");
    for head in ["To buy", "To cut", "Beware", "Files"] {
        assert_eq!(told.lines().filter(|l| l.starts_with(head)).count(), 1, "{head}: {told}");
    }
    let job: serde_json::Value =
        serde_json::from_slice(&fs::read(place.path().join("made/job.json")).unwrap()).unwrap();
    let findings = job["findings"].as_array().unwrap();
    let warned: Vec<_> = findings.iter().filter(|f| f["verdict"] == "warn").collect();
    assert!(!warned.is_empty() && told.contains(&format!("{} to look at", warned.len())), "{told}");
    assert!(told.contains(warned[0]["part"].as_str().unwrap()), "the finding itself is told: {told}");
    for file in ["index.html", "packet.pdf", "drilling-templates.pdf"] {
        assert!(told.contains(file) && place.path().join("made").join(file).is_file(), "{file}: {told}");
    }
    assert!(told.contains("no release"), "the cautions are missing: {told}");
    let all = droprack(place.path(), &["make", "job.toml", "--out", "made", "--list"]);
    assert!(out(&all).contains("weights.txt") && out(&all).contains("no release"), "{}", out(&all));
}

#[test]
fn make_names_what_to_buy_and_what_failed() {
    let buy = "[[buy]]\nid = \"A-6\"\nshape = \"angle\"\nsize = \"40 x 40 x 4 mm\"\nmaterial = \"mild steel\"\n\
               length = \"6 m\"\nprice = 20.5\n";
    let place = folder_with(&[("job.toml", SMALL), ("bin.toml", buy)]);
    let told = out(&droprack(place.path(), &["make", "job.toml"]));
    assert!(
        told.contains("steel for 20.50: 1 x A-6") && told.contains("1 piece from 1 bar: angle 40 x 40 x 4 mm"),
        "{told}"
    );
    assert!(!told.contains("offcuts used"), "{told}");
    fs::write(place.path().join("bin.toml"), ENOUGH).unwrap();
    let told = out(&droprack(place.path(), &["make", "job.toml"]));
    assert!(told.contains("no steel") && told.contains("offcuts used: A-1"), "{told}");
    fs::write(place.path().join("bin.toml"), "").unwrap();
    let told = out(&droprack(place.path(), &["make", "job.toml"]));
    assert!(told.contains("1 piece cannot be cut"), "{told}");
}

#[test]
fn completions_know_every_command_and_option() {
    let place = tempfile::tempdir().unwrap();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let o = droprack(place.path(), &["completions", shell]);
        assert_eq!(o.status.code(), Some(0), "{shell}: {}", err(&o));
        for word in ["printer-test", "around", "quiet", "book"] {
            assert!(out(&o).contains(word), "{shell} knows nothing of {word}");
        }
        assert_eq!(o.stdout, droprack(place.path(), &["completions", shell]).stdout, "{shell}: two runs differ");
    }
    let parsed =
        Command::new("bash").args(["-n", "-c", &out(&droprack(place.path(), &["completions", "bash"]))]).output();
    // Where there is no bash, its completions are not needed either.
    assert!(parsed.is_err() || parsed.unwrap().status.success(), "bash does not read its completions");
}

#[test]
fn the_manual_page_has_a_page_for_each_command() {
    let place = tempfile::tempdir().unwrap();
    let page = droprack(place.path(), &["manual-page"]);
    assert!(out(&page).contains(".TH droprack 1"), "{}", out(&page));
    assert!(out(&page).contains("droprack\\-make(1)"), "{}", out(&page));
    let o = droprack(place.path(), &["manual-page", "share/man1"]);
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    for (name, word) in [("droprack", "SUBCOMMANDS"), ("droprack-make", "chord"), ("droprack-bin-book", "left")] {
        let text = fs::read_to_string(place.path().join(format!("share/man1/{name}.1"))).unwrap();
        assert!(text.contains(&format!(".TH {name} 1")) && text.contains(word), "{name}: {text}");
    }
    fs::write(place.path().join("file"), "").unwrap();
    let o = droprack(place.path(), &["manual-page", "file/man1"]);
    assert!(o.status.code() == Some(2) && o.stdout.is_empty() && !o.stderr.is_empty());
}

/// The words of a command line as a shell parts them, and the files that it reads
/// and writes by `<` and `>`.
fn shell_words(line: &str) -> (Vec<String>, Option<String>, Option<String>) {
    let mut words: Vec<String> = vec![];
    for (i, part) in line.split('"').enumerate() {
        match i % 2 {
            1 => words.push(part.to_string()),
            _ => words.extend(part.split_whitespace().map(str::to_string)),
        }
    }
    let mut take = |sign: &str| {
        let at = words.iter().position(|w| w == sign)?;
        words.remove(at);
        Some(words.remove(at))
    };
    let (from, to) = (take("<"), take(">"));
    (words, from, to)
}

/// The commands that the help lists, in its order.
fn commands(folder: &Path) -> Vec<String> {
    let help = out(&droprack(folder, &["--help"]));
    let list = help.split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let first = |l: &str| {
        l.strip_prefix("  ").filter(|l| !l.starts_with(' ')).map(|l| l.split(' ').next().unwrap().to_string())
    };
    list.lines().filter_map(first).filter(|c| c != "help").collect()
}

/// Serve the page, and end it once it has told its address.
fn serve(folder: &Path, words: &[&str]) {
    // Without a path there is no browser to open.
    let mut child =
        program(folder, words).env("PATH", "").stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let mut line = String::new();
    let read = BufReader::new(child.stdout.take().unwrap()).read_line(&mut line);
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(read.is_ok() && line.starts_with("http://127.0.0.1:"), "{words:?}: {line}");
}

#[test]
fn every_example_of_the_help_runs() {
    let place = folder_with(&[("job.toml", &demo("job.toml")), ("bin.toml", &demo("bin.toml"))]);
    let all = commands(place.path());
    assert!(all.len() >= 15, "{all:?}");
    for command in all {
        let help = out(&droprack(place.path(), &[&command, "--help"]));
        let examples = help.split("Examples:\n").nth(1).unwrap_or_else(|| panic!("{command} has no example"));
        let lines: Vec<&str> = examples.lines().map_while(|l| l.strip_prefix("  droprack ")).collect();
        assert!(!lines.is_empty(), "{command} has no example");
        for line in lines {
            let (words, from, to) = shell_words(line);
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            assert_eq!(words[0], command, "an example of another command: {line}");
            if command == "page" {
                serve(place.path(), &words);
                continue;
            }
            let text = from.map(|f| fs::read(place.path().join(f)).unwrap()).unwrap_or_default();
            let o = fed(place.path(), &words, &text);
            assert!(matches!(o.status.code(), Some(0 | 1)), "{line}: {}", err(&o));
            if let Some(to) = to {
                assert!(!o.stdout.is_empty(), "{line}");
                fs::write(place.path().join(to), &o.stdout).unwrap();
            }
        }
    }
}

/// The lines of a stream, as they come.
fn lines_of(stream: impl std::io::Read + Send + 'static) -> Receiver<String> {
    let (send, lines) = channel();
    std::thread::spawn(move || BufReader::new(stream).lines().map_while(Result::ok).try_for_each(|l| send.send(l)));
    lines
}

/// Wait for a line with these words in it.
fn until(lines: &Receiver<String>, words: &str) {
    let mut told = vec![];
    loop {
        match lines.recv_timeout(Duration::from_secs(120)) {
            Ok(line) if line.contains(words) => return,
            Ok(line) => told.push(line),
            Err(_) => panic!("no line with \"{words}\" came, but {told:?}"),
        }
    }
}

/// A child that ends with the test, whatever comes of that.
struct Ends(Child);
impl Drop for Ends {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn watch_runs_again_after_a_change_of_job_or_bin_or_after_a_fault() {
    let place = folder_with(&[("job.toml", SMALL), ("bin.toml", "")]);
    let mut command = program(place.path(), &["make", "job.toml", "--watch"]);
    let mut child = Ends(command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap());
    let told = lines_of(child.0.stdout.take().unwrap());
    let noted = lines_of(child.0.stderr.take().unwrap());
    until(&told, "1 piece cannot be cut");
    until(&noted, "waiting for changes");
    fs::write(place.path().join("bin.toml"), ENOUGH).unwrap();
    until(&told, "offcuts used: A-1");
    until(&noted, "waiting for changes");
    fs::write(place.path().join("job.toml"), SMALL.replace("length", "lenght")).unwrap();
    until(&noted, "lenght");
    until(&noted, "waiting for changes");
    fs::write(place.path().join("job.toml"), SMALL.replace("500 mm", "2 m")).unwrap();
    until(&told, "1 piece cannot be cut");
    assert!(child.0.try_wait().unwrap().is_none(), "it goes on until it is ended");
    let o = fed(place.path(), &["check", "-", "--watch"], SMALL.as_bytes());
    assert!(o.status.code() == Some(2) && err(&o).contains("only once"), "{}", err(&o));
}
