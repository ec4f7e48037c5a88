// What the plan's physics and its optimiser come to, measured: agreement with the reference, closeness of the ramps, speed and its growth.

import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { quarterMileRules } from "#host/car/quarter-mile.ts";
import { type Nitrous, simulate } from "#host/car/settled/run.ts";
import { tyreLimitN } from "#host/car/settled/traction.ts";
import { peakPower } from "#host/car/torque-curve.ts";
import { proveRamp } from "#host/cli/plan/prove-ramp.ts";
import { airAt } from "#host/plan/engine/atmosphere.ts";
import { airPerKg, type Formula, oxygenPerKg } from "#host/plan/engine/oxygen-balance.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { saturationAt } from "#host/plan/nitrous/saturation.ts";
import { makePlan } from "#host/plan/plan.ts";
import { DEFAULT_EFFORT } from "#host/plan/ramp/fit.ts";
import { planRamps } from "#host/plan/ramp/stages.ts";
import { GoalUnreachable } from "#host/plan/run/goal.ts";
import { testCar } from "../host/plan/cars.ts";
import {
  errorsAgainstMeasured,
  measuredCoefficients,
  worstAgainstComputed,
} from "../host/plan/nitrous/flow-evidence.ts";
import { csv, json, num } from "../host/plan/reference.ts";
import { TWELVE_CARS } from "../host/plan/twelve-cars.ts";
import type { Row } from "./row.ts";

const percent = (share: number): number => Math.round(share * 1e5) / 1e3;

function cpuMs(work: () => void): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return Math.round((user + system) / 100) / 10;
}

function worstSaturation(): number {
  const errors = csv("n2o-saturation.csv").flatMap((row) => {
    const sat = saturationAt(num(row, "T_K"));
    return [
      sat.pressurePa / (num(row, "p_sat_kPa") * 1e3),
      sat.liquid.densityKgM3 / num(row, "rho_l_kg_m3"),
      sat.vapour.densityKgM3 / num(row, "rho_v_kg_m3"),
    ].map((ratio) => Math.abs(ratio - 1));
  });
  return Math.max(...errors);
}

function physicsRows(): Row[] {
  const computed = Object.entries(worstAgainstComputed()).map(([model, worst]) => ({
    name: `flux, ${model}, worst against computed cases`,
    value: percent(worst),
    unit: "%",
    aim: "at most 1",
  }));
  const measured = Object.entries(errorsAgainstMeasured()).flatMap(([model, e]) => [
    {
      name: `measured two-phase flows (${e.count}), ${model}, mean error`,
      value: percent(e.mean),
      unit: "%",
    },
    {
      name: `measured two-phase flows (${e.count}), ${model}, mean absolute error`,
      value: percent(e.absolute),
      unit: "%",
    },
    { name: `measured two-phase flows (${e.count}), ${model}, worst`, value: percent(e.worst), unit: "%" },
  ]);
  const coefficients = measuredCoefficients();
  const coefficient = coefficients.reduce((a, b) => a + b, 0) / coefficients.length;
  return [
    { name: "saturation, worst against the table", value: percent(worstSaturation()), unit: "%" },
    ...computed,
    ...measured,
    {
      name: "discharge coefficient from measured single-phase flows",
      value: coefficient,
      unit: "",
      aim: "0.77 as published",
    },
  ];
}

function vehicleRows(): Row[] {
  const { standard_atmosphere: atmosphere, weight_transfer: transfer } = json("vehicle-dynamics.json");
  const { fuels } = json("chem.json").stoichiometry;
  const ratios = Object.values(fuels as Record<string, Burnt>).map(
    (f) => airPerKg(oxygenPerKg(f)) / f.air_kg_per_kg,
  );
  const air = (atmosphere.computed as { H_geopotential_m: number; rho_kg_m3: number }[]).map(
    (row) => airAt(row.H_geopotential_m).densityKgM3 / row.rho_kg_m3,
  );
  const { m_kg, L_m, h_m, x_m, mu, answers_computed: answers } = transfer.published_problem;
  const problem = { massKg: m_kg, wheelbaseM: L_m, gravityHeightM: h_m, gravityBehindFrontM: x_m };
  const pull = (tyreLimitN(testCar(problem), mu, 0) / m_kg) * (9.81 / 9.80665);
  const worst = (values: readonly number[]) => percent(Math.max(...values.map((v) => Math.abs(v - 1))));
  return [
    { name: "stoichiometric air ratios, worst against chem.json", value: worst(ratios), unit: "%" },
    { name: "standard atmosphere, density, worst", value: worst(air), unit: "%" },
    {
      name: "traction limit of the published problem, rear drive",
      value: worst([pull / answers.rear_drive_m_s2]),
      unit: "%",
    },
    ...quarterMileRows(),
  ];
}

type Burnt = Formula & { readonly air_kg_per_kg: number };

/** A car with grip enough against each rule of thumb. */
function quarterMileRows(): Row[] {
  const car = testCar({ grip: { curve: [[0, 1.4]], reserve: 0.1 }, shiftS: 0.2 });
  const run = simulate(car);
  return quarterMileRules(car.massKg, peakPower(car.torque).powerW).map((rule) => ({
    name: `quarter mile of a gripping car against ${rule.name}`,
    value: percent(run.quarterS / rule.timeS - 1),
    unit: "%",
    aim: "within the scatter of the rules, some 10",
  }));
}

