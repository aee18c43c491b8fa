// What was found in the tune, how it can be mended, and where it is on the sheet.

import { bringIntoSight, byId, make } from "./elements.js";
import { light } from "./light.js";
import { CHANGED, ask, tell } from "./lope.js";
import { notice } from "./notice.js";

const list = byId("found");
const SIGNS = { error: "■", warning: "▲", hint: "●" };
let shown;

export function show(tune, which) {
  const told = JSON.stringify([tune.findings, tune.stamp, which]);
  if (told === shown) return;
  shown = told;
  const count = tune.findings.length + tune.more;
  byId("findings-title").textContent =
    count === 0 ? "Nothing found: the hand keeps its gait" : `${count} ${count === 1 ? "thing" : "things"} found`;
  list.replaceChildren(...tune.findings.map((finding, number) => card(finding, number, { ...which, stamp: tune.stamp })));
  byId("more").hidden = tune.more === 0;
  byId("more").textContent = `and ${tune.more} more`;
}

function card(finding, number, where) {
  const { rule, level, place, message, mends, mark } = finding;
  const head = make(
    "button",
    { type: "button", class: "where", onclick: () => point(finding) },
    make("span", { class: "sign", "aria-hidden": "true" }, SIGNS[level]),
    make("span", {}, make("strong", {}, capital(place)), ` · ${level}`),
    mark === null ? "" : make("span", { class: "mark", "aria-label": `mark ${mark + 1} on the sheet` }, String(mark + 1)),
  );
  const body = make("p", {}, capital(message), ". ", why(rule));
  const repairs = mends.map(({ title, safe }, mend) =>
    make(
      "li",
      {},
      make(
        "button",
        { type: "button", class: "mend", onclick: ({ currentTarget }) => repair(currentTarget, { ...where, finding: number, mend }) },
        capital(title),
      ),
      make("small", {}, safe ? "every pitch and time stays" : "changes what is heard"),
    ),
  );
  const item = make("li", { class: level, "data-mark": mark ?? undefined }, head, body);
  if (repairs.length > 0) item.append(make("ul", { class: "mends", "aria-label": "Mends" }, ...repairs));
  return item;
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function why(rule) {
  return make("button", { type: "button", class: "why", onclick: () => explain(rule), "aria-label": `Why: ${rule}` }, "Why");
}

async function explain(rule) {
  const page = await (await ask("rule", { name: rule })).text();
  byId("rule-page").textContent = page;
  byId("rule").showModal();
}

/** Where a finding is drawn: what it is about, else its mark. */
function elementOf({ event, mark }) {
  const drawn = (name, number) => document.querySelector(`#music [data-${name}="${number}"]`);
  return drawn("event", event) ?? drawn("finding", mark);
}

function point(finding) {
  const element = elementOf(finding);
  if (!element) return;
  light("pointed", element);
  bringIntoSight(element);
}

/** Shows the card of the finding whose mark on the sheet has a number, from 0. */
export function open(number) {
  const item = list.querySelector(`[data-mark="${number}"]`);
  if (!item) return;
  bringIntoSight(item);
  item.querySelector("button").focus({ preventScroll: true });
}

async function repair(button, asked) {
  button.disabled = true;
  try {
    await tell("mend", asked);
    notice("done", "Mended. Your editor can take it back.", 4000);
  } catch (error) {
    button.disabled = false;
    notice("failed", error.status === CHANGED ? "The file has changed meanwhile: look again." : `Not mended: ${error.message}.`, 6000);
  }
}
