// The line to the server: what the learner says goes out once, whatever happens to the line or to the server meanwhile.

/**
 * @typedef {object} Lesson the lesson as it stands
 * @property {string} lesson its id, the same after a restart of the server
 * @property {number} turn
 * @property {boolean} over
 * @property {string} letter the unknown's
 * @property {boolean} asked whether a person was asked for
 * @property {{text: string, withheld: boolean} | null} said what was said last
 * @property {string} live what a screen reader is to read out
 * @property {Record<string, string>} parts HTML by the id of its holder
 */

/** @typedef {{text: string, at: number, lesson: string, instead: boolean}} Said */

/**
 * @typedef {object} Listener
 * @property {(lesson: Lesson) => void} show
 * @property {(why: string, text: string) => void} giveBack what was said was not taken: its words, and why
 * @property {(text: string, math: string) => void} look
 * @property {(connected: boolean) => void} connected
 * @property {(message: Record<string, unknown>) => void} other
 */

const FIRST_WAIT = 300; // milliseconds before the first new try, and the longest wait between two
const LONGEST_WAIT = 3000;
const PATIENCE = 6000; // without an answer, after which the line counts as dead
const NOT_LET_IN = 4401;
const TOO_MANY = 4429;
const MOVED_ON = "The lesson has moved on since. Is this still what you would say?";
const MANY = "This lesson is open in many windows. Close one, then load this page again.";

export class Link {
  /** @param {string} address @param {Listener} listener */
  constructor(address, listener) {
    this.address = address;
    this.listener = listener;
    /** @type {Said | null} */
    this.pending = null;
    /** @type {Lesson | null} */
    this.lesson = null;
    this.wait = FIRST_WAIT;
    this.timer = 0;
    this.patience = 0;
    this.ended = false;
    this.socket = this.open();
    addEventListener("online", () => this.again());
    document.addEventListener("visibilitychange", () => document.hidden || this.again());
  }

  /** @returns {WebSocket} */
  open() {
    const socket = new WebSocket(this.address);
    socket.binaryType = "arraybuffer";
    socket.onmessage = (event) => this.receive(JSON.parse(event.data));
    socket.onclose = (event) => this.closed(event);
    return socket;
  }

  /** Try now rather than later. */
  again() {
    if (this.ended || this.socket.readyState < WebSocket.CLOSING) return;
    clearTimeout(this.timer);
    this.socket = this.open();
  }

  /** @param {CloseEvent} event */
  closed(event) {
    clearTimeout(this.patience);
    if (event.target !== this.socket) return;
    this.listener.connected(false);
    if (event.code === NOT_LET_IN) location.assign("/");
    this.ended = event.code === NOT_LET_IN || event.code === TOO_MANY;
    if (event.code === TOO_MANY) this.listener.giveBack(MANY, "");
    if (this.ended) return;
    this.timer = setTimeout(() => this.again(), this.wait * (0.75 + Math.random() / 2));
    this.wait = Math.min(this.wait * 1.6, LONGEST_WAIT);
  }

  /** @param {Record<string, unknown>} message */
  receive(message) {
    this.wait = FIRST_WAIT;
    if (message.what === "lesson") {
      this.lesson = /** @type {Lesson} */ (/** @type {unknown} */ (message));
      this.listener.connected(true);
      this.listener.show(this.lesson);
      this.settle(this.lesson);
    } else if (message.what === "refused") {
      const { text } = this.pending ?? { text: "" };
      this.forget();
      this.listener.giveBack(String(message.why), text);
    } else if (message.what === "look") {
      this.listener.look(String(message.text), String(message.math));
    } else {
      this.listener.other(message);
    }
  }

  /** What was said and has no answer yet: was it taken, is it to be said again, or is it too late?
   * @param {Lesson} lesson */
  settle(lesson) {
    const said = this.pending;
    if (said === null) return;
    if (lesson.lesson === said.lesson && lesson.turn === said.at) {
      this.send(said);
      return;
    }
    this.forget();
    const taken = lesson.lesson === said.lesson && (lesson.said?.withheld || lesson.said?.text === said.text);
    if (!taken) this.listener.giveBack(MOVED_ON, said.text);
  }

  forget() {
    this.pending = null;
    clearTimeout(this.patience);
  }

  /** Say it in answer to what is on the page. @param {string} text @param {boolean} instead of what was said last */
  say(text, instead = false) {
    if (this.lesson === null || this.pending !== null) return false;
    this.pending = { text, at: this.lesson.turn, lesson: this.lesson.lesson, instead };
    this.send(this.pending);
    return true;
  }

  /** @param {Said} said */
  send(said) {
    clearTimeout(this.patience);
    if (this.socket.readyState !== WebSocket.OPEN) {
      this.again();
      return;
    }
    this.socket.send(JSON.stringify({ do: "say", ...said }));
    this.patience = setTimeout(() => this.dead(), PATIENCE);
  }

  dead() {
    const socket = this.socket;
    socket.close();
    this.socket = this.open();
    this.listener.connected(false);
  }

  /** Send anything else, if there is a line. @param {Record<string, unknown> | ArrayBuffer} message */
  tell(message) {
    if (this.socket.readyState !== WebSocket.OPEN) return;
    this.socket.send(message instanceof ArrayBuffer ? message : JSON.stringify(message));
  }
}
