// The microphone and the tutor's voice, from the press of the button until the next.

import { Playing } from "./playing.js";

/** @typedef {"off" | "preparing" | "speaking" | "listening"} State */

const AGAIN = 1000; // milliseconds before the line is tried again
const FINAL = [4401, 4429, 4503]; // close codes after which it is not
const REFUSED = "The microphone cannot be used: this browser does not allow it on this page. Type instead.";
const NONE = "No microphone was found. Type instead.";
const OTHER = "The voice is in use in another window of yours.";

export class Voice {
  /**
   * @param {string} address
   * @param {{state: (state: State) => void, notice: (text: string) => void, level: (level: number) => void}} listener
   */
  constructor(address, listener) {
    this.address = address;
    this.listener = listener;
    /** @type {State} */
    this.state = "off";
    /** @type {WebSocket | null} */
    this.socket = null;
    /** @type {AudioContext | null} */
    this.context = null;
    /** @type {MediaStream | null} */
    this.stream = null;
    /** @type {Playing | null} */
    this.playing = null;
    this.coming = 0; // the number of the sound that comes next
  }

  /** Whether this browser lets a page at this address use a microphone. */
  static possible() {
    return isSecureContext && navigator.mediaDevices !== undefined && typeof AudioWorkletNode === "function";
  }

  async start() {
    this.become("preparing");
    this.context = new AudioContext(); // in the press of a button, so that it may play
    const context = this.context;
    this.playing = new Playing(context, (what, id) => this.tell({ do: what, id }));
    try {
      this.stream = await navigator.mediaDevices.getUserMedia({
        audio: { channelCount: 1, echoCancellation: true, noiseSuppression: false, autoGainControl: false },
      });
      await context.audioWorklet.addModule("/static/capture.js");
    } catch (error) {
      this.stop();
      this.listener.notice(error instanceof DOMException && error.name === "NotAllowedError" ? REFUSED : NONE);
      return;
    }
    const capture = new AudioWorkletNode(context, "capture", { numberOfOutputs: 0 });
    capture.port.onmessage = (event) => this.captured(event.data);
    new MediaStreamAudioSourceNode(context, { mediaStream: this.stream }).connect(capture);
    await context.resume();
    this.connect();
  }

  connect() {
    const socket = new WebSocket(this.address);
    socket.binaryType = "arraybuffer";
    socket.onmessage = (event) => this.receive(event.data);
    socket.onclose = (event) => {
      if (this.socket !== socket) return;
      this.playing?.hush();
      if (event.code === 4429) this.listener.notice(OTHER);
      if (FINAL.includes(event.code)) this.stop();
      else if (this.state !== "off") setTimeout(() => this.state !== "off" && this.connect(), AGAIN);
    };
    this.socket = socket;
  }

  /** @param {ArrayBuffer} block of 16-bit samples */
  captured(block) {
    let peak = 0;
    for (const sample of new Int16Array(block)) peak = Math.max(peak, Math.abs(sample));
    this.listener.level(peak / 32768);
    if (this.socket?.readyState === WebSocket.OPEN) this.socket.send(block);
  }

  /** @param {string | ArrayBuffer} data */
  receive(data) {
    if (data instanceof ArrayBuffer) {
      this.playing?.add(this.coming, data);
      return;
    }
    const message = JSON.parse(data);
    if (message.what === "sound") this.coming = message.id;
    else if (message.what === "hush") this.playing?.hush();
    else if (message.what === "notice") this.listener.notice(message.text);
    else if (message.what === "voice" && message.state === "off") this.stop();
    else if (message.what === "voice") this.become(message.state);
  }

  /** @param {Record<string, unknown>} message */
  tell(message) {
    if (this.socket?.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(message));
  }

  /** Stop the tutor in mid-sentence. */
  hush() {
    if (this.state === "speaking") this.tell({ do: "hush" });
  }

  stop() {
    const { socket, stream, context } = this;
    this.socket = this.stream = this.context = null;
    this.playing?.hush();
    socket?.close();
    for (const track of stream?.getTracks() ?? []) track.stop();
    context?.close();
    this.listener.level(0);
    this.become("off");
  }

  /** @param {State} state */
  become(state) {
    this.state = state;
    this.listener.state(state);
  }
}
