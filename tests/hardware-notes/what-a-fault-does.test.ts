// The page's table of single faults, row by row: what it says of relay and coils is what the solved circuit does.
import { describe, expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { faultsOf } from "../circuit/faults.ts";
import { CARRIES_A, SCENES, type Solved, solve } from "../circuit/judge.ts";
import { type Scene, WIRE } from "../circuit/model.ts";
import { tableRows } from "../support/markdown.ts";
import { noteText, value } from "./values.ts";

const STOPPED = SCENES["arm on, processor in reset"]!;
const HELD: Scene = { ...STOPPED, keepAlive: "edges" };
const ALL_ON: Scene = { ...STOPPED, program: "wild" };
const ARM_OFF = SCENES["arm off, keep-alive low"]!;
const ARM_OFF_EDGES = SCENES["arm off, keep-alive with edges"]!;
const keyOff = (scene: Scene): Scene => ({ ...scene, keyOn: false });

const COILS = CIRCUIT.parts.filter(({ kind }) => kind === "coil").map(({ ref }) => ref);
const but = (...refs: string[]): string[] => COILS.filter((ref) => !refs.includes(ref));

/** What a scene must show: whether the driver supply has voltage, which coils carry current, and what else. */
interface Shows {
  readonly scene: Scene;
  readonly relay?: boolean;
  readonly coils: readonly string[];
  readonly besides?: (solved: Solved) => void;
}

const armReadsOff = ({ volts }: Solved): void =>
  expect(volts("armSwitch") - volts("gnd")).toBeLessThan(value("pin.low"));
const fuseBlows = ({ volts }: Solved): void =>
  expect((volts("drv") - volts("stage1")) / WIRE).toBeGreaterThan(value("supply.fuse-stage"));
const seemsClosed = ({ volts }: Solved): void =>
  expect(volts("drv") - volts("star")).toBeGreaterThan(value("drain.no-supply"));
const planeStays = ({ volts }: Solved): void =>
  expect(Math.abs(volts("gnd") - volts("star"))).toBeLessThan(0.05);

const stops = (scene: Scene): Shows => ({ scene, relay: false, coils: [] });
/** The relay is closed, and no driver conducts. */
const wayOneAlone = (scene: Scene): Shows => ({ scene, relay: true, coils: [], besides: armReadsOff });

/** Row of the page, the faults that it means, and what they do. */
const SOLVED: readonly (readonly [row: string, faults: readonly string[], shows: readonly Shows[]])[] = [
  [
    "pin, buffer or gate wire open",
    ["A1: GP8 open", "U6: A1 open", "U6: Y1 open", "R102: 1 open"],
    [{ scene: ALL_ON, coils: but("Y1") }],
  ],
  [
    "driver shorted or stuck on",
    ["Q101: D shorted to S", "U6: Y1 stuck high"],
    [{ scene: HELD, relay: true, coils: ["Y1"] }, stops(STOPPED), stops(ARM_OFF_EDGES)],
  ],
  ["coil open, wire off", ["Y1: 1 open", "W201: open", "W202: open"], [{ scene: ALL_ON, coils: but("Y1") }]],
  ["diode D102 shorted", ["D102: A shorted to K"], [{ scene: ALL_ON, coils: COILS, besides: fuseBlows }]],
  ["fuse of a stage blown", ["F3: 1 open"], [{ scene: ALL_ON, coils: but("Y1", "Y2") }]],
  [
    "driver of purge or bottle valve shorted",
    ["Q1001: D shorted to S"],
    [{ scene: HELD, relay: true, coils: ["Y10"] }, stops(STOPPED)],
  ],
  [
    "relay contact welded, or battery on the driver supply",
    ["K1: 30 shorted to 87", "W5: on battery"],
    [wayOneAlone(ARM_OFF), { scene: STOPPED, relay: true, coils: [] }],
  ],
  ["relay contact open while flowing", ["K1: 30 open", "K1: 87 open"], [stops(ALL_ON)]],
  ["battery on the wire from Q2 to the relay's coil", ["W9: on battery"], [wayOneAlone(ARM_OFF)]],
  [
    "relay's coil shorted to the driver supply (86 to 87)",
    ["K1: 86 shorted to 87"],
    [wayOneAlone(ARM_OFF), { scene: STOPPED, relay: true, coils: [] }],
  ],
  [
    "Q1 or Q2 shorted",
    ["Q1: C shorted to E", "Q2: S shorted to D"],
    [{ scene: STOPPED, relay: true, coils: [] }, stops(ARM_OFF)],
  ],
  [
    "D5 shorted",
    ["D5: A shorted to K"],
    [{ scene: ALL_ON, coils: COILS }, stops(STOPPED), stops(ARM_OFF_EDGES)],
  ],
  ["D5 or R6 open, D6 shorted", ["D5: A open", "R6: 1 open", "D6: A shorted to K"], [stops(ALL_ON)]],
  ["R1, R2, R4 open, C3 shorted", ["R4: 1 open", "C3: 1 shorted to 2"], [stops(ALL_ON)]],
  ["5 V missing", ["U2: VOUT open", "U2: VIN open"], [{ scene: ALL_ON, coils: [] }]],
  [
    "arm wire open",
    ["W301: open", "W302: open"],
    [{ scene: ALL_ON, relay: false, coils: [], besides: armReadsOff }],
  ],
  ["arm wire shorted to supply", ["W302: on battery"], [{ scene: ARM_OFF_EDGES, relay: true, coils: COILS }]],
  ["bleeder missing", ["R8: 1 open"], [{ scene: ARM_OFF, coils: [], besides: seemsClosed }]],
  [
    "one link between logic plane and star open",
    ["LK1: 1 open", "LK2: 1 open"],
    [{ scene: ALL_ON, relay: true, coils: COILS, besides: planeStays }, stops(STOPPED)],
  ],
  [
    "K2 welded",
    ["K2: 30 shorted to 87"],
    [
      { scene: keyOff(ALL_ON), relay: true, coils: COILS },
      stops(keyOff(STOPPED)),
      stops(keyOff(ARM_OFF_EDGES)),
    ],
  ],
];

/** Rows that direct current says nothing of, and where they are shown if anywhere. */
const ELSEWHERE: Readonly<Record<string, string>> = {
  "program hangs": "emulated board",
  "program traps, processor faults": "emulated board",
  "keep-alive pin stuck high or low": "emulated board",
  "converter dead, SPI wire open": "emulated board",
  "valve stuck open or leaking": "a valve, not the circuit",
  "fuel valve stuck shut": "a valve, not the circuit",
  "suppressor of a coil shorted": "circuit-times.test.ts",
  "suppressor or diode of a coil open": "circuit-times.test.ts",
  "R5 or the gate of Q2 open": "circuit-times.test.ts",
  "R3 or R9 open": "circuit-times.test.ts",
  "C1 shorted": "circuit-times.test.ts",
  "C2 shorted": "circuit-times.test.ts",
  "C1 or C2 open, D1 or D3 open or shorted, D2 or D4 open": "circuit-times.test.ts",
  "D2 or D4 shorted": "circuit-times.test.ts",
  "C3 open": "circuit-times.test.ts",
  "R1, R2 or R4 shorted, D6 open": "circuit-times.test.ts",
  "R3, R9 or D8 shorted": "circuit-times.test.ts",
  "D7 or D9 shorted": "circuit-times.test.ts",
  "D7, D8 or D9 open": "circuit-times.test.ts",
  "both links open": "circuit-faults.test.ts",
  "battery reversed": "circuit-faults.test.ts",
};

const FAULTS = new Map(faultsOf(CIRCUIT).map((fault) => [fault.name, fault]));

function holds(name: string, { scene, relay, coils, besides }: Shows): void {
  const fault = FAULTS.get(name);
  if (!fault) throw new Error(`no fault ${name}`);
  const solved = solve(CIRCUIT, scene, value, fault);
  expect(solved.settled).toBe(true);
  const carrying = [...solved.coils].filter(([, amps]) => amps > CARRIES_A).map(([ref]) => ref);
  expect(carrying).toEqual(coils);
  if (relay !== undefined) expect(solved.volts("drv") - solved.volts("star") > 5).toBe(relay);
  besides?.(solved);
}

describe("what a single fault does", () => {
  test("each row of the page is solved here or shown elsewhere", () => {
    const section = noteText("two-ways-to-off.md").split("\n## What a single fault does")[1]!;
    const rows = tableRows(section).map(([fault]) => fault);
    expect(rows.sort()).toEqual([...SOLVED.map(([row]) => row), ...Object.keys(ELSEWHERE)].sort());
  });

  test.each(SOLVED.flatMap(([row, faults, shows]) => faults.map((name) => [row, name, shows] as const)))(
    "%s: %s",
    (_, name, shows) => {
      for (const one of shows) holds(name, one);
    },
  );
});
