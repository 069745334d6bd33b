// The microphone's button: words for its state, a bar for what it takes.

import { part } from "./show.js";
import { Voice } from "./voice.js";

/** @type {Record<import("./voice.js").State, string>} */
const WORDS = {
  off: "Use the microphone",
  preparing: "Getting ready…",
  speaking: "Speaking: interrupt",
  listening: "Listening: turn off",
};
const QUIETEST = -60; // decibels below full scale, where the bar is empty

/** @param {string} address */
export function wireMicrophone(address) {
  const holder = part("voice");
  const button = part("microphone");
  const bar = part("level");
  holder.hidden = !Voice.possible();
  if (holder.hidden) return;
  const voice = new Voice(address, {
    state(state) {
      button.textContent = WORDS[state];
      holder.dataset.state = state;
    },
    notice(text) {
      part("sound-notice").textContent = text;
      part("sound-notice").hidden = text === "";
    },
    level(level) {
      const full = level > 0 ? Math.max(0, 1 - (20 * Math.log10(level)) / QUIETEST) : 0;
      bar.style.transform = `scaleX(${full.toFixed(2)})`;
    },
  });
  button.addEventListener("click", () => {
    if (voice.state === "off") voice.start();
    else if (voice.state === "speaking") voice.hush();
    else voice.stop();
  });
  document.addEventListener("keydown", (event) => event.key === "Escape" && voice.hush());
  part("say").addEventListener("submit", () => voice.hush());
  voice.become("off");
}
