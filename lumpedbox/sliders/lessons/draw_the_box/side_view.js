// The box from the side, to scale: boards, driver, port, the room with its gaps, and handles to drag. view.py tells it.
// createSideView(model, send) returns { host, remove }.

const createSideView = (() => {
  const DOT = 7, LETTER = 6.6, LINE = 15; // px: a handle, and the size of the words
  const WALL = 10; // px that a name stays off the outside of a wall
  const HIGHEST = 0.56, LOWEST = 200, NARROW = 560; // of the window's height; px

  const PLACES = [0.5, 0.35, 0.65, 0.2, 0.8, 0, 1, -0.2, 1.2, -0.5, 1.5]; // of an edge, for its words: the middle is best

  // Whether a point lies within a polygon: a ray from it crosses the rim an odd number of times.
  function isWithin([x, y], corners) {
    return corners.reduce((odd, [x1, y1], i) => {
      const [x2, y2] = corners[(i + 1) % corners.length];
      return (y1 > y) !== (y2 > y) && x < x1 + ((y - y1) * (x2 - x1)) / (y2 - y1) ? !odd : odd;
    }, false);
  }

  class Handle {
    constructor(view, name) {
      Object.assign(this, { view, name });
      const ring = draw("circle", { r: FINGER, class: "lb-box-hold" }), dot = draw("circle", { r: DOT, class: "lb-box-dot" });
      this.element = draw("g", { class: "lb-box-handle", role: "slider", tabindex: 0, ...KEEPS_KEYS }, ring, dot);
      makeDraggable(this.element, {
        at: () => [this.data.x, this.data.y],
        go: (at, right, up) => view.drag(name, at[0] + right / view.scale, at[1] + up / view.scale),
        step: (way, many) => view.send({ nudge: [name, ...way, many] }),
        hold: () => (view.held = true),
        release: () => {
          view.held = false;
          view.show();
        },
      });
    }
    show(data) {
      this.data = data;
      const { element } = this, [along, up] = data.moves;
      element.setAttribute("aria-label", data.label);
      element.setAttribute("aria-valuetext", data.text);
      element.setAttribute("aria-valuenow", (along ? data.x : data.y).toFixed(3));
      element.setAttribute("aria-valuemin", -10);
      element.setAttribute("aria-valuemax", 10);
      element.style.cursor = along && up ? "move" : along ? "ew-resize" : "ns-resize";
      element.setAttribute("transform", `translate(${this.view.pixels([data.x, data.y]).join(" ")})`);
      element.classList.toggle("lb-box-of-room", data.name.startsWith("room"));
    }
  }

  class SideView {
    constructor(model, send) {
      Object.assign(this, { model, send, handles: new Map(), held: false, waiting: null, sent: 0, width: 0 });
      this.still = draw("g");
      this.moving = draw("g");
      this.svg = draw("svg", { class: "lb-box-svg", role: "group" }, this.still, this.moving);
      this.note = make("p", { class: "lb-small" });
      this.hint = make("p", { class: "lb-small lb-box-hint", text: "Drag a dot, or go to it with Tab and press the arrow keys; with Shift ten steps at once." });
      this.host = make("div", { class: "lb-stage lb-box-side widget-image" }, this.svg, this.note, this.hint);
      this.onView = () => this.show();
      this.onDrag = () => this.goOn();
      model.on("change:view", this.onView);
      model.on("change:drag", this.onDrag);
      this.sized = new ResizeObserver(() => this.host.clientWidth !== this.width && this.show());
      this.sized.observe(this.host);
      this.show();
    }
    // One drag is on its way at a time: the last place that the hand has reached since goes next.
    drag(name, x, y) {
      this.waiting = [name, x, y];
      if (this.sent === this.model.get("drag").number) this.goOn();
    }
    goOn() {
      if (!this.waiting) return;
      const [name, x, y] = this.waiting;
      this.waiting = null;
      this.send({ drag: [name, x, y, (this.sent = this.model.get("drag").number + 1)] });
    }
    pixels([x, y]) {
      return [this.left + (x - this.low[0]) * this.scale, this.bottom - (y - this.low[1]) * this.scale];
    }
    // The scale stays while a handle is held: else the box would run away under the hand.
    fit() {
      const { outline, room, keepOuts, edges, bodies } = this.data, points = [...outline, ...room, ...[...keepOuts, ...bodies].flatMap((body) => body.points)];
      const [xs, ys] = [0, 1].map((axis) => points.map((point) => point[axis]));
      const longest = Math.max(...edges.flatMap(({ text, gap }) => [text.length, gap.length]));
      const beside = Math.min(longest * LETTER + 14, this.width * 0.3), above = (edges.some(({ gap }) => gap) ? 2 : 1) * LINE + 14;
      const wide = Math.max(...xs) - Math.min(...xs), high = Math.max(...ys) - Math.min(...ys);
      const most = this.width < NARROW ? 380 : Math.max(LOWEST, HIGHEST * innerHeight);
      this.scale = Math.min((this.width - 2 * beside) / wide, (most - 2 * above) / high);
      this.low = [Math.min(...xs), Math.min(...ys)];
      this.left = (this.width - wide * this.scale) / 2;
      this.tall = high * this.scale + 2 * above;
      this.bottom = this.tall - above;
    }
    show() {
      this.data = this.model.get("view");
      this.width = this.host.clientWidth;
      if (!this.data.outline || this.width < 120) return;
      if (!this.held) this.fit();
      write(this.note, this.data.note);
      this.note.hidden = !this.data.note;
      this.svg.setAttribute("aria-label", `The box from ${this.data.seen}, to scale`);
      this.svg.setAttribute("width", this.width);
      this.svg.setAttribute("height", this.tall);
      const shape = (points, name) => draw("polygon", { points: points.map((point) => this.pixels(point).join(",")).join(" "), class: name });
      const { outline, boards, bodies, room, keepOuts } = this.data, drawn = keepOuts.map(({ points }) => shape(points, "lb-box-keep"));
      if (room.length) drawn.push(shape(room, "lb-box-room"));
      drawn.push(shape(outline, "lb-box-air"), ...boards.map(({ points }) => shape(points, "lb-box-board")));
      for (const { kind, points, tight } of bodies) drawn.push(shape(points, `lb-box-${kind}${tight ? " lb-box-tight" : ""}`));
      this.still.replaceChildren(...drawn, ...this.words());
      this.mark();
    }
    // Name, length and gap stand outside each edge, where they touch neither the box nor other words; else less is said.
    words() {
      const { outline, edges, bodies, keepOuts } = this.data, said = [];
      this.corners = outline.map((point) => this.pixels(point));
      this.taken = [];
      this.corners.forEach((a, i) => {
        const b = this.corners[(i + 1) % outline.length], free = (lines) => lines.every((line) => this.isFree(line));
        const places = [null, "end", "start"].flatMap((anchor) => PLACES.map((share) => this.besideEdge(a, b, share, anchor, edges[i])));
        const lines = places.find(free) ?? places.map((each) => each.slice(0, 1)).find(free) ?? [];
        said.push(...lines.map((line) => this.put(line)));
      });
      for (const keepOut of keepOuts) said.push(this.nameBeside(keepOut));
      const sides = this.corners.map(([x]) => x), walls = [Math.min(...sides), Math.max(...sides)];
      for (const body of bodies) said.push(body.kind === "port" ? this.nameWithin(body, walls) : this.nameBeyond(body, walls));
      return said.filter(Boolean);
    }
    besideEdge(a, b, share, aside, { text, gap, tight }) {
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]), out = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length]; // on the screen y runs down
      const [x, y] = [0, 1].map((axis) => a[axis] + share * (b[axis] - a[axis]) + 11 * out[axis]);
      const anchor = out[0] > 0.5 ? "start" : out[0] < -0.5 ? "end" : (aside ?? "middle"), lines = [text, gap].filter(Boolean);
      const top = y + 4 + (out[1] < -0.5 ? -LINE * (lines.length - 1) : out[1] > 0.5 ? 6 : 0);
      return lines.map((line, row) => ({ text: line, x, y: top + row * LINE, anchor, kind: row && tight ? " lb-box-tight-word" : "" }));
    }
    // The room that words take up: left, right, top, bottom.
    roomOf({ text, x, y, anchor }) {
      const wide = text.length * LETTER, left = x - wide * { start: 0, middle: 0.5, end: 1 }[anchor];
      return [left, left + wide, y - 11, y + 3];
    }
    isFree(word) {
      const [left, right, top, bottom] = this.roomOf(word);
      const apart = this.taken.every((other) => right < other[0] || left > other[1] || bottom < other[2] || top > other[3]);
      const points = [left, (left + right) / 2, right].flatMap((x) => [[x, top], [x, bottom]]);
      return apart && left >= -WALL && right <= this.width + WALL && !points.some((point) => isWithin(point, this.corners));
    }
    put(word) {
      this.taken.push(this.roomOf(word));
      return draw("text", { x: word.x, y: word.y, "text-anchor": word.anchor, class: `lb-box-word${word.kind ?? ""}` }, word.text);
    }
    // What the box keeps clear of has its name on it, or else above, below or beside it.
    nameBeside({ points, name }) {
      const places = points.map((point) => this.pixels(point)), [xs, ys] = [0, 1].map((axis) => places.map((place) => place[axis]));
      const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)], x = (left + right) / 2;
      const tries = [[x, (top + bottom) / 2 + 4, "middle"], [x, top - 6, "middle"], [x, bottom + LINE, "middle"], [right + 5, (top + bottom) / 2 + 4, "start"], [left - 5, (top + bottom) / 2 + 4, "end"], [left, top - 6, "start"]];
      const free = tries.map(([x, y, anchor]) => ({ text: name, x, y, anchor })).find((word) => this.isFree(word));
      return free ? this.put(free) : null;
    }
    // A name within the box stands where it touches no wall and no other word, or nowhere: who goes to its dot hears it.
    named(text, x, y, anchor, [low, high]) {
      const word = { text, x, y: y + 4, anchor }, [left, right, top, bottom] = this.roomOf(word);
      if (left < low + WALL || right > high - WALL) return null;
      if (![[left - WALL, top], [right + WALL, top], [left - WALL, bottom], [right + WALL, bottom]].every((point) => isWithin(point, this.corners))) return null;
      return this.put(word);
    }
    nameWithin({ points, name, at }, within) {
      const [x, y] = this.pixels(at ?? [0, 1].map((axis) => points.reduce((sum, point) => sum + point[axis], 0) / points.length));
      return this.named(name, x, y, "middle", within);
    }
    // The name of a driver stands beyond its magnet, out of the way of its handle.
    nameBeyond({ points, name }, within) {
      const half = points.length / 2, [outer, inner] = [[points[0], points[points.length - 1]], [points[half - 1], points[half]]].map((pair) => this.pixels([0, 1].map((axis) => (pair[0][axis] + pair[1][axis]) / 2)));
      const way = [inner[0] - outer[0], inner[1] - outer[1]], length = Math.hypot(...way) || 1, [x, y] = [0, 1].map((axis) => inner[axis] + (9 * way[axis]) / length);
      const anchor = way[0] < -0.3 * length ? "end" : way[0] > 0.3 * length ? "start" : "middle";
      return this.named(name, x, y, anchor, within);
    }
    mark() {
      const names = this.data.handles.map(({ name }) => name);
      for (const [name, handle] of this.handles) if (!names.includes(name)) handle.element.remove() || this.handles.delete(name);
      for (const data of this.data.handles) {
        if (!this.handles.has(data.name)) {
          this.handles.set(data.name, new Handle(this, data.name));
          this.moving.append(this.handles.get(data.name).element);
        }
        this.handles.get(data.name).show(data);
      }
    }
    remove() {
      this.model.off?.("change:view", this.onView);
      this.model.off?.("change:drag", this.onDrag);
      this.sized.disconnect();
    }
  }

  return (model, send) => new SideView(model, send);
})();
