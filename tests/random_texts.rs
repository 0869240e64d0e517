//! Random texts through everything that reads a user's text, and every
//! diagnostic drawn: no panic, no stack run over. The same feed as in
//! `tests/fuzz`, with a fixed seed and few enough cases for each test run.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

#[path = "fuzz/feed.rs"]
mod feed;

use droprack::expr::FUNCTIONS;
use droprack::job::JOB;
use droprack::run::Request;
use droprack::source::{Field, FileForm, Memory, Want};
use droprack::stock::BIN;
use droprack::template::{BUILT_IN, TEMPLATE};
use droprack::units::UNITS;
use proptest::collection::vec;
use proptest::prelude::{Strategy, any};
use proptest::sample::{Index, select};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::fmt::Debug;
use std::fs;
use std::path::Path;
use std::time::Instant;

// Tokens, between bars.
const NUMBERS: &str = "0¦1¦2¦23¦600¦0.1¦.5¦25,4¦1/2¦3/4¦23-1/2¦23 1/2¦1/0¦7/16¦½¦23½¦-3¦1e9¦999999999999¦\
    9999999999999¦1.2.3¦0x1F¦1_000¦inf¦nan";
const OPERATORS: &str = "+¦-¦*¦/¦^¦(¦)¦,¦<¦<=¦>¦>=¦=¦==¦!=¦×¦÷¦−¦≤¦≥";
const MARKS: &str = "'¦\"¦″¦′¦’¦°¦²¦ ¦  ¦\t¦\u{a0}¦\u{3000}¦.¦_¦%¦{¦}¦x¦é¦板¦🔩";
const WORDS: &str = "if ¦ then ¦ else ¦ and ¦ or ¦ not ¦ is ¦gap¦slope¦tank.mass¦n¦zero¦section¦thick¦round¦\
    two bolt flange¦gpa¦a.¦.b";
const TOML: &str = "\n¦\r\n¦\r¦ = ¦=¦[¦]¦[[¦]]¦{ ¦ }¦, ¦.¦\"¦'¦\"\"\"¦'''¦#¦\\¦\\n¦\\u00e9¦\\u¦\\U0001F529¦\\x41¦\\\n¦\
    true¦false¦1979-05-27¦07:32:00¦\u{feff}¦\0¦a¦b¦mild steel¦flat bar¦square tube¦40 x 40 x 3 mm¦\"5 mm\"¦\
    \"90 deg\"¦\"a + b\"¦\"{a}\"¦1¦12.60";
const EXTREMES: &str = "0¦0.000001¦0.1¦1¦2¦7¦45¦89.999999¦90¦180¦360¦999¦1000¦99999¦999999999999";
const SIZE_MARKS: &str = "x¦ x ¦X¦×¦ mm¦ in¦\"¦cm¦kg¦ ¦-";

