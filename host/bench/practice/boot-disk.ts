// The boot mode of a practice board as the host sees it: a folder that says what it is, takes a UF2 file and vanishes.
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { decodeUf2 } from "#host/image/uf2.ts";
import type { EmulatedBoard } from "../board/emulated-board.ts";

/** What the disk says it is (Microsoft UF2 specification; names as the boot ROM of an RP2040 gives them). */
const INFO = "UF2 Bootloader v3.0\r\nModel: Raspberry Pi RP2\r\nBoard-ID: RPI-RP2\r\n";
const IMAGE = "headgate.uf2";

/** Look at it now and then. */
export class PracticeDisk {
  readonly folder: string;
  private readonly board: EmulatedBoard;
  /** Bytes of the image at the last look: it is whole when no more have come and it decodes. */
  private bytes = -1;

  constructor(board: EmulatedBoard, folder: string) {
    this.board = board;
    this.folder = folder;
  }

  look(): void {
    if (!this.board.inBootloader) this.remove();
    else if (!existsSync(this.folder)) this.appear();
    else this.take();
  }

  remove(): void {
    if (existsSync(this.folder)) rmSync(this.folder, { recursive: true, force: true });
  }

  private appear(): void {
    mkdirSync(this.folder, { recursive: true });
    writeFileSync(join(this.folder, "INFO_UF2.TXT"), INFO);
    this.bytes = -1;
  }

  private take(): void {
    const image = this.whole();
    if (!image) return;
    try {
      this.board.takeImage(image);
      this.remove();
    } catch {
      // The boot ROM takes no block that lies outside the flash: it stays in its boot mode.
      rmSync(join(this.folder, IMAGE), { force: true });
    }
  }

  private whole(): Uint8Array | undefined {
    const file = join(this.folder, IMAGE);
    if (!existsSync(file)) return undefined;
    const image = new Uint8Array(readFileSync(file));
    const grown = image.length !== this.bytes;
    this.bytes = image.length;
    if (grown || image.length === 0) return undefined;
    try {
      decodeUf2(image);
      return image;
    } catch {
      return undefined;
    }
  }
}
