// Cards of checks: each has a drawing, fields, and what its readings mean. This browser remembers what is typed.
const PLACE = "lumpedbox find out";
const WAIT = 300; // ms after the last key

function openStore() {
  try {
    return localStorage;
  } catch {
    return null; // the reader has closed it
  }
}
function recalled(store) {
  try {
    return JSON.parse(store?.getItem(PLACE) ?? "null");
  } catch {
    store.removeItem(PLACE); // half of it would help nobody
    return null;
  }
}
// An input or a choice with its label; `name` is "card key".
function field({ key, label, options, row }, card, send) {
  const name = `${card} ${key}`, id = unlike();
  const input = options.length
    ? make("select", { id, ...KEEPS_KEYS }, ...options.map((text, n) => make("option", { value: n ? text : "", text })))
    : make("input", { id, type: "text", autocomplete: "off", autocapitalize: "off", spellcheck: "false", ...KEEPS_KEYS });
  if (row) input.setAttribute("aria-label", `${row}, ${label}`);
  input.dataset.name = name;
  input.addEventListener("input", () => send(name, input.value.trim(), Boolean(options.length)));
  input.addEventListener("change", () => send(name, input.value.trim(), true));
  return make("div", { class: "lb-check-field" }, make("label", { for: id, text: label }), input);
}
// Fields of one row stand side by side below its name.
function fieldsOf(specs, card, send) {
  const rows = new Map(), made = [];
  for (const spec of specs) {
    const element = field(spec, card, send);
    if (!spec.row) made.push(element);
    else if (rows.has(spec.row)) rows.get(spec.row).append(element);
    else {
      const group = make("div", { class: "lb-check-row", role: "group", "aria-label": spec.row });
      group.append(make("span", { class: "lb-check-rowname", text: spec.row }), element);
      rows.set(spec.row, group);
      made.push(group);
    }
  }
  return made;
}
function picture({ drawing, alternative }) {
  const made = make("div", { class: "lb-check-drawing" });
  made.innerHTML = drawing; // our own file
  const svg = made.querySelector("svg");
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", alternative);
  return made;
}
function cardOf(spec, send) {
  const { number, title, tools, how, caution, fields } = spec, head = unlike();
  const section = make("section", { class: "lb-check", id: `check-${number}`, "aria-labelledby": head });
  section.append(
    make("h2", { id: head, text: `${number}. ${title}` }),
    picture(spec),
    make("p", { class: "lb-check-tools", text: tools }),
    make("ol", {}, ...how.map((text) => make("li", { text }))),
    make("p", { class: "lb-check-caution", text: caution }),
    make("div", { class: "lb-check-fields" }, ...fieldsOf(fields, number, send)),
    make("div", { class: "lb-check-told lb-said" }),
    make("div", { class: "lb-check-fills" }),
    make("p", { class: "lb-check-written lb-kept" }),
    make("p", { class: "lb-check-leads" }),
  );
  return section;
}
// Lines of text, touched only where they differ.
function lines(box, wanted) {
  while (box.children.length > wanted.length) box.lastElementChild.remove();
  wanted.forEach(({ kind, text }, n) => {
    const line = box.children[n] ?? box.appendChild(make("p"));
    line.className = `lb-check-${kind}`;
    write(line, text);
  });
}
function fillsOf(box, wanted, act) {
  const key = JSON.stringify(wanted);
  if (box.dataset.shown === key) return;
  box.dataset.shown = key;
  box.replaceChildren(
    ...wanted.map(({ text, names }, n) => {
      const line = make("div", { class: "lb-check-fill" }, make("code", { text }));
      if (!names.length) return line;
      const into = make("select", { "aria-label": "Write into", ...KEEPS_KEYS }, ...names.map((name) => make("option", { text: name })));
      line.append(into, button("Write it there", () => act(n, into.value)));
      return line;
    }),
  );
}
function leadsOf(box, wanted) {
  const key = JSON.stringify(wanted);
  if (box.dataset.shown === key) return;
  box.dataset.shown = key;
  box.replaceChildren(...wanted.flatMap(([text, href], n) => [n ? " " : "", make("a", { text, href })]));
}
function rankingOf(box, { heads = [], rows = [], said = "" }) {
  const key = JSON.stringify([heads, rows]);
  if (box.dataset.shown !== key) {
    box.dataset.shown = key;
    const first = ({ number, cells }) =>
      make("th", { scope: "row" }, make("a", { href: `#check-${number}`, text: cells[0] }));
    const row = (one) => make("tr", {}, first(one), ...one.cells.slice(1).map((text) => make("td", { text })));
    box.querySelector("table").replaceChildren(
      make("thead", {}, make("tr", {}, ...heads.map((text) => make("th", { scope: "col", text })))),
      make("tbody", {}, ...rows.map(row)),
    );
    box.querySelector("table").hidden = !rows.length;
  }
  write(box.querySelector(".lb-check-small"), said);
}
export default {
  render({ model, el }) {
    const store = openStore(), get = (name) => model.get(name);
    let waiting, typed = get("typed");
    const tell = () => {
      clearTimeout(waiting);
      model.set("typed", { ...typed });
      model.save_changes();
    };
    const keep = () => {
      try {
        if (Object.keys(typed).length) store?.setItem(PLACE, JSON.stringify(typed));
        else store?.removeItem(PLACE);
      } catch {
        // a full store: the page goes on without it
      }
    };
    const send = (name, text, now) => {
      typed = { ...typed };
      if (text) typed[name] = text;
      else delete typed[name];
      keep();
      clearTimeout(waiting);
      if (now) tell();
      else waiting = setTimeout(tell, WAIT);
    };
    const page = make("div", { class: "lb-checks" });
    const gates = make("fieldset", { class: "lb-check-gates" }, make("legend", { text: "Before anything else" }));
    const headline = make("p", { class: "lb-check-headline lb-said" });
    const ranked = make("div", { class: "lb-check-ranked" }, make("table"), make("p", { class: "lb-check-small lb-said" }));
    const work = button("Work out what to measure next", () => model.send({ rank: true }));
    const cancel = button("Cancel", () => model.send({ cancel: true }));
    const clear = button("Clear all readings", () => {
      typed = {};
      keep();
      tell();
      places();
    });
    const units = make("select", { "aria-label": "Units", ...KEEPS_KEYS }, ...get("systems").map((text) => make("option", { text })));
    units.addEventListener("change", () => {
      model.set("system", units.value);
      model.save_changes();
    });
    const onward = make("span", { class: "lb-check-leads" });
    const buttons = make("div", { class: "lb-check-buttons" }, work, cancel, units, clear, onward);
    const cards = make("div", { class: "lb-check-cards" });
    page.append(gates, headline, ranked, buttons, cards);
    el.append(page);

    const inputs = () => page.querySelectorAll("[data-name]");
    const places = () => {
      for (const input of inputs())
        if (input !== document.activeElement || !typed[input.dataset.name]) input.value = typed[input.dataset.name] ?? "";
    };
    const drawGates = () =>
      gates.replaceChildren(gates.firstChild, ...fieldsOf(get("gates"), "gates", send));
    const labels = () => {
      const specs = new Map(get("cards").flatMap(({ number, fields }) => fields.map((one) => [`${number} ${one.key}`, one])));
      for (const input of cards.querySelectorAll("[data-name]")) {
        const { label, row } = specs.get(input.dataset.name);
        write(input.parentElement.querySelector("label"), label);
        if (row) input.setAttribute("aria-label", `${row}, ${label}`);
      }
    };
    const show = () => {
      write(headline, get("headline"));
      rankingOf(ranked, get("ranked"));
      work.hidden = Boolean(get("ranked").running) || !get("ranked").possible;
      cancel.hidden = !get("ranked").running;
      units.value = get("system");
      leadsOf(onward, get("leads")[""] ?? []);
      for (const { number } of get("cards")) {
        const card = page.querySelector(`#check-${number}`);
        lines(card.querySelector(".lb-check-told"), get("told")[number] ?? []);
        fillsOf(card.querySelector(".lb-check-fills"), get("fills")[number] ?? [], (fill, name) =>
          model.send({ write: { card: number, fill, name } }),
        );
        leadsOf(card.querySelector(".lb-check-leads"), get("leads")[number] ?? []);
        write(card.querySelector(".lb-check-written"), get("written")[number] ?? "");
      }
      for (const input of inputs()) input.setAttribute("aria-invalid", String(input.dataset.name in get("wrong")));
    };
    drawGates();
    cards.append(...get("cards").map((spec) => cardOf(spec, send)));
    if (!Object.keys(typed).length) {
      typed = recalled(store) ?? {};
      if (Object.keys(typed).length) tell();
    }
    places();
    show();
    for (const name of ["told", "fills", "leads", "written", "headline", "ranked", "wrong", "system"]) model.on(`change:${name}`, show);
    model.on("change:cards", labels);
    model.on("change:typed", () => {
      if (JSON.stringify(get("typed")) === JSON.stringify(typed)) return;
      typed = get("typed");
      places();
    });
    return () => clearTimeout(waiting);
  },
};
