// Three pictures: what the money buys on the way, two stages at the ear, what each step is worth.
const TONES = [["#0072B2", "", 2.5], ["#D55E00", "7 3", 2]];

// A picture that is drawn for the width that it has.
function createPicture(host, height, draws) {
  const svg = draw("svg", { class: "lb-chart", role: "img", height });
  let width = 0;
  const update = () => {
    width = host.clientWidth;
    if (width < 60) return;
    svg.setAttribute("width", width);
    const { parts, told, tall } = draws(width);
    const high = tall ?? height;
    svg.setAttribute("height", high);
    svg.setAttribute("viewBox", `0 0 ${width} ${high}`); // on paper it is drawn smaller
    svg.setAttribute("aria-label", told);
    svg.replaceChildren(...parts);
  };
  const sized = new ResizeObserver(() => host.clientWidth !== width && update());
  sized.observe(host);
  host.append(svg);
  return { update, remove: () => sized.disconnect() };
}
const words = (text, x, y, settings = {}) => draw("text", { x, y, ...settings }, text);
const lineOf = (points, [stroke, dash, wide]) => draw("path", { d: `M${points.map((point) => point.join(" ")).join("L")}`, class: "lb-curve", stroke, "stroke-dasharray": dash, "stroke-width": wide });
// Round numbers from the least to the most of some, with where they lie.
function scaleOf(values, from, to, least, most = 5) {
  const low = Math.min(...values), high = Math.max(...values), span = Math.max(high - low, least);
  const step = [1, 2, 5, 10, 20, 50].find((one) => span / one <= most) ?? 100, bottom = Math.floor((low - 0.02 * span) / step) * step;
  const top = Math.max(Math.ceil((high + 0.02 * span) / step) * step, bottom + step), at = (value) => from + ((value - bottom) / (top - bottom)) * (to - from), ticks = [];
  for (let value = bottom; value <= top + 1e-9; value += step) ticks.push(value);
  return { at, ticks };
}
function frame(left, right, scale, label) {
  const lines = scale.ticks.flatMap((value) => [
    draw("path", { d: `M${left} ${scale.at(value)}H${right}`, class: "lb-grid" }),
    words(minusSign(value), left - 5, scale.at(value) + 4, { "text-anchor": "end" }),
  ]);
  return [...lines, words(label, right, Math.min(...scale.ticks.map(scale.at)) - 5, { "text-anchor": "end", class: "lb-axis-label" })];
}
const minusSign = (value) => String(value).replace("-", "−");
const legendOf = (host, names) => {
  host.replaceChildren(...names.map((name, number) => make("li", {}, draw("svg", { width: 30, height: 10, "aria-hidden": "true" }, lineOf([[0, 5], [30, 5]], TONES[number])), make("span", { text: name }))));
};

