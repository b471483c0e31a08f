// What a page can do beyond being read: show its tables row by row where they are too wide, sort
// and search them, unfold what is folded, lead to its neighbours. Everything is on the page without
// it. PAGE is what the scripts of all pages share.
"use strict";

const PAGE = (() => {
const phone = matchMedia("(max-width: 40rem)");
const regions = new ResizeObserver((seen) => requestAnimationFrame(() => fit(seen.map(({ target }) => target))));
const sessions = new URL("sessions.js", document.currentScript.src);

for (const table of document.querySelectorAll("table")) labelCells(table);
for (const table of document.querySelectorAll("table[data-sort]")) makeSortable(table);
for (const table of document.querySelectorAll("table[data-search]")) makeSearchable(table);
for (const region of document.querySelectorAll(".wide")) {
  region.firstElementChild.classList.toggle("stacked", phone.matches);
  regions.observe(region);
}
for (const place of document.querySelectorAll(".neighbours")) showNeighbours(place);

function element(name, properties = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
}

// Resolved when the script has run: of what stands in a file beside the page there is no other way
// to read it from a disk.
function script(src) {
  return new Promise((onload, onerror) => document.head.append(element("script", { src, onload, onerror })));
}

// Tables

// A table that is wider than its page, or on a phone, stands row by row; the heads of any other stay
// in sight. All are measured at once, for a page has many.
function fit(around) {
  for (const region of around) region.firstElementChild.classList.remove("stacked");
  const wide = around.map((region) => phone.matches || region.scrollWidth > region.clientWidth + 1);
  around.forEach((region, place) => {
    region.firstElementChild.classList.toggle("stacked", wide[place]);
    region.classList.toggle("fits", !wide[place]);
  });
}

// Gives each cell the heading of its column, which the style sheet shows where rows are stacked.
function labelCells(table) {
  const headings = columnHeadings(table.tHead);
  for (const row of [...table.tBodies].flatMap((body) => [...body.rows])) {
    [...row.cells].forEach((cell, column) => {
      if (cell.localName === "td") cell.dataset.label = headings[column] ?? "";
    });
  }
}

// The text over each column, of several rows of headings from the top down.
function columnHeadings(head) {
  const above = [];
  [...head.rows].forEach((row, depth) => {
    let column = 0;
    for (const cell of row.cells) {
      while (above[column]?.until > depth) column += 1;
      for (let place = column; place < column + cell.colSpan; place += 1) {
        const texts = [...(above[place]?.texts ?? []), heading(cell)];
        above[place] = { texts: texts.filter(Boolean), until: depth + cell.rowSpan };
      }
      column += cell.colSpan;
    }
  });
  return above.map(({ texts }) => texts.join(", "));
}

// What a heading says, without what stands small beneath it.
function heading(cell) {
  const said = [...cell.childNodes].filter((node) => node.localName !== "small");
  return said.map((node) => node.textContent).join("").trim();
}

function makeSortable(table) {
  const headings = [...table.tHead.rows[0].cells];
  headings.forEach((heading, column) => {
    const button = element("button", { type: "button" }, ...heading.childNodes);
    heading.append(button);
    button.addEventListener("click", () => {
      // Of figures the worst comes first.
      const ascending = heading.ariaSort ? heading.ariaSort !== "ascending" : heading.className !== "n";
      for (const other of headings) other.ariaSort = null;
      heading.ariaSort = ascending ? "ascending" : "descending";
      table.tBodies[0].append(...sorted(table.tBodies[0].rows, column, ascending));
    });
  });
}

function sorted(rows, column, ascending) {
  const keyed = [...rows].map((row) => [sortKey(heading(row.cells[column])), row]);
  keyed.sort(([a], [b]) => {
    if (a === null || b === null) return (a === null) - (b === null); // missing ones last
    const order = typeof a === typeof b ? compared(a, b) : typeof a === "number" ? -1 : 1;
    return ascending ? order : -order;
  });
  return keyed.map(([, row]) => row);
}

function sortKey(text) {
  if (text === "" || text === "–") return null;
  const number = Number(text.replace("−", "-"));
  return Number.isNaN(number) ? text : number;
}

function compared(a, b) {
  return typeof a === "number" ? a - b : a.localeCompare(b, "en", { numeric: true });
}

function makeSearchable(table) {
  const field = element("input", { type: "search", autocomplete: "off" });
  const count = element("output");
  const rows = [...table.tBodies[0].rows];
  const filters = filtersOf(table, rows);
  const choices = filters.map(({ name, select }) => element("label", {}, name, select));
  table.closest(".wide").before(
    element("p", { className: "search" }, element("label", {}, table.dataset.search, field), ...choices, count),
  );
  function find() {
    const wanted = field.value.toLowerCase().split(/\s+/);
    for (const row of rows) {
      const text = row.textContent.toLowerCase();
      row.hidden = !wanted.every((word) => text.includes(word)) || !filters.every(({ keeps }) => keeps(row));
    }
    const shown = rows.filter((row) => !row.hidden).length;
    count.value = shown < rows.length ? `${shown} of ${rows.length}` : "";
  }
  field.addEventListener("input", find);
  for (const { select, sorts } of filters) {
    select.addEventListener("change", () => {
      find();
      if (sorts && select.value) worstFirst(table.tHead.rows[0].cells[select.value]);
    });
  }
}

function worstFirst(heading) {
  heading.ariaSort = null;
  heading.querySelector("button").click();
}

// One a word of `data-filter`: of columns that share it, which of them has something in a row; of a
// column of its own, what it says.
function filtersOf(table, rows) {
  const columns = Map.groupBy([...table.tHead.rows[0].cells], (heading) => heading.dataset.filter);
  columns.delete(undefined);
  return [...columns].map(([name, headings]) => {
    const select = element("select", {}, element("option", { value: "" }, "all"));
    const says = (row, column) => row.cells[column].textContent.trim();
    const one = headings.length === 1 && headings[0].className !== "n" ? headings[0].cellIndex : null;
    const options = one === null
      ? headings.map((each) => [each.cellIndex, each.textContent.trim()])
      : [...new Set(rows.map((row) => says(row, one)))].sort().map((said) => [said, said]);
    select.append(...options.map(([value, said]) => element("option", { value }, said)));
    const keeps = (row) => select.value === "" || (one === null ? says(row, select.value) !== "" : says(row, one) === select.value);
    return { name, select, keeps, sorts: one === null };
  });
}

// What is folded

// It is printed unfolded; a link to something folded unfolds it.
const unfolded = new Set();
addEventListener("beforeprint", () => {
  for (const details of document.querySelectorAll("details:not([open], .minded)")) {
    details.open = true;
    unfolded.add(details);
  }
});
addEventListener("afterprint", () => {
  for (const details of unfolded) details.open = false;
  unfolded.clear();
});
function unfoldTarget() {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (target?.localName === "details") target.open = true;
}
addEventListener("hashchange", unfoldTarget);
unfoldTarget();

// The sessions of the same activity before and after this one; a page that is taken out of its
// report has none.
function showNeighbours(place) {
  script(sessions).then(() => {
    const here = SESSIONS.findIndex(([name]) => name === place.dataset.session);
    if (here < 0) return;
    const same = ([, , activity]) => activity === SESSIONS[here][2];
    const before = SESSIONS.slice(0, here).findLast(same), after = SESSIONS.slice(here + 1).find(same);
    const link = (one, said) => one && element("a", { href: `${encodeURIComponent(one[0])}.html` }, `${said}: ${one[1]}`);
    place.append(...[link(before, "Previous"), link(after, "Next")].filter(Boolean));
    place.hidden = !place.children.length;
  }, () => {});
}

return { element, script };
})();
