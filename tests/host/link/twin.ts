// An independent model of the device side of the link, for tests of the client: settings in two slots, nothing of the engine.

import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { COLUMNS } from "#shared-schema/link/columns.ts";
import { packedBytes } from "#shared-schema/link/messages.ts";
import { validate } from "#shared-schema/rules/validate.ts";
import { fromBytes } from "#shared-schema/settings/pack.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { crcOf, fromLe, le, seal, unseal } from "./twin-frame.ts";

const BLOCK_BYTES = 2 * WORDS.length;
const LONGEST_BODY = 2 + 512 + 4;
const LIVE_BYTES = packedBytes({ fields: COLUMNS });
const REFUSE = {
  kind: 1,
  length: 2,
  notOff: 3,
  settings: 4,
  crc: 5,
  schema: 6,
  transfer: 7,
  flash: 8,
  none: 9,
  value: 10,
  gap: 11,
};

type Reply = { readonly payload: number[] } | { readonly refuse: number };

/** Settable from tests. */
export interface TwinState {
  off: boolean;
  fingerprint: number;
  protocol: number;
  flashWorks: boolean;
  imageGood: boolean;
  settings: number[] | undefined;
  /** 0 for none. */
  boardNumber: number;
  sequence: number;
  baud: number;
  /** How often settings were stored. */
  stores: number;
  restarts: number;
  badFrames: number;
}

/** The device: bytes in, bytes out. */
export class DeviceTwin {
  readonly state: TwinState = {
    off: true,
    fingerprint: FINGERPRINT,
    protocol: 3,
    flashWorks: true,
    imageGood: true,
    settings: undefined,
    boardNumber: 0x112233,
    sequence: 0,
    baud: 115_200,
    stores: 0,
    restarts: 0,
    badFrames: 0,
  };
  private piece: number[] = [];
  private transfer: { id: number; crc: number; bytes: number[]; units: Set<number> } | undefined;
  private remembered: { key: string; answer: number[] } | undefined;

  /** Takes received bytes, returns what it sends. */
  receive(bytes: Iterable<number>): number[] {
    const out: number[] = [];
    for (const byte of bytes) {
      if (byte !== 0) {
        if (this.piece.length < 2 * LONGEST_BODY) this.piece.push(byte);
        continue;
      }
      if (this.piece.length > 0) out.push(...this.frame(this.piece));
      this.piece = [];
    }
    return out;
  }

  /** Loses everything but what is stored. */
  restart(): void {
    this.piece = [];
    this.transfer = undefined;
    this.remembered = undefined;
    this.state.baud = 115_200;
  }

  private frame(encoded: number[]): number[] {
    const body = unseal(encoded, LONGEST_BODY);
    if (body === undefined) {
      this.state.badFrames++;
      return [];
    }
    const [sequence = 0, kind = 0] = body;
    const key = [0x04, 0x05, 0x12].includes(kind) ? `${sequence} ${crcOf(body)}` : undefined;
    if (key !== undefined && this.remembered?.key === key) return this.remembered.answer;
    const reply = this.reply(kind, body.slice(2));
    const answer =
      "refuse" in reply
        ? seal([sequence, 0xff, kind, reply.refuse, 0, 0, 0])
        : seal([sequence, kind | 0x80, ...reply.payload]);
    if (key !== undefined) this.remembered = { key, answer };
    return answer;
  }

  private reply(kind: number, payload: number[]): Reply {
    const lengths: Record<number, (n: number) => boolean> = {
      1: (n) => n === 0,
      2: (n) => n === 0,
      3: (n) => n === 4,
      4: (n) => n === 4,
      5: (n) => n === 1,
      16: (n) => n === 14,
      17: (n) => n > 6 && n <= 486,
      18: (n) => n === 8,
    };
    const fits = lengths[kind];
    if (!fits) return { refuse: REFUSE.kind };
    if (!fits(payload.length)) return { refuse: REFUSE.length };
    if (kind === 1) return { payload: this.hello() };
    if (kind === 2) return { payload: new Array(LIVE_BYTES).fill(0) };
    if (kind === 3) return this.read(fromLe(payload.slice(0, 2)), fromLe(payload.slice(2)));
    if (kind === 4) {
      this.state.baud = fromLe(payload);
      return { payload };
    }
    return this.state.off ? this.write(kind, payload) : { refuse: REFUSE.notOff };
  }

