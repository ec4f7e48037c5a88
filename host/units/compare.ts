// Comparison of a computed value with a limit: powers and exponentials differ in their last bits between versions of Node.

/** Far above what rounding does to a long calculation, far below what anybody measures. */
const SLACK = 1e-9;

/** Is the value above the limit by more than rounding? Both in the same unit. */
export const isAbove = (value: number, limit: number): boolean => value - limit > SLACK * Math.abs(limit);

/** Is the value below the limit by more than rounding? Both in the same unit. */
export const isBelow = (value: number, limit: number): boolean => limit - value > SLACK * Math.abs(limit);
