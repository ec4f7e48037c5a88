// Writes docs/interlocks.md: the catalogue of interlocks, row by row, with what each does today and what it does not.
import { INTERLOCKS, type Interlock, MODES, type Reaction } from "../model/interlocks.ts";
import { keysOf } from "../settings/entries.ts";
import { code, GENERATED_NOTE, table } from "./markdown.ts";

const REACTIONS: Readonly<Record<Reaction, string>> = {
  off: "everything off, at once",
  "hold-off": "no flow while it lasts; the relay may stay closed",
  trip: "all off and the master relay open, latched until the arm switch is cycled",
  lockout: "all off and the master relay open until power is removed",
  "cut-back": "back to a set share, then up the ramp again",
  "cannot-arm": "the controller stays off",
  refused: "the request is answered with a refusal, nothing changes",
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
    `What stops flow, or keeps it from beginning. Of ${INTERLOCKS.length} rows ${count(true)} work in this release; a row marked "not yet" `,
    `is known to every part and acts nowhere: do not count on it. \`headgate explain\` tells one row at a time.\n\n`,
    `The longest time runs from the cause at a pin of the controller to all solenoid pins low. Filters in front of the pins, the coil's release `,
    `and the valve's own closing time come on top of it (hardware-notes). No certified safety level is claimed for any of it.\n\n`,
    `The modes are ${MODES.map(code).join(", ")}; nothing but \`armed\` leads to \`flowing\`.\n\n`,
    "## Reactions\n\n",
    table(["reaction", "what happens"], reactions),
    "\n## Catalogue\n\nThe number is the place in the reason bits and in the trip that the status answer tells.\n\n",
    table(
      ["no.", "id", "cause", "reaction", "longest time", "enabled by", "works", "remedy"],
      INTERLOCKS.map(row),
    ),
  ].join("");
}
