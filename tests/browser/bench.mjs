// The bench of the browser tests: a real Chromium as a learner has it, in front of the built page on a loopback server.
//
// Chromium is started by ourselves, with a new empty profile and no switch that lifts its autoplay policy or its
// throttling of hidden pages, and is attached to without the driver's usual overrides (they would keep every page
// "visible"). bench.test.mjs proves all of this.

import { execFileSync, spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync } from "node:fs";
import { rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { serve } from "../../scripts/server.mjs";

const here = path.dirname(fileURLToPath(import.meta.url));

/** The built page; `scripts/dist` makes it. */
export const DIST = path.join(here, "../../dist");
/** Little pages of the tests themselves. */
export const FIXTURE = path.join(here, "fixture");
/** Where screenshots go; not kept in the repository. */
export const SHOTS = path.join(here, "shots");
/** A sub-path as awkward as a school's web space can be. */
export const SUB_PATH = "/~seat 7/practice room/";
/** A name that is not loopback, and so on plain http no secure context; it leads to this machine all the same. */
export const PLAIN_HOST = "stickleback.test";

const SWITCHES = [
  "--headless=new",
  "--remote-debugging-port=0",
  "--no-first-run",
  "--no-default-browser-check",
  "--mute-audio",
  "--disable-dev-shm-usage",
  // No traffic of the browser's own.
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-default-apps",
  "--disable-domain-reliability",
  "--disable-sync",
  "--no-pings",
  `--host-resolver-rules=MAP ${PLAIN_HOST} 127.0.0.1`,
];

async function startChromium(extraSwitches) {
  const command = execFileSync("sh", ["-c", "command -v chromium"], { encoding: "utf8" }).trim();
  const profile = mkdtempSync(path.join(tmpdir(), "stickleback-profile-"));
  const root = process.getuid?.() === 0 ? ["--no-sandbox"] : [];
  const child = spawn(command, [...SWITCHES, ...root, ...extraSwitches, `--user-data-dir=${profile}`, "about:blank"], {
    stdio: ["ignore", "ignore", "pipe"],
  });
  const ended = new Promise((resolve) => child.once("exit", resolve));
  // A test file that is cut short must not leave its browser behind.
  const kill = () => child.kill("SIGKILL");
  process.once("exit", kill);
  const endpoint = await new Promise((resolve, reject) => {
    let said = "";
    child.once("error", reject);
    child.once("exit", (code) => reject(new Error(`Chromium ended with ${code}:\n${said}`)));
    child.stderr.on("data", (data) => {
      said = (said + data).slice(-10000);
      const found = /DevTools listening on (ws:\S+)/.exec(said);
      if (found) resolve(found[1]);
    });
  });
  const stop = async () => {
    child.kill("SIGTERM");
    const killer = setTimeout(kill, 5000);
    await ended;
    clearTimeout(killer);
    process.off("exit", kill);
    // A helper process of the browser may still be writing its last.
    await rm(profile, { recursive: true, force: true, maxRetries: 20, retryDelay: 50 });
  };
  return { endpoint, stop };
}

/** What a page did that it should not: filled while the page lives. */
function watch(page, origins) {
  const faults = { external: [], errors: [], violations: [] };
  page.on("request", (request) => {
    const { protocol, origin } = new URL(request.url());
    if (protocol !== "data:" && !origins.includes(origin)) faults.external.push(request.url());
  });
  page.on("pageerror", (error) => faults.errors.push(String(error)));
  page.on("console", (message) => {
    if (message.type() !== "error") return;
    (/Content Security Policy/i.test(message.text()) ? faults.violations : faults.errors).push(message.text());
  });
  return faults;
}

/**
 * Opens a bench: server, browser, profile. Close it with `await bench.close()`.
 *
 * @param {object} [options]
 * @param {string} [options.root] folder to serve, the built page if not given
 * @param {string} [options.prefix] sub-path to serve it under
 * @param {Record<string, string>} [options.extra] further files to serve: path below the prefix -> contents
 * @param {Function} [options.change] plays a faulty host, see `serve`
 * @param {string[]} [options.switches] further switches for Chromium
 */
export async function openBench({ root = DIST, prefix = SUB_PATH, extra, change, switches = [] } = {}) {
  if (!existsSync(path.join(root, "index.html"))) throw new Error(`${root} has no page; run scripts/dist first`);
  const server = await serve({ root, prefix, extra, change });
  let browserProcess;
  try {
    browserProcess = await startChromium(switches);
  } catch (error) {
    await server.close();
    throw error;
  }
  const browser = await chromium.connectOverCDP(browserProcess.endpoint, { noDefaults: true });
  const [context] = browser.contexts();
  const plainOrigin = `http://${PLAIN_HOST}:${server.port}`;

  return {
    server,
    browser,
    context,
    /** Address of the page on loopback, a secure context. */
    url: server.url,
    /** Address of the same page by plain http on another name: no secure context. */
    plainUrl: plainOrigin + encodeURI(prefix),

    /**
     * A new tab in the one profile of the bench, in front. `faults` lists its errors, refused and external requests.
     *
     * @param {{width?: number, height?: number, scheme?: "light" | "dark", reducedMotion?: "reduce" | "no-preference"}} [look]
     */
    async newPage({ width = 1280, height = 800, scheme, reducedMotion } = {}) {
      const page = await context.newPage();
      await page.setViewportSize({ width, height });
      if (scheme || reducedMotion) await page.emulateMedia({ colorScheme: scheme, reducedMotion });
      const faults = watch(page, [server.origin, plainOrigin]);
      return { page, faults };
    },

    /** Puts another tab in front, so that `page` is truly hidden; resolves when it is. Returns the tab in front. */
    async hide(page) {
      const hidden = page.evaluate(
        () =>
          new Promise((resolve) => {
            if (document.visibilityState === "hidden") return resolve();
            document.addEventListener("visibilitychange", function listener() {
              if (document.visibilityState !== "hidden") return;
              document.removeEventListener("visibilitychange", listener);
              resolve();
            });
          }),
      );
      const cover = await context.newPage();
      await cover.bringToFront();
      await hidden;
      return cover;
    },

    async close() {
      try {
        await browser.close();
        await browserProcess.stop();
      } finally {
        await server.close();
      }
    },
  };
}

/** The one control or element of a role with this exact name; an error names what is there instead. */
export async function find(page, role, name, { timeout } = {}) {
  const found = page.getByRole(role, { name, exact: typeof name === "string" });
  try {
    await found.first().waitFor({ timeout });
  } catch (error) {
    throw new Error(`no ${role} named ${name}; the page has:\n${await page.locator("body").ariaSnapshot()}`, { cause: error });
  }
  const count = await found.count();
  if (count !== 1) throw new Error(`${count} elements are ${role} named ${name}`);
  return found;
}

// The driver runs all its own evaluations, those of its locators too, as if the user had just made a gesture: one of them
// and the page may sound. Tests of what happens before the first gesture use the two functions below instead.

/** Like `page.evaluate`, but no user gesture to the page. Arguments and result have to survive JSON. */
export async function evaluateWithoutGesture(page, fn, ...args) {
  const session = await page.context().newCDPSession(page);
  try {
    const expression = `(${fn})(...${JSON.stringify(args)})`;
    const answer = await session.send("Runtime.evaluate", { expression, awaitPromise: true, returnByValue: true, userGesture: false });
    if (answer.exceptionDetails) throw new Error(answer.exceptionDetails.exception?.description ?? answer.exceptionDetails.text);
    return answer.result.value;
  } finally {
    await session.detach();
  }
}

/** A real mouse click as the page's first gesture, on the one element of this role and name; waits for it to be there. */
export async function firstClick(page, role, name, { timeout = 30000 } = {}) {
  const session = await page.context().newCDPSession(page);
  try {
    const deadline = performance.now() + timeout;
    for (;;) {
      const { root } = await session.send("DOM.getDocument", { depth: 0 });
      const { nodes } = await session.send("Accessibility.queryAXTree", { nodeId: root.nodeId, role, accessibleName: name });
      const shown = nodes.filter(({ ignored }) => !ignored);
      if (shown.length > 1) throw new Error(`${shown.length} elements are ${role} named ${name}`);
      if (shown.length === 1) {
        const { backendDOMNodeId: backendNodeId } = shown[0];
        await session.send("DOM.scrollIntoViewIfNeeded", { backendNodeId });
        const { model } = await session.send("DOM.getBoxModel", { backendNodeId });
        const [left, top, right, , , bottom] = model.border;
        await page.mouse.click((left + right) / 2, (top + bottom) / 2);
        return;
      }
      if (performance.now() > deadline) throw new Error(`no ${role} named ${name} within ${timeout} ms`);
      // The protocol has no event for "the accessibility tree now has such a node".
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  } finally {
    await session.detach();
  }
}

/** Pictures of the page as it stands, at three widths, light and dark, as shots/NAME-WIDTH-SCHEME.png. */
export async function takeShots(page, name, widths = [360, 1280, 1920]) {
  mkdirSync(SHOTS, { recursive: true });
  const before = page.viewportSize();
  for (const scheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme: scheme });
    for (const width of widths) {
      await page.setViewportSize({ width, height: width < 600 ? 740 : Math.round((width * 9) / 16) });
      await page.screenshot({ path: path.join(SHOTS, `${name}-${width}-${scheme}.png`), fullPage: true });
    }
  }
  await page.emulateMedia({ colorScheme: null });
  if (before) await page.setViewportSize(before);
}
