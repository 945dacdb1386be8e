// What the browser saves: caught in a folder of its own.

import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";

/**
 * Catches what the pages of `bench` save from now on.
 *
 * @returns {Promise<{folder: string, saved: (act: Function, encoding?: string) => Promise<[string, Buffer | string]>,
 *   end: () => Promise<void>}>} `saved` does `act` and resolves with the name and the contents of the file it makes the
 *   browser save; `end` removes the folder
 */
export async function catchDownloads(bench) {
  const folder = await mkdtemp(path.join(tmpdir(), "stickleback-saved-"));
  const session = await bench.browser.newBrowserCDPSession();
  await session.send("Browser.setDownloadBehavior", { behavior: "allowAndName", downloadPath: folder, eventsEnabled: true });
  async function saved(act, encoding) {
    const coming = new Promise((resolve) => {
      let begun;
      session.once("Browser.downloadWillBegin", (event) => (begun = event));
      session.on("Browser.downloadProgress", function listener({ guid, state }) {
        if (guid !== begun?.guid || state !== "completed") return;
        session.off("Browser.downloadProgress", listener);
        resolve(begun);
      });
    });
    await act();
    const { guid, suggestedFilename } = await coming;
    return [suggestedFilename, await readFile(path.join(folder, guid), encoding)];
  }
  return { folder, saved, end: () => rm(folder, { recursive: true, force: true }) };
}
