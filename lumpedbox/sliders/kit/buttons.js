// What can be done with the page as a whole: keep it for comparison, take it away, go back; and the units.
function createButtons(model, compares = true) {
  const note = make("p", { class: "lb-small", role: "status" });
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
  takeFiles(model, note);
  model.on("change:note", () => write(note, model.get("note")));
  write(note, model.get("note"));
  const units = createUnits(model);
  return make("div", { class: "lb-buttons" }, make("div", {}, ...(compares ? [keep] : []), away, back), menu, note, ...units);
}

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
