"""What the clinic says: titles and sentences for each audience.

No numbers are written here. A name in braces stands for a number that the topic works out, or for a word that
depends on the numbers (which blade, more or less).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Wording:
    """The texts of one topic: what the speaker reads first, and a title and a sentence for each audience."""

    ask: str
    talk: str
    young: tuple[str, str]
    adults: tuple[str, str]
    coaches: tuple[str, str]

    def of(self, audience: str) -> tuple[str, str]:
        """Title and sentence for an audience."""
        return {"young players": self.young, "adults": self.adults, "coaches": self.coaches}[audience]


WORDINGS = {
    "blades": Wording(
        ask="Who knows the shape of the blades they skate on now?",
        talk="Everything in this clinic is shown on these two blades. They are invented for the clinic; "
        "neither one is better.",
        young=(
            "Two blades, two shapes",
            "Today we compare blade A and blade B: they look the same, but they skate differently.",
        ),
        adults=(
            "Two blades that look alike skate differently",
            "Blade A has a {radius_a} rocker and a {hollow_a} hollow, blade B {radius_b} and {hollow_b}.",
        ),
        coaches=(
            "The two example blades",
            "Blade A: {radius_a} rocker, {hollow_a} hollow; blade B: {radius_b}, {hollow_b}; both under a "
            "{mass} skater on ice at {ice}.",
        ),
    ),
    "rocker": Wording(
        ask="Hold a blade against a flat table: where does it touch?",
        talk="The circle is drawn to scale with the blade at the bottom. A larger circle means a flatter "
        "blade. The height of the edge on the right is exaggerated so that you can see its curve.",
        young=(
            "Your blade is a piece of a big circle",
            "The curve from heel to toe is the rocker: blade A is cut from a circle {across_a} across.",
        ),
        adults=(
            "The rocker is a small piece of a big circle",
            "The rocker is the curve from heel to toe; on blade A its radius is {radius_a}, and when you "
            "stand still only {length_a} of it touches the ice.",
        ),
        coaches=(
            "The rocker sets how much steel meets the ice",
            "A {radius_a} radius lifts the ends of the curve {rise_a} and leaves {length_a} of steel on the "
            "ice, with half of {mass} on each blade.",
        ),
    ),
    "zones": Wording(
        ask="Would you like the same curve at the heel as at the toe?",
        talk="The example has the longer radius of our two blades at the heel and the shorter one at the "
        "toe. Look how close the two edges are: what differs is the radius.",
        young=(
            "One blade can have two curves",
            "The back can be flatter for standing steady, the front rounder for turning: the curve changes "
            "at one spot, or little by little.",
        ),
        adults=(
            "One blade can have two radii: stepped or blended",
            "This blade goes from {radius_heel} at the heel to {radius_toe} at the toe: stepped at one "
            "spot, or blended over {blend}.",
        ),
        coaches=(
            "Stepped or blended: at most {gap} apart",
            "From {radius_heel} at the heel to {radius_toe} at the toe: stepped at one spot, or blended "
            "little by little over {blend}; the two edges are never more than {gap} apart.",
        ),
    ),
    "hollow": Wording(
        ask="Run a fingernail (never the finger) across an edge: what do you feel?",
        talk="Both grooves are shown on the same rocker, so only the hollow differs. A small radius of "
        "hollow is a deep groove. In measurements, friction went up as the radius of hollow went down; a "
        "study of oxygen use found no difference between hollows.",
        young=(
            "The groove under your blade makes two edges",
            "That groove is the hollow: a deeper groove, as on blade {deep}, lets the edges sink in deeper.",
        ),
        adults=(
            "A deeper groove bites deeper",
            "The hollow is the groove along the bottom: gliding on one foot, the edges sink in {bite_deep} "
            "on blade {deep} and {bite_shallow} on blade {shallow}.",
        ),
        coaches=(
            "A deeper groove bites {more_bite} deeper",
            "Gliding on one foot, the edges sink in {bite_deep} with a {hollow_deep} hollow and "
            "{bite_shallow} with {hollow_shallow}, on the same {radius_a} curve.",
        ),
    ),
    "steel": Wording(
        ask="Do you sink deeper into snow on skis or in boots?",
        talk="First, only the rocker differs. Then we look for the hollow that brings one thing back. The "
        "trade says that more steel on the ice goes with a shallower hollow. {practice}",
        young=(
            "More steel on the ice, less bite",
            "Blade {long}'s flatter curve carries you on more steel, so it sinks in less: {bite_back_plain}.",
        ),
        adults=(
            "More steel on the ice, less bite",
            "Blade {long}'s flatter curve puts {more_length} more steel on the ice and sinks in {less_bite} "
            "less; {bite_back}.",
        ),
        coaches=(
            "Which hollow goes with more steel? It depends",
            "From {radius_short} to {radius_long} at {hollow_a}: for the same bite in a glide "
            "{bite_back_short}, for the same hold in a push {hold_back_short}.",
        ),
    ),
    "stand": Wording(
        ask="Stand up and rock from heel to toe: when do you feel steady?",
        talk="A curved blade rolls under your weight until the ice is right below it. A shorter radius "
        "rolls further for the same shift. Move the balance point along the blade and the whole picture "
        "moves with it.",
        young=(
            "Find the spot where you stand steady",
            "Weight toward your toes rolls the blade forward, weight toward your heels rolls it back.",
        ),
        adults=(
            "Shift your weight and the boot tips",
            "With your weight {shift} toward the toe, the boot tips {tip_a} forward on blade A and {tip_b} "
            "on blade B.",
        ),
        coaches=(
            "A {small_shift} shift tips A {rock_a}, B {rock_b}",
            "A {shift} shift toward the toe tips the boot {tip_a} forward on blade A and {tip_b} on blade "
            "B: the rounder curve rolls more.",
        ),
    ),
    "turn": Wording(
        ask="Which would you rather have today: tighter turns or steadier feet?",
        talk="The turn is what the edge carves at this lean if it follows its own curve. Steady means that "
        "the boot tips little when the weight shifts. The same curve decides both, so what you gain in one "
        "you pay for in the other.",
        young=(
            "Turn tighter or stand steadier: choose",
            "Tipped just as far to the side, blade {short} turns tighter and blade {long} stands steadier.",
        ),
        adults=(
            "Tighter turns cost you steady feet",
            "Tipped {lean} to the side, blade A carves a circle of {turn_a} radius and blade B {turn_b}; "
            "blade {long} tips less when your weight shifts.",
        ),
        coaches=(
            "Tighter turns cost you steady feet",
            "Tipped {lean} to the side, A carves a circle of {turn_a} radius and B {turn_b}; shift the "
            "weight {small_shift} and A tips {rock_a}, B {rock_b}.",
        ),
    ),
    "change": Wording(
        ask="You changed two things and it feels better. Which one was it?",
        talk="Three ways to change blade A: the rocker alone, the hollow alone, or both. Change one, skate "
        "it, write it down, then decide about the next. Leave everything else as it was, the sharpening too.",
        young=(
            "Change one thing at a time",
            "Change one thing, skate on it and write down how it felt: change two, and you will never know "
            "which one did it.",
        ),
        adults=(
            "Change one thing at a time",
            "How deep the edge sinks in: {only_rocker} with the new rocker alone, {only_hollow} with the new "
            "hollow alone, {both} with both; only the first two tell you why.",
        ),
        coaches=(
            "Change two things and you won't know which did it",
            "Bite in a one-foot glide: rocker alone {only_rocker}, hollow alone {only_hollow}, both {both}; "
            "log one change, then decide on the next.",
        ),
    ),
    "season": Wording(
        ask="When was your blade last ground back to its shape, not just sharpened?",
        talk="Each sharpening takes off a little steel, and not the same everywhere, so the curve drifts. "
        "Re-profiling at the start, in the middle and before the end of a season brings it back (common "
        "practice; no source). How much a sharpening takes is an assumption: put in what your own gauge "
        "reads.",
        young=(
            "Look after your blade all season long",
            "Each sharpening grinds a bit of steel away and bends the curve a little: have a trained person "
            "bring the curve back.",
        ),
        adults=(
            "Sharpening slowly changes the curve",
            "In our example season {sharpenings} sharpenings (each grinds a fresh groove) and {times} "
            "grindings back to shape take {used} of steel; without the latter the curve {never_off}.",
        ),
        coaches=(
            "A re-profile keeps the shape the skater chose",
            "Example season: with {sharpenings} sharpenings, a blade left alone {never_off}, "
            "{tolerance}; ground back to its curve {times} times, it {kept_off}.",
        ),
    ),
    "know": Wording(
        ask="How would you measure how slippery a blade is?",
        talk="Everything here is computed from shapes, the hardness of ice and a film of meltwater, with no "
        "number fitted. Compared with measurements, friction comes out too low, so trust the difference "
        "between two blades more than any single number. Left out: rough or dirty ice, the side of the "
        "blade, the skater. Skate it to find out.",
        young=(
            "How do we know?",
            "A computer worked out these pictures and we checked it with real tests: it tells blades apart "
            "well, but its exact numbers can be off.",
        ),
        adults=(
            "How we know, and how far to trust it",
            "Measured, the ice slows a hockey blade by {measured_hockey_share} of the weight on it; we "
            "compute {computed_hockey_share}: trust differences between blades, not single numbers.",
        ),
        coaches=(
            "How we know: good for differences, not for absolutes",
            "For a hockey blade we compute a friction (how much the ice slows you) of {computed_hockey} "
            "against {measured_hockey} measured, {off_hockey} {low_or_high}: compare blades, then try them.",
        ),
    ),
    "safety": Wording(
        ask="Who grinds your blades, and do they know the maker's minimum?",
        talk="Say this before anyone goes on the ice.",
        young=(
            "Stay safe",
            "Blades cut: let a trained grown-up do the grinding, and skate slowly at first on a changed "
            "blade.",
        ),
        adults=(
            "Safety first",
            "Leave grinding to trained people, never go below the maker's minimum, and skate slowly at first "
            "on a changed blade.",
        ),
        coaches=(
            "Safety first, and rink rules before all this",
            "Grinding is for trained people with gloves, eye protection and guards, never below the maker's "
            "minimum; first laps slow, away from traffic.",
        ),
    ),
}
