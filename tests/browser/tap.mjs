// A tap in the live audio graph: where, to the frame, did the sources a page starts really begin?
//
// Every AudioBufferSourceNode of a live AudioContext gets a twin: a source of one sample, of the same context, started
// with the same `when`, stopped and disconnected when the original is. The twins run into a recorder on the audio thread,
// which notes the frame of every impulse and how many fell together on it. The engine treats twin and original alike, so
// an impulse lost, doubled or late is a stroke lost, doubled or late; the page's own nodes and sound stay as they are.
// The recorder is an AudioWorklet, which does not miss blocks when the main thread is busy. It needs a secure context.

/** Where the bench has to serve the recorder: pass `{extra: TAP_FILES}` to openBench. */
export const TAP_FILES = {
  "tap-recorder.js": `
registerProcessor("tap-recorder", class extends AudioWorkletProcessor {
  process([input]) {
    const channel = input[0];
    if (channel) {
      const hits = [];
      for (let i = 0; i < channel.length; i++) if (channel[i] !== 0) hits.push([currentFrame + i, channel[i]]);
      if (hits.length) this.port.postMessage(hits);
    }
    return true;
  }
});
`,
};

// Runs in the page before any of its own scripts.
function install(recorderAddress) {
  const log = { starts: [], hits: [], contexts: [], early: 0, longestGap: 0 };
  const taps = new WeakMap();
  const twins = new WeakMap();
  const ours = new WeakSet();
  const { createBufferSource } = BaseAudioContext.prototype;
  const { start, disconnect } = AudioBufferSourceNode.prototype;
  const { stop } = AudioScheduledSourceNode.prototype;

  function tapOf(context) {
    let tap = taps.get(context);
    if (tap) return tap;
    const impulse = context.createBuffer(1, 1, context.sampleRate);
    impulse.getChannelData(0)[0] = 1;
    tap = { entry: context.createGain(), impulse, attached: false, number: log.contexts.length };
    tap.ready = context.audioWorklet.addModule(new URL(recorderAddress, document.baseURI).href).then(() => {
      const recorder = new AudioWorkletNode(context, "tap-recorder", {
        channelCount: 1,
        channelCountMode: "explicit",
        channelInterpretation: "speakers",
      });
      recorder.port.onmessage = ({ data }) => {
        for (const [frame, value] of data) log.hits.push({ context: tap.number, frame, value });
      };
      tap.entry.connect(recorder);
      // The recorder puts out silence; connected, it is pulled.
      recorder.connect(context.destination);
      tap.attached = true;
    });
    log.contexts.push({ sampleRate: context.sampleRate, ready: tap.ready });
    taps.set(context, tap);
    return tap;
  }

  // Tapped as soon as it is made, so that the recorder is there before the first source.
  window.AudioContext = new Proxy(AudioContext, {
    construct(target, args, newTarget) {
      const context = Reflect.construct(target, args, newTarget);
      tapOf(context);
      return context;
    },
  });

  AudioBufferSourceNode.prototype.start = function (when = 0, ...rest) {
    const result = start.call(this, when, ...rest);
    if (!ours.has(this) && this.context instanceof AudioContext) {
      const tap = tapOf(this.context);
      if (!tap.attached) log.early += 1;
      const twin = createBufferSource.call(this.context);
      ours.add(twin);
      twin.buffer = tap.impulse;
      twin.connect(tap.entry);
      start.call(twin, when);
      const entry = {
        context: tap.number,
        when,
        frame: when * this.context.sampleRate,
        now: this.context.currentTime * this.context.sampleRate,
        at: performance.now(),
        bufferFrames: this.buffer?.length ?? 0,
        loop: this.loop,
        stoppedAt: null,
      };
      log.starts.push(entry);
      twins.set(this, { twin, entry });
    }
    return result;
  };
  AudioScheduledSourceNode.prototype.stop = function (when = 0) {
    const result = stop.call(this, when);
    const pair = twins.get(this);
    if (pair) {
      stop.call(pair.twin, when);
      pair.entry.stoppedAt = Math.max(when, this.context.currentTime) * this.context.sampleRate;
    }
    return result;
  };
  // Only the whole disconnection silences the original; of one output among several it may only rewire it.
  AudioBufferSourceNode.prototype.disconnect = function (...args) {
    const result = disconnect.apply(this, args);
    if (args.length === 0) twins.get(this)?.twin.disconnect();
    return result;
  };

  // The page's own clock worker ticks every 25 ms: a gap between ticks is how long the page really stood still, by our
  // doing or because the machine had no time for it.
  window.Worker = new Proxy(Worker, {
    construct(target, args, newTarget) {
      const worker = Reflect.construct(target, args, newTarget);
      let before;
      worker.addEventListener("message", () => {
        const now = performance.now();
        if (before !== undefined) log.longestGap = Math.max(log.longestGap, now - before);
        before = now;
      });
      return worker;
    },
  });

  let busy = 0;
  let stalledUntil = 0;
  function work(milliseconds) {
    const end = performance.now() + milliseconds;
    while (performance.now() < end);
  }
  function frame() {
    if (busy <= 0) return;
    // The frame right after a stall adds nothing to it.
    if (performance.now() - stalledUntil > 20) work(busy);
    requestAnimationFrame(frame);
  }
  window.__tap = {
    log,
    stall(milliseconds) {
      work(milliseconds);
      stalledUntil = performance.now();
    },
    setBusy(milliseconds) {
      const idle = busy <= 0;
      busy = milliseconds;
      if (idle) requestAnimationFrame(frame);
    },
  };
}

