// Proves the tap: what it reports is what the engine did, to the frame.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { FIXTURE, find, openBench } from "./bench.mjs";
import { TAP_FILES, busyEachFrame, compareFrames, installTap, readTap, stall, tapReady } from "./tap.mjs";

describe("comparing frames", () => {
  const hit = (frame, value = 1) => ({ frame, value });
  const cases = [
    ["all there", [hit(10), hit(20)], [10, 20], { matched: 2, lost: [], doubled: [], farthest: 0 }],
    ["half a frame is near enough", [hit(10)], [10.5], { matched: 1, lost: [], doubled: [], farthest: 0.5 }],
    ["a whole frame is not", [hit(11)], [10], { matched: 0, lost: [10], doubled: [11], farthest: 0 }],
    ["one lost", [hit(10), hit(30)], [10, 20, 30], { matched: 2, lost: [20], doubled: [], farthest: 0 }],
    ["one doubled", [hit(10, 2)], [10], { matched: 1, lost: [], doubled: [10], farthest: 0 }],
    ["two that belong together", [hit(10, 2)], [10, 10], { matched: 2, lost: [], doubled: [], farthest: 0 }],
  ];
  for (const [name, hits, ideal, expected] of cases) {
    test(name, () => assert.deepEqual(compareFrames(hits, ideal), expected));
  }
});

describe("the tap", () => {
  let bench;
  let page;
  before(async () => {
    bench = await openBench({ root: FIXTURE, extra: TAP_FILES });
  });
  after(() => bench?.close());

  async function open() {
    await page?.close();
    ({ page } = await bench.newPage());
    await installTap(page);
    await page.goto(bench.url);
    await tapReady(page);
    await (await find(page, "button", "Sound on")).click();
    await page.evaluate(() => clockMoves());
  }

  // Starts sources at offsets in frames from a whole frame 0.3 s ahead; gives that frame back.
  const startAll = (offsets) =>
    page.evaluate((list) => {
      const base = Math.ceil(context.currentTime * context.sampleRate + context.sampleRate * 0.3);
      window.sources = list.map((offset) => startAt(base + offset));
      return base;
    }, offsets);
  const passed = (frame) => page.evaluate((at) => window.passed(at), frame);

  test("hears whole frames exactly, and how many fall together", async () => {
    await open();
    const offsets = [0, 1, 127, 128, 129, 1000, 1000, 4801, 9600, 9600, 9600];
    const base = await startAll(offsets);
    await passed(base + 9600);
    const { hits, early, starts } = await readTap(page);
    assert.equal(early, 0);
    assert.equal(starts.length, offsets.length);
    assert.deepEqual(
      hits.map(({ frame, value }) => [frame - base, value]),
      [[0, 1], [1, 1], [127, 1], [128, 1], [129, 1], [1000, 2], [4801, 1], [9600, 3]],
    );
  });

  test("hears that the engine begins a fraction of a frame at the next whole one", async () => {
    await open();
    const base = await startAll([0.1, 1000.5, 2000.9, 3000 + 1e-7, 4000 - 1e-7]);
    await passed(base + 4001);
    const { hits } = await readTap(page);
    assert.deepEqual(hits.map(({ frame }) => frame - base), [1, 1001, 2001, 3000, 4000]);
  });

  test("hears nothing of a source stopped or disconnected before it starts", async () => {
    await open();
    const base = await startAll([0, 2000, 4000, 6000]);
    await page.evaluate((at) => {
      sources[1].stop();
      sources[2].disconnect();
      // A stop after the start cuts the tail, not the stroke.
      sources[3].stop((at + 6100) / context.sampleRate);
    }, base);
    await passed(base + 6000);
    const { hits, starts } = await readTap(page);
    assert.deepEqual(hits.map(({ frame }) => frame - base), [0, 6000]);
    assert.deepEqual(starts.map(({ stoppedAt }) => stoppedAt !== null), [false, true, false, true]);
  });

  test("hears a late start where it really fell", async () => {
    await open();
    const asked = await page.evaluate(() => {
      const frame = Math.floor(context.currentTime * context.sampleRate) - 1000;
      startAt(frame);
      return frame;
    });
    await passed(asked + 2000);
    const { hits, starts } = await readTap(page);
    assert.equal(hits.length, 1);
    assert.ok(hits[0].frame >= starts[0].now, `asked ${asked}, at the call ${starts[0].now}, heard ${hits[0].frame}`);
  });

  test("misses nothing while the main thread is busy or stalled", async () => {
    await open();
    await busyEachFrame(page, 30);
    const offsets = Array.from({ length: 200 }, (_, i) => i * 331);
    const base = await startAll(offsets);
    for (let i = 0; i < 3; i++) await stall(page, 250);
    await passed(base + 200 * 331);
    await busyEachFrame(page, 0);
    const { hits } = await readTap(page);
    assert.deepEqual(compareFrames(hits, offsets.map((offset) => base + offset)), {
      matched: offsets.length,
      lost: [],
      doubled: [],
      farthest: 0,
    });
  });
});
