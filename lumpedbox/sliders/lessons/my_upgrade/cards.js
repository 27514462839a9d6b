// The stages as cards in a row. A card keeps its element while it moves, so that whoever uses it stays there.
const LINES = [
  ["So far", ({ cost, added }) => [cost, added]],
  ["Clean bass", ({ clean, change }) => [clean, change]],
  ["Treble/bass", ({ thinness }) => [thinness, ""]],
  ["Ear time", ({ ear }) => [ear, ""]],
  ["Gives first", ({ gives }) => [gives, ""]],
];

class Card {
  constructor(name, deck) {
    Object.assign(this, { name, deck });
    this.number = make("span", { class: "lb-number" });
    this.title = button("", () => deck.send({ look: this.data.number }), { class: "lb-plain", "aria-pressed": "false" });
    this.values = LINES.map(([label]) => make("div", {}, make("dt", { text: label }), make("dd", {}, make("b"), make("small"))));
    this.turned = make("p", { class: "lb-turned" });
    this.warnings = make("ul", { class: "lb-warnings" });
    this.stop = make("p", { class: "lb-stop" });
    this.waits = make("p", { class: "lb-small", text: "working it out…" });
    this.steps = make("div", { class: "lb-steps" });
    this.pages = make("ul", { class: "lb-pages" });
    this.element = make("li", { class: "lb-card" }, make("h3", {}, this.number, this.title), make("dl", {}, ...this.values), this.turned, this.warnings, this.stop, this.waits, this.pages, this.steps);
    if (name !== AS_FOUND) this.handle();
  }
  handle() {
    const { send } = this.deck, go = (by) => () => send({ move: [this.name, by] });
    this.earlier = button("Earlier", go(-1), { "aria-label": `Earlier: ${this.name}` });
    this.later = button("Later", go(1), { "aria-label": `Later: ${this.name}` });
    this.change = button("Change", () => send({ form: ["step", this.name] }), { "aria-label": `Change: ${this.name}` });
    this.out = button("Leave out", () => send({ leave_out: this.name }), { "aria-label": `Leave out: ${this.name}` });
    this.steps.append(this.earlier, this.later, this.change, this.out);
    this.element.addEventListener("keydown", (event) => {
      const by = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 }[event.key];
      if (!by || !event.altKey) return;
      event.preventDefault();
      go(by)();
    });
    this.element.draggable = true;
    this.element.addEventListener("dragstart", (event) => {
      event.dataTransfer.setData("text/plain", this.name);
      event.dataTransfer.effectAllowed = "move";
      this.deck.dragged = this.name;
    });
    this.element.addEventListener("dragend", () => (this.deck.dragged = null));
    this.element.addEventListener("dragover", (event) => {
      if (!this.deck.dragged) return;
      event.preventDefault();
      this.element.classList.add("lb-over");
    });
    this.element.addEventListener("dragleave", () => this.element.classList.remove("lb-over"));
    this.element.addEventListener("drop", (event) => {
      event.preventDefault();
      this.element.classList.remove("lb-over");
      if (this.deck.dragged && this.deck.dragged !== this.name) send({ place: [this.deck.dragged, this.data.number - 1] });
    });
  }
  show(data, last, looked) {
    this.data = data;
    write(this.number, data.number ? `${data.number} ` : "");
    write(this.title, data.name);
    this.title.setAttribute("aria-pressed", String(looked));
    this.element.classList.toggle("lb-looked", looked);
    this.element.classList.toggle("lb-worse", Boolean(data.worse));
    this.element.classList.toggle("lb-waiting", data.waiting);
    this.waits.hidden = !data.waiting;
    LINES.forEach(([, of], place) => {
      const [text, more] = data.waiting && place ? ["…", ""] : of(data), [shown, beside] = this.values[place].lastChild.children;
      write(shown, text ?? "");
      write(beside, more ?? "");
    });
    write(this.turned, data.turned ? `Set ${data.turned}.` : "");
    const told = data.warnings ?? [];
    while (this.warnings.children.length > told.length) this.warnings.lastChild.remove();
    told.forEach((text, place) => write(this.warnings.children[place] ?? this.warnings.appendChild(make("li")), text));
    write(this.stop, data.stop ?? "");
    if (!this.earlier) return;
    const pages = JSON.stringify(data.pages);
    if (this.linked !== pages) this.pages.replaceChildren(...data.pages.map(([text, href]) => make("li", {}, make("a", { text, href, "aria-label": `${text}: ${this.name}` }))));
    this.linked = pages;
    this.earlier.setAttribute("aria-disabled", String(data.number === 1));
    this.later.setAttribute("aria-disabled", String(data.number === last));
  }
}
const AS_FOUND = "As found";

// The cards of the order that is shown; a link may lead to the card of one of its stages.
function createDeck(model, send, asked) {
  let sought = asked.get("stage"), arrived = null;
  const arrive = () => {
    const card = made.get(sought);
    if (!card || (asked.get("plan") ?? "") !== model.get("about").file) return;
    sought = null;
    requestAnimationFrame(() => {
      arrived = card;
      card.title.focus({ preventScroll: true });
      stay();
    });
  };
  const stay = () => {
    if (document.activeElement === arrived?.title) arrived.element.scrollIntoView({ block: "nearest" });
    if (!model.get("busy").busy) arrived = null; // all has its size by now
  };
  const host = make("ol", { class: "lb-deck", "aria-label": "Steps" }), deck = { send, dragged: null }, made = new Map();
  const update = () => {
    const cards = model.get("cards"), used = document.activeElement, looked = model.get("vehicle").looked ?? 0;
    for (const [name, card] of made) if (!cards.some((one) => one.name === name)) card.element.remove() || made.delete(name);
    cards.forEach((data, place) => {
      if (!made.has(data.name)) made.set(data.name, new Card(data.name, deck));
      const card = made.get(data.name);
      if (host.children[place] !== card.element) host.insertBefore(card.element, host.children[place] ?? null);
      card.show(data, cards.length - 1, data.number === looked);
    });
    if (host.contains(used) && used !== document.activeElement) used.focus();
    if (sought) arrive();
    requestAnimationFrame(stay);
  };
  model.on("change:cards", update);
  model.on("change:vehicle", update);
  update();
  return host;
}

// Two orders, or two plans, as tables side by side.
function createBeside(model) {
  const HEADS = ["", "Step", "So far", "Clean bass", "", "Treble/bass"], title = make("h2"), tables = make("div", { class: "lb-side-by-side" });
  const host = make("section", { class: "lb-beside-it" }, title, tables);
  const rowOf = ({ number, name, cost, clean, change, thinness, waiting }) => make("tr", {}, ...[number || "", name, cost, waiting ? "…" : clean, waiting ? "" : change, waiting ? "" : thinness].map((text) => make("td", { text: text ?? "" })));
  const tableOf = (caption, cards) => make("table", {}, make("caption", { text: caption }), make("thead", {}, make("tr", {}, ...HEADS.map((text) => make("th", { scope: "col", text })))), make("tbody", {}, ...cards.map(rowOf)));
  let shown = "";
  const update = () => {
    const cards = model.get("cards"), beside = model.get("beside"), { chosen } = model.get("against"), now = JSON.stringify([cards, beside, chosen]);
    host.hidden = !beside.length;
    if (host.hidden || now === shown) return;
    shown = now;
    write(title, `Side by side: your order and ${chosen}`);
    tables.replaceChildren(tableOf("your order", cards), tableOf(chosen, beside));
  };
  for (const of of ["cards", "beside", "against"]) model.on(`change:${of}`, update);
  update();
  return host;
}
