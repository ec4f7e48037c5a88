// Everything that runs tell of a car: grip, engine power, nitrous power and flow, or why they do not.
import type { CarData } from "#host/car/car.ts";
import { peakFriction } from "#host/car/settled/traction.ts";
import type { SupplyData } from "#host/car/supply-data.ts";
import { interpolateLine } from "#host/car/torque-curve.ts";
import { agreeing, type Finding, findingOf, meanOf, type RunValue, type Told } from "./findings.ts";
import { fallOf, flowIn } from "./flow.ts";
import { type GripSeen, gripOf } from "./grip.ts";
import { hasBottle, isShut, type LearnRun } from "./learn-run.ts";
import { type Moment, momentsOf } from "./moments.ts";
import { engineIn, nitrousIn, type PlannedPower, sharesIn } from "./power.ts";
import { boostLags, noEngine, noFlow, noGrip, noNitrous, senderHides } from "./refusals.ts";

/** What is known of the car before: from its file and its plan. `supplyFor` wires it for a run's settings. */
export interface Known {
  readonly car: CarData;
  readonly supplyFor: (run: LearnRun) => SupplyData;
}

/** A run with what it shows. */
export interface Looked {
  readonly run: LearnRun;
  readonly supply: SupplyData;
  readonly moments: readonly Moment[];
}

/** Uncertainty of a friction: of the load that moves between the axles, above all. */
const GRIP = 0.02;

const gripValue = ({ run }: Looked, seen: GripSeen, filed: number): RunValue => ({
  run: run.name,
  key: run.key,
  factor: seen.friction / filed,
  uncertainty: GRIP,
  moments: seen.moments + (seen.isLimit ? seen.beyond : 0),
  fromS: seen.fromS,
  toS: seen.toS,
});

/** The lowest limit that a run shows; without any limit the highest friction that the tyres have held. */
function gripFinding(looked: readonly Looked[], car: CarData): Finding {
  if (looked.some(({ run }) => senderHides(run))) return noGrip(looked);
  const filed = peakFriction(car.grip);
  const seen = looked.flatMap((one) => {
    const grip = gripOf(one.moments);
    return grip === undefined ? [] : [{ isLimit: grip.isLimit, value: gripValue(one, grip, filed) }];
  });
  const limits = seen.filter(({ isLimit }) => isLimit).map(({ value }) => value);
  const of = limits.length > 0 ? limits : seen.map(({ value }) => value);
  if (of.length === 0) return noGrip(looked);
  const factors = of.map(({ factor }) => factor);
  const isLeast = limits.length === 0;
  // What tyres have merely held says nothing against a file that promises more.
  if (isLeast && Math.max(...factors) <= 1) return noGrip(looked, Math.max(...factors) * filed);
  const ordered = [...of].sort((a, b) => (isLeast ? b.factor - a.factor : a.factor - b.factor));
  const factor = isLeast && ordered.length > 1 ? ordered[1]!.factor : ordered[0]!.factor;
  const told = { quantity: "grip", told: true, uncertainty: GRIP } as const;
  return { ...told, factor, isLeast, agree: agreeing(of), runs: ordered };
}

const LEAST_ENGINE = 0.01;
const LEAST_NITROUS = 0.02;

function engineFinding(looked: readonly Looked[], car: CarData): Finding {
  if (looked.some(({ run }) => senderHides(run))) return noEngine(looked);
  if (car.motion.boost) return boostLags("engine");
  const values = looked
    .filter(({ run }) => isShut(run))
    .flatMap(({ run, moments }) => engineIn(run, moments, car) ?? []);
  return values.length === 0 ? noEngine(looked) : meanOf("engine", values, LEAST_ENGINE);
}

/** Added power by the plan at full flow and a moment's bottle pressure; the planned pressure where there is no sensor. */
const plannedPower = (supply: SupplyData): PlannedPower => {
  const fullW = supply.stages.reduce((sum, stage) => sum + stage.addedW, 0);
  return ({ bottlePa }) => fullW * interpolateLine(supply.powerOverBottle, bottlePa ?? supply.bottlePa);
};

function nitrousFinding(looked: readonly Looked[], car: CarData, engine: Told | undefined): Finding {
  if (car.motion.boost) return boostLags("nitrous");
  const open = looked.filter(({ run }) => !isShut(run));
  const shares = open.map(({ moments }) => sharesIn(moments));
  if (engine === undefined) return noNitrous(looked, shares);
  const values = open.flatMap(
    ({ run, moments, supply }) => nitrousIn(run, moments, car, engine, plannedPower(supply)) ?? [],
  );
  return values.length === 0 ? noNitrous(looked, shares) : meanOf("nitrous", values, LEAST_NITROUS);
}

const LEAST_FLOW = 0.08;

function flowFinding(looked: readonly Looked[]): Finding {
  const open = looked.filter(({ run }) => !isShut(run) && hasBottle(run));
  const values = open.flatMap(({ run, supply }) => flowIn(run, supply) ?? []);
  const fallPa = Math.max(0, ...open.map(({ run, supply }) => fallOf(run, supply)));
  return values.length === 0 ? noFlow(looked, fallPa) : meanOf("flow", values, LEAST_FLOW);
}

/** Learns from all runs together. The engine is the same in all of them: they are of one day. */
export function learn(runs: readonly LearnRun[], { car, supplyFor }: Known): Finding[] {
  const looked = runs.map((run) => {
    const supply = supplyFor(run);
    return { run, supply, moments: momentsOf(run, car, supply) };
  });
  const engine = engineFinding(looked, car);
  const known = findingOf([engine], "engine");
  return [gripFinding(looked, car), engine, nitrousFinding(looked, car, known), flowFinding(looked)];
}
