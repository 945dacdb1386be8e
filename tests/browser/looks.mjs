// Pictures of the rooms, for eyes: node looks.mjs [PART OF A NAME]. They go to shots/, three widths, light and dark.

import { readFileSync } from "node:fs";
import { find, openBench, takeShots } from "./bench.mjs";
import { openRoom, place } from "./room.mjs";

const { other } = JSON.parse(readFileSync(new URL("hostile-links.json", import.meta.url), "utf8"));

const ROOMS = [
  ["styles", "#/"],
  ["lesson-boom-bap", "#/style/boom-bap"],
  ["lesson-ternary-trap", "#/style/ternary-trap"],
  ["lesson-six-eight-rnb-ballad", "#/style/six-eight-rnb-ballad"],
  ["lesson-salsa", "#/style/salsa"],
  ["draft", "#/draft"],
  ["received", `#/groove/${other}`],
];

const bench = await openBench();
try {
  const { page } = await bench.newPage();
  for (const [name, fragment] of ROOMS.filter(([name]) => name.includes(process.argv[2] ?? ""))) {
    // Each room as on a first visit.
    await page.goto("about:blank");
    if (name === "styles") {
      await page.goto(`${bench.url}${fragment}`);
      await find(page, "heading", "Styles");
    } else {
      await openRoom(page, bench.url, fragment);
    }
    if (name === "draft") {
      for (const stroke of ["Kick, bar 1, beat 1", "Snare, bar 1, beat 2", "Kick, bar 1, beat 3 and", "Snare, bar 1, beat 4"]) {
        await place(page, stroke).click();
      }
    }
    await takeShots(page, name);
    console.log(name);
  }
} finally {
  await bench.close();
}
