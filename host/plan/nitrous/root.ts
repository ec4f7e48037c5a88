/** Where a falling function crosses zero, by few evaluations: equations of state are dear. */

const MOST_STEPS = 120;
/** So much of the bracket at least is cut off in each step. */
const LEAST_CUT = 1e-3;

/**
 * Root of a falling function between bounds, to a bracket of `tolerance`: its lower end, where the function is not
 * negative. False position with the Illinois rule, every third step halved, so that a kink cannot hold it up.
 * Where the function does not change sign, the bound at which it is nearer to zero.
 */
export function fallingRoot(f: (x: number) => number, from: number, to: number, tolerance: number): number {
  let a = from;
  let b = to;
  let fa = f(a);
  let fb = f(b);
  if (fb >= 0) return b;
  for (let i = 0; i < MOST_STEPS && b - a > tolerance && fa > 0; i++) {
    const least = LEAST_CUT * (b - a);
    const guess = i % 3 === 2 ? (a + b) / 2 : (a * fb - b * fa) / (fb - fa);
    const x = Math.min(Math.max(guess, a + least), b - least);
    const fx = f(x);
    if (fx >= 0) {
      a = x;
      fa = fx;
      fb /= 2;
    } else {
      b = x;
      fb = fx;
      fa /= 2;
    }
  }
  return a;
}
