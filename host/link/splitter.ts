// Splits the byte stream at zeros; what grows longer than any frame is thrown away, so the buffer has a bound.
import type { TransformCallback } from "node:stream";
import { DelimiterParser } from "@serialport/parser-delimiter";
import { FRAME_MAX_BYTES } from "./frame.ts";

/** Emits what stood between two zeros as one `data` event each; empty pieces too. */
export class FrameSplitter extends DelimiterParser {
  /** Bytes thrown away because no zero came in time. */
  overflow = 0;

  constructor() {
    super({ delimiter: [0], readableObjectMode: true });
  }

  override _transform(chunk: Buffer, encoding: BufferEncoding, done: TransformCallback): void {
    super._transform(chunk, encoding, (error) => {
      if (this.buffer.length > FRAME_MAX_BYTES + 1) {
        this.overflow += this.buffer.length;
        this.buffer = Buffer.alloc(0);
      }
      done(error);
    });
  }

  /** What is left when the stream ends is no frame. */
  override _flush(done: TransformCallback): void {
    this.buffer = Buffer.alloc(0);
    done();
  }
}
