// The words for what a proof comes to as a whole.

export const NOTHING_PROVED = "NOTHING PROVED";

/** `PROVED` is the only one that is a success. */
export type ProofWord = "PROVED" | "PARTLY PROVED" | typeof NOTHING_PROVED | "FAILED";
