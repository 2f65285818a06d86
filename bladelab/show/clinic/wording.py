"""What the clinic says: a question for each topic, and a title and a sentence for each audience.

No numbers are written here. A name in braces is for a number that the topic works out, for a word that
depends on the numbers (which blade, more or less), or for a study.
"""

from __future__ import annotations

from bladelab.show.clinic.wording_blade import ABOUT_THE_BLADE
from bladelab.show.clinic.wording_care import ABOUT_CARE
from bladelab.show.clinic.words import Wording

#: By the key of the topic, in the order of the slides.
WORDINGS = {
    "title": Wording(
        talk="Welcome, and who you are. Every question comes first, its answer on the next slide.",
        young=("{clinic}", "For {audience}\n{contact}"),
        adults=("{clinic}", "For {audience}\n{contact}"),
        coaches=("{clinic}", "For {audience}\n{contact}"),
    ),
    **ABOUT_THE_BLADE,
    **ABOUT_CARE,
    "home": Wording(
        talk="Give everyone the handout and a pencil. Its log has a line for each change: the date, what "
        "changed, and how it felt. Ask them to bring it next time.",
        young=("Take this home", "Write your log on the handout: date, what changed, how it felt."),
        adults=("Take this home", "Keep the log on the handout: date, what changed, how it felt."),
        coaches=("Take this home", "The handout has a log to copy: date, what changed, how it felt."),
    ),
}
