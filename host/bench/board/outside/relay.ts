// The second way to off: a charge pump fed by the keep-alive square wave holds the master relay. Times as the design allows for; a test holds them to the simulated circuit.

import type { VirtualAlarm, VirtualClock } from "../clock.ts";
import type { Edge } from "../pins.ts";

/** [assumed] Edges further apart than this do not charge the pump, ns. */
export const PUMP_MAX_SPACING_NS = 2e6;
/** [assumed] Edges that bring the pump up. */
export const PUMP_START_EDGES = 4;
/** The pump's output falls below the relay's hold level this long after the last edge, ns: hardware-notes, `pump.release-limit`. */
export const PUMP_HOLD_NS = 5e6;
/** The contact opens this long after the coil lost its hold, ns: hardware-notes, `relay.release`. */
export const RELAY_OPEN_NS = 5e6;
/** [assumed] The contact closes this long after the pump is up, ns. */
export const RELAY_CLOSE_NS = 8e6;

/**
 * Faults of the relay: `welded` never opens, `dead` never closes. Of the pump, with a coupling capacitor shorted: `holds-high`
 * and `holds-low` are up without edges while the pin has that level. `no-edges`: the wire of the keep-alive is broken.
 */
export type RelayFault = "none" | "welded" | "dead" | "holds-high" | "holds-low" | "no-edges";

/** Charge pump, coil and contact. */
export class MasterRelay {
  readonly edges: Edge[] = [];
  /** Called when the contact is about to move. */
  onMove = (): void => {};
  /** Times after the contact's first touch at which it opens and closes in turn, ns: none where it does not bounce. */
  bouncesNs: readonly number[] = [];
  readonly #clock: VirtualClock;
  readonly #pumpFalls: VirtualAlarm;
  readonly #contactMoves: VirtualAlarm;
  readonly #bounces: VirtualAlarm;
  #fault: RelayFault = "none";
  #lastEdgeNs = Number.NEGATIVE_INFINITY;
  #goodEdges = 0;
  #level: 0 | 1 = 0;
  #pumpUp = false;
  #contact = false;
  #bounced = 0;
  #closed = false;

  constructor(clock: VirtualClock) {
    this.#clock = clock;
    this.#pumpFalls = clock.createAlarm(() => this.#setPump(false));
    this.#contactMoves = clock.createAlarm(() => this.#moveContact());
    this.#bounces = clock.createAlarm(() => this.#bounce());
  }

  /** True while the contact conducts. */
  get closed(): boolean {
    return this.#closed;
  }

  get fault(): RelayFault {
    return this.#fault;
  }

  setFault(fault: RelayFault): void {
    const held = this.#fault === "holds-high" || this.#fault === "holds-low";
    this.#fault = fault;
    if (held && this.#pumpUp) this.#pumpFalls.schedule(PUMP_HOLD_NS);
    this.#holdByLevel();
    this.#update();
  }

  /** An edge of the keep-alive pin, to this level. */
  keepAliveEdge(level: 0 | 1): void {
    if (this.#fault === "no-edges") return;
    this.#level = level;
    const now = this.#clock.nanos;
    this.#goodEdges = now - this.#lastEdgeNs <= PUMP_MAX_SPACING_NS ? this.#goodEdges + 1 : 1;
    this.#lastEdgeNs = now;
    if (this.#goodEdges >= PUMP_START_EDGES) this.#setPump(true);
    if (this.#pumpUp && this.#goodEdges > 1) this.#pumpFalls.schedule(PUMP_HOLD_NS);
    this.#holdByLevel();
  }

  /** Drops the edges kept so far. */
  forget(): void {
    this.edges.length = 0;
  }

  /** A shorted capacitor passes one level: up while it lasts, and from its end the pump runs down. */
  #holdByLevel(): void {
    if (this.#fault !== "holds-high" && this.#fault !== "holds-low") return;
    if (this.#fault === (this.#level ? "holds-high" : "holds-low")) {
      this.#pumpFalls.cancel();
      this.#setPump(true);
    } else if (this.#pumpUp) this.#pumpFalls.schedule(PUMP_HOLD_NS);
  }

  #setPump(up: boolean): void {
    if (up === this.#pumpUp) return;
    this.#pumpUp = up;
    if (!up) this.#pumpFalls.cancel();
    this.#contactMoves.schedule(up ? RELAY_CLOSE_NS : RELAY_OPEN_NS);
  }

  #moveContact(): void {
    this.#contact = this.#pumpUp;
    this.#bounced = 0;
    this.#bounces.cancel();
    if (this.#contact) this.#nextBounce(0);
    this.#update();
  }

  #nextBounce(sinceNs: number): void {
    const next = this.bouncesNs[this.#bounced];
    if (next !== undefined) this.#bounces.schedule(next - sinceNs);
  }

  #bounce(): void {
    const now = this.bouncesNs[this.#bounced++]!;
    this.#contact = !this.#contact;
    this.#nextBounce(now);
    this.#update();
  }

  #update(): void {
    const closed = this.#fault === "welded" || (this.#contact && this.#fault !== "dead");
    if (closed === this.#closed) return;
    this.onMove();
    this.#closed = closed;
    this.edges.push({ ns: this.#clock.nanos, level: closed ? 1 : 0 });
  }
}
