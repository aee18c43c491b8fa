// Elements found and made. Text is only ever set as text, so nothing in a tune can become part of the page.

export const byId = (id) => document.getElementById(id);

/** An element with attributes, and what is in it: elements and texts. */
export function make(name, attributes = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "onclick") element.addEventListener("click", value);
    else if (value !== undefined && value !== false) element.setAttribute(key, value === true ? "" : value);
  }
  element.append(...inside);
  return element;
}

/** Whether moving things about is welcome. */
export const movesFreely = () => !matchMedia("(prefers-reduced-motion: reduce)").matches;

/** Brings `element` into sight, above the player. */
export function bringIntoSight(element, block = "center") {
  element.scrollIntoView({ block, inline: "nearest", behavior: movesFreely() ? "smooth" : "auto" });
}
