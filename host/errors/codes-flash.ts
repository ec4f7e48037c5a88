// Errors of putting a new image into a controller.
import type { ErrorEntry } from "./entry.ts";
import { EXIT } from "./exit.ts";

export const FLASH_ERRORS = {
  "bad-image": {
    exit: EXIT.badSettings,
    what: "the file is not a complete controller image",
    todo: "use the released firmware/image/headgate.uf2",
    long: "An image is a UF2 file for the RP2040 whose header carries its length and its own CRC-32C. Block, family, length or check sum is wrong, so nothing was written.",
  },
  "no-volume": {
    exit: EXIT.noDevice,
    what: "no board in its boot mode was found",
    todo: "plug in the board's USB cable and have its disk RPI-RP2 mounted, then run the same command again, or name the folder with --volume; or take the controller's power away and give it back: it then starts the image that it has",
    long: "A board in its boot mode shows up as a small disk over USB. It is known by its file INFO_UF2.TXT that names the board RPI-RP2. The disk has to be mounted; many desktops do that by themselves. The controller waits in its boot mode, with every output off, and answers nothing on the line until an image is copied or its power is taken away.",
  },
  "many-volumes": {
    exit: EXIT.usage,
    what: "more than one board is in its boot mode",
    todo: "unplug the others, or name one with --volume",
    long: "Which of several boards is meant is never guessed.",
  },
  "other-volume": {
    exit: EXIT.mismatch,
    what: "the volume is that of another kind of board",
    todo: "use a board with an RP2040",
    long: "The volume's INFO_UF2.TXT names another board. The image would not run on it.",
  },
  "stays-in-boot": {
    exit: EXIT.tryAgain,
    what: "the board is still in its boot mode: it did not take the image",
    todo: "unplug the board, hold BOOTSEL while you plug it in again, and repeat headgate flash",
    long: "A board leaves its boot mode by itself when it has taken a whole image; its disk then vanishes. This one was still there long after the copy. It runs nothing, so nothing can flow.",
  },
  "not-restarted": {
    exit: EXIT.mismatch,
    what: "the controller that answers has not restarted since the image was copied: it is not the board that was flashed",
    todo: "connect the line of the board that was flashed, and check it with headgate status",
    long: "The controller's clock has run for longer than the time since the copy. What it reports of its image says nothing of the board that took the copy.",
  },
  "image-differs": {
    exit: EXIT.mismatch,
    what: "the controller does not run the image that was written",
    todo: "flash it again; do not arm before the check sum is right",
    long: "After the restart the controller said which image it runs and whether the image matches its own check sum. A controller with a damaged image answers, but cannot arm.",
  },
  "settings-differ": {
    exit: EXIT.no,
    what: "after the flash the controller does not hold the settings that it held before",
    todo: "do not arm; load the settings file again, or put the kept ones back with `headgate undo`",
    long: "The image and the settings lie in different parts of the flash chip, so a new image of the same schema leaves the settings as they are. Here they did not read back as before.",
  },
} as const satisfies Record<string, ErrorEntry>;
