// Why runs do not tell a quantity, and which run would: in words for the person who will make it.
import { type Untold, untold } from "./findings.ts";
import { hasBottle, isShut, type LearnRun, senderOf } from "./learn-run.ts";

interface WithRun {
  readonly run: LearnRun;
}

/** The sender turns with the driven wheels, or there is none: slip cannot be seen. */
export const senderHides = (run: LearnRun): boolean => senderOf(run) !== "undriven-wheel";

const MAKE_WITH_SENDER =
  "make runs with a road speed sender on an undriven wheel, and `road.sender: undriven-wheel` in the settings";
const MAKE_SHUT =
  "make a run with every share at 0, so that neither valve moves; `headgate learn --baseline FILE` writes its settings";

/** The run that stands in the way by its sender, in words; undefined for none. */
function hiddenBy(looked: readonly WithRun[]): string | undefined {
  const found = looked.find(({ run }) => senderHides(run));
  if (found === undefined) return undefined;
  const sender = senderOf(found.run);
  return sender === undefined
    ? `${found.run.name} has no road speed`
    : `the road speed of ${found.run.name} comes from ${sender === "driveshaft" ? "the driveshaft" : "a driven wheel"}, which hides wheelspin and counts it as speed`;
}

/** `heldFriction`: the most that the tyres were asked for, and held. */
export function noGrip(looked: readonly WithRun[], heldFriction?: number): Untold {
  const hidden = hiddenBy(looked);
  if (hidden !== undefined) return untold("grip", hidden, MAKE_WITH_SENDER);
  const why =
    heldFriction === undefined
      ? "no run has a quarter of a second in which the driven wheels pull with the clutch closed"
      : `the wheels never slipped past their best grip; the tyres held a friction of ${heldFriction.toFixed(2)}, and their limit may be any higher one`;
  return untold(
    "grip",
    why,
    "make a run in which the driven wheels spin a little for about half a second, in second gear or later",
  );
}

/** The torque depends on the boost of the moment, which no torque curve tells. */
export const boostLags = (quantity: "engine" | "nitrous"): Untold =>
  untold(
    quantity,
    "its turbocharger builds the boost up with a lag, so that the torque is not that of the torque curve",
    "measure its power at a steady boost, such as on a chassis dynamometer, and write it into the car file",
  );

export function noEngine(looked: readonly WithRun[]): Untold {
  const hidden = hiddenBy(looked);
  if (hidden !== undefined) return untold("engine", hidden, MAKE_WITH_SENDER);
  if (!looked.some(({ run }) => isShut(run)))
    return untold(
      "engine",
      "no run was made with the bottle shut, so that engine and nitrous cannot be told apart",
      MAKE_SHUT,
    );
  return untold(
    "engine",
    "the run with the bottle shut has less than a second at full throttle with the clutch closed",
    "make it again with the pedal down through at least two gears",
  );
}

const percent = (share: number): string => `${Math.round(100 * share)} %`;

/** `shares`: between which shares each run with flow pulled steadily. */
export function noNitrous(
  looked: readonly WithRun[],
  shares: readonly (readonly [number, number] | undefined)[],
): Untold {
  const hidden = hiddenBy(looked);
  if (hidden !== undefined) return untold("nitrous", hidden, MAKE_WITH_SENDER);
  if (shares.length === 0)
    return untold("nitrous", "nothing flowed in any of these runs", "add a run in which the nitrous flows");
  if (!looked.some(({ run }) => isShut(run))) {
    const [low, high] = shares.find((range) => range !== undefined) ?? [0, 0];
    const varied = `the share only went from ${percent(low)} to ${percent(high)} of full flow`;
    return untold(
      "nitrous",
      `no run was made with the bottle shut, and ${varied}: engine and nitrous cannot be told apart`,
      MAKE_SHUT,
    );
  }
  if (shares.every((range) => range === undefined))
    return untold(
      "nitrous",
      "the flow never stayed steady at full throttle",
      "make a run in which it flows for at least a second in one gear",
    );
  return untold(
    "nitrous",
    "less than a second of steady flow at full throttle, or the engine's own power is not known",
    "make both runs again with the pedal down through at least two gears",
  );
}

export function noFlow(looked: readonly WithRun[], fallPa: number): Untold {
  const weigh =
    "weigh the bottle before and after a timed discharge, and let `headgate plan calibrate` work it out";
  if (!looked.some(({ run }) => !isShut(run)))
    return untold("flow", "nothing flowed in any of these runs", "add a run in which the nitrous flows");
  if (!looked.some(({ run }) => !isShut(run) && hasBottle(run)))
    return untold("flow", "no bottle pressure sensor is fitted", weigh);
  return untold(
    "flow",
    `the bottle's pressure fell by ${Math.round(fallPa / 1000)} kPa, and the log has it in steps of 50 kPa`,
    weigh,
  );
}
