// The thing itself: a section of each loudspeaker to scale, with a cone, port air and box pressure that move.
// createThing(host) fills an empty element; thing.py makes what it shows. x runs into the box, y up from its floor.

const createThing = (() => {
  const FRAME = 32; // ms, the least between two frames: 30 a second
  const SECONDS = 1.5; // what a period takes on the screen
  const TALLEST = 230, SMALLEST = 90; // px of the tallest section; below, one stands under the other
  const LEFT = 26, ABOVE = 24, BELOW = 26, EDGE = 4; // px around a section, for its sizes
  const GAP = 16, NARROWEST = 112, WIDEST = 230; // px between sections, and of the words under one
  const SWING = 0.3; // of a rim's radius, how far a cone is drawn off its rest
  const OUTSIDE = 1.2; // of the depth of the box, how much of a port is drawn behind it; the rest is broken off
  const NEAR = Math.SQRT2; // up and down to where the enlargement is the same: so a cone at rest stays at rest
  const MOST = 1000; // times as far, beyond which nothing is enlarged
  const TINT = 0.55; // of the air where the pressure is highest
  const MOUTH = 0.4; // of a port's size, how far its air is drawn beyond its ends
  const CONE = 0, OPENING = 1, PRESSURE = 2, ROWS = [CONE, OPENING, PRESSURE]; // what the curves are of
  const SHARES = { 2: "half", 3: "a third", 5: "a fifth", 10: "a tenth" };

  // Numbers as one says them: as `Shown.in_words` of systems.py.
  function told(value, { unit, size, decimals, told: most }) {
    const number = value / size;
    if (number === 0) return `0 ${unit}`;
    const whole = number.toFixed(0), first = Math.floor(Math.log10(Math.abs(number)));
    if (Math.abs(number - whole) <= 1e-9 * Math.abs(number)) return `${whole} ${unit}`;
    const digits = Math.max(0, Math.min(2 - first, most ?? Math.max(decimals, 1 - first)));
    return `${number.toFixed(digits)} ${unit}`;
  }
  const roundest = (limit, steps) => {
    const power = 10 ** Math.floor(Math.log10(limit) + 1e-9);
    return power * steps.filter((step) => step * power <= limit * (1 + 1e-9)).at(-1);
  };
  const timesAsFar = (factor) => {
    if (factor > 1) return `Drawn ${Math.round(factor)} times as far`;
    if (factor === 1) return "Drawn as far as it moves";
    const part = Math.round(1 / factor);
    return `Drawn ${SHARES[part] ?? `1/${part}`} as far`;
  };

  // How everything moves: complex values of (thing, what, grid), as thing.py says.
  class Motion {
    constructor(bytes, grid) {
      this.values = numbers(bytes);
      this.grid = grid;
    }
    stored(thing, what, index) {
      const at = 2 * ((3 * thing + what) * this.grid.length + index);
      return [this.values[at], this.values[at + 1]];
    }
    at(thing, what, frequency) {
      const [below, share] = between(this.grid, frequency);
      const [one, other] = [this.stored(thing, what, below), this.stored(thing, what, below + 1)];
      return one.map((part, index) => part + share * (other[index] - part));
    }
    most(thing, what, frequency) {
      let most = Math.hypot(...this.at(thing, what, frequency));
      this.grid.forEach((one, index) => {
        if (one * NEAR < frequency || one > frequency * NEAR) return;
        most = Math.max(most, Math.hypot(...this.stored(thing, what, index)));
      });
      return most;
    }
  }

  const pistons = ({ driver, opening }) => (opening && opening.kind !== "port" ? [driver, opening] : [driver]);
  const swing = ({ kind, rim, depth }) => (kind === "driver" ? Math.min(SWING * rim, depth / 4) : SWING * rim);
  const movers = ({ opening }) => (opening ? [CONE, OPENING] : [CONE]);
  const room = (thing, what) => {
    if (what === CONE) return swing(thing.driver);
    return thing.opening.kind === "port" ? thing.box.depth : swing(thing.opening);
  };

  // Metres that a section takes to the left of the inner face of the panel, to its right, and upwards.
  function extent(thing) {
    const { box, board, driver, opening } = thing;
    const port = opening?.kind === "port" ? opening : { size: 0, length: 0 }, mouth = MOUTH * port.size;
    const left = board + 1.15 * Math.max(mouth, ...pistons(thing).map(swing));
    if (!box) return { left, right: driver.depth, tall: 2 * driver.y };
    const back = box.depth + board, broken = port.length - board > back + OUTSIDE * box.depth;
    const end = broken ? back + OUTSIDE * box.depth : port.length - board; // of the port as far as it is drawn
    return { left, right: Math.max(back, end + mouth), tall: box.height + 2 * board, end, broken };
  }
  function plan(things, width) {
    const extents = things.map(extent), tall = Math.max(...extents.map((one) => one.tall));
    const fitting = (some) => {
      const free = width - some.length * (LEFT + 2 * EDGE) - (some.length - 1) * GAP;
      return free / some.reduce((sum, one) => sum + one.left + one.right, 0);
    };
    const beside = Math.min(TALLEST / tall, fitting(extents));
    const room = (width - (things.length - 1) * GAP) / things.length;
    const stacked = things.length > 1 && (beside * tall < SMALLEST || room < NARROWEST);
    const scale = stacked ? Math.min(TALLEST / tall, ...extents.map((one) => fitting([one]))) : beside;
    return { extents, scale, stacked, tall: stacked ? null : tall };
  }

  // One section, and what moves in it: `move(what, metres on the screen)`, `reach(factor, metres)`, `press(share)`.
  class Section {
    constructor(thing, size, scale, tall, parent) {
      this.thing = thing;
      this.size = size;
      this.scale = scale;
      this.tall = tall;
      this.driver = thing.box ? thing.driver : { ...thing.driver, y: tall / 2 }; // a panel goes on above and below
      const wide = LEFT + scale * (size.left + size.right) + 2 * EDGE, high = ABOVE + scale * tall + BELOW;
      this.figure = parent.appendChild(make("figure", { class: "lb-thing-one" }));
      this.figure.style.flexBasis = this.figure.style.minWidth = `${wide.toFixed(1)}px`;
      this.figure.style.maxWidth = `${Math.max(wide, WIDEST).toFixed(0)}px`;
      this.figure.append(this.title());
      const [width, height] = [wide, high].map((side) => side.toFixed(1));
      const seen = { role: "img", "aria-label": thing.texts.alternative, viewBox: `0 0 ${width} ${height}` };
      this.svg = this.figure.appendChild(draw("svg", { ...seen, width, height }));
      this.movers = [];
      this.walls();
      this.movers.push(this.piston(this.driver, "cone"));
      if (thing.opening) {
        const port = thing.opening.kind === "port";
        this.movers.push(port ? this.port(thing.opening) : this.piston(thing.opening, "radiator"));
      }
      this.sizes();
      const lines = thing.texts.lines.map((text) => make("div", { text }));
      const notes = thing.texts.notes.map((text) => make("div", { class: "lb-thing-note", text }));
      this.figure.append(make("figcaption", { class: "lb-thing-lines" }, ...lines, ...notes));
    }
    add(tag, attributes, parent = this.svg) {
      return parent.appendChild(draw(tag, attributes));
    }
    x(metres) {
      return EDGE + LEFT + this.scale * (this.size.left + metres);
    }
    y(metres) {
      const floor = this.thing.box ? this.thing.board : 0;
      return ABOVE + this.scale * (this.tall - floor - metres);
    }
    title() {
      const { name, pen } = this.thing;
      const dash = pen.dash.map((part) => 1.8 * part).join(" ");
      const stroke = draw("path", { d: "M0 4H26", stroke: pen.color, "stroke-width": 2.2, "stroke-dasharray": dash });
      const swatch = draw("svg", { width: 26, height: 8, "aria-hidden": "true" }, stroke);
      return make("div", { class: "lb-thing-name" }, swatch, ` ${name}`);
    }
    box(x, y, width, height, look) {
      const sides = { width: this.scale * width, height: this.scale * height };
      return this.add("rect", { x: this.x(x), y: this.y(y + height), ...sides, class: look });
    }
    line(d, look, parent = this.svg) {
      return this.add("path", { d, class: look, fill: "none" }, parent);
    }
    mover(look, part, parent = this.svg) {
      const { name, pen } = this.thing;
      return this.add("g", { class: look, "data-of": name, "data-part": part, stroke: pen.color }, parent);
    }
    walls() {
      const { box, board, opening } = this.thing;
      const low = box ? -board : 0, high = box ? box.height + board : this.tall;
      const holes = [this.driver, opening].filter(Boolean).sort((one, other) => one.y - other.y);
      const edges = holes.flatMap((hole) => {
        const half = hole.kind === "port" ? hole.size / 2 : 1.03 * hole.cone;
        return [hole.y - half, hole.y + half];
      });
      const ends = [low, ...edges, high];
      if (box) this.air = this.box(0, 0, box.depth, box.height, "lb-thing-air");
      for (let at = 0; at < ends.length; at += 2)
        this.box(-board, ends[at], board, ends[at + 1] - ends[at], "lb-thing-board");
      if (!box) return;
      this.box(0, -board, box.depth, board, "lb-thing-board");
      this.box(0, box.height, box.depth, board, "lb-thing-board");
      this.box(box.depth, -board, board, high - low, "lb-thing-board");
    }
    piston(one, part) {
      const { board } = this.thing, { scale } = this;
      const face = this.x(-board), middle = this.y(one.y), most = swing(one);
      const [rim, cone, coil, motor, depth] = ["rim", "cone", "coil", "motor", "depth"].map((key) => scale * one[key]);
      const edge = 0.9 * cone, fixed = 1.03 * cone, plate = one.kind === "driver" ? depth / 2 : depth;
      const deep = Math.max(plate - scale * most, 0.2 * plate), roll = 0.16 * cone;
      const end = one.kind === "driver" ? motor : coil;
      for (const side of [-1, 1]) {
        this.line(`M${face} ${middle + side * fixed}L${face + plate} ${middle + side * end}`, "lb-thing-basket");
        this.line(`M${face - 1} ${middle + side * fixed}V${middle + side * rim}`, "lb-thing-flange");
      }
      if (one.kind === "driver") {
        const box = { x: face + plate, y: middle - motor, width: depth - plate, height: 2 * motor };
        this.add("rect", { ...box, class: "lb-thing-motor" });
      } else this.line(`M${face + plate} ${middle - end}v${2 * end}`, "lb-thing-basket");
      const limits = one.travel ? this.line("", "lb-thing-limit") : null;
      const surround = this.line("", "lb-thing-surround");
      const group = this.mover("lb-thing-cone", part);
      const cap = `M${deep} ${-coil}Q${deep - coil} 0 ${deep} ${coil}`;
      this.line(`M0 ${-edge}L${deep} ${-coil}${cap}M${deep} ${coil}L0 ${edge}`, "", group);
      if (one.kind === "driver") {
        const former = plate + 0.15 * depth;
        this.line(`M${deep} ${-coil}H${former}M${deep} ${coil}H${former}`, "", group);
      }
      return {
        move(metres) {
          const at = face - scale * metres, top = middle - edge, bottom = middle + edge;
          group.setAttribute("transform", `translate(${at.toFixed(2)} ${middle.toFixed(2)})`);
          const bulge = ((at + face) / 2 - roll).toFixed(2), from = at.toFixed(2);
          const arc = (y, out) => `M${from} ${y}Q${bulge} ${(y + out) / 2} ${face} ${out}`;
          surround.setAttribute("d", arc(top, middle - fixed) + arc(bottom, middle + fixed));
        },
        reach(factor) {
          const far = factor * one.travel, half = edge + 3;
          const mark = (x) => `M${x} ${middle - half}V${middle + half}`;
          const shown = far <= 1.1 * most ? mark(face - scale * far) + mark(face + scale * far) : "";
          limits?.setAttribute("d", shown);
        },
      };
    }
    port(port) {
      const { board } = this.thing, { scale, size } = this;
      const face = this.x(-board), middle = this.y(port.y), half = (scale * port.size) / 2;
      const end = this.x(size.end), beyond = scale * MOUTH * port.size;
      const walls = `M${face} ${middle - half}H${end}M${face} ${middle + half}H${end}`;
      const tear = `M${end} ${middle - half}l-4 ${half / 2}l8 ${half}l-4 ${half / 2}`;
      this.line(size.broken ? walls + tear : walls, port.fits ? "lb-thing-port" : "lb-thing-port lb-thing-long");
      const id = unlike(), from = face - beyond;
      const inner = Math.max(end, this.x(0)) + (size.broken ? 0 : beyond);
      const hole = draw("rect", { x: from, y: middle - half, width: inner - from, height: 2 * half });
      this.svg.append(draw("clipPath", { id }, hole));
      const still = this.add("g", { "clip-path": `url(#${id})` });
      const group = this.mover("lb-thing-port-air", "port", still);
      const ticks = this.line("", "", group);
      return {
        move: (metres) => group.setAttribute("transform", `translate(${(face - scale * metres).toFixed(2)} 0)`),
        reach(factor, metres) {
          const far = scale * metres, step = Math.max(1.4 * half, far / 4, 5);
          const least = Math.floor((from - face - far) / step), most = Math.ceil((inner - face + far) / step);
          let d = "";
          for (let at = least; at <= most; at++) d += `M${(at + 0.5) * step} ${middle - 0.75 * half}v${1.5 * half}`;
          ticks.setAttribute("d", d);
        },
      };
    }
    sizes() {
      const { texts, box, board, opening } = this.thing;
      if (!box) return;
      const left = this.x(-this.size.left) - 8, under = this.y(-board) + 7;
      this.measure([left, this.y(0)], [left, this.y(box.height)], texts.height);
      this.measure([this.x(0), under], [this.x(box.depth), under], texts.depth);
      if (!texts.length || !opening.length) return;
      const over = this.y(box.height + board) - 6, { end, broken } = this.size;
      this.measure([this.x(-board), over], [this.x(end), over], texts.length, broken);
    }
    // A line between two ends with a size beside it: below where it lies lowest, else above or to the left.
    measure([x1, y1], [x2, y2], text, open = false) {
      const upright = x1 === x2, above = !upright && y1 < this.y(0);
      const bar = (x, y) => (upright ? `M${x - 3} ${y}h6` : `M${x} ${y - 3}v6`);
      this.line(`M${x1} ${y1}L${x2} ${y2}${bar(x1, y1)}${open ? "" : bar(x2, y2)}`, "lb-thing-size");
      const x = upright ? x1 - 5 : (x1 + x2) / 2, y = upright ? (y1 + y2) / 2 : y1 + (above ? -4 : 14);
      const turned = upright ? { transform: `rotate(-90 ${x} ${y})` } : {};
      this.add("text", { x, y, "text-anchor": "middle", ...turned }).textContent = text;
    }
    press(share) {
      if (!this.air) return;
      this.air.setAttribute("class", share > 0 ? "lb-thing-air lb-thing-squeezed" : "lb-thing-air");
      this.air.setAttribute("fill-opacity", (TINT * Math.abs(share)).toFixed(3));
    }
  }

  // How cone and second opening go together, from their volumes of air; both outwards.
  function together(thing, cone, second) {
    const [moved, other] = [Math.hypot(...cone) * thing.driver.area, Math.hypot(...second) * thing.opening.area];
    const { kind, called } = thing.opening, port = kind === "port";
    if (moved < other / 4) return `the cone hardly moves, the ${port ? `${called} breathes` : "radiator plays"}`;
    if (other < moved / 4) return `the ${port ? called : "radiator"} adds little`;
    const along = cone[0] * second[0] + cone[1] * second[1];
    const cosine = along / (Math.hypot(...cone) * Math.hypot(...second));
    if (Math.abs(cosine) < 0.5) return "they move a quarter of a period apart";
    return cosine < 0 ? "they work against each other" : "they work together";
  }
  function sentence(thing, motion, index, frequency) {
    const far = (what, one) => {
      const peak = Math.hypot(...motion.at(index, what, frequency));
      const past = one.travel && peak > one.travel;
      return `${told(peak, thing.travel)}${what ? "" : " each way"}` + (past ? `, past its linear travel of ${told(one.travel, thing.travel)}` : "");
    };
    const name = thing.name[0].toUpperCase() + thing.name.slice(1);
    const cone = `${name}: the cone moves ${far(0, thing.driver)}`;
    if (!thing.opening) return `${cone}.`;
    const second = thing.opening.kind === "port" ? `${thing.opening.called} air` : "radiator";
    const how = together(thing, motion.at(index, 0, frequency), motion.at(index, 1, frequency));
    return `${cone}, the ${second} ${far(1, thing.opening)}; ${how}.`;
  }

  // All sections of a page, the words under them, and the one loop that moves them.
  class Thing {
    constructor(host) {
      host.classList.add("lb-thing");
      this.host = host;
      this.things = this.sections = [];
      this.frequency = null;
      this.width = this.frame = this.last = this.phase = 0;
      this.drawings = make("div", { class: "lb-thing-drawings" });
      this.button = button("", () => this.setMoving(!this.moving), { class: "lb-thing-button" });
      this.words = make("p", { class: "lb-thing-words" });
      host.append(this.drawings, make("div", { class: "lb-thing-foot" }, this.button, this.words));
      this.watch(matchMedia("(prefers-reduced-motion: reduce)"));
      this.settle();
    }
    watch(still) {
      const asWished = () => this.setMoving(!still.matches);
      const settle = () => this.settle();
      const sized = new ResizeObserver(() => this.resize());
      const seen = new IntersectionObserver((entries) => {
        this.inSight = entries.at(-1).isIntersecting;
        this.settle();
      });
      this.moving = !still.matches;
      sized.observe(this.drawings);
      seen.observe(this.drawings);
      document.addEventListener("visibilitychange", settle);
      still.addEventListener("change", asWished);
      this.unwatch = () => {
        sized.disconnect();
        seen.disconnect();
        document.removeEventListener("visibilitychange", settle);
        still.removeEventListener("change", asWished);
      };
    }
    setMoving(moving) {
      this.moving = moving;
      if (this.now) this.tell();
      this.settle();
    }
    // Run while there is something to see, and only then.
    settle() {
      const run = this.moving && this.inSight && !document.hidden && this.sections.length > 0 && Boolean(this.now);
      if (run && !this.frame) this.frame = requestAnimationFrame((time) => this.step(time));
      if (!run) cancelAnimationFrame(this.frame);
      if (!run) this.frame = 0;
      write(this.button, this.moving ? "Stop" : "Move");
      this.button.setAttribute("aria-label", this.moving ? "Stop the drawing" : "Move the drawing");
    }
    step(time) {
      this.frame = requestAnimationFrame((next) => this.step(next));
      if (time - this.last < FRAME) return;
      this.phase += (2 * Math.PI * this.now.turns * Math.min(time - this.last, 100)) / 1000;
      this.last = time;
      this.draw();
    }
    draw() {
      const [cosine, sine] = [Math.cos(this.phase), Math.sin(this.phase)];
      const value = ([real, imaginary]) => real * cosine - imaginary * sine;
      this.sections.forEach((section, index) => {
        section.movers.forEach((mover, what) => mover.move(value(this.now.moved[index][what])));
        section.press(value(this.now.pressed[index]));
      });
    }
    resize() {
      if (this.drawings.clientWidth === this.width) return;
      this.width = this.drawings.clientWidth;
      this.build();
    }
    build() {
      this.sections = [];
      this.drawings.replaceChildren();
      if (this.things.length && this.width > NARROWEST) {
        const { extents, scale, stacked, tall } = plan(this.things, this.width);
        const section = (thing, index) => {
          const size = extents[index];
          return new Section(thing, size, scale, stacked ? size.tall : tall, this.drawings);
        };
        this.drawings.classList.toggle("lb-thing-stacked", stacked);
        this.sections = this.things.map(section);
      }
      this.refresh();
    }
    // Work out what moves how far at the frequency, enlarged, and show it.
    refresh() {
      if (!this.sections.length || this.frequency === null) return this.settle();
      const { things, motion, frequency } = this;
      const peaks = things.map((_, index) => ROWS.map((what) => motion.most(index, what, frequency)));
      const enlarged = (thing, index) => movers(thing).map((what) => room(thing, what) / peaks[index][what]);
      const pressure = Math.max(...peaks.map((peak) => peak[PRESSURE])) || 1;
      const factor = roundest(Math.min(MOST, ...things.flatMap(enlarged)), [1, 2, 3, 5]);
      const slower = roundest(Math.max(1, frequency * SECONDS), [1, 1.5, 2, 3, 4, 5, 6, 8]);
      const scaled = (index, what, by) => motion.at(index, what, frequency).map((part) => part * by);
      const moved = things.map((thing, index) => movers(thing).map((what) => scaled(index, what, factor)));
      const pressed = things.map((_, index) => scaled(index, PRESSURE, 1 / pressure));
      this.now = { factor, slower, moved, pressed, turns: frequency / slower };
      this.sections.forEach((section, index) =>
        section.movers.forEach((mover, what) => mover.reach(factor, Math.hypot(...moved[index][what]))),
      );
      if (!this.moving) this.phase = this.tellingPhase();
      this.tell();
      this.draw();
      this.settle();
    }
    // At rest, whatever moves most is drawn at its furthest out.
    tellingPhase() {
      const share = (one, index, what) => ({ one, share: Math.hypot(...one) / room(this.things[index], what) });
      const all = this.now.moved.flatMap((moved, index) => moved.map((one, what) => share(one, index, what)));
      const [real, imaginary] = all.reduce((most, next) => (next.share > most.share ? next : most)).one;
      return -Math.atan2(imaginary, real);
    }
    tell() {
      const { things, motion, frequency } = this;
      const hertz = frequency.toFixed(frequency < 10 ? 1 : 0);
      const each = things.map((thing, index) => sentence(thing, motion, index, frequency)).join(" ");
      const slow = this.moving ? `, slowed down ${this.now.slower} times` : "";
      const air = things.some(({ box }) => box) ? " The air in the box: amber when squeezed, blue when stretched." : "";
      write(this.words, `At ${hertz} Hz. ${each} ${timesAsFar(this.now.factor)}${slow}.${air}`);
    }
    show(things, curves, grid) {
      Object.assign(this, { things, motion: new Motion(curves, grid), now: null });
      this.build();
    }
    look(frequency) {
      this.frequency = frequency;
      this.refresh();
    }
    remove() {
      this.setMoving(false);
      this.unwatch();
      this.host.replaceChildren();
      this.host.classList.remove("lb-thing");
    }
  }

  return (host) => new Thing(host);
})();
