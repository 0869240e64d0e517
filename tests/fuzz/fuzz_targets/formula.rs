//! Any text through `feed::formula`.
#![no_main]

#[path = "../feed.rs"]
mod feed;

libfuzzer_sys::fuzz_target!(|text: &str| feed::formula(text));
