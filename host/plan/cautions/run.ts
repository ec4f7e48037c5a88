/** What the run and the sensors leave open. */
import { isAbove, isBelow } from "#host/units/compare.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { PlanFacts } from "../system-plan.ts";
import { hp, percent } from "../words.ts";
import type { Say } from "./say.ts";

function sensorCautions(input: PlanInput, say: Say): void {
  if (input.control.pulsesPerRev === undefined)
    say({
      level: "stop",
      name: "engine-pulses",
      short: "unknown, and so is the engine speed",
      text: "Neither the cylinders nor the pulses of the engine speed sensor are given: with a wrong number the window opens at the wrong engine speed.",
      instead: "give engine.cylinders, or controls.engine-pulses as measured against a known engine speed",
    });
  if (!input.control.throttleSwitch)
    say({
      level: "stop",
      name: "throttle-switch",
      short: "nothing proves full throttle",
      text: "Without a full-throttle switch the plan cannot prove full throttle, because it does not know the calibration of a throttle sensor.",
      instead: "fit a switch, or write the settings by hand with throttle.position",
    });
}

/** Pulses that differ from the firings: right for some sensors, and a window at another engine speed for all others. */
function pulseCaution({ control }: PlanInput, { window, base }: PlanFacts, say: Say): void {
  const { pulsesPerRev, firingsPerRev } = control;
  if (pulsesPerRev === undefined || firingsPerRev === undefined || pulsesPerRev === firingsPerRev) return;
  const [opens, closes] = [window.openRpm, window.closeRpm].map((rpm) =>
    ((rpm * pulsesPerRev) / firingsPerRev).toFixed(0),
  ) as [string, string];
  say({
    level: "caution",
    name: "pulses-and-firings",
    short: `${pulsesPerRev} pulses/rev, ${base.cylinders} cylinders fire ${firingsPerRev} times`,
    text: `The engine speed sensor is said to give ${pulsesPerRev} pulses a revolution, in which ${base.cylinders} cylinders of a four-stroke engine fire ${firingsPerRev} times: if it counts every firing, the window truly reaches from ${opens} to ${closes} rpm.`,
    instead:
      "hold the controller's engine speed (headgate status) against a known one; a coil's sensor is named by controls.engine-sensor",
  });
}

function trackCautions({ window, rpmAfterShift, overpoweredS, trace, stages }: PlanFacts, say: Say): void {
  const { openRpm } = window;
  const low = rpmAfterShift.filter((rpm) => isBelow(rpm, openRpm));
  if (low.length > 0)
    say({
      level: "caution",
      name: "gear-gaps",
      short: `shut after ${low.length} of the gear changes`,
      text: `After ${low.length} of the gear changes the engine runs below the opening speed (${openRpm} rpm); nitrous stays off there.`,
      instead: "shift later, or fit closer gear ratios",
    });
  if (isAbove(overpoweredS, 0.5))
    say({
      level: "caution",
      name: "no-grip",
      short: `the engine alone holds the tyres at their limit for ${overpoweredS.toFixed(1)} s`,
      text: `For ${overpoweredS.toFixed(1)} s of the run the engine alone is at the tyres' limit; nitrous adds nothing there.`,
      instead: "improve grip before adding power: tyres, suspension, weight",
    });
  const most = Math.max(0, ...trace.filter((row) => row.open).map((row) => row.share));
  const goesOff = stages.some(({ offMS, offPa }) => offMS !== undefined || offPa !== undefined);
  if (isBelow(most, 0.98))
    say({
      level: "caution",
      name: "small-share",
      short: `never more than ${percent(most)} of the flow`,
      text: `Tyres, parts${goesOff ? ", valves or a stage that has gone off" : " or valves"} never allow more than ${percent(most)} of the flow in this run.`,
      instead: goesOff
        ? "other purposes of the stages (goal.purposes), or a smaller goal where each stage never flows whole"
        : "a smaller goal gives the same run with smaller jets",
    });
}

function limiterCaution({ trace, base }: PlanFacts, say: Say): void {
  const at = trace[trace.findLastIndex((row) => row.rpm < base.limiterRpm) + 1];
  if (at === undefined) return;
  const leftS = trace.at(-1)!.timeS - at.timeS;
  const left = leftS < 0.1 ? "less than 0.1" : leftS.toFixed(1);
  say({
    level: "caution",
    name: "limiter",
    short: `reached ${left} s before the end`,
    text: `The engine reaches its limiter (${base.limiterRpm} rpm) ${left} s before the end of the run and stays there; nitrous is shut from 300 rpm below it on.`,
    instead: "fit a taller final drive or tyre, or shift earlier",
  });
}

