// The plan from above, to scale: what it shows comes from plan.py. Front at the left, so the vehicle's left is below.
// createPlan(model, put, reading) returns { host, remove }; put moves controls.

const createPlan = (() => {
  const { LEFT, RIGHT, ABOVE, BELOW } = AROUND_WALLS;
  const TALLEST = 250, SMALLEST = 9; // px: the inside, and the least radius of a mark
  const SOFTER = [0, 114, 178], LOUDER = [230, 159, 0]; // colours that everyone tells apart
  const MOST = 0.75; // how strong the last step of a colour is

  class Marker {
    constructor(plan, name) {
      this.plan = plan;
      this.name = name;
      this.shape = draw("g"); // drawn anew with every size
      this.words = draw("text", { class: "lb-plan-name", "aria-hidden": "true" });
      this.hold = draw("circle", { r: FINGER, class: "lb-plan-hold" });
      this.element = draw("g", { class: "lb-plan-marker", role: "slider", ...KEEPS_KEYS }, this.hold, this.shape, this.words);
      makeDraggable(this.element, {
        at: () => this.moves && this.at,
        go: (at, right, up) => this.go([at[0] + right / plan.scale, at[1] + up / plan.scale]),
        step: (way) => this.step(way),
      });
    }
    step(way) {
      const stops = this.stops(), next = (axis) => {
        const at = nearest(stops[axis], this.at[axis]) + way[axis];
        return way[axis] ? stops[axis][Math.min(Math.max(at, 0), stops[axis].length - 1)] : this.at[axis];
      };
      this.go([next(0), next(1)]);
    }
    stops() {
      const controls = this.plan.model.get("controls");
      return this.sliders.map((name) => controls.find((spec) => spec.name === name).stops);
    }
    // Goes to the nearest stops, and tells the sliders if that is somewhere else; an axis that stays is not told.
    go(wanted) {
      const at = this.stops().map((stops, axis) => (wanted[axis] === this.at[axis] ? wanted[axis] : stops[nearest(stops, wanted[axis])]));
      const moved = this.sliders.map((name, axis) => [name, at[axis]]).filter((_, axis) => at[axis] !== this.at[axis]);
      if (!moved.length) return;
      this.stand(at);
      this.plan.move(Object.fromEntries(moved));
    }
    show(data) {
      const { kind, name, along, across, size, x, y, text } = data, loud = kind === "loudspeaker";
      this.sliders = [along, across];
      this.moves = Boolean(along && across);
      const radius = Math.max(SMALLEST, (size * this.plan.scale) / 2), arm = radius + 4;
      const cross = `M${-arm} 0H${arm}M0 ${-arm}V${arm}`;
      this.shape.replaceChildren(
        draw("circle", { r: radius, class: loud ? "lb-plan-cone" : "lb-plan-ear" }),
        loud ? draw("circle", { r: radius / 3, class: "lb-plan-cap" }) : draw("path", { d: cross, class: "lb-plan-cross" }),
      );
      this.reach = arm;
      write(this.words, name);
      this.element.setAttribute("aria-label", `${name}, on the plan`);
      this.element.setAttribute("aria-valuetext", text);
      this.element.setAttribute("aria-valuemin", 0);
      this.element.setAttribute("aria-valuemax", this.plan.data.length);
      this.element.setAttribute("tabindex", this.moves ? 0 : -1);
      this.element.classList.toggle("lb-plan-moves", this.moves);
      this.stand([x, y]);
    }
    stand(at) {
      this.at = at;
      const [x, y] = this.plan.pixels(at), high = y < this.plan.inside.top + 2 * FINGER;
      this.element.setAttribute("transform", `translate(${x} ${y})`);
      this.element.setAttribute("aria-valuenow", at[0].toFixed(2));
      this.words.setAttribute("y", high ? this.reach + 13 : -this.reach - 3);
      this.words.setAttribute("text-anchor", x > this.plan.inside.right - 30 ? "end" : x < this.plan.inside.left + 30 ? "start" : "middle");
    }
  }

  class Plan {
    constructor(model, put, reading) {
      Object.assign(this, { model, markers: new Map(), sent: 0, frequency: 40, width: 0 });
      this.put = put;
      this.still = draw("g");
      this.moving = draw("g");
      this.svg = draw("svg", { class: "lb-plan-svg", role: "group", "aria-label": "Plan from above, to scale" }, this.still, this.moving);
      this.canvas = make("canvas", { class: "lb-plan-map", "aria-hidden": "true" });
      this.paper = make("div", { class: "lb-plan-paper" }, this.canvas, this.svg);
      this.key = make("div", { class: "lb-plan-key" });
      this.notes = make("div");
      this.host = make("div", { class: "lb-plan" }, this.paper, this.key, this.notes);
      this.onPlan = () => this.show();
      this.onMap = () => this.paint();
      model.on("change:plan", this.onPlan);
      model.on("change:map", this.onMap);
      this.sized = new ResizeObserver(() => this.host.clientWidth !== this.width && this.show());
      this.sized.observe(this.host);
      reading.look((frequency) => {
        this.frequency = frequency;
        this.paint();
      });
      this.show();
    }
    move(places) {
      this.put(places);
      this.sent = this.model.get("moved").number;
    }
    pixels([x, y]) {
      return [this.inside.left + x * this.scale, this.inside.bottom - y * this.scale];
    }
    show() {
      this.data = this.model.get("plan");
      this.host.hidden = !this.data.markers;
      this.width = this.host.clientWidth;
      if (this.host.hidden || this.width < 80) return;
      const { length, width } = this.data;
      this.scale = Math.min((this.width - LEFT - RIGHT) / length, TALLEST / width);
      this.inside = insideOf(this.scale, this.data);
      const { wide, tall } = this.inside;
      this.svg.setAttribute("width", LEFT + wide + RIGHT);
      this.svg.setAttribute("height", ABOVE + tall + BELOW);
      this.drawWalls();
      this.mark();
      this.notes.replaceChildren(...this.data.notes.map((text) => make("p", { class: "lb-small", text })));
      this.paint();
    }
    drawWalls() {
      this.still.replaceChildren(...drawnWalls(this.inside, this.data.sizes));
    }
    // A marker that the hand has moved on since stays in the hand: its next answer is on the way.
    mark() {
      const overtaken = this.sent > this.model.get("answered"), names = this.data.markers.map(({ name }) => name);
      for (const [name, marker] of this.markers) if (!names.includes(name)) marker.element.remove() || this.markers.delete(name);
      for (const data of this.data.markers) {
        if (!this.markers.has(data.name)) {
          this.markers.set(data.name, new Marker(this, data.name));
          this.moving.append(this.markers.get(data.name).element);
        }
        const marker = this.markers.get(data.name);
        marker.show(overtaken && marker.at ? { ...data, x: marker.at[0], y: marker.at[1] } : data);
      }
    }
    // The levels at the frequency that is looked at, one pixel an ear, enlarged smoothly.
    paint() {
      const map = this.data?.map, levels = numbers(this.model.get("map"));
      this.canvas.hidden = this.key.hidden = !map;
      const size = map?.frequency.length ? map.rows * map.columns : 0;
      this.canvas.classList.toggle("lb-plan-waits", !size);
      if (!size || levels.length < size * map.frequency.length || !this.inside) return;
      const { left, top, wide, tall } = this.inside;
      this.canvas.style.cssText = `left:${left}px;top:${top}px;width:${wide}px;height:${tall}px`;
      this.canvas.width = map.columns;
      this.canvas.height = map.rows;
      const [at, part] = between(map.frequency, this.frequency), picture = new ImageData(map.columns, map.rows);
      for (let row = 0; row < map.rows; row += 1)
        for (let column = 0; column < map.columns; column += 1) {
          const place = row * map.columns + column, low = levels[at * size + place], high = levels[(at + 1) * size + place];
          const steps = Math.round((low + part * (high - low)) / map.step), share = Math.min(Math.abs(steps) / map.steps, 1);
          const pixel = 4 * ((map.rows - 1 - row) * map.columns + column); // the left side is below
          picture.data.set([...(steps < 0 ? SOFTER : LOUDER), Math.round(255 * MOST * share)], pixel);
        }
      this.canvas.getContext("2d").putImageData(picture, 0, 0);
      this.tellKey(map);
    }
    tellKey({ step, steps }) {
      if (!this.key.children.length) {
        this.at = make("span");
        const swatch = (number) => {
          const colour = (number < 0 ? SOFTER : LOUDER).join(" "), share = (MOST * Math.abs(number)) / steps;
          return make("i", { style: `background:rgb(${colour} / ${share})` });
        };
        const bar = make("span", { class: "lb-plan-bar", "aria-hidden": "true" });
        for (let number = -steps; number <= steps; number += 1) bar.append(swatch(number));
        this.key.append(this.at, make("span", { text: `${step * steps} dB softer` }), bar, make("span", { text: `${step * steps} dB louder` }));
      }
      write(this.at, `At ${digits(this.frequency)} Hz, against your ear:`);
    }
    remove() {
      this.model.off?.("change:plan", this.onPlan);
      this.model.off?.("change:map", this.onMap);
      this.sized.disconnect();
    }
  }

  return (model, put, reading) => new Plan(model, put, reading);
})();
