// Writing a groove, by mouse and by keyboard alone; what is typed, what is told, what is kept.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { NO_FAULTS, accessibility, openFresh, place, placeNames, play, readGroove, ready, said, strokes, untilSaid } from "./room.mjs";


let bench;
let page;
let faults;
before(async () => {
  bench = await openBench();
});
after(() => bench?.close());

/** A fresh tab in a room, with nothing kept from the test before. */
async function open(fragment, prepare) {
  ({ page, faults } = await openFresh(bench, fragment, { instead: page, prepare }));
}

/** Role and name of what has the keyboard focus. */
async function focused() {
  const all = (await accessibility(page)).filter(({ role, properties }) => properties.focused && role !== "RootWebArea");
  assert.ok(all.length <= 1, "one thing has the focus");
  // Past the first and the last stop the browser's own controls have it.
  if (all.length === 0) return "nothing";
  return `${all[0].role} ${all[0].name}`;
}

/** Presses Tab (or Shift+Tab) until something inside the grid has the focus. */
async function tabIntoGrid(key = "Tab") {
  for (let presses = 0; presses < 40; presses++) {
    await page.keyboard.press(key);
    if (await page.getByRole("grid").evaluate((grid) => grid.contains(document.activeElement))) return;
  }
  assert.fail("no Tab leads into the grid");
}

const told = async (name) => {
  const { pressed, told } = (await readGroove(page)).places.find((place) => place.name === name);
  return pressed ? told : "rest";
};

/** Makes a change; asserts that it changes something, that Undo takes exactly it back and Redo does it again. */
async function checkChange(what, change) {
  const before = await readGroove(page);
  await change();
  const after = await readGroove(page);
  assert.notDeepEqual(after, before, `${what} changes something`);
  await (await find(page, "button", "Undo")).click();
  assert.deepEqual(await readGroove(page), before, `Undo takes back: ${what}`);
  await (await find(page, "button", "Redo")).click();
  assert.deepEqual(await readGroove(page), after, `Redo does again: ${what}`);
}

/** Takes everything back, then does everything again. */
async function checkAllTheWay(start) {
  const end = await readGroove(page);
  const press = async (name) => {
    const button = await find(page, "button", name);
    for (let presses = 0; await button.isEnabled(); presses++) {
      assert.ok(presses < 100, `${name} comes to an end`);
      await button.click();
    }
  };
  await press("Undo");
  assert.deepEqual(await readGroove(page), start);
  await press("Redo");
  assert.deepEqual(await readGroove(page), end);
}

describe("by mouse", () => {
  const KICK = "Kick, bar 1, beat 2 and";
  const click = (role, name) => async () => (await find(page, role, name)).click();
  const slide = (name, share) => async () => {
    const slider = await find(page, "slider", name);
    const { width, height } = await slider.boundingBox();
    await slider.click({ position: { x: width * share, y: height / 2 } });
  };
  const changes = [
    ["a stroke", () => place(page, KICK).click(), "stroke"],
    ["it is gone", () => place(page, KICK).click(), "rest"],
    ["there again", () => place(page, KICK).click(), "stroke"],
    ["an accent", click("button", "accent"), "accent"],
    ["a ghost note", click("button", "ghost"), "ghost"],
    ["a stroke once more", click("button", "stroke"), "stroke"],
    ["quieter by the slider", slide("Loudness", 0.2), /^ghost, loudness (1\d|2\d|3\d)$/],
    ["louder by the slider", slide("Loudness", 0.9), /^accent, loudness 1[012]\d$/],
    ["cleared", click("button", "Clear"), "rest"],
    ["a stroke by the card", click("button", "ghost"), "ghost"],
    ["another lane", () => place(page, "Snare, bar 2, beat 4").click(), "ghost"],
    ["more swing", slide("Swing", 0.5), "ghost"],
    ["less swing", slide("Swing", 0.1), "ghost"],
  ];

  test("each change can be taken back and done again, and all of them", async () => {
    await open("#/draft");
    const start = await readGroove(page);
    assert.deepEqual(strokes(start), []);
    for (const [what, change, expected] of changes) {
      await checkChange(what, change);
      const now = await told(KICK);
      if (expected instanceof RegExp) assert.match(now, expected, what);
      else assert.equal(now, expected, what);
    }
    await checkAllTheWay(start);
    assert.deepEqual(faults, NO_FAULTS);
  });
});

