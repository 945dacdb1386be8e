//! The rooms of the page and the address fragments that lead to them.
//!
//! Everything lives after the `#`, so any static host and any sub-path will do, and a shared groove never reaches a
//! server. Reading never fails: what leads nowhere leads to the Styles room, with a fault to show.

/// A room, and what is open in it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Route {
    /// All styles: `#/`.
    Styles,
    /// The lesson of one style: `#/style/ID`.
    Lesson(String),
    /// Two styles side by side: `#/compare/A/B`.
    SideBySide(String, String),
    /// Writing grooves down by ear: `#/dictation`.
    Dictation,
    /// The learner's own groove: `#/draft`.
    Draft,
    /// A groove that came as a link: `#/groove/PAYLOAD`. The payload is not judged here.
    Received(String),
    /// Building drum sounds: `#/voices`.
    Voices,
    /// One voice of one kit taken apart: `#/voices/KIT/ROLE`.
    Voice(String, String),
    /// A room of learners: `#/class`.
    Class,
    /// What has been learnt: `#/progress`.
    Progress,
}

/// Why an address leads nowhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RouteFault {
    /// There is no such room, or the room needs more to be said: which style, which groove.
    Unknown,
    /// A `%` that does not stand for a character.
    Percent,
    /// Longer than [`MAX_FRAGMENT`].
    TooLong,
}

/// The longest fragment that is read, in bytes.
pub const MAX_FRAGMENT: usize = 32 * 1024;

impl Route {
    /// The route of an address: a fragment with or without its `#`, or a whole address as somebody pasted it. What leads
    /// nowhere gives the Styles room and the reason.
    pub fn read(text: &str) -> (Route, Option<RouteFault>) {
        match Route::parse(text) {
            Ok(route) => (route, None),
            Err(fault) => (Route::Styles, Some(fault)),
        }
    }

    /// The route of an address, as [`Route::read`] takes it.
    pub fn parse(text: &str) -> Result<Route, RouteFault> {
        if text.len() > MAX_FRAGMENT {
            return Err(RouteFault::TooLong);
        }
        let fragment = match text.split_once('#') {
            Some((_, fragment)) => fragment,
            // The page itself, without a room.
            None if text.contains("://") => "",
            None => text,
        };
        // Some programs append their own tracking to a whole address.
        let fragment = fragment.split(['?', '&']).next().unwrap_or_default();
        let fragment = fragment.trim().trim_start_matches('/');
        // Ordinary base64 has slashes of its own, which a groove's payload keeps.
        if let Some((room, payload)) = fragment.split_once('/')
            && room.eq_ignore_ascii_case("groove")
            && !payload.is_empty()
        {
            return Ok(Route::Received(percent_decoded(payload)?));
        }
        let segments = fragment.split('/').filter(|segment| !segment.is_empty());
        let segments: Vec<String> = segments.map(percent_decoded).collect::<Result<_, _>>()?;
        let segments: Vec<&str> = segments.iter().map(String::as_str).collect();
        let Some((room, rest)) = segments.split_first() else { return Ok(Route::Styles) };
        let room = if rest.is_empty() { without_punctuation(room) } else { room };
        match (room.to_ascii_lowercase().as_str(), rest) {
            ("style", [id]) => Ok(Route::Lesson(style_id(id)?)),
            ("compare", [a, b]) => Ok(Route::SideBySide(style_id(a)?, style_id(b)?)),
            ("dictation", []) => Ok(Route::Dictation),
            ("draft", []) => Ok(Route::Draft),
            ("voices", []) => Ok(Route::Voices),
            ("voices", [kit, role]) => Ok(Route::Voice(style_id(kit)?, style_id(role)?)),
            ("class", []) => Ok(Route::Class),
            ("progress", []) => Ok(Route::Progress),
            _ => Err(RouteFault::Unknown),
        }
    }

    /// The fragment that leads here, with its `#`.
    pub fn fragment(&self) -> String {
        match self {
            Route::Styles => "#/".to_owned(),
            Route::Lesson(id) => format!("#/style/{}", percent_encoded(id)),
            Route::SideBySide(a, b) => format!("#/compare/{}/{}", percent_encoded(a), percent_encoded(b)),
            Route::Dictation => "#/dictation".to_owned(),
            Route::Draft => "#/draft".to_owned(),
            Route::Received(payload) => format!("#/groove/{}", percent_encoded(payload)),
            Route::Voices => "#/voices".to_owned(),
            Route::Voice(kit, role) => format!("#/voices/{}/{}", percent_encoded(kit), percent_encoded(role)),
            Route::Class => "#/class".to_owned(),
            Route::Progress => "#/progress".to_owned(),
        }
    }
}

/// An identifier as files write it: letters, digits and hyphens, at most 40.
fn style_id(text: &str) -> Result<String, RouteFault> {
    let id = without_punctuation(text).to_ascii_lowercase();
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    if (1..=40).contains(&id.len()) && id.bytes().all(plain) { Ok(id) } else { Err(RouteFault::Unknown) }
}

/// The text up to the first white space and without the punctuation a sentence around it leaves at its end.
fn without_punctuation(text: &str) -> &str {
    let word = text.split_whitespace().next().unwrap_or_default();
    word.trim_end_matches(|c: char| !c.is_alphanumeric())
}