fn words(lists: &[&'static str]) -> Vec<&'static str> {
    lists.iter().flat_map(|l| l.split('¦')).collect()
}

fn units() -> Vec<&'static str> {
    UNITS.iter().map(|u| u.text).collect()
}

/// Every key of a field table and of the tables in it.
fn keys(table: &'static [Field], out: &mut Vec<&'static str>) {
    for f in table {
        out.push(f.key);
        match f.want {
            Want::OneOf(words) => out.extend(words),
            Want::Table(t) | Want::List(t) | Want::Named(t) => keys(t, out),
            _ => {}
        }
    }
}

/// Run one reader over `cases` texts, always the same ones.
fn run<S: Strategy>(cases: u32, texts: S, read: impl Fn(S::Value))
where
    S::Value: Debug,
{
    // RANDOM_TIMES=200 for a night: so many times the cases.
    let times = std::env::var("RANDOM_TIMES").ok().and_then(|t| t.parse().ok()).unwrap_or(1);
    let config = Config { cases: cases.saturating_mul(times), failure_persistence: None, ..Config::default() };
    let seed = TestRng::from_seed(RngAlgorithm::ChaCha, &[17; 32]);
    let done = TestRunner::new_with_rng(config, seed).run(&texts, |text| {
        read(text);
        Ok(())
    });
    if let Err(e) = done {
        panic!("{e}");
    }
}

/// Any characters at all.
fn raw() -> impl Strategy<Value = String> {
    vec(any::<char>(), 0..80).prop_map(|c| c.into_iter().collect())
}

/// Pieces of the grammar, one after another.
fn splices(tokens: Vec<&'static str>, most: usize) -> impl Strategy<Value = String> {
    vec(select(tokens), 0..most).prop_map(|t| t.concat())
}

/// Blocks of real files in any order, with a few places spoiled.
fn mutated(blocks: Vec<String>, tokens: Vec<&'static str>, most: usize) -> impl Strategy<Value = String> {
    let change = (any::<Index>(), 0..12_usize, select(tokens));
    (vec(select(blocks), 1..most), vec(change, 0..6)).prop_map(|(blocks, changes)| {
        let mut text = blocks.concat();
        for (at, cut, token) in changes {
            let places: Vec<usize> = text.char_indices().map(|c| c.0).chain([text.len()]).collect();
            let at = at.index(places.len());
            let end = (at + cut).min(places.len() - 1);
            text.replace_range(places[at]..places[end], token);
        }
        text
    })
}

/// A whole file with some of its numbers replaced: it stays a file of its kind,
/// and what it asks for becomes tiny, enormous or impossible.
fn other_numbers(text: String) -> impl Strategy<Value = String> {
    let mut pieces: Vec<String> = vec![String::new()];
    for c in text.chars() {
        let digit = |c: char| c.is_ascii_digit() || c == '.';
        if pieces.last().unwrap().chars().last().is_some_and(|l| digit(l) != digit(c)) {
            pieces.push(String::new());
        }
        pieces.last_mut().unwrap().push(c);
    }
    let numbers: Vec<usize> = (0..pieces.len()).filter(|i| pieces[*i].parse::<f64>().is_ok()).collect();
    vec((any::<Index>(), select(words(&[EXTREMES]))), 1..5).prop_map(move |changes| {
        let mut pieces = pieces.clone();
        for (at, number) in changes {
            pieces[numbers[at.index(numbers.len())]] = number.to_string();
        }
        pieces.concat()
    })
}

/// A file cut before each line that opens a block.
fn blocks(text: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    for line in text.split_inclusive('\n').filter(|l| !l.starts_with('#')) {
        if line.starts_with('[') {
            out.push(String::new());
        }
        out.last_mut().unwrap().push_str(line);
    }
    out
}

fn demo(file: &str) -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy");
    blocks(&fs::read_to_string(folder.join(file)).unwrap())
}

