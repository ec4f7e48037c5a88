// Every scenario of the proof, in the order of the catalogue's rows.
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import { CLAMP_FAULTS } from "./faults-clamps.ts";
import { DRIVER_FAULTS } from "./faults-drivers.ts";
import { INTERMITTENT_FAULTS } from "./faults-intermittent.ts";
import { PAIRS_OF_FAULTS } from "./faults-pairs.ts";
import { PROGRAM_FAULTS } from "./faults-program.ts";
import { REPEATED_FAULTS } from "./faults-repeat.ts";
import { RUN_FAULTS } from "./faults-run.ts";
import { SENSOR_FAULTS } from "./faults-sensors.ts";
import { SPEED_FAULTS } from "./faults-speed.ts";
import { START_FAULTS } from "./faults-start.ts";
import { SUPPLY_FAULTS } from "./faults-supply.ts";
import { SWITCH_FAULTS } from "./faults-switches.ts";
import type { Scenario } from "./scenario.ts";

const ALL = [
  SWITCH_FAULTS,
  SPEED_FAULTS,
  SENSOR_FAULTS,
  DRIVER_FAULTS,
  CLAMP_FAULTS,
  RUN_FAULTS,
  REPEATED_FAULTS,
  INTERMITTENT_FAULTS,
  PAIRS_OF_FAULTS,
  SUPPLY_FAULTS,
  PROGRAM_FAULTS,
  START_FAULTS,
].flat();

/** All scenarios, row by row. */
export const SCENARIOS: readonly Scenario[] = ALL.toSorted(
  (a, b) => interlockNumber(a.row) - interlockNumber(b.row),
);

/** Scenarios of one row. */
export function scenariosOf(id: string): readonly Scenario[] {
  return SCENARIOS.filter(({ row }) => row === id);
}

/** Ids of all rows, in order. */
export const ROW_IDS: readonly string[] = INTERLOCKS.map(({ id }) => id);
