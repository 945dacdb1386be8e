//! Why a style or a kit is not there.

use crate::lesson::reader::Fault;

/// What became of a file that was to be opened.
#[derive(Clone, Debug, PartialEq)]
pub enum Missing {
    /// There is no style or kit of this name.
    Unknown,
    /// No answer, or it broke off.
    NoAnswer,
    /// The server answered with this status.
    Status(u16),
    /// The server sent a web page in its place.
    WebPage,
    /// It came, but has these mistakes.
    Faults(Vec<Fault>),
}

/// The sentence for it.
pub fn missing(missing: &Missing) -> String {
    match missing {
        Missing::Unknown => "There is no style or kit of this name.".to_owned(),
        Missing::NoAnswer => {
            "The file did not arrive: the connection may be gone. Load the page again to try once more.".to_owned()
        }
        Missing::Status(status) => format!("The file is missing on the server, which answered {status}."),
        Missing::WebPage => "The server sent a web page where the file should be.".to_owned(),
        Missing::Faults(faults) => {
            let more = match faults.len() {
                0 | 1 => String::new(),
                n => format!(" (and {} more)", n - 1),
            };
            let first = faults.first().map(ToString::to_string).unwrap_or_default();
            format!("The file has mistakes: {first}{more}.")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_cause_has_its_sentence() {
        assert_eq!(missing(&Missing::Status(404)), "The file is missing on the server, which answered 404.");
        let fault = crate::lesson::reader::parse("{", 10).unwrap_err();
        let text = missing(&Missing::Faults(vec![fault.clone(), fault]));
        assert!(text.starts_with("The file has mistakes: ") && text.ends_with("(and 1 more)."), "{text}");
    }
}
