// The cautions that belong to a question, said just before it: where somebody is about to act, not where it is too late.

/** Before settings are loaded or put back. */
export const LOAD_REMINDER =
  "Keep the arm switch off and the bottle shut until the new settings are proved on the bench.";

/** Before an image is copied. */
export const FLASH_REMINDER =
  "Keep the arm switch off, the bottle shut and the power on. Prove the board on the bench again before the bottle is opened.";

/** Before the run log is erased. */
export const ERASE_REMINDER =
  "Erased runs cannot be brought back: headgate pull saves one as a file first. Keep the arm switch off and the power on.";
