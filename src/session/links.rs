//! Making links, and getting them out.

use super::library::Drums;
use crate::browser;
use crate::rhythm::Groove;
use crate::route::Route;
use crate::share;

/// The whole address of a room.
pub fn address(route: &Route) -> String {
    format!("{}{}", browser::location::page(), route.fragment())
}

/// The link to a groove as it is now, its kit (without own voices) pinned by content; `title` goes along as the receiver's heading.
pub fn groove(groove: &Groove, drums: Option<&Drums>, title: &str) -> String {
    let hash = drums.map_or(0, |drums| drums.pinned);
    let title = Some(title).filter(|title| !title.is_empty());
    address(&Route::Received(share::encode(groove, hash, title)))
}

/// Makes a link ready to be pasted elsewhere; false if the browser does not allow it.
pub async fn copy(link: String) -> bool {
    browser::copy_text(&link).await
}