function createMoney(model) {
  const LEFT = 34, RIGHT = 12, ABOVE = 18, FREE = 0.3; // a step without money is a notch wide: this share is for all of them
  const legend = make("ul", { class: "lb-legend-of" }), paper = make("div");
  const host = make("section", { class: "lb-picture" }, make("h2", { text: "What the money buys on the way" }), legend, paper);
  const picture = createPicture(paper, 250, (width) => {
    const { lines = [], total, currency, text } = model.get("money"), known = lines.filter(({ points }) => points.length);
    const most = Math.max(1, ...known.map(({ points }) => points.length - 1)), across = width - LEFT - RIGHT, free = total ? FREE : 1;
    const x = ({ cost }, step) => LEFT + across * ((free * step) / most + (1 - free) * (total ? cost / total : 0));
    const parts = [];
    for (const [of, from, to, label, least] of [["clean", 150, ABOVE, "clean bass, 40 to 80 Hz [dB]", 6], ["thinness", 222, 182, "treble against bass [dB]", 4]]) {
      const all = known.flatMap(({ points }) => points.map((point) => point[of])).filter((value) => value !== null);
      if (!all.length) continue;
      const scale = scaleOf(all, from, to, least, of === "clean" ? 5 : 2);
      parts.push(...frame(LEFT, width - RIGHT, scale, label));
      known.slice().reverse().forEach(({ points }, back) => {
        const number = known.length - 1 - back, there = points.map((point, step) => [x(point, step), point[of]]).filter(([, value]) => value !== null);
        const corners = there.flatMap(([at, value], step) => (step ? [[at, scale.at(there[step - 1][1])], [at, scale.at(value)]] : [[at, scale.at(value)]]));
        if (corners.length) parts.push(lineOf(corners, TONES[number]));
        if (number === 0 && of === "clean") there.forEach(([at, value], step) => step && parts.push(draw("circle", { cx: at, cy: scale.at(value), r: 8, class: "lb-notch" }), words(step, at, scale.at(value) + 4, { "text-anchor": "middle" })));
      });
    }
    parts.push(words(`steps done; ${currency ?? ""} spent, ${text ?? ""} in all`, width - RIGHT, 244, { "text-anchor": "end" }));
    const told = known.map(({ name, points }) => `${name}: ${points.map(({ clean, cost }) => `${clean ?? "not known"} dB for ${cost}`).join(", ")}`).join(". ");
    return { parts, told: `Clean bass after each step. ${told}` };
  });
  const update = () => {
    legendOf(legend, (model.get("money").lines ?? []).map(({ name }) => name));
    picture.update();
  };
  model.on("change:money", update);
  update();
  return { host, remove: picture.remove };
}

function createCurves(model, send) {
  const LEFT = 34, RIGHT = 12, ABOVE = 18, BELOW = 24, HEIGHT = 250;
  const picks = [0, 1].map((number) => make("select", { "aria-label": number ? "Second stage" : "First stage", ...KEEPS_KEYS })), paper = make("div");
  const picked = [false, false], marks = picks.map((pick, number) => make("span", { class: "lb-pick" }, draw("svg", { width: 26, height: 10, "aria-hidden": "true" }, lineOf([[0, 5], [26, 5]], TONES[number])), pick));
  const host = make("section", { class: "lb-picture" }, make("h2", { text: "Two stages at the ear" }), make("div", { class: "lb-picks" }, ...marks), paper, make("p", { class: "lb-small", text: "around each: four of five places of the head" }));
  const picture = createPicture(paper, HEIGHT, (width) => {
    const { frequency = [], levels = [], bands = [] } = model.get("curves"), around = picks.map((pick) => bands[pick.selectedIndex]), shown = picks.map((pick) => levels[pick.selectedIndex]).map((level) => level ?? null);
    const known = shown.filter(Boolean), parts = [];
    const first = frequency.findIndex((one) => one >= 20), to = width - RIGHT;
    if (!known.length || first < 0) return { parts: [words("Not known yet.", LEFT, 60)], told: "Not known yet" };
    const low = Math.log(frequency[first]), high = Math.log(frequency.at(-1)), x = (hertz) => LEFT + ((Math.log(hertz) - low) / (high - low)) * (to - LEFT);
    const top = Math.max(...known.flatMap((level) => level.slice(first))), scale = scaleOf(known.flatMap((level) => level.slice(first)).map((level) => Math.max(level, top - 45)), HEIGHT - BELOW, ABOVE, 20);
    parts.push(draw("rect", { x: x(40), y: ABOVE, width: x(80) - x(40), height: HEIGHT - BELOW - ABOVE, class: "lb-band" }), ...frame(LEFT, to, scale, "at the ear, as loud as it stays clean [dB]"));
    for (const hertz of [20, 50, 100, 200, 500, 1000, 2000, 5000]) if (hertz >= frequency[first] && hertz <= frequency.at(-1)) parts.push(draw("path", { d: `M${x(hertz)} ${ABOVE}V${HEIGHT - BELOW}`, class: "lb-grid" }), words(hertz < 1000 ? hertz : `${hertz / 1000}k`, x(hertz), HEIGHT - 9, { "text-anchor": "middle" }));
    parts.push(words("Hz", to, HEIGHT - 9, { "text-anchor": "end", class: "lb-axis-label" }));
    const along = (level) => level.slice(first).map((one, place) => [x(frequency[first + place]).toFixed(1), Math.min(Math.max(scale.at(one), ABOVE), HEIGHT - BELOW).toFixed(1)]);
    around.forEach((edges, number) => edges && shown[number] && parts.push(draw("path", { d: `M${[...along(edges[0]), ...along(edges[1]).reverse()].map((point) => point.join(" ")).join("L")}Z`, fill: TONES[number][0], class: "lb-ears" })));
    shown.forEach((level, number) => level && parts.push(lineOf(along(level), TONES[number])));
    return { parts, told: `Level at the ear from 20 Hz up, for ${picks.map((pick) => pick.value).join(" and ")}. The shaded band is 40 to 80 Hz.${around.some(Boolean) ? " Around each curve: where four of five places of the head lie." : ""}` };
  });
  const update = () => {
    const names = model.get("cards").map(({ name, number }) => (number ? `${number} ${name}` : name));
    picks.forEach((pick, number) => {
      const chosen = pick.selectedIndex;
      if (names.join("\n") !== [...pick.options].map(({ text }) => text).join("\n")) pick.replaceChildren(...names.map((text) => make("option", { text })));
      pick.selectedIndex = Math.min(picked[number] ? chosen : number ? names.length - 1 : 0, names.length - 1);
    });
    picture.update();
  };
  picks.forEach((pick, number) => pick.addEventListener("change", () => {
    picked[number] = true; // until then the first and the last are compared
    send({ ears: picks.map((one) => one.selectedIndex) });
    picture.update();
  }));
  model.on("change:curves", update);
  update();
  return { host, remove: picture.remove };
}

