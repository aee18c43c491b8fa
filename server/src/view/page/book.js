// The tunes of a book, to choose from.

import { byId, make } from "./elements.js";

let tunes = [];

/** The address of a tune within the page. */
export const addressOf = ({ file, number }) => `#${new URLSearchParams({ file, number })}`;

/** The tune that the page's address names. */
export function chosen() {
  const named = new URLSearchParams(location.hash.slice(1));
  return named.has("file") ? { file: named.get("file"), number: Number(named.get("number")) } : undefined;
}

export function showBook(contents) {
  byId("book-name").textContent = contents.name;
  tunes = contents.tunes;
  list();
}

/** Lists those tunes that have the wanted words in their names. */
function list() {
  const words = byId("find").value.toLowerCase().split(/\s+/);
  const fits = ({ title, about, file }) => {
    const name = `${title} ${about} ${file}`.toLowerCase();
    return words.every((word) => name.includes(word));
  };
  const found = tunes.filter(fits);
  byId("tunes").replaceChildren(...found.map(entry));
  byId("none").hidden = found.length > 0 || tunes.length === 0;
}

function entry(tune) {
  const count = tune.errors + tune.warnings + tune.hints;
  const level = tune.errors > 0 ? "error" : tune.warnings > 0 ? "warning" : "hint";
  const findings = `${count} ${count === 1 ? "finding" : "findings"}`;
  return make(
    "li",
    {},
    make(
      "a",
      { href: addressOf(tune) },
      make("strong", {}, tune.title || "A tune without a title"),
      make("span", { class: "about" }, tune.about),
      count > 0 ? make("span", { class: `badge ${level}` }, findings) : "",
    ),
  );
}

byId("find").addEventListener("input", list);
