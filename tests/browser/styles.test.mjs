// Every style that comes with the app opens, plays and stops; what is heard is neither silence nor too loud.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import path from "node:path";
import { after, before, describe, test } from "node:test";
import { DIST, find, firstClick, openBench } from "./bench.mjs";
import { EAR_FILES, installEar, readEar } from "./ear.mjs";
import { readGroove, ready, stop } from "./room.mjs";
import { TAP_FILES, installTap, readTap } from "./tap.mjs";

const INDEX = path.join(DIST, "../lessons/index.json");
const { styles } = JSON.parse(readFileSync(INDEX, "utf8"));

describe("every style", () => {
  let bench;
  let page;
  let faults;
  const pressToStart = [];
  let late = 0;
  before(async () => {
    bench = await openBench({ extra: { ...TAP_FILES, ...EAR_FILES } });
    ({ page, faults } = await bench.newPage());
    await installTap(page);
    await installEar(page);
    await page.goto(bench.url);
  });
  after(() => bench?.close());

  test("there are 43, and the room lists them all", async () => {
    assert.equal(styles.length, 43);
    const links = await page.getByRole("main").getByRole("link").allInnerTexts();
    assert.deepEqual([...links].sort(), styles.map(({ name }) => name).sort());
  });

  for (const { name } of styles) {
    test(name, async () => {
      await firstClick(page, "link", "Styles");
      await firstClick(page, "link", name);
      await find(page, "heading", name);
      await ready(page);

      const groove = await readGroove(page);
      assert.equal(groove.name, name);
      const names = groove.places.map((place) => place.name);
      assert.equal(new Set(names).size, names.length, "every place has a name of its own");
      for (const place of names) assert.match(place, PLACE);
      assert.ok(groove.places.some(({ pressed }) => pressed));
      assert.equal(await tabStops(page), 1);

      const before = await page.evaluate(() => [window.__tap.log.starts.length, window.__ear.blocks.length]);
      await firstClick(page, "button", "Play");
      await find(page, "button", "Stop");
      // Until a quarter of a second of it has been heard: some grooves begin with a rest.
      await page.waitForFunction((from) => {
        const heard = window.__ear.blocks.slice(from);
        return heard.length > 0 && heard.at(-1).frame - heard[0].frame > 12000;
      }, before[1]);
      await stop(page);
      const { starts, early } = await readTap(page);
      const { blocks, presses } = await readEar(page);
      assert.equal(early, 0);
      const began = starts.slice(before[0]).filter(({ loop }) => !loop);
      late += began.filter(({ frame, now }) => frame < now).length;
      const press = presses.findLast((press) => press.name === "Play");
      pressToStart.push(began[0].at - press.at);
      const peak = Math.max(...blocks.slice(before[1]).map((block) => block.peak));
      assert.ok(peak > 0.01, `it can be heard: peak ${peak}`);
      assert.ok(peak <= 1, `its peaks are bounded: ${peak}`);
      assert.deepEqual(faults, { external: [], errors: [], violations: [] });
    });
  }

  test("from the press to the first start scheduled (told, not judged)", (t) => {
    // The first press makes the context, which wakes first.
    const [first, ...warm] = pressToStart;
    warm.sort((a, b) => a - b);
    const middle = warm[warm.length >> 1];
    t.diagnostic(`cold ${first.toFixed(0)} ms; warm: median ${middle.toFixed(1)} ms, most ${warm.at(-1).toFixed(1)} ms, of ${warm.length}; ${late} start calls after their own time`);
    assert.equal(pressToStart.length, styles.length);
  });
});

const SYLLABLE = "(?:(?:e|and|a|trip|let)(?: t[ai])?|t[ai])";
const BEAT = String.raw`beat \d+(?: ${SYLLABLE}|, part \d+ of \d+)?`;
const PLACE = new RegExp(
  String.raw`^[A-Z][A-Za-z]+(?: [a-z]+)*(?: \d)?, bar \d, (?:${BEAT}|between ${BEAT} and (?:${SYLLABLE}|part \d+ of \d+|the end|(?:bar \d, )?${BEAT})(?:, \d of \d)?)$`,
);

const tabStops = (page) =>
  page.getByRole("grid").getByRole("button").evaluateAll((places) => places.filter(({ tabIndex }) => tabIndex >= 0).length);
