// A faster line for the length of one piece of work, and the default speed again after it, whatever happens.

import { Failure } from "#host/errors/failure.ts";
import { BAUD_DEFAULT, BAUD_FALLBACK_US } from "#shared-schema/messages.ts";
import type { LinkClient } from "./client.ts";
import { type Clock, realClock } from "./clock.ts";

/** A new speed must work within this time, else the old one is taken again. */
const PROOF_MS = 600;
/** How much longer than the controller's own fallback is waited. */
const MARGIN_MS = 500;

const pause = (clock: Clock, ms: number): Promise<void> =>
  new Promise((resolve) => void clock.after(ms, resolve));

const NO_ANSWER: readonly string[] = ["link-timeout", "silent", "not-headgate"];
const unanswered = (thrown: unknown): boolean => thrown instanceof Failure && NO_ANSWER.includes(thrown.code);

/** Asks for a speed, follows even when the answer is lost, and proves it. False when it does not work; the line is then at the default again. */
async function changeTo(client: LinkClient, baud: number, clock: Clock): Promise<boolean> {
  try {
    await client.request("baud", { baud }, { withinMs: PROOF_MS });
  } catch (thrown) {
    if (!unanswered(thrown)) throw thrown;
  }
  await client.line.setBaud(baud);
  try {
    await client.request("hello", {}, { withinMs: PROOF_MS });
    return true;
  } catch (thrown) {
    if (!unanswered(thrown)) throw thrown;
  }
  await fallBack(client, clock);
  return false;
}

/** Waits until the controller has gone back to the default speed by itself. */
async function fallBack(client: LinkClient, clock: Clock): Promise<void> {
  await client.line.setBaud(BAUD_DEFAULT);
  await pause(clock, BAUD_FALLBACK_US / 1000 + MARGIN_MS);
  await client.request("hello");
}

/**
 * Runs the work at a speed, or at the default one where the faster does not get through. A line without a speed of its
 * own is left alone. A failure of the work comes first; the controller falls back by itself.
 */
export async function atSpeed<T>(
  client: LinkClient,
  baud: number,
  work: () => Promise<T>,
  clock: Clock = realClock,
): Promise<T> {
  const fixed = client.line.baud === undefined || client.line.baud === baud;
  if (fixed || !(await changeTo(client, baud, clock))) return work();
  const result = await work();
  await changeTo(client, BAUD_DEFAULT, clock);
  return result;
}
