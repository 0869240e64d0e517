//! The served page against everything that is no page of ours: foreign origins
//! and names, wrong tokens, paths, giants, slow clients; and what it does for its
//! own: a value changes parts and plan, saving touches that value only, booking
//! goes once.

#![allow(clippy::disallowed_methods)] // a test may write files
#![allow(clippy::unwrap_used)] // in a test a panic is the right end

use droprack::run::Request;
use droprack::run::live::Live;
use droprack::serve::{Desk, Limits, Server};
use droprack::source::hash;
use serde_json::{Value, json};
use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// A server over a copy of the demo.
struct Bench {
    folder: tempfile::TempDir,
    port: u16,
    token: String,
}

fn limits() -> Limits {
    let second = Duration::from_millis(700);
    Limits { header: second, body: second, life: Duration::from_secs(60), connections: 16 }
}

fn bench() -> Bench {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/jobs/hill-climb-buggy");
    for name in ["job.toml", "bin.toml"] {
        fs::copy(demo.join(name), folder.path().join(name)).unwrap();
    }
    let request = Request { job: folder.path().join("job.toml"), bin: None };
    let live = Live::open(request, folder.path().join("out")).unwrap();
    let server = Server::bind(Desk::Job(Box::new(live)), 0, limits()).unwrap();
    let address = server.address();
    let rest = address.strip_prefix("http://127.0.0.1:").unwrap();
    let (port, token) = rest.split_once('/').unwrap();
    std::thread::spawn(move || server.run());
    Bench { port: port.parse().unwrap(), token: token.trim_end_matches('/').to_string(), folder }
}

impl Bench {
    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    /// Raw bytes there, everything back until the other end closes.
    fn raw(&self, bytes: &[u8]) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        // The other end may have said no before all is sent.
        let _ = stream.write_all(bytes);
        let mut out = vec![];
        let _ = stream.read_to_end(&mut out);
        String::from_utf8_lossy(&out).into_owned()
    }

    fn head(&self, method: &str, path: &str, more: &str) -> String {
        format!("{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n{more}\r\n", self.port)
    }

    fn own(&self, name: &str) -> String {
        format!("/{}/{name}", self.token)
    }

    fn get(&self, path: &str, more: &str) -> (u16, String) {
        parted(&self.raw(self.head("GET", path, more).as_bytes()))
    }

    fn post(&self, name: &str, body: &str) -> (u16, Value) {
        let more = format!("Content-Type: application/json\r\nContent-Length: {}\r\n", body.len());
        let (status, body) =
            parted(&self.raw(format!("{}{body}", self.head("POST", &self.own(name), &more)).as_bytes()));
        (status, serde_json::from_str(&body).unwrap_or(Value::Null))
    }

    fn change(&self, name: &str, text: &str) -> (u16, Value) {
        self.post("change", &json!({ "name": name, "text": text }).to_string())
    }
}

/// Status and body.
fn parted(answer: &str) -> (u16, String) {
    let status = answer.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
    (status, answer.split_once("\r\n\r\n").map_or(String::new(), |a| a.1.to_string()))
}

fn block(state: &Value, id: &str) -> String {
    let found = state["blocks"].as_array().unwrap().iter().find(|b| b["id"] == id).unwrap();
    found["html"].as_str().unwrap().to_string()
}

fn field<'a>(state: &'a Value, name: &str) -> &'a Value {
    state["fields"].as_array().unwrap().iter().find(|f| f["name"] == name).unwrap()
}

