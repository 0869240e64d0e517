//! Any text through `feed::template`.
#![no_main]

#[path = "../feed.rs"]
mod feed;

libfuzzer_sys::fuzz_target!(|text: &str| feed::template(text));