/** Installs the tap in a page; call it before `page.goto`. */
export async function installTap(page) {
  await page.addInitScript(install, "./tap-recorder.js");
}

/** Resolves when the recorder of every context made so far is at work. */
export async function tapReady(page) {
  await page.evaluate(() => Promise.all(window.__tap.log.contexts.map(({ ready }) => ready)));
}

/**
 * What the tap has heard.
 *
 * @returns {Promise<{sampleRates: number[], early: number, longestGap: number, starts: object[], hits: {context: number, frame: number, value: number}[]}>}
 *   `starts`: each start() call with `frame` (asked for, may be fractional), `now` (the context's frame at the call), `at`
 *   (performance.now()), `bufferFrames`, `loop` and `stoppedAt`; `hits`: impulses heard, `value` is how many fell together;
 *   `early`: starts made before the recorder was at work, whose impulses it may not have heard; `longestGap`: the longest
 *   time in ms between two ticks of a worker of the page.
 */
export async function readTap(page) {
  return page.evaluate(() => {
    const { starts, hits, early, longestGap, contexts } = window.__tap.log;
    return { starts, hits, early, longestGap, sampleRates: contexts.map(({ sampleRate }) => sampleRate) };
  });
}

/**
 * Compares frames heard with an ideal list, by order and by half a frame.
 *
 * @param {{frame: number, value: number}[]} hits as read from the tap
 * @param {number[]} ideal exact frames, fractions allowed, several equal ones for strokes that fall together
 * @returns {{matched: number, lost: number[], doubled: number[], farthest: number}} `lost`: ideal frames not heard within
 *   half a frame; `doubled`: frames heard more often than asked, or not asked for; `farthest`: largest distance of a match
 */
export function compareFrames(hits, ideal) {
  const heard = hits.flatMap(({ frame, value }) => Array(Math.round(value)).fill(frame)).sort((a, b) => a - b);
  const wanted = [...ideal].sort((a, b) => a - b);
  const lost = [];
  const doubled = [];
  let matched = 0;
  let farthest = 0;
  let i = 0;
  for (const frame of wanted) {
    while (i < heard.length && heard[i] < frame - 0.5) doubled.push(heard[i++]);
    if (i < heard.length && heard[i] <= frame + 0.5) {
      farthest = Math.max(farthest, Math.abs(heard[i++] - frame));
      matched += 1;
    } else {
      lost.push(frame);
    }
  }
  doubled.push(...heard.slice(i));
  return { matched, lost, doubled, farthest };
}

/** From now on the main thread works this long in every animation frame; 0 ends it. */
export async function busyEachFrame(page, milliseconds) {
  await page.evaluate((ms) => window.__tap.setBusy(ms), milliseconds);
}

/** Blocks the main thread once for this long; resolves when it is over. */
export async function stall(page, milliseconds) {
  await page.evaluate((ms) => window.__tap.stall(ms), milliseconds);
}
