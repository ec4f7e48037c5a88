// Writes docs/interlocks.md: the catalogue of interlocks, row by row, with what each does today and what it does not.
import { INTERLOCKS, type Interlock, MODES, type Reaction } from "../model/interlocks.ts";
import { keysOf } from "../settings/entries.ts";
import { code, GENERATED_NOTE, table } from "./markdown.ts";

const REACTIONS: Readonly<Record<Reaction, string>> = {
  off: "everything is switched off at once",
  "hold-off": "nothing flows while the cause lasts; the relay may stay closed",
  trip: "everything is switched off and the master relay opens, until the arm switch is switched off and on again",
  lockout:
    "everything is switched off and the master relay opens, until power is removed; every reset of the program and the chip keeps it",
  "cut-back": "the flow falls back to a set share and then climbs the ramp again",
  "cannot-arm": "the controller stays off",
  refused: "the controller refuses the request, and nothing changes",
};

const PLUS: Readonly<Record<NonNullable<Interlock["plus"]>, string>> = {
  "engine-pulse": "the next engine pulse",
  "three-engine-pulses": "the third engine pulse",
  "road-pulse": "the next road pulse",
  "cut-back": "two road pulses and the PWM period under way",
  "lost-engine": "three engine pulse periods, 60 ms at most",
  setting: "the time in its setting",
};

/** Longest time to all solenoid pins low: `2 ms`, `10 us after the next engine pulse`. */
export function longestTime({ withinUs, plus }: Interlock): string {
  if (withinUs === undefined) return "nothing can flow";
  const time = withinUs < 1000 ? `${withinUs} us` : `${withinUs / 1000} ms`;
  return plus === undefined ? time : `${time} after ${PLUS[plus]}`;
}

function row(interlock: Interlock, number: number): string[] {
  const enabled = interlock.enabledBy.map((path) => code(keysOf(path))).join(", ");
  return [
    String(number),
    `**${interlock.id}**`,
    interlock.cause,
    interlock.reaction,
    longestTime(interlock),
    enabled || (interlock.works ? "always" : "-"),
    interlock.works ? "yes" : "**not yet**",
    interlock.remedy,
  ];
}

function count(works: boolean): number {
  return INTERLOCKS.filter((interlock) => interlock.works === works).length;
}

/** The whole page. */
export function interlockDoc(): string {
  const reactions = Object.entries(REACTIONS).map(([name, text]) => [`**${name}**`, text]);
  return [
    `# Interlocks\n\n${GENERATED_NOTE}\n\n`,
    `This catalogue lists what stops flow, or keeps it from beginning. ${count(true)} of its ${INTERLOCKS.length} rows work in this release. A row marked "not yet" `,
    "has its name and number already but does nothing: do not count on it. `headgate explain` explains one row at a time.\n\n",
    "The longest time runs from the moment the cause reaches a pin of the controller until all solenoid pins are low. Add to it the delay of the filters in front of the pins, ",
    "the release of the coil and the closing of the valve itself (hardware-notes). No certified safety level is claimed for any of this.\n\n",
    `The modes are ${MODES.map(code).join(", ")}; only \`armed\` leads to \`flowing\`.\n\n`,
    "## Reactions\n\n",
    table(["reaction", "what happens"], reactions),
    "\n## Catalogue\n\nThe number of a row is its bit in the reasons, and its value in the trip, that the status answer reports.\n\n",
    table(
      ["no.", "id", "cause", "reaction", "longest time", "enabled by", "works", "remedy"],
      INTERLOCKS.map(row),
    ),
  ].join("");
}
