// The top of a curve through scattered points: two straight lines that meet there, by least squares, over the logarithm of what it depends on.

/** A point of the curve; x over 0. */
export interface CurvePoint {
  readonly x: number;
  readonly y: number;
}

/** Places at which the lines may meet. */
const PLACES = 40;

/** How far a point lies below the place on its left and on its right, as a logarithm; one of them is 0. */
const sides = (x: number, place: number): readonly [number, number] => {
  const right = Math.log(x / place);
  return [Math.max(0, -right), Math.max(0, right)];
};

/** Determinant of three columns. */
const det = (
  [a, b, c]: readonly number[],
  [d, e, f]: readonly number[],
  [g, h, i]: readonly number[],
): number => a! * (e! * i! - f! * h!) - d! * (b! * i! - c! * h!) + g! * (b! * f! - c! * e!);

/** The lines that meet at a place: height there, and what is left over as a sum of squares; undefined when a side is empty or rises away. */
function fitAt(points: readonly CurvePoint[], place: number): { y: number; left: number } | undefined {
  const rows = points.map(({ x, y }) => ({ f: [1, ...sides(x, place)], y }));
  const columns = [0, 1, 2].map((j) =>
    [0, 1, 2].map((i) => rows.reduce((sum, { f }) => sum + f[i]! * f[j]!, 0)),
  );
  const [p, q, r] = columns as [number[], number[], number[]];
  const t = [0, 1, 2].map((i) => rows.reduce((sum, { f, y }) => sum + f[i]! * y, 0));
  const whole = det(p, q, r);
  if (Math.abs(whole) < 1e-12) return undefined;
  const [y, left, right] = [det(t, q, r), det(p, t, r), det(p, q, t)].map((d) => d / whole);
  if (left! > 0 || right! > 0) return undefined;
  const off = rows.map((row) => row.y - y! - left! * row.f[1]! - right! * row.f[2]!);
  return { y: y!, left: off.reduce((sum, d) => sum + d * d, 0) };
}

/** Height of the top of points that rise to it and fall behind it; undefined when they do not. */
export function topOf(points: readonly CurvePoint[]): number | undefined {
  const xs = points.map(({ x }) => x);
  const [from, to] = [Math.min(...xs), Math.max(...xs)];
  const fits = Array.from({ length: PLACES }, (_, n) => from * (to / from) ** ((n + 0.5) / PLACES))
    .flatMap((place) => fitAt(points, place) ?? [])
    .sort((a, b) => a.left - b.left);
  return fits[0]?.y;
}
