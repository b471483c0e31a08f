// What a page can do beyond being read: show its tables row by row where they are too wide, sort
// and search them, look into a stretch of a session. Everything is on the page without it.
"use strict";

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
for (const explorer of document.querySelectorAll(".explorer")) explore(explorer);

function element(name, properties = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
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
  const script = element("script", { src: sessions });
  script.addEventListener("load", () => {
    const here = SESSIONS.findIndex(([name]) => name === place.dataset.session);
    if (here < 0) return;
    const same = ([, , activity]) => activity === SESSIONS[here][2];
    const before = SESSIONS.slice(0, here).findLast(same), after = SESSIONS.slice(here + 1).find(same);
    const link = (one, said) => one && element("a", { href: `${encodeURIComponent(one[0])}.html` }, `${said}: ${one[1]}`);
    place.append(...[link(before, "Previous"), link(after, "Next")].filter(Boolean));
    place.hidden = !place.children.length;
  });
  document.head.append(script);
}

// A stretch of a session. Seconds count from the session's first; a span is [from, to).

function explore(explorer) {
  const picture = explorer.parentElement.querySelector(".picture");
  const end = Number(explorer.dataset.length);
  const whole = [0, end];
  let view = null, chosen = whole, now = null, session = null, loading = null;

  // The seconds are of no use to who only reads, so they come when somebody looks into the picture.
  // What is said of the whole session stands on the page.
  function loaded() {
    loading ??= new Promise((done) => {
      const script = element("script", { src: explorer.dataset.seconds });
      script.addEventListener("load", () => {
        session = SECONDS;
        tell();
        done();
      });
      document.head.append(script);
    });
    return loading;
  }

  // Of the picture and of the address, whichever it was chosen by.
  function choose([from, to]) {
    chosen = [from, to];
    const all = from === 0 && to === end;
    explorer.classList.toggle("chosen", !all);
    explorer.querySelector(".span").textContent = all ? "In the whole session" : `From ${clock(from)} to ${clock(to)}`;
    const address = all ? location.pathname + location.search : `#t=${clock(from)}-${clock(to)}`;
    if (!all || location.hash.startsWith("#t=")) history.replaceState(null, "", address);
    explorer.classList.toggle("waiting", !all && !session);
    if (session) tell();
    else if (!all) loaded();
  }

  function tell() {
    const [from, to] = chosen;
    explorer.classList.remove("waiting");
    explorer.querySelectorAll(".told").forEach((told, index) => {
      const figures = session.devices[index].seldom ? { seconds: 0 } : within(session, index, from, to);
      const [compared, not] = told.children;
      compared.hidden = figures.seconds === 0;
      not.hidden = !compared.hidden;
      for (const place of compared.querySelectorAll("[data-figure]")) {
        place.textContent = shown(figures[place.dataset.figure], "plus" in place.dataset);
      }
    });
    if (now !== null) explorer.querySelector(".reading").textContent = reading(session, now);
  }

  function read(second) {
    now = Math.min(Math.max(second, 0), end - 1);
    view?.signal("now", now).runAsync();
    if (session) explorer.querySelector(".reading").textContent = reading(session, now);
    else loaded();
  }

  function readAt(x) {
    const { left, width } = picture.querySelector(".concat_0_group path.background").getBoundingClientRect();
    read(Math.round(((x - left) / width) * (end - 1)));
  }

  const fromAddress = () => {
    const [, from, to] = /^#t=([\d:]+)-([\d:]+)$/.exec(location.hash) ?? [];
    const [first, last] = [seconds(from ?? ""), seconds(to ?? "")];
    return first !== null && first < last ? [Math.min(first, end - 1), Math.min(last, end)] : whole;
  };

  // Its brush is at one place, whatever moved it: the selection is told what it would tell us.
  function mark([from, to]) {
    const all = from === 0 && to === end;
    const ends = all ? [] : [from, to].map(view.scale("concat_0_x"));
    const fields = [{ field: "s", channel: "x", type: "R" }];
    const state = view.getState({ signals: (name) => name === "stretch_x", data: () => false, recurse: true });
    const set = (part) => {
      if ("stretch_x" in (part.signals ?? {})) part.signals.stretch_x = ends;
      part.subcontext?.forEach(set);
    };
    set(state);
    state.data = { stretch_store: all ? [] : [{ unit: "seconds_0", fields, values: [[from, to]] }] };
    view.setState(state);
    choose([from, to]);
  }

  // A drawing is scaled to the room there is, of which who takes the brush for it knows nothing.
  for (const kind of ["pointerdown", "pointermove", "pointerup"]) {
    addEventListener(kind, (event) => {
      const svg = picture.querySelector("svg");
      if (!svg) return;
      const { left, width } = svg.getBoundingClientRect();
      if (kind === "pointermove" && picture.contains(event.target)) readAt(event.clientX);
      const scaled = left + ((event.clientX - left) * svg.viewBox.baseVal.width) / width;
      Object.defineProperty(event, "clientX", { value: scaled });
    }, true);
  }
  picture.addEventListener("drawn", ({ detail }) => {
    view = detail;
    view.addSignalListener("stretch", (_, { s }) => choose(s ? bounds(s, end) : whole));
    view.addSignalListener("fault", (_, { from, to }) => from?.[0] != null && mark([from[0], to[0]]));
    mark(chosen);
  });
  picture.addEventListener("keydown", (event) => {
    if (event.key === "Escape") return mark(whole);
    const step = { ArrowLeft: -1, ArrowRight: 1, PageUp: -60, PageDown: 60 }[event.key];
    if (step === undefined) return;
    event.preventDefault();
    const anchor = now ?? 0;
    read(anchor + step);
    if (event.shiftKey) mark(stretched(chosen, anchor, now, whole));
  });
  explorer.querySelector("[name=whole]").addEventListener("click", () => mark(whole));
  const copy = explorer.querySelector("[name=copy]");
  copy.addEventListener("click", async () => {
    await loaded();
    const told = [...explorer.querySelectorAll(".told > :not([hidden])")].map((one) => one.innerText);
    await navigator.clipboard.writeText(`${explorer.querySelector(".span").innerText}: ${told.join(" ")}`);
    copy.textContent = "Copied";
    setTimeout(() => { copy.textContent = "Copy"; }, 2000);
  });
  addEventListener("hashchange", () => mark(fromAddress()));
  explorer.hidden = false;
  choose(fromAddress());
  if (chosen[0] > 0 || chosen[1] < end) picture.scrollIntoView();
}

