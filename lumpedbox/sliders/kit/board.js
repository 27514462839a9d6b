// The loudspeakers to scale, moving at the frequency that is looked at.
function createToScale(model, reading) {
  const host = make("div", { class: "lb-to-scale" }), grid = numbers(model.get("grid"));
  const thing = createThing(host);
  const show = () => {
    const drawn = model.get("things");
    host.hidden = !drawn.length;
    if (drawn.length) thing.show(drawn, model.get("motions"), grid);
  };
  model.on("change:things", show);
  model.on("change:motions", show);
  show();
  reading.look((frequency) => thing.look(frequency)); // before there is anything to draw too: what comes later is then drawn at that frequency
  return { host, remove: () => thing.remove() };
}

export default {
  render({ model: given, el }) {
    const model = inOrder(given);
    el.classList.add("lb-board");
    const { sheet, put, remove } = createSheet(model, createButtons(model)), answer = createAnswer(model), reading = createReading(model, put);
    const guess = createGuess(model, answer.headline), stage = createFromStage(model), kept = createKept(model);
    const told = make("div", { class: "lb-told" }, answer.cautions, answer.facts, kept, answer.why);
    const toScale = createToScale(model, reading), plan = createPlan(model, put, reading);
    const feed = createFeed(model), wired = createWired(model);
    const below = make("div", { class: "lb-below" }, told, toScale.host, plan.host, feed, wired);
    answer.wrong.prepend(stage);
    el.append(sheet, answer.headline, answer.wrong, reading.names, reading.stage, reading.kept, guess.card, below, answer.aloud);
    const sleep = () => el.classList.toggle("lb-asleep", model.get("asleep"));
    model.on("change:asleep", sleep);
    sleep();
    createVisit(model);
    const unwatch = watchRoom(reading.stage, model, [reading.names, reading.kept, guess.line, stage], answer.facts);
    return () => {
      unwatch();
      remove();
      toScale.remove();
      plan.remove();
      reading.remove();
    };
  },
};
