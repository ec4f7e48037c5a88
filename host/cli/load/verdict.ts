// The last line of a load: always one of these, and always true.

export const LOADED = "LOADED";
export const NOT_LOADED = "NOT LOADED, the old settings are still active";
/** The line went between the request to store and its answer, and did not come back. */
export const NOT_CONFIRMED =
  "NOT CONFIRMED, the old or the new settings are active, whole in either case; see headgate status";
