// The form that is open: what is typed stays until it is kept or closed, also where it is refused.
function createForm(model, send) {
  const title = make("h2", { tabindex: -1 }), lines = make("div", { class: "lb-fields" }), said = make("p", { class: "lb-refused", role: "alert" });
  const buttons = make("div", { class: "lb-row-of-buttons" }), note = make("p", { class: "lb-small" });
  const host = make("form", { class: "lb-open-form", hidden: "" }, title, note, lines, said, buttons);
  let shown = "", opener = null;
  const typed = () => Object.fromEntries([...lines.querySelectorAll("[name]")].map((field) => [field.name, field.value]));
  const field = ({ key, label, value, example, options, again }) => {
    const id = unlike(), settings = { id, name: key, ...KEEPS_KEYS };
    const made = options ? make("select", settings, ...options.map(([text, code]) => make("option", { text, value: code }))) : make("input", { type: "text", placeholder: example, autocomplete: "off", ...settings });
    made.value = value ?? "";
    if (again) made.addEventListener("change", () => send({ again: typed() }));
    return make("div", { class: "lb-field" }, make("label", { for: id, text: label }), made);
  };
  const update = () => {
    const form = model.get("form");
    host.hidden = !form.fields;
    if (!form.fields) {
      if (shown && opener) [...document.querySelectorAll(".lb-upgrade [aria-label], .lb-upgrade button")].find((one) => (one.getAttribute("aria-label") ?? one.textContent).split(":")[0] === opener)?.focus();
      shown = "";
      return;
    }
    write(said, form.said ?? "");
    if (shown === form.id) return; // what is typed stays
    const used = document.activeElement?.name, fresh = !shown.startsWith(form.about);
    if (fresh) opener = (document.activeElement?.getAttribute("aria-label") ?? document.activeElement?.textContent ?? "").split(":")[0];
    shown = form.id;
    write(title, form.title);
    write(note, form.note ?? "");
    lines.replaceChildren(...form.fields.map(field));
    buttons.replaceChildren(...form.buttons.map(([text, what]) => (what === "keep" ? make("button", { type: "submit", text, ...KEEPS_KEYS }) : button(text, () => send({ [what]: typed() })))));
    if (fresh) {
      host.scrollIntoView({ block: "nearest" });
      (lines.querySelector("[name]") ?? title).focus({ preventScroll: true });
    } else if (used) lines.querySelector(`[name="${used}"]`)?.focus();
  };
  host.addEventListener("submit", (event) => {
    event.preventDefault();
    send({ fill: typed() });
  });
  host.addEventListener("keydown", (event) => event.key === "Escape" && send({ close: true }));
  model.on("change:form", update);
  update();
  return host;
}
