// Fetches a piece of the program when a part of the page is first shown. `SHARED` names what the pieces take from the
// first one, `PIECES` the address of each and the pieces to be there before it; both are written above by
// scripts/pieces.mjs, the exports below.

// The glue is asked for under the address it was started by: it is then the same module, not a second one. It imports
// this file, so it cannot be waited for while this file is read.
let imports;
async function shared() {
  if (!imports) {
    const program = document.querySelector('meta[name="program"]').content;
    const { initSync } = await import(new URL(program, document.baseURI).href);
    const exported = initSync();
    imports = { __wasm_split: Object.fromEntries(SHARED.map((name) => [name, exported[name]])) };
  }
  return imports;
}

async function code(address) {
  const response = await fetch(new URL(address, import.meta.url), { credentials: "same-origin" });
  if (!response.ok) throw new Error(address + " was answered with " + response.status);
  return WebAssembly.compile(await response.arrayBuffer());
}

// A piece that came is kept; one that did not may be asked for again.
const coming = new Map();
function load(name) {
  if (!coming.has(name)) {
    const [address, needs] = PIECES[name];
    const whole = (async () => {
      const [module, given] = await Promise.all([code(address), shared(), ...needs.map(load)]);
      await WebAssembly.instantiate(module, given);
    })();
    whole.catch(() => coming.delete(name));
    coming.set(name, whole);
  }
  return coming.get(name);
}

// What the program calls: it is told through its own table whether the piece is there.
const calledBack = (name) => async (index, data) => {
  let there = false;
  try {
    await load(name);
    there = true;
  } catch (error) {
    console.warn(error);
  }
  const { __wasm_split: { __indirect_function_table: table } } = await shared();
  table.get(index)(data, there);
};