/// Decodes percent sequences, once. Fails on a broken sequence and on bytes that are no text.
fn percent_decoded(text: &str) -> Result<String, RouteFault> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        let byte = match byte {
            b'%' => {
                let mut digit = || rest.next().and_then(|digit| char::from(digit).to_digit(16));
                let (Some(high), Some(low)) = (digit(), digit()) else { return Err(RouteFault::Percent) };
                (high * 16 + low) as u8
            }
            plain => plain,
        };
        bytes.push(byte);
    }
    String::from_utf8(bytes).map_err(|_| RouteFault::Percent)
}

/// Encodes everything but the unreserved characters of RFC 3986, section 2.3.
fn percent_encoded(text: &str) -> String {
    let mut encoded = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.' | b'~') {
            encoded.push(char::from(byte));
        } else {
            encoded.push_str(&format!("%{byte:02X}"));
        }
    }
    encoded
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    #[track_caller]
    fn check(text: &str, want: Route, fragment: &str) {
        assert_eq!(Route::read(text), (want.clone(), None), "{text:?}");
        assert_eq!(want.fragment(), fragment);
        assert_eq!(Route::parse(fragment), Ok(want));
    }

    #[test]
    fn every_room_reads_and_writes() {
        let id = str::to_owned;
        check("", Route::Styles, "#/");
        check("#", Route::Styles, "#/");
        check("#/", Route::Styles, "#/");
        check("https://music.example/room/", Route::Styles, "#/");
        check("#/style/lo-fi-hip-hop", Route::Lesson(id("lo-fi-hip-hop")), "#/style/lo-fi-hip-hop");
        check("/style/trap/", Route::Lesson(id("trap")), "#/style/trap");
        check("#/compare/trap/uk-drill", Route::SideBySide(id("trap"), id("uk-drill")), "#/compare/trap/uk-drill");
        check("#/dictation", Route::Dictation, "#/dictation");
        check("#/draft", Route::Draft, "#/draft");
        check("#/groove/Bab-_09", Route::Received(id("Bab-_09")), "#/groove/Bab-_09");
        check("#/voices", Route::Voices, "#/voices");
        check("#/voices/trap/sub-bass", Route::Voice(id("trap"), id("sub-bass")), "#/voices/trap/sub-bass");
        check("#/class", Route::Class, "#/class");
        check("#/progress", Route::Progress, "#/progress");
    }

    #[test]
    fn pasted_addresses_are_understood() {
        let id = str::to_owned;
        check("https://music.example/a/?x=1#/style/trap", Route::Lesson(id("trap")), "#/style/trap");
        check("  listen: https://music.example/#/style/trap.  ", Route::Lesson(id("trap")), "#/style/trap");
        check("#/Style/Trap).", Route::Lesson(id("trap")), "#/style/trap");
        check("#/draft?utm=1", Route::Draft, "#/draft");
        check("#/draft!", Route::Draft, "#/draft");
        check("#/style/tr%61p", Route::Lesson(id("trap")), "#/style/trap");
        check("#/groove/Ba/b+=", Route::Received(id("Ba/b+=")), "#/groove/Ba%2Fb%2B%3D");
        check("#/groove/B//a", Route::Received(id("B//a")), "#/groove/B%2F%2Fa");
        check("#/groove/%C3%A9%25", Route::Received(id("é%")), "#/groove/%C3%A9%25");
    }

    #[test]
    fn what_leads_nowhere_says_why() {
        for (text, want) in [
            ("#/nowhere", RouteFault::Unknown),
            ("#/style", RouteFault::Unknown),
            ("#/style/", RouteFault::Unknown),
            ("#/style/a/b", RouteFault::Unknown),
            ("#/style/..%2F..", RouteFault::Unknown),
            ("#/style/%3Cb%3E", RouteFault::Unknown),
            ("#/compare/trap", RouteFault::Unknown),
            ("#/groove/", RouteFault::Unknown),
            ("#/draft/more", RouteFault::Unknown),
            ("#/voices/trap", RouteFault::Unknown),
            ("#/voices/trap/a%20b/c", RouteFault::Unknown),
            ("#%", RouteFault::Percent),
            ("#%E0%A4%A", RouteFault::Percent),
            ("#/style/%E0%A4", RouteFault::Percent),
            ("#/style/%zz", RouteFault::Percent),
            ("#/style/%2", RouteFault::Percent),
            ("#/style/%é", RouteFault::Percent),
        ] {
            assert_eq!(Route::read(text), (Route::Styles, Some(want)), "{text:?}");
        }
        assert_eq!(Route::parse(&"x".repeat(MAX_FRAGMENT + 1)), Err(RouteFault::TooLong));
        assert_eq!(Route::parse("#/style/%2574"), Err(RouteFault::Unknown), "decoded once, not twice");
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(1),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn any_text_gives_a_route_that_reads_back(text in "\\PC*|[#/%a-f0-9A-Z]{0,40}|#/groove/.{0,60}") {
            let (route, _) = Route::read(&text);
            prop_assert_eq!(Route::parse(&route.fragment()), Ok(route));
        }
    }
}
