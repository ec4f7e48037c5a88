// Consistent Overhead Byte Stuffing: any bytes to bytes without a zero and back; S. Cheshire and M. Baker, IEEE/ACM Trans. Networking 7 (1999) 159.

const LONGEST_RUN = 254;

/** Longest encoding of `length` bytes, without the closing zero. */
export function cobsMaxBytes(length: number): number {
  return length + Math.max(1, Math.ceil(length / LONGEST_RUN));
}

/** Encodes; the closing zero is not included. */
export function cobsEncode(data: Uint8Array): Uint8Array {
  const out = new Uint8Array(cobsMaxBytes(data.length));
  let codeAt = 0;
  let at = 1;
  data.forEach((byte, i) => {
    if (byte !== 0) out[at++] = byte;
    const full = at - codeAt === LONGEST_RUN + 1;
    if (byte === 0 || (full && i < data.length - 1)) {
      out[codeAt] = at - codeAt;
      codeAt = at++;
    }
  });
  out[codeAt] = at - codeAt;
  return out.subarray(0, at);
}

/** Decodes what stood before a closing zero. Undefined when a zero or a run past the end shows damage. */
export function cobsDecode(encoded: Uint8Array): Uint8Array | undefined {
  if (encoded.length === 0 || encoded.includes(0)) return undefined;
  const out: number[] = [];
  let at = 0;
  while (at < encoded.length) {
    const code = encoded[at]!;
    const end = at + code;
    if (end > encoded.length) return undefined;
    for (let i = at + 1; i < end; i++) out.push(encoded[i]!);
    if (code <= LONGEST_RUN && end < encoded.length) out.push(0);
    at = end;
  }
  return Uint8Array.from(out);
}
