// A voice made in the Voices room plays in the open draft, is one undo, and travels in a link.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { NO_FAULTS, openFresh, openRoom, pasted, ready } from "./room.mjs";

let bench;
before(async () => {
  bench = await openBench();
});
after(() => bench?.close());

const SENTENCE = "This groove has its own kick in place of the kit's.";

/** Opens the panel of the sound and waits until it says so, or not. */
async function says(page, it) {
  const sentence = page.getByText(SENTENCE);
  if (!(await page.getByRole("combobox", { name: "Drums" }).isVisible())) await page.getByRole("button", { name: /^Sound of/ }).first().press("Enter");
  await page.getByRole("combobox", { name: "Drums" }).waitFor();
  await (it ? sentence.first().waitFor() : sentence.first().waitFor({ state: "detached" }));
}

test("from the Voices room into a draft, back by undo, and to somebody else", async () => {
  const { page, faults } = await openFresh(bench, "#/draft");
  await page.getByRole("link", { name: "Voices", exact: true }).press("Enter");
  const pitch = page.getByRole("slider", { name: /^Pitch/ }).first();
  await pitch.focus();
  for (let press = 0; press < 20; press++) await page.keyboard.press("ArrowRight");
  await (await find(page, "button", "Use it in my draft")).press("Enter");
  await page.getByRole("heading", { level: 1, name: "Draft" }).waitFor();
  await ready(page);
  await says(page, true);

  await (await find(page, "button", "Undo")).press("Enter");
  await says(page, false);
  await (await find(page, "button", "Redo")).press("Enter");
  await says(page, true);

  await (await find(page, "button", "Copy link")).press("Enter");
  await page.getByRole("status").filter({ hasText: /clipboard|copied/i }).first().waitFor();
  const link = await pasted(page);
  const other = await openFresh(bench, "#/draft");
  await openRoom(other.page, bench.url, link.slice(link.indexOf("#")));
  await find(other.page, "button", "Keep as my draft");
  await says(other.page, true);
  assert.deepEqual([faults, other.faults], [NO_FAULTS, NO_FAULTS]);
});
