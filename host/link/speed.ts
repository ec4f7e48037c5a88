// A faster line for the length of one piece of work, where the line carries it, and the default speed again whatever happens.
import { Failure } from "#host/errors/failure.ts";
import { BAUD_DEFAULT } from "#shared-schema/link/messages.ts";
import type { LinkClient } from "./client.ts";
import { pauseOn } from "./clock.ts";

/** Asking for a speed, and each of the proofs that follow, may take so long: well within the controller's own proof time. */
const ASK_MS = 150;
const PROOF_MS = 100;
/** The controller changes between two ticks after its answer has left. */
const SETTLE_MS = 5;
/** So many answers in a row must come without a mistake. */
const PROOFS = 3;

const NO_ANSWER: readonly string[] = ["link-timeout", "silent", "not-headgate", "line-echo"];
const unanswered = (thrown: unknown): boolean => thrown instanceof Failure && NO_ANSWER.includes(thrown.code);

/** Does the request get its answer in time? Fails only with a lost line. */
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

/** Asks for a speed and follows; also without an answer, for it may be the answer that was lost. */
async function changeTo(client: LinkClient, baud: number): Promise<void> {
  await answered(client, "baud", { baud }, ASK_MS);
  await client.line.setBaud(baud);
  await pauseOn(client.clock)(SETTLE_MS);
}

/** Goes to a speed; false when the adapter does not take it or the line does not carry it without a mistake. */
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

/** Back to the default speed. Where asking does not help, the controller goes there by itself before a request runs out of patience. */
async function toDefault(client: LinkClient): Promise<void> {
  await changeTo(client, BAUD_DEFAULT);
  await client.request("hello");
}

/**
 * Runs the work at a speed. Where the line does not carry it, or the work gets no answer any more, it is run at the
 * default speed, once more if need be: it must do no harm when it is begun again. A line without a speed of its own is
 * left alone.
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