// Whole seconds of what is chosen on the picture.
function bounds([from, to], end) {
  const first = Math.min(Math.max(Math.round(from), 0), end - 1);
  return [first, Math.min(Math.max(Math.round(to), first + 1), end)];
}

// The end of the stretch at which one was moves with it; else one begins where one was.
function stretched([from, to], was, now, [first, end]) {
  const other = from === first && to === end ? was : was === from ? to : was === to ? from : was;
  return bounds([Math.min(other, now), Math.max(other, now)], end);
}

// Figures of one device over the seconds of a span: its error where it was compared; averages and
// maxima over the same seconds for all devices, as the session's first sentences have them.
function within(session, index, from, to) {
  const own = session.devices.map((device) => comparedSeconds(session, device, from, to));
  const here = averaged(own)[index];
  if (own[index].length === 0) return { seconds: 0 };
  const { rate } = session.devices[index];
  const ours = here.map((second) => session.reference[second]), theirs = here.map((second) => rate[second]);
  const apart = own[index].map((second) => Math.abs(rate[second] - session.reference[second]));
  return {
    seconds: own[index].length,
    mae: mean(apart),
    mean_reference: mean(ours),
    mean_device: mean(theirs),
    mean_difference: mean(theirs) - mean(ours),
    maximum_difference: theirs.reduce((a, b) => Math.max(a, b)) - ours.reduce((a, b) => Math.max(a, b)),
  };
}

function comparedSeconds(session, { rate, left_out }, from, to) {
  const seconds = [];
  for (let second = from; second < to; second++) {
    const missing = session.reference[second] === null || rate[second] === null;
    if (!missing && !left_out.some(([a, b]) => a <= second && second < b)) seconds.push(second);
  }
  return seconds;
}

// Of each device the seconds that it is averaged over: those that all share which have half of what
// the fullest has, if that leaves half; what has less is averaged over its own.
function averaged(own) {
  const least = Math.max(...own.map((seconds) => seconds.length)) / 2;
  const enough = own.filter((seconds) => seconds.length >= least).map((seconds) => new Set(seconds));
  const shared = [...enough[0]].filter((second) => enough.every((seconds) => seconds.has(second)));
  if (shared.length < least) return own;
  return own.map((seconds) => (seconds.length >= least ? shared : seconds));
}

function mean(values) {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function reading(session, second) {
  const ours = session.reference[second];
  const parts = session.devices.map(({ label, rate }) => {
    const theirs = rate[second];
    if (theirs === null) return `${label} –`;
    return `${label} ${shown(theirs)}${ours === null ? "" : ` (${shown(theirs - ours, true)})`}`;
  });
  return [`${clock(second)}`, `${session.label} ${shown(ours)}`, ...parts].join(" · ");
}

function shown(value, plus = false) {
  if (value === undefined || value === null) return "–";
  const text = value.toFixed(1).replace(/^-(?=0\.0$)/, "");
  return (plus && Number(text) > 0 ? `+${text}` : text).replace("-", "−");
}

function clock(second) {
  const parts = [Math.floor(second / 60) % 60, second % 60].map((n) => String(n).padStart(2, "0"));
  const hours = Math.floor(second / 3600);
  return hours ? `${hours}:${parts.join(":")}` : parts.join(":").replace(/^0/, "");
}

function seconds(text) {
  const match = /^(?:(\d+):)?(\d+):(\d\d)$/.exec(text.trim());
  return match && Number(match[1] ?? 0) * 3600 + Number(match[2]) * 60 + Number(match[3]);
}
