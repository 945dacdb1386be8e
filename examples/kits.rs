fn main() {
    let text = std::fs::read_to_string("/work/shared/reference/styles.json").unwrap();
    let v: serde_json::Value = serde_json::from_str(&text).unwrap();
    for s in v["styles"].as_array().unwrap() {
        let id = s["id"].as_str().unwrap();
        let kit = stickleback::lesson::kit_facts::kit_from_facts(id, &s["sound"]).unwrap();
        std::fs::write(format!("lessons/kits/{id}.json"), stickleback::lesson::kit::write_kit(&kit)).unwrap();
    }
    println!("{}", stickleback::lesson::groove::write(&stickleback::session::draft::blank()));
}
