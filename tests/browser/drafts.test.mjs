// Drafts: several of them, kept through crashes and beside other tabs, carried as files and links; nothing is lost.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, describe, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { catchDownloads } from "./downloads.mjs";
import { NO_FAULTS, openFresh, openRoom, place, readGroove, ready, said, strokes, untilSaid } from "./room.mjs";

const KICK = "Kick, bar 1, beat 1";
const SNARE = "Snare, bar 1, beat 2";

let bench;
let page;
let faults;
before(async () => {
  bench = await openBench();
});
after(() => bench?.close());

/** A fresh tab in the Draft room, with nothing kept from the test before. */
async function open(prepare) {
  ({ page, faults } = await openFresh(bench, "#/draft", { instead: page, prepare }));
}

/** Names in the list of drafts, from the top, and which is open. */
async function list(of = page) {
  const buttons = of.getByRole("region", { name: "Your drafts" }).getByRole("listitem").getByRole("button");
  return buttons.evaluateAll((all) => all.map((button) => (button.getAttribute("aria-current") ? `*${button.textContent}` : button.textContent)));
}

const press = async (name, of = page) => (await find(of, "button", name)).click();
const written = async (of = page) => strokes(await readGroove(of));

/** Resolves when the list is as expected. */
async function untilList(expected, of = page) {
  await of.waitForFunction(
    (want) => JSON.stringify([...document.querySelectorAll(".drafts li button")].map((button) => button.textContent)) === JSON.stringify(want),
    expected,
  );
}

async function name(text, of = page) {
  const field = await find(of, "textbox", "Name");
  await field.fill(text);
  await field.press("Enter");
}

/** Does something to the open draft; resolves when it is on the device. */
async function andWritten(of, change) {
  const texts = () => JSON.stringify(Object.entries(localStorage).filter(([key]) => key.startsWith("stickleback.drafts.")));
  const before = await of.evaluate(texts);
  await change();
  await of.waitForFunction(
    (before) => JSON.stringify(Object.entries(localStorage).filter(([key]) => key.startsWith("stickleback.drafts."))) !== before,
    before,
    { polling: 20 },
  );
}

async function unfold() {
  await page.getByText("Start another draft").click();
}

test("the work is there after the page was killed in the middle of it", async () => {
  await open();
  for (const beat of ["1", "2", "3", "4"]) await andWritten(page, () => place(page, `Closed hat, bar 2, beat ${beat}`).click());
  const groove = await readGroove(page);
  const session = await page.context().newCDPSession(page);
  await Promise.race([session.send("Page.crash").catch(() => {}), new Promise((resolve) => page.once("crash", resolve))]);
  ({ page, faults } = await bench.newPage());
  await openRoom(page, bench.url, "#/draft");
  assert.deepEqual(await readGroove(page), groove);
  assert.deepEqual(faults, NO_FAULTS);
});

test("the work is there after the tab was closed at once", async () => {
  await open();
  await place(page, KICK).click();
  await place(page, SNARE).click();
  await place(page, "Clap, bar 2, beat 4").click();
  await page.close();
  ({ page, faults } = await bench.newPage());
  await openRoom(page, bench.url, "#/draft");
  assert.equal((await written()).length, 3);
});

test("a write that broke off leaves the one before, or the one that was ready to take its place", async () => {
  await open();
  await place(page, KICK).click();
  await untilList(["Draft"]);
  const kick = await written();
  const key = await page.evaluate(() => Object.keys(localStorage).find((key) => /^stickleback\.drafts\.\w+$/.test(key)));
  const old = await page.evaluate((key) => localStorage.getItem(key), key);
  await place(page, SNARE).click();
  await page.waitForFunction(([key, old]) => localStorage.getItem(key) !== old, [key, old]);
  await page.goto("about:blank");
  const both = await (async () => {
    await openRoom(page, bench.url, "#/draft");
    return written();
  })();
  assert.equal(both.length, 2);
  const text = await page.evaluate((key) => localStorage.getItem(key), key);
  const cases = [
    [text.slice(0, -3), text, both, "the old torn, the new whole"],
    [old, text, both, "the new whole, not yet in place"],
    [old, text.slice(0, 40), kick, "the new torn"],
  ];
  for (const [kept, coming, expected, what] of cases) {
    // Leaving writes nothing, for nothing has changed.
    await page.goto(bench.url);
    await page.evaluate(([key, kept, coming]) => {
      localStorage.setItem(key, kept);
      localStorage.setItem(`${key}.new`, coming);
    }, [key, kept, coming]);
    await openRoom(page, bench.url, "#/draft");
    assert.deepEqual(await written(), expected, what);
  }
  // A list that is gone or wrong is made anew.
  await page.goto(bench.url);
  await page.evaluate(() => localStorage.setItem("stickleback.drafts", "nonsense"));
  await openRoom(page, bench.url, "#/draft");
  assert.deepEqual(await list(), ["*Draft"]);
  assert.deepEqual(faults, NO_FAULTS);
});

