// Draws the pictures of a page from their data: each when it comes near the screen, the others when
// nothing else is to be done, and all of them before the page is printed. How each is drawn stands
// in DRAWINGS, by its name and for three widths; its colours in THEME. PICTURES has `all` of a page,
// and resolves when one is `drawn`.
"use strict";

const PICTURES = (() => {
const dark = matchMedia("(prefers-color-scheme: dark)");
const library = new URL("drawing.js", document.currentScript.src);
const pictures = [...document.querySelectorAll(".picture")];
const drawings = new Map();
// The least width in pixels at which each is drawn. Letters are never less than 13 pixels high.
const SIZES = [["wide", 910], ["column", 500], ["phone", 0]];
let loading = null, printing = false;

// What draws is large, so only a page with pictures asks for it, and once.
function loaded() {
  return (loading ??= PAGE.script(library));
}

// Resolved when the picture is there; whoever listens on it is told of each time it is drawn.
function drawn(picture) {
  if (!drawings.has(picture)) drawings.set(picture, draw(picture));
  return drawings.get(picture);
}

async function draw(picture) {
  await loaded();
  const drawing = picture.querySelector(".drawing") ?? document.createElement("div");
  drawing.className = "drawing";
  if (!drawing.parentNode) picture.append(drawing);
  const { config } = colours();
  picture.dataset.size = sizeOf(picture);
  const { view } = await vegaEmbed(drawing, specification(picture), {
    mode: "vega-lite", renderer: "svg", ast: true, actions: false, defaultStyle: false,
    tooltip: false, hover: false, config: { ...config, background: "transparent" },
  });
  // A picture is one image with one text; its parts are no images of their own.
  for (const part of picture.querySelectorAll("[role]")) {
    for (const name of ["role", "aria-roledescription", "aria-label"]) part.removeAttribute(name);
  }
  picture.classList.add("drawn");
  picture.dispatchEvent(new CustomEvent("drawn", { detail: view }));
}

// Those of the screen, or of paper.
function colours() {
  return dark.matches && !printing ? THEME.dark : THEME.light;
}

// On paper as in a column, whatever the screen.
function sizeOf(picture) {
  if (printing) return "column";
  return SIZES.find(([, least]) => picture.clientWidth >= least)[0];
}

// How it is drawn at this width, with its own data by row.
function specification(picture) {
  const { datasets, values } = JSON.parse(picture.querySelector("script").textContent);
  const drawing = DRAWINGS[picture.dataset.name][picture.dataset.size];
  const rows = Object.entries(datasets).map(([name, columns]) => [name, byRow(columns)]);
  const params = Object.entries({ ...colours().values, ...values });
  return {
    ...drawing, padding: { left: 0, right: 0, top: 5, bottom: 5 }, 
    params: [...(drawing.params ?? []), ...params.map(([name, value]) => ({ name, value }))],
    datasets: { ...drawing.datasets, ...Object.fromEntries(rows) },
  };
}

function byRow(columns) {
  const fields = Object.entries(columns);
  const length = Math.max(0, ...fields.map(([, values]) => values.length));
  return Array.from({ length }, (_, row) =>
    Object.fromEntries(fields.map(([field, values]) => [field, values[row]])));
}

function drawAgain(which = [...drawings.keys()]) {
  for (const picture of which) drawings.delete(picture);
  which.forEach(drawn);
}

const near = new IntersectionObserver((seen) => {
  for (const { isIntersecting, target } of seen) if (isIntersecting) drawn(target);
}, { rootMargin: "50%" });
const resized = new ResizeObserver((seen) => {
  const other = seen.map(({ target }) => target).filter((picture) =>
    picture.clientWidth && drawings.has(picture) && picture.dataset.size !== sizeOf(picture));
  if (!printing) drawAgain(other);
});
for (const picture of pictures) {
  near.observe(picture);
  resized.observe(picture);
}

const atLeisure = globalThis.requestIdleCallback ?? ((next) => setTimeout(next, 200));
async function drawTheOthers() {
  const next = pictures.find((picture) => !drawings.has(picture));
  if (next === undefined) return;
  await drawn(next);
  atLeisure(drawTheOthers);
}
addEventListener("load", () => atLeisure(drawTheOthers));

// A device's name has the colour of its line.
function paintNames() {
  const [first] = pictures;
  const { places = {} } = first ? JSON.parse(first.querySelector("script").textContent).values : {};
  const { category } = colours().config.range;
  for (const name of document.querySelectorAll("[data-device]")) {
    name.style.color = category[places[name.dataset.device] % category.length] ?? "";
  }
}
paintNames();

dark.addEventListener("change", () => {
  if (printing) return;
  drawAgain();
  paintNames();
});
addEventListener("beforeprint", () => {
  printing = true;
  paintNames();
  drawAgain(pictures.filter((picture) => !picture.closest(".minded")));
});
addEventListener("afterprint", () => {
  printing = false;
  paintNames();
  drawAgain();
});

return { all: pictures, drawn };
})();
