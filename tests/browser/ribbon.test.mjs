// The time ribbon: where its fins stand, drawing along a line by mouse and by finger, what is magnified, and its form on
// paper.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { find, openBench } from "./bench.mjs";
import { idealEvents } from "./exactness.mjs";
import { accessibility, finger, middle as middleOf, openFresh, place, readGroove, strokes } from "./room.mjs";

let bench;
let page;
before(async () => {
  bench = await openBench();
});
after(() => bench?.close());

/** A fresh tab in a room, with nothing kept from the test before. */
async function open(fragment, look) {
  ({ page } = await openFresh(bench, fragment, { instead: page, look }));
}

/** The middle of a place on the screen. */
const middle = (name) => middleOf(place(page, name));

/** Presses at the first point and moves through the others. */
async function dragThrough(points) {
  await page.mouse.move(points[0].x, points[0].y);
  await page.mouse.down();
  for (const [index, to] of points.slice(1).entries()) {
    const from = points[index];
    for (let part = 1; part <= 8; part++) {
      await page.mouse.move(from.x + ((to.x - from.x) * part) / 8, from.y + ((to.y - from.y) * part) / 8);
    }
  }
  await page.mouse.up();
}

const SNARES = ["1", "1 e", "1 and", "1 a", "2"].map((beat) => `Snare, bar 1, beat ${beat}: stroke`);
const written = async () => strokes(await readGroove(page)).sort();
const undo = async () => (await find(page, "button", "Undo")).click();

describe("drawing along a line", () => {
  test("by mouse, also when the pointer leaves the lane; one undo", async () => {
    await open("#/draft");
    const [from, to] = [await middle("Snare, bar 1, beat 1"), await middle("Snare, bar 1, beat 2")];
    const astray = { x: (from.x + to.x) / 2, y: from.y + 70 };
    await dragThrough([from, { x: from.x + 12, y: from.y }, astray, to]);
    assert.deepEqual(await written(), SNARES.toSorted());
    await undo();
    assert.deepEqual(await written(), [], "one undo takes it all back");
    await (await find(page, "button", "Redo")).click();
    assert.deepEqual(await written(), SNARES.toSorted());

    await dragThrough([to, { x: to.x - 12, y: to.y }, await middle("Snare, bar 1, beat 1 e")]);
    assert.deepEqual(await written(), SNARES.slice(0, 1), "from a stroke on it takes away");
    await undo();
    assert.deepEqual(await written(), SNARES.toSorted());
  });

  test("up and down turns the loudness, and a click after it writes nothing", async () => {
    await open("#/draft");
    await place(page, "Kick, bar 1, beat 1").click();
    const { x, y } = await middle("Kick, bar 1, beat 1");
    await dragThrough([{ x, y }, { x: x + 3, y: y - 20 }]);
    const [kick, ...others] = await written();
    assert.match(kick, /^Kick, bar 1, beat 1: accent/);
    assert.deepEqual(others, []);
    await undo();
    assert.deepEqual(await written(), ["Kick, bar 1, beat 1: stroke"]);
  });

  test("by finger on a phone: along writes, a tap toggles, up and down moves the page", async () => {
    await open("#/draft", { width: 360, height: 740 });
    const { touch, tap } = await finger(page);
    const stroke = async (from, to) => {
      await touch("touchStart", [from]);
      for (let part = 1; part <= 12; part++) {
        const along = (a, b) => Math.round(a + ((b - a) * part) / 12);
        await touch("touchMove", [{ x: along(from.x, to.x), y: along(from.y, to.y) }]);
      }
      await touch("touchEnd", []);
    };
    const from = await middle("Snare, bar 1, beat 1");
    await stroke(from, await middle("Snare, bar 1, beat 2"));
    assert.deepEqual(await written(), SNARES.toSorted());
    await undo();
    assert.deepEqual(await written(), []);

    await tap(await middle("Kick, bar 1, beat 1 and"));
    await page.waitForFunction(() => document.querySelector('[role="grid"] [aria-pressed="true"]'));
    assert.deepEqual(await written(), ["Kick, bar 1, beat 1 and: stroke"]);

    const start = await middle("Snare, bar 1, beat 1");
    const before = await page.evaluate(() => scrollY);
    await stroke(start, { x: start.x + 4, y: start.y - 160 });
    await page.waitForFunction((before) => scrollY > before + 60, before);
    assert.deepEqual(await written(), ["Kick, bar 1, beat 1 and: stroke"], "moving the page writes nothing");
  });
});

