/** Engine torque over engine speed: straight lines between given points, ends held; Nm and rpm. */

/** Points of a torque curve, engine speed rising. */
export type TorqueCurve = readonly (readonly [rpm: number, torqueNm: number])[];

/** Angular speed, rad/s, of an engine speed, rpm. */
export const radPerS = (rpm: number): number => (rpm * 2 * Math.PI) / 60;

/** Value at `x` on straight lines between points whose first members rise; ends held. Throws RangeError without points. */
export function interpolateLine(points: readonly (readonly [number, number])[], x: number): number {
  const first = points[0];
  if (first === undefined) throw new RangeError("no points");
  if (x <= first[0]) return first[1];
  for (let i = 1; i < points.length; i++) {
    const to = points[i]!;
    if (x > to[0]) continue;
    const from = points[i - 1]!;
    return from[1] + ((to[1] - from[1]) * (x - from[0])) / (to[0] - from[0]);
  }
  return points[points.length - 1]![1];
}

/** Torque, Nm, at an engine speed, rpm. */
export const torqueAt = (curve: TorqueCurve, rpm: number): number => interpolateLine(curve, rpm);

/** Highest power, W, of a curve and the engine speed, rpm, at which it is made. */
export function peakPower(curve: TorqueCurve): { powerW: number; rpm: number } {
  let best = { powerW: 0, rpm: 0 };
  const last = curve.at(-1)?.[0] ?? 0;
  for (let rpm = curve[0]?.[0] ?? 0; rpm <= last; rpm += 10) {
    const powerW = torqueAt(curve, rpm) * radPerS(rpm);
    if (powerW > best.powerW) best = { powerW, rpm };
  }
  return best;
}

/**
 * A curve assumed from peak power, W, at its engine speed, rpm, up to a rev limiter, rpm: torque share of the torque at
 * peak power against speed share, a shape common to engines without a turbocharger (common practice, no source).
 */
export function assumedCurve(powerW: number, rpm: number, limiterRpm: number): TorqueCurve {
  const atPeak = powerW / radPerS(rpm);
  const shape: TorqueCurve = [
    [0.15, 0.75],
    [0.3, 0.95],
    [0.5, 1.09],
    [0.68, 1.15],
    [0.85, 1.1],
    [1, 1],
    [1.1, 0.88],
    [1.25, 0.68],
  ];
  const points = shape.map(([speed, torque]) => [speed * rpm, torque * atPeak] as const);
  return points.filter(
    ([speed], i) => i === 0 || (points[i - 1]?.[0] ?? 0) < limiterRpm || speed <= limiterRpm,
  );
}

/** The curve with all torques times a factor (air density against standard). */
export const scaledCurve = (curve: TorqueCurve, factor: number): TorqueCurve =>
  curve.map(([rpm, torque]) => [rpm, torque * factor] as const);
