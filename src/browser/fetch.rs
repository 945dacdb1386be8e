//! Fetching the app's own files.

use super::window;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;

/// Why a file did not arrive.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FetchFault {
    /// No answer: the connection is gone, or something in between refused.
    NoAnswer,
    /// The server answered with this status.
    Status(u16),
    /// The server sent a web page in its place.
    WebPage,
    /// The answer broke off.
    Broken,
}

/// The text of the file at `path`, relative to the page.
pub async fn text(path: &str) -> Result<String, FetchFault> {
    let window = window().ok_or(FetchFault::NoAnswer)?;
    let answer = JsFuture::from(window.fetch_with_str(path)).await.map_err(|_| FetchFault::NoAnswer)?;
    let answer: web_sys::Response = answer.dyn_into().map_err(|_| FetchFault::NoAnswer)?;
    if !answer.ok() {
        return Err(FetchFault::Status(answer.status()));
    }
    let kind = answer.headers().get("content-type").ok().flatten().unwrap_or_default();
    if kind.starts_with("text/html") {
        return Err(FetchFault::WebPage);
    }
    let body = answer.text().map_err(|_| FetchFault::Broken)?;
    let body = JsFuture::from(body).await.map_err(|_| FetchFault::Broken)?;
    body.as_string().ok_or(FetchFault::Broken)
}
