// Typing mathematics: signs put in by buttons, and a look at how it will be read.

const SIMPLE = /^[\w.]+$/;

/**
 * @param {HTMLInputElement} field
 * @param {string} text put in place of what is selected
 * @param {number} [caret] where the caret is to stand in it
 */
export function put(field, text, caret = text.length) {
  const from = field.selectionStart ?? field.value.length;
  const to = field.selectionEnd ?? from;
  field.setRangeText(text, from, to, "end");
  field.setSelectionRange(from + caret, from + caret);
  field.focus();
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** Put what is selected above the line of a fraction; else what is typed next goes below it. @param {HTMLInputElement} field */
export function over(field) {
  const chosen = field.value.slice(field.selectionStart ?? 0, field.selectionEnd ?? 0);
  if (chosen === "") put(field, "/");
  else put(field, SIMPLE.test(chosen) ? `${chosen}/` : `(${chosen})/`);
}

/** @param {HTMLElement} keys @param {HTMLInputElement} field */
export function wireKeys(keys, field) {
  keys.hidden = false;
  keys.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps the focus
  keys.addEventListener("click", (event) => {
    const key = event.target instanceof Element ? event.target.closest("button") : null;
    if (key === null) return;
    if (key.dataset.over !== undefined) over(field);
    else put(field, key.dataset.put ?? "");
  });
}

const PAUSE = 150; // milliseconds without a key, after which it is looked at

/**
 * @param {HTMLInputElement} field
 * @param {(text: string) => void} ask
 */
export function wireLook(field, ask) {
  let timer = 0;
  field.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(() => ask(field.value), PAUSE);
  });
}
