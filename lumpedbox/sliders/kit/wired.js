// A channel as it is wired: chains side by side between the amplifier's + and −, each symbol with its values beside it.
// wired.py tells them. createWired(model) returns an element.

const createWired = (() => {
  const ROW = 15, LETTER = 6.4, LEFT = 6, FIRST = 30, BESIDE = 14, NEAR = 10, GAP = 12, CONE = 14; // px: a line of text, a letter; then places and distances along the width
  const HIGH = { loudspeaker: 62, resistor: 46, capacitor: 40 };
  const line = (d) => draw("path", { d, class: "lb-wired-line" });
  const dot = (x, y) => draw("circle", { cx: x, cy: y, r: 3, class: "lb-wired-dot" });
  const SYMBOLS = { // around a middle, along the wire down from top to bottom
    resistor: (x, y, top, bottom) => [line(`M${x} ${top}V${y - 14}M${x} ${y + 14}V${bottom}`), draw("rect", { x: x - 6, y: y - 14, width: 12, height: 28, class: "lb-wired-part" })],
    capacitor: (x, y, top, bottom) => [line(`M${x} ${top}V${y - 3}M${x - 11} ${y - 3}h22M${x - 11} ${y + 3}h22M${x} ${y + 3}V${bottom}`)],
    loudspeaker: (x, y, top, bottom) => [
      line(`M${x} ${top}V${y - 12}M${x} ${y + 12}V${bottom}`),
      draw("path", { d: `M${x - 5} ${y - 12}h10v24h-10ZM${x - 5} ${y - 12}l-9 -9v42l9 -9`, class: "lb-wired-part" }),
    ],
  };
  const words = (x, y, lines) => lines.map((text, at) => draw("text", { x, y: y + ROW * (at - (lines.length - 1) / 2) + 4 }, text));
  const wide = (lines) => Math.max(0, ...lines.map((text) => LETTER * text.length));
  const high = (one) => (one.across ? one.chain.reduce((sum, part) => sum + high(part), 0) + 16 : HIGH[one.kind]);
  // How far to the right a part reaches from its wire.
  const reach = (one) => {
    if (!one.across) return BESIDE + wide(one.lines);
    return Math.max(...one.chain.map(reach)) + GAP + NEAR + wide(one.across.lines);
  };

  // Draws a part from a height on; returns what it is made of.
  function part(one, x, top) {
    const bottom = top + high(one), middle = (top + bottom) / 2;
    if (!one.across) return [...SYMBOLS[one.kind](x, middle, top, bottom), ...words(x + BESIDE, middle, one.lines)];
    const aside = x + Math.max(...one.chain.map(reach)) + GAP, made = [line(`M${x} ${top}v8H${aside}M${x} ${bottom}v-8H${aside}`), dot(x, top + 8), dot(x, bottom - 8)];
    made.push(...SYMBOLS[one.across.kind](aside, middle, top + 8, bottom - 8), ...words(aside + NEAR, middle, one.across.lines));
    return [...made, ...column(one.chain, x, top + 8)];
  }
  function column(chain, x, top) {
    const made = [];
    for (const one of chain) {
      made.push(...part(one, x, top));
      top += high(one);
    }
    return made;
  }
  function drawn({ source, chains }) {
    const top = ROW * source.length + 18, highest = Math.max(...chains.map((chain) => chain.reduce((sum, one) => sum + high(one), 0)));
    const bottom = top + highest, made = source.map((text, at) => draw("text", { x: 0, y: ROW * at + 12 }, text));
    let x = FIRST, last = x, right = 0;
    for (const chain of chains) {
      const long = chain.reduce((sum, one) => sum + high(one), 0);
      made.push(...column(chain, x, top), line(`M${x} ${top + long}V${bottom}`));
      last = x;
      right = x + Math.max(...chain.map(reach));
      x = right + GAP + CONE;
    }
    for (const [y, sign] of [[top, "+"], [bottom, "−"]])
      made.push(line(`M${LEFT} ${y}H${last}`), draw("circle", { cx: LEFT, cy: y, r: 4, class: "lb-wired-part" }), draw("text", { x: LEFT - 4, y: y + (sign === "+" ? 18 : -9), class: "lb-wired-sign" }, sign));
    return { made, width: Math.ceil(Math.max(right, wide(source)) + 6), height: bottom + 8 };
  }

  return (model) => {
    const host = make("div", { class: "lb-wired" });
    const show = () => {
      const wired = model.get("wired");
      host.hidden = !wired.chains;
      if (host.hidden) return host.replaceChildren();
      const { made, width, height } = drawn(wired);
      host.replaceChildren(draw("svg", { width, height, viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": wired.words }, ...made));
    };
    model.on("change:wired", show);
    show();
    return host;
  };
})();
