// The answer: one sentence, a small table of facts, and why, folded.
const CALM = 800; // ms after the last move, until the sentence is read out
const SHORT = [30, 16, 10, 7]; // letters that stay on one line, in a table of 1, 2, 3, 4 columns: a phone holds them

function createAnswer(model) {
  const headline = make("p", { class: "lb-says lb-headline", tabindex: -1 }), wrong = make("div", { class: "lb-wrong", role: "alert" });
  const facts = make("div", { class: "lb-says lb-facts" }), cautions = make("div", { class: "lb-cautions" });
  const why = make("details", { class: "lb-why" }, make("summary", { text: "Why, and how sure", ...KEEPS_KEYS }), make("div"));
  const old = make("p", { class: "lb-old", text: "An old answer: it belongs to the values before the server stopped." });
  const aloud = make("div", { class: "lb-quiet", "aria-live": "polite" });
  let waiting, coming, spoken;
  const update = () => {
    const answer = model.get("answer"), failed = model.get("wrong");
    write(wrong, failed);
    if (!answer.headline) return;
    write(headline, answer.headline);
    tell(facts, answer.columns, answer.facts);
    paragraphs(cautions, answer.cautions);
    paragraphs(why.lastChild, [...answer.details, answer.conditions].filter(Boolean));
    const said = failed || answer.headline;
    spoken ??= answer.headline;
    if (waiting && said === coming) return; // numbers that become finer under it do not hold it up
    clearTimeout(waiting);
    coming = said;
    waiting = setTimeout(() => {
      waiting = 0;
      if (said !== spoken && !model.get("asleep")) aloud.textContent = spoken = said;
    }, CALM);
  };
  model.on("change:answer", update);
  model.on("change:wrong", update);
  update();
  return { headline, wrong: make("div", { class: "lb-wrongs" }, wrong, old), facts, cautions, why, aloud };
}

function paragraphs(host, texts) {
  while (host.children.length > texts.length) host.lastChild.remove();
  texts.forEach((text, place) => write(host.children[place] ?? host.appendChild(make("p")), text));
}

// A table of facts: a line each, a column for what each value is of.
function tell(host, columns, facts) {
  const shape = JSON.stringify([columns, facts.map((fact) => fact.name)]);
  if (host.dataset.shape !== shape) {
    host.dataset.shape = shape;
    const short = SHORT[columns.length - 1] ?? 0;
    const heads = columns.map((column) => {
      const head = make("th", { scope: "col", text: column });
      if (column.length <= short) head.style.whiteSpace = "nowrap";
      return head;
    });
    const rows = facts.map(({ name }) => make("tr", {}, make("th", { scope: "row", text: name }), ...columns.map(cell)));
    const head = columns.some(Boolean) ? [make("thead", {}, make("tr", {}, make("td"), ...heads))] : [];
    host.replaceChildren(make("table", {}, ...head, make("tbody", {}, ...rows)));
  }
  const rows = host.querySelectorAll("tbody tr");
  facts.forEach(({ values }, row) =>
    values.forEach(({ text, was }, column) => {
      const [now, before] = rows[row].cells[column + 1].children;
      write(now, text);
      now.style.whiteSpace = text.length <= (SHORT[values.length - 1] ?? 0) ? "nowrap" : "";
      write(before, was ? `was ${was}` : "");
    }),
  );
}
const cell = () => make("td", {}, make("span"), " ", make("small"));
