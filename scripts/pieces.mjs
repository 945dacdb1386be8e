// Cuts the built program into pieces, so that a visit fetches what it opens: the piece every visit needs, and one for
// each part that `src/view/later.rs` marks. Trunk calls it twice in an optimised build:
//
// - in the place of wasm-bindgen (scripts/pieces/wasm-bindgen, first on the path): cuts, optimises the later pieces,
//   and hands the first one to the real wasm-bindgen;
// - as a hook after the build (`--place`): lays the pieces the built page names beside it.
//
// What cuts is the command of the crate wasm_split_cli_support; its own loader asks for file names without a hash and
// for one media type, so the loader comes from scripts/pieces/loader.js instead.

import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { copyFileSync, existsSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const here = path.dirname(fileURLToPath(import.meta.url));
const SHIM = path.join(here, "pieces");
const CUT = path.join(here, "../target/pieces");
const GENERATED = "__wasm_split.js";

// What Rust's WebAssembly may use; only the first piece still says so itself.
const FEATURES = ["bulk-memory", "multivalue", "mutable-globals", "nontrapping-float-to-int", "reference-types", "sign-ext"].map((name) => `--enable-${name}`);

/** The same path without the stand-in, so that the real command is found. */
const beyondShim = { ...process.env, PATH: process.env.PATH.split(path.delimiter).filter((folder) => folder !== SHIM).join(path.delimiter) };
const run = (command, args) => execFileSync(command, args, { stdio: "inherit", env: beyondShim });
const hashOf = (...contents) => contents.reduce((hash, content) => hash.update(content), createHash("sha256")).digest("hex").slice(0, 16);

/**
 * What the generated loader knows.
 *
 * @param {string} text its source
 * @returns {{shared: string[], pieces: {name: string, part: string | null, file: string, needs: string[]}[]}} names the
 *   pieces share with the first one; each piece with the part whose call loads it (none for one that parts share) and
 *   the pieces to be there before it
 */
export function readGenerated(text) {
  const shared = /const \{([\w\s,]*)\} = initSync\(/.exec(text);
  if (!shared) throw new Error("The generated loader does not tell what the pieces share.");
  const list = (words) => words.split(",").map((word) => word.trim()).filter(Boolean);
  const pieces = [];
  const entry = /(?:export const __wasm_split_load_(\w+) = wrapAsyncCb\(|const (\w+) = )makeLoad\(\(\) => \{\s*const src = fetch\(new URL\("\.\/([\w.-]+)", import\.meta\.url\)\);[^]*?, \[([\w\s,]*)\]\)/g;
  for (const [, part, name, file, needs] of text.matchAll(entry)) {
    pieces.push({ name: name ?? part, part: part ?? null, file, needs: list(needs) });
  }
  return { shared: list(shared[1]), pieces };
}

/** The source of the loader for these pieces, each `{name, part, address, needs}`. */
export function loaderSource(shared, pieces) {
  const table = pieces.map(({ name, address, needs }) => `  ${name}: [${JSON.stringify(address)}, ${JSON.stringify(needs)}],\n`).join("");
  const parts = pieces.filter(({ part }) => part).map(({ part, name }) => `export const __wasm_split_load_${part} = calledBack("${name}");\n`).join("");
  return `const SHARED = ${JSON.stringify(shared)};\nconst PIECES = {\n${table}};\n${readFileSync(path.join(SHIM, "loader.js"), "utf8")}${parts}`;
}

/** Cuts `program` and lays the pieces, under their final names, into `CUT`; returns the loader's file name. */
function cut(program, name) {
  const raw = path.join(CUT, "raw");
  rmSync(CUT, { recursive: true, force: true });
  mkdirSync(raw, { recursive: true });
  run("wasm-split-cli", [program, raw, "--out-name", name]);
  const { shared, pieces } = readGenerated(readFileSync(path.join(raw, GENERATED), "utf8"));
  const there = readdirSync(raw).filter((file) => file.endsWith(".wasm") && file !== `${name}.wasm`).sort();
  if (there.join() !== pieces.map(({ file }) => file).sort().join()) throw new Error(`The generated loader does not name every piece: ${there}.`);
  for (const piece of pieces) {
    const small = path.join(raw, `${piece.file}.small`);
    run("wasm-opt", ["--output", small, "-Oz", ...FEATURES, path.join(raw, piece.file)]);
    const code = readFileSync(small);
    const stem = (piece.part ?? piece.file.replace(/\.wasm$/, "")).replaceAll("_", "-");
    piece.address = `${stem}-${hashOf(code)}.wasm`;
    writeFileSync(path.join(CUT, piece.address), code);
  }
  const loader = loaderSource(shared, pieces);
  // The pieces fit this very program and no other.
  const loaderName = `pieces-${hashOf(loader, readFileSync(program))}.js`;
  writeFileSync(path.join(CUT, loaderName), loader);
  return { loaderName, first: path.join(raw, `${name}.wasm`) };
}

/** Stands in for wasm-bindgen; `args` as Trunk gives them. */
function bind(args) {
  const program = args.find((arg) => arg.endsWith(".wasm"));
  const given = (option) => args.find((arg) => arg.startsWith(`${option}=`))?.slice(option.length + 1);
  const [folder, name] = [given("--out-dir"), given("--out-name")];
  if (!program || !folder || !name) {
    run("wasm-bindgen", args);
    return;
  }
  const { loaderName, first } = cut(program, name);
  // The later pieces need the table of functions, which is dropped otherwise.
  run("wasm-bindgen", ["--keep-lld-exports", ...args.map((arg) => (arg === program ? first : arg))]);
  const glue = path.join(folder, `${name}.js`);
  const text = readFileSync(glue, "utf8");
  if (!text.includes(`from "./${GENERATED}"`)) throw new Error("The program asks for no pieces: it was built without --cfg split.");
  // Only where the file is asked for: the program's own table of imports keeps the name.
  writeFileSync(glue, text.replaceAll(`from "./${GENERATED}"`, `from "./${loaderName}"`));
}

/** Lays the pieces that the page in `staging` asks for beside it; a page in one piece asks for none. */
function place(staging) {
  const asked = new Set();
  const ask = (text) => [...text.matchAll(/["']\.?\/?((?:pieces-[0-9a-f]{16}\.js)|(?:[\w-]+-[0-9a-f]{16}\.wasm))["']/g)].forEach(([, file]) => asked.add(file));
  for (const file of readdirSync(staging).filter((file) => /^stickleback-[^_]*\.js$/.test(file))) ask(readFileSync(path.join(staging, file), "utf8"));
  for (const file of asked) {
    const from = path.join(CUT, file);
    if (!existsSync(from)) throw new Error(`The page asks for ${file}, which is not among the pieces.`);
    copyFileSync(from, path.join(staging, file));
    if (file.endsWith(".js")) ask(readFileSync(from, "utf8"));
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const args = process.argv.slice(2);
  if (args[0] === "--place") place(process.env.TRUNK_STAGING_DIR);
  else bind(args);
}
