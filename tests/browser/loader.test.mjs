// The page opens from any sub-path within its own policy, and says in plain words why when it cannot.

import assert from "node:assert/strict";
import { readdirSync } from "node:fs";
import { after, before, describe, test } from "node:test";
import { DIST, openBench } from "./bench.mjs";

const CODE = /_bg\.wasm$/;
const GLUE = /^stickleback-[^_]*\.js$/;
const START = /^start-.*\.js$/;

const half = (whole) => ({ ...whole, body: whole.body.subarray(0, whole.body.length / 2) });
const webPage = (whole) => ({ ...whole, headers: { "Content-Type": "text/html" }, body: Buffer.from("<!doctype html><title>Home</title>") });
const missing = () => ({ status: 404, headers: { "Content-Type": "text/html" }, body: Buffer.from("<h1>Not found</h1>") });
const refusing = (policy) => (whole) => ({ ...whole, headers: { ...whole.headers, "Content-Security-Policy": policy } });

// A module whose start function, which the glue calls by this name, traps at once.
const name = Buffer.from("__wbindgen_start");
const TRAPPING = Buffer.concat([
  Buffer.from([0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0, 0x01, 4, 1, 0x60, 0, 0, 0x03, 2, 1, 0, 0x07, name.length + 4, 1, name.length]),
  name,
  Buffer.from([0, 0, 0x0a, 5, 1, 3, 0, 0x00, 0x0b]),
]);
// The same, but the start function returns and has drawn nothing.
const EMPTY = Buffer.concat([TRAPPING.subarray(0, -6), Buffer.from([4, 1, 2, 0, 0x0b])]);

// What the current bench's host does to which file.
let fault = null;
const change = (file, whole) => (fault?.[0].test(file) ? fault[1](whole) : whole);

describe("the page opens", () => {
  for (const prefix of ["/", "/room/", "/~seat 7/practice room/", "/Übungsraum/"]) {
    test(`from ${prefix}`, async () => {
      const bench = await openBench({ prefix });
      try {
        const { page, faults } = await bench.newPage();
        await page.goto(bench.url);
        await page.getByRole("heading", { level: 1 }).first().waitFor();
        await page.waitForFunction(() => !document.getElementById("opening"));
        assert.deepEqual(faults, { external: [], errors: [], violations: [] });
        assert.deepEqual(bench.server.requests.filter((path) => !path.startsWith(prefix)), []);
        const codes = bench.server.requests.filter((path) => CODE.test(path));
        assert.equal(codes.length, 1, "the program is fetched once");
      } finally {
        await bench.close();
      }
    });
  }
});

