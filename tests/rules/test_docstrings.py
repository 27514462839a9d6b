"""Every public name says what it is, in which unit, and what each argument means, in numpydoc's order."""

import dataclasses
import functools
import importlib
import inspect
import pkgutil
import re

import lumpedbox
from lumpedbox.quantity import Part, Quantity

ORDER = ("Parameters", "Attributes", "Returns", "Yields", "Raises", "Warns", "Notes", "References", "Examples")
SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)
UNIT = re.compile(r"\[([^\[\]]+)\]")
UNITS = {
    *("1", "Hz", "rad/s", "s", "ms", "m", "m2", "m3", "cm3", "kg", "kg/m3", "kg/m4", "m/s", "m3/s", "N/A", "m/N"),
    *(
        "N s/m",
        "Pa",
        "Pa s",
        "Pa s/m3",
        "s3/m3",
        "K/W",
        "K",
        "V",
        "A",
        "A/V",
        "W",
        "ohm",
        "ohm s^n",
        "H",
        "F",
        "sr",
        "phon",
        "dB",
        "dB re 20 uPa",
        "dB re 1 V",
    ),
    *("deg", "N", "m3/Pa", "m3/mol", "1/m", "rad", "kg/m2", "N m", "A s"),
}
# Modules where every public function is meant for users; elsewhere, those that `lumpedbox` itself exports. What
# `causes` is made of is inside.
FOR_USERS = re.compile(
    r"lumpedbox\.(response\.heat|response\.limits|response\.hearing|build(?!\.workings)"
    r"|design(?!\.(mixtures|shapley|system_causes)))(\.|$)"
)
ALSO = (
    *("circuit.spice.netlist", "circuit.sentences.in_sentences"),
    *("parts.port.end_correction", "parts.data_sheet.printed.PrintedSheet"),
    *("parts.small_signal.SmallSignal", "response.cutoff.Cutoffs", "response.common.CommonResponse"),
    "parts.loudspeaker.as_it_comes",
    *("parts.amplifier.can_drive", "parts.amplifier.lowest_load", "parts.amplifier.with_bridged"),
    "parts.driver.level_of_a_watt",
    *("parts.network.attenuation_of", "parts.network.pad_resistors"),
    *("parts.variants.louder", "parts.variants.scaled", "parts.variants.with_total_q"),
    *("response.crossing.falling_zero", "response.shape.peak", "response.shape.over_passband", "response.shape.droop"),
    *("plan.described.Plan", "plan.state.State", "plan.figures.Figures", "plan.search.Aim", "plan.search.Search"),
    *("plan.reading.read_plan", "plan.figures.figures", "plan.search.search", "plan.table.table", "plan.words.change"),
    *("measure.driver.driver_from_impedance", "measure.result.MeasuredDriver", "measure.readings.read_impedance"),
    *("measure.curves.Measured", "measure.comparing.compare", "measure.comparing.Comparison"),
    *("measure.next_reading.next_in_search", "measure.next_reading.next_reading"),
    *("response.sound.one_after_the_other", "response.sound.equal_loudness"),
    *("plan.worth.shares", "plan.worth.spans", "plan.files.demo_plan", "plan.files.keep", "plan.files.drop"),
)
# Inside the search most values are of several units, or are limits, points and goals: what has one unit says it.
INSIDE = re.compile(r"lumpedbox\.design\.search\.(?!brief|design|refusal|recommendation)")
# Arguments that carry the name of the class that they take, and need no more words.
NAMESAKES = {"air", "driver", "loudspeaker", "box"}
# What returns no quantity, and so has no unit.
NO_QUANTITY = {
    "as_table": "a table",
    "from_table": "a part",
    "Response.shape": "a shape",
    "System.wired": "parts",
    "System.loudspeakers": "parts",
    "System.with_each": "a part",
    "System.names": "names",
    "System.channel_names": "names",
    "Channel.groups": "parts",
    "Channel.each": "parts",
    "Channel.wiring_in_groups": "a word",
    "Channel.with_each": "a part",
    "Response.reference_slopes": "yes or no",
    "SystemResponse.reference_slopes": "yes or no",
    "SystemResponse.shape": "a shape",
    "SystemResponse.firsts": "responses",
    "SystemResponse.low_loads": "sentences",
    "SystemResponse.warnings": "sentences",
    "SystemResponse.remarks": "sentences",
    "Response.apertures": "parts, described by their class",
    "Response.remarks": "sentences",
    "MaximumLevel.remarks": "sentences",
    "Cutoffs.cutoff_in_words": "a sentence",
    "Draw.check_voltage": "nothing",
    "Feed.amplifiers": "parts",
    "fed": "a part",
    "Feed.places": "places, described by their class",
    "Feed.remarks": "sentences",
    "SecondBattery.remarks": "sentences",
    "Response.columns": "several units, each in its heading",
    "Response.to_csv": "nothing",
    "Response.band": "the unit of the curve that is asked for",
    "Amplifier.bridged": "a part",
    "with_bridged": "parts",
    "louder": "a part",
    "as_it_comes": "a part",
    "scaled": "a part",
    "with_total_q": "a part",
    "Driver.from_thiele_small": "a part",
    "PassiveRadiator.from_resonance": "a part",
    "Driver.members": "a part",
    "Driver.varied": "a part",
    "PassiveRadiator.tuned": "a part",
    "Response.varies": "yes or no",
    "can_drive": "yes or no",
    "Loudspeaker.varies": "yes or no",
    "Loudspeaker.by_places": "yes or no",
    "System.by_places": "yes or no",
    "Cabin.by_places": "yes or no",
    "Cabin.lumped": "yes or no",
    "Loudspeaker.members": "a part",
    "Response.with_parts": "a response",
    "doubts": "the unit of the curve that is asked for",
    "sweep": "the unit of what is asked for",
    "radiator_box": "a part",
    "poles_and_zeros": "roots and a gain, described by their class",
    "search_driver": "designs, described by their class",
    "DriverSearch.refusals": "refusals, described by their class",
    "of_candidates": "arrays, described by their class",
    "recommend": "designs, described by their class",
    "trade_off": "arrays, described by their class",
    "Brief.kinds": "words",
    "Brief.with_limits": "a part",
    "Design.from_search": "a design, described by its class",
    "Refusal.why": "a sentence",
    "refused": "a refusal, described by its class",
    "unsuitable": "a refusal, described by its class",
    "Design.reasons": "sentences",
    "Doubt.deviation": "the unit of the curve that was asked for",
    "Driver.typical": "a part",
    "Driver.with_two_coils": "a part",
    "PrintedSheet.parameters": "several units, by name",
    "PrintedSheet.beside": "several units, by name",
    "PrintedSheet.fields_of_a_driver": "several units, by name",
    "Port.of_area": "a part",
    "Port.tuned": "a part",
    "in_series": "a part",
    "across": "a part",
    "l_pad": "a part",
    "ladder": "a network",
    "zobel": "a network",
    "resonance_conjugate": "a network",
    "notch": "a network",
    "trap": "a network",
    "box_of": "a part",
    "closed_alignment": "several numbers, described by their class",
    "vented_alignment": "several numbers, described by their class",
    "named_alignment": "several numbers, described by their class",
    "tuned": "several numbers, described by their class",
    "of_box": "several numbers, described by their class",
    "maximum_level": "arrays, described by their class",
    "in_words": "a sentence",
    "heated": "a part",
    "protective_high_pass": "several numbers, described by their class",
    "exposure": "several numbers, described by their class",
    "Causes.at": "a sentence",
    "Causes.shares": "a sentence",
    "causes": "arrays, described by their class",
    "power_law": "several numbers, described by their class",
    "rounded": "a network",
    "fitted": "networks, described by their class",
    "ratings": "what each component meets, described by its class",
    "ratings_of": "what each component meets, described by its class",
    "one_capacitor": "several numbers, described by their class",
    "matched": "parts and numbers, described by their class",
    "meetings": "parts and numbers, described by their class",
    "with_network": "a part",
    "with_gain": "a part",
    "set_levels": "several numbers, described by their class",
    "Levels.first": "a name",
    "setting": "a line of a sheet, described by its class",
    "setting_sheet": "text",
    "Sharing.rank": "a key to sort by",
    "Sharing.members": "numbers, described by their class",
    "sharing": "numbers, described by their class",
    "with_ahead": "a part",
    "likely_wirings": "guesses, described by their class",
    "solve": "a response",
    "Plan.after": "a state, described by its class",
    "Plan.ranked": "names",
    "Plan.touching": "names",
    "Plan.all_placed": "yes or no",
    "Plan.heard_in": "a part",
    **dict.fromkeys(("State.lines", "State.playing", "State.drivers", "State.together", "State.system"), "parts"),
    "State.feed": "a part",
    "State.openings": "several units, each by its name",
    "State.rated": "what each component meets, described by its class",
    **dict.fromkeys(("State.unfit", "State.open"), "sentences"),
    "Figures.first": "a sentence",
    **dict.fromkeys(("Figures.gives", "Figures.who"), "a name"),
    "Figures.unknown": "sentences",
    "Figures.exposure": "several numbers, described by their class",
    "Figures.open": "sentences",
    "Figures.remarks": "sentences",
    "Search.next": "a name",
    "figures": "several numbers, described by their class",
    "search": "an order, described by its class",
    "table": "several units, each in its heading",
    "change": "sentences and numbers, described by their class",
    "read_plan": "a plan, described by its class",
    "demo_plan": "a plan, described by its class",
    "keep": "a plan, described by its class",
    "drop": "a plan, described by its class",
    **dict.fromkeys(("Carcass.panel_names", "Carcass.sequence", "Hopper.panel_names", "Hopper.sequence"), "names"),
    **dict.fromkeys(("Carcass.panels", "Hopper.panels"), "boards, described by their class"),
    "Carcass.remarks": "sentences",
    "CutPart.is_rectangle": "yes or no",
    "gluing_sequence": "names",
    "Margin.blocks": "yes or no",
    "Margin.fits": "yes or no",
    "Space.side_names": "names",
    **dict.fromkeys(("Inside.braces", "Inside.cups", "Inside.linings"), "parts"),
    "Inside.panels": "names",
    "PortRun.round": "yes or no",
    **dict.fromkeys(("Profile.from_template", "Profile.with_edge_moved", "Profile.without_tip"), "a part"),
    "MeasuredDriver.doubts": "sentences",
    "MeasuredDriver.values": "several units, by name",
    "MeasuredDriver.standard_deviations": "several units, by name",
    "MeasuredDriver.interval": "the unit of the number",
    "MeasuredDriver.driver": "a part",
    "driver_from_impedance": "numbers, described by their class",
    "compare": "causes and numbers, described by their class",
    "one_after_the_other": "samples, described by their class",
    "netlist": "text",
    "in_sentences": "text",
}


