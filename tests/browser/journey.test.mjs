// The way of a groove: found, heard, changed, sent as a link, seen by somebody else before it sounds; and what happens to
// links that are no good. Everything under an awkward sub-path, with the browser's own autoplay policy and real clicks.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, describe, test } from "node:test";
import { SUB_PATH, evaluateWithoutGesture, find, firstClick, openBench } from "./bench.mjs";
import { NO_FAULTS, openRoom, pasted, place, play, readGroove, ready, said, stop, strokes, untilSaid } from "./room.mjs";
import { TAP_FILES, installTap, readTap } from "./tap.mjs";


/** Links nobody should have sent. `cut` is made from a good one. */
const HOSTILE = JSON.parse(readFileSync(new URL("hostile-links.json", import.meta.url), "utf8"));

/** Counts the contexts a page makes and the sources it starts, on plain http too. */
function countSounds() {
  window.__sounds = { contexts: 0, starts: 0 };
  window.AudioContext = new Proxy(AudioContext, {
    construct(target, args, newTarget) {
      window.__sounds.contexts += 1;
      return Reflect.construct(target, args, newTarget);
    },
  });
  const { start } = AudioBufferSourceNode.prototype;
  AudioBufferSourceNode.prototype.start = function (...args) {
    window.__sounds.starts += 1;
    return start.apply(this, args);
  };
}
const sounds = (page) => evaluateWithoutGesture(page, () => window.__sounds);
const startsAfter = (page, from) => page.waitForFunction((before) => window.__sounds.starts > before, from);

/** Presses a place that is a rest, and one that is a stroke, of a groove as read. */
async function changeTwo(page) {
  const { places } = await readGroove(page);
  const rest = places.findLast(({ pressed }) => !pressed).name;
  const stroke = places.find(({ pressed }) => pressed).name;
  await place(page, rest).click();
  await place(page, stroke).click();
  return { rest, stroke };
}

/** Pastes an address into the address bar of the same tab, as far as the page can tell. */
const paste = (page, address) =>
  evaluateWithoutGesture(page, (to) => {
    location.href = to;
  }, address);

describe("from the styles to somebody else", () => {
  let sender;
  let receiver;
  let link;
  let sent;
  before(async () => {
    [sender, receiver] = await Promise.all([openBench({ extra: TAP_FILES }), openBench({ extra: TAP_FILES })]);
  });
  after(async () => {
    await sender?.close();
    await receiver?.close();
  });

  test("a style is opened, played, changed while it plays, and its link copied", async () => {
    const { page, faults } = await sender.newPage();
    await page.addInitScript(countSounds);
    await page.goto(sender.url);
    assert.ok(page.url().includes(encodeURI(SUB_PATH)));
    await firstClick(page, "link", "Boom bap");
    await find(page, "heading", "Boom bap");
    await ready(page);
    assert.deepEqual(await sounds(page), { contexts: 0, starts: 0 }, "nothing before the first press");

    await firstClick(page, "button", "Play");
    await find(page, "button", "Stop");
    await startsAfter(page, 0);
    const before = await readGroove(page);
    const { rest, stroke } = await changeTwo(page);
    const accent = strokes(await readGroove(page)).find((told) => told.startsWith("Snare, bar 2, beat 2:"));
    assert.match(accent, /accent/);
    await place(page, "Snare, bar 2, beat 2").press("o");
    const tempo = await find(page, "spinbutton", "Tempo");
    await tempo.fill("87,5");
    await tempo.press("Enter");
    await (await find(page, "slider", "Swing")).press("ArrowRight");
    await find(page, "button", "Stop");
    sent = await readGroove(page);
    assert.notDeepEqual(strokes(sent), strokes(before));
    assert.equal(sent.places.find(({ name }) => name === rest).pressed, true);
    assert.equal(sent.places.find(({ name }) => name === stroke).pressed, false);
    assert.equal(sent.tempo, "87.5");
    assert.notEqual(sent.swing, before.swing);

    await (await find(page, "button", "Copy link")).click();
    await untilSaid(page, /Link copied/);
    link = await pasted(page);
    assert.ok(link.startsWith(`${sender.url}#/groove/`), link);
    assert.ok(link.length - link.indexOf("#") <= 400, `${link.length - link.indexOf("#")} characters after #`);
    await stop(page);
    assert.deepEqual(faults, NO_FAULTS);
    await page.close();
  });

  test("a style as it is has the short link of its room", async () => {
    const { page } = await sender.newPage();
    await openRoom(page, sender.url, "#/style/bossa-nova");
    await (await find(page, "button", "Copy link")).click();
    await untilSaid(page, /Link copied/);
    assert.equal(await pasted(page), `${sender.url}#/style/bossa-nova`);
    await page.close();
  });

  test("the receiver sees the same groove, stroke for stroke, before anything sounds; then it plays", async () => {
    const { page, faults } = await receiver.newPage();
    await installTap(page);
    await page.goto(link);
    await ready(page);
    const contexts = () => evaluateWithoutGesture(page, () => [window.__tap.log.contexts.length, window.__tap.log.starts.length]);
    assert.deepEqual(await contexts(), [0, 0], "no context, no start");
    const got = await readGroove(page);
    assert.deepEqual(got, sent);
    await find(page, "heading", "Boom bap");
    assert.deepEqual(await contexts(), [0, 0]);

    await firstClick(page, "button", "Play");
    await find(page, "button", "Stop");
    await page.waitForFunction(() => window.__tap.log.hits.length > 10);
    await stop(page);
    const { early, starts } = await readTap(page);
    assert.equal(early, 0);
    const strokesStarted = starts.filter(({ loop }) => !loop);
    assert.ok(strokesStarted.every(({ frame, now }) => frame >= now), "no stroke came late");

    await (await find(page, "button", "Keep as my draft")).click();
    await find(page, "heading", "Draft");
    await ready(page);
    assert.deepEqual(strokes(await readGroove(page)), strokes(sent));
    assert.deepEqual([faults.errors, faults.violations], [[], []]);
    await page.close();
  });
});

