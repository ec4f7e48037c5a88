// Framing of the device side, written from docs/link.md alone and shared with no code of the host.

/** CRC-32C bit by bit. */
function crc(bytes: readonly number[]): number {
  let register = 0xffffffff;
  for (const byte of bytes) {
    register ^= byte;
    for (let bit = 0; bit < 8; bit++) register = (register >>> 1) ^ (register & 1 ? 0x82f63b78 : 0);
  }
  return (register ^ 0xffffffff) >>> 0;
}

export const le = (value: number, bytes: number): number[] =>
  Array.from({ length: bytes }, (_, i) => Math.floor(value / 256 ** i) % 256);

export const fromLe = (bytes: readonly number[]): number =>
  bytes.reduceRight((sum, byte) => sum * 256 + byte, 0);

export { crc as crcOf };

/** A frame for the line: groups of up to 254 bytes that end before a zero. */
export function seal(body: readonly number[]): number[] {
  const groups: number[][] = [[]];
  for (const byte of [...body, ...le(crc(body), 4)]) {
    if (byte === 0) groups.push([]);
    else if (groups.at(-1)!.length === 254) groups.push([byte]);
    else groups.at(-1)!.push(byte);
  }
  return [...groups.flatMap((group) => [group.length + 1, ...group]), 0];
}

/** Body of a frame without its check sum; undefined when anything is wrong with it. */
export function unseal(encoded: readonly number[], longest: number): number[] | undefined {
  const all: number[] = [];
  let rest = encoded;
  while (rest.length > 0) {
    const code = rest[0]!;
    if (rest.length < code) return undefined;
    all.push(...rest.slice(1, code));
    rest = rest.slice(code);
    if (code < 255 && rest.length > 0) all.push(0);
  }
  const body = all.slice(0, -4);
  if (body.length < 2 || all.length > longest) return undefined;
  return fromLe(all.slice(-4)) === crc(body) ? body : undefined;
}
