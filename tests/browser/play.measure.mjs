// Rows for scripts/measure: from the press of Play to the first start, an edit heard in the pass it is made in, the
// rendering of buffers in the page, and what the main thread does while the largest groove plays.

import { execFileSync } from "node:child_process";
import { find, openBench } from "./bench.mjs";

const STYLES = ["boom-bap", "jungle", "samba-batucada", "classic-rock", "gospel-shout"];
const EDITS = 12;

// Runs in the page before any of its own scripts: notes what is rendered and started, and when. The page stays as it is.
function note() {
  const notes = { starts: [], presses: [], moved: [], rendering: 0, longest: 0, contexts: [] };
  window.__notes = notes;
  addEventListener("click", () => notes.presses.push(performance.now()), true);
  const { start } = AudioBufferSourceNode.prototype;
  AudioBufferSourceNode.prototype.start = function (when, ...rest) {
    if (!this.loop) notes.starts.push({ when, at: performance.now(), context: this.context });
    return start.call(this, when, ...rest);
  };
  window.AudioContext = class extends AudioContext {
    constructor(...given) {
      super(...given);
      const number = notes.contexts.push(this) - 1;
      // A message a turn: timers are too coarse for the clock's first movement.
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => {
        if (this.currentTime > 0) notes.moved[number] = performance.now();
        else port2.postMessage(0);
      };
      port2.postMessage(0);
    }
  };
  // Buffers are rendered in slices, each a timer's call: a call that fills a buffer is one.
  let filled = false;
  const { copyToChannel } = AudioBuffer.prototype;
  AudioBuffer.prototype.copyToChannel = function (...given) {
    filled = true;
    return copyToChannel.apply(this, given);
  };
  const { setTimeout } = window;
  window.setTimeout = (call, ...rest) =>
    setTimeout((...given) => {
      const begun = performance.now();
      filled = false;
      call(...given);
      const took = performance.now() - begun;
      if (!filled) return;
      notes.rendering += took;
      notes.longest = Math.max(notes.longest, took);
      notes.renderedAt = performance.now();
    }, ...rest);
}

const median = (values) => values.sort((a, b) => a - b)[values.length >> 1];
const round = (value) => Math.round(value * 10) / 10;

/** Renders all a style needs by opening it; answers the sum of the slices and the longest, in ms. */
async function rendering(page, url, style) {
  await page.goto("about:blank");
  await page.goto(`${url}#/style/${style}`);
  await find(page, "button", "Play");
  // Over when no slice has come for half a second.
  await page.waitForFunction(() => window.__notes.renderedAt < performance.now() - 500);
  return page.evaluate(() => ({ sum: window.__notes.rendering, longest: window.__notes.longest }));
}

/** Presses Play; answers ms to the first start from the press, and from the clock's first movement. */
async function press(page) {
  await page.evaluate(() => {
    window.__notes.starts.length = 0;
    window.__notes.presses.length = 0;
  });
  await (await find(page, "button", "Play")).click();
  await page.waitForFunction(() => window.__notes.starts.length > 0);
  const times = await page.evaluate(() => {
    const { starts, presses, moved, contexts } = window.__notes;
    const first = starts[0];
    return { press: first.at - presses[0], movement: first.at - moved[contexts.indexOf(first.context)] };
  });
  await (await find(page, "button", "Stop")).click();
  return times;
}

