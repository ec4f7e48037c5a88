// Contacts of the controller's connectors for what a plan uses, read from the circuit.
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";

/** What is connected, and at which contacts. */
export interface Connection {
  readonly what: string;
  readonly contacts: string;
}

/** Contact of a connector on a net, such as `X2.2`; the contacts before it belong to the same part. */
export function contacts(net: string, count: number): string {
  for (const { ref, kind, pins } of CIRCUIT.parts) {
    if (kind !== "connector") continue;
    const at = pins.findIndex((pin) => pin.net === net);
    if (at >= 0)
      return Array.from({ length: count }, (_, i) => `${ref}.${pins[at - count + 1 + i]!.no}`).join(", ");
  }
  throw new Error(`no connector has the net ${net}`);
}

/** A valve: its feed and its driver. */
export const valveContacts = (name: string): string => contacts(`${name}.drain`, 2);
/** A switch: its feed and its way back. */
export const switchContacts = (name: string): string => contacts(name, 2);
/** A sensor: supply and signal; its ground is the contact that follows. */
export const sensorContacts = (name: string): string => contacts(`${name}.signal`, 2);
/** Pulses into the controller: one contact. */
export const pulseContacts = (name: string): string => contacts(`${name}.signal`, 1);
/** A logic output: one contact. */
export const outputContacts = (name: string): string => contacts(`${name}.out`, 1);
/** The fuse behind which a net lies. */
export function fuseOf(net: string): string {
  const fuse = CIRCUIT.parts.find(({ kind, pins }) => kind === "fuse" && pins[1]?.net === net);
  if (fuse === undefined) throw new Error(`no fuse feeds ${net}`);
  return fuse.ref;
}
/** The relay that is called so. */
export function relayOf(words: string): string {
  const relay = CIRCUIT.parts.find(({ kind, part }) => kind === "relay" && part.startsWith(words));
  if (relay === undefined) throw new Error(`no ${words}`);
  return relay.ref;
}
