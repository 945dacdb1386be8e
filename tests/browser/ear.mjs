// An ear at the exit of the live audio graph: what really goes to the loudspeaker, block by block.
//
// Whatever is connected to the destination of a live AudioContext also goes to a recorder on the audio thread, which sums
// it as the destination does. It tells the loudest sample of every block of 128 frames that is not silent. Like the tap it
// needs a secure context. Presses are noted with the context's time as the page has it at that moment.

/** Where the bench has to serve the recorder: pass `{extra: EAR_FILES}` to openBench. */
export const EAR_FILES = {
  "ear-recorder.js": `
registerProcessor("ear-recorder", class extends AudioWorkletProcessor {
  process([input]) {
    let peak = 0;
    let last = 0;
    for (const channel of input) {
      for (let i = 0; i < channel.length; i++) {
        const level = Math.abs(channel[i]);
        // No number at all would be worse than loud.
        if (!(level <= peak)) peak = level === level ? level : Infinity;
        if (!(level <= 1e-4)) last = i;
      }
    }
    if (peak > 1e-4) this.port.postMessage([currentFrame, currentFrame + last, peak]);
    return true;
  }
});
`,
};

// Runs in the page before any of its own scripts; after the tap, if there is one.
function install(recorderAddress) {
  const ear = { blocks: [], presses: [], contexts: [] };
  const recorders = new WeakMap();
  const { connect } = AudioNode.prototype;

  function recorderOf(context) {
    let recorder = recorders.get(context);
    if (recorder) return recorder;
    const entry = context.createGain();
    const number = ear.contexts.length;
    ear.contexts.push(context);
    context.audioWorklet.addModule(new URL(recorderAddress, document.baseURI).href).then(() => {
      const node = new AudioWorkletNode(context, "ear-recorder", { numberOfOutputs: 1 });
      node.port.onmessage = ({ data: [frame, last, peak] }) => ear.blocks.push({ context: number, frame, last, peak });
      connect.call(entry, node);
      // Its own output is silence; connected, it is pulled.
      connect.call(node, context.destination);
    });
    recorders.set(context, entry);
    return entry;
  }

  AudioNode.prototype.connect = function (target, ...rest) {
    if (target instanceof AudioDestinationNode && this.context instanceof AudioContext) {
      connect.call(this, recorderOf(this.context), ...rest);
    }
    return connect.call(this, target, ...rest);
  };
  // A muted output must disconnect from the ear as from the loudspeaker; pages here only ever drop whole nodes.

  const note = (event) => {
    const context = ear.contexts.at(-1);
    ear.presses.push({
      kind: event.type,
      name: event.target?.closest?.("button")?.textContent?.trim() ?? "",
      at: performance.now(),
      frame: context ? context.currentTime * context.sampleRate : 0,
    });
  };
  window.addEventListener("click", note, true);
  window.addEventListener("hashchange", note, true);
  window.__ear = ear;
}

/** Installs the ear in a page; call it before `page.goto`, and after `installTap` where both are used. */
export async function installEar(page) {
  await page.addInitScript(install, "./ear-recorder.js");
}

/**
 * What the ear has heard and which presses were made.
 *
 * @returns {Promise<{sampleRate: number, blocks: {context: number, frame: number, last: number, peak: number}[],
 *   presses: {kind: string, name: string, at: number, frame: number}[]}>} `frame` of a block is its first, `last` the last
 *   one over -80 dB; of a press it is where the context's clock stood
 */
export async function readEar(page) {
  return page.evaluate(() => {
    const { blocks, presses, contexts } = window.__ear;
    return { blocks, presses, sampleRate: contexts.at(-1)?.sampleRate ?? 0 };
  });
}
