//! The page that stands beside the other files of a job: all of the job is on
//! it, in its place; what somebody wrote stays text; and it asks nobody for anything.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::checks::Verdict;
use droprack::run::{Made, Outcome, Request, make, run};
use droprack::source::{Disk, Memory};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// The demo: its outcome, its files, its page. Worked out once.
fn demo() -> &'static (Outcome, Made, String) {
    static DEMO: OnceLock<(Outcome, Made, String)> = OnceLock::new();
    DEMO.get_or_init(|| {
        let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy/job.toml");
        let outcome = run(&Disk, &Request { job, bin: None }).unwrap_or_else(|t| panic!("{:?}", t.diagnostics));
        let outcome = outcome.standing(None);
        let made = make(&outcome).unwrap();
        let page = page_of(&made);
        (outcome, made, page)
    })
}

fn page_of(made: &Made) -> String {
    let (_, bytes) = made.folder.files().find(|f| f.0 == "index.html").unwrap();
    String::from_utf8(bytes.clone()).unwrap()
}

fn escaped(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;").replace('\'', "&#39;")
}

/// A tag as it stands in the text.
struct Tag {
    name: String,
    opens: bool,
    closes: bool,
    attributes: Vec<(String, String)>,
}

/// All tags of a page, or what is wrong with its text. Stricter than a browser:
/// every value of an attribute stands in double quotes.
fn tags(page: &str) -> Result<Vec<Tag>, String> {
    let mut out = vec![];
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        if rest[..at].contains('>') {
            return Err(format!("a bare > before {}", &rest[at..rest.len().min(at + 40)]));
        }
        rest = &rest[at + 1..];
        let end = rest.find('>').ok_or("a tag without end")?;
        let inner = &rest[..end];
        rest = &rest[end + 1..];
        if inner.eq_ignore_ascii_case("!doctype html") {
            continue;
        }
        let tag = one_tag(inner)?;
        // What stands in these is no markup; nothing in it may end it early.
        if tag.opens && ["script", "style"].contains(&tag.name.as_str()) {
            let end = rest.find("</").ok_or("a script without end")?;
            if !rest[end..].starts_with(&format!("</{}>", tag.name)) {
                return Err(format!("{} is ended early", tag.name));
            }
            rest = &rest[end..];
        }
        out.push(tag);
    }
    Ok(out)
}

fn one_tag(inner: &str) -> Result<Tag, String> {
    let closing = inner.starts_with('/');
    let text = inner.trim_start_matches('/').trim_end_matches('/');
    let name: String = text.chars().take_while(|c| c.is_ascii_alphanumeric()).collect();
    let mut tag = Tag { opens: !closing, closes: closing || inner.ends_with('/'), attributes: vec![], name };
    let mut rest = text[tag.name.len()..].trim_start();
    while !rest.is_empty() {
        let key: String = rest.chars().take_while(|c| c.is_ascii_alphanumeric() || "-:".contains(*c)).collect();
        if key.is_empty() {
            return Err(format!("not an attribute: {rest}"));
        }
        rest = &rest[key.len()..];
        let mut value = String::new();
        if let Some(quoted) = rest.strip_prefix("=\"") {
            let end = quoted.find('"').ok_or(format!("no end of the value of {key}"))?;
            value = quoted[..end].to_string();
            rest = &quoted[end + 1..];
        } else if rest.starts_with('=') {
            return Err(format!("{key} without quotes"));
        }
        tag.attributes.push((key, value));
        rest = rest.trim_start();
    }
    Ok(tag)
}

/// Whether every tag that opens is closed in its turn.
fn well_formed(page: &str) -> Result<Vec<Tag>, String> {
    const VOID: [&str; 5] = ["meta", "link", "br", "img", "input"];
    let all = tags(page)?;
    let mut open: Vec<&str> = vec![];
    for t in &all {
        if t.opens && !t.closes && !VOID.contains(&t.name.as_str()) {
            open.push(&t.name);
        } else if !t.opens && open.pop() != Some(t.name.as_str()) {
            return Err(format!("</{}> closes something else", t.name));
        }
    }
    if open.is_empty() { Ok(all) } else { Err(format!("never closed: {open:?}")) }
}

