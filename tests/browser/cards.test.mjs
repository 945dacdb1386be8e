// The cards and the panels of the marks: every number and every list set by keyboard alone and read back from the
// accessibility tree; all of it taken back to the start; where the keyboard is meanwhile.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { evaluateWithoutGesture, find, openBench } from "./bench.mjs";
import { NO_FAULTS, accessibility, openFresh, pasted, place, readGroove, strokes, untilSaid } from "./room.mjs";


let bench;
let page;
let faults;
before(async () => {
  bench = await openBench();
});
after(() => bench?.close());

async function open(fragment = "#/draft") {
  ({ page, faults } = await openFresh(bench, fragment, { instead: page }));
}

/** The name of what has the keyboard focus, as its author gave it: label, text, or the text of its label. */
const focused = () =>
  evaluateWithoutGesture(page, () => {
    const it = document.activeElement;
    if (!it || it === document.body) return "nothing";
    if (it.type === "range") return `slider ${it.getAttribute("aria-label")}`;
    const text = it.tagName === "SELECT" || it.tagName === "INPUT" ? it.closest("label")?.querySelector("span")?.textContent : it.textContent;
    return (it.getAttribute("aria-label") ?? text ?? "").trim();
  });

/** Presses Tab, or Shift+Tab, until what is named so has the focus. */
async function tabTo(name, key = "Tab") {
  const seen = [];
  for (let presses = 0; presses < 90; presses++) {
    const now = await focused();
    if (now === name) return;
    seen.push(now);
    await page.keyboard.press(key);
  }
  assert.fail(`no ${key} leads to ${name}: ${seen.join(", ")}`);
}

/** Goes to a control wherever it stands: on from here, and round. */
const goTo = async (name) => {
  if ((await focused()) !== name) await tabTo(name);
};

/** Puts the keyboard on a place, by keys alone. */
async function onPlace(name, keys) {
  if (!(await inGrid())) {
    for (let presses = 0; presses < 90 && !(await inGrid()); presses++) await page.keyboard.press("Tab");
  }
  for (const key of ["Control+Home", ...keys]) await page.keyboard.press(key);
  assert.equal(await focused(), name);
}
const inGrid = () => evaluateWithoutGesture(page, () => document.querySelector("[role=grid]").contains(document.activeElement));

async function press(...keys) {
  for (const key of keys) await page.keyboard.press(key);
}

/** What a control says of itself in the accessibility tree: the words of a number, the name of a choice, pressed or not. */
async function says(name) {
  const nodes = (await accessibility(page)).filter((node) => node.name === name);
  const one = nodes.find(({ role }) => ["spinbutton", "combobox", "button", "textbox"].includes(role));
  assert.ok(one, `there is a control ${name}`);
  if (one.role === "spinbutton") {
    // The tree gives the text of the field, not the words for it.
    return evaluateWithoutGesture(page, (label) => document.querySelector(`[role=spinbutton][aria-label="${label}"]`).getAttribute("aria-valuetext"), name);
  }
  return one.role === "button" ? String(one.properties.pressed) : one.value;
}

const told = async (name) => {
  const found = (await readGroove(page)).places.find((place) => place.name === name);
  return found?.pressed ? found.told : "rest";
};

/** The link of the groove as it is. */
async function link() {
  await (await find(page, "button", "Copy link")).click();
  await untilSaid(page, /Link copied/);
  return pasted(page);
}

/** Everything there is to read of the groove. */
const everything = async () => ({ groove: await readGroove(page), link: await link() });

/** Takes everything back by keys; asserts that the start is there again, and then that redo brings the end back. */
async function checkAllTheWay(start, from) {
  const end = await everything();
  assert.notDeepEqual(end, start);
  for (const [button, key, want] of [["Undo", "Control+z", start], ["Redo", "Control+Shift+Z", end]]) {
    await from();
    const off = async () => (await accessibility(page)).find(({ role, name }) => role === "button" && name === button).properties.disabled === true;
    for (let presses = 0; !(await off()); presses++) {
      assert.ok(presses < 100, `${button} comes to an end`);
      await page.keyboard.press(key);
      assert.notEqual(await focused(), "nothing", `${button} leaves the keyboard somewhere`);
    }
    assert.deepEqual(await everything(), want, button);
  }
}

