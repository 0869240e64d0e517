//! From a request to its answer: a name of a fixed list, and one call each.

use super::guard::{NOTHING, admitted};
use super::{Desk, Shared};
use crate::cut::Effort;
use crate::page::ASSETS;
use crate::run::first::Asked;
use crate::run::live::{Act, Have, Live, Offcut};
use http_body_util::{BodyExt, Full, LengthLimitError, Limited};
use hyper::body::{Body, Bytes, Incoming};
use hyper::header::{self, HeaderName, HeaderValue};
use hyper::http::request::Parts;
use hyper::{Method, Request, Response, StatusCode};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::convert::Infallible;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, PoisonError};

/// Largest body of a request, bytes.
const LARGEST_BODY: usize = 64 * 1024;

/// What the page may do: scripts, styles and answers from its own address.
const PAGE_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; \
                           base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// What a made file may do when it is looked at: nothing but look as it does.
const FILE_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// A body with its kind.
struct Reply {
    status: StatusCode,
    kind: &'static str,
    bytes: Vec<u8>,
    policy: &'static str,
}

impl Reply {
    fn new(kind: &'static str, bytes: Vec<u8>) -> Reply {
        Reply { status: StatusCode::OK, kind, bytes, policy: PAGE_POLICY }
    }
    fn json(value: &Value) -> Reply {
        Reply::new("application/json", value.to_string().into_bytes())
    }
    fn refusal(status: StatusCode, words: &str) -> Reply {
        Reply { status, ..Reply::json(&json!({ "error": words })) }
    }

