// A guess, for whoever likes to make one, before the answer is shown.
function createGuess(model) {
  const card = make("section", { class: "lb-guess", "aria-label": "Your guess" });
  const said = make("p", { class: "lb-marked", role: "status" }), name = unlike();
  let options = [];
  const choose = (option) => {
    if (model.get("guess").chosen) return update(); // it stays in reach of the keyboard, but as it was marked
    model.send({ guess: option });
  };
  const build = () => {
    const { words, options: texts } = model.get("guess");
    if (!words) return card.replaceChildren();
    options = texts.map((text) => {
      const radio = make("input", { type: "radio", name, value: text, ...KEEPS_KEYS }), mark = make("span");
      radio.addEventListener("change", () => choose(text));
      return { text, radio, mark, element: make("label", {}, radio, make("span", { text }), mark) };
    });
    const once = button("Show me at once", () => choose(""), { class: "lb-once" });
    card.replaceChildren(
      make("p", {}, make("b", { text: "Your guess first? " }), words),
      ...options.map(({ element }) => element), once, said,
    );
    update();
  };
  const update = () => {
    const { chosen, right, verdict, obligatory } = model.get("guess"), asleep = model.get("asleep");
    for (const { text, radio, mark } of options) {
      radio.setAttribute("aria-disabled", String(Boolean(chosen)));
      radio.checked = text === chosen;
      write(mark, chosen && text === right ? "✓ right" : chosen === text ? "✗ your guess" : "");
      mark.className = chosen && text === right ? "lb-right" : "lb-other";
    }
    write(said, verdict ?? "");
    const once = card.querySelector(".lb-once");
    if (once) once.hidden = Boolean(chosen || obligatory);
    card.hidden = !options.length || (!asleep && !chosen);
  };
  model.on("change:guess", () => (options.length ? update() : build()));
  model.on("change:asleep", update);
  build();
  update();
  return card;
}