test("named, duplicated, deleted and brought back; the one changed last stands first", async () => {
  await open();
  assert.deepEqual(await list(), [], "an empty draft is none");
  await place(page, KICK).click();
  await untilList(["Draft"]);
  await name("  Thursday   evening ");
  await untilList(["Thursday evening"]);
  assert.equal(await (await find(page, "textbox", "Name")).inputValue(), "Thursday evening");
  await ready(page);
  await press("Duplicate");
  await untilList(["Thursday evening 2", "Thursday evening"]);
  await ready(page);
  await place(page, SNARE).click();
  assert.equal((await written()).length, 2);
  await press("Thursday evening");
  await ready(page);
  assert.equal((await written()).length, 1);
  assert.deepEqual(await list(), ["Thursday evening 2", "*Thursday evening"], "looking changes nothing");
  // The name of another one is not taken twice.
  await name("Thursday evening 2");
  await untilList(["Thursday evening 3", "Thursday evening 2"]);
  await ready(page);
  await press("Delete this draft");
  await untilList(["Thursday evening 2"]);
  await untilSaid(page, /Thursday evening 3.* is deleted/);
  await page.reload();
  await ready(page);
  assert.equal((await written()).length, 2, "the open one is remembered");
  await press(/Bring .Thursday evening 3. back/);
  await page.waitForFunction(() => document.querySelectorAll(".drafts li").length === 2);
  await ready(page);
  assert.equal((await written()).length, 1);
  assert.match((await list()).join(), /\*Thursday evening 3/);
  assert.deepEqual(faults, NO_FAULTS);
});

test("begun empty, from a style, from a link; what was open stays as it was", async () => {
  await open();
  await place(page, KICK).click();
  await untilList(["Draft"]);
  await unfold();
  await (await find(page, "combobox", "Style to start from")).selectOption("House");
  await press("Start from this style");
  await untilList(["House", "Draft"]);
  await ready(page);
  const house = await readGroove(page);
  assert.ok(strokes(house).length > 10);
  const link = await find(page, "textbox", "Link to a groove");
  for (const bad of ["", "nonsense", `${bench.url}#/groove/Bxyz`]) {
    await link.fill(bad);
    await press("Start from this link");
    await untilSaid(page, /untouched/);
    assert.deepEqual(await readGroove(page), house);
    await press("Put away");
  }
  const { other } = JSON.parse(await readFile(new URL("hostile-links.json", import.meta.url), "utf8"));
  await link.fill(`listen: ${bench.url}#/groove/${other}`);
  await press("Start from this link");
  await page.waitForFunction(() => document.querySelectorAll(".drafts li").length === 3);
  await ready(page);
  await press("An empty one");
  await ready(page);
  assert.deepEqual(await written(), []);
  await press("House");
  await ready(page);
  assert.deepEqual(await readGroove(page), { ...house });
  assert.deepEqual(faults, NO_FAULTS);
});