function rampCautions(input: PlanInput, { axis }: PlanFacts, say: Say): void {
  if (axis === "launch" && input.goal.axis === undefined)
    say({
      level: "caution",
      name: "ramp-over-time",
      short: "cannot see a bad start",
      text: "A ramp over time cannot see a bad start: it rises as if the car were already up to speed.",
      instead: "fit a road speed sensor at an undriven wheel",
    });
  const { roadSender } = input.control;
  if (axis === "road-speed" && roadSender !== "undriven-wheel")
    say({
      level: "caution",
      name: "road-sender",
      short: `counts a driven part (${roadSender}): wheelspin adds nitrous`,
      text: `The road speed sender counts a driven part (${roadSender}): when the tyres spin it reads too fast, and the ramp then adds nitrous.`,
      instead:
        "a sender at an undriven wheel with controls.road-sender: undriven-wheel, or goal.ramp: launch",
    });
}

/** Ramps that do not hold with any reserve that was tried. */
function holdCaution(input: PlanInput, { hold }: PlanFacts, say: Say): void {
  if (hold.holds) return;
  const at = `grip -${percent(hold.gripLoss)} or a start ${hold.lateS.toFixed(2)} s late`;
  say({
    level: "caution",
    name: "no-hold",
    short: `the tyres may spin at ${at}`,
    text: `With a reserve of ${percent(hold.reserve)} the ramps do not hold at ${at} with the flow at its upper edge: the nitrous makes the tyres spin.`,
    instead: `${input.hold.reserve === undefined ? "ask the control core with --prove-ramp" : "leave tyres.reserve out so that the plan finds it"}, lower the goal, or find more grip`,
  });
}

/** A stage for the boost that gains less than this, s, only costs torque and nitrous (judgement, no source). */
const BOOST_GAIN_S = 0.05;

function boostCaution({ spool }: PlanFacts, say: Say): void {
  if (spool === undefined) return;
  const { stage, withS, withoutS, openRpm } = spool;
  if (withS !== undefined && (withoutS === undefined || isAbove(withoutS - withS, BOOST_GAIN_S))) return;
  say({
    level: "caution",
    name: "boost-stage",
    short: `stage ${stage + 1} does not bring the boost earlier`,
    text: `Stage ${stage + 1} is there for the boost, but does not bring it earlier by ${BOOST_GAIN_S} s: when it opens (${openRpm} rpm, and as its ramp allows) the boost is there, or the tyres bear nothing yet.`,
    instead: "give the stage another purpose (goal.purposes), a higher gearbox.launch-at, or more grip",
  });
}

/** A smaller shot that is clearly quicker, s: by more than its rough ramps may err. */
const CLEARLY_S = 0.08;

function powerCaution({ powers, edges }: PlanFacts, say: Say): void {
  const full = powers.at(-1)!;
  const best = powers.reduce((a, b) => (b.quarterS < a.quarterS ? b : a));
  if (!isAbove(full.quarterS - best.quarterS, CLEARLY_S)) return;
  const [less, more] = [best, full].map(
    ({ addedW, quarterS }) => `${hp(addedW)} ${quarterS.toFixed(2)} s`,
  ) as [string, string];
  say({
    level: "caution",
    name: "less-is-faster",
    short: `${more}, ${less}`,
    text: `Less nitrous is faster here: ${more} as planned, but ${less}. The parts' limits, held at the upper edge of the flow (x ${edges.high.toFixed(2)}), open the window later the larger the shot is.`,
    instead: `plan for about ${hp(best.addedW)}, fit stronger parts, or weigh a discharge (headgate plan calibrate)`,
  });
}

/** Cautions about sensors, track and ramp. */
export function runCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  sensorCautions(input, say);
  pulseCaution(input, facts, say);
  powerCaution(facts, say);
  trackCautions(facts, say);
  limiterCaution(facts, say);
  rampCautions(input, facts, say);
  holdCaution(input, facts, say);
  boostCaution(facts, say);
}
