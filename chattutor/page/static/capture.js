// An audio worklet: what the microphone takes, as 16-bit samples at 16 kHz, in blocks of 40 ms.

const RATE = 16000;
const BLOCK = 640;
const CUTOFF = 7400; // hertz: what lies above would be folded down
const HALF = 32; // samples of the microphone's rate on either side that a sample is made of
const STEPS = 128; // of the kernel's table between two samples

/** A windowed sinc: low-pass, of unit gain. @param {number} rate of what comes in */
export function kernel(rate) {
  const cutoff = Math.min(1, (2 * CUTOFF) / rate);
  const table = new Float32Array(HALF * STEPS + 1);
  for (let place = 0; place < table.length; place++) {
    const at = place / STEPS;
    const sinc = at === 0 ? 1 : Math.sin(Math.PI * cutoff * at) / (Math.PI * cutoff * at);
    table[place] = cutoff * sinc * (0.5 + 0.5 * Math.cos((Math.PI * at) / HALF));
  }
  return table;
}

/** From the microphone's rate to ours, a piece at a time. */
export class Resampler {
  /** @param {number} rate */
  constructor(rate) {
    this.step = rate / RATE;
    this.table = kernel(rate);
    this.held = new Float32Array(2 * HALF);
    this.next = HALF; // where the next sample is to be taken, in what is held
  }

  /** @param {Float32Array} piece @returns {Float32Array} */
  take(piece) {
    const held = new Float32Array(this.held.length + piece.length);
    held.set(this.held);
    held.set(piece, this.held.length);
    const out = new Float32Array(Math.ceil(held.length / this.step));
    let count = 0;
    for (; this.next + HALF < held.length; this.next += this.step) out[count++] = this.at(held, this.next);
    const from = Math.max(0, Math.floor(this.next) - HALF);
    this.held = held.slice(from);
    this.next -= from;
    return out.subarray(0, count);
  }

  /** @param {Float32Array} held @param {number} at */
  at(held, at) {
    let sum = 0;
    for (let place = Math.max(0, Math.ceil(at - HALF)); place <= at + HALF && place < held.length; place++) {
      sum += (held[place] ?? 0) * (this.table[Math.round(Math.abs(at - place) * STEPS)] ?? 0);
    }
    return sum;
  }
}

if (typeof registerProcessor === "function") {
  registerProcessor(
    "capture",
    class extends AudioWorkletProcessor {
      constructor() {
        super();
        this.resampler = new Resampler(sampleRate);
        this.block = new Int16Array(BLOCK);
        this.filled = 0;
      }

      /** @param {Float32Array[][]} inputs */
      process(inputs) {
        const channel = inputs[0]?.[0];
        if (channel === undefined) return true;
        for (const sample of this.resampler.take(channel)) {
          this.block[this.filled++] = Math.max(-1, Math.min(1, sample)) * 32767;
          if (this.filled === BLOCK) {
            this.port.postMessage(this.block.buffer, [this.block.buffer]);
            this.block = new Int16Array(BLOCK);
            this.filled = 0;
          }
        }
        return true;
      }
    },
  );
}
