// A run as one file: its log pages as they were in flash, the settings that were in force, whose they are, and what the user adds.
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure } from "#host/errors/failure.ts";
import { type Chunk, chunkBytes, type Damage, hasSignature, isChunk, piecesOf, SIGNATURE } from "./chunk.ts";
import { type Facts, factsBytes, factsOf } from "./facts.ts";
import { PAGE_BYTES, savedPages, splitPages } from "./saved-pages.ts";

/** Settings as a controller stores them: 16-bit words in the order of the table that the fingerprint names. */
export interface SettingsBlock {
  readonly fingerprint: number;
  readonly block: Uint8Array;
}

/** What a run file holds. Only the pages must be there. */
export interface RunFile {
  readonly facts?: Facts;
  readonly settings?: SettingsBlock;
  /** Text of the car file. */
  readonly car?: string;
  /** What the user noted: time slip, weather, tyres. */
  readonly note?: string;
  /** Each of 256 bytes, of any kind, in the order in which they were written. */
  readonly pages: readonly Uint8Array[];
}

/** What could be read of a file, and in words what could not. */
export interface ReadRunFile extends RunFile {
  readonly lacks: readonly string[];
}

/** Pages of one chunk: a sector of flash. */
const CHUNK_PAGES = 16;
const FINGERPRINT_BYTES = 4;

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const textOf = (bytes: Uint8Array): string => new TextDecoder("utf-8", { ignoreBOM: true }).decode(bytes);

function settingsBytes({ fingerprint, block }: SettingsBlock): Uint8Array {
  const bytes = new Uint8Array(FINGERPRINT_BYTES + block.length);
  new DataView(bytes.buffer).setUint32(0, fingerprint, true);
  bytes.set(block, FINGERPRINT_BYTES);
  return bytes;
}

function settingsOf(bytes: Uint8Array): SettingsBlock | undefined {
  if (bytes.length <= FINGERPRINT_BYTES) return undefined;
  const fingerprint = new DataView(bytes.buffer, bytes.byteOffset).getUint32(0, true);
  return { fingerprint, block: bytes.slice(FINGERPRINT_BYTES) };
}

function pageChunks(pages: readonly Uint8Array[]): Chunk[] {
  const starts = pages.map((_, i) => i).filter((i) => i % CHUNK_PAGES === 0);
  return starts.map((from) => ({
    type: "PAGE",
    bytes: Buffer.concat(pages.slice(from, from + CHUNK_PAGES)),
  }));
}

/** The whole file. Throws a RangeError when car file or note are longer than a chunk may be. */
export function runFileBytes({ facts, settings, car, note, pages }: RunFile): Uint8Array {
  const chunks: Chunk[] = [
    ...(facts ? [{ type: "FACT", bytes: factsBytes(facts) }] : []),
    ...(settings ? [{ type: "SETT", bytes: settingsBytes(settings) }] : []),
    ...(car === undefined ? [] : [{ type: "CARF", bytes: utf8(car) }]),
    ...(note === undefined ? [] : [{ type: "NOTE", bytes: utf8(note) }]),
    ...pageChunks(pages),
    { type: "DONE", bytes: new Uint8Array(0) },
  ];
  return Buffer.concat([SIGNATURE, ...chunks.map(chunkBytes)]);
}

/** The chunks of a type, in order. */
const ofType = (chunks: readonly Chunk[], type: string): Uint8Array[] =>
  chunks.filter((chunk) => chunk.type === type).map(({ bytes }) => bytes);

function textChunk(chunks: readonly Chunk[], type: string): string | undefined {
  const [bytes] = ofType(chunks, type);
  return bytes && textOf(bytes);
}

/** A damaged stretch in words, with what was saved of it. */
function damageWords({ from, to }: Damage, saved: number): string {
  const pages = saved === 0 ? "" : `; ${saved} log page${saved === 1 ? "" : "s"} in it could still be read`;
  return `bytes ${from} to ${to - 1} of the file are damaged${pages}`;
}

/** A chunk that is whole, and yet does not hold what its type promises. */
function misfits(chunks: readonly Chunk[]): string[] {
  const wrong = ({ type, bytes }: Chunk): boolean =>
    (type === "FACT" && factsOf(bytes) === undefined) ||
    (type === "SETT" && settingsOf(bytes) === undefined) ||
    (type === "PAGE" && bytes.length % PAGE_BYTES !== 0);
  return chunks.filter(wrong).map(({ type }) => `a chunk ${type} does not hold what its type promises`);
}

/** Pages, in the order of the file, and the damage in words. */
function pagesAndDamage(file: Uint8Array): { pages: Uint8Array[]; lacks: string[]; chunks: Chunk[] } {
  const [pages, lacks, chunks]: [Uint8Array[], string[], Chunk[]] = [[], [], []];
  for (const piece of piecesOf(file)) {
    if (isChunk(piece)) {
      chunks.push(piece);
      if (piece.type === "PAGE") pages.push(...splitPages(piece.bytes));
      continue;
    }
    const saved = savedPages(file.subarray(piece.from, piece.to));
    pages.push(...saved);
    lacks.push(damageWords(piece, saved.length));
  }
  return { pages, lacks, chunks };
}

/** Reads what is whole and names what is not. Fails with `not-a-run-file` when nothing in it is whole. */
export function readRunFile(bytes: Uint8Array): ReadRunFile {
  const file = new Uint8Array(bytes);
  const { pages, lacks, chunks } = pagesAndDamage(file);
  if (chunks.length === 0 && pages.length === 0) throw new Failure("not-a-run-file");
  const [factBytes, settingBytes] = [ofType(chunks, "FACT")[0], ofType(chunks, "SETT")[0]];
  const facts = factBytes && factsOf(factBytes);
  const settings = settingBytes && settingsOf(settingBytes);
  const [car, note] = [textChunk(chunks, "CARF"), textChunk(chunks, "NOTE")];
  return {
    ...(facts ? { facts } : {}),
    ...(settings ? { settings } : {}),
    ...(car === undefined ? {} : { car }),
    ...(note === undefined ? {} : { note }),
    pages,
    lacks: [
      ...(hasSignature(file) ? [] : ["the first bytes are not those of a run file"]),
      ...lacks,
      ...misfits(chunks),
      ...(ofType(chunks, "DONE").length > 0 ? [] : ["the end of the file is missing: it was cut short"]),
    ],
  };
}

/** Check sum of a settings block, as log pages carry it. */
export const settingsCrcOf = ({ block }: SettingsBlock): number => crc32c(block);
