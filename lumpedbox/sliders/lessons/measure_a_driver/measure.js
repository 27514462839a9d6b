// Measuring a driver: steps with their drawings and readings, the curves as they grow, and what comes of them.
const PLACE = "lumpedbox measure a driver";
const WAIT = 300; // ms after the last key
const COLOURS = { free_air: "one", added_mass: "two", known_box: "three", free_air_again: "four", sheet: "five" };
const ROUND = [1, 2, 5];

function recalled() {
  try {
    return JSON.parse(localStorage.getItem(PLACE) ?? "{}") ?? {};
  } catch {
    return {}; // the reader has closed it, or half of it is gone
  }
}
function remember(typed) {
  try {
    if (Object.keys(typed).length) localStorage.setItem(PLACE, JSON.stringify(typed));
    else localStorage.removeItem(PLACE);
  } catch {
    // a full store: the page goes on without it
  }
}
// Ticks at 1, 2 and 5 of each power of ten between two ends.
function ticks(low, high) {
  const found = [];
  for (let power = Math.floor(Math.log10(low)); power <= Math.ceil(Math.log10(high)); power += 1)
    for (const one of ROUND) if (one * 10 ** power >= low && one * 10 ** power <= high) found.push(one * 10 ** power);
  return found;
}
function mark(key, x, y) {
  const at = { class: `lb-me-mark ${COLOURS[key]}` };
  if (key === "added_mass") return draw("rect", { ...at, x: x - 3.5, y: y - 3.5, width: 7, height: 7 });
  if (key === "known_box") return draw("path", { ...at, d: `M${x},${y - 5} l5,9 h-10 Z` });
  if (key === "free_air_again") return draw("path", { ...at, d: `M${x - 4},${y - 4} l8,8 m0,-8 l-8,8` });
  return draw("circle", { ...at, cx: x, cy: y, r: 4 });
}
function ring(x, y) {
  return draw("circle", { class: "lb-me-ring", cx: x, cy: y, r: 8 });
}
function createPicture(model) {
  const svg = draw("svg", { class: "lb-me-svg", role: "img" }), legend = make("p", { class: "lb-me-legend" });
  const host = make("div", { class: "lb-me-picture" }, svg, legend);
  const update = () => {
    const curves = model.get("curves"), width = Math.max(host.clientWidth, 240), height = Math.round(Math.min(Math.max(0.5 * width, 180), 330));
    svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    svg.setAttribute("height", height);
    svg.setAttribute("aria-label", model.get("seen"));
    const all = curves.flatMap(({ points, fit }) => [...points, ...fit]);
    const xs = all.map(([f]) => f), ys = all.map(([, z]) => z);
    const x0 = Math.min(20, ...xs) / 1.05, x1 = Math.max(200, ...xs) * 1.05, y0 = Math.min(3, ...ys) / 1.1, y1 = Math.max(30, ...ys) * 1.1;
    const left = 34, right = width - 8, top = 18, bottom = height - 36;
    const x = (f) => left + ((right - left) * Math.log(f / x0)) / Math.log(x1 / x0);
    const y = (z) => bottom - ((bottom - top) * Math.log(z / y0)) / Math.log(y1 / y0);
    const text = (at, words, anchor = "middle") => {
      const made = draw("text", { ...at, "text-anchor": anchor });
      made.textContent = words;
      return made;
    };
    const grid = [
      ...ticks(x0, x1).flatMap((f) => [draw("line", { class: "grid", x1: x(f), x2: x(f), y1: top, y2: bottom }), text({ x: x(f), y: bottom + 14 }, `${f}`)]),
      ...ticks(y0, y1).flatMap((z) => [draw("line", { class: "grid", x1: left, x2: right, y1: y(z), y2: y(z) }), text({ x: left - 4, y: y(z) + 4 }, `${z}`, "end")]),
    ];
    const path = (points) => points.map(([f, z], n) => `${n ? "L" : "M"}${x(f).toFixed(1)},${y(z).toFixed(1)}`).join("");
    const lines = curves.filter(({ fit }) => fit.length).map(({ key, fit }) => draw("path", { class: `lb-me-line ${COLOURS[key]}`, d: path(fit) }));
    const dots = curves.flatMap(({ key, points }) => points.map(([f, z]) => mark(key, x(f), y(z))));
    const rings = curves.flatMap(({ left_out }) => left_out.map(([f, z]) => ring(x(f), y(z))));
    svg.replaceChildren(...grid, text({ x: left, y: 12 }, "|Z| [ohm]", "start"), text({ x: right, y: height - 2 }, "frequency [Hz]", "end"), ...lines, ...dots, ...rings);
    legend.replaceChildren(
      ...curves.map(({ key, name }) => {
        const sign = draw("svg", { viewBox: "0 0 30 12", width: 30, height: 12, "aria-hidden": "true" }, draw("path", { class: `lb-me-line ${COLOURS[key]}`, d: "M1,6 H29" }));
        if (key !== "sheet") sign.append(mark(key, 15, 6));
        return make("span", {}, sign, ` ${name}`);
      }),
      ...(rings.length ? [make("span", {}, draw("svg", { viewBox: "0 0 20 20", width: 20, height: 20, "aria-hidden": "true" }, ring(10, 10)), " left out of the fit")] : []),
    );
  };
  model.on("change:curves", update);
  new ResizeObserver(update).observe(host);
  update();
  return host;
}
function tableOf(heads, rows) {
  const row = ([name, ...cells]) => make("tr", {}, make("th", { scope: "row", text: name }), ...cells.map((text) => make("td", { text })));
  const head = make("thead", {}, make("tr", {}, ...heads.map((text) => make("th", { scope: "col", text }))));
  return make("table", {}, head, make("tbody", {}, ...rows.map(row)));
}
function listOf(texts, kind) {
  return make("ul", { class: kind }, ...texts.map((text) => make("li", { text })));
}
function createResult(model) {
  const doubts = make("div", { class: "lb-me-doubts" }), facts = make("div", { class: "lb-me-facts" }), folded = make("div");
  const fold = make("details", { class: "lb-me-fold" }, make("summary", { text: "More numbers, and what this cannot show", ...KEEPS_KEYS }), folded);
  const update = () => {
    const get = (name) => model.get(name);
    doubts.replaceChildren(...(get("doubts").length ? [make("h2", { text: "What speaks against it" }), listOf(get("doubts"), "lb-me-wrong")] : []));
    facts.replaceChildren(...(get("facts").length ? [tableOf(get("heads"), get("facts")), listOf(get("beside"), "")] : []));
    folded.replaceChildren(...(get("further").length ? [tableOf(get("heads"), get("further"))] : []), listOf(get("unseen"), ""));
    fold.hidden = !get("facts").length;
  };
  for (const name of ["doubts", "facts", "beside", "further", "unseen"]) model.on(`change:${name}`, update);
  update();
  return [facts, doubts, fold];
}
function fieldOf({ key, label, options }, send) {
  const id = unlike();
  const input = options.length
    ? make("select", { id, ...KEEPS_KEYS }, ...options.map((text, n) => make("option", { value: n ? text : "", text })))
    : make("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", ...KEEPS_KEYS });
  input.dataset.key = key;
  input.addEventListener("input", () => send(key, input.value.trim(), Boolean(options.length)));
  input.addEventListener("change", () => send(key, input.value.trim(), true));
  return make("div", { class: "lb-me-field" }, make("label", { for: id, text: label }), input);
}
function small(label, name) {
  const id = unlike(), input = make("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", ...KEEPS_KEYS });
  input.dataset.reading = name;
  return make("div", { class: "lb-me-small" }, make("label", { for: id, text: label }), input);
}
function readingsOf(key, model, send, flush) {
  const fields = { frequency: small("Frequency [Hz]", "frequency"), driver: small("Across the driver [V]", "driver"), resistor: small("Across the resistor [V]", "resistor") };
  const input = (name) => fields[name].querySelector("input");
  const form = make("form", { class: "lb-me-add" }, ...Object.values(fields));
  const given = () => Object.fromEntries(Object.keys(fields).map((name) => [name, input(name).value.trim()]));
  let asked = "", count = 0, sent = {};
  const isAsSent = (name) => input(name).value.trim() === sent[name];
  form.append(make("button", { type: "submit", text: "Add the reading", ...KEEPS_KEYS }));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    flush();
    sent = given();
    model.send({ add: { curve: key, ...sent } });
  });
  const meter = button("Let the page read the meters", () => {
    flush();
    sent = given();
    model.send({ meter: { curve: key, frequency: sent.frequency } });
  });
  form.append(meter);
  const id = unlike(), lines = make("textarea", { id, rows: 3, spellcheck: "false", ...KEEPS_KEYS, placeholder: "frequency [Hz], driver [V], resistor [V]" });
  lines.dataset.key = key;
  lines.addEventListener("input", () => send(key, lines.value, false));
  lines.addEventListener("change", () => send(key, lines.value, true));
  const pick = unlike(), file = make("input", { id: pick, type: "file", accept: ".csv,.txt,text/csv", ...KEEPS_KEYS });
  file.addEventListener("change", async () => {
    if (!file.files.length) return;
    flush();
    model.send({ file: { curve: key, ...(await textOf(file.files[0])) } });
    file.value = "";
  });
  const undo = button("Undo", () => model.send({ undo: key }));
  // What was typed since the reading was sent is the next one, and stays.
  const update = () => {
    const next = model.get("coming")[key] ?? "", now = model.get("added")[key] ?? 0, added = now !== count;
    const isDone = input("frequency").value === asked || (added && isAsSent("frequency"));
    const done = ["driver", "resistor"].filter(isAsSent), goesOn = isDone && done.length === 2;
    if (isDone) input("frequency").value = next;
    asked = next;
    if (added) {
      for (const name of done) input(name).value = "";
      if (goesOn && form.contains(document.activeElement)) (model.get("practice") ? meter : input("driver")).focus();
    }
    count = now;
    meter.hidden = !model.get("practice");
    undo.hidden = !model.get("undo").includes(key);
    lines.setAttribute("aria-invalid", String(key in model.get("wrong")));
  };
  for (const name of ["coming", "added", "practice", "undo", "wrong"]) model.on(`change:${name}`, update);
  update();
  const all = make("details", { class: "lb-me-fold" }, make("summary", { text: "All readings, and a file", ...KEEPS_KEYS }));
  all.append(make("label", { for: id, text: "Readings, one a line" }), lines, make("div", { class: "lb-me-file" }, make("label", { for: pick, text: "Read a file" }), file, undo));
  return [form, all];
}
function stepOf(spec, model, send, flush) {
  const { key, title, how, caution, drawing, alternative, fields, curve } = spec;
  const picture = make("div", { class: "lb-me-drawing" });
  picture.innerHTML = drawing; // our own file
  picture.querySelector("svg").setAttribute("role", "img");
  picture.querySelector("svg").setAttribute("aria-label", alternative);
  const told = make("div", { class: "lb-me-told", role: "status" });
  const body = make("div", { class: "lb-me-body" }, picture, make("ol", {}, ...how.map((text) => make("li", { text }))), make("p", { class: "lb-me-caution", text: caution }));
  body.append(make("div", { class: "lb-me-fields" }, ...fields.map((one) => fieldOf(one, send))), told, ...(curve ? readingsOf(key, model, send, flush) : []));
  const step = make("details", { class: "lb-me-step", id: `step-${key}` }, make("summary", { ...KEEPS_KEYS }, make("h2", { text: title })), body);
  if (key === "bench") step.open = true;
  step.addEventListener("toggle", () => {
    if (step.open) for (const other of step.parentElement.children) other.open = other === step; // one at a time
  });
  const update = () => {
    const lines = model.get("told")[key] ?? [];
    told.replaceChildren(...lines.map(({ kind, text }) => make("p", { class: `lb-me-${kind}`, text })));
  };
  model.on("change:told", update);
  update();
  return step;
}
export default {
  render({ model, el }) {
    let waiting, typed = model.get("typed");
    const page = make("div", { class: "lb-me" }), headline = make("p", { class: "lb-me-headline", "aria-live": "polite" });
    const tell = () => {
      clearTimeout(waiting);
      waiting = undefined;
      model.set("typed", { ...typed });
      model.save_changes();
    };
    const flush = () => waiting !== undefined && tell();
    const send = (key, text, now) => {
      typed = { ...typed };
      if (text) typed[key] = text;
      else delete typed[key];
      remember(typed);
      clearTimeout(waiting);
      if (now) tell();
      else waiting = setTimeout(tell, WAIT);
    };
    const steps = make("div", { class: "lb-me-steps" }, ...model.get("steps").map((spec) => stepOf(spec, model, send, flush)));
    const units = make("select", { "aria-label": "Units", ...KEEPS_KEYS }, ...model.get("systems").map((text) => make("option", { text })));
    units.addEventListener("change", () => {
      model.set("system", units.value);
      model.save_changes();
    });
    const clear = button("Clear all readings", () => model.send({ clear: true }));
    const result = make("div", { class: "lb-me-result" }, createPicture(model), ...createResult(model), make("div", { class: "lb-me-buttons" }, units, clear));
    page.append(headline, make("div", { class: "lb-me-columns" }, steps, result));
    el.append(page);
    const places = () => {
      for (const input of page.querySelectorAll("[data-key]"))
        if (input !== document.activeElement || input.value.trim() !== (typed[input.dataset.key] ?? "").trim()) input.value = typed[input.dataset.key] ?? "";
    };
    const show = () => {
      write(headline, model.get("headline"));
      units.value = model.get("system");
      for (const input of page.querySelectorAll(".lb-me-field [data-key]")) input.setAttribute("aria-invalid", String(input.dataset.key in model.get("wrong")));
    };
    const labels = () => {
      const fields = new Map(model.get("steps").flatMap(({ fields }) => fields).map((one) => [one.key, one.label]));
      for (const input of page.querySelectorAll(".lb-me-field [data-key]")) write(input.previousSibling, fields.get(input.dataset.key));
    };
    if (!Object.keys(typed).length) {
      typed = recalled();
      if (Object.keys(typed).length) tell();
    }
    places();
    show();
    for (const name of ["headline", "wrong", "system"]) model.on(`change:${name}`, show);
    model.on("change:steps", labels);
    model.on("change:typed", () => {
      if (waiting !== undefined || JSON.stringify(model.get("typed")) === JSON.stringify(typed)) return;
      typed = model.get("typed");
      remember(typed);
      places();
    });
    return () => clearTimeout(waiting);
  },
};
