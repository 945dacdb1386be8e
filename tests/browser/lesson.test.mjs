// Three learners build a style from nothing, stage by stage: one by mouse, one by touch on a phone, one by keyboard alone.
// What the stages ask for comes from the workbench; what is there is read as a screen reader reads it.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { NO_FAULTS, accessibility, finger, middle, openRoom, place, readGroove } from "./room.mjs";
import { workbench } from "./workbench.mjs";

let bench;
before(async () => {
  bench = await openBench();
});
after(() => bench?.close());

/** The stages of a style as the workbench has them: `{title, task, start, solution, target}`, strokes as `[name, told]`. */
function course(style) {
  return JSON.parse(workbench(["course", `lessons/styles/${style}.json`]));
}

/** What each learner does to press a button, and to strike a place. */
const byMouse = (page) => ({
  press: async (name) => (await find(page, "button", name)).click(),
  strike: (name) => place(page, name).click(),
  // The stroke just struck is on the stroke card.
  whisper: async () => (await find(page, "button", "ghost")).click(),
});

/** A finger: the page is told of touches, and makes of them what it does on a phone. */
async function byTouch(page) {
  const { tap } = await finger(page);
  return {
    press: async (name) => tap(await middle(await find(page, "button", name))),
    strike: async (name) => tap(await middle(place(page, name))),
  };
}
function byKeyboard(page) {
  const focused = async () => {
    const nodes = (await accessibility(page)).filter(({ role, properties }) => properties.focused && role !== "RootWebArea");
    return nodes[0] ?? { role: "", name: "" };
  };
  const tabTo = async (fits) => {
    for (const key of ["Tab", "Shift+Tab"]) {
      for (let presses = 0; presses < 120; presses++) {
        if (fits(await focused())) return;
        await page.keyboard.press(key);
      }
    }
    assert.fail("no Tab leads there");
  };
  return {
    press: async (name) => {
      await tabTo((node) => node.role === "button" && node.name === name);
      await page.keyboard.press("Enter");
    },
    whisper: () => page.keyboard.press("o"),
    strike: async (name) => {
      const inGrid = () => page.getByRole("grid").evaluate((grid) => grid.contains(document.activeElement));
      for (let presses = 0; !(await inGrid()); presses++) {
        assert.ok(presses < 120, "no Tab leads into the grid");
        await page.keyboard.press("Shift+Tab");
      }
      const [lane] = name.split(", ");
      await page.keyboard.press("Control+Home");
      for (let rows = 0; !(await focused()).name.startsWith(`${lane}, `); rows++) {
        assert.ok(rows < 24, `no arrow leads to ${lane}`);
        await page.keyboard.press("ArrowDown");
      }
      for (let places = 0; (await focused()).name !== name; places++) {
        assert.ok(places < 128, `no arrow leads to ${name}`);
        await page.keyboard.press("ArrowRight");
      }
      await page.keyboard.press("Space");
    },
  };
}

const names = (strokes) => strokes.map(([name]) => name).sort();
const struck = async (page) => (await readGroove(page)).places.filter(({ pressed }) => pressed).map(({ name }) => name).sort();

/** Makes the struck places those of `solution`, and what is to be a ghost note one. */
async function strikeUntil(page, learner, solution) {
  const [now, wanted] = [await struck(page), names(solution)];
  for (const name of now.filter((name) => !wanted.includes(name))) await learner.strike(name);
  for (const [name, told] of solution.filter(([name]) => !now.includes(name))) {
    await learner.strike(name);
    if (told.startsWith("ghost")) await learner.whisper();
  }
  assert.deepEqual(await struck(page), wanted);
}

async function build(style, learnerOf, options = {}) {
  const { page, faults } = await bench.newPage(options);
  const learner = await learnerOf(page);
  const { stages } = course(style);
  await openRoom(page, bench.url, `#/style/${style}`);
  await learner.press("Build it from nothing");
  let solved = 0;
  for (const [index, stage] of stages.entries()) {
    const heading = page.getByRole("region", { name: "Stage", exact: true }).getByRole("heading");
    await heading.filter({ hasText: `Stage ${index + 1} of ${stages.length} ${stage.title}` }).waitFor();
    const task = page.getByRole("region", { name: "Task" });
    if (stage.task?.kind === "build") {
      assert.notDeepEqual(stage.start, stage.solution, `stage ${index + 1} asks for something`);
      await strikeUntil(page, learner, stage.solution);
      await learner.press("Check it");
    } else if (stage.task?.kind === "predict") {
      await strikeUntil(page, learner, stage.target);
      await learner.press("Now hear it");
      await find(page, "button", "Stop");
      await learner.press("Stop");
    } else if (stage.task?.kind === "choose") {
      await learner.press(stage.task.choices[stage.task.answer]);
      await find(page, "button", "Stop");
      await learner.press("Stop");
    }
    if (stage.task) {
      solved += 1;
      await task.getByRole("status").filter({ hasText: /\S/ }).first().waitFor();
      const list = page.getByRole("list", { name: "Stages" });
      await list.getByText("solved", { exact: true }).nth(solved - 1).waitFor();
    }
    if (index + 1 < stages.length) await learner.press("Next stage");
  }
  assert.deepEqual(await struck(page), names(stages.at(-1).target), "the whole groove is built");
  // Undo to the very start gives the start: the whole groove, as the lesson was opened.
  const undo = await find(page, "button", "Undo");
  for (let times = 0; (await undo.getAttribute("aria-disabled")) !== "true"; times++) {
    assert.ok(times < 500);
    await undo.click();
  }
  assert.deepEqual(await struck(page), names(course(style).whole), "Undo leads back to the whole groove");
  await page.getByRole("region", { name: "Stage", exact: true }).getByRole("heading", { name: "The whole groove" }).waitFor();
  assert.deepEqual(faults, NO_FAULTS);
  await page.close();
}

test("boom bap is built by mouse", () => build("boom-bap", byMouse));
test("reggaeton is built by touch on a phone of 360 pixels", () =>
  build("reggaeton", byTouch, { width: 360, height: 740 }));
test("the six-eight ballad is built by keyboard alone", () => build("six-eight-rnb-ballad", byKeyboard));