/// What holds of every page, whatever the job.
fn sound(page: &str) -> Vec<Tag> {
    let all = well_formed(page).unwrap_or_else(|why| panic!("{why}"));
    let mut ids: Vec<&str> = vec![];
    for (key, value) in all.iter().flat_map(|t| &t.attributes) {
        assert!(!key.starts_with("on"), "{key}=\"{value}\" would be a handler");
        assert!(key != "style" && key != "srcset" && key != "src", "{key}=\"{value}\"");
        if key == "xmlns" {
            assert_eq!(value, "http://www.w3.org/2000/svg");
        } else {
            assert!(!value.contains("//"), "{key}=\"{value}\" leads away");
        }
        if key == "id" {
            assert!(!ids.contains(&value.as_str()), "two things are called {value}");
            ids.push(value);
        }
    }
    for (key, value) in all.iter().flat_map(|t| &t.attributes) {
        if let Some(id) = value.strip_prefix('#').filter(|_| key == "href") {
            assert!(ids.contains(&id), "nothing is called {id}");
        }
    }
    assert_eq!(all.iter().filter(|t| t.name == "script" && t.opens).count(), 2, "the bodies and one script");
    // Headings go down one step at a time.
    let levels: Vec<u32> = all
        .iter()
        .filter(|t| t.opens && t.name.len() == 2 && t.name.starts_with('h') && t.name != "hr")
        .map(|t| t.name[1..].parse().unwrap())
        .collect();
    assert_eq!(levels.iter().filter(|l| **l == 1).count(), 1);
    assert!(levels.windows(2).all(|w| w[1] <= w[0] + 1), "{levels:?}");
    all
}

/// The text between an opening tag that is found by `start` and the next `end`.
fn between<'a>(page: &'a str, start: &str, end: &str) -> &'a str {
    let from = page.find(start).unwrap_or_else(|| panic!("no {start}")) + start.len();
    &page[from..from + page[from..].find(end).unwrap()]
}

#[test]
fn the_demos_page_is_well_formed_and_asks_nobody_for_anything() {
    let page = &demo().2;
    let all = sound(page);
    for word in ["https:", "import(", "fetch(", "XMLHttpRequest", "eval(", "new Function", "@import", "url(http"] {
        assert!(!page.contains(word), "{word}");
    }
    // The namespace of the drawings is a name and no address.
    assert_eq!(page.matches("http:").count(), page.matches("xmlns=\"http://www.w3.org/2000/svg\"").count());
    assert!(page.len() < 2_000_000, "{} bytes", page.len());
    let csp = all.iter().flat_map(|t| &t.attributes).find(|a| a.0 == "content" && a.1.contains("default-src"));
    let csp = &csp.unwrap().1;
    assert!(csp.starts_with("default-src 'none';") && !csp.contains("unsafe"), "{csp}");
    // Script and style are the ones that the policy knows by their hashes.
    for (tag, rule) in [("<script>", "script-src 'sha256-"), ("<style>", "style-src 'sha256-")] {
        let text = between(page, tag, "</");
        let told = between(csp, rule, "'");
        assert_eq!(told, sha256_base64(text), "{rule}");
    }
}

fn sha256_base64(text: &str) -> String {
    use sha2::Digest;
    let bits: Vec<u8> = sha2::Sha256::digest(text).iter().flat_map(|b| (0..8).rev().map(move |i| b >> i & 1)).collect();
    let signs: Vec<char> = ('A'..='Z').chain('a'..='z').chain('0'..='9').chain(['+', '/']).collect();
    let mut out: String = bits
        .chunks(6)
        .map(|six| signs[(0..6).fold(0, |n, i| n * 2 + usize::from(six.get(i).copied().unwrap_or(0)))])
        .collect();
    while !out.len().is_multiple_of(4) {
        out.push('=');
    }
    out
}

