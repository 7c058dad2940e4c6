"""What the site says of a bulletin that amends by instructions."""

from dataclasses import replace

from publish_example import BULLETIN, NEW, PLACE, SITE
from publish_pages import parsed

from rulewatch.model.instruction import Act, Instruction, Target
from rulewatch.publish.site import site_files


def test_a_bulletin_of_instructions_names_what_it_amends_and_what_it_takes_out():
    """Clauses by the number that they have then, with links; ranges and removals too."""

    def target(number, through=""):
        return Target(number=number, through=through, place=PLACE)

    told = (
        Instruction(act=Act.REPLACE_WORDS, place=PLACE, targets=(target("5.1"),)),
        Instruction(act=Act.REDESIGNATE, place=PLACE, targets=(target("6.9"),), to=(target("6.1"),)),
        Instruction(act=Act.REMOVE, place=PLACE, targets=(target("6.4", "6.6"),)),
    )
    bulletin = replace(BULLETIN, amendments=(), instructions=told)
    editions = tuple(replace(each, applied=(bulletin,)) if each is NEW else each for each in SITE.editions)
    page = site_files(replace(SITE, editions=editions))["rules/saltmarsh/2027/index.html"]
    text = " ".join(parsed(page).text.split())
    start = text.index("Bulletin 2027-1")
    told_text = text[start : start + 400]
    assert "5.1" in told_text
    assert "6.1" in told_text
    assert "6.4–6.6" in told_text
    assert "6.9" not in told_text
