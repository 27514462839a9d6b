"""The channel as it is wired is readable at the desk, on a phone and in the dark, and told to who cannot see it."""

import pytest

STATES = (
    {},
    {"Wiring": "parallel", "Cure": "pad before the capacitor"},
    {"Wiring": "two series pairs", "Cure": "across tweeter and capacitor"},
    {"Wiring": "not known yet"},
)
# What lies outside the drawing or on another word, the least size of a letter, and whether ink is unlike paper.
LOOK = """() => {
  const svg = document.querySelector(".lb-wired svg"), paper = svg.getBoundingClientRect(), wrong = [];
  const texts = [...svg.querySelectorAll("text")].map((text) => [text.textContent, text.getBoundingClientRect()]);
  texts.forEach(([words, box], at) => {
    if (box.left < paper.left - 1 || box.right > paper.right + 1 || box.bottom > paper.bottom + 1) wrong.push(words);
    for (const [other, its] of texts.slice(at + 1))
      if (box.left < its.right - 1 && its.left < box.right - 1 && box.top < its.bottom - 4 && its.top < box.bottom - 4)
        wrong.push(`${words} on ${other}`);
  });
  const size = 12 * paper.width / Number(svg.getAttribute("width"));
  return { wrong, size, right: paper.right, wide: innerWidth, words: svg.getAttribute("aria-label"),
    role: svg.getAttribute("role"), ink: getComputedStyle(svg.querySelector("text")).fill,
    paper: getComputedStyle(svg.querySelector(".lb-wired-part")).fill };
}"""


@pytest.mark.long
@pytest.mark.parametrize(("size", "colours"), [((1366, 638), "light"), ((390, 844), "dark")], ids=str)
def test_the_channel_is_readable(visit, size, colours):
    visitor = visit(colours)
    page = visitor.page
    page.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
    visitor.open_live("shared_channel.ipynb")
    page.get_by_role("button", name="Show me at once").click()
    for state in STATES:
        before = page.locator(".lb-wired svg").get_attribute("aria-label")
        for label, option in state.items():
            page.get_by_label(label, exact=True).first.select_option(option)
        if state:
            page.wait_for_function(
                "words => document.querySelector('.lb-wired svg').getAttribute('aria-label') !== words", arg=before
            )
            page.wait_for_timeout(500)
        seen = page.evaluate(LOOK)
        assert seen["wrong"] == []
        assert seen["size"] >= 11
        assert seen["right"] <= seen["wide"]
        assert seen["role"] == "img"
        assert seen["words"].startswith("Amplifier 17.3 V, load ")
        assert seen["ink"] != seen["paper"]
