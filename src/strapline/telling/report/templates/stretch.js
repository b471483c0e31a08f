// Looking into a stretch of a session: it is chosen in the picture over time, by its two handles, by
// dragging across it, by clicking on a fault, or by the address, and told in the sentences beneath.
// Seconds count from the session's first; a span is [from, to).
"use strict";

(() => {
for (const explorer of document.querySelectorAll(".explorer")) explore(explorer);

function explore(explorer) {
  const picture = explorer.parentElement.querySelector(".picture");
  const end = Number(explorer.dataset.length);
  const whole = [0, end];
  const handles = ["From", "To"].map((said, place) => handle(said, (second) => {
    const [from, to] = chosen;
    mark(place ? [from, Math.max(second, from + 1)] : [Math.min(second, to - 1), to]);
    read(chosen[place] - place);
  }));
  const bracket = PAGE.element("div", { className: "handles", hidden: true }, ...handles);
  const around = PAGE.element("div", { className: "handled" });
  picture.before(around);
  around.append(picture, bracket);
  let view = null, chosen = whole, now = null, session = null, loading = null;

  function handle(said, moved) {
    const made = PAGE.element("input", { type: "range", max: end, ariaLabel: said });
    made.addEventListener("input", () => moved(Number(made.value)));
    return made;
  }

  // The seconds are of no use to who only reads, so they come when somebody looks into the picture.
  // What is said of the whole session stands on the page.
  function loaded() {
    loading ??= PAGE.script(explorer.dataset.seconds).then(() => {
      session = SECONDS;
      tell();
    });
    return loading;
  }

  // Of the picture and of the address, whichever it was chosen by.
  function choose([from, to]) {
    chosen = [from, to];
    const all = from === 0 && to === end;
    for (const part of [explorer, bracket]) part.classList.toggle("chosen", !all);
    explorer.querySelector(".span").textContent = all ? "In the whole session" : `From ${clock(from)} to ${clock(to)}`;
    const address = all ? location.pathname + location.search : `#t=${clock(from)}-${clock(to)}`;
    if (!all || location.hash.startsWith("#t=")) history.replaceState(null, "", address);
    handles.forEach((each, place) => {
      each.value = chosen[place];
      each.ariaValueText = clock(chosen[place]);
    });
    bracket.style.setProperty("--from", `${(100 * from) / end}%`);
    bracket.style.setProperty("--to", `${100 - (100 * to) / end}%`);
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
      not.textContent = `${session.devices[index].label} cannot be compared there second by second.`;
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

  // Where its lines are, across which seconds lie.
  function plot() {
    return picture.querySelector(".concat_0_group path.background").getBoundingClientRect();
  }

  function readAt(x) {
    const { left, width } = plot();
    read(Math.round(((x - left) / width) * (end - 1)));
  }

  // Under its lines whatever size the drawing is scaled to.
  function place() {
    const { left, top, width } = plot(), all = around.getBoundingClientRect();
    const share = (part, of) => `${(100 * part) / of}%`;
    Object.assign(bracket.style, {
      left: share(left - all.left, all.width), width: share(width, all.width), top: share(top - all.top, all.height),
    });
    bracket.hidden = false;
  }

  const fromAddress = () => {
    const [, from, to] = /^#t=([\d:]+)-([\d:]+)$/.exec(location.hash) ?? [];
    const [first, last] = [seconds(from ?? ""), seconds(to ?? "")];
    return first !== null && first < last ? [Math.min(first, end - 1), Math.min(last, end)] : whole;
  };

  // Its brush is at one place, whatever moved it: the selection is told what it would tell us.
  function mark([from, to]) {
    choose([from, to]);
    if (!view) return;
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
  }

  // A drawing is scaled to the room there is, of which who takes the brush for it knows nothing. A
  // finger that moves across it scrolls the page.
  for (const kind of ["pointerdown", "pointermove", "pointerup"]) {
    addEventListener(kind, (event) => {
      const svg = picture.querySelector("svg");
      if (!svg) return;
      const inside = picture.contains(event.target);
      if (inside && kind !== "pointerup") readAt(event.clientX);
      if (inside && event.pointerType === "touch") return event.stopPropagation();
      const { left, width } = svg.getBoundingClientRect();
      const scaled = left + ((event.clientX - left) * svg.viewBox.baseVal.width) / width;
      Object.defineProperty(event, "clientX", { value: scaled });
    }, true);
  }
  picture.addEventListener("drawn", ({ detail }) => {
    view = detail;
    view.addSignalListener("stretch", (_, { s }) => choose(s ? bounds(s, end) : whole));
    view.addSignalListener("fault", (_, { from, to }) => from?.[0] != null && mark([from[0], to[0]]));
    mark(chosen);
    place();
  });
  picture.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: -1, ArrowRight: 1, PageUp: -60, PageDown: 60 }[event.key];
    if (step === undefined) return;
    event.preventDefault();
    read((now ?? 0) + step);
  });
  around.addEventListener("keydown", (event) => event.key === "Escape" && mark(whole));
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

// Figures of one device over the seconds of a span at which it was compared.
function within({ reference, devices }, index, from, to) {
  const { rate } = devices[index];
  const seconds = comparedSeconds(reference, devices[index], from, to);
  if (seconds.length === 0) return { seconds: 0 };
  const ours = seconds.map((second) => reference[second]), theirs = seconds.map((second) => rate[second]);
  return {
    seconds: seconds.length,
    mae: mean(theirs.map((value, place) => Math.abs(value - ours[place]))),
    mean_reference: mean(ours),
    mean_device: mean(theirs),
    mean_difference: mean(theirs) - mean(ours),
    maximum_difference: theirs.reduce((a, b) => Math.max(a, b)) - ours.reduce((a, b) => Math.max(a, b)),
  };
}

function comparedSeconds(reference, { rate, left_out }, from, to) {
  const seconds = [];
  for (let second = from; second < to; second++) {
    const missing = reference[second] === null || rate[second] === null;
    if (!missing && !left_out.some(([a, b]) => a <= second && second < b)) seconds.push(second);
  }
  return seconds;
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
})();
