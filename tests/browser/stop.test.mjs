// Stop means silence, at once and for good; and nothing the audio engine says can break the page.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { EAR_FILES, installEar, readEar } from "./ear.mjs";
import { FAST, idealEvents } from "./exactness.mjs";
import { NO_FAULTS, openRoom, play, ready, stop } from "./room.mjs";
import { TAP_FILES, compareFrames, installTap, readTap } from "./tap.mjs";

/** Leaving a room also draws the next one, on a machine as busy as it may be. */
const LEAVING = 150;

describe("stopping", () => {
  let bench;
  let fragment;
  let page;
  let faults;
  before(async () => {
    bench = await openBench({ extra: { ...TAP_FILES, ...EAR_FILES } });
    fragment = `#/groove/${idealEvents(FAST, 48000, 1).payload}`;
  });
  after(() => bench?.close());

  async function open(where = fragment) {
    await page?.close();
    ({ page, faults } = await bench.newPage());
    await installTap(page);
    await installEar(page);
    await page.addInitScript(() => {
      // What an engine says of itself, as a test wants it: of the contexts there are, or of all.
      const { get } = Object.getOwnPropertyDescriptor(BaseAudioContext.prototype, "state");
      const { resume } = AudioContext.prototype;
      const says = new WeakMap();
      window.__says = { ofAll: null, ofLast: (word) => says.set(window.__ear.contexts.at(-1), word) };
      Object.defineProperty(BaseAudioContext.prototype, "state", {
        configurable: true,
        get() {
          return window.__says.ofAll ?? says.get(this) ?? get.call(this);
        },
      });
      AudioContext.prototype.resume = function () {
        // Only a suspended one may come back.
        if (says.get(this) === "suspended") says.delete(this);
        return resume.call(this);
      };
    });
    await openRoom(page, bench.url, where);
  }

  /** Resolves when the context's clock has gone this many seconds on. */
  const clockGoes = (seconds) =>
    page.evaluate(
      (by) =>
        new Promise((resolve) => {
          const context = window.__ear.contexts.at(-1);
          const from = context.currentTime;
          const look = () => (context.currentTime - from >= by ? resolve() : requestAnimationFrame(look));
          look();
        }),
      seconds,
    );

  /** Asserts that what `kind` of press did was silence: within `limit` ms, and for a second after. */
  async function assertSilence(kind = "Stop", limit = 30) {
    await clockGoes(1);
    const { blocks: allBlocks, presses, sampleRate } = await readEar(page);
    const { hits: allHits, starts } = await readTap(page);
    const last = Math.max(...allBlocks.map(({ context }) => context));
    const [blocks, hits] = [allBlocks, allHits].map((all) => all.filter(({ context }) => context === last));
    const press = presses.findLast(({ name, kind: how }) => name === kind || how === kind);
    const loud = blocks.filter(({ frame }) => frame < press.frame);
    assert.ok(loud.length > 0, "there was sound before");
    const lastFrame = Math.max(...blocks.map((block) => block.last));
    const took = ((lastFrame - press.frame) / sampleRate) * 1000;
    assert.ok(took <= limit, `silent ${took.toFixed(1)} ms after the press`);
    const later = hits.filter(({ frame }) => frame > press.frame + sampleRate * (limit / 1000));
    assert.deepEqual(later, [], "nothing starts later");
    assert.ok(starts.every(({ at }) => at <= press.at + limit), "nothing is scheduled later");
    return took;
  }

  test("Stop is silence within 30 ms, and nothing starts later", async (t) => {
    await open();
    const times = [];
    for (let round = 0; round < 5; round++) {
      await play(page);
      await clockGoes(0.5 + round * 0.17);
      await stop(page);
      times.push(await assertSilence());
    }
    t.diagnostic(`silent after ${times.map((time) => time.toFixed(1)).join(", ")} ms`);
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("Play again at once plays from the beginning, whole, while the old sound is gone", async () => {
    await open();
    await play(page);
    await clockGoes(0.7);
    const before = await page.evaluate(() => {
      // Both presses in one turn of the page.
      document.activeElement.click();
      return window.__tap.log.starts.length;
    });
    await find(page, "button", "Play");
    await play(page);
    await clockGoes(3.2);
    const cut = await page.evaluate(() => window.__tap.log.starts.at(-1).now);
    const { hits, starts, sampleRates } = await readTap(page);
    const again = starts.slice(before);
    const first = Math.round(again[0].frame);
    const { events } = idealEvents(FAST, sampleRates[0], 3);
    const ideal = events.map(({ frame }) => first - events[0].frame + frame).filter((frame) => frame <= cut);
    const heard = hits.filter(({ frame }) => frame >= first && frame <= cut);
    assert.ok(ideal.length > 80);
    assert.deepEqual(compareFrames(heard, ideal), { matched: ideal.length, lost: [], doubled: [], farthest: 0 });
    assert.deepEqual(faults, NO_FAULTS);
  });

  for (const presses of [2, 3, 4, 5]) {
    test(`${presses} quick presses leave it ${presses % 2 ? "playing once" : "silent"}`, async () => {
      await open();
      // With a context that runs a press begins at once; the recorder is at work by then.
      await play(page);
      await clockGoes(0.5);
      await stop(page);
      await clockGoes(0.5);
      const [blocksBefore, hitsBefore] = await page.evaluate(() => [window.__ear.blocks.length, window.__tap.log.hits.length]);
      const button = page.getByRole("button", { name: /^(Play|Stop)$/ });
      await button.evaluate((element, times) => {
        for (let i = 0; i < times; i++) element.click();
      }, presses);
      if (presses % 2 === 0) {
        await find(page, "button", "Play");
        await clockGoes(0.6);
        const { blocks } = await readEar(page);
        assert.deepEqual(blocks.slice(blocksBefore), [], "nothing was heard");
      } else {
        await find(page, "button", "Stop");
        await clockGoes(1.5);
        const cut = await page.evaluate(() => window.__tap.log.starts.at(-1).now);
        const { hits, sampleRates } = await readTap(page);
        const heard = hits.slice(hitsBefore).filter(({ frame }) => frame <= cut);
        const { events } = idealEvents(FAST, sampleRates[0], 2);
        const ideal = events.map(({ frame }) => heard[0].frame - events[0].frame + frame).filter((frame) => frame <= cut);
        assert.ok(ideal.length > 30);
        assert.deepEqual(compareFrames(heard, ideal), { matched: ideal.length, lost: [], doubled: [], farthest: 0 });
      }
      assert.deepEqual(faults, NO_FAULTS);
    });
  }

  test("a real double click on Play ends in silence", async () => {
    await open();
    await (await find(page, "button", "Play")).dblclick();
    await find(page, "button", "Play");
    await clockGoes(0.6);
    const { blocks } = await readEar(page);
    const { presses } = await readEar(page);
    const last = presses.at(-1).frame;
    assert.ok(blocks.every((block) => block.last <= last + 48 * 30));
  });

  test("leaving the room stops", async () => {
    await open();
    await play(page);
    await clockGoes(0.6);
    await (await find(page, "link", "Styles")).click();
    await find(page, "heading", "Styles");
    await assertSilence("hashchange", LEAVING);
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("another groove's link in the same tab stops the one that plays", async () => {
    await open("#/style/boom-bap");
    await play(page);
    await clockGoes(0.6);
    await page.evaluate((to) => {
      location.hash = to;
    }, fragment);
    await find(page, "heading", "A groove from a link");
    await ready(page);
    await assertSilence("hashchange", LEAVING);
    assert.deepEqual(faults, NO_FAULTS);
  });

  for (const word of ["interrupted", "closed", "suspended", "a word of the future"]) {
    test(`an engine that says "${word}" in the middle: told, and a press goes on`, async () => {
      await open();
      await play(page);
      await clockGoes(0.4);
      await page.evaluate((says) => {
        window.__says.ofLast(says);
        window.__ear.contexts.at(-1).dispatchEvent(new Event("statechange"));
      }, word);
      const wake = await find(page, "button", "Turn sound on");
      const before = await page.evaluate(() => window.__tap.log.hits.length);
      await wake.click();
      await find(page, "button", "Stop");
      await page.waitForFunction((from) => window.__tap.log.hits.length > from + 5, before);
      await wake.waitFor({ state: "detached" });
      await stop(page);
      await assertSilence();
      assert.deepEqual(faults, NO_FAULTS);
    });
  }

  test("an engine that never runs is told as held back, and Stop puts it right", async () => {
    await open();
    await page.evaluate(() => {
      window.__says.ofAll = "suspended";
    });
    await (await find(page, "button", "Play")).click();
    await find(page, "button", "Turn sound on");
    await stop(page);
    await page.getByRole("button", { name: "Turn sound on" }).waitFor({ state: "detached" });
    const { blocks } = await readEar(page);
    assert.deepEqual(blocks, []);
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("a browser without Web Audio says so, and the rest works", async () => {
    await page?.close();
    ({ page, faults } = await bench.newPage());
    await page.addInitScript(() => {
      delete window.AudioContext;
      delete window.webkitAudioContext;
    });
    await openRoom(page, bench.url, fragment);
    await (await find(page, "button", "Play")).click();
    await page.getByRole("alert").filter({ hasText: "cannot make sound" }).waitFor();
    const first = page.getByRole("grid").getByRole("button").nth(1);
    const was = await first.getAttribute("aria-pressed");
    await first.click();
    assert.notEqual(await first.getAttribute("aria-pressed"), was);
    assert.deepEqual(faults, NO_FAULTS);
  });
});
