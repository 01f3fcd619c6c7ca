/** What Aslaid is not, in a few plain words: at the foot of every page, and of every sheet of paper. */
export const SAFETY_LEAD = "For research and bench use.";
export const SAFETY_WORDS = "Aslaid is not a medical device and not an emergency stop. Hardware stops, the cell’s own limits and the responsible licensed people come first; local rules and the applicable standards decide.";
