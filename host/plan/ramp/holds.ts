/** Do ramps hold at the edges of grip, start and flow? Looked for in the plan's own driven run: no spin beyond the peak that the engine alone would not make. */
import type { PlanInput } from "../input/plan-input.ts";
import type { RunEdges } from "../run/driven-run.ts";
import { engineRun, type RampRun, rampRun } from "../run/planned-run.ts";

/** Spin beyond the engine's own that counts as none, s. */
const NO_SPIN_S = 0.006;

/**
 * Corners that a ramp must hold at. Only one over time cares when the car goes. The battery has one corner, at the worst of the
 * others: the slower the valves, the lower the share from which on they stay open.
 */
export function cornersOf(
  { hold }: PlanInput,
  { axis, nitrous }: Pick<RampRun, "axis" | "nitrous">,
): RunEdges[] {
  const gripShare = 1 - hold.gripLoss;
  const flows = [nitrous.tyreFlow ?? 1, 1];
  const starts = axis === "launch" ? [0, hold.lateS] : [0];
  const grips = axis === "launch" ? [gripShare, 1] : [gripShare];
  const corners = grips.flatMap((grip) =>
    starts.flatMap((lateS) => flows.map((flowShare) => ({ gripShare: grip, lateS, flowShare }))),
  );
  return [...corners, { gripShare, lateS: starts.at(-1)!, flowShare: flows[0]!, lowBattery: true }];
}

/** Spin of the engine alone at an edge, s; found once for each. */
export function engineSpin(input: PlanInput): (edges: RunEdges) => number {
  const known = new Map<string, number>();
  return (edges) => {
    const alone = { gripShare: edges.gripShare, lateS: edges.lateS, flowShare: 1 };
    const key = JSON.stringify(alone);
    const spin = known.get(key) ?? engineRun(input, { edges: alone, keepsSamples: false }).overPeakS;
    known.set(key, spin);
    return spin;
  };
}

/** Whether ramps hold at every corner. */
export function holdsAtCorners(input: PlanInput, run: RampRun, alone: (edges: RunEdges) => number): boolean {
  return cornersOf(input, run).every((edges) => {
    const mostSpinS = alone(edges) + NO_SPIN_S;
    return rampRun(input, run, { edges, mostSpinS, keepsSamples: false }).overPeakS <= mostSpinS;
  });
}
