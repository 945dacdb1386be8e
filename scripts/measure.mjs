// The table of budgets. Called by scripts/measure, which has built dist/ before.
//
// A row is {name, budget, value, unit, why}: budget and value are numbers in the same unit, and the budget is the most
// that is allowed. A row without a budget is there to be read. `why` says why a budget is not met, or, with no value,
// why there is nothing to measure; a budget missed without a word makes the script fail. Rows come from three places:
// - the sizes of the built folder;
// - the workbench, which prints a JSON array of rows (native timings);
// - every tests/browser/*.measure.mjs, whose default export is an async function that returns rows.

import { spawnSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { firstLoad } from "./sizes.mjs";

const kilobytes = (bytes) => Math.round(bytes / 100) / 10;

function sizeRows() {
  const { parts, first, later } = firstLoad("dist");
  return [
    ...parts.map(({ part, brotli }) => ({ name: `  of it ${part}`, value: kilobytes(brotli), unit: "kB" })),
    {
      name: "first load, brotli, all of it",
      budget: 250,
      value: kilobytes(first),
      unit: "kB",
      why: "the program is nine tenths of it, and the code of single views the largest part of that, of cards, panels, drafts and the lesson's course above all; fewer kinds of view, and reading of files outside the first load, are the way down",
    },
    { name: "everything for offline, more", budget: 400, value: kilobytes(later), unit: "kB" },
  ];
}

function workbenchRows() {
  const command = ["run", "--quiet", "--profile", "native", "--locked", "--no-default-features", "--bin", "workbench", "--", "measure", "--json"];
  const run = spawnSync("cargo", command, { encoding: "utf8", stdio: ["ignore", "pipe", "inherit"] });
  if (run.status !== 0) throw new Error(`the workbench ended with ${run.status ?? run.signal}`);
  return JSON.parse(run.stdout);
}

async function browserRows() {
  const folder = "tests/browser/";
  const rows = [];
  for (const name of readdirSync(folder).filter((file) => file.endsWith(".measure.mjs")).sort()) {
    const { default: measure } = await import(pathToFileURL(folder + name).href);
    rows.push(...(await measure()));
  }
  return rows;
}

const sources = [["sizes", sizeRows], ["workbench", workbenchRows], ["browser", browserRows]];
const line = (name, budget, value, met) => console.log(`${name.padEnd(60)} ${budget.padStart(18)} ${value.padStart(18)}  ${met}`);
const figure = (value, unit) => `${value} ${unit}`;

line("what", "budget", "measured", "met");
for (const [source, rowsOf] of sources) {
  try {
    for (const { name, budget, value = null, unit, why } of await rowsOf()) {
      const met = budget === undefined ? "" : value === null ? "-" : value <= budget ? "yes" : "NO";
      const most = budget === undefined ? "" : `<= ${figure(budget, unit)}`;
      line(name, most, value === null ? "" : figure(value, unit), why && met !== "yes" ? `${met}: ${why}` : met);
      if (met === "NO" && !why) process.exitCode = 1;
    }
  } catch (error) {
    // The other sources still report; the failure shows in the table and in the exit status.
    line(`(${source} gave no figures: ${error.message})`, "", "", "NO");
    process.exitCode = 1;
  }
}
