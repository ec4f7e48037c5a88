// Moments by the clock on the wall of this computer.

const two = (number: number): string => String(number).padStart(2, "0");

/** A date of any form that `Date` reads, as `2026-05-01 12:20`. */
export function localMinute(date: string): string {
  const at = new Date(date);
  const day = [at.getFullYear(), two(at.getMonth() + 1), two(at.getDate())].join("-");
  return `${day} ${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** The same to the second. */
export const localSecond = (date: string): string =>
  `${localMinute(date)}:${two(new Date(date).getSeconds())}`;
