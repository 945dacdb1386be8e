//! Bytes as link characters: base64url without padding (RFC 4648, section 5), read tolerantly and checked strictly.

/// The 64 characters in order of value.
const CHARACTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// The character of a value, of which only the low six bits count.
pub(super) fn character(value: u8) -> char {
    char::from(CHARACTERS[usize::from(value & 63)])
}

/// The value of a character, 0 to 63; `+` and `/` are taken for `-` and `_`.
pub(super) fn value(character: char) -> Option<u8> {
    match character {
        'A'..='Z' => Some(character as u8 - b'A'),
        'a'..='z' => Some(character as u8 - b'a' + 26),
        '0'..='9' => Some(character as u8 - b'0' + 52),
        '-' | '+' => Some(62),
        '_' | '/' => Some(63),
        _ => None,
    }
}

/// Writes bytes as characters.
pub(super) fn write(bytes: &[u8], text: &mut String) {
    for group in bytes.chunks(3) {
        let byte = |index: usize| group.get(index).copied().unwrap_or(0);
        let (a, b, c) = (byte(0), byte(1), byte(2));
        let values = [a >> 2, (a << 4) | (b >> 4), (b << 2) | (c >> 6), c];
        text.extend(values.into_iter().take(group.len() + 1).map(character));
    }
}

/// Reads the bytes that character values stand for. `None` if no bytes are written so: a lone last character, or spare
/// bits that are not zero (a changed last character must not go unseen).
pub(super) fn read(values: &[u8]) -> Option<Vec<u8>> {
    let mut bytes = Vec::with_capacity(values.len() * 3 / 4);
    for group in values.chunks(4) {
        let value = |index: usize| group.get(index).copied().unwrap_or(0);
        let (a, b, c, d) = (value(0), value(1), value(2), value(3));
        let whole = [(a << 2) | (b >> 4), (b << 4) | (c >> 2), (c << 6) | d];
        let (count, spare) = match group.len() {
            4 => (3, 0),
            3 => (2, whole[2]),
            2 => (1, whole[1]),
            _ => return None,
        };
        if spare != 0 {
            return None;
        }
        bytes.extend(whole.into_iter().take(count));
    }
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(bytes: &[u8], want: &str) {
        let mut text = String::new();
        write(bytes, &mut text);
        assert_eq!(text, want);
        let values: Vec<u8> = text.chars().filter_map(value).collect();
        assert_eq!(read(&values).as_deref(), Some(bytes));
    }

    #[test]
    fn vectors_of_the_standard() {
        // RFC 4648, section 10, and two bytes that need the last characters of the alphabet.
        check(b"", "");
        check(b"f", "Zg");
        check(b"fo", "Zm8");
        check(b"foo", "Zm9v");
        check(b"foob", "Zm9vYg");
        check(b"fooba", "Zm9vYmE");
        check(b"foobar", "Zm9vYmFy");
        check(&[0xfb, 0xff], "-_8");
    }

    #[test]
    fn spare_bits_and_lone_characters_are_refused() {
        for text in ["Zh", "Zm9", "Z", "Zm9vY"] {
            let values: Vec<u8> = text.chars().filter_map(value).collect();
            assert_eq!(read(&values), None, "{text}");
        }
        assert_eq!((value('+'), value('/'), value('=')), (value('-'), value('_'), None));
    }
}
