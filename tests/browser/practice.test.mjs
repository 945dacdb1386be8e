// Practising, heard in the live graph: slower at the same pitch and in the same order, the click in either count, and the
// echo with its silence and its taps.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { EAR_FILES, installEar, readEar } from "./ear.mjs";
import { NO_FAULTS, openRoom, place, play, stop } from "./room.mjs";
import { TAP_FILES, installTap, readTap, tapReady } from "./tap.mjs";


let bench;
let page;
let faults;
before(async () => {
  bench = await openBench({ extra: { ...TAP_FILES, ...EAR_FILES } });
});
after(() => bench?.close());

async function open(fragment) {
  await page?.close();
  ({ page, faults } = await bench.newPage());
  await installTap(page);
  await installEar(page);
  await page.addInitScript(() => {
    localStorage.clear();
    // The pitch of every source that is started.
    window.__pitch = new Set();
    const { start } = AudioBufferSourceNode.prototype;
    AudioBufferSourceNode.prototype.start = function (...args) {
      if (this.buffer.length > 1) window.__pitch.add(`${this.buffer.length} ${this.playbackRate.value} ${this.buffer.sampleRate}`);
      return start.apply(this, args);
    };
  });
  await openRoom(page, bench.url, fragment);
}

/** A draft with a kick on every beat of both bars. */
async function beats(bpm) {
  await open("#/draft");
  for (const bar of [1, 2]) for (const beat of [1, 2, 3, 4]) await place(page, `Kick, bar ${bar}, beat ${beat}`).click();
  const tempo = await find(page, "spinbutton", "Tempo");
  await tempo.fill(String(bpm));
  await tempo.press("Enter");
}

/** Starts that were meant to be heard, in order: not loops, and not taken back before their time. */
async function heardStarts() {
  const { starts, sampleRates } = await readTap(page);
  const heard = starts.filter(({ loop, stoppedAt, frame }) => !loop && (stoppedAt === null || stoppedAt > frame));
  return { rate: sampleRates.at(-1), starts: heard.sort((a, b) => a.frame - b.frame) };
}

/** Resolves when so many starts have been asked for since `since`. */
const started = (count) => page.waitForFunction((count) => window.__tap.log.starts.length >= count, count, { polling: 20, timeout: 60000 });

/** Milliseconds between neighbours. */
const gaps = (starts, rate) => starts.slice(1).map(({ frame }, index) => ((frame - starts[index].frame) / rate) * 1000);

const near = (found, wanted) => Math.abs(found - wanted) < 0.05;

test("slower, while it plays: the position goes on, the pitch stays, nothing is lost or doubled", async () => {
  await beats(120);
  await play(page);
  await tapReady(page);
  await started(8);
  await (await find(page, "slider", "Slower")).fill("50");
  await started(14);
  await (await find(page, "button", "Full tempo")).click();
  await started(22);
  await stop(page);
  const { rate, starts } = await heardStarts();
  const between = gaps(starts, rate);
  const slow = between.findIndex((gap) => near(gap, 1000));
  const fast = between.findIndex((gap, index) => index > slow && near(gap, 500));
  assert.ok(slow > 4 && fast > slow + 2, between.join(" "));
  const odd = between.filter((gap) => !near(gap, 500) && !near(gap, 1000));
  // Only the two beats in which the pace was changed are of another length, and of none between.
  assert.ok(odd.length <= 2 && odd.every((gap) => gap > 499.9 && gap < 1000.1), between.join(" "));
  assert.ok(between.slice(0, slow - 1).every((gap) => near(gap, 500)));
  const pitches = await page.evaluate(() => [...window.__pitch].map((text) => text.split(" ")[1]));
  assert.deepEqual([...new Set(pitches)], ["1"], "no source is read slower");
  assert.deepEqual(faults, NO_FAULTS);
});

test("the click changes its count without a restart", async () => {
  await open("#/style/trap");
  await (await find(page, "button", "Click")).click();
  await play(page);
  await tapReady(page);
  const clicks = async () => {
    const { rate, starts } = await heardStarts();
    const length = Math.round(0.045 * rate);
    return { rate, starts: starts.filter(({ bufferFrames }) => bufferFrames === length) };
  };
  const clicked = (count) =>
    page.waitForFunction(
      (count) => window.__tap.log.starts.filter(({ bufferFrames }, _, all) => bufferFrames === Math.round(0.045 * 48000) || bufferFrames === Math.round(0.045 * 44100)).length >= count,
      count,
      { polling: 20, timeout: 60000 },
    );
  await clicked(3);
  const which = await find(page, "combobox", "Which count clicks");
  await which.selectOption({ label: "written, 142 a minute" });
  await clicked(10);
  await stop(page);
  const { rate, starts } = await clicks();
  const beat = 60000 / 142;
  const between = gaps(starts, rate).map((gap) => Math.round((gap / beat) * 100) / 100);
  const change = between.indexOf(1);
  assert.ok(change >= 1, between.join(" "));
  assert.ok(between.slice(0, change).every((gap) => gap === 2) && between.slice(change).every((gap) => gap === 1), between.join(" "));
  assert.deepEqual(faults, NO_FAULTS);
});

