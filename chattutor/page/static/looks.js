// How the page looks to this person: larger, or with more space between letters, words and lines. Kept in this browser.

const CHOICES = ["larger", "spaced"];

/** @param {string} name */
function key(name) {
  return `looks-${name}`;
}

export function wireLooks() {
  for (const name of CHOICES) {
    const button = document.getElementById(name);
    if (button === null) continue;
    button.hidden = false;
    /** @param {boolean} on */
    const set = (on) => {
      document.documentElement.classList.toggle(name, on);
      button.setAttribute("aria-pressed", String(on));
    };
    set(localStorage.getItem(key(name)) === "on");
    button.addEventListener("click", () => {
      const on = button.getAttribute("aria-pressed") !== "true";
      localStorage.setItem(key(name), on ? "on" : "off");
      set(on);
    });
  }
}
