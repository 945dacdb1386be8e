//! Names of the families styles are listed under.

/// The name of a family by its identifier in style files; the identifier itself, opened up, for one not in the list.
pub fn name(id: &str) -> String {
    let name = match id {
        "hip-hop" => "Hip-hop",
        "r-and-b" => "R&B",
        "caribbean-latin" => "Caribbean and Latin",
        "african-diaspora" => "African and diaspora",
        "brazilian" => "Brazilian",
        "dance" => "Dance floor",
        "club" => "Club",
        "breakbeat" => "Breakbeat",
        "pop" => "Pop",
        "funk-soul" => "Funk and soul",
        "rock" => "Rock and country",
        "jazz" => "Jazz",
        "blues-gospel" => "Blues and gospel",
        other => return other.replace('-', " "),
    };
    name.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn families_have_names() {
        assert_eq!(name("r-and-b"), "R&B");
        assert_eq!(name("south-asian"), "south asian");
    }
}
