"""What the clinic says about the blade and what it does on the ice; see wording.py."""

from __future__ import annotations

from bladelab.show.clinic.words import NOT_TAUGHT, Wording

ABOUT_THE_BLADE = {
    "blades": Wording(
        talk="Who knows the shape of the blades they skate on now? Everything in this clinic is shown on "
        "blades A and B. They are invented for the clinic; neither one is better.",
        young=(
            "Two blades that look alike: A and B",
            "The curve from heel to toe is called the rocker, the groove along the bottom the hollow.",
        ),
        adults=(
            "Two blades that look alike skate differently",
            "The rocker is the curve from heel to toe, the hollow the groove along the bottom.",
        ),
        coaches=(
            "The two example blades",
            "Both are {length} long and {width} wide, under a {mass} skater on ice at {ice}; they differ in "
            "curve and groove.",
        ),
    ),
    "rocker": Wording(
        ask="How much of your blade touches the ice when you stand still?",
        choices="Hands up: all of it, half of it, or less?",
        prompt="Stand a skate on a flat table and look under it from the side: where does it touch?",
        talk="The circle is drawn to scale with the blade at the bottom. A larger circle means a flatter "
        "blade. The height of the edge on the right is exaggerated so that you can see its curve.",
        young=(
            "Your blade is a piece of a big circle",
            "That circle is {across_a}; the part that touches the ice is {length_a}.",
        ),
        adults=(
            "The rocker is a small piece of a big circle",
            "On blade A the curve has a radius of {radius_a} (a circle {across_a} across); only {length_a} "
            "of it touches the ice.",
        ),
        coaches=(
            "The rocker sets how much steel meets the ice",
            "A curve of {radius_a} radius (a circle {across_a} across) rises {rise_a} at its ends; "
            "under half of {mass}, {length_a} touches the ice.",
        ),
    ),
    "zones": Wording(
        ask="Would you like the same curve at the heel as at the toe?",
        choices="Hands up: the same, a flatter heel, or a flatter toe?",
        prompt="Where on the blade are you in a fast start, and where when you coast?",
        talk="The example has the longer radius of our two blades at the heel and the shorter one at the "
        "toe. Look how close the two edges are: what differs is the radius.",
        young=NOT_TAUGHT,
        adults=(
            "One blade can have two curves",
            "From {radius_heel} at the heel to {radius_toe} at the toe: stepped at one spot, or blended "
            "little by little over {blend}.",
        ),
        coaches=(
            "Stepped or blended: at most {gap} apart",
            "From {radius_heel} at the heel to {radius_toe} at the toe: stepped changes at one spot, "
            "blended little by little over {blend}.",
        ),
    ),
    "hollow": Wording(
        ask="Gliding on one foot: which blade's edges sink in deeper?",
        choices="Hands up: blade A, blade B, or both the same?",
        prompt="Hold a skate up to a lamp yourself and let everyone look along the bottom: who sees the "
        "groove?",
        talk="Both grooves are shown on the same rocker, so only the hollow differs. A small radius of "
        "hollow is a deep groove. In measurements, friction went up as the radius of hollow went down "
        "({hollow_study}); a study of oxygen use found no difference between hollows ({oxygen_study}).",
        young=(
            "A deeper groove sinks in deeper",
            "Blade {deep}'s edges sink in {bite_deep}, blade {shallow}'s {bite_shallow_said}.",
        ),
        adults=(
            "A deeper groove bites deeper",
            "The hollow is the groove along the bottom: gliding, the edges sink in {bite_deep} on blade "
            "{deep}, {bite_shallow} on blade {shallow}.",
        ),
        coaches=(
            "A deeper groove bites {more_bite} deeper",
            "Gliding on one foot, the edges sink in {bite_deep} with a {hollow_deep} groove and "
            "{bite_shallow} with {hollow_shallow}, on the same curve.",
        ),
    ),
    "edges": Wording(
        ask="An edge gets a little round. What goes first?",
        choices="Hands up: how deep it sinks in, or how well it grips?",
        prompt="Feel the edge of a table and the rim of a cup: which would hold better in clay?",
        talk="No published edge radius of a skate blade is known to us: {edge} is our own choice. Every "
        "groove loses about as much grip for the same rounding, so a deeper one lasts longer only because "
        "it has more to lose. Where an edge slips, look along it under a lamp before you order a deeper "
        "groove: a sharp edge shows no line of light (common practice; no source).",
        young=(
            "The grip goes first",
            "A dull edge sinks in nearly as deep as a sharp one, but when you push it keeps {hold_left_said} "
            "of its grip.",
        ),
        adults=(
            "A dull edge bites, and still lets go",
            "An edge rounded by {edge} sinks in {bite_left_said} as deep as a sharp one, but keeps "
            "{hold_left_said} of its grip in a push.",
        ),
        coaches=(
            "A fresh edge before a deeper groove",
            "In a push the grip is gone once the edges are rounded by {gone_deep} ({hollow_deep} groove) "
            "or {gone_shallow} ({hollow_shallow}).",
        ),
    ),
    "steel": Wording(
        ask="A flatter curve puts more steel on the ice. Does it sink in deeper?",
        choices="Hands up: deeper, the same, or less deep?",
        prompt="Do you sink deeper into snow on skis or in boots?",
        talk="First, only the rocker differs. Then we look for the hollow that brings one thing back. The "
        "trade says that more steel on the ice goes with a shallower hollow (common practice; no source). "
        "{practice}",
        young=NOT_TAUGHT,
        adults=(
            "More steel on the ice, less bite",
            "Blade {long}'s flatter curve puts {more_length} more steel on the ice and sinks in {less_bite} "
            "less; {bite_back}.",
        ),
        coaches=(
            "Which hollow goes with more steel? It depends",
            "For {long}'s curve to match {short}'s at {hollow_a}: to bite as deep in a glide "
            "{bite_back_short}, to hold as well in a push {hold_back_short}.",
        ),
    ),
    "stand": Wording(
        ask="Weight toward your toes: which boot tips further?",
        choices="Hands up: blade A, blade B, or both the same?",
        prompt="Stand up and rock from heel to toe: when do you feel steady?",
        talk="A curved blade rolls under your weight until the ice is right below it. A shorter radius "
        "rolls further for the same shift. Where the balance point is moved forward or back, all of this "
        "moves with it.",
        young=(
            "The rounder blade tips you further",
            "Blade {short} tips you as if you had {tip_short} under your heel, blade {long} {tip_long}.",
        ),
        adults=(
            "Shift your weight and the boot tips",
            "With your weight {shift} toward the toe, the boot tips {tip_a} forward on blade A and {tip_b} "
            "on blade B.",
        ),
        coaches=(
            "A {small_shift} shift tips A {rock_a}, B {rock_b}",
            "With the weight {shift} toward the toe, the boot tips {tip_a} forward on blade A and {tip_b} "
            "on blade B: the rounder curve rolls more.",
        ),
    ),
    "turn": Wording(
        ask="Tipped just as far to the side: which blade turns tighter?",
        choices="Hands up: blade A, blade B, or both the same?",
        prompt="Which would you rather have today: tighter turns or steadier feet?",
        talk="The turn is what the edge carves at this lean if it follows its own curve. Steady means that "
        "the boot tips little when the weight shifts. The same curve decides both, so what you gain in one "
        "you pay for in the other.",
        young=(
            "Turn tighter or stand steadier: choose",
            "Blade {short}'s circle is {turn_short}, and blade {long} stands steadier.",
        ),
        adults=(
            "Tighter turns cost you steady feet",
            "Tipped {lean} to the side, blade A draws a circle {turn_a} across and blade B {turn_b}; blade "
            "{long} stands steadier.",
        ),
        coaches=(
            "Tighter turns cost you steady feet",
            "Tipped {lean} to the side, A draws a circle {turn_a} across, B {turn_b}; a {small_shift} shift "
            "of weight tips A {rock_a}, B {rock_b}.",
        ),
    ),
}
