// Sizes of the built folder by part, raw and as brotli sends them. As a command it prints them: node scripts/sizes.mjs dist

import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { brotliCompressSync, constants } from "node:zlib";

/** Bytes after brotli at its strongest, as a static host stores them beforehand. */
export function brotliSize(bytes) {
  const params = { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length };
  return brotliCompressSync(bytes, { params }).length;
}

// Which part a file belongs to; the first pattern that fits decides. Paths are below the built folder.
const PARTS = [
  ["html", /^index\.html$/],
  ["css", /^[^/]+\.css$/],
  ["worker", /^clock-[^/]*\.js$/],
  ["js", /^[^/]+\.js$/],
  ["wasm", /^[^/]+_bg\.wasm$/],
  ["piece", /^[^/]+\.wasm$/],
  ["icon", /^icon-[^/]*\.svg$/],
  ["index of lessons", /^lessons\/index\.json$/],
  ["style", /^lessons\/styles\/.+\.json$/],
  ["kit", /^lessons\/kits\/.+\.json$/],
  ["other", /./],
];

/**
 * Every file of the folder with its sizes.
 *
 * @returns {{file: string, part: string, raw: number, brotli: number}[]}
 */
export function filesOf(root) {
  return readdirSync(root, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && !entry.name.startsWith("."))
    .map((entry) => {
      const whole = path.join(entry.parentPath ?? entry.path, entry.name);
      const file = path.relative(root, whole).split(path.sep).join("/");
      const bytes = readFileSync(whole);
      const [part] = PARTS.find(([, pattern]) => pattern.test(file));
      return { file, part, raw: bytes.length, brotli: brotliSize(bytes) };
    });
}

/**
 * What the first load fetches, by part: of the styles and kits the largest one, so the sum is an upper bound whichever
 * opens first; of the program what every visit needs, without the pieces that come with what is opened later. The rest
 * is what working offline fetches later.
 *
 * @returns {{parts: {part: string, raw: number, brotli: number}[], first: number, later: number}} brotli sums in bytes
 */
export function firstLoad(root) {
  const files = filesOf(root);
  const parts = PARTS.map(([part]) => part)
    .filter((part) => part !== "other" && part !== "piece")
    .map((part) => {
      const own = files.filter((file) => file.part === part);
      const taken = part === "style" || part === "kit" ? own.sort((a, b) => b.brotli - a.brotli).slice(0, 1) : own;
      const sum = (key) => taken.reduce((total, file) => total + file[key], 0);
      return { part, raw: sum("raw"), brotli: sum("brotli") };
    });
  const first = parts.reduce((total, { brotli }) => total + brotli, 0);
  const all = files.reduce((total, { brotli }) => total + brotli, 0);
  return { parts, first, later: all - first };
}

function print(root) {
  const { parts, first, later } = firstLoad(root);
  const row = (name, raw, brotli) => console.log(name.padEnd(18) + String(raw).padStart(10) + String(brotli).padStart(10));
  row("part", "raw B", "brotli B");
  for (const { part, raw, brotli } of parts) row(part, raw, brotli);
  row("first load", parts.reduce((total, { raw }) => total + raw, 0), first);
  row("rest, for offline", "", later);
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) print(process.argv[2] ?? "dist");
