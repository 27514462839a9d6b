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