/// Words for a file with these keys.
fn file_words(form: &'static FileForm) -> Vec<&'static str> {
    let mut all = words(&[TOML, NUMBERS, WORDS, OPERATORS, MARKS]);
    keys(form.fields, &mut all);
    all
}

#[test]
fn any_formula_comes_out_or_is_told() {
    let functions: Vec<&str> = FUNCTIONS.iter().map(|f| f.0).collect();
    let near_right = [words(&[NUMBERS, OPERATORS, WORDS, " mm¦ in¦ deg"]), functions].concat();
    let anything = [near_right.clone(), words(&[MARKS]), units()].concat();
    run(5_000, raw(), |t| feed::formula(&t));
    run(20_000, splices(anything, 14), |t| feed::formula(&t));
    run(20_000, splices(near_right, 40), |t| feed::formula(&t));
}

#[test]
fn the_deepest_formula_fits_on_the_stack() {
    // As long as a formula may be, and as deep as its length allows.
    let chain = |inner: String| format!("({inner}{})", "+1".repeat(190));
    let deepest = (0..5).fold("n".to_string(), |f, _| chain(f));
    assert!(deepest.len() < 2_000);
    feed::formula(&deepest);
    for part in ["(", "-", "not ", "if ", "2^", "min(", "1+(", "'", "1 is ", "{"] {
        feed::formula(&part.repeat(2_000 / part.len()));
        feed::formula(&part.repeat(100_000));
    }
}

#[test]
fn any_length_comes_out_or_is_told() {
    run(5_000, raw(), |t| feed::length(&t));
    run(20_000, splices([words(&[NUMBERS, NUMBERS, MARKS, "-¦/"]), units()].concat(), 8), |t| feed::length(&t));
}

/// Parts of a line for the bin.
const LINE_PARTS: &str = "flat bar 40 x 3 mm¦angle 1-1/2 x 1-1/2 x 1/8¦plate 5 mm¦square tube 40 x 40 x 3 mm¦round 20 mm¦\
    3 x flat 30 x 3 mm¦sheet 16 gauge sheet steel¦, ¦, ¦, ¦, ¦,¦872 mm¦2 ft 5-3/8 in¦600 x 400 mm¦where rack A¦note ¦\"¦\"\"¦\
    (¦)¦unusable 300 mm to 340 mm¦bad 1 to 2 in¦left end 45 deg¦right end 30 deg¦galvanised¦coating zinc¦seam on top¦\
    wall 2.9 mm¦grade unknown¦not weldable¦weldable yes¦keep¦held for Juniper¦id X-1¦measured twice¦doubt 5 mm¦\
    corner missing 200 x 100 mm¦corners (0, 0) (600, 0) (600, 400) mm¦hole 50 mm at (100, 80) mm¦\
    hole 60 x 40 mm at (200 mm, 9 in)¦hole corners (10, 10) (20, 10) (20, 20) mm¦ to ¦ at ¦material mild steel¦7/16\"";

#[test]
fn any_line_for_the_bin_comes_out_or_is_told_and_reads_back() {
    run(3_000, raw(), |t| feed::line(&t));
    run(30_000, splices(words(&[LINE_PARTS]), 14), |t| feed::line(&t));
    run(10_000, splices(words(&[LINE_PARTS, NUMBERS, MARKS, SIZE_MARKS]), 14), |t| feed::line(&t));
    let whole = words(&[LINE_PARTS]);
    let lines = vec(select(whole), 1..8).prop_map(|parts| format!("plate 5 mm, 600 x 400 mm, {}", parts.join(", ")));
    run(10_000, lines, |t| feed::line(&t));
}

#[test]
fn any_size_comes_out_or_is_told() {
    run(5_000, raw(), |t| feed::size(&t));
    run(20_000, splices(words(&[NUMBERS, SIZE_MARKS]), 10), |t| feed::size(&t));
}

#[test]
fn any_job_is_read_or_told() {
    let tokens = file_words(&JOB);
    run(1_000, raw(), |t| feed::job(&t));
    run(4_000, splices(tokens.clone(), 30), |t| feed::job(&t));
    run(1_000, mutated(demo("job.toml"), tokens, 8), |t| feed::job(&t));
}

#[test]
fn any_bin_is_read_or_told() {
    let tokens = file_words(&BIN);
    run(1_000, raw(), |t| feed::bin(&t));
    run(4_000, splices(tokens.clone(), 30), |t| feed::bin(&t));
    run(1_000, mutated(demo("bin.toml"), tokens, 8), |t| feed::bin(&t));
}

#[test]
fn any_template_makes_a_part_or_is_told() {
    let tokens = file_words(&TEMPLATE);
    run(1_000, raw(), |t| feed::template(&t));
    run(4_000, splices(tokens.clone(), 30), |t| feed::template(&t));
    for (_, text) in BUILT_IN {
        // Whole files with a few places spoiled reach the building of pieces.
        run(150, mutated(vec![(*text).to_string()], tokens.clone(), 2), |t| feed::template(&t));
    }
    let all: Vec<String> = BUILT_IN.iter().flat_map(|t| blocks(t.1)).collect();
    run(500, mutated(all, tokens, 12), |t| feed::template(&t));
}

#[test]
fn any_numbers_in_a_template_make_a_part_or_are_told() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus/template");
    // Seeds have an ending; what the fuzzer adds has none.
    let mut seeds: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    seeds.retain(|p| p.extension().is_some_and(|e| e == "toml"));
    seeds.sort();
    let seeds = seeds.iter().map(|p| fs::read_to_string(p).unwrap());
    for text in seeds.chain(BUILT_IN.iter().map(|t| t.1.to_string())) {
        run(150, other_numbers(text), |t| feed::template(&t));
    }
}

