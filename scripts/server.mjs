// A small static file server for this machine: scripts/serve and the browser tests use it.
// As a command: node scripts/server.mjs --root dist --port 8417 [--prefix /some/path/]

import { createReadStream, promises as fs } from "node:fs";
import http from "node:http";
import path from "node:path";
import { pathToFileURL } from "node:url";

const MEDIA_TYPES = {
  ".css": "text/css; charset=utf-8",
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".mid": "audio/midi",
  ".mjs": "text/javascript; charset=utf-8",
  ".svg": "image/svg+xml",
  ".txt": "text/plain; charset=utf-8",
  ".wasm": "application/wasm",
  ".wav": "audio/wav",
  ".webmanifest": "application/manifest+json",
  ".woff2": "font/woff2",
};

/** The file below `root` that a decoded path names, or undefined if it would lie outside. */
function fileFor(root, decoded) {
  const file = path.join(root, decoded.endsWith("/") ? `${decoded}index.html` : decoded);
  return file.startsWith(root + path.sep) ? file : undefined;
}

/**
 * Serves a folder on the loopback address.
 *
 * @param {object} options
 * @param {string} options.root folder to serve
 * @param {number} [options.port] 0 picks a free one
 * @param {string} [options.prefix] path the folder appears under, decoded, with slashes at both ends
 * @param {Record<string, string>} [options.extra] further files: path below the prefix -> contents
 * @param {(file: string, whole: {status: number, headers: object, body: Buffer}) => object} [options.change]
 *   may return another answer for a file (path below the prefix), to play a faulty host
 * @returns {Promise<{origin: string, url: string, port: number, requests: string[], close: () => Promise<void>}>}
 */
export async function serve({ root, port = 0, prefix = "/", extra = {}, change }) {
  const top = path.resolve(root);
  const requests = [];

  async function answer(request, response) {
    const send = (status, headers, body = "") => {
      response.writeHead(status, { "Cache-Control": "no-cache", ...headers });
      response.end(request.method === "HEAD" ? undefined : body);
    };
    if (request.method !== "GET" && request.method !== "HEAD") return send(405, { Allow: "GET, HEAD" });
    let decoded;
    try {
      decoded = decodeURIComponent(request.url.split("?")[0]);
    } catch {
      return send(400, {});
    }
    requests.push(decoded);
    if (!decoded.startsWith(prefix)) return send(404, { "Content-Type": "text/plain" }, "Not found");
    const below = decoded.slice(prefix.length);
    const type = MEDIA_TYPES[path.extname(below || "index.html")] ?? "application/octet-stream";
    if (Object.hasOwn(extra, below)) return send(200, { "Content-Type": type }, extra[below]);
    const file = fileFor(top, `/${below}`);
    const found = file && (await fs.stat(file).catch(() => undefined));
    if (change) {
      const body = found?.isFile() ? await fs.readFile(file) : Buffer.from("Not found");
      const whole = { status: found?.isFile() ? 200 : 404, headers: { "Content-Type": type }, body };
      const { status, headers, body: changed } = change(below, whole) ?? whole;
      return send(status, headers, changed);
    }
    if (!found?.isFile()) return send(404, { "Content-Type": "text/plain" }, "Not found");
    response.writeHead(200, { "Cache-Control": "no-cache", "Content-Type": type, "Content-Length": found.size });
    if (request.method === "HEAD") return response.end();
    createReadStream(file).on("error", () => response.destroy()).pipe(response);
  }

  const server = http.createServer((request, response) => {
    answer(request, response).catch(() => response.destroy());
  });
  await new Promise((resolve, reject) => {
    server.once("error", reject);
    server.listen(port, "127.0.0.1", resolve);
  });
  const origin = `http://127.0.0.1:${server.address().port}`;
  return {
    origin,
    url: origin + encodeURI(prefix),
    port: server.address().port,
    requests,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}

async function main(args) {
  const options = {};
  for (let i = 0; i < args.length; i += 2) {
    const name = args[i].replace(/^--/, "");
    if (!["root", "port", "prefix"].includes(name) || args[i + 1] === undefined) throw new Error(`unknown or incomplete option ${args[i]}`);
    options[name] = name === "port" ? Number(args[i + 1]) : args[i + 1];
  }
  const { url } = await serve(options);
  console.log(`Stickleback is at ${url}\nStop with Ctrl-C.`);
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  main(process.argv.slice(2)).catch((error) => {
    console.error(error.code === "EADDRINUSE" ? "The port is in use; choose another with --port." : error.message);
    process.exitCode = 1;
  });
}
