/** A plan as a settings document: only what the plan knows. Sensors unknown to it are left for the owner to add. */
import type { Document } from "#shared-schema/settings/pack.ts";
import { USUAL_JUMP, USUAL_KICK_MV } from "#shared-schema/settings/settings.ts";
import { accessorySettings } from "./accessory-settings.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { BOTTLE_HYSTERESIS_PA } from "./nitrous/bottle-window.ts";
import type { RampAxis } from "./ramp/share-limits.ts";
import { OFF_HYSTERESIS, RETARD_LEAD_MS, RISE_PERCENT_PER_S } from "./run/controller-model.ts";
import type { PlannedStage, SystemPlan } from "./system-plan.ts";

/** Raw counts of a ramp's axis for one unit of the plan (m/s, s, rpm). */
const COUNTS: Readonly<Record<RampAxis, number>> = { "road-speed": 36, launch: 1000, "engine-speed": 1 };
const LONGEST_RUN_MS = 60_000;
const LONGEST_STAGE_MS = 30_000;
/** Time that a run may exceed the planned one before the controller ends it, ms. */
const SPARE_MS = 2000;
/** Nothing flows below this battery, mV. */
export const LOWEST_BATTERY_MV = 10_500;
const CONFIRMED_WITHIN_MS = 100;
const LEAST_SIGNAL_DECIDEG = 200;
/** Voltages of a ratiometric pressure sensor at 5 V (common practice, no source; its data sheet rules). */
const RATIOMETRIC = { lowPointMv: 500, highPointMv: 4500, plausibleLowMv: 250, plausibleHighMv: 4750 };

const times = (input: PlanInput): Document => {
  const microseconds = (seconds: number) => Math.round(seconds * 1e6);
  return {
    opening10VUs: microseconds(input.nitrous.opening10VS),
    opening12VUs: microseconds(input.nitrous.openingS),
    opening14VUs: microseconds(input.nitrous.opening14VS),
    closingUs: microseconds(input.nitrous.closingS),
  };
};

const rampOf = (axis: RampAxis, stage: PlannedStage): Document => ({
  over: axis,
  points: stage.ramp.map(([at, share]) => [Math.round(at * COUNTS[axis]), Math.round(share * 1000)]),
});

/** Lowest manifold pressure of the sensor and of a window on it, 0.1 kPa: below any with an open throttle. */
const LEAST_DECI_KPA = 200;

/** A stage's own windows: on engine speed where it opens later than the system, and by its purpose. */
function ownWindows({ window }: SystemPlan, { openRpm, offMS, offPa }: PlannedStage): Document {
  const { closeRpm, hysteresisRpm } = window;
  const engineSpeed = { openRpm, closeRpm: Math.round(closeRpm), hysteresisRpm };
  const roadSpeed = offMS !== undefined && {
    openDeciKmh: 0,
    closeDeciKmh: Math.floor(offMS * 36),
    hysteresisDeciKmh: Math.round(OFF_HYSTERESIS.speedMS * 36),
  };
  const manifold = offPa !== undefined && {
    openDeciKpa: LEAST_DECI_KPA,
    closeDeciKpa: Math.floor(offPa / 100),
    hysteresisDeciKpa: OFF_HYSTERESIS.manifoldPa / 100,
  };
  return {
    ...(openRpm > window.openRpm ? { engineSpeed } : {}),
    ...(roadSpeed ? { roadSpeed } : {}),
    ...(manifold ? { manifold } : {}),
  };
}

/** A ratiometric sensor of manifold pressure, where a stage needs one. */
const manifoldOf = ({ manifoldReachPa }: PlanInput["control"]): Document =>
  manifoldReachPa === undefined
    ? {}
    : {
        manifold: {
          ...RATIOMETRIC,
          lowDeciKpa: LEAST_DECI_KPA,
          highDeciKpa: Math.floor(manifoldReachPa / 100),
        },
      };

