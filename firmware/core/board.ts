// The few things that the core asks of the board layer; this file becomes the import module `board`.

/** Copies flash bytes to core memory. Offsets count from the start of the flash chip. */
export declare function flashRead(offset: u32, address: usize, length: u32): void;
/** Erases the 4 KiB sector at `offset`. Only called in mode off. */
export declare function flashErase(offset: u32): void;
/** Programs one 256-byte page from core memory. Only called in mode off. */
export declare function flashProgram(offset: u32, address: usize): void;
/** Changes the serial speed once the bytes now handed over have left. */
export declare function setBaud(baud: u32): void;
/** Restarts the chip once the bytes now handed over have left: 0 the program, 1 the boot loader. */
export declare function restart(target: u32): void;