def modules():
    for info in pkgutil.walk_packages(lumpedbox.__path__, "lumpedbox."):
        if not re.search(r"\.(sliders|figures|serve|_shipped)\b", info.name):
            yield importlib.import_module(info.name)


def public():
    """Return name: object of what is meant for users, with the public members of every class."""
    found = {name: getattr(lumpedbox, name) for name in lumpedbox.__all__}
    for module in modules():
        if FOR_USERS.match(module.__name__):
            own = {n: o for n, o in vars(module).items() if getattr(o, "__module__", None) == module.__name__}
            found |= {name: item for name, item in own.items() if not name.startswith("_") and callable(item)}
    for path in ALSO:
        module, _, name = path.rpartition(".")
        found[name] = getattr(importlib.import_module(f"lumpedbox.{module}"), name)
    for name, item in list(found.items()):
        if inspect.isclass(item):
            found |= {f"{name}.{key}": member for key, member in vars(item).items() if is_member(key, member)}
    return found


def is_member(name, member):
    made = isinstance(member, (property, functools.cached_property, classmethod)) or inspect.isfunction(member)
    return made and not name.startswith("_")


def function_of(item):
    if isinstance(item, functools.cached_property):
        return item.func
    return item.fget if isinstance(item, property) else getattr(item, "__func__", item)


