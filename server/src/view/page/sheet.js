// The drawn tune. A new drawing takes the place of the old one without moving what is read.

import { byId } from "./elements.js";

const music = byId("music");

/** How far below the top of the window the topmost bar in sight is, and which it is. */
function anchor() {
  const top = document.querySelector("header").getBoundingClientRect().bottom;
  for (const bar of music.querySelectorAll("[data-bar]")) {
    const box = bar.getBoundingClientRect();
    if (box.bottom > top) return { number: bar.dataset.bar, at: box.top };
  }
  return undefined;
}

let shown;

/** Shows `pages`, drawings as SVG; says whether they differ from those shown before. */
export function draw(pages) {
  const texts = pages.join("");
  if (texts === shown) return false;
  const before = scrollY > 0 ? anchor() : undefined;
  const focused = document.activeElement.closest("#music [data-bar]")?.dataset.bar;
  music.replaceChildren(...pages.map(read));
  shown = texts;
  const now = before && barElement(before.number);
  if (now) scrollBy({ top: now.getBoundingClientRect().top - before.at, behavior: "instant" });
  return { focused };
}

function read(text) {
  const { documentElement: svg } = new DOMParser().parseFromString(text, "image/svg+xml");
  if (svg.localName !== "svg") throw new Error("the drawing cannot be read");
  svg.classList.add("sheet");
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  // What is read aloud of a bar would hang over the music, as a title, wherever the pointer rests.
  const [title, ...titles] = svg.querySelectorAll(":scope > title, [data-bar] > title");
  svg.setAttribute("aria-label", title.textContent);
  for (const one of [title, ...titles]) one.remove();
  return document.importNode(svg, true);
}

/** The bar with a number. One that is too long for a line is drawn in pieces, of which this is the first. */
export const barElement = (number) => music.querySelector(`[data-bar="${number}"]`);

export const bars = () => music.querySelectorAll("[data-bar]");

/** Where an event of a bar is drawn. */
export const eventElement = (bar, event) => music.querySelector(`[data-bar="${bar}"] [data-event="${event}"]`);

/** Where a count below a bar is drawn. */
export const countElement = (bar, number) => music.querySelector(`[data-bar="${bar}"] [data-count="${number}"]`);

/** How wide the music can be, in points, at `scale` pixels a point. */
export const room = (scale) => Math.round(music.clientWidth / scale);