/** Edits a place of the draft 60 to 200 ms before it comes, many times; answers how many were not heard in that pass. */
async function missedEdits(page, url) {
  await page.goto("about:blank");
  await page.goto(`${url}#/draft`);
  await (await find(page, "button", "Play")).waitFor();
  await page.waitForFunction(() => !document.querySelector("button.play").disabled);
  // One stroke on the first beat tells where the passes begin.
  await page.evaluate(() => [...document.querySelectorAll('button[data-at="0"]')].at(-2).click());
  await (await find(page, "button", "Play")).click();
  await page.waitForFunction(() => window.__notes.starts.length > 0);
  const missed = await page.evaluate(async (edits) => {
    const { starts } = window.__notes;
    const { when: anchor, context } = starts[0];
    const pulse = 60 / 92 / 4;
    const places = 32;
    let missed = 0;
    for (let edit = 0; edit < edits; edit++) {
      const ahead = (context.currentTime + 0.075 - anchor) / pulse;
      let place = Math.ceil(ahead);
      if (place % places === 0) place += 1;
      const due = anchor + place * pulse;
      const button = [...document.querySelectorAll(`button[data-at="${(place % places) * 240}"]`)].at(-3);
      button.click();
      await new Promise((resolve) => setTimeout(resolve, 1000 * (due - context.currentTime) + 100));
      if (!starts.some(({ when }) => Math.abs(when - due) < 0.001)) missed++;
      button.click();
    }
    return missed;
  }, EDITS);
  await (await find(page, "button", "Stop")).click();
  return missed;
}

/** Traces `seconds` of `page`: ms of the main thread in each frame, and the longest task. */
async function traced(page, browser, seconds) {
  const session = await browser.newBrowserCDPSession();
  const events = [];
  session.on("Tracing.dataCollected", ({ value }) => events.push(...value));
  const complete = new Promise((resolve) => session.once("Tracing.tracingComplete", resolve));
  const categories = "toplevel,devtools.timeline,disabled-by-default-devtools.timeline";
  await session.send("Tracing.start", { categories, transferMode: "ReportEvents" });
  await page.waitForTimeout(seconds * 1000);
  await session.send("Tracing.end");
  await complete;
  await session.detach();
  const frames = events.filter(({ name }) => name === "FireAnimationFrame").sort((a, b) => a.ts - b.ts);
  const { pid, tid } = frames[0];
  const tasks = events.filter((event) => event.name === "RunTask" && event.pid === pid && event.tid === tid);
  const perFrame = frames.slice(1).map(({ ts }, index) => {
    const inside = tasks.filter((task) => task.ts > frames[index].ts - 2000 && task.ts <= ts - 2000);
    return inside.reduce((sum, { dur = 0 }) => sum + dur, 0) / 1000;
  });
  return { median: median(perFrame), longest: Math.max(...tasks.map(({ dur = 0 }) => dur)) / 1000, frames: perFrame.length };
}

/** What `measure` says of all objects of a prototype that are alive in the page, after its garbage is collected. */
async function alive(page, prototype, measure) {
  const session = await page.context().newCDPSession(page);
  try {
    await session.send("HeapProfiler.collectGarbage");
    const { result } = await session.send("Runtime.evaluate", { expression: prototype });
    const { objects } = await session.send("Runtime.queryObjects", { prototypeObjectId: result.objectId });
    const call = { objectId: objects.objectId, functionDeclaration: measure, returnByValue: true };
    return (await session.send("Runtime.callFunctionOn", call)).result.value;
  } finally {
    await session.detach();
  }
}

const MEMORY = "function () { return this.reduce((sum, memory) => sum + memory.buffer.byteLength, 0) / 1e6; }";
const BUFFERS = "function () { return this.reduce((sum, { length, numberOfChannels }) => sum + 4 * length * numberOfChannels, 0) / 1e6; }";

