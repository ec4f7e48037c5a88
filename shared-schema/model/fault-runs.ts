// Which simulated faults of the circuit (`npm run circuit`) stand behind a row of the fault analysis: their results are printed there.

/** Part and failure of a row, and the names of the faults. */
export type FaultRuns = readonly [part: string, failure: string, faults: readonly string[]];

const open = (...refs: string[]): string[] =>
  refs.map((ref) => `${ref}: ${/^[DQ]/.test(ref) ? "A" : "1"} open`);
const shorted = (...refs: string[]): string[] =>
  refs.map((ref) => `${ref}: ${/^D/.test(ref) ? "A shorted to K" : "1 shorted to 2"}`);

const PUMP: readonly FaultRuns[] = [
  ["charge pump", "C1 shorted", shorted("C1")],
  ["charge pump", "C2 shorted", shorted("C2")],
  [
    "charge pump",
    "C1 or C2 open, D1 or D3 open or shorted, D2 or D4 open",
    [...open("C1", "C2", "D1", "D3", "D2", "D4"), ...shorted("D1", "D3")],
  ],
  ["charge pump", "C3 open, D2 or D4 shorted", [...open("C3"), ...shorted("D2", "D4")]],
  ["charge pump", "R3 or R9 open", open("R3", "R9")],
  ["charge pump", "R5 open", open("R5")],
  [
    "charge pump",
    "R1, R2 or R4 open; C3, R3 or R9 shorted",
    [...open("R1", "R2", "R4"), ...shorted("C3", "R3", "R9")],
  ],
  ["charge pump", "R1, R2 or R4 shorted", shorted("R1", "R2", "R4")],
  [
    "Q1 of the charge pump",
    "open, or its base shorted",
    ["Q1: B open", "Q1: C open", "Q1: E open", "Q1: B shorted to E"],
  ],
  ["Q1 of the charge pump", "shorted", ["Q1: B shorted to C", "Q1: C shorted to E"]],
  ["Q2 of the charge pump", "shorted", ["Q2: G shorted to D", "Q2: S shorted to D"]],
  ["Q2 of the charge pump", "its gate open", ["Q2: G open"]],
  [
    "Q2 of the charge pump",
    "open; D5 or R6 open; R5, D6, D8 or R10 shorted",
    [
      "Q2: S open",
      "Q2: D open",
      "Q2: G shorted to S",
      ...open("D5", "R6"),
      ...shorted("R5", "D6", "D8", "R10"),
    ],
  ],
  ["Q2 of the charge pump", "R10 at its source open", open("R10")],
  ["Q2 of the charge pump", "D5 or R6 shorted, D6 open", [...shorted("D5", "R6"), ...open("D6")]],
  ["clamp of the master relay", "D7 or D9 shorted", shorted("D7", "D9")],
  ["clamp of the master relay", "D7, D8 or D9 open", open("D7", "D8", "D9")],
];

const REST: readonly FaultRuns[] = [
  ["clamp of a solenoid coil", "suppressor shorted", shorted("D101")],
  ["clamp of a solenoid coil", "diode shorted", shorted("D102")],
  ["clamp of a solenoid coil", "open", open("D101", "D102")],
  ["solenoid driver", "shorted: always conducts", ["Q101: D shorted to S", "Q101: G shorted to D"]],
  ["solenoid coil", "open, or unplugged", open("Y1")],
  ["wire to the relay's coil", "short to the battery", ["W9: on battery"]],
  ["wire to the relay's coil", "short to the driver supply", ["K1: 86 shorted to 87"]],
  ["driver supply", "short to the battery", ["W5: on battery"]],
  ["driver of purge or bottle valve", "shorted", ["Q901: D shorted to S", "Q1001: D shorted to S"]],
  ["polarity relay K2", "contact welded", ["K2: 30 shorted to 87"]],
  ["supply wire of a sensor", "short to 12 V", ["W401: on battery"]],
  ["ground", "one link between logic plane and star open", open("LK1", "LK2")],
  ["ground", "one wire from the star to the battery open", ["W1: open", "W2: open"]],
];

export const FAULT_RUNS: readonly FaultRuns[] = [...PUMP, ...REST];
