// What opens below the side view: the solid view that two sliders turn, the sheets of board, and the tables.
// Each returns an element; what is open is told to the kernel, which draws no more than that.

function createFold(title, name, model, ...inside) {
  const host = make("details", { class: name ? "lb-box-fold lb-box-later" : "lb-box-fold" }, make("summary", { text: title, ...KEEPS_KEYS }), ...inside);
  host.addEventListener("toggle", () => {
    if (!name) return;
    const others = model.get("opened").filter((one) => one !== name);
    model.set("opened", host.open ? [...others, name] : others);
    model.save_changes();
  });
  return host;
}

const createSolid = (() => {
  const TURNS = { turn: ["Turn", -180, 180], tip: ["Tip", -80, 80] };

  return (model) => {
    const picture = make("img", { class: "lb-box-solid", alt: "The box as a solid, its near side off" });
    let address = null;
    const show = () => {
      const bytes = model.get("solid");
      if (!bytes?.byteLength) return picture.remove();
      if (address) URL.revokeObjectURL(address);
      picture.src = address = URL.createObjectURL(new Blob([bytes], { type: "image/png" }));
      if (!picture.isConnected) host.append(picture);
    };
    const set = (changed) => {
      model.set("look", { ...model.get("look"), ...changed });
      model.save_changes();
    };
    const sliders = Object.entries(TURNS).map(([name, [label, min, max]]) => {
      const id = unlike(), slider = make("input", { type: "range", id, min, max, step: 5, value: model.get("look")[name], ...KEEPS_KEYS });
      const told = () => slider.setAttribute("aria-valuetext", `${slider.value} degrees`);
      slider.addEventListener("input", () => told() || set({ [name]: Number(slider.value) }));
      told();
      return make("div", { class: "lb-box-turn" }, make("label", { for: id, text: label }), slider);
    });
    const host = make("div", {}, ...sliders), fold = createFold("Solid view", "solid", model, host);
    fold.addEventListener("toggle", () => {
      if (!fold.open) return;
      const width = Math.max(200, Math.min(host.clientWidth, 520)), dark = matchMedia("(prefers-color-scheme: dark)").matches;
      const themed = document.body.dataset.jpThemeLight;
      set({ width: Math.round(width), height: Math.round(width * 0.72), dark: themed ? themed === "false" : dark });
    });
    model.on("change:solid", show);
    show();
    return fold;
  };
})();

// Rows of texts as a table; a row that ends in false is marked.
function createTable(model, of, heads, fold) {
  const body = make("tbody"), table = make("table", { class: "lb-box-table" }, make("thead", {}, make("tr", {}, ...heads.map((text) => make("th", { scope: "col", text })))), body);
  const show = () => {
    body.replaceChildren(...model.get(of).map((row) => {
      const texts = row.filter((cell) => typeof cell === "string"), fits = row[row.length - 1] !== false;
      return make("tr", fits ? {} : { class: "lb-box-short" }, ...texts.map((text, at) => (at ? make("td", { text }) : make("th", { scope: "row", text: fits ? text : `Too tight: ${text}` }))));
    }));
  };
  model.on(`change:${of}`, show);
  show();
  return make("div", { class: "lb-box-scrolls" }, table);
}

const createSheets = (() => {
  const MOST = 640; // px

  function sheet({ text, size, parts, offcuts }, room) {
    const scale = Math.min(room, MOST) / size[0], [wide, high] = size.map((side) => side * scale);
    const piece = ([x, y, length, width], name) => draw("rect", { x: x * scale, y: high - (y + width) * scale, width: length * scale, height: width * scale, class: name });
    const label = (lines, [x, y], turn) => draw("g", { transform: `translate(${x} ${y})${turn}` }, ...lines.map((line, row) => draw("text", { y: 4 + (row - (lines.length - 1) / 2) * 14, "text-anchor": "middle", class: "lb-box-word" }, line)));
    const small = [], words = parts.flatMap(({ at: [x, y, length, width], name, text: sides }) => {
      const turned = width > 1.4 * length, [along, across] = (turned ? [width, length] : [length, width]).map((side) => side * scale);
      const middle = [(x + length / 2) * scale, high - (y + width / 2) * scale], turn = turned ? ` rotate(-90)` : "";
      const lines = across > 34 ? [name, sides] : [`${name} ${sides}`], fits = Math.max(...lines.map((line) => line.length)) * 6.2 < along && across > 14;
      if (!fits && along > name.length * 6.2 && across > 14) return [label([name], middle, turn)];
      if (!fits) return small.push(`${name}, ${sides}`) && [];
      return [label(lines, middle, turn)];
    });
    const rim = draw("rect", { x: 0.5, y: 0.5, width: wide - 1, height: high - 1, class: "lb-box-rim" });
    const drawn = [rim, ...offcuts.map((at) => piece(at, "lb-box-offcut")), ...parts.map(({ at }) => piece(at, "lb-box-board")), ...words];
    return make("figure", {}, make("figcaption", { text }), draw("svg", { viewBox: `0 0 ${wide} ${high}`, width: wide, role: "img", "aria-label": text }, ...drawn), ...(small.length ? [make("p", { class: "lb-small", text: `Too small for its name: ${small.join("; ")}.` })] : []));
  }

  return (model, tools) => {
    const wrong = make("p", { class: "lb-refused" }), host = make("div", { class: "lb-box-sheets" });
    const cuts = createTable(model, "cuts", ["Part", "Board", "Length", "Breadth", "Saw, start", "Saw, end"]), work = make("ul");
    const fold = createFold("Cut list and sheet of board", "sheets", model, make("p", { class: "lb-box-caution", text: tools }), cuts, wrong, host, work);
    const show = () => {
      const { sheets = [], wrong: why = "" } = model.get("sheets");
      write(wrong, why);
      host.replaceChildren(...sheets.map((one) => sheet(one, Math.max(fold.clientWidth - 24, 200))));
      work.replaceChildren(...model.get("work").map((text) => make("li", { text })));
    };
    for (const of of ["sheets", "work"]) model.on(`change:${of}`, show);
    show();
    return fold;
  };
})();
