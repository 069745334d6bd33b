// Putting the lesson on the page: each part is renewed where it changed, and read out once, in one place.

/** @param {string} id @returns {HTMLElement} */
export function part(id) {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`no #${id}`);
  return found;
}

/** @type {Record<string, string>} what each part holds now */
const held = {};

/** @param {import("./link.js").Lesson} lesson @param {boolean} aloud whether it is to be read out */
export function show(lesson, aloud) {
  for (const [id, html] of Object.entries(lesson.parts)) {
    if (held[id] === html) continue;
    held[id] = html;
    part(id).innerHTML = html; // made by our own server, which escapes whatever was said
  }
  const form = /** @type {HTMLFormElement} */ (part("say"));
  field(form, "at").value = String(lesson.turn);
  field(form, "lesson").value = lesson.lesson;
  const key = part("letter");
  key.textContent = key.dataset.put = lesson.letter;
  const ended = lesson.over && !form.hidden;
  form.hidden = lesson.over;
  part("again").hidden = !lesson.over;
  const ask = document.getElementById("ask"); // in a class alone
  ask?.setAttribute("aria-pressed", String(lesson.asked));
  if (ask !== null) ask.textContent = (lesson.asked ? ask.dataset.on : ask.dataset.off) ?? "";
  document.body.dataset.over = String(lesson.over);
  if (ended) part("again").querySelector("button")?.focus();
  part("working").scrollTop = part("working").scrollHeight;
  if (aloud) say(lesson.live);
}

/** @param {HTMLFormElement} form @param {string} name */
export function field(form, name) {
  return /** @type {HTMLInputElement} */ (form.elements.namedItem(name));
}

/** Have a screen reader read it out; the same words a second time too. @param {string} text */
export function say(text) {
  const live = part("live");
  live.textContent = live.textContent === text ? `${text}\u00a0` : text;
}
