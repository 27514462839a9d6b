// The stage of a plan that the page was opened from: what can be given back to it, the ways on from here, and back.
function createFromStage(model) {
  const name = make("span"), said = make("span", { role: "status" }), gives = make("div", { class: "lb-offers" }), undo = button("Undo", () => model.send({ take_back: true }));
  const back = make("a", { text: "Back to my upgrade" }), ways = make("div", { class: "lb-ways" });
  const host = make("div", { class: "lb-from-stage", hidden: "" }, name, gives, said, undo, ways, back);
  const on = ([text, href]) => (href ? make("a", { text, href }) : make("span", { text }));
  let shown = "";
  const update = () => {
    const stage = model.get("stage"), onwards = JSON.stringify(stage.ways ?? []);
    host.hidden = !stage.name && onwards === "[]";
    if (onwards !== shown) ways.replaceChildren(...JSON.parse(onwards).map(on));
    shown = onwards;
    name.hidden = said.hidden = gives.hidden = !stage.name;
    undo.hidden = !stage.undo;
    back.hidden = !stage.back;
    if (!stage.name) return;
    write(name, `From my upgrade: ${stage.name}.`);
    write(said, stage.said);
    back.href = stage.back;
    stage.gives.forEach(([key, text], place) => {
      const one = gives.children[place] ?? gives.appendChild(button("", () => model.send({ give: one.dataset.key })));
      one.dataset.key = key;
      write(one, `Give back: ${text}`);
    });
    while (gives.children.length > stage.gives.length) gives.lastChild.remove();
  };
  model.on("change:stage", update);
  update();
  return host;
}
