//! Who may ask: the checks that every request passes before anything is looked up.

use hyper::header::{CONTENT_TYPE, HOST, HeaderMap, HeaderName, ORIGIN};
use hyper::http::request::Parts;
use hyper::{Method, StatusCode};

/// Why a request is not answered.
pub(super) type Refusal = (StatusCode, &'static str);

const FOREIGN: Refusal = (StatusCode::FORBIDDEN, "this page answers its own address only");
/// The same for every name that is not there, with or without the token.
pub(super) const NOTHING: Refusal = (StatusCode::NOT_FOUND, "nothing is here");

/// The name behind the token, for a request of our own page.
pub(super) fn admitted<'a>(parts: &'a Parts, port: u16, token: &str) -> Result<&'a str, Refusal> {
    let host = one(&parts.headers, &HOST)?.ok_or(FOREIGN)?;
    let own = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    if !own.iter().any(|o| o == host) {
        return Err(FOREIGN);
    }
    // A request line with a whole address in it: that has to be ours too.
    if parts.uri.authority().is_some_and(|a| a.as_str() != host) {
        return Err(FOREIGN);
    }
    if one(&parts.headers, &ORIGIN)?.is_some_and(|o| o.strip_prefix("http://") != Some(host)) {
        return Err(FOREIGN);
    }
    let site = one(&parts.headers, &HeaderName::from_static("sec-fetch-site"))?;
    if site.is_some_and(|s| s != "same-origin" && s != "none") {
        return Err(FOREIGN);
    }
    let name = behind_token(parts.uri.path(), token).ok_or(NOTHING)?;
    match parts.method {
        Method::GET => Ok(name),
        Method::POST if is_json(&parts.headers) => Ok(name),
        Method::POST => Err((StatusCode::UNSUPPORTED_MEDIA_TYPE, "what is sent here is application/json")),
        _ => Err((StatusCode::METHOD_NOT_ALLOWED, "GET and POST are understood")),
    }
}

/// The only value of a header; several of it are not guessed at.
fn one<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Result<Option<&'a str>, Refusal> {
    let mut all = headers.get_all(name).iter();
    let first = all.next();
    if all.next().is_some() {
        return Err(FOREIGN);
    }
    first.map(|v| v.to_str().map_err(|_| FOREIGN)).transpose()
}

fn is_json(headers: &HeaderMap) -> bool {
    let kind = headers.get(CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or("");
    kind.split(';').next().unwrap_or("").trim().eq_ignore_ascii_case("application/json")
}

/// `/TOKEN/name` gives `name`. Nothing is decoded: a name with `%` in it is no name.
fn behind_token<'a>(path: &'a str, token: &str) -> Option<&'a str> {
    let (given, name) = path.strip_prefix('/')?.split_once('/')?;
    same(given.as_bytes(), token.as_bytes()).then_some(name)
}

/// Whether two texts are the same, in a time that does not tell where they differ.
fn same(a: &[u8], b: &[u8]) -> bool {
    if a.len() != b.len() {
        return false;
    }
    let differs = a.iter().zip(b).fold(0_u8, |all, (x, y)| std::hint::black_box(all | (x ^ y)));
    std::hint::black_box(differs) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_very_token_opens() {
        assert_eq!(behind_token("/abc/", "abc"), Some(""));
        assert_eq!(behind_token("/abc/page.js", "abc"), Some("page.js"));
        assert_eq!(behind_token("/abc/parts/x.glb", "abc"), Some("parts/x.glb"));
        for wrong in ["/abd/", "/ab/", "/abcd/", "/ABC/", "/abc", "abc/", "//abc/", "/%61bc/", "/"] {
            assert_eq!(behind_token(wrong, "abc"), None, "{wrong}");
        }
    }
}
