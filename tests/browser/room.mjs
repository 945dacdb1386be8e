// A learner in a room: what they are told of the groove, and what they do with it, by roles and names alone.
//
// What is read comes from the browser's accessibility tree, as a screen reader has it, and is no gesture to the page.

import { evaluateWithoutGesture, find } from "./bench.mjs";

/** The accessibility tree of a page as plain nodes `{role, name, description, value, properties, node, parent}`. */
export async function accessibility(page) {
  const session = await page.context().newCDPSession(page);
  try {
    const { nodes } = await session.send("Accessibility.getFullAXTree");
    const byId = new Map(nodes.map((node) => [node.nodeId, node]));
    return nodes
      .filter(({ ignored }) => !ignored)
      .map((node) => ({
        role: node.role?.value,
        name: node.name?.value ?? "",
        description: node.description?.value ?? "",
        value: node.value?.value,
        properties: Object.fromEntries((node.properties ?? []).map(({ name, value }) => [name, value.value])),
        within: (role) => {
          for (let at = byId.get(node.parentId); at; at = byId.get(at.parentId)) if (at.role?.value === role) return true;
          return false;
        },
      }));
  } finally {
    await session.detach();
  }
}

/**
 * The groove as a screen reader has it.
 *
 * @returns {Promise<{name: string, places: {name: string, pressed: boolean, told: string}[], tempo: string,
 *   tempoText: string, swing: string, swingText: string}>} the grid's name, its places by name, and the score marks
 */
export async function readGroove(page) {
  const nodes = await accessibility(page);
  const one = (role, name) => {
    const found = nodes.filter((node) => node.role === role && (name === undefined || node.name === name));
    if (found.length !== 1) throw new Error(`${found.length} nodes are ${role} named ${name}`);
    return found[0];
  };
  const places = nodes.filter(isPlace);
  // The tree gives the number of a range, not the words for it.
  const [tempoText, swingText] = await evaluateWithoutGesture(page, () =>
    ["Tempo", "Swing"].map((name) => document.querySelector(`[aria-label="${name}"]`).getAttribute("aria-valuetext")),
  );
  const tempo = one("spinbutton", "Tempo");
  const swing = one("slider", "Swing");
  return {
    name: one("grid").name,
    // A narrow sheet has its bars under each other; in the order of names a groove is the same on any sheet.
    places: places
      .map(({ name, description, properties }) => ({
        name,
        pressed: String(properties.pressed) === "true",
        told: description,
      }))
      .sort((a, b) => a.name.localeCompare(b.name, "en", { numeric: true })),
    tempo: plain(tempo.value),
    tempoText,
    swing: plain(swing.value),
    swingText,
  };
}

/** A number of the tree, which keeps it in single precision. */
const plain = (value) => String(Math.round(Number(value) * 1000) / 1000);

/** Whether a node of the tree is a place of the grid; the names of lanes are buttons too, in the headers of their rows. */
const isPlace = (node) => node.role === "button" && node.within("grid") && !node.within("rowheader");

/** Names of the places in the order of the grid. */
export async function placeNames(page) {
  return (await accessibility(page)).filter(isPlace).map(({ name }) => name);
}

/** The strokes alone: names of the places that are struck, with what is told of each. */
export const strokes = ({ places }) => places.filter(({ pressed }) => pressed).map(({ name, told }) => `${name}: ${told}`);

/** One place of the grid. */
export const place = (page, name) => page.getByRole("grid").getByRole("button", { name, exact: true });

/** What a page without faults has told a bench. */
export const NO_FAULTS = { external: [], errors: [], violations: [] };

/**
 * A fresh tab in a room, with nothing kept from before, in the place of the tab `instead`.
 *
 * @param {{instead?: object, prepare?: Function, look?: object}} options `prepare` runs in the page before the app, on what
 *   is kept as it is; `look` as for `newPage`
 */
export async function openFresh(bench, fragment, { instead, prepare, look } = {}) {
  // It may have crashed.
  await instead?.close().catch(() => {});
  const fresh = await bench.newPage(look);
  if (prepare) {
    await fresh.page.addInitScript(prepare);
  } else {
    await fresh.page.goto(bench.url);
    await fresh.page.evaluate(() => localStorage.clear());
  }
  await openRoom(fresh.page, bench.url, fragment);
  return fresh;
}

/** The middle of an element on the screen, scrolled to. */
export async function middle(element) {
  await element.scrollIntoViewIfNeeded();
  const { x, y, width, height } = await element.boundingBox();
  return { x: x + width / 2, y: y + height / 2 };
}

/** A finger on a page: `touch(type, points)` as the protocol has it, and `tap(point)`. */
export async function finger(page) {
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setTouchEmulationEnabled", { enabled: true, maxTouchPoints: 1 });
  const touch = (type, touchPoints) => session.send("Input.dispatchTouchEvent", { type, touchPoints });
  // Down and up are sent together: on a busy machine a finger that waits for the page's answer has pressed long.
  const tap = (point) => Promise.all([touch("touchStart", [point]), touch("touchEnd", [])]);
  return { touch, tap };
}

/** Opens a room by its fragment and waits until its groove is there and can be played. */
export async function openRoom(page, url, fragment) {
  await page.goto(`${url}${fragment}`);
  await ready(page);
}

/** Resolves when Play can be pressed and the ribbon has its places. */
export async function ready(page) {
  const play = await find(page, "button", "Play");
  await play.and(page.locator(":enabled")).waitFor();
  await page.getByRole("grid").getByRole("button").first().waitFor();
}

/** Presses Play; resolves when the page says it plays. */
export async function play(page) {
  await (await find(page, "button", "Play")).click();
  await find(page, "button", "Stop");
}

/** Presses Stop; resolves when the page says it has stopped. */
export async function stop(page) {
  await (await find(page, "button", "Stop")).click();
  await find(page, "button", "Play");
}

/** What the page says in its status lines now, put together. */
export const said = async (page) => (await page.getByRole("status").allInnerTexts()).join(" ").replace(/\s+/g, " ").trim();

/** Resolves with what the status lines say as soon as it fits `pattern`. */
export async function untilSaid(page, pattern) {
  await page.getByRole("status").filter({ hasText: pattern }).first().waitFor();
  return said(page);
}

/** The text on the clipboard, got as a learner gets it: pasted into a field of another page. */
export async function pasted(page) {
  const other = await page.context().newPage();
  try {
    await other.setContent("<textarea aria-label='Paste here'></textarea>");
    const field = other.getByRole("textbox", { name: "Paste here" });
    await field.focus();
    await other.keyboard.press("Control+V");
    return await field.inputValue();
  } finally {
    await other.close();
    await page.bringToFront();
  }
}
