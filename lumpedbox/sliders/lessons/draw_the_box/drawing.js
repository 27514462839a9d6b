// The page as a whole: the controls, the side view, the answer, and what opens below.
export default {
  render({ model: given, el }) {
    const model = inOrder(given);
    el.classList.add("lb-board", "lb-drawing");
    const send = (what) => !stopped() && model.send(what);
    const answer = createAnswer(model);
    const solve = button("", () => send({ solve: true }), { class: "lb-box-solve" }), back = button("Back to the last box that can be built", () => send({ back: true }));
    const grow = button("As large as the room allows", () => send({ largest: true }));
    const cut = button("Cut the tip off", () => send({ tip: true }));
    const hold = make("div", { class: "lb-offers" }, solve, grow, cut, back), stage = createFromStage(model);
    const update = () => {
      write(solve, model.get("solve"));
      solve.hidden = model.get("places").step !== "litres" || !model.get("solve");
      back.hidden = !model.get("wrong");
      cut.hidden = !model.get("tip");
      grow.hidden = model.get("places").step !== "room for it" || !model.get("view").room?.length;
      hold.hidden = solve.hidden && back.hidden && grow.hidden && cut.hidden;
    };
    for (const of of ["solve", "places", "wrong", "tip", "view"]) model.on(`change:${of}`, update);
    update();
    const { sheet, remove } = createSheet(model, make("div", {}, hold, stage), createButtons(model, false)), view = createSideView(model, send);
    const account = createFold("Where the litres go", "", model, createTable(model, "account", ["What", "Litres", "From"]));
    const fits = createFold("What fits, and by how much", "", model, createTable(model, "fits", ["What", "There", "Needed", "Means"]));
    const rings = createFold("Where the panels ring", "rings", model, make("p", { class: "lb-small", text: model.get("ringing") }), createTable(model, "rings", ["Panel", "Alone", "With braces"]));
    const opened = make("div", { class: "lb-box-opened" }, createSolid(model), createSheets(model, model.get("tools")), account, fits, rings);
    const told = make("div", { class: "lb-told" }, answer.facts, answer.cautions, answer.why);
    const below = make("div", { class: "lb-below" }, told, opened);
    el.append(sheet, answer.headline, answer.wrong, view.host, below, answer.aloud);
    createVisit(model);
    return () => {
      remove();
      view.remove();
    };
  },
};
