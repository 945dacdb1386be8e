// Proves the bench: that its Chromium behaves as a learner's does where our tests depend on it.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import path from "node:path";
import { after, before, describe, test } from "node:test";
import { FIXTURE, PLAIN_HOST, SHOTS, evaluateWithoutGesture, find, firstClick, openBench, takeShots } from "./bench.mjs";

// A worker and the page's own timer count side by side; both are asked for a tick every 25 ms.
const COUNTING_WORKER = "setInterval(() => postMessage(0), 25);";

describe("the bench", () => {
  let bench;
  before(async () => {
    bench = await openBench({ root: FIXTURE, extra: { "counting.js": COUNTING_WORKER } });
  });
  after(() => bench?.close());

  test("an audio context made without a gesture is suspended, and a real click lets it run", async () => {
    const { page } = await bench.newPage();
    await page.goto(bench.url);
    const state = () => evaluateWithoutGesture(page, () => context.state);
    assert.equal(await state(), "suspended");
    // Without a gesture resume() stays pending: the state is asked for once the page has had its turn.
    await evaluateWithoutGesture(page, () => {
      context.resume();
      return new Promise((resolve) => setTimeout(resolve, 100));
    });
    assert.equal(await state(), "suspended");
    await firstClick(page, "button", "Sound on");
    await page.evaluate(() => clockMoves());
    assert.equal(await state(), "running");
    await page.close();
  });

  test("another tab in front hides a page: its timers slow to about one a second, a worker keeps 25 ms", async () => {
    const { page } = await bench.newPage();
    await page.goto(bench.url);
    await page.bringToFront();
    assert.equal(await page.evaluate(() => document.visibilityState), "visible");
    const count = () =>
      page.evaluate(
        () =>
          new Promise((resolve) => {
            const counts = { timer: 0, worker: 0 };
            const timer = setInterval(() => counts.timer++, 25);
            const worker = new Worker("counting.js");
            worker.onmessage = ({ timeStamp }) => {
              counts.began ??= timeStamp;
              counts.worker++;
              if (timeStamp - counts.began < 4000) return;
              worker.terminate();
              clearInterval(timer);
              resolve(counts);
            };
          }),
      );
    const shown = await count();
    assert.ok(shown.timer > 100, `visible: ${shown.timer} timer ticks in 4 s`);

    const cover = await bench.hide(page);
    assert.equal(await page.evaluate(() => document.visibilityState), "hidden");
    const hidden = await count();
    assert.ok(hidden.timer >= 2 && hidden.timer <= 6, `hidden: ${hidden.timer} timer ticks in 4 s`);
    assert.ok(hidden.worker > 100, `hidden: ${hidden.worker} worker ticks in 4 s`);

    await page.bringToFront();
    await page.waitForFunction(() => document.visibilityState === "visible", null, { polling: 50 });
    await cover.close();
    await page.close();
  });

  test("plain http on a name of a network is no secure context, loopback is one", async () => {
    for (const [address, secure] of [[bench.url, true], [bench.plainUrl, false]]) {
      const { page } = await bench.newPage();
      await page.goto(address);
      assert.equal(await page.evaluate(() => isSecureContext), secure, address);
      assert.equal(await page.evaluate(() => "audioWorklet" in AudioContext.prototype), secure, `AudioWorklet at ${address}`);
      await page.close();
    }
    assert.match(bench.plainUrl, new RegExp(PLAIN_HOST));
  });

  test("faults are seen: an inline script, a request elsewhere, an error", async () => {
    const { page, faults } = await bench.newPage();
    await page.goto(bench.url);
    assert.deepEqual(faults, { external: [], errors: [], violations: [] });
    await page.evaluate(() => {
      const inline = document.createElement("script");
      inline.textContent = "window.ran = true";
      document.head.append(inline);
      fetch("http://elsewhere.invalid/").catch(() => {});
      setTimeout(() => { throw new Error("on purpose"); });
      return new Promise((resolve) => setTimeout(resolve, 200));
    });
    assert.equal(await page.evaluate(() => window.ran), undefined);
    assert.match(faults.violations.join("\n"), /inline script[^]*connect-src/);
    assert.match(faults.errors.join(), /on purpose/);
    await page.close();
  });

  test("pictures are taken at three widths, light and dark, and the page is left as it was", async () => {
    const { page } = await bench.newPage({ width: 800, height: 600 });
    await page.goto(bench.url);
    await takeShots(page, "fixture");
    for (const width of [360, 1280, 1920]) {
      for (const scheme of ["light", "dark"]) {
        const picture = readFileSync(path.join(SHOTS, `fixture-${width}-${scheme}.png`));
        // The width stands in a PNG file's first chunk.
        assert.equal(picture.readUInt32BE(16), width);
      }
    }
    assert.equal(await page.evaluate(() => innerWidth), 800);
    await page.close();
  });

  test("an element is found by role and name, one that is not there or not alone is an error", async () => {
    const { page } = await bench.newPage();
    await page.goto(bench.url);
    assert.equal(await (await find(page, "button", "Sound on")).getAttribute("id"), "sound");
    await assert.rejects(find(page, "button", "Sound", { timeout: 300 }), /no button named Sound; the page has:[^]*Sound on/);
    await page.evaluate(() => document.body.append(document.getElementById("sound").cloneNode(true)));
    await assert.rejects(find(page, "button", "Sound on"), /2 elements are button named Sound on/);
    await page.close();
  });

  test("each bench has a new empty profile", async () => {
    const { page } = await bench.newPage();
    await page.goto(bench.url);
    assert.equal(await page.evaluate(() => localStorage.length), 0);
    await page.evaluate(() => localStorage.setItem("mark", "1"));
    const other = await openBench({ root: FIXTURE });
    try {
      const { page: fresh } = await other.newPage();
      await fresh.goto(other.url);
      assert.equal(await fresh.evaluate(() => localStorage.length), 0);
    } finally {
      await other.close();
    }
    await page.close();
  });
});
