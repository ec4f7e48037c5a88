// The last line of a load is always one of these: four words and what was read. What it says about the controller was read from the controller.

export const LOADED = "LOADED";
/** Nothing was stored by this load, and what is active was not read. */
export const NOT_LOADED = "NOT LOADED; headgate status shows which settings are active";
export const OLD_ACTIVE = "NOT LOADED, the old settings are still active";
export const NONE_ACTIVE = "NOT LOADED, the controller holds no settings and cannot arm";
/** The controller was asked to store, and nothing was read from it after that. */
export const NOT_CONFIRMED =
  "NOT CONFIRMED, the old or the new settings may be active; run headgate status before you arm";
/** What was read back is neither what was there before nor what was sent. */
export const NOT_WHOLE =
  "NOT WHOLE, the controller holds neither the old nor the new settings; do not arm, load the file again";
