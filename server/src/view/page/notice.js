// One line above the music for what the player must know.

import { byId } from "./elements.js";

const line = byId("notice");
/** What stands to be said, the most pressing first: `gone` outlasts a mend that went well. */
const KINDS = ["gone", "file", "failed", "done"];
const said = new Map();

/** Says `text`, of one of the kinds; for `time` milliseconds where that is given. Nothing ends it. */
export function notice(kind, text, time) {
  const about = said.get(kind);
  clearTimeout(about?.timer);
  if (text) said.set(kind, { text, timer: time && setTimeout(() => notice(kind, undefined), time) });
  else said.delete(kind);
  const first = KINDS.find((name) => said.has(name));
  const now = first ? said.get(first).text : "";
  if (line.textContent !== now) line.textContent = now;
  line.className = first ?? "";
  line.hidden = first === undefined;
}
