// Runs one piece of work at a higher line speed where the line can carry it, and always returns to the default speed.
import { Failure } from "#host/errors/failure.ts";
import { BAUD_DEFAULT } from "#shared-schema/link/messages.ts";
import type { LinkClient } from "./client.ts";
import { pauseOn } from "./clock.ts";

/** Time limit for the request and for each check that follows it; well within the controller's own limit for a new speed. */
const ASK_MS = 150;
const PROOF_MS = 100;
/** The controller changes its speed between two ticks, after it has sent its answer. */
const SETTLE_MS = 5;
/** This many answers in a row must arrive undamaged. */
const PROOFS = 3;

const NO_ANSWER: readonly string[] = ["link-timeout", "silent", "not-headgate", "line-echo"];
const unanswered = (thrown: unknown): boolean => thrown instanceof Failure && NO_ANSWER.includes(thrown.code);

/** Is the request answered in time? Fails only when the line is lost. */
async function answered(
  client: LinkClient,
  name: string,
  values: { baud?: number },
  withinMs: number,
): Promise<boolean> {
  try {
    await client.request(name, values, { withinMs });
    return true;
  } catch (thrown) {
    if (!unanswered(thrown)) throw thrown;
    return false;
  }
}

/** Asks for a speed and changes to it, even without an answer: it may be only the answer that was lost. */
async function changeTo(client: LinkClient, baud: number): Promise<void> {
  await answered(client, "baud", { baud }, ASK_MS);
  await client.line.setBaud(baud);
  await pauseOn(client.clock)(SETTLE_MS);
}

/** Changes to a speed. False when the adapter refuses it, or when the line damages frames at that speed. */
async function raisedTo(client: LinkClient, baud: number): Promise<boolean> {
  try {
    await changeTo(client, baud);
  } catch (thrown) {
    if (thrown instanceof Failure && thrown.code === "port-speed") return false;
    throw thrown;
  }
  const { repeats, damaged } = client.counts;
  for (let proofs = 0; proofs < PROOFS; proofs++)
    if (!(await answered(client, "hello", {}, PROOF_MS))) return false;
  return client.counts.repeats === repeats && client.counts.damaged === damaged;
}

/** Returns to the default speed. If the request is lost, the controller falls back by itself before a request times out. */
async function toDefault(client: LinkClient): Promise<void> {
  await changeTo(client, BAUD_DEFAULT);
  await client.request("hello");
}

/**
 * Runs the work at a speed. When the line cannot carry that speed, or answers stop during the work, the work is run (again)
 * at the default speed, so it must be safe to repeat. A line without a speed of its own is left as it is.
 */
export async function atSpeed<T>(client: LinkClient, baud: number, work: () => Promise<T>): Promise<T> {
  if (client.line.baud === undefined || client.line.baud === baud) return work();
  if (!(await raisedTo(client, baud))) {
    await toDefault(client);
    return work();
  }
  let result: T;
  try {
    result = await work();
  } catch (thrown) {
    const back = await toDefault(client).then(
      () => true,
      () => false,
    );
    if (back && unanswered(thrown)) return work();
    throw thrown;
  }
  await toDefault(client).catch(() => undefined);
  return result;
}