describe("over plain http", () => {
  let bench;
  let page;
  let faults;
  before(async () => {
    bench = await openBench();
    ({ page, faults } = await bench.newPage());
    await page.addInitScript(countSounds);
  });
  after(() => bench?.close());

  test("the page says what is missing, and plays and edits all the same", async () => {
    await page.goto(bench.plainUrl);
    await page.getByText(/plain http.*work offline and the clipboard are missing/).waitFor();
    await firstClick(page, "link", "Bossa nova");
    await ready(page);
    await firstClick(page, "button", "Play");
    await find(page, "button", "Stop");
    await startsAfter(page, 5);
    const before = strokes(await readGroove(page));
    await changeTwo(page);
    assert.notDeepEqual(strokes(await readGroove(page)), before);
    const { starts } = await sounds(page);
    await startsAfter(page, starts);
  });

  test("Copy link gives a selected field instead, and does not claim to have copied", async () => {
    const heard = [];
    await page.exposeFunction("hear", (text) => heard.push(text));
    await page.evaluate(() => {
      const told = () => document.querySelectorAll("[role=status]").forEach((status) => window.hear(status.textContent));
      new MutationObserver(told).observe(document.body, { subtree: true, childList: true, characterData: true });
    });
    await (await find(page, "button", "Copy link")).click();
    const field = await find(page, "textbox", "Link to this groove");
    assert.ok(await field.evaluate((input) => input === document.activeElement));
    const [selected, link] = await field.evaluate((input) => [input.value.slice(input.selectionStart, input.selectionEnd), input.value]);
    assert.equal(selected, link);
    assert.ok(link.startsWith(`${bench.plainUrl}#/groove/`), link);
    await page.getByText(/did not let us copy/).waitFor();
    assert.ok(heard.every((text) => !/copied/i.test(text)), heard.join(" / "));

    const sent = await readGroove(page);
    await stop(page);
    const other = await openBench();
    try {
      const { page: receiver } = await other.newPage();
      await receiver.addInitScript(countSounds);
      // The name leads to this machine for the other browser too.
      await receiver.goto(link);
      await ready(receiver);
      assert.deepEqual(await readGroove(receiver), sent);
      assert.deepEqual(await sounds(receiver), { contexts: 0, starts: 0 });
      await firstClick(receiver, "button", "Play");
      await startsAfter(receiver, 5);
    } finally {
      await other.close();
    }
    assert.deepEqual(faults, NO_FAULTS);
  });
});