describe("by keyboard alone", () => {
  const ways = [
    ["ArrowRight", "Open hat, bar 1, beat 1 e"],
    ["ArrowRight", "Open hat, bar 1, beat 1 and"],
    ["ArrowLeft", "Open hat, bar 1, beat 1 e"],
    ["ArrowDown", "Closed hat, bar 1, beat 1 e"],
    ["End", "Closed hat, bar 2, beat 4 a"],
    ["ArrowRight", "Closed hat, bar 2, beat 4 a"],
    ["ArrowUp", "Open hat, bar 2, beat 4 a"],
    ["ArrowUp", "Open hat, bar 2, beat 4 a"],
    ["Home", "Open hat, bar 1, beat 1"],
    ["ArrowLeft", "Open hat"],
    ["ArrowLeft", "Open hat"],
    ["ArrowDown", "Closed hat"],
    ["ArrowUp", "Open hat"],
    ["ArrowRight", "Open hat, bar 1, beat 1"],
    ["PageDown", "Open hat, bar 2, beat 1"],
    ["Control+End", "Bass, bar 2, beat 4 a"],
    ["ArrowDown", "Bass, bar 2, beat 4 a"],
    ["PageUp", "Bass, bar 1, beat 4 a"],
    ["PageUp", "Bass, bar 1, beat 1"],
    ["Control+Home", "Open hat, bar 1, beat 1"],
  ];

  test("arrows, Home, End, pages and corners lead where they should", async () => {
    await open("#/draft");
    await tabIntoGrid();
    assert.equal(await focused(), "button Open hat, bar 1, beat 1");
    for (const [key, where] of ways) {
      await page.keyboard.press(key);
      assert.equal(await focused(), `button ${where}`, key);
      assert.equal(await tabStops(), 1);
    }
    assert.deepEqual(strokes(await readGroove(page)), [], "moving writes nothing");
  });

  test("the grid is one tab stop, and comes back to the same place", async () => {
    await open("#/draft");
    await tabIntoGrid();
    for (const key of ["ArrowDown", "ArrowDown", "PageDown", "ArrowRight"]) await page.keyboard.press(key);
    const where = "button Clap, bar 2, beat 1 e";
    assert.equal(await focused(), where);
    await page.keyboard.press("Tab");
    assert.doesNotMatch(await focused(), /bar \d/, "the next Tab leaves the grid");
    await page.keyboard.press("Shift+Tab");
    assert.equal(await focused(), where);
    await page.keyboard.press("Shift+Tab");
    assert.doesNotMatch(await focused(), /bar \d/);
    await tabIntoGrid();
    assert.equal(await focused(), where);
    assert.equal(await tabStops(), 1);
  });

  const PLACE = "Snare, bar 1, beat 2";
  const keys = [
    ["Space", "stroke"],
    ["Space", "rest"],
    ["Enter", "stroke"],
    ["X", "accent"],
    ["o", "ghost"],
    ["+", /^ghost, loudness \d+$|^stroke, loudness \d+$/],
    ["-", "ghost"],
    ["x", "stroke"],
    ["Shift+ArrowUp", /loudness \d+$/],
    ["Shift+ArrowDown", "stroke"],
    [".", "rest"],
    ["X", "accent"],
    ["Delete", "rest"],
    ["o", "ghost"],
    ["Backspace", "rest"],
  ];

  test("strokes, accents, ghost notes, loudness and rests are written, each undone and redone, focus kept", async () => {
    await open("#/draft");
    const start = await readGroove(page);
    await tabIntoGrid();
    for (let row = 0; row < 3; row++) await page.keyboard.press("ArrowDown");
    for (let pulse = 0; pulse < 4; pulse++) await page.keyboard.press("ArrowRight");
    assert.equal(await focused(), `button ${PLACE}`);
    for (const [key, expected] of keys) {
      const before = await readGroove(page);
      await page.keyboard.press(key);
      const now = await told(PLACE);
      if (expected instanceof RegExp) assert.match(now, expected, key);
      else assert.equal(now, expected, key);
      assert.equal(await focused(), `button ${PLACE}`, key);
      const after = await readGroove(page);
      // Undo is in the margin, where Tab leads too.
      await pressByKeyboard("Undo", "Shift+Tab");
      assert.deepEqual(await readGroove(page), before, `Undo takes back ${key}`);
      await pressByKeyboard("Redo", "Tab");
      assert.deepEqual(await readGroove(page), after, `Redo does ${key} again`);
      await tabIntoGrid();
      assert.equal(await focused(), `button ${PLACE}`, key);
    }
    await checkAllTheWay(start);
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("the stroke card is reached and worked by keyboard", async () => {
    await open("#/draft");
    await tabIntoGrid();
    await page.keyboard.press("Space");
    await tabTo("slider Loudness");
    const before = await told("Open hat, bar 1, beat 1");
    await checkKeyboardChange(() => page.keyboard.press("ArrowLeft"));
    assert.notEqual(await told("Open hat, bar 1, beat 1"), before);
    await tabTo("button Clear");
    await page.keyboard.press("Enter");
    assert.equal(await told("Open hat, bar 1, beat 1"), "rest");
    assert.equal(await focused(), "button Open hat, bar 1, beat 1", "the focus is not lost with the button");
  });

  async function checkKeyboardChange(change) {
    const before = await readGroove(page);
    await change();
    assert.notDeepEqual(await readGroove(page), before);
  }

  async function tabTo(what, key = "Tab") {
    for (let presses = 0; presses < 60; presses++) {
      const name = await page.evaluate(() => document.activeElement.ariaLabel ?? document.activeElement.textContent.trim());
      if (what.endsWith(name) && (await focused()) === what) return;
      await page.keyboard.press(key);
    }
    assert.fail(`no ${key} leads to ${what}`);
  }

  async function pressByKeyboard(name, key) {
    await tabTo(`button ${name}`, key);
    await page.keyboard.press("Enter");
    assert.equal(await focused(), `button ${name}`, "the focus stays, also when there is nothing left to do");
  }
});

const tabStops = () =>
  page.getByRole("grid").getByRole("button").evaluateAll((places) => places.filter(({ tabIndex }) => tabIndex >= 0).length);

describe("tempo and swing", () => {
  const typed = [
    ["92,5", "92.5"],
    ["92.5", "92.5"],
    [" 120 ", "120"],
    ["20", "20"],
    ["400", "400"],
    ["71", "71"],
  ];
  const refused = ["0", "-1", "NaN", "1e9", "1000000000", "19.9", "400.1", "fast", "", "1/2", "Infinity"];

  async function typeTempo(text) {
    const tempo = await find(page, "spinbutton", "Tempo");
    await tempo.fill(text);
    await tempo.press("Enter");
    return tempo;
  }

  test("a typed tempo is taken with a comma or a point", async () => {
    await open("#/draft");
    for (const [text, expected] of typed) {
      const tempo = await typeTempo(text);
      assert.equal(await tempo.inputValue(), expected, text);
      const { tempo: now, tempoText } = await readGroove(page);
      assert.equal(now, expected, text);
      assert.equal(tempoText, `${expected} quarter notes a minute`);
    }
    assert.equal(await said(page), "");
  });

  test("a tempo that is none is told each time, and the old one stays", async () => {
    await open("#/draft");
    await typeTempo("97.25");
    const before = await readGroove(page);
    for (const text of refused) {
      await page.evaluate(() => {
        window.__told = 0;
        const status = document.querySelector("[role=status]");
        new MutationObserver(() => window.__told++).observe(status, { subtree: true, childList: true, characterData: true });
      });
      const tempo = await typeTempo(text);
      await untilSaid(page, /A tempo is a number from 20 to 400/);
      assert.ok((await page.evaluate(() => window.__told)) > 0, `"${text}" is told anew`);
      assert.equal(await tempo.inputValue(), "97.25", text);
      assert.deepEqual(await readGroove(page), before, text);
    }
    assert.deepEqual(faults, NO_FAULTS);
  });

  test("arrow and page keys turn the tempo within its range; one undo takes the turning back", async () => {
    await open("#/draft");
    const start = await readGroove(page);
    const tempo = await find(page, "spinbutton", "Tempo");
    const ways = [
      ["ArrowUp", "93"],
      ["ArrowDown", "92"],
      ["ArrowDown", "91"],
      ["Shift+ArrowUp", "101"],
      ["PageDown", "91"],
      ["PageUp", "101"],
      ["End", "400"],
      ["ArrowUp", "400"],
      ["ArrowDown", "399"],
      ["Home", "20"],
      ["ArrowDown", "20"],
    ];
    for (const [key, expected] of ways) {
      await tempo.press(key);
      assert.equal(await tempo.inputValue(), expected, key);
      assert.equal((await readGroove(page)).tempo, expected, key);
    }
    const end = await readGroove(page);
    await (await find(page, "button", "Undo")).click();
    assert.deepEqual(await readGroove(page), start);
    await (await find(page, "button", "Redo")).click();
    assert.deepEqual(await readGroove(page), end);
  });

  test("the swing is told in words and as long to short", async () => {
    await open("#/draft");
    const swing = await find(page, "slider", "Swing");
    assert.equal((await readGroove(page)).swingText, "straight");
    const ways = [
      ["End", "80", "sixteenths swing, long 80 to short 20", "80 : 20"],
      ["ArrowLeft", "79.9", "sixteenths swing, long 79.9 to short 20.1", "79.9 : 20.1"],
      ["Home", "50", "straight", "straight"],
      ["ArrowRight", "50.1", "sixteenths swing, long 50.1 to short 49.9", "50.1 : 49.9"],
    ];
    for (const [key, value, text, shown] of ways) {
      await swing.press(key);
      const now = await readGroove(page);
      assert.equal(now.swing, value, key);
      assert.equal(now.swingText, text, key);
      await page.getByText(shown, { exact: true }).waitFor();
    }
  });
});

describe("names of places", () => {
  const cases = [
    ["six-eight-rnb-ballad", /^Closed hat, bar 1, /, ["beat 1", "beat 1 ti", "beat 1 trip", "beat 1 trip ti", "beat 1 let", "beat 1 let ti", "beat 2"]],
    ["twelve-eight-blues-shuffle", /^Ride, bar 1, /, ["beat 1", "beat 1 trip", "beat 1 let", "beat 2"]],
    ["ternary-trap", /^Closed hat, bar 1, /, ["beat 1", "beat 1 trip", "beat 1 let", "beat 2"]],
    ["bembe-six-eight", /^High bell, bar 1, /, ["beat 1", "beat 1 trip", "beat 1 let", "beat 2"]],
    ["jazz-waltz", /^Ride, bar 2, /, ["beat 1", "beat 1 trip", "beat 1 let", "beat 2"]],
  ];
  for (const [style, lane, expected] of cases) {
    test(style, async () => {
      await open(`#/style/${style}`);
      const names = (await placeNames(page)).filter((name) => lane.test(name));
      assert.deepEqual(names.slice(0, expected.length).map((name) => name.replace(lane, "")), expected);
    });
  }
});

describe("what is kept", () => {
  const WRITTEN = ["Kick, bar 1, beat 1", "Snare, bar 1, beat 2", "Closed hat, bar 2, beat 3 e"];
  const NOTHING_KEPT = /keeps nothing for the page/;

  async function write() {
    for (const name of WRITTEN) await place(page, name).click();
    await place(page, WRITTEN[1]).press("X");
    const tempo = await find(page, "spinbutton", "Tempo");
    await tempo.fill("101,5");
    await tempo.press("Enter");
  }

  test("the draft is there after the page is loaded again, and after a look at another room", async () => {
    await open("#/draft");
    await write();
    const groove = await readGroove(page);
    await page.getByText("Kept on this device as you work.").waitFor();
    await page.reload();
    await ready(page);
    assert.deepEqual(await readGroove(page), groove);
    await (await find(page, "link", "Styles")).click();
    await (await find(page, "link", "Draft")).click();
    await ready(page);
    assert.deepEqual(await readGroove(page), groove);
  });

  test("one's own version of a style is there after the page is loaded again; the style is one press away", async () => {
    await open("#/style/house");
    const own = await readGroove(page);
    await place(page, own.places[3].name).click();
    const changed = await readGroove(page);
    await page.reload();
    await ready(page);
    assert.deepEqual(await readGroove(page), changed);
    await (await find(page, "button", /Back to the style/)).click();
    assert.deepEqual(await readGroove(page), own);
    await page.reload();
    await ready(page);
    assert.deepEqual(await readGroove(page), own);
  });

  test("a kept text that cannot be read is put aside and told; the room opens", async () => {
    await open("#/draft");
    await page.evaluate(() => localStorage.setItem("stickleback.draft", "Bgarbage"));
    await page.reload();
    await ready(page);
    await untilSaid(page, /could not be read. It has been put aside/);
    assert.equal(await page.evaluate(() => localStorage.getItem("stickleback.draft.unread")), "Bgarbage");
    assert.deepEqual(faults, NO_FAULTS);
  });

  const blocks = {
    "touching it throws": () => {
      Object.defineProperty(window, "localStorage", {
        get() {
          throw new DOMException("Access is denied for this document.", "SecurityError");
        },
      });
    },
    "it is full": () => {
      Storage.prototype.setItem = () => {
        throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
      };
    },
  };
  for (const [how, block] of Object.entries(blocks)) {
    test(`storage blocked (${how}): the draft starts, is edited, played and shared, and says so once`, async () => {
      await open("#/draft", block);
      await write();
      const groove = await readGroove(page);
      assert.equal(strokes(groove).length, 3);
      const says = (await page.locator("body").innerText()).match(new RegExp(NOTHING_KEPT, "g")) ?? [];
      assert.equal(says.length, 1);
      assert.equal(await page.getByText("Kept on this device").count(), 0);
      await play(page);
      await (await find(page, "button", "Copy link")).click();
      await untilSaid(page, /Link copied/);
      // In memory it is still there.
      await (await find(page, "link", "Styles")).click();
      await (await find(page, "link", "Draft")).click();
      await ready(page);
      assert.deepEqual(await readGroove(page), groove);
      assert.deepEqual(faults, NO_FAULTS);
    });

    test(`storage blocked (${how}): a lesson is changed, and says so once`, async () => {
      await open("#/style/house", block);
      await page.evaluate(() => {
        window.__heard = [];
        const status = document.querySelector("[role=status]");
        const hear = () => window.__heard.push(status.textContent);
        new MutationObserver(hear).observe(status, { subtree: true, childList: true, characterData: true });
      });
      const { places } = await readGroove(page);
      for (const { name } of places.slice(0, 4)) await place(page, name).click();
      await untilSaid(page, NOTHING_KEPT);
      const heard = await page.evaluate(() => window.__heard);
      assert.equal(heard.filter((text) => text.trim() !== "").length, 1, heard.join(" / "));
      assert.deepEqual(faults, NO_FAULTS);
    });

    test(`storage blocked (${how}): nothing is promised before the first stroke`, async () => {
      await open("#/draft", block);
      assert.equal(await page.getByText("Kept on this device").count(), 0);
    });
  }
});

test("live regions are quiet for 20 s while it plays and counts in", async () => {
  await open("#/style/salsa");
  await (await find(page, "button", "Count-in")).click();
  await (await find(page, "button", "Click")).click();
  const LIVE = "[aria-live]:not([aria-live=off]), [role=status], [role=alert], [role=log], [role=timer], output";
  await page.evaluate((live) => {
    window.__live = [];
    const look = (records) => {
      for (const { target } of records) {
        const element = target instanceof Element ? target : target.parentElement;
        if (element?.closest(live) || element?.querySelector?.(":scope > [role=alert], :scope > [role=status]")) window.__live.push(element.outerHTML.slice(0, 200));
      }
    };
    const options = { subtree: true, childList: true, characterData: true, attributes: true };
    new MutationObserver(look).observe(document.body, options);
  }, LIVE);
  await play(page);
  const changed = await page.evaluate(
    () =>
      new Promise((resolve) => {
        // Something has to move meanwhile, or the silence would prove nothing.
        let moves = 0;
        new MutationObserver((records) => (moves += records.length)).observe(document.body, { subtree: true, attributes: true });
        setTimeout(() => resolve({ moves, live: window.__live }), 20000);
      }),
  );
  assert.ok(changed.moves > 500, `${changed.moves} changes of the drawing`);
  assert.deepEqual(changed.live, []);
  await find(page, "button", "Stop");
});
