// The controls: a slider beside its number, a choice, grouped by what they belong to.
const REST = 250; // ms after the last move
const ON_A_LINE = 40; // letters of a label and of what is chosen beside it, that are not cut off

// What is moved waits until the kernel is free, and a message does not: so each message takes along what was moved last.
function inOrder(model) {
  return { ...model, send: (message, ...more) => model.send({ ...message, moved: model.get("moved") }, ...more) };
}

// The controls as a form, with what stands below them in it. What is folded away stands right under it, however high
// the picture is.
function createSheet(model, ...below) {
  const controls = make("div", { class: "lb-controls" }), sheet = make("form", { class: "lb-form-of-controls" }, controls, ...below);
  sheet.addEventListener("submit", (event) => event.preventDefault());
  const measure = new ResizeObserver(() => sheet.closest(".lb-page")?.style.setProperty("--lb-controls", `${sheet.offsetHeight}px`));
  measure.observe(sheet);
  const left = new AbortController();
  const remove = () => {
    measure.disconnect();
    left.abort();
  };
  return { sheet, put: createControls(controls, model, { signal: left.signal }), remove };
}

function createControls(host, model, heard) {
  const rows = new Map(), groups = new Map();
  let resting, moved = {}, number = model.get("moved").number ?? 0; // of a page that is shown anew: it goes on
  const rest = () => {
    clearTimeout(resting);
    resting = setTimeout(() => model.send({ rest: true }), REST);
  };
  asItIsLeft(() => clearTimeout(resting), heard);
  // What is sent may have to wait until the kernel is free: it tells what was moved just now, and nothing of the rest.
  const push = (wanted) => {
    const now = performance.now(), stamped = Object.entries(wanted).map(([name, value]) => [name, [value, now]]);
    moved = Object.fromEntries(Object.entries({ ...moved, ...Object.fromEntries(stamped) }).filter(([, [, when]]) => now - when < REST));
    const places = Object.fromEntries(Object.entries(moved).map(([one, [where]]) => [one, where]));
    model.set("moved", { number: (number += 1), places });
    for (const name of Object.keys(wanted)) rows.get(name).sent = number;
    model.save_changes();
    rest();
  };
  // Moves controls from elsewhere on the page, such as the plan.
  const put = (wanted) => {
    for (const [name, value] of Object.entries(wanted)) rows.get(name).put(value);
    push(wanted);
  };
  const build = () => {
    const specs = model.get("controls");
    // the same rows with other stops or units: one of them may be in a hand, which new ones would lose
    if (specs.length === rows.size && specs.every((spec) => rows.get(spec.name)?.respec(spec))) return update();
    const open = [...host.querySelectorAll(".lb-more[open]")].map((fold) => fold.dataset.group);
    const before = new Map(rows), used = host.contains(document.activeElement) && document.activeElement.dataset.name;
    rows.clear();
    groups.clear();
    for (const spec of specs) {
      const row = spec.options ? choiceRow(spec, push) : spec.lines ? linesRow(spec, model) : sliderRow(spec, push, model);
      row.sent = before.get(spec.name)?.sent;
      rows.set(spec.name, row);
      if (!groups.has(spec.group)) groups.set(spec.group, createGroup(spec.group, model.get("folded").includes(spec.group)));
      groups.get(spec.group).append(row.element);
    }
    host.replaceChildren(...[...groups.values()].map((group) => group.closest(".lb-more") ?? group));
    for (const fold of host.querySelectorAll(".lb-more")) fold.open = open.includes(fold.dataset.group);
    offer();
    update();
    if (used) host.querySelector(`[data-name="${CSS.escape(used)}"]`)?.focus();
  };
  // Buttons that move several controls at once stand with their group.
  const offer = () => {
    const offers = model.get("plan").offers ?? [];
    for (const [name, group] of groups) {
      const offered = offers.filter((one) => one.group === name);
      let row = group.querySelector(".lb-offers");
      if (!row && !offered.length) continue;
      row ??= group.appendChild(make("div", { class: "lb-offers" }));
      if (row.dataset.offers === (row.dataset.offers = JSON.stringify(offered))) continue; // one of them may be in use
      row.replaceChildren(...offered.map(({ text, places }) => button(text, () => put(places))));
    }
  };
  const update = () => {
    const [places, shown, hidden, refused, mistyped] = ["places", "shown", "hidden", "refused", "mistyped"].map((name) => model.get(name));
    const answered = model.get("answered");
    for (const [name, row] of rows) {
      row.refuse(refused[name] ?? "");
      const overtaken = (row.sent ?? 0) > answered; // the hand has moved on since: its next answer is on the way
      if (name in places && !overtaken) row.stand(places[name], shown[name], mistyped[name]);
      row.element.hidden = hidden.includes(name);
    }
    const asleep = model.get("asleep") && model.get("guess").obligatory && !model.get("guess").chosen;
    for (const group of host.children) {
      group.hidden = [...group.querySelectorAll(".lb-row")].every((row) => row.hidden);
      group.disabled = Boolean(asleep);
    }
    unfold();
  };
  // What is moved in a fold by a link or a kept drawing is to be seen; who closes it then, keeps it closed.
  const unfold = () => {
    const places = model.get("places"), start = model.get("start");
    for (const fold of host.querySelectorAll(".lb-more")) {
      const used = [...rows].some(([name, { element }]) => fold.contains(element) && places[name] !== start[name]);
      if (used && fold.dataset.used !== "true") fold.open = true;
      fold.dataset.used = used;
    }
  };
  model.on("change:controls", build);
  model.on("change:plan", offer);
  for (const name of ["places", "answered", "shown", "hidden", "refused", "mistyped", "asleep", "guess"]) model.on(`change:${name}`, update);
  model.on("msg:custom", ({ read }) => read && update()); // in the field's unit, as the page has taken it
  build();
  rest();
  return put;
}

