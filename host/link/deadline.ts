// Puts a time limit on a promise that may never settle: serial drivers are known to hang in close and drain.
import { type Clock, realClock } from "./clock.ts";

/** The result of `work`, or undefined when `ms` pass first. A later failure of `work` is ignored. */
export async function within<T>(
  work: Promise<T>,
  ms: number,
  clock: Clock = realClock,
): Promise<T | undefined> {
  let callOff = (): void => {};
  const late = new Promise<undefined>((resolve) => {
    callOff = clock.after(ms, () => resolve(undefined));
  });
  work.catch(() => undefined);
  return Promise.race([work, late]).finally(() => callOff());
}
