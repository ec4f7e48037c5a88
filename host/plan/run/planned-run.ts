/** A plan's runs as they will be driven: its ramps, the best possible ramp, or the engine alone, as planned or at an edge. */
import { speedAtRpm } from "#host/car/car.ts";
import type { Nitrous } from "#host/car/settled/run.ts";
import type { SupplyData } from "#host/car/supply-data.ts";
import { Table } from "#host/car/table.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { rampAt } from "../ramp/fit.ts";
import { type RampAxis, shareLimitAtSpeed } from "../ramp/share-limits.ts";
import type { Divided } from "../ramp/stage-window.ts";
import type { StageRamp } from "../ramp/stages.ts";
import { type ValveRange, valveRange } from "../ramp/valve.ts";
import type { Ask, Seen } from "./controller-model.ts";
import { type DrivenOptions, type DrivenRun, driveRun } from "./driven-run.ts";

/** Edges of a run, and how long it may spin before it is given up; without samples it costs less. */
export type RunChange = Pick<DrivenOptions, "edges" | "mostSpinS" | "keepsSamples" | "boostPa">;

/** What a car runs with: stages with their ramps over an axis, and what feeds them. */
export interface RampRun {
  readonly nitrous: Nitrous;
  readonly axis: RampAxis;
  readonly stages: readonly StageRamp[];
  readonly supply: SupplyData;
}

const PLACE: Readonly<Record<RampAxis, (seen: Seen) => number>> = {
  "road-speed": ({ roadMS }) => roadMS,
  launch: ({ launchS }) => launchS,
  "engine-speed": ({ rpm }) => rpm,
};

/** What ramps ask for; one over the launch asks for nothing before it. */
function rampAsk(axis: RampAxis, stages: readonly StageRamp[]): Ask {
  const place = PLACE[axis];
  return (seen, shares) => {
    const at = place(seen);
    for (let s = 0; s < stages.length; s++) shares[s] = at < 0 ? 0 : rampAt(stages[s]!.ramp, at);
  };
}

/** The valves at the battery's own voltage, where most runs happen, or at the lowest: what opening takes, and the shares that leaves. */
function valvesOf({ nitrous }: PlanInput, lowBattery: boolean): { openingS: number; valves: ValveRange } {
  const { closingS, frequencyHz } = nitrous;
  const openingS = lowBattery ? nitrous.opening10VS : nitrous.opening14VS;
  return { openingS, valves: valveRange({ openingS, closingS, frequencyHz }) };
}

const EVERY_SHARE: ValveRange = { least: 0, greatest: 1 };

const onEngine = ({ car, driver }: PlanInput) => ({ car, driver });

/** The car on its engine alone. */
export const engineRun = (input: PlanInput, change: RunChange = {}): DrivenRun =>
  driveRun({ ...onEngine(input), driven: false, ...change });

/** The car with planned ramps. */
export function rampRun(input: PlanInput, run: RampRun, change: RunChange = {}): DrivenRun {
  const { nitrous, supply, axis, stages } = run;
  const control = {
    window: nitrous,
    stages,
    hysteresisRpm: input.hysteresisRpm,
    ...valvesOf(input, change.edges?.lowBattery ?? false),
    ask: rampAsk(axis, stages),
  };
  const driven = input.control.roadSender !== "undriven-wheel";
  return driveRun({ ...onEngine(input), driven, nitrous: { supply, control }, ...change });
}

const CELLS = 150;

/** The highest share that tyres and parts allow at each road speed, on an even grid. */
function limitTable(input: PlanInput, nitrous: Nitrous): Table {
  const { car } = input;
  const top = speedAtRpm(car, car.gears.length - 1, nitrous.closeRpm);
  const points = Array.from({ length: CELLS + 1 }, (_, i) => {
    const speed = (top * i) / CELLS;
    return [speed, shareLimitAtSpeed(car, nitrous, speed)] as const;
  });
  return new Table(points, CELLS);
}

/** The car with ramps that take all that tyres and parts allow at every road speed, stage after stage, through valves that can make any share. */
export function idealRun(
  input: PlanInput,
  { nitrous, stages }: Pick<Divided, "nitrous" | "stages">,
  supply: SupplyData,
): DrivenRun {
  const limits = limitTable(input, nitrous);
  const control = {
    window: nitrous,
    stages,
    hysteresisRpm: input.hysteresisRpm,
    valves: EVERY_SHARE,
    openingS: input.nitrous.opening14VS,
    ask: ({ roadMS }: Seen, shares: Float64Array) => {
      let left = limits.at(roadMS);
      for (let s = 0; s < stages.length; s++) {
        const { part } = stages[s]!;
        shares[s] = Math.min(1, left / part);
        left = Math.max(0, left - part);
      }
    },
  };
  return driveRun({ ...onEngine(input), driven: false, nitrous: { supply, control }, keepsSamples: false });
}
