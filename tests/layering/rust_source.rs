//! Enough of Rust's grammar to read imports: a lexer that tells code from comments and strings, and the paths into the
//! crate (`crate::a`, `crate::{a, b::c}`, `super::super::a`, also within inline modules).

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    Word,
    Mark(char),
}

#[derive(Clone, Debug)]
pub struct Token {
    pub kind: Kind,
    pub text: String,
    pub line: usize,
}

impl Token {
    pub fn is(&self, mark: char) -> bool {
        self.kind == Kind::Mark(mark)
    }
}

pub fn lex(source: &str) -> Vec<Token> {
    let chars: Vec<char> = source.chars().collect();
    let at = |i: usize| chars.get(i).copied().unwrap_or('\0');
    let mut tokens = Vec::new();
    let (mut i, mut line) = (0, 1);
    while i < chars.len() {
        let c = at(i);
        let begin = i;
        if c == '/' && at(i + 1) == '/' {
            while i < chars.len() && at(i) != '\n' {
                i += 1;
            }
        } else if c == '/' && at(i + 1) == '*' {
            let mut depth = 0;
            loop {
                match (at(i), at(i + 1)) {
                    ('/', '*') => (depth, i) = (depth + 1, i + 2),
                    ('*', '/') => (depth, i) = (depth - 1, i + 2),
                    _ => i += 1,
                }
                if depth == 0 || i >= chars.len() {
                    break;
                }
            }
        } else if let Some(end) = raw_string_end(&chars, i) {
            i = end;
        } else if c == '"' {
            i += 1;
            while i < chars.len() && at(i) != '"' {
                i += if at(i) == '\\' { 2 } else { 1 };
            }
            i += 1;
        } else if c == '\'' && (at(i + 1) == '\\' || at(i + 2) == '\'') {
            i += if at(i + 1) == '\\' { 3 } else { 2 };
            while i < chars.len() && at(i) != '\'' {
                i += 1;
            }
            i += 1;
        } else if c.is_alphanumeric() || c == '_' {
            while at(i).is_alphanumeric() || at(i) == '_' {
                i += 1;
            }
            tokens.push(Token { kind: Kind::Word, text: chars[begin..i].iter().collect(), line });
        } else {
            i += 1;
            if !c.is_whitespace() {
                tokens.push(Token { kind: Kind::Mark(c), text: c.to_string(), line });
            }
        }
        let end = i.min(chars.len());
        line += chars[begin..end].iter().filter(|c| **c == '\n').count();
    }
    tokens
}

/// The index after a raw string that begins here (`r"`, `r#"`, `br#"`), if one does.
fn raw_string_end(chars: &[char], begin: usize) -> Option<usize> {
    let at = |i: usize| chars.get(i).copied().unwrap_or('\0');
    let before = begin.checked_sub(1).map_or(' ', at);
    if before.is_alphanumeric() || before == '_' {
        return None;
    }
    let mut i = begin + usize::from(at(begin) == 'b');
    if at(i) != 'r' {
        return None;
    }
    i += 1;
    let hashes = (i..).take_while(|i| at(*i) == '#').count();
    i += hashes;
    if at(i) != '"' {
        return None;
    }
    i += 1;
    while i < chars.len() {
        if at(i) == '"' && (1..=hashes).all(|n| at(i + n) == '#') {
            return Some(i + 1 + hashes);
        }
        i += 1;
    }
    Some(chars.len())
}

// ---- Paths: `crate::a`, `crate::{a, b::c}`, `super::super::a`, also within inline modules. ----

/// A path into the crate: the top-level module and the segment after it, if there is one.
#[derive(Debug, PartialEq, Eq)]
pub struct Import {
    pub top: String,
    pub then: Option<String>,
    pub line: usize,
}

/// Imports of other top-level modules in a file that is `depth` modules below the crate root.
pub fn imports(tokens: &[Token], depth: usize) -> Vec<Import> {
    let mut found = Vec::new();
    // For every open brace whether it belongs to an inline module.
    let mut braces = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let token = &tokens[i];
        if token.is('{') {
            let names_module = i >= 2 && tokens[i - 2].text == "mod" && tokens[i - 1].kind == Kind::Word;
            braces.push(names_module);
        } else if token.is('}') {
            braces.pop();
        }
        let continues = i >= 2 && tokens[i - 1].is(':') && tokens[i - 2].is(':');
        if !continues && matches!(token.text.as_str(), "crate" | "super") && follows_path(tokens, i + 1) {
            let mut at = i;
            let mut above = 0;
            while tokens[at].text == "super" && follows_path(tokens, at + 1) {
                above += 1;
                at += 3;
            }
            let level = depth + braces.iter().filter(|inline| **inline).count();
            let to_root = token.text == "crate" || above == level;
            if token.text == "crate" {
                at += 3;
            }
            if to_root && at < tokens.len() {
                heads(tokens, at, &mut found);
            }
            i = at;
            continue;
        }
        i += 1;
    }
    found
}

fn follows_path(tokens: &[Token], i: usize) -> bool {
    tokens.get(i).is_some_and(|token| token.is(':')) && tokens.get(i + 1).is_some_and(|token| token.is(':'))
}

/// The first two segments of the path, or of each path of the group, that begins at `i`.
fn heads(tokens: &[Token], i: usize, found: &mut Vec<Import>) {
    let second = |i: usize| follows_path(tokens, i + 1).then(|| tokens.get(i + 3)).flatten().map(|t| t.text.clone());
    if tokens[i].kind == Kind::Word {
        found.push(Import { top: tokens[i].text.clone(), then: second(i), line: tokens[i].line });
    } else if tokens[i].is('{') {
        let mut depth = 0;
        for at in i..tokens.len() {
            match tokens[at].kind {
                Kind::Mark('{') => depth += 1,
                Kind::Mark('}') => depth -= 1,
                Kind::Word if depth == 1 && (tokens[at - 1].is('{') || tokens[at - 1].is(',')) => {
                    heads(tokens, at, found)
                }
                _ => {}
            }
            if depth == 0 {
                break;
            }
        }
    }
}
