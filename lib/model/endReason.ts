/** Why a person ends a run whose cell does not: picked first, typed where none fits. Common practice, no source. */
export const OTHER_END_REASON = "other";
export const END_REASONS = [
  { code: "cellGone", label: "the cell is gone: no power or no connection" },
  { code: "cellFault", label: "the cell has a fault and cannot go on" },
  { code: "printSpoilt", label: "the print is spoilt and was taken off" },
  { code: "pasteOver", label: "the paste is used up or no longer works" },
  { code: OTHER_END_REASON, label: "another reason" },
] as const;
/** Longest words, in UTF-16 units. */
export const END_WORDS_MAX_CHARS = 500;