  private hello(): number[] {
    const { state } = this;
    const stored = state.settings;
    return [
      ...[state.protocol, 1, ...le(BLOCK_BYTES, 2), ...le(state.fingerprint, 4)],
      ...[...le(0x010203, 4), ...le(0xabcdef01, 4), ...le(0, 4)],
      ...[...le(state.sequence, 4), ...le(stored ? crcOf(stored) : 0, 4)],
      ...le(state.boardNumber, 4),
      ...le(0, 4),
      ...[
        state.imageGood ? 1 : 0,
        state.off ? 0 : 1,
        0,
        0,
        stored ? 1 + (state.sequence % 2) : 0,
        stored ? 0 : 1,
        0,
      ],
    ];
  }

  private read(offset: number, length: number): Reply {
    const { settings } = this.state;
    if (!settings) return { refuse: REFUSE.none };
    if (length < 1 || length > 510 || offset + length > BLOCK_BYTES) return { refuse: REFUSE.value };
    return { payload: [...le(offset, 2), ...settings.slice(offset, offset + length)] };
  }

  private write(kind: number, payload: number[]): Reply {
    if (kind === 5) {
      this.state.restarts++;
      return { payload };
    }
    const id = fromLe(payload.slice(0, 4));
    if (kind === 16) return this.begin(id, payload);
    if (this.transfer?.id !== id) return { refuse: REFUSE.transfer };
    if (kind === 18) return this.commit(id, fromLe(payload.slice(4)), this.transfer);
    const offset = fromLe(payload.slice(4, 6));
    const data = payload.slice(6);
    const end = offset + data.length;
    const whole = offset % 16 === 0 && (end % 16 === 0 || end === BLOCK_BYTES) && end <= BLOCK_BYTES;
    if (!whole) return { refuse: REFUSE.value };
    for (const [i, byte] of data.entries()) {
      this.transfer.bytes[offset + i] = byte;
      this.transfer.units.add((offset + i) >> 4);
    }
    return { payload: this.have() };
  }

  private begin(id: number, payload: number[]): Reply {
    const crc = fromLe(payload.slice(4, 8));
    if (fromLe(payload.slice(8, 12)) !== this.state.fingerprint) return { refuse: REFUSE.schema };
    if (fromLe(payload.slice(12)) !== BLOCK_BYTES || id === 0) return { refuse: REFUSE.value };
    if (this.transfer?.id !== id || this.transfer.crc !== crc)
      this.transfer = { id, crc, bytes: new Array(BLOCK_BYTES).fill(0), units: new Set() };
    return { payload: this.have() };
  }

  /** A bit for each 16 bytes that are there. */
  private have(): number[] {
    const bits = new Array(8).fill(0);
    for (const unit of this.transfer?.units ?? []) bits[unit >> 3] |= 1 << (unit & 7);
    return bits;
  }

  private commit(
    id: number,
    number: number,
    { crc, bytes, units }: { crc: number; bytes: number[]; units: ReadonlySet<number> },
  ): Reply {
    if (units.size < Math.ceil(BLOCK_BYTES / 16)) return { refuse: REFUSE.gap };
    this.transfer = undefined;
    if (crcOf(bytes) !== crc) return { refuse: REFUSE.crc };
    if (validate(fromBytes(Uint8Array.from(bytes))).length > 0) return { refuse: REFUSE.settings };
    if (!this.state.flashWorks) return { refuse: REFUSE.flash };
    this.state.settings = bytes;
    this.state.boardNumber ||= number % 2 ** 24;
    this.state.sequence++;
    this.state.stores++;
    return { payload: [...le(id, 4), ...le(this.state.sequence, 4), 1 + (this.state.sequence % 2)] };
  }
}
