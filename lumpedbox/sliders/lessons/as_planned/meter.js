// Takes readings one by one or as a file, says how it is done, and remembers in this browser what was read.
const PLACE = "lumpedbox as planned";

function recalled() {
  try {
    return JSON.parse(localStorage.getItem(PLACE) ?? "{}") ?? {};
  } catch {
    return {}; // the reader has closed it, or half of it is gone
  }
}
function remember(readings) {
  try {
    if (Object.keys(readings).length) localStorage.setItem(PLACE, JSON.stringify(readings));
    else localStorage.removeItem(PLACE);
  } catch {
    // a full store: the page goes on without it
  }
}
function fieldOf({ key, label }) {
  const id = unlike(), input = make("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", "data-reading": key, ...KEEPS_KEYS });
  return make("div", { class: "lb-meter-field" }, make("label", { for: id, text: label }), input);
}
function createForm(model) {
  const fields = make("div", { class: "lb-meter-row" }), form = make("form", { class: "lb-meter-row" }, fields);
  const inputs = () => [...fields.querySelectorAll("input")];
  let asked = "", count = model.get("added"), sent = {};
  const isAsSent = (one) => one.value.trim() === sent[one.dataset.reading];
  form.append(make("button", { type: "submit", text: "Add the reading", ...KEEPS_KEYS }));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    sent = Object.fromEntries(inputs().map((one) => [one.dataset.reading, one.value.trim()]));
    model.send({ add: sent });
  });
  // What was typed since the reading was sent is the next one, and stays.
  const ask = () => {
    const next = model.get("coming"), added = model.get("added") !== count, [frequency, ...others] = inputs();
    const isDone = frequency.value === asked || (added && isAsSent(frequency)), goesOn = isDone && others.every(isAsSent);
    if (isDone) frequency.value = next;
    asked = next;
    if (!added) return;
    count = model.get("added");
    for (const one of others.filter(isAsSent)) one.value = "";
    if (goesOn && form.contains(document.activeElement)) others[0].focus();
  };
  const build = () => {
    asked = "";
    fields.replaceChildren(...model.get("fields").map(fieldOf));
    ask();
  };
  model.on("change:fields", build);
  model.on("change:coming", ask);
  model.on("change:added", ask);
  build();
  return form;
}
function createFile(model) {
  const id = unlike(), file = make("input", { id, type: "file", accept: ".csv,.txt,text/csv", ...KEEPS_KEYS });
  file.addEventListener("change", async () => {
    const [one] = file.files;
    if (!one) return;
    model.send({ file: await textOf(one) });
    file.value = "";
  });
  return make("span", { class: "lb-meter-file" }, file, make("label", { for: id, text: "Read a file" }));
}
function createHow(model) {
  const list = make("ol"), drawing = make("div", { class: "lb-meter-drawing" });
  const how = make("details", {}, make("summary", { text: "How to measure it", ...KEEPS_KEYS }), make("div", { class: "lb-meter-how" }, drawing, list));
  const update = () => {
    list.replaceChildren(...model.get("how").map((text) => make("li", { text })));
    drawing.innerHTML = model.get("drawing"); // our own file
    const svg = drawing.querySelector("svg");
    drawing.hidden = !svg;
    svg?.setAttribute("role", "img");
    svg?.setAttribute("aria-label", model.get("alternative"));
  };
  model.on("change:how", update);
  update();
  return how;
}
export default {
  render({ model, el }) {
    const note = make("p", { class: "lb-meter-note", role: "status" }), wrong = make("p", { class: "lb-meter-wrong", role: "alert" });
    const undo = button("Undo", () => model.send({ undo: true })), clear = button("Clear the readings", () => model.send({ clear: true }));
    const example = button("Show an example", () => model.send({ example: true })), caution = make("p");
    const form = createForm(model), row = make("div", { class: "lb-meter-row" }, createFile(model), example, clear, undo);
    const top = make("div", { class: "lb-meter-row" }, form, row), last = make("div", { class: "lb-meter-row" }, createHow(model), caution);
    el.append(make("section", { class: "lb-meter", "aria-label": "Readings" }, top, wrong, note, last));
    const show = () => {
      write(note, model.get("note"));
      write(wrong, model.get("wrong"));
      write(caution, model.get("caution"));
      undo.hidden = !model.get("undo");
      clear.hidden = !model.get("clears");
    };
    for (const name of ["note", "wrong", "caution", "undo", "clears"]) model.on(`change:${name}`, show);
    model.on("change:readings", () => remember(model.get("readings")));
    show();
    const kept = recalled(), asked = linkAsked().includes("=");
    const recall = () => Object.keys(kept).length && model.send({ recall: kept });
    if (asked && !model.get("led")) model.on("change:led", recall);
    else if (asked || !Object.keys(model.get("readings")).length) recall();
    else remember(model.get("readings")); // shown once more: the kernel knows better
  },
};
