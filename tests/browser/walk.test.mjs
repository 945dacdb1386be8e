// A random walk through the page: 2,000 edits, undos, stages and rooms, as somebody at play would wander. After every move
// the grid says what the link says, the keyboard focus is somewhere, and nothing has been complained about.
//
// WALK_SEED and WALK_MOVES walk elsewhere and further.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { openBench } from "./bench.mjs";
import { NO_FAULTS, openRoom } from "./room.mjs";
import { workbench } from "./workbench.mjs";

const MOVES = Number(process.env.WALK_MOVES ?? 2000);
const SEED = Number(process.env.WALK_SEED ?? 7);
const ROOMS = ["#/style/trap", "#/style/boom-bap", "#/style/reggaeton", "#/draft", "#/style/salsa", "#/"];
const RINGS = /, (topic|found|missed|extra)$/;

let bench;
before(async () => {
  bench = await openBench();
});
after(() => bench?.close());

/** What the workbench says is to be told of each address, in order. */
function spoken(addresses) {
  const sources = addresses.map((address) => address.replace(/^.*#\/style\/(.+)$/, "lessons/styles/$1.json"));
  return workbench(["spoken"], `${sources.join("\n")}\n`).trim().split("\n").map((line) => JSON.parse(line));
}

/** In the page: one move of the walk, chosen by `draws` (numbers from 0 to 1); returns what it was. */
function move(draws) {
  const next = () => draws.shift() ?? 0.5;
  const any = (all) => all[Math.floor(next() * all.length)];
  const seen = (element) => element.checkVisibility({ visibilityProperty: true }) && !element.disabled && element.getAttribute("aria-disabled") !== "true";
  const key = (element, name, more = {}) => {
    element.focus();
    element.dispatchEvent(new KeyboardEvent("keydown", { key: name, bubbles: true, cancelable: true, ...more }));
  };
  const named = (element) => element.getAttribute("aria-label") ?? element.innerText ?? "";
  const places = [...document.querySelectorAll("[role=grid] button[data-at]")];
  const draw = next();
  if (draw < 0.35 && places.length > 0) {
    const place = any(places);
    place.focus();
    place.click();
    return `click ${named(place)}`;
  }
  if (draw < 0.5 && places.length > 0) {
    const place = any(places);
    const name = any(["x", "X", "o", ".", "+", "-", "ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home", "End", "PageDown"]);
    key(place, name);
    return `key ${name} on ${named(place)}`;
  }
  const buttons = [...document.querySelectorAll("main button")].filter(seen);
  if (draw < 0.62) {
    const wanted = next() < 0.7 ? "Undo" : "Redo";
    const button = buttons.find((button) => named(button) === wanted);
    button?.focus();
    button?.click();
    return button ? named(button) : "nothing to undo";
  }
  // Whatever else there is to touch, but for what leaves the page: links, files, what is copied, and the sound itself.
  const others = [...document.querySelectorAll("main button, main input, main select, main summary")].filter(
    (element) => seen(element) && !element.matches("[data-at], [type=file]") && !/^(copy|save|open|import|export|bring|delete|print)/i.test(named(element)),
  );
  const control = any(others);
  if (!control) return "nothing there";
  control.focus();
  if (control.matches("select")) {
    control.selectedIndex = Math.floor(next() * control.options.length);
    control.dispatchEvent(new Event("change", { bubbles: true }));
  } else if (control.matches("input[type=range]")) {
    const [low, high] = [Number(control.min || 0), Number(control.max || 100)];
    control.value = String(low + next() * (high - low));
    control.dispatchEvent(new Event("input", { bubbles: true }));
    control.dispatchEvent(new Event("change", { bubbles: true }));
  } else if (control.matches("[role=spinbutton]")) {
    key(control, any(["ArrowUp", "ArrowDown", "PageUp", "PageDown", "Home", "End"]));
  } else if (control.matches("input[type=text], input:not([type])")) {
    control.value = any(["7/8", "92.5", "", "-1", "4/4", "3/4", "seat 7", "NaN"]);
    control.dispatchEvent(new Event("input", { bubbles: true }));
    control.dispatchEvent(new Event("change", { bubbles: true }));
  } else {
    control.click();
  }
  return `${control.tagName.toLowerCase()} ${named(control).slice(0, 60)}`;
}

/** In the page: the grid as it is told, the groove's own link, and where the keyboard is. */
async function look() {
  const frame = () => new Promise((resolve) => requestAnimationFrame(resolve));
  await frame();
  const grid = document.querySelector("[role=grid]");
  const copy = [...document.querySelectorAll("main button")].find((button) => button.innerText.trim() === "Copy link");
  let link = null;
  if (grid && copy) {
    const copied = new Promise((resolve) => {
      navigator.clipboard.writeText = (text) => {
        resolve(text);
        return Promise.resolve();
      };
    });
    copy.click();
    link = await copied;
  }
  const strokes = [...(grid?.querySelectorAll("button[data-at][aria-pressed=true]") ?? [])].map((place) => [
    place.getAttribute("aria-label"),
    place.getAttribute("aria-description"),
  ]);
  const lanes = [...new Set([...(grid?.querySelectorAll("[role=rowheader]") ?? [])].map((name) => name.textContent.trim()))];
  return { link, strokes, lanes, lost: document.activeElement === document.body || !document.activeElement };
}

/** Numbers from 0 to 1 from a seed (mulberry32). */
function seeded(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** Strokes by name, without what a lesson says of them beside. */
const sorted = (strokes) => strokes.map(([name, told]) => `${name}: ${told.replace(RINGS, "")}`).sort();

test(`${MOVES} random moves: the page says what the groove is, and loses neither focus nor temper`, { timeout: 600_000 }, async () => {
  const { page, faults } = await bench.newPage();
  await page.setViewportSize({ width: 1366, height: 900 });
  await openRoom(page, bench.url, ROOMS[0]);
  await page.getByRole("grid").getByRole("button").first().focus();
  const random = seeded(SEED);
  const looks = [];
  let room = ROOMS[0];
  for (let index = 0; index < MOVES; index++) {
    let done;
    if (random() < 0.04) {
      const others = ROOMS.filter((other) => other !== room);
      room = others[Math.floor(random() * others.length)];
      done = `room ${room}`;
      await page.evaluate((fragment) => {
        location.hash = fragment;
      }, room);
      // A new room is there when its heading has the focus, and its groove when there is a grid.
      await page.waitForFunction(() => document.activeElement?.tagName === "H1" || document.querySelector("[role=grid] button"));
      if (room !== "#/") await page.waitForFunction(() => document.querySelector("[role=grid] button[data-at]"));
    } else {
      done = await page.evaluate(move, Array.from({ length: 6 }, random));
    }
    const now = await page.evaluate(look);
    assert.ok(!now.lost, `move ${index} (${done} in ${room}) lost the keyboard focus`);
    if (now.link) looks.push({ ...now, index, done, room });
    if (faults.errors.length > 0) assert.fail(`move ${index} (${done} in ${room}): ${faults.errors.join("; ")}`);
  }
  assert.deepEqual(faults, NO_FAULTS);
  assert.ok(looks.length > MOVES / 2, "most rooms of the walk have a groove");
  const models = spoken(looks.map(({ link }) => link));
  assert.equal(models.length, looks.length);
  for (const [at, { strokes, lanes, index, done, room }] of looks.entries()) {
    const where = `move ${index} (${done} in ${room})`;
    assert.deepEqual(sorted(strokes), sorted(models[at].strokes), where);
    assert.deepEqual(lanes.map((lane) => lane.replace(/, silent$/, "")), models[at].lanes, where);
  }
});