    fn response(self) -> Response<Full<Bytes>> {
        let mut out = Response::new(Full::new(Bytes::from(self.bytes)));
        *out.status_mut() = self.status;
        let fixed = [
            (header::CONTENT_TYPE, self.kind),
            (header::CONTENT_SECURITY_POLICY, self.policy),
            (header::CACHE_CONTROL, "no-store"),
            (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
            (header::REFERRER_POLICY, "no-referrer"),
            (header::X_FRAME_OPTIONS, "DENY"),
            (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
            (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        ];
        for (name, value) in fixed {
            out.headers_mut().insert(name, HeaderValue::from_static(value));
        }
        out
    }
}

/// Answer one request.
pub(super) async fn answer(
    shared: Arc<Shared>,
    request: Request<Incoming>,
) -> Result<Response<Full<Bytes>>, Infallible> {
    let (parts, body) = request.into_parts();
    Ok(reply(shared, &parts, body).await.response())
}

async fn reply(shared: Arc<Shared>, parts: &Parts, body: Incoming) -> Reply {
    let name = match admitted(parts, shared.port, &shared.token) {
        Ok(name) => name.to_string(),
        Err((status, words)) => return Reply::refusal(status, words),
    };
    let bytes = if parts.method == Method::POST {
        match read_body(body, &shared).await {
            Ok(bytes) => Some(bytes),
            Err(refusal) => return refusal,
        }
    } else {
        if let Some((_, kind, text)) = ASSETS.iter().find(|a| a.0 == name) {
            return Reply::new(kind, text.as_bytes().to_vec());
        }
        None
    };
    let work = tokio::task::spawn_blocking(move || {
        catch_unwind(AssertUnwindSafe(|| {
            // A panic before this one leaves texts that are whole: they are changed at once or not at all.
            let mut desk = shared.desk.lock().unwrap_or_else(PoisonError::into_inner);
            match bytes {
                Some(bytes) => post(&mut desk, &name, &bytes),
                None => get(&mut desk, &name),
            }
        }))
    });
    let broken = || {
        let words = "droprack itself went wrong over this; nothing was written. Please report it with the job";
        Reply::refusal(StatusCode::INTERNAL_SERVER_ERROR, words)
    };
    work.await.map_or_else(|_| broken(), |done| done.unwrap_or_else(|_| broken()))
}

/// The body, if it is not too large and does not take too long.
async fn read_body(body: Incoming, shared: &Shared) -> Result<Bytes, Reply> {
    let too_large = || {
        let words = format!("{LARGEST_BODY} bytes at most");
        Reply::refusal(StatusCode::PAYLOAD_TOO_LARGE, &words)
    };
    if body.size_hint().lower() > LARGEST_BODY as u64 {
        return Err(too_large());
    }
    let whole = tokio::time::timeout(shared.limits.body, Limited::new(body, LARGEST_BODY).collect()).await;
    match whole {
        Ok(Ok(whole)) => Ok(whole.to_bytes()),
        Ok(Err(e)) if e.is::<LengthLimitError>() => Err(too_large()),
        Ok(Err(_)) => Err(Reply::refusal(StatusCode::BAD_REQUEST, "the body broke off")),
        Err(_) => Err(Reply::refusal(StatusCode::REQUEST_TIMEOUT, "the body took too long")),
    }
}

fn get(desk: &mut Desk, name: &str) -> Reply {
    if name.is_empty() {
        return Reply::new("text/html; charset=utf-8", desk.page().into_bytes());
    }
    // A made file's own page has a script in it, which this address does not run.
    let kind = match name.rsplit_once('.').map(|n| n.1) {
        Some("pdf") => "application/pdf",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("txt") => "text/plain; charset=utf-8",
        Some("csv") => "text/csv; charset=utf-8",
        Some("json") => "application/json",
        Some("stl" | "glb") => "application/octet-stream",
        _ => return Reply::refusal(NOTHING.0, NOTHING.1),
    };
    match desk.file(name) {
        Some(bytes) => Reply { policy: FILE_POLICY, ..Reply::new(kind, bytes) },
        None => Reply::refusal(NOTHING.0, NOTHING.1),
    }
}

/// What is sent to change a value.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Change {
    name: String,
    text: String,
    #[serde(default)]
    have: Have,
}

/// What is sent for everything else.
#[derive(Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct Ask {
    have: Have,
    offcut: Offcut,
}

/// Told to a tab that asks for what the desk no longer is, or is not yet.
const OTHER_DESK: &str = "another page stands here now: load this page anew";

fn post(desk: &mut Desk, name: &str, bytes: &[u8]) -> Reply {
    let other = || Reply::refusal(StatusCode::CONFLICT, OTHER_DESK);
    match (desk, name) {
        (Desk::First(first), "first") => read(bytes, |asked: Asked| Reply::json(&first.state(asked))),
        (desk @ Desk::First(_), "begin") => begin(desk, bytes),
        (Desk::Job(_), "first" | "begin") => other(),
        (Desk::Job(job), _) => post_job(job, name, bytes),
        (Desk::First(_), "change" | "state" | "save" | "reload" | "make" | "book" | "undo" | "offcut") => other(),
        (Desk::First(_), _) => Reply::refusal(NOTHING.0, NOTHING.1),
    }
}

/// Write the job that was asked for; from then on it is what lies on the desk.
fn begin(desk: &mut Desk, bytes: &[u8]) -> Reply {
    let mut begun = None;
    let reply = read(bytes, |asked: Asked| {
        let Desk::First(first) = &mut *desk else { return Reply::refusal(StatusCode::CONFLICT, OTHER_DESK) };
        match first.begin(asked) {
            Ok(live) => {
                begun = Some(live);
                Reply::json(&json!({ "begun": true }))
            }
            Err(state) => Reply::json(&state),
        }
    });
    if let Some(live) = begun {
        *desk = Desk::Job(Box::new(live));
    }
    reply
}

fn post_job(job: &mut Live, name: &str, bytes: &[u8]) -> Reply {
    match name {
        "change" => read(bytes, |c: Change| match job.change(&c.name, &c.text, &c.have) {
            Ok(state) => Reply::json(&state),
            Err(words) => Reply::refusal(StatusCode::UNPROCESSABLE_ENTITY, &words),
        }),
        "state" => read(bytes, |a: Ask| Reply::json(&job.state(&a.have, Effort::NORMAL))),
        "save" => act(job, bytes, |job, _| job.save()),
        "reload" => act(job, bytes, |job, _| job.reload()),
        "make" => act(job, bytes, |job, _| job.make()),
        "book" => act(job, bytes, |job, _| job.book()),
        "undo" => act(job, bytes, |job, _| job.undo()),
        "offcut" => act(job, bytes, |job, ask| job.add(&ask.offcut)),
        _ => Reply::refusal(NOTHING.0, NOTHING.1),
    }
}

/// Do something, and tell it with everything as it stands then.
fn act(job: &mut Live, bytes: &[u8], done: impl FnOnce(&mut Live, &Ask) -> Act) -> Reply {
    read(bytes, |ask: Ask| {
        let act = done(job, &ask);
        let mut state = job.state(&ask.have, Effort::NORMAL);
        state["act"] = json!({ "html": act.html, "done": act.done });
        Reply::json(&state)
    })
}

fn read<T: DeserializeOwned>(bytes: &[u8], then: impl FnOnce(T) -> Reply) -> Reply {
    match serde_json::from_slice(bytes) {
        Ok(value) => then(value),
        Err(e) => Reply::refusal(StatusCode::BAD_REQUEST, &format!("this is not understood: {e}")),
    }
}
