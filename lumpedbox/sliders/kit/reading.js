// The picture, the names of its curves, and their values where one points. On a map beside them one points at two sliders.
const TRAILING = 150; // ms after the last change of the room
const LINE = 20; // px
// How far along an axis a value lies, what lies there, and where some steps lead from it.
const LOGARITHMIC = {
  share: (low, high, value) => Math.log(value / low) / Math.log(high / low),
  at: (low, high, share) => low * (high / low) ** share,
  moved: (value, steps) => value * 2 ** (steps / 24),
};
const EVEN = {
  share: (low, high, value) => (value - low) / (high - low),
  at: (low, high, share) => low + share * (high - low),
  moved: (value, steps, grid) => value + (steps * (grid.at(-1) - grid[0])) / 64,
};

function createReading(model, put) {
  const image = make("img", { class: "widget-image", alt: "", draggable: "false" });
  const legend = make("ul", { class: "lb-legend" }), at = make("span", { class: "lb-at" });
  const line = make("div", { class: "lb-cursor" }), dots = make("div", { class: "lb-dots" });
  const stage = make("div", {
    class: "lb-stage", role: "slider", tabindex: 0, "aria-label": "Frequency at which the curves are read", ...KEEPS_KEYS,
  }, image, line, dots);
  const names = make("div", { class: "lb-names" }, at, legend), listeners = [];
  const kept = make("ul", { class: "lb-legend lb-kept-names" }); // below the picture, which stays where it is
  const grid = numbers(model.get("grid")), { at: first, even } = model.get("axes"), scale = even ? EVEN : LOGARITHMIC;
  const middle = scale.at(grid[0], grid.at(-1), 0.5);
  let frequency = grid[0] < first && grid.at(-1) > first ? first : middle, address, entries = [];

  const show = () => {
    const bytes = model.get("picture");
    if (!bytes?.byteLength) return;
    const old = address;
    image.src = address = URL.createObjectURL(new Blob([bytes], { type: "image/png" }));
    if (old) URL.revokeObjectURL(old);
  };
  const describe = () => (image.alt = model.get("answer").showing ?? "");
  const name = () => {
    entries = model.get("legend").map((entry) => {
      const value = make("span", { class: "lb-value" }), style = entry.shown ? undefined : "visibility: hidden";
      return { entry, value, item: make("li", { style }, ...entry.pens.map(sample), make("b", { text: entry.text }), value) };
    });
    for (const [host, is] of [[legend, false], [kept, true]])
      host.replaceChildren(...entries.filter(({ entry }) => entry.kept === is).map(({ item }) => item));
  };
  const read = () => {
    const axes = model.get("axes"), curves = numbers(model.get("values")), size = grid.length;
    if (!axes.panels) return;
    const [from, part] = between(grid, frequency, scale), [first] = axes.panels, last = axes.panels.at(-1);
    const across = scale.share(axes.low, axes.high, frequency);
    const left = first.left + across * (first.right - first.left), marks = [];
    let curve = 0;
    for (const { entry, value } of entries) {
      const told = [];
      for (let one = 0; one < entry.curves.length; one += 1, curve += 1)
        axes.panels.forEach((panel, place) => {
          const start = (curve * axes.panels.length + place) * size + from;
          const read = curves[start] + part * (curves[start + (part ? 1 : 0)] - curves[start]);
          if (!Number.isFinite(read)) return;
          told.push(`${asWide(digits(read))} ${panel.unit}`.trimEnd());
          const up = (read - panel.low) / (panel.high - panel.low);
          if (up >= 0 && up <= 1) marks.push([left, panel.bottom - up * (panel.bottom - panel.top), entry.pens[one]]);
        });
      write(value, told.join("  "));
    }
    line.style.cssText = `left:${100 * left}%;top:${100 * first.top}%;height:${100 * (last.bottom - first.top)}%`;
    while (dots.children.length > marks.length) dots.lastChild.remove();
    marks.forEach(([x, y, pen], place) => {
      const dot = dots.children[place] ?? dots.appendChild(make("i"));
      dot.style.cssText = `left:${100 * x}%;top:${100 * y}%;background:${pen.color}`;
    });
    write(at, `at ${digits(frequency)} ${axes.unit}`);
    if (axes.what !== "frequency") stage.setAttribute("aria-label", `Where the curves are read: ${axes.what}`);
    stage.setAttribute("aria-valuenow", digits(frequency));
    stage.setAttribute("aria-valuetext", `${digits(frequency)} ${axes.unit}: ${entries
      .filter(({ value }) => value.textContent)
      .map(({ entry, value }) => `${entry.text} ${value.textContent}`).join(", ")}`);
  };
  stage.setAttribute("aria-valuemin", digits(grid[0]));
  stage.setAttribute("aria-valuemax", digits(grid.at(-1)));
  const look = (wanted) => {
    frequency = Math.min(Math.max(wanted, grid[0]), grid.at(-1));
    read();
    for (const listener of listeners) listener(frequency);
  };
  const aim = (map, x, y) => {
    const shares = [(x - map.left) / (map.right - map.left), (map.bottom - y) / (map.bottom - map.top)];
    const moved = map.sliders.map(({ name, low, high, even }, axis) => {
      const { stops } = model.get("controls").find((spec) => spec.name === name);
      return [name, stops[nearest(stops, (even ? EVEN : LOGARITHMIC).at(low, high, shares[axis]))]];
    }).filter(([name, value]) => value !== model.get("places")[name]);
    if (moved.length) put(Object.fromEntries(moved));
  };
  const point = (event) => {
    const { low, high, panels, map } = model.get("axes"), box = image.getBoundingClientRect();
    if (!panels || (event.type === "pointermove" && event.pointerType === "touch" && !event.buttons)) return;
    const [{ left, right }] = panels, x = (event.clientX - box.left) / box.width, y = (event.clientY - box.top) / box.height;
    if (map && x >= map.left && x <= map.right && y >= map.top && y <= map.bottom) {
      // a finger that moves scrolls the page: only when it taps, it points
      if (event.type === "click" || (event.buttons && event.pointerType === "mouse")) aim(map, x, y);
    } else if (event.type !== "click" && x <= right + 0.01) look(scale.at(low, high, (x - left) / (right - left)));
  };
  for (const kind of ["pointermove", "pointerdown", "click"]) stage.addEventListener(kind, point);
  stage.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 8, PageDown: -8 }[event.key];
    const end = { Home: grid[0], End: grid.at(-1) }[event.key];
    if (step === undefined && end === undefined) return;
    event.preventDefault();
    look(end ?? scale.moved(frequency, step, grid));
  });
  let looked = model.get("places").look; // where a control of the page says to look
  model.on("change:places", () => {
    const now = model.get("places").look;
    if (now !== undefined && now !== looked) look(now);
    looked = now;
  });
  if (looked !== undefined) frequency = looked;
  model.on("change:picture", show);
  model.on("change:answer", describe);
  model.on("change:legend", () => {
    name();
    read();
  });
  model.on("change:values", read);
  model.on("change:axes", read);
  show();
  describe();
  name();
  read();
  const remove = () => URL.revokeObjectURL(address);
  return { stage, names, kept, look: (listener) => listeners.push(listener) && listener(frequency), remove };
}

