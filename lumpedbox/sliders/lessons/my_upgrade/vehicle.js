// The vehicle from above: what sits where, and what drives it. Without a vehicle, the shapes to begin with.
const WIRES = [["#0072B2", ""], ["#D55E00", "7 3"], ["#009E73", "2 3"], ["#CC79A7", "9 3 2 3"], ["#888888", "5 5"], ["#E69F00", "1 2"]];
const penOf = (number) => {
  const [stroke, dash] = WIRES[number % WIRES.length];
  return { stroke, "stroke-dasharray": dash };
};

function createVehicle(model, send) {
  const { LEFT, RIGHT, ABOVE, BELOW } = AROUND_WALLS, TALLEST = 230, LEAST = 14, BOX = 56, APART = 7; // px
  const told = make("span", { class: "lb-small" });
  const svg = draw("svg", { class: "lb-plan-svg", role: "group", "aria-label": "Plan from above, to scale" });
  const paper = make("div", { class: "lb-plan-paper" }, svg), key = make("ul", { class: "lb-wires" }), list = make("ul", { class: "lb-places" });
  const hint = make("p", { class: "lb-small" });
  const hints = ["Your vehicle, seen from above. Then choose where a loudspeaker sits. Leave out what you do not know.", "Choose a place to change it. mm; – empty; ? in doubt; thick: new."];
  const add = make("div", { class: "lb-row-of-buttons" }, button("Add a place", () => send({ form: ["place", ""] })), button("Add a channel", () => send({ form: ["channel", ""] })));
  const folded = make("details", {}, make("summary", { text: "Places as a list", ...KEEPS_KEYS }), list);
  const shapes = make("div", { class: "lb-shapes" });
  const host = make("section", { class: "lb-vehicle lb-plan" }, make("h2", { text: "What sits where" }, told), shapes, paper, key, hint, add, folded);
  let width = 0;

  const drawn = (data) => {
    const scale = Math.min((width - LEFT - RIGHT) / data.length, TALLEST / data.width), inside = insideOf(scale, data);
    const [wide, tall] = [LEFT + inside.wide + RIGHT, ABOVE + inside.tall + BELOW];
    svg.setAttribute("width", wide);
    svg.setAttribute("height", tall);
    svg.setAttribute("viewBox", `0 0 ${wide} ${tall}`); // on paper it is drawn smaller
    const at = ([x, y]) => [inside.left + x * scale, inside.bottom - y * scale];
    const placed = data.places.filter(({ x }) => x !== null), spots = new Map(placed.map((place) => [place.name, at([place.x, place.y])]));
    const sources = [...new Set(data.wires.map(({ source }) => source))].filter((name) => name !== "nothing yet");
    const middle = (inside.top + inside.bottom) / 2, box = (number) => middle + (number - (sources.length - 1) / 2) * 40;
    const wires = data.wires.flatMap((wire, number) => {
      const from = sources.indexOf(wire.source);
      if (from < 0) return [];
      const trunk = box(from) + (number - (data.wires.length - 1) / 2) * APART;
      return wire.places.filter((name) => spots.has(name)).map((name) => {
        const [x, y] = spots.get(name);
        return draw("path", { d: `M${inside.left + BOX} ${trunk}H${x}V${y}`, class: "lb-wire", ...penOf(wire.pen) });
      });
    });
    const boxes = sources.map((name, number) => {
      const settings = { x: inside.left + BOX / 2 + 2, "text-anchor": "middle", class: "lb-source-words", "aria-hidden": "true" };
      const lines = name.split(" ").slice(0, 2).map((word, line) => draw("text", { ...settings, y: box(number) - 2 + 12 * line }, word.slice(0, 9)));
      return draw("g", {}, draw("rect", { x: inside.left + 4, y: box(number) - 16, width: BOX - 4, height: 32, rx: 3, class: "lb-source" }), ...lines);
    });
    svg.replaceChildren(...drawnWalls(inside, data.sizes), ...wires, ...boxes, ...placed.map((place) => spot(place, spots.get(place.name), scale)), ...ear(data.ear && at(data.ear)));
  };
  const ear = (at) => {
    if (!at) return [];
    return [draw("circle", { cx: at[0], cy: at[1], r: 7, class: "lb-plan-ear" }), draw("text", { x: at[0] + 12, y: at[1] + 4, "aria-hidden": "true" }, "ear")];
  };
  const spot = (place, [x, y], scale) => {
    const radius = Math.max(LEAST, (place.size / 2000) * scale), settings = { class: "lb-spot-words", "aria-hidden": "true" };
    const words = draw("text", { ...settings, y: 4, "text-anchor": "middle" }, place.size || "–");
    const doubt = draw("text", { ...settings, x: radius + 4, y: 5 }, place.doubt ? "?" : "");
    const kind = `lb-spot${place.size ? "" : " lb-empty"}${place.doubt ? " lb-doubt" : ""}${place.new ? " lb-new" : ""}`;
    const made = draw("g", { class: kind, transform: `translate(${x} ${y})`, role: "button", tabindex: 0, "aria-label": place.said, ...KEEPS_KEYS }, draw("circle", { r: radius }), words, doubt);
    const open = () => send({ form: ["place", place.name] });
    made.addEventListener("click", open);
    made.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      open();
    });
    return made;
  };
  const named = (wire) => {
    const line = draw("svg", { width: 34, height: 10, "aria-hidden": "true" }, draw("path", { d: "M0 5H34", class: "lb-wire", ...penOf(wire.pen) }));
    return make("li", {}, line, button(wire.said, () => send({ form: ["channel", wire.name] }), { class: "lb-plain" }));
  };
  const shape = ({ name, said, length, width: across }) => {
    const size = 26, outline = draw("svg", { width: length * size + 4, height: across * size + 4, "aria-hidden": "true" });
    outline.append(draw("rect", { x: 2, y: 2, width: length * size, height: across * size, rx: 8, class: "lb-plan-walls" }), draw("path", { d: `M${0.25 * length * size} 8Q${0.18 * length * size} ${(across * size) / 2} ${0.25 * length * size} ${across * size - 4}`, class: "lb-plan-walls" }));
    const made = button("", () => send(name ? { shape: name } : { form: ["sizes", ""] }), { "aria-label": said });
    made.append(outline, make("span", { text: name || said }));
    return made;
  };
  const update = () => {
    const data = model.get("vehicle"), begin = model.get("shapes");
    shapes.hidden = !begin.length;
    if (shapes.children.length !== begin.length) shapes.replaceChildren(...begin.map(shape));
    key.hidden = folded.hidden = add.hidden = !data.places;
    paper.hidden = !data.length;
    write(hint, hints[begin.length ? 0 : 1]);
    write(told, data.told ?? (begin.length ? "nothing known yet" : ""));
    width = host.clientWidth;
    if (!data.places || width < 80) return;
    const used = svg.contains(document.activeElement) && document.activeElement.getAttribute("aria-label")?.split(":")[0];
    if (data.length) drawn(data);
    else folded.open = true; // without a cabin the list is all that there is
    if (used) [...svg.querySelectorAll(".lb-spot")].find((one) => one.getAttribute("aria-label").startsWith(`${used}:`))?.focus();
    if (!list.contains(document.activeElement)) list.replaceChildren(...data.places.map(({ name, said }) => make("li", {}, button(said, () => send({ form: ["place", name] }), { class: "lb-plain" }))));
    if (!key.contains(document.activeElement)) key.replaceChildren(...data.wires.map(named));
  };
  const sized = new ResizeObserver(() => host.clientWidth !== width && update());
  sized.observe(host);
  model.on("change:vehicle", update);
  model.on("change:shapes", update);
  update();
  return { host, remove: () => sized.disconnect() };
}