def docstring(item):
    return inspect.cleandoc(function_of(item).__doc__ or "")


def sections(text):
    """Return the parts of a docstring by heading, the text before the first under ""."""
    pieces = SECTION.split(text)
    return {"": pieces[0], **dict(zip(pieces[1::2], pieces[2::2], strict=True))}


def entries(text):
    """Return name: description of a Parameters section; "L2, R2 : float" makes two."""
    found = {}
    for head, body in re.findall(r"^(\w[\w, ]*?)(?: : .*)?\n((?:    .*\n?|\n)+)", text + "\n", re.MULTILINE):
        found |= {name.strip(): body for name in head.split(",")}
    return found


def documented(text):
    """Return the names that a docstring says something about."""
    parts = sections(text)
    listed = {**entries(parts.get("Parameters", "")), **entries(parts.get("Attributes", ""))}
    in_passing = set(re.findall(r"`(\w+)`", parts[""]))
    bare = set(re.findall(r"^(\w+) : \w+", parts.get("Parameters", ""), re.MULTILINE))
    return set(listed) | in_passing | bare | NAMESAKES


def arguments(item):
    return [name for name in inspect.signature(function_of(item)).parameters if name not in ("self", "cls")]


def test_every_name_of_the_library_has_an_example_that_runs():
    examples = {name: sections(docstring(getattr(lumpedbox, name))).get("Examples", "") for name in lumpedbox.__all__}
    assert [name for name, text in examples.items() if ">>> " not in text] == []


