// A groove saved as sound by keyboard alone: the file as a reader of our own finds it, frame for frame what the native
// tool renders and lists; cancelled it leaves nothing; what does not fit says what does.

import assert from "node:assert/strict";
import { mkdtemp, readFile, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { after, before, describe, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { catchDownloads } from "./downloads.mjs";
import { NO_FAULTS, openFresh, play, said, stop, untilSaid } from "./room.mjs";
import { idealEvents } from "./exactness.mjs";
import { workbench } from "./workbench.mjs";

let bench, page, faults, downloads, list;

before(async () => {
  bench = await openBench();
  list = await mkdtemp(path.join(tmpdir(), "stickleback-native-"));
  downloads = await catchDownloads(bench);
});
after(async () => {
  await bench?.close();
  await downloads?.end();
  if (list) await rm(list, { recursive: true, force: true });
});

async function open(fragment) {
  ({ page, faults } = await openFresh(bench, fragment, { instead: page }));
  // Tasks of the page from here on, and how long each lasts.
  await page.evaluate(() => {
    window.__long = [];
    new PerformanceObserver((list) => window.__long.push(...list.getEntries().map(({ duration }) => duration))).observe({ type: "longtask" });
  });
}

/** Goes on by Tab until the focused control has this name. */
async function tabTo(name) {
  for (let tabs = 0; tabs < 250; tabs++) {
    await page.keyboard.press("Tab");
    const here = await page.evaluate(() => {
      const { activeElement: at } = document;
      return (at.labels?.[0] ?? at).innerText?.trim();
    });
    if (here?.startsWith(name)) return;
  }
  assert.fail(`no control named ${name} is reached by Tab`);
}

/** Unfolds the fold and sets what is recorded, by keyboard. */
async function set(passes, fine) {
  await tabTo("Save as sound");
  await page.keyboard.press("Enter");
  await tabTo("Times round");
  await page.keyboard.press("Control+A");
  await page.keyboard.type(String(passes));
  await tabTo("Quality");
  if (fine) await page.keyboard.press("ArrowDown");
  await tabTo("Save the sound");
}

/** A strict reader of wave files: the sizes to the byte, whole numbers only. */
function readWave(bytes) {
  const text = (at) => bytes.toString("latin1", at, at + 4);
  assert.equal(text(0) + text(8) + text(12) + text(36), "RIFFWAVEfmt data");
  assert.equal(bytes.readUInt32LE(4), bytes.length - 8, "the outer size counts all that follows it");
  assert.equal(bytes.readUInt32LE(16), 16);
  assert.equal(bytes.readUInt16LE(20), 1, "whole numbers");
  const [channels, rate, byteRate, frameBytes, bits] = [bytes.readUInt16LE(22), bytes.readUInt32LE(24), bytes.readUInt32LE(28), bytes.readUInt16LE(32), bytes.readUInt16LE(34)];
  assert.equal(frameBytes, (channels * bits) / 8);
  assert.equal(byteRate, rate * frameBytes);
  const size = bytes.readUInt32LE(40);
  assert.equal(44 + size + (size % 2), bytes.length);
  const left = new Float64Array(size / frameBytes);
  for (let frame = 0; frame < left.length; frame++) left[frame] = bytes.readIntLE(44 + frame * frameBytes, bits / 8) / 2 ** (bits - 1);
  return { channels, rate, bits, left };
}

const peak = (samples, from, to) => samples.subarray(Math.max(0, from), to).reduce((most, x) => Math.max(most, Math.abs(x)), 0);

describe("a groove saved as sound", () => {
  for (const [style, heading, passes, fine] of [
    ["one-drop-reggae", "one-drop-reggae", 3, false],
    ["boom-bap", "boom-bap", 2, true],
  ]) {
    test(`${style}, ${passes} times, ${fine ? "fine" : "usual"}: by keyboard, while it plays, as the native tool renders it`, async () => {
      await open(`#/style/${style}`);
      await play(page);
      await set(passes, fine);
      await page.evaluate(() => (window.__long.length = 0));
      const [name, bytes] = await downloads.saved(() => page.keyboard.press("Enter"));
      assert.equal(name.toLowerCase(), `${heading}.wav`);
      assert.match(await untilSaid(page, /^Saved as /), new RegExp(`Saved as ${name}`));
      const long = await page.evaluate(() => window.__long);
      console.log(`${style}: tasks over 50 ms meanwhile: ${long.map(Math.round).join(", ") || "none"}`);
      // The keyboard is where it was, and the groove still plays.
      assert.equal(await page.evaluate(() => document.activeElement.innerText.trim()), "Save the sound");
      await find(page, "button", "Stop");
      const wave = readWave(bytes);
      const [rate, bits] = fine ? [48000, 24] : [44100, 16];
      assert.deepEqual([wave.channels, wave.rate, wave.bits], [2, rate, bits]);

      const out = path.join(list, "native.wav");
      const native = JSON.parse(workbench(["render", style, out, "--passes", String(passes), "--rate", String(rate), "--bits", String(bits), "--json"]));
      assert.equal(wave.left.length, native.frames, "as many frames as the native tool renders");
      const twin = readWave(await readFile(out)).left;
      const db = 20 * Math.log10(peak(wave.left, 0) / peak(twin, 0));
      console.log(`${style}: ${native.frames} frames, peak ${db.toFixed(2)} dB from the native render's`);
      assert.ok(Math.abs(db) < 1, `${db} dB`);

      // What the page saved and what the native tool renders differ by the rounding of filters and fades, over the whole file.
      const power = (samples) => samples.reduce((sum, x) => sum + x * x, 0);
      const apart = 10 * Math.log10(power(wave.left.map((x, frame) => x - twin[frame])) / power(twin));
      console.log(`${style}: their difference lies ${apart.toFixed(1)} dB below the sound`);
      assert.ok(apart < -20, `${apart} dB`);

      // The first stroke sounds on its frame, and from there every stroke of the list is as strong as it is natively.
      const { events } = idealEvents(`lessons/styles/${style}.json`, rate, passes);
      const first = events[0].frame;
      const onset = wave.left.findIndex((x) => Math.abs(x) > 0.02);
      const twinOnset = twin.findIndex((x) => Math.abs(x) > 0.02);
      assert.ok(Math.abs(onset - twinOnset) <= 1, `${onset} for ${twinOnset}`);
      const lead = twinOnset - first;
      assert.ok(lead > -1 && lead < 0.1 * rate, `${lead} frames from the first stroke to the first sound`);
      let checked = 0;
      for (const { frame } of events) {
        const at = frame - first + onset;
        const [here, there] = [wave.left, twin].map((samples) => peak(samples, at, at + 0.02 * rate));
        assert.ok(Math.abs(here - there) < 0.03 + 0.1 * there, `stroke at ${frame}: ${here} for ${there}`);
        checked++;
      }
      assert.ok(checked >= 20 * passes, `${checked} strokes`);
      await stop(page);
      assert.deepEqual(faults, NO_FAULTS);
    });
  }

  test("cancelled it leaves nothing, and says so; then it can be saved all the same", async () => {
    await open("#/style/jungle");
    await set(64, true);
    const before = (await readdir(downloads.folder)).length;
    await page.keyboard.press("Enter");
    const progress = page.getByRole("progressbar", { name: "Saving the sound" });
    await progress.waitFor();
    await page.waitForFunction(() => document.querySelector("progress")?.value > 0);
    assert.equal(await page.evaluate(() => document.activeElement.innerText.trim()), "Cancel saving");
    await page.keyboard.press("Enter");
    await untilSaid(page, /^Cancelled\. Nothing was saved\.$/);
    assert.equal(await progress.count(), 0);
    assert.equal(await page.evaluate(() => document.activeElement.innerText.trim()), "Save the sound");
    await page.keyboard.press("Shift+Tab");
    await page.keyboard.press("Shift+Tab");
    await page.keyboard.press("Control+A");
    await page.keyboard.type("1");
    await tabTo("Save the sound");
    const [name, bytes] = await downloads.saved(() => page.keyboard.press("Enter"));
    assert.equal(name, "Jungle.wav");
    assert.ok(readWave(bytes).left.length > 48000);
    // What was cancelled has had its time to come, and has not.
    assert.equal((await readdir(downloads.folder)).length, before + 1);
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("what does not fit says what does, and is not begun", async () => {
    await open("#/draft");
    const tempo = await find(page, "spinbutton", "Tempo");
    await tempo.fill("20");
    await tempo.press("Enter");
    await set(64, false);
    await untilSaid(page, /64 times round last 25 minutes 36 seconds; a recording holds 10 minutes\. 25 times fit\./);
    await page.keyboard.press("Enter");
    await page.keyboard.press("Enter");
    assert.equal(await page.getByRole("progressbar", { name: "Saving the sound" }).count(), 0);
    await page.keyboard.press("Shift+Tab");
    await page.keyboard.press("Shift+Tab");
    await page.keyboard.press("Control+A");
    await page.keyboard.type("25");
    assert.match(await untilSaid(page, /^About /), /About 10 minutes 1 second, 106(\.\d)? MB\./);
    assert.doesNotMatch(await said(page), /fit/);
    assert.deepEqual(faults, NO_FAULTS);
  });
});