function createGroup(name, folded) {
  if (!folded) return make("fieldset", {}, make("legend", { text: name }));
  const group = make("fieldset", { "aria-label": name });
  make("details", { class: "lb-more", "data-group": name }, make("summary", { text: name, ...KEEPS_KEYS }), group);
  return group;
}

function sliderRow(spec, push, model) {
  const id = unlike();
  const range = make("input", { type: "range", min: 0, step: 1, "data-name": spec.name, ...KEEPS_KEYS });
  const number = make("input", {
    type: "text", inputmode: "decimal", autocomplete: "off", id, "data-name": `${spec.name} typed`, ...KEEPS_KEYS,
  });
  const unit = make("span", { class: "lb-unit" }), note = make("span", { class: "lb-unit" });
  const wrong = make("div", { role: "status", class: "lb-refused" });
  const line = make("div", { class: "lb-line" }, make("label", { for: id, text: spec.label }), number, unit, note);
  const element = make("div", { class: "lb-row" }, line, range, wrong);
  let typing = false;
  const mark = () => {
    range.style.setProperty("--part", `${(100 * range.value) / Math.max(range.max, 1)}%`);
    range.setAttribute("aria-valuetext", [number.value, spec.unit, note.textContent].filter(Boolean).join(" "));
  };
  const take = (at) => {
    typing = false;
    range.value = at;
    number.value = spec.texts[at];
    write(note, "");
    mark();
  };
  const respec = (now) => {
    if (now.options) return false;
    spec = now;
    const named = spec.unit ? `${spec.label} [${spec.unit}]` : spec.label;
    range.max = spec.stops.length - 1;
    range.setAttribute("aria-label", named);
    number.setAttribute("aria-label", `${named}, typed`);
    write(unit, spec.unit);
    return true;
  };
  respec(spec);
  range.addEventListener("input", () => {
    take(range.value);
    push({ [spec.name]: spec.stops[range.value] });
  });
  number.addEventListener("input", () => (typing = true));
  const typed = () => {
    if (!typing) return;
    typing = false;
    model.send({ typed: [spec.name, number.value] });
  };
  number.addEventListener("change", typed);
  number.addEventListener("keydown", (event) => event.key === "Enter" && typed());
  return {
    element,
    respec,
    put: (value) => take(nearest(spec.stops, value)),
    stand(value, shown, mistyped) {
      if (shown && !typing) number.value = mistyped ?? shown.text; // what cannot be taken stays as typed until it is put right
      if (shown) write(note, shown.note);
      const at = nearest(spec.stops, value);
      if (Number(range.value) !== at) range.value = at;
      mark();
    },
    refuse(why) {
      write(wrong, why);
      number.setAttribute("aria-invalid", String(Boolean(why)));
    },
  };
}

function choiceRow(spec, push) {
  const id = unlike(), options = spec.options.map((name) => make("option", { text: name, value: name }));
  const select = make("select", { id, "data-name": spec.name, ...KEEPS_KEYS }, ...options);
  const line = make("div", { class: "lb-line" }, make("label", { for: id, text: spec.label }), select);
  const element = make("div", { class: "lb-row" }, line);
  if (spec.note) element.append(make("p", { class: "lb-small", text: spec.note }));
  select.addEventListener("change", () => push({ [spec.name]: select.value }));
  return {
    element,
    respec: (now) => JSON.stringify(now) === JSON.stringify(spec),
    put: (value) => (select.value = value),
    stand(value) {
      if (select.value !== value) select.value = value;
      line.classList.toggle("lb-long", spec.label.length + value.length > ON_A_LINE);
    },
    refuse() {},
  };
}

// A few lines of text; they are taken when the field is left, and stay as typed where they cannot be read.
function linesRow(spec, model) {
  const id = unlike(), field = make("textarea", { id, class: "lb-lines", rows: spec.rows, placeholder: spec.example, spellcheck: "false", "data-name": spec.name, ...KEEPS_KEYS });
  const wrong = make("div", { role: "status", class: "lb-refused" }), label = make("label", { for: id, text: spec.label });
  const element = make("div", { class: "lb-row" }, label, field, wrong);
  let typing = false;
  field.addEventListener("input", () => (typing = true));
  field.addEventListener("change", () => {
    typing = false;
    model.send({ typed: [spec.name, field.value] });
  });
  return {
    element,
    respec(now) {
      if (!now.lines) return false;
      write(label, now.label);
      field.placeholder = now.example;
      return true;
    },
    put: (value) => (field.value = value),
    stand(value, shown, mistyped) {
      const text = mistyped ?? shown?.text ?? value;
      if (!typing && field.value !== text) field.value = text;
    },
    refuse(why) {
      write(wrong, why);
      field.setAttribute("aria-invalid", String(Boolean(why)));
    },
  };
}

function nearest(stops, value) {
  let best = 0;
  for (let at = 1; at < stops.length; at += 1)
    if (Math.abs(stops[at] - value) < Math.abs(stops[best] - value)) best = at;
  return best;
}
