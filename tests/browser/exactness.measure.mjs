// Rows for scripts/measure: start times against the ideal over a long stretch under load. Also a script of its own:
// node exactness.measure.mjs [MINUTES], 10 if not given, as the budget says.

import { fileURLToPath } from "node:url";
import { playAndCompare } from "./exactness.mjs";

/** Half of the time hidden and silent, half with a busy main thread and stalls. */
async function rows(minutes) {
  const half = minutes * 30;
  const { matched, lost, doubled, farthest, late, longestGap } = await playAndCompare({ hiddenSeconds: half, busySeconds: half });
  const what = `${minutes} min at 174 BPM, half hidden and silent, half under load`;
  return [
    { name: `starts, ${what}`, value: matched, unit: "" },
    { name: "  lost", budget: 0, value: lost.length, unit: "" },
    { name: "  doubled", budget: 0, value: doubled.length, unit: "" },
    { name: "  farthest from the ideal", budget: 0.5, value: farthest, unit: "frames" },
    { name: "  longest standstill of the page", value: Math.round(longestGap), unit: "ms" },
    { name: "  start calls after their own time", value: late, unit: "" },
  ];
}

export default () => rows(10);

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  console.table(await rows(Number(process.argv[2] ?? 10)));
}
