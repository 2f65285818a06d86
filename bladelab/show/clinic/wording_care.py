"""What the clinic says about changing a blade and looking after it; see wording.py."""

from __future__ import annotations

from bladelab.show.clinic.words import NOT_TAUGHT, Wording

ABOUT_CARE = {
    "change": Wording(
        ask="You changed two things and it feels better. Which one was it?",
        choices="Hands up: the curve, the groove, or nobody knows?",
        prompt="What did you change last, and how did you know that it helped?",
        talk="Three ways to change blade A: the rocker alone, the hollow alone, or both. Change one, skate "
        "it, write it down, then decide about the next. Leave everything else as it was, the sharpening too.",
        young=(
            "Change one thing at a time",
            "Skate on it and write down how it felt: then you know what did it.",
        ),
        adults=(
            "Change one thing at a time",
            "How deep the edges sink in changes by {only_rocker} with the new curve alone, {only_hollow} "
            "with the new groove alone, {both} with both.",
        ),
        coaches=(
            "Change two things and you won't know which did it",
            "How deep the edges sink in: new curve alone {only_rocker}, new groove alone {only_hollow}, both "
            "{both}; change one, then decide.",
        ),
    ),
    "season": Wording(
        ask="Sharpened all season, never ground back to its shape: does the curve stay?",
        choices="Hands up: it stays, or it drifts away?",
        prompt="When was your blade last ground back to its shape, not just sharpened?",
        talk="Each sharpening takes off a little steel, and not the same everywhere, so the curve drifts. "
        "Re-profiling at the start, in the middle and before the end of a season brings it back (common "
        "practice; no source). How much a sharpening takes is our own assumption; the page on planning a "
        "season works it out for your own numbers.",
        young=NOT_TAUGHT,
        adults=(
            "Sharpening slowly changes the curve",
            "In our example season, {sharpenings} sharpenings (each grinds a fresh groove) take {used} of "
            "steel; left alone, the curve {never_off}.",
        ),
        coaches=(
            "A re-profile keeps the shape the skater chose",
            "Over {sharpenings} sharpenings (each grinds a fresh groove), a blade left alone {never_off}; "
            "ground back to its shape {times} times, it {kept_off}.",
        ),
    ),
    "know": Wording(
        ask="How would you measure how slippery a blade is?",
        choices="Talk it over in pairs: what would you need?",
        prompt="Who glides furthest from the same push? Would it be the same again tomorrow?",
        talk="Everything here is computed from shapes, the hardness that a dropped ball finds in ice and a "
        "film of meltwater, with no number fitted. Compared with measurements on a sled with hockey blades "
        "({sled_study}) and on speed skates ({speed_study}), friction comes out {off_hockey} and {off_speed} "
        "{low_or_high}; on ice that is softer the longer it is pressed it would be about right, but how soft "
        "that is leaves a range. So trust the difference between two blades more than any single number. "
        "Left out: rough or dirty ice, the side of the blade, the "
        "skater. Skate it to find out.",
        young=(
            "How do we know?",
            "The computer came out {low_or_high} here: trust which blade does more, not exactly how much.",
        ),
        adults=(
            "How we know, and how far to trust it",
            "Measured, the ice slows a hockey blade by {measured_hockey} of the weight on it; we compute "
            "{computed_hockey}: trust differences, not single numbers.",
        ),
        coaches=(
            "How we know: trust differences, not single numbers",
            "The ice slows a hockey blade by {measured_hockey} of the weight on it; we compute "
            "{computed_hockey}, or up to {most_hockey} on other ice we can't rule out.",
        ),
    ),
    "safety": Wording(
        talk="Who grinds your blades, and do they know the maker's minimum? Say this before anyone goes on "
        "the ice.",
        young=(
            "Stay safe",
            "Blades cut: let a trained grown-up do the grinding, and skate slowly at first on a changed "
            "blade.",
        ),
        adults=(
            "Safety first",
            "Leave grinding to trained people, stay above the maker's minimum, and skate slowly at first on "
            "a changed blade.",
        ),
        coaches=(
            "Safety and rink rules come first",
            "Grinding is for trained people with gloves, eye protection and guards, above the maker's "
            "minimum; first laps slow, away from traffic.",
        ),
    ),
}
