// The page that puts a box on paper: what to choose, the boards to scale, what the PDF holds, and the files.
function createFiles(model) {
  const note = make("p", { class: "lb-small", role: "status" }), bar = make("progress", { "aria-label": "Sheets that are drawn" });
  const ask = (what) => (stopped() ? write(note, "The server has stopped: nothing can be made.") : model.send(what));
  const buttons = model.get("files").map(([kind, text]) =>
    button(text, () => {
      write(note, "Making it…");
      ask({ make: kind });
    }),
  );
  buttons[0].classList.add("lb-first");
  const cancel = button("Cancel", () => model.send({ cancel: true }));
  const progress = make("div", { class: "lb-making" }, bar, cancel);
  const go = () => {
    const { done, all } = model.get("making"), busy = all !== undefined;
    progress.hidden = !busy;
    buttons.forEach((one) => (one.disabled = busy));
    if (!busy) return;
    Object.assign(bar, { max: all, value: done });
    write(note, `Drawing sheet ${Math.min(done + 1, all)} of ${all}…`);
    model.send({ go_on: true });
  };
  model.on("change:making", go);
  takeFiles(model, note);
  model.on("change:note", () => write(note, model.get("note")));
  write(note, model.get("note"));
  progress.hidden = true;
  return make("div", { class: "lb-files" }, ...buttons, createCopy(model, note), progress, note);
}

function createBoards(model) {
  const picture = make("img", { class: "lb-boards" }), host = make("div", { class: "lb-stage-of-boards" }, picture);
  const update = () => {
    host.hidden = !model.get("boards");
    picture.alt = model.get("seen");
    picture.src = `data:image/svg+xml,${encodeURIComponent(model.get("boards"))}`;
  };
  model.on("change:boards", update);
  model.on("change:seen", update);
  update();
  return host;
}

function createContents(model) {
  const list = make("ol"), host = make("section", { class: "lb-contents" }, make("h2", { text: "What the PDF holds" }), list);
  const update = () => {
    const contents = model.get("contents");
    host.hidden = !contents.length;
    list.replaceChildren(...contents.map(([title, told]) => make("li", {}, make("b", { text: title }), ` ${told}`)));
  };
  model.on("change:contents", update);
  update();
  return host;
}

export default {
  render({ model: given, el }) {
    const model = inOrder(given);
    el.classList.add("lb-board", "lb-garage");
    const { sheet, remove } = createSheet(model, ...createUnits(model), createFiles(model)), answer = createAnswer(model);
    const boards = createBoards(model), told = make("div", { class: "lb-told" }, answer.cautions, answer.facts, answer.why);
    const below = make("div", { class: "lb-below" }, told, createContents(model));
    el.append(sheet, answer.headline, answer.wrong, boards, below, answer.aloud);
    createVisit(model);
    return remove;
  },
};
