// A picture that says where it was tapped. What is chosen is drawn over it; it grows by its buttons, and scrolls then.

const SVG = "http://www.w3.org/2000/svg";
const ZOOMS = [1, 1.5, 2.25, 3.5, 5];

function shape(kind, attributes) {
  const made = document.createElementNS(SVG, kind);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

function inked(kind, attributes) {
  // Dark below, light above: seen on any ground.
  return [shape(kind, { ...attributes, class: "dark" }), shape(kind, { ...attributes, class: "light" })];
}

function drawn(data) {
  const shapes = [];
  for (const outline of data.chosen) {
    shapes.push(shape("polygon", { points: outline, class: "chosen" }));
    shapes.push(...inked("polygon", { points: outline }));
  }
  if (data.points.length === 2) {
    const [[x0, y0], [x1, y1]] = data.points;
    shapes.push(...inked("line", { x1: x0, y1: y0, x2: x1, y2: y1, "stroke-dasharray": "9 5" }));
  }
  for (const [x, y] of data.points) shapes.push(...inked("circle", { cx: x, cy: y, r: data.width / 55 }));
  return shapes;
}

export default function ({ data, parentElement, setTriggerValue }) {
  const find = (selector) => parentElement.querySelector(selector);
  const [frame, sheet, picture, over] = [".frame", ".sheet", "img", "g"].map(find);
  if (picture.src !== data.picture) picture.src = data.picture;
  picture.alt = data.alt;
  find("svg").setAttribute("viewBox", `0 0 ${data.width} ${data.height}`);
  over.replaceChildren(...drawn(data));

  const zoom = (step) => {
    const now = ZOOMS.indexOf(Number(frame.dataset.zoom || 1));
    const next = ZOOMS[Math.min(Math.max(now + step, 0), ZOOMS.length - 1)];
    const middle = [
      (frame.scrollLeft + frame.clientWidth / 2) / frame.scrollWidth,
      (frame.scrollTop + frame.clientHeight / 2) / frame.scrollHeight,
    ];
    frame.dataset.zoom = next;
    sheet.style.width = `${100 * next}%`;
    frame.scrollLeft = middle[0] * frame.scrollWidth - frame.clientWidth / 2;
    frame.scrollTop = middle[1] * frame.scrollHeight - frame.clientHeight / 2;
  };
  find(".larger").onclick = () => zoom(1);
  find(".smaller").onclick = () => zoom(-1);
  picture.onclick = (event) => {
    const box = picture.getBoundingClientRect();
    const tap = { across: (event.clientX - box.left) / box.width, down: (event.clientY - box.top) / box.height };
    setTriggerValue("tap", tap);
  };
}
