//! Any text through `feed::job`.
#![no_main]

#[path = "../feed.rs"]
mod feed;

libfuzzer_sys::fuzz_target!(|text: &str| feed::job(text));
