// The tutor's voice: sentences that come as WAV, played one after another; the server is told when each began and ended.

export class Playing {
  /** @param {AudioContext} context @param {(what: "began" | "played", id: number) => void} tell */
  constructor(context, tell) {
    this.context = context;
    this.tell = tell;
    /** @type {Set<AudioBufferSourceNode>} */
    this.sources = new Set();
    this.until = 0; // when what is waiting will have been played, by the context's clock
    this.round = 0; // of speaking: what was still being decoded when it was hushed is not played
    /** @type {Promise<void>} */
    this.last = Promise.resolve();
  }

  /** @param {number} id @param {ArrayBuffer} wav */
  add(id, wav) {
    const { round } = this;
    const decoded = this.context.decodeAudioData(wav);
    this.last = this.last.then(async () => this.play(id, await decoded, round));
  }

  /** @param {number} id @param {AudioBuffer} sound @param {number} round */
  play(id, sound, round) {
    if (round !== this.round) return;
    const source = new AudioBufferSourceNode(this.context, { buffer: sound });
    source.connect(this.context.destination);
    const at = Math.max(this.context.currentTime, this.until);
    this.until = at + sound.duration;
    this.sources.add(source);
    source.onended = () => {
      this.sources.delete(source);
      if (round === this.round) this.tell("played", id);
    };
    source.start(at);
    setTimeout(() => round === this.round && this.tell("began", id), (at - this.context.currentTime) * 1000);
  }

  hush() {
    this.round += 1;
    this.until = 0;
    for (const source of this.sources) source.stop();
    this.sources.clear();
  }
}