#[test]
fn every_part_piece_hole_and_finding_of_the_demo_is_on_its_page() {
    let (outcome, made, page) = demo();
    let all = well_formed(page).unwrap();
    let labels: Vec<&str> = all
        .iter()
        .filter(|t| t.attributes.iter().any(|a| a.0 == "class" && a.1 == "hole"))
        .map(|t| t.attributes.iter().find(|a| a.0 == "aria-label").unwrap().1.as_str())
        .collect();
    let mut at = 0;
    for flat in outcome.worked.flats.iter().chain(&outcome.worked.reworks) {
        assert!(page.contains(&format!("<h4><bdi>{}</bdi>", escaped(&flat.piece))), "{}", flat.key());
        assert!(page.contains(&format!("aria-label=\"Flat pattern of {}\"", escaped(&flat.key()))));
        for h in &flat.holes {
            let (inch, mm) = (h.at.x / 25.4, droprack::units::trimmed(h.at.x, 1));
            let begins = format!("Hole {}, {}", h.letter, escaped(&h.name));
            let found = labels.iter().skip(at).take(flat.holes.len().max(1)).find(|l| l.starts_with(&begins));
            let label = found.unwrap_or_else(|| panic!("{}: {begins} {:?}", flat.key(), labels.get(at)));
            assert!(label.contains(&format!("X {mm} mm ({inch:.3} in)")), "{label}");
        }
        at += flat.holes.len();
    }
    assert_eq!(at, labels.len(), "holes of the job and of the page");
    for part in &outcome.worked.parts {
        assert!(page.contains(&format!("<bdi>{}</bdi>", escaped(&part.name))), "{}", part.name);
    }
    for f in &outcome.worked.findings {
        assert!(page.contains(&escaped(&f.says)), "{}: {}", f.code, f.says);
        assert!(f.verdict == Verdict::Note || page.contains(&escaped(&f.source)), "{}", f.source);
    }
    for (name, _) in made.folder.files().filter(|f| f.0 != "index.html") {
        assert!(page.contains(&format!("href=\"{name}\"")), "no link to {name}");
    }
    let links = all.iter().filter(|t| t.name == "a").flat_map(|t| &t.attributes).filter(|a| a.0 == "href");
    for (_, to) in links.filter(|a| !a.1.starts_with('#')) {
        assert!(made.folder.files().any(|f| f.0 == to), "{to} is no file beside the page");
    }
    assert!(!page.to_lowercase().contains(" safe "), "a check is never a release");
}

#[test]
fn the_bodies_of_the_page_are_those_of_the_meshes() {
    let (outcome, _, page) = demo();
    let data: Value =
        serde_json::from_str(between(page, "<script type=\"application/json\" id=\"bodies\">", "</")).unwrap();
    let stood = outcome.stood.as_ref().unwrap();
    let (bodies, scenes) = (data["bodies"].as_array().unwrap(), &data["scenes"]);
    assert_eq!(scenes["job"]["stands"].as_array().unwrap().len(), stood.job.stands.len());
    for (drawn, stand) in scenes["job"]["stands"].as_array().unwrap().iter().zip(&stood.job.stands) {
        let body = &bodies[drawn["body"].as_u64().unwrap() as usize];
        let p = decoded(body["p"].as_str().unwrap());
        let t = decoded(body["t"].as_str().unwrap());
        assert_eq!(t.len(), stand.mesh.triangles.len() * 6, "{}", stand.name);
        // Every corner lies where the mesh has it, to a step of the coding.
        let short = |b: &[u8], i: usize| f64::from(u16::from_le_bytes([b[2 * i], b[2 * i + 1]]));
        for (i, corner) in stand.mesh.triangles.iter().flatten().enumerate() {
            let index = short(&t, i) as usize;
            let want = stand.mesh.positions[*corner as usize];
            for (k, v) in [want.x, want.y, want.z].into_iter().enumerate() {
                let (low, step) = (body["low"][k].as_f64().unwrap(), body["step"][k].as_f64().unwrap());
                let got = low + step * short(&p, 3 * index + k);
                assert!((got - v).abs() < step * 0.51 + 2e-3, "{}: {got} {v}", stand.name);
            }
        }
    }
}

fn decoded(text: &str) -> Vec<u8> {
    let sign = |c: u8| match c {
        b'A'..=b'Z' => c - b'A',
        b'a'..=b'z' => c - b'a' + 26,
        b'0'..=b'9' => c - b'0' + 52,
        b'+' => 62,
        _ => 63,
    };
    let six: Vec<u8> = text.bytes().filter(|c| *c != b'=').map(sign).collect();
    six.chunks(4)
        .flat_map(|four| {
            let bits = (0..4).fold(0u32, |n, i| n << 6 | u32::from(four.get(i).copied().unwrap_or(0)));
            bits.to_be_bytes()[1..four.len()].to_vec()
        })
        .collect()
}