def test_everything_public_has_a_docstring():
    assert [name for name, item in public().items() if not docstring(item)] == []


def test_sections_stand_in_numpydoc_order():
    wrong = []
    for module in modules():
        for name, item in vars(module).items():
            if getattr(item, "__module__", None) != module.__name__:
                continue
            members = vars(item).items() if inspect.isclass(item) else ()
            for full, thing in [(name, item), *((f"{name}.{key}", m) for key, m in members if is_member(key, m))]:
                found = SECTION.findall(docstring(thing))
                if any(head not in ORDER for head in found) or found != sorted(found, key=ORDER.index):
                    wrong.append(f"{module.__name__}.{full}: {found}")
    assert wrong == []


def test_every_quantity_says_its_unit():
    silent = []
    for name, item in public().items():
        if inspect.isclass(item) or name in NO_QUANTITY or INSIDE.match(function_of(item).__module__):
            continue
        parts = sections(docstring(item))
        if not UNIT.search(parts[""] + parts.get("Returns", "")):
            silent.append(name)
    assert silent == []


def test_the_list_of_what_has_no_unit_is_not_stale():
    assert [name for name in NO_QUANTITY if name not in public()] == []


def test_units_are_written_as_everywhere_else():
    strange = {f"{n}: {u}" for n, item in public().items() for u in UNIT.findall(prose(docstring(item)))} - {""}
    assert sorted(line for line in strange if line.split(": ", 1)[1] not in UNITS) == []


def prose(text):
    """Leave out equations and examples, where brackets mean something else."""
    text = text.partition("Examples\n---")[0]
    return re.sub(r"\.\. math::.*?(?=\n\s*\n|\Z)", "", text, flags=re.DOTALL)


def test_every_argument_is_documented():
    silent = []
    for name, item in public().items():
        if inspect.isclass(item) or isinstance(item, property):
            continue
        text = docstring(item)
        known = documented(text)
        borrowed = re.search(r"other arguments are those of `(\w+)`", text)
        if borrowed:
            known |= documented(docstring(public()[borrowed[1]]))
        silent += [f"{name}: {argument}" for argument in arguments(item) if argument not in known]
    assert silent == []


def test_every_field_of_a_part_is_documented_with_the_unit_that_its_rule_demands():
    wrong = []
    for name, item in public().items():
        if not (inspect.isclass(item) and issubclass(item, Part)):
            continue
        listed = entries(sections(docstring(item)).get("Parameters", ""))
        bare = re.findall(r"^(\w+) : ", sections(docstring(item)).get("Parameters", ""), re.MULTILINE)
        for spec in dataclasses.fields(item):
            rule = spec.metadata["rule"]
            unit = f"[{rule.unit or 1}]" if isinstance(rule, Quantity) else ""
            if (spec.name not in listed and spec.name not in bare) or unit not in listed.get(spec.name, unit):
                wrong.append(f"{name}.{spec.name} {unit}")
    assert wrong == []


def test_every_field_of_a_part_has_a_rule_with_a_meaning():
    meaningless = [
        f"{name}.{spec.name}"
        for name, item in public().items()
        if inspect.isclass(item) and issubclass(item, Part)
        for spec in dataclasses.fields(item)
        if "rule" not in spec.metadata or not getattr(spec.metadata["rule"], "meaning", "none needed")
    ]
    assert meaningless == []
