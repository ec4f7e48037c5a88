// Two faults at once, a sample: neither may hide the other, and the quicker of the two keeps its time.
import { whileFlowing } from "./flow-trial.ts";
import { toNextPulse } from "./pulses-at.ts";
import type { FlowFault, Scenario } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { TestBench } from "./test-bench.ts";
import { without } from "./variants.ts";

type Act = (bench: TestBench) => void;

const TRIALS = 2;
const NOISE_NS = 2e6;
const ROUND_US = 1000;
const STEP_US = 5;

const open =
  (sensor: "fuel" | "throttle"): Act =>
  ({ board }) =>
    board.harness.setSensorMv(sensor, 0);

const lowBattery: Act = ({ board, settings }) => {
  board.harness.batteryMv = settings.battery.lowestMv - 300;
};

const shorted =
  (on: boolean): Act =>
  ({ board }) => {
    board.harness.drivers.faults[0] = on ? "shorted" : "none";
  };

/** A converter that comes back must do so between two of its conversions. */
const converters =
  (names: readonly ("adcA" | "adcB")[], dead: boolean): Act =>
  ({ board }) => {
    for (const name of names) {
      const chip = board.harness[name];
      if (!dead) board.runUntil(() => !chip.selected, ROUND_US, STEP_US);
      chip.dead = dead;
    }
  };

const stopWheels: Act = ({ board }) => {
  board.harness.setEngineHz(0);
  board.harness.setRoadHz(0);
};

const armNoise: Act = ({ board }) => {
  board.harness.setSwitch("arm", false);
  board.at(board.nowNs + NOISE_NS, () => board.harness.setSwitch("arm", true));
};

const boost: Act = ({ stimulus, settings }) =>
  stimulus.sensor("manifold", settings.manifold!.overboost!.aboveDeciKpa + 30);

const both =
  (first: Act, second: Act): Act =>
  (bench) => {
    first(bench);
    second(bench);
  };

const hasFuel = ({ fuel }: ProofSettings): boolean => fuel !== undefined;
const hasPosition = ({ throttle }: ProofSettings): boolean => throttle.position !== undefined;

const PAIRS: readonly FlowFault[] = [
  {
    row: "SENSOR",
    fault: "fuel sensor's wire open while the battery is too low",
    apply: both(open("fuel"), lowBattery),
    fits: hasFuel,
  },
  {
    row: "SENSOR",
    fault: "throttle sensor's wire open while the arm switch chatters",
    apply: both(open("throttle"), armNoise),
    soonerRow: "ARM",
    fits: hasPosition,
  },
  {
    row: "SENSOR",
    fault: "fuel sensor's wire open while the supply behind the relay is lost",
    apply: both(open("fuel"), ({ board }) => board.harness.relay.setFault("dead")),
    undo: ({ board }) => board.harness.relay.setFault("none"),
    fits: hasFuel,
  },
  {
    row: "ADC",
    fault: "converter B dead while a driver is shorted",
    apply: both(converters(["adcB"], true), shorted(true)),
    undo: both(converters(["adcB"], false), shorted(false)),
  },
  {
    row: "ADC",
    fault: "both converters dead while the arm switch goes off",
    apply: both(converters(["adcA", "adcB"], true), ({ board }) => board.harness.setSwitch("arm", false)),
    undo: converters(["adcA", "adcB"], false),
    soonerRow: "ARM",
  },
  {
    row: "RPM-LOST",
    fault: "engine and road pulse wires open together",
    until: (bench) => toNextPulse(bench, "enginePulse"),
    apply: stopWheels,
    fits: ({ road }) => road !== undefined,
  },
  {
    row: "OVERBOOST",
    fault: "boost above its limit while the throttle closes",
    apply: both(boost, ({ stimulus }) => stimulus.lift()),
    soonerRow: "WOT",
    change: without("windows.manifold"),
  },
  {
    row: "FUEL-LOW",
    fault: "fuel pressure under its limit while the mixture is lean",
    apply: both(
      ({ stimulus, settings }) => stimulus.sensor("fuel", settings.fuel!.lowestDeciKpaGauge! * 0.7),
      ({ stimulus, settings }) => stimulus.sensor("lambda", settings.lambda!.leanestMilliLambda! + 60),
    ),
    fits: ({ lambda }) => lambda !== undefined,
  },
  {
    row: "COOLANT",
    fault: "engine too cold while the bottle pressure is under its window",
    apply: both(
      ({ stimulus, settings }) => stimulus.sensor("coolant", settings.coolant!.coldAboveMv! + 60),
      ({ stimulus, settings }) => stimulus.sensor("bottle", settings.bottle!.lowestKpaGauge! - 60),
    ),
    also: ["BOTTLE-LOW"],
    fits: ({ bottle }) => bottle !== undefined,
  },
];

/** All of them. */
export const PAIRS_OF_FAULTS: readonly Scenario[] = PAIRS.map((pair) =>
  whileFlowing({ ...pair, trials: TRIALS }),
);
