// Every stroke of a fast groove starts where it belongs, to the frame, whatever the page is going through.

import assert from "node:assert/strict";
import { test } from "node:test";
import { playAndCompare } from "./exactness.mjs";

test("20 s hidden and silent, then 60 s with a busy main thread and stalls: none lost, none doubled, half a frame", async (t) => {
  const result = await playAndCompare({ hiddenSeconds: 20, busySeconds: 60 });
  const { matched, lost, doubled, farthest, seconds, stalls, late, early, unasked, faults, loops } = result;
  t.diagnostic(`${matched} starts in ${seconds.toFixed(1)} s with ${stalls} stalls; farthest ${farthest} frames; ${late} late; ${lost.length} lost, ${unasked} of them never asked for`);
  assert.equal(early, 0, "the recorder was there before the first start");
  assert.equal(loops, 0, "this kit has no sounds besides the strokes");
  assert.deepEqual(lost, []);
  assert.deepEqual(doubled, []);
  assert.ok(farthest <= 0.5, `${farthest} frames off`);
  // 101 hits in 2.76 s.
  assert.ok(matched > seconds * 25, `${matched} starts in ${seconds} s`);
  assert.ok(stalls >= 10);
  assert.deepEqual(faults, { external: [], errors: [], violations: [] });
});