describe("files", () => {
  const drop = (files) =>
    page.getByRole("region", { name: "Your drafts" }).evaluate((region, files) => {
      const transfer = new DataTransfer();
      for (const [name, text] of files) transfer.items.add(new File([text], name, { type: "application/json" }));
      for (const type of ["dragover", "drop"]) region.dispatchEvent(new DragEvent(type, { dataTransfer: transfer, bubbles: true, cancelable: true }));
    }, files);

  let downloads;
  before(async () => {
    downloads = await catchDownloads(bench);
  });
  after(() => downloads?.end());

  /** Saves the open draft as a file. */
  const saved = () => downloads.saved(() => press("Save as a file"), "utf8");

  test("saved and opened again is the same groove, byte for byte the same file", async () => {
    await open();
    await unfold();
    await (await find(page, "combobox", "Style to start from")).selectOption("Boom bap");
    await press("Start from this style");
    await untilList(["Boom bap"]);
    await ready(page);
    const groove = await readGroove(page);
    const [file, text] = await saved();
    assert.equal(file, "Boom-bap.groove.json");
    assert.match(text, /"kind": "groove"/);
    await drop([[file, text]]);
    await untilList(["Boom bap 2", "Boom bap"]);
    await ready(page);
    assert.deepEqual({ ...(await readGroove(page)), name: groove.name }, groove);
    await untilSaid(page, /^1 groove opened\.\s*$/);
    assert.equal((await saved())[1], text);
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("of several the good ones are opened, the bad ones named with the place of the mistake", async () => {
    await open();
    await place(page, KICK).click();
    await untilList(["Draft"]);
    const [, text] = await saved();
    await drop([
      ["good.groove.json", text],
      ["cut.groove.json", text.slice(0, text.length / 2)],
      ["slip.groove.json", text.replace(/"role": "kick"/, '"role": "kik"')],
      ["long.json", "x".repeat(2_000_000)],
      ["also-good.json", text],
    ]);
    await page.waitForFunction(() => document.querySelectorAll(".drafts li").length === 3);
    const told = await untilSaid(page, /2 grooves opened/);
    assert.match(told, /cut\.groove\.json.*line \d+, column \d+/);
    assert.match(told, /slip\.groove\.json.*lanes.*kik/);
    assert.match(told, /long\.json.*far too long/);
    assert.ok((await list()).includes("Draft"));
    await press("Draft");
    await ready(page);
    assert.equal((await written()).length, 1);
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("a file is picked with the file field", async () => {
    await open();
    await place(page, SNARE).click();
    await untilList(["Draft"]);
    const [, text] = await saved();
    await unfold();
    await page.getByLabel("From groove files").setInputFiles({ name: "Ours.groove.json", mimeType: "application/json", buffer: Buffer.from(text) });
    await untilList(["Ours", "Draft"]);
    await ready(page);
    assert.equal((await written()).length, 1);
  });
});

describe("two tabs", () => {
  test("a change in one is shown in the other, which can take it back", async () => {
    await open();
    await place(page, KICK).click();
    await untilList(["Draft"]);
    const { page: other } = await bench.newPage();
    await openRoom(other, bench.url, "#/draft");
    assert.equal((await written(other)).length, 1);
    await place(other, SNARE).click();
    await untilSaid(page, /changed in another tab/);
    assert.equal((await written()).length, 2);
    await page.bringToFront();
    await press("Undo");
    assert.equal((await written()).length, 1);
    await other.bringToFront();
    await untilSaid(other, /changed in another tab/);
    assert.equal((await written(other)).length, 1);
    assert.deepEqual(await list(), ["*Draft"], "one draft, not one a change");
    await other.close();
  });

  test("changed in both at once: the other version is kept as a draft of its own", async () => {
    await open();
    await place(page, KICK).click();
    await untilList(["Draft"]);
    const { page: deaf } = await bench.newPage();
    // A tab that was frozen hears nothing of others.
    await deaf.addInitScript(() => window.addEventListener("storage", (event) => event.stopImmediatePropagation(), true));
    await openRoom(deaf, bench.url, "#/draft");
    await page.bringToFront();
    await andWritten(page, () => place(page, SNARE).click());
    await deaf.bringToFront();
    await place(deaf, "Clap, bar 1, beat 4").click();
    await untilSaid(deaf, /Nothing is lost/);
    await untilList(["Draft", "Draft 2"], deaf);
    assert.deepEqual((await written(deaf)).map((stroke) => stroke.split(",")[0]).sort(), ["Clap", "Kick"]);
    await press("Draft 2", deaf);
    await ready(deaf);
    assert.deepEqual((await written(deaf)).map((stroke) => stroke.split(",")[0]).sort(), ["Kick", "Snare"]);
    await deaf.close();
  });

  test("two new drafts in two tabs are two", async () => {
    await open();
    const { page: other } = await bench.newPage();
    await openRoom(other, bench.url, "#/draft");
    await place(other, SNARE).click();
    await untilList(["Draft"], other);
    await page.bringToFront();
    await place(page, KICK).click();
    await untilList(["Draft 2", "Draft"]);
    await untilList(["Draft 2", "Draft"], other);
    await other.close();
  });
});

test("what earlier versions of the page kept is taken over", async () => {
  await open();
  const { other } = JSON.parse(await readFile(new URL("hostile-links.json", import.meta.url), "utf8"));
  await page.goto(bench.url);
  await page.evaluate((text) => {
    localStorage.clear();
    localStorage.setItem("stickleback.draft", text);
    localStorage.setItem("stickleback.draft-before", text);
  }, other);
  await openRoom(page, bench.url, "#/draft");
  assert.deepEqual((await list()).sort(), ["*Draft", "Earlier draft"]);
  assert.ok((await written()).length > 0);
  const left = await page.evaluate(() => Object.keys(localStorage).filter((key) => /stickleback\.draft(-before)?$/.test(key)));
  assert.deepEqual(left, []);
  assert.deepEqual(faults, NO_FAULTS);
});

test("full storage: said once, and the work goes on in the page", async () => {
  await open(() => {
    localStorage.clear();
    Storage.prototype.setItem = () => {
      throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
    };
  });
  await place(page, KICK).click();
  await untilList(["Draft"]);
  await name("Only here");
  await untilList(["Only here"]);
  await ready(page);
  await press("Duplicate");
  await untilList(["Only here 2", "Only here"]);
  const says = (await page.locator("body").innerText()).match(/keeps nothing for the page/g) ?? [];
  assert.equal(says.length, 1);
  await (await find(page, "link", "Styles")).click();
  await (await find(page, "link", "Draft")).click();
  await ready(page);
  assert.equal((await written()).length, 1);
  assert.equal((await list()).length, 2);
  assert.doesNotMatch(await said(page), /could not/);
  assert.deepEqual(faults, NO_FAULTS);
});
