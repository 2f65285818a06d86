"""What may be behind a complaint, and the check that settles it. Common practice; it has no source."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Cause:
    """One thing that may be wrong, and the check that settles it.

    Attributes
    ----------
    key : str
        As the book keeps it.
    name : str
        What is wrong, in a few words.
    check : str
        The check in a few words.
    how : str
        How to make it and with what.
    minutes : float
        Roughly how long that takes (our own round number; it only puts the checks in order).
    yes, no : str
        What it means if that is what's wrong, with what to do; and if it isn't.
    notebook : str
        The notebook that helps, without its ending; may be empty.
    person : str
        Who puts it right; may be empty where the skater can.
    both : bool
        Whether it always concerns both skates: never the cause of a complaint about one.
    """

    key: str
    name: str
    check: str
    how: str
    minutes: float
    yes: str
    no: str
    notebook: str = ""
    person: str = ""
    both: bool = False


#: In the order in which they usually come.
CAUSES: dict[str, Cause] = {
    cause.key: cause
    for cause in (
        Cause(
            "dull",
            "edges dull or nicked",
            "look along both edges under a lamp",
            "Hold the blade upside down under a bright lamp and look along both edges from heel to "
            "toe. A sharp edge shows no light; a dull stretch shines and a nick glints. If in "
            "doubt, draw a fingernail lightly across the edge, never along it: a sharp edge shaves "
            "a little off the nail. Edges cut, so keep your skin off them.",
            2,
            "Have it sharpened to the same hollow before you think about shape.",
            "Both edges are sharp.",
            notebook="24_how_dull_may_an_edge_be",
            person="a trained sharpener",
        ),
        Cause(
            "burr",
            "burr left on an edge",
            "pull a cloth off each edge",
            "Pull a scrap of cotton from the groove outward over each edge, all along the blade. A "
            "burr snags the threads. Use the cloth, never a bare finger.",
            1,
            "Have the burr taken off with a stone.",
            "Nothing snags.",
            person="a trained sharpener",
        ),
        Cause(
            "loose",
            "steel or holder loose",
            "try to move it, gloves on",
            "Put on cut-proof gloves, hold the boot and try to move the steel sideways and "
            "lengthwise. Look for loose or missing screws and rivets, and for cracks in the holder.",
            1,
            "Don't skate on it. Have it tightened, or the broken part replaced.",
            "Nothing moves.",
            person="a skate shop",
        ),
        Cause(
            "new",
            "new steel, shape or boots",
            "ask what changed lately",
            "Ask what is new since it last felt right: steel, rocker, hollow, boots, insoles.",
            2,
            "Change nothing else for three sessions, and write down how each one felt.",
            "Nothing is new.",
            notebook="10_keep_a_trial_log",
        ),
        Cause(
            "hollow",
            "not the hollow you wanted",
            "ask which hollow was ground",
            "Ask whoever sharpened it which hollow was ground this time and the time before. If "
            "nobody knows, measure the groove: the notebook shows three ways.",
            3,
            "Have it ground to the hollow you wanted. If the rocker has changed as well, match the "
            "hollow to it first.",
            "The hollow is the one you wanted.",
            notebook="11_measure_a_blade",
            person="a trained sharpener",
        ),
        Cause(
            "uneven",
            "one edge higher than the other",
            "lay a straightedge across both edges",
            "Lay a small square against the side of the runner with its arm across both edges, and "
            "hold it to the light, at heel, middle and toe. No light may show under either edge. "
            "The notebook works out the tilt from the reading.",
            3,
            "Have it sharpened again until both edges are level.",
            "Both edges are level.",
            notebook="11_measure_a_blade",
            person="a trained sharpener",
        ),
        Cause(
            "dirt",
            "rust or dirt on the steel",
            "wipe it and look",
            "Wipe the runner dry with a cloth and look for rust, tape glue or dirt along the edges "
            "and in the groove.",
            1,
            "Clean it off, and dry the steel after every skate. Rust on an edge needs a sharpening.",
            "The steel is clean.",
            person="a trained sharpener",
        ),
        Cause(
            "bent",
            "runner bent or twisted",
            "sight along it from the heel",
            "Hold the skate upside down and sight along the runner from the heel, as along a plank. "
            "Then lay a straightedge along each side and hold it to the light. The sides must be "
            "straight, and the runner not twisted.",
            2,
            "Don't try to bend it back or grind it out. Have the runner looked at; most are replaced.",
            "The runner is straight.",
            person="a skate shop",
        ),
        Cause(
            "laces",
            "laces or ankle support",
            "lace again and skate two laps",
            "Lace both boots again: easy over the toes, snug at the ankle, the heel pushed back "
            "first. Then skate two easy laps. Better means yes.",
            5,
            "Keep lacing them that way. A boot that has gone soft at the ankle is a job for a boot fitter.",
            "Lacing makes no difference.",
            person="a boot fitter",
        ),
        Cause(
            "mounted",
            "mounted out of true",
            "look from behind and from the front",
            "Put the skate on a flat board and look from behind and from the front, at the height "
            "of the steel. The runner must be upright, under the middle of the heel and of the toe, "
            "and not turned in or out. Compare the two boots side by side for height at heel and "
            "toe.",
            4,
            "Have the holder reset. No grinding can make up for it.",
            "Both runners sit straight under the boot.",
            person="a skate shop",
        ),
        Cause(
            "fit",
            "the boot doesn't fit",
            "laced up, bend the knees",
            "Laced up and standing on a rubber mat, bend the knees. The heel must stay down, the toes "
            "just touch the front when you stand up straight, and nothing may pinch.",
            5,
            "See a boot fitter. Pain or numbness that stays is for a clinician.",
            "The boot holds the foot and nothing pinches.",
            person="a boot fitter",
        ),
        Cause(
            "ice",
            "the ice itself",
            "ask others, try other ice",
            "Ask two others on the same ice whether they feel it too. Then try the same skates on "
            "other ice before anyone touches the steel.",
            5,
            "Leave the steel alone and try again on other ice.",
            "Others are fine on the same ice.",
            notebook="06_glide",
            both=True,
        ),
        Cause(
            "pivot",
            "level point has moved",
            "measure where the edge is level",
            "Measure the edge from a rail parallel to the runner and read the level point; compare "
            "it with the other skate and with the last time.",
            15,
            "See how far that tips the boot before you have it moved back.",
            "The level point is where it was.",
            notebook="04_balance_and_pitch",
            person="a trained sharpener",
        ),
        Cause(
            "worn",
            "steel worn low at heel or toe",
            "gauge it at heel, middle and toe",
            "Read a versine gauge (two feet and a plunger) along the edge, from heel to toe, and "
            "compare it with the shape you ordered. The ends go first.",
            15,
            "Have it re-profiled. The notebook works out what that costs in steel.",
            "The edge still has the shape you ordered.",
            notebook="13_what_a_change_costs",
            person="a trained sharpener",
        ),
        Cause(
            "differ",
            "left and right differ",
            "measure both and compare",
            "Measure both edges from the same mark and lay one over the other. If the runners can "
            "be swapped, have them swapped: a complaint that goes to the other foot comes from the "
            "steel.",
            20,
            "Have the two brought to the same shape and the same hollow.",
            "Left and right agree as far as they can be measured.",
            notebook="12_left_and_right",
            person="a trained sharpener",
        ),
    )
}
