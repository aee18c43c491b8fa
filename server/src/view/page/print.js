// The music on paper: a drawing for each of its systems, since a browser would cut a single one anywhere.

import { byId } from "./elements.js";

const paper = byId("print");

/** The stretches of a drawing from one system's foot to the next one's, as drawings. */
function slices(svg) {
  const { width, height } = svg.viewBox.baseVal;
  const blocks = [...svg.children].filter((child) => child.matches("g"));
  const feet = blocks.map((block) => block.getBBox()).map((box) => box.y + box.height);
  return blocks.map((block, at) => {
    const [top, foot] = [at === 0 ? 0 : feet[at - 1], at === blocks.length - 1 ? height : feet[at]];
    const slice = svg.cloneNode(false);
    slice.setAttribute("viewBox", `0 ${top} ${width} ${Math.max(foot - top, 0)}`);
    slice.append(block.cloneNode(true));
    return slice;
  });
}

addEventListener("beforeprint", () => paper.replaceChildren(...[...document.querySelectorAll("#music svg")].flatMap(slices)));
addEventListener("afterprint", () => paper.replaceChildren());