/** Of a sheet with one row: where the bar lines stand and, by lane, where the fins' plumb edges do, all on the screen. */
const drawn = () =>
  page.evaluate(() => {
    const starts = (path) => [...path.getAttribute("d").matchAll(/M(-?[\d.]+)/g)].map(([, x]) => Number(x));
    const ink = document.querySelector("svg.ink");
    const { left } = ink.getBoundingClientRect();
    const bars = starts(ink.querySelector(".bar-line")).map((x) => x + left);
    const lanes = [...ink.querySelectorAll("[data-drawn]")].map((lane) => {
      const fins = [...lane.querySelectorAll(".fin")].flatMap(starts);
      return [Number(lane.dataset.drawn), fins.map((x) => x + left).sort((a, b) => a - b)];
    });
    const whiskers = [...ink.querySelectorAll(".whisker")].flatMap((path) =>
      [...path.getAttribute("d").matchAll(/M(-?[\d.]+ [\d.]+)H(-?[\d.]+)/g)].map(([, foot, x]) => [foot, x - parseFloat(foot)]),
    );
    return { systems: document.querySelectorAll(".system").length, bars, lanes, whiskers };
  });

describe("fins stand where strokes sound", () => {
  const sources = [
    ["swung and leaning", "lessons/styles/lo-fi-hip-hop.json", "#/style/lo-fi-hip-hop"],
    ["shifted by place in the beat", "lessons/styles/samba-batucada.json", "#/style/samba-batucada"],
    ["in triplets", "lessons/styles/ternary-trap.json", "#/style/ternary-trap"],
    ["nudged, with rolls and flams", "tests/browser/fast.groove.json", null],
  ];
  for (const [what, source, fragment] of sources) {
    test(`${what}, within a pixel`, async () => {
      const { events, payload } = idealEvents(source, 48000, 2);
      await open(fragment ?? `#/groove/${payload}`, { width: 1600, height: 900 });
      const { systems, bars, lanes } = await drawn();
      assert.equal(systems, 1);
      const [begin, end] = [bars[0], bars.at(-1)];
      const first = events.filter(({ pass }) => pass === 0);
      const again = events.find(({ pass, lane, stroke, part }) =>
        pass === 1 && lane === first[0].lane && stroke === first[0].stroke && part === first[0].part);
      const pixels = (end - begin) / (again.frame - first[0].frame);
      let compared = 0;
      for (const [lane, edges] of lanes) {
        const want = first.filter((event) => event.lane === lane).map(({ frame }) => begin + frame * pixels).sort((a, b) => a - b);
        assert.equal(edges.length, want.length, `lane ${lane}`);
        for (const [index, x] of edges.entries()) {
          assert.ok(Math.abs(x - want[index]) <= 1, `lane ${lane}, fin ${index}: ${x} instead of ${want[index]}`);
          compared++;
        }
      }
      assert.equal(compared, first.length);
    });
  }
});

describe("magnified feel", () => {
  test("draws shifts four times as large, says so on the sheet, and goes back", async () => {
    await open("#/style/lo-fi-hip-hop", { width: 1600, height: 900 });
    const plain = (await drawn()).whiskers;
    assert.ok(plain.length > 4);
    const button = await find(page, "button", "feel \u00d74");
    const label = page.locator(".magnified");
    assert.equal(await label.innerText(), "");
    await button.click();
    assert.equal(await label.innerText(), "feel \u00d74");
    const large = new Map((await drawn()).whiskers);
    for (const [foot, shift] of plain) {
      // Where there is room; a whisker's foot is told to a tenth of a pixel.
      const full = Math.abs(large.get(foot) - 4 * shift) < 0.4;
      assert.ok(full || (Math.abs(large.get(foot)) > Math.abs(shift) && Math.abs(shift) > 6), `${shift} drawn as ${large.get(foot)}`);
    }
    await button.click();
    assert.deepEqual((await drawn()).whiskers, plain);
  });

  test("is not offered where every stroke stands on its place", async () => {
    await open("#/draft");
    assert.equal(await page.getByRole("button", { name: "feel \u00d74" }).count(), 0);
  });
});

describe("lanes", () => {
  test("a lane's name is a control of the grid, told as a lane", async () => {
    await open("#/draft");
    const name = page.getByRole("rowheader").getByRole("button", { name: "Kick", exact: true });
    await name.click();
    assert.equal(await name.getAttribute("aria-current"), "true");
    const [told] = (await accessibility(page)).filter(({ role, name }) => role === "button" && name === "Kick");
    assert.equal(told.description, "lane");
    assert.deepEqual(await written(), []);
  });

  test("strokes off the pulse are places; taking one away leaves the keyboard beside it", async () => {
    const { payload } = idealEvents("tests/browser/off-pulse.groove.json", 48000, 1);
    await open(`#/groove/${payload}`);
    const off = page.getByRole("grid").getByRole("button", { name: /between/ }).first();
    const name = await off.getAttribute("aria-label");
    const before = (await readGroove(page)).places.length;
    await off.focus();
    await page.keyboard.press("Delete");
    await page.waitForFunction((name) => ![...document.querySelectorAll("[data-at]")].some((place) => place.ariaLabel === name), name);
    const focused = await page.evaluate(() => document.activeElement.getAttribute("aria-label"));
    assert.equal(focused.split(",")[0], name.split(",")[0], `${focused} is beside ${name}`);
    assert.equal((await readGroove(page)).places.length, before - 1);
    await undo();
    assert.equal((await readGroove(page)).places.length, before);
    assert.equal(await page.locator('[role="grid"] [tabindex="0"]').count(), 1);
  });
});

