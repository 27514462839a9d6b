// A button that copies the link to the page as it stands, and says so in a note.
function createCopy(model, note, then = () => {}) {
  return button("Copy link", async () => {
    await navigator.clipboard.writeText(linkOf(model)).then(
      () => write(note, "The link is copied. It opens this page as it stands now."),
      () => write(note, `Copy this link: ${linkOf(model)}`),
    );
    then();
  });
}

// What is kept for comparison, if anything is, and what can be taken away.
function createButtons(model, compares = true) {
  const note = make("p", { class: "lb-small", role: "status" });
  const stopped = () => document.body.classList.contains("lb-nothing-kept"); // gone.js says so
  const send = (what, refusal) => (stopped() ? write(note, `The server has stopped: ${refusal}`) : model.send(what));
  const keep = button("Keep this", () => send({ keep: true }, "nothing can be kept."));
  const back = button("Back to start", () => send({ reset: true }, "nothing moves back."));
  const menu = make("div", { class: "lb-menu", hidden: "" });
  const away = button("Take away", () => open(menu.hidden), { "aria-expanded": "false" });
  const open = (wanted) => {
    menu.hidden = !wanted;
    away.setAttribute("aria-expanded", String(wanted));
  };
  const copy = createCopy(model, note, () => open(false));
  menu.append(
    ...model.get("takeaways").map((kind) =>
      button(kind, () => {
        write(note, "Making it…");
        send({ take: [kind, linkOf(model)] }, "nothing can be taken away.");
      }),
    ),
    copy,
  );
  menu.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    open(false);
    away.focus();
  });
  model.on("msg:custom", ({ taken }, buffers) => {
    if (!taken) return;
    saveFile(taken, buffers[0]);
    write(note, `Saved as ${taken.name}, among your browser's downloads.`);
  });
  model.on("change:note", () => write(note, model.get("note")));
  write(note, model.get("note"));
  const units = createUnits(model);
  return make("div", { class: "lb-buttons" }, make("div", {}, ...(compares ? [keep] : []), away, back), menu, note, ...units);
}

function createUnits(model) {
  const systems = model.get("systems"), id = unlike();
  if (!systems.length) return [];
  const select = make("select", { id, ...KEEPS_KEYS }, ...systems.map((text) => make("option", { text, value: text })));
  const stand = () => (select.value = model.get("system"));
  select.addEventListener("change", () => {
    model.set("system", select.value);
    model.save_changes();
  });
  model.on("change:system", stand);
  stand();
  return [make("div", { class: "lb-line" }, make("label", { for: id, text: "Units" }), select)];
}

// The states that are kept: their names, their facts beside today's, and the ways back to them.
function createKept(model) {
  const host = make("section", { class: "lb-kept-states", "aria-label": "Kept for comparison" });
  const update = () => {
    const kept = model.get("kept"), answer = model.get("answer");
    host.hidden = !kept.length;
    if (!kept.length) return host.replaceChildren();
    const states = [{ name: "now", answer }, ...kept];
    const rows = answer.facts.map(({ name }) =>
      make("tr", {}, make("th", { scope: "row", text: name }), ...states.map((state) => told(state.answer, name))),
    );
    const heads = kept.map((state) => make("th", { scope: "col" }, ...handles(state)));
    const head = make("tr", {}, make("td"), make("th", { scope: "col", text: "now" }), ...heads);
    host.replaceChildren(make("table", {}, make("thead", {}, head), make("tbody", {}, ...rows)));
  };
  const handles = ({ slot, name }) => {
    const field = make("input", { type: "text", "aria-label": `Name of ${name}`, ...KEEPS_KEYS });
    field.value = name;
    field.addEventListener("change", () => model.send({ rename: [slot, field.value] }));
    return [
      field,
      button("Go back to it", () => model.send({ return: slot }), { "aria-label": `Go back to ${name}` }),
      button("Drop it", () => model.send({ drop: slot }), { "aria-label": `Drop ${name}` }),
    ];
  };
  const told = ({ columns, facts }, name) => {
    const fact = facts.find((one) => one.name === name);
    const cells = (fact?.values ?? []).map(({ text }, column) => text && [columns[column], text].filter(Boolean).join(" "));
    const texts = cells.filter(Boolean);
    return make("td", {}, ...texts.map((text) => make("div", { text })));
  };
  model.on("change:kept", update);
  model.on("change:answer", () => model.get("kept").length && !host.contains(document.activeElement) && update());
  update();
  return host;
}
