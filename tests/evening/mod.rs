//! A page that starts a job, over an empty folder, and what its tests ask of it.

#![allow(dead_code)] // each test takes what it needs

use droprack::run::first::First;
use droprack::run::{Request, run};
use droprack::serve::{Desk, Limits, Server};
use droprack::source::Disk;
use serde_json::{Value, json};
use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;

/// A server over an empty folder.
pub struct Evening {
    pub folder: tempfile::TempDir,
    pub port: u16,
    pub token: String,
}

pub fn evening() -> Evening {
    let folder = tempfile::tempdir().unwrap();
    let (port, token) = served(folder.path());
    Evening { folder, port, token }
}

pub fn served(folder: &Path) -> (u16, String) {
    let first = First::open(folder.to_path_buf(), None, None);
    let server = Server::bind(Desk::First(Box::new(first)), 0, Limits::default()).unwrap();
    let address = server.address();
    let (port, token) = address.strip_prefix("http://127.0.0.1:").unwrap().split_once('/').unwrap();
    let found = (port.parse().unwrap(), token.trim_end_matches('/').to_string());
    std::thread::spawn(move || server.run());
    found
}

impl Evening {
    pub fn raw(&self, bytes: &[u8]) -> (u16, String) {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        stream.write_all(bytes).unwrap();
        let mut out = vec![];
        stream.read_to_end(&mut out).unwrap();
        let answer = String::from_utf8_lossy(&out).into_owned();
        let status = answer.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        (status, answer.split_once("\r\n\r\n").map_or(String::new(), |a| a.1.to_string()))
    }

    pub fn get(&self, name: &str) -> (u16, String) {
        let (port, token) = (self.port, &self.token);
        self.raw(
            format!("GET /{token}/{name} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n").as_bytes(),
        )
    }

    pub fn post_with(&self, token: &str, name: &str, more: &str, body: &Value) -> (u16, Value) {
        let body = body.to_string();
        let head = format!(
            "POST /{token}/{name} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n{more}\
             Content-Type: application/json\r\nContent-Length: {}\r\n\r\n",
            self.port,
            body.len()
        );
        let (status, answer) = self.raw(format!("{head}{body}").as_bytes());
        (status, serde_json::from_str(&answer).unwrap_or(Value::Null))
    }

    pub fn post(&self, name: &str, body: &Value) -> Value {
        let (status, answer) = self.post_with(&self.token, name, "", body);
        assert_eq!(status, 200, "{name}: {answer}");
        answer
    }

    /// Everything that lies in the folder, sorted.
    pub fn there(&self) -> Vec<String> {
        let mut all: Vec<String> = fs::read_dir(self.folder.path())
            .unwrap()
            .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        all.sort();
        all
    }
}

/// What the page sends for a strap that is answered.
pub fn strap(title: &str) -> Value {
    json!({ "carries": "fuel tank", "fixed_to": "frame rail", "template": "tank-strap", "of": "tank-strap", "title": title,
            "answers": { "section": "rectangle", "width": "340", "height": "220 mm", "thickness": "4 mm" } })
}

pub fn block(state: &Value, id: &str) -> String {
    let found = state["blocks"].as_array().unwrap().iter().find(|b| b["id"] == id).unwrap();
    found["html"].as_str().unwrap_or("").to_string()
}

pub fn field<'a>(state: &'a Value, name: &str) -> &'a Value {
    state["fields"].as_array().unwrap().iter().find(|f| f["name"] == name).unwrap()
}

/// Findings of a job file, and that it holds together.
pub fn works_out(job: &Path) -> droprack::run::Outcome {
    run(&Disk, &Request { job: job.to_path_buf(), bin: None })
        .unwrap_or_else(|t| panic!("{}: {:?}", job.display(), t.diagnostics))
}
