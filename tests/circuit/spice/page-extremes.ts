// The page's parts about the supply's extremes, inputs, filters and the kick of a coil.
import { table } from "#shared-schema/generate/markdown.ts";
import type { ExtremeTimes } from "./extremes.ts";
import type { FilterTimes, OvervoltageTimes } from "./inputs.ts";
import { KICK_V, type KickTimes } from "./kick.ts";
import { ms } from "./ms.ts";
import type { Row } from "./times.ts";

function of<T>(rows: readonly Row[], kind: string): [name: string, row: T][] {
  return rows
    .filter(({ name }) => name.startsWith(`${kind}, `))
    .map((row) => [row.name.slice(kind.length + 2), row as unknown as T]);
}

const volts = (v: number): string => `${v < 10 ? v.toFixed(2) : v.toFixed(0)} V`;

/** Supply: the part nearest to its rating in each case, and what the coil and the 5 V do. */
export function extremesPart(rows: readonly Row[]): string {
  const cells = of<ExtremeTimes>(rows, "extreme").map(([name, row]) => [
    name,
    `${row.worst}: ${volts(row.worstV)}, ${(100 * row.share).toFixed(0)} %`,
    `${(1000 * row.coilA).toFixed(0)} mA`,
    volts(row.gateV),
    volts(row.fiveV),
    `${row.dumpJ.toFixed(0)} J`,
    row.endS === undefined ? "-" : ms(row.endS),
  ]);
  return [
    "\n## Extremes of the supply\n\nThe supply with its relays, the controller's branch, way 2 and one driver with its coil. Forms and levels follow ISO 16750-2 and ISO 7637-2 as remembered [from memory: look them up]. ",
    "The fast bursts 3a and 3b meet capacitors without inductance here: that the circuit takes them is computed, that wires and layout do not carry them past C12 and D13 is not. Highest voltage across any part against what it is rated for; highest current in the coil and voltage at its gate while nothing tells ",
    "the driver to conduct; lowest 5 V once they stand (under 4.5 V the chip may reset, which is off); heat in D13, which withstands `dump.stands` (more destroys it, as [supply-and-wiring.md](supply-and-wiring.md) says); ",
    "and how long the coil keeps its current when key or battery go and the driver goes on conducting.\n\n",
    table(
      [
        "case",
        "nearest to its rating",
        "coil, not driven",
        "gate",
        "lowest 5 V",
        "heat in D13",
        "no current after",
      ],
      cells,
    ),
  ].join("");
}

/** Battery on wires, and what the filters leave. */
export function inputsPart(rows: readonly Row[]): string {
  const cells = of<OvervoltageTimes>(rows, "input").map(([name, row]) => [
    name,
    volts(row.channelV),
    volts(row.pinV),
    volts(row.railV),
    row.movesV === undefined ? "-" : `${(1000 * row.movesV).toFixed(1)} mV`,
  ]);
  const filters = of<FilterTimes>(rows, "filter").map(([name, row]) => [
    name,
    `${(100 * row.left).toFixed(0)} %`,
  ]);
  return [
    "\n## Inputs\n\nThe wire of the throttle switch has the same voltage in each case. A channel of a converter takes `adc.input-highest`.\n\n",
    table(["case", "channel", "pin of the switch", "clamp rail", "a sound sensor moves"], cells),
    "\nWhat the filters leave of a disturbance. Sensors are read 1000 times a second, so what lies above 500 Hz appears as something slower, that much smaller; ",
    "a drain's filter is quick on purpose, since a driver is judged within a millisecond.\n\n",
    table(["filter and disturbance", "left"], filters),
  ].join("");
}

/** For how long the converter sees the kick of a coil. */
export function kickPart(rows: readonly Row[]): string {
  const cells = of<KickTimes>(rows, "kick").map(([name, { amps, fromS, untilS }]) => [
    name,
    `${amps.toFixed(1)} A`,
    fromS === undefined ? "never" : `${ms(fromS)} to ${ms(untilS)}`,
  ]);
  return [
    `\n## The kick of a coil, as the converter reads it\n\nAfter switching off, the drain's channel reads above ${KICK_V} V for this long. A shorted suppressor never gets there: `,
    "the interlock CLAMP tells the two apart after pulses of more than 6 ms (docs/decisions/0064-a-clamp-is-judged-at-switching-off.md).\n\n",
    table(["clamp, and how long the driver conducted", "current", "reads above"], cells),
  ].join("");
}
