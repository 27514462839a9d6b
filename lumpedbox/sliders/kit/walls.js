// The walls of a vehicle from above, to scale. Front at the left, so the vehicle's left is below.
const AROUND_WALLS = { LEFT: 20, RIGHT: 12, ABOVE: 28, BELOW: 46 }; // px, for words and sizes, beyond what sits on a wall

// Where the inside lies, at so many pixels a metre.
function insideOf(scale, { length, width }) {
  const { LEFT: left, ABOVE: top } = AROUND_WALLS, wide = length * scale, tall = width * scale;
  return { left, right: left + wide, top, bottom: top + tall, wide, tall };
}
function drawnWalls({ left, right, top, bottom, wide, tall }, sizes) {
  const middle = top + tall / 2;
  const label = (text, x, y, settings = {}) => draw("text", { x, y, "text-anchor": "middle", "aria-hidden": "true", ...settings }, text);
  const turned = (x) => ({ transform: `rotate(-90 ${x} ${middle})` });
  return [
    draw("rect", { x: left, y: top, width: wide, height: tall, rx: 4, class: "lb-plan-walls" }),
    label("front", left - 7, middle, turned(left - 7)),
    label("right side", left + wide / 2, top - 15),
    label("left side", left, bottom + 25, { "text-anchor": "start" }),
    label(`${sizes.length} long, ${sizes.width} wide inside`, right, bottom + (wide < 330 ? 40 : 25), { "text-anchor": "end" }),
  ];
}
