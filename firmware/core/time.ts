// Arithmetic with times: what must not wrap, and milliseconds without a division.

/** Whole milliseconds in less than 22000 microseconds: a thousandth is 67109 / 2^26 closely enough. */
export function wholeMs(us: u32): u32 {
  return (us * 67_109) >> 26;
}

/** Adds without wrapping past the largest value. */
// @inline
export function addUntilFull(value: u32, more: u32): u32 {
  const sum = value + more;
  return sum < value ? 0xffffffff : sum;
}