function stageOf(input: PlanInput, plan: SystemPlan, stage: PlannedStage, longestMs: number): Document {
  const wet = plan.kind === "wet";
  return {
    kind: plan.kind,
    longestMs: Math.min(longestMs, LONGEST_STAGE_MS),
    portionPermille: Math.max(10, Math.round(stage.part * 1000)),
    nitrousSolenoid: times(input),
    ...(wet ? { fuelSolenoid: times(input) } : { enrichment: { withinMs: CONFIRMED_WITHIN_MS } }),
    ...ownWindows(plan, stage),
    ramps: [rampOf(plan.axis, stage)],
  };
}

function retardOf(plan: SystemPlan): Document {
  const angleDeciDeg = Math.round(plan.retardDeg * 10);
  return {
    fullSignalDeciDeg: Math.max(LEAST_SIGNAL_DECIDEG, angleDeciDeg),
    leadMs: RETARD_LEAD_MS,
    table: [
      { flowPermille: 0, angleDeciDeg: 0 },
      { flowPermille: 1000, angleDeciDeg },
    ],
  };
}

/** The window of the bottle, rounded inwards to whole kPa, behind a ratiometric sensor. */
function bottleOf({ nitrous, control, air }: PlanInput): Document {
  if (control.bottleReachPa === undefined) return {};
  const { lowestPa, highestPa } = nitrous.window;
  return {
    bottle: {
      ...RATIOMETRIC,
      lowKpaGauge: 0,
      highKpaGauge: Math.floor(control.bottleReachPa / 1e3),
      lowestKpaGauge: Math.ceil((lowestPa - air.pressurePa) / 1e3),
      highestKpaGauge: Math.floor((highestPa - air.pressurePa) / 1e3),
      hysteresisKpaGauge: BOTTLE_HYSTERESIS_PA / 1e3,
    },
  };
}

/** From the first to the last flow of the planned run, in whole seconds, plus a margin. */
function longestRunMs(plan: SystemPlan): number {
  const flowing = plan.trace.filter((row) => row.share > 0).map((row) => row.timeS);
  const flowS = (flowing.at(-1) ?? 0) - (flowing[0] ?? 0);
  return Math.min(LONGEST_RUN_MS, Math.ceil(flowS) * 1000 + SPARE_MS);
}

/** The settings document of a plan, in raw counts of the settings table. */
export function settingsOf(input: PlanInput, plan: SystemPlan): Document {
  const { control, nitrous } = input;
  const runMs = longestRunMs(plan);
  return {
    engine: {
      pulsesHalfPulses: Math.round(2 * (control.pulsesPerRev ?? 0)),
      revLimiterRpm: Math.round(input.engine.limiterRpm),
      lowSpeedAcknowledged: "no",
      jump: USUAL_JUMP,
    },
    ...(control.pulsesPerM === undefined
      ? {}
      : { road: { pulsesPerKm: Math.round(control.pulsesPerM * 1000), sender: control.roadSender } }),
    ...(control.launchSwitch ? { launch: { startsAt: control.launchStartsAt } } : {}),
    throttle: { switch: "yes" },
    ...bottleOf(input),
    ...manifoldOf(control),
    ...accessorySettings(input, plan),
    battery: { lowestMv: LOWEST_BATTERY_MV },
    windows: {
      engineSpeed: {
        openRpm: plan.window.openRpm,
        closeRpm: Math.round(plan.window.closeRpm),
        hysteresisRpm: plan.window.hysteresisRpm,
      },
    },
    flow: {
      frequencyHz: Math.round(nitrous.frequencyHz),
      riseLimitPercentPerS: RISE_PERCENT_PER_S,
      longestRunMs: runMs,
      afterLift: "restart",
      stepBackMs: 300,
    },
    retard: retardOf(plan),
    clamps: { kickMv: USUAL_KICK_MV },
    stages: plan.stages.map((stage) => stageOf(input, plan, stage, runMs)),
  };
}
