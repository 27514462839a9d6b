// The page as a whole. What is done is sent to the kernel, which tells what came of it.
function createTold(model, send) {
  const text = make("span"), undo = button("Undo", () => send({ undo: true })), host = make("p", { class: "lb-came-of-it", role: "status" }, text, undo);
  const update = () => {
    const told = model.get("told");
    write(text, told.text ?? "");
    undo.hidden = !told.undo;
    host.classList.toggle("lb-refused", Boolean(told.refused));
  };
  model.on("change:told", update);
  update();
  return { host, say: (words) => write(text, words) };
}

// Which plan this is, the ways to another, and what can be taken away.
function createHead(model, send) {
  const name = make("strong"), invented = make("span", { class: "lb-badge", text: "invented example" });
  const ways = Object.entries({ mine: "Open my plan", new: "Start my own", copy: "Copy it as mine", example: "Look at the example" }).map(([which, text]) => [which, button(text, () => send({ open: which }))]);
  const other = make("select", { "aria-label": "Open another plan", ...KEEPS_KEYS });
  other.addEventListener("change", () => other.value && send({ file: other.value }));
  const note = make("span", { class: "lb-small", role: "status" }), find = make("a", { text: "Find out what you have" });
  const menu = make("div", { class: "lb-menu", hidden: "" }, ...model.get("takeaways").map((kind) => button(kind, () => write(note, "Making it…") || send({ take: kind }))));
  const away = button("Take away", () => open(menu.hidden), { "aria-expanded": "false" });
  const open = (wanted) => {
    menu.hidden = !wanted;
    away.setAttribute("aria-expanded", String(wanted));
  };
  menu.addEventListener("keydown", (event) => event.key === "Escape" && (open(false), away.focus()));
  takeFiles(model, note);
  const update = () => {
    const { name: called, example, mine, nothing, checks, files } = model.get("about");
    other.hidden = !files.length;
    other.replaceChildren(make("option", { value: "", text: "Open another plan" }), ...files.map((text) => make("option", { value: text, text })));
    write(name, called);
    invented.hidden = !example;
    const offered = { mine, new: !mine && !nothing && example, copy: !mine && example, example: !example };
    for (const [which, one] of ways) one.hidden = !offered[which];
    away.hidden = nothing;
    if (checks) find.href = checks;
    find.hidden = !checks;
  };
  model.on("change:about", update);
  update();
  return make("header", { class: "lb-head" }, name, invented, make("span", { class: "lb-space" }), find, ...ways.map(([, one]) => one), other, away, menu, note);
}

// The order: what it is judged by, the search, and what it found.
function createSearch(model, send) {
  const aimId = unlike(), moneyId = unlike();
  const aim = make("select", { id: aimId, ...KEEPS_KEYS }, ...model.get("aims").map(([value, text]) => make("option", { value, text })));
  const budget = make("input", { type: "text", id: moneyId, placeholder: "no limit", size: 7, autocomplete: "off", ...KEEPS_KEYS });
  const find = button("Find the best order", () => send({ find: [aim.value, budget.value] }));
  const bar = make("progress", { "aria-label": "How far the search is" }), cancel = button("Cancel", () => send({ cancel: true }));
  const text = make("p", { role: "status" }), use = button("Use it", () => send({ use: true })), keep = button("Keep mine", () => send({ keep_mine: true }));
  const result = make("div", { class: "lb-result" }, bar, cancel, text, use, keep), add = button("Add a step", () => send({ form: ["step", ""] })), usual = button("Show me the usual steps", () => send({ usual: true }));
  const compareId = unlike(), compare = make("select", { id: compareId, ...KEEPS_KEYS });
  compare.addEventListener("change", () => send({ compare: compare.value }));
  let host = null;
  const update = () => {
    const { done, all, text: said, order } = model.get("search"), many = model.get("cards").length > 2;
    bar.hidden = cancel.hidden = done === undefined;
    if (done !== undefined) Object.assign(bar, { max: all, value: done });
    write(text, said ?? "");
    use.hidden = keep.hidden = !order?.length;
    result.hidden = done === undefined && !said;
    find.hidden = !many;
    host.hidden = Boolean(model.get("about").nothing);
    for (const field of [aim, budget]) field.parentElement.hidden = !many;
    usual.hidden = model.get("cards").length > 1 || !model.get("vehicle").places;
  };
  const against = () => {
    const { names, chosen } = model.get("against");
    compare.parentElement.hidden = !names.length;
    const options = ["", ...names];
    if (options.join("\n") !== [...compare.options].map(({ value }) => value).join("\n")) compare.replaceChildren(...options.map((value) => make("option", { value, text: value || "nothing" })));
    compare.value = chosen;
  };
  const pair = (id, text, field) => make("span", { class: "lb-pair" }, make("label", { for: id, text }), field);
  const parts = [pair(aimId, "Aim", aim), pair(moneyId, "Money", budget), find, add, usual, pair(compareId, "Compare with", compare), result];
  host = make("section", { class: "lb-search" }, make("h2", { text: "Steps, in your order" }), ...parts);
  for (const of of ["about", "search", "cards", "vehicle"]) model.on(`change:${of}`, update);
  model.on("change:against", against);
  update();
  against();
  return host;
}

