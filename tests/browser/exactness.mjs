// Plays a fast groove with swing, rolls, flams, nudges and leans through the built page, and holds every start in the live
// graph against the workbench's own list of where it belongs.

import path from "node:path";
import { fileURLToPath } from "node:url";
import { find, openBench } from "./bench.mjs";
import { openRoom, play, stop } from "./room.mjs";
import { TAP_FILES, busyEachFrame, compareFrames, installTap, readTap, stall } from "./tap.mjs";
import { workbench } from "./workbench.mjs";

const here = path.dirname(fileURLToPath(import.meta.url));
/** The groove: 174 BPM, sixteenths swung to 58.3 : 41.7. */
export const FAST = path.join(here, "fast.groove.json");
/** Length of its two bars in seconds. */
const PASS_SECONDS = (8 * 60) / 174;

/** Link text and ideal frames of a groove, from the workbench. */
export function idealEvents(source, rate, passes) {
  return JSON.parse(workbench(["events", source, "--rate", String(rate), "--passes", String(passes), "--json"]));
}

const wait = (milliseconds) => new Promise((resolve) => setTimeout(resolve, milliseconds));

/** Frames the engine renders at once; its clock, and with it the recorder's, moves by whole ones. */
const QUANTUM = 128;

/**
 * Tells slips of the recorder from faults of the page. No source sounds before the time it was started for (Web Audio,
 * AudioScheduledSourceNode.start), so a start that was asked for in place and is recorded whole quanta *earlier* was
 * read from a clock that had not moved on yet: a machine short of time does that to the recorder's thread. Nothing else
 * is forgiven: what is recorded late, off by any other distance, or was not asked for in place stays lost and doubled.
 *
 * @param {{matched: number, lost: number[], doubled: number[]}} result of `compareFrames`
 * @param {Set<number>} asked frames the page started sources for
 */
export function setSlipsApart({ matched, lost, doubled, ...rest }, asked) {
  const left = [...doubled];
  const slipped = lost.filter((frame) => {
    const at = left.findIndex((heard) => asked.has(frame) && heard < frame && frame - heard <= 4 * QUANTUM && (frame - heard) % QUANTUM === 0);
    if (at >= 0) left.splice(at, 1);
    return at >= 0;
  });
  return { ...rest, matched: matched + slipped.length, lost: lost.filter((frame) => !slipped.includes(frame)), doubled: left, slipped };
}

/**
 * Plays it and compares: first hidden and silent, then in front with a busy main thread and stalls.
 *
 * @param {{hiddenSeconds: number, busySeconds: number, frameWork?: number, stallMs?: number}} load seconds of each part, the
 *   work in each animation frame in ms, and how long the stalls are that come about every four seconds
 * @returns {Promise<{matched: number, lost: number[], doubled: number[], farthest: number, seconds: number, stalls: number,
 *   late: number, early: number, unasked: number, longestGap: number, faults: object}>} as `compareFrames`, over all that
 *   was to start in `seconds`; `late`: start() calls made after their own time; `unasked`: how many of the lost ones the
 *   page never asked for; `longestGap`: the longest time in ms the page stood still
 */
export async function playAndCompare({ hiddenSeconds, busySeconds, frameWork = 30, stallMs = 250 }) {
  const { payload } = idealEvents(FAST, 48000, 1);
  const bench = await openBench({ extra: TAP_FILES });
  try {
    const { page, faults } = await bench.newPage();
    await installTap(page);
    await openRoom(page, bench.url, `#/groove/${payload}`);
    const volume = await find(page, "slider", "Volume");
    await volume.press("Home");
    await play(page);
    await page.waitForFunction(() => window.__tap.log.hits.length > 0);
    const cover = await bench.hide(page);
    // The length of the experiment, not a wait for anything.
    await wait(hiddenSeconds * 1000);
    await cover.close();
    await page.bringToFront();
    await page.waitForFunction(() => document.visibilityState === "visible", undefined, { polling: 100 });
    await volume.press("End");
    await busyEachFrame(page, frameWork);
    const end = performance.now() + busySeconds * 1000;
    let stalls = 0;
    while (performance.now() < end) {
      await wait(Math.min(4000, Math.max(0, end - performance.now())));
      if (stallMs > 0) {
        await stall(page, stallMs);
        stalls += 1;
      }
    }
    await busyEachFrame(page, 0);
    // Up to here everything has been started that belongs here; what the stop cuts off is not judged.
    const cut = await page.evaluate(() => window.__tap.log.starts.at(-1).now);
    await stop(page);
    await page.waitForFunction((frame) => window.__tap.log.hits.at(-1).frame >= frame - 24000, cut);
    const { hits, starts, early, longestGap, sampleRates } = await readTap(page);
    const heard = hits.filter(({ frame }) => frame <= cut);
    const rate = sampleRates[0];
    const first = heard[0].frame;
    const passes = Math.ceil((cut - first) / rate / PASS_SECONDS) + 1;
    const { events } = idealEvents(FAST, rate, passes);
    // The first thing heard is the earliest stroke of the first pass; everything else follows from it.
    const anchor = first - events[0].frame;
    const ideal = events.map(({ frame }) => anchor + frame).filter((frame) => frame <= cut);
    const asked = new Set(starts.map(({ frame }) => Math.round(frame)));
    const result = setSlipsApart(compareFrames(heard, ideal), asked);
    // Lost by the page, or by the engine although the page had asked for them.
    const unasked = result.lost.filter((frame) => !asked.has(frame)).length;
    // How many ms ahead of its time the nearest call for a lost one was made.
    const ahead = result.lost.map((frame) => {
      const call = starts.find((start) => Math.round(start.frame) === frame);
      return call ? Math.round(((call.frame - call.now) / rate) * 1000) : null;
    });
    const late = starts.filter(({ frame, now }) => frame < now).length;
    return { ...result, unasked, ahead, seconds: (cut - first) / rate, stalls, late, early, longestGap, faults, loops: starts.filter(({ loop }) => loop).length };
  } finally {
    await bench.close();
  }
}
