// What the page keeps from one time to the next. A browser may keep nothing, as in a frame: then it is forgotten.

const prefix = "lope.";

export function recall(name, otherwise) {
  try {
    return JSON.parse(localStorage.getItem(prefix + name)) ?? otherwise;
  } catch {
    return otherwise;
  }
}

export function remember(name, value) {
  try {
    localStorage.setItem(prefix + name, JSON.stringify(value));
  } catch {
    // Forgotten.
  }
}
