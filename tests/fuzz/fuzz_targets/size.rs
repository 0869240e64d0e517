//! Any text through `feed::size`.
#![no_main]

#[path = "../feed.rs"]
mod feed;

libfuzzer_sys::fuzz_target!(|text: &str| feed::size(text));
