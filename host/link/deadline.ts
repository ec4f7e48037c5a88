// A promise that may never settle, bounded in time: drivers are known to hang in close and drain.
import { type Clock, realClock } from "./clock.ts";

/** What `work` gives, or undefined when `ms` have passed first. A later failure of `work` is dropped. */
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