describe("links that are no good", () => {
  let bench;
  let page;
  let faults;
  before(async () => {
    bench = await openBench();
  });
  after(() => bench?.close());

  const good = HOSTILE.good;
  const cases = [
    ["a link cut in half", `#/groove/${good.slice(0, good.length / 2)}`, /incomplete or was changed/],
    ["a link with one character changed", `#/groove/${good.slice(0, 20)}${good[20] === "a" ? "b" : "a"}${good.slice(21)}`, /incomplete or was changed/],
    ["a link of a future form", `#/groove/${HOSTILE.newer}`, /newer Stickleback/],
    ["a million bars", `#/groove/${HOSTILE.millionBars}`, /1 to 8 bars, not 1000000/],
    ["a million lanes", `#/groove/${HOSTILE.manyLanes}`, /at most 24 lanes/],
    ["random bytes", "#/groove/" + "%F0%9F%A5%81%00%FFx", /damaged on its way/],
    ["random characters", "#/groove/Bq8_0aZ-7Ff3KkqLw2mZs", /incomplete or was changed/],
    ["a broken percent sequence", "#/groove/%E0%A4%A", /damaged on its way/],
    ["a broken percent sequence as a room", "#/%E0%A4%A", /damaged on its way/],
    ["markup", "#/groove/<img src=x onerror=alert(1)>", /not a groove link|no such page|incomplete/],
    ["markup as a style", "#/style/<img src=x onerror=alert(1)>", /no such page/],
    ["a style that is not there", "#/style/polka", /no style called .polka./],
    ["a room that is not there", "#/kitchen/sink", /no such page/],
    ["far too long a link", `#/groove/B${"A".repeat(40000)}`, /far too long/],
    ["a link of nothing", "#/groove/%20", /no groove in this link|no such page/],
  ];

  describe("pasted over a draft that plays", () => {
    let draft;
    before(async () => {
      ({ page, faults } = await bench.newPage());
      await page.addInitScript(countSounds);
      await openRoom(page, bench.url, "#/draft");
      for (const name of ["Kick, bar 1, beat 1", "Snare, bar 1, beat 2", "Kick, bar 1, beat 3 and", "Snare, bar 2, beat 1", "Snare, bar 2, beat 3", "Closed hat, bar 2, beat 4 a"]) {
        await place(page, name).click();
      }
      await play(page);
      await startsAfter(page, 0);
      draft = await readGroove(page);
    });
    after(() => page?.close());

    for (const [name, fragment, sentence] of cases) {
      test(`${name}: a sentence, and the work, the sound and the address stay`, async () => {
        await paste(page, `${bench.url}${fragment}`);
        const told = await untilSaid(page, sentence);
        assert.match(told, /untouched|no style called/);
        assert.ok(!/undefined|NaN|panicked|LinkFault|\{/.test(told), told);
        assert.deepEqual(await readGroove(page), draft);
        await find(page, "heading", "Draft");
        await find(page, "button", "Stop");
        assert.equal(page.url(), `${bench.url}#/draft`);
        const { starts } = await sounds(page);
        await startsAfter(page, starts);
        assert.deepEqual(faults, NO_FAULTS);
        // What is told can be put away; the next case has to tell anew.
        await (await find(page, "button", "Put away")).click();
        assert.equal(await said(page), "");
      });
    }

    test("a good link opens in the same tab, and the draft is still there on the way back", async () => {
      await paste(page, `${bench.url}#/groove/${good}`);
      await find(page, "heading", "A groove from a link");
      await ready(page);
      assert.notDeepEqual(strokes(await readGroove(page)), strokes(draft));
      assert.equal(await said(page), "");
      await paste(page, `${bench.url}#/groove/${HOSTILE.other}`);
      await page.waitForFunction((name) => document.querySelector("[role=grid]")?.getAttribute("aria-label") === name, "Thursday evening");
      await page.goBack();
      await find(page, "heading", "A groove from a link");
      await (await find(page, "link", "Draft")).click();
      await find(page, "heading", "Draft");
      await ready(page);
      assert.deepEqual(await readGroove(page), draft);
      assert.deepEqual(faults, NO_FAULTS);
    });
  });

  for (const [name, fragment, sentence] of cases) {
    test(`${name}, opened cold: the styles, with the sentence`, async () => {
      ({ page, faults } = await bench.newPage());
      await page.goto(`${bench.url}${fragment}`);
      await find(page, "heading", "Styles");
      await untilSaid(page, sentence);
      await find(page, "link", "Boom bap");
      assert.equal(page.url(), `${bench.url}#/`);
      assert.deepEqual(faults, NO_FAULTS);
      await page.close();
    });
  }

  test("a link whose kit is unknown shows the groove and says so", async () => {
    ({ page, faults } = await bench.newPage());
    await page.goto(`${bench.url}#/groove/${HOSTILE.unknownKit}`);
    await page.getByRole("alert").filter({ hasText: /no style or kit of this name/ }).waitFor();
    const { places } = await readGroove(page);
    assert.ok(places.some(({ pressed }) => pressed));
    assert.ok(await (await find(page, "button", "Play")).isDisabled());
    assert.deepEqual(faults, NO_FAULTS);
    await page.close();
  });

  test("a link pinned to other contents of its kit says that the sound may differ", async () => {
    ({ page } = await bench.newPage());
    await openRoom(page, bench.url, `#/groove/${HOSTILE.otherKitHash}`);
    await page.getByText(/drums have been changed since this link was made/).waitFor();
    await page.close();
  });
});
