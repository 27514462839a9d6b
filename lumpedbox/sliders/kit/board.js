export default {
  render({ model, el }) {
    el.classList.add("lb-board");
    const controls = make("div", { class: "lb-controls" }), answer = createAnswer(model), reading = createReading(model);
    const guess = createGuess(model), kept = createKept(model), sheet = make("form", { class: "lb-form-of-controls" });
    sheet.addEventListener("submit", (event) => event.preventDefault());
    createControls(controls, model);
    sheet.append(controls, createButtons(model));
    const below = make("div", { class: "lb-below" }, answer.cautions, answer.facts, answer.why, kept);
    el.append(sheet, answer.headline, answer.wrong, reading.names, reading.stage, guess, below, answer.aloud);
    const sleep = () => el.classList.toggle("lb-asleep", model.get("asleep"));
    model.on("change:asleep", sleep);
    sleep();
    createVisit(model);
    return watchRoom(reading.stage, model);
  },
};
