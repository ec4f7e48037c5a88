// Errors of a settings file. Each belongs to one place in the file; all places are shown at once.
import type { ErrorEntry } from "./entry.ts";
import { EXIT } from "./exit.ts";

function bad(what: string, todo: string, long: string): ErrorEntry {
  return { exit: EXIT.badSettings, what, todo, long };
}

export const SETTINGS_ERRORS = {
  "bad-settings": bad(
    "the settings file has errors",
    "correct each place shown, then check again",
    "Nothing is sent to a controller while a settings file has a single error. `headgate check FILE` shows all of them at once.",
  ),
  "yaml-syntax": bad(
    "the file is not well-formed YAML",
    "correct the place shown",
    "Settings files are YAML 1.2. Indent with spaces, put a space after each colon, and give every key once.",
  ),
  "unknown-key": bad(
    "there is no setting with this name here",
    "use the nearest known name, or remove the line",
    "Every key must be known at its place, so that a misspelt limit is never silently left out. `headgate new` writes a file with every key.",
  ),
  "missing-key": bad(
    "a setting is missing",
    "add it; `headgate new` writes a file with every required setting",
    "No setting has a silent default, because a forgotten limit would let nitrous flow where nobody decided that it should. Only parts marked optional may be left out.",
  ),
  "wrong-shape": bad(
    "a value has the wrong form",
    "write it in the form shown",
    "Groups are indented keys, lists are lines with a dash, ramp points are pairs such as [0.4 s, 35 %], everything else is one value.",
  ),
  "missing-unit": bad(
    "a number has no unit",
    "write its unit behind it",
    "Numbers carry their unit as people write it (3200 rpm, 35 mph, 9 ms), because a bare number is too easily written in one unit and read in another.",
  ),
  "wrong-unit": bad(
    "a number has the wrong kind of unit",
    "use one of the units shown",
    "The unit is unknown, or it measures something other than this setting.",
  ),
  "bad-number": bad(
    "a value is not a number with a unit",
    "write a number such as 3200 or 0.4, a space and its unit",
    "Decimals take a point. Thousands take no separator.",
  ),
  "pressure-reference": bad(
    "a pressure does not say what it is measured against",
    "write `absolute` or `gauge` behind the unit",
    "A gauge shows pressure above the air around it, a manifold sensor pressure above vacuum; the two differ by about 101 kPa (14.7 psi). Inside, manifold pressure is absolute; a gauge reading is converted with the standard atmosphere, 101.325 kPa. A difference of two pressures (a hysteresis) takes neither word.",
  ),
  "wrong-word": bad(
    "a word is not one of those that this setting takes",
    "use one of the words shown",
    "Some settings are one word out of a few. Questions take yes or no.",
  ),
  limit: bad(
    "a value lies outside its limits",
    "choose a value inside the limits shown",
    "Each limit has its reason in the table of settings; the message repeats it. Limits without a published source say so.",
  ),
  "wrong-count": bad(
    "a list has too few or too many entries",
    "keep to the count shown",
    "The controller has room for four stages, two ramps in each and twelve points in a ramp.",
  ),
  rule: bad(
    "two or more settings contradict each other",
    "change one of the settings that the rule names; `headgate explain RULE` describes it",
    "Rules join settings: thresholds in order, ramps rising, a margin under the rev limiter, a stage's prerequisites.",
  ),
  "wrong-version": bad(
    "the file was written for another version of the settings",
    "use a file of a version that this tool can migrate, or change the place shown by hand",
    "The key `version` says for which version of the settings a file was written. Older files are migrated as they are read, with every change reported; what only a person can decide is refused at its place.",
  ),
} as const satisfies Record<string, ErrorEntry>;