const NITROUS: Nitrous = {
  addedW: 120e3,
  openRpm: 3100,
  closeRpm: 6500,
  torqueLimit: () => Number.POSITIVE_INFINITY,
};
const windowsOf = (parts: readonly number[]) => parts.map((part) => ({ part, openRpm: NITROUS.openRpm }));
const VALVES = { least: 0.16, greatest: 0.725 };

function rampRows(): Row[] {
  const car = testCar();
  const ideal = simulate(car, NITROUS).quarterS;
  const points = [2, 4, 6, 8, 12, 24].map((count) => {
    const effort = { ...DEFAULT_EFFORT, points: count };
    const { run } = planRamps(car, NITROUS, "road-speed", windowsOf([1]), { least: 0, greatest: 1 }, effort);
    return {
      name: `${count}-point ramp behind the continuous limit`,
      value: Math.round((run.quarterS - ideal) * 1e4) / 10,
      unit: "ms",
    };
  });
  const stages = [[1], [0.5, 0.5], [0.25, 0.35, 0.4], [0.25, 0.25, 0.25, 0.25]].map((parts) => {
    const ms = cpuMs(() => planRamps(car, NITROUS, "road-speed", windowsOf(parts), VALVES));
    return { name: `ramps of ${parts.length} stage(s)`, value: ms, unit: "ms" };
  });
  const growth = [4, 8, 12, 24].map((count) => {
    const effort = { ...DEFAULT_EFFORT, points: count };
    return {
      name: `ramp of ${count} points`,
      value: cpuMs(() => planRamps(car, NITROUS, "road-speed", windowsOf([1]), VALVES, effort)),
      unit: "ms",
    };
  });
  return [...points, ...stages, ...growth];
}

function planRows(): Row[] {
  const times = TWELVE_CARS.map(({ text }) => {
    const loaded = loadCar(text);
    if (!loaded.ok) throw new Error(loaded.errors[0]!.message);
    return cpuMs(() => makePlan(loaded.input));
  });
  const sorted = [...times].sort((a, b) => a - b);
  return [
    { name: "a plan, first in the process", value: times[0]!, unit: "ms", aim: "under 1000 on one core" },
    {
      name: "a plan, slowest of the other eleven",
      value: Math.max(...times.slice(1)),
      unit: "ms",
      aim: "under 1000 on one core",
    },
    { name: "a plan, median of twelve", value: sorted[6]!, unit: "ms" },
  ];
}

const carFile = (name: string): PlanInput => {
  const text = readFileSync(new URL(`../reference/cars/${name}.yaml`, import.meta.url), "utf8");
  const loaded = loadCar(text);
  if (!loaded.ok) throw new Error(loaded.errors[0]!.message);
  return loaded.input;
};

const TOOL = "dist/headgate.js";
const CARS = "tests/reference/cars";
/** Has a process say at its end what it took on all its threads, us. */
const TELLS =
  'data:text/javascript,process.on("exit",()=>{const{user,system}=process.cpuUsage();process.stderr.write("cpu "+(user+system))})';

/** Processor time, ms, of a whole `headgate plan`, from the start of node to its report. Throws when it does not say. */
function processMs(car: string): number {
  const args = ["--import", TELLS, TOOL, "plan", `${CARS}/${car}`];
  const { stderr } = spawnSync(process.execPath, args, { encoding: "utf8" });
  const told = /cpu (\d+)$/.exec(stderr);
  if (told === null) throw new Error(`plan ${car}: ${stderr}`);
  return Math.round(Number(told[1]) / 1e3);
}

/** Needs the bundle (`npm ci` or `tsx host/bundle.ts` makes it). */
function processRows(): Row[] {
  const times = readdirSync(CARS)
    .filter((name) => name.endsWith(".yaml"))
    .map(processMs)
    .sort((a, b) => a - b);
  const aim = "under 1000 on one core";
  return [
    {
      name: "a whole `plan` process, median of the eight cars",
      value: times[times.length >> 1]!,
      unit: "ms",
      aim,
    },
    { name: "a whole `plan` process, slowest of the eight cars", value: times.at(-1)!, unit: "ms", aim },
  ];
}

/** A goal that is refused after a search over every power, one that is found, and ramps that the control core proves. */
async function searchRows(): Promise<Row[]> {
  const refused = cpuMs(() => {
    try {
      makePlan(carFile("measured"));
    } catch (error) {
      if (!(error instanceof GoalUnreachable)) throw error;
    }
  });
  const kei = carFile("kei");
  const searched = cpuMs(() =>
    makePlan({ ...kei, goal: { ...kei.goal, addedW: undefined, quarterS: 20.5 } }),
  );
  const pickup = carFile("pickup");
  const before = process.cpuUsage();
  await proveRamp(pickup, makePlan(pickup), { workers: 2, signal: new AbortController().signal });
  const { user, system } = process.cpuUsage(before);
  const proved = Math.round((user + system) / 1000);
  const aim = "under 5000";
  return [
    { name: "a goal that is refused", value: refused, unit: "ms", aim },
    { name: "a goal that is searched for", value: searched, unit: "ms", aim },
    {
      name: "a plan with --prove-ramp, both workers together",
      value: proved,
      unit: "ms",
      aim: "under 10000: 5 s of two cores",
    },
  ];
}

/** Measures everything; times are processor time of this process unless their name says otherwise. */
export async function run(): Promise<Row[]> {
  const plans = [...processRows(), ...planRows(), ...(await searchRows())];
  return [...physicsRows(), ...vehicleRows(), ...rampRows(), ...plans];
}
