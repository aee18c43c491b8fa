// What is lit on the sheet: frames laid over what is played, chosen, or pointed at. They are shapes, so that nothing is
// said by colour alone, and lie above the drawing without being part of it.

const NAMESPACE = "http://www.w3.org/2000/svg";
/** How far a frame stands off from what it is about, in points. */
const MARGIN = { note: 2.2, count: 2, bar: 3, chosen: 1.5, pointed: 4, focused: 4.5 };

/** Frames of whole bars, which are as high as each other along a line, whatever stands above each. */
const WHOLE = new Set(["bar", "chosen", "focused"]);

const lit = new Map();

/** Lights `element` as `kind`, in place of what was lit so before; nothing where there is none. */
export function light(kind, element) {
  const before = lit.get(kind);
  if (before?.element === element) return;
  if (!element) {
    before?.frame.remove();
    lit.delete(kind);
    return;
  }
  const frame = before?.frame ?? rectangle(kind);
  lay(frame, kind, element);
  lit.set(kind, { frame, element });
}

export const unlight = () => ["note", "count", "bar"].forEach((kind) => light(kind, undefined));

/** Forgets everything, after a new drawing. */
export function forget() {
  for (const { frame } of lit.values()) frame.remove();
  lit.clear();
}

let chosen = [];

/** Marks `bars` as chosen. */
export function choose(bars) {
  chosen.forEach((frame) => frame.remove());
  chosen = bars.map((bar) => {
    const frame = rectangle("chosen");
    lay(frame, "chosen", bar);
    return frame;
  });
}

function rectangle(kind) {
  const frame = document.createElementNS(NAMESPACE, "rect");
  frame.setAttribute("class", `lit ${kind}`);
  frame.setAttribute("rx", "2.5");
  return frame;
}

/** From where to where the bars of a bar's line reach. */
function lineOf(bar) {
  const boxes = [...bar.closest(".system").querySelectorAll(".bar")].map((one) => one.getBBox());
  const y = Math.min(...boxes.map((box) => box.y));
  return { y, height: Math.max(...boxes.map((box) => box.y + box.height)) - y };
}

function lay(frame, kind, element) {
  const svg = element.ownerSVGElement;
  const { x, width } = element.getBBox();
  const { y, height } = WHOLE.has(kind) ? lineOf(element) : element.getBBox();
  const margin = MARGIN[kind];
  const set = (name, value) => frame.setAttribute(name, value.toFixed(2));
  set("x", x - margin);
  set("y", y - margin);
  set("width", width + 2 * margin);
  set("height", height + 2 * margin);
  if (frame.parentNode !== svg) svg.append(frame);
}