/** Opens every style in one page, each until all its buffers are rendered; answers MB of the program's memory before and after, and of the buffers that are alive at the end. */
async function opened(page, url) {
  await page.goto("about:blank");
  await page.goto(`${url}#/`);
  await find(page, "heading", "Styles");
  const styles = await page.evaluate(() => [...document.querySelectorAll('a[href^="#/style/"]')].map((link) => link.getAttribute("href")));
  const all = [...new Set(styles)];
  const open = async (fragment) => {
    await page.evaluate((fragment) => {
      window.__notes.renderedAt = performance.now();
      location.hash = fragment;
    }, fragment);
    await page.waitForFunction(() => document.querySelector("button.play")?.disabled === false);
    await page.waitForFunction(() => window.__notes.renderedAt < performance.now() - 400);
  };
  await open(all[0]);
  const before = await alive(page, "WebAssembly.Memory.prototype", MEMORY);
  for (const fragment of all.slice(1)) await open(fragment);
  const after = await alive(page, "WebAssembly.Memory.prototype", MEMORY);
  return { styles: all.length, before, after, buffers: await alive(page, "AudioBuffer.prototype", BUFFERS) };
}

function largestGroove() {
  const command = ["run", "--quiet", "--profile", "native", "--locked", "--no-default-features", "--bin", "workbench", "--", "measure", "--largest"];
  return execFileSync("cargo", command, { encoding: "utf8" }).trim();
}

export default async function measure() {
  const bench = await openBench();
  try {
    const { page } = await bench.newPage();
    await page.addInitScript(note);
    const rendered = [];
    for (const style of STYLES) rendered.push(await rendering(page, bench.url, style));
    const cold = await press(page);
    const running = [];
    for (let time = 0; time < 5; time++) running.push((await press(page)).press);
    const missed = await missedEdits(page, bench.url);
    const memory = await opened(page, bench.url);

    await page.goto("about:blank");
    await page.evaluate(() => 0);
    // Before the clock runs: the tool may have to be built first.
    const largest = largestGroove();
    const opened = performance.now();
    await page.goto(`${bench.url}${largest}`);
    const play = await find(page, "button", "Play", { timeout: 60000 });
    const opening = performance.now() - opened;
    await page.waitForFunction(() => window.__notes.renderedAt < performance.now() - 500);
    await play.click();
    await page.waitForFunction(() => window.__notes.starts.length > 0);
    const busy = await traced(page, bench.browser, 10);
    return [
      { name: "page: all buffers of a reference groove, slowest of 5", budget: 120, value: round(Math.max(...rendered.map(({ sum }) => sum))), unit: "ms", why: "string and pad voices are rendered to their last echo, some 2 s each; a render only as long as its stroke is heard would do" },
      { name: "page: the longest task of preparing them", budget: 50, value: round(Math.max(...rendered.map(({ longest }) => longest))), unit: "ms", why: "a tone's room and surface noise share one slice; they can be rendered one after the other" },
      { name: "Play, context asleep: clock's first movement to first start", budget: 60, value: round(cold.movement), unit: "ms", why: "the first press of a first visit learns the device's rate only then, and renders for it what was prepared for another" },
      { name: "Play, context running: press to first start", budget: 60, value: round(median(running)), unit: "ms" },
      { name: `edits 75 ms ahead not heard in the pass, of ${EDITS}`, budget: 0, value: missed, unit: "edits" },
      { name: `growth of the program's memory over ${memory.styles} styles opened, from ${round(memory.before)} MB`, value: round(memory.after - memory.before), unit: "MB" },
      // The buffers' own bound (64 MB), and the rooms and surfaces of the last four tones.
      { name: "sound buffers alive after them", budget: 75, value: round(memory.buffers), unit: "MB" },
      { name: "8 bars x 24 lanes: from address to Play", value: round(opening), unit: "ms" },
      { name: "8 bars x 24 lanes: main thread a frame, median", budget: 3, value: round(busy.median), unit: "ms", why: "2.4 to 2.7 ms of work, more by the clock where the machine is shared: the page\u2019s own frame, and the search for what lies under the pointer after each change of the drawing" },
      { name: "8 bars x 24 lanes: the longest task while playing", budget: 50, value: round(busy.longest), unit: "ms" },
      { name: "8 bars x 24 lanes: frames in 10 s", value: busy.frames, unit: "frames" },
    ];
  } finally {
    await bench.close();
  }
}