/// Each was once a stack run over, or minutes of work.
#[test]
fn deep_and_large_files_are_told_in_time() {
    let n = 100_000;
    let lines = |n: usize, line: &dyn Fn(usize) -> String| (0..n).map(line).collect::<String>();
    let measured = |body: String| format!("job = \"x\"\n[measured]\n{body}");
    let texts = [
        ("lists in lists", format!("job = {}", "[".repeat(n))),
        ("blocks in blocks", format!("job = {}", "{a=".repeat(n))),
        ("a long dotted name", measured(format!("{}a = 1", "a.".repeat(n)))),
        ("a long heading", format!("[{}a]", "a.".repeat(n))),
        ("no TOML at all", "@\n".repeat(n)),
        ("keys that nobody knows", lines(20_000, &|i| format!("k{i} = 1\n"))),
        ("a key as long as a book", format!("{} = 1", "u".repeat(900_000))),
        ("a word as long as a book", format!("units = \"{}\"", "u".repeat(900_000))),
        ("many values", measured(lines(20_000, &|i| format!("k{i} = \"1 mm\"\n")))),
        ("a long chain", measured(lines(20_000, &|i| format!("k{i} = \"k{}\"\n", i + 1)))),
        ("many faults, many names", measured(lines(10_000, &|i| format!("k{i} = \"1 mm\"\nl{i} = \"m{i}\"\n")))),
        ("many parts of one name", lines(20_000, &|_| "[[part]]\nname = \"p\"\ntemplate = \"x\"\n".to_string())),
    ];
    for (what, text) in texts {
        let start = Instant::now();
        feed::job(&text);
        // A second is the aim; a busy machine and no optimising are allowed for.
        assert!(start.elapsed().as_secs() < 15, "{what} took {:?}", start.elapsed());
    }
}

/// What a job in memory is refused for.
fn refused_for(job: &str, template: &str) -> Vec<&'static str> {
    let mut files = Memory::default();
    for (name, text) in [("job.toml", job), ("bin.toml", ""), ("own.toml", template)] {
        files.0.insert(name.into(), text.to_string());
    }
    let done = droprack::run::run(&files, &Request { job: "job.toml".into(), bin: None });
    done.err().map_or(vec![], |t| t.diagnostics.iter().map(|d| d.code).collect())
}

#[test]
fn too_many_pieces_and_steps_are_refused_before_the_work() {
    let parts: String = (0..5_001).map(|i| format!("[[part]]\nname = \"p{i}\"\ntemplate = \"tank-strap\"\n")).collect();
    assert_eq!(refused_for(&format!("job = \"x\"\n{parts}"), ""), ["too-many-pieces"]);
    let bends = "{ flat = \"20 mm\" }, { bend = \"1 deg\", turn = \"up\" }, ".repeat(100);
    let strip = format!(
        "template = \"own\"\nsays = \"x\"\n[stock]\nshape = \"flat bar\"\nsize = [\"30 mm\", \"3 mm\"]\n\
         material = \"mild steel\"\n[strip]\nwidth = \"30 mm\"\nthickness = \"3 mm\"\ninside_radius = \"5 mm\"\n\
         steps = [{bends}{{ flat = \"20 mm\" }}]\n"
    );
    let job = "job = \"x\"\n[[part]]\nname = \"p\"\ntemplate = \"own\"\n";
    assert_eq!(refused_for(job, &strip), ["too-many-steps"]);
}
