// Faults of the analog inputs: values beyond their limits, wires open or shorted, dead converters.
import type { SensorName } from "../board/outside/harness.ts";
import { whileFlowing } from "./flow-trial.ts";
import type { FlowFault, Scenario } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { TestBench } from "./test-bench.ts";
import { without } from "./variants.ts";

const FULL_MV = 5000;
const ROUND_US = 1000;
const STEP_US = 5;

type Limit = (settings: ProofSettings) => number;

/** A sensor's value passes a limit. */
function value(
  row: string,
  fault: string,
  sensor: SensorName,
  to: Limit,
  more: Partial<FlowFault> = {},
): Scenario {
  return whileFlowing({
    row,
    fault,
    apply: (bench) => bench.stimulus.sensor(sensor, to(bench.settings)),
    ...more,
  });
}

/** A sensor's wire: 0 V through the input's pull-down, or the sensor's supply. */
function wire(sensor: SensorName, fault: string, mv: number): Scenario {
  const fitted = (s: ProofSettings): boolean =>
    (sensor === "throttle" ? s.throttle.position : s[sensor]) !== undefined;
  return whileFlowing({
    row: "SENSOR",
    fault: `${sensor} sensor: ${fault}`,
    apply: (bench) => bench.board.harness.setSensorMv(sensor, mv),
    fits: fitted,
    trials: 2,
  });
}

const SENSORS: readonly SensorName[] = ["throttle", "manifold", "bottle", "fuel", "lambda", "coolant"];

function converter(
  fault: string,
  apply: (bench: TestBench) => void,
  undo: (bench: TestBench) => void,
): Scenario {
  return whileFlowing({ row: "ADC", fault, apply, undo });
}

/** A chip that comes back in the middle of a conversion would take the rest of it for a command: it comes back between two. */
function dead(name: "adcA" | "adcB"): Scenario {
  const revive = ({ board }: TestBench): void => {
    const chip = board.harness[name];
    board.runUntil(() => !chip.selected, ROUND_US, STEP_US);
    chip.dead = false;
  };
  const kill = ({ board }: TestBench): void => {
    board.harness[name].dead = true;
  };
  return converter(`converter ${name === "adcA" ? "A" : "B"} does not answer`, kill, revive);
}

function stuckLine(level: 0 | 1, words: string): Scenario {
  const set = (to: 0 | 1 | undefined) => (bench: TestBench) => {
    bench.board.harness.spi.stuck = to;
  };
  return converter(`data line of the converters ${words}`, set(level), set(undefined));
}

/** Over this line they are asked: struck and mended between two conversions, one torn in half is not modelled. */
function commandLineToGround(): Scenario {
  const set =
    (to: 0 | undefined) =>
    ({ board }: TestBench): void => {
      const { adcA, adcB, spi } = board.harness;
      board.runUntil(() => !adcA.selected && !adcB.selected, ROUND_US, STEP_US);
      spi.commandStuck = to;
    };
  return converter("command line of the converters short to ground", set(0), set(undefined));
}

/** All of them. */
export const SENSOR_FAULTS: readonly Scenario[] = [
  value(
    "MAP-WIN",
    "manifold pressure above its window",
    "manifold",
    (s) => s.windows.manifold!.closeDeciKpa! + 20,
  ),
  value(
    "MAP-WIN",
    "manifold pressure under its window",
    "manifold",
    (s) => s.windows.manifold!.openDeciKpa! - s.windows.manifold!.hysteresisDeciKpa! - 20,
  ),
  value(
    "OVERBOOST",
    "manifold pressure above its limit",
    "manifold",
    (s) => s.manifold!.overboost!.aboveDeciKpa + 30,
    {
      change: without("windows.manifold"),
    },
  ),
  value("BOTTLE-LOW", "bottle pressure under its window", "bottle", (s) => s.bottle!.lowestKpaGauge! - 60),
  value("BOTTLE-HIGH", "bottle pressure above its window", "bottle", (s) => s.bottle!.highestKpaGauge! + 60),
  value("FUEL-LOW", "fuel pressure under its limit", "fuel", (s) => s.fuel!.lowestDeciKpaGauge! * 0.7),
  value("LEAN", "mixture leaner than its limit", "lambda", (s) => s.lambda!.leanestMilliLambda! + 60),
  value("COOLANT", "engine too cold", "coolant", (s) => s.coolant!.coldAboveMv! + 60),
  value("COOLANT", "engine too hot", "coolant", (s) => s.coolant!.hotBelowMv! - 60),
  whileFlowing({
    row: "BATT-LOW",
    fault: "battery voltage too low",
    apply: ({ board, settings }) => {
      board.harness.batteryMv = settings.battery.lowestMv - 300;
    },
  }),
  ...SENSORS.flatMap((name) => [
    wire(name, "wire open or short to ground", 0),
    wire(name, "short to 5 V", FULL_MV),
  ]),
  dead("adcA"),
  dead("adcB"),
  stuckLine(0, "short to ground"),
  stuckLine(1, "open or short to 3.3 V"),
  commandLineToGround(),
];
