// The page of what happens in time: made from the kept rows, held against them by a test.

import type { Values } from "#shared-schema/circuit/graph.ts";
import { table } from "#shared-schema/generate/markdown.ts";
import type { DeadTimes } from "./dead.ts";
import type { DriverTimes } from "./driver.ts";
import { pumpFaults, pumpOutcome, type Times } from "./kept.ts";
import { ms } from "./ms.ts";
import { extremesPart, inputsPart, kickPart } from "./page-extremes.ts";
import type { PumpTimes } from "./pump.ts";
import type { Row } from "./times.ts";

/** A fault that ends so much later than none is listed, s. */
const LATER_S = 0.5e-3;

function driverRow(row: Row & DriverTimes): string[] {
  const name = row.name.replace("driver, ", "");
  const watts = row.suppressorW > 20 ? "burns" : `${row.suppressorW.toFixed(1)} W`;
  return [
    name,
    `${Math.abs(row.settledA).toFixed(1)} A`,
    ms(row.releaseS),
    `${row.peakV.toFixed(0)} V`,
    watts,
  ];
}

function pumpRow(rows: readonly Row[], fault: string, values: Values): string[] {
  const at = (profile: string) =>
    rows.find(({ name }) => name === `way 2, ${fault}, ${profile}`) as Row & PumpTimes;
  const [low, high] = [at("edges then low"), at("edges then high")];
  return [fault, pumpOutcome(rows, fault, values), ms(low.releaseS), ms(high.releaseS)];
}

/** A fault under both deaths; those that end as without a fault are counted, not listed. */
function deadRows(rows: readonly Row[]): { listed: string[][]; same: number } {
  const at = (death: string, fault: string) =>
    rows.find(({ name }) => name === `processor ${death}, ${fault}`) as (Row & DeadTimes) | undefined;
  const faults = rows.flatMap(({ name }) => /^processor hangs, (.*)$/.exec(name)?.[1] ?? []);
  const whole = at("stops", "whole")?.endS ?? 0;
  const later = ({ endS }: DeadTimes): boolean => (endS ?? Infinity) > whole + LATER_S;
  const cells = faults.map((fault) => ({ fault, hangs: at("hangs", fault), stops: at("stops", fault) }));
  const shown = cells.filter(
    ({ fault, hangs, stops }) => fault === "whole" || [hangs, stops].some((row) => row && later(row)),
  );
  return {
    listed: shown.map(({ fault, hangs, stops }) => [
      fault,
      ms(hangs?.contactS),
      ms(hangs?.endS),
      stops ? ms(stops.endS) : "-",
    ]),
    same: cells.length - shown.length,
  };
}

function deadPart(rows: readonly Row[]): string {
  const { listed, same } = deadRows(rows);
  return [
    "\n## A dead processor\n\nOne coil has its full current when the edges of the keep-alive stop, its neighbour has none. From the last edge until neither has any: ",
    "when the program hangs and the watchdog lets the pins go after `hang.watchdog`, and when the clock stops, the watchdog with it, and every pin stays as it was. The contact opens ",
    'after what the design allows for; after a fault of way 2 as the hottest and slowest pump does, with `relay.mechanics` on top. What has "never" in the last column is found at the next arming ',
    `(above); until then the arm switch and the drivers are the ways to off. ${same} more faults end less than half a millisecond after the sound circuit, or before it.\n\n`,
    table(["fault", "contact opens", "no current, program hangs", "no current, clock stops"], listed),
  ].join("");
}

/** Markdown of the page. */
export function timesPage({ rows }: Times, values: Values): string {
  const drivers = rows.filter(({ name }) => name.startsWith("driver, ")) as (Row & DriverTimes)[];
  const sound = drivers.filter(({ name }) => name.endsWith(" Hz"));
  const faulty = drivers.filter(({ name }) => !name.endsWith(" Hz"));
  const head = ["settled current", "release", "peak at the drain", "heat in the suppressor"];
  return [
    "# What happens in time\n\n",
    "<!-- Made by `npm run circuit` from hardware-notes/circuit-times.json; do not edit. -->\n\n",
    "The driver with its coil, and way 2 from the keep-alive pin to the coil of the master relay, simulated with ngspice from the ",
    "netlist with generic models of the parts. Nothing here was measured. A release counts from the gate's fall, or from the last edge ",
    "of the keep-alive, until the coil's current is so low that valve or relay has let go (`coil.release-current`, `relay.drop-out`); ",
    "the moving parts take their own time after that.\n\n",
    "## A driver\n\nSeventy per cent of each period open, 13.8 V; heat is that of one suppressor over the whole period.\n\n",
    table(["coil and frequency", ...head], sound.map(driverRow)),
    '\n## Single faults of a driver\n\nCoil of the example at 20 Hz. "Never": the coil keeps its current when the gate is low, and the relay has to end it.\n\n',
    table(["fault", ...head], faulty.map(driverRow)),
    "\n## Single faults of way 2\n\nWhat is closed at rest trips RELAY before arming; what holds for ever at a level is found by the self-test, which stops the edges once ",
    "at each level (KEEP-ALIVE). What lets go later is **not noticed by the controller**: it is found by step 5.2 of ",
    "[first-power-up.md](first-power-up.md), which is repeated before each event.\n\n",
    table(
      ["fault", "outcome", "release, pin then low", "release, pin then high"],
      pumpFaults(rows).map((fault) => pumpRow(rows, fault, values)),
    ),
    deadPart(rows),
    extremesPart(rows),
    inputsPart(rows),
    kickPart(rows),
  ].join("");
}