// Tells the kernel what room the picture has, once that has settled. What stands beside it takes from its height, but for
// one line. On a desk the picture leaves the facts their place on the first screen, and never grows again until the
// window changes. While a hand drags something, all stays where it is.
function watchRoom(stage, model, beside, facts) {
  let waiting, held = false, least = Infinity, screen = "";
  const leftBy = () => {
    if (screen !== `${innerWidth} ${innerHeight}`) [screen, least] = [`${innerWidth} ${innerHeight}`, Infinity];
    if (innerWidth < 1000 || innerHeight < 560 || !facts.offsetHeight || !stage.offsetHeight) return least;
    const picture = stage.getBoundingClientRect(), below = facts.getBoundingClientRect().bottom - picture.bottom;
    return (least = Math.min(least, Math.max(innerHeight - (picture.top + scrollY) - below - 4, 240)));
  };
  const look = () => {
    clearTimeout(waiting);
    waiting = held ? undefined : setTimeout(() => {
      const width = Math.round(stage.clientWidth), last = model.get("room");
      if (!stage.isConnected || width < 50 || stopped()) return; // nobody is there to be told
      const phone = width < 600, taken = phone ? 0 : beside.reduce((sum, one) => sum + one.offsetHeight, -LINE);
      const share = phone ? 0.45 : 0.53, lowest = phone ? 300 : innerHeight < 560 ? 330 : 320;
      const wanted = Math.max(share * innerHeight, lowest) - Math.min(Math.max(taken, 0), 60);
      const height = Math.round(Math.min(wanted, leftBy(), 620));
      const now = { width, height, density: Math.min(Math.max(devicePixelRatio, 1), 3), dark: isDark(stage) };
      if (Object.keys(now).every((name) => now[name] === last[name])) return;
      model.set("room", now);
      model.save_changes();
    }, TRAILING);
  };
  const watch = new ResizeObserver(look), left = new AbortController(), heard = { signal: left.signal };
  const sharper = () => {
    look();
    matchMedia(`(resolution: ${devicePixelRatio}dppx)`).addEventListener("change", sharper, { once: true, ...heard });
  };
  for (const element of [stage, facts, ...beside]) watch.observe(element);
  const hold = (now) => () => {
    held = now;
    look();
  };
  addEventListener("pointerdown", hold(true), heard);
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, hold(false), heard);
  addEventListener("resize", look, heard);
  asItIsLeft(() => clearTimeout(waiting), heard);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", look, heard);
  sharper();
  return () => {
    clearTimeout(waiting);
    watch.disconnect();
    left.abort();
  };
}