/// A job whose names want to be something else.
fn hostile() -> (Made, Vec<String>) {
    let names = [
        "<script>alert(1)</script>".to_string(),
        "=1+1".to_string(),
        "../../x".to_string(),
        "n".repeat(300),
        "حامل الخزان".to_string(),
        "bracket \u{1f527}".to_string(),
        "\\\"><img src=x onerror=alert(1)>".to_string(),
        "</script></title>".to_string(),
    ];
    let mut job = "job = \"</title><script>alert(2)</script>\"\nbin = \"bin.toml\"\n".to_string();
    for (i, n) in names.iter().enumerate() {
        if i % 2 == 0 {
            job += &format!("[[part]]\nname = \"{n}\"\ntemplate = \"tab\"\n");
        } else {
            job += &format!(
                "[[cut]]\nname = \"{n}\"\nshape = \"flat bar\"\nsize = \"30 x 3 mm\"\nlength = \"{} mm\"\n",
                60 + i
            );
        }
    }
    let tab = "template = \"tab\"\nsays = \"a tab\"\n[ask.long]\nwhat = \"its length\"\nkind = \"length\"\nusual = \"80 mm\"\n\
        [plate]\nthickness = \"3 mm\"\noutline = \"disc\"\ndiameter = \"long\"\n[stock]\nshape = \"plate\"\nsize = [\"3 mm\"]\nmaterial = \"mild steel\"\n\
        [[hole]]\nname = \"<b>&amp;'\"\nsize = \"9 mm\"\nat = [\"40 mm\", \"40 mm\"]\n";
    let mut files = Memory::default();
    files.0.insert(PathBuf::from("job.toml"), job);
    files.0.insert(PathBuf::from("tab.toml"), tab.to_string());
    let bin = "[[offcut]]\nid = \"<i>F-1</i>\"\nshape = \"flat bar\"\nsize = \"30 x 3 mm\"\nmaterial = \"mild steel\"\n\
        length = \"900 mm\"\nwhere = \"<u>under</u> the bench\"\n";
    files.0.insert(PathBuf::from("bin.toml"), bin.to_string());
    let outcome = run(&files, &Request { job: PathBuf::from("job.toml"), bin: None })
        .unwrap_or_else(|t| panic!("{:#?}", t.diagnostics.iter().map(|d| &d.message).collect::<Vec<_>>()));
    (make(&outcome).unwrap(), names.map(|n| n.replace("\\\"", "\"")).to_vec())
}

#[test]
fn hostile_names_stay_names() {
    let (made, names) = hostile();
    let page = page_of(&made);
    let all = sound(&page);
    for n in &names {
        assert!(page.contains(&format!("<bdi>{}</bdi>", escaped(n))), "{n} is not on the page");
    }
    assert!(page.contains("&lt;i&gt;F-1&lt;/i&gt;") && page.contains("&lt;u&gt;under&lt;/u&gt; the bench"));
    assert!(page.contains("<title>&lt;/title&gt;&lt;script&gt;alert(2)&lt;/script&gt;</title>"));
    assert!(!all.iter().any(|t| ["img", "u", "iframe"].contains(&t.name.as_str())));
    for t in all.iter().filter(|t| t.opens && t.name == "a") {
        let to = &t.attributes.iter().find(|a| a.0 == "href").unwrap().1;
        assert!(!to.contains("..") && !to.contains(':') && !to.starts_with('/'), "{to}");
    }
    assert_eq!(page, page_of(&hostile().0), "the same job, the same bytes");
}

#[test]
fn the_checker_of_tags_sees_what_is_wrong() {
    for bad in ["<p>", "<p></b></p>", "<p a=b></p>", "<p>></p>", "<script>'</p>'</script>", "<p <b>></p>"] {
        assert!(well_formed(bad).is_err(), "{bad}");
    }
    assert!(well_formed("<!DOCTYPE html><p class=\"a\" hidden>x<br><svg/></p>").is_ok());
}
