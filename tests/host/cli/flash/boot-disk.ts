// The boot mode of an emulated board as the host sees it: a folder that says what it is, takes a UF2 file and vanishes.
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { decodeUf2, encodeUf2 } from "#host/image/uf2.ts";
import type { BoardWorld } from "../board-world.ts";

/** What the disk says it is. */
export const INFO = "UF2 Bootloader v3.0\r\nModel: Raspberry Pi RP2\r\nBoard-ID: RPI-RP2\r\n";
const NAME = "headgate.uf2";
const LOOK_NS = 20e6;
/** The host has seen the disk and written to it by then. */
const LOOKS = 50;

/** The boot ROM's disk: there while the board is in its boot mode, gone when an image has come. */
export class BootDisk {
  readonly folder: string;
  /** What the board does to the bytes it was given. */
  spoil: (bytes: Uint8Array) => Uint8Array = (bytes) => bytes;
  /** The image that it takes although the host's system says that the copy failed: a folder stands in the file's place. */
  anyway: Uint8Array | undefined;
  private readonly world: BoardWorld;
  private looks = 0;

  constructor(world: BoardWorld) {
    this.world = world;
    this.folder = join(world.folder, "disk");
    this.look();
  }

  private look(): void {
    const { board } = this.world;
    board.at(board.nowNs + LOOK_NS, () => this.look());
    if (!board.inBootloader) return;
    if (!existsSync(this.folder)) this.appear();
    else if (++this.looks > LOOKS) this.take();
  }

  private appear(): void {
    mkdirSync(this.folder);
    writeFileSync(join(this.folder, "INFO_UF2.TXT"), INFO);
    if (this.anyway) mkdirSync(join(this.folder, NAME));
  }

  private take(): void {
    const file = join(this.folder, NAME);
    if (!existsSync(file)) return;
    const { board } = this.world;
    const { bytes, address } = decodeUf2(this.anyway ?? new Uint8Array(readFileSync(file)));
    board.takeImage(encodeUf2(this.spoil(bytes), address));
    rmSync(this.folder, { recursive: true });
  }
}