function isDark(element) {
  let ground = element;
  while (ground.parentElement && /rgba\(.*, 0\)|transparent/.test(getComputedStyle(ground).backgroundColor))
    ground = ground.parentElement;
  const [red, green, blue] = getComputedStyle(ground).backgroundColor.match(/[0-9.]+/g).map(Number);
  return red + green + blue < 384;
}

// Four bytes a number, in a buffer that may begin anywhere.
function numbers(bytes) {
  if (!bytes?.byteLength) return new Float32Array();
  return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
}

// The place below a frequency on the grid, and how far it is to the next one.
function between(grid, frequency, scale = LOGARITHMIC) {
  let at = 0;
  while (at < grid.length - 2 && grid[at + 1] <= frequency) at += 1;
  const part = scale.share(grid[at], grid[at + 1], frequency);
  return [at, Math.min(Math.max(part, 0), 1)];
}

function digits(number) {
  const size = Math.abs(number), told = number.toFixed(size >= 99.95 ? 0 : size >= 0.95 ? 1 : 2);
  return Number(told) === 0 ? told.replace("-", "") : told;
}

// Makes numbers of up to four places equally wide. Otherwise names would wrap, and the picture jump, as one points.
function asWide(number) {
  return (number.includes(".") ? number : `\u2008${number}`).padStart(4, "\u2007");
}

function sample({ color, width, dash, mark }) {
  const stroke = { x1: 0, x2: 32, y1: 6, y2: 6, stroke: color, "stroke-width": width, "stroke-dasharray": dash.join(" ") };
  const marks = { 1: [draw("circle", { cx: 16, cy: 6, r: 2.5, fill: color })] };
  marks[2] = [draw("path", { d: "M13.5 3.5 l5 5 m0 -5 l-5 5", stroke: color })];
  const svg = draw("svg", { width: 32, height: 12, "aria-hidden": "true" }, draw("line", stroke), ...(marks[mark] ?? []));
  return svg;
}
