// Draws the pictures of a page from their specifications: each when it comes near the screen, the
// others when nothing else is to be done, and all of them before the page is printed.
"use strict";

const dark = matchMedia("(prefers-color-scheme: dark)");
const library = new URL("drawing.js", document.currentScript.src);
const pictures = [...document.querySelectorAll(".picture")];
const drawings = new Map();
let loading = null, printing = false;

// What draws is large, so only a page with pictures asks for it, and once.
function loaded() {
  loading ??= new Promise((done, failed) => {
    document.head.append(
      Object.assign(document.createElement("script"), { src: library, onload: done, onerror: failed }),
    );
  });
  return loading;
}

// Resolved when the picture is there.
function drawn(picture) {
  if (!drawings.has(picture)) drawings.set(picture, draw(picture));
  return drawings.get(picture);
}

async function draw(picture) {
  await loaded();
  const drawing = picture.querySelector(".drawing") ?? document.createElement("div");
  drawing.className = "drawing";
  picture.append(drawing);
  await vegaEmbed(drawing, specification(picture), {
    mode: "vega-lite", renderer: "svg", ast: true, actions: false, defaultStyle: false,
    tooltip: false, hover: false,
  });
  // A picture is one image with one text; its parts are no images of their own.
  for (const part of picture.querySelectorAll("[role]")) {
    for (const name of ["role", "aria-roledescription", "aria-label"]) part.removeAttribute(name);
  }
  picture.classList.add("drawn");
}

// In the colours of the screen, or of paper, and with its data by row.
function specification(picture) {
  const { datasets, ...rest } = JSON.parse(picture.querySelector("script").textContent);
  const { params, config } = dark.matches && !printing ? THEME.dark : THEME.light;
  const rows = Object.entries(datasets).map(([name, columns]) => [name, byRow(columns)]);
  return { ...rest, padding: 28, params, config, datasets: Object.fromEntries(rows) };
}

function byRow(columns) {
  const fields = Object.entries(columns);
  return (fields[0]?.[1] ?? []).map((_, row) =>
    Object.fromEntries(fields.map(([field, values]) => [field, values[row]])));
}

function drawAgain() {
  const before = [...drawings.keys()];
  drawings.clear();
  before.forEach(drawn);
}

const near = new IntersectionObserver((seen) => {
  for (const { isIntersecting, target } of seen) if (isIntersecting) drawn(target);
}, { rootMargin: "50%" });
for (const picture of pictures) near.observe(picture);

const atLeisure = globalThis.requestIdleCallback ?? ((next) => setTimeout(next, 200));
async function drawTheOthers() {
  const next = pictures.find((picture) => !drawings.has(picture));
  if (next === undefined) return;
  await drawn(next);
  atLeisure(drawTheOthers);
}
addEventListener("load", () => atLeisure(drawTheOthers));

dark.addEventListener("change", () => { if (!printing) drawAgain(); });
addEventListener("beforeprint", () => {
  printing = true;
  if (dark.matches) drawAgain();
  pictures.forEach(drawn);
});
addEventListener("afterprint", () => {
  printing = false;
  if (dark.matches) drawAgain();
});
