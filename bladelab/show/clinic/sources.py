"""The studies that a speaker mentions, by the name that a text has for them in braces."""

STUDIES = {
    "hollow_study": "Redmond & Federolf 2010, Sports Eng. 13, 39–46",
    "oxygen_study": "Morrison 2003, thesis, McGill University",
    "sled_study": "Federolf et al. 2008, J. Sports Sci. 26, 1201, from memory",
    "speed_study": "de Koning et al. 1992, J. Biomech. 25, 565, from memory",
}