function createWorth(model) {
  const ROW = 40, ABOVE = 4;
  const paper = make("div"), wait = make("p", { class: "lb-small" });
  const host = make("section", { class: "lb-picture" }, make("h2", { text: "What each step is worth" }), make("p", { class: "lb-small", text: "bar: fair share over all orders; line: least to most; mark: in your order" }), wait, paper);
  const picture = createPicture(paper, 250, (width) => {
    const steps = model.get("worth"), all = steps.flatMap(({ low, high, share }) => [low, high, share, 0]).filter((value) => value !== null);
    if (!all.length) return { parts: [], told: "Not known yet", tall: 10 };
    const tall = ABOVE + steps.length * ROW + 34, bottom = ABOVE + steps.length * ROW, scale = scaleOf(all, 14, width - 14, 4), parts = [];
    for (const value of scale.ticks) parts.push(draw("path", { d: `M${scale.at(value)} ${ABOVE}V${bottom}`, class: value ? "lb-grid" : "lb-zero" }), words(minusSign(value), scale.at(value), bottom + 14, { "text-anchor": "middle" }));
    steps.forEach(({ name, share, low, high, here }, row) => {
      const y = ABOVE + row * ROW + 26, [from, to] = [scale.at(Math.min(0, share)), scale.at(Math.max(0, share))];
      parts.push(words(name, 2, y - 12), draw("rect", { x: from, y: y - 6, width: to - from, height: 12, class: share < 0 ? "lb-loss" : "lb-gain" }), draw("path", { d: `M${scale.at(low)} ${y}H${scale.at(high)}M${scale.at(low)} ${y - 3}v6M${scale.at(high)} ${y - 3}v6`, class: "lb-span" }));
      if (here !== null) parts.push(draw("path", { d: `M${scale.at(here)} ${y - 9}v18`, class: "lb-here" }));
    });
    parts.push(words("clean bass [dB]", width - 2, bottom + 30, { "text-anchor": "end", class: "lb-axis-label" }));
    return { parts, told: `Clean bass from each step. ${steps.map(({ said }) => said).join("; ")}`, tall };
  });
  const update = () => {
    host.hidden = model.get("cards").length < 2;
    const many = model.get("cards").length - 1 > 7;
    write(wait, model.get("worth").length ? "" : many ? "With more than seven steps this is left out." : "working it out…");
    picture.update();
  };
  model.on("change:worth", update);
  model.on("change:cards", update);
  update();
  return { host, remove: picture.remove };
}
