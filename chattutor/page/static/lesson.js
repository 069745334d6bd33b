// The lesson's page: what is typed goes to the tutor, and what comes back is shown.

import { wireKeys, wireLook } from "./entry.js";
import { Link } from "./link.js";
import { wireLooks } from "./looks.js";
import { wireMicrophone } from "./microphone.js";
import { field, part, say, show } from "./show.js";

const LOST = "The tutor cannot be reached just now. Go on writing: nothing you said is lost, and it comes back by itself.";
const BACK = "The tutor can be reached again.";
const WAITING = "Sending…";
const CHANGE = "Change it, then press “Say it”.";

const form = /** @type {HTMLFormElement} */ (part("say"));
const words = field(form, "words");
const trouble = part("trouble");
let instead = false; // of what was said last
let lost = false;
let posted = false; // by the form itself
let first = true; // the page itself came with the lesson in it, and is read as a page

/** @param {string} text */
function tell(text) {
  trouble.textContent = text;
  if (text) say(text);
}

const there = `${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/lesson`;
const link = new Link(`${there}/talk`, {
  show(lesson) {
    const moved = String(lesson.turn) !== document.body.dataset.turn || lesson.lesson !== document.body.dataset.lesson;
    document.body.dataset.turn = String(lesson.turn);
    document.body.dataset.lesson = lesson.lesson;
    if (moved) trouble.textContent = "";
    show(lesson, moved || !first);
    first = false;
  },
  giveBack(why, text) {
    if (words.value === "") words.value = text;
    tell(why);
  },
  look(text, math) {
    if (text === words.value) part("look").innerHTML = math;
  },
  connected(reached) {
    document.body.dataset.linked = String(reached);
    if (reached === !lost) return;
    lost = !reached;
    document.body.classList.toggle("lost", lost);
    tell(lost ? LOST : BACK);
  },
  other() {},
});

/** @param {string} text */
function send(text) {
  if (!text || !link.say(text, instead)) return;
  instead = false;
  if (!lost) trouble.textContent = "";
}

form.addEventListener("submit", (event) => {
  posted = link.lesson === null; // no line yet, or none through this network: the form itself is sent
  if (posted) return;
  event.preventDefault();
  const button = event.submitter instanceof HTMLButtonElement ? event.submitter : null;
  if (button?.name === "ready") {
    send(button.value);
    words.focus();
    return;
  }
  const text = words.value.trim();
  if (text === "" || link.pending !== null) {
    if (link.pending !== null && !lost) tell(WAITING);
    return;
  }
  send(text);
  words.value = "";
  part("look").textContent = "";
  words.focus();
});

part("heard").addEventListener("click", (event) => {
  if (!(event.target instanceof HTMLElement) || event.target.dataset.change === undefined) return;
  words.value = link.lesson?.said?.text ?? "";
  instead = true;
  tell(CHANGE);
  words.focus();
  words.select();
});

document.getElementById("ask")?.closest("form")?.addEventListener("submit", (event) => {
  if (link.lesson === null) return;
  event.preventDefault(); // the page stays, and with it what is being typed
  link.tell({ do: "ask" });
});

document.documentElement.classList.add("scripted");
wireKeys(/** @type {HTMLElement} */ (form.querySelector(".keys")), words);
wireLook(words, (text) => {
  if (text.trim() === "") part("look").textContent = "";
  else link.tell({ do: "look", text, letter: link.lesson?.letter ?? "x" });
});
wireLooks();
wireMicrophone(`${there}/voice`);
words.value ||= sessionStorage.getItem("draft") ?? "";
sessionStorage.removeItem("draft");
addEventListener("pagehide", () => {
  const unsaid = posted ? "" : words.value || link.pending?.text || "";
  if (unsaid) sessionStorage.setItem("draft", unsaid);
});
words.focus();