describe("the page explains itself", () => {
  let bench;
  before(async () => {
    bench = await openBench({ change });
  });
  after(() => bench?.close());

  /** Opens the page with a faulty host; `expected` is "opens" or what the message has to say. */
  async function check(atFault, expected, prepare = () => {}) {
    fault = atFault;
    const { page } = await bench.newPage();
    try {
      await prepare(page);
      await page.goto(bench.url);
      if (expected === "opens") {
        await page.getByRole("heading", { level: 1 }).first().waitFor();
        await page.waitForFunction(() => !document.getElementById("opening"));
        return;
      }
      const alert = page.getByRole("alert");
      await alert.waitFor({ timeout: 10000 });
      assert.match(await alert.innerText(), expected);
      assert.match(await alert.innerText(), /could not be opened/);
      await page.getByRole("button", { name: "Load the page again" }).waitFor();
    } finally {
      fault = null;
      await page.close();
    }
  }

  const cases = [
    ["the program is missing", [CODE, missing], /missing on the server, which answered 404/],
    ["the program is answered with a web page", [CODE, webPage], /sent a web page where the program should be/],
    ["the program is cut in half", [CODE, half], /incomplete or damaged/],
    ["the program has a general media type, which does no harm", [CODE, (whole) => ({ ...whole, headers: { "Content-Type": "application/octet-stream" } })], "opens"],
    ["the program stops while starting", [CODE, (whole) => ({ ...whole, body: TRAPPING })], /stopped while it was starting/],
    ["the program draws nothing", [CODE, (whole) => ({ ...whole, body: EMPTY })], /stopped while it was starting[^]*nothing was drawn/],
    ["the script is missing", [GLUE, missing], /script of the page did not arrive whole/],
    ["the script is answered with a web page", [GLUE, webPage], /script of the page did not arrive whole/],
    ["the script is cut in half", [GLUE, half], /script of the page did not arrive whole/],
    ["the script has the media type of plain text", [GLUE, (whole) => ({ ...whole, headers: { "Content-Type": "text/plain" } })], /script of the page did not arrive whole/],
    ["the host's policy refuses WebAssembly", [/^(index\.html)?$/, refusing("script-src 'self'")], /security policy of this site or network/],
    ["the host's policy refuses fetching", [/^(index\.html)?$/, refusing("connect-src 'none'")], /did not arrive: the connection may be gone/],
  ];
  for (const [title, atFault, expected] of cases) test(title, () => check(atFault, expected));

  const PIECE = /^draft-[0-9a-f]+\.wasm$/;
  const ofNoUse = [
    ["is missing", missing],
    ["is answered with a web page", webPage],
    ["is cut in half", half],
  ];
  for (const [title, how] of ofNoUse) {
    test(`a later piece of the program ${title}: the page says so, and asks again when told to`, async () => {
      fault = [PIECE, how];
      const { page } = await bench.newPage();
      try {
        await page.goto(`${bench.url}#/draft`);
        const alert = page.getByRole("alert");
        await alert.waitFor();
        assert.match(await alert.innerText(), /This part of the page did not arrive/);
        fault = null;
        await alert.getByRole("button", { name: "Try again" }).click();
        await page.getByRole("heading", { level: 1, name: "Draft" }).waitFor();
      } finally {
        fault = null;
        await page.close();
      }
    });
  }

  test("pieces of the program come with what is opened, once each", async () => {
    const { page, faults } = await bench.newPage();
    const fetched = () => bench.server.requests.filter((path) => /\.wasm$/.test(path) && !CODE.test(path));
    const before = fetched().length;
    await page.goto(bench.url);
    await page.getByRole("heading", { level: 1 }).first().waitFor();
    assert.equal(fetched().length, before, "nothing is fetched before it is needed");
    await page.getByRole("link", { name: "Draft", exact: true }).click();
    await page.getByRole("heading", { level: 1, name: "Draft" }).waitFor();
    const came = fetched().slice(before);
    assert.ok(came.some((path) => /draft-/.test(path)), `${came}`);
    assert.equal(new Set(came).size, came.length, "no piece twice");
    assert.deepEqual(faults, { external: [], errors: [], violations: [] });
    await page.close();
  });

  test("the browser has no WebAssembly", () =>
    check(null, /no WebAssembly/, (page) => page.addInitScript(() => delete window.WebAssembly)));

  test("not even the loader arrives: the waiting text says what may help", async () => {
    fault = [START, missing];
    const { page } = await bench.newPage();
    await page.goto(bench.url);
    const late = page.getByText("This takes longer than usual.");
    assert.equal(await late.isVisible(), false);
    // The sentence shows by an animation of the style sheet after some seconds; brought to its end here.
    await page.evaluate(() => document.getAnimations().forEach((animation) => animation.finish()));
    assert.equal(await late.isVisible(), true);
    fault = null;
    await page.close();
  });

  test("scripts are switched off", async () => {
    const context = await bench.browser.newContext({ javaScriptEnabled: false });
    const page = await context.newPage();
    await page.goto(bench.url);
    const sentence = page.locator("noscript p");
    await sentence.waitFor();
    assert.match(await sentence.innerText(), /Please allow scripts for this page/);
    await context.close();
  });
});

test("the built page has no inline script or style, and every name but index.html and lessons is hashed", async () => {
  const bench = await openBench();
  try {
    const { page } = await bench.newPage();
    await page.goto(bench.url);
    const inline = await page.evaluate(
      () => document.querySelectorAll("script:not([src]), style, [style], [onload], [onerror], [onclick]").length,
    );
    assert.equal(inline, 0);
    // A hash may begin with zeros, and the builder leaves those out.
    assert.match(await page.evaluate(() => document.getElementById("clock").getAttribute("src")), /^\.\/clock-[0-9a-f]{1,16}\.js$/);
    const names = readdirSync(DIST).filter((entry) => entry !== "index.html" && entry !== "lessons");
    assert.deepEqual(names.filter((entry) => !/-[0-9a-f]{1,16}(_bg)?\.\w+$/.test(entry)), []);
  } finally {
    await bench.close();
  }
});

test("the clock worker ticks within the policy, and stops", async () => {
  const bench = await openBench();
  try {
    const { page, faults } = await bench.newPage();
    await page.goto(bench.url);
    const ticks = await page.evaluate(
      () =>
        new Promise((resolve) => {
          const worker = new Worker(new URL(document.getElementById("clock").getAttribute("src"), document.baseURI));
          let count = 0;
          worker.onmessage = ({ data }) => {
            if (data !== "tick") resolve(`unexpected ${data}`);
            count += 1;
            if (count !== 10) return;
            worker.postMessage("stop");
            // Whatever was under way has arrived once a long wait in the worker's own terms is over.
            setTimeout(() => {
              const atStop = count;
              setTimeout(() => resolve(count - atStop), 200);
            }, 100);
          };
          worker.postMessage({ every: 10 });
        }),
    );
    assert.equal(ticks, 0);
    assert.deepEqual(faults.violations, []);
  } finally {
    await bench.close();
  }
});
