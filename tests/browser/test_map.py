"""The map beside the curves in a real browser: the box goes where one points, by mouse and by finger."""

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.long]

# The middle of all that is drawn in the colour of the square, in the part of the picture where the map is.
SQUARE = """part => {
    const image = document.querySelector('.lb-stage img'), box = image.getBoundingClientRect();
    const [wide, tall] = [image.naturalWidth, image.naturalHeight];
    if (!wide) return [NaN, NaN]; // the next picture is on its way
    const pen = Object.assign(document.createElement('canvas'), { width: wide, height: tall }).getContext('2d');
    pen.drawImage(image, 0, 0);
    const [left, top] = [Math.round(part[0] * wide), Math.round(part[1] * tall)], found = [];
    const { data, width } = pen.getImageData(left, top, wide - left, tall - top);
    for (let at = 0; at < data.length; at += 4)
        if (Math.hypot(data[at] - 0xd5, data[at + 1] - 0x5e, data[at + 2]) < 40) found.push(at / 4);
    const mean = (of) => found.reduce((sum, at) => sum + of(at), 0) / found.length;
    return [box.left + (left + mean((at) => at % width)) * box.width / wide,
            box.top + (top + mean((at) => Math.floor(at / width))) * box.height / tall];
}"""
MOST = 6  # px between what is pointed at and the middle of the square: half a step of either slider, and a pixel


def stands_at(page, x, y, part):
    page.wait_for_function(
        f"([x, y, part]) => {{ const [a, b] = ({SQUARE})(part); return Math.hypot(a - x, b - y) < {MOST}; }}",
        arg=[x, y, part],
        timeout=5000,
    )


def fields(page):
    return [page.get_by_label(f"{name}, typed").input_value() for name in ("Net volume [litres]", "Tuning [Hz]")]


def test_the_square_goes_where_the_mouse_drags_it(visit):
    visitor = visit()
    visitor.open_live("a_million_boxes.ipynb")
    page, right = visitor.page, (0.55, 0.0)
    before, (x, y) = fields(page), page.evaluate(SQUARE, right)
    page.mouse.move(x, y)
    assert fields(page) == before, "who only points, moves nothing"
    page.mouse.down()
    page.mouse.move(x, y + 70, steps=7)
    stands_at(page, x, y + 70, right)
    page.mouse.up()
    # straight down: a pixel is a third of a litre at 40, and the slider's steps are half litres
    assert abs(float(fields(page)[0]) - float(before[0])) <= 0.5
    assert float(fields(page)[1]) < float(before[1])
    page.mouse.click(x + 100, y + 20)
    stands_at(page, x + 100, y + 20, right)
    assert float(fields(page)[0]) > float(before[0])
    assert visitor.wrong == []


def test_the_square_goes_where_a_finger_taps_and_stays_where_it_scrolls(visit):
    visitor, phone = visit(), {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
    desk = visitor.page
    visitor.page = desk.context.browser.new_context(**phone).new_page()
    visitor.watch(visitor.page)
    visitor.open_live("a_million_boxes.ipynb")
    page, low = visitor.page, (0.0, 0.55)
    page.wait_for_function("document.querySelector('.lb-stage img').naturalHeight > 350")  # once it has its room
    x, y = page.evaluate(SQUARE, low)
    page.touchscreen.tap(x - 60, y + 15)
    stands_at(page, x - 60, y + 15, low)
    before = fields(page)
    finger = page.context.new_cdp_session(page)
    finger.send("Input.synthesizeScrollGesture", {"x": x, "y": y, "yDistance": -150})
    page.wait_for_function("scrollY > 100")
    assert fields(page) == before
    assert visitor.wrong == []
    page.context.close()
    visitor.page = desk
