// What is typed into a form is remembered by this browser, key by key, until it is kept: a closed tab and a stopped
// server lose nothing. Each opening of a page writes under a number of its own, so that two tabs do not overwrite
// each other's. What cannot be read is told at its field.

const BEFORE = "lumpedbox typed ";
const DAY = new Intl.DateTimeFormat("en-GB", { weekday: "long", day: "numeric", month: "long", hour: "2-digit", minute: "2-digit" });

// Nothing where the reader has closed it.
function openStore() {
  try {
    return localStorage;
  } catch {
    return null;
  }
}
const store = openStore();

function fieldsOf(form) {
  return [...form.querySelectorAll("[class*=lb-field-]")].map((box) => ({
    key: [...box.classList].find((name) => name.startsWith("lb-field-")).slice("lb-field-".length),
    box,
    input: box.querySelector("input, select, textarea"),
  }));
}
// A list that stands at its first word says nothing. The words of its options come with blanks that do not break.
function textOf(input) {
  if (input instanceof HTMLSelectElement)
    return input.selectedIndex > 0 ? input.selectedOptions[0].textContent.replaceAll("\u00a0", " ") : "";
  return input.value.trim();
}
function typedInto(form) {
  const filled = fieldsOf(form).map(({ key, input }) => [key, input ? textOf(input) : ""]);
  return Object.fromEntries(filled.filter(([, text]) => text));
}
// Whether something typed is kept; a bare number is kept with the unit that it has taken.
function isKept({ name = "", ...typed }, kept) {
  const there = kept[name.split(/\s+/).join(" ")];
  const alike = (text, other) => text === other || other?.startsWith(`${text} `);
  return Boolean(there) && Object.keys({ ...typed, ...there }).every((key) => key in typed && alike(typed[key], there[key]));
}
function remembered(about) {
  const found = [];
  for (const place of Object.keys(store ?? {}).filter((key) => key.startsWith(about))) {
    try {
      found.push({ place, ...JSON.parse(store.getItem(place)) });
    } catch {
      store.removeItem(place); // half of it would help nobody
    }
  }
  return found.sort((one, other) => other.when - one.when);
}
const GOES_ON = "Not kept yet. This browser remembers what you type here.";
const CLOSED = "Not kept yet, and this browser remembers nothing: its store is full or closed.";

function drafts(model, form, el) {
  const about = `${BEFORE}${model.get("form")} `, fresh = () => about + Math.random().toString(36).slice(2);
  const offer = el.appendChild(document.createElement("div")), state = document.createElement("div");
  let own = fresh(), chosen = null;
  offer.className = state.className = "lb-draft";
  state.setAttribute("role", "status");
  const say = (text) => {
    if (!state.isConnected) form().querySelector(".lb-state").append(state);
    if (state.textContent !== text) state.textContent = text;
  };

  const remember = () => {
    const typed = typedInto(form());
    const worth = Object.keys(typed).length > 0 && !isKept(typed, model.get("kept"));
    try {
      if (worth) store.setItem(own, JSON.stringify({ when: Date.now(), system: model.get("system"), typed }));
      else store?.removeItem(own);
      say(worth ? GOES_ON : "");
    } catch {
      say(worth ? CLOSED : "");
    }
  };
  const button = (text, action) => {
    const made = document.createElement("button");
    made.textContent = text;
    made.className = "jupyter-button widget-button";
    made.addEventListener("click", action);
    return made;
  };
  const rest = () => {
    look();
    form().querySelector(".lb-draft button, input")?.focus();
  };
  const show = ({ place, when, system, typed }) => {
    const { name = "", ...values } = typed, count = Object.keys(values).length, said = document.createElement("div");
    const what = `${name && `“${name}”, `}${count} ${count === 1 ? "value" : "values"}`;
    said.textContent = `You typed this on ${DAY.format(when)}, and did not keep it: ${what}.`;
    const back = button("Bring it back", () => {
      chosen = place; // taken over once the form is filled
      model.send({ bring_back: typed, system });
    });
    const away = button("Throw it away", () => {
      store?.removeItem(place);
      rest();
    });
    offer.append(said, back, away);
  };
  const look = () => {
    offer.replaceChildren();
    const others = remembered(about).filter(({ place }) => place !== own);
    const [kept, not] = [true, false].map((is) => others.filter(({ typed }) => isKept(typed, model.get("kept")) === is));
    for (const { place } of kept) store?.removeItem(place);
    if (not.length) show(not[0]);
  };
  const filled = () => {
    const back = chosen;
    [own, chosen] = [back ?? fresh(), null];
    say(back ? GOES_ON : "");
    if (back) return rest();
    look();
    if (offer.firstChild) offer.scrollIntoView({ block: "nearest" });
  };
  const kept = () => {
    if (form() && isKept(typedInto(form()), model.get("kept"))) {
      store?.removeItem(own);
      say("");
    }
    look();
  };
  const typing = ({ target }) => form()?.contains(target) && target.closest("[class*=lb-field-]") && remember();
  const returns = () => document.visibilityState === "visible" && form()?.offsetParent && model.send({ look: true });
  const elsewhere = ({ key, newValue }) => newValue === null && key?.startsWith(about) && model.send({ look: true });
  document.addEventListener("input", typing);
  addEventListener("focus", returns);
  addEventListener("storage", elsewhere); // of another tab: what it remembered is kept or thrown away
  model.on("change:kept", kept);
  model.on("change:filled", filled);
  look();
  return () => {
    document.removeEventListener("input", typing);
    removeEventListener("focus", returns);
    removeEventListener("storage", elsewhere);
  };
}
function complaints(model, form) {
  const tell = () => {
    const wrong = model.get("wrong");
    for (const { key, box, input } of form() ? fieldsOf(form()) : []) {
      const said = wrong[key] ?? "";
      let note = box.querySelector(".lb-said");
      if (!input || (!note && !said)) continue;
      if (!note) {
        note = box.appendChild(document.createElement("div"));
        note.className = "lb-said lb-wrong";
        note.id = `${input.id}-said`;
        input.setAttribute("aria-describedby", note.id);
      }
      note.hidden = !said;
      if (note.textContent !== said) note.textContent = said;
      input.setAttribute("aria-invalid", String(Boolean(said)));
    }
  };
  model.on("change:wrong", tell);
}
export default {
  render({ model, el }) {
    const form = () => el.closest(".lb-typed");
    complaints(model, form);
    return drafts(model, form, el);
  },
};
