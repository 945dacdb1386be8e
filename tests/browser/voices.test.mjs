// The Voices room by keyboard alone: a hidden sound matched by ear, a sound built to its end.
//
// Nobody here has ears: the learner goes by what the check says, as one would who listens badly, and the ear at the exit
// of the graph says whether anything was to be heard.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { EAR_FILES, installEar, readEar } from "./ear.mjs";
import { NO_FAULTS } from "./room.mjs";

let bench;
before(async () => {
  bench = await openBench({ extra: EAR_FILES });
});
after(() => bench?.close());

async function openVoices() {
  const { page, faults } = await bench.newPage();
  await installEar(page);
  await page.goto(`${bench.url}#/voices`);
  await find(page, "heading", "Match this sound by ear");
  // The voice is there when its own dials are.
  await page.getByRole("slider", { name: "Pitch", exact: true }).waitFor();
  return { page, faults };
}

/** Tabs until the one element of this role and name has the focus. */
async function tabTo(page, role, name) {
  const element = await find(page, role, name);
  const way = await element.evaluate((element) => document.activeElement.compareDocumentPosition(element));
  // Node.DOCUMENT_POSITION_PRECEDING
  const key = way & 2 ? "Shift+Tab" : "Tab";
  for (let presses = 0; presses < 120; presses++) {
    if (await element.evaluate((element) => element === document.activeElement)) return element;
    await page.keyboard.press(key);
  }
  assert.fail(`no Tab leads to ${role} ${name}`);
}

async function press(page, name) {
  await tabTo(page, "button", name);
  await page.keyboard.press("Enter");
}

/** Turns the focused range until it is within half a move of `to`: by tens with the page keys, the rest with arrows. */
async function turnTo(page, slider, to) {
  const [value, move] = await slider.evaluate((input) => [input.valueAsNumber, (input.max - input.min) / 100]);
  const moves = Math.round((to - value) / move);
  const [ten, one] = moves > 0 ? ["PageUp", "ArrowRight"] : ["PageDown", "ArrowLeft"];
  for (let left = Math.abs(moves); left > 0; left -= left >= 10 ? 10 : 1) await page.keyboard.press(left >= 10 ? ten : one);
}

/** Resolves when more has been heard than before `act`. */
async function isHeard(page, act, timeout = 30000) {
  const before = (await readEar(page)).blocks.length;
  await act();
  await page.waitForFunction((before) => window.__ear.blocks.length > before, before, { timeout });
}

/** The same for the first sound of a page: it may be over before the ear, which is fetched meanwhile, listens. */
async function isHeardFirst(page, act) {
  for (let tries = 0; tries < 4; tries++) {
    try {
      return await isHeard(page, act, 4000);
    } catch (error) {
      if (tries === 3) throw error;
    }
  }
}

const status = (page, text) => page.getByRole("status").filter({ hasText: text }).first();

test("a hidden sound is matched by ear, by keyboard alone", async () => {
  const { page, faults } = await openVoices();
  const pictures = () => page.getByRole("img").count();
  const without = await pictures();
  await press(page, "Hide a sound");
  await status(page, "with one dial moved").waitFor();
  const sliders = page.getByRole("slider", { name: /^Yours: / });
  assert.equal(await sliders.count(), 1, "one dial was moved, one is given");
  await isHeardFirst(page, () => press(page, "Hear the hidden sound"));
  await isHeard(page, () => page.keyboard.press("b"));
  await isHeard(page, () => page.keyboard.press("a"));

  const check = async (number) => {
    await press(page, "Check the match");
    const line = status(page, `Check ${number}.`);
    await line.waitFor();
    const text = await line.innerText();
    return { text, score: Number(/(\d+) of 100/.exec(text)[1]) };
  };
  let found = await check(1);
  const first = found.score;
  assert.match(found.text, /Yours \w+ .*too /);
  let [low, high] = [0, 100];
  for (let number = 2; high - low > 1 && !/nobody could tell/.test(found.text); number++) {
    assert.equal(await pictures(), without, "the hidden sound is not to be seen");
    const now = await sliders.first().evaluate((input) => input.valueAsNumber);
    const much = /too (high|long|hard|slowly|far|full|ringing|noisy|much|bright|dirty|grainy)/.test(found.text);
    [low, high] = much ? [low, now] : [now, high];
    const slider = await tabTo(page, "slider", /^Yours: /);
    await turnTo(page, slider, Math.round((low + high) / 2));
    found = await check(number);
  }
  assert.ok(found.score > first && found.score >= 85, `${first}, then ${found.text}`);

  // Shown when asked for, and not before.
  await press(page, "Show me the hidden sound");
  await status(page, "stand where the hidden ones do").waitFor();
  assert.equal(await pictures(), without + 1);
  await press(page, "Check the match");
  await status(page, "nobody could tell them apart: 100 of 100").waitFor();

  // The next, with four dials: the level is a choice among three, by arrow keys.
  await tabTo(page, "radio", "one dial");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowDown");
  await press(page, "Next hidden sound");
  await status(page, "with four dials moved").waitFor();
  assert.equal(await sliders.count(), 4);
  assert.equal(await pictures(), without, "a new sound is hidden again");
  assert.deepEqual(faults, NO_FAULTS);
  await page.close();
});

const DIALS = (name) => `In the build: ${name.replaceAll("_", " ").replace(/^./, (first) => first.toUpperCase())}`;

test("a distorted kick is built in six stages, by keyboard alone, and kept while the page lives", async () => {
  const build = JSON.parse(readFileSync(new URL("../../lessons/builds/staged-kick.json", import.meta.url), "utf8"));
  const { page, faults } = await openVoices();
  await press(page, build.title);
  const heading = (index) => find(page, "heading", `Stage ${index + 1} of ${build.stages.length} ${build.stages[index].title}`);
  for (const [index, stage] of build.stages.entries()) {
    await heading(index);
    const sliders = page.getByRole("slider", { name: /^In the build: / });
    assert.equal(await sliders.count(), stage.move.length, stage.title);
    await press(page, "Check this stage");
    await status(page, "Check 1. Not yet.").waitFor();
    if (index === 0) await isHeardFirst(page, () => press(page, "Hear this stage"));
    await press(page, "Give me a hint");
    await status(page, stage.hints[0]).waitFor();
    for (const [name, to] of Object.entries(stage.solution)) {
      const slider = await tabTo(page, "slider", new RegExp(`^${DIALS(name)}$`, "i"));
      await isHeard(page, () => turnTo(page, slider, to));
    }
    await press(page, "Check this stage");
    await status(page, "Check 2. That is it").waitFor();
    if (index + 1 < build.stages.length) await press(page, "Next stage");
  }
  await status(page, "the sound is made").waitFor();
  await find(page, "button", `${build.title} made`);
  await isHeard(page, () => press(page, "Hear the whole sound"));

  // Back in the room, the build stands where it was left.
  await page.goto(`${bench.url}#/`);
  await find(page, "heading", "Styles");
  await page.goto(`${bench.url}#/voices`);
  await heading(build.stages.length - 1);
  await press(page, "Check this stage");
  await status(page, "That is it").waitFor();
  // Taken back, the stage is as it was when it was entered.
  await press(page, "Begin this stage again");
  await press(page, "Check this stage");
  await status(page, "Check 1. Not yet.").waitFor();
  await press(page, "Set it for me");
  await press(page, "Check this stage");
  await status(page, "Check 2. That is it").waitFor();
  assert.deepEqual(faults, NO_FAULTS);
  await page.close();
});
