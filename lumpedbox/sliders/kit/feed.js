// A feed piece by piece: each stands beside its symbol, and the line between them is the wire. feed.py tells the pieces.
// createFeed(model) returns an element.

const createFeed = (() => {
  const HIGH = 40, LONG = 400, TRUNK = 16, BRANCH = 44, WIDE = 66, MIDDLE = HIGH / 2; // px of a symbol; a line goes on as far as the words
  const THIN = 1.5, THICK = 0.6; // px of a line, and more for each mm of a wire's width

  const line = (d, settings = {}) => draw("path", { d, fill: "none", class: "lb-feed-line", ...settings });
  const upright = (x, from, to, settings) => line(`M${x} ${from}V${to}`, settings);
  const width = ({ thick }) => ({ "stroke-width": (THIN + THICK * thick).toFixed(1) });
  const SYMBOLS = {
    battery: (x) => [line(`M${x - 12} 14H${x + 12}M${x - 6} 20H${x + 6}`, { "stroke-width": 3 }), upright(x, 20, LONG)],
    fuse: (x) => [upright(x, 0, LONG), draw("rect", { x: x - 6, y: 6, width: 12, height: 28, class: "lb-feed-part" }), upright(x, 6, 34)],
    wire: (x, piece) => [upright(x, 0, LONG, width(piece))],
    grommet: (x) => [upright(x, 0, LONG), draw("circle", { cx: x, cy: MIDDLE, r: 7, class: "lb-feed-ring" })],
    split: (x) => [upright(x, 0, LONG), draw("circle", { cx: x, cy: MIDDLE, r: 5, class: "lb-feed-dot" })],
    load: (x, { branch }) => [upright(x, 0, branch ? 8 : LONG), draw("rect", { x: x - 11, y: 8, width: 22, height: 24, class: "lb-feed-part" })],
    back: (x) => [line(`M${x} 0V16M${x - 12} 16H${x + 12}M${x - 8} 22H${x + 8}M${x - 4} 28H${x + 4}`)],
  };

  // The symbol of a piece, and what of the way from the battery passes beside it.
  function symbol(piece, before, passing) {
    const x = piece.branch ? BRANCH : TRUNK, drawn = SYMBOLS[piece.kind](x, piece);
    if (passing) drawn.push(upright(TRUNK, 0, LONG));
    if (piece.branch && before?.branch !== piece.branch) drawn.push(line(`M${TRUNK} 0H${BRANCH}`));
    const look = piece.known ? "" : " lb-feed-unknown";
    return draw("svg", { width: WIDE, height: HIGH, class: `lb-feed-symbol${look}`, "aria-hidden": "true" }, ...drawn);
  }

  return (model) => {
    const list = make("ol", { class: "lb-feed-list", "aria-label": "The feed, piece by piece" });
    const title = make("b", { text: "To buy" }), buy = make("ul", { class: "lb-feed-buy", "aria-label": "To buy" });
    const host = make("div", { class: "lb-feed" }, list, title, buy);
    const show = () => {
      const told = model.get("feed"), pieces = told.filter(({ kind }) => kind !== "buy");
      const lines = told.filter(({ kind }) => kind === "buy");
      host.hidden = !pieces.length;
      title.hidden = buy.hidden = !lines.length;
      buy.replaceChildren(...lines.map(({ text }) => make("li", { text })));
      const after = (at) => pieces.slice(at + 1).some(({ branch, kind }) => kind !== "back" && branch !== pieces[at].branch && branch);
      list.replaceChildren(...pieces.map((piece, at) => {
        const words = make("div", { class: "lb-feed-words" }, make("span", { text: piece.text }));
        if (piece.note) words.append(make("small", { text: piece.note }));
        return make("li", {}, symbol(piece, pieces[at - 1], piece.branch && after(at)), words);
      }));
    };
    model.on("change:feed", show);
    show();
    return host;
  };
})();