describe("on narrow sheets", () => {
  for (const [width, fragment] of [[320, "#/style/uk-drill"], [360, "#/style/samba-batucada"], [640, "#/style/lo-fi-hip-hop"]]) {
    test(`${fragment} at ${width} pixels: rows break at beats, nothing is cut off, no name on a note`, async () => {
      await open(fragment, { width, height: 740 });
      const found = await page.evaluate(() => {
        const problems = [];
        const grid = document.querySelector('[role="grid"]').getBoundingClientRect();
        for (const system of document.querySelectorAll(".system")) system.style.contentVisibility = "visible";
        const places = [...document.querySelectorAll('[role="gridcell"] button')].map((place) => place.getBoundingClientRect());
        for (const { width, height } of places) if (width < 23.98 || height < 23.98) problems.push(`a place of ${width} x ${height}`);
        for (const system of document.querySelectorAll(".system")) {
          const counts = [...system.querySelectorAll(".count")].map((count) => count.getBoundingClientRect());
          if (counts.length === 0) problems.push("a row without counts");
          for (const path of system.querySelectorAll(".lane-line, .held, .end-line, .count, .note, .bar-number")) {
            const { left, right } = path.getBoundingClientRect();
            if (left < grid.left - 3 || right > grid.right + 3) problems.push(`${path.className.baseVal} from ${left} to ${right}`);
          }
          const fins = [...system.querySelectorAll(".fin, .note, .held")].map((fin) => fin.getBoundingClientRect());
          for (const name of system.querySelectorAll(".lane-name button")) {
            const box = name.getBoundingClientRect();
            const within = name.closest(".lane").getBoundingClientRect();
            if (box.height < 23.98) problems.push(`a name ${box.height} high`);
            const drawing = system.querySelectorAll(".strokes")[[...system.querySelectorAll(".lane")].indexOf(name.closest(".lane"))];
            for (const part of drawing.querySelectorAll(".fin, .note")) {
              const ink = part.getBoundingClientRect();
              if (ink.top < box.bottom - 1 && ink.bottom > box.top && ink.left < box.right && ink.right > box.left)
                problems.push(`${name.textContent} on a ${part.className.baseVal}: ${ink.top} above ${box.bottom}, band from ${within.top}`);
            }
          }
          if (fins.length === 0 && counts.length === 0) problems.push("an empty row");
        }
        return problems;
      });
      assert.deepEqual(found, []);
    });
  }
});

describe("on paper", () => {
  test("the title and the sheet, black on white, without controls, as wide as paper", async () => {
    await open("#/style/lo-fi-hip-hop", { width: 1366, height: 768, scheme: "dark" });
    await page.emulateMedia({ media: "print", colorScheme: "dark" });
    await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
    await page.waitForFunction(() => document.querySelectorAll(".system").length > 1);
    const seen = await page.evaluate(() => {
      const shown = (element) => element.checkVisibility() && element.getClientRects().length > 0;
      const outside = [...document.querySelectorAll("button, a, input[type=range], aside, details")];
      const ink = document.querySelector("svg.ink");
      return {
        // The score marks are engraved on paper too, as text: nothing shows that they open on the screen.
        controls: outside.filter((element) => shown(element) && !element.closest('[role="grid"], .mark')).map((element) => element.outerHTML),
        opening: [...document.querySelectorAll(".mark")].filter((mark) => getComputedStyle(mark, "::after").display !== "none").length,
        title: shown(document.querySelector("h1")),
        names: [...document.querySelectorAll(".lane-name button")].filter(shown).length > 0,
        counts: [...document.querySelectorAll(".count")].filter(shown).length > 0,
        fin: getComputedStyle(document.querySelector(".fin")).fill,
        paper: getComputedStyle(document.querySelector(".sheet")).backgroundColor,
        width: ink.getBoundingClientRect().width,
      };
    });
    assert.deepEqual(seen, {
      controls: [], opening: 0, title: true, names: true, counts: true, fin: "rgb(0, 0, 0)", paper: "rgb(255, 255, 255)", width: 690,
    });
    await page.evaluate(() => dispatchEvent(new Event("afterprint")));
    await page.emulateMedia({ media: null, colorScheme: null });
    await page.waitForFunction(() => document.querySelectorAll(".system").length === 1);
  });
});