function createLook(model, send) {
  const list = make("ol"), next = make("ol"), said = make("p", { class: "lb-small", role: "status" }), title = make("h2", { text: "Measure this next" });
  const work = button("What to measure next?", () => send({ measure: true })), stop = button("Cancel", () => send({ stop_measuring: true }), { "aria-label": "Cancel measuring" });
  const host = make("section", { class: "lb-look" }, make("h2", { text: "Look at this first" }), list, title, next, said, work, stop);
  const measure = () => {
    const { rows = [], said: told, running } = model.get("measure"), { checks } = model.get("about");
    next.hidden = title.hidden = !rows.length;
    next.replaceChildren(...rows.map(([text, check]) => make("li", {}, ...(checks ? [make("a", { text, href: `${checks}#check-${check}` })] : [text]))));
    write(said, told ?? "");
    work.hidden = Boolean(running) || !model.get("vehicle").places || model.get("cards").length < 2;
    stop.hidden = !running;
  };
  for (const of of ["measure", "vehicle", "cards"]) model.on(`change:${of}`, measure);
  const update = () => {
    const found = model.get("look");
    list.hidden = !found.length;
    host.hidden = Boolean(model.get("about").nothing) && !found.length;
    list.replaceChildren(...found.map((text) => make("li", { text })));
  };
  model.on("change:look", update);
  update();
  measure();
  return host;
}

function createLeftOut(model, send) {
  const host = make("p", { class: "lb-left-out" });
  const update = () => {
    const names = model.get("left_out");
    host.hidden = !names.length;
    host.replaceChildren("Left out: ", ...names.map((name) => button(`Take in: ${name}`, () => send({ take_in: name }))));
  };
  model.on("change:left_out", update);
  update();
  return host;
}

export default {
  render({ model, el }) {
    el.classList.add("lb-page", "lb-upgrade");
    let told;
    const send = (what) => (stopped() ? told.say("The server has stopped: nothing changes any more.") : model.send(what));
    told = createTold(model, send);
    const answer = createAnswer(model), vehicle = createVehicle(model, send), form = createForm(model, send);
    const asked = document.body.dataset.voila ? location.hash.slice(1) : "";
    const deck = createDeck(model, send, new URLSearchParams(asked)), beside = createBeside(model);
    const pictures = [createMoney(model), createCurves(model, send), createWorth(model)];
    const hint = make("div", {}, make("p", { class: "lb-small lb-how", text: "Drag a card, press Earlier or Later, or Alt and an arrow key. A card's name shows that stage on the plan above." }), make("p", { class: "lb-small", text: "Clean bass and treble/bass in dB. Ear time is for music at that level, by workplace rules (NIOSH 98-126); it hardly counts bass, which harms too." }));
    const right = make("div", { class: "lb-told" }, answer.headline, answer.wrong, make("div", { class: "lb-two" }, make("div", {}, answer.facts, answer.why), createLook(model, send)));
    const below = make("div", { class: "lb-pictures" }, ...pictures.map(({ host }) => host));
    el.append(createHead(model, send), make("div", { class: "lb-top" }, make("div", {}, vehicle.host, form), right), createSearch(model, send), told.host, deck, createLeftOut(model, send), hint, answer.cautions, below, beside, answer.aloud);
    const empty = () => {
      const none = model.get("about").nothing;
      for (const one of [deck, hint, below]) one.hidden = none;
      el.classList.toggle("lb-nothing", Boolean(none));
    };
    model.on("change:about", empty);
    empty();
    if (asked.includes("plan=")) model.send({ link: asked });
    const goOn = () => model.get("busy").busy && !stopped() && model.send({ go_on: true });
    model.on("change:busy", goOn);
    goOn();
    return () => [vehicle, ...pictures].forEach((one) => one.remove());
  },
};