#[test]
fn only_its_own_page_is_answered() {
    let b = bench();
    let (bin, job) = (hash(&[&b.text("bin.toml")]), hash(&[&b.text("job.toml")]));
    let own = b.own("");
    assert_eq!(b.get(&own, "").0, 200);
    assert_eq!(b.get(&own, &format!("Origin: http://127.0.0.1:{}\r\n", b.port)).0, 200);
    assert_eq!(b.get(&own, "Sec-Fetch-Site: none\r\n").0, 200);
    let foreign = [
        "Origin: http://evil.example\r\n".to_string(),
        "Origin: null\r\n".to_string(),
        format!("Origin: https://127.0.0.1:{}\r\n", b.port),
        format!("Origin: http://127.0.0.1:{}\r\nOrigin: http://evil.example\r\n", b.port),
        format!("Origin: http://localhost:{}\r\n", b.port),
        format!("Origin: http://127.0.0.1:{}.evil.example\r\n", b.port),
        "Sec-Fetch-Site: cross-site\r\n".to_string(),
        "Sec-Fetch-Site: same-site\r\n".to_string(),
    ];
    for head in foreign {
        let (status, body) = b.get(&own, &head);
        assert_eq!(status, 403, "{head}");
        assert!(!body.contains("tank"), "{head}");
    }
    // A name that was led here by a foreign name server.
    for host in [
        "evil.example",
        &format!("evil.example:{}", b.port),
        "127.0.0.1",
        "127.0.0.1:1",
        "",
        &format!("[::1]:{}", b.port),
    ] {
        let text = format!("GET {own} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        let status = parted(&b.raw(text.as_bytes())).0;
        assert!(status == 403 || status == 400, "{host}: {status}");
    }
    let two =
        format!("GET {own} HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\nHost: evil.example\r\nConnection: close\r\n\r\n", b.port);
    assert!(matches!(parted(&b.raw(two.as_bytes())).0, 400 | 403));
    let none = format!("GET {own} HTTP/1.1\r\nConnection: close\r\n\r\n");
    assert!(matches!(parted(&b.raw(none.as_bytes())).0, 400 | 403));
    let whole =
        format!("GET http://evil.example{own} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n\r\n", b.port);
    assert_eq!(parted(&b.raw(whole.as_bytes())).0, 403);
    let local = format!("GET {own} HTTP/1.1\r\nHost: localhost:{}\r\nConnection: close\r\n\r\n", b.port);
    assert_eq!(parted(&b.raw(local.as_bytes())).0, 200);
    assert_eq!((hash(&[&b.text("bin.toml")]), hash(&[&b.text("job.toml")])), (bin, job), "nothing was touched");
}

#[test]
fn without_the_token_nothing_is_there() {
    let b = bench();
    let wrong = "0".repeat(32);
    let short = &b.token[..31];
    for path in [
        "/",
        "/page.js",
        &format!("/{wrong}/"),
        &format!("/{short}/"),
        &format!("/{}0/", b.token),
        &format!("/{}", b.token),
        &format!("//{}/", b.token),
    ] {
        let (status, body) = b.get(path, "");
        assert_eq!(status, 404, "{path}");
        assert_eq!(body, "{\"error\":\"nothing is here\"}", "{path}");
    }
}

#[test]
fn no_path_leads_to_the_disk() {
    let b = bench();
    let tricks = [
        "../../etc/passwd",
        "..%2f..%2fetc%2fpasswd",
        "%2e%2e/%2e%2e/etc/passwd",
        "....//....//etc/passwd",
        "/etc/passwd",
        "..\\..\\etc\\passwd",
        "job.toml",
        "bin.toml",
        "parts/../../job.toml",
        "page.js%00",
        "page.js/",
        "job.json",
        "packet.pdf",
        "index.html",
        "state",
    ];
    for trick in tricks {
        let (status, body) = b.get(&b.own(trick), "");
        assert!(matches!(status, 400 | 404), "{trick}: {status}");
        assert!(!body.contains("root:") && !body.contains("tank.width"), "{trick}");
    }
    assert_eq!(b.get(&b.own("page.js"), "").0, 200);
    assert_eq!(parted(&b.raw(b.head("PUT", &b.own("state"), "Content-Length: 0\r\n").as_bytes())).0, 405);
    assert_eq!(parted(&b.raw(b.head("DELETE", &b.own(""), "").as_bytes())).0, 405);
}

#[test]
fn every_answer_says_what_a_browser_may_do_with_it() {
    let b = bench();
    for path in [b.own(""), b.own("live.js"), "/".to_string()] {
        let answer = b.raw(b.head("GET", &path, "").as_bytes()).to_ascii_lowercase();
        let head = answer.split_once("\r\n\r\n").unwrap().0;
        for line in [
            "cache-control: no-store",
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "x-frame-options: deny",
            "frame-ancestors 'none'",
            "script-src 'self'",
        ] {
            assert!(head.contains(line), "{path}: {line}\n{head}");
        }
        assert!(!head.contains("access-control"), "nobody else may read it");
    }
}

#[test]
fn giants_and_nonsense_are_refused_in_words() {
    let b = bench();
    let bin = hash(&[&b.text("bin.toml")]);
    let json = "Content-Type: application/json\r\n";
    let told = b.head("POST", &b.own("change"), &format!("{json}Content-Length: 900000000\r\n"));
    assert_eq!(parted(&b.raw(told.as_bytes())).0, 413);
    // Without a length, the end is not waited for.
    let mut chunked = b.head("POST", &b.own("change"), &format!("{json}Transfer-Encoding: chunked\r\n")).into_bytes();
    chunked.extend(format!("{:x}\r\n{}\r\n", 66_000, "x".repeat(66_000)).into_bytes());
    let status = parted(&b.raw(&chunked)).0;
    assert!(status == 413 || status == 0, "{status}");
    let long = format!("X-Long: {}\r\n", "y".repeat(200_000));
    assert!(matches!(parted(&b.raw(b.head("GET", &b.own(""), &long).as_bytes())).0, 0 | 431 | 400));
    for body in
        ["", "{", "[]", "{\"name\":1}", "{\"name\":\"tank.width\"}", "{\"name\":\"a\",\"text\":\"b\",\"c\":1}", "\u{0}"]
    {
        let (status, answer) = b.post("change", body);
        assert_eq!(status, 400, "{body}");
        assert!(answer["error"].as_str().unwrap().starts_with("this is not understood"), "{body}");
    }
    let plain = b.head("POST", &b.own("save"), "Content-Type: text/plain\r\nContent-Length: 2\r\n") + "{}";
    assert_eq!(parted(&b.raw(plain.as_bytes())).0, 415, "a form of a foreign page cannot send this");
    assert_eq!(b.post("nothing", "{}").0, 404);
    let deep = format!("{{\"have\":{}", "[".repeat(60_000));
    assert_eq!(b.post("state", &deep).0, 400);
    assert!(b.raw(b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03").len() < 200, "a greeting of another protocol");
    assert_eq!(b.post("state", "{}").0, 200, "after all that it works");
    assert_eq!(hash(&[&b.text("bin.toml")]), bin);
}

#[test]
fn slow_clients_are_cut_and_hold_nobody_up() {
    let b = bench();
    // As many as there are places, and half a line each.
    let slow: Vec<TcpStream> = (0..limits().connections)
        .map(|i| {
            let mut s = TcpStream::connect(("127.0.0.1", b.port)).unwrap();
            let start = match i % 3 {
                0 => String::new(),
                1 => "GET / HT".to_string(),
                _ => b.head("POST", &b.own("change"), "Content-Type: application/json\r\nContent-Length: 50\r\n") + "{",
            };
            s.write_all(start.as_bytes()).unwrap();
            s
        })
        .collect();
    assert_eq!(b.get(&b.own("page.css"), "").0, 200, "the next one is answered once they are cut");
    for mut s in slow {
        s.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
        let mut rest = vec![];
        let end = s.read_to_end(&mut rest);
        assert!(end.is_ok() || end.unwrap_err().kind() == std::io::ErrorKind::ConnectionReset, "the connection ends");
        let said = String::from_utf8_lossy(&rest).into_owned();
        assert!(said.is_empty() || said.contains(" 408 "), "{said}");
    }
}

#[test]
fn two_hundred_at_once_are_all_answered() {
    let b = bench();
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let all: Vec<_> = (0..200)
            .map(|i| {
                let b = &b;
                scope.spawn(move || match i % 4 {
                    0 => b.get(&b.own(""), "").0,
                    1 => b.get(&b.own("page.js"), "").0,
                    2 => b.get("/nothing", "").0 - 204,
                    _ => b.change("no.such", "1 mm").0 - 222,
                })
            })
            .collect();
        all.into_iter().map(|t| t.join().unwrap()).collect()
    });
    assert!(statuses.iter().all(|s| *s == 200), "{statuses:?}");
}

#[test]
fn a_value_changes_parts_plan_and_what_becomes_of_made_pieces() {
    let b = bench();
    let (status, before) = b.post("state", "{}");
    assert_eq!(status, 200);
    assert_eq!(before["unsaved"], false);
    assert_eq!(field(&before, "tank.width")["more"], "341 mm");
    assert_eq!(field(&before, "exhaust.side")["less"], Value::Null, "a formula has no divisions");
    let (status, after) = b.change("tank.width", "352 mm");
    assert_eq!(status, 200);
    for id in ["part-1", "cuts", "job"] {
        assert_ne!(block(&before, id), block(&after, id), "{id}");
    }
    assert!(block(&after, "against").contains("make again"), "{}", block(&after, "against"));
    assert!(field(&after, "tank.width")["changed"].as_bool().unwrap() && after["unsaved"].as_bool().unwrap());
    assert!(after["bodies"].as_object().unwrap().len() > 5);
    // Who has it all gets nothing twice.
    let hashes: serde_json::Map<String, Value> = after["blocks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|b| (b["id"].as_str().unwrap().to_string(), b["hash"].clone()))
        .collect();
    let bodies: Vec<&String> = after["bodies"].as_object().unwrap().keys().collect();
    let ask = json!({ "name": "tank.width", "text": "352 mm", "have": { "blocks": hashes, "bodies": bodies } });
    let again = b.post("change", &ask.to_string()).1;
    assert!(again["blocks"].as_array().unwrap().iter().all(|b| b.get("html").is_none()));
    assert_eq!(again["bodies"].as_object().unwrap().len(), 0);
    let (_, back) = b.change("tank.width", "340 mm");
    assert_eq!(block(&before, "cuts"), block(&back, "cuts"), "back again is as before");
    assert_eq!(back["unsaved"], false);
}

#[test]
fn what_is_wrong_is_told_at_its_box_in_the_words_of_the_command_line() {
    let b = bench();
    let (status, state) = b.change("tank.width", "340 mn");
    assert_eq!(status, 200);
    let told = field(&state, "tank.width")["told"].as_str().unwrap();
    assert!(told.contains("&#39;mn&#39; is not a unit") && told.contains("class=\"help\""), "{told}");
    assert_eq!((&state["stale"], &field(&state, "tank.width")["wrong"]), (&json!(true), &json!(true)));
    let (_, kind) = b.change("tank.width", "340 kg");
    assert!(field(&kind, "tank.width")["told"].as_str().unwrap().contains("mass"), "{}", field(&kind, "tank.width"));
    let (_, hostile) = b.change("tank.width", "<img src=x onerror=alert(1)>");
    let told = field(&hostile, "tank.width")["told"].as_str().unwrap();
    assert!(!told.contains("<img") && !hostile["top"].as_str().unwrap().contains("<img"), "{told}");
    let page = b.get(&b.own(""), "").1;
    assert!(!page.contains("<img") && page.contains("&lt;img src=x"), "what is typed stays text");
    assert_eq!(b.change("no.such.value", "1 mm").0, 422);
    assert_eq!(b.change("tank.width", "1 mm\n[[part]]").0, 422);
    assert_eq!(b.change("tank.width", &"1 + ".repeat(400)).0, 422);
    assert!(!b.change("tank.width", "340 mm").1["stale"].as_bool().unwrap());
}

#[test]
fn saving_changes_that_value_only() {
    let b = bench();
    let was = b.text("job.toml");
    b.change("tank.width", "352 mm");
    assert_eq!(b.text("job.toml"), was, "nothing is written before it is asked for");
    let (_, state) = b.post("save", "{}");
    assert!(state["act"]["done"].as_bool().unwrap(), "{}", state["act"]);
    assert_eq!(b.text("job.toml"), was.replace("tank.width = \"340 mm\" ", "tank.width = \"352 mm\" "));
    assert_eq!(state["unsaved"], false);
    // With a fault in it, it is saved and said.
    b.change("tank.height", "220 mn");
    let (_, state) = b.post("save", "{}");
    assert!(state["act"]["html"].as_str().unwrap().contains("at fault"), "{}", state["act"]);
    assert!(b.text("job.toml").contains("220 mn"));
}

#[test]
fn what_another_program_wrote_is_not_written_over() {
    let b = bench();
    b.change("tank.width", "352 mm");
    let other = b.text("job.toml").replace("\"739 mm\"", "\"740 mm\"");
    fs::write(b.path("job.toml"), &other).unwrap();
    let (_, state) = b.post("save", "{}");
    assert!(!state["act"]["done"].as_bool().unwrap());
    assert!(state["act"]["html"].as_str().unwrap().contains("changed by another program"));
    assert_eq!(b.text("job.toml"), other);
    let (_, state) = b.post("reload", "{}");
    assert_eq!(field(&state, "tank.lips")["text"], "740 mm");
    assert_eq!(field(&state, "tank.width")["text"], "340 mm");
    // Without changes of its own the page follows the file.
    fs::write(b.path("job.toml"), other.replace("\"740 mm\"", "\"741 mm\"")).unwrap();
    assert_eq!(field(&b.post("state", "{}").1, "tank.lips")["text"], "741 mm");
}

#[test]
fn a_plan_is_made_then_booked_once_and_can_be_taken_back() {
    let b = bench();
    let rack = b.text("bin.toml");
    let act = |name: &str| {
        let (status, state) = b.post(name, "{}");
        assert_eq!(status, 200, "{name}");
        (state["act"]["done"].as_bool().unwrap(), state["act"]["html"].as_str().unwrap().to_string(), state)
    };
    let (done, why, _) = act("book");
    assert!(!done && why.contains("make all files first"), "{why}");
    b.change("tank.width", "352 mm");
    let (done, why, _) = act("make");
    assert!(!done && why.contains("save the job first"), "{why}");
    act("save");
    assert!(act("make").0);
    assert_eq!(b.get(&b.own("drilling-templates.pdf"), "").0, 200);
    assert_eq!(b.get(&b.own("out/job.json"), "").0, 404);
    assert_eq!(b.text("bin.toml"), rack, "making changes no bin");
    // Other values than those of the paper are not booked.
    b.change("tank.width", "353 mm");
    let (done, why, _) = act("book");
    assert!(!done && why.contains("other values"), "{why}");
    b.change("tank.width", "352 mm");
    let (done, why, _) = act("book");
    assert!(done && why.contains("booked in"), "{why}");
    let booked = b.text("bin.toml");
    assert_ne!(booked, rack);
    let (done, why, _) = act("book");
    assert!(!done && why.contains("booked already"), "{why}");
    assert_eq!(b.text("bin.toml"), booked, "twice is once");
    assert!(act("undo").0);
    assert_eq!(b.text("bin.toml"), rack);
}

#[test]
fn an_offcut_is_read_as_the_bin_command_reads_it() {
    let b = bench();
    let rack = b.text("bin.toml");
    let add = |shape: &str, size: &str, length: &str, place: &str| {
        let offcut = json!({ "shape": shape, "size": size, "length": length, "where": place });
        b.post("offcut", &json!({ "offcut": offcut }).to_string()).1
    };
    let wrong = add("flat bar", "40 x 3 mm", "872 mn", "");
    assert!(!wrong["act"]["done"].as_bool().unwrap());
    assert_eq!(b.text("bin.toml"), rack);
    let state = add("flat bar", "40 x 3 mm", "872 mm", "rack \"A\", top");
    assert!(state["act"]["done"].as_bool().unwrap(), "{}", state["act"]);
    let now = b.text("bin.toml");
    let same = now.bytes().zip(rack.bytes()).take_while(|(a, b)| a == b).count();
    let put_in = &now[same..same + now.len() - rack.len()];
    assert_eq!(now, format!("{}{put_in}{}", &rack[..same], &rack[same..]), "every other byte stays");
    assert!(put_in.contains("872 mm"), "{put_in}");
    assert!(b.post("undo", "{}").1["act"]["done"].as_bool().unwrap());
    assert_eq!(b.text("bin.toml"), rack);
}
