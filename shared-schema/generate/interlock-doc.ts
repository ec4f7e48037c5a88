// Writes docs/interlocks.md: the catalogue of interlocks, row by row.
import type { Interlock } from "../model/interlock.ts";
import { longestTime, REACTIONS } from "../model/interlock-text.ts";
import { INTERLOCKS } from "../model/interlocks.ts";
import { keysOf } from "../settings/entries.ts";
import { code, GENERATED_NOTE, table } from "./markdown.ts";

function row(interlock: Interlock, number: number): string[] {
  const enabled = interlock.enabledBy.map((path) => code(keysOf(path))).join(", ");
  return [
    String(number),
    `**${interlock.id}**`,
    interlock.cause,
    interlock.reaction,
    longestTime(interlock),
    enabled || "always",
    interlock.remedy,
  ];
}

/** The whole page. */
export function interlockDoc(): string {
  const reactions = Object.entries(REACTIONS).map(([name, text]) => [`**${name}**`, text]);
  return [
    `# Interlocks\n\n${GENERATED_NOTE}\n\n`,
    `This catalogue lists what stops flow, or keeps it from beginning. \`headgate explain ID\` explains one of its ${INTERLOCKS.length} rows.\n\n`,
    "The longest time runs from the moment the cause reaches a pin of the controller until all solenoid pins are low. Add to it the delay of the filters in front of the pins, ",
    "the release of the coil and the closing of the valve itself (hardware-notes). No certified safety level is claimed for any of this.\n\n",
    "[modes.md](modes.md) has the modes and what leads from one to another; only `armed` leads to `flowing`.\n\n",
    "## Reactions\n\n",
    table(["reaction", "what happens"], reactions),
    "\n## Catalogue\n\nThe number of a row is its bit in the reasons, and its value in the trip, that the status answer reports.\n\n",
    table(["no.", "id", "cause", "reaction", "longest time", "enabled by", "remedy"], INTERLOCKS.map(row)),
  ].join("");
}