describe("the stroke card", () => {
  const BASS = "Bass, bar 1, beat 1";
  // Control, keys, what it says then, what the place says then.
  const changes = [
    ["ghost", ["Space"], "true", "ghost, C2, held 1 quarter"],
    ["accent", ["Space"], "true", "accent, C2, held 1 quarter"],
    ["stroke", ["Space"], "true", "stroke, C2, held 1 quarter"],
    ["slider Loudness", ["End"], undefined, /^accent, loudness 127/],
    ["Loudness", ["Home"], "1 of 127", /^ghost, loudness 1,/],
    ["Loudness", ["Control+a", "6", "0", "Enter"], "60 of 127", /^ghost, loudness 60/],
    ["Loudness", ["Control+a", "9", "9", "9", "Enter"], "127 of 127", /^accent, loudness 127/],
    ["Time", ["Enter"]],
    ["Nudge", ["ArrowDown", "ArrowDown", "PageDown"], /^a little early 12, \d+ ms$/, /nudged early/],
    ["Nudge", ["End"], /late 119, \d+ ms$/, /nudged late/],
    ["Nudge", ["Control+a", "0", "Enter"], "on its place", /^accent, loudness 127, C2/],
    ["Roll and flam", ["Enter"]],
    ["Roll", ["Space"], "true", /roll of 2/],
    ["Strokes", ["ArrowUp"], "roll of 3", /roll of 3/],
    ["Span", ["PageUp"], "eighth note", /roll of 3/],
    ["It fills", ["ArrowDown"], "quarter triplet", /roll of 3/],
    ["Span", ["ArrowUp"], "650 ticks", /roll of 3/],
    ["Its loudness", ["ArrowDown"], "rising", /roll of 3, rising/],
    ["Bend", ["ArrowUp", "ArrowUp"], "up 2 semitones", /bending up 2/],
    ["Flam", ["Space"], "true", /flam/],
    ["Gap", ["ArrowUp", "PageUp"], "31 ms", /flam/],
    ["Pitch", ["Enter"]],
    ["Note", ["ArrowUp", "PageUp"], "D♭3", /D♭3/],
    ["Note", ["Control+a", "e", "b", "2", "Enter"], "E♭2", /E♭2/],
    ["Add a note", ["Space"], undefined, /E♭2 A♭2/],
    ["Note 2", ["PageDown"], "A♭1", /E♭2 A♭1/],
    ["Add a note", ["Space"], undefined, /E♭2 A♭1 A♭2/],
    ["Take Note away", ["Space"], undefined, /A♭1 A♭2/],
    ["As long as", ["ArrowDown"], "dotted quarter note", /held 1\.5 quarters/],
    ["Held for", ["ArrowUp"], "1450 ticks", /held 1\.51 quarters/],
    ["Slide", ["Space"], "true", /slides to A♭2/],
    ["Slides to", ["ArrowDown"], "G2", /slides to G2/],
    ["Slide takes", ["PageUp"], "170 ms", /slides to G2/],
  ];

  test("every property is set by keyboard, read back, and taken back", async () => {
    await open();
    const start = await everything();
    await onPlace(BASS, ["ArrowDown", "ArrowDown", "ArrowDown", "ArrowDown", "ArrowDown"]);
    await press("Space", "F2");
    assert.equal(await focused(), "ghost");
    for (const [name, keys, wanted, stroke] of changes) {
      await goTo(name).catch(async () => {
        // It stands before: from the place once more.
        await press("Escape", "F2");
        await tabTo(name);
      });
      await press(...keys);
      if (wanted instanceof RegExp) assert.match(await says(name), wanted, name);
      else if (wanted !== undefined) assert.equal(await says(name), wanted, name);
      if (stroke instanceof RegExp) assert.match(await told(BASS), stroke, name);
      else if (stroke !== undefined) assert.equal(await told(BASS), stroke, name);
    }
    await press("Escape");
    assert.equal(await focused(), BASS);
    await checkAllTheWay(start, () => onPlace(BASS, Array(5).fill("ArrowDown")));
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("a number turned is one undo", async () => {
    await open();
    await onPlace("Open hat, bar 1, beat 1", []);
    await press("Space", "F2");
    await tabTo("Loudness");
    await press("ArrowUp", "ArrowUp", "ArrowUp", "PageUp");
    assert.equal(await says("Loudness"), "99 of 127");
    await press("Control+z");
    assert.equal(await told("Open hat, bar 1, beat 1"), "stroke");
    assert.equal(await focused(), "Loudness");
  });

  test("a stroke goes off the pulse, and the keyboard with it", async () => {
    await open();
    const start = await everything();
    const at = async (want) => assert.deepEqual(strokes(await readGroove(page)).map((text) => text.split(":")[0]), want);
    await onPlace("Open hat, bar 1, beat 1", []);
    await press("Space", "F2");
    await tabTo("Time");
    await press("Enter");
    for (const [name, want] of [
      ["a pulse later", "Open hat, bar 1, beat 1 e"],
      ["half way", "Open hat, bar 1, between beat 1 e and and"],
      ["a third on", "Open hat, bar 1, between beat 1 e and and"],
      ["two thirds on", "Open hat, bar 1, between beat 1 e and and"],
      ["on it", "Open hat, bar 1, beat 1 e"],
      ["a pulse earlier", "Open hat, bar 1, beat 1"],
    ]) {
      await tabTo(name, ["on it", "a third on", "a pulse earlier"].includes(name) ? "Shift+Tab" : "Tab");
      await press("Space");
      await at([want]);
      assert.equal(await focused(), name);
    }
    await tabTo("Exact place");
    await press("ArrowUp", "ArrowUp", "ArrowUp");
    assert.equal(await says("Exact place"), "3 of 7680 ticks");
    await press("Escape");
    assert.equal(await focused(), "Open hat, bar 1, between beat 1 and e");
    // From the place itself, by whole pulses.
    await press("Shift+ArrowRight");
    await at(["Open hat, bar 1, between beat 1 e and and"]);
    await page.waitForFunction(() => document.activeElement.getAttribute("aria-label")?.includes("between beat 1 e"), null, { polling: 50 });
    await checkAllTheWay(start, async () => {});
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("what cannot be is said beside it, and nothing is lost", async () => {
    await open();
    await onPlace("Open hat, bar 1, beat 1", []);
    await press("Space", "ArrowRight", "Space", "F2");
    await tabTo("Time");
    await press("Enter");
    const before = await readGroove(page);
    await tabTo("a pulse earlier");
    await press("Space");
    await page.getByRole("alert").filter({ hasText: "Another stroke stands there" }).waitFor();
    await tabTo("Nudge", "Shift+Tab");
    await page.keyboard.type("much");
    await press("Enter");
    await page.getByRole("alert").filter({ hasText: "not a number" }).waitFor();
    assert.deepEqual(await readGroove(page), before);
  });

  test("a new stroke between two places, without one at either", async () => {
    await open();
    await onPlace("Open hat, bar 1, beat 1", []);
    await press("F2");
    await tabTo("Time");
    await press("Enter");
    await tabTo("half way");
    await press("Space", "Escape");
    assert.equal(await focused(), "Open hat, bar 1, between beat 1 and e");
    // It goes with its stroke; the keyboard goes to its neighbour.
    await press("Delete");
    await page.waitForFunction(() => document.activeElement.matches("[role=gridcell] button"), null, { polling: 50 });
    assert.equal(await focused(), "Open hat, bar 1, beat 1");
    await press("Control+z", "Control+z");
    assert.deepEqual(strokes(await readGroove(page)), []);
  });

  test("by mouse and by finger, with nothing but presses", async () => {
    await open();
    await place(page, "Snare, bar 1, beat 2").click();
    const click = async (name) => (await find(page, "button", name)).click();
    await page.getByText("Time", { exact: true }).click();
    for (let n = 0; n < 3; n++) await click("Nudge, more");
    assert.match(await says("Nudge"), /^a little late 3/);
    await page.getByText("Roll and flam", { exact: true }).click();
    await click("Flam");
    await click("Gap, less");
    assert.equal(await says("Gap"), "24 ms");
    await click("Loudness, less");
    assert.equal(await told("Snare, bar 1, beat 2"), "stroke, loudness 87, flam, nudged late");
    for (const box of await page.locator(".card button:visible, .card input:visible, .card select:visible, .card summary:visible").all()) {
      const { width, height } = await box.boundingBox();
      assert.ok(width >= 24 && height >= 24, `${await box.evaluate((it) => it.outerHTML.slice(0, 80))} is ${width} x ${height}`);
    }
  });
});

describe("the lane card", () => {
  const SNARE = "Snare, bar 1, beat 1";
  const toSnare = Array(3).fill("ArrowDown");

  test("every property is set by keyboard, read back, and taken back", async () => {
    await open();
    const start = await everything();
    await onPlace(SNARE, toSnare);
    await press("Space", "F2");
    await tabTo("Its lane");
    await press("Enter");
    assert.equal(await focused(), "Snare");
    for (const [name, keys, wanted] of [
      ["Silence", ["Space"], "true"],
      ["Silence", ["Space"], "false"],
      ["Alone", ["Space"], "true"],
      ["Alone", ["Space"], "false"],
      ["Lean", ["PageUp", "PageUp", "ArrowUp", "ArrowUp", "ArrowUp", "ArrowUp"], "lays back 14 ms"],
      ["Lean", ["Control+a", "-", "5", ",", "5", "Enter"], "pushes 5.5 ms"],
      ["A place every", ["ArrowUp"], "eighth triplet"],
      ["Swings", ["ArrowDown"], "yes, always"],
      ["Swings", ["ArrowDown"], "no, stays even"],
      ["Part", ["ArrowDown"], "High tom"],
    ]) {
      await tabTo(name);
      await press(...keys);
      assert.equal(await says(name), wanted, name);
    }
    const rows = async () => [...new Set((await readGroove(page)).places.map(({ name }) => name.split(",")[0]))];
    assert.ok((await rows()).includes("High tom") && !(await rows()).includes("Snare"));
    assert.deepEqual((await readGroove(page)).places.filter(({ name }) => name.startsWith("High tom")).length, 24);
    const order = () => evaluateWithoutGesture(page, () => [...document.querySelectorAll("[role=rowheader]")].map((it) => it.textContent.trim()));
    assert.deepEqual((await order()).slice(0, 6), ["Open hat", "Closed hat", "Clap", "High tom", "Kick", "Bass"]);
    await tabTo("Move up");
    await press("Space");
    assert.deepEqual((await order()).slice(0, 4), ["Open hat", "Closed hat", "High tom", "Clap"]);
    await tabTo("Move down");
    await press("Space", "Space");
    assert.deepEqual((await order()).slice(2, 6), ["Clap", "Kick", "High tom", "Bass"]);
    await tabTo("Clear the lane");
    await press("Space");
    assert.deepEqual(strokes(await readGroove(page)), []);
    await press("Escape");
    assert.equal(await focused(), "Its lane");
    await press("Enter");
    await tabTo("Remove the lane");
    await press("Space");
    await page.waitForFunction(() => document.activeElement.matches("[role=gridcell] button"), null, { polling: 50 });
    assert.equal(await focused(), "Bass, bar 1, beat 1");
    await checkAllTheWay(start, () => onPlace("Open hat, bar 1, beat 1", []));
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("a lane more stands in score order and has the keyboard", async () => {
    await open();
    const start = await everything();
    await onPlace("Open hat, bar 1, beat 1", []);
    await tabTo("Add a lane");
    await press("Enter");
    await tabTo("Part");
    const offered = await page.getByRole("combobox", { name: "Part" }).locator("option").allInnerTexts();
    assert.equal(offered[0], "Crash");
    assert.equal(offered.length, 36);
    await page.keyboard.type("Rim");
    await tabTo("Add");
    await press("Enter");
    await page.waitForFunction(() => document.activeElement.matches("[role=gridcell] button"), null, { polling: 50 });
    assert.equal(await focused(), "Rim, bar 1, beat 1");
    await press("ArrowUp");
    assert.equal(await focused(), "Clap, bar 1, beat 1");
    await checkAllTheWay(start, async () => {});
  });

  test("a lane's name on the sheet opens its card, and has the keyboard back", async () => {
    await open();
    await onPlace(SNARE, toSnare);
    await press("ArrowLeft");
    assert.equal(await focused(), "Snare");
    await press("Enter");
    await find(page, "button", "Remove the lane");
    await tabTo("Part");
    await press("ArrowDown", "Escape");
    // The name is another one now, and still where the keyboard is.
    await page.waitForFunction(() => document.activeElement.closest("[role=rowheader]"), null, { polling: 50 });
    assert.equal(await focused(), "High tom");
    assert.equal(await page.getByRole("button", { name: "Remove the lane" }).count(), 0);
  });

  test("a choice of place puts the lane card away", async () => {
    await open();
    await place(page, SNARE).click();
    await (await find(page, "button", "Its lane")).click();
    await find(page, "button", "Remove the lane");
    await place(page, "Kick, bar 1, beat 1").click();
    await find(page, "button", "accent");
    assert.equal(await page.getByRole("button", { name: "Remove the lane" }).count(), 0);
  });
});

describe("the marks", () => {
  test("every property of the groove is set by keyboard, read back, and taken back", async () => {
    await open();
    const start = await everything();
    await onPlace("Snare, bar 1, beat 1", Array(3).fill("ArrowDown"));
    await press("Space", "PageDown", "x");
    const mark = async (pattern) => (await accessibility(page)).find(({ role, name }) => role === "button" && pattern.test(name))?.name;
    const openPanel = async (start) => {
      for (let presses = 0; presses < 90; presses++) {
        if ((await focused()).replace(/\s+/g, " ").startsWith(start)) break;
        await page.keyboard.press("Shift+Tab");
      }
      assert.ok((await focused()).startsWith(start), start);
      await press("Enter");
    };
    const run = async (rows) => {
      for (const [name, keys, wanted] of rows) {
        await tabTo(name);
        await press(...keys);
        if (wanted !== undefined) assert.equal(await says(name), wanted, name);
      }
      await press("Escape");
    };
    await openPanel("Sound of");
    await run([
      ["Drums", ["Home"], "Sound of Lo-fi hip-hop"],
      ["Tone", ["ArrowDown"], "Tone of Boom bap"],
      ["Tonic", ["PageUp", "ArrowUp"], "C♯3"],
    ]);
    assert.equal(await mark(/^Sound of/), "Sound of Lo-fi hip-hop");
    assert.match(await focused(), /^Sound of/);
    await openPanel("Metre and bars");
    const places = async () => strokes(await readGroove(page)).map((text) => text.split(":")[0]);
    await run([["Repeat", ["Space"]]]);
    assert.deepEqual(await places(), [1, 2, 3, 4].map((bar) => `Snare, bar ${bar}, beat 1`));
    await openPanel("Metre and bars");
    await run([["Add a bar", ["Space"]], ["Which bar to remove", ["Home"], "bar 1"], ["Remove", ["Space"]]]);
    assert.deepEqual(await places(), [1, 2, 3].map((bar) => `Snare, bar ${bar}, beat 1`));
    await openPanel("Metre and bars");
    await run([["Copy from", ["End"], "bar 4"], ["Copy to", ["Home"], "bar 1"], ["Copy", ["Space"]]]);
    assert.deepEqual(await places(), [2, 3].map((bar) => `Snare, bar ${bar}, beat 1`));
    await openPanel("Metre and bars");
    await run([["Metre", ["ArrowDown"], "3/4"]]);
    assert.equal(await mark(/^Metre/), "Metre and bars: 3/4, 4 bars");
    await openPanel("Metre and bars");
    await run([["Or as you write it", ["Control+a", "7", "/", "8", "Enter"], "7/8"]]);
    assert.equal(await mark(/^Metre/), "Metre and bars: 7/8, grouped 2 + 2 + 3, 4 bars");
    await openPanel("Metre and bars");
    await tabTo("Or as you write it");
    await page.keyboard.press("Control+a");
    await page.keyboard.type("seven");
    await press("Enter");
    await page.getByRole("alert").filter({ hasText: "A metre is written like" }).waitFor();
    assert.equal(await says("Or as you write it"), "7/8");
    await press("Escape");
    await openPanel("Feel");
    await run([
      ["What swings", ["ArrowDown"], "pairs of eighths"],
      ["Written", ["ArrowDown"], "in three thirds"],
    ]);
    await openPanel("Count");
    await run([
      ["Counted in", ["ArrowUp"], "dotted eighth note"],
      ["Felt in", ["ArrowDown"], "dotted quarter note, half-time"],
    ]);
    const read = await readGroove(page);
    assert.equal(read.tempoText, "122.67 times dotted eighth notes a minute".replace(" times", ""));
    assert.equal(read.swingText, "eighths swing, written in threes, long 66.7 to short 33.3");
    await checkAllTheWay(start, () => onPlace("Open hat, bar 1, beat 1", []));
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("undo is the field's own while something is typed there", async () => {
    await open();
    await place(page, "Kick, bar 1, beat 1").click();
    const tempo = await find(page, "spinbutton", "Tempo");
    await tempo.fill("77");
    await press("Control+z");
    assert.notDeepEqual(strokes(await readGroove(page)), []);
    await tempo.fill("92");
    await press("Control+z");
    assert.deepEqual(strokes(await readGroove(page)), []);
    assert.equal(await focused(), "Tempo");
  });

  test("when bars go, the keyboard stays in its lane", async () => {
    await open();
    await onPlace("Closed hat, bar 2, beat 4 a", ["ArrowDown", "End"]);
    await (await find(page, "button", /^Metre and bars/)).click();
    await (await find(page, "button", "Remove")).click();
    await place(page, "Closed hat, bar 1, beat 4 a").and(page.locator('[tabindex="0"]')).waitFor();
    await press("Control+z");
    assert.equal((await readGroove(page)).places.length, 192);
  });
});
