"""Labels by themselves: which styles are known, and what only looks like one."""

from __future__ import annotations

import pytest

from rulewatch.parse.labels import Form, Setting, read_label

STYLES = [
    ("4.2.1 The rim", "4.2.1", "4.2.1", Form.NUMBER),
    ("4.2.1. The rim", "4.2.1.", "4.2.1", Form.NUMBER),
    ("4.2.1: The rim", "4.2.1", "4.2.1", Form.NUMBER),
    ("4.2.1(a) The rim", "4.2.1(a)", "4.2.1(a)", Form.NUMBER),
    ("9.1.2.F.4.a The rim", "9.1.2.F.4.a", "9.1.2.F.4.a", Form.NUMBER),
    ("4b3a) The rim", "4b3a)", "4b3a", Form.NUMBER),
    ("A1a2) The rim", "A1a2)", "A1a2", Form.NUMBER),
    ("T.2.3 The rim", "T.2.3", "T.2.3", Form.NUMBER),
    ("3.1.6A The rim", "3.1.6A", "3.1.6A", Form.NUMBER),
    ("§ 36a Wheels", "§ 36a", "§ 36a", Form.NAMED),
    ("§36a", "§36a", "§36a", Form.NAMED),
    ("Article 5", "Article 5", "Article 5", Form.NAMED),
    ("Art. 5 Wheels", "Art. 5", "Art. 5", Form.NAMED),
    ("Article 4 bis: Wheels", "Article 4 bis", "Article 4 bis", Form.NAMED),
    ("Section 3", "Section 3", "Section 3", Form.NAMED),
    ("SECTION 3 - WHEELS", "SECTION 3", "SECTION 3", Form.NAMED),
    ("Rule 7: Wheels", "Rule 7", "Rule 7", Form.NAMED),
    ("Abschnitt 2", "Abschnitt 2", "Abschnitt 2", Form.NAMED),
    ("Annex A", "Annex A", "Annex A", Form.ANNEX),
    ("Appendix J", "Appendix J", "Appendix J", Form.ANNEX),
    ("Schedule 1", "Schedule 1", "Schedule 1", Form.ANNEX),
    ("Anlage VIII", "Anlage VIII", "Anlage VIII", Form.ANNEX),
    ("Anhang", "Anhang", "Anhang", Form.ANNEX),
    ("(2) The rim", "(2)", "2", Form.RELATIVE),
    ("(3a) The rim", "(3a)", "3a", Form.RELATIVE),
    ("1. The rim", "1.", "1", Form.RELATIVE),
    ("12. The rim", "12.", "12", Form.RELATIVE),
    ("8b. The rim", "8b.", "8b", Form.RELATIVE),
    ("a) the rim", "a)", "a", Form.RELATIVE),
    ("(i) the rim", "(i)", "i", Form.RELATIVE),
    ("aa) the rim", "aa)", "aa", Form.RELATIVE),
    ("IV. Wheels", "IV.", "IV", Form.RELATIVE),
    ("A. Use the rim", "A.", "A", Form.RELATIVE),
    ("**4.2.1** The rim", "4.2.1", "4.2.1", Form.NUMBER),
    ("**4.2.1.** The rim", "4.2.1.", "4.2.1", Form.NUMBER),
    ("__(2)__ The rim", "(2)", "2", Form.RELATIVE),
    ("5 Wheels", "5", "5", Form.NUMBER),
]


@pytest.mark.parametrize(("text", "printed", "core", "form"), STYLES)
def test_known_style(text, printed, core, form):
    """Every usual style is read in a heading, with its brackets and stops kept apart from the number."""
    label = read_label(text, 0, Setting.HEADING)
    assert label is not None
    assert (label.printed, label.core, label.form) == (printed, core, form)


@pytest.mark.parametrize(
    "text",
    [
        "10 mm of clearance are kept.",
        "5 wheels are carried.",
        "1.5 litre engines are admitted.",
        "1.5 Liter Hubraum",
        "10.5 Nm is the torque.",
        "2.5 % of the weight",
        '17 in or 17"',
        "2027 is the first season.",
        "1945. A year",
        "(2027) Edition",
        "1. January 2027 is the first day.",
        "15. Mai 2026",
        "31.12.2026 is the last day.",
        "1,050 kg is the least weight.",
        "4/5 of the width",
        "4.2.1/4.2.2 Both",
        "24 hours before the race",
        "e.g. a rim",
        "z. B. eine Felge",
        "i. e. a rim",
        "A. B. Sample wrote this.",
        "U.S.A. rims",
        "(see 4.2.1)",
        "(EG) Nr. 3821/85",
        "(XXXX) repealed",
        "(10 mm) of clearance",
        "Section 3 applies to all cars.",
        "Article 5.2 does not apply.",
        "§ 47 Absatz 8c ist anzuwenden.",
        "§§ 24 bis 28 (weggefallen)",
        "Annex A has the drawings.",
        "Rules apply.",
        "Parts are free.",
        "4.2.1",
        "4\\.2.1 The rim",
        "*4.2.1 rims",
        "2k resistors",
        "",
        "-",
    ],
)
def test_looks_like_a_label(text):
    """Amounts, dates, years, abbreviations and sentences about a clause are no labels at a paragraph's start."""
    label = read_label(text, 0, Setting.TEXT)
    assert label is None or label.doubtful or not text[label.end :].strip()


def test_title_in_emphasis():
    """Emphasis that spans label and title is opened again before the title."""
    label = read_label("**4.2 Wheels**", 0, Setting.TEXT)
    assert label is not None
    assert label.carry + "**4.2 Wheels**"[label.end :] == "**Wheels**"


@pytest.mark.parametrize(
    ("core", "scripts"), [("i", ["a", "i"]), ("c", ["a"]), ("aa", ["a", "aa"]), ("ii", ["i", "a", "aa"]), ("IIa", ["I"])]
)
def test_ways_to_count(core, scripts):
    """A short label is kept with every way to count it; which holds is for the numbering around it."""
    label = read_label(f"{core}) x", 0, Setting.TEXT)
    assert label is not None
    assert [step.script for step in label.steps] == scripts
