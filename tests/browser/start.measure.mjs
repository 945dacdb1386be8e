// Rows for scripts/measure: from the beginning of a warm visit to the moment the page is usable.

import { openBench } from "./bench.mjs";

const VISITS = 7;

/** Milliseconds from navigation until the waiting text has gone; the median of several visits with a warm cache. */
async function warmStart(page, url) {
  const times = [];
  for (let visit = 0; visit <= VISITS; visit++) {
    await page.goto("about:blank");
    await page.goto(url);
    await page.waitForFunction(() => window.__usableAt !== undefined);
    // The first visit fills the caches.
    if (visit > 0) times.push(await page.evaluate(() => window.__usableAt));
  }
  return Math.round(times.sort((a, b) => a - b)[VISITS >> 1]);
}

export default async function measure() {
  const bench = await openBench();
  try {
    const { page } = await bench.newPage();
    await page.addInitScript(() => {
      let waiting = false;
      new MutationObserver(() => {
        const opening = document.getElementById("opening");
        waiting ||= opening !== null;
        if (waiting && !opening) window.__usableAt ??= performance.now();
      }).observe(document, { childList: true, subtree: true });
    });
    const plain = await warmStart(page, bench.url);
    const session = await page.context().newCDPSession(page);
    await session.send("Emulation.setCPUThrottlingRate", { rate: 4 });
    const slowed = await warmStart(page, bench.url);
    return [
      { name: "warm start to usable", budget: 500, value: plain, unit: "ms" },
      { name: "warm start to usable, CPU slowed 4x", budget: 1500, value: slowed, unit: "ms" },
    ];
  } finally {
    await bench.close();
  }
}
