// The Voices room: a voice is heard whole and in parts, turned by keyboard, and its picture follows.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { openBench } from "./bench.mjs";
import { EAR_FILES, installEar, readEar } from "./ear.mjs";
import { NO_FAULTS } from "./room.mjs";

let bench;
let page;
let faults;
before(async () => {
  bench = await openBench({ extra: EAR_FILES });
});
after(() => bench?.close());

const picture = () => page.getByRole("img");
const told = () => picture().getAttribute("aria-label");
const button = (name) => page.getByRole("button", { name, exact: true });
const dial = (name) => page.getByRole("slider", { name: new RegExp(`^${name}`) });
const pitchTold = async () => Number(/(\d+) Hz\. It is gone/.exec(await told())?.[1]);

async function open(fragment) {
  await page?.close();
  ({ page, faults } = await bench.newPage());
  await installEar(page);
  await page.goto(bench.url + fragment);
  await page.getByRole("heading", { level: 1, name: "Voices" }).waitFor();
}

/** Waits until the picture says something else than `before`. */
const untilRedrawn = (before) => page.waitForFunction((before) => document.querySelector("[role=img]").getAttribute("aria-label") !== before, before);

/** Does `act` and returns what is heard of it: the loudest sample, and for how many ms of blocks. */
async function heardOf(act) {
  const sum = (blocks) => blocks.reduce((sum, { peak }) => sum + peak, 0);
  const before = (await readEar(page)).blocks.length;
  await act();
  await page.waitForFunction((count) => window.__ear.blocks.length > count + 4, before);
  // All of a short drum: nothing new for a while.
  let count = -1;
  for (let now = before; now !== count; ) {
    count = now;
    await page.evaluate(() => new Promise((done) => setTimeout(done, 400)));
    now = (await readEar(page)).blocks.length;
  }
  const blocks = (await readEar(page)).blocks.slice(before);
  return { peak: Math.max(...blocks.map(({ peak }) => peak)), ms: (blocks.length * 128) / 48, sum: sum(blocks) };
}

test("a kick is struck soft and hard, and heard in parts", async () => {
  await open("#/voices/boom-bap/kick");
  await page.waitForFunction(() => document.querySelector("[role=img]")?.getAttribute("aria-label"));
  // The ear's recorder comes with the first sound, and misses it.
  await heardOf(() => button("Normally").press("Enter"));
  const hard = await heardOf(() => button("Hard").press("Enter"));
  const soft = await heardOf(() => button("Softly").press("Space"));
  assert.ok(hard.peak > 0.05 && hard.peak < 0.98, `${hard.peak}`);
  assert.ok(soft.peak > 0.005 && soft.peak < 0.7 * hard.peak, `${soft.peak} against ${hard.peak}`);

  const whole = await told();
  const click = await heardOf(() => button("Click alone").press("Enter"));
  await untilRedrawn(whole);
  assert.equal(await button("Click alone").getAttribute("aria-pressed"), "true");
  assert.ok(click.ms < 0.5 * hard.ms, `a click is short: ${click.ms} ms against ${hard.ms} ms`);
  await button("Click alone").press("Enter");
  await page.waitForFunction((whole) => document.querySelector("[role=img]").getAttribute("aria-label") === whole, whole);

  await button("Body left out").press("Space");
  await untilRedrawn(whole);
  assert.equal(await button("Body left out").getAttribute("aria-pressed"), "true");
  assert.deepEqual(faults, NO_FAULTS);
});

test("dials are turned by keyboard: the sound and its picture follow, and the kit's own comes back", async () => {
  await open("#/voices/trap/kick");
  await page.waitForFunction(() => document.querySelector("[role=img]")?.getAttribute("aria-label"));
  const [own, before] = [await told(), await pitchTold()];
  const position = () => dial("Pitch").getAttribute("aria-valuetext");
  assert.match(await position(), /^\d+ of 100, from lower to higher$/);
  const at = Number.parseInt(await position(), 10);
  await dial("Pitch").focus();
  const heard = await heardOf(async () => {
    for (let press = 0; press < 12; press++) await page.keyboard.press("ArrowRight");
  });
  assert.ok(heard.peak > 0.02, "each move is heard");
  assert.equal(Number.parseInt(await position(), 10), at + 12);
  await untilRedrawn(own);
  await page.waitForFunction((before) => Number(/(\d+) Hz\. It is gone/.exec(document.querySelector("[role=img]").getAttribute("aria-label"))?.[1]) > 1.1 * before, before);

  await page.getByText("The figures behind").press("Enter");
  const figures = await page.getByRole("definition").allInnerTexts();
  assert.ok(figures.some((text) => /\d+ Hz/.test(text)) && figures.some((text) => /\d+ ms/.test(text)), `${figures}`);

  await button("Back to the kit’s own").press("Enter");
  await page.waitForFunction((own) => document.querySelector("[role=img]").getAttribute("aria-label") === own, own);
  assert.equal(Number.parseInt(await position(), 10), at);
  assert.deepEqual(faults, NO_FAULTS);
});

test("any voice of any kit is chosen; every control has a name of its own", async () => {
  await open("#/voices");
  const voice = page.getByRole("combobox", { name: "Voice" });
  await page.getByRole("combobox", { name: "Kit" }).selectOption({ label: "Samba (batucada)" });
  await voice.selectOption({ label: "Low surdo" });
  await dial("Ring").or(dial("Length")).first().waitFor();
  const names = await page.getByRole("button").evaluateAll((all) => all.map((element) => element.textContent.replace(/\s+/g, " ").trim()));
  assert.equal(new Set(names).size, names.length, `${names}`);
  // Kits without the voice that is chosen show one they have.
  await page.getByRole("combobox", { name: "Kit" }).selectOption({ label: "House" });
  await page.waitForFunction(() => [...document.querySelectorAll("select")].at(-1).selectedOptions[0]?.textContent === "Kick");
  assert.deepEqual(faults, NO_FAULTS);

  await open("#/voices/no-such-kit/kick");
  await page.getByRole("alert").waitFor();
  assert.match(await page.getByRole("alert").innerText(), /\w+/);
});
