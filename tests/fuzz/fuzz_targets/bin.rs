//! Any text through `feed::bin`.
#![no_main]

#[path = "../feed.rs"]
mod feed;

libfuzzer_sys::fuzz_target!(|text: &str| feed::bin(text));
