// A guess, for whoever likes to make one, before the answer is shown; once marked it is one line, which opens.
function createGuess(model, headline) {
  const card = make("section", { class: "lb-guess", "aria-label": "Your guess" }), name = unlike();
  const line = make("summary", KEEPS_KEYS), said = make("p"), words = make("p"), choices = make("div");
  const once = button("Show me at once", () => choose((pressed = true) && ""), { class: "lb-once" });
  const marked = make("details", {}, line);
  let options = [], pressed = false;
  const choose = (option) => {
    if (model.get("guess").chosen) return update(); // it stays in reach of the keyboard, but as it was marked
    model.send({ guess: option });
  };
  // The headline is read out, unless the reader is somewhere else by then: what is typed there would be lost.
  const toTheAnswer = () => {
    const at = document.activeElement;
    if (at === document.body || card.contains(at)) headline.focus({ preventScroll: true });
  };
  const build = () => {
    const { words: question, options: texts } = model.get("guess");
    if (!question) return card.replaceChildren();
    options = texts.map((text) => {
      const radio = make("input", { type: "radio", name, value: text, ...KEEPS_KEYS }), mark = make("span");
      radio.addEventListener("change", () => choose(text));
      return { text, radio, mark, element: make("label", {}, radio, make("span", { text }), mark) };
    });
    words.replaceChildren(make("b", { text: "Your guess first? " }), question);
    choices.replaceChildren(...options.map(({ element }) => element));
    card.replaceChildren(words, choices, once);
    update();
  };
  const update = () => {
    const { words: question, chosen, right, verdict, marked: told, obligatory } = model.get("guess"), asleep = model.get("asleep");
    for (const { text, radio, mark } of options) {
      radio.setAttribute("aria-disabled", String(Boolean(chosen)));
      radio.checked = text === chosen;
      write(mark, chosen && text === right ? "✓ right" : chosen === text ? "✗ your guess" : "");
      mark.className = chosen && text === right ? "lb-right" : "lb-other";
    }
    once.hidden = Boolean(chosen || obligatory);
    card.hidden = !options.length || (!asleep && !chosen);
    if (pressed && card.hidden) requestAnimationFrame(toTheAnswer);
    pressed &&= !card.hidden;
    if (!chosen || card.contains(marked)) return;
    const used = card.contains(document.activeElement);
    line.append(make("span", { class: chosen === right ? "lb-right" : "lb-other", text: chosen === right ? "✓ " : "✗ " }), told);
    write(words, question);
    write(said, verdict);
    marked.append(words, choices, said);
    card.prepend(marked);
    card.classList.add("lb-guessed");
    if (used) line.focus(); // which reads it out
  };
  model.on("change:guess", () => (options.length ? update() : build()));
  model.on("change:asleep", update);
  build();
  update();
  return { card, line };
}