test("the echo sounds, is silent, and sounds again; taps are judged without regard to any constant delay", async (t) => {
  // A kick on every beat; the last chord and bass note of a bar would ring on. Its tape does not hiss.
  await open("#/style/house");
  await (await find(page, "combobox", "How much is heard at a time")).selectOption("1 bar");
  // Taps of the learner: in the first turn all four 80 ms behind what is seen, in the second one missing and one too many.
  await page.evaluate(() => {
    const beat = 60000 / 124;
    const turns = [[0, 1, 2, 3], [0, 1, 1.5, 3]];
    let before = "";
    window.__results = [];
    new MutationObserver(() => {
      const phase = document.querySelector(".echo-phase")?.textContent ?? "";
      if (phase.startsWith("Your turn") && !before.startsWith("Your turn")) {
        const from = performance.now() + 80;
        for (const at of turns.shift() ?? []) {
          setTimeout(() => {
            const tap = new PointerEvent("pointerdown", { bubbles: true, button: 0 });
            // A finger's own time, which the browser tells however late it comes to tell it.
            Object.defineProperty(tap, "timeStamp", { value: from + at * beat });
            document.querySelector(".tap")?.dispatchEvent(tap);
          }, from + at * beat - performance.now());
        }
      }
      before = phase;
      const result = document.querySelector(".echo-result").textContent;
      if (result && result !== window.__results.at(-1)) window.__results.push(result);
    }).observe(document.body, { subtree: true, childList: true, characterData: true });
  });
  await (await find(page, "button", "Echo")).click();
  await find(page, "button", "Tap");
  await page.waitForFunction(() => document.activeElement?.className === "tap", null, { polling: 20 });
  await page.waitForFunction(() => window.__results.length >= 2, null, { polling: 50, timeout: 40000 });
  assert.equal(await page.locator(".echo-result").getAttribute("aria-live"), "off", "nothing is read out while it plays");
  await (await find(page, "button", "End the echo")).click();
  await find(page, "button", "Play");
  await page.getByRole("button", { name: "Tap", exact: true }).waitFor({ state: "detached" });
  const results = await page.evaluate(() => window.__results);
  t.diagnostic(results.join(" / "));
  assert.match(results[0], /^All 4 strokes found\./);
  assert.match(results[1], /^3 of 4 strokes found; missed: beat 3\. 1 tap too many, near beat 2 and\.|^3 of 4 strokes found; missed: bar 1 beat 3\. 1 tap too many, near bar 1 beat 2 and\./);
  assert.ok(results.every((text) => !/late|early|undefined|NaN/.test(text)));

  const { rate, starts } = await heardStarts();
  const bar = (240 / 124) * rate;
  const first = starts[0].frame;
  const bars = new Map();
  for (const { frame } of starts) {
    const number = Math.floor((frame - first) / bar + 0.01);
    bars.set(number, (bars.get(number) ?? 0) + 1);
  }
  assert.ok(bars.get(0) > 20 && bars.get(2) === bars.get(0), JSON.stringify([...bars]));
  assert.ok([1, 3].every((number) => !bars.has(number)), JSON.stringify([...bars]));
  const { blocks } = await readEar(page);
  const peak = (from, to) => Math.max(0, ...blocks.filter(({ frame }) => frame >= first + from * bar && frame < first + to * bar).map(({ peak }) => peak));
  const [sound, silence] = [peak(2, 3), peak(1.5, 1.98)];
  t.diagnostic(`peak ${sound.toFixed(4)} while it sounds, ${silence.toFixed(5)} in the silence`);
  assert.ok(sound > 0.05 && silence < sound / 50, `${sound} ${silence}`);
  assert.deepEqual(faults, NO_FAULTS);
});

test("P plays and stops on the desk alone, and is a letter in a text field", async () => {
  await beats(100);
  assert.equal(await (await find(page, "button", "Play")).getAttribute("aria-keyshortcuts"), "P");
  const field = await find(page, "textbox", "Name");
  await field.fill("");
  await field.press("p");
  assert.equal(await field.inputValue(), "p");
  await find(page, "button", "Play");
  await (await find(page, "link", "Styles")).focus();
  await page.keyboard.press("p");
  await (await find(page, "button", "Undo")).focus();
  assert.equal(await page.evaluate(() => window.__tap.log.starts.length), 0, "nothing was played from outside the desk");
  await page.keyboard.press("p");
  await find(page, "button", "Stop");
  await page.keyboard.press("Shift+P");
  await find(page, "button", "Play");
  await place(page, "Kick, bar 1, beat 1").focus();
  await page.keyboard.press("p");
  await find(page, "button", "Stop");
  await stop(page);
  assert.deepEqual(faults, NO_FAULTS);
});
