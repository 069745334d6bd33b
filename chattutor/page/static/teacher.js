// A learner's page: a turn is judged otherwise by clicking it.

const form = /** @type {HTMLFormElement | null} */ (document.getElementById("judge"));
const tables = [...document.querySelectorAll("table.turns")];
const JUDGEMENT = 7; // the column, counted from 0

/** @param {string} name */
function field(name) {
  return /** @type {HTMLInputElement | HTMLSelectElement} */ (form?.elements.namedItem(name));
}

/** @param {number} session its place on the page @param {string} turn */
function fill(session, turn) {
  const choices = /** @type {HTMLSelectElement} */ (field("session"));
  choices.selectedIndex = session;
  field("turn").value = turn;
  form?.closest("details")?.setAttribute("open", "");
  form?.scrollIntoView({ block: "center" });
  field("judgement").focus();
}

if (form !== null) {
  tables.forEach((table, session) => {
    for (const row of table.querySelectorAll("tbody tr")) {
      const cell = row.children[JUDGEMENT];
      const turn = row.children[0]?.textContent ?? "";
      if (cell === undefined || cell.textContent?.trim() === "") continue;
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = "judge";
      button.setAttribute("aria-label", `change the judgement of turn ${turn}`);
      button.addEventListener("click", () => fill(session, turn));
      cell.append(" ", button);
    }
  });
}
