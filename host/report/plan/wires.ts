// Contacts of the controller's connectors for what a plan uses, read from the circuit.
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";

/** Contacts of a connector around the one on a net, such as `X2.1, X2.2`: so many before it, and so many behind, belong to the same part. */
export function contacts(net: string, before: number, behind = 0): string {
  for (const { ref, kind, pins } of CIRCUIT.parts) {
    if (kind !== "connector") continue;
    const at = pins.findIndex((pin) => pin.net === net);
    if (at < 0) continue;
    const same = pins.slice(at - before, at + behind + 1);
    return same.map(({ no }) => `${ref}.${no}`).join(", ");
  }
  throw new Error(`no connector has the net ${net}`);
}

/** A valve: its feed and its driver. */
export const valveContacts = (name: string): string => contacts(`${name}.drain`, 1);
/** A switch: its feed and its way back. */
export const switchContacts = (name: string): string => contacts(name, 1);
/** A sensor: supply, signal and ground. */
export const sensorContacts = (name: string): string => contacts(`${name}.signal`, 1, 1);
/** Pulses into the controller: one contact. */
export const pulseContacts = (name: string): string => contacts(`${name}.signal`, 0);
/** A logic output: one contact. */
export const outputContacts = (name: string): string => contacts(`${name}.out`, 0);
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
