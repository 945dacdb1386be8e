// The native tool, asked from a test: what it prints is the outside truth the page is held against.

import { execFileSync } from "node:child_process";
import path from "node:path";
import { fileURLToPath } from "node:url";

const root = path.join(path.dirname(fileURLToPath(import.meta.url)), "../..");

/** What `workbench ARGUMENTS` prints, with `input` on its standard input. */
export function workbench(args, input) {
  const command = ["run", "--quiet", "--locked", "--no-default-features", "--bin", "workbench", "--", ...args];
  return execFileSync("cargo", command, { cwd: root, encoding: "utf8", maxBuffer: 1 << 28, input });
}
